"""Part swings on a phone in a real Chromium: named and noted by touch alone, offline, and asked for on Play."""

import re

from walk import open_fold, overflow, small_targets, until


def keys(person, carry):
    for key in carry:
        person.page.get_by_role("button", name=key, exact=True).first.tap()
    person.tap("Add ball")


def chip(person, name):
    person.page.get_by_role("button", name=name, exact=True).first.tap()


def test_55_yards_by_touch_alone_without_the_network(person, served):
    person.open()
    person.offline_ready()
    person.page.wait_for_timeout(500)
    served.stop()
    person.tap("2 Hit")
    for club, carries in (("7i", ("150", "152")), ("PW", ("118", "116")), ("SW", ("95", "97"))):
        chip(person, club)
        for carry in carries:
            keys(person, carry)
    open_fold(person, "Part swings")
    person.tap("to the hip", exact=True)
    until(
        lambda: "1" in person.page.get_by_role("button", name=re.compile("^Part swings")).inner_text(),
        "a name",
    )
    person.shot("part-swings-named-phone")
    chip(person, "SW \u00b7 2")
    chip(person, "to the hip")
    for carry in ("46", "48", "47"):
        keys(person, carry)
    until(lambda: "3 balls" in person.text(), "three balls")
    person.shot("part-swings-noted-phone")
    assert not overflow(person) and not small_targets(person)
    person.tap("5 Play")
    field = person.page.get_by_label("Distance to carry").first
    until(lambda: field.is_visible(), "the field")
    field.fill("47")
    field.press("Enter")
    until(lambda: "Sand wedge, to the hip" in person.text(), "an answer")
    until(lambda: "Wedges by swing" in person.text() or "hit it first" in person.text(), "the table")
    person.shot("part-swings-play-phone")
    assert not overflow(person) and not small_targets(person)
    person.page.evaluate("window.scrollTo(0, 900)")
    person.shot("part-swings-card-phone")
