"""Clubs flown once: the same numbers as whole predictions, and nothing flown twice."""

from dataclasses import replace

import numpy as np
import pytest

import engine.sets.predict as predictions
from engine.documents.case import Case, Layout, Player
from engine.physics.air import REFERENCE, air_of
from engine.sets.plan import plan
from engine.sets.predict import FLOWN, Flights, predict
from engine.swing.calibration import calibrate
from engine.workshop.norms import norm_bag

AIR = air_of(REFERENCE)
SETS = [plan(Layout(k, k), norm_bag()) for k in ("present", "stepped", "single", "two_lengths")]


@pytest.fixture(scope="module")
def posterior():
    return calibrate(Case(player=Player(height_m=1.75), bag=norm_bag()), draws=32)


@pytest.fixture
def flown(monkeypatch):
    """The clubs that are really flown, call by call."""
    calls = []

    def watched(posterior, clubs, air, **options):
        calls.append(clubs)
        return predict(posterior, clubs, air, **options)

    monkeypatch.setattr(predictions, "predict", watched)
    return calls


def test_the_same_numbers_as_each_set_alone(posterior):
    for clubs, found in zip(SETS, Flights(posterior, AIR).of(*SETS), strict=True):
        alone = predict(posterior, clubs, AIR)
        assert found.clubs == clubs
        for name in FLOWN:
            np.testing.assert_allclose(getattr(found, name), getattr(alone, name), rtol=0, atol=1e-9)


def test_each_club_is_flown_once(posterior, flown):
    flights = Flights(posterior, AIR)
    flights.of(*SETS)
    assert len(flown) == 1
    assert len(flown[0]) == len({(c.id, c.length_m, c.head_kg, c.lie_deg) for s in SETS for c in s})
    flights.of(*SETS)
    assert len(flown) == 1
    renamed = tuple(replace(c, name="another name", bounce_deg=1.0) for c in SETS[0])
    assert flights.of(renamed)[0].clubs == renamed
    assert len(flown) == 1
    moved = (replace(SETS[0][3], loft_deg=SETS[0][3].loft_deg + 1), *SETS[0][4:])
    flights.of(moved)
    assert flown[1:] == [moved[:1]]


def test_what_is_kept_is_bounded(posterior):
    flights = Flights(posterior, AIR, most=20)
    for _ in range(2):
        for clubs in SETS:
            found = flights.of(clubs)[0]
            np.testing.assert_array_equal(found.carry, predict(posterior, clubs, AIR).carry)
            assert len(flights._known) <= 20
    assert flights.of(*SETS)[2].carry.shape == (32, len(SETS[2]))  # more than are kept, at once


def test_a_set_of_no_clubs(posterior):
    (found,) = Flights(posterior, AIR).of(())
    assert found.clubs == () and found.carry.shape[1] == 0
