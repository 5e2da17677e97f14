"""Make-up of the bag: which clubs leave the least to miss over the distances faced, exactly.

The miss of a distance is how far it is from the nearest carry carried. With the clubs in order of carry, that sum
splits between neighbours in the chosen set, so the least of it follows from a dynamic programme over (club, how many
so far) and not from trying every set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MakeUp:
    """The best set. Indices are those of the candidates as given.

    chosen : candidates carried, shortest carry first
    miss_m : mean distance from what is faced to the nearest carry [m]
    dropping_m : for each of ``chosen``, how much the miss grows without it [m], nothing else changed
    adding_m : index and how much the miss shrinks with it as well [m], for each candidate left out
    """

    chosen: tuple[int, ...]
    miss_m: float
    dropping_m: tuple[float, ...]
    adding_m: tuple[tuple[int, float], ...]


def mean_miss(carry_m: ArrayLike, *, demand_m: ArrayLike, demand_weight: ArrayLike | None = None) -> float:
    """Weighted mean distance [m] from each demanded distance to the nearest carry; infinite without carries."""
    carry = np.asarray(carry_m, float)
    demand, weight = _demand(demand_m, demand_weight)
    if not carry.size:
        return float("inf")
    return float(np.abs(carry[:, None] - demand).min(axis=0) @ weight)


def best_make_up(
    carry_m: ArrayLike,
    *,
    demand_m: ArrayLike,
    demand_weight: ArrayLike | None = None,
    count: int,
    must_keep: Sequence[int] = (),
    stay_out: Sequence[int] = (),
    cost_m: ArrayLike | None = None,
    one_job: NDArray[np.bool_] | None = None,
) -> MakeUp:
    """The set of at most ``count`` candidates with the least expected miss.

    Parameters
    ----------
    carry_m : carry of each candidate [m] (candidates,)
    demand_m, demand_weight : distances faced [m] and how often [-], any positive scale; ``None`` is equally often
    count : how many full-shot clubs may be carried, 1 to 14; a putter is one of the fourteen, so usually 13
    must_keep : indices of candidates that stay whatever it costs
    stay_out : indices of candidates that are not to be carried; what they would add is told all the same
    cost_m : what carrying each candidate costs, on the scale of the miss [m]; below 0 for one that is better kept
    one_job : (candidates, candidates), pairs that are not to be neighbours by carry

    Raises
    ------
    ValueError
        If there are no candidates or all stay out, ``count`` is out of range or smaller than what must be kept, a
        candidate must both be kept and stay out, or a number is not finite.

    >>> best = best_make_up([100, 108, 120, 140], demand_m=[100, 120, 140], count=3)
    >>> best.chosen, best.miss_m
    ((0, 2, 3), 0.0)
    """
    carry = np.asarray(carry_m, float)
    demand, weight = _demand(demand_m, demand_weight)
    keep = set(must_keep)
    if carry.ndim != 1 or not carry.size or not np.isfinite(carry).all():
        raise ValueError("`carry_m` must be one or more finite numbers")
    if not 1 <= count <= 14:
        raise ValueError(f"`count` must be from 1 to 14, not {count}")
    if not keep <= set(range(carry.size)):
        raise ValueError("`must_keep` names a candidate that is not there")
    if len(keep) > count:
        raise ValueError(f"`must_keep` names {len(keep)} clubs, more than the {count} that may be carried")
    barred = set(stay_out)
    if keep & barred:
        raise ValueError("`stay_out` names a candidate that must be kept")
    order = np.array([i for i in np.argsort(carry, kind="stable") if i not in barred], int)
    if not order.size:
        raise ValueError("`stay_out` leaves no candidate")
    kept = np.array([i in keep for i in order])
    cost = np.zeros(carry.size) if cost_m is None else np.asarray(cost_m, float)
    apart = np.zeros((carry.size, carry.size), bool) if one_job is None else one_job
    picked = _shortest_path(
        carry[order],
        kept,
        demand,
        weight,
        min(count, order.size),
        cost[order],
        apart[np.ix_(order, order)],
    )
    chosen = tuple(int(order[i]) for i in picked)
    miss = mean_miss(carry[list(chosen)], demand_m=demand, demand_weight=weight)
    dropping = tuple(
        mean_miss(carry[[j for j in chosen if j != i]], demand_m=demand, demand_weight=weight) - miss
        for i in chosen
    )
    adding = tuple(
        (i, miss - mean_miss(carry[[*chosen, i]], demand_m=demand, demand_weight=weight))
        for i in range(carry.size)
        if i not in chosen
    )
    return MakeUp(chosen, miss, dropping, adding)


def _shortest_path(
    carry: Array,
    kept: NDArray[np.bool_],
    demand: Array,
    weight: Array,
    count: int,
    cost: Array,
    apart: NDArray[np.bool_],
) -> list[int]:
    """Positions of the best set among sorted carries."""
    n = carry.size
    before = np.array([_edge(demand, weight, None, c) for c in carry]) + cost
    after = np.array([_edge(demand, weight, c, None) for c in carry])
    between = np.array([[_edge(demand, weight, a, b) for b in carry] for a in carry]) + cost
    between[apart] = np.inf
    # A path may not step over a club that must be kept.
    held = np.concatenate([[0], np.cumsum(kept)])
    best = np.full((count, n), np.inf)
    came = np.full((count, n), -1)
    best[0] = np.where(held[:-1] == 0, before, np.inf)
    for k in range(1, count):
        for j in range(1, n):
            free = held[j] - held[1 : j + 1] == 0
            total = np.where(free, best[k - 1, :j] + between[:j, j], np.inf)
            i = int(np.argmin(total))
            best[k, j], came[k, j] = total[i], i
    end = best + np.where(held[-1] - held[1:] == 0, after, np.inf)
    k, j = (int(x) for x in np.unravel_index(np.argmin(end), end.shape))
    path = [j]
    while k > 0:
        j = int(came[k, j])
        k -= 1
        path.append(j)
    return path[::-1]


def _edge(demand: Array, weight: Array, low: float | None, high: float | None) -> float:
    """Weighted miss of the demand above ``low`` and up to ``high``, each to the nearer of the two."""
    inside = np.ones(demand.size, bool)
    if low is not None:
        inside &= demand > low
    if high is not None:
        inside &= demand <= high
    misses = [np.abs(demand[inside] - c) for c in (low, high) if c is not None]
    return float(np.min(misses, axis=0) @ weight[inside])


def _demand(demand_m: ArrayLike, demand_weight: ArrayLike | None) -> tuple[Array, Array]:
    demand = np.asarray(demand_m, float)
    weight = np.ones(demand.shape) if demand_weight is None else np.asarray(demand_weight, float)
    if demand.ndim != 1 or not demand.size or not np.isfinite(demand).all():
        raise ValueError("`demand_m` must be one or more finite numbers")
    if weight.shape != demand.shape or not (
        np.isfinite(weight).all() and (weight >= 0).all() and weight.sum() > 0
    ):
        raise ValueError("`demand_weight` must be one number from 0 up for each demanded distance")
    return demand, weight / weight.sum()
