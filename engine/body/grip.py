"""Grip size from the length of the hand.

The chart is common practice, from memory, no source. It is a place to begin: glove, finger length and what feels
secure decide.
"""

from __future__ import annotations

from dataclasses import dataclass

from engine.units import INCH

NOTE = "A chart only begins it: the fingers of the upper hand should just reach the palm without digging in."


@dataclass(frozen=True, slots=True)
class GripSize:
    """A row of the chart: from this hand length [m] up; ``larger_m`` is over standard in diameter [m]."""

    size: str
    from_m: float
    larger_m: float


CHART = (
    GripSize("under size", 0.0, -INCH / 32),
    GripSize("small", 6.5 * INCH, -INCH / 64),
    GripSize("standard", 7.0 * INCH, 0.0),
    GripSize("midsize", 8.25 * INCH, INCH / 16),
    GripSize("oversize", 9.25 * INCH, INCH / 8),
)
NEAR_M = 0.1 * INCH


@dataclass(frozen=True, slots=True)
class Grip:
    """Size to begin with, its neighbour where the hand is near a border, and the change of diameter [m]."""

    size: str
    also: str | None
    larger_m: float
    note: str = NOTE


def grip_for(hand_length_m: float) -> Grip:
    """Grip size for a hand, wrist crease to tip of the middle finger [m].

    Raises
    ------
    ValueError
        If the length is not from 0.1 to 0.3 m.
    """
    if not 0.1 <= hand_length_m <= 0.3:
        raise ValueError("`hand_length_m` must be from 0.1 to 0.3")
    at = max(i for i, row in enumerate(CHART) if hand_length_m >= row.from_m)
    also = None
    if at > 0 and hand_length_m - CHART[at].from_m < NEAR_M:
        also = CHART[at - 1].size
    elif at + 1 < len(CHART) and CHART[at + 1].from_m - hand_length_m < NEAR_M:
        also = CHART[at + 1].size
    return Grip(CHART[at].size, also, CHART[at].larger_m)
