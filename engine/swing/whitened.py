"""A posterior as independent standard normals, in which carries and decisions are close to straight lines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from . import departures
from .calibration import STEP, Posterior
from .delivery import Clubs, carry, deliver
from .parameters import FULL_SHOT_FAMILIES, INDEX, PARAMETERS

Array = NDArray[np.float64]


class Normals:
    """The swing and the departures, over loft and the clubs' own, as independent standard normals."""

    def __init__(self, posterior: Posterior, club_ids: Sequence[str]):
        self.posterior = posterior
        self.count = len(posterior.prior_mean) + departures.SIZE
        hit = posterior.clubs_hit
        self.clubs = (*hit, *(i for i in dict.fromkeys(club_ids) if i not in hit))
        size = self.count + len(self.clubs)
        precision = np.eye(size)
        known = self.count + len(hit)
        precision[:known, :known] = posterior.precision
        # precision = L L', so that x - top = L'^-1 w with w standard normal
        self.lower = np.linalg.cholesky(precision)
        self.draws = self._drawn()

    def slopes(self, asked: Sequence[tuple[Club, float]], air: Air, model: Aerodynamics | None) -> Array:
        """Slopes (candidates, normals) of the log carries of clubs at grips, by differences from the top.

        A family's own parameters move no other family's clubs, so that those of one kind are moved in one row.
        """
        p = self.posterior
        kinds: dict[str, list[int]] = {}
        for number, parameter in enumerate(PARAMETERS):
            family, _, part = parameter.name.partition("_")
            kinds.setdefault(part if family in FULL_SHOT_FAMILIES else parameter.name, []).append(number)
        rows = np.repeat(p.top[None, : len(PARAMETERS)], len(kinds) + 1, axis=0)
        for row, numbers in enumerate(kinds.values(), 1):
            rows[row, numbers] += STEP
        theta = p.prior_mean + p.prior_sd * rows
        clubs = Clubs.of([c for c, _ in asked], grip_down=[g for _, g in asked])
        log_carry = np.log(np.maximum(carry(theta, deliver(theta, clubs), air, model=model).carry, 0.1))
        log_carry += theta[:, INDEX["range_ball"], None] + departures.expected(
            theta, clubs.loft, clubs.family
        )
        change = (log_carry[1:] - log_carry[0]) / STEP
        out = np.zeros((len(asked), self.count + len(self.clubs)))
        family_of = np.array([c.family for c, _ in asked])
        for moved, numbers in zip(change, kinds.values(), strict=True):
            for number in numbers:
                family = PARAMETERS[number].name.partition("_")[0]
                mine = family_of == family if family in FULL_SHOT_FAMILIES else np.ones(len(asked), bool)
                out[mine, number] = moved[mine]
        out[:, len(PARAMETERS) : self.count] = departures.basis(clubs.loft, clubs.family) * p.smooth_sd
        columns = [self.count + self.clubs.index(c.id) for c, _ in asked]
        out[np.arange(len(asked)), columns] = [p.discrepancy_sd(c.id) for c, _ in asked]
        # J x = J L'^-1 w
        return self._triangular(out.T).T

    def by_parameter(self, slope: Array, weight: Array) -> Array:
        """Covariance of a quantity of slope ``weight`` with each of ``slope`` (candidates, normals), as a sum over
        parameters, weights of the departure over loft and clubs (candidates, parameters + smooth + clubs).
        """
        return (self.lower @ weight) * self._triangular(slope.T, across=True).T

    def _triangular(self, columns: Array, *, across: bool = False) -> Array:
        from scipy.linalg import solve_triangular

        return np.asarray(
            solve_triangular(self.lower, columns, lower=True, trans=int(across), check_finite=False)
        )

    def _drawn(self) -> Array:
        """The posterior's draws in these normals (draws, normals); sizes of departures differ from draw to draw."""
        p = self.posterior
        swing = (p.theta - p.prior_mean) / p.prior_sd
        own = np.stack([p.discrepancy(c) / p.discrepancy_sd(c) for c in self.clubs], axis=1)
        white: Array = np.concatenate([swing, p.smooth / p.smooth_sd, own], axis=1)
        white[:, : len(p.top)] -= p.top
        out: Array = white @ self.lower
        return out

    def regress(self, draws: Array) -> Array:
        """Slope of the decision in the normals, in its own unit: what it rests on.

        Ridge regression whose ridge is chosen by the evidence (MacKay 1992, Neural Computation 4:415), since there are
        not many more draws than unknowns.
        """
        w = self.draws - self.draws.mean(axis=0)
        y = draws - draws.mean()
        u, s, vt = np.linalg.svd(w, full_matrices=False)
        along = u.T @ y
        total, n = float(y @ y), len(y)
        rest = max(total - float(along @ along), 0.0)
        noise = 0.5 * total / n
        size = noise / w.shape[1]
        found = along
        for _ in range(20):
            kept = s**2 / (s**2 + noise / size)
            found = kept * along / s
            good = float(kept.sum())
            residual = float(np.sum((along - s * found) ** 2)) + rest
            size = max(float(found @ found) / good, 1e-9 * total / n)
            noise = max(residual / (n - good), 1e-9 * total / n)
        return np.asarray(vt.T @ found)
