"""All five steps as a user: the shortest way to an answer, trying out, the bag, the bench's sheet, cards and sharing."""

import itertools
import json
import re
from contextlib import contextmanager

import pytest
from conftest import command_line
from walk import WORDS, go, open_fold, press, settle, until, visit

from app import edits, link
from app.demo import demo_case
from app.phrases import phrase
from app.screens.players import qr_picture
from engine.fitting.fitting import Fitting

MOST_TAPS = 12


def test_first_answer_from_blank_in_few_taps(chromium):
    """Taps are counted; typing on the keyboard, Enter with it, is not."""
    with visit(chromium, width=390, device_scale_factor=2) as person:
        taps = 0

        def tap(target):
            nonlocal taps
            taps += 1
            target.tap()

        def field(label):
            return person.page.get_by_label(label).first

        def button(name):
            return person.page.get_by_role("button", name=name).first

        for label, text in (("Height", "178"), ("Wingspan", "181")):
            tap(field(label))
            person.page.keyboard.type(text)
        person.page.keyboard.press("Enter")
        tap(button("2 Hit"))
        until(button("7i").is_visible, "Hit")
        for club, carries in (("7i", ("138", "141")), ("9i", ("117", "115"))):
            tap(button(club))
            tap(field("Carry, "))
            for carry in carries:
                person.page.keyboard.type(carry)
                person.page.keyboard.press("Enter")
                until(lambda: field("Carry, ").input_value() == "", "ball taken")
        tap(button("3 Lay out"))
        until(lambda: sum(bool(d["mean"]) for d in person.sources()) >= 2, "an answer")
        until(lambda: "Breaks even" in person.text(), "a verdict")
        assert taps <= MOST_TAPS, taps
        print(f"first answer after {taps} taps")


@pytest.fixture(scope="module")
def person(chromium):
    with visit(
        chromium,
        width=390,
        fragment=link.make(edits.wants("layout")(demo_case(), "single")).hash,
        device_scale_factor=1,
        accept_downloads=True,
    ) as someone:
        someone.page.evaluate("window.print = () => {}")
        yield someone


def kept(person):
    """The case as it would be shared: the one of the address."""
    until(lambda: link.read(person.page.evaluate("location.hash")).case is not None, "a link in the address")
    return link.read(person.page.evaluate("location.hash")).case


def test_enter_on_an_empty_field_adds_no_ball(chromium):
    with visit(chromium, width=390) as person:
        go(person, "hit")
        field = person.page.get_by_label("Carry").first
        field.fill("151")
        field.press("Enter")
        until(lambda: field.input_value() == "", "the ball to be taken")
        field.press("Enter")
        until(lambda: "is empty" in person.text(), "the field to say so")
        for key in ("1", "4", "9"):
            press(person, key, exact=True)
        until(lambda: field.input_value() == "149", "the keys to be seen")
        field.press("Enter")
        until(lambda: [s.carry_m for s in kept(person).shots] == [151.0, 149.0], "the second ball")


def test_what_is_tried_is_not_kept_until_it_is(person):
    go(person, "layout")
    settle(person)
    before, drawn = kept(person), person.sources()
    press(person, "one step more")
    until(lambda: person.sources() != drawn, "redraw")
    until(lambda: person.page.get_by_role("button", name="Keep it").is_visible(), "the question")
    person.page.wait_for_timeout(600)  # longer than the pause before saving
    assert kept(person).layouts == before.layouts
    press(person, "Discard")
    until(lambda: person.sources() == drawn, "put back")
    press(person, "one step more")
    until(lambda: person.page.get_by_role("button", name="Keep it").is_visible(), "the question")
    press(person, "Keep it")
    until(lambda: kept(person).layouts != before.layouts, "kept")
    press(person, "Undo")
    until(lambda: kept(person).layouts == before.layouts, "undone")
    # what was kept is being tried again now, as it was before
    press(person, "Discard")
    until(lambda: person.sources() == drawn, "put back once more")


