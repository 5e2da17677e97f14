"""Lofts for the gaps: which loft each iron and wedge needs to carry what is wanted, and how near its head can come.

Carry over loft rises to a top and falls again: below the top a straighter face carries less, because the ball is not
up long enough. Only the falling side is searched, so that a club is never bent strong to carry less. For one wanted gap
what each head can be set to is known before any is moved, so that no club moves away from one that cannot follow. The
loft is solved on the mean carry over all draws, the same mean that `engine.sets.predict` gives: the shape of the curve
is taken from a few draws spread over the speeds, and its level is corrected by whole predictions until they agree.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..statements import Statement, state
from ..statistics import Interval, chance, intervals, sidak_limit
from ..swing.calibration import Posterior
from ..workshop.bending import bend, bend_range, bent_towards, limit_of
from ..workshop.cautions import Caution, cautions
from ..workshop.known import start_of
from ..workshop.limits import SMALLEST_BEND_DEG
from ..workshop.made import as_far_as
from ..workshop.steps import angle_step
from .loft_curve import FINE, LoftCurve, loft_curve
from .predict import predict

Array = NDArray[np.float64]

NEAR = 0.1  # [m], the mean carry is this near to what is wanted before the search stops
NEAR_ENOUGH_M = 1.0  # [m]; a head that comes as near as this is near enough; ours, no source
NEAR_GAP_M = 1.5  # [m]; a gap that departs by no more is met: two carries, each near enough; ours, no source
WORSE_GAP_M = 3.0  # [m]; a gap to a waiting club may be this much worse: its carry is known no better; ours
MOST_ROUNDS = 6
HEAD_STEP_DEG = 0.5  # heads are marked to half a degree; common practice
OTHER_HEAD_DEG = 3.0  # [deg], so far from each other heads of one number are made; common practice, no source
WEDGE_HEADS_DEG = (
    43.0,
    64.0,
)  # [deg], wedges are made from pitching to lob wedge; common practice, no source
GAPS_TRIED_M = np.arange(2.0, 30.01, 0.5)  # [m], even gaps looked at where the wanted one cannot be met
ALIKE_M = 0.05  # [m], departures are told apart no finer
ROUNDS_OF_GAPS = 3  # whole predictions by which the curves are corrected
CURVE_M = 0.2  # [m], so far gaps by the curves may be off those of whole predictions
FALSE_ALARM = 0.1
"""Chance that any club of a set that carries as promised is called off."""
LIE_NOTE = state("note.lie_after_bend")


@dataclass(frozen=True, slots=True)
class ClubLoft:
    """The loft of one club. Angles [deg], carries [m].

    present_loft_deg : of the head there is, ``None`` where another is taken
    wanted_m : the carry asked for; an interval where it hangs on another club's carry
    wanted_loft_deg : the loft that gives it, whatever the head allows; the top of the curve, or the loftiest face
        searched, where none gives it
    needed_loft_deg : the same draw by draw, its ends good to a degree; chance_reachable : that some loft gives it
    reachable : whether the mean carry can be had at any loft; nearest_m : the nearest to it that any loft gives
    bounded_loft_deg : the loft to set, in the steps of the bench and as far as the head can be bent
    limit_reached : whether the head stops short of the wanted loft by more than half a step; look_for_deg : the head
        loft to look for then
    carry_m : at the bounded loft; off_m : its mean less the wanted
    bounce_deg, lie_deg : of the head after bending, as far as known
    hit_first : whether it keeps its loft since nobody has hit it, and the prediction may be off by what it lacks, or the
        loft to set does not give what is wanted
    waits_for : ids of the clubs to hit before it is bent for a gap that hangs on them; it keeps its loft until then
    """

    club: str
    present_loft_deg: float | None
    wanted_m: Interval
    wanted_loft_deg: float
    needed_loft_deg: Interval
    chance_reachable: float
    reachable: bool
    nearest_m: float
    bounded_loft_deg: float
    limit_reached: bool
    look_for_deg: float | None
    carry_m: Interval
    off_m: float
    bounce_deg: float | None
    lie_deg: float | None
    statements: tuple[Statement, ...]
    hit_first: bool = False
    waits_for: tuple[str, ...] = ()

    @property
    def waits(self) -> bool:
        """Whether it keeps its loft until it, or another club, was hit."""
        return self.hit_first or bool(self.waits_for)


@dataclass(frozen=True, slots=True)
class LoftPlan:
    """Lofts of a set, longest-hitting first; gaps [m] between neighbours at the bounded lofts.

    feasible : whether every head can be set so that its club carries what is wanted
    statements : the gaps as they come out with the lofts to build, and the clubs that miss what is asked of them
    """

    clubs: tuple[ClubLoft, ...]
    gaps_m: tuple[Interval, ...]
    feasible: bool
    rounds: int
    cautions: tuple[Caution, ...]
    lie_note: Statement = LIE_NOTE
    statements: tuple[Statement, ...] = ()

    @property
    def all_wait(self) -> bool:
        """Whether no head is bent, since all that might be wait until clubs were hit."""
        bent = any(c.present_loft_deg not in (None, c.bounded_loft_deg) for c in self.clubs)
        return not bent and any(c.waits for c in self.clubs)


def lofts_for_carries(
    posterior: Posterior,
    clubs: Sequence[Club],
    air: Air,
    *,
    carries_m: Mapping[str, float],
    heads: Sequence[Club] = (),
    kept: Collection[str] = (),
    least_bend_deg: float = SMALLEST_BEND_DEG,
    hit: Collection[str] | None = None,
    model: Aerodynamics | None = None,
) -> LoftPlan:
    """Lofts with which clubs carry stated distances.

    Parameters
    ----------
    posterior : the player's swing
    clubs : irons and wedges of a layout as built (length, head mass); those not in ``carries_m`` keep their loft
    carries_m : wanted mean carry [m] by club id, in the air given
    heads : the clubs whose heads are to be bent, by id; a club without one gets another head, in half degrees
    kept : ids of clubs that keep their loft, whatever is asked
    least_bend_deg : least bend [deg] worth ordering; a head that needs less keeps its loft
    hit : ids of the clubs that were hit, all of them if ``None``: another one keeps its loft, to be hit first, unless what
        it lacks is more than the prediction may be off and its head can be set to it
    """
    made = _ordered(clubs)
    unknown = set(carries_m) - {c.id for c in made}
    if unknown:
        raise ValueError(f"`carries_m` names clubs that are not there: {', '.join(sorted(unknown))}")
    fixed = [c.id not in carries_m or c.id in kept for c in made]
    wanted = np.full((len(posterior.theta), len(made)), np.nan)
    for i, club in enumerate(made):
        if club.id in carries_m:
            wanted[:, i] = carries_m[club.id]
    _hold(wanted, fixed, posterior, made, air, model)
    return _plan(posterior, made, air, wanted, fixed, heads, least_bend_deg, model, hit)


def lofts_for_gap(
    posterior: Posterior,
    clubs: Sequence[Club],
    air: Air,
    *,
    gap_m: float,
    anchor: str,
    heads: Sequence[Club] = (),
    kept: Collection[str] = (),
    least_bend_deg: float = SMALLEST_BEND_DEG,
    hit: Collection[str] | None = None,
    model: Aerodynamics | None = None,
) -> LoftPlan:
    """Lofts with which neighbours lie one wanted gap [m] apart, counted from an anchor club that keeps its loft.

    Other parameters as in `lofts_for_carries`. Of all lofts that the heads can be set to, those are taken whose worst gap
    departs least from the wanted one, and of these the ones whose gaps depart least in sum of squares. No club is bent
    before the anchor was hit, nor while one beside it or up to the anchor is to be hit first. What a club is wanted to
    carry hangs on its neighbour towards the anchor, as that is set; it is held draw by draw, so that what is
    uncertain of all clubs alike does not widen the lofts. A gap that cannot be met is stated, with the even gap that
    could.
    """
    made = _ordered(clubs)
    ids = [c.id for c in made]
    if anchor not in ids:
        raise ValueError(f"`anchor` must be one of {', '.join(ids)}, not {anchor!r}")
    if not gap_m > 0:
        raise ValueError(f"`gap_m` must be greater than 0, not {gap_m}")
    at = ids.index(anchor)
    fixed = [i in kept or i == anchor for i in ids]
    spaced = _spaced(posterior, made, air, gap_m, fixed, {c.id: c for c in heads}, least_bend_deg, model)
    flown = predict(posterior, spaced.clubs, air, model=model).carry
    wanted = flown.copy()
    for i in range(len(made)):
        if not fixed[i]:
            wanted[:, i] = flown[:, i + 1] + gap_m if i < at else flown[:, i - 1] - gap_m
    set_to = np.array([c.loft_deg for c in spaced.clubs])
    steps = wanted.mean(axis=0)
    for i in (*range(at - 1, -1, -1), *range(at + 1, len(made))):
        if not fixed[i]:
            steps[i] = steps[i + 1] + gap_m if i < at else steps[i - 1] - gap_m
    found = _plan(
        posterior,
        made,
        air,
        wanted,
        fixed,
        heads,
        least_bend_deg,
        model,
        hit,
        set_to=set_to,
        told=(steps, at),
        spacing=_Spacing(np.full(len(made) - 1, gap_m), (at,)),
    )
    between = -np.diff(flown.mean(axis=0))
    if not between.size or np.abs(between - gap_m).max() <= NEAR_GAP_M:
        return found
    other = spaced.other_m
    off = None if other is None else spaced.other_off_m
    result = "met" if spaced.other_off_m <= NEAR_GAP_M else "nearer"
    told = state("loft.gap_not_met", wanted=gap_m, other=other, most=off, result=result)
    return replace(found, statements=(told,))


@dataclass(frozen=True, slots=True)
class _Spaced:
    """The clubs at the lofts to set; the even gap [m] that comes out better, if one does, and its worst departure [m]."""

    clubs: tuple[Club, ...]
    other_m: float | None
    other_off_m: float


def _spaced(
    posterior: Posterior,
    clubs: tuple[Club, ...],
    air: Air,
    gap: float,
    fixed: Sequence[bool],
    have: Mapping[str, Club],
    least: float,
    model: Aerodynamics | None,
) -> _Spaced:
    shape = loft_curve(posterior, clubs, air, model=model)
    lofts = []
    for i, club in enumerate(clubs):
        can = np.array([club.loft_deg]) if fixed[i] else _can_be_set(club, have.get(club.id), least)
        falling = can[(can >= FINE[shape.top[i]]) | (can == club.loft_deg)]
        lofts.append(falling if falling.size else can[-1:])
    made, level = clubs, [_Level() for _ in clubs]
    for _ in range(ROUNDS_OF_GAPS):
        flown = predict(posterior, made, air, model=model).carry.mean(axis=0)
        for i, club in enumerate(made):
            level[i].add(club.loft_deg, flown[i] / float(shape.at(i, club.loft_deg)))
        carries = [level[i].at(can) * shape.at(i, can) for i, can in enumerate(lofts)]
        worst = _least_worst(carries, gap)
        place = _least_sum(carries, gap, worst + ALIKE_M)
        made = tuple(replace(c, loft_deg=float(x[n])) for c, x, n in zip(clubs, lofts, place, strict=True))
    other, off = None, worst
    if worst > NEAR_GAP_M - CURVE_M:
        tried = np.array([_least_worst(carries, x) for x in GAPS_TRIED_M])
        good = np.flatnonzero(tried <= max(NEAR_GAP_M - CURVE_M, tried.min() + ALIKE_M))
        best = good[np.abs(GAPS_TRIED_M[good] - gap).argmin()]
        if GAPS_TRIED_M[best] != gap and tried[best] < max(NEAR_GAP_M, worst - 2 * CURVE_M):
            other, off = float(GAPS_TRIED_M[best]), float(tried[best])
    return _Spaced(made, other, off)


class _Level:
    """How a club's carry stands to its curve, as whole predictions at some lofts have it."""

    def __init__(self) -> None:
        self.known: dict[float, float] = {}

    def add(self, loft: float, level: float) -> None:
        self.known[loft] = float(level)

    def at(self, lofts: Array) -> Array:
        known = sorted(self.known.items())
        return np.interp(lofts, [x for x, _ in known], [y for _, y in known])


