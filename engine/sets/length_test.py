"""A test at the range that shows what a length does: two lengths of one club, how many balls, and what that can find.

All three tests are one-sided at 5 %: Student's t of two means for the carry, F of two variances for the spread, and
Fisher's exact test of two shares for the strike, told by the mishits. A power is the chance that a difference of such a size
is found.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Case, Club
from ..physics.air import Air
from ..shots.summary import PRIOR_BALLS
from ..statistics import Interval
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, carry, deliver
from ..swing.observations import ClubShots
from ..units import INCH

Array = NDArray[np.float64]

LEVEL = 0.05
POWER = 0.80
BLOCK = 5  # balls with one length before the other's turn
MOST_EACH = 50  # balls with each length that one session bears; ours, no source
SECONDS_A_BALL = 40  # with a look at the number, and changing over between blocks; common practice, no source
MOST_GRIP_DOWN_M = 0.052  # two inches: hands on a usual grip go no lower; common practice, no source
LEAST_CHANGE_M = 0.006
GRIP_STEP_M = 0.5 * INCH  # in which a length down the grip is told and held; common practice, no source
USUAL_MISHITS = (
    0.10  # share of a middling handicap's balls that `engine.shots.mishits` sets aside; ours, no source
)
MISHITS_PRIOR_BALLS = 10  # balls that this share counts for; ours, no source
LEAST_BALLS = 4  # with each length, before a spread is told


@dataclass(frozen=True, slots=True)
class Turn:
    """Balls in a row with one length: gripped down or not."""

    gripped_down: bool
    balls: int


@dataclass(frozen=True, slots=True)
class LengthTest:
    """The plan of a test.

    club : that is hit, at its full length [m] and gripped down to the short one, by so much
    balls_each : with either length; turns : in order, so that tiring bears on both alike; minutes : it takes
    expected_m : carry that the full length has more [m]
    finds_m : difference of mean carries found with `POWER`; finds_ratio : and of spreads, the tighter over the wider
    needed_ratio : spread that is needed for the other set to break even
    shows_carry, shows_spread : whether a session finds the expected difference, and the needed spread
    balls_for_spread : with each length to find the needed spread, ``None`` where none is needed
    mishits : share of balls at full length that are struck badly, mishits_noted : whether the player had any, or it is
    assumed; finds_mishits : the share gripped down at which fewer are
    found with `POWER`, ``None`` where a session finds not even none at all
    """

    club: Club
    full_m: float
    short_m: float
    grip_down_m: float
    balls_each: int
    turns: tuple[Turn, ...]
    minutes: int
    expected_m: Interval
    finds_m: float
    finds_ratio: float
    needed_ratio: float
    shows_carry: bool
    shows_spread: bool
    balls_for_spread: int | None
    mishits: float
    finds_mishits: float | None
    mishits_noted: bool


@dataclass(frozen=True, slots=True)
class SpreadByLength:
    """Spread gripped down over spread at full length, of all clubs hit both ways; 90 % interval by F [-].

    balls_down, balls_full : that count; mishits_down, mishits_full : set aside beside them
    """

    ratio: Interval
    balls_down: int
    balls_full: int
    mishits_down: int = 0
    mishits_full: int = 0


def carry_power(difference_m: float, *, sd_m: float, balls_each: int) -> float:
    """Chance to find that one mean carry is so much more than another, by Student's t of two groups of alike spread."""
    from scipy.special import nctdtr, stdtrit  # late: scipy need not be there when the page starts

    free = 2 * (balls_each - 1)
    return float(
        1 - nctdtr(free, abs(difference_m) / (sd_m * math.sqrt(2 / balls_each)), stdtrit(free, 1 - LEVEL))
    )


def spread_power(ratio: float, *, balls_each: int) -> float:
    """Chance to find that one spread is ``ratio`` of another (under 1), by F of two variances of normal carries."""
    from scipy.special import fdtrc, fdtri

    free = balls_each - 1
    return float(fdtrc(free, free, fdtri(free, free, 1 - LEVEL) * ratio**2))


def least_difference(*, sd_m: float, balls_each: int, power: float = POWER) -> float:
    """The difference of mean carries [m] that is found with this power."""
    low, high = 0.0, 10 * sd_m
    for _ in range(50):
        middle = (low + high) / 2
        if carry_power(middle, sd_m=sd_m, balls_each=balls_each) < power:
            low = middle
        else:
            high = middle
    return high


def least_ratio(*, balls_each: int, power: float = POWER) -> float:
    """The ratio of spreads under 1 that is found with this power."""
    from scipy.special import fdtri

    free = balls_each - 1
    return float(math.sqrt(fdtri(free, free, 1 - power) / fdtri(free, free, 1 - LEVEL)))


