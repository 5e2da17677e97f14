"""What the measured shots say of the swing: the most probable parameters, their covariance, and draws from it.

The posterior is found by nonlinear least squares on whitened parameters (maximum a posteriori) and approximated by a
normal distribution at its top (Laplace; Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 4.1). Every club
that was hit has a discrepancy of its own, so that no club is forced onto the model.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Case
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import air_of, struck_in
from ..units import RPM
from .delivery import Clubs, carry, deliver
from .observations import ClubShots, Observation, gather
from .parameters import DISCREPANCY_SD, FULL_SHOT_FAMILIES, INDEX, PARAMETERS, prior

Array = NDArray[np.float64]

STEP = 0.05  # [prior sd], for the derivatives; the model is close to linear over such a step
DOUBT = 3.0  # a club this many standard deviations from what the others say is named, and trusted less
DOUBTED_SD = 0.25  # [log carry], discrepancy allowed to such a club
MISFIT_WEIGHT = 3.0  # clubs
MOST_MISFIT = 5.0  # a deviation counts for no more than this
MOST_SPREAD = 3.0  # the misfit factor counts for no more: beyond it lie swings that nobody has
SEED = 20260


@dataclass(frozen=True, slots=True)
class LeaveOneOut:
    """A club's carry as measured and as the other clubs predict it. Carries [m]; ``z`` in standard deviations."""

    club: str
    measured: float
    predicted: float
    low: float
    high: float
    z: float


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is known of the swing after the shots.

    mean, sd : (parameters,) at the most probable values; theta : (draws, parameters); own : log-carry discrepancy
    draws of each club that was hit, (draws,); prior_mean, prior_sd : (parameters,); misfit : (draws,), factor on
    every spread, learned from how well the clubs predict one another.
    """

    converged: bool
    status: str
    mean: Array
    sd: Array
    theta: Array
    own: dict[str, Array]
    prior_mean: Array
    prior_sd: Array
    misfit: Array
    left_out: tuple[LeaveOneOut, ...]
    doubted: tuple[str, ...]
    summaries: tuple[ClubShots, ...]
    # What `next_ball` needs: the top in whitened units and the curvature there.
    top: Array = field(repr=False)
    precision: Array = field(repr=False)
    clubs_hit: tuple[str, ...] = ()

    def discrepancy_sd(self, club_id: str) -> float:
        """Prior standard deviation of a club's log-carry discrepancy: larger for a club that is doubted."""
        return DOUBTED_SD if club_id in self.doubted else DISCREPANCY_SD

    def discrepancy(self, club_id: str) -> Array:
        """Log-carry discrepancy draws (draws,) of any club; clubs never hit draw from the prior, always the same."""
        if club_id in self.own:
            return self.own[club_id]
        return _normals(club_id, len(self.theta)) * (DISCREPANCY_SD * self.misfit)


def calibrate(case: Case, *, draws: int = 256, model: Aerodynamics | None = None) -> Posterior:
    """Posterior of the swing parameters given a case's body, stated speeds and shots.

    Never fails on a checked case: without shots it is the prior. ``draws`` of the posterior are made with a fixed
    seed, so that one case gives one answer.
    """
    observations, summaries = gather(case)
    mean, sd = prior(case)
    problem = _Problem(case, observations, mean, sd, model)
    doubted: list[str] = []
    fit = problem.solve(doubted)
    checks = problem.leave_one_out(fit)
    for _ in range(3):
        worst = max((c for c in checks if c.club not in doubted), key=lambda c: abs(c.z), default=None)
        if worst is None or abs(worst.z) < DOUBT or len(problem.clubs) < 3:
            break
        doubted.append(worst.club)
        fit = problem.solve(doubted)
        checks = problem.leave_one_out(fit)
    count = len(PARAMETERS)
    covariance = np.linalg.inv(fit.precision)
    root = np.linalg.cholesky(covariance)
    normal = np.random.default_rng(SEED).standard_normal((draws, count))
    # A club has the same normals before and after it is hit, so that new balls move the draws no more than they must.
    normal = np.column_stack([normal, *(_normals(club, draws) for club in problem.clubs)])
    misfit = _misfit(checks, draws)
    white = fit.top + misfit[:, None] * (normal @ root.T)
    scale = problem.discrepancy_scale(doubted)
    own = {club: white[:, count + i] * scale[i] for i, club in enumerate(problem.clubs)}
    for club in reversed(case.bag):  # a head that was bent or fitted anew keeps what its balls said of it
        if club.became and club.id in own:
            own.setdefault(club.became, own[club.id])
    return Posterior(
        converged=fit.converged,
        status=fit.status,
        mean=mean + sd * fit.top[:count],
        sd=sd * float(np.median(misfit)) * np.sqrt(np.diag(covariance)[:count]),
        misfit=misfit,
        theta=mean + sd * white[:, :count],
        own=own,
        prior_mean=mean,
        prior_sd=sd,
        left_out=checks,
        doubted=tuple(doubted),
        summaries=summaries,
        top=fit.top,
        precision=fit.precision,
        clubs_hit=problem.clubs,
    )


