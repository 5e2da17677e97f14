"""A player over time: what each session showed, and what changed from some sessions to others beyond chance.

One day differs from another whatever a player does, so that two sessions are held against that: a change is the effect of
the later sessions in the same model of days as the fit's (`engine.swing.sessions`), and is called one only where its
interval leaves zero out. The intervals are wide enough for all of them to hold at once with 90 %, so that of players who
stay the same one in ten is told of any change: half of that is left to what is true of all clubs, half to single clubs and
gaps, so that many clubs do not hide a change of all. Either half goes by the largest of its correlated normal deviations
(simultaneous intervals; Hothorn, Bretz & Westfall 2008, Biom. J. 50:346, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Case, Club, Conditions, Shot
from ..shots.summary import PRIOR_BALLS, Summary
from ..statements import Statement, state
from ..statistics import NINETY, Interval
from .observations import Seen, see
from .sessions import (
    CLUB_DAY_SD,
    UNKNOWN_AIR_SD,
    Cell,
    conditions_of,
    contrasts,
    hit_in,
    sessions_hit,
    weather_noted,
)

Array = NDArray[np.float64]

RETEST = "retest" + 20 * "-"  # balls of the re-test without a session; longer than any id
AGAIN = 25 * "@"  # in the id of a club that was hit at the re-test; longer than any id
FALSE_ALARM = 0.10
LIMIT_DRAWS, LIMIT_SEED = 10_000, 8  # for the limit of all changes together, to about 0.02
SPREAD_DAY_SD = 0.10  # [log], how far a player's spread differs from day to day; common practice, no source
LEAST_FREE = 8  # degrees of freedom of a spread that is worth comparing; ours
LEAST_SHOWN = 3  # of one that is worth showing; ours
SPEEDS = ("club_speed", "ball_speed")


@dataclass(frozen=True, slots=True)
class DayCarry:
    """Carry [m] of a club on one day, in the conditions of `ThenAndNow.hit_in`, with what its balls leave open of it.

    by_air : share of the carry as hit that was added to bring it to those conditions
    """

    club: str
    grip_down_m: float
    balls: int
    carry_m: Interval
    by_air: float


@dataclass(frozen=True, slots=True)
class DaySpeed:
    """Speed [m/s] of club or ball, as ``quantity`` says, measured of a club on one day."""

    club: str
    quantity: str
    balls: int
    speed_mps: Interval


@dataclass(frozen=True, slots=True)
class DayGap:
    """Carry [m] from one club to the next shorter one that was hit on the same day."""

    longer: str
    shorter: str
    gap_m: Interval


@dataclass(frozen=True, slots=True)
class Day:
    """What one session showed. ``session`` is its id, ``None`` for balls without one, ``retest`` true for those hit after
    the build.

    pace : by what share of carry all clubs flew further than on this player's average day, ``None`` with one session;
    spread : from ball to ball, as a share of carry
    """

    session: str | None
    date: str | None
    retest: bool
    balls: int
    carries: tuple[DayCarry, ...]
    gaps: tuple[DayGap, ...]
    speeds: tuple[DaySpeed, ...]
    pace: Interval | None
    spread: Interval | None


@dataclass(frozen=True, slots=True)
class Change:
    """From the earlier sessions to the later ones. Carries and gaps in [m], speeds in [m/s], pace and spread as shares.

    what : "pace" (all clubs that stayed as they were), "club_speed", "ball_speed", "spread", "carry" of a club or "gap" of
    two; by : the change with its interval, days and balls in it, of 90 % for all changes together; chance : that it is
    an increase; beyond_chance : whether more than days and balls give, so that the interval leaves zero out
    """

    what: str
    clubs: tuple[str, ...]
    before: float | None
    after: float | None
    by: Interval
    chance: float
    beyond_chance: bool
    statement: Statement


@dataclass(frozen=True, slots=True)
class ThenAndNow:
    """A player over time, oldest session first.

    hit_in : conditions that all carries were brought to; day_sd : share of carry by which one day differs from another;
    before, after : ids of the sessions that `changes` are between
    """

    hit_in: Conditions
    days: tuple[Day, ...]
    day_sd: float | None
    before: tuple[str | None, ...]
    after: tuple[str | None, ...]
    changes: tuple[Change, ...]
    statements: tuple[Statement, ...]


def days_hit(case: Case) -> int:
    """How many sessions balls in use belong to, those of the re-test among them; nothing is worked out for it."""
    here = [s if s.layout is None else replace(s, session=s.session or RETEST) for s in case.full_shots]
    return len({*sessions_hit(here), *(s.session or RETEST for s in case.retest if s.use)})


def then_and_now(
    case: Case,
    *,
    before: Collection[str | None] | None = None,
    after: Collection[str | None] | None = None,
) -> ThenAndNow | None:
    """What the sessions of a case showed, and what changed; ``None`` without a carry.

    Parameters
    ----------
    before, after : ids of the sessions to compare, ``None`` for balls without one and `RETEST` for those of the re-test
        without one. If not given: the sessions before a build and after it, where there was one, else all before the
        newest day and those of that day, or the newest session alone where all are of one day

    Raises
    ------
    ValueError
        If a session is on both sides.
    """
    whole, retested = _whole(case)
    seen = see(whole, apart=True)
    if not any(cell.quantity == "carry" for cell in seen.cells):
        return None
    new = _new(case, seen, retested)
    order = _in_order(case, seen, new)
    if before is None or after is None:
        before, after = _sides(order, new, {one.id: one.date for one in case.sessions})
    if set(before) & set(after):
        raise ValueError("`before` and `after` must not share a session")
    there = hit_in(whole)
    paced = seen.days if len(order) > 1 else None
    days = tuple(_day(case, seen, one, retested) for one in order)
    earlier, later = ([s for s in order if s in side] for side in (before, after))
    day_sd = None if paced is None else paced.spread_sd
    return ThenAndNow(
        there,
        days,
        day_sd,
        tuple(earlier),
        tuple(later),
        _changes(whole, seen, earlier, later),
        _statements(case, whole, there, order, day_sd),
    )


def _whole(case: Case) -> tuple[Case, frozenset[str | None]]:
    """The case with the balls of the re-test among the others, those of a set that is not in the bag as of clubs of their
    own, and their sessions."""
    bag = {club.id: club for club in case.bag}
    new: dict[str, Club] = {}
    again = []
    for shot in case.retest:
        made = f"{shot.club}{AGAIN}{shot.layout or ''}"
        new[made] = replace(bag[shot.club], id=made, became=bag[shot.club].became or shot.club)
        again.append(replace(shot, club=made, session=shot.session or RETEST))
    shots = [s if s.layout is None else replace(s, session=s.session or RETEST) for s in case.full_shots]
    whole = replace(case, bag=(*case.bag, *new.values()), shots=(*shots, *again))
    return whole, frozenset(
        shot.session for shot in (*again, *shots) if shot.layout is not None or shot in again
    )


def _called(club_id: str) -> str:
    """The club's id in the bag."""
    return club_id.partition(AGAIN)[0]


