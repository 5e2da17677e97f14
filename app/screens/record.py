"""The job record of a player: what was hit, ordered, built, measured and hit again, and when."""

from __future__ import annotations

from typing import Any

from app import bridge, edits
from app.dates import day, iso_today
from app.files import file_name
from app.html import Safe, p, table
from app.phrases import record
from app.screens.day import DayField
from app.state import State
from app.widgets import Choice, Fold, TextField, button, html, line, put, show, stack
from engine.documents.case import Case, Job
from engine.documents.csv_text import csv_text
from engine.documents.fields import NOTE

KINDS = {"Note": "note", "Lesson": "lesson"}


def record_table(case: Case, system: str) -> Safe:
    before = record.former(case)
    rows = [
        [
            day(one.date) or "\u2013",
            ": ".join(filter(None, (record.WHAT[one.what], record.about(one, system, before)))),
        ]
        for one in record.told(case)
    ]
    if not rows:
        return p("Nothing yet. Sessions, orders, builds and notes appear here by date.")
    return table(["Day", "What"], rows, caption="Job record", words=[1])


class JobRecord:
    """A fold: the list, its file, and lines that a person adds or mends."""

    def __init__(self, state: State) -> None:
        self.state, self.job_id, self.new = state, "", ""
        self.what = "note"  # of what is written next, and its day if that is not today
        self.of: str | None = None
        self.fold = Fold("Job record", self._build, refresh=self.refresh)
        self.view = self.fold.view

    def _build(self) -> Any:
        self.list = html()
        self.pick = Choice("Entry to change", self._lines(), lambda: self.job_id, self._pick, picks=True)
        self.date = DayField(
            self.state,
            "Its date",
            lambda case: self._job().date,
            lambda case, day: edits.job(self.job_id, date=day)(case),
            self.state.change_days,
        )
        self.text = TextField("Its note", lambda: self._job().note, self._renote, most=NOTE)
        self.mend = stack(
            line(self.pick.view, self.date.view, self.text.view, cls="wide-fields"),
            line(button("Remove this entry", self._drop)),
        )
        self.kind = Choice("New entry", KINDS, lambda: self.what, self._kind)
        self.day = DayField(self.state, "Date", lambda case: self.of or iso_today(), self._of, self._on)
        self.note = TextField("Text", lambda: self.new, self._typed, most=NOTE, passing=True)
        return stack(
            self.list,
            line(button("Save the record as CSV", self._csv)),
            line(self.kind.view, self.day.view, self.note.view, cls="wide-fields"),
            line(button("Add to the record", self._add)),
            self.mend,
        )

    def _lines(self) -> dict[str, str]:
        jobs = self.state.case.jobs
        if self.job_id not in {one.id for one in jobs}:
            self.job_id = jobs[-1].id if jobs else ""
        out: dict[str, str] = {}
        for one in jobs:
            name = f"{day(one.date) or 'No date'}: {record.WHAT[one.what]}"
            out[f"{name} [{one.id}]" if name in out else name] = one.id
        return out or {"\u2013": ""}

    def _job(self) -> Job:
        return next((one for one in self.state.case.jobs if one.id == self.job_id), Job("", "note"))

    def _pick(self, job_id: str) -> None:
        self.job_id = job_id
        self.refresh()

    def _renote(self, text: str) -> None:
        self.state.change(edits.job(self.job_id, note=text.strip()), "note in the job record changed")

    def _drop(self) -> None:
        if self.state.change(edits.drop_job(self.job_id), "entry of the job record removed"):
            bridge.announce("The entry was removed; Undo brings it back")

    def _typed(self, text: str) -> None:
        self.new = text

    def _kind(self, what: str) -> None:
        self.what = what

    def _of(self, case: Case, day: str | None) -> Case:
        self.of = day
        return case

    def _on(self, edit: Any, what: str) -> bool:
        edit(self.state.case)
        return True

    def _add(self) -> None:
        text, what, day = self.new.strip(), self.what, self.of
        if not text or self.day.faulty:
            return
        if self.state.change(
            lambda case: edits.noted(case, what, note=text, date=day), f"{what} added to the record"
        ):
            self.new, self.of = "", None
            self.refresh()

    def _csv(self) -> None:
        head, rows = record.cells(
            record.told(self.state.case), self.state.units, record.former(self.state.case)
        )
        name = file_name(f"{self.state.store.entry.name}-record", "csv")
        bridge.download(name, "text/csv;charset=utf-8", csv_text(head, rows))
        bridge.announce("The job record was saved as CSV")

    def refresh(self) -> None:
        if not self.fold.open:
            return
        put(self.list, record_table(self.state.case, self.state.units))
        show(self.mend, bool(self.state.case.jobs))
        self.pick.refresh(self._lines())
        for field in (self.date, self.text, self.day, self.note):
            field.refresh()
