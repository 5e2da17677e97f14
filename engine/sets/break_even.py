"""How much tighter shots would have to land with one set to make up for what it loses against another.

The measure is the distance left to the target in depth: for each distance faced the club with the smallest mean distance
left is taken, and each ball lands about that club's carry with the player's own shot-to-shot spread (normal). Misses to
the side are not in it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..statistics import Interval, interval
from .compare import Demand

Array = NDArray[np.float64]

POINTS = 31
LEAST_RATIO, MOST_RATIO = 0.3, 2.0
ROUNDS = 8
NEAR = 1e-5  # of the ratio
SEED = 20


@dataclass(frozen=True, slots=True)
class BreakEven:
    """Where the other set leaves as much distance as the base.

    ratio : spread with the other set over that with the base, at which both leave the same [-]; under 1 it has to be
        tighter
    tighter : 1 - ratio, the share by which it has to be tighter [-]
    tighter_m : the same for a ball with ``club`` [m]
    spread : the player's shot-to-shot standard deviation of carry as a share of it [-]
    left_base_m, left_other_m : mean distance left with either set at that spread [m]
    chance_worth : chance that it has to be tighter at all
    """

    ratio: Interval
    tighter: Interval
    tighter_m: Interval
    spread: Interval
    left_base_m: Interval
    left_other_m: Interval
    chance_worth: float
    club: str


def distance_left(
    carry: Array, *, spread: Array | float, distance: Array, weight: Array | None = None
) -> tuple[Array, Array]:
    """Mean distance [m] from where one ball lands to where it should, and its slope over the logarithm of the spread.

    Parameters
    ----------
    carry : mean carries [m] (draws, clubs)
    spread : standard deviation as a share of the carry [-], a number or (draws,)
    distance : distances faced [m], (points,) or (draws, points)
    weight : share of each (points,), equal if not given

    Notes
    -----
    The mean of ``|x|`` of a normal of mean ``m`` and standard deviation ``s`` is
    ``s sqrt(2/pi) exp(-m^2 / 2 s^2) + m (1 - 2 Phi(-m/s))`` (folded normal; Leone, Nelson & Nottingham 1961).
    """
    from scipy.special import erf  # late: scipy need not be there when the page starts

    faced = np.broadcast_to(distance, (len(carry), np.shape(distance)[-1]))[:, None, :]
    sd = (np.reshape(spread, (-1, 1)) * np.maximum(carry, 1.0))[:, :, None]
    z = (carry[:, :, None] - faced) / sd
    bell = np.sqrt(2 / np.pi) * np.exp(-(z**2) / 2)
    left = sd * (bell + z * erf(z / np.sqrt(2)))
    best = left.argmin(axis=1)[:, None, :]
    share = np.full(faced.shape[-1], 1 / faced.shape[-1]) if weight is None else weight
    mean = np.take_along_axis(left, best, 1)[:, 0] @ share
    slope = np.take_along_axis(sd * bell, best, 1)[:, 0] @ share
    return mean, slope


def even_ratio(
    base: Array, other: Array, *, spread: Array | float, demand: Demand | None = None
) -> tuple[Array, Array, Array]:
    """Ratio of spreads (draws,) at which two sets leave the same distance, and what both leave at the same spread [m].

    base, other : mean carries [m] (draws, clubs), draws paired
    spread : with the base, a number or (draws,)
    demand : distances faced; every distance from the shortest to the longest carry of either set alike if not given
    """
    if demand is None:
        low = np.minimum(base.min(axis=1), other.min(axis=1))[:, None]
        high = np.maximum(base.max(axis=1), other.max(axis=1))[:, None]
        middles = (np.arange(POINTS) + 0.5) / POINTS  # with the ends among them these would count twice
        distance, weight = low + (high - low) * middles, None
    else:
        distance, weight = demand.distance, demand.weight
    wanted, _ = distance_left(base, spread=spread, distance=distance, weight=weight)
    ratio = np.ones(len(base))
    first = None
    for _ in range(ROUNDS):  # Newton's rule on log ratio; the distance left grows with the spread
        left, slope = distance_left(other, spread=ratio * spread, distance=distance, weight=weight)
        first = left if first is None else first
        step = np.clip((wanted - left) / np.maximum(slope, 1e-9), -0.4, 0.4)
        new = np.clip(ratio * np.exp(step), LEAST_RATIO, MOST_RATIO)
        moved = float(np.abs(new - ratio).max())
        ratio = new
        if moved < NEAR:
            break
    assert first is not None
    return ratio, wanted, first


def spread_draws(spread: float, *, degrees: float, draws: int) -> Array:
    """Draws (draws,) of a standard deviation known by so many degrees of freedom, the same for the same input."""
    rng = np.random.default_rng(SEED)
    return np.asarray(spread * np.sqrt(degrees / rng.chisquare(degrees, draws)))


def break_even(
    base: Array,
    other: Array,
    *,
    spread: float,
    degrees: float,
    club: str,
    club_carry: Array,
    demand: Demand | None = None,
) -> BreakEven:
    """The break-even of two sets for the player's own spread.

    Parameters
    ----------
    base, other : carries [m] (draws, clubs) of irons and wedges, draws paired
    spread : shot-to-shot standard deviation of carry as a share of it; degrees : of freedom that it rests on
    club : id of the club by which the metres are told, and its carry [m] (draws,)
    demand : distances faced, if the player stated any
    """
    drawn = spread_draws(spread, degrees=degrees, draws=len(base))
    ratio, left_base, left_other = even_ratio(base, other, spread=drawn, demand=demand)
    return BreakEven(
        ratio=interval(ratio),
        tighter=interval(1 - ratio),
        tighter_m=interval((1 - ratio) * drawn * club_carry),
        spread=interval(drawn),
        left_base_m=interval(left_base),
        left_other_m=interval(left_other),
        chance_worth=float((np.sum(ratio < 1) + 0.5) / (len(ratio) + 1)),
        club=club,
    )
