"""Shaft, grip and sleeve of a club: typed, kept, weighed, and felt in loft and face."""

from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from engine.documents.case import Measured
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.units import INCH
from engine.workshop.balance import usual_parts, weigh
from engine.workshop.bench import as_built
from engine.workshop.sleeve import face_closed, face_of
from tests.app.driver import Person


@pytest.fixture
def person():
    return Person(demo_case()).go("Measure").open("The bag: 14 clubs").open("One club at a time")


def test_they_are_typed_for_any_club_and_kept_in_the_document(person):
    person.choose("Club to edit", "4-hybrid")
    person.type("Shaft mass, as cut", "78").type("Shaft flex", "R").type("Tip trim", "51").type(
        "Grip mass", "47"
    )
    club = person.case.club("4h")
    assert (club.shaft_kg, club.shaft_flex, club.grip_kg) == (0.078, "R", 0.047)
    assert club.tip_trim_m == pytest.approx(2 * INCH, abs=0.0005)
    assert read_case(person.case.to_doc()) == person.case
    person.type("Shaft flex", "").type("Tip trim", "")
    assert person.case.club("4h").shaft_flex is None and person.case.club("4h").tip_trim_m is None


def test_a_sleeve_adds_loft_and_closes_the_face(person):
    """A degree of a driver's loft closes it by 1.5 to 2 deg (common practice); tan 58 deg is 1.6."""
    person.choose("Club to edit", "Driver").type("Sleeve adds loft", "1")
    driver = person.case.club("dr")
    assert driver.sleeve_deg == 1 and driver.played_loft_deg == driver.loft_deg + 1
    assert 1.5 <= face_of(driver) <= 2.0
    assert f"plays {driver.loft_deg + 1:.1f}° of loft" in person.text() and "1.6° closed" in person.text()
    person.type("Sleeve adds loft", "-1")
    assert "1.6° open" in person.text()
    person.type("Sleeve adds loft", "")
    assert "sleeve so set" not in person.text()
    assert face_closed(sleeve_deg=2, lie_deg=45) == pytest.approx(2)


@pytest.mark.parametrize("club_id", ["dr", "4h"])
def test_a_sleeve_flies_as_the_loft_it_makes(club_id):
    fitting = Fitting(demo_case(), 64)
    club = fitting.case.club(club_id)
    as_set = fitting.predict((replace(club, sleeve_deg=1.5),))
    as_loft = fitting.predict((replace(club, loft_deg=club.loft_deg + 1.5),))
    plain = fitting.predict((club,))
    assert as_set.carry == pytest.approx(as_loft.carry) and as_set.launch.mean() > plain.launch.mean() + 0.8


def test_a_club_s_own_shaft_and_grip_are_weighed():
    """50 g in to a swing weight point at 14 in: 10 g less grip, 10 in above the fulcrum, is 2 points more."""
    seven = demo_case().club("7i")
    light = replace(seven, shaft_kg=0.060, grip_kg=0.040)
    assert weigh(usual_parts(light)).total_kg == pytest.approx(seven.head_kg + 0.100)
    less_grip = replace(seven, grip_kg=0.040)
    points = (weigh(usual_parts(less_grip)).moment_inoz - weigh(usual_parts(seven)).moment_inoz) / 1.75
    assert points == pytest.approx(2.0, abs=0.1)


def test_a_shaft_that_is_cut_weighs_less():
    seven = replace(demo_case().club("7i"), shaft_kg=0.110)
    cut = as_built(seven, replace(seven, length_m=seven.length_m - INCH), Measured("7i"))
    assert seven.shaft_kg - cut.shaft_kg == pytest.approx(
        0.0026, abs=0.0004
    )  # 2.6 g an inch, common practice
    assert edits.built(demo_case(), ()).bag == demo_case().bag
