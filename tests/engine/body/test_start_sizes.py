"""Length, lie and grip from the body: properties, and agreement with the posture they come from."""

from dataclasses import replace

import numpy as np
import pytest

from engine.body import survey
from engine.body.posture import address
from engine.body.start_sizes import body_fit, length_offset, usual_lie
from engine.units import INCH
from engine.workshop.norms import norm_bag, norm_club

BAG = norm_bag("male")


def test_the_average_man_is_told_to_leave_his_clubs():
    fit = body_fit(BAG, height_m=survey.mean_of("stature", "male"), sex="male")
    assert fit.length_offset_m == 0
    assert [c.id for c in fit.clubs] == ["5i", "6i", "7i", "8i", "9i", "pw", "gw", "sw", "lw"]
    assert all(abs(c.lie_change_deg) < 0.6 for c in fit.clubs)
    assert "body.lies_fit" in [s.kind for s in fit.statements]
    assert not fit.measured and fit.length_offset_m_90[0] < 0 <= fit.length_offset_m_90[1] + 1e-9


def test_offset_never_falls_with_the_wrists_and_steps_by_a_quarter_inch():
    wrist = np.linspace(0.65, 1.15, 200)
    assert (np.diff(length_offset(wrist)) >= 0).all()
    assert np.abs(length_offset(wrist)).max() <= 1.5 * INCH
    for w in (0.74, 0.87, 0.99):
        steps = body_fit(BAG, height_m=1.8, wrist_to_floor_m=w, sex="male").length_offset_m / (0.25 * INCH)
        assert steps == pytest.approx(round(steps))


def test_taller_is_more_upright():
    change = [
        body_fit(BAG, height_m=h, sex="male").clubs[2].lie_change_deg for h in (1.6, 1.7, 1.8, 1.9, 2.0)
    ]
    assert (np.diff(change) > 0).all()
    assert change[0] < 0 < change[-1]


def test_static_lie_lays_the_sole_flat_as_the_player_stands():
    """The shaft's own angle at address: hands height over reach, from the joints of the figure."""
    fit = body_fit(BAG, height_m=1.9, sex="male")
    for c in fit.clubs:
        stand = address(
            height_m=1.9,
            sex="male",
            length_m=c.length_m,
            lie_deg=usual_lie(c.length_m, sex="male"),
        )
        across, up = (stand.joints["butt"] - stand.joints["ball"])[:, 0]
        assert c.static_lie_deg == pytest.approx(np.degrees(np.arctan2(up, -across)), abs=1e-6)
        assert c.lie_deg_90[0] <= c.lie_deg <= c.lie_deg_90[1]


def test_a_measured_wrist_leaves_only_the_error_of_the_tape():
    wrist = survey.wrist_to_floor(1.9, sex="male").mean_m
    measured, guessed = (body_fit(BAG, height_m=1.9, wrist_to_floor_m=w, sex="male") for w in (wrist, None))
    assert measured.measured and measured.wrist_sd_m == 0.01 < guessed.wrist_sd_m
    assert measured.clubs[0].lie_deg == pytest.approx(guessed.clubs[0].lie_deg)
    spanned = body_fit(BAG, height_m=1.9, wingspan_m=1.96, sex="male")
    widths = [f.clubs[0].lie_deg_90[1] - f.clubs[0].lie_deg_90[0] for f in (measured, spanned, guessed)]
    assert 0 < widths[0] < widths[1] < widths[2]
    assert guessed.statements[0].terms["known"] == "estimated"
    assert measured.statements[0].terms["known"] == "measured"
    tall = body_fit(BAG, height_m=2.0, wrist_to_floor_m=0.97, sex="male")
    low, high = tall.length_offset_m_90
    assert 0 < low < tall.length_offset_m < high


def test_half_an_inch():
    seven = body_fit((norm_club("7i"),), height_m=1.7562, sex="male").clubs[0]
    assert seven.per_half_inch_lie_deg < -1  # more than the trade's rule
    assert seven.per_half_inch_hinge_deg < 0  # a longer club lets one stand taller


@pytest.mark.parametrize("wrist_m", [0.80, 0.87, 0.97])
def test_half_an_inch_is_told_of_the_very_wrists_that_were_measured(wrist_m):
    """The posture to the club of the length advised, less that to one half an inch longer of the same lie."""
    seven = body_fit((norm_club("7i"),), height_m=1.78, wrist_to_floor_m=wrist_m, sex="male").clubs[0]
    lie = usual_lie(seven.length_m, sex="male")
    stands = [
        address(height_m=1.78, wrist_to_floor_m=wrist_m, sex="male", length_m=length, lie_deg=lie)
        for length in (seven.length_m, seven.length_m + 0.0127)
    ]
    here, longer = (float(s.hip_hinge_deg[0]) for s in stands)
    assert seven.hip_hinge_deg == pytest.approx(here, abs=1e-6)
    assert seven.per_half_inch_hinge_deg == pytest.approx(longer - here, abs=1e-4)


def test_usual_lie_is_that_of_the_norms():
    for i in ("3i", "5i", "7i", "9i"):
        assert float(usual_lie(norm_club(i).length_m)) == pytest.approx(norm_club(i).lie_deg)
    assert float(usual_lie(40 * INCH)) < norm_club("3i").lie_deg


def test_lie_change_is_against_the_present_lie():
    flat = replace(norm_club("7i"), lie_deg=60.0)
    a, b = (body_fit((c,), height_m=1.85, sex="male").clubs[0] for c in (flat, norm_club("7i")))
    assert a.lie_deg == b.lie_deg
    assert a.lie_change_deg - b.lie_change_deg == pytest.approx(norm_club("7i").lie_deg - 60.0)


def test_statements_start_and_do_not_end():
    fit = body_fit(BAG, height_m=1.95, hand_length_m=0.215, sex="male")
    assert fit.note.kind == "note.body"
    assert "check.lie_board" in [c.kind for c in fit.check]
    start, lies, *_, grip = fit.statements
    assert start.quantities["offset"].value == pytest.approx(0.5 * INCH)
    assert lies.kind == "body.lies" and lies.quantities["change"].value > 0
    assert "midsize" in grip.terms["sizes"] and grip.terms["known"] == "measured"


def test_a_bag_without_irons_still_has_a_grip():
    fit = body_fit((norm_club("dr"),), height_m=1.7)
    assert fit.clubs == () and fit.grip.size


@pytest.mark.parametrize("sex", ["male", "female", None])
def test_lengths_depart_from_the_usual_ones_whatever_length_a_club_has_now(sex):
    """A set built to the body's lengths is not shortened again; a club of no usual name goes by its loft."""
    bag = norm_bag(sex)
    told = {"height_m": 1.6, "wrist_to_floor_m": 0.78, "sex": sex}
    first = body_fit(bag, **told)
    assert first.length_offset_m != 0
    lengths = {c.id: c.length_m for c in first.clubs}
    made = [replace(c, length_m=lengths.get(c.id, c.length_m)) for c in bag]
    again = body_fit(made, **told)
    assert {c.id: c.length_m for c in again.clubs} == lengths
    assert all(c.length_m == pytest.approx(c.present_length_m) for c in again.clubs)
    named = [replace(c, id=f"my-{c.id}", length_m=0.9) for c in bag if c.id in ("5i", "7i", "9i")]
    for club in body_fit(named, **told).clubs:
        assert club.length_m == pytest.approx(lengths[club.id.removeprefix("my-")], abs=0.002)
