"""The one plan for the bag, from which every section reads which clubs to carry.

It starts from the clubs that the player has. A club is bought only where it brings the player nearer to the distances faced
by what a change is worth, on average over all of them, and is likely to; one that was measured is given up for more than a
hair; and no club is bought that does the job of another, its carry or its loft too close. What a change is worth is set by
the case (``wants.change_worth_m``). Distances faced are the player's own where stated; else every distance between the
shortest and the longest carry off the ground is faced equally often. The driver, when there is one, stays: it answers the
tee, not a distance.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..bag.woods import WoodsAdvice
from ..documents.case import Club
from ..sets.advice import LIKELY
from ..sets.common_target import IRONS
from ..sets.compare import LEAST_GAP, NEAR_LOFT_DEG, Demand, even_demand, miss_of, stated_demand
from ..sets.longest_iron import AS_LIKELY_AS_NOT, TopOfTheBag, stops
from ..sets.make_up import best_make_up, mean_miss
from ..statements import Statement, state
from ..statistics import Interval, chance, interval, intervals
from ..workshop.bending import bend_range
from ..workshop.norms import NORMS, WOOD_FAMILIES, norm_club
from ..workshop.rules import MOST_CLUBS
from .solved import Solved

Array = NDArray[np.float64]

CHANGE_WORTH_M = 0.3
"""By how much [m] a bought club must bring the player nearer on average, where the case does not say: ours, no source. A
hole of some 17 m in the middle of a bag, filled, brings as much."""
MEASURED_WORTH_M = 0.1
"""How much more [m] speaks for a club that balls were hit with: what is known of it is worth something; ours, no source."""
STAYS_M = 1e-4  # [m], a club that is there stays where another would do no better
ONE_JOB_M = LEAST_GAP  # [m], no two clubs whose carries are closer than this are bought for one bag
TOO_CLOSE_M = ONE_JOB_M / 2  # [m], clubs of the present bag closer than this are named
LEAST_GAIN_M = 0.1  # [m], a change that brings less is not spoken of; ours, no source
MOST_OTHERS = 3  # of the next best changes that are told


@dataclass(frozen=True, slots=True)
class Carried:
    """A club of the plan. ``dropping_m``: how much the miss grows without it [m]."""

    id: str
    name: str
    in_bag: bool
    carry_m: Interval
    dropping_m: float
    hit_first: bool


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
class Change:
    """One club bought, and the one it takes the place of (``None`` where there is room).

    gain_m : how much nearer the player is, on average, by this change alone [m]; chance_better : that it is nearer at all
    hit_first : whether the club to buy, or of a change that is not made the other one, is known too little to go by
    statement : of a change of the plan, or of one that is not worth it yet
    """

    buy: str
    instead_of: str | None
    gain_m: Interval
    chance_better: float
    hit_first: bool
    statement: Statement


@dataclass(frozen=True, slots=True)
class BestBag:
    """The bag to carry, longest first, against the present one.

    changes : the clubs to buy; drops : clubs of the bag to leave out
    next_best : the changes that come nearest to being worth it, best first
    miss_m, present_miss_m : mean distance from what is faced to the nearest carry [m]; chance_better : over the draws
    worth_m : by how much a bought club must bring the player nearer [m]
    """

    clubs_most: int
    putters: int
    demand_stated: bool
    demand_m: tuple[float, float]
    carried: tuple[Carried, ...]
    left_out: tuple[NotCarried, ...]
    changes: tuple[Change, ...]
    drops: tuple[str, ...]
    next_best: tuple[Change, ...]
    miss_m: Interval
    present_miss_m: Interval | None
    chance_better: float | None
    worth_m: float
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class _Choice:
    """What there is to choose from: carries (draws, candidates) [m] and the distances faced."""

    clubs: tuple[Club, ...]
    carry: Array
    demand: Demand
    own: frozenset[int]
    hit: frozenset[int]
    keep: tuple[int, ...]
    count: int
    worth: float
    out: dict[int, Statement | None]
    no_farther: frozenset[int]

    @property
    def mean(self) -> Array:
        return np.asarray(self.carry.mean(axis=0))

    def miss(self, chosen: Sequence[int]) -> Array:
        return np.asarray(miss_of(self.carry[:, list(chosen)], self.demand))

    def one_job(self) -> NDArray[np.bool_]:
        """Pairs of which one would be bought and whose carries are too close; lofts too close are no candidates."""
        mean = self.mean
        owned = np.array([i in self.own for i in range(len(self.clubs))])
        close = np.abs(mean[:, None] - mean) < ONE_JOB_M
        return np.asarray(close & ~(owned[:, None] & owned) & ~np.eye(len(mean), dtype=bool))


def best_bag(solved: Solved) -> BestBag | None:
    """The plan for the bag of a case; ``None`` where nothing but a putter is there."""
    choice = _choice(solved)
    if choice is None:
        return None
    best = _best(choice)
    off = [i for i in choice.own if choice.clubs[i].family != "driver"]
    present = sorted(choice.own)
    before = choice.miss(present) if off else None
    bought = [i for i in best.chosen if i not in choice.own]
    if bought and before is not None:
        sure = chance(choice.miss(best.chosen) < before)
        if sure < LIKELY:  # not worth the money on a guess
            best = _best(_without(choice, {i for i in range(len(choice.clubs)) if i not in choice.own}))
            bought = []
    dropped = [i for i in present if i not in best.chosen]
    changes = _changes(choice, present, bought, dropped, solved.hit_first) if before is not None else ()
    others = _next_best(choice, best.chosen, solved.hit_first) if before is not None else ()
    miss = choice.miss(best.chosen)
    carries = intervals(choice.carry)
    mean, clubs = choice.mean, choice.clubs
    chosen = sorted(zip(best.chosen, best.dropping_m, strict=True), key=lambda pair: -mean[pair[0]])
    replaced = {c.instead_of for c in changes}
    drops = tuple(clubs[i].id for i in dropped if clubs[i].id not in replaced)
    no_farther = {i: s for i in choice.no_farther if (s := _no_farther_than(choice, i, best.chosen))}
    why = {i: s for i, s in choice.out.items() if i not in choice.no_farther} | no_farther
    return BestBag(
        clubs_most=int(solved.case.wants.clubs_most or MOST_CLUBS),
        putters=max(len(solved.putters), 1),
        demand_stated=choice.demand.stated,
        demand_m=(float(choice.demand.distance.min()), float(choice.demand.distance.max())),
        carried=tuple(
            Carried(
                clubs[i].id,
                clubs[i].name,
                i in choice.own,
                carries[i],
                grows,
                clubs[i].id in solved.hit_first,
            )
            for i, grows in chosen
        ),
        left_out=tuple(
            NotCarried(clubs[i].id, clubs[i].name, i in choice.own, shrinks, why.get(i))
            for i, shrinks in sorted(best.adding_m, key=lambda pair: -pair[1])
        ),
        changes=changes,
        drops=drops,
        next_best=others,
        miss_m=interval(miss),
        present_miss_m=None if before is None else interval(before),
        chance_better=None if before is None else chance(miss < before),
        worth_m=choice.worth,
        statements=_statements(
            choice,
            changes,
            best.chosen,
            [i for i in dropped if clubs[i].id in drops],
            no_farther,
            one_job(solved, [clubs[i] for i in best.chosen if i in choice.hit]),
        ),
    )


def one_job(solved: Solved, clubs: Sequence[Club]) -> list[Statement]:
    """Which of these clubs, all of which were hit, do the same job, and what to do: the driver stands apart. Where one of
    two may well be useful beside the other, for all that their balls tell, both are hit again first; where they can be bent
    far enough apart, that helps too.
    """
    on_grass = tuple(c for c in clubs if c.family != "driver")
    if len(on_grass) < 2:
        return []
    carry = solved.predict(on_grass).carry
    out = []
    for i, j in pairwise(sorted(range(len(on_grass)), key=lambda i: -carry[:, i].mean())):
        longer, shorter, apart = on_grass[i], on_grass[j], interval(carry[:, i] - carry[:, j])
        if apart.mean >= TOO_CLOSE_M:
            continue
        if max(apart.hi90, -apart.lo90) >= ONE_JOB_M:
            cure = "hit_again"
        else:
            cure = "bend" if _bent_apart(solved, longer, shorter) >= ONE_JOB_M else "leave"
        out.append(state("bag.one_job", clubs=[longer, shorter], apart=TOO_CLOSE_M, cure=cure))
    return out


def _bent_apart(solved: Solved, longer: Club, shorter: Club) -> float:
    """How far apart two clubs carry [m] once their heads are bent as far from each other as they go."""
    ends = ((longer, 0), (shorter, 1))
    lofts = [c.loft_deg + (bend_range(c, "loft_deg")[n] if c.family in IRONS else 0.0) for c, n in ends]
    bent = (replace(longer, loft_deg=lofts[0]), replace(shorter, loft_deg=lofts[1]))
    carry = solved.predict(bent).carry.mean(axis=0)
    return float(carry[0] - carry[1])


def top_by_plan(top: TopOfTheBag, plan: BestBag | None, clubs: Sequence[Club]) -> TopOfTheBag:
    """Where the irons stop and what stands above them, as the plan for the bag has it."""
    if plan is None:
        return top
    usual = (norm_club(c.buy) for c in plan.changes if c.buy in NORMS)
    by_id = {c.id: c for c in (*usual, *(w.club for w in top.candidates), *clubs)}
    carried = [c.id for c in plan.carried if c.id in by_id]
    uses = {use.club: use for use in top.irons}
    first = next((use.club for use in top.irons if use.club in carried), None)
    out: list[Statement] = []
    instead = {c.instead_of: c.buy for c in plan.changes}
    gone = [use for use in top.irons if use.club not in carried]
    spared = [use for use in gone if use.chance_useful >= AS_LIKELY_AS_NOT]
    for use in gone:
        put = instead.get(use.club)
        clubs_ = [by_id[use.club], *([by_id[put]] if put in by_id else [])]
        if use in spared:
            out.append(state("irons.spared", clubs=clubs_[:1]))
        else:
            out.append(state("irons.not_worth", clubs=clubs_, chance=use.chance_useful))
    if first is None:
        out += [state("irons.none_useful")] if top.irons and not spared else []
    elif spared or gone != list(top.irons[: len(gone)]):
        out.append(state("irons.carry", clubs=[by_id[use.club] for use in top.irons if use not in gone]))
    elif top.wished and first == top.longest:
        out = [stops("irons.stop_as_wished", uses[first], by_id[first])]
    elif uses[first].chance_useful >= AS_LIKELY_AS_NOT:
        out.append(stops("irons.stop", uses[first], by_id[first]))
    else:
        use = uses[first]
        out.append(
            state("irons.keep", clubs=[by_id[first]], descent=use.descent_deg, chance=use.chance_useful)
        )
    woods = [i for i in carried if by_id[i].family in WOOD_FAMILIES]
    bought = {c.buy for c in plan.changes}
    unknown = {c.id for c in plan.carried if c.hit_first}
    kept = [by_id[i] for i in woods if i not in bought]
    out += _kept("irons.above_kept", kept, unknown)
    out += [c.statement for c in plan.changes if by_id[c.buy].family in WOOD_FAMILIES]
    fills = tuple(fill for fill in top.fills if fill.club in carried)
    return replace(
        top,
        irons=tuple(replace(u, instead=instead.get(u.club)) for u in top.irons),
        longest=first,
        chance=0.0 if first is None else uses[first].chance_useful,
        fills=fills,
        statements=tuple(out),
    )


def woods_by_plan(
    woods: WoodsAdvice, plan: BestBag | None, driver: Club | None, *, speed_known: bool, speed_measured: bool
) -> WoodsAdvice:
    """The fairway woods and hybrids as the plan for the bag has them; shafts only where the driver's speed is known."""
    source = "" if speed_measured else "carries"
    shaft = tuple(
        replace(s, terms={**s.terms, "speed_from": source})
        for s in woods.statements
        if s.kind == "woods.shaft"
    )
    if not speed_known:
        shaft = (state("woods.shaft_open", clubs=[] if driver is None else [driver]),)
    if plan is None:
        return replace(woods, statements=shaft)
    by_id = {w.club.id: w.club for w in woods.woods}
    bought = {c.buy: c for c in plan.changes}
    longest: dict[str, str | None] = {}
    out: list[Statement] = []
    for family in WOOD_FAMILIES:
        line = [c.id for c in plan.carried if c.id in by_id and by_id[c.id].family == family]
        longest[family] = line[0] if line else None
        kept = [by_id[i] for i in line if i not in bought]
        out += _kept("woods.keep", kept, {c.id for c in plan.carried if c.hit_first}, family=family)
        out += [bought[i].statement for i in line if i in bought]
    return replace(
        woods,
        longest_fairway=longest["fairway"],
        longest_hybrid=longest["hybrid"],
        statements=(*out, *shaft),
    )