def balls_for_ratio(ratio: float, *, power: float = POWER) -> int:
    """Balls with each length to find a ratio of spreads under 1 with this power.

    Raises
    ------
    ValueError
        If the ratio is not between 0 and 1.
    """
    if not 0 < ratio < 1:
        raise ValueError(f"`ratio` must be between 0 and 1, not {ratio}")
    low, high = 2, 4
    while least_ratio(balls_each=high, power=power) < ratio:
        low, high = high, 2 * high
        if high > 10**8:
            return high
    while high - low > 1:
        middle = (low + high) // 2
        if least_ratio(balls_each=middle, power=power) < ratio:
            low = middle
        else:
            high = middle
    return high


def mishits_power(full: float, down: float, *, balls_each: int) -> float:
    """Chance to find that a smaller share of balls is struck badly gripped down, by Fisher's exact test (1935)."""
    return float(_binomial(full, balls_each) @ _fewer(balls_each) @ _binomial(down, balls_each))


def _fewer(n: int) -> NDArray[np.bool_]:
    """Which mishits of n at full length (rows) and of n gripped down (columns) show that gripped down there are fewer."""
    logs = _coefficients(n)
    found = np.zeros((n + 1, n + 1), bool)
    for both in range(2 * n + 1):
        down = np.arange(max(both - n, 0), min(both, n) + 1)
        weight = logs[down] + logs[both - down]
        weight = np.exp(weight - weight.max())
        found[both - down, down] = np.cumsum(weight) < LEVEL * weight.sum()
    return found


def _coefficients(n: int) -> Array:
    """Logarithms of the binomial coefficients of n."""
    logs = np.array([math.lgamma(k + 1) for k in range(n + 1)])
    return np.asarray(logs[n] - logs - logs[::-1])


def _binomial(share: float, n: int) -> Array:
    """Chances of 0 to n of n at this share."""
    counts = np.arange(n + 1)
    if share <= 0:
        return np.asarray(counts == 0, float)
    return np.asarray(np.exp(_coefficients(n) + counts * math.log(share) + (n - counts) * math.log1p(-share)))


def most_mishits(full: float, *, balls_each: int, power: float = POWER) -> float | None:
    """The share gripped down at which fewer mishits are found with this power; ``None`` where not even none is found."""
    by_down = _binomial(full, balls_each) @ _fewer(balls_each)
    if by_down[0] < power:
        return None
    low, high = 0.0, full
    for _ in range(20):
        middle = (low + high) / 2
        if by_down @ _binomial(middle, balls_each) < power:
            high = middle
        else:
            low = middle
    return low


def mishits_share(groups: Sequence[ClubShots]) -> float:
    """Share of a player's balls that are mishits, with those of the usual one."""
    balls = sum(g.carry.n for g in groups)
    left_out = sum(g.carry.left_out for g in groups)
    return (left_out + USUAL_MISHITS * MISHITS_PRIOR_BALLS) / (balls + MISHITS_PRIOR_BALLS)


