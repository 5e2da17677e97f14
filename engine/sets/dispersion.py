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
from ..units import DEGREE
from .predict import Prediction

ENOUGH = 6
"""Balls with a side noted before the player's own spread of direction counts; ours, no source."""
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
class FromAbove:
    """All clubs, and the spread of direction [deg] used; ``measured`` says whether it is the player's own."""

    landings: tuple[Landing, ...]
    direction_sd_deg: float
    measured: bool


def direction_sd(shots: Sequence[Shot]) -> tuple[float, bool]:
    """Standard deviation of start direction about its mean [deg], and whether it was measured."""
    turned = [
        np.arctan2(s.side_m, s.carry_m) / DEGREE
        for s in shots
        if s.use and s.side_m is not None and s.carry_m is not None and s.carry_m > 0
    ]
    if len(turned) < ENOUGH:
        return USUAL_DIRECTION_SD_DEG, False
    return float(np.std(turned, ddof=1)), True


def from_above(prediction: Prediction, *, spread: float, shots: Sequence[Shot]) -> FromAbove:
    """The view from above of a predicted layout.

    Parameters
    ----------
    prediction : draws of its clubs
    spread : shot-to-shot standard deviation of carry as a share of it [-]
    shots : the case's, for the spread of direction
    """
    turn, measured = direction_sd(shots)
    mean, sd = prediction.carry.mean(axis=0), prediction.carry.std(axis=0)
    depth = NINE_IN_TEN * np.hypot(spread * mean, sd)
    width = NINE_IN_TEN * mean * np.tan(turn * DEGREE)
    return FromAbove(
        tuple(
            Landing(c.id, float(m), float(d), float(w))
            for c, m, d, w in zip(prediction.clubs, mean, depth, width, strict=True)
        ),
        turn,
        measured,
    )
