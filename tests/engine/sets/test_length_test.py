"""The test at the range: power against simulation, and whether it finds on invented players what it promised."""

from dataclasses import replace

import numpy as np
import pytest
from judged import players_of
from scipy import stats

from app.demo import demo_case
from engine.documents.case import Shot
from engine.sets.length_test import (
    balls_for_ratio,
    carry_power,
    club_to_test,
    least_difference,
    least_ratio,
    mishits_power,
    most_mishits,
    plan_test,
    spread_by_length,
    spread_degrees,
    spread_power,
    turns,
)
from engine.sets.plan import plan
from engine.sets.usual import DEFAULT_LAYOUTS
from engine.solve import solve
from engine.statistics import Interval
from engine.swing.observations import gather

LEVEL = 0.05  # the usual one


def thrown(rng, runs, turns_, *, mean, sd, difference=0.0, ratio=1.0, tiring=0.0):
    """Balls (runs, n) at full length and gripped down, hit in turns while each ball carries ``tiring`` less."""
    full, down, number = [], [], 0
    for turn in turns_:
        for _ in range(turn.balls):
            size = sd * ratio if turn.gripped_down else sd
            ball = mean - tiring * number + size * rng.standard_normal(runs)
            (down if turn.gripped_down else full).append(ball - difference * turn.gripped_down)
            number += 1
    return np.stack(full, axis=1), np.stack(down, axis=1)


def carry_found(full, down):
    return stats.ttest_ind(full, down, axis=1, alternative="greater").pvalue < LEVEL


def spread_found(full, down):
    free = full.shape[1] - 1
    return full.var(axis=1, ddof=1) / down.var(axis=1, ddof=1) > stats.f.isf(LEVEL, free, free)


@pytest.mark.parametrize(("each", "difference"), [(10, 6.0), (20, 5.0), (30, 3.0), (50, 5.0)])
def test_power_of_the_carry_is_that_of_simulated_sessions(each, difference):
    full, down = thrown(np.random.default_rng(each), 4000, turns(each), mean=150, sd=8, difference=difference)
    told = carry_power(difference, sd_m=8, balls_each=each)
    assert told == pytest.approx(carry_found(full, down).mean(), abs=0.05)


@pytest.mark.parametrize(("each", "ratio"), [(10, 0.5), (30, 0.7), (50, 0.8), (124, 0.8)])
def test_power_of_the_spread_is_that_of_simulated_sessions(each, ratio):
    full, down = thrown(np.random.default_rng(each), 4000, turns(each), mean=150, sd=8, ratio=ratio)
    assert spread_power(ratio, balls_each=each) == pytest.approx(spread_found(full, down).mean(), abs=0.05)


def test_what_is_found_is_found_four_times_in_five():
    for each in (10, 20, 50):
        assert carry_power(
            least_difference(sd_m=7, balls_each=each), sd_m=7, balls_each=each
        ) == pytest.approx(0.8)
        assert spread_power(least_ratio(balls_each=each), balls_each=each) == pytest.approx(0.8)
    n = balls_for_ratio(0.8)
    assert spread_power(0.8, balls_each=n) >= 0.8 > spread_power(0.8, balls_each=n - 1)


@pytest.mark.parametrize(
    ("each", "full", "down"), [(20, 0.4, 0.1), (30, 0.3, 0.05), (50, 0.2, 0.04), (50, 0.1, 0.0)]
)
def test_power_of_the_strike_is_that_of_simulated_sessions_judged_by_scipy(each, full, down):
    """Fisher's exact test by scipy on every pair of counts that was drawn."""
    rng = np.random.default_rng(each)
    pairs = np.stack([rng.binomial(each, full, 4000), rng.binomial(each, down, 4000)], axis=1)
    found = {
        (a, b): stats.fisher_exact([[a, each - a], [b, each - b]], alternative="greater").pvalue < LEVEL
        for a, b in map(tuple, np.unique(pairs, axis=0))
    }
    share = np.mean([found[a, b] for a, b in map(tuple, pairs)])
    assert mishits_power(full, down, balls_each=each) == pytest.approx(share, abs=0.025)


def test_alike_strikes_are_told_apart_no_more_often_than_one_in_twenty():
    for share in (0.05, 0.1, 0.3, 0.5):
        assert mishits_power(share, share, balls_each=40) <= LEVEL