def _can_be_set(club: Club, head: Club | None, least: float) -> Array:
    """All lofts [deg] that the bench can set a head to; of another head, those that are made of it."""
    if head is None or not loft_known(head):
        low, high = _heads_made(club, head)
        return np.arange(_marked(low), high + 1e-9, HEAD_STEP_DEG)
    low, high = bend_range(head, "loft_deg")
    step = angle_step(least)
    wishes = head.loft_deg + np.arange(np.floor(low / step), np.ceil(high / step) + 1) * step
    return np.unique([head.loft_deg, *(as_far_as(head, "loft_deg", x, least_deg=least) for x in wishes)])


def _least_worst(carries: Sequence[Array], gap: float) -> float:
    """The least that the worst gap can depart [m], one carry taken of each club."""
    cost = np.zeros(len(carries[0]))
    for one, two in pairwise(carries):
        cost = np.maximum(cost[:, None], np.abs(one[:, None] - two - gap)).min(axis=0)
    return float(cost.min())


def _least_sum(carries: Sequence[Array], gap: float, most: float) -> list[int]:
    """Which carry of each club makes the sum of squared departures least, where none departs by more than ``most``."""
    cost, back = np.zeros(len(carries[0])), []
    for one, two in pairwise(carries):
        off = np.abs(one[:, None] - two - gap)
        through = cost[:, None] + np.where(off <= most, off**2, np.inf)
        back.append(through.argmin(axis=0))
        cost = through.min(axis=0)
    place = [int(cost.argmin())]
    for step in reversed(back):
        place.append(int(step[place[-1]]))
    return place[::-1]


