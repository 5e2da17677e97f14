"""Lies: a mark from a lie board, what flight and body say, and one button that takes them into every set."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app import bridge, edits
from app.html import Safe, interval, join, p, table
from app.phrases.body import begin_line
from app.phrases.layouts import set_titles
from app.state import State
from app.units import unit
from app.widgets import Choice, Fold, NumberField, button, html, line, put, show, stack
from engine.documents.case import Case, Club
from engine.documents.fields import CLUB
from engine.fitting.fitting import Fitting
from engine.sets.lies import ClubLie

SOURCES = {"board": "lie board", "flight": "ball flight", "body": "body"}


class Lies:
    """Beside what the body says: where the sole was marked, and the lies that follow."""

    def __init__(self, state: State) -> None:
        self.state, self.club_id = state, ""
        self.fold = Fold("Lies from a board, ball flight or the body", self._build, refresh=self.refresh)

    def _build(self) -> Any:
        self.pick = Choice(
            "Club on the lie board", self._clubs(), lambda: self.club_id, self._pick, listed=True
        )
        self.mark = NumberField(
            self.state,
            "Mark toward the heel",
            "length_change",
            CLUB["lie_mark_m"],
            lambda case: None if self._club is None else self._club.lie_mark_m,
            lambda case, value: edits.club(self.club_id, "lie_mark_m")(case, value),
        )
        self.said, self.done = html(), html()
        self.take = line(
            button("Take these lies into every set", self._lies, cls="main"),
            button("Take lies and lengths", self._both),
        )
        self.leave = line(button("Leave the lies as they are", self._leave, cls="quiet"))
        return stack(
            html(
                p(
                    "Hit off a lie board and enter how far its mark lies from the middle of the sole: toward the heel is "
                    "plus, toward the toe minus. Balls that came with a side count by themselves. What was read before a "
                    "club was bent still counts: the bend changed the club, not the player."
                )
            ),
            line(self.pick.view, self.mark.view, cls="fields"),
            self.said,
            self.take,
            self.leave,
            self.done,
        )

    @property
    def _club(self) -> Club | None:
        return next((c for c in self.state.case.bag if c.id == self.club_id), None)

    def _clubs(self) -> dict[str, str]:
        """The irons and wedges, and those as they were before a build that were marked then."""
        bag = [c for c in self.state.case.bag if c.became is None or c.lie_mark_m is not None]
        irons = [c for c in bag if c.family in ("iron", "wedge")]
        if self.club_id not in {c.id for c in irons}:
            self.club_id = next((c.id for c in irons if c.id == "7i"), irons[0].id if irons else "")
        out: dict[str, str] = {}
        for club in irons:
            name = club.name or club.id
            out[name if name not in out else f"{name} [{club.id}]"] = club.id
        return out or {"\u2013": ""}

    def _pick(self, club_id: str) -> None:
        self.club_id = club_id
        self.mark.forget()

    def _lies(self) -> None:
        if self.state.fitting.lie_line.told:
            self._change(lambda case: edits.lies(case, True), "lies taken", "Every set takes these lies")

    def _both(self) -> None:
        if not self.state.fitting.lie_line.told:
            return
        lengths = {c.id: c.length_m for c in self.state.fitting.body.clubs}
        self._change(
            lambda case: edits.fitted_lengths(edits.lies(case, True), lengths),
            "lies and lengths taken",
            "Every set takes these lies, and the set to build the lengths",
        )

    def _leave(self) -> None:
        self._change(
            lambda case: edits.lies(case, False), "lies left as they are", "The lies stay as they are"
        )

    def _change(self, edit: Callable[[Case], Case], what: str, said: str) -> None:
        if self.state.change(edit, what):
            put(self.done, p(f"{said}. See the sheet under Build."))
            bridge.announce(said)

    def refresh(self) -> None:
        if not self.fold.open or self.state.result is None:
            return
        fitting = self.state.fitting
        self.pick.refresh(self._clubs())
        self.mark.refresh()
        show(self.leave, fitting.case.wants.lies is not None)
        put(self.said, lies_table(fitting, self.state.units))


def lies_table(fitting: Fitting, system: str) -> Safe:
    """The lie of each iron and wedge of the set to build: now, what suits, and what is built, as the sheet orders it."""
    found = fitting.lies
    if not found:
        return p("There are no irons or wedges in the bag.")
    angle, whole = unit("angle", system), unit("set_angle", system)
    sheet = {w.id: w.wanted.lie_deg for w in fitting.build.clubs} if fitting.lies_taken else {}
    rows: list[list[Any]] = []
    for c in found:
        lie = sheet.get(c.id, c.lie_deg)
        ends = [c.present_deg + x for x in c.change_deg_90]
        suits = interval(angle, c.present_deg + c.change_deg, *ends) if fitting.lie_line.told else "\u2013"
        bend = "another head" if c.another_head else whole.text(lie - c.present_deg, sign=True)
        if "lie_deg" in dict(fitting.case.club(c.id).estimated):
            bend = "measure first"
        source = ", ".join(SOURCES[x] for x in c.known_by) or "the other clubs"
        rows.append([c.name, whole.text(c.present_deg), suits, whole.text(lie), bend, source])
    title = set_titles(fitting, system)[fitting.layout.id]
    return join(
        p(_lead(found, system)),
        table(
            ["Club", "Lie now (\u00b0)", "suits, 90 % range", "to build (\u00b0)", "bend (\u00b0)", "from"],
            rows,
            caption=f"Lies to build, in the steps of the bench: {title}",
            cards=True,
        ),
    )


def _lead(found: tuple[ClubLie, ...], system: str) -> str:
    sources = {x for c in found for x in c.known_by}
    if not sources:
        return "Nothing says yet which lies suit: enter the height, a mark, or balls with a side."
    if sources != {"body"}:
        told = [SOURCES[x] for x in ("board", "flight") if x in sources]
        return (
            f"By {' and '.join(told)}; the body no longer counts. The lies follow one line over the set; a club leaves it "
            "only where its own reading is plainly off."
        )
    if any(c.started for c in found) and not any(c.bend_deg for c in found):
        return "These are still the lies to begin with: check them with a lie board or balls with a side."
    return begin_line(found, system)
