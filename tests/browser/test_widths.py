"""Every step at four widths: nothing to scroll sideways, nothing too small for a thumb, text at twice its size."""

import pytest
from conftest import SHOTS
from walk import HEADINGS, clipped, go, overflow, settle, small_targets, squeezed, unfold, until, visit

from app import edits, link
from app.demo import demo_case

WIDTHS = {320: 700, 390: 844, 768: 1024, 1280: 850}
NAMES = {390: "phone", 1280: "wide"}
LEAST = {390: 4, 1280: 10}  # [em] that a column of words must have with text at twice its size


@pytest.fixture(scope="module", params=WIDTHS)
def person(request, chromium):
    width = request.param
    with visit(
        chromium,
        width=width,
        height=WIDTHS[width],
        fragment=link.make(edits.wants("layout")(demo_case(), "single")).hash,
        device_scale_factor=1,
    ) as someone:
        someone.width = width
        yield someone


@pytest.mark.parametrize("step", HEADINGS)
def test_step_fits_its_width(person, step):
    go(person, step)
    if person.width in NAMES:
        SHOTS.mkdir(parents=True, exist_ok=True)
        person.page.screenshot(path=SHOTS / f"{step}-{NAMES[person.width]}.png", full_page=True)
    assert overflow(person) <= 0
    assert small_targets(person) == []
    assert clipped(person) == []


@pytest.mark.soak  # minutes
def test_with_every_fold_open(person):
    for step in HEADINGS:
        go(person, step)
        unfold(person)
        if person.width in NAMES:
            name = f"{step}-open-{NAMES[person.width]}.png"
            person.page.screenshot(path=SHOTS / name, full_page=True)
        assert overflow(person) <= 0, step
        assert small_targets(person) == [], step
        assert clipped(person) == [], step


def test_text_at_twice_its_size(person):
    size = person.page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)")
    person.page.evaluate(f"document.documentElement.style.fontSize = '{2 * size}px'")
    try:
        if person.width == 320:
            go(person, "hit")
            add = person.page.get_by_role("button", name="Add ball").first.bounding_box()
            assert add["width"] > 150 and clipped(person) == []
        for step in HEADINGS if person.width in NAMES else ():
            go(person, step)
            person.page.screenshot(path=SHOTS / f"{step}-double-{NAMES[person.width]}.png", full_page=True)
            assert overflow(person) <= 0, step
            assert clipped(person) == [], step
            assert squeezed(person, LEAST[person.width]) == [], step
    finally:
        person.page.evaluate("document.documentElement.style.fontSize = ''")
        settle(person)


def test_the_build_sheet_is_not_cut_at_the_edge(person):
    """Its tables need no scrolling sideways, on a small laptop either."""
    if person.width != 1280:
        pytest.skip("it is checked between the widths, where the columns stand side by side or just do not")
    go(person, "build")
    try:
        for width in (1280, 1100, 1024):
            person.page.set_viewport_size({"width": width, "height": 850})
            settle(person)
            tables = person.page.locator(".bench .scroll:visible")
            rooms = tables.evaluate_all("all => all.map((e) => [e.scrollWidth, e.clientWidth])")
            assert rooms and all(needs <= has for needs, has in rooms), (width, rooms)
    finally:
        person.page.set_viewport_size({"width": 1280, "height": WIDTHS[1280]})


def test_a_finger_on_a_plot_scrolls_the_page_and_may_pinch(person):
    """The browser's own word for it: every ancestor of the drawing, and the drawing, leave pan and pinch alone."""
    if person.width != 390:
        pytest.skip("a matter of touch")
    go(person, "layout")
    found = person.page.evaluate(
        """() => { const deep = function* (root) { for (const e of root.querySelectorAll('*')) {
          yield e; if (e.shadowRoot) yield* deep(e.shadowRoot) } };
        const out = []; for (const e of deep(document)) if (e.tagName === 'CANVAS' && e.width > 0) {
          for (let n = e; n; n = n.parentElement ?? n.getRootNode().host ?? null)
            out.push(getComputedStyle(n).touchAction) } return out }"""
    )
    assert found and set(found) == {"auto"}
    box = person.page.locator(".pic-carries").first.bounding_box()
    person.page.evaluate(f"scrollTo(0, {max(box['y'] - 100, 0)})")
    before = person.page.evaluate("scrollY")
    touch = person.page.context.new_cdp_session(person.page)
    box = person.page.locator(".pic-carries").first.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + 200

    def finger(kind, *points):
        touch.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": p} for p in points]}
        )

    finger("touchStart", y)
    for moved in range(10, 160, 10):
        finger("touchMove", y - moved)
    finger("touchEnd")
    until(lambda: person.page.evaluate("scrollY") > before + 60, "the page to scroll under the finger", 5)
