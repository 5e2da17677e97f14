"""Under Hit: where the balls of a club came down, and the side of the last one by a tap on the picture."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app import bridge, edits
from app.html import join, p
from app.plots.landing import half_width, landing_picture
from app.state import State
from app.units import amount, between, unit
from app.widgets import Fold, NumberField, Stepper, html, put, stack
from engine.documents.case import Case, Club, Shot
from engine.documents.fields import SHOT
from engine.sets.dispersion import ENOUGH, Pattern, pattern

HOW = "Tap the picture where the last ball came down, or step it to the side: left is negative."


class Landing:
    """A fold with the picture, the side of the last ball, and what the pattern says."""

    def __init__(
        self, state: State, club: Callable[[], Club], size: Callable[[], str | None] = lambda: None
    ) -> None:
        self.state, self.club, self.size = state, club, size
        self.picture, self.words = html(cls="landing"), html()
        self.side: NumberField | None = None
        self.fold = Fold("Where they came down", self._build, refresh=self.refresh)
        bridge.listen("landed", self._landed)

    def _build(self) -> Any:
        self.side = NumberField(
            self.state,
            "Side of the last ball",
            "carry",
            SHOT["side_m"],
            lambda case: shot.side_m if (shot := self._last) else None,
            self._keep,
        )
        steps = {"\u22125": -5.0, "\u22121": -1.0, "+1": 1.0, "+5": 5.0}
        return stack(html(p(HOW)), self.picture, Stepper(self.side, steps, lambda: 0.0).view, self.words)

    @property
    def _last(self) -> Shot | None:
        number = edits.last_ball(self.state.case, self.club().id, self.size())
        return None if number is None else self.state.case.shots[number]

    def _keep(self, case: Case, value: float | None) -> Case:
        number = edits.last_ball(case, self.club().id, self.size())
        return case if number is None else edits.side(number)(case, value)

    def _landed(self, payload: dict[str, Any]) -> None:
        across = payload.get("across")
        if not isinstance(across, (int, float)) or not -1 <= across <= 1:
            return
        if self._last is None:
            put(self.words, p("Add a ball first: the tap says to which side it went."))
            return
        shown = unit("carry", self.state.units)
        side = shown.si(round(shown.shown(across * half_width(self._shots, self.state.units))))
        self.state.change(lambda case: self._keep(case, side), "side of the last ball changed")

    @property
    def _shots(self) -> list[Shot]:
        swing = (self.club().id, self.size())
        return [s for s in self.state.case.shots if (s.club, s.swing_size) == swing]

    @property
    def _counted(self) -> list[Shot]:
        """Those that count: of full swings without the mishits."""
        if self.size() is not None or self.state.result is None:
            return self._shots
        return [s for s in self.state.fitting.counted_shots if s.club == self.club().id]

    def refresh(self) -> None:
        if not self.fold.open or self.side is None:
            return
        self.side.refresh()
        shots, system = self._shots, self.state.units
        found = pattern(self._counted)
        put(self.picture, landing_picture(shots, found, self._last, system))
        name = self.club().name or self.club().id
        put(self.words, join(*[p(words) for words in landing_lines(found, name, system)]))


def landing_lines(found: Pattern | None, club: str, system: str) -> list[str]:
    """What the pattern of one club says."""
    if found is None or found.half_axes_m is None:
        return ["Three balls with a side begin to show a pattern."]
    shown = unit("carry", system)
    size = amount(abs(found.side_m.mean), "carry", system)
    way = "right" if found.side_m.mean > 0 else "left"
    ends = between(found.side_m.lo90, found.side_m.hi90, "carry", system)
    lines = [
        f"The {club} comes down {size} to the {way} on average, so it starts or curves that way: 90 % range {ends}, left "
        "negative."
        if found.off_line
        else f"No sign that the {club} starts or curves off line: 90 % range of the middle {ends}, left negative."
    ]
    deep, wide = (shown.text(h) for h in found.half_axes_m)
    low, high = found.spread
    lines.append(
        f"Nine balls in ten come down inside the ellipse, \u00b1{deep} by \u00b1{wide} {shown.name}. With {found.balls} "
        f"balls its true size is {100 * low:.0f} to {100 * high:.0f} % of that; the dashed one is the largest."
    )
    if found.balls < ENOUGH:
        lines.append(
            "Under Play your own spread to the side counts the more, the more balls have a side, all clubs together."
        )
    return lines
