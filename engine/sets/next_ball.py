"""Which ball to hit next: the club, how far gripped down and how many, that would cut an open decision's doubt most.

The decision is the difference of one measure between two layouts, draw by draw. What is expected of ``n`` balls with a
club is the variance of the decision's mean given their mean carry. It is found by regression of the decision's draws on
the draws of that log carry, linear and quadratic (Strong, Oakley & Brennan 2014, Med. Decis. Making 34:311), and by the
normal distribution's share that the balls' own scatter leaves of the carry's variance: a closed form that does not need
to know how the balls will fly (preposterior analysis, Raiffa & Schlaifer 1961). The straight line alone finds a fifth of
what a simulation finds for the miss to the distances faced, which bends where the set ends.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..statements import Statement, state
from ..statements.kinds import KINDS
from ..swing.calibration import Posterior
from ..swing.observations import CARRY_FLOOR
from ..swing.parameters import INDEX, PARAMETERS
from ..swing.whitened import Normals
from ..units import INCH
from .compare import CRITERIA
from .predict import predict

Array = NDArray[np.float64]

GRIPS_DOWN_M = (0.0, 0.5 * INCH, INCH, 2 * INCH)  # [m] down the grip
BALLS = 10  # clubs are ranked by so many balls each
MOST_BALLS = 30
NEXT_BALL_WORTH = (
    0.005  # of the decision's variance: a ball that takes less is not worth its time; our choice
)
# Of the chance of choosing right: ten balls that gain less are not worth asking for. One choice in 33 turns out better at
# most, and 256 draws tell a chance no better (0.5/16 = 3 %). Common practice, no source.
LEAST_GAIN = 0.03
LEAST_SHARE = 0.15  # of the covariance: less is not told
MOST_AWAY = 4.0  # standard deviations: a carry further out counts as so far

_TOLD = set(KINDS["next_ball.tells"].terms["about"])


@dataclass(frozen=True, slots=True)
class Decision:
    """An open choice between layouts ``a`` and ``b``: draws (draws,) of one measure's difference, in its own unit.

    Positive where ``b`` is the better of the two.
    """

    a: str
    b: str
    measure: str
    draws: Array = field(repr=False)

    @property
    def variance(self) -> float:
        return float(self.draws.var())


@dataclass(frozen=True, slots=True)
class BallToHit:
    """Balls that could be hit next, and what they are expected to settle.

    grip_down_m : [m]; balls : those that the numbers are for; variance_before, variance_after : of the decision, in its
    unit squared; sd_cut : expected fall of its standard deviation; chance_right : expected chance of choosing the better
    layout once they are hit; balls_worth : how many are worth hitting; why : what they tell that the decision rests on.
    """

    club: str
    grip_down_m: float
    balls: int
    variance_before: float
    variance_after: float
    sd_cut: float
    chance_right: float
    balls_worth: int
    why: Statement

    @property
    def share_cut(self) -> float:
        """Share of the decision's variance expected to go, 0 to 1."""
        return 1 - self.variance_after / self.variance_before if self.variance_before > 0 else 0.0


@dataclass(frozen=True, slots=True)
class NextBalls:
    """Candidates for one decision, most useful first; empty when nothing is left to decide.

    chance_now : chance of choosing right as things stand.
    """

    a: str
    b: str
    measure: str
    chance_now: float
    ranking: tuple[BallToHit, ...]

    @property
    def best(self) -> BallToHit | None:
        return self.ranking[0] if self.ranking else None


@dataclass(frozen=True, slots=True)
class Learned:
    """What the balls that were hit did to a decision: variance, standard deviation and chance of choosing right."""

    variance_before: float
    variance_after: float
    share_cut: float
    chance_before: float
    chance_after: float
    statement: Statement


def decision_between(
    a: str, b: str, of_a: Mapping[str, Array], of_b: Mapping[str, Array], *, measure: str = "expected_miss_m"
) -> Decision:
    """The choice between two layouts by one of `engine.sets.compare.CRITERIA`, from the draws of `measures`.

    Raises
    ------
    ValueError : a measure that is not among them, or that one of the layouts lacks
    """
    better = {m.name: m.better for m in CRITERIA}
    if measure not in better or measure not in of_a or measure not in of_b:
        raise ValueError(f"`measure` must be one that both layouts have, not {measure!r}")
    more = of_b[measure] - of_a[measure]
    return Decision(a, b, measure, -more if better[measure] == "less" else more)


