"""The workshop: properties, and figures worked by hand."""

from dataclasses import replace

import numpy as np
import pytest

from engine.units import GRAM, INCH, MPH
from engine.workshop.balance import GRIP_POINTS, POINT_INOZ, usual_parts, weigh
from engine.workshop.bending import bend
from engine.workshop.build_sheet import build_sheet
from engine.workshop.flex import flex_for
from engine.workshop.norms import norm_bag, norm_club
from engine.workshop.rules import check_bag
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
    assert bent.quantities["change"].value == pytest.approx(2) and bent.terms == {
        "way": "weak",
        "start": "usual",
    }
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


@pytest.mark.parametrize(
    ("degrees", "bent"), [(0.25, False), (0.49, False), (0.5, True), (-0.49, False), (-0.5, True)]
)
def test_less_than_half_a_degree_is_not_bent(degrees, bent):
    """What a bending machine repeats: common practice, no source."""
    club = replace(norm_club("7i"), head_material="forged")
    assert bool(bend(club, loft_deg=club.loft_deg + degrees).statements) is bent
    assert bool(bend(club, lie_deg=club.lie_deg + degrees).statements) is bent


@pytest.mark.parametrize(("material", "most"), [("forged", 4.0), ("cast", 2.0), (None, 1.0)])
def test_a_head_is_bent_as_far_as_its_material_lets_it_and_no_farther(material, most):
    """Forged heads some 4 deg, cast ones 2; of unknown material a cautious 1: common practice, no source."""
    club = replace(norm_club("7i"), head_material=material)
    for way in (-1, 1):
        assert bend(club, loft_deg=club.loft_deg + way * (most - 0.05)).feasible
        over = bend(club, loft_deg=club.loft_deg + way * (most + 0.05), lie_deg=club.lie_deg)
        assert not over.feasible and over.nearest_loft_deg == pytest.approx(club.loft_deg + way * most)


@pytest.mark.parametrize(
    ("loft", "lie", "names"), [(6.0, 0.0, {"loft"}), (0.0, -6.0, {"lie"}), (6.0, 6.0, {"loft", "lie"})]
)
def test_a_bend_that_stops_short_says_on_which_side_it_stops(loft, lie, names):
    have = replace(norm_club("7i"), head_material="forged")
    want = replace(have, loft_deg=have.loft_deg + loft, lie_deg=have.lie_deg + lie)
    (row,) = build_sheet((have,), (want,)).clubs
    (problem,) = [s for s in row.problems if s.kind == "limit.bend"]
    told = {name: q.value for name, q in problem.quantities.items()}
    assert {n for n in ("loft", "lie") if n in told} == names
    for name, change in (("loft", loft), ("lie", lie)):
        if name in names:
            at = getattr(have, f"{name}_deg")
            assert told[f"wanted_{name}"] == pytest.approx(at + change, abs=0.25)  # in half degrees
            assert told[name] == pytest.approx(at + 4 * np.sign(change))
    assert told["limit"] == 4


@pytest.mark.parametrize(
    ("inches", "local", "conforms"),
    [
        (17.9, False, False),
        (18.1, False, True),
        (47.9, False, True),
        (48.1, False, False),
        (46.1, True, False),
        (45.9, True, True),
    ],
)
def test_lengths_the_rules_allow(inches, local, conforms):
    """From 18 to 48 in, or to 46 where the local rule is in force, as the published equipment rules say; putters may be
    longer."""
    driver = replace(norm_club("dr"), length_m=inches * 0.0254)
    assert check_bag((driver,), local_length_rule=local).conforms is conforms
    putter = replace(norm_club("pt"), length_m=inches * 0.0254)
    assert check_bag((putter,), local_length_rule=local).conforms is (inches > 18)


@pytest.mark.parametrize(
    ("club", "change", "conforms"),
    [
        ("pt", {"loft_deg": 10.0}, True),
        ("pt", {"loft_deg": 10.5}, False),
        ("pt", {"loft_deg": -15.0}, True),
        ("pt", {"loft_deg": -15.5}, False),
        ("pt", {"lie_deg": 80.0}, True),
        ("7i", {"lie_deg": 80.5}, False),
    ],
)
def test_angles_the_rules_allow(club, change, conforms):
    """Putter loft up to 10 deg and down to -15, a shaft at least 10 deg off upright, as the published rules say."""
    assert check_bag((replace(norm_club(club), **change),)).conforms is conforms


def test_fourteen_clubs_and_no_more():
    bag = norm_bag()
    assert len(bag) == 14 and check_bag(bag).conforms
    assert not check_bag((*bag, norm_club("7w"))).conforms


@pytest.mark.parametrize("club", [c for c in norm_bag() if c.family != "putter"], ids=lambda c: c.id)
def test_a_club_without_its_grip_weighs_about_ten_points_too_heavy(club):
    """By hand, common practice, no source: 50 g are 1.76 oz, 10 in above the fulcrum 17.6 in oz, at 1.75 a point."""
    parts = usual_parts(club)
    bare = weigh(replace(parts, grip=0.0)).moment_inoz - weigh(parts).moment_inoz
    assert bare / POINT_INOZ == pytest.approx(GRIP_POINTS, abs=0.5)
