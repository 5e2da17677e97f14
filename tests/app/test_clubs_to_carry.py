"""Which clubs to carry: of the set to build, of clubs whose carry is known, with no figure that means nothing."""

import re
from dataclasses import replace

import pytest

from app import edits
from app.players import default_layouts
from engine.documents.case import Case, Player, Shot
from engine.workshop.norms import norm_bag
from tests.app.driver import Person

HIT = {"7i": (150, 152, 149, 151), "5i": (170, 172, 168), "9i": (128, 130, 127), "3w": (196, 199, 192)}
DRIVER = (214, 220, 209, 217)


def man(*, driver_mps=None):
    """A man whose 5-wood and 4-hybrid nobody hit, whose set to build begins at the 6-iron."""
    bag = norm_bag("male")
    balls = [Shot(club, carry_m=float(x)) for club, carries in HIT.items() for x in carries]
    balls += [Shot("dr", carry_m=float(x), club_speed_mps=driver_mps) for x in DRIVER]
    case = Case(
        player=Player(sex="male", height_m=1.83), bag=bag, shots=tuple(balls), layouts=default_layouts(bag)
    )
    case = edits.without_irons_above("stepped", "6i")(case)
    return replace(case, wants=replace(case.wants, layout="stepped"))


@pytest.fixture(scope="module")
def person():
    person = Person(man()).go("Lay out")
    for fold in ("Which clubs to carry", "Where the irons stop", "Fairway woods and hybrids"):
        person.open(fold)
    return person


def test_nothing_is_said_of_clubs_whose_carry_is_not_known(person):
    text = person.text()
    assert "do the same job" not in text
    assert "Above the irons, keep the 3-wood." in text and "Fairway woods to keep: 3-wood." in text
    assert text.count("Hit the 5-wood first: what it carries in your hands is not known well enough") == 2


def test_the_bag_to_carry_is_that_of_the_set_to_build(person):
    names = [row[0] for row in person.rows("The bag to carry")[1:]]
    assert "6-iron" in names and "5-iron" not in names
    said = re.search(r"With (\d+) clubs, 1 of them a putter", person.text())
    assert int(said[1]) == len(names) + 1
    own = [name for name in names if "to be added" not in name]
    assert len(own) == 12


def test_the_driver_has_no_figure_that_would_leave_it_at_home(person):
    rows = {row[0]: row[2] for row in person.rows("The bag to carry")[1:]}
    assert rows["Driver"] == "" and re.fullmatch(r"\d\.\d", rows["3-wood"])
    assert "The driver is for the tee" in person.text()


def test_a_speed_that_nobody_measured_is_told_as_an_estimate(person):
    told = re.search(r"At (\d+) km/h with the driver, estimated from your carries, start", person.text())
    # 215 m = 235 yd: 102.5 mph between circulating averages of 225 yd at 99 mph and 245 yd at 106 mph (from memory)
    assert int(told[1]) == pytest.approx(102.5 * 1.609, rel=0.05)
    measured = Person(man(driver_mps=46.0)).go("Lay out").open("Fairway woods and hybrids").text()
    assert "km/h with the driver, start" in measured


def test_a_slow_speed_from_carries_is_near_the_circulating_ones():
    """148 m = 162 yd: between 140 yd at 72 mph and 178 yd at 84 mph (from memory)."""
    bag = norm_bag("female")
    balls = tuple(Shot("dr", carry_m=x) for x in (146.0, 148.0, 150.0))
    case = Case(player=Player(sex="female", height_m=1.66), bag=bag, shots=balls)
    case = replace(case, layouts=default_layouts(bag))
    text = Person(case).go("Lay out").open("Fairway woods and hybrids").text()
    told = re.search(r"At (\d+) km/h with the driver, estimated from your carries", text)
    assert 72 * 1.609 < int(told[1]) < 84 * 1.609
