"""Expected strokes and putts to hole out, tour level, by distance and where the ball lies.

Source: the benchmark of Broadie (Interfaces 2012, and his later book). The table from 100 to 500 yd agrees between
memory and a transcription that was read; rows under 60 yd agree with another transcription, of the book's table, and
those of 10, 30 and 50 yd are from there; most putting rows are from memory. Between rows the tables are read on a straight
line; outside them the nearest row is taken.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..units import FOOT, YARD

LIES = ("tee", "fairway", "rough", "sand", "recovery")
_NO = float("nan")
STROKES: tuple[tuple[float, ...], ...] = (
    (10, _NO, 2.18, 2.34, 2.43, _NO),
    (20, _NO, 2.40, 2.59, 2.53, _NO),
    (30, _NO, 2.52, 2.70, 2.66, _NO),
    (40, _NO, 2.60, 2.78, 2.82, _NO),
    (50, _NO, 2.66, 2.87, 2.92, _NO),
    (60, _NO, 2.70, 2.91, 3.15, 3.60),
    (80, _NO, 2.75, 2.96, 3.24, 3.70),
    (100, 2.92, 2.80, 3.02, 3.23, 3.80),
    (120, 2.99, 2.85, 3.08, 3.21, 3.78),
    (140, 2.97, 2.91, 3.15, 3.22, 3.80),
    (160, 2.99, 2.98, 3.23, 3.28, 3.81),
    (180, 3.05, 3.08, 3.31, 3.40, 3.82),
    (200, 3.12, 3.19, 3.42, 3.55, 3.87),
    (220, 3.17, 3.32, 3.53, 3.70, 3.92),
    (240, 3.25, 3.45, 3.64, 3.84, 3.97),
    (260, 3.45, 3.58, 3.74, 3.93, 4.03),
    (280, 3.65, 3.69, 3.83, 4.00, 4.10),
    (300, 3.71, 3.78, 3.90, 4.04, 4.20),
    (320, 3.79, 3.84, 3.95, 4.12, 4.31),
    (340, 3.86, 3.88, 4.02, 4.26, 4.44),
    (360, 3.92, 3.95, 4.11, 4.41, 4.56),
    (380, 3.96, 4.03, 4.21, 4.55, 4.66),
    (400, 3.99, 4.11, 4.30, 4.69, 4.75),
    (420, 4.02, 4.15, 4.34, 4.73, 4.79),
    (440, 4.08, 4.20, 4.39, 4.78, 4.84),
    (460, 4.17, 4.29, 4.48, 4.87, 4.93),
    (480, 4.28, 4.40, 4.59, 4.98, 5.04),
    (500, 4.41, 4.53, 4.72, 5.11, 5.17),
)
"""Yards, then expected strokes from each of `LIES`."""

PUTTS: tuple[tuple[float, float, float], ...] = (
    (3, 1.04, 0.96),
    (4, 1.13, 0.88),
    (5, 1.23, 0.77),
    (6, 1.34, 0.66),
    (7, 1.42, 0.58),
    (8, 1.50, 0.50),
    (9, 1.56, 0.45),
    (10, 1.61, 0.40),
    (15, 1.78, 0.23),
    (20, 1.87, 0.15),
    (30, 1.98, 0.07),
    (40, 2.06, 0.04),
    (50, 2.14, 0.03),
    (60, 2.21, 0.02),
    (90, 2.40, 0.01),
)
"""Feet, expected putts, chance of holing it."""

_STROKES = np.array(STROKES)
_PUTTS = np.array(PUTTS)


def expected_strokes(distance_m: ArrayLike, *, lie: str = "fairway") -> Any:
    """Strokes to hole out from a distance to the hole [m] and a lie of `LIES`, tour level.

    Raises
    ------
    ValueError
        If the lie is not one of `LIES`.
    """
    if lie not in LIES:
        raise ValueError("`lie` must be one of " + ", ".join(LIES))
    column = _STROKES[:, 1 + LIES.index(lie)]
    known = np.isfinite(column)
    return np.interp(np.asarray(distance_m, float) / YARD, _STROKES[known, 0], column[known])


def expected_putts(distance_m: ArrayLike) -> Any:
    """Putts to hole out from a distance [m], tour level; one putt at the hole itself."""
    feet = np.asarray(distance_m, float) / FOOT
    return np.interp(feet, np.r_[0.0, _PUTTS[:, 0]], np.r_[1.0, _PUTTS[:, 1]])


def make_chance(distance_m: ArrayLike) -> Any:
    """Chance of holing a putt from a distance [m], tour level."""
    feet = np.asarray(distance_m, float) / FOOT
    return np.interp(feet, np.r_[0.0, _PUTTS[:, 0]], np.r_[1.0, _PUTTS[:, 2]])


def strokes_gained(*, from_m: float, from_lie: str, to_m: float, to_lie: str) -> float:
    """Strokes a shot gained on tour level: expected before, less expected after, less the one played.

    ``to_lie`` may be ``"green"``, with ``to_m`` the length of the putt left, or ``"holed"``.
    """
    before = float(expected_strokes(from_m, lie=from_lie))
    if to_lie == "holed":
        return before - 1.0
    if to_lie == "green":
        return before - float(expected_putts(to_m)) - 1.0
    return before - float(expected_strokes(to_m, lie=to_lie)) - 1.0
