"""Speeds that were stated, beside what the player says by hitting."""

import pytest

from engine.documents.case import Case, Swing
from engine.swing.parameters import INDEX, prior
from engine.workshop.norms import norm_bag


def test_two_stated_speeds_are_weighed_by_what_each_is_worth():
    """A stated 7-iron speed is worth 4 %, a driver's 6 %: together 1 / sqrt(1/0.04^2 + 1/0.06^2) = 3.33 %, and the mean lies
    nearer to the surer. Worked by hand; both figures are common practice, no source."""
    alone, other, both = (
        prior(Case(bag=norm_bag("male"), swing=Swing(**said)))
        for said in (
            {"iron7_speed_mps": 36.0},
            {"driver_speed_mps": 50.0},
            {"iron7_speed_mps": 36.0, "driver_speed_mps": 50.0},
        )
    )
    at = INDEX["log_speed"]
    assert alone[1][at] == pytest.approx(0.04) and other[1][at] == pytest.approx(0.06)
    assert both[1][at] == pytest.approx(0.03328, abs=1e-4)
    share = (both[0][at] - other[0][at]) / (alone[0][at] - other[0][at])
    assert share == pytest.approx((1 / 0.04**2) / (1 / 0.04**2 + 1 / 0.06**2))