def test_the_share_of_mishits_found_is_found_four_times_in_five():
    for full in (0.3, 0.2, 0.14):
        down = most_mishits(full, balls_each=50)
        assert 0 < down < full
        assert mishits_power(full, down, balls_each=50) == pytest.approx(0.8, abs=0.01)
    assert most_mishits(0.05, balls_each=50) is None, "five in a hundred less none: 2.5 balls of 50"


def test_mishits_are_counted_by_length():
    shots = [Shot("7i", c) for c in (140, 141, 139, 140, 142, 95)]
    shots += [Shot("7i", c, grip_down_m=0.0254) for c in (136, 137, 135, 136, 138, 136)]
    case = replace(demo_case(), shots=tuple(shots))
    so_far = spread_by_length(case, gather(case)[1])
    assert (so_far.mishits_full, so_far.balls_full) == (1, 5)
    assert (so_far.mishits_down, so_far.balls_down) == (0, 6)
    said = {s.kind: s for s in solve(case, draws=32).verdict.plan}
    told = said["length_test.mishits_so_far"].quantities
    assert [told[n].value for n in ("down", "of_down", "full", "of_full")] == [0, 6, 1, 6]
    usual = said["length_test.strike"].quantities["mishits"].value
    assert usual == pytest.approx(2 / 22), "one of these twelve, and one of ten others"


def test_balls_for_a_ratio_grow_as_the_large_sample_rule_says():
    """ln(s1 / s2) has variance 1 / (n - 1) for two groups of n (normal theory), so n - 1 = ((1.645 + 0.842) / ln r)^2."""
    for ratio in (0.98, 0.95, 0.90):
        assert balls_for_ratio(ratio) == pytest.approx(1 + (2.4865 / np.log(ratio)) ** 2, rel=0.01)


@pytest.mark.parametrize("each", [10, 20, 30, 40, 50, 25])
def test_tiring_bears_on_both_lengths_alike(each):
    balls = [turn.gripped_down for turn in turns(each) for _ in range(turn.balls)]
    places = np.arange(len(balls))
    assert sum(balls) == each and len(balls) == 2 * each
    mean_down, mean_full = (places[np.array(balls) == down].mean() for down in (True, False))
    assert mean_down == pytest.approx(mean_full, abs=0.5)


def test_without_blocks_tiring_would_pass_for_length():
    """The same balls, all at full length first: the guard against an order that does nothing."""
    rng = np.random.default_rng(5)
    full, down = thrown(rng, 2000, turns(30), mean=150, sd=8, tiring=0.1)
    assert carry_found(full, down).mean() < 0.07
    order = sorted(turns(30), key=lambda turn: turn.gripped_down)
    full, down = thrown(rng, 2000, order, mean=150, sd=8, tiring=0.1)
    assert carry_found(full, down).mean() > 0.3


def test_the_club_is_the_one_that_changes_most_and_can_be_gripped_down():
    bag = demo_case().bag
    single = plan(DEFAULT_LAYOUTS[2], bag)
    club, down = club_to_test(bag, single)
    assert club.id == "5i" and down == pytest.approx(0.0254)
    assert club_to_test(bag, bag) is None
    far = [replace(c, length_m=c.length_m + 0.0508 + 0.01) for c in bag]
    assert club_to_test(far, bag) is None


def test_where_no_session_can_show_it_the_plan_says_so():
    bag = demo_case().bag
    club = next(c for c in bag if c.id == "5i")
    options = {"expected_m": Interval(4.0, 2.0, 6.0), "carry_m": 160.0, "spread": 0.05}
    near = plan_test(club, 0.0254, needed_ratio=0.97, **options)
    assert near.shows_carry is (near.finds_m <= 4.0) and not near.shows_spread
    assert near.balls_for_spread > 5000, "a hundred times what one session bears"
    far = plan_test(club, 0.0254, needed_ratio=0.5, **options)
    assert far.shows_spread and far.balls_for_spread <= far.balls_each
    none = plan_test(club, 0.0254, needed_ratio=1.02, **options)
    assert none.balls_for_spread is None and not none.shows_spread
    assert near.full_m - near.short_m == pytest.approx(near.grip_down_m)
    assert near.minutes >= 2 * near.balls_each * 0.5


