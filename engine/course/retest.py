"""After the build: carries measured with the new clubs against those predicted, and which club to touch again.

A club is judged beside the others. What all clubs share, such as a slow day or another ball, is the overall bias and no
fault of one club; what is left of a club beyond both uncertainties is. What a day does to all clubs is allowed for as
between any two sessions, and taken off where a club that was not changed was hit beside the new ones
(`engine.swing.sessions.day_apart`). Where weather was not noted and no such club tells of it, nothing is judged.
The predictions of the clubs hang together (one swing), so each club is predicted again from the draws and from what the
other clubs measured, by the normal distribution's conditional mean (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013,
appendix A).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..bag.ball import NOTICED_M
from ..documents.case import Club, Shot
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..sets.predict import Prediction
from ..shots.summary import Summary, summarise
from ..statements import Statement, state
from ..statistics import NINETY, Interval, interval, sidak_limit
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, carry, deliver
from ..swing.observations import CARRY_FLOOR, SPREAD
from ..swing.sessions import CLUB_DAY_SD, day_sd

Array = NDArray[np.float64]

FALSE_ALARM = 0.03  # chance that any club of a sound set is called off; simulated players, whose clubs depart by more or
# less each, then have one false order in twenty re-tests at most
MOST_LOFT_DEG = (
    10.0  # off by more than a mistake at the bench: the wrong club noted, or a bad session; our choice
)
FEW_CLUBS = 3  # fewer that were hit tell a club from the day badly; our choice
TOLD_DAY = 0.005  # of carry, the least a day does that is told; our choice
LEAST_SLOPE = 0.003  # [log carry per deg]: under this, loft hardly moves carry


@dataclass(frozen=True, slots=True)
class ClubRetest:
    """One club after the build. Carries [m], angles [deg].

    measured, predicted : carries with 90 % intervals; difference : measured less predicted, with both uncertainties;
    z : that difference in standard deviations; expected : carry as draws and the other clubs' balls say; z_others : how
    far the measured lies from that; verdict : "within", "open" (noticeably off so far, but too uncertain to say), "long",
    "short", or "none" where the weather was not noted; sure : whether it carries as expected to within what a player
    notices, and its mean is known as well as that; loft_change : what would bring the club to ``expected``, more loft
    positive, None where the club is within, where loft would not move it or a bend is no cure: more than `MOST_LOFT_DEG`.
    """

    club: str
    balls: int
    measured: Interval
    predicted: Interval
    difference: Interval
    z: float
    expected: Interval
    z_others: float
    verdict: str
    sure: bool
    loft_change: Interval | None
    statement: Statement


@dataclass(frozen=True, slots=True)
class Retest:
    """Every club that was hit again; ``bias``: share by which all carry more than predicted; ``touch``: ids, worst first.

    limit : standard deviations beyond which a club is called off, for three false alarms in a hundred sound sets.
    """

    clubs: tuple[ClubRetest, ...]
    bias: Interval | None
    touch: tuple[str, ...]
    limit: float
    statements: tuple[Statement, ...]


def measured_carries(shots: Sequence[Shot]) -> dict[str, Summary]:
    """Robust summary of the full-grip carries of each club; shots switched off are left out."""
    carries: dict[str, list[tuple[float, bool, float]]] = {}
    for shot in shots:
        if shot.use and shot.carry_m is not None and shot.grip_down_m < 5e-4:
            carries.setdefault(shot.club, []).append((shot.carry_m, shot.keep, shot.balls))
    return {
        club: summarise(
            [value for value, _, _ in told],
            spread_prior=SPREAD["carry"],
            keep=[keep for _, keep, _ in told],
            balls=[balls for _, _, balls in told],
        )
        for club, told in carries.items()
    }


def loft_slopes(
    posterior: Posterior, clubs: Sequence[Club], air: Air, *, model: Aerodynamics | None = None
) -> Array:
    """Change of log carry for a degree more loft (clubs,), by the forward model at the most probable swing."""
    arrays = Clubs.of(clubs)
    ends = []
    for step in (-1.0, 1.0):
        moved = Clubs(arrays.length, arrays.loft + step, arrays.head, arrays.family)
        theta = posterior.mean[None]
        ends.append(np.log(np.maximum(carry(theta, deliver(theta, moved), air, model=model).carry[0], 0.1)))
    slope: Array = (ends[1] - ends[0]) / 2
    return slope


def retest(
    prediction: Prediction,
    measured: Mapping[str, Summary],
    *,
    loft_slope: Array,
    log_ball: Array | None = None,
    day: Array | None = None,
    day_off: float | None = None,
    unknown: str = "",
) -> Retest:
    """Compare what was measured after the build with what was predicted, club by club.

    Parameters
    ----------
    prediction : of the clubs as wanted, in the air in which the new balls were hit
    measured : summary of each club's carries [m], from `measured_carries`; clubs that the prediction lacks are ignored
    loft_slope : (clubs,) of the prediction, from `loft_slopes`
    log_ball : (draws,) log factor on carry of the balls that were hit, the posterior's ``range_ball``; none if not given
    day : (clubs, clubs) covariance of what the days do to log carry; that of one day from another, all clubs alike, if not
        given
    day_off : share of carry that the day was found to add, and that has been taken off; ``None`` where none was
    unknown : "before", "after" or "both" where the weather of those balls was not noted, so that no club is judged

    Notes
    -----
    In log carry. A club that is called off no longer speaks for the others, and they are judged again. The limit is Sidak's
    for ``FALSE_ALARM`` over the clubs measured.

    Raises
    ------
    ValueError : as many slopes as clubs are wanted
    """
    if np.shape(loft_slope) != (len(prediction.clubs),):
        raise ValueError("`loft_slope` must hold one value for each club of `prediction`")
    places = [i for i, c in enumerate(prediction.clubs) if c.id in measured and measured[c.id].mean > 0]
    limit = sidak_limit(len(places), false_alarm=FALSE_ALARM)
    if not places:
        return Retest((), None, (), limit, (state("retest.none"),))
    clubs = [prediction.clubs[i] for i in places]
    said = [measured[c.id] for c in clubs]
    draws = np.log(np.maximum(prediction.carry[:, places], 0.1))
    if log_ball is not None:
        draws = draws + np.asarray(log_ball, float)[:, None]
    mean, spread = draws.mean(axis=0), np.atleast_2d(np.cov(draws, rowvar=False))
    value = np.log([s.mean for s in said])
    error = np.hypot(
        [s.spread / s.mean / np.sqrt(s.counted) for s in said], np.hypot(CARRY_FLOOR, CLUB_DAY_SD)
    )
    days = 2 * day_sd("carry") ** 2 if day is None else day[np.ix_(places, places)]
    off, expected, sd = _judge(mean, spread + days, value, error, limit)
    if unknown:
        off = []
    z_others = (value - expected) / np.hypot(sd, error)
    sound = [i for i in range(len(clubs)) if i not in off] or list(range(len(clubs)))
    bias = _bias((value - mean)[sound], spread[np.ix_(sound, sound)] + np.diag(error[sound] ** 2))
    # what one club alone shows need not be the day's doing
    shared = len(sound) > 1 and (bias.lo90 > 0 or bias.hi90 < 0)
    against = np.exp(np.array(expected if shared else mean))
    apart = np.exp(value) - against
    ways = {apart[i] > 0 for i in range(len(clubs)) if i not in off and abs(apart[i]) > NOTICED_M}
    rows = tuple(
        _club(
            club,
            told,
            interval(np.exp(draws[:, i])),
            mean[i],
            float(np.sqrt(spread[i, i])),
            expected[i],
            sd[i],
            value[i],
            error[i],
            z_others[i],
            i in off,
            float(loft_slope[places[i]]),
            apart=float(apart[i]),
            judged=not unknown,
            also="nothing" if len(ways) > 1 else "other_clubs" if len(clubs) < FEW_CLUBS else "another_day",
        )
        for i, (club, told) in enumerate(zip(clubs, said, strict=True))
    )
    touch = tuple(clubs[i].id for i in sorted(off, key=lambda i: -abs(z_others[i])))
    told = (
        (state("retest.no_weather", of=unknown),)
        if unknown
        else _statements(bias, shared, clubs, rows, touch)
    )
    if day_off is not None and abs(day_off) >= TOLD_DAY:
        told = (state("retest.day", share=day_off), *told)
    return Retest(rows, bias, touch, limit, told)


def _judge(
    mean: Array, spread: Array, value: Array, error: Array, limit: float
) -> tuple[list[int], Array, Array]:
    """Clubs that are off, and mean and standard deviation of each log carry given the other sound clubs."""
    off: list[int] = []
    while True:
        expected, sd = np.array(mean), np.sqrt(np.diag(spread))
        for i in range(len(mean)):
            others = [k for k in range(len(mean)) if k != i and k not in off]
            if others:
                known = spread[np.ix_(others, others)] + np.diag(error[others] ** 2)
                share = np.linalg.solve(known, spread[others, i])
                expected[i] = mean[i] + share @ (value[others] - mean[others])
                sd[i] = np.sqrt(max(spread[i, i] - share @ spread[others, i], 0.0))
        z = np.abs(value - expected) / np.hypot(sd, error)
        worst = max((i for i in range(len(mean)) if i not in off), key=lambda i: z[i], default=None)
        if worst is None or z[worst] <= limit:
            return off, expected, sd
        off.append(worst)


def _bias(difference: Array, covariance: Array) -> Interval:
    """Common share by which carries differ, by generalised least squares, with its 90 % interval."""
    weight = np.linalg.solve(covariance, np.ones(len(difference)))
    middle, half = float(weight @ difference / weight.sum()), NINETY / float(np.sqrt(weight.sum()))
    return Interval(*(float(np.expm1(middle + k * half)) for k in (0, -1, 1)))


def _around(log_carry: float, sd: float) -> Interval:
    return Interval(*(float(np.exp(log_carry + k * NINETY * sd)) for k in (0, -1, 1)))


def _club(
    club: Club,
    told: Summary,
    predicted: Interval,
    mean: float,
    mean_sd: float,
    expected: float,
    expected_sd: float,
    value: float,
    error: float,
    z_others: float,
    off: bool,
    slope: float,
    *,
    apart: float,
    judged: bool,
    also: str,
) -> ClubRetest:
    away, away_sd = float(value - mean), float(np.hypot(mean_sd, error))
    base = float(np.exp(mean))
    difference = Interval(*(base * float(np.expm1(away + k * NINETY * away_sd)) for k in (0, -1, 1)))
    change: Interval | None = None
    verdict = "within"
    told_of = state("retest.within", clubs=[club])
    balls = told.balls_for(NOTICED_M)
    sure = judged and not off and abs(apart) <= NOTICED_M and balls == 0
    if not judged:
        verdict, told_of = "none", state("retest.not_judged", clubs=[club])
    elif not off and abs(apart) > NOTICED_M:
        verdict = "open"
        told_of = state(
            "retest.open",
            clubs=[club],
            by=abs(apart),
            balls=balls or None,
            way="long" if apart > 0 else "short",
            also=also,
        )
    if off:
        verdict = "long" if z_others > 0 else "short"
        if slope < -LEAST_SLOPE:
            middle = float(value - expected) / -slope
            half = NINETY * float(np.hypot(expected_sd, error)) / -slope
            if abs(middle) <= MOST_LOFT_DEG:
                change = Interval(middle, middle - half, middle + half)
        told_of = state(
            "retest.off",
            clubs=[club],
            by=abs(float(np.exp(value) - np.exp(expected))),
            loft=change,
            cure="bend" if change else "none" if slope >= -LEAST_SLOPE else "hit_again",
            way="more" if z_others > 0 else "less",
        )
    return ClubRetest(
        club.id,
        told.counted,
        _around(value, error),
        predicted,
        difference,
        float(away / away_sd) if away_sd > 0 else 0.0,
        _around(expected, expected_sd),
        float(z_others),
        verdict,
        sure,
        change,
        told_of,
    )


def _statements(
    bias: Interval, shared: bool, clubs: Sequence[Club], rows: Sequence[ClubRetest], touch: Sequence[str]
) -> tuple[Statement, ...]:
    """What all clubs share, where anything can be said of it, and last which clubs to adjust or to hit on."""
    unsettled = {row.club for row in rows if row.verdict == "open"}
    out = []
    if shared:
        out.append(state("retest.all_off", share=bias))
    elif not unsettled and not touch:
        out.append(state("retest.all_as_predicted"))
    if unsettled:
        out.append(state("retest.unsettled", clubs=[c for c in clubs if c.id in unsettled]))
    elif not touch and not all(row.sure for row in rows):
        out.append(state("retest.none_off_so_far"))
    if touch or all(row.sure for row in rows):
        out.append(state("retest.touch", clubs=[c for c in clubs if c.id in touch]))
    return tuple(out)