def _normals(club_id: str, draws: int) -> Array:
    """Standard normals (draws,) of a club's own, always the same."""
    return np.random.default_rng([SEED, zlib.crc32(club_id.encode())]).standard_normal(draws)


def _misfit(checks: tuple[LeaveOneOut, ...], draws: int) -> Array:
    """Draws (draws,) of the factor on all spreads, learned from how well clubs predict one another.

    The leave-one-out deviations are taken as normal with an unknown common scale whose prior is worth `MISFIT_WEIGHT`
    clubs at 1; its posterior is a scaled inverse chi-square (Gelman et al. 2013, section 2.6), so that intervals have
    Student's tails when few clubs were hit and widen when clubs contradict one another.
    """
    if not checks:
        return np.ones(draws)
    from scipy.special import gammaincinv

    z2 = sum(min(abs(c.z), MOST_MISFIT) ** 2 for c in checks)
    level = np.random.default_rng([SEED, 0]).permutation(draws)  # evenly spread, in no order
    chi2 = 2 * gammaincinv((MISFIT_WEIGHT + len(checks)) / 2, (level + 0.5) / draws)
    return np.minimum(np.sqrt((MISFIT_WEIGHT + z2) / chi2), MOST_SPREAD)


@dataclass(frozen=True, slots=True)
class _Fit:
    converged: bool
    status: str
    top: Array
    precision: Array
    residual: Array
    slope: Array


