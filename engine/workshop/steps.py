"""The steps of the bench: what a figure is ordered to, and what is too little to order.

Lengths go by the eighth of an inch or by 3 mm, lofts and lies by half a degree, head masses by a gram: common practice, no
source.
"""

from __future__ import annotations

import math

import numpy as np

from ..units import GRAM, INCH
from .limits import LENGTH_LEFT_M

EIGHTH_M = 0.125 * INCH
MILLIMETRES_M = 0.003
"""The step of length [m] at a bench that works in millimetres."""
ANGLE_STEP_DEG = 0.5
MASS_STEP_KG = 1 * GRAM

NEAR = 1e-9
READ_M = 0.0001
"""To this much [m] lengths are read and written down."""


def length_matters(by_m: float) -> bool:
    """Whether a difference of length [m] is worth work: more than `LENGTH_LEFT_M`, as far as lengths are read.

    >>> length_matters(0.0032), length_matters(-0.0035)
    (False, True)
    """
    return abs(by_m) > LENGTH_LEFT_M + READ_M


def angle_step(least_bend_deg: float) -> float:
    """Step [deg] in which heads are set: half a degree, finer at a machine that repeats less than that."""
    return min(ANGLE_STEP_DEG, least_bend_deg)


def in_steps(
    now: float,
    wanted: float,
    *,
    step: float,
    least: float,
    low: float = -math.inf,
    high: float = math.inf,
) -> float:
    """The figure to order: the step nearest to ``wanted``, or ``now`` where the change is less than ``least``.

    low, high : most that can be taken off (0 or less) and put on. A wish within them is ordered within them; one beyond
    stays beyond, so that what cannot be met is seen.

    >>> in_steps(47.0, 45.84, step=0.5, least=0.5), in_steps(47.0, 46.8, step=0.5, least=0.5)
    (46.0, 47.0)
    """
    if abs(wanted - now) < least - NEAR:
        return now
    value = step * math.floor(wanted / step + 0.5)
    if low - NEAR <= wanted - now <= high + NEAR:
        if value - now > high + NEAR:
            value -= step
        elif value - now < low - NEAR:
            value += step
        if not low - NEAR <= value - now <= high + NEAR:
            return now
    return now if abs(value - now) < least - NEAR else round(value, 9)


def length_in_steps(now: float, wanted: float, *, step: float, high: float = math.inf) -> float:
    """The length [m] to order: the step nearest to ``wanted`` by a change that is worth the work, or ``now``.

    high : the longest extension

    >>> length_in_steps(0.9144, 0.9174, step=EIGHTH_M), length_in_steps(0.9144, 0.9244, step=EIGHTH_M)
    (0.9144, 0.923925)
    """
    by = wanted - now
    if not length_matters(by):
        return now
    value = in_steps(now, wanted, step=step, least=0.0, high=high)
    if length_matters(value - now):
        return value
    value += math.copysign(step, by)
    return round(value, 9) if abs(value - wanted) < abs(by) else now


def bend_in_steps(
    now: float, wanted: float, *, least: float, low: float = -math.inf, high: float = math.inf
) -> float:
    """The angle [deg] to bend a head to, as `in_steps` in the bench's own steps; where none of them comes to within half of
    one, by just the least bend or as far as the head goes.

    >>> bend_in_steps(62.25, 61.5, least=0.5), bend_in_steps(62.4, 61.76, least=0.5)
    (61.5, 61.9)
    """
    step, change = angle_step(least), wanted - now
    value = in_steps(now, wanted, step=step, least=least, low=low, high=high)
    if abs(value - wanted) <= step / 2 + NEAR or abs(change) < least - NEAR:
        return value
    if not low - NEAR <= change <= high + NEAR:
        return value
    as_far = now + (low if change < 0 else high)
    ways = [value, now + math.copysign(least, change), as_far]
    return round(ways[int(np.argmin(np.abs(np.array(ways) - wanted)))], 9)


def whole_eighths(length_m: float) -> bool:
    """Whether a length [m] is so many eighths of an inch, to a hundredth of one.

    >>> whole_eighths(0.9144), whole_eighths(0.915)
    (True, False)
    """
    eighths = length_m / EIGHTH_M
    return abs(eighths - round(eighths)) < 0.01
