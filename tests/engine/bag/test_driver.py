"""The driver: map, reach, effects and length, against independent sums, limits and simulation."""

from dataclasses import replace

import numpy as np
import pytest

from engine.bag import driver_length
from engine.bag.driver import driver_advice, region
from engine.bag.driver_length import centred_share, face_surface, length_advice
from engine.bag.launch_map import face_rise, launch_map
from engine.documents.case import Case, Player, Swing
from engine.physics.air import REFERENCE, air_of
from engine.physics.impact import DRIVER_RESTITUTION, Delivery, strike
from engine.physics.off_centre import Face, off_centre
from engine.physics.trajectory import Launch, fly
from engine.swing.calibration import calibrate
from engine.swing.delivery import Clubs, carry, deliver
from engine.swing.parameters import INDEX
from engine.units import DEGREE, INCH, MPH, RPM
from engine.workshop.norms import norm_bag, norm_club

AIR = air_of(REFERENCE)
DRIVER = norm_club("dr")


def posterior(speed_mph=95, attack_deg=None):
    swing = Swing(driver_speed_mps=speed_mph * MPH, attack_deg=attack_deg)
    return calibrate(
        Case(player=Player(sex="male", height_m=1.78), swing=swing, bag=norm_bag("male")), draws=128
    )


@pytest.fixture(scope="module")
def middling():
    return posterior()


@pytest.mark.parametrize("mph", [100, 135, 180])
def test_best_and_ridge_are_what_they_say(mph):
    drawn = launch_map(mph * MPH, AIR)
    assert drawn.carry_m.shape == (25, 25)
    assert drawn.best.carry_m >= drawn.carry_m[drawn.within_reach].max() - 0.05
    assert (drawn.ridge == (drawn.within_reach & (drawn.carry_m >= 0.98 * drawn.best.carry_m))).all()
    alone = fly(Launch.of(mph * MPH, launch_deg=drawn.best.launch_deg, spin_rpm=drawn.best.spin_rpm), AIR)
    assert float(alone.carry) == pytest.approx(drawn.best.carry_m, abs=0.01)
    # No finer search within reach finds more.
    rng = np.random.default_rng(1)
    spin = rng.uniform(800, 5000, 4000)
    launch = face_rise(mph * MPH, spin, head_mass=0.2, spin_factor=0.8) + rng.uniform(-3, 5, 4000)
    any_other = fly(Launch.of(mph * MPH, launch_deg=launch, spin_rpm=spin), AIR)
    assert any_other.carry.max() <= drawn.best.carry_m + 0.2


def test_hitting_up_never_carries_less():
    best = [launch_map(65.0, AIR, most_attack_deg=a).best.carry_m for a in (-3, 0, 3, 5)]
    assert (np.diff(best) > 0).all()


def test_shallow_landings_have_no_total():
    drawn = launch_map(70.0, AIR)
    assert (np.isnan(drawn.total_m) == (drawn.descent_deg < 36)).all()
    assert (drawn.total_m[np.isfinite(drawn.total_m)] > 0.9 * drawn.carry_m[np.isfinite(drawn.total_m)]).all()


def test_face_rise_turns_the_impact_round():
    rng = np.random.default_rng(2)
    speed, loft, factor = rng.uniform(30, 55, 50), rng.uniform(4, 25, 50), rng.uniform(0.6, 1.1, 50)
    hit = strike(speed, loft * DEGREE, head_mass=0.2, restitution=DRIVER_RESTITUTION, spin_factor=factor)
    rise = face_rise(hit.speed, hit.spin / RPM, head_mass=0.2, spin_factor=factor)
    assert rise == pytest.approx(hit.angle / DEGREE, abs=1e-6)


def test_bad_input_is_named(middling):
    with pytest.raises(ValueError, match="ball_speed_mps"):
        launch_map(0.0, AIR)
    with pytest.raises(ValueError, match="driver"):
        driver_advice(middling, norm_club("7i"), AIR)
    with pytest.raises(ValueError, match="driver"):
        length_advice(middling, norm_club("3w"), AIR, spread=0.06)


