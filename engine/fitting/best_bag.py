"""Make-up of the bag: which clubs to carry out of those there are and those that could be added.

Candidates are the clubs of the layout to build and the usual woods, hybrids, irons and wedges that it lacks. Irons above
the longest useful one and woods that do not pay stay out, so that this bag says what the sections on them say. Distances
faced are the player's own where stated; else every distance between the shortest and the longest carry off the ground
is faced equally often. The driver, when there is one, stays: it answers the tee, not a distance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..documents.case import Club
from ..sets.compare import Demand, even_demand, miss_of, stated_demand
from ..sets.make_up import best_make_up
from ..statements import Statement, state
from ..statistics import Interval, chance, interval, intervals
from ..workshop.norms import NORMS, norm_club
from ..workshop.rules import MOST_CLUBS
from .solved import Solved

NEAR_LOFT_DEG = (
    1.5  # [deg], a usual club this close in loft to one of the same kind in the bag is no candidate
)


@dataclass(frozen=True, slots=True)
class Carried:
    """A club of the best bag. ``dropping_m``: how much the miss grows without it [m]."""

    id: str
    name: str
    in_bag: bool
    carry_m: Interval
    dropping_m: float


@dataclass(frozen=True, slots=True)
class NotCarried:
    """A candidate that stays out. ``adding_m``: how much the miss would shrink with one club more, this one [m];
    ``why``: what else speaks against it, ``None`` where only that counts."""

    id: str
    name: str
    in_bag: bool
    adding_m: float
    why: Statement | None


@dataclass(frozen=True, slots=True)
class BestBag:
    """The best bag, longest first, against the present one.

    miss_m, present_miss_m : mean distance from what is faced to the nearest carry [m]; chance_better : over the draws
    """

    clubs_most: int
    putters: int
    demand_stated: bool
    demand_m: tuple[float, float]
    carried: tuple[Carried, ...]
    left_out: tuple[NotCarried, ...]
    miss_m: Interval
    present_miss_m: Interval | None
    chance_better: float | None


def best_bag(solved: Solved) -> BestBag | None:
    """The best bag of a case; ``None`` where nothing but a putter is there."""
    candidates = (*solved.clubs, *_could_be_added(solved))
    off_the_ground = [i for i, c in enumerate(candidates) if c.family != "driver"]
    if not off_the_ground:
        return None
    prediction = solved.predict(candidates)
    mean = prediction.carry.mean(axis=0)
    demand = _demand(solved, mean[off_the_ground])
    putters = max(len(solved.putters), 1)
    most = int(solved.case.wants.clubs_most or MOST_CLUBS)
    keep = [i for i, c in enumerate(candidates) if c.family == "driver"][:1]
    count = max(most - putters, len(keep), 1)
    why = _kept_out(solved, candidates)
    best = best_make_up(
        mean,
        demand_m=demand.distance,
        demand_weight=demand.weight,
        count=count,
        must_keep=keep,
        stay_out=tuple(why),
    )
    ids = {c.id for c in solved.present}
    carries = intervals(prediction.carry)
    chosen = sorted(zip(best.chosen, best.dropping_m, strict=True), key=lambda pair: -mean[pair[0]])
    miss = miss_of(prediction.carry[:, list(best.chosen)], demand)
    known = any(c.id in ids for c in candidates)
    before = miss_of(solved.predict(solved.present).carry, demand) if known else None
    return BestBag(
        clubs_most=most,
        putters=putters,
        demand_stated=demand.stated,
        demand_m=(float(demand.distance.min()), float(demand.distance.max())),
        carried=tuple(
            Carried(candidates[i].id, candidates[i].name, candidates[i].id in ids, carries[i], grows)
            for i, grows in chosen
        ),
        left_out=tuple(
            NotCarried(candidates[i].id, candidates[i].name, candidates[i].id in ids, shrinks, why.get(i))
            for i, shrinks in sorted(best.adding_m, key=lambda pair: -pair[1])
        ),
        miss_m=interval(miss),
        present_miss_m=None if before is None else interval(before),
        chance_better=None if before is None else chance(miss < before),
    )


def _could_be_added(solved: Solved) -> tuple[Club, ...]:
    out = []
    own = {club.id: club for club in solved.owned}
    for norm in NORMS.values():
        if norm.family in ("driver", "putter"):
            continue
        club = own.get(norm.id) or norm_club(norm.id, solved.case.player.sex)
        near = any(
            c.id == club.id or (c.family == club.family and abs(c.loft_deg - club.loft_deg) < NEAR_LOFT_DEG)
            for c in solved.clubs
        )
        if not near:
            out.append(club)
    return tuple(out)


def _kept_out(solved: Solved, candidates: tuple[Club, ...]) -> dict[int, Statement]:
    """Why a candidate has too little loft for this player, by its index."""
    top, woods = solved.irons_stop, solved.woods
    ends = {}
    if top is not None and top.longest is not None:
        ends["iron"] = next(c for c in solved.clubs if c.id == top.longest)
    for family, first in (("fairway", woods.longest_fairway), ("hybrid", woods.longest_hybrid)):
        if first is not None:
            ends[family] = next(w.club for w in woods.woods if w.club.id == first)
    out = {}
    for i, club in enumerate(candidates):
        if club.family in ends:
            end = ends[club.family]
            if club.loft_deg < end.loft_deg:
                out[i] = state("bag.too_little_loft", clubs=[end], family=club.family)
    return out


def _demand(solved: Solved, carry: np.ndarray) -> Demand:
    stated = stated_demand(solved.case.wants.demand)
    if stated is not None:
        return stated
    own = [i for i, c in enumerate(solved.clubs) if c.family != "driver"]
    ends = solved.predict(solved.clubs).carry.mean(axis=0)[own] if own else carry
    return even_demand(float(ends.min()), float(ends.max()))
