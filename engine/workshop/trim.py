"""Length: cutting, extending, and trimming the tip of a shaft.

All figures of this module are common practice, no source, unless a formula is given.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..statements import Statement, state
from ..units import GRAM, INCH
from .balance import EXTENSION_KG_PER_M
from .limits import LONGEST_EXTENSION_M
from .steps import length_matters

STEEL_KG_PER_M = 2.5 * GRAM / INCH
"""Mass of a steel shaft per length near its butt [kg/m]; an iron shaft of 110 g over 37 in averages 3 g an inch."""

IRON_TIP_STEP_M = 0.5 * INCH
"""Extra tip trim for each iron shorter, in a shaft whose tip is one diameter over some length."""

WOOD_TIP_STEP_M = 0.5 * INCH
"""Extra tip trim for each wood or hybrid shorter in its line (driver 0, 3-wood 1/2 in, 5-wood 1 in, and so on)."""

WOOD_TIP_FOR_HALF_A_FLEX_M = 1.0 * INCH
FREQUENCY_PER_HALF_INCH_CPM = 4.0


@dataclass(frozen=True, slots=True)
class LengthChange:
    """A change of length [m], positive longer.

    feasible : an extension past ``LONGEST_EXTENSION_M`` is not: a new shaft is
    nearest_m : length that can be come to [m], the wish itself where feasible
    shaft_kg : mass the shaft gains or loses at the butt [kg]
    frequency_cpm : change of clamped frequency [cycles/min], stiffer positive
    statements : what to do, empty where it is too little to matter or more than an extension bears
    """

    longer_m: float
    feasible: bool
    nearest_m: float
    shaft_kg: float
    frequency_cpm: float
    statements: tuple[Statement, ...]


def change_length(
    *,
    from_m: float,
    to_m: float,
    kg_per_m: float = STEEL_KG_PER_M,
    start: str = "",
) -> LengthChange:
    """Cut or extend a club at the butt from one length to another [m]; ``kg_per_m`` of the shaft near its butt [kg/m].

    ``start`` is what the present length rests on where nobody measured it (`engine.workshop.known.start_of`).

    A cut takes shaft off; an extension adds its own mass (``EXTENSION_KG_PER_M``).
    """
    longer = to_m - from_m
    cpm = -FREQUENCY_PER_HALF_INCH_CPM * longer / IRON_TIP_STEP_M
    mass = longer * (kg_per_m if longer < 0 else EXTENSION_KG_PER_M)
    feasible = longer <= LONGEST_EXTENSION_M + 1e-9
    nearest = to_m if feasible else from_m + LONGEST_EXTENSION_M
    if not length_matters(longer):
        return LengthChange(longer, True, to_m, mass, cpm, ())
    kind = "work.cut" if longer < 0 else "work.extend"
    most = LONGEST_EXTENSION_M if start and longer > 0 else None
    todo = (state(kind, length=abs(longer), to=to_m, start=start, most=most),) if feasible else ()
    return LengthChange(longer, feasible, nearest, mass, cpm, todo)


def iron_tip_trim(*, clubs_shorter: int, step_m: float = IRON_TIP_STEP_M) -> float:
    """Tip trim [m] of an iron so many clubs shorter than the one that is left untrimmed (0 for that one).

    In a single-length set every iron has the same length and the same flex with the same trim: ``step_m`` 0.
    """
    return max(clubs_shorter, 0) * step_m


def wood_tip_trim(*, clubs_shorter: int, half_flexes_stiffer: int = 0) -> float:
    """Tip trim [m] of a wood or hybrid so many clubs shorter than the untrimmed one, and stiffer by half flexes."""
    steps = max(clubs_shorter, 0) * WOOD_TIP_STEP_M
    return steps + max(half_flexes_stiffer, 0) * WOOD_TIP_FOR_HALF_A_FLEX_M


def tip_trim_flexes(trim_m: float) -> float:
    """How many flexes stiffer a wood's shaft plays for a tip trim [m]: half a flex an inch."""
    return 0.5 * trim_m / WOOD_TIP_FOR_HALF_A_FLEX_M
