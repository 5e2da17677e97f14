"""By how much shots would have to tighten: against sums by chance, hand-made sets and invented players of known truth."""

import numpy as np
import pytest
from judged import players_of

from engine.physics.air import REFERENCE, air_of
from engine.sets.break_even import distance_left, even_ratio
from engine.sets.compare import even_demand
from engine.sets.length_test import spread_degrees
from engine.sets.predict import predict
from engine.sets.verdict import break_even_of
from engine.swing.calibration import calibrate
from engine.swing.observations import carry_spread

LADDER = np.array([[160.0, 149.0, 138.0, 127.0, 116.0, 105.0]])


def test_distance_left_is_that_of_balls_thrown():
    """Monte Carlo: each distance is played with the club that leaves least on average."""
    rng = np.random.default_rng(3)
    distance = np.linspace(100, 165, 27)
    balls = LADDER[0][:, None] * (1 + 0.07 * rng.standard_normal((6, 40_000)))
    thrown = np.mean([np.abs(balls - d).mean(axis=1).min() for d in distance])
    told, _ = distance_left(LADDER, spread=0.07, distance=distance)
    assert told[0] == pytest.approx(thrown, abs=0.05)


def test_a_set_breaks_even_with_itself_at_its_own_spread():
    for spread in (0.02, 0.05, 0.1):
        ratio, left, again = even_ratio(LADDER, LADDER, spread=spread)
        assert ratio[0] == 1 and left[0] == again[0]


@pytest.mark.parametrize("spread", [0.03, 0.06, 0.10])
def test_at_the_ratio_both_sets_leave_the_same(spread):
    worse = LADDER - np.array([6.0, 2.0, 0.0, 0.0, 0.0, -3.0])
    demand = even_demand(100, 165)
    ratio, wanted, now = even_ratio(LADDER, worse, spread=spread, demand=demand)
    left, _ = distance_left(worse, spread=ratio * spread, distance=demand.distance, weight=demand.weight)
    assert now[0] > wanted[0] and ratio[0] < 0.995
    assert left[0] == pytest.approx(wanted[0], abs=1e-3)
    back, _, _ = even_ratio(worse, LADDER, spread=ratio[0] * spread, demand=demand)
    assert back[0] == pytest.approx(1 / ratio[0], abs=1e-3)


def found(count, seed):
    """True ratio, and mean and ends of the 90 % interval of ours, of so many players."""
    out = []
    for player in players_of(count, seed=seed):
        posterior = calibrate(player.case, draws=256)
        base, other = (
            predict(posterior, clubs, air_of(REFERENCE)) for clubs in (player.clubs, player.single)
        )
        ours = break_even_of(
            base,
            other,
            spread=carry_spread(posterior.summaries),
            degrees=spread_degrees(posterior.summaries),
            demand=None,
        )
        true, _, _ = even_ratio(player.carry[None], player.single_carry[None], spread=player.spread)
        out.append((true[0], ours.ratio.mean, ours.ratio.lo90, ours.ratio.hi90))
    return np.array(out).T


def judge(count, seed):
    true, mean, low, high = found(count, seed)
    off, held = np.median(np.abs(mean - true)), np.mean((low <= true) & (true <= high))
    print(f"break-even of {count}: median error {off:.4f}, 90 % interval holds {held:.3f}")
    return off, held


def test_the_ratio_is_near_the_truth():
    off, held = judge(6, seed=91)
    assert off <= 0.02 and held >= 0.6


@pytest.mark.soak
def test_the_ratio_of_200_players():
    off, held = judge(200, seed=92)
    assert off <= 0.02
    assert 0.85 <= held <= 0.97
