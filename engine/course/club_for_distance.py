"""Which club for a distance: the chance that one ball with each club comes down near it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..documents.case import SwingSize
from ..sets.predict import Prediction
from ..statistics import Interval, intervals


@dataclass(frozen=True, slots=True)
class Option:
    """A club for a distance, and the part swing it is hit with, ``None`` for a full one. Carry [m] is of the mean ball; the
    chances are of one ball and add up to one.
    """

    id: str
    name: str
    carry_m: Interval
    chance_near: float
    chance_short: float
    chance_long: float
    swing_size: SwingSize | None = None


def clubs_for(
    prediction: Prediction,
    distance_m: float,
    *,
    spread: ArrayLike,
    within_m: float = 5.0,
    sizes: Sequence[SwingSize | None] = (),
) -> tuple[Option, ...]:
    """Every club of a set, the likeliest to come down within ``within_m`` of the distance first;
    of those alike to a per cent, the one whose carry is nearest.

    Parameters
    ----------
    prediction : of the set, in the air of the day and to the height of the target
    distance_m : carry wanted [m], above 0
    spread : shot-to-shot standard deviation of carry as a share of it [-], one for all or one for each club
    within_m : how near is near enough [m], above 0
    sizes : the part swing of each club, ``None`` for a full one; full swings all if not given

    The carry of one ball is taken as normal about the club's mean, with the player's own shot-to-shot spread; the
    chance is averaged over the draws of what is not known of the mean. Lateral misses are not in it.
    """
    from scipy.special import ndtr  # late: scipy need not be there when the page starts

    if not distance_m > 0 or not within_m > 0:
        raise ValueError("`distance_m` and `within_m` must be above 0")
    if not prediction.clubs:
        return ()
    carry = prediction.carry
    sd = np.asarray(spread, float) * np.maximum(carry, 1.0)
    reach = prediction.descent > 0  # a ball that never gets as high as the target is short of it
    short = np.where(reach, ndtr((distance_m - within_m - carry) / sd), 1.0).mean(axis=0)
    long = np.where(reach, ndtr((carry - distance_m - within_m) / sd), 0.0).mean(axis=0)
    options = [
        Option(club.id, club.name, interval, float(1 - s - n), float(s), float(n), size)
        for club, interval, s, n, size in zip(
            prediction.clubs,
            intervals(carry),
            short,
            long,
            sizes or (None,) * len(prediction.clubs),
            strict=True,
        )
    ]
    return tuple(sorted(options, key=lambda o: (-round(o.chance_near, 2), abs(o.carry_m.mean - distance_m))))
