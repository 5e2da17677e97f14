"""Fields for an air: those of the balls hit (Hit) and of today (Play) are the same fields on two parts of the case."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.parts import Choice, NumberField
from app.state import State
from engine.case import Case, Conditions
from engine.fields import CONDITIONS, Number

QUANTITIES = {
    "temperature_c": ("Temperature", "temperature"),
    "altitude_m": ("Height above sea", "height"),
    "humidity": ("Humidity", "percent"),
    "wind_mps": ("Wind", "wind"),
}


def weather_fields(
    state: State,
    names: tuple[str, ...],
    *,
    of: Callable[[Case], Conditions],
    edit: Callable[[str], Callable[[Case, Any], Case]],
    winds: dict[str, float],
    done: str,
) -> list[Any]:
    """Number fields for the named conditions, and where the wind comes from.

    of : the conditions of a case; edit : the edit of one of them; winds : directions offered [deg]; done : words for undo
    """

    def field(name: str) -> NumberField:
        label, quantity = QUANTITIES[name]
        rule = CONDITIONS[name]
        assert isinstance(rule, Number)
        return NumberField(
            state, label, quantity, rule, lambda case: getattr(of(case), name), edit(name), needed=True
        )

    def nearest() -> float:
        now = of(state.case).wind_from_deg
        return min(winds.values(), key=lambda a: abs((now - a + 180) % 360 - 180))

    def turn(value: Any) -> None:
        state.change(lambda case: edit("wind_from_deg")(case, value), done)

    return [*(field(name) for name in names), Choice("Wind comes", winds, nearest, turn, listed=True)]
