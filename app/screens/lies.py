"""Lies: a mark from a lie board, what flight and body say, and one button that takes them into the set to build."""

from __future__ import annotations

from typing import Any

from app import bridge, edits
from app.html import Safe, interval, join, p, table
from app.phrases.body import begin_line
from app.state import State
from app.units import unit
from app.widgets import Choice, Fold, NumberField, button, html, line, put, stack
from engine.documents.case import Club
from engine.documents.fields import CLUB
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
        return stack(
            html(
                p(
                    "Hit off a lie board and enter how far its mark lies from the middle of the sole: toward the heel is "
                    "plus, toward the toe minus. Balls that came with a side count by themselves."
                )
            ),
            line(self.pick.view, self.mark.view, cls="fields"),
            self.said,
            line(
                button("Take these lies into the set to build", self._lies, cls="main"),
                button("Take lies and lengths", self._both),
            ),
            self.done,
        )

    @property
    def _club(self) -> Club | None:
        return next((c for c in self.state.case.carried if c.id == self.club_id), None)

    def _clubs(self) -> dict[str, str]:
        irons = [c for c in self.state.case.carried if c.family in ("iron", "wedge")]
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
        self._take({c.id: {"lie_deg": c.lie_deg} for c in self.state.fitting.lies}, "lies")

    def _both(self) -> None:
        lengths = {c.id: c.length_m for c in self.state.fitting.body.clubs}
        self._take(
            {
                c.id: {"lie_deg": c.lie_deg} | ({"length_m": lengths[c.id]} if c.id in lengths else {})
                for c in self.state.fitting.lies
            },
            "lies and lengths",
        )

    def _take(self, figures: dict[str, dict[str, float]], what: str) -> None:
        if figures and self.state.change(lambda case: edits.fitted(case, figures), f"{what} taken"):
            put(self.done, p(f"The {what} are in the set to build. See the sheet under Build."))
            bridge.announce(f"The {what} are in the set to build")

    def refresh(self) -> None:
        if not self.fold.open or self.state.result is None:
            return
        self.pick.refresh(self._clubs())
        self.mark.refresh()
        put(self.said, lies_table(self.state.fitting.lies, self.state.units))


def lies_table(found: tuple[ClubLie, ...], system: str) -> Safe:
    """Each club's lie now, what it is to become and by whose word."""
    if not found:
        return p("There are no irons or wedges in the bag.")
    angle, whole = unit("angle", system), unit("set_angle", system)
    rows: list[list[Any]] = [
        [
            c.name,
            whole.text(c.present_deg),
            interval(angle, c.change_deg, *c.change_deg_90),
            whole.text(c.lie_deg),
            ", ".join(SOURCES[x] for x in c.known_by) or "the other clubs",
        ]
        for c in found
    ]
    sources = {x for c in found for x in c.known_by}
    return join(
        p(_lead(found, sources, system)),
        table(
            ["Club", "Lie now (\u00b0)", "change, 90 % range", "to build (\u00b0)", "from"],
            rows,
            caption="Lies to build, in the steps of the bench",
            cards=True,
        ),
    )


def _lead(found: tuple[ClubLie, ...], sources: set[str], system: str) -> str:
    if not sources and any(c.started for c in found):
        return "These are still the lies to begin with: check them with a lie board or balls with a side."
    if not sources:
        return "Nothing says yet which lies suit: enter the height, a mark, or balls with a side."
    if sources == {"body"}:
        return begin_line(found, system)
    told = [SOURCES[x] for x in ("board", "flight") if x in sources]
    return f"By {' and '.join(told)}; the body no longer counts."