def test_the_player_stands_on_his_own_map(middling):
    advice = driver_advice(middling, DRIVER, AIR)
    theta = middling.theta
    delivery = deliver(theta, Clubs.of([DRIVER]))
    own = np.exp(middling.discrepancy("dr"))
    far = carry(theta, delivery, AIR).carry[:, 0] * own
    assert advice.standing.carry_m.mean == pytest.approx(far.mean())
    assert advice.standing.launch_deg.mean == pytest.approx(delivery.launch.mean())
    assert advice.standing.behind_m > 0
    at = fly(
        Launch.of(
            advice.standing.ball_speed_mps.mean,
            launch_deg=advice.standing.launch_deg.mean,
            spin_rpm=advice.standing.spin_rpm.mean,
        ),
        AIR,
    )
    assert float(at.carry) == pytest.approx(advice.standing.carry_m.mean, rel=0.03)
    inside = [one for one in advice.lofts if one.loft_deg == DRIVER.loft_deg]
    assert len(inside) == 1 and inside[0].carry_m == advice.standing.carry_m


def test_region_holds_nine_draws_in_ten():
    rng = np.random.default_rng(3)
    launch = rng.normal(12, 1.5, 4000)
    spin = np.exp(rng.normal(np.log(2700), 0.25, 4000) + 0.05 * (launch - 12))
    outline = region(launch, spin, points=200)
    middle = np.array([launch.mean(), np.log(spin).mean()])
    edge = np.stack([outline[:, 0], np.log(outline[:, 1])], axis=1) - middle
    points = np.stack([launch, np.log(spin)], axis=1) - middle
    scale = np.array([1.5, 0.25])
    angle = np.arctan2(*(points / scale).T[::-1])
    edge_angle = np.arctan2(*(edge / scale).T[::-1])
    order = np.argsort(edge_angle)
    radius = np.interp(angle, edge_angle[order], np.hypot(*(edge / scale).T)[order], period=2 * np.pi)
    assert np.mean(np.hypot(*(points / scale).T) <= radius) == pytest.approx(0.9, abs=0.02)


def test_effects_are_differences_of_whole_deliveries(middling):
    effects = {e.what.kind: e for e in driver_advice(middling, DRIVER, AIR).effects}
    theta = middling.theta
    base, lofted = (
        deliver(theta, Clubs.of([replace(DRIVER, loft_deg=DRIVER.loft_deg + x)])) for x in (0.0, 1.0)
    )
    more = effects["effect.loft"]
    assert more.launch_deg == pytest.approx(float((lofted.launch - base.launch).mean()))
    assert more.spin_rpm == pytest.approx(float((lofted.spin - base.spin).mean() / RPM), rel=1e-6)
    assert more.ball_speed_mps < 0 < more.spin_rpm
    up = effects["effect.attack"]
    assert up.spin_rpm < 0 < up.launch_deg < 1 and up.ball_speed_mps > 0
    shorter = effects["effect.length"]
    assert shorter.ball_speed_mps < 0 and shorter.carry_m.hi90 < 0
    high, toe = effects["effect.high"], effects["effect.toe"]
    assert high.spin_rpm < 0 < high.launch_deg and high.side_m == pytest.approx(0, abs=1e-6)
    assert toe.ball_speed_mps < 0 and toe.carry_m.mean < 0 and toe.side_m != 0


def test_a_slow_player_is_told_more_loft():
    advice = driver_advice(posterior(72), DRIVER, AIR)
    assert advice.best_loft_deg > 12
    assert advice.best_loft_chance > 0.6
    assert "driver.try_loft" in [s.kind for s in advice.statements]


