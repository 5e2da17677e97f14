"""What the measured shots say of the swing: the most probable parameters, their covariance, and draws from it.

The top of the posterior is found by nonlinear least squares on whitened unknowns (maximum a posteriori). About it the
model is a straight line, in which everything but the sizes of the departures is normal, so that their evidence, what
the clubs say of one another and the draws follow in closed form (`engine.swing.conditioning`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..documents.case import Case, Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import air_of, struck_in
from ..statistics import NINETY
from ..units import RPM
from . import departures
from .conditioning import SEED as SEED
from .conditioning import Chances, Drawn, Line, condition, foreseen, standard_normals
from .delivery import Clubs, carry, deliver
from .observations import ClubShots, Seen, see
from .parameters import FULL_SHOT_FAMILIES, INDEX, PARAMETERS, prior
from .sessions import Pooled, hit_in
from .ties import TIE_SPEED, TIED, TIES, Tied, usual_clubs, weights

Array = NDArray[np.float64]

STEP = 0.05  # [prior sd], for the derivatives; the model is close to linear over such a step
AT_ODDS_SDS = 3.0  # two clubs this many standard deviations apart cannot both be right
MOST_DOUBTED = 3


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

    mean, sd : (parameters,); theta : (draws, parameters); smooth : (draws, `departures.SIZE`), weights of the departure
    over loft that all clubs share; own : own log-carry departure of each club that was hit, (draws,); own_sd :
    (draws,), the standard deviation of such departures; prior_mean, prior_sd : (parameters,); families : of the clubs
    by id; doubted : clubs that may well be wrong, which count for less; days : what the sessions say of one another;
    day : effect of each of several sessions on log carry, as all that is known has it; unknown : standard deviation of log
    carry by club for what is not known of it.
    """

    converged: bool
    status: str
    mean: Array
    sd: Array
    theta: Array
    smooth: Array
    own: dict[str, Array]
    own_sd: Array
    prior_mean: Array
    prior_sd: Array
    left_out: tuple[LeaveOneOut, ...]
    doubted: tuple[str, ...]
    summaries: tuple[ClubShots, ...]
    families: dict[str, str]
    # What `next_ball` needs: the top in whitened unknowns and the curvature there (parameters, smooth, clubs hit).
    top: Array = field(repr=False)
    precision: Array = field(repr=False)
    smooth_sd: Array = field(repr=False)
    clubs_hit: tuple[str, ...] = ()
    unknown: dict[str, float] = field(default_factory=dict)
    days: Pooled | None = None
    day: Mapping[str | None, float] = field(default_factory=dict)

    def discrepancy_sd(self, club_id: str) -> float:
        """Standard deviation of a club's own log-carry departure: larger for a club that is doubted."""
        usual = departures.WOOD_SD
        if departures.learned(self.families.get(club_id, "iron")):
            usual = float(np.sqrt(np.mean(self.own_sd**2)))
        usual = float(np.hypot(usual, self.unknown.get(club_id, 0.0)))
        return float(np.hypot(usual, departures.WRONG_SD)) if club_id in self.doubted else usual

    def discrepancy(self, club_id: str) -> Array:
        """Draws (draws,) of a club's own log-carry departure; clubs never hit draw from the prior, always the same."""
        if club_id in self.own:
            return self.own[club_id]
        size = self.own_sd if departures.learned(self.families.get(club_id, "iron")) else departures.WOOD_SD
        return standard_normals(club_id, len(self.theta)) * np.hypot(size, self.unknown.get(club_id, 0.0))

    def of_loft(self, loft: ArrayLike, families: tuple[str, ...]) -> Array:
        """Draws (draws, clubs) of the departure [log carry] that goes with lofts [deg] of these families."""
        return (
            departures.expected(self.theta, loft, families) + self.smooth @ departures.basis(loft, families).T
        )

    def departure(self, clubs: Sequence[Club]) -> Array:
        """Draws (draws, clubs) of the whole departure [log carry] of clubs: that of their loft and their own."""
        whole = self.of_loft([c.played_loft_deg for c in clubs], tuple(c.family for c in clubs))
        return whole + np.stack([self.discrepancy(c.id) for c in clubs], axis=1) if clubs else whole


