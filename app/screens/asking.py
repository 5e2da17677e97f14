"""A club asked for by its carry: kind, range and tip trim in; the loft, length and head to look for out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from app import edits
from app.html import join, note, p
from app.phrases import percent
from app.phrases.say import listed
from app.state import State
from app.units import amount, between, unit
from app.widgets import Choice, Fold, NumberField, button, html, line, put, show, stack
from engine.bag.asked import Asked, club_that_carries
from engine.documents.case import Case
from engine.documents.fields import CLUB, Number
from engine.physics.air import air_of

KINDS = {"Hybrid": "hybrid", "Fairway wood": "fairway", "Iron": "iron", "Wedge": "wedge", "Driver": "driver"}


class Asking:
    """A fold of the bag; what is found can be put into the bag and is then a club like any other."""

    def __init__(self, state: State) -> None:
        self.state, self.kind = state, "hybrid"
        self.typed: dict[str, float | None] = {"low": None, "high": None, "tip": None}
        self.found: Asked | None = None
        self.fold = Fold("Ask for a club by its carry", self._build)

    def _build(self) -> Any:
        self.said = html()
        self.put_in = line(button("Put it in the bag", self._take))
        show(self.put_in, False)
        return stack(
            line(
                Choice("Kind of club", KINDS, lambda: self.kind, self._kind, listed=True).view,
                self._field("Carries at least", "carry", "low", Number(1, 400)).view,
                self._field("Carries at most", "carry", "high", Number(1, 400)).view,
                self._field("Tip trim of its shaft", "length_change", "tip", CLUB["tip_trim_m"]).view,
                button("Find it", self._find, cls="main"),
                cls="fields low",
            ),
            self.said,
            self.put_in,
        )

    def _field(self, label: str, quantity: str, name: str, rule: Any) -> NumberField:
        def edit(case: Case, value: float | None) -> Case:
            self.typed[name] = value
            return case

        return NumberField(
            self.state,
            label,
            quantity,
            rule,
            lambda case: self.typed[name],
            edit,
            change=lambda change, what: change(self.state.case),
            passing=True,
        )

    def _kind(self, kind: str) -> None:
        self.kind = kind

    def _find(self) -> None:
        low, high, system = self.typed["low"], self.typed["high"], self.state.units
        show(self.put_in, False)
        if low is None or high is None or low > high:
            put(self.said, note(p("Type the range it should carry, the shorter end first."), warn=True))
            return
        work = self.state.fitting
        found = club_that_carries(
            work.posterior,
            air_of(work.air),
            family=self.kind,
            low_m=low,
            high_m=high,
            tip_trim_m=self.typed["tip"],
            sex=work.case.player.sex,
            bag=work.present,
            length_step_m=work.length_step,
        )
        name = next(n for n, k in KINDS.items() if k == self.kind)
        loft = amount(found.club.loft_deg, "set_angle", system)
        self.found = replace(found, club=replace(found.club, name=f"{name} {loft}"))
        first = work.to_hit_first(found.club, found.carry)
        if found.reached:
            put(self.said, join(*self._told(self.found, first=first)))
        else:
            put(self.said, note(p(_impossible(found, name, system, low, high, first=first)), warn=True))
        show(self.put_in, found.reached)

    def _told(self, found: Asked, *, first: bool) -> list[Any]:
        """What to look for, what it carries as far as that is known, and what speaks against it."""
        system, club = self.state.units, found.club
        head = unit("mass", system).text(club.head_kg, unit=True)
        figures = (
            f"Look for: {club.name}, {amount(club.length_m, 'club', system)}, lie "
            f"{amount(club.lie_deg, 'set_angle', system)}, head {head}."
        )
        if first:
            carries = "Its carry is known only roughly, so there is no number: hit one first, before you buy."
        else:
            ends = between(found.carry.lo90, found.carry.hi90, "carry", system)
            carries = (
                f"It carries {amount(found.carry.mean, 'carry', system)} ({ends}); the chance that its average lies "
                f"within the range is {percent(found.chance_within)}."
            )
        parts: list[Any] = [p(f"{figures} {carries}")]
        if found.found == "between":
            parts.append(p("The range lies between two lofts, half a degree apart: this one comes nearest."))
        if found.tip_flexes:
            parts.append(
                p(
                    f"Tipped {amount(self.typed['tip'], 'length_change', system)}, the shaft plays about "
                    f"{found.tip_flexes:.1g} of a flex stiffer."
                )
            )
        if found.one_job:
            names = listed(
                [f"{c.name or c.id} ({amount(c.loft_deg, 'set_angle', system)})" for c in found.one_job]
            )
            parts.append(
                note(
                    p(f"It does the same job as a club in the bag: {names}. Carry one or the other."),
                    warn=True,
                )
            )
        return parts

    def _take(self) -> None:
        if self.found is None:
            return
        club = replace(self.found.club, id=f"{self.kind[:2]}{self.found.club.loft_deg:g}".replace(".", "-"))
        if self.state.change(lambda case: edits.add_club(case, club), f"{club.name} put in"):
            put(self.said, p(f"{club.name} put in."))
            show(self.put_in, False)


def _impossible(found: Asked, name: str, system: str, low: float, high: float, *, first: bool) -> str:
    """What cannot be had, and what comes nearest to it."""
    kind, end = name.lower(), "most" if found.found == "too_far" else "least"
    asked = amount(low if end == "most" else high, "carry", system)
    loft = amount(found.club.loft_deg, "set_angle", system)
    far = "as far as" if end == "most" else "as little as"
    if first:
        return f"No {kind} is likely to carry {far} {asked}; one of {loft} comes nearest. Hit one before you decide."
    carry = amount(found.carry.mean, "carry", system)
    return f"No {kind} carries {far} {asked} in these hands: the {end} is about {carry}, at {loft}. Ask for another kind."