def next_balls(
    posterior: Posterior,
    decision: Decision,
    *,
    clubs: Sequence[Club],
    air: Air,
    spread: float,
    grips: Sequence[float] = GRIPS_DOWN_M,
    balls: int = BALLS,
    full_carry: Array | None = None,
    model: Aerodynamics | None = None,
) -> NextBalls:
    """Rank clubs and grips by how much of the decision's variance ``balls`` balls with each would take away.

    Parameters
    ----------
    posterior : of the swing as known now
    decision : over the same draws as ``posterior``
    clubs : that could be hit; putters are left out
    air : in which they would be hit
    spread : shot-to-shot standard deviation of carry as a share of it, `engine.swing.observations.carry_spread`
    grips : how far down the grip [m]
    balls : 1 to `MOST_BALLS`
    full_carry : carries [m] of ``clubs`` without the putters at full grip in ``air``, (draws, clubs), from
        `engine.sets.predict.predict`; worked out if not given

    Notes
    -----
    With ``R = v / (v + s^2)``, ``v`` the variance of a candidate's log carry and ``s^2`` that of the mean of its balls, the
    share of the decision's variance taken away is ``c1 R + c2 R^2``, ``c1`` and ``c2`` the shares that are linear and
    quadratic in the log carry. Balls already hit with that club and grip are allowed for: new ones only add to their
    number. That clubs may turn out to depart more or less than thought (`Posterior.own_sd`) is not foreseen.
    The expected chance of choosing right is that of `expected_chance`.

    Raises
    ------
    ValueError : draws of another number than the posterior's, or ``balls`` out of range
    """
    if not 1 <= balls <= MOST_BALLS:
        raise ValueError(f"`balls` must be from 1 to {MOST_BALLS}, not {balls}")
    if decision.draws.shape != (len(posterior.theta),):
        raise ValueError("`decision` must hold one value for each draw of `posterior`")
    hittable = [c for c in clubs if c.family != "putter"]
    variance, mean = decision.variance, float(decision.draws.mean())
    now = _chance_right(mean, variance)
    if not hittable or not grips or variance < 1e-12:
        return NextBalls(decision.a, decision.b, decision.measure, now, ())
    full = [(club, 0.0) for club in hittable]
    asked = [(club, float(grip)) for grip in grips for club in hittable]
    space = Normals(posterior, [c.id for c in hittable])
    slope = space.slopes(full + asked, air, model)
    slope_full, slope = slope[: len(full)], slope[len(full) :]
    if full_carry is None:
        full_carry = predict(posterior, tuple(hittable), air, model=model).carry
    log_carry = np.log(np.maximum(full_carry, 0.1)) + posterior.theta[:, INDEX["range_ball"], None]
    # a grip only shifts a club's carry, for which the straight line is good enough
    log_carry = (
        np.tile(log_carry, len(grips)) + space.draws @ (slope - np.tile(slope_full, (len(grips), 1))).T
    )
    usual = np.linalg.norm(slope, axis=1)
    z = np.clip((log_carry - np.median(log_carry, axis=0)) / usual, -MOST_AWAY, MOST_AWAY)
    known = z.var(axis=0) * usual**2
    linear, quadratic = _shares(decision.draws, z)
    left = known[:, None] / (known[:, None] + 1 / _added_precision(posterior, asked, spread))
    taken = np.minimum(linear[:, None] * left + quadratic[:, None] * left**2, 0.999)
    gain = np.diff(taken, axis=1, prepend=0.0, append=taken[:, -1:])
    after = variance * (1 - taken[:, balls - 1])
    chances = expected_chance(mean, variance, after)
    told = _why(space, asked, space.by_parameter(slope, space.regress(decision.draws)))
    ranking = tuple(
        BallToHit(
            club=asked[i][0].id,
            grip_down_m=asked[i][1],
            balls=balls,
            variance_before=variance,
            variance_after=float(after[i]),
            sd_cut=float(np.sqrt(variance) - np.sqrt(after[i])),
            chance_right=float(chances[i]),
            balls_worth=int(np.argmax(gain[i] < NEXT_BALL_WORTH)),
            why=told[i],
        )
        for i in np.argsort(after, kind="stable")
    )
    return NextBalls(decision.a, decision.b, decision.measure, now, ranking)


