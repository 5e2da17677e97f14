"""Exact conditioning of the straight model about the top: sizes of the departures, clubs noted wrong, and draws.

With the flights a straight line in the parameters, what is measured is normal for any size of the clubs' own departures
and of the bends over loft (`engine.swing.departures`). Both sizes run over a grid, and every club may be wrong: one case
each of a mixture whose weights are the evidence. A club is wrong either anyhow, or its balls are those of the club next
to it, which shifts its carry by about a known amount.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .departures import (
    BEND_SD,
    BEND_WEIGHT,
    OWN_SD,
    OWN_WEIGHT,
    SIZE,
    SWAPPED_CHANCE,
    SWAPPED_SD,
    WOOD_SD,
    WRONG_CHANCE,
    WRONG_SD,
    weight_sd,
)

Array = NDArray[np.float64]

SEED = 20260
LEAST_CLUBS = 3  # with fewer nobody can tell which is wrong
LIKELY = 0.5  # a club more likely wrong than this is taken for wrong when the others are weighed
NAMED = (
    0.3  # and one more likely wrong than this is named: worth a look, while its balls count by their chance
)


@dataclass(frozen=True, slots=True)
class Line:
    """Observations as a straight line in the unknowns, about the top.

    rest : (observations,), what is measured less the line at the prior's middle; slope : (observations, parameters), in
    whitened parameters; basis : (observations, `departures.SIZE`); belongs : (observations, clubs), 1 where an observation
    holds that club's own departure; error : (observations,), standard errors; keys : names of the observations, for their
    normals; clubs : ids; learned : (clubs,), whether `OWN_SD` holds for it; next_to : (clubs, 2), by how much the balls of
    the clubs on either side would miss [log carry], NaN where there is none; unknown : (clubs,), standard deviation of log
    carry for what is not known of a club; root : (observations, observations), lower Cholesky factor of the errors'
    covariance where they hang together, else they are independent.
    """

    rest: Array
    slope: Array
    basis: Array
    belongs: Array
    error: Array
    keys: tuple[str, ...]
    clubs: tuple[str, ...]
    learned: NDArray[np.bool_]
    next_to: Array
    unknown: Array
    root: Array | None = None

    def own_sd(self, size: float, wrong: Sequence[str] = ()) -> Array:
        """Standard deviation (clubs,) of each club's own departure for a size of them; wider for clubs that are wrong."""
        usual = np.hypot(np.where(self.learned, size, WOOD_SD), self.unknown)
        return np.where([c in wrong for c in self.clubs], np.hypot(usual, WRONG_SD), usual)

    def covariance(self, doubted: Sequence[str]) -> Array:
        """Of the observations, (own sizes, bend sizes, observations, observations)."""
        own = np.stack([self.own_sd(size, doubted) for size in OWN_SD]) ** 2
        smooth = weight_sd(BEND_SD) ** 2
        fixed = self.slope @ self.slope.T + self.noise
        of_clubs = (self.belongs * own[:, None, :]) @ self.belongs.T
        of_loft = (self.basis * smooth[:, None, :]) @ self.basis.T
        return np.asarray(fixed + of_clubs[:, None] + of_loft[None])

    def precision(self, own_sd: float, smooth_sd: Array, doubted: Sequence[str]) -> Array:
        """Curvature at the top in whitened unknowns: parameters, smooth weights, clubs."""
        full = self.whitened(self.unknowns(self.own_sd(own_sd, doubted), smooth_sd))
        return full.T @ full + np.eye(full.shape[1])

    @property
    def noise(self) -> Array:
        """Covariance (observations, observations) of the errors of the balls."""
        return np.diag(self.error**2) if self.root is None else self.root @ self.root.T

    @property
    def alone(self) -> Array:
        """Standard error (observations,) of each observation once the errors of all the others are known."""
        return self.error if self.root is None else np.diag(np.linalg.inv(self.noise)) ** -0.5

    def whitened(self, rows: Array) -> Array:
        """Rows (observations,) or (observations, unknowns) in units of independent errors."""
        if self.root is not None:
            return np.asarray(np.linalg.solve(self.root, rows))
        return np.asarray(rows / (self.error if rows.ndim == 1 else self.error[:, None]))

    def unwhitened(self, rows: Array) -> Array:
        """Rows (observations, unknowns) in units of independent errors back in their own."""
        return np.asarray(rows * self.error[:, None] if self.root is None else self.root @ rows)

    def errors(self, normals: Array) -> Array:
        """Errors (draws, observations) of the balls from standard normals."""
        return np.asarray(normals * self.error if self.root is None else normals @ self.root.T)

    def unknowns(self, own_sd: Array, smooth_sd: Array) -> Array:
        """Slopes (observations, parameters + smooth + clubs) in whitened unknowns."""
        return np.concatenate([self.slope, self.basis * smooth_sd, self.belongs * own_sd], axis=1)


