"""Lie: where a sole that does not sit flat sends the ball, and what a change of length does to the lie.

Geometry of a plane face turned about the line of flight; derived, and the first relation was also read in club-making
texts. One text gives about a third smaller values (1 deg of direction for 3 deg of lie at 30 deg of loft): it does not
fit the geometry and is not used.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..physics.impact import lie_error
from ..units import DEGREE, INCH
from .norms import GRIP_M

MARK_PER_DEGREE_M = 0.25 * INCH
"""A lie board's mark moves about 1/4 in toward heel or toe for each degree (read in a club-making text)."""

LIE_PER_HALF_INCH_DEG = 1.0
"""A club half an inch longer plays a degree more upright (common practice): less than `lie_per_length` says, because
the hands rise with a longer club."""


def face_direction(*, loft_deg: ArrayLike, lie_error_deg: ArrayLike) -> Any:
    """Horizontal turn of the face [deg] of a club delivered so much too upright [deg]; left of target positive.

    ``atan(tan(loft) sin(error))``, for a right-handed player; right where the club is too flat (negative
    error).
    """
    return _turned(loft_deg, lie_error_deg)[0] / DEGREE


def lie_per_length(*, length_m: ArrayLike, lie_deg: ArrayLike) -> Any:
    """Change of the lie that sits flat with length [deg/m], hands staying where they are: ``-tan(lie)/(L - 3 in)``."""
    lie = np.asarray(lie_deg, float) * DEGREE
    return -np.tan(lie) / (np.asarray(length_m, float) - GRIP_M) / DEGREE


def lie_after_length(*, length_m: ArrayLike, lie_deg: ArrayLike, longer_m: ArrayLike) -> Any:
    """Lie [deg] that sits flat once the club is so much longer [m], hands staying at the same height.

    ``asin((L - 3 in) sin(lie) / (L + longer - 3 in))``; NaN where the club becomes too short to reach the
    ground. The trade's rule, 1 deg for 1/2 in, moves about two thirds as much.
    """
    lie = np.asarray(lie_deg, float) * DEGREE
    reach = np.asarray(length_m, float) - GRIP_M
    with np.errstate(invalid="ignore"):
        return np.arcsin(reach * np.sin(lie) / (reach + np.asarray(longer_m, float))) / DEGREE


def lie_from_mark(offset_m: float) -> float:
    """Lie error [deg] from the mark on a lie board, so far [m] from the sole's middle toward the heel (too upright).

    A 1/4 in a degree (read in a club-making text); a starting point, soles differ in camber.
    """
    return offset_m / MARK_PER_DEGREE_M


def _turned(loft_deg: ArrayLike, lie_error_deg: ArrayLike) -> tuple[Any, Any, Any]:
    return lie_error(np.asarray(loft_deg, float) * DEGREE, np.asarray(lie_error_deg, float) * DEGREE)
