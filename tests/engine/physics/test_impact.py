"""Impact: what speed, head mass, strikes off the centre, a wet face and a lie error do to the ball."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.documents.case import Case
from engine.physics.air import REFERENCE, air_of
from engine.physics.impact import (
    DRY_FRICTION,
    WET_FRICTION,
    ball_restitution,
    effective_mass,
    lie_error,
    strike,
)
from engine.swing.delivery import Clubs, carry, deliver
from engine.swing.parameters import INDEX, prior
from engine.units import BALL_MASS, BALL_RADIUS, DEGREE
from engine.workshop.norms import norm_bag

AIR = air_of(REFERENCE)
THETA = prior(Case())[0][None]
BAG = {c.id: c for c in norm_bag("male")}

speeds = st.floats(10, 60)
lofts = st.floats(5, 60)
masses = st.floats(0.18, 0.32)


@settings(max_examples=60, deadline=None)
@given(speed=speeds, more=st.floats(0.5, 10), loft=lofts, mass=masses)
def test_more_head_speed_makes_more_ball_speed_at_a_smaller_ratio(speed, more, loft, mass):
    slow, fast = (strike(v, loft * DEGREE, head_mass=mass).speed for v in (speed, speed + more))
    assert fast > slow
    assert fast / (speed + more) <= slow / speed + 1e-12
    assert ball_restitution(speed + more) <= ball_restitution(speed)


@settings(max_examples=60, deadline=None)
@given(speed=speeds, loft=lofts, mass=masses, friction=st.floats(0.05, 1.0))
def test_a_strike_makes_no_energy_and_keeps_momentum(speed, loft, mass, friction):
    """Kinetic energy of ball and head after the blow is at most that before; the head's own from momentum."""
    ball = strike(speed, loft * DEGREE, head_mass=mass, friction=friction)
    along, across = ball.speed * np.cos(ball.angle), ball.speed * np.sin(ball.angle)
    head = np.hypot(speed - BALL_MASS / mass * along, BALL_MASS / mass * across)
    spin_energy = 0.5 * 0.4 * BALL_MASS * BALL_RADIUS**2 * ball.spin**2
    after = 0.5 * BALL_MASS * ball.speed**2 + 0.5 * mass * head**2 + spin_energy
    assert after <= 0.5 * mass * speed**2 * (1 + 1e-12)


@settings(max_examples=60, deadline=None)
@given(speed=speeds, loft=lofts, mass=masses, heavier=st.floats(1.01, 1.3))
def test_a_heavier_head_at_one_speed_makes_more_ball_speed(speed, loft, mass, heavier):
    light, heavy = (strike(speed, loft * DEGREE, head_mass=m).speed for m in (mass, mass * heavier))
    assert heavy > light


@settings(max_examples=40, deadline=None)
@given(speed=st.floats(22, 55), more=st.floats(0.2, 5), club=st.sampled_from(sorted(set(BAG) - {"pt"})))
def test_more_head_speed_never_carries_less(speed, more, club):
    """From the swing on: every club of the bag, 7-iron speeds of 49 to 123 mph."""
    theta = np.repeat(THETA, 2, axis=0)
    theta[:, INDEX["log_speed"]] = np.log([speed, speed + more])
    slow, fast = carry(theta, deliver(theta, Clubs.of([BAG[club]])), AIR).carry[:, 0]
    assert fast > slow


@settings(max_examples=60, deadline=None)
@given(mass=masses, offset=st.floats(0.001, 0.03), inertia=st.floats(1.5e-4, 6e-4))
def test_a_strike_off_the_centre_meets_less_mass_on_either_side(mass, offset, inertia):
    off = effective_mass(mass, offset, inertia)
    assert 0 < off < mass
    assert off == effective_mass(mass, -offset, inertia)
    assert strike(40.0, 0.3, head_mass=off).speed < strike(40.0, 0.3, head_mass=mass).speed


