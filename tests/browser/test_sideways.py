"""Play on a phone held sideways and with large text: keys and answer in view, nothing over another, no word cut."""

from dataclasses import replace

import pytest
from walk import DEEP, clipped, go, overflow, press, settle, visit

from app import edits, link
from app.demo import demo_case
from engine.documents.case import Shot, SwingSize

SIZES = tuple(
    SwingSize(f"size{n}", name) for n, name in enumerate(("to the hip", "to the chest", "to the shoulder"))
)
BALLS = tuple(
    Shot("sw", carry_m=mean + x, swing_size=f"size{n}")
    for n, mean in enumerate((41.0, 56.0, 67.0))
    for x in (-1.0, 0.0, 1.0)
)
CASE = replace(edits.wants("layout")(demo_case(), "now"), swing_sizes=SIZES)
PARTS = link.make(replace(CASE, shots=(*CASE.shots, *BALLS))).hash
KEYS = [
    f"{name} {way} {by}" for name in ("Distance", "Target") for way in ("plus", "minus") for by in (1, 10)
]
UNDER = (
    "(name) => { "
    + DEEP
    + """ const out = [];
    const at = (root, x, y) => { const top = root.elementFromPoint(x, y), inner = top?.shadowRoot;
      return inner && inner !== root ? at(inner, x, y) ?? top : top };
    for (const e of deep(document)) {
      if (!e.matches('button') || !(e.ariaLabel ?? '').startsWith(name)) continue;
      const r = e.getBoundingClientRect(), top = at(document, r.x + r.width / 2, r.y + r.height / 2);
      out.push([r.x, r.y, r.right, r.bottom, top === e || e.contains(top), e.scrollWidth <= e.clientWidth + 1]) }
    return out }"""
)

UNDER_TEXT = UNDER.replace("e.ariaLabel ?? ''", "e.textContent.trim()")


def far(person, distance):
    field = person.page.get_by_role("textbox", name="Distance to carry").first
    field.fill(distance)
    field.press("Enter")
    settle(person)
    field.blur()
    person.page.evaluate("scrollTo(0, 0)")


def keys(person, names=KEYS):
    """Where each key stands, whether a finger on its middle would meet it, and whether its words fit."""
    return {name: person.page.evaluate(UNDER, f"{name} ")[0] for name in names}


def test_sideways_the_answer_and_the_keys_for_the_target_stand_in_one_view(chromium):
    with visit(chromium, width=844, height=390, fragment=PARTS, device_scale_factor=1) as person:
        person.offline_ready()
        go(person, "play")
        while person.page.locator("#notices button").locator("visible=true").count():
            person.page.locator("#notices button").locator("visible=true").first.tap()
            settle(person)
        far(person, "56")
        bar = person.page.get_by_role("button", name="5 Play").first.bounding_box()
        big = person.page.locator(".big").first.bounding_box()
        assert "to the chest" in person.text() and big["y"] + big["height"] < bar["y"]
        for name, (_, _, _, foot, met, fits) in keys(person).items():
            assert foot < bar["y"] and met and fits, name
        person.shot("play-sideways")
        # the wind is a scroll away, and the answer stays
        wind = person.page.get_by_role("button", name="Wind plus 1 m/s", exact=True).first
        wind.evaluate("e => e.scrollIntoView({ block: 'center' })")
        big = person.page.locator(".big").first.bounding_box()
        assert big["y"] >= 0 and big["y"] + big["height"] < bar["y"]
        assert overflow(person) <= 0 and clipped(person) == []


@pytest.mark.parametrize("size", [(390, 844), (844, 390), (320, 700)], ids=["upright", "sideways", "narrow"])
def test_with_text_at_twice_its_size_no_key_lies_over_another(chromium, size):
    width, height = size
    with visit(chromium, width=width, height=height, fragment=PARTS, device_scale_factor=1) as person:
        person.page.evaluate("document.documentElement.style.fontSize = '32px'")
        go(person, "play")
        far(person, "56")
        found = keys(person)
        for name, (left, top, right, foot, _, fits) in found.items():
            assert fits and left >= 0 and right <= width, name
            for other, (x, y, x2, y2, *_) in found.items():
                apart = name == other or right <= x + 1 or x2 <= left + 1 or foot <= y + 1 or y2 <= top + 1
                assert apart, (name, other)
        person.shot(f"play-double-{width}")
        assert overflow(person) <= 0 and clipped(person) == []


WIDE = (
    "(() => { "
    + DEEP
    + """ for (const e of deep(document)) if (e.matches('select') && [...e.options].some((o) => /Headwind/.test(o.text))) {
      const s = getComputedStyle(e), pen = document.createElement('canvas').getContext('2d');
      pen.font = `${s.fontWeight} ${s.fontSize} ${s.fontFamily}`;
      const most = Math.max(...[...e.options].map((o) => pen.measureText(o.text).width));
      return [most, e.clientWidth - parseFloat(s.paddingLeft) - parseFloat(s.paddingRight)] } })()"""
)