def lofts_for_even_gaps(
    posterior: Posterior,
    clubs: Sequence[Club],
    air: Air,
    *,
    heads: Sequence[Club] = (),
    kept: Collection[str] = (),
    least_bend_deg: float = SMALLEST_BEND_DEG,
    hit: Collection[str] | None = None,
    model: Aerodynamics | None = None,
) -> LoftPlan:
    """Lofts with which the clubs between the first and the last, which keep theirs, are spaced evenly.

    Parameters as in `lofts_for_carries`; at least three clubs. No club is bent before the first and the last were hit, nor
    while one beside it is to be hit first.
    """
    made = _ordered(clubs)
    if len(made) < 3:
        raise ValueError(f"`clubs` must be three or more to space the ones between, not {len(made)}")
    ends = predict(posterior, (made[0], made[-1]), air, model=model).carry
    share = np.linspace(0.0, 1.0, len(made))
    wanted = ends[:, :1] * (1 - share) + ends[:, 1:] * share
    fixed = [c.id in kept for c in made]
    _hold(wanted, fixed, posterior, made, air, model)
    fixed[0] = fixed[-1] = True
    spacing = _Spacing(-np.diff(wanted.mean(axis=0)), (0, len(made) - 1))
    return _plan(posterior, made, air, wanted, fixed, heads, least_bend_deg, model, hit, spacing=spacing)


