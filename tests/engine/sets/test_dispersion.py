"""The view from above: nine simulated balls in ten come down inside each ellipse (by simulation, no published table)."""

import numpy as np
import pytest

from app.demo import demo_case
from engine.documents.case import Shot
from engine.fitting.fitting import Fitting
from engine.sets.dispersion import direction_sd, from_above


def test_nine_balls_in_ten_are_inside():
    fitting = Fitting(demo_case())
    prediction = fitting.predict(fitting.clubs)
    seen = from_above(prediction, spread=fitting.spread, shots=fitting.case.shots)
    rng = np.random.default_rng(3)
    for i, landing in enumerate(seen.landings):
        mean = rng.choice(prediction.carry[:, i], 20_000)
        far = mean * (1 + fitting.spread * rng.standard_normal(20_000))
        side = far.mean() * np.tan(np.radians(seen.direction_sd_deg)) * rng.standard_normal(20_000)
        inside = (
            ((far - landing.carry_m) / landing.half_depth_m) ** 2 + (side / landing.half_width_m) ** 2
        ) <= 1
        assert inside.mean() == pytest.approx(0.9, abs=0.02)


def test_direction_is_the_players_own_once_noted():
    few = [Shot("7i", carry_m=130.0, side_m=s) for s in (-5.0, 5.0)]
    assert direction_sd(few) == (4.0, False)  # common practice, no source
    sides = [-9.0, -4.0, 0.0, 4.0, 9.0, 13.0, -13.0]
    own, measured = direction_sd([Shot("7i", carry_m=100.0, side_m=s) for s in sides])
    assert measured
    assert own == pytest.approx(np.degrees(np.std(np.arctan(np.array(sides) / 100), ddof=1)))
