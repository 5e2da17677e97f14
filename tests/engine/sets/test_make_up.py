"""Choice of the bag against trying every set."""

from itertools import combinations

import numpy as np
import pytest

from engine.sets.make_up import best_make_up, mean_miss


def brute(carry, demand, weight, count, keep):
    sets = (s for k in range(1, count + 1) for s in combinations(range(len(carry)), k) if set(keep) <= set(s))
    return min(mean_miss(carry[list(s)], demand_m=demand, demand_weight=weight) for s in sets)


@pytest.mark.parametrize("number", range(200))
def test_equals_trying_every_set(number):
    rng = np.random.default_rng(number)
    n = int(rng.integers(1, 9))
    carry = rng.uniform(40, 220, n)
    if n > 2 and number % 5 == 0:
        carry[1] = carry[0]
    demand, weight = rng.uniform(30, 230, 25), rng.uniform(0, 1, 25)
    count = int(rng.integers(1, n + 1))
    keep = rng.choice(n, int(rng.integers(0, count + 1)), replace=False).tolist()
    found = best_make_up(carry, demand_m=demand, demand_weight=weight, count=count, must_keep=keep)
    assert set(keep) <= set(found.chosen)
    assert len(found.chosen) <= count
    assert found.miss_m == pytest.approx(brute(carry, demand, weight, count, keep), abs=1e-9)
    assert found.miss_m == pytest.approx(
        mean_miss(carry[list(found.chosen)], demand_m=demand, demand_weight=weight), abs=1e-12
    )


@pytest.mark.parametrize("number", range(60))
def test_with_clubs_that_stay_out_it_equals_trying_every_set_of_the_others(number):
    rng = np.random.default_rng(1000 + number)
    n = int(rng.integers(2, 9))
    carry, demand, weight = rng.uniform(40, 220, n), rng.uniform(30, 230, 25), rng.uniform(0, 1, 25)
    out = set(rng.choice(n, int(rng.integers(1, n)), replace=False).tolist())
    rest = [i for i in range(n) if i not in out]
    count = int(rng.integers(1, n + 1))
    found = best_make_up(carry, demand_m=demand, demand_weight=weight, count=count, stay_out=tuple(out))
    assert not set(found.chosen) & out
    assert found.miss_m == pytest.approx(
        brute(carry[rest], demand, weight, min(count, len(rest)), ()), abs=1e-9
    )
    assert {i for i, _ in found.adding_m} == set(range(n)) - set(found.chosen)
    assert all(shrinks >= -1e-9 for _, shrinks in found.adding_m)


def test_costs_of_dropping_and_adding_by_hand():
    found = best_make_up([100.0, 110.0, 150.0], demand_m=[100.0, 110.0, 150.0], count=2)
    assert found.chosen in ((0, 2), (1, 2))
    assert found.miss_m == pytest.approx(10 / 3)
    assert found.adding_m[0][1] == pytest.approx(10 / 3)
    assert min(found.dropping_m) > 0


@pytest.mark.parametrize(
    "bad",
    [
        {"carry_m": [], "count": 1},
        {"carry_m": [100.0], "count": 0},
        {"carry_m": [100.0], "count": 15},
        {"carry_m": [100.0, 120.0], "count": 1, "must_keep": [0, 1]},
        {"carry_m": [100.0], "count": 1, "must_keep": [3]},
        {"carry_m": [100.0], "count": 1, "stay_out": [0]},
        {"carry_m": [100.0, 120.0], "count": 1, "must_keep": [0], "stay_out": [0]},
        {"carry_m": [float("nan")], "count": 1},
    ],
)
def test_refuses_what_makes_no_sense(bad):
    with pytest.raises(ValueError, match="`"):
        best_make_up(bad.pop("carry_m"), demand_m=[100.0], **bad)
