"""Under Play: the height of the target by the tilt of the phone, where it has a sensor and its owner allows it."""

from __future__ import annotations

from typing import Any

from app import bridge
from app.at_hand import HEIGHTS
from app.html import p
from app.state import State
from app.units import amount, unit
from app.widgets import NumberField, button, html, line, put, stack
from engine.course.plays_like import height_by_tilt

STEEPEST_DEG = 30.0  # that a target is seen at; a phone held any steeper is not held along the line
HOW = "Hold the phone flat along the line to the flag, its top towards it, for two seconds."


class Tilt:
    """A button that the page answers with an angle (`site/shell/shot.js`)."""

    def __init__(self, state: State, distance: NumberField, height: NumberField) -> None:
        self.state, self.distance, self.height = state, distance, height
        self.words = html()
        bridge.listen("tilted", self._tilted)
        self.view = stack(
            line(button("Height by the phone\u2019s tilt", self._begin, cls="quiet tilt")),
            self.words,
            cls="tight",
        )

    def _begin(self) -> None:
        put(self.words, p(HOW, cls="small"))

    def _tilted(self, payload: dict[str, Any]) -> None:
        now, angle = self.state.store.at_hand, payload.get("degrees")
        if not isinstance(angle, (int, float)) or angle != angle:
            words = "This phone does not tell its tilt here. Use the steps instead."
        elif self.distance.faulty:
            words = "Put the distance right first."
        elif now.distance_m is None:
            words = "Enter the distance first."
        elif abs(angle) > STEEPEST_DEG:
            words = f"That is {angle:.0f}\u00b0, steeper than any shot. {HOW}"
        else:
            system = self.state.units
            shown = unit("carry", system)
            height = shown.si(round(shown.shown(height_by_tilt(now.distance_m, float(angle)))))
            height = min(max(height, HEIGHTS.low), HEIGHTS.high)
            self.height.forget()
            self.state.set_at_hand(now.having(height_m=height))
            words = f"{abs(angle):.0f}\u00b0 {'up' if angle >= 0 else 'down'}: {amount(abs(height), 'carry', system)}."
        put(self.words, p(words, cls="small"))
        bridge.announce(words)
