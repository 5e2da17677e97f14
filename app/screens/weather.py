"""Fields for an air: those of the balls hit (Hit) and of today (Play) are the same fields on two parts of the case."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app import sessions
from app.html import p
from app.phrases.lines import nearest_wind
from app.state import State
from app.units import unit
from app.widgets import Chips, Choice, NumberField, html, line, put, show, stack
from engine.documents.case import Case, Conditions
from engine.documents.fields import CONDITIONS, Number
from engine.swing.parameters import range_ball_factor

WEATHER = {
    "temperature_c": ("Temperature", "temperature"),
    "altitude_m": ("Altitude", "height"),
    "humidity": ("Humidity", "percent"),
    "wind_mps": ("Wind", "wind"),
}

WINDS = {
    "Headwind": 0.0,
    "Headwind from the right": 45.0,
    "From the right": 90.0,
    "Tailwind from the right": 135.0,
    "Tailwind": 180.0,
    "Tailwind from the left": 225.0,
    "From the left": 270.0,
    "Headwind from the left": 315.0,
}  # [deg], where the wind comes from


def weather_fields(
    state: State,
    names: tuple[str, ...],
    *,
    of: Callable[[Case], Conditions],
    edit: Callable[[str], Callable[[Case, Any], Case]],
    done: str,
) -> list[Any]:
    """Number fields for the named conditions, and with the wind where it comes from.

    of : the conditions of a case; edit : the edit of one of them; done : words for undo
    """

    fields: list[Any] = [weather_field(state, name, of=of, edit=edit) for name in names]
    if "wind_mps" in names:
        fields.append(wind_direction(state, of=of, edit=edit, done=done))
    return fields


def weather_field(
    state: State,
    name: str,
    *,
    of: Callable[[Case], Conditions],
    edit: Callable[[str], Callable[[Case, Any], Case]],
) -> NumberField:
    """The number field of one condition."""
    label, quantity = WEATHER[name]
    rule = CONDITIONS[name]
    assert isinstance(rule, Number)
    return NumberField(
        state, label, quantity, rule, lambda case: getattr(of(case), name), edit(name), needed=True
    )


def wind_direction(
    state: State,
    *,
    of: Callable[[Case], Conditions],
    edit: Callable[[str], Callable[[Case, Any], Case]],
    done: str,
) -> Choice:
    """Where the wind comes from, in eighths of a turn."""

    def turn(value: Any) -> None:
        state.change(lambda case: edit("wind_from_deg")(case, value), done)

    return Choice("Wind direction", WINDS, lambda: nearest_wind(of(state.case)), turn, listed=True)


class RangeBalls:
    """Whether range balls were hit, a chip, and what such a ball carries of a good one's."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.chip = Chips(
            "",
            {"Range balls": True},
            lambda: [self._air(state.case).range_ball],
            lambda now: self._switch(bool(now)),
        )
        self.fields = [
            self._field("Carry compared with a good ball", "range_ball_factor"),
            self._field("Give or take", "range_ball_sd"),
        ]
        self.words = html()
        self.more = stack(line(*[f.view for f in self.fields], cls="fields"), self.words)
        self.refresh()

    def _field(self, label: str, name: str) -> NumberField:
        return NumberField(
            self.state,
            label,
            "percent",
            CONDITIONS[name],
            lambda case: getattr(self._air(case), name),
            lambda case, value: self._edit(case, name, value),
        )

    def _today(self, case: Case) -> str:
        return sessions.todays(case, self.state.guest).id

    def _air(self, case: Case) -> Conditions:
        return sessions.air(case, self._today(case))

    def _edit(self, case: Case, name: str, value: Any) -> Case:
        return sessions.weather(self._today(case), name)(case, value)

    def _switch(self, value: bool) -> None:
        self.state.change(
            lambda case: self._edit(case, "range_ball", value),
            f"range balls {'on' if value else 'off'}",
        )

    def refresh(self) -> None:
        self.chip.refresh()
        for field in self.fields:
            field.refresh()
        air = self._air(self.state.case)
        show(self.more, air.range_ball)
        factor, sd = range_ball_factor(air)
        today = self._today(self.state.case)
        alone = not {key for key, count in sessions.counts(self.state.case).items() if count} - {today}
        share = unit("percent", self.state.units)
        put(
            self.words,
            p(
                "" if alone else "Today\u2019s balls only, not those of earlier sessions. ",
                f"Assumed: {share.text(factor)} \u00b1 {share.text(sd)} of a good ball\u2019s carry. Leave the "
                "fields empty for the usual figure; hit both kinds side by side to find your own.",
                cls="small",
            ),
        )
