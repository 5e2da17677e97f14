"""Bounce and run: against limits of mechanics and common practice."""

import cmath
import math

import numpy as np
import pytest

from engine.documents.case import Conditions
from engine.physics.air import air_of
from engine.physics.ground import FAIRWAY, GREEN, SOFT, run_out, turf_restitution
from engine.physics.trajectory import Launch, fly
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


RADIUS, G = 0.021335, 9.80665


def bounce(velocity, spin, *, friction, give):
    """One bounce after Penner 2002 (from memory), one ball, velocity forward and up as a complex number [m/s].

    The turf gives way to a plane that leans back by ``15.4 deg (v / 18.6 m/s) (phi / 44.4 deg)``: the velocity is turned
    into that plane and back. The friction of a solid sphere, 2/5 m r^2, stops the slide or, where the normal impulse
    does not allow so much, takes what it allows.
    """
    phi = math.atan2(-velocity.imag, velocity.real)
    lean = cmath.exp(1j * give * math.radians(15.4) * (abs(velocity) / 18.6) * (phi / math.radians(44.4)))
    inside = velocity * lean.conjugate()
    along, into = inside.real, -inside.imag
    restitution = 0.510 - 0.0375 * into + 0.000903 * into**2 if into < 20 else 0.120
    to_stop = (along + spin * RADIUS) / (1 + 5 / 2)  # impulse over mass that ends the slide
    most = friction * (1 + restitution) * into
    taken = max(-most, min(most, to_stop))
    out = complex(along - taken, restitution * into) * lean
    return out, spin - taken * RADIUS / (2 / 5 * RADIUS**2)


@pytest.mark.parametrize(
    ("turf", "friction", "resistance", "give"),
    [
        (
            GREEN,
            0.40,
            0.0782,
            1.0,
        ),  # friction and the bounce of a green: Penner 2002; rating 10: 6 ft/s in 10 ft
        (FAIRWAY, 0.40, 0.1955, 1.0),  # as a green of rating 4, 6 ft/s in 4 ft
        (SOFT, 0.50, 0.35, 1.3),  # common practice, no source
    ],
)
@pytest.mark.parametrize(
    ("speed", "descent_deg", "rpm"),
    [(18.6, 44.4, 6000), (25, 38, 2500), (28, 47, 4500), (20, 52, 9500), (26, 28, 6000), (20, 20, 9000)],
)
def test_a_run_is_one_bounce_after_another(turf, friction, resistance, give, speed, descent_deg, rpm):
    velocity, spin = cmath.rect(speed, -math.radians(descent_deg)), rpm * RPM
    bounced, hops = 0.0, 0
    while True:
        velocity, spin = bounce(velocity, spin, friction=friction, give=give)
        if velocity.imag <= 0.3 or velocity.real < 0:
            break
        bounced += velocity.real * 2 * velocity.imag / G
        hops += 1
        velocity = velocity.conjugate()
    run = run_out(speed, descent_deg * DEGREE, rpm * RPM, turf=turf)
    if velocity.real >= 0:  # a ball that comes back is another matter
        assert int(run.bounces) == hops
        assert float(run.bounce) == pytest.approx(bounced, rel=1e-6, abs=1e-9)
        rolling = (5 * velocity.real - 2 * spin * RADIUS) / 7  # forward speed once it no longer slides
        wanted = rolling * abs(rolling) / (2 * 5 / 7 * resistance * G)
        assert float(run.roll) == pytest.approx(wanted, rel=0.005, abs=0.01)
    else:
        assert float(run.total) < 3