def _kept(kind: str, clubs: Sequence[Club], unknown: Collection[str], **terms: Any) -> list[Statement]:
    """The clubs to keep, and apart from them those whose carry is not known well enough to say so."""
    known = [c for c in clubs if c.id not in unknown]
    out = [state(kind, clubs=known, **terms)] if known else []
    return out + [state("bag.hit_first", clubs=[c]) for c in clubs if c.id in unknown]


def _without(choice: _Choice, out: set[int]) -> _Choice:
    """The choice with these candidates out of it."""
    return replace(choice, out=choice.out | {i: state("bag.leave", worth=choice.worth) for i in out})


def _choice(solved: Solved) -> _Choice | None:
    clubs = (*solved.clubs, *_could_be_added(solved))
    off_the_ground = [i for i, c in enumerate(clubs) if c.family != "driver"]
    if not off_the_ground:
        return None
    carry = solved.predict(clubs).carry
    ids = {c.id for c in solved.present} & {c.id for c in solved.clubs}
    # what the set to build leaves out stays out
    spared: dict[int, Statement | None] = {
        i: None for i, c in enumerate(clubs) if c.id not in ids and c in solved.owned
    }
    keep = tuple(i for i, c in enumerate(clubs) if c.family == "driver")[:1]
    top = solved.top_facts
    if top is not None and top.wished:
        keep += tuple(i for i, c in enumerate(clubs) if c.id == top.longest)
    most = int(solved.case.wants.clubs_most or MOST_CLUBS)
    worth = solved.case.wants.change_worth_m
    own = frozenset(i for i, c in enumerate(clubs) if c.id in ids)
    measured = frozenset(i for i in own if clubs[i].id in solved.clubs_hit)
    no_farther = frozenset(_no_farther(clubs, carry, own, measured))
    return _Choice(
        clubs=clubs,
        carry=carry,
        demand=_demand(solved, carry.mean(axis=0)[off_the_ground]),
        own=own,
        hit=measured,
        keep=keep,
        count=max(most - max(len(solved.putters), 1), len(keep), 1),
        worth=CHANGE_WORTH_M if worth is None else worth,
        out=spared | _kept_out(solved, clubs, own) | dict.fromkeys(no_farther),
        no_farther=no_farther,
    )


