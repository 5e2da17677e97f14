"""The verdict on a phone: on one screen, in at most 60 words, the range test one tap away; in light and in dark."""

import re

import pytest
from conftest import SHOTS
from walk import go, settle, until, visit

from app import edits, link
from app.demo import demo_case

WIDTH, HEIGHT = 390, 844
MOST_WORDS = 60


@pytest.fixture(scope="module", params=["light", "dark"])
def person(request, chromium):
    with visit(
        chromium,
        width=WIDTH,
        height=HEIGHT,
        fragment=link.make(edits.wants("layout")(demo_case(), "single")).hash,
        device_scale_factor=1,
        color_scheme=request.param,
    ) as someone:
        someone.scheme = request.param
        yield someone


def test_the_verdict_is_on_one_screen_and_the_plan_one_tap_away(person):
    go(person, "layout")
    card = person.page.locator(".verdict")
    until(lambda: card.count() == 1 and card.is_visible(), "the verdict")
    settle(person)
    SHOTS.mkdir(parents=True, exist_ok=True)
    person.page.screenshot(path=SHOTS / f"verdict-{person.scheme}.png")
    box, said = card.bounding_box(), card.inner_text()
    assert person.page.evaluate("scrollY") == 0
    assert box["y"] >= 0 and box["y"] + box["height"] <= HEIGHT, box
    assert 12 <= len(re.split(r"[ \n]+", said.strip())) <= MOST_WORDS, said
    tap = person.page.get_by_role("button", name="The range test that would show it")
    until(tap.is_visible, "the way to the plan")
    tap.click()
    until(lambda: "four times in five" in person.text(), "the plan")
    person.page.screenshot(path=SHOTS / f"verdict-plan-{person.scheme}.png", full_page=True)
