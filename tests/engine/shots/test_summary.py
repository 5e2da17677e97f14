"""Robust summaries: properties that hold for any shots, and how the rules behave on simulated players."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import t

from engine.documents.case import Case, Shot
from engine.shots import mishits, robust_statistics, summary
from engine.shots.robust_statistics import huber, standard_deviation
from engine.shots.summary import (
    balls_needed,
    overlap_chance,
    pooled_share,
    shrunk_sd,
    summarise,
    t_half_width,
)
from engine.solve import solve
from engine.workshop.norms import norm_bag

carries = st.lists(st.floats(20, 300).map(lambda v: round(v, 1)), min_size=1, max_size=30)


@given(carries, st.randoms(use_true_random=False), st.sampled_from([None, 0.065]))
def test_order_does_not_matter(values, random, prior):
    one = summarise(values, spread_prior=prior)
    order = list(range(len(values)))
    random.shuffle(order)
    other = summarise([values[i] for i in order], spread_prior=prior)
    assert (one.n, one.left_out, one.mean) == (other.n, other.left_out, other.mean)
    np.testing.assert_equal(one.spread, other.spread)
    assert other.used == tuple(one.used[i] for i in order)
    assert other.reasons == tuple(one.reasons[i] for i in order)


@given(carries, st.integers(2, 4), st.sampled_from([None, 0.065]))
def test_duplicates_tighten(values, times, prior):
    once, more = summarise(values, spread_prior=prior), summarise(values * times, spread_prior=prior)
    assert more.used == once.used * times
    width = [np.subtract(*s.interval()[::-1]) for s in (once, more)]
    # Equal only when there is no spread at all; one value alone has no interval, or the prior's.
    assert (
        width[1] < width[0]
        or width[0] < 1e-12 * (1 + abs(once.mean))
        or (once.n == 1 and math.isinf(width[0]))
    )


def test_means_of_several_balls_weigh_by_their_balls():
    told = summarise([140.0, 150.0, 144.0], balls=[10, 5, 1])
    assert told.mean == pytest.approx((1400 + 750 + 144) / 16)
    assert (told.n, told.left_out, told.counted) == (16, 0, 16)
    wanted = math.sqrt(sum(w * (v - told.mean) ** 2 for v, w in ((140, 10), (150, 5), (144, 1))) / 2)
    assert told.sd == pytest.approx(wanted)
    alone = summarise([140.0], balls=[20], spread_prior=0.065)
    assert alone.interval()[1] - 140 == pytest.approx(t_half_width(0.065 * 140, n=20, degrees=6))
    assert alone.balls_for(2.0) is not None
    with pytest.raises(ValueError, match="`balls`"):
        summarise([140.0], balls=[1, 2])


def test_mishits_among_single_balls_are_still_set_aside_beside_a_mean():
    told = summarise([140.0, 141, 139, 142, 60, 138], balls=[10, 1, 1, 1, 1, 1])
    assert told.used == (True, True, True, True, False, True)
    assert told.left_out == 1 and told.n == 15 and told.reasons[4].terms == {"way": "short"}


@given(carries, st.randoms(use_true_random=False))
def test_balls_of_one_each_change_nothing(values, random):
    given, plain = summarise(values, balls=[1.0] * len(values)), summarise(values)
    np.testing.assert_equal(dataclasses.astuple(given), dataclasses.astuple(plain))


@settings(max_examples=60)
@given(st.integers(2, 40), st.integers(2, 6), st.integers(0, 1000))
def test_standard_deviation_from_means_is_that_of_the_balls_on_average(size, groups, seed):
    """E[sd^2] over many sets of means of `size` balls is the balls' own variance (analysis of variance)."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(300):
        means = 150 + 9 * rng.standard_normal(groups) / math.sqrt(size)
        found.append(summarise(means, balls=[float(size)] * groups).sd ** 2)
    standard_error = 81 * math.sqrt(2 / (groups - 1) / 300)
    assert np.mean(found) == pytest.approx(81, abs=5 * standard_error)


@given(carries, st.floats(0.5, 2.0))
def test_unit_does_not_matter(values, factor):
    one, other = summarise(values), summarise(np.array(values) * factor)
    assert other.mean == pytest.approx(one.mean * factor, rel=1e-9)
    # A shot exactly on the limit may fall either way by rounding.
    z = np.abs(np.array(mishits.mishit_scores(values)[0]))
    if not np.any(np.isclose(z, mishits.SHORT_LIMIT) | np.isclose(z, mishits.LONG_LIMIT)):
        assert other.used == one.used


