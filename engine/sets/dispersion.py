"""Where balls come down, seen from above: for each club the ellipse that holds nine balls in ten.

Depth is the player's own shot-to-shot spread of carry. Width is the spread of direction: the player's own where enough
balls have a side noted, else a middle handicap's, which is common practice without a source. Both are taken as normal and
independent, and what is not known of the mean carry is added to the depth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..documents.case import Shot
from ..statistics import Interval
from ..units import DEGREE
from .predict import Prediction

ENOUGH = 6
"""Balls with a side noted that the usual spread of direction counts for, so that with as many the player's own weighs about
half; ours, no source."""
USUAL_DIRECTION_SD_DEG = 4.0
"""[deg] of full irons in the hands of a middle handicap; common practice, no source."""
NINE_IN_TEN = float(np.sqrt(-2 * np.log(1 - 0.9)))  # radius of a normal distribution of two dimensions


@dataclass(frozen=True, slots=True)
class Landing:
    """Where one club's balls come down [m]: middle of the carry, and half depth and half width of nine balls in ten."""

    club: str
    carry_m: float
    half_depth_m: float
    half_width_m: float


@dataclass(frozen=True, slots=True)
class Direction:
    """How far balls differ in direction: standard deviation about its mean [deg], drawn towards the usual one; the balls
    with a side noted, and the share of its variance [-] that rests on them.
    """

    sd_deg: float
    balls: int
    own: float


@dataclass(frozen=True, slots=True)
class FromAbove:
    """All clubs, and the direction they were drawn with."""

    landings: tuple[Landing, ...]
    direction: Direction


def direction_of(shots: Sequence[Shot]) -> Direction:
    """How far balls differ in direction, by those that have carry and side and count."""
    turned = [
        np.arctan2(s.side_m, s.carry_m) / DEGREE
        for s in shots
        if s.use and s.side_m is not None and s.carry_m is not None and s.carry_m > 0
    ]
    free = max(len(turned) - 1, 0)
    own = float(np.var(turned, ddof=1)) if free else 0.0
    drawn = (ENOUGH * USUAL_DIRECTION_SD_DEG**2 + free * own) / (ENOUGH + free)
    return Direction(float(np.sqrt(drawn)), len(turned), free / (ENOUGH + free))


def from_above(prediction: Prediction, *, spread: float, shots: Sequence[Shot]) -> FromAbove:
    """The view from above of a predicted layout.

    Parameters
    ----------
    prediction : draws of its clubs
    spread : shot-to-shot standard deviation of carry as a share of it [-]
    shots : the case's, for the spread of direction
    """
    direction = direction_of(shots)
    mean, sd = prediction.carry.mean(axis=0), prediction.carry.std(axis=0)
    depth = NINE_IN_TEN * np.hypot(spread * mean, sd)
    width = NINE_IN_TEN * mean * np.tan(direction.sd_deg * DEGREE)
    return FromAbove(
        tuple(
            Landing(c.id, float(m), float(d), float(w))
            for c, m, d, w in zip(prediction.clubs, mean, depth, width, strict=True)
        ),
        direction,
    )


@dataclass(frozen=True, slots=True)
class Pattern:
    """Where the balls of one club came down, as measured [m]: to the right of the line positive.

    middle_m : of carry and of side, side with its 90 % interval; off_line : that interval leaves out straight ahead
    half_axes_m, turn_rad : the ellipse that holds nine balls in ten if they are normal, and by how much its first axis leans
    from straight ahead to the right; ``None`` with fewer than three balls
    spread : factor on the half axes between which the true ones lie, nine times in ten
    """

    balls: int
    carry_m: float
    side_m: Interval
    off_line: bool
    half_axes_m: tuple[float, float] | None
    turn_rad: float
    spread: tuple[float, float]


def pattern(shots: Sequence[Shot]) -> Pattern | None:
    """The pattern of balls that have carry and side, the others left out; ``None`` where there are none.

    Side's interval is Student's. That of the spread is of both axes together, the fourth root of the determinant: of n balls
    ``2 (n - 1) sqrt(|S| / |true|)`` is chi-square with 2 n - 4 degrees of freedom (Anderson 2003, An introduction to
    multivariate statistical analysis, section 7.5; from memory).
    """
    from scipy.special import chdtri, stdtrit  # late: scipy need not be there when the page starts

    known = [(s.carry_m, s.side_m) for s in shots if s.use and s.carry_m is not None and s.side_m is not None]
    if not known:
        return None
    at = np.array(known, float)
    n, (carry, side) = len(at), at.mean(axis=0)
    if n < 3:
        return Pattern(
            n, float(carry), Interval(float(side), -np.inf, np.inf), False, None, 0.0, (0.0, np.inf)
        )
    cov = np.cov(at, rowvar=False)
    size, axes = np.linalg.eigh(cov)
    first = axes[:, 1] * (np.sign(axes[0, 1]) or 1.0)
    half = float(stdtrit(n - 1, 0.95) * np.sqrt(cov[1, 1] / n))
    low, high = (float(np.sqrt(2 * (n - 1) / chdtri(2 * n - 4, q))) for q in (0.05, 0.95))
    return Pattern(
        n,
        float(carry),
        Interval(float(side), float(side - half), float(side + half)),
        bool(abs(side) > half),
        (float(NINE_IN_TEN * np.sqrt(max(size[1], 0.0))), float(NINE_IN_TEN * np.sqrt(max(size[0], 0.0)))),
        float(np.arctan2(first[1], first[0])),
        (low, high),
    )