@dataclass(frozen=True, slots=True)
class _Spacing:
    """Gaps [m] that are wanted between neighbours, and the places of the clubs from which they are counted: the anchor, or
    the first and the last.
    """

    gaps: Array
    counted_from: tuple[int, ...]

    def between(self, i: int) -> set[int]:
        """The places of a club's neighbours, and of all clubs up to one anchor."""
        near = {j for j in (i - 1, i + 1) if 0 <= j <= len(self.gaps)}
        if len(self.counted_from) > 1:
            return near
        (anchor,) = self.counted_from
        return near | {*range(i + 1, anchor), *range(anchor + 1, i)}


def off_the_promise(carry: Array, promised_m: Sequence[float], *, level: str = "as_stated") -> Array:
    """How far clubs (clubs,) carry from what was promised of them when they were built [m]; 0 where the draws cannot tell.

    Parameters
    ----------
    carry : (draws, clubs) [m]
    promised_m : of each club [m]
    level : ``as_stated``, or what all of them together may be off without any being off its place among them: ``gaps`` so
        many metres, ``even_gaps`` such a share

    Notes
    -----
    The level is the middle one of all, draw by draw, so that one club off moves no other. What is off by no more than
    `NEAR_GAP_M` is near enough; all clubs together give one false alarm in ten (Sidak).
    """
    promised = np.asarray(promised_m, float)
    if level == "gaps":
        promised = promised + np.median(carry - promised, axis=1, keepdims=True)
    elif level == "even_gaps":
        promised = promised * np.median(carry / promised, axis=1, keepdims=True)
    off = carry - promised
    limit = sidak_limit(carry.shape[1], false_alarm=FALSE_ALARM)
    mean = off.mean(axis=0)
    told = np.maximum(limit * off.std(axis=0), NEAR_GAP_M)
    return np.where(np.abs(mean) > told, mean, 0.0)


def carry_between(place: int, known: Sequence[int], carries: Array, *, gap_m: float | None = None) -> float:
    """Carry [m] that the club in a place should have beside those of the ``known`` places: midway, or past the last of them
    by a gap, their mean one by default.

    >>> carry_between(1, (0, 2), np.array([150.0, 130.0])), carry_between(4, (0, 2), np.array([150.0, 130.0]), gap_m=12.0)
    (140.0, 106.0)
    """
    step = (carries[0] - carries[-1]) / max(known[-1] - known[0], 1) if gap_m is None else gap_m
    past = min(place - known[0], 0) + max(place - known[-1], 0)
    return float(np.interp(place, known, carries) - step * past)


def _hold(
    wanted: Array,
    fixed: Sequence[bool],
    posterior: Posterior,
    clubs: tuple[Club, ...],
    air: Air,
    model: Aerodynamics | None,
) -> None:
    """Of clubs that keep their loft nothing else is wanted than what they carry."""
    held = [i for i, f in enumerate(fixed) if f]
    if held:
        wanted[:, held] = predict(posterior, tuple(clubs[i] for i in held), air, model=model).carry


