"""The next ball: closed forms against other ways to the same number, and the ranking against balls really simulated."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from simulate import SCATTER, SimulatedPlayer

from engine.documents.case import Shot
from engine.physics.air import REFERENCE, air_of
from engine.sets.compare import criterion_draws, demand_of
from engine.sets.next_ball import Decision, decision_between, expected_chance, learned, next_balls
from engine.sets.plan import plan
from engine.sets.predict import predict
from engine.sets.usual import DEFAULT_LAYOUTS
from engine.swing import departures
from engine.swing.calibration import calibrate
from engine.swing.delivery import Clubs, carry, deliver
from engine.swing.observations import carry_spread
from engine.units import INCH

AIR = air_of(REFERENCE)
MEASURE = "expected_miss_m"  # what the verdict decides by
PRESENT, SINGLE = DEFAULT_LAYOUTS[0], DEFAULT_LAYOUTS[2]


def open_decision(posterior, bag, *, demand=None, measure=MEASURE):
    """Present set or single length, and the distances faced that it rests on."""
    irons = [tuple(c for c in plan(x, bag) if c.family in ("iron", "wedge")) for x in (PRESENT, SINGLE)]
    predictions = [predict(posterior, clubs, AIR) for clubs in irons]
    demand = demand_of(predictions) if demand is None else demand
    values = [
        criterion_draws(p, spread=0.065, hinge_deg=np.full(9, np.nan), demand=demand, buildable=9)
        for p in predictions
    ]
    return decision_between("now", "single", *values, measure=measure), demand


def player_with_balls(seed, hit=("5i", "8i", "pw"), draws=256):
    player = SimulatedPlayer(seed)
    case = player.case(player.shots(hit, 10))
    return case, calibrate(case, draws=draws)


def ranked(case, posterior, decision, **kwargs):
    spread = carry_spread(posterior.summaries)
    return next_balls(posterior, decision, clubs=case.bag, air=AIR, spread=spread, **kwargs)


# ranking against simulation

NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
PATTERN = np.linspace(-1, 1, 10) / np.linspace(-1, 1, 10).std(ddof=1)


def simulated_variance(case, posterior, candidate, demand):
    """Expected variance of the decision after ten balls with a candidate: balls are made, the swing is calibrated anew,
    both layouts predicted and compared.

    The mean carry of the balls runs over the five nodes of Gauss's rule for its normal distribution, so that no luck of
    the draw is left; the balls scatter about it as the player's do.
    """
    club = case.club(candidate.club)
    clubs = Clubs.of([club], grip_down=candidate.grip_down_m)
    flown = carry(posterior.theta, deliver(posterior.theta, clubs), AIR).carry[:, 0]
    log_carry = np.log(np.maximum(flown, 1.0)) + posterior.departure([club])[:, 0]
    sd = np.hypot(log_carry.std(), SCATTER / np.sqrt(10))
    out = 0.0
    for node, weight in zip(NODES, WEIGHTS / WEIGHTS.sum(), strict=True):
        values = np.exp(log_carry.mean() + sd * node) * (1 + SCATTER * PATTERN)
        new = tuple(
            Shot(club.id, carry_m=float(np.clip(v, 2, 390)), grip_down_m=candidate.grip_down_m)
            for v in values
        )
        after = calibrate(replace(case, shots=case.shots + new), draws=len(posterior.theta))
        out += weight * open_decision(after, case.bag, demand=demand)[0].variance
    return out


def spread_out(ranking, count=7):
    """Candidates from the most useful to one of no use, evenly spaced in what is expected of them: among the many that
    would teach nothing the order is chance.
    """
    after = np.array([c.variance_after for c in ranking])
    chosen = []
    for wanted in np.linspace(after.min(), after.max(), count):
        chosen.append(
            min((i for i in range(len(after)) if i not in chosen), key=lambda i: abs(after[i] - wanted))
        )
    return [ranking[i] for i in chosen]


def rank_correlation(a, b):
    """Spearman's rank correlation."""
    ranks = [np.argsort(np.argsort(x)) for x in (a, b)]
    return float(np.corrcoef(*ranks)[0, 1])