class _Problem:
    """Residuals and derivatives of a case's observations in whitened parameters and club discrepancies."""

    def __init__(
        self,
        case: Case,
        observations: tuple[Observation, ...],
        mean: Array,
        sd: Array,
        model: Aerodynamics | None,
    ):
        self.mean, self.sd, self.model = mean, sd, model
        self.observations = observations
        self.clubs = tuple(dict.fromkeys(o.club.id for o in observations if o.quantity == "carry"))
        self.air = air_of(struck_in(case.conditions))
        pairs = list(dict.fromkeys((o.club.id, o.grip_down) for o in observations))
        self.column = np.array([pairs.index((o.club.id, o.grip_down)) for o in observations], int)
        by_id = {o.club.id: o.club for o in observations}
        self.targets = (
            Clubs.of([by_id[i] for i, _ in pairs], grip_down=[g for _, g in pairs]) if pairs else None
        )
        self.value = np.array([o.value for o in observations])
        self.error = np.array([o.error for o in observations])
        self.own = np.array(
            [self.clubs.index(o.club.id) if o.quantity == "carry" else -1 for o in observations], int
        )
        # Parameters of families that nobody hit move nothing and need no flights.
        idle = set(FULL_SHOT_FAMILIES) - {o.club.family for o in observations}
        self.free = np.array(
            [s > 1e-6 and p.name.split("_")[0] not in idle for p, s in zip(PARAMETERS, sd, strict=True)]
        )

    def discrepancy_scale(self, doubted: list[str]) -> Array:
        return np.array([DOUBTED_SD if c in doubted else DISCREPANCY_SD for c in self.clubs])

    def predict(self, white: Array) -> Array:
        """Model values (rows, observations) for whitened parameters (rows, parameters)."""
        theta = self.mean + self.sd * white
        assert self.targets is not None
        delivery = deliver(theta, self.targets)
        need_carry = any(o.quantity == "carry" for o in self.observations)
        values = {
            "club_speed": np.log(delivery.club_speed),
            "ball_speed": np.log(delivery.ball_speed),
            "launch": delivery.launch,
            "attack": delivery.attack,
            "spin": np.log(np.maximum(delivery.spin, 1e-3) / RPM),
        }
        if need_carry:
            flight = carry(theta, delivery, self.air, model=self.model)
            values["carry"] = np.log(np.maximum(flight.carry, 0.1)) + theta[:, INDEX["range_ball"], None]
        return np.stack(
            [values[o.quantity][:, c] for o, c in zip(self.observations, self.column, strict=True)], axis=1
        )

    def linear(self, white: Array) -> tuple[Array, Array]:
        """Model values (observations,) and derivatives (observations, parameters) at one whitened point."""
        moved = np.flatnonzero(self.free)
        rows = np.repeat(white[None], len(moved) + 1, axis=0)
        rows[np.arange(1, len(moved) + 1), moved] += STEP
        values = self.predict(rows)
        slope = np.zeros((len(self.observations), len(white)))
        slope[:, moved] = ((values[1:] - values[0]) / STEP).T
        return values[0], slope

    def solve(self, doubted: list[str]) -> _Fit:
        from scipy.optimize import least_squares

        count, clubs = len(self.mean), len(self.clubs)
        scale = self.discrepancy_scale(doubted)
        carried = self.own >= 0
        memory: dict[bytes, tuple[Array, Array]] = {}

        def at(x: Array) -> tuple[Array, Array]:
            key = x.tobytes()
            if key not in memory:
                memory.clear()
                value, slope = (
                    self.linear(x[:count]) if self.observations else (np.zeros(0), np.zeros((0, count)))
                )
                full = np.zeros((len(value), count + clubs))
                full[:, :count] = slope
                full[carried, count + self.own[carried]] = scale[self.own[carried]]
                value = value + np.where(carried, (scale * x[count:])[self.own] if clubs else 0.0, 0.0)
                residual = np.concatenate([(value - self.value) / self.error, x])
                memory[key] = residual, np.concatenate([full / self.error[:, None], np.eye(count + clubs)])
            return memory[key]

        start = np.zeros(count + clubs)
        found = least_squares(
            lambda x: at(x)[0],
            start,
            jac=lambda x: at(x)[1],
            method="trf",
            x_scale=1.0,
            ftol=1e-5,
            xtol=1e-4,
            gtol=1e-5,
            max_nfev=40,
        )
        residual, jacobian = at(found.x)
        slope = jacobian[: len(self.observations)]
        return _Fit(
            converged=bool(found.success) and bool(np.isfinite(found.cost)),
            status=str(found.message),
            top=found.x,
            precision=jacobian.T @ jacobian,
            residual=residual[: len(self.observations)],
            slope=slope,
        )

    def leave_one_out(self, fit: _Fit) -> tuple[LeaveOneOut, ...]:
        """Each club's full-grip carry predicted from the other clubs, by one linear step from the top.

        Taking a club's rows J out of the normal equations moves the top by ``(H - J'J)^-1 J'r``.
        """
        out = []
        if len(self.clubs) < 2:
            return ()
        count = len(self.mean)
        for number, club in enumerate(self.clubs):
            rows = np.array([o.club.id == club and o.balls > 0 for o in self.observations])
            j, r = fit.slope[rows], fit.residual[rows]
            precision = fit.precision - j.T @ j
            covariance = np.linalg.inv(precision)
            step = covariance @ (j.T @ r)
            mine = [i for i, o in enumerate(self.observations) if o.club.id == club and o.quantity == "carry"]
            i = min(mine, key=lambda k: self.observations[k].grip_down)
            error = self.error[i]
            row = fit.slope[i] * error
            # the discrepancy of a club left out is that of any club never hit
            scale = row[count + number]
            row = row.copy()
            row[count + number] = 0.0
            shift = float(row @ step)
            variance = float(row @ covariance @ row) + DISCREPANCY_SD**2
            value = self.value[i] + fit.residual[i] * error - scale * fit.top[count + number] + shift
            sd = float(np.sqrt(variance))
            z = (self.value[i] - value) / float(np.hypot(sd, error))
            level = 1.6449 * sd
            out.append(
                LeaveOneOut(
                    club,
                    float(np.exp(self.value[i])),
                    float(np.exp(value)),
                    float(np.exp(value - level)),
                    float(np.exp(value + level)),
                    float(z),
                )
            )
        return tuple(out)
