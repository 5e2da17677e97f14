"""What the clubs of a layout would do: deliveries and flights of every club for every draw of the posterior."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.case import Club
from engine.flight.aerodynamics import Aerodynamics
from engine.flight.air import Air
from engine.swing.calibration import Posterior
from engine.swing.delivery import Clubs, carry, deliver
from engine.units import DEGREE, RPM

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Prediction:
    """Draws of a set of clubs: every array (draws, clubs). [m], [m/s], [deg], [rpm]."""

    clubs: tuple[Club, ...]
    carry: Array
    side: Array
    apex: Array
    descent: Array
    club_speed: Array
    ball_speed: Array
    launch: Array
    spin: Array


def predict(
    posterior: Posterior, clubs: tuple[Club, ...], air: Air, *, model: Aerodynamics | None = None
) -> Prediction:
    """Predict clubs (no putters) in an air. The same draws serve every call, so that layouts pair draw by draw."""
    arrays = Clubs.of(clubs)
    delivery = deliver(posterior.theta, arrays)
    flight = carry(posterior.theta, delivery, air, model=model)
    own = np.exp(np.stack([posterior.discrepancy(c.id) for c in clubs], axis=1)) if clubs else np.ones((1, 0))
    return Prediction(
        clubs,
        flight.carry * own,
        flight.side * own,
        flight.apex,
        flight.descent / DEGREE,
        delivery.club_speed,
        delivery.ball_speed,
        delivery.launch,
        delivery.spin / RPM,
    )