def _ordered(clubs: Sequence[Club]) -> tuple[Club, ...]:
    if not clubs:
        raise ValueError("`clubs` must name at least one club")
    other = [c.id for c in clubs if c.family not in ("iron", "wedge")]
    if other:
        raise ValueError(f"`clubs` must be irons and wedges; {', '.join(other)} cannot be bent in loft")
    if len({c.id for c in clubs}) != len(clubs):
        raise ValueError("`clubs` names a club twice")
    return tuple(sorted(clubs, key=lambda c: (c.loft_deg, -c.length_m)))


def _plan(
    posterior: Posterior,
    clubs: tuple[Club, ...],
    air: Air,
    wanted: Array,
    fixed: Sequence[bool],
    heads: Sequence[Club],
    least: float,
    model: Aerodynamics | None,
    hit: Collection[str] | None = None,
    *,
    set_to: Array | None = None,
    told: tuple[Array, int] | None = None,
    spacing: _Spacing | None = None,
) -> LoftPlan:
    """The plan for wanted carries (draws, clubs) [m]; clubs that are fixed keep their loft.

    told : the carries [m] that clubs are told they should have, and the place of the club from which they are counted;
        ``None`` tells the mean of those wanted
    spacing : where a gap is wanted, and not carries
    set_to : lofts to set [deg]; ``None`` sets each head as near to its wish as it comes
    """
    have = {c.id: c for c in heads}
    free = np.array([not f for f in fixed])
    shape = loft_curve(posterior, clubs, air, model=model)
    solved = _solve(posterior, clubs, air, wanted, free, shape, have, least, model)
    lofts = set_to
    if lofts is None:
        near = [_settable(c, have.get(c.id), x, least) for c, x in zip(clubs, solved.loft, strict=True)]
        lofts = np.where(free, near, solved.loft)
    drawn = np.where(np.abs(lofts - solved.first_loft) < 1e-9, solved.first_carry, solved.carry)
    moved = np.flatnonzero(np.minimum(np.abs(lofts - solved.loft), np.abs(lofts - solved.first_loft)) > 1e-9)
    if moved.size:
        drawn[:, moved] = predict(posterior, _at_lofts(clubs, lofts, moved.tolist()), air, model=model).carry
    own = np.array([_own_loft(c, have.get(c.id)) for c in clubs])
    unhit = np.array([hit is not None and c.id not in hit for c in clubs])
    missed = solved.reachable & (np.abs((drawn - wanted).mean(axis=0)) > NEAR_ENOUGH_M)
    first = _to_hit_first(posterior, clubs, air, wanted, free & unhit, have, lofts, missed, model)
    aimed = lofts
    waits = [set[int]() for _ in clubs]
    if spacing is not None and hit is not None:
        bent = free & ~first & (np.abs(lofts - own) > 1e-9)
        places = np.flatnonzero(unhit).tolist()
        waits = _waiting(
            posterior, clubs, air, spacing, own, np.where(bent, lofts, own), first, places, model
        )
    held = (first | np.array([bool(w) for w in waits])) & (np.abs(lofts - own) > 1e-9)
    lofts = np.where(held, own, lofts)
    back = np.flatnonzero(held)
    if back.size:
        drawn[:, back] = predict(posterior, _at_lofts(clubs, own, back.tolist()), air, model=model).carry
    needed, can = _draw_by_draw(solved, wanted, shape)
    needed[:, ~free] = solved.loft[~free]
    can[:, ~free] = True
    rows = zip(intervals(wanted), intervals(needed), intervals(drawn), strict=True)
    made = [
        _club(club, have.get(club.id), solved, i, float(lofts[i]), row, bool(free[i]), can[:, i])
        for i, (club, row) in enumerate(zip(clubs, rows, strict=True))
    ]
    out = tuple(
        _unhit(club, None if missed[i] else float(aimed[i]), clubs, i, *(told or (wanted.mean(axis=0), 0)))
        if first[i]
        else _waits(club, float(aimed[i]), [clubs[j] for j in sorted(waits[i])])
        if waits[i]
        else _near_or_out_of_reach(club)
        if unhit[i]
        else club
        for i, club in enumerate(made)
    )
    gaps = intervals(drawn[:, :-1] - drawn[:, 1:]) if len(clubs) > 1 else ()
    work = any(c.present_loft_deg is not None and c.bounded_loft_deg != c.present_loft_deg for c in out)
    return LoftPlan(
        out,
        gaps,
        all(c.reachable and not c.limit_reached for c in out),
        solved.rounds,
        cautions("bend", "builder", "rules") if work else (),
    )