@pytest.mark.parametrize("loft", [46.0, 52.0, 58.0])
def test_a_wet_face_launches_higher_with_less_spin(loft):
    """Common practice, no source: flyers from wet grass come out high and do not stop."""
    dry, wet = (strike(30.0, loft * DEGREE, head_mass=0.29, friction=f) for f in (DRY_FRICTION, WET_FRICTION))
    assert wet.spin < dry.spin and wet.angle > dry.angle
    assert bool(dry.rolling) and not bool(wet.rolling)


def test_the_ball_slips_beyond_the_rolling_limit_only():
    """Rolling needs tan(t) / (7/2 + m/M) of tangential speed, and friction gives mu (1 + e) / (1 + m/M), worked by hand."""
    ratio = 0.04593 / 0.28
    limit = np.arctan(0.2 * 1.75 * (3.5 + ratio) / (1 + ratio))
    under, over = (
        strike(30.0, limit + d, head_mass=0.28, restitution=0.75, friction=0.2) for d in (-0.01, 0.01)
    )
    assert bool(under.rolling) and not bool(over.rolling)


def test_a_wet_face_reaches_the_delivery_of_wedges_and_leaves_the_driver():
    clubs = Clubs.of([BAG["dr"], BAG["sw"]])
    dry, wet = deliver(THETA, clubs), deliver(THETA, clubs, friction=WET_FRICTION)
    assert wet.spin[0, 0] == dry.spin[0, 0]
    assert wet.spin[0, 1] < 0.95 * dry.spin[0, 1] and wet.launch[0, 1] > dry.launch[0, 1] + 1


@settings(max_examples=40, deadline=None)
@given(error=st.floats(0.2, 6.0))
def test_a_lie_error_is_carried_to_the_landing_and_is_a_mirror(error):
    clubs = Clubs.of([BAG["5i"], BAG["pw"]])
    upright, flat = (deliver(THETA, clubs, lie_error_deg=e) for e in (error, -error))
    left, right = carry(THETA, upright, AIR), carry(THETA, flat, AIR)
    assert (left.side < 0).all() and left.side == pytest.approx(-right.side, abs=1e-9)
    assert left.carry == pytest.approx(right.carry)
    assert (np.abs(left.side[0, 1]) / left.carry[0, 1]) > np.abs(left.side[0, 0]) / left.carry[0, 0]


def test_no_lie_error_is_the_limit_of_a_small_one():
    clubs = Clubs.of([BAG[i] for i in ("dr", "5i", "9i", "lw")])
    none, hair = deliver(THETA, clubs), deliver(THETA, clubs, lie_error_deg=1e-6)
    for name in ("ball_speed", "launch", "spin"):
        assert getattr(hair, name) == pytest.approx(getattr(none, name), rel=1e-9)
    assert carry(THETA, hair, AIR).side == pytest.approx(carry(THETA, none, AIR).side, abs=1e-3)


@pytest.mark.parametrize("error", [-4.0, 2.0, 4.0])
def test_start_and_axis_of_a_level_blow_follow_the_rigid_rotation(error):
    """With a level path the axis tilts by the lie error, and the ball starts most of the way to where the face looks
    (`engine.physics.impact.lie_error`; launch over spin loft 75 to 85 %, read in a coaching text)."""
    theta = THETA.copy()
    club = replace(BAG["9i"])
    theta[0, INDEX["attack"]] -= deliver(theta, Clubs.of([club])).attack[0, 0]
    delivery = deliver(theta, Clubs.of([club]), lie_error_deg=error)
    face, _, tilt = lie_error(delivery.face_loft[0, 0] * DEGREE, error * DEGREE)
    assert delivery.axis_tilt[0, 0] == pytest.approx(-tilt / DEGREE, abs=1e-9)
    share = -delivery.azimuth[0, 0] * DEGREE / face
    assert 0.6 < share < 0.9