@dataclass(frozen=True, slots=True)
class Chances:
    """Weights of the mixture (cases, own sizes, bend sizes), the case "none is wrong" first, and the parameters' moments.

    wrong : the club that each case takes for wrong, none first; mean, sd : (parameters,), whitened, if none is wrong.
    """

    weight: Array
    wrong: tuple[str | None, ...]
    doubted: tuple[str, ...]
    mean: Array
    sd: Array

    @classmethod
    def of(cls, line: Line, doubted: tuple[str, ...]) -> Chances:
        """Evidence of every case; clubs already ``doubted`` are taken as wrong in all of them."""
        prior = np.log(OWN_WEIGHT)[:, None] + np.log(BEND_WEIGHT)
        size = line.slope.shape[1]
        if not line.rest.size:
            weight = np.exp(prior)[None] / np.exp(prior).sum()
            return cls(weight, (None,), doubted, np.zeros(size), np.ones(size))
        covariance = line.covariance(doubted)
        inverse = np.linalg.inv(covariance)
        solved = inverse @ line.rest
        base = prior - 0.5 * (solved @ line.rest + np.linalg.slogdet(covariance)[1])
        logs: list[Array] = [base]
        wrong: list[str | None] = [None]
        sound = [c for c in line.clubs if c not in doubted]
        for number, club in enumerate(line.clubs):
            if club in doubted or len(sound) < LEAST_CLUBS:
                continue
            on = line.belongs[:, number]
            across = np.einsum("i,sbij,j->sb", on, inverse, on)
            along = solved @ on
            cases = [(0.0, WRONG_SD, WRONG_CHANCE)]
            cases += [
                (shift, SWAPPED_SD, SWAPPED_CHANCE / 2) for shift in line.next_to[number] if shift == shift
            ]
            for shift, sd, chance in cases:
                # the rest less the shift, and a covariance wider along the club (Sherman & Morrison 1950)
                wider = 1 + sd**2 * across
                less = along - shift * across
                change = -2 * shift * along + shift**2 * across - sd**2 * less**2 / wider
                logs.append(base - 0.5 * (change + np.log(wider)) + np.log(chance))
                wrong.append(club)
        log = np.stack(logs)
        weight = np.exp(log - log.max())
        weight /= weight.sum()
        chance = weight[0] / weight[0].sum()
        means = solved @ line.slope
        mean = np.einsum("sb,sbp->p", chance, means)
        left = 1 - np.einsum("ip,sbij,jp->sbp", line.slope, inverse, line.slope, optimize=True)
        variance = np.einsum("sb,sbp->p", chance, left + (means - mean) ** 2)
        return cls(weight, tuple(wrong), doubted, mean, np.sqrt(np.maximum(variance, 1e-12)))

    def of_clubs(self) -> dict[str, float]:
        """The chance of each club that it is wrong."""
        out = dict.fromkeys(self.doubted, 1.0)
        for club, weight in zip(self.wrong, self.weight, strict=True):
            if club is not None:
                out[club] = out.get(club, 0.0) + float(weight.sum())
        return out

    def worst(self) -> str | None:
        """The club not yet doubted that is most likely wrong, where that is more than `LIKELY`."""
        open_ = {c: p for c, p in self.of_clubs().items() if c not in self.doubted and p > LIKELY}
        return max(open_, key=lambda c: open_[c], default=None)

    def named(self) -> tuple[str, ...]:
        """Clubs that are worth a look, most likely wrong first."""
        chance = self.of_clubs()
        return tuple(sorted((c for c, p in chance.items() if p > NAMED), key=lambda c: -chance[c]))

    def mean_square(self, sizes: Array, *, axis: int) -> float:
        """Mean square of a size of the grid: ``axis`` 0 for the clubs' own, 1 for the bends."""
        whole = self.weight.sum(axis=0)
        return float(whole.sum(axis=1 - axis) @ sizes**2)


@dataclass(frozen=True, slots=True)
class Drawn:
    """Draws: white (draws, parameters), smooth (draws, `departures.SIZE`), own (draws, clubs), own_sd (draws,)."""

    white: Array
    smooth: Array
    own: Array
    own_sd: Array


def standard_normals(key: str, draws: int) -> Array:
    """Standard normals (draws,) of a name, always the same, with mean 0 and variance 1."""
    return _levelled(np.random.default_rng([SEED, zlib.crc32(key.encode())]).standard_normal(draws))


def _levelled(normal: Array) -> Array:
    if len(normal) < 2:
        return normal
    return np.asarray((normal - normal.mean(axis=0)) / normal.std(axis=0))