def _new(case: Case, seen: Seen, retested: Collection[str | None]) -> set[str | None]:
    """The sessions after a build: with balls of a re-test, or of clubs that were built into what they are now."""
    made = {club.became for club in case.bag if club.became is not None}
    return {
        cell.session
        for cell in seen.cells
        if cell.session in retested or seen.observations[cell.row].club.id in made
    }


def _in_order(case: Case, seen: Seen, new: Collection[str | None]) -> list[str | None]:
    """Sessions with balls, oldest first, of one day those before a build first, as in the job record; those without a date
    before the others, the re-test's last."""
    dates = {one.id: one.date or "" for one in case.sessions}
    places = {one.id: n for n, one in enumerate(case.sessions)}
    hit = dict.fromkeys(cell.session for cell in seen.cells)
    return sorted(hit, key=lambda s: (s == RETEST, dates.get(s or "", ""), s in new, places.get(s or "", -1)))


def _sides(
    order: Sequence[str | None], new: Collection[str | None], dates: Mapping[str | None, str | None]
) -> tuple[list[str | None], list[str | None]]:
    """The sessions before and after a build, else those before the newest day, and those of that day."""
    after = [s for s in order if s in new]
    if not after or len(after) == len(order):
        newest = dates.get(order[-1])
        after = [s for s in order if newest and dates.get(s) == newest]
    if not after or len(after) == len(order):
        after = list(order[-1:])
    return [s for s in order if s not in after], after


