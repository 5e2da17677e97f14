"""Hit, where balls came down: the side of the last ball by tap or step, the pattern and what it says."""

import re

import pytest

from app import bridge, sessions
from app.demo import demo_case
from engine.documents.case import Shot
from tests.app.driver import Person, with_balls


@pytest.fixture
def demo():
    return Person(demo_case()).go("Hit").tap("7i").open("Where they came down")


def last(person):
    return person.case.shots[sessions.last_ball(person.case, "7i")]


def hit(person, *sides):
    balls = tuple(Shot("7i", carry_m=128.0 + n % 3, side_m=s) for n, s in enumerate(sides))
    person.state.change(lambda case: with_balls(case, balls), "hit")


def test_a_tap_says_to_which_side_the_last_ball_went(demo):
    assert last(demo).side_m is None and "Three balls with a side" in demo.text()
    bridge.receive("landed", {"across": -0.4})  # of 20 m to the left edge
    assert last(demo).side_m == -8.0 and demo.value("Side of this ball") == ""  # of the next ball
    demo.choose("Which ball", next(name for name in demo.offered("Which ball") if "last one" in name))
    assert demo.value("Side of this ball") == "-8"
    demo.press("+5")
    assert last(demo).side_m == -3.0
    demo.press("Undo").press("Undo")
    assert last(demo).side_m is None and demo.value("Side of this ball") == ""


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
        r"With 6 balls to go by it may really be 2\d % smaller or 9\d % larger", demo.text()
    )


def test_a_ball_far_off_widens_the_picture(demo):
    hit(demo, 33)
    assert re.search(r"40\s+m left", demo.text()) and not re.search(r"20\s+m left", demo.text())


def test_a_mishit_widens_neither_the_ellipse_nor_the_direction(demo):
    hit(demo, 1, -2, 3, -1, 2, -3)
    before = re.search(r"Nine balls in ten come down inside the ellipse, (.+?) m\b", demo.text())[1]
    spread = demo.state.fitting.direction.sd_deg
    mishit = (Shot("7i", carry_m=30.0, side_m=25.0),)
    demo.state.change(lambda case: with_balls(case, mishit), "a mishit")
    assert re.search(r"Nine balls in ten come down inside the ellipse, (.+?) m\b", demo.text())[1] == before
    assert demo.state.fitting.direction.sd_deg == pytest.approx(spread)


def test_three_balls_say_that_the_scatter_is_not_known_yet(demo):
    hit(demo, 7, -9, 2)
    assert "How far your balls scatter is not known yet: hit more. 6 balls" in demo.text()
    assert demo.markup().count("<ellipse") == 1 and "%\u00a0larger" not in demo.text()
    assert not re.search(r"\d{3} %", demo.text())


def test_a_side_goes_to_the_ball_that_was_chosen(demo):
    hit(demo, None, None, None)
    first, second, third = range(len(demo.case.shots) - 3, len(demo.case.shots))
    number = sum(s.club == "7i" for s in demo.case.shots)
    assert demo.chosen("Which ball") == f"{number}: last one, 130 m, no side yet"
    demo.choose("Which ball", f"{number - 1}: 129 m, no side yet")
    bridge.receive("landed", {"across": 0.3})
    assert [demo.case.shots[n].side_m for n in (first, second, third)] == [None, 6.0, None]
    assert demo.chosen("Which ball") == f"{number}: last one, 130 m, no side yet"  # the next without a side
    demo.choose("Which ball", f"{number - 1}: 129 m, 6 m right")
    demo.press("\u22121")
    assert demo.case.shots[second].side_m == 5.0
    assert demo.markup().count('r="8.0"') == 1
    hit(demo, None)  # the next ball is the one to go on with
    bridge.receive("landed", {"across": -0.2})
    assert demo.case.shots[-1].side_m == -4.0 and demo.case.shots[second].side_m == 5.0


def test_another_club_begins_with_its_last_ball(demo):
    hit(demo, None, None)
    number = sum(s.club == "7i" for s in demo.case.shots)
    demo.choose("Which ball", f"{number - 1}: 128 m, no side yet")
    demo.tap("9i")
    assert "last one" in demo.chosen("Which ball")
    demo.tap("7i")
    bridge.receive("landed", {"across": 0.5})
    assert last(demo).side_m == 10.0


def test_taps_one_after_the_other_go_from_ball_to_ball_and_lose_no_side(demo):
    hit(demo, None, None, None)
    first, second, third = range(len(demo.case.shots) - 3, len(demo.case.shots))

    def sides():
        return [demo.case.shots[n].side_m for n in (first, second, third)]

    number = sum(s.club == "7i" for s in demo.case.shots)
    bridge.receive("landed", {"across": 0.3})
    assert demo.chosen("Which ball") == f"{number - 1}: 129 m, no side yet"
    text = demo.text().replace("\u00a0", " ")
    assert f"Ball {number}: last one, 130 m, 6 m right. The next tap is for ball {number - 1}: 129 m" in text
    bridge.receive("landed", {"across": -0.2})
    assert sides() == [None, -4.0, 6.0]
    demo.press("Undo")  # the ball it took the side from is the one to go on with
    assert sides() == [None, None, 6.0] and "The next tap is for" not in demo.text()
    demo.choose("Which ball", f"{number - 2}: 128 m, no side yet")
    bridge.receive("landed", {"across": 0.1})
    assert sides() == [2.0, None, 6.0]
    assert demo.chosen("Which ball").startswith(f"{number - 1}: ")  # newer than the one just told


def test_a_tap_at_a_ball_that_has_a_side_says_that_it_changes_it(demo):
    balls = [n for n, s in enumerate(demo.case.shots) if s.club == "7i"]
    for _ in balls:
        bridge.receive("landed", {"across": 0.3})
    assert all(demo.case.shots[n].side_m == 6.0 for n in balls)
    text = demo.text().replace("\u00a0", " ")
    assert "Every ball has a side now; the next tap changes this one." in text
    chosen = demo.chosen("Which ball")
    bridge.receive("landed", {"across": -0.3})
    assert sorted(demo.case.shots[n].side_m for n in balls) == [-6.0] + [6.0] * (len(balls) - 1)
    changed = demo.chosen("Which ball")
    assert changed == chosen.replace("6 m right", "6 m left")
    assert f"Changed ball {changed}." in demo.text().replace("\u00a0", " ")
    demo.press("Undo")
    assert all(demo.case.shots[n].side_m == 6.0 for n in balls) and "Changed ball" not in demo.text()
    demo.go("Hit").tap("9i").tap("7i")
    demo.choose("Which ball", chosen)
    assert "next tap" not in demo.text()
