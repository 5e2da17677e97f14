"""A club as it came off the bench: as ordered, or as it was measured when it was done, and what of it is off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..documents.case import Club, Measured
from ..units import GRAM
from .balance import at_length, head_for_swing_weight, swing_weight_points, usual_parts, weigh
from .bending import bounce_after

TOLERANCE = {
    "length_m": 0.003,
    "loft_deg": 0.5,
    "lie_deg": 0.5,
    "head_kg": 1 * GRAM,
}
"""A figure this far from what was ordered is off: as much as the bench can mend. Common practice, no source."""

SWING_WEIGHT_POINTS = 1.0
"""A swing weight this far from what was ordered is off [points]; common practice, no source."""

NEAR = 0.98  # of a tolerance: what is typed has been rounded
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


def as_built(present: Club, ordered: Club, measured: Measured | None = None) -> Club:
    """The club as the bench left it: as ordered, and where it was measured, as measured.

    A head whose own mass was not taken is known by the swing weight, with the length, shaft and grip that go with it.
    """
    measured = measured or Measured(present.id)
    made = {name: value for name in TOLERANCE if (value := getattr(measured, name)) is not None}
    if measured.swing_weight_inoz is not None and measured.head_kg is None:
        cut = at_length(present, made.get("length_m", ordered.length_m))
        parts = usual_parts(cut).with_head(ordered.head_kg)
        head = head_for_swing_weight(parts, measured.swing_weight_inoz)
        made["head_kg"] = min(max(head, HEAD_RANGE_KG[0]), HEAD_RANGE_KG[1])
    figures = {name: getattr(ordered, name) for name in TOLERANCE} | made
    cut = ordered.length_m != present.length_m  # else what was measured is what it was all along
    return _made(present, figures, cut=cut).known(**made)


def swing_weight_after(present: Club, made: Club) -> float:
    """Static moment [in oz] of the present club made into another: its shaft cut or extended, its head changed."""
    return weigh(usual_parts(at_length(present, made.length_m)).with_head(made.head_kg)).moment_inoz


def off_target(present: Club, ordered: Club, measured: Measured | None) -> tuple[Off, ...]:
    """What of a club was measured so far from what was ordered that it matters."""
    if measured is None:
        return ()
    out = []
    for name, least in TOLERANCE.items():
        value, asked = getattr(measured, name), getattr(ordered, name)
        if value is not None and abs(value - asked) >= NEAR * least:
            out.append(Off(name, asked, value))
    if (weight := measured.swing_weight_inoz) is not None:
        asked = swing_weight_after(present, ordered)
        points = swing_weight_points(weight) - swing_weight_points(asked)
        if abs(points) >= NEAR * SWING_WEIGHT_POINTS:
            out.append(Off("swing_weight_inoz", asked, weight))
    return tuple(out)


def left_to_do(built: Club, ordered: Club) -> dict[str, float]:
    """Figures of a built club that the next sheet has to order again, as they were ordered."""
    return {
        name: getattr(ordered, name)
        for name, least in TOLERANCE.items()
        if abs(getattr(ordered, name) - getattr(built, name)) >= NEAR * least
    }


def _made(present: Club, figures: dict[str, Any], *, cut: bool) -> Club:
    made = {name: value for name, value in figures.items() if value != getattr(present, name)}
    if "loft_deg" in made and present.bounce_deg is not None:
        change = made["loft_deg"] - present.loft_deg
        made["bounce_deg"] = float(bounce_after(bounce_deg=present.bounce_deg, loft_change_deg=change))
    if made.keys() & {"lie_deg", "length_m"}:
        made["lie_mark_m"] = None  # the board marks it elsewhere now
    club = at_length(present, made.get("length_m", present.length_m)) if cut else present
    return club.known(**made)
