"""The putter: posture, loft in the stroke, and the run of a putt, against limits and independent integration."""

from dataclasses import replace

import numpy as np
import pytest

from engine.bag.putter import putter_advice, putter_fit
from engine.physics.impact import strike
from engine.physics.putting import (
    FRICTION,
    HEAD_KG,
    RESTITUTION,
    capture_offset,
    capture_speed,
    deceleration,
    face_spin_share,
    launch_angle,
    loft_for_launch,
    putt,
    speed_for,
)
from engine.units import BALL_RADIUS, DEGREE, GRAVITY, INCH
from engine.workshop.norms import norm_club

PUTTER = norm_club("pt")


def test_skid_and_roll_against_stepping_through_time():
    """Friction on a sliding solid sphere, then even slowing, in steps of a tenth of a millisecond."""
    speed, share = 2.5, -0.1
    run = putt(speed, green_speed_ft=11, spin_rad_s=share * speed / BALL_RADIUS)
    v, w, x, dt = speed, share * speed / BALL_RADIUS, 0.0, 1e-4
    while v - BALL_RADIUS * w > 1e-6:
        x += v * dt
        v -= FRICTION * GRAVITY * dt
        w += 2.5 * FRICTION * GRAVITY / BALL_RADIUS * dt
    assert run.skid_m == pytest.approx(x, abs=1e-3)
    assert run.rolling_mps == pytest.approx(v, abs=2e-3)
    slowing = float(deceleration(green_speed_ft=11))
    while v > 0:
        x += v * dt
        v -= slowing * dt
    assert run.total_m == pytest.approx(x, rel=2e-3)


@pytest.mark.parametrize("slope", [-0.02, 0.0, 0.03])
@pytest.mark.parametrize("share", [-0.1, 0.0, 0.2])
def test_speed_for_a_distance_gives_that_distance(slope, share):
    speed = speed_for(6.0, green_speed_ft=9, slope=slope, spin_share=share)
    run = putt(speed, green_speed_ft=9, slope=slope, spin_rad_s=share * speed / BALL_RADIUS)
    assert run.total_m == pytest.approx(6.0, rel=1e-9)


def test_a_slope_that_never_stops_a_putt_is_nan():
    assert np.isnan(speed_for(5.0, green_speed_ft=14, slope=-0.08))
    advice = putter_advice(height_m=1.8, green_speed_ft=14, slope=-0.08)
    assert np.isnan(advice.hole_width_m)
    assert "putter.runs_away" in [s.kind for s in advice.statements]


def test_capture_offset_is_the_inverse_of_capture_speed():
    for rim in (False, True):
        offset = np.linspace(0.0, 0.05, 11)
        speed = capture_speed(offset, rim=rim)
        assert capture_offset(speed, rim=rim) == pytest.approx(offset, abs=1e-9)
    assert capture_offset(3.0) == 0.0


def test_spin_off_the_face_is_that_of_the_rigid_impact():
    hit = strike(1.5, (4.0 - 1.0) * DEGREE, head_mass=HEAD_KG, restitution=RESTITUTION, friction=9.0)
    along_face = -float(hit.spin) * BALL_RADIUS / float(hit.speed)
    assert face_spin_share(loft_deg=4.0, attack_deg=1.0) == pytest.approx(along_face, rel=1e-6)


@pytest.mark.parametrize(("loft_deg", "lean_deg"), [(2.0, 0.0), (4.0, 0.0), (7.0, -2.0)])
def test_a_putt_rolls_from_five_sevenths_of_its_speed_less_two_of_its_backspin(loft_deg, lean_deg):
    """A solid sphere that slides until it rolls keeps (5 v + 2 R w) / 7 whatever the friction; standard mechanics."""
    club = replace(PUTTER, loft_deg=loft_deg)
    advice = putter_advice(height_m=1.75, putter=club, lean_deg=lean_deg)
    back = face_spin_share(loft_deg=loft_deg, lean_deg=lean_deg)
    assert len(advice.putts) >= 3
    for row in advice.putts:
        assert row.rolling_mps / row.speed_mps == pytest.approx((5 + 2 * back) / 7, rel=1e-6)


def test_recommended_loft_launches_as_wanted():
    for lean, attack in ((0, 0), (3, -1), (-2, 2)):
        advice = putter_advice(height_m=1.75, lean_deg=lean, attack_deg=attack)
        launch = launch_angle(loft_deg=advice.recommended_loft_deg, lean_deg=lean, attack_deg=attack)
        assert launch == pytest.approx(1.5)
        assert loft_for_launch(launch, lean_deg=lean, attack_deg=attack) == pytest.approx(
            advice.recommended_loft_deg
        )


def test_a_stroke_no_putter_suits_says_so():
    advice = putter_advice(height_m=1.75, lean_deg=12.0, attack_deg=-3.0)
    assert advice.recommended_loft_deg == 10.0
    assert "putter.no_loft" in [s.kind for s in advice.statements]


def test_rules_are_looked_at():
    tall = replace(PUTTER, lie_deg=82.0, loft_deg=11.0, length_m=1.3)
    advice = putter_advice(height_m=1.75, putter=tall)
    against = {f.statement.kind for f in advice.rules if not f.conforms}
    assert against == {"rule.shaft_angle", "rule.putter_loft"}
    assert against <= {s.kind for s in advice.statements}


def test_taller_players_and_shorter_arms_get_longer_putters():
    lengths = [putter_fit(height_m=h, sex="male").length_m for h in (1.6, 1.7, 1.8, 1.9)]
    assert (np.diff(lengths) > 0).all()
    long_arms, short_arms = (
        putter_fit(height_m=1.75, wrist_to_floor_m=w, sex="male").length_m for w in (0.82, 0.92)
    )
    assert short_arms > long_arms
    measured, guessed = (
        putter_fit(height_m=1.75, wrist_to_floor_m=w, sex="male").length_m_90 for w in (0.87, None)
    )
    assert measured[1] - measured[0] == 0 < guessed[1] - guessed[0]
    spanned = putter_fit(height_m=1.75, wingspan_m=1.80, sex="male").length_m_90
    assert spanned[1] - spanned[0] < guessed[1] - guessed[0]


def test_the_fitted_putter_puts_the_eyes_where_it_says():
    fit = putter_fit(height_m=1.8, sex="male")
    made = replace(PUTTER, length_m=fit.length_m, lie_deg=fit.lie_deg)
    advice = putter_advice(height_m=1.8, sex="male", putter=made)
    assert advice.eyes_inside_m == pytest.approx(1 * INCH, abs=1e-6)
    assert fit.lie_deg_range[0] < fit.lie_deg < fit.lie_deg_range[1]


def test_a_putter_out_of_reach_is_said():
    advice = putter_advice(height_m=1.8, sex="male", putter=replace(PUTTER, length_m=1.4, lie_deg=79.0))
    assert np.isnan(advice.eyes_inside_m)
    assert "putter.out_of_reach" in [s.kind for s in advice.statements]


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="putter"):
        putter_advice(putter=norm_club("7i"))
    with pytest.raises(ValueError, match="green_speed_ft"):
        putter_advice(green_speed_ft=0.0)
