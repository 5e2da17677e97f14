"""The view from above: nine simulated balls in ten come down inside each ellipse (by simulation, no published table)."""

import numpy as np
import pytest

from app.demo import demo_case
from engine.documents.case import Shot
from engine.fitting.fitting import Fitting
from engine.sets.dispersion import NINE_IN_TEN, Direction, direction_of, from_above, pattern


def test_nine_balls_in_ten_are_inside():
    fitting = Fitting(demo_case())
    prediction = fitting.predict(fitting.clubs)
    seen = from_above(prediction, spread=fitting.spread, shots=fitting.case.shots)
    rng = np.random.default_rng(3)
    for i, landing in enumerate(seen.landings):
        mean = rng.choice(prediction.carry[:, i], 20_000)
        far = mean * (1 + fitting.spread * rng.standard_normal(20_000))
        side = far.mean() * np.tan(np.radians(seen.direction.sd_deg)) * rng.standard_normal(20_000)
        inside = (
            ((far - landing.carry_m) / landing.half_depth_m) ** 2 + (side / landing.half_width_m) ** 2
        ) <= 1
        assert inside.mean() == pytest.approx(0.9, abs=0.02)


def test_direction_is_the_players_own_once_noted():
    assert direction_of([]) == Direction(4.0, 0, 0.0)  # common practice
    assert direction_of([Shot("7i", carry_m=130.0, side_m=9.0)]) == Direction(4.0, 1, 0.0)
    few = [Shot("7i", carry_m=130.0, side_m=s) for s in (-5.0, 5.0)]
    found = direction_of(few)
    assert found.sd_deg == pytest.approx(np.sqrt((6 * 4.0**2 + 2 * np.degrees(np.arctan(5 / 130)) ** 2) / 7))
    assert (found.balls, found.own) == (2, pytest.approx(1 / 7))
    sides = [-9.0, -4.0, 0.0, 4.0, 9.0, 13.0, -13.0]
    found = direction_of([Shot("7i", carry_m=100.0, side_m=s) for s in sides])
    assert (found.balls, found.own) == (7, 0.5)
    var = np.degrees(np.std(np.arctan(np.array(sides) / 100), ddof=1)) ** 2
    assert found.sd_deg == pytest.approx(np.sqrt((6 * 4.0**2 + 6 * var) / 12))


def test_the_spread_of_direction_goes_over_to_the_players_own_ball_by_ball():
    sides = [s for _ in range(20) for s in (-1.0, 1.0)]
    found = [
        direction_of([Shot("7i", carry_m=100.0, side_m=s) for s in sides[:n]]).sd_deg for n in range(1, 41)
    ]
    steps = -np.diff(found)
    assert (steps > 0).all() and steps.max() < 0.4 and found[-1] < 1.7


def test_a_pattern_covers_what_it_says_it_covers():
    """Made-up balls, normal and correlated: the ellipse holds nine in ten, the interval of the spread the true size nine
    times in ten, and a club that is straight is called off line one time in ten."""
    rng = np.random.default_rng(8)
    true = np.array([[36.0, 12.0], [12.0, 25.0]])
    sizes, off, inside = [], 0, 0
    for _ in range(600):
        at = rng.multivariate_normal([130.0, 0.0], true, size=12)
        found = pattern([Shot("7i", carry_m=c, side_m=s) for c, s in at])
        low, high = found.spread
        size = np.sqrt(np.prod(found.half_axes_m))
        truth = NINE_IN_TEN * np.linalg.det(true) ** 0.25
        sizes.append(size / truth)
        inside += low * size <= truth <= high * size
        off += found.off_line
    assert 0.88 <= inside / 600 <= 0.92 and 0.07 <= off / 600 <= 0.13
    assert np.mean(sizes) == pytest.approx(1.0, abs=0.08)


def test_the_pattern_leans_as_the_balls_do():
    """Balls along a line 30 degrees to the right of straight ahead."""
    far = np.array([-9.0, -4.0, 0.0, 3.0, 10.0])
    shots = [Shot("7i", carry_m=130 + f * np.cos(np.pi / 6), side_m=f * np.sin(np.pi / 6)) for f in far]
    found = pattern(shots)
    assert found.turn_rad == pytest.approx(np.pi / 6) and found.half_axes_m[1] == pytest.approx(0, abs=1e-4)
    mirrored = pattern([Shot("7i", carry_m=s.carry_m, side_m=-s.side_m) for s in shots])
    assert mirrored.turn_rad == pytest.approx(-found.turn_rad)
    assert mirrored.side_m.mean == pytest.approx(-found.side_m.mean)


def test_a_pattern_needs_sides():
    assert pattern([Shot("7i", carry_m=130.0), Shot("7i", side_m=3.0)]) is None
    few = pattern([Shot("7i", carry_m=130.0, side_m=3.0)] * 2)
    assert few.half_axes_m is None and not few.off_line and few.balls == 2
    unused = Shot("7i", carry_m=130.0, side_m=50.0, use=False)
    assert pattern([unused]) is None
