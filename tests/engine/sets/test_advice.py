"""What is told of two layouts: what is likely and large enough to be noticed, from the side that has the better of it."""

from types import SimpleNamespace

import numpy as np
import pytest

from engine.documents.case import Case, Shot
from engine.documents.result import LayoutResult
from engine.sets.advice import advise, differences, moves, open_choice
from engine.sets.compare import Comparison, compare
from engine.sets.next_ball import BallToHit, NextBalls
from engine.statements import ClubName, LayoutName, state
from engine.statistics import Interval

# what a player would notice; our choice
LEAST = {
    "gap_spread_m": 0.5,
    "widest_gap_m": 1.0,
    "narrowest_gap_m": 1.0,
    "overlaps": 0.3,
    "reach_m": 2.0,
    "top_descent_deg": 2.0,
    "posture_spread_deg": 1.0,
    "buildable": 0.5,
}
MORE_IS_BETTER = {"narrowest_gap_m", "reach_m", "top_descent_deg", "buildable"}


def layouts(*ids):
    return tuple(LayoutResult(i, "own", LayoutName(i, "own"), (), (), {}) for i in ids)


def row(measure, size, chance, a="a", b="b"):
    """Likely to be noticed by as much as it is likely at all."""
    return Comparison(a, b, measure, Interval(size, size - 0.1, size + 0.1), chance, chance, 1 - chance)


@pytest.mark.parametrize("measure", LEAST)
def test_a_difference_is_told_from_what_is_noticed_on(measure):
    spread = np.random.default_rng(1).normal(0, 1e-3, 200)
    for share, told in ((1.05, 1), (0.95, 0)):
        for sign in (1, -1):
            apart = sign * share * LEAST[measure] + spread * LEAST[measure]
            rows = compare("a", "b", {measure: np.zeros(200)}, {measure: apart})
            assert len(differences(layouts("a", "b"), rows)) == told
            (one,) = rows
            assert max(one.chance_gain, one.chance_give) > 0.98 or not told
            assert (one.chance_gain > one.chance_give) == (
                bool(told) and (sign > 0) == (measure in MORE_IS_BETTER)
            )


@pytest.mark.parametrize(("chance", "told"), [(0.81, 1), (0.79, 0), (0.5, 0), (0.21, 0), (0.19, 1)])
def test_a_difference_is_told_from_eight_in_ten_on_as_in_the_verdict(chance, told):
    assert len(differences(layouts("a", "b"), (row("reach_m", 5.0, chance),))) == told


@pytest.mark.parametrize("measure", LEAST)
@pytest.mark.parametrize("b_better", [True, False])
def test_the_better_one_stands_first_with_a_difference_above_nought(measure, b_better):
    sign = 1 if (measure in MORE_IS_BETTER) == b_better else -1
    (said,) = differences(layouts("a", "b"), (row(measure, sign * 4.0, 0.9 if b_better else 0.1),))
    assert [x.id for x in said.layouts] == (["b", "a"] if b_better else ["a", "b"])
    told = said.quantities["difference"]
    assert (told.value, told.low, told.high) == pytest.approx((4.0, 3.9, 4.1))
    assert said.chance == pytest.approx(0.9) and said.kind == f"difference.{measure}"


def test_of_each_measure_the_surest_pair_is_told_and_the_surest_measure_first():
    rows = (
        row("reach_m", 5.0, 0.82),
        row("reach_m", 5.0, 0.95, "a", "c"),
        row("overlaps", -1.0, 0.85),
        row("expected_miss_m", -3.0, 0.99),  # one measure among the others
    )
    told = differences(layouts("a", "b", "c"), rows)
    assert [(s.kind, round(s.chance, 2)) for s in told] == [
        ("difference.expected_miss_m", 0.99),
        ("difference.reach_m", 0.95),
        ("difference.overlaps", 0.85),
    ]


def verdict(base, other):
    """Only its pair counts here."""
    pair = {"base": LayoutName(base, "own"), "other": LayoutName(other, "own")}
    return SimpleNamespace(**pair, lines=[state("verdict.compared", layouts=list(pair.values()))])


def test_the_open_choice_is_of_the_pair_of_the_verdict():
    rows = (
        row("expected_miss_m", -0.5, 0.7, "a", "b"),
        row("expected_miss_m", -0.5, 0.6, "a", "c"),
        row("expected_miss_m", 0.2, 0.45, "b", "c"),
    )
    found = open_choice(rows, verdict("b", "c"))
    assert (found.ahead, found.behind) == ("b", "c") and found.chance == pytest.approx(0.55)
    found = open_choice(rows, verdict("a", "b"))
    assert (found.ahead, found.behind) == ("b", "a") and found.chance == pytest.approx(0.7)
    assert open_choice(rows, None) is None
    assert open_choice((row("reach_m", 5.0, 0.9),), verdict("a", "b")) is None


@pytest.mark.parametrize(
    ("now", "after", "asked"),
    [(0.80, 0.81, False), (0.80, 0.824, False), (0.80, 0.83, True), (0.5, 0.9, True)],
)
def test_ten_balls_are_asked_for_where_they_gain_three_in_a_hundred_or_more(now, after, asked):
    """As the chances are shown, in whole per cent; below that enough was hit, and what more would bring is told."""
    why = state("next_ball.tells", clubs=[ClubName("7i", "7-iron")], grip=None, about=("own",))
    ball = BallToHit("7i", 0.0, 10, 1.0, 0.9, 0.1, after, 7, why)
    found = NextBalls("a", "b", "expected_miss_m", now, (ball,))
    assert moves(found) is asked
    shots = (Shot("7i", 140.0),)
    for case, hit in ((Case(shots=shots), "some"), (Case(), "none")):
        _, said = advise(case, (), verdict("b", "a"), found)
        told = said.statement
        assert told.kind == ("advice.next_ball" if asked else "advice.nothing_to_hit")
        assert told.quantities["after"].value == after and bool(said.reasons) is asked
        assert asked or (told.terms["hit"], told.layouts) == (hit, (LayoutName("b", "own"),))
