"""Expected strokes to hole out from a distance and a lie, at the level of leading men's professionals.

Table: Broadie 2012 (Interfaces 42:146) and his later book, from memory, agreeing with a second transcription for 100
to 500 yd; the rows of 20 and 40 yd are partly from memory. It says what a miss costs a very good player; others lose
more, so only differences are used.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from engine.units import FOOT, YARD

NAN = float("nan")
YARDS = np.arange(20.0, 501.0, 20.0)
STROKES: dict[str, tuple[float, ...]] = {
    "tee": (NAN,) * 4
    + (2.92, 2.99, 2.97, 2.99, 3.05, 3.12, 3.17, 3.25, 3.45, 3.65, 3.71, 3.79, 3.86, 3.92, 3.96, 3.99, 4.02)
    + (4.08, 4.17, 4.28, 4.41),
    "fairway": (2.40, 2.60, 2.70, 2.75, 2.80, 2.85, 2.91, 2.98, 3.08, 3.19, 3.32, 3.45, 3.58, 3.69, 3.78)
    + (3.84, 3.88, 3.95, 4.03, 4.11, 4.15, 4.20, 4.29, 4.40, 4.53),
    "rough": (2.59, 2.78, 2.91, 2.96, 3.02, 3.08, 3.15, 3.23, 3.31, 3.42, 3.53, 3.64, 3.74, 3.83, 3.90)
    + (3.95, 4.02, 4.11, 4.21, 4.30, 4.34, 4.39, 4.48, 4.59, 4.72),
    "sand": (2.53, 2.82, 3.15, 3.24, 3.23, 3.21, 3.22, 3.28, 3.40, 3.55, 3.70, 3.84, 3.93, 4.00, 4.04)
    + (4.12, 4.26, 4.41, 4.55, 4.69, 4.73, 4.78, 4.87, 4.98, 5.11),
    "recovery": (NAN, NAN)
    + (3.60, 3.70, 3.80, 3.78, 3.80, 3.81, 3.82, 3.87, 3.92, 3.97, 4.03, 4.10, 4.20, 4.31, 4.44, 4.56, 4.66)
    + (4.75, 4.79, 4.84, 4.93, 5.04, 5.17),
}
FEET = np.array([0.0, 3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 40, 50, 60, 90])
PUTTS = np.array([1.0, 1.04, 1.13, 1.23, 1.34, 1.42, 1.5, 1.56, 1.61, 1.78, 1.87, 1.98, 2.06, 2.14, 2.21, 2.4])
HOLED = np.array([1.0, 0.96, 0.88, 0.77, 0.66, 0.58, 0.5, 0.45, 0.4, 0.23, 0.15, 0.07, 0.04, 0.03, 0.02, 0.01])


def expected_strokes(*, distance_m: ArrayLike, lie: str) -> Any:
    """Strokes to hole out from a distance to the hole [m]; NaN where the table has nothing.

    lie : ``tee``, ``fairway``, ``rough``, ``sand``, ``recovery`` or ``green``. Linear between rows, never beyond.
    """
    distance = np.asarray(distance_m, float)
    if lie == "green":
        return np.interp(distance / FOOT, FEET, PUTTS, right=NAN)
    if lie not in STROKES:
        raise ValueError(f"`lie` must be one of {', '.join(STROKES)}, green, not {lie[:20]!r}")
    return np.interp(distance / YARD, YARDS, STROKES[lie], left=NAN, right=NAN)


def chance_holed(distance_m: ArrayLike) -> Any:
    """Chance of holing a putt from a distance [m] at the same level; 8 ft is an even chance."""
    return np.interp(np.asarray(distance_m, float) / FOOT, FEET, HOLED, right=NAN)


def strokes_gained(*, from_m: float, from_lie: str, to_m: float, to_lie: str) -> float:
    """Strokes a shot gained: the expectation before it less that after it, less the shot itself (Broadie 2012)."""
    before = float(expected_strokes(distance_m=from_m, lie=from_lie))
    after = 0.0 if to_m <= 0 else float(expected_strokes(distance_m=to_m, lie=to_lie))
    return before - after - 1


def strokes_of_miss(*, miss_m: ArrayLike, lie: str = "green") -> Any:
    """Strokes lost [-] by finishing so far from the hole [m] instead of in it, beyond the one putt of a tap-in."""
    return np.asarray(expected_strokes(distance_m=miss_m, lie=lie)) - 1