def _shares(draws: Array, z: Array) -> tuple[Array, Array]:
    """Shares of the draws' variance (candidates,) that are linear and quadratic in ``z`` (draws, candidates).

    Twice the squared standard error is taken off each, so that chance is not credited with a gain.
    """
    y = ((draws - draws.mean()) / draws.std())[:, None]
    z = (z - z.mean(axis=0)) / z.std(axis=0)
    square = z**2 - 1
    square = square - z * (z * square).mean(axis=0)
    square = square / np.sqrt((square**2).mean(axis=0))
    linear, quadratic = (
        np.maximum((y * part).mean(axis=0) ** 2 - 2 * (y * part).var(axis=0) / len(y), 0.0)
        for part in (z, square)
    )
    return linear, quadratic


def learned(before: Decision, after: Decision) -> Learned:
    """How much less open a decision is after balls were hit, whatever was expected of them.

    ``share_cut`` is negative where the new balls made it more open, as when they contradict the old ones.

    Raises
    ------
    ValueError : the two are not the same choice
    """
    if (before.a, before.b, before.measure) != (after.a, after.b, after.measure):
        raise ValueError("`before` and `after` must be the same choice by the same measure")
    old, new = before.variance, after.variance
    share = 1 - new / old if old > 0 else 0.0
    chances = [_chance_right(float(d.draws.mean()), d.variance) for d in (before, after)]
    doubt = "less" if share >= 0.01 else "same" if share > -0.01 else "more"
    said = state("next_ball.learned", share=abs(share), before=chances[0], after=chances[1], doubt=doubt)
    return Learned(old, new, share, chances[0], chances[1], said)


def expected_chance(mean: float, variance: float, after: ArrayLike) -> Array:
    """Expected chance of choosing the better of two once the variance of their difference has fallen.

    ``1 - 2 T(m / sd, sd_after / sd_cut)`` with Owen's function T (Owen 1956, Ann. Math. Statist. 27:1075), ``sd_cut^2`` the
    variance taken away; derived.

    Parameters
    ----------
    mean, variance : of the difference now, normal
    after : variance that will be left, from 0 to ``variance``
    """
    from scipy.special import owens_t

    left = np.clip(np.asarray(after, float), 0.0, variance)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.sqrt(left / (variance - left))
        size = abs(mean) / np.sqrt(variance)
    right: Array = 1 - 2 * owens_t(np.nan_to_num(size, posinf=1e6), np.where(np.isfinite(ratio), ratio, 1e12))
    return right


def _chance_right(mean: float, variance: float) -> float:
    from scipy.special import ndtr

    return float(ndtr(abs(mean) / np.sqrt(variance))) if variance > 0 else (1.0 if mean else 0.5)


def _added_precision(posterior: Posterior, asked: Sequence[tuple[Club, float]], spread: float) -> Array:
    """Precision (candidates, balls) that 1, 2, ... `MOST_BALLS` more balls add to a mean log carry."""
    if posterior.days is not None:  # they would be hit on a day of their own
        square = CARRY_FLOOR**2 + posterior.days.spread_sd**2
        return np.tile(1 / (spread**2 / np.arange(1, MOST_BALLS + 1) + square), (len(asked), 1))
    held = {(g.club.id, round(g.grip_down, 3)): g.carry.counted for g in posterior.summaries}
    had = np.array([held.get((club.id, round(grip, 3)), 0) for club, grip in asked], float)[:, None]
    more = had + np.arange(1, MOST_BALLS + 1)
    before = np.where(had > 0, 1 / (spread**2 / np.maximum(had, 1) + CARRY_FLOOR**2), 0.0)
    return 1 / (spread**2 / more + CARRY_FLOOR**2) - before


def _why(space: Normals, asked: Sequence[tuple[Club, float]], share: Array) -> list[Statement]:
    """What each candidate would tell that the decision rests on, the largest shares first.

    ``share`` (candidates, parameters + smooth + clubs): the covariance of decision and carry, parameter by parameter.
    """
    share = share * np.sign(share.sum(axis=1, keepdims=True))
    out = []
    for (club, grip), row in zip(asked, share, strict=True):
        own = space.count + space.clubs.index(club.id)
        told = []
        for k in np.argsort(-row)[:3]:
            if row[k] <= LEAST_SHARE * row.sum() or (k >= space.count and k != own):
                continue
            if k == own:
                told.append("own")
            elif k >= len(PARAMETERS):
                told.append("loft_shape")
            else:
                name = PARAMETERS[k].name
                told.append(name if name in _TOLD else "family")
        about = tuple(dict.fromkeys(told)) or ("many",)
        out.append(state("next_ball.tells", clubs=[club], grip=grip if grip > 0 else None, about=about))
    return out
