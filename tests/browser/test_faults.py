"""Things that go wrong under a person's hands: a tab that dies, a worker that dies, leaving and coming back."""

import contextlib

import pytest
from conftest import PHONE, Person
from playwright.sync_api import Error
from walk import go, until

WORKERS = """const Real = Worker; window.workers = [];
window.Worker = class extends Real { constructor(...all) { super(...all); window.workers.push(this) } };"""


@pytest.fixture
def someone(chromium, served):
    """`someone()`: a page in one and the same profile, ready for use; the last one may have died."""
    context = chromium.new_context(**PHONE)

    def opened(*, script=""):
        person = Person(context, served.address)
        if script:
            person.page.add_init_script(script)
        person.open()
        return person

    yield opened
    context.close()


def height(person):
    return person.page.get_by_label("Height").first


def enter_height(person, text):
    height(person).fill(text)
    height(person).press("Enter")
    person.until("location.hash.startsWith('#v1.')", 20)
    person.until("!localStorage.getItem('fettle-typed')", 20)  # it is on the device


def crash(person):
    """End the page's process, as a system short of memory does."""
    with contextlib.suppress(Error):
        person.page.goto("chrome://crash", timeout=10_000)


def test_a_tab_that_dies_while_somebody_types_says_at_the_next_start_what_was_not_stored(someone):
    first = someone()
    enter_height(first, "178")
    first.page.get_by_label("Wingspan").first.press_sequentially("183")  # and never leaves the field
    first.until("!!localStorage.getItem('fettle-typed')")
    crash(first)
    second = someone()
    assert height(second).input_value() == "178"
    said = second.page.locator("[data-notice=typed]")
    until(said.is_visible, "the notice")
    assert "Wingspan" in said.inner_text() and "183" in said.inner_text()
    assert second.faults == [] and second.outside == []


def test_what_is_not_kept_anyway_is_not_said_to_be_lost(someone):
    person = someone()
    go(person, "players")
    search = person.page.get_by_label("Search names, tags and notes").first
    search.press_sequentially("nobody")
    assert person.page.evaluate("localStorage.getItem('fettle-typed')") is None
    person.page.get_by_label("Name of this player").first.press_sequentially("Ada")
    assert "Ada" in person.page.evaluate("localStorage.getItem('fettle-typed')")


def test_a_dead_worker_is_noticed_and_what_was_typed_is_not_lost(someone):
    person = someone(script=WORKERS)
    enter_height(person, "178")
    person.page.evaluate("window.workers.forEach((worker) => worker.terminate())")
    person.page.get_by_label("Wingspan").first.fill("183")
    person.page.get_by_label("Wingspan").first.press("Enter")
    said = person.page.locator("[data-notice=stuck]")
    until(said.is_visible, "the notice", 40)
    with person.page.expect_navigation():
        said.get_by_role("button", name="Start again").tap()
    person.ready()
    assert height(person).input_value() == "178"
    left = person.page.locator("[data-notice=typed]")
    until(left.is_visible, "what was typed")
    assert "Wingspan" in left.inner_text() and "183" in left.inner_text()


@pytest.mark.parametrize("pause", [0, 1500])
def test_away_and_back_finds_all_or_says_what_was_not_stored(someone, served, pause):
    person = someone()
    enter_height(person, "178")
    person.page.get_by_label("Wingspan").first.fill("183")
    person.page.get_by_label("Wingspan").first.press("Enter")
    person.page.wait_for_timeout(pause)
    person.page.route(
        "**/favicon.ico", lambda route: route.fulfill(status=204)
    )  # asked for beside a bare file
    person.page.goto(served.address + "files.json")
    person.page.go_back()
    person.ready()
    assert height(person).input_value() == "178"
    span = person.page.get_by_label("Wingspan").first
    said = person.page.locator("[data-notice=typed]")
    if pause:
        until(lambda: span.input_value() == "183", "the wingspan")
    else:
        until(
            lambda: span.input_value() == "183" or (said.count() and "183" in said.inner_text()), "word of it"
        )
    assert person.faults == [] and person.outside == []
