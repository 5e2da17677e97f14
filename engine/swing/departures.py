"""How far carries depart from the flight model: a smooth part over loft that all clubs share, and each club's own.

Log carry as measured = model + smooth(loft) + the club's own + error of the balls (Kennedy & O'Hagan 2001, J. R. Stat.
Soc. B 63:425). The smooth part is a Gaussian process: a free slope over loft and a squared exponential about it, written
as a few functions of loft with normal weights. It belongs to the loft and not to the club, so that it goes along into
every layout, and layouts differ by length and head mass alone. The club's own part stays with the head. How large either
is, is learned from the clubs together: a grid of sizes with prior weights takes the place of one fixed number.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..documents.case import Club
from ..units import MPH
from .parameters import INDEX

Array = NDArray[np.float64]

LEVEL_FAMILIES = ("hybrid", "iron", "wedge")
"""Families whose carries lie on one line over loft; woods are tied to them by `engine.swing.ties` instead."""
MIDDLE = 36.0  # [deg] of loft
LOFTS = (14.0, 66.0)  # [deg]; held outside

# Circulated averages fall from the 4-iron to the wedge by .172 to .178 of log carry every 10 deg at 90 mph of the 7-iron,
# and by .203 to .21 at 77 mph, on a straight line at either; a full lob wedge carries .55 of a 7-iron (common practice, no
# source). The flight model falls by .17 at any speed and gives the lob wedge .6.
MODEL_SPEED = float(np.log(90 * MPH))  # at which the following hold
SLOPE_MEAN, SLOPE_BY_SPEED = (
    -0.012,
    0.06,
)  # [log carry per 10 deg], and per log of speed half of what the two speeds say
BEND_MEAN, BEND_FROM = -0.011, 40.0  # [log carry per (10 deg)^2] beyond so much loft [deg]
BOW_BY_SPEED, BOW_SPEED = (
    -0.015,
    float(np.log(85 * MPH)),
)  # [log carry per (10 deg)^2, per log of speed]: the model's carries
# bend up the more, the faster the swing; circulated ones lie straight at 76 and at 92 mph
HELD_BOW, HELD_SPEED = (
    -0.055,
    float(np.log(92 * MPH)),
)  # [the same], added beyond the fastest circulated averages: their launches made 10 % faster, flown with measured drag and
# lift (Bearman & Harvey 1976), straighten no further, while the model's carries, corrected as above, do by so much
SLOPE_SD = 0.010  # [log carry per 10 deg]: with the swing's own, holds the circulated slopes of men, women and amateurs

BEND_LENGTH = 16.0  # [deg] of loft over which the smooth part bends
KNOTS = np.linspace(16.0, 64.0, 7)
BEND_SD = np.array([0.004, 0.012, 0.030])  # [log carry], tried in turn
BEND_WEIGHT = np.array([0.45, 0.40, 0.15])

# Either a set was made and measured with care, so that clubs depart by a fraction of a per cent, or heads are mixed, worn or
# a degree or two off what is stamped on them, a degree being 1.8 % of carry. Nothing is published on how often; our choice.
OWN_SD = np.array(
    [0.001, 0.002, 0.004, 0.007, 0.012, 0.020, 0.030, 0.045, 0.065]
)  # [log carry], tried in turn
OWN_WEIGHT = np.array([2.0, 2.0, 1.5, 1.0, 0.7, 0.7, 1.5, 2.4, 2.4])
OWN_WEIGHT /= OWN_WEIGHT.sum()
OWN_TYPICAL, BEND_TYPICAL = 0.012, 0.012  # where the model is made a straight line
WOOD_SD = 0.035  # [log carry] of driver and fairway woods, of which irons say little

WRONG_SD = 0.15  # [log carry], a club that was measured, bent or entered wrong
WRONG_CHANCE = 0.005  # of each club before its balls are seen; our choice
SWAPPED_SD = 0.02  # [log carry], how well the next club's carry is known beforehand
SWAPPED_CHANCE = (
    0.05  # of each club, that its balls were noted for the one next to it, either side; our choice
)
FALL = 0.018  # [log carry per deg], from club to club; circulated averages


LENGTH_SLOPE = 0.8  # [log carry per m], of a club longer than usual; the flight model's, about a 7-iron
HEAD_SLOPE = 0.4  # [log carry per log of head mass], the same


def unknown_sd(club: Club) -> float:
    """Standard deviation of log carry for what is not known of a club: its departure from the club that is assumed."""
    of = {"loft_deg": FALL, "length_m": LENGTH_SLOPE, "head_kg": HEAD_SLOPE / club.head_kg}
    return float(np.sqrt(sum((of.get(name, 0.0) * sd) ** 2 for name, sd in club.estimated)))


def _root() -> Array:
    near = np.exp(-0.5 * ((KNOTS[:, None] - KNOTS) / BEND_LENGTH) ** 2)
    return np.asarray(np.linalg.inv(np.linalg.cholesky(near + 1e-6 * np.eye(len(KNOTS)))).T)


_ROOT = _root()
SIZE = 1 + len(KNOTS)


def basis(loft: ArrayLike, families: Sequence[str]) -> Array:
    """Functions of loft (clubs, `SIZE`) whose weights make the smooth part [log carry]: the slope, then the bends.

    Weights are independent normals with the standard deviations of `weight_sd`.
    """
    at = np.clip(np.asarray(loft, float), *LOFTS)[:, None]
    bends = np.exp(-0.5 * ((at - KNOTS) / BEND_LENGTH) ** 2) @ _ROOT
    shapes: Array = np.concatenate([(at - MIDDLE) / 10, bends], axis=1)
    return _smooth(families)[:, None] * shapes


def weight_sd(bend_sd: ArrayLike) -> Array:
    """Prior standard deviations (..., `SIZE`) of the weights of `basis` for a size of the bends (...,)."""
    bend = np.asarray(bend_sd, float)[..., None]
    return np.concatenate([np.full_like(bend, SLOPE_SD), np.repeat(bend, len(KNOTS), axis=-1)], axis=-1)


def expected(theta: Array, loft: ArrayLike, families: Sequence[str]) -> Array:
    """Prior mean of the smooth part (draws, clubs) [log carry] for swings (draws, parameters)."""
    at = np.clip(np.asarray(loft, float), *LOFTS)
    speed = theta[:, INDEX["log_speed"], None]
    slope = SLOPE_MEAN + SLOPE_BY_SPEED * (speed - MODEL_SPEED)
    bow = BOW_BY_SPEED * (speed - BOW_SPEED) + HELD_BOW * np.maximum(speed - HELD_SPEED, 0.0)
    x, beyond = (at - MIDDLE) / 10, np.maximum(at - BEND_FROM, 0.0) / 10
    return np.asarray(_smooth(families) * (slope * x + bow * x**2 + BEND_MEAN * beyond**2))


def learned(family: str) -> bool:
    """Whether the size of a family's own departures is learned (else it is `WOOD_SD`)."""
    return family in LEVEL_FAMILIES


def _smooth(families: Sequence[str]) -> Array:
    return np.array([float(f in LEVEL_FAMILIES) for f in families])