def condition(line: Line, chances: Chances, draws: int, *, bend: Callable[[Array], Array]) -> Drawn:
    """Draws of the posterior by Matheron's rule: draws of the prior, moved by what they miss of the balls.

    Prior, error of the balls and the strata of the mixture have the same normals whatever was hit, so that draws before
    and after a few more balls pair. ``bend`` gives, for whitened parameters (draws, parameters), how far the flown model
    lies from the line (draws, observations); the draws are moved once more by that.
    """
    size = line.slope.shape[1]
    rng = np.random.default_rng(SEED)
    prior = _levelled(rng.standard_normal((draws, size + SIZE)))
    own = [standard_normals(c, draws) for c in line.clubs]
    x = np.column_stack([prior, *own])
    case, s, b = _stratified(chances.weight, draws)
    own_sd, smooth_sd = OWN_SD[s], weight_sd(BEND_SD[b])
    clubs = np.zeros((draws, len(line.clubs)))
    picked = np.ravel_multi_index((case, s, b), chances.weight.shape)
    parts = []
    for one in np.unique(picked):
        where = np.flatnonzero(picked == one)
        c, i, k = np.unravel_index(one, chances.weight.shape)
        wrong = chances.wrong[c]
        sds = line.own_sd(float(OWN_SD[i]), (*chances.doubted, *((wrong,) if wrong else ())))
        clubs[where] = sds
        full = line.unknowns(sds, weight_sd(BEND_SD[k]))
        gain = np.linalg.solve(full @ full.T + line.noise, full) if line.rest.size else full
        parts.append((where, full, gain))
    if line.rest.size:
        noise = line.errors(np.column_stack([standard_normals(key, draws) for key in line.keys]))
        for where, full, gain in parts:
            x[where] += (line.rest + noise[where] - x[where] @ full.T) @ gain
        off = bend(x[:, :size])
        for where, _, gain in parts:
            x[where] -= off[where] @ gain
    return Drawn(x[:, :size], x[:, size : size + SIZE] * smooth_sd, x[:, size + SIZE :] * clubs, own_sd)


def _stratified(weight: Array, draws: int) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
    """Case, own size and bend size of each draw: the own size first, by evenly spread levels in a fixed order."""
    levels = [(np.random.default_rng([SEED, k]).permutation(draws) + 0.5) / draws for k in range(3)]

    def pick(chance: Array, level: Array) -> NDArray[np.intp]:
        rising = np.cumsum(chance, axis=-1)
        below: NDArray[np.intp] = (level[:, None] * rising[..., -1:] > rising).sum(axis=-1)
        return np.minimum(below, np.intp(chance.shape[-1] - 1))

    s = pick(np.broadcast_to(weight.sum(axis=(0, 2)), (draws, weight.shape[1])), levels[0])
    b = pick(weight.sum(axis=0)[s], levels[1])
    return pick(weight[:, s, b].T, levels[2]), s, b


@dataclass(frozen=True, slots=True)
class Foreseen:
    """A club's log carry as the other clubs foresee it: less what was measured, and its standard deviation."""

    club: str
    observation: int
    off: float
    sd: float
    error: float = field(default=0.0)

    @property
    def z(self) -> float:
        return -self.off / float(np.hypot(self.sd, self.error))


def foreseen(
    line: Line, doubted: Sequence[str], rows: Sequence[tuple[NDArray[np.bool_], int]]
) -> list[Foreseen]:
    """Each club's carry from the others: ``rows`` gives the observations that are the club's and the one foreseen."""
    out = []
    covariance = line.covariance(doubted)
    error = line.alone
    flat = covariance.reshape(-1, *covariance.shape[2:])
    prior = (np.log(OWN_WEIGHT)[:, None] + np.log(BEND_WEIGHT)).ravel()
    for number, (mine, i) in enumerate(rows):
        others = np.flatnonzero(~mine)
        known = flat[:, others[:, None], others]
        rest = line.rest[others]
        inverse = np.linalg.inv(known)
        solved = inverse @ rest
        log = prior - 0.5 * (solved @ rest + np.linalg.slogdet(known)[1])
        weight = np.exp(log - log.max())
        weight /= weight.sum()
        # a club left out departs as any club never hit does, doubted or not
        usual = np.where(line.learned[number], OWN_SD, WOOD_SD) ** 2 + line.unknown[number] ** 2
        had = np.stack([line.own_sd(size, doubted)[number] for size in OWN_SD]) ** 2
        across = flat[:, i, others]
        own = np.repeat(usual - had, len(BEND_SD))
        mean = (solved * across).sum(axis=1)
        spread = flat[:, i, i] - error[i] ** 2 - np.einsum("gi,gij,gj->g", across, inverse, across) + own
        middle = float(weight @ mean)
        variance = float(weight @ (np.maximum(spread, 0.0) + (mean - middle) ** 2))
        off = middle - float(line.rest[i])
        out.append(Foreseen(line.clubs[number], i, off, float(np.sqrt(variance)), float(error[i])))
    return out
