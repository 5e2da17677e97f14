"""Expected strokes and putts: the shape any honest table has, and published points of the tour's benchmark."""

import numpy as np
import pytest

from engine.course.scoring import LIES, expected_putts, expected_strokes, make_chance

FOOT, YARD = 0.3048, 0.9144


@pytest.mark.parametrize(("feet", "putts"), [(3, 1.04), (8, 1.50), (30, 1.98), (60, 2.21), (90, 2.40)])
def test_putts_of_the_published_benchmark(feet, putts):
    """Broadie 2014, Every Shot Counts, table of putts on tour; from memory."""
    assert expected_putts(feet * FOOT) == pytest.approx(putts, abs=0.005)


def test_each_further_foot_costs_less_than_the_one_before():
    feet = np.array([10, 15, 20, 30, 40, 50, 60, 90])
    steps = np.diff(expected_putts(feet * FOOT)) / np.diff(feet)
    assert (steps > 0).all() and (np.diff(steps) < 1e-3).all()


def test_putts_and_the_chance_to_hole_one_agree():
    """Whoever misses needs one more at least; a tour player seldom needs three from within ten feet."""
    feet = np.array([3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 60, 90]) * FOOT
    least = 1 + (1 - make_chance(feet))
    assert (expected_putts(feet) >= least - 0.011).all()
    assert (expected_putts(feet)[:8] <= least[:8] + 0.02).all()
    assert (np.diff(make_chance(feet)) < 0).all()


@pytest.mark.parametrize("lie", LIES)
def test_strokes_grow_with_distance_and_with_a_worse_lie(lie):
    yards = np.arange(120, 500, 20) * YARD
    # the shortest holes played from a tee are published as a shade harder than somewhat longer ones
    assert (np.diff(expected_strokes(yards, lie=lie)) >= (-0.025 if lie == "tee" else 0)).all()
    if lie in ("rough", "sand", "recovery"):
        assert (expected_strokes(yards, lie=lie) > expected_strokes(yards, lie="fairway")).all()


@pytest.mark.parametrize("lie", LIES)
def test_no_distance_stands_out_from_its_neighbours(lie):
    """Averages over very many strokes: from 60 yd on, 20 yd more cost a fifth of a stroke at the most and less than
    nothing nowhere but by a hair; nearer, 10 yd cost a quarter at the most, and something everywhere."""
    nearest = {"tee": 100, "recovery": 60}.get(lie, 10)
    far, near = np.arange(max(nearest, 60), 501, 20), np.arange(nearest, 61, 10)
    steps = np.diff(expected_strokes(far * YARD, lie=lie))
    assert (steps > -0.025).all() and (steps < 0.205).all()
    steps = np.diff(expected_strokes(near * YARD, lie=lie))
    assert (steps > 0.035).all() and (steps < 0.255).all()


@pytest.mark.parametrize("lie", LIES)
def test_the_benchmark_stands_at_round_distances_and_ends_at_500_yd(lie):
    """Every 10 yd up to 60, every 20 from there to 500; on a straight line between, level outside."""
    yards = np.arange(2, 560)
    strokes = expected_strokes(yards * YARD, lie=lie)
    corners = yards[1:-1][np.abs(np.diff(strokes, 2)) > 1e-9]
    assert all(x % 20 == 0 if x > 60 else x % 10 == 0 for x in corners)
    assert corners[0] == {"tee": 100, "recovery": 60}.get(lie, 10) and corners[-1] == 500
