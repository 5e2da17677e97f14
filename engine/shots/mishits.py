"""The mishit rule: which of a club's shots are set aside, and why.

A shot is set aside, and said so, when it lies more than ``SHORT_LIMIT`` robust standard deviations short of the club's
median or more than ``LONG_LIMIT`` beyond it. The robust standard deviation is 1.4826 times the median absolute deviation,
but never less than ``LEAST_SPREAD`` of the median, so that a very even player does not lose sound shots. The rule is
lopsided because mishits are: thin and heavy shots fall short, while a shot that is far too long is mostly a misread.
Fewer than three shots cannot contradict one another: none is set aside.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ..statements import Statement, state
from .robust_statistics import middle_of, scale_about

SHORT_LIMIT = 3.5  # robust standard deviations; Iglewicz & Hoaglin 1993
LONG_LIMIT = 5.0  # our choice: misreads only
LEAST_SPREAD = 0.03  # of the median: the spread of tour players; common practice, no source


def mishit_reason(value: float, middle: float, z: float) -> Statement:
    way, limit = ("short", SHORT_LIMIT) if z < 0 else ("long", LONG_LIMIT)
    off = abs(value / middle - 1) if middle else None
    return state("mishit", off=off, times=abs(z), limit=limit, way=way)


def mishit_scores(
    values: ArrayLike, *, least_spread: float = LEAST_SPREAD
) -> tuple[tuple[float, ...], float]:
    """Robust z of each value (n,), negative if short, and the median; zero for fewer than three.

    least_spread : the least that the robust standard deviation is taken for, as a share of the median
    """
    given: list[float] = np.asarray(values, float).tolist()
    ordered = sorted(given)
    middle = middle_of(ordered)
    scale = max(scale_about(ordered, middle), least_spread * abs(middle)) if len(given) > 2 else 0.0
    return tuple((value - middle) / scale if scale else 0.0 for value in given), middle
