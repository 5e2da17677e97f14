"""What is typed before the dashboard is there: taken from the first frame on, kept, and handed over in order and once."""

import time
from pathlib import Path

import axe_playwright_python
import pytest
from bench_link import linked
from conftest import SITE, Person
from host import Host
from test_typing import balls
from walk import settle, until

NOTHING_LEFT = """Object.entries(localStorage).every(([key, log]) =>
    !key.startsWith('fettle-early') || !JSON.parse(log).entries.length)"""
AXE = next(Path(axe_playwright_python.__file__).parent.rglob("axe.min.js"))
LOOKS = (
    {"theme": "light", "contrast": "normal"},
    {"theme": "dark", "contrast": "normal"},
    {"theme": "light", "contrast": "high"},
)


def visit(context, address, rest=""):
    """Somebody whose page takes entries and has no dashboard yet."""
    person = Person(context, address)
    person.page.goto(address + rest, wait_until="commit")
    person.until("document.documentElement?.dataset.early === ''", 20)
    assert person.page.evaluate("document.documentElement.dataset.state") != "ready"
    return person


def field(person, label):
    return person.page.get_by_label(label).first


def shown(person, name):
    return person.page.get_by_role("button", name=name).first


def enter_all(person):
    """Sizes and balls of two clubs, by keyboard and by the keys beside the field, with one taken back."""
    field(person, "Height").tap()
    person.page.keyboard.type("178")
    field(person, "Wingspan").tap()
    person.page.keyboard.type("181")
    shown(person, "2\nHit").tap()
    field(person, "Carry").tap()
    for carry in ("152", "148", "151.5"):
        person.page.keyboard.type(carry)
        person.page.keyboard.press("Enter")
    shown(person, "9i").tap()
    for keys in ("120", "399", "121"):
        for key in keys:
            person.page.get_by_role("button", name=key, exact=True).first.tap()
        shown(person, "Add ball").tap()
        if keys == "399":
            shown(person, "Remove last ball").tap()
    assert "Entered: 120 m, 121 m" in person.page.inner_text("#early")


def taken_in(person):
    """All of `enter_all`, in its order and once."""
    until(lambda: "Balls of the 9-iron: 2" in person.text(), "the balls of the 9-iron", 60)
    assert balls(person, "9-iron") == ["120", "121"]
    shown(person, "7i").tap()
    until(lambda: "Balls of the 7-iron: 3" in person.text(), "the balls of the 7-iron", 60)
    rows = person.page.get_by_role("table", name="7-iron, as hit").get_by_role("row")
    until(
        lambda: [text.split()[1] for text in rows.all_inner_texts()[1:]] == ["152", "148", "152"], "its rows"
    )
    person.tap("1 Measure")
    settle(person)
    assert (field(person, "Height").input_value(), field(person, "Wingspan").input_value()) == ("178", "181")


def stored(person):
    """Until nothing but the saved players holds what was entered; what stands in the field is kept beside them."""
    person.until(NOTHING_LEFT, 30)


def test_every_key_arrives_over_a_slow_link(context):
    """200 kB/s and 150 ms for each request: the whole of a first visit, while it goes on being typed into."""
    with linked(SITE, rate=200e3, delay=0.15) as address:
        began = time.monotonic()
        person = visit(context, address)
        assert time.monotonic() - began < 10  # a minute before the rest has come
        enter_all(person)
        person.until("document.documentElement.dataset.state == 'ready'", 240)
        taken_in(person)
        stored(person)
    assert person.faults == []


def test_typing_goes_on_through_the_handover(context, host):
    person = visit(context, host.address)
    height = field(person, "Height")
    height.tap()
    host.go()
    typed = ""
    end = time.monotonic() + 60
    while person.page.evaluate("document.documentElement.dataset.state") != "ready":
        assert time.monotonic() < end
        key = "1789"[len(typed) % 4]
        person.page.keyboard.press(key)
        typed = (typed + key)[:40]
        time.sleep(0.12)
    for key in "56":
        person.page.keyboard.press(key)
        typed = (typed + key)[:40]
    assert not person.page.locator("#early").count()
    assert field(person, "Height").input_value() == typed
    for _ in typed:
        person.page.keyboard.press("Backspace")
    person.page.keyboard.type("178")
    person.tap("2 Hit")
    person.tap("1 Measure")
    settle(person)
    assert field(person, "Height").input_value() == "178"
    assert person.faults == []


