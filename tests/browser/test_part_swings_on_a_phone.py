"""Part swings on a phone in a real Chromium: named and noted by touch alone, offline, and asked for on Play."""

import re

import pytest
from walk import WORDS, open_fold, overflow, press, small_targets, until


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
    until(lambda: "Wedges by swing" in person.text() or "not known yet" in person.text(), "the table")
    person.shot("part-swings-play-phone")
    assert not overflow(person) and not small_targets(person)
    person.page.evaluate("window.scrollTo(0, 900)")
    person.shot("part-swings-card-phone")


def carries(person, club, *numbers, swing=None):
    chip(person, club)
    if swing:
        person.page.wait_for_timeout(300)
        chip(person, swing)
    for carry in numbers:
        keys(person, carry)


def place(person):
    fold = person.page.get_by_role("button", name=re.compile("^Part swings"))
    return fold.bounding_box()["y"]  # on the screen: what stands above may take more or less room


def test_naming_part_swings_keeps_the_place_and_enter_adds_one(person):
    person.open()
    person.tap("2 Hit")
    carries(person, "SW", "95", "97")
    open_fold(person, "Part swings")
    person.page.wait_for_timeout(1000)
    heading = person.page.get_by_role("button", name=re.compile("^Part swings"))
    for number, name in enumerate(("to the hip", "low one"), 1):
        field = person.page.get_by_label("Name of a new part swing").first
        if name == "low one":
            field.tap()
            person.page.keyboard.type(name)
        at = place(person)
        box = person.page.get_by_role("button", name="to the hip", exact=True).last.bounding_box()
        spot = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        field.press("Enter") if name == "low one" else person.tap(name, exact=True)
        until(lambda number=number: str(number) in heading.inner_text(), name)
        if number == 1:
            person.page.touchscreen.tap(*spot)  # a double tap names one
        person.page.wait_for_timeout(1500)
        assert place(person) == pytest.approx(at, abs=2), name
    assert heading.inner_text().strip() == "Part swings: 2"
    chip(person, "7i")
    person.page.wait_for_timeout(1000)
    assert "already" not in person.text()


def test_a_slip_of_the_finger_is_asked_about_and_mended_by_touch(person):
    person.open()
    person.tap("2 Hit")
    carries(person, "7i", "150", "152", "149", "15", "151")
    until(lambda: "15\u00a0m with the 7-iron? The others are near 150\u00a0m." in person.text(), "a question")
    assert not overflow(person) and not small_targets(person)
    press(person, "It was 150\u00a0m")
    until(lambda: "with the 7-iron?" not in person.text() and "mean 150" in person.text(), "an answer")
    person.tap("Undo")
    until(lambda: "15\u00a0m with the 7-iron?" in person.text(), "the question again")
    press(person, "A mishit")
    until(lambda: "with the 7-iron?" not in person.text(), "another answer")


def test_a_side_is_given_to_the_ball_that_is_chosen(person):
    person.open()
    person.tap("2 Hit")
    carries(person, "7i", "150", "152", "149")
    until(lambda: "3 balls" in person.text(), "three balls")
    open_fold(person, "Where they came down")
    which = person.page.get_by_label("Which ball").first
    until(lambda: which.locator("option").count() == 3, "three to choose from")
    assert which.evaluate("e => e.selectedOptions[0].textContent") == "3: last one, 149\u00a0m, no side yet"
    assert which.evaluate("e => parseFloat(getComputedStyle(e).paddingRight)") >= 24  # clear of the arrow
    which.select_option(label="2: 152\u00a0m, no side yet")
    person.page.locator(".landing svg").first.tap(position={"x": 200, "y": 60})
    second = which.locator("option").nth(1)
    until(lambda: "right" in second.evaluate("e => e.textContent"), "a side")
    assert second.evaluate("e => e.textContent").startswith("2: 152")
    assert which.evaluate("e => e.selectedOptions[0].textContent").startswith(
        "3: last one"
    )  # the next without one
    assert not overflow(person) and not small_targets(person)


def test_rows_that_were_not_taken_stay_in_the_box_and_undo_brings_back_the_text(person):
    person.open()
    person.tap("2 Hit")
    open_fold(person, "Paste, or open a CSV file")
    text = "club,carry (m)\n7i,150\n9i,13O\n7i,152\n"
    box = person.page.get_by_label("Balls as text").first
    box.fill(text)
    box.blur()
    person.tap("Show how it is read")
    until(lambda: "Read so far" in person.text(), "a preview")
    first, bar = (person.page.get_by_text(words).first for words in ("150, 152", "1\nMeasure"))
    until(lambda: 0 < first.bounding_box()["y"] < bar.bounding_box()["y"] - 200, "the preview in view")
    person.tap("Add these balls")
    until(lambda: box.input_value() == "club,carry (m)\n9i,13O", "the row that is wrong")
    assert "\u201c13O\u201d is not a carry" in person.text()
    person.tap("Undo")
    until(lambda: box.input_value() == text, "the text again")
    assert not overflow(person) and not small_targets(person)


def test_the_wedge_table_prints_in_type_one_can_read(person):
    person.open()
    person.tap("2 Hit")
    carries(person, "7i", "150", "152")
    carries(person, "SW", "95", "97")
    open_fold(person, "Part swings")
    for name in ("to the hip", "to the shoulder"):
        person.tap(name, exact=True)
        person.page.wait_for_timeout(1000)
    carries(person, "SW \u00b7 2", "46", "48", "47", swing="to the hip")
    person.tap("5 Play")
    until(lambda: "Wedges by swing" in person.text(), "the table")
    for kind in ("card", "pocket"):
        person.page.set_viewport_size({"width": 800, "height": 1000})
        person.page.emulate_media(media="print")
        person.page.evaluate(f"document.documentElement.dataset.print = '{kind}'")
        sizes = person.page.evaluate(
            f"() => {{ {WORDS} return words((style) => parseFloat(style.fontSize) * 0.75) }}"
        )
        assert len(sizes) > 20 and min(sizes) >= 8 - 0.01, (kind, min(sizes))
        table = person.page.locator(".card", has_text="not known yet").last
        box = table.bounding_box()
        inside = table.evaluate("e => (e.shadowRoot?.querySelector('table') ?? e).scrollWidth")
        assert inside <= box["width"] + 1, kind
        person.page.emulate_media(media="null")
        person.page.evaluate("delete document.documentElement.dataset.print")