def calibrate(case: Case, *, draws: int = 256, model: Aerodynamics | None = None) -> Posterior:
    """Posterior of the swing parameters given a case's body, stated speeds and shots.

    Never fails on a checked case: without shots it is the prior. ``draws`` of the posterior are made with fixed
    normals, so that one case gives one answer and a few more balls move the draws no more than they must.
    """
    seen = see(case)  # before the next line, since sessions that state no conditions have the case's
    case = replace(case, conditions=hit_in(case))
    mean, sd = prior(case)
    problem = _Problem(case, seen, mean, sd, model)
    doubted: tuple[str, ...] = ()
    while True:
        fit = problem.solve(doubted)
        chances = Chances.of(fit.line, doubted)
        worst = chances.worst() if len(doubted) < MOST_DOUBTED else None
        if worst is None:
            break
        doubted = (*doubted, worst)
    drawn = condition(fit.line, chances, draws, bend=lambda *free: problem.bend(fit, *free))
    white = problem.white(fit, drawn.white, drawn.smooth)
    count = len(PARAMETERS)
    smooth_sd = departures.weight_sd(np.sqrt(chances.mean_square(departures.BEND_SD, axis=1)))
    own_sd = np.sqrt(chances.mean_square(departures.OWN_SD, axis=0))
    named = chances.named()
    scale = np.concatenate([np.ones(count), smooth_sd, fit.line.own_sd(own_sd, named)])
    own = {club: drawn.own[:, i] for i, club in enumerate(problem.clubs)}
    for club in case.bag:  # a head that was bent or fitted anew keeps what its balls said of it
        if (head := problem.head_of(club.id)) in own:
            own[club.id] = own[head]
    return Posterior(
        converged=fit.converged,
        status=fit.status,
        mean=mean + sd * np.where(problem.woods, white.mean(axis=0), chances.mean),
        sd=sd * np.where(problem.woods, white.std(axis=0), chances.sd),
        theta=mean + sd * white,
        smooth=drawn.smooth,
        own=own,
        own_sd=drawn.own_sd,
        prior_mean=mean,
        prior_sd=sd,
        left_out=problem.left_out(fit, doubted),
        doubted=tuple(c.id for head in named for c in case.bag if problem.head_of(c.id) == head),
        summaries=seen.summaries,
        days=seen.days,
        day=problem.days(fit, seen, white, drawn),
        families={c.id: c.family for c in case.bag},
        top=fit.top * fit.scale / scale,
        precision=fit.tied.precision(fit.line.precision(own_sd, smooth_sd, named), smooth_sd),
        smooth_sd=smooth_sd,
        clubs_hit=problem.clubs,
        unknown={c.id: departures.unknown_sd(c) for c in case.bag if c.estimated},
    )


@dataclass(frozen=True, slots=True)
class _Fit:
    """The top in whitened unknowns, the departures at their typical sizes (``scale``), and the straight model about it.

    slope : (observations, parameters), by whitened parameters; the ``line`` is in the normals that they are tied to
    told, of_told : the ties there and their slopes
    """

    converged: bool
    status: str
    top: Array
    scale: Array
    line: Line
    at_top: Array
    slope: Array
    tied: Tied
    told: Array
    of_told: Array