def _own_loft(club: Club, head: Club | None) -> float:
    return club.loft_deg if head is None else head.loft_deg


def _to_hit_first(
    posterior: Posterior,
    clubs: tuple[Club, ...],
    air: Air,
    wanted: Array,
    unhit: NDArray[np.bool_],
    have: Mapping[str, Club],
    lofts: Array,
    missed: NDArray[np.bool_],
    model: Aerodynamics | None,
) -> NDArray[np.bool_]:
    """Of the ``unhit`` clubs (clubs,) those that would get another loft on nothing but a prediction, which may be off by
    what they lack, and those whose loft to set ``missed`` what is wanted; no head is looked for on a prediction at all.
    """
    own = np.array([_own_loft(c, have.get(c.id)) for c in clubs])
    first: NDArray[np.bool_] = unhit & (missed | (np.abs(lofts - own) > 1e-9))
    asked = np.flatnonzero(first & ~missed)
    if asked.size:
        as_is = tuple(replace(clubs[i], loft_deg=float(own[i])) for i in asked)
        carries = intervals(predict(posterior, as_is, air, model=model).carry)
        aims = wanted.mean(axis=0)[asked]
        near = [c.lo90 <= aim <= c.hi90 for c, aim in zip(carries, aims, strict=True)]
        first[asked] = [near_ or clubs[i].id not in have for i, near_ in zip(asked, near, strict=True)]
    return first


def _near_or_out_of_reach(found: ClubLoft) -> ClubLoft:
    """An unhit club that is near enough to what is wanted, or can never carry it: its carry is known too roughly to say
    more, or to look for a head.
    """
    told = tuple(
        s for s in found.statements if s.kind not in ("loft.head_stops", "loft.off", "loft.find_head")
    )
    return replace(found, statements=told or (state("loft.leave"),), limit_reached=False)


def _at_lofts(clubs: Sequence[Club], lofts: Array, places: Iterable[int]) -> tuple[Club, ...]:
    return tuple(replace(clubs[i], loft_deg=float(lofts[i])) for i in places)


def _waiting(
    posterior: Posterior,
    clubs: tuple[Club, ...],
    air: Air,
    spacing: _Spacing,
    own: Array,
    lofts: Array,
    first: NDArray[np.bool_],
    unhit: Collection[int],
    model: Aerodynamics | None,
) -> list[set[int]]:
    """Of each club that would be bent, the places of the unhit clubs that it waits for: those that gaps are counted from,
    those to hit first beside it or on the way there, and those that a neighbour waits for whose gap it would make much worse
    by itself.

    own, lofts : as clubs are, and as they would be set [deg]; first : the clubs to hit first
    """
    bent = [int(i) for i in np.flatnonzero(np.abs(lofts - own) > 1e-9)]
    beside = {i: [j for j in (i - 1, i + 1) if 0 <= j < len(clubs)] for i in bent}
    waits = [set[int]() for _ in clubs]
    for i in bent:
        waits[i] = {j for j in spacing.counted_from if j in unhit} | {
            j for j in spacing.between(i) if first[j]
        }
    if not any(waits):
        return waits
    was, then = (
        predict(posterior, _at_lofts(clubs, x, range(len(clubs))), air, model=model).carry.mean(axis=0)
        for x in (own, lofts)
    )

    def off(i: int, j: int, carry: float) -> float:
        """How far the gap between a club of that carry and its neighbour as it is departs from the wanted one."""
        return abs(abs(carry - float(was[j])) - float(spacing.gaps[min(i, j)]))

    def worse(i: int, j: int) -> bool:
        return bool(waits[j]) and off(i, j, float(then[i])) > off(i, j, float(was[i])) + WORSE_GAP_M

    open_ = [i for i in bent if not waits[i]]
    while found := [(i, j) for i in open_ for j in beside[i] if worse(i, j)]:
        for i, j in found:
            waits[i] |= waits[j]
        open_ = [i for i in open_ if not waits[i]]
    return waits


def _waits(found: ClubLoft, loft: float, to_hit: Sequence[Club]) -> ClubLoft:
    """A club that keeps its loft until others were hit, with the loft predicted for it."""
    told = state("loft.waits", clubs=to_hit, loft=loft)
    kept = tuple(s for s in found.statements if s.kind == "loft.build_new")
    return replace(
        found,
        statements=(told, *kept),
        limit_reached=False,
        look_for_deg=found.look_for_deg if kept else None,
        waits_for=tuple(c.id for c in to_hit),
    )