def _best(choice: _Choice) -> _Found:
    cost = np.full(len(choice.clubs), choice.worth)
    for i in choice.own:
        cost[i] = -MEASURED_WORTH_M if i in choice.hit else -STAYS_M
    found = best_make_up(
        choice.mean,
        demand_m=choice.demand.distance,
        demand_weight=choice.demand.weight,
        count=choice.count,
        must_keep=choice.keep,
        stay_out=tuple(choice.out),
        cost_m=cost,
        one_job=choice.one_job(),
    )
    return _Found(found.chosen, found.dropping_m, found.adding_m)


@dataclass(frozen=True, slots=True)
class _Found:
    chosen: tuple[int, ...]
    dropping_m: tuple[float, ...]
    adding_m: tuple[tuple[int, float], ...]


def _changes(
    choice: _Choice,
    present: Sequence[int],
    bought: Sequence[int],
    dropped: Sequence[int],
    hit_first: frozenset[str],
) -> tuple[Change, ...]:
    """Each club bought, beside the dropped one that carries most like it, and what that change alone brings."""
    mean, left = choice.mean, list(dropped)
    room = choice.count - len(present)
    out = []
    for i in sorted(bought, key=lambda i: -mean[i]):
        gone = None
        if left and room < len(bought):
            gone = min(left, key=lambda j: abs(mean[j] - mean[i]))
            left.remove(gone)
        out.append(_change(choice, present, i, gone, hit_first))
    return tuple(out)


