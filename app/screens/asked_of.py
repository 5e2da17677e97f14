"""Over the keys of Hit: a ball that looks like a slip of the finger, and what would put it right, a tap each."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from app import bridge, edits
from app.html import p
from app.phrases import phrase
from app.phrases.lines import brief, swing_of
from app.state import State
from app.units import carry_as_typed, unit
from app.widgets import button, html, line, put, show, stack
from engine.documents.fields import MOST_SIZES
from engine.swing.slips import MOST_MEANT, Slip, slips

KEEP, LEAVE, PART = "It is right", "A mishit", "A part swing"


class AskedOf:
    """The question about the newest of the chosen club's balls that look wrong; it is asked until it is answered.

    club : the id of the chosen club
    name_swing : called where a part swing is to be named first
    balls : the numbers of all of them, of whatever club
    others : the ids of the other clubs that have such balls
    """

    def __init__(self, state: State, club: Callable[[], str], name_swing: Callable[[], None]) -> None:
        self.state, self.club = state, club
        self.others: list[str] = []
        self.balls: frozenset[int] = frozenset()
        self.slip: Slip | None = None
        self.words = html(cls="question")
        self.digits = [button("", partial(self._mend, n), cls="reply") for n in range(MOST_MEANT)]
        self.swings = [button("", partial(self._swung, n), cls="reply") for n in range(MOST_SIZES + 1)]
        self.part = button(PART, name_swing, cls="reply")
        rest = (self.part, button(KEEP, self._keep, cls="reply"), button(LEAVE, self._leave, cls="reply"))
        self.view = stack(self.words, line(*self.digits, *self.swings, *rest, cls="replies"), cls="asked off")

    def refresh(self) -> None:
        found = slips(self.state.case, unit_m=unit("carry", self.state.units).si(1.0))
        self.balls = frozenset(slip.shot for slip in found)
        hit = [self.state.case.shots[slip.shot].club for slip in found]
        chosen = self.club()
        self.others = [club for club in dict.fromkeys(hit) if club != chosen]
        found = tuple(slip for slip, club in zip(found, hit, strict=True) if club == chosen)
        was, self.slip = self.slip, found[-1] if found else None
        show(self.view, self.slip is not None)
        if self.slip is None:
            return
        words = phrase(self.slip.statement, self.state.units)
        more = len(found) - 1
        put(self.words, p(words, f" {more} more to look at after it." if more else ""))
        names = {size.id: size.name for size in self.state.case.swing_sizes}
        self._label(self.swings, [names.get(size or "", "a full swing") for size in self.slip.swings])
        self._label(self.digits, [carry_as_typed(c, self.state.units) for c in self.slip.carries_m])
        show(self.part, self.slip.unnamed)
        if was is None or was.statement != self.slip.statement:
            bridge.announce(words)

    @staticmethod
    def _label(items: list[Any], labels: list[str]) -> None:
        for n, item in enumerate(items):
            show(item, n < len(labels))
            if n < len(labels) and item.label != (label := f"It was {labels[n]}"):
                item.label = label

    def _right(self, done: str, **right: Any) -> None:
        if self.slip is None:
            return
        shot = self.state.case.shots[self.slip.shot]
        size = next((s for s in self.state.case.swing_sizes if s.id == shot.swing_size), None)
        was = carry_as_typed(shot.carry_m or 0.0, self.state.units)
        name = brief(shot.club, self.state.case.club(shot.club).name)
        what = f"{name}{swing_of(size)} {was} {done}"
        if self.state.change(edits.right_ball(self.slip.shot, **right), what):
            bridge.announce(what)

    def _mend(self, number: int) -> None:
        if self.slip is not None and number < len(self.slip.carries_m):
            meant = self.slip.carries_m[number]
            self._right(f"made {carry_as_typed(meant, self.state.units)}", carry_m=meant)

    def _swung(self, number: int) -> None:
        if self.slip is not None and number < len(self.slip.swings):
            size = self.slip.swings[number]
            name = next((s.name for s in self.state.case.swing_sizes if s.id == size), "a full swing")
            self._right(f"noted as {name}", swing_size=size)

    def _keep(self) -> None:
        self._right("kept", keep=True)

    def _leave(self) -> None:
        self._right("left out", use=False)
