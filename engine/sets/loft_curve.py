"""Carry over loft of clubs of given length and head: rising to a top, then falling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, carry, deliver

Array = NDArray[np.float64]

LOFT_RANGE = (
    14.0,
    66.0,
)  # [deg] searched; heads of irons and wedges are made from about 16 to 64 (common practice)
FINE = np.arange(LOFT_RANGE[0], LOFT_RANGE[1] + 1e-9, 0.125)  # [deg]
SHAPE_DRAWS, SHAPE_NODES = 12, 14


@dataclass(frozen=True, slots=True)
class LoftCurve:
    """Mean carry over `FINE` of a few draws, (clubs, lofts) [m], and the index of its top (clubs,)."""

    carry: Array
    top: NDArray[np.int64]

    def at(self, club: int, loft: float | Array) -> float | Array:
        """Carry [m] of a club at lofts [deg]."""
        carry: float | Array = np.interp(loft, FINE, self.carry[club])
        return carry

    def loft_for(self, club: int, carry_m: float | Array) -> float | Array:
        """Loft of the falling side with this carry, its nearer end where there is none."""
        side = slice(self.top[club], None)
        loft: float | Array = np.interp(carry_m, self.carry[club, side][::-1], FINE[side][::-1])
        return loft


def loft_curve(
    posterior: Posterior, clubs: tuple[Club, ...], air: Air, *, model: Aerodynamics | None = None
) -> LoftCurve:
    """Carry over loft from a few draws spread over head speed, through a Chebyshev polynomial.

    Clubs of one build share a curve, as in a single-length set.
    """
    order = np.argsort(posterior.theta[:, 0])
    picked = order[((np.arange(SHAPE_DRAWS) + 0.5) / SHAPE_DRAWS * len(order)).astype(int)]
    theta = posterior.theta[picked]
    low, high = LOFT_RANGE
    nodes = chebyshev.chebpts1(SHAPE_NODES)
    at = low + (high - low) * (nodes + 1) / 2
    builds = list(dict.fromkeys((c.length_m, c.head_kg, c.family) for c in clubs))
    grid = Clubs(
        np.repeat([b[0] for b in builds], SHAPE_NODES),
        np.tile(at, len(builds)),
        np.repeat([b[1] for b in builds], SHAPE_NODES),
        tuple(b[2] for b in builds for _ in at),
    )
    departs = posterior.of_loft(grid.loft, grid.family)[picked]
    flown = (carry(theta, deliver(theta, grid), air, model=model).carry * np.exp(departs)).mean(axis=0)
    through = chebyshev.chebfit(nodes, flown.reshape(len(builds), SHAPE_NODES).T, SHAPE_NODES - 1)
    curves = chebyshev.chebval(2 * (FINE - low) / (high - low) - 1, through)
    tops = curves.argmax(axis=1)
    place = [builds.index((c.length_m, c.head_kg, c.family)) for c in clubs]
    return LoftCurve(np.maximum(curves, 1e-3)[place], tops[place])
