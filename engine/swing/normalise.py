"""Carries as they would be in reference air: the model is trusted for the ratio of two flights only.

The calibration does not use this; it predicts carries in the air in which they were hit.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..documents.case import Conditions
from ..physics.air import REFERENCE, air_of
from ..physics.trajectory import Launch, fly
from .parameters import range_ball_factor

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Normalised:
    """Carries in reference air [m], and what they were multiplied by for the air and for the ball.

    ``relative_sd`` is the relative standard deviation that the range-ball factor adds to every carry alike;
    zero for other balls.
    """

    carry: Array
    air_factor: Array
    ball_factor: float
    relative_sd: float


def air_ratio(*, launch: Launch, conditions: Conditions, reference: Conditions = REFERENCE) -> Array:
    """Carry in the reference air over carry in the given air, for each ball of a launch.

    Indoors there is no air to correct for: the carries that a device states are taken to be in reference air.
    A ball that gets nowhere in either air has the ratio 1.
    """
    if conditions.indoors:
        return np.ones(
            np.broadcast_shapes(*(np.shape(getattr(launch, f.name)) for f in dataclasses.fields(launch)))
        )
    there, here = (fly(launch, air_of(c)).carry for c in (reference, conditions))
    known = (here > 1.0) & (there > 1.0)
    return np.where(known, there / np.where(known, here, 1.0), 1.0)


def to_reference(
    carry_m: ArrayLike,
    *,
    launch: Launch,
    conditions: Conditions,
) -> Normalised:
    """Carries [m] as a good ball would have them in reference air: 20 C, sea level, half humidity, no wind.

    Parameters
    ----------
    carry_m : measured carries, of the launch's shape or broadcast with it
    launch : how the balls left the face, as measured or as the model has it for the club
    conditions : the air, and whether range balls were used, with their factor and its uncertainty; indoors neither is
        corrected for
    """
    ratio = air_ratio(launch=launch, conditions=conditions)
    range_ball = conditions.range_ball and not conditions.indoors
    factor, sd = range_ball_factor(conditions) if range_ball else (1.0, 0.0)
    carry = np.asarray(carry_m, float) * ratio / factor
    return Normalised(carry, ratio, 1 / factor, sd / factor)
