"""Under Hit: where the balls of a club came down, and the side of one of them by a tap on the picture."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app import bridge, edits, sessions
from app.html import join, p
from app.phrases.lines import brief
from app.plots.landing import half_width, landing_picture
from app.state import State
from app.units import amount, between, unit
from app.widgets import Choice, Fold, NumberField, Stepper, html, put, stack
from engine.documents.case import Case, Club, Shot
from engine.documents.fields import SHOT
from engine.sets.dispersion import ENOUGH, Pattern, pattern

HOW = "Tap the picture where the ball came down, or step it to the side: left is negative."


class Landing:
    """A fold with the picture, the side of the ball that is chosen, and what the pattern says."""

    def __init__(
        self, state: State, club: Callable[[], Club], size: Callable[[], str | None] = lambda: None
    ) -> None:
        self.state, self.club, self.size = state, club, size
        self.picture, self.words, self.tapped = html(cls="landing"), html(), html(cls="tapped")
        self.side: NumberField | None = None
        self.chosen: int | None = None  # a ball by its number among all, the newest where there is none
        self.among: tuple[object, ...] = ()  # what it was chosen among
        self.told = ""  # what the last tap on the picture did, until something else is done
        self.told_of: Case | None = None
        self.fold = Fold("Where they came down", self._build, refresh=self.refresh)
        bridge.listen("landed", self._landed)

    def _build(self) -> Any:
        self.side = NumberField(
            self.state,
            "Side of this ball",
            "carry",
            SHOT["side_m"],
            lambda case: None if self._ball is None else case.shots[self._ball].side_m,
            self._keep,
        )
        self.which = Choice(
            "Which ball", self._balls(), lambda: self._at(self._ball), self._choose, listed=True
        )
        steps = {"\u22125": -5.0, "\u22121": -1.0, "+1": 1.0, "+5": 5.0}
        return stack(
            html(p(HOW)),
            self.which.view,
            self.tapped,
            self.picture,
            Stepper(self.side, steps, lambda: 0.0).view,
            self.words,
        )

    @property
    def _ball(self) -> int | None:
        """The number of the ball chosen, until another one is hit or another club is looked at."""
        case = self.state.case
        if self.chosen is not None and self.among == self._those:
            return self.chosen
        return sessions.last_ball(case, self.club().id, self.size())

    @property
    def _those(self) -> tuple[object, ...]:
        """What a ball is chosen among: those of a club and swing, until another one is hit."""
        return self.club().id, self.size(), len(self.state.case.shots)

    @staticmethod
    def _at(number: int | None) -> int:
        """A ball as the list knows it, which cannot stand for nothing."""
        return -1 if number is None else number

    def _choose(self, number: int) -> None:
        self.chosen = number if number >= 0 else None
        self.among, self.told = self._those, ""
        self.refresh()

    def _balls(self) -> dict[str, int]:
        """The balls of the club and swing, the newest first."""
        swing, system = (self.club().id, self.size()), self.state.units
        mine = [(n, s) for n, s in enumerate(self.state.case.shots) if (s.club, s.swing_size) == swing]
        out: dict[str, int] = {}
        for number, (n, shot) in reversed(list(enumerate(mine, 1))):
            newest = "last one, " if number == len(mine) else ""
            side = "no side yet"
            if shot.side_m is not None:
                way = "right" if shot.side_m > 0 else "left" if shot.side_m < 0 else "on line"
                far = f"{amount(abs(shot.side_m), 'carry', system)} " if shot.side_m else ""
                side = f"{far}{way}"
            out[f"{number}: {newest}{amount(shot.carry_m, 'carry', system)}, {side}"] = n
        return out or {"\u2013": -1}

    def _keep(self, case: Case, value: float | None) -> Case:
        return case if self._ball is None else edits.side(self._ball)(case, value)

    def _landed(self, payload: dict[str, Any]) -> None:
        across = payload.get("across")
        if not isinstance(across, (int, float)) or not -1 <= across <= 1:
            return
        if self._ball is None:
            put(self.words, p("Add a ball first: the tap says to which side it went."))
            return
        tapped, before = self._ball, self.state.case.shots[self._ball].side_m
        shown = unit("carry", self.state.units)
        side = shown.si(round(shown.shown(across * half_width(self._shots, self.state.units))))
        done = self.state.change(
            lambda case: edits.side(tapped)(case, side),
            f"side of the {brief(self.club().id, self.club().name)} ball changed",
        )
        if not done and before != side:
            return
        now = self._named(tapped)
        self.chosen, self.among = self._next(tapped), self._those
        if before is not None:
            self.chosen = tapped
            self.told = f"Changed ball {now}. It had a side already: Undo brings that back."
        elif self.chosen == tapped:
            self.told = f"Ball {now}. Every ball has a side now; the next tap changes this one."
        else:
            self.told = f"Ball {now}. The next tap is for ball {self._named(self.chosen)}."
        self.told_of = self.state.case
        bridge.announce(self.told)
        self.refresh()

    def _named(self, number: int) -> str:
        """A ball as the list names it."""
        return next(name for name, n in self._balls().items() if n == number)

    def _next(self, number: int) -> int:
        """The ball for the tap after one at this: the nearest newer one without a side, else the nearest older one, else
        the same.
        """
        bare = [n for n in self._balls().values() if n >= 0 and self.state.case.shots[n].side_m is None]
        newer = [n for n in bare if n > number]
        return min(newer) if newer else max(bare, default=number)

    @property
    def _shots(self) -> list[Shot]:
        swing = (self.club().id, self.size())
        return [s for s in self.state.case.shots if (s.club, s.swing_size) == swing]

    @property
    def _counted(self) -> list[Shot]:
        """Those that count: of full swings without the mishits."""
        if self.size() is not None or self.state.summed_up is None:
            return self._shots
        return [s for s in self.state.fitting.counted_shots if s.club == self.club().id]

    def refresh(self) -> None:
        if self.among[:2] != (self.club().id, self.size()):
            self.chosen = None
        if not self.fold.open or self.side is None:
            return
        self.which.refresh(self._balls())
        self.side.refresh()
        shots, system = self._shots, self.state.units
        found = pattern(self._counted)
        ball = None if self._ball is None else self.state.case.shots[self._ball]
        if self.told_of is not self.state.case or self.among != self._those:
            self.told = ""
        put(self.tapped, p(self.told, cls="small") if self.told else "")
        put(self.picture, landing_picture(shots, found, ball, system))
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
    if found.balls < ENOUGH:
        return [
            *lines,
            f"How far your balls scatter is not known yet: hit more. {ENOUGH} balls with a side begin to show it; the "
            f"ellipse is of these {found.balls}.",
            "On Play, the more balls have a side, with all clubs together, the more your own spread to the side counts.",
        ]
    deep, wide = (shown.text(h) for h in found.half_axes_m)
    low, high = found.spread
    lines.append(
        f"Nine balls in ten come down inside the ellipse, \u00b1{deep} by \u00b1{wide} {shown.name}. With {found.balls} "
        f"balls to go by it may really be {100 * (1 - low):.0f} % smaller or {100 * (high - 1):.0f} % larger; the dashed "
        "one is the largest."
    )
    return lines