def test_a_text_brought_over_counts_when_its_field_is_left(context, host):
    person = visit(context, host.address)
    field(person, "Wingspan").tap()
    person.page.keyboard.type("181")
    person.page.keyboard.press("ArrowLeft")
    host.go()
    person.ready()
    at = person.page.evaluate(
        """() => { let e = document.activeElement; while (e.shadowRoot?.activeElement) e = e.shadowRoot.activeElement;
        return [e.getRootNode().querySelector('label').textContent, e.value, e.selectionStart, e.selectionEnd] }"""
    )
    assert at == ["Wingspan (cm)", "181", 2, 2]
    field(person, "Height").tap()
    person.until("document.documentElement.dataset.saved > 0", 20)
    person.page.reload()
    person.ready()
    assert field(person, "Wingspan").input_value() == "181"
    assert person.faults == []


def test_the_club_chosen_last_is_chosen_with_the_text_in_the_field(context, host):
    person = visit(context, host.address)
    enter_all(person)
    shown(person, "5i").tap()
    for key in "16":
        person.page.get_by_role("button", name=key, exact=True).first.tap()
    person.page.close()
    again = visit(context, host.address)
    again.until("document.querySelector('#early').innerText.includes('Carry, 5-iron')", 10)
    host.go()
    again.ready()
    assert field(again, "Carry, 5-iron").input_value() == "16"
    assert shown(again, "5i").get_attribute("aria-pressed") == "true"
    stored(again)
    again.page.close()
    host.gate.clear()
    third = visit(context, host.address)
    shown(third, "6i").tap()
    for key in "17":
        third.page.get_by_role("button", name=key, exact=True).first.tap()
    host.go()
    third.ready()
    assert field(third, "Carry, 6-iron").input_value() == "17"
    assert third.faults == []


def test_grips_are_offered_in_the_units_chosen(context, host):
    person = visit(context, host.address)
    person.page.get_by_role("button", name="in \u00b7 yd").first.tap()
    shown(person, "2\nHit").tap()
    words = person.page.inner_text("#early .at-hit")
    assert "1\u00bd in" in words and "1.3 cm" not in words


def test_a_page_closed_before_the_dashboard_came_opens_with_all_that_was_entered(context, host):
    person = visit(context, host.address)
    enter_all(person)
    for key in "14":
        person.page.get_by_role("button", name=key, exact=True).first.tap()
    person.page.close()
    again = visit(context, host.address)
    again.until("document.querySelector('#early').innerText.includes('Entered')", 10)
    assert "Entered: 120 m, 121 m" in again.page.inner_text("#early")  # at the same step and club
    assert field(again, "Carry").input_value() == "14"
    again.page.close()
    third = visit(context, host.address)
    host.go()
    third.ready()
    assert field(third, "Carry, 9-iron").input_value() == "14"
    taken_in(third)
    stored(third)
    third.page.reload()
    third.ready()
    assert field(third, "Height").input_value() == "178"
    assert third.faults == []


def test_two_pages_at_once_do_not_take_each_others_entries(context, host):
    one = visit(context, host.address)
    field(one, "Height").tap()
    one.page.keyboard.type("178")
    field(one, "Wingspan").tap()
    two = visit(context, host.address)
    two.page.wait_for_timeout(500)
    assert field(two, "Height").input_value() == ""
    one.page.close()
    three = visit(context, host.address)
    three.until("document.querySelector('#early-height').value === '178'", 10)


def test_all_is_there_when_the_image_fails_and_the_start_is_made_plainly(context):
    host = Host(broken=True)
    person = visit(context, host.address, "?start=image")
    enter_all(person)
    host.go()
    person.ready()
    assert person.page.evaluate("performance.getEntriesByName('fettle-ready')[0].detail.way") == "plain"
    taken_in(person)
    host.stop()
    assert [f for f in person.faults if "404" not in f] == []


def test_a_text_that_is_refused_stands_in_its_field_with_its_words(context, host):
    person = visit(context, host.address)
    field(person, "Height").tap()
    person.page.keyboard.type("<b>999")
    field(person, "Wingspan").tap()
    person.page.keyboard.type("6'0")
    person.page.get_by_role("button", name="in \u00b7 yd").first.tap()
    assert field(person, "Wingspan").get_attribute("placeholder") == "6'0 cm"
    host.go()
    person.ready()
    until(lambda: "Height must be a number" in person.text(), "what is wrong with the height")
    assert person.page.locator("b", has_text="999").count() == 0
    assert person.faults == []


def test_nothing_is_entered_early_for_somebody_whom_a_link_brings(context, host):
    person = Person(context, host.address)
    person.page.goto(f"{host.address}#v1.abc", wait_until="commit")
    person.page.wait_for_timeout(1500)
    assert not person.page.locator("#early").count()


