"""What do I hit, on a phone without a signal: by taps alone, in the contrast that sunlight asks for."""

import re

import pytest
from conftest import PHONE, Person
from walk import go, press, settle, until

from app import edits, link
from app.demo import demo_case


def box(person, name):
    """The field of that label; the buttons beside it have it in their names."""
    return person.page.get_by_role("textbox", name=name).first


@pytest.mark.parametrize("size", [(390, 844), (360, 640)], ids=["phone", "small"])
def test_118_yd_into_12_mph_and_10_up_takes_ten_taps_and_no_signal(chromium, served, size):
    context = chromium.new_context(**{**PHONE, "viewport": dict(zip(("width", "height"), size, strict=True))})
    person = Person(context, served.address)
    case = edits.wants("layout")(demo_case(), "now")
    person.open(link.make(case).hash)
    person.page.evaluate("document.documentElement.dataset.contrast = 'high'")
    go(person, "measure")
    person.page.get_by_text("in \u00b7 yd").first.tap()
    kept = "(localStorage['fettle-glance'] ?? '').includes('imperial')"
    until(lambda: person.page.evaluate(kept), "the units to be kept")
    person.offline_ready()
    served.stop()
    person.page.reload()  # as from the home screen: the page comes from the device
    person.ready()
    person.page.evaluate("document.documentElement.dataset.contrast = 'high'")
    person.taps = 0
    press(person, "5 Play")
    field = box(person, "Distance to carry")
    until(field.is_visible, "Play")
    press(person, "Distance plus 1 yd", exact=True)
    until(lambda: field.input_value() != "", "a distance to start from")
    while (far := int(field.input_value())) != 118:
        step = min((-10, -1, 1, 10), key=lambda s: abs(far + s - 118))
        press(person, f"Distance {'plus' if step > 0 else 'minus'} {abs(step)} yd", exact=True)
        until(lambda wanted=str(far + step): field.input_value() == wanted, "the next distance")
    for name in ("Target plus 10 yd", *["Wind plus 5 mph"] * 2, *["Wind plus 1 mph"] * 2):
        press(person, name, exact=True)
    until(lambda: re.search(r"A headwind of 12\s+mph", person.text()), "the wind")
    told = r"Plays like (\d+)\s+yd: the wind adds \d+, the climb adds \d+"
    until(lambda: re.search(told, person.text()), "the answer")
    assert 128 <= int(re.search(told, person.text())[1]) <= 155
    assert person.taps <= 10
    big = person.page.locator(".big").first
    boxes = []  # it is drawn anew with every answer: taken in one look
    until(lambda: boxes.append(big.bounding_box()) or boxes[-1] is not None, "the club")
    place, bar = boxes[-1], person.page.get_by_role("button", name="5 Play").first.bounding_box()
    person.shot(f"targets-{size[0]}")
    assert place["y"] + place["height"] < bar["y"], "the club stands in view above the bar"
    assert person.faults == []
    context.close()


def test_a_tap_on_the_picture_of_the_landing_gives_the_last_ball_its_side(chromium, served):
    context = chromium.new_context(**PHONE)
    person = Person(context, served.address)
    person.open(link.make(demo_case()).hash)
    press(person, "2 Hit")
    press(person, "Where they came down")
    drawn = person.page.locator(".landing svg").first
    until(drawn.is_visible, "the picture")
    drawn.evaluate("item => item.scrollIntoView({ block: 'center' })")
    at = drawn.bounding_box()
    person.page.touchscreen.tap(at["x"] + at["width"] / 4, at["y"] + at["height"] / 2)
    until(lambda: re.search(r"10\s+m left\. The next tap is for", person.text()), "ten metres left")
    assert person.faults == []
    context.close()


def test_the_arrow_turns_under_a_thumb_and_the_height_comes_from_the_tilt(chromium, served):
    """The arrow is dragged a quarter round; the sensor is one that the browser lets a test play."""
    context = chromium.new_context(**PHONE)
    person = Person(context, served.address)
    person.open(link.make(edits.wants("layout")(demo_case(), "now")).hash)
    press(person, "5 Play")
    until(box(person, "Distance to carry").is_visible, "Play")
    press(person, "Distance plus 10 m", exact=True)
    press(person, "Wind plus 5 m/s", exact=True)
    until(lambda: "A headwind of 5.0" in person.text(), "the wind")
    arrow = person.page.locator(".arrow svg").first
    until(arrow.is_visible, "the arrow")
    arrow.evaluate("item => item.scrollIntoView({ block: 'center' })")  # clear of the bar of steps
    at = arrow.bounding_box()
    x, y, r = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2, at["width"] / 3
    thumb = person.page.mouse
    thumb.move(x, y - r)
    thumb.down()
    thumb.move(x + r * 0.7, y - r * 0.7)
    thumb.move(x + r, y)
    thumb.up()
    until(lambda: re.search(r"A wind of 5.0\s+m/s from the right", person.text()), "the wind turned")
    assert "rotate(90" in person.page.locator(".arrow svg g").first.get_attribute("transform")
    cdp = context.new_cdp_session(person.page)
    cdp.send("DeviceOrientation.setDeviceOrientationOverride", {"alpha": 10, "beta": 4.4, "gamma": 0})
    press(person, "Height by the phone")
    until(lambda: re.search(r"4\u00b0 up: \d+", person.text()), "the height by the tilt")
    far, up = (int(box(person, x).input_value()) for x in ("Distance to carry", "Target above you"))
    assert abs(up - far * 0.0769) <= 1  # tan 4.4 degrees
    press(person, "A green", exact=True)
    until(lambda: "strokes to hole out" in person.text(), "the green")
    person.shot("green-390")
    person.page.get_by_text("The green, and what lies round it").first.tap()
    until(lambda: box(person, "Front of the green").is_visible(), "the fold")
    person.shot("green-open-390")
    press(person, "Card as a picture")
    until(lambda: person.page.locator(".pic-card svg").first.is_visible(), "the card drawn")
    with person.page.expect_download() as download:
        press(person, "Save as a picture")
    assert download.value.suggested_filename == "Carry card.png"
    with open(download.value.path(), "rb") as file:
        assert file.read(8) == b"\x89PNG\r\n\x1a\n"
    person.page.reload()
    person.ready()
    press(person, "5 Play")
    until(lambda: "strokes to hole out" in person.text(), "the shot at hand after a reload")
    assert int(box(person, "Distance to the flag").input_value()) == far
    assert person.faults == []
    context.close()


@pytest.mark.parametrize("going", ["A distance", "A green"])
def test_no_press_under_play_moves_a_key(person, going):
    """Fast thumbs press one spot again and again, while the answer grows and the wind gets words."""
    person.open(link.make(demo_case()).hash)
    go(person, "play")
    press(person, going, exact=True)
    keys = ["Distance plus 10 m", "Target plus 1 m", "Wind plus 1 m/s", "Turn"]

    def places():
        settle(person)
        boxes = [person.page.get_by_role("button", name=k, exact=True).first.bounding_box() for k in keys]
        return [round(box["y"] + person.page.evaluate("scrollY")) for box in boxes]

    press(person, keys[0], exact=True)
    was = places()
    for key in keys * 3:
        press(person, key, exact=True)
        assert places() == was, key
