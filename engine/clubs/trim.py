"""Length: cutting, extending, and trimming the tip of a shaft.

All figures of this module are common practice, no source, unless a formula is given.
"""

from __future__ import annotations

from dataclasses import dataclass

from engine.units import GRAM, INCH

SMALLEST_M = 0.125 * INCH
"""Less than an eighth of an inch is within the error of a rule laid along a club."""

LONGEST_EXTENSION_M = 1.0 * INCH
STEEL_KG_PER_M = 2.5 * GRAM / INCH
"""Mass of a steel shaft per length near its butt [kg/m]; an iron shaft of 110 g over 37 in averages 3 g an inch."""

IRON_TIP_STEP_M = 0.5 * INCH
"""Extra tip trim for each iron shorter, in a shaft whose tip is one diameter over some length."""

WOOD_TIP_STEP_M = 0.5 * INCH
"""Extra tip trim for each wood or hybrid shorter in its line (driver 0, 3-wood 1/2 in, 5-wood 1 in, and so on)."""

WOOD_TIP_FOR_HALF_A_FLEX_M = 1.0 * INCH
FREQUENCY_PER_FLEX_CPM = 10.0
FREQUENCY_PER_HALF_INCH_CPM = 4.0


@dataclass(frozen=True, slots=True)
class LengthChange:
    """A change of length [m], positive longer.

    feasible : an extension past ``LONGEST_EXTENSION_M`` is not: a new shaft is
    shaft_kg : mass the shaft gains or loses at the butt [kg]
    frequency_cpm : change of clamped frequency [cycles/min], stiffer positive
    words : what to do, empty where it is too little to matter
    """

    longer_m: float
    feasible: bool
    shaft_kg: float
    frequency_cpm: float
    words: tuple[str, ...]


def change_length(*, from_m: float, to_m: float) -> LengthChange:
    """Cut or extend a club at the butt from one length to another [m]."""
    longer = to_m - from_m
    cpm = -FREQUENCY_PER_HALF_INCH_CPM * longer / IRON_TIP_STEP_M
    mass = STEEL_KG_PER_M * longer
    if abs(longer) < SMALLEST_M - 1e-9:
        return LengthChange(longer, True, mass, cpm, ())
    if longer < 0:
        words = f"cut {inches(-longer)} from the butt"
    elif longer <= LONGEST_EXTENSION_M + 1e-9:
        words = f"extend {inches(longer)} at the butt"
    else:
        words = f"fit a new shaft: {inches(longer)} longer is more than an extension bears"
    return LengthChange(longer, longer <= LONGEST_EXTENSION_M + 1e-9, mass, cpm, (words,))


def inches(length_m: float) -> str:
    """A length [m] in eighths of an inch, as ``1/2 in``, ``1 3/8 in``."""
    eighths = round(length_m / INCH * 8)
    whole, part = divmod(eighths, 8)
    if part == 0:
        return f"{whole} in"
    under = 8
    while part % 2 == 0:
        part, under = part // 2, under // 2
    return f"{whole} {part}/{under} in" if whole else f"{part}/{under} in"


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
