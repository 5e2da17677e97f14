"""The bench: sheet, balance, posture and rules hold together."""

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.body.posture import GRIP_M, address
from engine.clubs.balance import (
    head_for_inertia,
    head_for_swing_weight,
    moment_of_inertia,
    swing_weight_label,
    swing_weight_of,
    usual_parts,
    weigh,
)
from engine.clubs.norms import norm_bag, norm_club, norm_ids
from engine.clubs.sheet import build_sheet
from engine.putting import launch_angle, loft_for_launch
from engine.rules import check_bag
from engine.units import INCH


@given(st.floats(1.3, 2.1), st.floats(0.6, 1.3), st.floats(45, 80))
@settings(max_examples=60, deadline=None)
def test_hands_are_where_the_club_holds_them(height, length, lie):
    posture = address(height_m=height, length_m=[length], lie_deg=[lie])
    held = (length - GRIP_M) * np.sin(np.radians(posture.shaft_deg))
    assert posture.hands_height_m == pytest.approx(held, abs=1e-9)
    assert posture.joints["ball"][1] == pytest.approx(0, abs=1e-9)


@given(st.sampled_from(norm_ids()), st.floats(0, 69.9))
@settings(max_examples=60, deadline=None)
def test_head_masses_come_to_what_was_asked(club, points):
    parts = usual_parts(norm_club(club))
    wanted = 161 + 1.75 * points
    made = parts.with_head(head_for_swing_weight(parts, wanted))
    assert weigh(made).moment_inoz == pytest.approx(wanted, abs=1e-9)
    assert swing_weight_of(swing_weight_label(wanted)) == pytest.approx(wanted, abs=0.05 * 1.75 + 1e-6)
    heavier = parts.with_head(head_for_inertia(parts, 0.27))
    assert moment_of_inertia(heavier) == pytest.approx(0.27, abs=1e-12)


def test_nothing_to_do_for_the_same_bag():
    sheet = build_sheet(norm_bag(), norm_bag())
    assert sheet.feasible and sheet.minutes == 0 and sheet.parts == ()


def test_sheet_names_what_cannot_be_made():
    iron = replace(norm_club("7i"), head_material="cast")
    far = replace(iron, loft_deg=iron.loft_deg + 5, length_m=iron.length_m + 2 * INCH)
    row = build_sheet([iron], [far]).rows[0]
    assert not row.feasible and len(row.problems) == 2
    assert row.nearest.loft_deg == iron.loft_deg + 2
    assert row.nearest.bounce_deg == iron.bounce_deg + 2


def test_sheet_writes_as_csv_and_brings_its_cautions():
    iron = replace(norm_club("7i"), head_material="forged")
    asked = replace(iron, loft_deg=iron.loft_deg - 2, length_m=iron.length_m - INCH / 2)
    sheet = build_sheet([iron], [asked], match="swing_weight", swing_weight_inoz=swing_weight_of("D1"))
    assert sheet.feasible and sheet.rows[0].swing_weight_after == "D1.0"
    assert {"bend", "cut", "builder"} <= {c.id for c in sheet.cautions}
    file = io.StringIO()
    csv.writer(file).writerows(sheet.to_rows())
    lines = list(csv.reader(io.StringIO(file.getvalue())))
    assert len(lines) == 2 and len(lines[0]) == len(lines[1])


def test_usual_bags_conform_and_a_fifteenth_club_does_not():
    for sex in (None, "female", "male"):
        assert check_bag(norm_bag(sex)).conforms
    assert [f.what for f in check_bag((*norm_bag(), norm_club("3i"))).faults] == ["number of clubs"]


@given(st.floats(-2, 6), st.floats(-4, 4), st.floats(-4, 4))
def test_putter_loft_is_the_inverse_of_launch(launch, lean, attack):
    loft = loft_for_launch(launch, lean_deg=lean, attack_deg=attack)
    assert launch_angle(loft_deg=loft, lean_deg=lean, attack_deg=attack) == pytest.approx(launch, abs=1e-9)