def kept(players, runs, *, seed):
    """How often the planned test of the players found the carry and the spread it promised, ``runs`` in all."""
    rng, carry, spread = np.random.default_rng(seed), [], []
    for player in players:
        plan_ = solve(player.case, draws=64).verdict.test
        place = [c.id for c in player.clubs].index(plan_.club.id)
        mean = player.carry[place]
        each = runs // len(players)
        truth = {"mean": mean, "sd": player.spread * mean, "tiring": 0.02}
        carry.append(carry_found(*thrown(rng, each, plan_.turns, difference=plan_.finds_m, **truth)))
        spread.append(spread_found(*thrown(rng, each, plan_.turns, ratio=plan_.finds_ratio, **truth)))
    print(f"{runs} runs: carry {np.mean(carry):.3f}, spread {np.mean(spread):.3f}")
    return np.mean(carry), np.mean(spread)


def test_a_planned_test_keeps_its_promise():
    """Four players: how well the plan knows a player's scatter differs, so that their mean may be off by more."""
    carry, spread = kept(players_of(4, seed=71), 1200, seed=7)
    assert 0.65 <= carry <= 0.92 and 0.75 <= spread <= 0.85


@pytest.mark.soak
def test_planned_tests_of_many_players_keep_their_promise():
    carry, spread = kept(players_of(100, seed=72), 500, seed=8)
    assert 0.75 <= carry <= 0.85 and 0.75 <= spread <= 0.85


def both_ways(rng, n_full, n_down, ratio):
    case = demo_case()
    sd = 7.0
    full = [Shot("7i", carry_m=140 + sd * z) for z in rng.standard_normal(n_full)]
    down = [
        Shot("7i", carry_m=136 + sd * ratio * z, grip_down_m=0.0254, keep=True)
        for z in rng.standard_normal(n_down)
    ]
    return replace(case, shots=(*(replace(s, keep=True) for s in full), *down))


def test_the_interval_of_the_spread_by_length_is_honest():
    rng = np.random.default_rng(12)
    held = 0
    for _ in range(300):
        case = both_ways(rng, 20, 15, 0.8)
        told = spread_by_length(case, gather(case)[1])
        held += told.ratio.lo90 <= 0.8 * 140 / 136 <= told.ratio.hi90
        assert told.balls_full == 20 and told.balls_down == 15
    assert 0.85 <= held / 300 <= 0.95


def test_every_ball_of_a_club_but_the_first_is_a_degree_of_freedom_more():
    """Of a standard deviation about a mean of its own; what is usual stands in with six, our choice."""
    rng = np.random.default_rng(3)

    def degrees(**balls):
        shots = tuple(
            Shot(club, carry_m=150 + rng.standard_normal(), keep=True)
            for club, count in balls.items()
            for _ in range(count)
        )
        return spread_degrees(gather(replace(demo_case(), shots=shots))[1])

    assert degrees() == 6
    assert degrees(**{"7i": 20}) == pytest.approx(6 + 19)
    assert degrees(**{"7i": 10, "9i": 4, "5i": 1}) == pytest.approx(6 + 9 + 3)


def test_too_few_balls_say_nothing_of_the_spread():
    rng = np.random.default_rng(1)
    few = both_ways(rng, 20, 3, 1.0)
    assert spread_by_length(few, gather(few)[1]) is None
    assert spread_by_length(replace(demo_case(), shots=()), ()) is None


@pytest.mark.parametrize(
    ("shorter_in", "can"), [(0.125, False), (0.5, True), (2.0, True), (2.2, False), (3.0, False)]
)
def test_hands_go_down_a_usual_grip_by_two_inches(shorter_in, can):
    """Common practice, no source: some two inches, and under a quarter of an inch nobody can tell."""
    seven = next(c for c in demo_case().bag if c.id == "7i")
    found = club_to_test((seven,), (replace(seven, length_m=seven.length_m - shorter_in * 0.0254),))
    assert (found is not None) is can


@pytest.mark.parametrize("expected", [2.0, 6.0, 12.0])
def test_the_time_is_that_of_the_balls_to_the_next_five_minutes(expected):
    """Forty seconds a ball, common practice, no source."""
    club = next(c for c in demo_case().bag if c.id == "5i")
    mean = Interval(expected, expected - 1, expected + 1)
    plan_ = plan_test(club, 0.0254, expected_m=mean, carry_m=160.0, spread=0.05, needed_ratio=0.9)
    needs = 2 * plan_.balls_each * 40 / 60
    assert needs <= plan_.minutes < needs + 5 and plan_.minutes % 5 == 0
    assert sum(turn.balls for turn in plan_.turns) == 2 * plan_.balls_each
