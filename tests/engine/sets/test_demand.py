"""Distances faced: stated ones weigh as stated, and count only where any of them does."""

import numpy as np
import pytest

from engine.documents.case import Faced
from engine.sets.compare import even_demand, stated_demand


def test_stated_distances_weigh_by_their_share():
    found = stated_demand((Faced(100.0, 1.0), Faced(140.0, 3.0)))
    assert found.stated and found.distance.tolist() == [100.0, 140.0]
    assert found.weight == pytest.approx([0.25, 0.75])


@pytest.mark.parametrize("faced", [(), (Faced(100.0, 0.0),), (Faced(100.0, 0.0), Faced(120.0, 0.0))])
def test_distances_that_count_for_nothing_are_none(faced):
    assert stated_demand(faced) is None


def test_even_distances_reach_from_end_to_end_and_weigh_alike():
    found = even_demand(80.0, 160.0, points=5)
    assert found.distance == pytest.approx([80, 100, 120, 140, 160])
    assert np.ptp(found.weight) == 0 and found.weight.sum() == pytest.approx(1) and not found.stated