def test_gap_lofts_and_longest_iron_can_be_tried(person):
    go(person, "layout")
    open_fold(person, "Also adjust")
    drawn = person.sources()
    for nth, what in ((1, "loft step"), (2, "wanted gap")):
        button = person.page.get_by_role("button", name="one step more").locator("visible=true").nth(nth)
        button.tap()
        until(lambda: person.page.get_by_role("button", name="Keep it").is_visible(), what)
        settle(person)
    assert "The band is" in person.text()
    assert person.sources() != drawn
    irons = [len(d["club"]) for d in person.sources()]
    press(person, "6-iron", exact=True)
    until(lambda: [len(d["club"]) for d in person.sources()] != irons, "a shorter set")
    press(person, "Discard")
    until(lambda: person.sources() == drawn, "put back")


def test_bag_can_be_copied_moved_and_undone(person):
    go(person, "measure")
    open_fold(person, "The bag")
    open_fold(person, "One club at a time")
    before = [c.id for c in kept(person).bag]
    for name in ("Duplicate", "Move up", "Remove"):
        now = [c.id for c in kept(person).bag]
        press(person, name, exact=True)
        until(lambda now=now: [c.id for c in kept(person).bag] != now, name)
    while [c.id for c in kept(person).bag] != before:
        now = [c.id for c in kept(person).bag]
        press(person, "Undo")
        until(lambda now=now: [c.id for c in kept(person).bag] != now, "undo")


def pages(person, kind, **size):
    """How many sheets of paper a print takes, and how large what is printed is [mm]."""
    # the end of a print takes the mark away again
    person.page.evaluate(f"document.documentElement.dataset.print = '{kind}'")
    data = person.page.pdf(**size)
    return len(re.findall(rb"/Type\s*/Page\b", data))


def smallest_type(person):
    """The smallest type [pt] of all words that are printed."""
    sizes = person.page.evaluate(
        f"() => {{ {WORDS} return words((style) => parseFloat(style.fontSize) * 0.75) }}"
    )
    assert len(sizes) > 20
    return min(sizes)


@contextmanager
def on_paper(person, kind):
    """The page laid out as it prints, 800 px wide."""
    person.page.set_viewport_size({"width": 800, "height": 1000})
    person.page.emulate_media(media="print")
    person.page.evaluate(f"document.documentElement.dataset.print = '{kind}'")
    try:
        yield
    finally:
        person.page.emulate_media(media="null")
        person.page.set_viewport_size({"width": 390, "height": 844})


def test_prints_fit_their_paper(person):
    go(person, "build")
    press(person, "Print this sheet")
    until(lambda: person.page.evaluate("document.documentElement.dataset.print") == "sheet", "print")
    assert pages(person, "sheet", format="A4") <= 2
    assert pages(person, "sheet", format="Letter") <= 2
    with on_paper(person, "sheet"):
        person.shot("build-sheet")
        assert smallest_type(person) >= 9 - 0.01
        for beside in (".lines b", ".three > span:first-child:text-matches('[*]$')"):  # "wanted", and 92.7*
            assert person.page.locator(f".bench {beside}").locator("visible=true").count() > 5, beside
        head = person.page.locator(".printed thead").first
        assert (
            head.evaluate("e => getComputedStyle(e).display") == "table-header-group"
        )  # again on the next page
    go(person, "play")
    open_fold(person, "Measured against predicted")
    for button, kind, width, height in (
        ("Print wallet card", "card", 85.6, 54.0),
        ("Print pocket card", "pocket", 105.0, 148.0),
    ):
        press(person, button)
        until(lambda kind=kind: person.page.evaluate("document.documentElement.dataset.print") == kind, kind)
        assert pages(person, kind, format="A4") == 1
        with on_paper(person, kind):
            box = person.page.locator(".card").first.bounding_box()
            assert smallest_type(person) >= 8 - 0.01, kind
            rows = [row.bounding_box()["y"] for row in person.page.locator(".carries tbody tr").all()[:4]]
            assert min(b - a for a, b in itertools.pairwise(rows)) * 72 / 96 >= 1.3 * 8, (
                "room between the lines"
            )
            assert not person.page.locator("canvas").locator("visible=true").count(), (
                "a drawing beside the card"
            )
        assert box["width"] * 25.4 / 96 == pytest.approx(width, abs=0.6)
        assert box["height"] * 25.4 / 96 <= height + 0.3, kind
    person.page.evaluate("delete document.documentElement.dataset.print")