SEEN = """(root) => { const out = {}; const walk = (n) => { for (const e of n.children) {
  if (e.shadowRoot) walk(e.shadowRoot);
  const text = document.createRange();
  text.selectNodeContents(e);
  const r = (e.tagName === 'H1' ? text : e).getBoundingClientRect(); // its box makes room for that of the loading
  if (['BUTTON', 'INPUT', 'LABEL', 'H1', 'H2', 'B'].includes(e.tagName) && r.width && !e.labels?.[0]?.closest('select')) {
    const label = e.tagName === 'INPUT' ? e.getRootNode().host?.shadowRoot.querySelector('label') ?? e.labels[0] : e;
    let name = `${e.tagName} ${label?.textContent.trim() ?? e.ariaLabel}`;
    while (name in out) name += "'";
    out[name] = [r.x, r.y, r.width, r.height]; }
  walk(e); } }; walk(document.querySelector(root)); return out }"""


@pytest.mark.parametrize("size", [(320, 568), (390, 844), (667, 375), (1280, 850)])
def test_nothing_jumps_when_the_dashboard_takes_its_place(chromium, host, size):
    width, height = size
    phone = width < 1000
    context = chromium.new_context(
        viewport={"width": width, "height": height}, has_touch=phone, is_mobile=phone
    )
    person = visit(context, host.address)
    early = {"measure": person.page.evaluate(f"({SEEN})('#early')")}
    person.shot(f"early-measure-{width}")
    shown(person, "2\nHit").click()
    early["hit"] = person.page.evaluate(f"({SEEN})('#early')")
    person.shot(f"early-hit-{width}")
    host.go()
    person.ready()
    settle(person)
    live = {"hit": person.page.evaluate(f"({SEEN})('#app')")}
    person.shot(f"live-hit-{width}")
    shown(person, "1\nMeasure").click()
    settle(person)
    live["measure"] = person.page.evaluate(f"({SEEN})('#app')")
    for step, places in early.items():
        assert len(places) > 25
        moved = {
            name: (at, live[step].get(name))
            for name, at in places.items()
            if max(abs(a - b) for a, b in zip(at, live[step].get(name, [9e9] * 4), strict=True)) > 1
        }
        assert moved == {}
    assert person.faults == []
    context.close()


@pytest.mark.parametrize("step", ["1\nMeasure", "2\nHit"])
def test_axe_finds_nothing_serious_while_the_dashboard_is_awaited(context, host, step):
    person = visit(context, host.address)
    person.page.evaluate(AXE.read_text(encoding="utf-8"))
    shown(person, step).tap()
    for look in LOOKS:
        person.page.evaluate("(values) => Object.assign(document.documentElement.dataset, values)", look)
        found = person.page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
        bad = [v for v in found["violations"] if v["impact"] in ("serious", "critical")]
        assert [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in bad] == []
    assert shown(person, step).get_attribute("aria-current") == "step"
    assert person.page.locator("main:not([inert]), [role=main]").count() == 1
    assert person.page.locator("#early [role=navigation][aria-label=Steps]").count() == 1


def test_the_first_frame_is_of_the_step_that_was_left(context, host):
    """It was Measure or Play, whose fields were torn away when Lay out came."""
    person = visit(context, host.address)
    enter_all(person)
    host.go()
    person.ready()
    person.tap("3 Lay out")
    person.until("JSON.parse(localStorage.getItem('fettle-step')).step == 'layout'", 20)
    stored(person)
    person.page.close()
    host.gate.clear()
    again = visit(context, host.address)
    assert again.page.locator("#early .step.here").inner_text().split() == ["3", "Lay", "out"]
    assert not again.page.locator("#early input").locator("visible=true").count()
    assert again.page.locator("#early").get_by_role("heading", name="Lay out the set").is_visible()
    host.go()
    again.ready()
    settle(again)
    assert again.page.evaluate("history.state.step") == "layout" and again.faults == []


COLOUR = "(e) => getComputedStyle(e).color"


def test_what_was_typed_for_another_club_is_faint_and_gives_way(context, host):
    person = visit(context, host.address)

    def typed_for_another():
        field(person, "Carry").fill("14")
        plain = field(person, "Carry").evaluate(COLOUR)
        shown(person, "9i").tap()
        assert (
            field(person, "Carry").input_value() == "14" and field(person, "Carry").evaluate(COLOUR) != plain
        )
        person.page.get_by_role("button", name="8", exact=True).first.tap()
        assert (field(person, "Carry").input_value(), field(person, "Carry").evaluate(COLOUR)) == ("8", plain)

    shown(person, "2\nHit").tap()
    typed_for_another()
    shown(person, "7i").tap()
    host.go()
    person.ready()
    settle(person)
    typed_for_another()
    settle(person)
    assert person.faults == []