def test_a_centred_strike_is_the_delivery_itself(middling):
    base = deliver(middling.theta, Clubs.of([DRIVER]))
    hit = off_centre(base, head_mass=DRIVER.head_kg)
    for mine, its in ((hit.ball_speed, base.ball_speed), (hit.launch, base.launch), (hit.spin, base.spin)):
        assert mine == pytest.approx(its, rel=1e-9)
    heel, toe = (off_centre(base, head_mass=DRIVER.head_kg, toe=x) for x in (-0.01, 0.01))
    assert heel.axis_tilt == pytest.approx(-toe.axis_tilt)
    assert heel.ball_speed == pytest.approx(toe.ball_speed)


def test_face_surface_gives_the_mean_of_scattered_strikes(middling):
    """Against flights of strikes drawn at random: mean carry within 0.5 %, spread of carry and side within 10 %."""
    theta = middling.theta.mean(axis=0)
    surface = face_surface(theta, DRIVER, AIR)
    rng = np.random.default_rng(4)
    toe, high = rng.normal(0, 0.010, 3000), rng.normal(0, 0.007, 3000)
    base = deliver(theta[None], Clubs.of([DRIVER]))
    hit = off_centre(base, head_mass=DRIVER.head_kg, toe=toe, high=high)
    flight = fly(
        Launch(hit.ball_speed, hit.launch * DEGREE, hit.spin, hit.azimuth * DEGREE, hit.axis_tilt),
        AIR,
        drag_factor=np.exp(theta[INDEX["ball_drag"]]),
        lift_factor=np.exp(theta[INDEX["ball_lift"]]),
    )
    centre = float(carry(theta[None], base, AIR).carry[0, 0])
    mean, sd = driver_length.moments(surface.carry, np.array(0.010), np.array(0.007))
    side_sd = driver_length.moments(surface.side, np.array(0.010), np.array(0.007))[1]
    assert mean == pytest.approx(flight.carry.mean() / centre, abs=0.005)
    assert sd == pytest.approx(flight.carry.std() / centre, rel=0.10)
    assert side_sd == pytest.approx(flight.side.std() / centre, rel=0.10)


def test_centred_share_against_simulation():
    rng = np.random.default_rng(5)
    at = np.hypot(rng.normal(0, 0.012, 200_000), rng.normal(0, 0.009, 200_000))
    assert centred_share(np.array(0.012), np.array(0.009)) == pytest.approx(np.mean(at < 0.010), abs=0.004)


def test_an_inch_costs_what_the_swing_says(middling):
    advice = length_advice(middling, DRIVER, AIR, spread=0.065)
    now = next(o for o in advice.options if o.length_m == DRIVER.length_m)
    inch_less = min(advice.options, key=lambda o: abs(o.length_m - DRIVER.length_m + INCH))
    assert now.speed_change_mps.mean == 0 and now.strokes_change.mean == 0
    assert -inch_less.speed_change_mps.mean == pytest.approx(advice.speed_per_inch_mps.mean, rel=0.02)
    assert 0.4 * MPH < advice.speed_per_inch_mps.mean < 1.6 * MPH
    assert inch_less.centred > now.centred and inch_less.carry_sd_m < now.carry_sd_m
    # from 43 to 46 in, the longest that a local rule allows, by halves
    assert sorted({o.length_m for o in advice.options} | {DRIVER.length_m}) == pytest.approx(
        sorted({x / 2 * INCH for x in range(86, 93)} | {DRIVER.length_m})
    )


