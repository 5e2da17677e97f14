"""Under Play: the wind of the shot at hand. It belongs to the shot, not to the card or to the player."""

from __future__ import annotations

from typing import Any

from app import bridge, edits
from app.html import p
from app.phrases.lines import nearest_wind, wind_line
from app.plots.pictures import wind_arrow
from app.screens.at_green import STEPS, at_hand_field
from app.screens.weather import WINDS
from app.state import State
from app.widgets import Choice, Stepper, button, html, line, put, stack
from engine.documents.case import Conditions
from engine.documents.fields import CONDITIONS, Number


class ShotWind:
    """How strong the wind is and where it comes from: steps, an arrow to turn, and a list of eight directions."""

    def __init__(self, state: State) -> None:
        self.state = state
        rule = CONDITIONS["wind_mps"]
        assert isinstance(rule, Number)
        self.speed = at_hand_field(
            state,
            "Wind",
            "wind",
            rule,
            lambda now: now.air(state.case).wind_mps,
            lambda now, value: self._blown(wind_mps=value or 0.0),
        )
        self.speed.view.param.watch(lambda event: self._say(), "value")
        self.arrow, self.words = html(cls="arrow"), html(cls="blow")
        self.origin = Choice("Wind direction", WINDS, lambda: nearest_wind(self.now), self._turn, listed=True)
        bridge.listen("turned", lambda payload: self._turned(payload.get("degrees")))
        self.view = stack(
            Stepper(self.speed, STEPS, lambda: 0.0).view,
            line(self.arrow, stack(self.origin.view, cls="origin"), button("Turn", self._eighth), cls="wind"),
            self.words,
            cls="tight",
        )

    @property
    def now(self) -> Conditions:
        return self.state.store.at_hand.air(self.state.case)

    def _blown(self, **wind: float) -> Any:
        """The shot at hand with another wind. One that older versions kept with the day's air moves to the shot."""
        day = self.state.case.wants.air
        if day is not None and day.wind_mps:
            wind = {"wind_mps": day.wind_mps, "wind_from_deg": day.wind_from_deg} | wind
            self.state.change(edits.no_wind, "wind taken off the card")
        return self.state.store.at_hand.having(**wind)

    def _turn(self, degrees: float) -> None:
        self.state.set_at_hand(self._blown(wind_from_deg=degrees % 360))

    def _turned(self, degrees: object) -> None:
        """The arrow was turned by a thumb."""
        if isinstance(degrees, (int, float)) and degrees == degrees:
            self._turn(float(degrees))

    def _eighth(self) -> None:
        self._turn(nearest_wind(self.now) + 45.0)

    def refresh(self) -> None:
        self.speed.refresh()
        self.origin.refresh()
        now = self.now
        direction = next(name for name, angle in WINDS.items() if angle == nearest_wind(now))
        put(self.arrow, wind_arrow(now.wind_from_deg, direction, blows=now.wind_mps > 0))
        self._say()

    def _say(self) -> None:
        """The wind in words; none while a text stands in its field that was refused."""
        put(self.words, p("" if self.speed.faulty else wind_line(self.now, self.state.units), cls="small"))