def test_how_much_has_come_is_not_told_of_a_whole_that_nobody_knows(context, host):
    person = visit(context, host.address)
    bar = person.page.evaluate(
        """async () => { const { Start } = await import('./shell/progress.js');
        const start = new Start({ onFailed() {} });
        const told = [[4e5, 0], [4e5, 16e6]].map((bytes) => (start.progress('fetching', ...bytes), start.share));
        start._quiet(); return told }"""
    )
    assert bar == [0, pytest.approx(0.0125)]


def test_who_was_here_before_sees_own_sizes_and_clubs_and_goes_on_with_them(context, host):
    person = visit(context, host.address)
    enter_all(person)
    host.go()
    person.ready()
    shown(person, "Part swings").tap()
    shown(person, "to the hip").tap()
    person.until("localStorage.getItem('fettle-glance').includes('\"parts\":true')")
    stored(person)
    person.page.close()
    host.gate.clear()
    again = visit(context, host.address)
    assert again.page.locator("#early .step.here").inner_text().split() == ["2", "Hit"]  # as it was left
    assert shown(again, "9i \u00b7 2").get_attribute("aria-pressed") == "true"
    early = again.page.evaluate(f"({SEEN})('#early')")
    shown(again, "1\nMeasure").tap()
    assert (field(again, "Height").input_value(), field(again, "Wingspan").input_value()) == ("178", "181")
    again.page.get_by_role("button", name="in \u00b7 yd").first.tap()
    assert field(again, "Height (in)").input_value() == "70.1"
    host.go()
    again.ready()
    shown(again, "2\nHit").tap()
    settle(again)
    live = again.page.evaluate(f"({SEEN})('#app')")
    for name in ("BUTTON 7", "BUTTON Add ball"):  # the row of swings was there before
        assert live[name] == pytest.approx(early[name], abs=1)
    # a club that has no part swings says so there once the dashboard is there
    before, since = (
        next(r for name, r in seen.items() if name.startswith("BUTTON Full swing")) for seen in (early, live)
    )
    assert since[:2] == pytest.approx(before[:2], abs=1)


def card(person, root):
    """The rows of the carry card, in the first screens or in the dashboard."""
    return person.page.evaluate(
        """(root) => { const tables = []; const walk = (n) => { for (const e of n.querySelectorAll('*')) {
          if (e.tagName === 'TABLE' && e.caption?.textContent.startsWith('Carry card')) tables.push(e);
          if (e.shadowRoot) walk(e.shadowRoot); } };
        walk(document.querySelector(root));
        return [...tables[0]?.rows ?? []].map((row) => [...row.cells].map((cell) => cell.textContent)) }""",
        root,
    )


@pytest.mark.parametrize("read", [False, True])
def test_the_card_is_there_to_be_read_before_the_dashboard(context, host, read):
    person = visit(context, host.address)
    enter_all(person)
    host.go()
    person.ready()
    person.tap("1 Measure")
    field(person, "Name").fill("<b>Ann")
    person.tap("5 Play")
    until(lambda: len(card(person, "#app")) > 5, "the card")
    settle(person)
    person.until("JSON.parse(localStorage.getItem('fettle-glance'))?.card?.rows.length > 5", 20)
    was = card(person, "#app")
    person.page.close()
    host.gate.clear()
    again = visit(context, host.address)
    assert again.page.locator("#early .step.here").inner_text().split() == ["5", "Play"]
    assert card(again, "#early") == was
    assert "as of " in again.page.locator("#early .at-play").inner_text()
    assert "<b>Ann" in again.page.locator("#early .at-play").inner_text()
    again.shot("early-card-390")
    assert again.page.locator("#early .card .scroll").evaluate("(e) => e.scrollWidth <= e.clientWidth")
    place = "(e) => e.getBoundingClientRect().top"
    if read:
        again.page.evaluate("scrollBy(0, 30)")
    at = again.page.locator("#early .card").evaluate(place)
    host.go()
    again.ready()
    settle(again)
    if read:
        assert abs(again.page.locator("#app .card").first.evaluate(place) - at) < 3
    else:
        assert again.page.evaluate("scrollY") == 0
        assert 0 < again.page.get_by_label("Distance to carry").first.evaluate(place) < 844
    assert card(again, "#app") == was
    assert again.faults == []
