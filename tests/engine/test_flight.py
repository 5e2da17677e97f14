"""Flight against closed forms and against scipy's DOP853."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from engine.flight.aerodynamics import REGISTRY, SPIN_DECAY, aerodynamics
from engine.flight.air import Air, wind_factor
from engine.flight.trajectory import Launch, fly
from engine.units import (
    BALL_AREA,
    BALL_DIAMETER,
    BALL_MASS,
    BALL_RADIUS,
    DEGREE,
    GRAVITY,
    MPH,
    RPM,
)

CALM = Air(1.2, 1.81e-5)
VACUUM = Air(1e-12, 1.81e-5)


def random_launches(count, seed):
    """From a 20 mph chip to a 200 mph drive: speed, elevation, spin, azimuth, tilt and wind of each ball."""
    rng = np.random.default_rng(seed)
    speed = rng.uniform(20, 200, count) * MPH
    fast = (speed / MPH - 20) / 180
    elevation = (rng.uniform(15, 45, count) * (1 - fast) + rng.uniform(6, 16, count) * fast) * DEGREE
    spin = (rng.uniform(1500, 9500, count) * (1 - fast) + rng.uniform(1800, 4500, count) * fast) * RPM
    azimuth = rng.uniform(-6, 6, count) * DEGREE
    tilt = rng.uniform(-15, 15, count) * DEGREE
    wind = rng.uniform(-8, 8, (count, 2))
    return speed, elevation, spin, azimuth, tilt, wind


def fine_landing(speed, elevation, spin, azimuth, tilt, wind, model, air=CALM):
    """Landing by scipy's DOP853 at rtol 1e-10, with the equations written a second time, vector by vector."""
    axis = np.array([-np.sin(azimuth) * np.cos(tilt), -np.cos(azimuth) * np.cos(tilt), -np.sin(tilt)])

    def rate(_, y):
        u = y[3:6] - np.array([*wind, 0.0]) * wind_factor(y[2])
        size = np.linalg.norm(u)
        cd, cl = model(air.density * size * BALL_DIAMETER / air.viscosity, y[6] * BALL_RADIUS / size)
        force = 0.5 * air.density * BALL_AREA * size * (-cd * u + cl * np.cross(axis, u))
        return [*y[3:6], *(force / BALL_MASS - [0, 0, GRAVITY]), -SPIN_DECAY * y[6] * size / BALL_RADIUS]

    def ground(t, y):
        return y[2] if t > 1e-3 else 1.0

    ground.terminal, ground.direction = True, -1
    flat = speed * np.cos(elevation)
    start = [0, 0, 0, flat * np.cos(azimuth), -flat * np.sin(azimuth), speed * np.sin(elevation), spin]
    found = solve_ivp(
        rate, (0, 30), start, method="DOP853", rtol=1e-10, atol=1e-10, events=ground, dense_output=True
    )
    y = found.y_events[0][0]
    dense = found.sol(np.linspace(0, found.t_events[0][0], 4000))[2].max()
    return y[0], -y[1], found.t_events[0][0], dense


@pytest.mark.parametrize("speed, elevation", [(10.0, 45.0), (50.0, 45.0), (70.0, 12.0), (30.0, 60.0)])
def test_vacuum_parabola(speed, elevation):
    """Closed form: range v^2 sin 2a / g, apex (v sin a)^2 / 2g, time 2 v sin a / g."""
    flight = fly(Launch(speed, elevation * DEGREE, 300.0), VACUUM)
    a = elevation * DEGREE
    assert flight.carry == pytest.approx(speed**2 * np.sin(2 * a) / GRAVITY, abs=1e-6)
    assert flight.apex == pytest.approx((speed * np.sin(a)) ** 2 / (2 * GRAVITY), abs=1e-6)
    assert flight.time == pytest.approx(2 * speed * np.sin(a) / GRAVITY, abs=1e-6)
    assert flight.descent == pytest.approx(a, abs=1e-6)


@pytest.mark.parametrize(
    "name, count",
    [
        ("modern", 60),
        ("bearman_harvey", 30),
        ("smits_smith", 30),
        pytest.param("modern", 1000, marks=pytest.mark.soak),
        pytest.param("bearman_harvey", 300, marks=pytest.mark.soak),
        pytest.param("smits_smith", 300, marks=pytest.mark.soak),
    ],
)
def test_landing_within_five_centimetres_of_dop853(name, count):
    model = aerodynamics(name)
    speed, elevation, spin, azimuth, tilt, wind = random_launches(count, seed=7)
    worst = 0.0
    for i in range(count):
        ball = Launch(speed[i], elevation[i], spin[i], azimuth[i], tilt[i])
        flight = fly(ball, Air(CALM.density, CALM.viscosity, tuple(wind[i])), model=model)
        carry, side, time, apex = fine_landing(
            speed[i], elevation[i], spin[i], azimuth[i], tilt[i], wind[i], model
        )
        worst = max(worst, float(np.hypot(flight.carry - carry, flight.side - side)))
        assert flight.time == pytest.approx(time, abs=0.01)
        assert flight.apex == pytest.approx(apex, abs=0.1)
    assert worst <= 0.05


