"""What the bench makes of a club: as ordered, or as it was measured when it was done.

A figure is as ordered where the sheet would order no work for what is left of it: within 1/8 in of length, half a degree
of loft or lie, 1 g of head mass. Swing weight is held to a point. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from ..documents.case import Club, Measured
from .balance import (
    head_for_swing_weight,
    swing_weight_points,
    usual_parts,
    weigh,
)
from .bending import bounce_after
from .limits import SMALLEST_BEND_DEG, SMALLEST_LENGTH_M, SMALLEST_MASS_KG
from .trim import with_length

SMALLEST = {
    "length_m": SMALLEST_LENGTH_M,
    "loft_deg": SMALLEST_BEND_DEG,
    "lie_deg": SMALLEST_BEND_DEG,
    "head_kg": SMALLEST_MASS_KG,
}
"""Smallest change of each figure that the sheet orders; less is within the error of the bench."""

SWING_WEIGHT_POINTS = 1.0
"""A swing weight this far from what was ordered is off [points]; common practice, no source."""

HEAD_RANGE_KG = (0.1, 0.6)


@dataclass(frozen=True, slots=True)
class Off:
    """A figure that came out other than ordered: its name, what was ordered and what was measured, in its own unit."""

    name: str
    ordered: float
    measured: float

    @property
    def by(self) -> float:
        return self.measured - self.ordered


def after_work(present: Club, wanted: Club) -> Club:
    """The present club once it was built as wanted; the same club where the sheet leaves it as it is.

    A known bounce goes with the loft, degree for degree.
    """
    made: dict[str, Any] = {}
    for name, least in SMALLEST.items():
        value = getattr(wanted, name)
        if abs(value - getattr(present, name)) >= least - 1e-9:
            made[name] = value
    return _made(present, made)


def as_built(present: Club, wanted: Club, measured: Measured | None = None) -> Club:
    """The club as the bench left it: as ordered, and where it was measured, as measured.

    A head whose own mass was not taken is known by the swing weight, with the length, shaft and grip that go with it.
    """
    ordered = after_work(present, wanted)
    if measured is None:
        return ordered
    made = {name: value for name in SMALLEST if (value := getattr(measured, name)) is not None}
    if measured.swing_weight_inoz is not None and measured.head_kg is None:
        length = made.get("length_m", ordered.length_m)
        parts = with_length(usual_parts(present), length - present.length_m)
        head = head_for_swing_weight(parts.with_head(ordered.head_kg), measured.swing_weight_inoz)
        made["head_kg"] = min(max(head, HEAD_RANGE_KG[0]), HEAD_RANGE_KG[1])
    figures = {name: getattr(ordered, name) for name in SMALLEST} | made
    return _made(present, figures)


def swing_weight_after(present: Club, made: Club) -> float:
    """Static moment [in oz] of the present club made into another: its shaft cut or extended, its head changed."""
    parts = with_length(usual_parts(present), made.length_m - present.length_m).with_head(made.head_kg)
    return weigh(parts).moment_inoz


def off_target(present: Club, wanted: Club, measured: Measured | None) -> tuple[Off, ...]:
    """What of a club was measured so far from what was ordered that it matters."""
    if measured is None:
        return ()
    ordered = after_work(present, wanted)
    out = []
    for name, least in SMALLEST.items():
        value, asked = getattr(measured, name), getattr(ordered, name)
        if value is not None and abs(value - asked) >= least - 1e-9:
            out.append(Off(name, asked, value))
    if (weight := measured.swing_weight_inoz) is not None:
        asked = swing_weight_after(present, ordered)
        points = swing_weight_points(weight) - swing_weight_points(asked)
        if abs(points) >= SWING_WEIGHT_POINTS - 0.05:  # shown to a tenth
            out.append(Off("swing_weight_inoz", asked, weight))
    return tuple(out)


def left_to_do(built: Club, ordered: Club) -> dict[str, float]:
    """Figures of a built club that the next sheet has to order again, as they were ordered."""
    return {
        name: getattr(ordered, name)
        for name, least in SMALLEST.items()
        if abs(getattr(ordered, name) - getattr(built, name)) >= least - 1e-9
    }


def _made(present: Club, figures: dict[str, Any]) -> Club:
    made = {name: value for name, value in figures.items() if value != getattr(present, name)}
    if "loft_deg" in made and present.bounce_deg is not None:
        change = made["loft_deg"] - present.loft_deg
        made["bounce_deg"] = float(bounce_after(bounce_deg=present.bounce_deg, loft_change_deg=change))
    return replace(present, **made)