def _day(case: Case, seen: Seen, session: str | None, retested: Collection[str | None]) -> Day:
    clubs: list[tuple[Club, DayCarry, float]] = []
    speeds: list[DaySpeed] = []
    balls = 0
    for cell in seen.cells:
        told = seen.observations[cell.row]
        counted = seen.by_session[cell.row].get(session)
        if cell.session != session or counted is None:
            continue
        if cell.quantity == "carry":
            ends = (math.exp(cell.value + k * cell.error) for k in (0.0, -NINETY, NINETY))
            carried = DayCarry(
                _called(told.club.id), told.grip_down, counted.counted, Interval(*ends), math.expm1(cell.off)
            )
            clubs.append((told.club, carried, cell.error))
            balls += counted.counted
        elif cell.quantity in SPEEDS:
            ends = (math.exp(cell.value + k * cell.error) for k in (0.0, -NINETY, NINETY))
            speeds.append(DaySpeed(_called(told.club.id), cell.quantity, counted.counted, Interval(*ends)))
    clubs.sort(key=lambda one: -one[1].carry_m.mean)
    full = [one for one in clubs if one[1].grip_down_m < 5e-4]
    gaps = []
    for (_, longer, a), (_, shorter, b) in pairwise(full):
        gap = longer.carry_m.mean - shorter.carry_m.mean
        sd = math.hypot(
            *(c.carry_m.mean * math.hypot(e, CLUB_DAY_SD) for c, e in ((longer, a), (shorter, b)))
        )
        gaps.append(DayGap(longer.club, shorter.club, _about(gap, sd)))
    pace = None
    if seen.days is not None and len(seen.days.day) > 1 and session in seen.days.day:
        middle, sd = seen.days.day[session], seen.days.day_sd[session]
        pace = Interval(*(math.expm1(middle + k * sd) for k in (0.0, -NINETY, NINETY)))
    share, free = _spread(seen, [session])
    return Day(
        None if session == RETEST else session,
        next((one.date for one in case.sessions if one.id == session), None),
        session in retested,
        balls,
        tuple(one for _, one, _ in clubs),
        tuple(gaps),
        tuple(speeds),
        pace,
        _spread_interval(share, free) if free >= LEAST_SHOWN else None,
    )


def _about(mean: float, sd: float, times: float = NINETY) -> Interval:
    return Interval(mean, mean - times * sd, mean + times * sd)


def _spread(seen: Seen, sessions: Collection[str | None]) -> tuple[float, float]:
    """Standard deviation of carry from ball to ball as a share of it, pooled over clubs and sessions, and its degrees of
    freedom."""
    squares = free = 0.0
    for told, by_session in zip(seen.observations, seen.by_session, strict=False):
        for session, one in by_session.items():
            if told.quantity == "carry" and session in sessions and (own := _free(one)) > 0:
                squares += own * (one.sd / one.mean) ** 2
                free += own
    return (math.sqrt(squares / free) if free else math.nan), free


def _free(one: Summary) -> float:
    return one.degrees - PRIOR_BALLS


def _spread_interval(share: float, free: float) -> Interval:
    """By the chi-square distribution of a normal sample's variance."""
    from scipy.special import chdtri

    low, high = (share * math.sqrt(free / float(chdtri(free, p))) for p in (0.05, 0.95))
    return Interval(share, low, high)