def test_pictures_can_be_saved(person):
    go(person, "layout")
    open_fold(person, "At address")
    for name, nth, start in (("Carries", 0, b"\x89PNG"), ("At address", 2, b"<svg")):
        section = person.page.get_by_role("button", name="Save as a picture").locator("visible=true")
        with person.page.expect_download(timeout=15_000) as waited:
            section.nth(nth).tap()
        data = waited.value.path().read_bytes()
        assert data.startswith(start), name
        assert len(data) > 2000
        assert b"var(--" not in data


def test_share_sheet_and_qr_carry_the_whole_address(person):
    go(person, "players")
    person.page.evaluate(
        "() => { navigator.share = (what) => { document.documentElement.dataset.shared = JSON.stringify(what);"
        " return Promise.resolve() } }"
    )
    press(person, "Share the link")
    until(lambda: person.page.evaluate("document.documentElement.dataset.shared"), "share sheet")
    shared = json.loads(person.page.evaluate("document.documentElement.dataset.shared"))
    assert shared["url"].startswith(person.address + "#v1.")
    open_fold(person, "QR code")
    until(lambda: person.page.locator("svg[data-address]").count() > 0, "the code")
    shown = person.page.locator("svg[data-address]").first
    assert shown.get_attribute("data-address") == person.address
    made = qr_picture(person.address, shared["url"][shared["url"].index("#") :])
    assert f'd="{shown.locator("path").get_attribute("d")}"' in made
    assert link.read(shared["url"][shared["url"].index("#") :]).case == kept(person)


def test_every_number_on_the_screen_is_that_of_the_command_line(person):
    case = kept(person)
    result = command_line(case)
    go(person, "layout")
    drawn = person.sources()
    for layout, columns in zip(result["layouts"], drawn, strict=False):
        carries = {c["id"]: c["carry_m"]["mean"] for c in layout["clubs"] if not c["hit_first"]}
        assert columns["club"] == list(carries)
        assert columns["mean"] == pytest.approx(list(carries.values()), abs=0.05)
    go(person, "play")
    by_id = {x["id"]: x for x in result["layouts"]}
    chosen = by_id[result["layout_to_build"]]
    cells = person.page.evaluate(
        """() => { const deep = function* (root) { for (const e of root.querySelectorAll('*')) {
          yield e; if (e.shadowRoot) yield* deep(e.shadowRoot) } };
        const host = [...deep(document)].find((e) => e.classList.contains('card'));
        return [...host.shadowRoot.querySelectorAll('tbody tr')].map((r) => [...r.children].map((c) => c.textContent)) }"""
    )
    assert len(cells) == len(chosen["clubs"])
    hit = {shots["club"] for shots in result["shots"]}
    assert sum(row[1] == "not known yet" for row in cells) <= 4
    for club, row in zip(chosen["clubs"], cells, strict=True):
        carry = club["carry_m"]
        assert row[0] == club["name"]
        if row[1] == "not known yet":
            assert club["family"] in ("driver", "fairway", "hybrid") and club["id"] not in hit
            assert club["hit_first"]
            continue
        assert not club["hit_first"]
        assert int(row[1].rstrip("*")) == pytest.approx(carry["mean"], abs=0.51)
        low, high = (int(x) for x in row[2].split("\u2013"))
        assert (low, high) == (pytest.approx(carry["lo90"], abs=0.51), pytest.approx(carry["hi90"], abs=0.51))
    go(person, "build")
    sheet = Fitting(case).build
    text = person.text()
    ordered = [action for club in sheet.clubs if club.minutes for action in club.actions]
    assert ordered
    for action in ordered:
        assert phrase(action, "metric") in text
