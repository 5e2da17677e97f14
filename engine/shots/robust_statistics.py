"""Centre and spread of a few values, not swayed by outliers: median, scaled MAD, Huber's location.

Nothing here depends on the order of the values.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

HUBER_K = 1.345  # 95 % efficiency on normal values (Huber 1964; Holland & Welsch 1977)
MAD_TO_SD = 1.4826  # 1 / Phi^-1(3/4): makes the median absolute deviation a standard deviation (Hampel 1974)
MEAN_DEVIATION_TO_SD = 1.253314  # sqrt(pi / 2), for when more than half of the values are equal


def in_order(values: ArrayLike) -> list[float]:
    listed: list[float] = np.asarray(values, float).tolist()
    listed.sort()
    return listed


def middle_of(ordered: Sequence[float]) -> float:
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def scale_about(ordered: Sequence[float], middle: float) -> float:
    away = sorted(abs(value - middle) for value in ordered)
    return MAD_TO_SD * middle_of(away) or MEAN_DEVIATION_TO_SD * math.fsum(away) / len(away)


def standard_deviation(values: ArrayLike) -> float:
    """Standard deviation with divisor n - 1 of values (n,); NaN for one value."""
    x = in_order(values)
    if len(x) < 2:
        return math.nan
    centre = math.fsum(x) / len(x)
    return math.sqrt(math.fsum((value - centre) ** 2 for value in x) / (len(x) - 1))


def median(values: ArrayLike) -> float:
    """Median of values (n,)."""
    return middle_of(in_order(values))


def mad_scale(values: ArrayLike) -> float:
    """Robust standard deviation of values (n,): 1.4826 times the median absolute deviation from the median.

    Where more than half of the values are equal that is zero, and 1.2533 times the mean absolute deviation
    takes its place (Iglewicz & Hoaglin 1993); zero only if all are equal. 1.4826: Hampel 1974, J. Amer.
    Statist. Assoc. 69:383.
    """
    x = in_order(values)
    return scale_about(x, middle_of(x))


def huber(values: ArrayLike, *, k: float = HUBER_K, scale: float | None = None) -> float:
    """Huber's M-estimate of location of values (n,) at a fixed scale, `mad_scale` if not given.

    Values within ``k`` scales of the answer count in full, those beyond pull no harder than at ``k``. The
    root of the piecewise linear equation is found by Newton steps kept inside a bracket, exactly but for
    rounding. With a scale of zero it is the median. Huber 1964, Ann. Math. Statist. 35:73.
    """
    x = in_order(values)
    at = middle_of(x)
    s = scale_about(x, at) if scale is None else scale
    reach = k * s
    if not reach:
        return at
    low, high = x[0], x[-1]
    tiny = 1e-14 * max(abs(low), abs(high), s) * len(x)
    for _ in range(60):
        inside = [value - at for value in x if abs(value - at) < reach]
        beyond = sum(1 for value in x if value - at >= reach) - sum(1 for value in x if value - at <= -reach)
        total = math.fsum(inside) + reach * beyond
        if abs(total) <= tiny:
            break
        low, high = (at, high) if total > 0 else (low, at)
        step = at + total / len(inside) if inside else math.inf
        at = step if low < step < high else 0.5 * (low + high)
    return at
