"""Summaries of draws: a mean with its 90 % interval, and the chance of an event."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

NINETY = 1.6448536269514722
"""Half width of the interval that holds 90 % of a normal distribution [standard deviations]."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A mean and the interval that holds 90 % of the draws."""

    mean: float
    lo90: float
    hi90: float

    def to_doc(self) -> dict[str, float]:
        return {"mean": self.mean, "lo90": self.lo90, "hi90": self.hi90}


def interval(draws: ArrayLike) -> Interval:
    """Mean, 5 % and 95 % quantiles of draws (draws,).

    >>> interval(range(101))
    Interval(mean=50.0, lo90=5.0, hi90=95.0)
    """
    values = np.asarray(draws, float)
    low, high = np.quantile(values, (0.05, 0.95))
    return Interval(float(values.mean()), float(low), float(high))


def intervals(draws: ArrayLike) -> tuple[Interval, ...]:
    """`interval` of each column of draws (draws, columns)."""
    values = np.asarray(draws, float)
    low, high = np.quantile(values, (0.05, 0.95), axis=0)
    return tuple(
        Interval(float(m), float(a), float(b)) for m, a, b in zip(values.mean(axis=0), low, high, strict=True)
    )


def chance(event: ArrayLike) -> float:
    """Share of draws in which an event holds, kept off 0 and 1 by half a draw, since so few draws cannot say never.

    >>> chance([True, True, False]), chance([True] * 99)
    (0.625, 0.995)
    """
    held = np.asarray(event, bool)
    return float((held.sum() + 0.5) / (held.size + 1.0))


def sidak_limit(count: int, *, false_alarm: float) -> float:
    """Standard deviations that all of so many independent normal deviations stay within, but for a false alarm.

    Sidak (1967), J. Am. Stat. Assoc. 62:626, from memory.
    """
    from scipy.special import ndtri

    return float(ndtri(0.5 + (1 - false_alarm) ** (1 / max(count, 1)) / 2))


def plain(value: Any) -> Any:
    """A result as JSON types: dataclasses as objects, tuples and arrays as lists, NaN and infinity as ``None``."""
    if hasattr(value, "to_doc"):
        return value.to_doc()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value) if f.repr}
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(v) for v in value]
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, np.generic):
        return plain(value.item())
    return None if isinstance(value, float) and not math.isfinite(value) else value
