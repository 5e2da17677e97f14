"""What is pressed before the dashboard is there: a step is shown at once, what only the dashboard can do is shown
as pressed; both are there when it has the page."""

import pytest
from test_early_entries import visit


def early(person, name):
    return person.page.locator("#early").get_by_role("button", name=name).first


def test_it_is_done_when_the_dashboard_is_there(context, host):
    person = visit(context, host.address)
    early(person, "Menu").tap()
    person.until("document.querySelector('[data-notice=asked]') !== null", 5)
    assert "as soon as Fettle has loaded" in person.page.locator("[data-notice=asked]").inner_text()
    assert early(person, "Menu").get_attribute("aria-pressed") == "true"
    host.go()
    person.ready()
    person.page.locator("#app").get_by_text("Methods and settings").first.wait_for(timeout=30_000)
    assert person.page.locator("[data-notice=asked]").count() == 0
    assert person.faults == []


@pytest.mark.parametrize(
    ("name", "step", "head"),
    [
        ("Lay out", "layout", "Lay out the set"),
        ("Build", "build", "Build the set"),
        ("Play", "play", "What do I hit?"),
    ],
)
def test_a_step_is_shown_at_once_and_filled_by_the_dashboard(context, host, name, step, head):
    person = visit(context, host.address)
    early(person, name).tap()
    assert person.page.locator("#early").get_by_role("heading", name=head).is_visible()
    assert (
        person.page.locator("#early")
        .get_by_text("as soon as Fettle has loaded")
        .locator("visible=true")
        .count()
        == 1
    )
    assert early(person, name).get_attribute("aria-current") == "step"
    assert not person.page.locator("#early input, #early .card").locator("visible=true").count()
    host.go()
    person.ready()
    assert person.page.locator("#app").get_by_role("heading", name=head).is_visible()
    person.until(f"history.state?.step == '{step}'", 20)
    assert person.faults == []


def test_the_last_wish_counts(context, host):
    person = visit(context, host.address)
    early(person, "Menu").tap()
    early(person, "Hit").tap()
    assert person.page.locator("[data-notice=asked]").count() == 0
    host.go()
    person.ready()
    person.page.wait_for_timeout(1000)
    assert person.page.evaluate("history.state?.step") == "hit"


def test_the_loading_box_stands_beside_name_and_menu(context, host):
    person = visit(context, host.address)
    person.until("!document.getElementById('status').hidden", 10)
    for size in ("100%", "200%"):
        person.page.evaluate(f"document.documentElement.style.fontSize = '{size}'")
        apart = """() => {
          const box = document.getElementById("status").getBoundingClientRect();
          const words = document.createRange();
          return [...document.querySelectorAll("#early h1, #early .who, #early .menu button")].every((item) => {
            words.selectNodeContents(item);
            const one = words.getBoundingClientRect();
            return one.right <= box.left || one.left >= box.right || one.top >= box.bottom; }); }"""
        assert person.page.evaluate(apart), size