def test_batch_equals_one_by_one():
    speed, elevation, spin, azimuth, tilt, _ = random_launches(40, seed=3)
    whole = fly(Launch(speed, elevation, spin, azimuth, tilt), CALM)
    for i in (0, 7, 39):
        one = fly(Launch(speed[i], elevation[i], spin[i], azimuth[i], tilt[i]), CALM)
        assert one.carry == pytest.approx(whole.carry[i], rel=1e-12)
        assert one.side == pytest.approx(whole.side[i], abs=1e-9)


def test_path_starts_at_the_tee_ends_at_the_landing_and_reaches_the_apex():
    flight = fly(Launch(np.array([40.0, 70.0]), 0.2, 400.0, 0.05, 0.1), CALM, path_points=201)
    assert flight.path.shape == (3, 201, 2)
    assert np.allclose(flight.path[:, 0], 0)
    assert np.allclose(flight.path[0, -1], flight.carry)
    assert np.allclose(flight.path[1, -1], flight.side, atol=1e-6)
    assert np.allclose(flight.path[2].max(axis=0), flight.apex, atol=0.02)


speeds = st.floats(15, 85)
angles = st.floats(6, 35)
spins = st.floats(1500, 9000)


@settings(max_examples=60, deadline=None)
@given(speed=speeds, angle=angles, spin=spins, more=st.floats(0.5, 10))
def test_more_speed_never_carries_less(speed, angle, spin, more):
    flight = fly(Launch.of(np.array([speed, speed + more]), launch_deg=angle, spin_rpm=spin), CALM)
    assert flight.carry[1] > flight.carry[0]


@settings(max_examples=60, deadline=None)
@given(speed=speeds, angle=angles, spin=spins, ratio=st.floats(1.01, 1.3))
def test_denser_air_never_apexes_higher_without_lift(speed, angle, spin, ratio):
    launch = Launch.of(speed, launch_deg=angle, spin_rpm=spin)
    thin = fly(launch, CALM, lift_factor=0.0)
    thick = fly(launch, Air(CALM.density * ratio, CALM.viscosity), lift_factor=0.0)
    assert thick.apex <= thin.apex


@settings(max_examples=40, deadline=None)
@given(
    speed=speeds,
    angle=angles,
    spin=spins,
    azimuth=st.floats(-8, 8),
    tilt=st.floats(-20, 20),
    cross=st.floats(-8, 8),
)
def test_mirror_symmetry(speed, angle, spin, azimuth, tilt, cross):
    one = fly(
        Launch.of(speed, launch_deg=angle, spin_rpm=spin, azimuth_deg=azimuth, axis_tilt_deg=tilt),
        Air(1.2, 1.81e-5, (2.0, cross)),
    )
    other = fly(
        Launch.of(speed, launch_deg=angle, spin_rpm=spin, azimuth_deg=-azimuth, axis_tilt_deg=-tilt),
        Air(1.2, 1.81e-5, (2.0, -cross)),
    )
    assert other.carry == pytest.approx(float(one.carry), rel=1e-12)
    assert other.side == pytest.approx(-float(one.side), abs=1e-9)


def test_positive_tilt_and_azimuth_go_right():
    assert fly(Launch(60.0, 0.2, 300.0, axis_tilt=0.1), CALM).side > 1
    assert fly(Launch(60.0, 0.2, 300.0, azimuth=0.1), CALM).side > 1
    assert fly(Launch(60.0, 0.2, 300.0), Air(1.2, 1.81e-5, (0.0, -5.0))).side > 1


def test_registry_states_source_range_and_what_happens_outside():
    for model in REGISTRY.values():
        assert model.source and model.outside and model.re_range[0] < model.re_range[1]
        low, high = model(np.array([1e4, 4e5]), np.array([0.01, 1.0]))
        assert np.isfinite(low).all() and np.isfinite(high).all()
    assert not aerodynamics("smits_smith").covers(2.5e5, 0.1)
    with pytest.raises(KeyError, match="must be one of"):
        aerodynamics("nothing")
