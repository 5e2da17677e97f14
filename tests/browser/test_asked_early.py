"""What only the dashboard can do, pressed before it is there: shown as pressed, and done when it has the page."""

import pytest
from test_early_entries import visit


def early(person, name):
    return person.page.locator("#early").get_by_role("button", name=name).first


@pytest.mark.parametrize(
    ("name", "sees"), [("Lay out", "Lay out the set"), ("Build", "Build"), ("Menu", "Methods and settings")]
)
def test_it_is_done_when_the_dashboard_is_there(context, host, name, sees):
    person = visit(context, host.address)
    early(person, name).tap()
    person.until("document.querySelector('[data-notice=asked]') !== null", 5)
    assert "as soon as Fettle has loaded" in person.page.locator("[data-notice=asked]").inner_text()
    assert early(person, name).get_attribute("aria-pressed") == "true"
    host.go()
    person.ready()
    person.page.locator("#app").get_by_text(sees).first.wait_for(timeout=30_000)
    if name != "Menu":
        person.until(f"history.state?.step == '{'layout' if name == 'Lay out' else 'build'}'", 20)
    assert person.page.locator("[data-notice=asked]").count() == 0
    assert person.faults == []


def test_the_last_wish_counts(context, host):
    person = visit(context, host.address)
    early(person, "Lay out").tap()
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
