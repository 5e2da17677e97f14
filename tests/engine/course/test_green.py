"""A shot at a green: against the published baseline, normal distributions in closed form, and what any chance does."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from engine.course.green import LURKS, PENALTY, Green, approaches, even_normals
from engine.course.scoring import expected_putts, expected_strokes
from engine.documents.case import Case, Player, Shot
from engine.fitting.fitting import Fitting
from engine.physics.air import REFERENCE
from engine.sets.predict import Prediction
from engine.units import YARD
from engine.workshop.norms import norm_bag

BAG = norm_bag("male")
SEVEN = next(c for c in BAG if c.id == "7i")
ROUND = Green(12.0, 12.0, 12.0)  # some 26 yd across, a usual green; common practice
CASE = Case(
    player=Player(sex="male"),
    bag=BAG,
    shots=(Shot("7i", 150.0, balls=20.0), Shot("pw", 118.0, balls=20.0)),
)
FITTING = Fitting(CASE, 64)
OWN = FITTING.layout.id


def of_one(carry, *, side=0.0, descent=48.0, speed=24.0, spin=6000.0):
    """A prediction of one club whose every draw is told; a tour player's middle iron comes down at 48 degrees and 24 m/s."""
    carry = np.broadcast_to(np.asarray(carry, float), (64,))[:, None]
    one = np.ones_like(carry)
    return Prediction(
        (SEVEN,), carry, side * one, 30 * one, descent * one, one, one, one, one, speed * one, spin * one
    )


def at(green=ROUND, distance=140.0, *, spread=0.06, direction=4.0, carry=None, **more):
    made = of_one(distance if carry is None else carry, **more)
    return approaches(made, distance, green, spread=spread, direction_sd_deg=direction)[0]


PINS = (
    Green(6.0, 18.0, 12.0),
    Green(18.0, 6.0, 12.0),
)  # of a tournament: near the front or the back; common practice


def of_a_tour_player(yards):
    """Chance of the green and strokes with a tour player's spread, 3 % of carry and 2.8 deg (common practice, no source)."""
    metres = yards * YARD
    both = [at(g, metres, carry=metres - 1.0, spread=0.03, direction=2.8) for g in PINS]
    return np.mean([o.on for o in both]), np.mean([o.strokes.mean for o in both])


@pytest.mark.parametrize("yards", [100, 120, 140, 160, 180])
def test_a_player_at_the_baseline_gets_the_baseline(yards):
    """Broadie's strokes from the fairway, which know nothing of greens, balls or normal distributions. At 100 yd the spread
    of a full swing is somewhat too good."""
    _, strokes = of_a_tour_player(yards)
    assert strokes == pytest.approx(float(expected_strokes(yards * YARD)), abs=0.11)


def test_tour_players_hit_seven_greens_in_ten_from_165_yd():
    """71 % from the fairway between 151 and 175 yd: tour statistics of two seasons to 2013, read on a page about them."""
    assert of_a_tour_player(163)[0] == pytest.approx(0.71, abs=0.05)


@pytest.mark.parametrize("miss", [-15.0, -6.0, 0.0, 7.0, 20.0])
def test_depth_alone_is_the_normal_distribution(miss):
    """An endless width and no run leave the chances of one normal distribution, known in closed form."""
    green = Green(10.0, 14.0, 1e6)
    found = at(green, 140.0, carry=140.0 + miss, direction=0.0, speed=0.0, spin=0.0)
    sd = 0.06 * (140.0 + miss)
    short, over = norm.cdf((-10 - miss) / sd), norm.sf((14 - miss) / sd)
    assert (found.short, found.long) == pytest.approx((short, over), abs=0.02)
    assert found.on == pytest.approx(1 - short - over, abs=0.03)


def test_width_alone_is_the_normal_distribution():
    """The same across: balls of one carry, spread in direction."""
    found = at(Green(1e6, 1e6, 9.0), 140.0, spread=0.0, speed=0.0, spin=0.0)
    wide = 2 * norm.sf(np.degrees(np.arctan(9 / 140)) / 4.0)
    assert found.left + found.right == pytest.approx(wide, abs=0.03)
    assert found.left == pytest.approx(found.right, abs=0.02)


@pytest.mark.parametrize("far", [0.0, 3.0, 9.0, -11.0])
def test_a_ball_that_never_varies_takes_the_strokes_of_where_it_lies(far):
    found = at(distance=140.0, carry=140.0 + far, spread=0.0, direction=0.0, speed=0.0, spin=0.0)
    assert found.on == 1.0 and found.strokes.mean == pytest.approx(1 + float(expected_putts(abs(far))))