@pytest.mark.parametrize(("players", "draws"), [(4, 512), pytest.param(30, 1024, marks=pytest.mark.soak)])
def test_ranking_agrees_with_simulation(players, draws):
    found, sizes = [], []
    for seed in range(players):
        case, posterior = player_with_balls(seed)
        ranking = ranked(case, posterior, open_decision(posterior, case.bag)[0]).ranking
        chosen = spread_out(ranking)
        fine = calibrate(case, draws=draws)
        decision, demand = open_decision(fine, case.bag)
        after = [simulated_variance(case, fine, c, demand) for c in chosen]
        found.append(rank_correlation([c.variance_after for c in chosen], after))
        sizes.append((chosen[0].share_cut, 1 - after[0] / decision.variance))
    expected, got = np.mean(sizes, axis=0)
    print(
        f"{players} players: rank correlation {np.mean(found):.3f}, least {min(found):.2f}; "
        f"best ball expected to take {expected:.2f}, took {got:.2f} of the variance"
    )
    assert np.mean(found) >= 0.8
    assert expected == pytest.approx(got, abs=0.15)


# closed forms


@settings(max_examples=30, deadline=None)
@given(mean=st.floats(-3, 3), variance=st.floats(0.1, 4), left=st.floats(0, 1))
def test_expected_chance_is_that_of_the_two_normals(mean, variance, left):
    """By Gauss's rule over the mean that will be found: E Phi(|m'| / sd_after)."""
    from scipy.special import ndtr

    after = variance * left
    grid = np.linspace(-8, 8, 4001)
    weight = np.exp(-(grid**2) / 2)
    later = mean + np.sqrt(variance - after) * grid
    with np.errstate(divide="ignore", invalid="ignore"):
        right = np.where(later == 0, 0.5, ndtr(np.abs(later) / np.sqrt(after)))
    assert expected_chance(mean, variance, after) == pytest.approx(
        float(weight @ right / weight.sum()), abs=2e-3
    )


def test_expected_chance_at_its_ends():
    from scipy.special import ndtr

    assert expected_chance(0.7, 1.0, 1.0) == pytest.approx(float(ndtr(0.7)))
    assert expected_chance(0.7, 1.0, 0.0) == pytest.approx(1.0)
    assert expected_chance(0.0, 1.0, 1.0) == pytest.approx(0.5)


def test_a_straight_decision_falls_by_the_normal_update():
    """A decision that is one club's log carry itself: worked out again by the update of the whole covariance matrix."""
    case, posterior = player_with_balls(1, draws=4096)
    sw = case.club("sw")
    flown = predict(posterior, (sw,), AIR).carry[:, 0]
    decision = Decision("a", "b", "reach_m", np.log(flown))
    spread = carry_spread(posterior.summaries)
    told = ranked(case, posterior, decision, grips=(0.0,))
    best = told.best
    assert best.club == "sw"

    size = len(posterior.top) + 1
    precision = np.eye(size)
    precision[:-1, :-1] = posterior.precision
    count = len(posterior.mean)
    slope = np.zeros(size)
    for k in range(count):
        ends = []
        for step in (-0.05, 0.05):
            theta = posterior.mean.copy()
            theta[k] += step * posterior.prior_sd[k]
            flown = carry(theta[None], deliver(theta[None], Clubs.of([sw])), AIR).carry
            shape = departures.expected(theta[None], [sw.loft_deg], [sw.family])
            ends.append(float(np.log(flown[0, 0]) + shape[0, 0]))
        slope[k] = (ends[1] - ends[0]) / 0.1
    slope[count : count + departures.SIZE] = (
        departures.basis([sw.loft_deg], [sw.family])[0] * posterior.smooth_sd
    )
    slope[-1] = posterior.discrepancy_sd("sw")
    noise = spread**2 / 10 + 0.004**2
    before = slope @ np.linalg.inv(precision) @ slope
    after = slope @ np.linalg.inv(precision + np.outer(slope, slope) / noise) @ slope
    wanted = 1 - noise / (before + noise)
    assert after / before == pytest.approx(noise / (before + noise), rel=1e-6)
    assert best.share_cut == pytest.approx(wanted, abs=0.03)


def test_balls_already_hit_count():
    """Of a club's own carry ten more balls tell less where ten were hit before."""
    case, posterior = player_with_balls(2)
    told = {}
    for club in ("8i", "sw"):
        flown = predict(posterior, (case.club(club),), AIR).carry[:, 0]
        ranking = ranked(case, posterior, Decision("a", "b", MEASURE, np.log(flown)), grips=(0.0,)).ranking
        told[club] = next(c.share_cut for c in ranking if c.club == club)
    assert told["8i"] < told["sw"] - 0.1
    assert told["sw"] > 0.8