def _change(
    choice: _Choice,
    present: Sequence[int],
    buy: int,
    gone: int | None,
    hit_first: frozenset[str],
    *,
    taken: bool = True,
) -> Change:
    before = choice.miss(present)
    after = choice.miss([*(j for j in present if j != gone), buy])
    gain = interval(before - after)
    sure = chance(after < before)
    clubs = choice.clubs
    first = clubs[buy].id in hit_first or (not taken and gone is not None and clubs[gone].id in hit_first)
    if not taken:
        both = [clubs[buy], *([] if gone is None else [clubs[gone]])]
        said = state("bag.not_yet", clubs=both, gain=None if first else gain)
    elif first:
        said = state("bag.try", clubs=[clubs[buy], *([] if gone is None else [clubs[gone]])])
    elif gone is None:
        said = state("bag.add", clubs=[clubs[buy]], gain=gain, chance=sure)
    else:
        said = state("bag.swap", clubs=[clubs[gone], clubs[buy]], gain=gain, chance=sure)
    return Change(clubs[buy].id, None if gone is None else clubs[gone].id, gain, sure, first, said)


def _next_best(choice: _Choice, plan: Sequence[int], hit_first: frozenset[str]) -> tuple[Change, ...]:
    """The changes of one club more, from the bag as planned, that come nearest to being worth it."""
    mean, one_job = choice.mean, choice.one_job()
    demand, weight = choice.demand.distance, choice.demand.weight

    def miss(chosen: Sequence[int]) -> float:
        return mean_miss(mean[list(chosen)], demand_m=demand, demand_weight=weight)

    now = miss(plan)
    gains: dict[int, tuple[float, int | None]] = {}
    for buy in range(len(choice.clubs)):
        if buy in choice.own or buy in plan or buy in choice.out:
            continue
        room = len(plan) < choice.count
        own = tuple(j for j in plan if j in choice.own and j not in choice.keep)
        for gone in (None,) if room else own:
            rest = [j for j in plan if j != gone]
            if any(one_job[buy, j] for j in rest):
                continue
            gain = now - miss([*rest, buy]) - (MEASURED_WORTH_M if gone in choice.hit else 0.0)
            if buy not in gains or gain > gains[buy][0]:
                gains[buy] = (gain, gone)
    best = sorted(((g, i, gone) for i, (g, gone) in gains.items() if g > 0), key=lambda x: -x[0])
    found = [_change(choice, plan, i, gone, hit_first, taken=False) for _, i, gone in best[:MOST_OTHERS]]
    told = [c for c in found if c.gain_m.mean >= LEAST_GAIN_M]
    return tuple(sorted(told, key=lambda c: -c.gain_m.mean))