class _Problem:
    """A case's observations and ties, and what the model makes of them in whitened parameters and departures."""

    def __init__(
        self,
        case: Case,
        seen: Seen,
        mean: Array,
        sd: Array,
        model: Aerodynamics | None,
    ):
        self.mean, self.sd, self.model = mean, sd, model
        self.observations = observations = seen.observations
        self.heads = {c.id: c.became or c.id for c in case.bag}
        self.clubs = tuple(
            dict.fromkeys(self.head_of(o.club.id) for o in observations if o.quantity == "carry")
        )
        self.air = air_of(struck_in(case.conditions))
        pairs = list(dict.fromkeys((o.club.id, o.grip_down) for o in observations))
        by_id = {o.club.id: o.club for o in observations}
        version = _versions(case)
        now = {self.head_of(i): c for i, c in sorted(by_id.items(), key=lambda pair: version[pair[0]])}
        usual = usual_clubs(case.player.sex) if self.clubs else ()
        self.ties = TIES if usual else ()
        self.usual = Clubs.of(usual)
        self.of_usual = weights() if usual else np.zeros((0, 0))
        self.of_loft = self.of_usual @ departures.basis(self.usual.loft, self.usual.family)
        self.woods = np.array([bool(usual) and p.name.startswith(TIED) for p in PARAMETERS])
        self.column = np.array([pairs.index((o.club.id, o.grip_down)) for o in observations], int)
        self.targets = Clubs.of([by_id[i] for i, _ in pairs], grip_down=[g for _, g in pairs])
        self.value = np.array([o.value for o in observations])
        self.error = np.array([o.error for o in observations])
        self.keys = tuple(
            f"{self.head_of(o.club.id)}{version[o.club.id] or ''} {o.grip_down:.3f} {o.quantity}"
            for o in observations
        )
        self.root: Array | None = (
            None if seen.covariance is None else np.asarray(np.linalg.cholesky(seen.covariance), float)
        )
        carried = np.array([o.quantity == "carry" for o in observations], bool)
        self.belongs = np.zeros((len(observations), len(self.clubs)))
        for row in np.flatnonzero(carried):
            self.belongs[row, self.clubs.index(self.head_of(observations[row].club.id))] = 1.0
        of_target = departures.basis(self.targets.loft, self.targets.family)
        self.basis = of_target[self.column] * carried[:, None]
        self.learned = np.array([departures.learned(now[c].family) for c in self.clubs], bool)
        self.unknown = np.array([departures.unknown_sd(now[c]) for c in self.clubs], float)
        self.next_to = _next_to([now[c] for c in self.clubs], case)

    def head_of(self, club_id: str) -> str:
        """The club that has the head now: what is known of a head holds for the club as it was before the work as well."""
        return self.heads.get(club_id, club_id)

    def predict(self, white: Array) -> Array:
        """Model values (rows, observations) for whitened parameters (rows, parameters)."""
        if not self.observations:
            return np.zeros((len(white), 0))
        theta = self.mean + self.sd * white
        delivery = deliver(theta, self.targets)
        values = {
            "club_speed": np.log(delivery.club_speed),
            "ball_speed": np.log(delivery.ball_speed),
            "launch": delivery.launch,
            "attack": delivery.attack,
            "spin": np.log(np.maximum(delivery.spin, 1e-3) / RPM),
        }
        if self.clubs:
            values["carry"] = self._carry(theta, self.targets) + theta[:, INDEX["range_ball"], None]
        own = [values[o.quantity][:, [c]] for o, c in zip(self.observations, self.column, strict=True)]
        return np.concatenate(own, axis=1)

    def told(self, white: Array) -> Array:
        """What the ties say (rows, ties), less their levels [log carry], for whitened parameters (rows, parameters)."""
        if not self.ties:
            return np.zeros((len(white), 0))
        theta = self.mean + self.sd * white
        faster = theta[:, INDEX["log_speed"], None] - TIE_SPEED
        said = self._carry(theta, self.usual) @ self.of_usual.T
        return np.asarray(said - [t.level for t in self.ties] - faster * [t.by_speed for t in self.ties])

    def _carry(self, theta: Array, clubs: Clubs) -> Array:
        """Log carry [m] (rows, clubs) of the model."""
        flight = carry(theta, deliver(theta, clubs), self.air, model=self.model)
        expected = departures.expected(theta, clubs.loft, clubs.family)
        return np.asarray(np.log(np.maximum(flight.carry, 0.1)) + expected)

    def linear(
        self, white: Array, what: Callable[[Array], Array], families: tuple[str, ...]
    ) -> tuple[Array, Array]:
        """Values of `predict` or `told` and their derivatives by parameters at one whitened point.

        Parameters of families that nothing there tells of move nothing and need no flights.
        """
        idle = set(FULL_SHOT_FAMILIES) - set(families)
        moved = np.array(
            [
                i
                for i, (p, s) in enumerate(zip(PARAMETERS, self.sd, strict=True))
                if s > 1e-6 and p.name.split("_")[0] not in idle
            ]
        )
        rows = np.repeat(white[None], len(moved) + 1, axis=0)
        rows[np.arange(1, len(moved) + 1), moved] += STEP
        values = what(rows)
        slope = np.zeros((values.shape[1], len(white)))
        slope[:, moved] = ((values[1:] - values[0]) / STEP).T
        return values[0], slope

    def solve(self, doubted: tuple[str, ...]) -> _Fit:
        """The top for departures of typical size, and the line about it."""
        from scipy.optimize import least_squares

        count, n = len(self.mean), len(self.value)
        line = Line(
            rest=np.zeros(n),
            slope=np.zeros((n, count)),
            basis=self.basis,
            belongs=self.belongs,
            error=self.error,
            keys=self.keys,
            clubs=self.clubs,
            learned=self.learned,
            next_to=self.next_to,
            unknown=self.unknown,
            root=self.root,
        )
        smooth, own = (
            departures.weight_sd(departures.BEND_TYPICAL),
            line.own_sd(departures.OWN_TYPICAL, doubted),
        )
        fixed = line.unknowns(own, smooth)
        memory: dict[bytes, tuple[Array, Array]] = {}

        def at(x: Array) -> tuple[Array, Array]:
            key = x[:count].tobytes()
            if key not in memory:
                memory.clear()
                memory[key] = self.linear(x[:count], self.predict, self.targets.family)
            return memory[key]

        def residual(x: Array) -> Array:
            return np.concatenate([line.whitened(at(x)[0] + fixed @ x - self.value), x])

        def jacobian(x: Array) -> Array:
            full = fixed.copy()
            full[:, :count] = at(x)[1]
            return np.concatenate([line.whitened(full), np.eye(len(x))])

        found = least_squares(
            residual,
            np.zeros(fixed.shape[1]),
            jac=jacobian,
            method="trf",
            x_scale=1.0,
            ftol=1e-5,
            xtol=1e-4,
            gtol=1e-5,
            max_nfev=40,
        )
        top = found.x
        for _ in range(2 if self.ties else 1):  # the second time about the top that the ties have moved
            model, slope = at(top)
            told, of_told = self.linear(top[:count], self.told, self.usual.family)
            error = np.array([t.sd for t in self.ties])
            tied = Tied.of(of_told, self.of_loft, of_told @ top[:count] - told, error, self.woods)
            line = replace(
                line,
                slope=slope @ tied.of_free,
                basis=self.basis + slope @ tied.of_loft,
                rest=self.value - model + slope @ (top[:count] - tied.at),
            )
            about = top
            if self.ties:
                top = line.top(own, smooth)
                top[:count] = tied.white(top[:count], top[count:][: departures.SIZE] * smooth)
        return _Fit(
            converged=bool(found.success) and bool(np.isfinite(found.cost)),
            status=str(found.message),
            top=about,
            scale=np.concatenate([np.ones(count), smooth, own]),
            line=line,
            at_top=model,
            slope=slope,
            tied=tied,
            told=told,
            of_told=of_told,
        )

    def white(self, fit: _Fit, free: Array, smooth: Array) -> Array:
        """Whitened parameters (draws, parameters) of the line's normals, the ties as the flown model has them."""
        white = fit.tied.white(free, smooth)
        off = self.told(white) - (fit.told + (white - fit.top[: len(self.mean)]) @ fit.of_told.T)
        return np.asarray(white - off @ fit.tied.of_off.T)

    def bend(self, fit: _Fit, free: Array, smooth: Array) -> Array:
        """How far the flown model lies from the line (draws, observations) [as observed]."""
        straight = fit.at_top + (fit.tied.white(free, smooth) - fit.top[: len(self.mean)]) @ fit.slope.T
        return self.predict(self.white(fit, free, smooth)) - straight

    def days(self, fit: _Fit, seen: Seen, white: Array, drawn: Drawn) -> dict[str | None, float]:
        """Effect of each of several sessions on log carry, from where the draws have the observations."""
        if seen.days is None or seen.covariance is None:
            return {}
        fitted = fit.at_top + fit.slope @ (white.mean(axis=0) - fit.top[: len(self.mean)])
        fitted += self.basis @ drawn.smooth.mean(axis=0) + self.belongs @ drawn.own.mean(axis=0)
        rows = len(seen.days.value)
        return seen.days.given(fitted[:rows], seen.covariance[:rows, :rows])

    def _grip_and_age(self, observation: int) -> tuple[float, bool]:
        """How far down the grip was held, and whether the club was worked on since: the first of these is to be told."""
        one = self.observations[observation]
        return one.grip_down, one.club.became is not None

    def left_out(self, fit: _Fit, doubted: tuple[str, ...]) -> tuple[LeaveOneOut, ...]:
        """Each club's carry, least gripped down, as the other clubs foresee it."""
        if len(self.clubs) < 2:
            return ()
        rows = []
        for club in self.clubs:
            mine = np.array([self.head_of(o.club.id) == club and o.balls > 0 for o in self.observations])
            carried = [int(i) for i in np.flatnonzero(mine) if self.observations[i].quantity == "carry"]
            rows.append((mine, min(carried, key=self._grip_and_age)))
        out = []
        for one in foreseen(fit.line, doubted, rows):
            value = self.value[one.observation]
            level = NINETY * one.sd
            measured, predicted, low, high = (
                float(np.exp(value + off)) for off in (0.0, one.off, one.off - level, one.off + level)
            )
            club = self.observations[one.observation].club.id
            out.append(LeaveOneOut(club, measured, predicted, low, high, one.z))
        return tuple(out)


def _versions(case: Case) -> dict[str, int]:
    """How often the head of each club of the bag was worked on before it was that club: 0 as it was first hit."""
    built: dict[str, int] = {}
    out = {}
    for club in case.bag:
        if club.became is not None:
            out[club.id] = built.get(club.became, 0)
            built[club.became] = out[club.id] + 1
    return out | {c.id: built.get(c.id, 0) for c in case.bag if c.became is None}


def _next_to(hit: list[Club], case: Case) -> Array:
    """By how much [log carry] the balls of the next club on either side would miss each club hit, (clubs, 2)."""
    lofts = sorted({c.loft_deg for c in case.carried if departures.learned(c.family)})
    out = np.full((len(hit), 2), np.nan)
    for row, club in zip(out, hit, strict=True):
        if departures.learned(club.family):
            below = [x for x in lofts if x < club.loft_deg]
            above = [x for x in lofts if x > club.loft_deg]
            row[:] = [
                departures.FALL * (club.loft_deg - x) if x is not None else np.nan
                for x in (below[-1] if below else None, above[0] if above else None)
            ]
    return out