@pytest.mark.parametrize("lurks", LURKS)
def test_what_lurks_costs_what_is_said_of_it(lurks):
    """25 m short of the flag: from there in the lie as published, and out of water a stroke more from the rough."""
    found = at(replace(ROUND, short=lurks), carry=115.0, spread=0.0, direction=0.0, speed=0.0, spin=0.0)
    lie, penalty = ("rough", PENALTY) if lurks == "water" else (lurks, 0.0)
    assert (found.short, found.on) == (1.0, 0.0) and PENALTY == 1.0
    assert found.strokes.mean == pytest.approx(1 + penalty + float(expected_strokes(25.0, lie=lie)))


def test_what_is_not_known_of_the_mean_widens_the_chances_and_the_strokes():
    sure = at(carry=140.0)
    unsure = at(carry=140 + 10 * even_normals(1, 64)[0, 0])
    assert unsure.on < sure.on - 0.1 and unsure.short > sure.short and unsure.long > sure.long
    assert unsure.strokes.lo90 < unsure.strokes.mean < unsure.strokes.hi90
    assert sure.strokes.hi90 - sure.strokes.lo90 < 0.1 < unsure.strokes.hi90 - unsure.strokes.lo90


@pytest.mark.parametrize("distance", [90.0, 118.0, 140.0, 163.0])
def test_chances_add_up_to_one_and_a_further_flag_leaves_more_short(distance):
    near, far = (FITTING.approaches(OWN, d, ROUND) for d in (distance, distance + 8))
    for option in near:
        assert option.on + option.short + option.long + option.left + option.right == pytest.approx(1)
    both = {o.id for o in near} & {o.id for o in far}
    by = [{o.id: o for o in options} for options in (near, far)]
    assert both and all(by[1][i].short >= by[0][i].short and by[1][i].long <= by[0][i].long for i in both)
    assert [round(o.strokes.mean, 2) for o in near] == sorted(round(o.strokes.mean, 2) for o in near)


def test_a_larger_green_is_hit_more_often_and_a_worse_lie_costs_more():
    on = [FITTING.approaches(OWN, 140.0, Green(s, s, s))[0].on for s in (5.0, 10.0, 15.0, 20.0)]
    assert on == sorted(on) and on[-1] > on[0] + 0.2
    strokes = [
        {o.id: o.strokes.mean for o in FITTING.approaches(OWN, 140.0, replace(ROUND, short=lie, long=lie))}
        for lie in ("fairway", "rough", "sand", "water")
    ]
    for club in strokes[0]:
        assert strokes[0][club] < strokes[1][club] < strokes[3][club] + 0.005
    assert strokes[2]["7i"] < strokes[3]["7i"]


def test_water_behind_asks_for_the_shorter_club():
    """Never for a longer one than water in front does, and for a shorter one wherever the flag lies between two clubs."""
    apart = []
    for distance in (135.0, 140.0, 145.0, 150.0, 155.0):
        plain, behind, before = (
            FITTING.approaches(OWN, distance, green)[0].carry_m.mean
            for green in (ROUND, replace(ROUND, long="water"), replace(ROUND, short="water"))
        )
        assert behind <= plain <= before
        apart.append(before - behind)
    assert np.count_nonzero(np.array(apart) > 5.0) >= 2


def test_a_wind_from_the_side_is_aimed_off_for_and_reckoned_in():
    def into(degrees):
        air = replace(REFERENCE, wind_mps=8.0, wind_from_deg=degrees)
        return {o.id: o for o in FITTING.approaches(OWN, 140.0, ROUND, air=air)}

    right, left, calm = into(90.0), into(270.0), {o.id: o for o in FITTING.approaches(OWN, 140.0, ROUND)}
    for club in right.keys() & left.keys():
        assert right[club].aim_m == pytest.approx(-left[club].aim_m, rel=1e-6) and right[club].aim_m > 3
        assert right[club].on == pytest.approx(left[club].on, abs=0.02)
        assert right[club].on_straight <= right[club].on
    assert right["7i"].on_straight < right["7i"].on - 0.1
    assert calm["7i"].aim_m == 0 and calm["7i"].on_straight == calm["7i"].on
    straight = FITTING.drift(SEVEN, air=replace(REFERENCE, wind_mps=8.0, wind_from_deg=90.0))
    assert straight < 0  # from the right, to the left


