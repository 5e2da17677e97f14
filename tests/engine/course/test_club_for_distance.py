"""Which club for a distance, against the normal table and by simulation."""

from itertools import pairwise

import numpy as np
import pytest

from engine.documents.case import Case, Layout, Shot
from engine.fitting.fitting import Fitting
from engine.sets.plan import plan
from engine.workshop.norms import norm_bag

CASE = Case(
    bag=norm_bag(),
    shots=tuple(
        Shot(c, m) for c, m in (("7i", 139.0), ("7i", 141.0), ("7i", 136.0), ("9i", 118.0), ("9i", 116.0))
    ),
    layouts=(Layout("now", "present"),),
)
FITTING = Fitting(CASE)


def test_chances_are_those_of_simulated_balls():
    distance, within = 130.0, 5.0
    prediction, spread = FITTING.predict(plan(CASE.layouts[0], CASE.bag)), FITTING.spread
    rng = np.random.default_rng(3)
    balls = prediction.carry * (1 + spread * rng.standard_normal((400, *prediction.carry.shape)))
    for option in FITTING.clubs_for("now", distance, within_m=within):
        column = [c.id for c in prediction.clubs].index(option.id)
        hit = balls[..., column]
        assert option.chance_near == pytest.approx(np.mean(np.abs(hit - distance) <= within), abs=0.01)
        assert option.chance_short == pytest.approx(np.mean(hit < distance - within), abs=0.01)
        assert option.chance_near + option.chance_short + option.chance_long == pytest.approx(1.0)


def test_likeliest_first_and_sensible_ends():
    options = FITTING.clubs_for("now", 138.0)
    assert options[0].id == "7i"
    chances = [round(o.chance_near, 2) for o in options]
    assert chances == sorted(chances, reverse=True)
    assert FITTING.clubs_for("now", 20.0)[0].id == "lw"  # where no club has a chance, the nearest
    assert FITTING.clubs_for("now", 330.0)[0].id == "dr"
    assert next(o for o in options if o.id == "lw").chance_short > 0.99
    assert next(o for o in options if o.id == "dr").chance_long > 0.9


def test_refuses_what_makes_no_sense():
    with pytest.raises(KeyError):
        FITTING.clubs_for("none", 100.0)
    with pytest.raises(ValueError, match="above 0"):
        FITTING.clubs_for("now", 0.0)


def test_of_clubs_whose_chances_read_alike_the_nearer_comes_first():
    for distance in range(60, 200, 2):
        options = FITTING.clubs_for("now", float(distance))
        for one, next_ in pairwise(options):
            alike = f"{one.chance_near:.2f}" == f"{next_.chance_near:.2f}"
            assert not alike or abs(one.carry_m.mean - distance) <= abs(next_.carry_m.mean - distance)