def test_length_follows_what_scatter_does(middling, monkeypatch):
    """Where strikes scatter much more with length a shorter driver is advised, where not at all the present one stays."""
    monkeypatch.setattr(driver_length, "GROWTH", (0.30 / INCH, 0.01 / INCH))
    how = {"spread": 0.12, "direction_sd_deg": 7.0, "toe_sd_m": 0.016, "high_sd_m": 0.012}
    wild = length_advice(middling, DRIVER, AIR, **how)  # of a stroke in 45 drives nothing is said
    assert wild.recommended_m == DRIVER.length_m
    assert [s.kind for s in wild.statements] == ["driver_length.cost", "driver_length.level"]
    monkeypatch.setattr(driver_length, "STROKES_THAT_MATTER", 0.01)
    wild = length_advice(middling, DRIVER, AIR, **how)
    assert wild.recommended_m < DRIVER.length_m and wild.chance > 0.7
    monkeypatch.setattr(driver_length, "GROWTH", (0.0, 1e-9))
    steady = length_advice(middling, DRIVER, AIR, spread=0.065)
    assert steady.recommended_m >= DRIVER.length_m
    shortest = steady.options[0]
    assert shortest.strokes_change.mean > 0


def test_keeping_the_swing_weight_makes_a_heavier_head(middling):
    kept = length_advice(middling, DRIVER, AIR, spread=0.065, keep_swing_weight=True)
    free = length_advice(middling, DRIVER, AIR, spread=0.065)
    assert kept.options[0].head_kg > free.options[0].head_kg == DRIVER.head_kg
    assert kept.options[0].speed_change_mps.mean < free.options[0].speed_change_mps.mean


def mean_turn(rate, *, contact_s=450e-6, steps=2000):
    """The turn by which a ball leaves [rad]: the head turns as the force on it goes on, and the ball takes the direction of
    the face at each moment in proportion to the force of that moment. Stepped through half a sine of force."""
    t = (np.arange(steps) + 0.5) / steps
    force = np.sin(np.pi * t)
    turning = rate * (np.cumsum(force) - force / 2) / force.sum()
    turned = (np.cumsum(turning) - turning / 2) * contact_s / steps
    assert turned[-1] == pytest.approx(
        rate * contact_s / 2, rel=1e-3
    )  # the whole turn, at the mean of a symmetric rate
    return float((turned * force).sum() / force.sum())


def test_the_head_turns_under_a_strike_off_the_centre_of_a_flat_face():
    """Worked by hand: a ball of 45.93 g at 70 m/s, struck 10 mm high on a head of 3.3e-4 kg m2, sets it turning at
    0.04593 x 70 x 0.010 / 3.3e-4 = 97.4 rad/s, by 1.26 deg in 450 us; the face, 34 mm in front of the axis, slides up
    under the ball at 3.3 m/s, and 2/7 of that is 0.77 deg of launch. The ball meets the turn at its mean over the force."""
    flat = Face(roll=1e9, bulge=1e9)
    struck = Delivery(*(np.array([x]) for x in (48.0, 0.0, 11.0, 70.0, 9.5, 270.0)))
    middle = off_centre(struck, head_mass=0.2, face=flat)
    high = off_centre(struck, head_mass=0.2, high=0.010, face=flat)
    turned = mean_turn(97.4) / DEGREE
    assert turned == pytest.approx(1.26 / 4, abs=0.01)
    # of more loft some four fifths go into the launch, and a face that gives way loses some ball speed
    assert float(high.launch[0] - middle.launch[0]) == pytest.approx(0.77 + 0.84 * turned, abs=0.08)
    # the same about the upright axis, of 5e-4 kg m2: 64.3 rad/s and 0.51 deg
    toe = off_centre(struck, head_mass=0.2, toe=0.010, face=flat)
    assert float(toe.azimuth[0]) == pytest.approx(0.51 + mean_turn(64.3) / DEGREE, abs=0.03)
    # a head that is ten times as hard to turn turns a tenth as far
    heavy = off_centre(struck, head_mass=0.2, toe=0.010, face=replace(flat, inertia_vertical=5e-3))
    assert float(heavy.azimuth[0]) == pytest.approx(float(toe.azimuth[0]) / 10, rel=0.03)