def _changes(
    case: Case,
    seen: Seen,
    before: Sequence[str | None],
    after: Sequence[str | None],
) -> tuple[Change, ...]:
    if not before or not after:
        return ()
    heads = {club.id: club.became or club.id for club in case.bag}
    names = {club.id: club for club in case.bag}
    keys: list[tuple[str, str]] = []  # quantity and head of each row
    rows: dict[tuple[str, str], set[tuple[str, bool]]] = {}  # the versions hit on either side
    cells: list[tuple[Cell, tuple[str, str], bool]] = []
    for cell in seen.cells:
        told = seen.observations[cell.row]
        if cell.quantity not in ("carry", *SPEEDS) or told.grip_down >= 5e-4:
            continue
        if cell.session in before or cell.session in after:
            key = (cell.quantity, heads[told.club.id])
            later = cell.session in after
            cells.append((cell, key, later))
            rows.setdefault(key, set()).add((told.club.id, later))
    keys = [key for key, versions in rows.items() if {later for _, later in versions} == {False, True}]
    spread = _spread_change(seen, before, after)
    cells = [one for one in cells if one[1] in keys]
    if not cells:
        return () if spread is None else (spread(_limit(np.empty((0, 0)), apart=1, share=1.0)),)
    merged = [replace(cell, row=keys.index(key)) for cell, key, _ in cells]
    asked = np.array([[float(later and key == mine) for key in keys] for _, mine, later in cells])
    mean, cover = contrasts(case, merged, len(keys), asked)
    levels = {}
    for key in keys:
        own = [(c.value, 1 / c.error**2) for c, mine, later in cells if mine == key and not later]
        levels[key] = math.exp(math.fsum(v * w for v, w in own) / math.fsum(w for _, w in own))
    stayed = [key for key in keys if len({version for version, _ in rows[key]}) == 1]
    carried = sorted((key for key in keys if key[0] == "carry"), key=lambda key: -levels[key])
    effect = np.eye(len(keys))
    # the weights of its effects, and what makes it of its sd and the limit
    found: list[tuple[Array, Callable[[float, float], Change]]] = []
    for quantity in ("carry", *SPEEDS):
        at = [keys.index(key) for key in stayed if key[0] == quantity]
        if len(at) > (quantity == "carry"):  # one club alone is told of as that club
            weight = np.linalg.solve(cover[np.ix_(at, at)], np.ones(len(at))) @ effect[at]
            weight /= weight.sum()
            of = "all" if quantity != "carry" or len(at) == len(carried) else "unchanged"
            there = [levels[keys[i]] for i in at]
            found.append((weight, partial(_overall, quantity, of, there, float(weight @ mean))))
    for key in carried:
        i = keys.index(key)
        found.append((effect[i], partial(_of_carry, names[key[1]], levels[key], float(mean[i]))))
    for longer, shorter in pairwise(carried):
        i, j = keys.index(longer), keys.index(shorter)
        a, b = levels[longer] * math.exp(mean[i]), levels[shorter] * math.exp(mean[j])
        pair = names[longer[1]], names[shorter[1]]
        was = levels[longer] - levels[shorter]
        found.append((a * effect[i] - b * effect[j], partial(_of_gap, pair, was, a - b)))
    roots = np.array([weight for weight, _ in found]) @ np.linalg.cholesky(cover)
    sds = np.maximum(np.linalg.norm(roots, axis=1), 1e-6)
    overall = len(found) - max(2 * len(carried) - 1, 0)  # how many come before those of single clubs
    both = overall < len(found) and (overall > 0 or spread is not None)
    every = _limit(roots[:overall], apart=int(spread is not None), share=0.5 if both else 1.0)
    single = _limit(roots[overall:], share=0.5 if both else 1.0)
    limits = [every] * overall + [single] * (len(found) - overall)
    out = [make(sd, limit) for (_, make), sd, limit in zip(found, sds.tolist(), limits, strict=True)]
    return (*out,) if spread is None else (spread(every), *out)


def _limit(roots: Array, *, apart: int = 0, share: float) -> float:
    """Standard deviations that the largest of some normal deviations stays within, but for their share of false alarms.

    roots : of their covariance, (deviations, effects); apart : how many more there are that are tied to none
    """
    rng = np.random.default_rng(LIMIT_SEED)
    drawn = roots @ rng.standard_normal((roots.shape[1], LIMIT_DRAWS))
    drawn /= np.maximum(np.linalg.norm(roots, axis=1), 1e-6)[:, None]
    drawn = np.concatenate([drawn, rng.standard_normal((apart, LIMIT_DRAWS))])
    return float(np.quantile(np.abs(drawn).max(axis=0, initial=0.0), (1 - FALSE_ALARM) ** share))


def _rises(by: float, sd: float) -> float:
    from scipy.special import ndtr

    return float(ndtr(by / sd))


def _judged(by: float, sd: float, limit: float) -> tuple[float, bool, str, str]:
    """Chance of an increase, whether beyond chance, and the terms of both."""
    beyond = abs(by) > limit * sd
    return _rises(by, sd), beyond, "more" if by >= 0 else "less", "yes" if beyond else "no"


