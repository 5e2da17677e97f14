"""What a target amounts to on level ground in standard air, and how much of it air, wind and height each make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..sets.predict import Prediction
from ..units import DEGREE

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PlaysLike:
    """A target's distance [m], the distance it plays [m], and what of the difference each cause makes [m], positive where
    the shot plays longer. Air is all that the day has of its own besides wind: temperature, altitude, ball and faces.
    """

    distance_m: float
    plays_m: float
    air_m: float
    wind_m: float
    height_m: float


def plays_like(stages: Sequence[Prediction], distance_m: float) -> PlaysLike | None:
    """The level carry in standard air of the shot that carries ``distance_m`` to the target as it is.

    Parameters
    ----------
    stages : the same clubs four times, one cause more each time: level in standard air, in the air of the day without
        wind, with the wind, to the height of the target
    distance_m : above 0

    Every stage's mean carries stand beside those of the first, club by club; what lies between clubs is read off straight
    lines, what lies beyond the set by the ratio of its last club. Clubs of which most balls never get so high as the target
    are left out; ``None`` if fewer than two are left.

    Raises
    ------
    ValueError : not four stages, or a distance that is not above 0
    """
    if len(stages) != 4 or not distance_m > 0:
        raise ValueError("`stages` must be four and `distance_m` above 0")
    reach = stages[-1].descent > 0
    most = reach.mean(axis=0) > 0.5
    if most.sum() < 2:
        return None
    # of a ball now and then too low for the target, the others are asked, in every stage alike
    level, *others = (np.average(s.carry[:, most], axis=0, weights=reach[:, most]) for s in stages)
    plays = [distance_m, *(_read_off(there, level, distance_m) for there in others)]
    air, wind, height = np.diff(plays)
    return PlaysLike(distance_m, plays[-1], float(air), float(wind), float(height))


def _read_off(there: Array, level: Array, distance: float) -> float:
    order = np.argsort(there)
    x, y = there[order], level[order]
    if not x[0] < distance < x[-1]:
        end = 0 if distance <= x[0] else -1
        return float(distance * y[end] / x[end])
    return float(np.interp(distance, x, y))


def height_by_tilt(distance_m: float, tilt_deg: float) -> float:
    """How far a target lies above the player [m], seen at an angle above level over a level distance."""
    return distance_m * float(np.tan(tilt_deg * DEGREE))
