"""A club as it came off the bench: as ordered, or as it was measured when it was done, and what of it is off."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from ..documents.case import FIGURES, Club, Measured
from ..units import GRAM
from .balance import at_length, grams_per_point, swing_weight_after, swing_weight_points
from .bending import bounce_after
from .estimates import head_by_swing_weight

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

    A head whose own mass was not taken is estimated from the swing weight that was measured, with the length, shaft and grip
    that go with it, and as uncertain as those.
    """
    measured = measured or Measured(present.id)
    typed = {name: value for name in TOLERANCE if (value := getattr(measured, name)) is not None}
    cut = ordered.length_m != present.length_m  # else what was measured is what it was all along
    figures = {name: getattr(ordered, name) for name in TOLERANCE} | typed
    changed = {name for name, value in figures.items() if value != getattr(present, name)}
    club = _made(present, {name: figures[name] for name in changed}, cut=cut).known(**typed)
    club = replace(
        club,
        swing_weight_inoz=measured.swing_weight_inoz,
        measured=tuple(n for n in FIGURES if n in typed or (n in present.measured and n not in changed)),
        ordered=tuple(n for n in FIGURES if n not in typed and (n in changed or n in present.ordered)),
    )
    moved = cut or ordered.head_kg != present.head_kg
    if measured.swing_weight_inoz is None and present.swing_weight_inoz is not None:
        after = swing_weight_after(present, club) if moved else present.swing_weight_inoz
        was = "swing_weight_inoz" in present.ordered
        more = ("swing_weight_inoz",) if moved or was else ()
        club = replace(club, swing_weight_inoz=after, ordered=(*club.ordered, *more))
    unweighed = "head_kg" not in typed and (
        measured.swing_weight_inoz is not None or "head_kg" in dict(present.estimated)
    )
    if club.swing_weight_inoz is None or not unweighed:
        return club
    measured_, ordered_ = (
        tuple(n for n in names if n != "head_kg") for names in (club.measured, club.ordered)
    )
    return head_by_swing_weight(replace(club, measured=measured_, ordered=ordered_))


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
    least = dict(TOLERANCE)
    if "head_kg" in dict(built.estimated):  # known by the swing weight only
        least["head_kg"] = SWING_WEIGHT_POINTS * grams_per_point(built.length_m)
    return {
        name: getattr(ordered, name)
        for name, enough in least.items()
        if abs(getattr(ordered, name) - getattr(built, name)) >= NEAR * enough
    }


def _made(present: Club, made: dict[str, Any], *, cut: bool) -> Club:
    if "loft_deg" in made and present.bounce_deg is not None:
        change = made["loft_deg"] - present.loft_deg
        made["bounce_deg"] = float(bounce_after(bounce_deg=present.bounce_deg, loft_change_deg=change))
    if made.keys() & {"lie_deg", "length_m"}:
        made["lie_mark_m"] = None  # the board marks it elsewhere now
    club = at_length(present, made.get("length_m", present.length_m)) if cut else present
    return club.known(**made)