@pytest.mark.parametrize("width", [320, 390])
@pytest.mark.parametrize("system", ["cm \u00b7 m", "in \u00b7 yd"])
def test_the_longest_wind_fits_its_field_and_so_does_what_is_wrong_with_it(chromium, width, system):
    with visit(chromium, width=width, height=844, fragment=PARTS, device_scale_factor=1) as person:
        go(person, "measure")
        person.page.get_by_text(system).first.tap()
        go(person, "play")
        needed, there = person.page.evaluate(WIDE)
        assert needed <= there
        field = person.page.get_by_role("textbox", name="Wind").first
        field.fill("99")
        field.press("Enter")
        settle(person)
        label = person.page.locator("label").filter(has_text="Wind must be").first
        at = label.bounding_box()
        assert at["width"] >= 200 and at["x"] >= 0 and at["x"] + at["width"] <= width, at
        person.shot(f"play-wind-{width}")
        field.fill("9")
        field.press("Enter")
        settle(person)
        press(person, "Turn", exact=True)
        settle(person)
        assert overflow(person) <= 0 and clipped(person) == []


BOXES = (
    "(() => { "
    + DEEP
    + """ const out = {};
    for (const e of deep(document)) { if (!seen(e)) continue;
      const words = (e.ariaLabel || e.textContent || '').trim(), entry = e.getRootNode().host?.matches?.('.entry');
      const name = e.matches('input') && entry ? 'field' : e.matches('label') && entry ? 'its label'
        : e.matches('button') && /^(\\d|\\.|\u232b|Add ball|Remove last ball|Range balls)$/.test(words) ? words : '';
      if (!name) continue;
      const r = e.getBoundingClientRect();
      out[name] = [r.x, r.y, r.right, r.bottom,
        e.scrollWidth <= e.clientWidth + 1 && e.scrollHeight <= e.clientHeight + 1 || !e.matches('button')] }
    return out })()"""
)


@pytest.mark.parametrize("size", [(390, 844), (844, 390)], ids=["upright", "sideways"])
def test_with_text_at_twice_its_size_nothing_on_hit_lies_over_another(chromium, size):
    width, height = size
    with visit(chromium, width=width, height=height, fragment=PARTS, device_scale_factor=1) as person:
        person.page.evaluate("document.documentElement.style.fontSize = '32px'")
        go(person, "hit")
        person.shot(f"hit-double-{width}")
        found = person.page.evaluate(BOXES)
        assert {*"0123456789.", "Add ball", "Remove last ball", "Range balls", "field", "its label"} <= set(
            found
        )
        for name, (left, top, right, foot, fits) in found.items():
            assert fits and left >= 0 and right <= width, name
            for other, (x, y, x2, y2, _) in found.items():
                apart = name == other or right <= x + 1 or x2 <= left + 1 or foot <= y + 1 or y2 <= top + 1
                assert apart, (name, other)
        assert overflow(person) <= 0 and clipped(person) == []


@pytest.mark.parametrize("size", [(390, 844), (390, 664), (844, 390)], ids=["tall", "short", "sideways"])
def test_a_slip_is_answered_where_the_thumb_is(chromium, size):
    width, height = size
    with visit(chromium, width=width, height=height, device_scale_factor=1) as person:
        go(person, "hit")
        for carry in ("150", "152", "149", "15"):
            for key in carry:
                press(person, key, exact=True)
            press(person, "Add ball")
        person.page.get_by_text("15\u00a0m with the 7-iron?").locator("visible=true").first.wait_for()
        settle(person)
        person.shot(f"hit-slip-{width}-{height}")
        bar = person.page.get_by_role("button", name="5 Play").first.bounding_box()
        assert person.page.evaluate("scrollY") == 0
        for name in ("It was 150", "It is right", "A mishit"):
            left, top, right, foot, met, fits = person.page.evaluate(UNDER_TEXT, name)[0]
            assert left >= 0 and right <= width and foot <= bar["y"] and met and fits, name
            assert right - left >= 44 and foot - top >= 44, name
        press(person, "It was 150")
        person.page.get_by_text("mean 150").locator("visible=true").first.wait_for()


CELLS = (
    "(() => { "
    + DEEP
    + """ const out = [];
    for (const e of deep(document)) if (e.matches('table th, table td') && /strokes/.test(e.closest('table').textContent)) {
      const r = e.getBoundingClientRect();
      if (r.width) out.push([e.textContent, r.left, r.right, e.scrollWidth <= e.clientWidth + 1]) }
    return out })()"""
)


@pytest.mark.parametrize("width", [320, 390])
def test_every_column_of_a_green_is_in_view_with_larger_text(chromium, width):
    with visit(chromium, width=width, fragment=PARTS, device_scale_factor=1) as person:
        person.page.evaluate("document.documentElement.dataset.size = 'large'")
        go(person, "play")
        far(person, "129")
        press(person, "A green", exact=True)
        settle(person)
        cells = person.page.evaluate(CELLS)
        assert len(cells) >= 12 and any(text == "strokes" for text, *_ in cells)
        for text, left, right, fits in cells:
            assert left >= 0 and right <= width and fits, text
        person.shot(f"green-large-{width}")
        assert overflow(person) <= 0 and clipped(person) == []
