"""Hit, where balls came down: the side of the last ball by tap or step, the pattern and what it says."""

import re

import pytest

from app import bridge, edits
from app.demo import demo_case
from engine.documents.case import Shot
from tests.app.driver import Person


@pytest.fixture
def demo():
    return Person(demo_case()).go("Hit").tap("7i").open("Where they came down")


def last(person):
    return person.case.shots[edits.last_ball(person.case, "7i")]


def hit(person, *sides):
    balls = tuple(Shot("7i", carry_m=128.0 + n % 3, side_m=s) for n, s in enumerate(sides))
    person.state.change(lambda case: edits.add_balls(case, balls), "hit")


def test_a_tap_says_to_which_side_the_last_ball_went(demo):
    assert last(demo).side_m is None and "Three balls with a side" in demo.text()
    bridge.receive("landed", {"across": -0.4})  # of 20 m to the left edge
    assert last(demo).side_m == -8.0 and demo.value("Side of the last ball") == "-8"
    demo.press("+5")
    assert last(demo).side_m == -3.0
    demo.press("Undo").press("Undo")
    assert last(demo).side_m is None and demo.value("Side of the last ball") == ""


@pytest.mark.parametrize("across", [None, "x", 3.0, float("nan")])
def test_a_tap_that_makes_no_sense_changes_nothing(demo, across):
    before = demo.case
    bridge.receive("landed", {"across": across})
    assert demo.case is before


def test_a_tap_in_yards_is_whole_yards(demo):
    demo.go("Measure").choose("Units", "in \u00b7 yd").go("Hit")
    bridge.receive("landed", {"across": 0.26})
    assert last(demo).side_m == pytest.approx(5 * 0.9144)


def test_balls_off_line_are_told_with_their_interval(demo):
    hit(demo, 7, 9, 8, 6, 10, 8)
    told = re.search(
        r"comes down 8\s+m to the right on average, so it starts or curves that way", demo.text()
    )
    told = told and re.search(r"90\s%\srange (\d+) to (\d+)", demo.text())
    assert (int(told[1]), int(told[2])) == (7, 9)  # 8 +- t(0.95, 5) 1.414 / sqrt 6 = 8 +- 1.16


def test_balls_about_the_line_are_no_sign_of_anything(demo):
    hit(demo, 7, -9, 2, -3, 4, 1)
    assert "No sign that the 7-iron starts or curves off line" in demo.text()
    assert demo.markup().count("<ellipse") == 2 and re.search(
        r"its true size is \d\d to 1\d\d % of that", demo.text()
    )


def test_a_ball_far_off_widens_the_picture(demo):
    hit(demo, 33)
    assert re.search(r"40\s+m left", demo.text()) and not re.search(r"20\s+m left", demo.text())


def test_a_mishit_widens_neither_the_ellipse_nor_the_direction(demo):
    hit(demo, 1, -2, 3, -1, 2, -3)
    before = re.search(r"Nine balls in ten come down inside the ellipse, (.+?) m\b", demo.text())[1]
    spread = demo.state.fitting.direction.sd_deg
    mishit = (Shot("7i", carry_m=30.0, side_m=25.0),)
    demo.state.change(lambda case: edits.add_balls(case, mishit), "a mishit")
    assert re.search(r"Nine balls in ten come down inside the ellipse, (.+?) m\b", demo.text())[1] == before
    assert demo.state.fitting.direction.sd_deg == pytest.approx(spread)