def _unhit(
    found: ClubLoft, loft: float | None, clubs: Sequence[Club], i: int, carries: Array, at: int
) -> ClubLoft:
    """A club that keeps its loft until it was hit: the carry it should have, how far that is from its neighbour's, and the
    loft predicted to give it, where one to set does."""
    beside = min(i + 1, len(clubs) - 1) if i < max(at, 1) else i - 1
    told = state(
        "loft.hit_first",
        clubs=[clubs[beside]],
        carry=float(carries[i]),
        gap=abs(float(carries[i] - carries[beside])),
        way="more" if beside > i else "less",
        loft=loft,
    )
    kept = tuple(s for s in found.statements if s.kind == "loft.build_new")
    look_for = found.look_for_deg if kept else None
    return replace(
        found, statements=(told, *kept), limit_reached=False, look_for_deg=look_for, hit_first=True
    )


@dataclass(frozen=True, slots=True)
class _Solved:
    """Lofts (clubs,) [deg], carries there (draws, clubs) [m], and whether the mean is what is wanted (clubs,).

    first_loft, first_carry : the same of the first loft tried, the nearest the head can be set to
    """

    loft: Array
    carry: Array
    reachable: NDArray[np.bool_]
    first_loft: Array
    first_carry: Array
    rounds: int


def _solve(
    posterior: Posterior,
    clubs: tuple[Club, ...],
    air: Air,
    wanted: Array,
    free: NDArray[np.bool_],
    shape: LoftCurve,
    have: Mapping[str, Club],
    least: float,
    model: Aerodynamics | None,
) -> _Solved:
    """Lofts whose mean carry is the wanted one, by correcting the level of each club's curve at the last loft tried."""
    target = wanted.mean(axis=0)
    loft = np.array([c.loft_deg for c in clubs], float)
    drawn = wanted.copy()  # a fixed club's wanted carry is its own
    reachable = np.ones(len(clubs), bool)
    open_ = [int(i) for i in np.flatnonzero(free)]
    for i in open_:
        guess = shape.loft_for(i, target[i] / np.exp(posterior.discrepancy(clubs[i].id)).mean())
        loft[i] = _settable(clubs[i], have.get(clubs[i].id), float(guess), least)
    first_loft, first_carry = loft.copy(), drawn
    rounds = 0
    while open_ and rounds < MOST_ROUNDS:
        rounds += 1
        trial = tuple(replace(clubs[i], loft_deg=float(loft[i])) for i in open_)
        flown = predict(posterior, trial, air, model=model).carry
        drawn = drawn.copy()
        drawn[:, open_] = flown
        if rounds == 1:
            first_carry = drawn
        still = []
        for i in open_:
            mean = float(drawn[:, i].mean())
            reachable[i] = abs(mean - target[i]) <= NEAR
            better = float(shape.loft_for(i, target[i] * float(shape.at(i, loft[i])) / mean))
            if not reachable[i] and abs(better - loft[i]) > 1e-6 and rounds < MOST_ROUNDS:
                loft[i] = better
                still.append(i)
        open_ = still
    return _Solved(loft, drawn, reachable, first_loft, first_carry, rounds)


def _draw_by_draw(solved: _Solved, wanted: Array, shape: LoftCurve) -> tuple[Array, NDArray[np.bool_]]:
    """The loft each draw needs (draws, clubs) and whether it has one: one step along the shape from the solved loft."""
    needed, can = np.empty_like(wanted), np.empty(wanted.shape, bool)
    for i in range(wanted.shape[1]):
        level = solved.carry[:, i] / shape.at(i, solved.loft[i])
        ask = wanted[:, i] / np.maximum(level, 1e-9)
        needed[:, i] = shape.loft_for(i, ask)
        falling = shape.carry[i, shape.top[i] :]
        can[:, i] = (ask <= falling[0] + NEAR) & (ask >= falling[-1] - NEAR)
    return needed, can


def _settable(club: Club, head: Club | None, loft: float, least: float) -> float:
    """The loft nearest to this one that the head can be set to, in the steps of the bench; another head comes in half
    degrees.
    """
    if head is None or not loft_known(head):
        return _marked(float(np.clip(loft, *_heads_made(club, head))))
    return as_far_as(head, "loft_deg", loft, least_deg=least)


def _heads_made(club: Club, head: Club | None) -> tuple[float, float]:
    """From which loft to which [deg] another head could be, or one whose loft nobody knows."""
    low, high = club.loft_deg - OTHER_HEAD_DEG, club.loft_deg + OTHER_HEAD_DEG
    if club.family == "wedge" and head is None:
        return min(low, WEDGE_HEADS_DEG[0]), max(high, WEDGE_HEADS_DEG[1])
    return low, high