@given(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=40), st.floats(0.1, 10))
def test_huber_solves_its_equation(values, k):
    scale = robust_statistics.mad_scale(values)
    at = huber(values, k=k)
    if scale > 1e-9:
        assert np.clip((np.array(values) - at) / scale, -k, k).sum() == pytest.approx(
            0, abs=1e-6 * len(values)
        )
    else:
        assert at == pytest.approx(robust_statistics.median(values), abs=1e-8)


@given(st.lists(st.floats(50, 250), min_size=4, max_size=30))
def test_huber_limits_are_mean_and_median(values):
    assert huber(values, k=1e6, scale=1.0) == pytest.approx(np.mean(values))
    low, high = np.quantile(values, 0.5, method="lower"), np.quantile(values, 0.5, method="higher")
    assert low - 1e-6 <= huber(values, k=1e-9, scale=1.0) <= high + 1e-6


@given(carries)
def test_only_far_shots_are_set_aside_and_each_has_a_reason(values):
    summary = summarise(values)
    middle = robust_statistics.median(values)
    assert [r is not None for r in summary.reasons] == [not u for u in summary.used]
    for value, used in zip(values, summary.used, strict=True):
        if not used:
            assert value < middle * (1 - 3.5 * 0.03) or value > middle * (1 + 5 * 0.03)
    assert summary.left_out == summary.used.count(False) < max(summary.n / 2, 1)
    assert summarise(values, keep=[True] * len(values)).left_out == 0


def test_a_topped_shot_is_set_aside_with_its_reason():
    summary = summarise([143, 147, 139, 62, 145])
    assert summary.used == (True, True, True, False, True)
    why = summary.reasons[3]
    assert why.kind == "mishit" and why.terms == {"way": "short"}
    assert why.quantities["off"].value == pytest.approx(1 - 62 / 143) and why.quantities["limit"].value == 3.5
    assert summary.mean == pytest.approx(143.5, abs=0.6)
    assert summarise([143, 147, 139, 62, 145], keep=[0, 0, 0, 1, 0]).left_out == 0


def test_few_balls():
    one = summarise([143])
    assert (one.mean, one.interval()) == (143, (-math.inf, math.inf))
    assert one.balls_for(2.0) is None
    assert one.to_doc() == {"mean": 143.0, "sd": None, "lo90": None, "hi90": None}
    assert summarise([60, 143]).left_out == 0
    assert summarise([143, 60, 147]).used == (True, False, True)
    with_prior = summarise([143], spread_prior=0.065)
    assert with_prior.spread == pytest.approx(0.065 * 143)
    assert np.isfinite(with_prior.interval()).all()


def test_all_equal_but_one_still_has_a_scale():
    assert robust_statistics.mad_scale([12.0] * 9 + [12.1]) == pytest.approx(0.1 / 10 * 1.253314)
    assert summarise([12.0] * 9 + [12.1]).left_out == 0
    assert summarise([0.0, 0.0, 0.0]).mean == 0


@pytest.mark.parametrize("bad", [[], [math.nan], [math.inf, 1], [[1, 2]], [1e200]])
def test_what_is_not_a_list_of_numbers_is_refused(bad):
    with pytest.raises(ValueError, match="`values`"):
        summarise(bad)


@settings(deadline=None)
@given(
    st.floats(0.1, 60),
    st.floats(0.5, 10),
    st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]),
    st.sampled_from([0, 6]),
)
def test_balls_needed_is_the_least_count(sd, half_width, level, prior):
    n = balls_needed(sd, half_width=half_width, level=level, prior_balls=prior)
    width = [t_half_width(sd, n=m, level=level, degrees=m - 1 + prior) for m in (n, max(n - 1, 1))]
    assert width[0] <= half_width
    assert width[1] > half_width or n <= 2


def test_balls_still_needed_counts_what_is_there():
    values = 150 + 9 * np.array([-1.2, -0.6, 0.0, 0.6, 1.2])
    summary = summarise(values)
    need = summary.balls_for(2.0)
    assert need == balls_needed(summary.sd, half_width=2.0) - 5
    assert summary.balls_for(50.0) == 0
    assert need < summary.balls_for(1.0)


@pytest.mark.parametrize("kwargs", [{"half_width": 0}, {"half_width": -1}, {"half_width": math.nan}])
def test_half_width_is_checked(kwargs):
    with pytest.raises(ValueError, match="`half_width`"):
        balls_needed(5, **kwargs)
    with pytest.raises(ValueError, match="`sd`"):
        balls_needed(math.nan, half_width=2)