def test_a_gusty_wind_makes_less_sure():
    calm = at(carry=140.0)
    blown = approaches(
        of_one(140.0),
        140.0,
        ROUND,
        spread=0.06,
        direction_sd_deg=4.0,
        calm=of_one(170.0),
    )[0]
    assert blown.on < calm.on - 0.02


def test_firm_greens_run_on_and_soft_ones_hold():
    runs = [FITTING.approaches(OWN, 165.0, ROUND, turf=turf)[0].run_m for turf in ("soft", "usual", "firm")]
    assert runs == sorted(runs) and runs[2] > runs[0] + 1


def test_a_ball_that_never_gets_so_high_is_short():
    found = at(carry=150.0, descent=0.0, direction=0.0)
    assert found.short == 1.0 and found.on == 0.0


def test_refuses_what_is_no_green():
    for wrong in (
        {"front_m": -9.0, "back_m": 3.0},
        {"half_width_m": 0.0},
        {"short": "lava"},
    ):
        with pytest.raises(ValueError, match="green"):
            replace(ROUND, **wrong)
    with pytest.raises(ValueError, match="above 0"):
        FITTING.approaches(OWN, 0.0, ROUND)
    with pytest.raises(KeyError):
        FITTING.approaches("none", 140.0, ROUND)
    assert (
        approaches(FITTING.swing.predict([()], REFERENCE)[0], 140.0, ROUND, spread=0.05, direction_sd_deg=4)
        == ()
    )


def test_even_normals_are_even():
    z = even_normals(8)
    assert z.shape == (4, 8, 32)
    for draw in z.transpose(1, 0, 2):
        assert np.allclose(norm.cdf(np.sort(draw)), (np.arange(32) + 0.5) / 32)
    assert np.abs(np.corrcoef(z.reshape(4, -1)) - np.eye(4)).max() < 0.1


def test_a_ball_short_on_the_fairway_runs_up_and_one_in_the_rough_stays():
    """It lands 3 m short of the front edge, 15 m from the flag, and runs."""
    asked = {"carry": 125.0, "spread": 0.0, "direction": 0.0, "spin": 1500.0, "descent": 44.0}
    rough, mown = at(ROUND, **asked), at(replace(ROUND, short="fairway"), **asked)
    assert rough.run_m == mown.run_m > 3
    assert (rough.on, rough.short) == (0.0, 1.0) and mown.on > 0.5


def test_the_run_of_a_flat_landing_is_known_less_well():
    """Over the back goes a run half as long again as the middle one: of log-normal ones with 0.4 about one in six, with 0.8,
    which flatter landings than those of the trade's figures have, one in three."""
    over = []
    for descent in (40.1, 39.9):
        ball = {"carry": 136.0, "spread": 0.0, "direction": 0.0, "descent": descent}
        run = at(Green(100.0, 4.0, 1e6), **ball).run_m
        over.append(at(Green(100.0, 1.5 * run - 4.0, 1e6), **ball).long)
        assert run > 3
    assert over == pytest.approx([norm.sf(np.log(1.5) / 0.4), norm.sf(np.log(1.5) / 0.8)], abs=0.03)


def test_the_run_on_a_green_uphill_stays_within_reason():
    """Near its top a ball comes in all but level, and the model's run grows past 100 m; the higher the green, the farther an
    iron runs, but never so far. The bounds: common practice, no source."""
    for up in (0.0, 10.0, 15.0, 20.0, 25.0):
        for one in FITTING.approaches(OWN, 140.0, ROUND, height_m=up):
            assert abs(one.run_m) <= (35.0 if one.id[-1] == "i" else 50.0), (up, one.name, one.run_m)
    runs = [at(descent=d, speed=21.0, spin=5400.0).run_m for d in (48.0, 42.0, 36.0, 30.0, 20.0, 8.0)]
    assert runs == sorted(runs) and runs[0] < runs[-1] < 35.0


def test_a_ball_that_never_gets_up_has_no_part_in_the_run():
    half = replace(of_one(140.0), descent=np.where(np.arange(64) % 2, 45.0, 0.0)[:, None])
    low = approaches(half, 140.0, ROUND, spread=0.06, direction_sd_deg=4.0)[0]
    assert low.run_m == pytest.approx(at(descent=45.0).run_m)