def loft_known(head: Club) -> bool:
    """Whether the loft is more than an estimate, so that a bend can be ordered of it and a limit counted from it."""
    return "loft_deg" not in dict(head.estimated)


def _beyond(head: Club, loft: float) -> float:
    """How far a loft lies beyond what the head can yet be bent to [deg]."""
    low, high = bend_range(head, "loft_deg")
    return max(loft - head.loft_deg - high, head.loft_deg + low - loft)


def _marked(loft: float) -> float:
    return float(np.round(loft / HEAD_STEP_DEG) * HEAD_STEP_DEG)


def _club(
    club: Club,
    head: Club | None,
    solved: _Solved,
    i: int,
    loft: float,
    found: tuple[Interval, Interval, Interval],
    free: bool,
    can: NDArray[np.bool_],
) -> ClubLoft:
    wanted, needed, after = found
    solution = float(solved.loft[i])
    reachable = bool(solved.reachable[i])
    limited = head is not None and free and loft_known(head) and _beyond(head, solution) > HEAD_STEP_DEG / 2
    bent = None if head is None else bend(head, loft_deg=loft, lie_deg=club.lie_deg)
    nearest = float(solved.carry[:, i].mean())
    return ClubLoft(
        club=club.id,
        present_loft_deg=None if head is None else head.loft_deg,
        wanted_m=wanted,
        wanted_loft_deg=solution,
        needed_loft_deg=needed,
        chance_reachable=chance(can),
        reachable=reachable,
        nearest_m=wanted.mean if reachable else nearest,
        bounded_loft_deg=loft,
        limit_reached=limited,
        look_for_deg=_settable(club, None, solution, 0.0) if free and (limited or head is None) else None,
        carry_m=after,
        off_m=after.mean - wanted.mean,
        bounce_deg=None if bent is None else bent.bounce_deg,
        lie_deg=None if bent is None else bent.nearest_lie_deg,
        statements=_statements(club, head, solution, loft, wanted, nearest, after, reachable, limited, free),
    )


def _statements(
    club: Club,
    head: Club | None,
    solution: float,
    loft: float,
    wanted: Interval,
    nearest: float,
    after: Interval,
    reachable: bool,
    limited: bool,
    free: bool,
) -> tuple[Statement, ...]:
    if not free:
        return (state("loft.kept"),)
    out = []
    if head is None and (
        loft == _settable(club, None, solution, 0.0) or abs(after.mean - nearest) <= NEAR_ENOUGH_M
    ):
        solution, nearest = loft, after.mean  # as near as heads come: one loft is told, that to look for
    if not reachable and nearest < wanted.mean:
        out.append(state("loft.too_far", wanted=wanted.mean, most=nearest, loft=solution))
    elif not reachable:
        out.append(state("loft.too_short", wanted=wanted.mean, least=nearest, loft=solution))
    off = after.mean - wanted.mean
    way = "more" if off > 0 else "less"
    short = [state("loft.off", carry=after.mean, off=abs(off), way=way)] if abs(off) > NEAR_ENOUGH_M else []
    if head is None:
        return *out, state("loft.build_new", loft=loft), *(short if reachable else ())
    change = loft - head.loft_deg
    if not loft_known(head):
        out.append(state("work.measure_first", loft=loft))
    elif change:
        bent = "weak" if change > 0 else "strong"
        out.append(
            state("loft.bend", change=abs(change), loft=loft, way=bent, start=start_of(head, "loft_deg"))
        )
    elif not limited or _beyond(head, loft) < -HEAD_STEP_DEG / 2:
        out.append(state("loft.leave"))
    # set short of its limit, it is so for the sake of the clubs beside it
    stops = limited and _beyond(head, loft) > 1e-9 - HEAD_STEP_DEG
    if stops:
        out.append(
            state(
                "loft.head_stops",
                head=head.loft_deg,
                limit=limit_of(head),
                bent=bent_towards(head, "loft_deg", solution),
                short=abs(loft - solution),
                wanted_loft=solution,
                carry=after.mean,
                off=abs(off),
                way=way,
            )
        )
    elif limited or reachable:
        out += short
    if limited and abs(off) > NEAR_ENOUGH_M:
        other = _settable(club, None, solution, 0.0)
        near = "" if abs(other - solution) < HEAD_STEP_DEG else "nearer"
        out.append(state("loft.find_head", loft=other, near=near))
    return tuple(out)