@given(st.floats(0, 60), st.floats(0, 20), st.floats(0, 20))
def test_overlap_mirrors(gap, a, b):
    both = overlap_chance(gap, sd_longer=a, sd_shorter=b) + overlap_chance(-gap, sd_longer=a, sd_shorter=b)
    assert both == pytest.approx(1)
    assert overlap_chance(gap, sd_longer=a, sd_shorter=b) <= 0.5


def test_overlap_counts_pairs():
    rng = np.random.default_rng(5)
    longer, shorter = rng.normal(150, 9, 200_000), rng.normal(139, 7, 200_000)
    assert overlap_chance(11, sd_longer=9, sd_shorter=7) == pytest.approx(
        np.mean(shorter > longer), abs=0.004
    )


def test_pooling_goes_from_prior_to_data():
    assert pooled_share([], counts=[]) == summary.SPREAD_PRIOR
    assert pooled_share([math.nan, 0.1], counts=[1, 1]) == summary.SPREAD_PRIOR
    few, many = pooled_share([0.1], counts=[3]), pooled_share([0.1], counts=[3000])
    assert summary.SPREAD_PRIOR < few < many == pytest.approx(0.1, abs=1e-3)
    np.testing.assert_allclose(shrunk_sd([4.0, 4.0], n=[1, 10_000], towards=9.0), [9.0, 4.0], rtol=0.01)


@pytest.mark.parametrize(("balls", "most_flagged"), [(5, 0.02), (10, 0.012), (30, 0.005)])
def test_normal_shots_are_rarely_flagged_and_intervals_hold(balls, most_flagged):
    rng = np.random.default_rng(balls)
    sums = [summarise(x) for x in rng.normal(150, 9.75, (1500, balls))]
    inside = np.mean([low <= 150 <= high for low, high in (s.interval() for s in sums)])
    assert 0.85 <= inside <= 0.93
    assert np.mean([s.left_out for s in sums]) / balls < most_flagged
    # The lopsided rule may lean the centre outwards, but by less than a third of a per cent.
    assert abs(np.mean([s.mean for s in sums]) - 150) < 0.5


def test_a_tenth_of_mishits_moves_the_centre_little():
    rng = np.random.default_rng(8)
    good = rng.normal(150, 7, (1500, 10))
    short = np.where(rng.random(good.shape) < 0.1, rng.uniform(0.3, 0.7, good.shape), 1.0)
    robustly = np.array([summarise(x).mean for x in good * short])
    plainly = (good * short).mean(axis=1)
    assert abs(robustly.mean() - 150) < 0.5
    assert abs(plainly.mean() - 150) > 5
    assert np.mean(np.abs(robustly - 150)) < 0.4 * np.mean(np.abs(plainly - 150))


def test_standard_deviation_keeps_its_digits():
    """NIST StRD NumAcc4: 1,001 values near 1e7 whose standard deviation is 0.1 (from memory)."""
    values = [10000000.2] + [10000000.1, 10000000.3] * 500
    assert standard_deviation(values) == pytest.approx(0.1, rel=2e-8)


EVEN = [150.0] * 9


@pytest.mark.parametrize(("value", "counts"), [(134.2, False), (134.3, True), (172.4, True), (172.6, False)])
def test_the_mishit_rule_in_figures(value, counts):
    """Even balls of 150: the spread is taken as 3 % (tour players; common practice, no source), 4.5. Short of it by more
    than 3.5 of these (Iglewicz & Hoaglin 1993), below 134.25, is a mishit; beyond by more than 5, above 172.5, a misread."""
    assert summarise([*EVEN, value]).used[-1] is counts


@pytest.mark.parametrize(("value", "counts"), [(120.8, False), (121.1, True), (191.4, True), (191.6, False)])
def test_the_mishit_rule_where_balls_scatter(value, counts):
    """Half of the deviations from the median 150 are within 5.6: a standard deviation of 1.4826 x 5.6 = 8.303 (Hampel
    1974). The limits are 150 - 3.5 x 8.303 = 120.94 and 150 + 5 x 8.303 = 191.5."""
    balls = [150.0, 150.0, 144.4, 155.6, 144.4, 155.6, 144.4, 155.6, 152.0, 148.0, 144.4, 155.6]
    assert summarise([*balls, value]).used[-1] is counts


