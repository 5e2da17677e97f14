"""Grip size from the hand: common practice, no source. Comfort and the fingertips' touch at the palm decide."""

from __future__ import annotations

from dataclasses import dataclass

from ..statements import Statement, state
from ..units import GRAM, INCH
from .survey import hand_length

BANDS: tuple[tuple[str, float, float, float | None], ...] = (
    ("undersize", 0.0, 6.5, None),
    ("womens", 6.5, 7.0, None),
    ("standard", 7.0, 8.25, 0.900),
    ("midsize", 8.25, 9.25, 0.960),
    ("jumbo", 9.25, 99.0, 1.025),
)
"""Size, hand length from and to [in], diameter 2 in below the cap [in] where one is usually named; "womens" is also
called undersize."""

NEAR_M = 0.25 * INCH
GRIP_NOTE = state("note.grip", mass=5 * GRAM)


@dataclass(frozen=True, slots=True)
class Grip:
    """A grip size to begin with, the neighbour where the hand is near a border, and diameter [m] if one is named."""

    size: str
    also: str | None
    diameter_m: float | None
    estimated: bool
    note: Statement = GRIP_NOTE


def grip_for(
    hand_length_m: float | None = None, *, height_m: float | None = None, sex: str | None = None
) -> Grip:
    """Grip size for a hand, wrist crease to tip of the middle finger [m]; estimated from stature if not measured.

    Raises
    ------
    ValueError
        If neither hand nor stature is given.
    """
    estimated = hand_length_m is None
    if hand_length_m is None:
        if height_m is None:
            raise ValueError("`hand_length_m` or `height_m` must be given")
        hand_length_m = hand_length(height_m, sex=sex).mean_m
    inches = hand_length_m / INCH
    at = next(i for i, band in enumerate(BANDS) if inches < band[2] or i == len(BANDS) - 1)
    size, low, high, diameter = BANDS[at]
    also = None
    if at > 0 and (inches - low) * INCH < NEAR_M:
        also = BANDS[at - 1][0]
    elif at + 1 < len(BANDS) and (high - inches) * INCH < NEAR_M:
        also = BANDS[at + 1][0]
    return Grip(size, also, None if diameter is None else diameter * INCH, estimated)
