"""Balls typed just before the page goes: kept by the page from the tap on, and put back once."""

import pytest
from conftest import PHONE, Person
from test_early_entries import NOTHING_LEFT
from test_typing import balls
from walk import go, settle, until

BALLS = ["152", "148", "151.5", "149", "150", "153", "147", "155", "146", "154"]


@pytest.fixture
def someone(chromium, served):
    """`someone()`: a page in one and the same profile, ready for use; the last one may have died."""
    context = chromium.new_context(**PHONE)

    def opened():
        person = Person(context, served.address)
        person.open()
        return person

    yield opened
    context.close()


def choose(person, chip):
    person.page.get_by_role("button", name=chip).first.tap()


def press(person, carry):
    for key in carry:
        person.page.get_by_role("button", name=key, exact=True).first.tap()
    person.page.get_by_role("button", name="Add ball").first.tap()


def nothing_left(person):
    """Until nothing but the saved players holds what was entered."""
    person.until(NOTHING_LEFT, 30)


def reload(person):
    person.page.reload()
    person.ready()
    go(person, "hit")
    settle(person)


@pytest.mark.parametrize("pause", [0, 200])
def test_ten_quick_balls_are_there_once_after_a_reload_at_once(someone, pause):
    person = someone()
    go(person, "hit")
    choose(person, "9i")
    for carry in BALLS:
        press(person, carry)
        person.page.wait_for_timeout(pause)
    for _ in range(2):  # what was put back is put back once
        reload(person)
        until(lambda: f"Balls of the 9-iron: {len(BALLS)}" in person.text(), "all balls", 30)
        assert balls(person, "9-iron") == [f"{float(c):.0f}" for c in BALLS]
        nothing_left(person)
    assert person.page.locator("[data-notice=typed]").count() == 0
    assert person.faults == []


def test_a_ball_that_python_never_had_is_put_back_as_it_was_hit(someone):
    person = someone()
    go(person, "hit")
    choose(person, "8i")
    press(person, "140")
    until(lambda: "Balls of the 8-iron: 1" in person.text(), "the first ball")
    nothing_left(person)
    # Python hears nothing any more, as when it is at long sums
    person.page.evaluate("Worker.prototype.postMessage = () => {}")
    choose(person, "9i")
    choose(person, "2.5 cm")
    press(person, "120")
    press(person, "121")
    for key in "13":
        person.page.get_by_role("button", name=key, exact=True).first.tap()
    person.page.reload()
    person.ready()
    until(lambda: "Balls of the 9-iron: 2" in person.text(), "the balls", 30)
    assert "It has been put back: 9i 120 m and 9i 121 m." in person.text().replace("\u00a0", " ")
    assert person.page.get_by_label("Carry, 9-iron").first.input_value() == "13"  # to go on with
    assert balls(person, "9-iron") == ["120", "121"]
    assert "2.5 cm" in person.page.get_by_role("table", name="9-iron, as hit").inner_text()
    nothing_left(person)
    reload(person)
    assert balls(person, "9-iron") == ["120", "121"] and "put back" not in person.text()
    assert person.faults == []