def _overall(quantity: str, of: str, levels: Sequence[float], by: float, sd: float, limit: float) -> Change:
    """All clubs that stayed as they were: carry as a share, a speed in [m/s] about the middle of them."""
    chance, beyond, way, sure = _judged(by, sd, limit)
    ends = [math.expm1(by + k * sd) for k in (0.0, -limit, limit)]
    if quantity == "carry":
        told = state("change.pace", by=_sized(Interval(*ends)), of=of, way=way, beyond=sure)
        return Change("pace", (), None, None, Interval(*ends), chance, beyond, told)
    level = math.exp(math.fsum(map(math.log, levels)) / len(levels))
    change = Interval(*(level * end for end in ends))
    told = state("change.speed", of=quantity, by=_sized(change), way=way, beyond=sure)
    return Change(quantity, (), level, level * (1 + ends[0]), change, chance, beyond, told)


def _of_carry(club: Club, level: float, by: float, sd: float, limit: float) -> Change:
    chance, beyond, way, sure = _judged(by, sd, limit)
    change = Interval(*(level * math.expm1(by + k * sd) for k in (0.0, -limit, limit)))
    now = level * math.exp(by)
    told = state(
        "change.carry", clubs=[club], before=level, after=now, by=_sized(change), way=way, beyond=sure
    )
    return Change("carry", (club.id,), level, now, change, chance, beyond, told)


def _of_gap(pair: tuple[Club, Club], was: float, now: float, sd: float, limit: float) -> Change:
    chance, beyond, way, sure = _judged(now - was, sd, limit)
    change = _about(now - was, sd, limit)
    told = state(
        "change.gap",
        clubs=list(pair),
        before=max(was, 0.0),
        after=max(now, 0.0),
        by=_sized(change),
        way=way,
        beyond=sure,
    )
    return Change("gap", tuple(c.id for c in pair), was, now, change, chance, beyond, told)


def _spread_change(
    seen: Seen, before: Collection[str | None], after: Collection[str | None]
) -> Callable[[float], Change] | None:
    """By the log of the ratio, whose variance is 1/2f a side for f degrees of freedom, and what days do to it; once the
    limit is known."""
    (was, free), (now, more) = _spread(seen, before), _spread(seen, after)
    if min(free, more) < LEAST_FREE or not min(was, now) > 0:
        return None
    by = math.log(now / was)
    sd = math.sqrt(0.5 / free + 0.5 / more + SPREAD_DAY_SD**2 * (1 / len(before) + 1 / len(after)))

    def change(limit: float) -> Change:
        chance, beyond, way, sure = _judged(by, sd, limit)
        ends = Interval(*(was * math.expm1(by + k * sd) for k in (0.0, -limit, limit)))
        told = state("change.spread", before=was, after=now, way=way, beyond=sure)
        return Change("spread", (), was, now, ends, chance, beyond, told)

    return change


def _sized(change: Interval) -> Interval:
    """A change without its sign, which the words say."""
    if change.mean >= 0:
        return change
    return Interval(-change.mean, -change.hi90, -change.lo90)


def _statements(
    case: Case, whole: Case, there: Conditions, order: Sequence[str | None], day_sd: float | None
) -> tuple[Statement, ...]:
    if day_sd is None:
        noted = weather_noted(conditions_of(case, order[0]))
        return (state("sessions.one_day", weather="noted" if noted else "unknown"),)
    out = [state("sessions.days", days=float(len(order)), differ=day_sd)]
    felt = {hit_in(whole, [Shot("", session=s)]) for s in order}
    if len(felt) > 1:
        out.append(state("sessions.one_air"))
    unknown = sum(not weather_noted(conditions_of(case, one)) for one in order)
    if unknown:
        out.append(state("sessions.no_weather", days=float(unknown), differ=UNKNOWN_AIR_SD))
    hit = {shot.club for shot in case.full_shots} | {shot.club for shot in case.retest}
    built = {one.id for job in case.jobs if job.what == "built" for one in job.clubs}
    heads = {club.became for club in case.bag if club.id in hit}
    if heads & hit and (worked := [club for club in case.bag if club.id in heads or club.id in built]):
        out.append(state("sessions.worked_on", clubs=worked))
    half_life = case.wants.half_life_days
    out.append(state("sessions.alike") if half_life is None else state("sessions.fade", days=half_life))
    return tuple(out)