def turns(balls_each: int, *, block: int = BLOCK) -> tuple[Turn, ...]:
    """Blocks in the order full, down, down, full, so that what drifts along the session bears on both alike.

    Blocks that follow each other with the same length are told apart: there is a pause between them.
    """
    blocks = 2 * math.ceil(balls_each / (2 * block))  # an even number with each length closes the round
    sizes = [balls_each // blocks + (i < balls_each % blocks) for i in range(blocks)]
    out: list[Turn] = []
    for i in range(0, blocks, 2):
        a, b = sizes[i], sizes[i + 1]
        out += [Turn(False, a), Turn(True, a), Turn(True, b), Turn(False, b)]
    return tuple(out)


def club_to_test(present: Sequence[Club], other: Sequence[Club]) -> tuple[Club, float] | None:
    """The present iron or wedge that another set shortens most, within what gripping down reaches, and by how much [m].

    By how much goes in halves of an inch, as a grip is held. ``None`` where it shortens none by as much as a player could
    notice.
    """
    wanted = {c.id: c for c in other}
    shorter = [
        (c.length_m - wanted[c.id].length_m, c)
        for c in present
        if c.family in ("iron", "wedge") and c.id in wanted
    ]
    fit = [(d, c) for d, c in shorter if LEAST_CHANGE_M <= d <= MOST_GRIP_DOWN_M]
    if not fit:
        return None
    change, club = max(fit, key=lambda one: (round(one[0], 4), -one[1].loft_deg))
    return club, GRIP_STEP_M * max(round(change / GRIP_STEP_M), 1)


def carry_lost(posterior: Posterior, club: Club, grip_down_m: float, air: Air) -> Array:
    """Carry [m] (draws,) that a club has more at full length than gripped down so far [m]."""
    both = [
        carry(posterior.theta, deliver(posterior.theta, Clubs.of((club,), grip_down=grip)), air).carry[:, 0]
        for grip in (0.0, grip_down_m)
    ]
    return np.asarray((both[0] - both[1]) * np.exp(posterior.departure((club,))[:, 0]))


def spread_degrees(groups: Sequence[ClubShots]) -> float:
    """Degrees of freedom that the player's spread of carry rests on, with those of the usual one."""
    told = (g.carry.degrees - PRIOR_BALLS for g in groups)
    return PRIOR_BALLS + math.fsum(free for free in told if free > 0)


def plan_test(
    club: Club,
    grip_down_m: float,
    *,
    expected_m: Interval,
    carry_m: float,
    spread: float,
    needed_ratio: float,
    mishits: float = USUAL_MISHITS,
    mishits_noted: bool = False,
) -> LengthTest:
    """The plan for a club gripped down so far [m].

    Parameters
    ----------
    expected_m : carry that it has more at full length [m]
    carry_m : mean carry of the club; spread : standard deviation as a share of it
    needed_ratio : of spreads, from `engine.sets.break_even`
    mishits : share of the player's balls that are mishits, from `mishits_share`; mishits_noted : whether any were
    """
    sd = spread * carry_m
    step = 2 * BLOCK
    counts = range(2 * step, MOST_EACH + 1, step)
    wanted = abs(expected_m.mean)
    each = next((n for n in counts if carry_power(wanted, sd_m=sd, balls_each=n) >= POWER), MOST_EACH)
    finds = least_difference(sd_m=sd, balls_each=each)
    ratio = least_ratio(balls_each=each)
    needs = needed_ratio < 1
    return LengthTest(
        club=club,
        full_m=club.length_m,
        short_m=club.length_m - grip_down_m,
        grip_down_m=grip_down_m,
        balls_each=each,
        turns=turns(each),
        minutes=5 * math.ceil(2 * each * SECONDS_A_BALL / 60 / 5),
        expected_m=expected_m,
        finds_m=finds,
        finds_ratio=ratio,
        needed_ratio=needed_ratio,
        shows_carry=wanted >= finds,
        shows_spread=needs and needed_ratio <= ratio,
        balls_for_spread=balls_for_ratio(needed_ratio) if needs else None,
        mishits=mishits,
        finds_mishits=most_mishits(mishits, balls_each=each),
        mishits_noted=mishits_noted,
    )


def spread_by_length(case: Case, groups: Sequence[ClubShots]) -> SpreadByLength | None:
    """What the balls say so far, over all sessions in the case, of clubs that were hit both gripped down and not.

    Spreads are pooled as shares of the carry over clubs; balls set aside as mishits and means of several balls do not
    count, and balls of different sessions are not held against one another. ``None`` under `LEAST_BALLS` each way.

    groups : the carries by club and grip, of the posterior
    """
    from scipy.special import fdtri

    by_club: dict[str, dict[bool, list[tuple[float, float]]]] = {}
    mishits: dict[tuple[str, bool], int] = {}
    for group in groups:
        by_session: dict[str | None, list[float]] = {}
        for i, counts in zip(group.shots, group.carry.used, strict=True):
            shot = case.shots[i]
            if counts and shot.balls <= 1 and shot.carry_m is not None and shot.carry_m > 0:
                by_session.setdefault(shot.session, []).append(math.log(shot.carry_m))
        key = (group.club.id, group.grip_down > 0)
        told = [logs for logs in by_session.values() if len(logs) >= 2]
        for logs in told:
            mean = math.fsum(logs) / len(logs)
            squares = math.fsum((x - mean) ** 2 for x in logs)
            by_club.setdefault(key[0], {}).setdefault(key[1], []).append((squares, len(logs)))
        if told:
            mishits[key] = mishits.get(key, 0) + group.carry.left_out
    two_ways = {club for club, ways in by_club.items() if len(ways) == 2}
    both = [by_club[club] for club in by_club if club in two_ways]
    total = {}
    for down in (True, False):
        parts = [part for ways in both for part in ways[down]]
        balls = int(sum(n for _, n in parts))
        total[down] = (math.fsum(s for s, _ in parts), balls - len(parts), balls)
    (s_down, free_down, n_down), (s_full, free_full, n_full) = total[True], total[False]
    if min(n_down, n_full) < LEAST_BALLS or min(s_down, s_full) <= 0:
        return None
    square = (s_down / free_down) / (s_full / free_full)
    low, high = (square / fdtri(free_down, free_full, q) for q in (0.95, 0.05))
    aside = {
        way: sum(n for (club, down), n in mishits.items() if down is way and club in two_ways)
        for way in total
    }
    return SpreadByLength(
        Interval(math.sqrt(square), math.sqrt(low), math.sqrt(high)),
        n_down,
        n_full,
        aside[True],
        aside[False],
    )
