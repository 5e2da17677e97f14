"""The mishit rule: which of a club's shots are set aside, and why.

A shot is set aside, and said so, when it lies more than ``SHORT_LIMIT`` robust standard deviations short of the club's
median or more than ``LONG_LIMIT`` beyond it. The robust standard deviation is 1.4826 times the median absolute deviation,
but never less than ``LEAST_SPREAD`` of the median, so that a very even player does not lose sound shots. The rule is
lopsided because mishits are: thin and heavy shots fall short, while a shot that is far too long is mostly a misread.
Fewer than three shots cannot contradict one another: none is set aside.

Of several days each shot is held against the median of its own day, with the scatter about those of all days. A day of fewer
than three shots has no median to hold them against: there it is the middle of all, with the scatter widened by what one day
differs from another.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence

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


def scores_by_day(
    values: Sequence[float],
    *,
    days: Sequence[Hashable],
    apart: float,
    least_spread: float = LEAST_SPREAD,
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The same for values (n,) of several days, each with the median that it was held against.

    days : of each value; apart : standard deviation by which the values of one day may lie apart from those of another
    """
    of: dict[Hashable, list[float]] = {}
    for value, day in zip(values, days, strict=True):
        of.setdefault(day, []).append(value)
    middles = {day: middle_of(sorted(hit)) for day, hit in of.items() if len(hit) > 2}
    whole = middle_of(sorted(values))
    off: list[float] = []
    for day, middle in middles.items():
        away = sorted(abs(value - middle) for value in of[day])
        off += away[
            len(away) % 2 :
        ]  # the middle one of an odd number is off by nothing, whatever the scatter
    if not middles:
        off = [abs(value - whole) for value in values]
    least = least_spread * abs(whole)
    scale = max(scale_about(sorted(off), 0.0), least) if len(values) > 2 else 0.0
    scores = [
        (value - middles.get(day, whole)) / (scale if day in middles else math.hypot(scale, apart))
        if scale
        else 0.0
        for value, day in zip(values, days, strict=True)
    ]
    return tuple(scores), tuple(middles.get(day, whole) for day in days)
