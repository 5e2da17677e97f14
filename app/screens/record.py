"""The job record of a player: what was hit, ordered, built, measured and hit again, and when."""

from __future__ import annotations

from typing import Any

from app import bridge, edits
from app.dates import day
from app.files import file_name
from app.html import Safe, p, table
from app.phrases import record
from app.state import State
from app.widgets import Choice, Fold, TextField, button, html, line, put, show, stack
from engine.documents.case import Case, Job
from engine.documents.csv_text import csv_text
from engine.documents.fields import NOTE


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
        return p("Nothing yet. Sessions, orders, builds and notes will stand here by date.")
    return table(["Day", "What"], rows, caption="Job record", words=[1])


class JobRecord:
    """A fold: the list, its file, and lines that a person adds or mends."""

    def __init__(self, state: State) -> None:
        self.state, self.job_id, self.new = state, "", ""
        self.fold = Fold("Job record", self._build, refresh=self.refresh)
        self.view = self.fold.view

    def _build(self) -> Any:
        self.list = html()
        self.pick = Choice("Line to change", self._lines(), lambda: self.job_id, self._pick, listed=True)
        self.date = TextField(
            "Its day, such as 2031-05-03", lambda: self._job().date or "", self._redate, most=10
        )
        self.text = TextField("Its note", lambda: self._job().note, self._renote, most=NOTE)
        self.mend = stack(
            line(self.pick.view, self.date.view, self.text.view, cls="wide-fields"),
            line(button("Take this line out", self._drop)),
        )
        self.note = TextField("New note, of today", lambda: self.new, self._typed, most=NOTE, passing=True)
        return stack(
            self.list,
            line(button("Save the record as CSV", self._csv)),
            line(self.note.view, button("Add the note", self._add), cls="wide-fields"),
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

    def _redate(self, text: str) -> None:
        self.state.change(edits.job(self.job_id, date=text.strip() or None), "day in the job record changed")

    def _renote(self, text: str) -> None:
        self.state.change(edits.job(self.job_id, note=text.strip()), "note in the job record changed")

    def _drop(self) -> None:
        if self.state.change(edits.drop_job(self.job_id), "line of the job record taken out"):
            bridge.announce("The line was taken out; Undo brings it back")

    def _typed(self, text: str) -> None:
        self.new = text

    def _add(self) -> None:
        text, self.new = self.new.strip(), ""
        self.note.refresh()
        if text:
            self.state.change(lambda case: edits.noted(case, "note", note=text), "note added to the record")

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
        for field in (self.date, self.text, self.note):
            field.refresh()
