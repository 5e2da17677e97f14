"""What do I hit? The club for a distance, and what is said where no full swing goes there."""

import re

import pytest

from app.demo import demo_case
from tests.app.driver import Person


@pytest.fixture(scope="module")
def person():
    return Person(demo_case()).go("Play")


@pytest.mark.parametrize(
    ("distance", "told", "club"),
    [("20", "shorter than any full swing", "Lob wedge"), ("390", "beyond any full swing", "Driver")],
)
def test_a_distance_out_of_reach_is_said_and_the_nearest_club_named(person, distance, told, club):
    person.type("Distance to carry", distance)
    carries = {name: carry for name, carry, _ in person.rows("Carry card")[1:]}
    number = carries[club].rstrip("*")
    carry = f", {number} m," if number.isdigit() else ""  # none where it is not known yet
    assert f"That is {told}; the {club}*{carry} comes nearest." in person.text()  # neither was hit yet


def test_the_clubs_for_a_distance_are_told_with_chances_of_one_swing(person):
    person.type("Distance to carry", "120")
    head, *rows = person.rows("Chances of one full swing")
    assert head == ["Club", "near", "short", "long"] and 1 <= len(rows) <= 4
    near = [int(re.search(r"\d+", row[1])[0]) for row in rows]
    assert near == sorted(near, reverse=True) and near[0] >= 20
    assert "chance of landing within 5 m of 120 m" in person.text()
    told = {name: carry.rstrip("*") for name, carry, _ in person.rows("Carry card")[1:]}
    carries = {name: int(carry) for name, carry in told.items() if carry.isdigit()}
    assert rows[0][0].rstrip("*") == min(carries, key=lambda name: abs(carries[name] - 120))


def test_a_distance_that_is_no_number_shows_no_answer(person):
    person.type("Distance to carry", "near")
    assert "Enter a distance" in person.text() and "Chances of one full swing" not in person.text()
