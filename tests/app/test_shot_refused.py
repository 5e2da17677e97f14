"""Play: while a field of the shot holds something that was refused, no answer stands; and what is typed stays as it is."""

import pytest

from app import bridge
from app.demo import demo_case
from tests.app.driver import Person

ANSWERS = ("chance of landing within", "Plays like", "Enter a distance", "Chances of one full swing")


@pytest.fixture
def demo():
    person = Person(demo_case()).go("Play").type("Distance to carry", "130").type("Wind", "5")
    assert "Plays like" in person.press("Turn").text()
    return person


@pytest.mark.parametrize(
    ("label", "typed"),
    [
        ("Wind", "60"),
        ("Wind", "-3"),
        ("Wind", "abc"),
        ("Target above you", "abc"),
        ("Target above you", "500"),
        ("Distance to carry", "0"),
        ("Temperature", "99"),
        ("Temperature", ""),
    ],
)
def test_no_answer_stands_while_a_field_of_the_shot_is_refused(demo, label, typed):
    demo.open("Today\u2019s weather")
    play = demo.page.here
    answer = [pane.object for pane in (play.answer, play.chances, play.blow.words)]
    demo.type(label, typed)
    under = " under \u201cToday\u2019s weather\u201d" if label == "Temperature" else ""
    assert f"Put right \u201c{label}\u201d{under} to see which club to hit." in demo.text()
    assert not any(words in demo.text() for words in ANSWERS)
    assert ("A headwind of 5.0" in demo.text()) is (label != "Wind")
    demo.press("Undo")
    assert [pane.object for pane in (play.answer, play.chances, play.blow.words)] == answer


def test_every_field_that_was_refused_is_named(demo):
    demo.type("Wind", "60").type("Target above you", "x")
    assert "Put right \u201cTarget above you\u201d and \u201cWind\u201d to see" in demo.text()
    assert "Put right \u201cTarget above you\u201d to see" in demo.type("Wind", "4").text()
    assert "chance of landing within" in demo.type("Target above you", "").text()


def test_the_green_is_no_matter_of_a_shot_for_a_distance(demo):
    demo.tap("A green").open("The green, and what lies round it").type("Width of the green", "90")
    assert "Put right \u201cWidth of the green\u201d" in demo.text()
    assert "chance of landing within" in demo.tap("A distance").text()
    demo.type("Distance to carry", "").tap("A green")
    assert "Enter a distance" in demo.text() and "Put right" not in demo.text()


def test_a_tilt_takes_no_distance_that_was_refused_and_mends_the_height(demo):
    before = demo.type("Distance to carry", "abc").state.store.at_hand
    bridge.receive("tilted", {"degrees": 5.0})
    assert "Put the distance right first." in demo.text() and demo.state.store.at_hand == before
    demo.type("Distance to carry", "120").type("Target above you", "abc")
    bridge.receive("tilted", {"degrees": 5.0})
    assert demo.value("Target above you") == "10" and "Put right" not in demo.text()


@pytest.mark.parametrize(
    ("label", "typed", "stands", "name", "kept"),
    [
        ("Distance to carry", "130.5", "130.5", "distance_m", 130.5),
        ("Distance to carry", "112,5", "112.5", "distance_m", 112.5),
        ("Distance to carry", "112.25m", "112.25", "distance_m", 112.25),
        ("Target above you", "-7.25", "-7.25", "height_m", -7.25),
        ("Wind", "3.25", "3.25", "wind_mps", 3.25),
    ],
)
def test_nothing_that_was_typed_is_cut(demo, label, typed, stands, name, kept):
    demo.type(label, typed)
    assert demo.value(label) == stands and getattr(demo.state.store.at_hand, name) == kept
    demo.type("Wind", "1")  # anything else that brings the screen up to date
    if label == "Distance to carry":
        assert demo.value(label) == stands and f"within 5 m of {stands} m" in demo.text()


def test_what_was_typed_in_other_units_is_shown_in_whole_ones(demo):
    demo.type("Distance to carry", "130.5").tap("A green").open("The green, and what lies round it")
    assert demo.value("Front of the green") == "118.5"
    demo.go("Measure").choose("Units", "in \u00b7 yd").go("Play")
    assert demo.value("Distance to the flag") == "143" and demo.value("Wind") == "11"
    assert demo.type("Distance to the flag", "140.5").value("Distance to the flag") == "140.5"
    assert demo.value("Back of the green") == "154" and demo.state.store.at_hand.distance_m == 128.4732