def _statements(
    choice: _Choice,
    changes: Sequence[Change],
    chosen: Sequence[int],
    dropped: Sequence[int],
    no_farther: Mapping[int, Statement],
    alike: Sequence[Statement],
) -> tuple[Statement, ...]:
    clubs = choice.clubs
    drops = [clubs[i] for i in dropped]
    out = [c.statement for c in changes]
    out += [no_farther[i] for i in dropped if i in no_farther]
    over = len(choice.own) - choice.count
    if drops and over > 0:
        out.append(state("bag.too_many", clubs=drops, over=over))
    else:
        out += [state("bag.drop", clubs=[clubs[i]]) for i in dropped if i not in no_farther]
    if not out:
        out.append(state("bag.leave", worth=choice.worth))
    out += _driver_no_farther(choice)
    out += alike
    low, high = choice.demand.distance.min(), choice.demand.distance.max()
    if high > low and not choice.demand.stated:
        hole = float(np.sqrt(8 * choice.worth * (high - low)))
        out.append(state("bag.worth", worth=choice.worth, hole=hole))
    return tuple(out)


def _could_be_added(solved: Solved) -> tuple[Club, ...]:
    out = []
    own = {club.id: club for club in solved.owned}
    for norm in NORMS.values():
        if norm.family in ("driver", "putter"):
            continue
        club = own.get(norm.id) or norm_club(norm.id, solved.case.player.sex)
        near = any(
            c.id == club.id or (c.family == club.family and abs(c.loft_deg - club.loft_deg) < NEAR_LOFT_DEG)
            for c in (solved.clubs if norm.id in own else solved.owned)
        )
        if not near:
            out.append(club)
    return tuple(out)