def test_what_length_does_is_learned_from_a_club_gripped_down():
    case, posterior = player_with_balls(3, hit=("5i", "7i", "9i", "pw"))
    from engine.swing.parameters import INDEX

    decision = Decision("now", "single", MEASURE, posterior.theta[:, INDEX["length_effect"]].copy())
    told = ranked(case, posterior, decision, balls=20)
    hit = [c for c in told.ranking if c.club == "7i"]
    assert hit[0].grip_down_m == pytest.approx(2 * INCH)
    assert "length_effect" in hit[0].why.terms["about"]
    assert hit[0].share_cut > 2 * hit[-1].share_cut


def test_numbers_hang_together_and_more_balls_take_more():
    case, posterior = player_with_balls(0)
    decision, _ = open_decision(posterior, case.bag)
    few, many = (ranked(case, posterior, decision, balls=n) for n in (3, 30))
    by_club = {(c.club, c.grip_down_m): c for c in many.ranking}
    assert len(few.ranking) == 4 * 13
    for c in few.ranking:
        more = by_club[c.club, c.grip_down_m]
        assert 0 <= c.variance_after <= c.variance_before == pytest.approx(decision.variance)
        assert more.variance_after <= c.variance_after
        assert few.chance_now - 1e-9 <= c.chance_right <= more.chance_right + 1e-9 <= 1
        assert c.sd_cut == pytest.approx(np.sqrt(c.variance_before) - np.sqrt(c.variance_after))
        assert 0 <= c.balls_worth <= 30
    after = [c.variance_after for c in few.ranking]
    assert after == sorted(after)
    assert few.best.balls_worth >= 3


def test_a_carry_that_is_handed_in_saves_work_and_changes_nothing():
    case, posterior = player_with_balls(0)
    decision, _ = open_decision(posterior, case.bag)
    clubs = tuple(c for c in case.bag if c.family != "putter")
    given_carry = predict(posterior, clubs, AIR).carry
    assert ranked(case, posterior, decision) == ranked(case, posterior, decision, full_carry=given_carry)


def test_nothing_to_decide_and_nothing_to_hit():
    case, posterior = player_with_balls(0)
    same = Decision("a", "b", MEASURE, np.zeros(256))
    assert ranked(case, posterior, same).ranking == () and ranked(case, posterior, same).best is None
    decision, _ = open_decision(posterior, case.bag)
    assert next_balls(posterior, decision, clubs=(), air=AIR, spread=0.06).ranking == ()
    with pytest.raises(ValueError, match="`balls`"):
        ranked(case, posterior, decision, balls=0)
    with pytest.raises(ValueError, match="`decision`"):
        ranked(case, posterior, Decision("a", "b", MEASURE, np.zeros(7)))
    with pytest.raises(ValueError, match="`measure`"):
        decision_between("a", "b", {}, {}, measure="reach_m")


def test_without_any_shot_there_is_advice_too():
    player = SimulatedPlayer(1)
    case = player.case(())
    posterior = calibrate(case)
    decision, _ = open_decision(posterior, case.bag)
    assert ranked(case, posterior, decision).best.share_cut > 0.02


def test_better_is_positive_whatever_the_measure_wants():
    a, b = (
        {"expected_miss_m": np.full(4, 2.0), "reach_m": np.full(4, 150.0)},
        {
            "expected_miss_m": np.full(4, 1.5),
            "reach_m": np.full(4, 160.0),
        },
    )
    assert (decision_between("a", "b", a, b).draws == 0.5).all()
    assert (decision_between("a", "b", a, b, measure="reach_m").draws == 10).all()


def test_learned_tells_what_became_of_the_doubt():
    case, posterior = player_with_balls(6)
    before, demand = open_decision(posterior, case.bag)
    best = ranked(case, posterior, before).best
    player = SimulatedPlayer(6)
    player.shots(("5i", "8i", "pw"), 10)  # the same balls as before, so that the next are new
    new = player.shots((best.club,), 15, grip_down=best.grip_down_m)
    after, _ = open_decision(calibrate(replace(case, shots=case.shots + new)), case.bag, demand=demand)
    told = learned(before, after)
    assert told.variance_before == before.variance and told.variance_after == after.variance
    assert told.share_cut == pytest.approx(1 - after.variance / before.variance)
    assert told.statement.quantities["share"].value == abs(told.share_cut)

    def doubt(later):
        return learned(before, later).statement.terms["doubt"]

    assert doubt(replace(after, draws=0.5 * before.draws)) == "less"
    assert doubt(replace(after, draws=2 * before.draws)) == "more"
    assert doubt(before) == "same"
    with pytest.raises(ValueError, match="same choice"):
        learned(before, replace(after, measure="reach_m"))