@pytest.mark.parametrize("values", [[150.0], [148, 152, 150], [140, 144, 148, 152, 156, 150, 139]])
@pytest.mark.parametrize("half_width", [2.0, 4.0, 8.0])
def test_balls_still_needed_are_the_first_that_do(values, half_width):
    """Tried one ball after another with Student's t of scipy: a spread of 6.5 % of carry is known beforehand as if from
    six degrees of freedom."""
    from scipy.stats import t

    told = summarise(values, spread_prior=0.065)
    own = sum((v - told.mean) ** 2 for v in values) if len(values) > 1 else 0.0
    spread = math.sqrt((6 * (0.065 * told.mean) ** 2 + own) / (6 + len(values) - 1))
    assert told.spread == pytest.approx(spread, rel=0.01)
    enough = (n for n in range(1, 200) if t.ppf(0.95, 6 + n - 1) * told.spread / math.sqrt(n) <= half_width)
    assert told.balls_for(half_width) == max(0, next(enough) - len(values))


def test_one_ball_alone_scatters_as_a_middling_player_does():
    """Common practice, no source: 6.5 % of carry, from which nobody's few balls move it much."""
    assert pooled_share([0.20], counts=[1]) == pytest.approx(0.065)
    assert 0.055 < pooled_share([0.03], counts=[3]) < 0.065 < pooled_share([0.10], counts=[3]) < 0.078


@pytest.mark.parametrize("spread_prior", [None, 0.065])
@pytest.mark.parametrize("balls", [2, 3, 4, 5, 6, 7])
@pytest.mark.parametrize("half", [1.0, 2.0, 3.0, 4.0, 6.0])
def test_the_balls_still_needed_are_just_enough(balls, half, spread_prior):
    """With so many more of the same spread the mean is known to the half width, with one less it is not. The interval is
    Student's, its degrees of freedom growing by one a ball (Gosset 1908)."""
    told = summarise([140.0 + 5 * (-1) ** n + 0.7 * n for n in range(balls)], spread_prior=spread_prior)

    def reaches(more):
        n = told.counted + more
        return t.ppf(0.95, told.degrees + more) * told.spread / math.sqrt(n) <= half

    more = told.balls_for(half)
    assert reaches(more) and (more == 0 or not reaches(more - 1))


def test_one_ball_has_the_spread_of_a_middling_handicap():
    """6.5 % of carry as if six balls had shown it: common practice, no source; t of 6 degrees at 90 % is 1.943 by any
    table."""
    case = Case(bag=norm_bag(), shots=(Shot("7i", 100.0),))
    (group,) = solve(case).to_doc()["shots"]
    half = (group["carry_m"]["hi90"] - group["carry_m"]["lo90"]) / 2
    assert half == pytest.approx(1.943 * 6.5, rel=0.002)


@pytest.mark.parametrize(
    ("values", "left_out"),
    [
        ([100, 101, 99, 100, 100, 89.6], 0),
        ([100, 101, 99, 100, 100, 89.4], 1),
        ([100, 101, 99, 100, 100, 114.9], 0),
        ([100, 101, 99, 100, 100, 115.1], 1),
    ],
)
def test_a_ball_is_set_aside_when_it_is_far_off_and_not_for_being_a_little_off(values, left_out):
    """3.5 robust standard deviations short (Iglewicz & Hoaglin 1993) or 5 beyond, and these never below the 3 % of tour
    players (common practice, no source): 10.5 and 15 m of an even hundred."""
    assert summarise([float(v) for v in values]).left_out == left_out


@pytest.mark.parametrize("share", [0.03, 0.05, 0.08])
@pytest.mark.parametrize("stray", [0.0, 0.08])
def test_the_mean_of_a_few_balls_is_nearer_than_by_their_own_rough_scale(share, stray):
    """Normal carries, some of them mishits that fall short by a fifth or so: five balls tell their scale badly."""
    rng = np.random.default_rng(12)
    drawn, own, plain = [], [], []
    for _ in range(1500):
        short = (rng.random(5) < stray) * np.abs(rng.normal(0.0, 0.2, 5))
        x = 1.0 + share * rng.standard_normal(5) - short
        told = summary.summarise(x, spread_prior=0.065)
        counted = [v for v, counts in zip(x, told.used, strict=True) if counts]
        drawn.append(told.mean)
        own.append(huber(counted) if len(counted) >= 4 else np.mean(counted))
        plain.append(x.mean())
    off = [np.sqrt(np.mean(np.square(np.array(a) - 1.0))) for a in (drawn, own, plain)]
    assert off[0] < off[1]
    assert off[0] < (1.12 if not stray else 1.02) * off[2]