@pytest.mark.parametrize("mph", [110, 150])
def test_within_reach_is_what_people_swing_at(mph):
    """Common practice, no source: with a driver between 8 deg downward and 5 deg upward; nothing between is left out."""
    drawn = launch_map(mph * MPH, AIR)
    swung = (drawn.attack_deg >= -8) & (drawn.attack_deg <= 5)
    assert (drawn.within_reach == swung).all()
    near = (
        np.abs(drawn.attack_deg + 8.4) < 0.4
    )  # between 8 and 8.8 deg downward there are cells to be told apart
    assert near.any() and not drawn.within_reach[near].any()


def test_the_outline_of_a_region_goes_round_once_and_closes():
    rng = np.random.default_rng(6)
    outline = region(rng.normal(12, 1.5, 500), np.exp(rng.normal(np.log(2700), 0.25, 500)))
    assert outline[0] == pytest.approx(outline[-1])
    across, up = outline[:, 0] - 12, 6 * (np.log(outline[:, 1]) - np.log(2700))
    steps = np.diff(np.unwrap(np.arctan2(up, across)))
    assert abs(steps.sum()) == pytest.approx(2 * np.pi, abs=1e-6)
    assert (np.sign(steps) == np.sign(steps[0])).all()


def test_a_club_of_45_and_a_half_inches_scatters_as_is_supposed(middling):
    """Strikes 12 mm heel to toe and 9 mm up and down, both known to a quarter: common practice, no source. The share
    within 10 mm of the middle, simulated."""
    driver = replace(DRIVER, length_m=45.5 * INCH)
    now = next(
        o for o in length_advice(middling, driver, AIR, spread=0.065).options if o.length_m == driver.length_m
    )
    rng = np.random.default_rng(7)
    level = np.exp(0.25 * rng.standard_normal((4000, 1)))
    at = np.hypot(*(level * sd * rng.standard_normal((4000, 60)) for sd in (0.012, 0.009)))
    assert now.centred == pytest.approx(np.mean(at < 0.010), abs=0.015)
    stated = length_advice(
        middling, driver, AIR, spread=0.065, toe_sd_m=0.012, high_sd_m=0.009, direction_sd_deg=5.0
    )
    assert next(o for o in stated.options if o.length_m == driver.length_m).centred == now.centred


def test_a_heavier_scatter_of_direction_costs_more_fairways(middling):
    wild, tame = (
        length_advice(middling, DRIVER, AIR, spread=0.065, direction_sd_deg=x).options[0].side_sd_m
        for x in (7.0, 5.0)
    )
    assert wild / tame == pytest.approx(7 / 5, rel=0.1)


@pytest.mark.parametrize("lofts", [(6.0, 16.0)])
def test_lofts_are_looked_at_from_6_to_16_degrees_in_whole_degrees(middling, lofts):
    """Heads are sold from about 7 to 16 deg: common practice, no source."""
    found = [x.loft_deg for x in driver_advice(middling, DRIVER, AIR).lofts]
    assert all(lofts[0] <= x <= lofts[1] for x in found) and found == sorted(found)
    assert all(x == round(x) for x in found if x != DRIVER.loft_deg) and DRIVER.loft_deg in found


@pytest.mark.parametrize(("mph", "kind"), [(72, "driver.try_loft"), (95, "driver.leave_loft")])
def test_the_loft_is_left_or_another_is_named(mph, kind):
    said = [s.kind for s in driver_advice(posterior(mph), DRIVER, AIR).statements]
    assert [k for k in said if k in ("driver.try_loft", "driver.leave_loft")] == [kind]


def test_carry_for_an_inch_is_that_of_two_drivers_an_inch_apart(middling):
    advice = length_advice(middling, DRIVER, AIR, spread=0.065)
    pair = [replace(DRIVER, length_m=DRIVER.length_m + x * INCH) for x in (-0.5, 0.5)]
    far = carry(middling.theta, deliver(middling.theta, Clubs.of(pair)), AIR).carry
    assert advice.carry_per_inch_m.mean == pytest.approx(float((far[:, 1] - far[:, 0]).mean()), rel=0.08)
