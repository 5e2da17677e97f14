"""The workshop: properties, and figures worked by hand."""

from dataclasses import replace

import pytest

from engine.units import GRAM, INCH, MPH
from engine.workshop.bending import bend
from engine.workshop.build_sheet import build_sheet
from engine.workshop.flex import flex_for
from engine.workshop.norms import norm_bag, norm_club
from engine.workshop.trim import change_length


def test_sheet_says_what_to_do():
    seven = replace(norm_club("7i"), head_material="forged")
    want = replace(
        seven,
        head_kg=seven.head_kg + 6 * GRAM,
        loft_deg=seven.loft_deg + 2,
        length_m=seven.length_m + INCH / 2,
    )
    sheet = build_sheet([seven], [want])
    add, extend, bent = sheet.clubs[0].actions
    assert (add.kind, extend.kind, bent.kind) == ("work.add_mass", "work.extend", "work.bend_loft")
    assert add.quantities["mass"].value == pytest.approx(6 * GRAM)
    assert extend.quantities["length"].value == pytest.approx(INCH / 2)
    assert bent.quantities["change"].value == pytest.approx(2) and bent.terms == {"way": "weak"}
    assert sheet.feasible
    assert {"bend", "extend", "weight", "epoxy", "builder"} <= {c.id for c in sheet.cautions}


def test_sheet_of_the_same_set_is_no_work():
    sheet = build_sheet(norm_bag(), norm_bag())
    assert sheet.minutes == 0
    assert not sheet.cautions
    assert not sheet.parts


def test_bend_stops_at_the_head():
    cast = replace(norm_club("6i"), head_material="cast", bounce_deg=5.0)
    done = bend(cast, loft_deg=cast.loft_deg - 3.5)
    assert not done.feasible
    assert done.nearest_loft_deg == pytest.approx(cast.loft_deg - 2)
    assert done.bounce_deg == pytest.approx(3.0)
    assert not build_sheet([cast], [replace(cast, loft_deg=cast.loft_deg - 3.5)]).feasible
    assert bend(replace(cast, bend_limit_deg=4.0), loft_deg=cast.loft_deg - 3.5).feasible


def test_a_cut_is_stated():
    assert not change_length(from_m=0.9, to_m=0.94).feasible
    (cut,) = change_length(from_m=0.94, to_m=0.94 - INCH).statements
    assert cut.kind == "work.cut" and cut.quantities["length"].value == pytest.approx(INCH)


def test_bands():
    assert flex_for(85 * MPH).likely == "R"  # common practice: 78 to 93 mph
    assert (flex_for(92 * MPH).likely, flex_for(92 * MPH).also) == ("R", "S")
