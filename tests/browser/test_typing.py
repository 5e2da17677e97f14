"""Balls typed one after the other at 8 keys a second, the browser's processes held to a quarter of the time."""

import re
import time

import pytest
from bench_starts import Slowed
from conftest import PHONE, Person
from walk import go, open_fold, until

RATE = 8.0  # keys a second
CARRIES = ["152", "148", "151.5", "149", "150", "153", "147", "152", "146", "154"]


@pytest.fixture
def person(slow, served):
    context = slow.browser.new_context(**PHONE)
    someone = Person(context, served.address)
    someone.open()
    go(someone, "hit")
    yield someone
    context.close()
    assert someone.faults == []


def keyboard(person):
    return person.page.keyboard.press


def system_keypad(person):
    """Text comes as input events; only the key at the lower right is a key."""
    session = person.page.context.new_cdp_session(person.page)

    def press(key):
        if key == "Enter":
            person.page.keyboard.press("Enter")
        else:
            session.send("Input.insertText", {"text": key})

    return press


def own_keypad(person):
    """The keys beside the field, and the button for Enter."""
    field(person).evaluate("e => scrollBy(0, e.getBoundingClientRect().top - 60)")
    places = {}
    for key in "0123456789.":
        places[key] = person.page.get_by_role("button", name=key, exact=True).first.bounding_box()
    places["Enter"] = person.page.get_by_role("button", name="Add ball").first.bounding_box()

    def press(key):
        box = places[key]
        person.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    return press


def field(person):
    return person.page.get_by_label("Carry").first


def type_at_rate(press, keys):
    at = time.monotonic()
    for key in keys:
        time.sleep(max(at - time.monotonic(), 0))
        press(key)
        at += 1 / RATE


def balls(person, club):
    """Carries of a club in their order, as its list of balls shows them."""
    head = person.page.get_by_role("button", name="Balls of the")
    until(lambda: club in head.first.inner_text(), f"the {club}")
    open_fold(person, "Balls of the")
    rows = person.page.get_by_role("table", name=f"{club}, as hit").get_by_role("row")
    return [re.findall(r"[\d.]+", text)[1] for text in rows.all_inner_texts()[1:]]


def count(person, club, number):
    until(lambda: f"Balls of the {club}: {number}" in person.text(), f"{number} balls of the {club}", 120)


@pytest.mark.parametrize("way", [keyboard, system_keypad, own_keypad])
def test_every_ball_typed_is_there_in_order(slow, person, way):
    press = way(person)
    if way is not own_keypad:
        field(person).tap()
    with Slowed(slow.profile, True):
        type_at_rate(press, [key for carry in CARRIES for key in (*carry, "Enter")])
        count(person, "7-iron", len(CARRIES))
    assert field(person).input_value() == ""
    person.page.get_by_role("button", name="Undo").first.tap()
    count(person, "7-iron", len(CARRIES) - 1)
    assert balls(person, "7-iron") == [f"{float(c):.0f}" for c in CARRIES[:-1]]


def test_a_refused_number_comes_back_and_leaves_the_next_ones_alone(slow, person):
    field(person).tap()
    press = keyboard(person)
    with Slowed(slow.profile, True):
        type_at_rate(
            press, ["1", "5", "2", "Enter", "1", "5", "2", "2", "Enter", "1", "4", "9", "Enter", "1", "5"]
        )
        until(lambda: "Balls of the 7-iron: 2" in person.text(), "both good ones", 60)
    assert field(person).input_value() == "15"
    assert "\u201c1522\u201d must be from 1 to 400 m" in person.text()  # typed over, so it stays to be read
    type_at_rate(press, ["0", "Enter", "9", "9", "9", "Enter"])
    until(lambda: field(person).input_value() == "999", "the refused number back in its field")
    until(
        lambda: (
            "\u201c999\u201d must be"
            in field(person).evaluate("e => e.getRootNode().querySelector('label').textContent")
        ),
        "its fault",
    )
    press("1")
    assert field(person).input_value() == "1"  # what had come back makes room for what is typed
    type_at_rate(press, ["4", "7", "Enter"])
    count(person, "7-iron", 4)
    assert balls(person, "7-iron") == ["152", "149", "150", "147"]
    person.tap("OK")
    until(lambda: "Not added" not in person.text(), "the note to go")


def test_a_number_corrected_in_the_field_is_not_said_to_be_missing(person):
    press = own_keypad(person)
    type_at_rate(press, (*"1522", "Enter"))
    until(lambda: field(person).input_value() == "1522", "the refused number back in its field")
    time.sleep(1.0)  # read, then typed over
    type_at_rate(press, (*"152", "Enter"))
    count(person, "7-iron", 1)
    assert "ot added" not in person.text()


def test_balls_go_to_the_club_that_was_chosen_when_they_were_typed(slow, person):
    field(person).tap()
    with Slowed(slow.profile, True):
        for club, carry in (("7i", "150"), ("9i", "120"), ("7i", "151"), ("9i", "121")):
            person.page.get_by_role("button", name=re.compile(rf"^{club}\b")).first.tap()
            field(person).tap()
            type_at_rate(keyboard(person), (*carry, "Enter"))
        count(person, "9-iron", 2)
    assert balls(person, "9-iron") == ["120", "121"]


def test_typing_on_while_the_label_changes_keeps_focus_and_text(slow, person):
    """A field whose last text was refused says so in its label, which is drawn anew under the fingers."""
    go(person, "measure")
    height = person.page.get_by_label("Height").first
    height.tap()
    with Slowed(slow.profile, True):
        type_at_rate(keyboard(person), (*"1780", "Enter", *("Backspace",) * 4, *"178"))
        until(
            lambda: person.page.get_by_label("Height must").count() or height.input_value() == "178",
            "an answer",
        )
        type_at_rate(keyboard(person), ("Enter",))
        until(lambda: "Height (cm)" in person.text(), "the field without fault")
    assert height.input_value() == "178"


def test_a_tap_into_the_distance_chooses_what_stands_there(person):
    go(person, "play")
    distance = person.page.get_by_label("Distance to carry").first
    distance.tap()
    type_at_rate(keyboard(person), (*"165", "Enter"))
    person.page.get_by_role("heading", name="What do I hit?").first.tap()
    distance.tap()
    type_at_rate(keyboard(person), ("1", "1", "8"))
    assert distance.input_value() == "118"
