"""Bounce and run: against limits of mechanics and common practice."""

import numpy as np
import pytest

from engine.case import Conditions
from engine.flight.air import air_of
from engine.flight.ground import FAIRWAY, GREEN, SOFT, run_out, turf_restitution
from engine.flight.trajectory import Launch, fly
from engine.units import DEGREE, MPH, RPM


def test_turf_restitution_is_penner_2002():
    """Penner 2002, from memory: 0.510 - 0.0375 v + 0.000903 v^2 below 20 m/s, 0.120 above."""
    assert turf_restitution(10.0) == pytest.approx(0.2253)
    assert turf_restitution(25.0) == 0.120


def test_a_rolling_ball_stops_after_v_squared_over_twice_the_deceleration():
    """A ball that arrives level and rolling at 2 m/s on a green of rating 10 runs v^2 / (2 x 5/7 x 0.078 g)."""
    run = run_out(2.0, 1e-6, -2.0 / 0.021335, turf=GREEN)
    assert run.total == pytest.approx(2.0**2 / (2 * 5 / 7 * 0.078 * 9.80665), rel=0.01)


def test_driver_runs_and_wedge_stops():
    """Common practice, no source: a fast player's drive runs some 15 to 35 yd on firm turf, a full wedge hardly at all."""
    flight = fly(
        Launch.of(
            np.array([167, 102]) * MPH, launch_deg=np.array([10.9, 24.2]), spin_rpm=np.array([2686, 9304])
        ),
        air_of(Conditions()),
    )
    firm = run_out(flight.speed, flight.descent, flight.spin, turf=FAIRWAY)
    assert 13 < firm.total[0] < 32
    assert -6 < firm.total[1] < 4
    assert run_out(flight.speed, flight.descent, flight.spin, turf=SOFT).total[0] < firm.total[0]


def test_more_backspin_never_runs_further():
    spin = np.linspace(500, 8000, 40) * RPM
    total = run_out(24.0, 45 * DEGREE, spin, turf=GREEN).total
    assert (np.diff(total) <= 1e-9).all()
