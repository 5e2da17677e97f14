"""Balls of two days on a phone: each day opens its session by itself, and both are there after a reload."""

import json

from conftest import SHOTS
from test_address import device, leave
from walk import go, open_fold, overflow, small_targets, until

ZONES = "Pacific/Pago_Pago", "Pacific/Kiritimati"  # 25 hours apart, so that the second is always a day on


def at(tab, clock, zone):
    """The page at the same moment elsewhere on earth, started anew."""
    clock.send("Emulation.setTimezoneOverride", {"timezoneId": zone})
    tab.page.reload()
    tab.ready()
    go(tab, "hit")


def hit(tab, *carries):
    field = tab.page.get_by_label("Carry").first
    for carry in carries:
        field.fill(str(carry))
        field.press("Enter")
        until(lambda: field.input_value() == "", "the ball to be taken")


def case(stored):
    return json.loads(stored()[0])["players"][0]["case"]


def test_balls_of_two_days_are_two_sessions_and_still_are_after_a_reload(chromium, served):
    with device(chromium, served) as (open_tab, stored):
        tab = open_tab()
        clock = tab.page.context.new_cdp_session(tab.page)
        at(tab, clock, ZONES[0])
        line = tab.page.get_by_role("button", name="Today, ")
        assert line.count() == 1
        hit(tab, 150, 152)
        line.tap()
        until(lambda: line.get_attribute("aria-expanded") == "true", "the day to open")
        place = tab.page.get_by_label("Place")
        place.fill("North range")
        place.press("Enter")
        until(lambda: "North range" in line.inner_text(), "the place to be taken")
        assert overflow(tab) <= 0 and small_targets(tab) == []
        leave(tab)
        one = case(stored)
        assert one["version"] == 1 and [s["place"] for s in one["sessions"]] == ["North range"]
        at(tab, clock, ZONES[1])
        hit(tab, 146, 148)
        leave(tab)
        tab.page.reload()
        tab.ready()
        go(tab, "hit")
        open_fold(tab, "Today, ")
        until(lambda: "From one day to another carries differ" in tab.text(), "what is made of the two days")
        assert overflow(tab) <= 0 and small_targets(tab) == []
        SHOTS.mkdir(parents=True, exist_ok=True)
        tab.page.screenshot(path=SHOTS / "two-days-phone.png", full_page=True)
        two = case(stored)
        first, second = two["sessions"]
        assert two["version"] == 2 and first["date"] < second["date"] and first["place"] == "North range"
        balls = [(s["carry_m"], s["session"]) for s in two["shots"]]
        assert balls == [(150, first["id"]), (152, first["id"]), (146, second["id"]), (148, second["id"])]
