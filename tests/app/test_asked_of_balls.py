"""Hit asks about a carry that looks like a slip of the finger, and a tap puts it right, keeps it or leaves it out."""

from dataclasses import replace

import pytest

from app import bridge
from app.demo import demo_case
from engine.documents.case import Shot, SwingSize
from tests.app.driver import Person, bare

HIP = SwingSize("size1", "to the hip")
BALLS = {("7i", None): (150, 152, 149), ("sw", None): (85, 87, 84), ("sw", "size1"): (41, 42, 40)}
SHOTS = tuple(Shot(club, float(c), swing_size=size) for (club, size), all_ in BALLS.items() for c in all_)


@pytest.fixture
def person():
    return Person(replace(demo_case(), shots=SHOTS, swing_sizes=(HIP,))).go("Hit")


def type_in(person, *texts):
    bridge.receive("entered", {"numbers": [{"text": t, "mends": False} for t in texts]})


def said(person):
    return person.text().replace("\u00a0", " ")


def test_fifteen_for_a_hundred_and_fifty_is_asked_about_and_a_tap_mends_it(person):
    type_in(person.tap("7i"), "15")
    assert "15 m with the 7-iron? The others are near 150 m." in said(person)
    assert "4 balls, last" not in said(person)  # the question stands in the place of the tally
    person.press("It was 150\u00a0m")
    assert bare(person.case.shots[-1]) == Shot("7i", 150.0) and "with the 7-iron?" not in said(person)
    assert "4 balls, last 150 m" in said(person)
    person.press("Undo")
    assert person.case.shots[-1].carry_m == 15.0 and "15 m with the 7-iron?" in said(person)


def test_a_ball_that_is_right_is_kept_and_one_that_was_a_mishit_is_left_out(person):
    type_in(person.tap("7i"), "15")
    person.press("It is right")
    assert bare(person.case.shots[-1]) == Shot("7i", 15.0, keep=True) and not person.sees("It is right")
    person.press("Undo").press("A mishit")
    assert bare(person.case.shots[-1]) == Shot("7i", 15.0, use=False) and not person.sees("It is right")


def test_fast_fingers_lose_nothing_and_every_odd_ball_is_asked_about_in_turn(person):
    type_in(person.tap("7i"), "15", "151", "14", "150")
    assert [s.carry_m for s in person.case.shots[-4:]] == [15.0, 151.0, 14.0, 150.0]
    assert "14 m with the 7-iron?" in said(person) and "1 more to look at after it" in said(person)
    person.press("It was 140\u00a0m")
    assert "15 m with the 7-iron?" in said(person) and "more to look at" not in said(person)
    person.press("It was 150\u00a0m")
    assert [s.carry_m for s in person.case.shots[-4:]] == [150.0, 151.0, 140.0, 150.0]


def test_a_short_full_ball_may_have_been_to_the_hip(person):
    type_in(person.tap("SW"), "41")
    assert "41 m with the Sand wedge? The others are near 85 m." in said(person)
    person.press("It was to the hip")
    assert bare(person.case.shots[-1]) == Shot("sw", 41.0, swing_size="size1")


def test_a_ball_to_the_hip_may_have_been_full_or_lost_a_digit(person):
    person.tap("SW").tap("to the hip")
    type_in(person, "85")
    assert "85 m with the Sand wedge, to the hip? The others are near 41 m." in said(person)
    person.press("It was a full swing")
    assert bare(person.case.shots[-1]) == Shot("sw", 85.0)
    type_in(person.tap("SW").tap("to the hip"), "4")
    person.press("It was 40\u00a0m")
    assert bare(person.case.shots[-1]) == Shot("sw", 40.0, swing_size="size1")


@pytest.mark.parametrize(("system", "unit"), [("metric", "m"), ("imperial", "yd")])
def test_the_question_shows_what_was_typed(person, system, unit):
    person.state.set_units(system)
    for typed in ("15.6", "13.45", "17"):
        type_in(person.tap("7i"), typed)
        assert f"{typed} {unit} with the 7-iron?" in said(person)
        person.press("Undo")
    type_in(person, "16.3")
    assert person.press(f"It was 163\u00a0{unit}")


def test_three_balls_far_too_short_for_a_full_wedge_are_asked_about_as_a_part_swing(person):
    type_in(person.tap("PW"), "44", "45", "44")
    assert "44 m with the Pitching wedge? Your other clubs point to about" in said(person)
    person.press("It was to the hip")
    assert bare(person.case.shots[-1]) == Shot("pw", 44.0, swing_size="size1")
    assert "45 m with the Pitching wedge?" in said(person)
    person.state.change(lambda case: replace(case, swing_sizes=(), shots=SHOTS[:6]), "no part swings")
    type_in(person.tap("PW"), "44", "45", "44")
    person.press("A part swing")
    assert person.sees("to the chest") and person.find("Part swings")


def test_chips_and_ordinary_balls_are_not_asked_about(person):
    chip = SwingSize("size2", "chip")
    person.state.change(lambda case: replace(case, swing_sizes=(HIP, chip)), "chip named")
    person.tap("SW").tap("chip")
    type_in(person, "9", "7", "12")
    type_in(person.tap("7i"), "128", "160")
    assert not person.sees("It is right")


def test_yards_are_asked_about_in_yards(person):
    person.state.set_units("imperial")
    type_in(person.tap("7i"), "65")
    assert "65 yd with the 7-iron? The others are near 164 yd." in said(person)
    person.press("It was 165\u00a0yd")
    assert person.case.shots[-1].carry_m == pytest.approx(165 * 0.9144, abs=0.01)


def test_the_question_is_still_there_after_a_reload(person):
    type_in(person.tap("7i"), "15")
    again = Person(person.case).go("Hit")
    assert "15 m with the 7-iron?" in said(again)


def test_the_question_about_one_club_does_not_hide_the_line_of_another(person):
    type_in(person.tap("7i"), "15")
    assert person.sees("It was 150\u00a0m")
    person.tap("SW")
    assert not person.sees("It was 150\u00a0m")
    assert "To check: a ball of the 7i." in person.text()
    assert person.tap("7i").sees("It was 150\u00a0m") and "To check" not in person.text()
