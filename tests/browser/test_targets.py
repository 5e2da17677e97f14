"""What do I hit, on a phone without a signal: by taps alone, in the contrast that sunlight asks for."""

import re

import pytest
from conftest import PHONE, Person
from walk import go, press, until

from app import edits, link
from app.demo import demo_case


@pytest.mark.parametrize("size", [(390, 844), (360, 640)], ids=["phone", "small"])
def test_118_yd_into_12_mph_and_10_up_takes_ten_taps_and_no_signal(chromium, served, size):
    context = chromium.new_context(**{**PHONE, "viewport": dict(zip(("width", "height"), size, strict=True))})
    person = Person(context, served.address)
    case = edits.wants("layout")(demo_case(), "now")
    person.open(link.make(case).hash)
    person.page.evaluate("document.documentElement.dataset.contrast = 'high'")
    go(person, "measure")
    person.page.get_by_text("in \u00b7 yd").first.tap()
    person.offline_ready()
    served.stop()
    person.page.reload()  # as from the home screen: the page comes from the device
    person.ready()
    person.page.evaluate("document.documentElement.dataset.contrast = 'high'")
    person.taps = 0
    press(person, "5 Play")
    field = person.page.get_by_label("Distance to carry").first
    until(field.is_visible, "Play")
    press(person, "+1", exact=True)
    until(lambda: field.input_value() != "", "a distance to start from")
    while (far := int(field.input_value())) != 118:
        step = min((-10, -1, 1, 10), key=lambda s: abs(far + s - 118))
        press(person, f"{step:+d}".replace("-", "\u2212"), exact=True)
        until(lambda wanted=str(far + step): field.input_value() == wanted, "the next distance")
    person.page.get_by_role("button", name="+10", exact=True).nth(1).tap()  # the second row: height
    for name, row in (("+5", 0), ("+5", 0), ("+1", 2), ("+1", 2)):
        person.page.get_by_role("button", name=name, exact=True).nth(row).tap()
    person.taps += 5
    until(lambda: re.search(r"a headwind of 12\s+mph", person.text()), "the wind")
    told = r"Plays like (\d+)\s+yd: the wind adds \d+, the climb adds \d+"
    until(lambda: re.search(told, person.text()), "the answer")
    assert 128 <= int(re.search(told, person.text())[1]) <= 155
    assert person.taps <= 10
    big = person.page.locator(".big").first
    boxes = []  # it is drawn anew with every answer: taken in one look
    until(lambda: boxes.append(big.bounding_box()) or boxes[-1] is not None, "the club")
    box, bar = boxes[-1], person.page.get_by_role("button", name="5 Play").first.bounding_box()
    person.shot(f"targets-{size[0]}")
    assert box["y"] + box["height"] < bar["y"], "the club stands in view above the bar"
    assert person.faults == []
    context.close()