def _kept_out(solved: Solved, clubs: tuple[Club, ...], own: frozenset[int]) -> dict[int, Statement]:
    """Why a candidate has too little loft for this player, by its index; of the player's own clubs only those longer than
    the iron at which the irons are wished to stop. What is there and merely of little use costs nothing to keep.
    """
    top, woods = solved.top_facts, solved.wood_facts
    ends = {}
    if top is not None and top.longest is not None:
        ends["iron"] = next(c for c in solved.clubs if c.id == top.longest)
    for family, first in (("fairway", woods.longest_fairway), ("hybrid", woods.longest_hybrid)):
        if first is not None:
            ends[family] = next(w.club for w in woods.woods if w.club.id == first)
    wished = top is not None and top.wished
    out = {}
    for i, club in enumerate(clubs):
        if club.family not in ends or club.loft_deg >= ends[club.family].loft_deg:
            continue
        if i not in own or (wished and club.family == "iron"):
            out[i] = state("bag.too_little_loft", clubs=[club])
    return out


def _no_farther(
    clubs: Sequence[Club], carry: Array, own: frozenset[int], hit: frozenset[int]
) -> Iterator[int]:
    """Fairway woods and hybrids of the player, by index, that probably carry no useful step farther than the next one of
    more loft that he has: the straighter face is harder to hit and wins nothing.

    Never of one that was hit beside one that was not.
    """
    for family in WOOD_FAMILIES:
        line = sorted((i for i in own if clubs[i].family == family), key=lambda i: clubs[i].loft_deg)
        for i, j in pairwise(line):
            if (i not in hit or j in hit) and chance(carry[:, i] - carry[:, j] < LEAST_GAP) >= LIKELY:
                yield i


def _no_farther_than(choice: _Choice, i: int, chosen: Sequence[int]) -> Statement | None:
    """What is said of such a club beside the next one of more loft that is carried; nothing where that one is outdone."""
    clubs = choice.clubs
    loftier = [
        j
        for j in chosen
        if j in choice.own and clubs[j].family == clubs[i].family and clubs[j].loft_deg > clubs[i].loft_deg
    ]
    if not loftier:
        return None
    j = min(loftier, key=lambda j: clubs[j].loft_deg)
    sure = chance(choice.carry[:, i] - choice.carry[:, j] < LEAST_GAP)
    if sure < LIKELY:
        return None
    return state("bag.no_farther", clubs=[clubs[i], clubs[j]], least=LEAST_GAP, chance=sure)


def _driver_no_farther(choice: _Choice) -> tuple[Statement, ...]:
    """That a wood carries as far as the driver, where it probably does; the driver stays all the same."""
    clubs, carry = choice.clubs, choice.carry
    woods = [i for i in choice.own if clubs[i].family == "fairway"]
    if not choice.keep or not woods or clubs[choice.keep[0]].family != "driver":
        return ()
    driver, longest = choice.keep[0], max(woods, key=lambda i: choice.mean[i])
    sure = chance(carry[:, driver] - carry[:, longest] < LEAST_GAP)
    if sure < LIKELY:
        return ()
    both = [clubs[driver], clubs[longest]]
    return (state("bag.driver_no_farther", clubs=both, least=LEAST_GAP, chance=sure),)


def _demand(solved: Solved, carry: Array) -> Demand:
    stated = stated_demand(solved.case.wants.demand)
    if stated is not None:
        return stated
    own = [i for i, c in enumerate(solved.clubs) if c.family != "driver"]
    ends = solved.predict(solved.clubs).carry.mean(axis=0)[own] if own else carry
    return even_demand(float(ends.min()), float(ends.max()))
