"""What do I hit? The club for a distance, and what is said where no full swing goes there."""

import re
from dataclasses import replace

import pytest

from app.demo import demo_case
from engine.documents.case import Shot, SwingSize
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
    assert (
        "Put right \u201cDistance to carry\u201d" in person.text()
        and "Chances of one full swing" not in person.text()
    )


def test_a_distance_between_a_part_swing_and_the_shortest_full_one_names_no_club():
    """A wedge to the hip goes 44 m and the shortest full wedge some 70: neither is an answer for 57."""
    hip = tuple(Shot("pw", 44.0 + off, swing_size="hip") for off in (-1.0, 0.0, 1.0, 0.0))
    case = replace(demo_case(), swing_sizes=(SwingSize("hip", "to the hip"),))
    person = Person(replace(case, shots=(*case.shots, *hip))).go("Play")
    near = range(30, 100)
    said = {}
    for distance in near:
        person.type("Distance to carry", str(distance))
        text = person.text()
        found = re.search(
            r"No swing that is known lands near that: it lies between the (.+?) \((\d+)\sm\) and the "
            r"(.+?) \((\d+)\sm\)\.",
            text,
        )
        chance = re.search(r"(\d+)\s% chance of landing within", text)
        assert found or chance or "comes nearest" in text
        if found:
            said[distance] = found
            assert int(found[2]) < distance < int(found[4]) and "chance of landing" not in text
        elif chance:
            assert int(chance[1]) >= 10
    assert said
