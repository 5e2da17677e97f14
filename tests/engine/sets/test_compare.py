"""Measures of a layout hold in every draw, also where a ball hardly leaves the ground."""

import json

import numpy as np
import pytest
from scipy.special import ndtr

from engine.sets.compare import criterion_draws, demand_of, gaps
from engine.sets.predict import Prediction
from engine.workshop.norms import norm_bag

CLUBS = tuple(c for c in norm_bag("male") if c.family in ("iron", "wedge"))


def prediction(carry):
    """A prediction that holds these carries [m] (draws, clubs) and nothing of interest beside them."""
    rest = np.zeros_like(carry)
    return Prediction(CLUBS, carry, rest, rest, rest + 45, rest, rest, rest, rest)


def values_of(told):
    return criterion_draws(
        told, spread=0.06, hinge_deg=np.full(9, 30.0), demand=demand_of([told]), buildable=9
    )


@pytest.fixture
def carry():
    rng = np.random.default_rng(1)
    return np.linspace(170, 80, len(CLUBS)) + rng.normal(0, 6, (64, len(CLUBS)))


def test_balls_that_go_nowhere_overlap_by_half_and_spoil_nothing(carry):
    carry[3, :2] = 0.0
    told = prediction(carry)
    for name, draws in values_of(told).items():
        assert np.isfinite(draws).all(), name
    assert all(0 <= gap.chance_overlap <= 1 for gap in gaps(told, 0.06))
    json.dumps([gap.chance_overlap for gap in gaps(told, 0.06)], allow_nan=False)


def test_overlap_is_that_of_two_normal_balls(carry):
    """By the closed form, and by balls thrown: the share in which one with the shorter club flies further."""
    told = prediction(carry)
    gap = gaps(told, 0.06)[0]
    a, b = carry[:, 0], carry[:, 1]
    assert gap.chance_overlap == pytest.approx(np.mean(ndtr((b - a) / (0.06 * np.hypot(a, b)))))
    rng = np.random.default_rng(2)
    thrown = [x[:, None] * (1 + 0.06 * rng.standard_normal((len(x), 4000))) for x in (a, b)]
    assert gap.chance_overlap == pytest.approx(np.mean(thrown[1] > thrown[0]), abs=0.005)
    assert values_of(told)["overlaps"].mean() == pytest.approx(
        sum(g.chance_overlap for g in gaps(told, 0.06))
    )


def test_distances_faced_run_from_the_shortest_to_the_longest_mean_carry(carry):
    faced = demand_of([prediction(carry), prediction(carry + 20)]).distance
    means = carry.mean(axis=0)
    assert faced.min() == pytest.approx(means.min(), abs=1) and faced.min() >= means.min() - 1e-9
    assert faced.max() == pytest.approx(means.max() + 20, abs=1) and faced.max() <= means.max() + 20 + 1e-9
