"""On a phone: the bag in a minute, all keys of Hit at hand, back and forward from step to step, reopening where one was."""

import time
from dataclasses import replace

import pytest
from conftest import PHONE, Person
from walk import BUTTONS, DEEP, HEADINGS, go, press, settle, until

from app import link
from app.demo import demo_case
from app.players import new_case
from engine.documents.case import Case, Conditions, Shot, SwingSize

SIZES = {"upright": (390, 844), "small": (360, 640), "sideways": (640, 360)}


@pytest.fixture(params=SIZES)
def sized(request, chromium, served):
    width, height = SIZES[request.param]
    context = chromium.new_context(**{**PHONE, "viewport": {"width": width, "height": height}})
    someone = Person(context, served.address)
    someone.size = request.param
    someone.open()
    yield someone
    context.close()
    assert someone.faults == []


def case(person):
    """The open player's case, as the address holds it."""
    return link.read(person.page.evaluate("location.hash")).case


def shows(person, step):
    heading = person.page.get_by_role("heading", name=HEADINGS[step], exact=True).first
    until(heading.is_visible, f"the step {step}")


# the bag in a minute


def test_a_bag_of_eight_with_hybrids_and_no_driver_takes_few_taps(person):
    person.open()
    person.taps, began = 0, time.monotonic()
    press(person, "The bag")
    for chip in ("Driver", "3-wood", "5-iron", "6-iron", "8-iron", "GW", "LW", "5-hybrid"):
        press(person, chip, exact=True)
    field = person.page.get_by_label("Figures of several clubs")
    for line in ("lofts of the irons 33 42", "all irons 36.5 in", "wedge lofts 47 55"):
        field.tap()
        person.taps += 1
        person.page.keyboard.type(line, delay=1000 / 4)  # four keys a second
        person.page.keyboard.press("Enter")
    ids = ["5w", "4h", "5h", "7i", "9i", "pw", "sw", "pt"]
    until(
        lambda: [c.id for c in case(person).bag] == ids and case(person).club("sw").loft_deg == 55, "the bag"
    )
    seconds = time.monotonic() - began
    made = case(person)
    assert [made.club(i).loft_deg for i in ("7i", "9i", "pw")] == [33, 42, 47]
    assert made.club("7i").length_m == made.club("9i").length_m == pytest.approx(36.5 * 0.0254)
    assert person.taps <= 25
    print(f"{person.taps} taps, {seconds:.0f} s")
    person.shot("bag-in-a-minute")


def test_a_chip_stays_under_the_thumb_when_it_is_tapped(person):
    person.open()
    press(person, "The bag")
    chip = person.page.get_by_role("button", name="8-iron", exact=True).first
    chip.scroll_into_view_if_needed()
    before = chip.bounding_box()
    for pressed in ("false", "true"):
        person.page.touchscreen.tap(before["x"] + 10, before["y"] + 10)
        until(lambda pressed=pressed: chip.get_attribute("aria-pressed") == pressed, "the chip to change")
        settle(person)
        assert chip.bounding_box() == pytest.approx(before, abs=1)


def test_lines_typed_while_python_is_held_back_are_all_taken_and_no_late_answer_takes_the_next_one(held):
    """Enter frees the field in the page itself; what was refused comes back only where nothing is being typed."""
    press(held, "The bag")
    field = held.page.get_by_label("Figures of several clubs")
    until(field.is_visible, "the field")
    settle(held)
    held.page.evaluate("holdBack(true)")
    for line in ("lofts of the irons 26 30 34 38 42", "all irons 36.5 in", "nothing of the kind"):
        field.tap()
        held.page.keyboard.type(line)
        held.page.keyboard.press("Enter")
        assert field.input_value() == ""
    held.page.keyboard.type("wedge lofts 47 ")
    held.page.evaluate("holdBack(false)")
    until(lambda: "\u201cnothing of the kind\u201d" in held.text(), "the refusal")
    settle(held)
    assert field.input_value() == "wedge lofts 47 "
    held.page.keyboard.type("51 55 60")
    assert field.input_value() == "wedge lofts 47 51 55 60"
    made = case(held)
    assert made.club("7i").length_m == pytest.approx(36.5 * 0.0254) and made.club("7i").loft_deg == 34
    held.page.keyboard.press("Enter")
    held.page.keyboard.type("again no figure")
    held.page.keyboard.press("Enter")
    until(lambda: field.input_value() == "again no figure", "the refused line, to be mended")


# all keys of Hit at hand

COVERED = (
    DEEP
    + """(() => { const at = (x, y) => { let e = document.elementFromPoint(x, y);
        while (e?.shadowRoot) { const inner = e.shadowRoot.elementFromPoint(x, y);
          if (!inner || inner === e) break; e = inner }
        return e };
      const wanted = [...deep(document)].filter((e) => seen(e) && (e.matches('button') &&
        /^(\\d|\\.|\\u232b|Add ball)$/.test(e.textContent.trim()) ||
        e.matches('input') && e.getRootNode().host?.matches('.entry')));
      const out = []; for (const e of wanted) { const r = e.getBoundingClientRect();
        for (const [x, y] of [[r.left + 4, r.top + 4], [r.right - 4, r.bottom - 4],
          [r.left + r.width / 2, r.top + r.height / 2]]) {
          const top = at(x, y); if (!top || !(e === top || e.contains(top))) out.push(
            `${e.textContent.trim() || 'field'} at ${Math.round(x)},${Math.round(y)}`
            + ` under ${top?.tagName} ${top?.className}`) } }
      return [wanted.length, out] })()"""
)


def at_hand(person, tally):
    """Tally, field and every key are in view above the bar, with nothing scrolled and nothing over them."""
    assert person.page.evaluate("scrollY") == 0
    box = person.page.locator("p:not(#announce)", has_text=tally).first.bounding_box()
    bar = person.page.get_by_role("button", name="1 Measure").first.bounding_box()
    assert box["y"] >= 0 and box["y"] + box["height"] <= bar["y"]
    assert person.page.evaluate(COVERED) == [14, []]  # twelve keys, "Add ball" and the field


def turned(person, sizes=tuple(SIZES)):
    """The page at each of these sizes of phone, one after the other, as when a phone is turned."""
    for size in sizes:
        width, height = SIZES[size]
        person.page.set_viewport_size({"width": width, "height": height})
        settle(person)
        yield size


def test_field_tally_and_every_key_are_at_hand_without_scrolling(sized):
    go(sized, "hit")
    at_hand(sized, "No balls yet")
    for key in "152":
        press(sized, key, exact=True)
    press(sized, "Add ball")
    until(lambda: "1 ball, last 152\u00a0m, mean 152\u00a0m" in sized.text(), "the tally")
    settle(sized)
    sized.shot(f"hit-{sized.size}")
    at_hand(sized, "1 ball, last")


def long_tally(name: str) -> Case:
    """Range balls with a mishit among them and a club of this name: the most that tally and label have to say."""
    blank = new_case()
    carries = (129, 133, 126.5, 131, 96, 134.5, 128, 130)
    return replace(
        blank,
        bag=tuple(replace(c, name=name) if c.id == "7i" else c for c in blank.bag),
        shots=tuple(Shot("7i", c) for c in carries),
        conditions=Conditions(range_ball=True),
    )


LONG = "Old seven of the practice bag, blade"


@pytest.mark.parametrize(
    ("name", "looks"),
    [
        (LONG, [(size, look) for size in SIZES for look in ("normal", "large")][:-1]),
        # with large text on a sideways phone there is room for a usual name only
        ("7-iron", [("sideways", "large")]),
    ],
    ids=["long", "usual"],
)
def test_a_tally_of_several_lines_and_a_long_name_leave_every_key_at_hand(person, name, looks):
    person.open(link.make(long_tally(name)).hash)
    for units, told in (("cm \u00b7 m", "mean 130\u00a0m (all"), ("in \u00b7 yd", "mean 142\u00a0yd (all")):
        go(person, "measure")
        press(person, units)
        go(person, "hit")
        until(lambda told=told: told in person.text(), "the tally in these units")
        for size in turned(person, dict.fromkeys(size for size, _ in looks)):
            for look in [look for where, look in looks if where == size]:
                person.page.evaluate(f"document.documentElement.dataset.size = '{look}'")
                for scheme in ("light", "dark"):
                    person.page.emulate_media(color_scheme=scheme)
                    settle(person)
                    person.shot(f"hit-long-{size}-{look}-{scheme}-{units[:2]}")
                    assert "with a good ball" in person.text() and "1 mishit left out" in person.text()
                    at_hand(person, "8 balls, mean")
            person.page.evaluate("document.documentElement.dataset.size = 'normal'")


KEYS = (
    DEEP
    + """[...deep(document)].filter((e) => e.matches('button') && seen(e) &&
      /^(\\d|\\.|\\u232b|Add ball|Remove last ball)$/.test(e.textContent.trim())).map((e) => {
        const r = e.getBoundingClientRect(); return [e.textContent.trim(), r.top, r.left] })"""
)


PITCHING = ["110", "112", "109", "111", "110", "60", "112", "108", "111", "114"]


def test_no_ball_that_is_entered_moves_a_key(person):
    person.open()
    press(person, "in \u00b7 yd")
    go(person, "hit")
    chip = person.page.get_by_role("button", name="PW", exact=True).first
    chip.tap()
    until(lambda: chip.get_attribute("aria-pressed") == "true", "the wedge")
    places = {size: person.page.evaluate(KEYS) for size in turned(person)}
    assert [len(keys) for keys in places.values()] == [14, 14, 14]

    def stand_still(what):
        for size in turned(person):
            now = person.page.evaluate(KEYS)
            moved = [(was, is_) for was, is_ in zip(places[size], now, strict=True) if was != is_]
            assert person.page.evaluate("scrollY") == 0 and moved == [], (what, size)

    def enter(text, told):
        for key in text:
            press(person, key, exact=True)
        press(person, "Add ball")
        until(lambda: told in person.text(), told)
        stand_still(text)

    for n, carry in enumerate(PITCHING, 1):
        enter(carry, f"{n} ball{'s' * (n > 1)}, last {carry}\u00a0yd")
    assert "1 mishit left out" in person.text()
    press(person, "Range balls", exact=True)
    until(lambda: "with a good ball" in person.text(), "the worth of a good ball")
    stand_still("range balls")
    enter("9999", "\u201c9999\u201d must be")
    enter("9998", "\u201c9998\u201d must be")


def test_the_chosen_chip_is_the_club_in_the_field_and_in_view_when_clubs_come(sized):
    go(sized, "hit")
    sized.page.get_by_role("button", name="9i", exact=True).first.tap()
    until(lambda: "Carry, 9-iron" in sized.text(), "the 9-iron")
    go(sized, "measure")
    press(sized, "The bag")
    chip = sized.page.get_by_role("button", name="5-hybrid", exact=True).first
    chip.tap()
    until(lambda: chip.get_attribute("aria-pressed") == "true", "one more club")
    go(sized, "hit")
    for _ in range(2):
        press(sized, "9", exact=True)
        press(sized, "Add ball")
        settle(sized)
        dark = sized.page.locator(".strip .bk-active").first
        assert dark.inner_text().startswith("9i") and "Carry, 9-iron" in sized.text()
        box = dark.bounding_box()
        assert box["x"] >= 0 and box["x"] + box["width"] <= SIZES[sized.size][0]
    eight = sized.page.get_by_role("button", name="8i", exact=True).first
    eight.tap()
    until(lambda: "Carry, 8-iron" in sized.text(), "the 8-iron")


NOTICE = """import('./shell/notices.js').then(({ notice }) => { for (const id of ['one', 'two'])
  notice(id, 'All of this page is stored now, and it opens without the network too.',
    { shut: id === 'one' ? '' : 'Close' }) })"""


def test_notices_leave_the_keys_free(person):
    person.open()
    go(person, "hit")
    person.page.evaluate(NOTICE)
    until(lambda: "All of this page" in person.text(), "the notices")
    for size in turned(person):
        person.shot(f"hit-notice-{size}")
        assert person.page.evaluate(COVERED) == [14, []]


def test_notices_leave_the_open_menu_free(person):
    person.open()
    person.page.evaluate(NOTICE)
    until(lambda: "All of this page" in person.text(), "the notices")
    for size in turned(person):
        for place in ("players", "methods"):
            press(person, "Menu", exact=True)
            item = person.page.get_by_role("button", name=BUTTONS[place]).first
            until(item.is_visible, "the menu")
            person.shot(f"menu-notice-{size}")
            item.tap(timeout=5000)  # not forced: fails where something else would take the tap
            shows(person, place)
            until(lambda item=item: not item.is_visible(), "the menu to close")
    press(person, "Menu", exact=True)  # nor do they lie over its button
    until(item.is_visible, "the menu again")


def test_part_swings_and_a_long_undo_label_leave_every_key_at_hand(person):
    blank = new_case()
    named = tuple(SwingSize(f"s{n}", name) for n, name in enumerate(("to the hip", "to the chest")))
    person.open(link.make(replace(blank, swing_sizes=named)).hash)
    press(person, "in \u00b7 yd")
    go(person, "hit")
    person.page.get_by_role("button", name="PW", exact=True).first.tap()
    hip = person.page.get_by_role("button", name="to the hip", exact=True).first
    hip.tap()
    until(lambda: hip.get_attribute("aria-pressed") == "true", "the part swing")
    sizes = ("upright", "small")
    places = {size: person.page.evaluate(KEYS) for size in turned(person, sizes)}
    clubs, swings = (person.page.locator(name).first.bounding_box() for name in (".strip", ".swings"))
    assert swings["y"] >= clubs["y"] + clubs["height"] and swings["width"] == clubs["width"] > 250
    for key in "56":
        press(person, key, exact=True)
    press(person, "Add ball")
    until(lambda: "1 ball, last 56\u00a0yd" in person.text(), "the ball")
    for size in turned(person, sizes):
        person.shot(f"hit-part-swing-{size}")
        at_hand(person, "1 ball, last 56")
        assert person.page.evaluate(KEYS) == places[size]
    press(person, "Undo")
    until(lambda: "Undone: PW, to the hip 56" in person.text(), "what was undone")
    for size in turned(person, sizes):
        person.page.evaluate("scrollTo(0, 0)")  # a page that was turned may hold on to what it showed
        at_hand(person, "No balls yet")
        assert person.page.evaluate(KEYS) == places[size]
    person.page.get_by_role("button", name="7i", exact=True).first.tap()  # for which there is no part swing
    until(lambda: "Carry, 7-iron" in person.text(), "the 7-iron")
    settle(person)
    assert person.page.evaluate(KEYS) == places[size]


def test_the_chosen_club_is_in_view_in_its_strip(person):
    person.open()
    chip = person.page.get_by_role("button", name="LW", exact=True).first
    for size in turned(person):
        go(person, "hit")
        person.page.get_by_role("button", name="7i", exact=True).first.tap()
        chip.tap()
        until(lambda: chip.get_attribute("aria-pressed") == "true", "the lob wedge")
        go(person, "measure")
        go(person, "hit")
        box = chip.bounding_box()
        assert box["x"] >= 0 and box["x"] + box["width"] <= SIZES[size][0]


# back and forward


def test_back_and_forward_go_from_step_to_step_and_keep_what_was_typed(person):
    person.open()
    go(person, "hit")
    for carry in ("150", "152"):
        person.page.get_by_label("Carry").first.fill(carry)
        press(person, "Add ball")
    until(lambda: "2 balls, last 152" in person.text(), "two balls")
    go(person, "layout")
    until(lambda: person.page.evaluate("location.hash").startswith("#v1."), "the link")
    link = person.page.evaluate("location.hash")
    person.page.go_back()
    shows(person, "hit")
    assert person.page.evaluate("location.hash") == link
    person.page.go_back()
    shows(person, "measure")
    assert person.page.evaluate("location.hash") == link  # not that of before the balls
    person.page.go_forward()
    shows(person, "hit")
    until(lambda: "2 balls, last 152" in person.text(), "the balls")
    assert len(case(person).shots) == 2 and "A link opened" not in person.text()
    go(person, "players")
    assert (
        person.page.get_by_role("table", name="On this device").get_by_role("row").count() == 2
    )  # with its head


def test_back_several_times_at_once_ends_where_it_should(person):
    person.open()
    for step in ("hit", "layout", "build", "play"):
        go(person, step)
    person.page.evaluate("history.back(); history.back(); history.back()")
    shows(person, "hit")
    settle(person)
    assert not person.page.get_by_role("heading", name=HEADINGS["play"], exact=True).first.is_visible()
    person.page.go_forward()
    shows(person, "layout")


def test_reopening_lands_on_the_step_used_last(person):
    person.open()
    go(person, "hit")
    person.page.get_by_label("Carry").first.fill("150")
    press(person, "Add ball")
    until(lambda: "1 ball, last 150" in person.text() and case(person) is not None, "a ball")
    person.page.reload()
    person.ready()
    shows(person, "hit")
    other = Person(person.page.context, person.address)
    other.open()
    shows(other, "hit")
    until(lambda: "1 ball, last 150" in other.text(), "the ball")
    assert other.faults == []
    # opened before what the first screens show was kept
    soon = Person(person.page.context, person.address)
    soon.page.add_init_script("localStorage.removeItem('fettle-glance')")
    soon.open()
    shows(soon, "hit")
    assert soon.faults == []


HOLD = """const send = Worker.prototype.postMessage; const held = []; let hold = false;
  Worker.prototype.postMessage = function (...all) { if (hold) held.push([this, all]); else send.apply(this, all) };
  globalThis.holdBack = (on) => { hold = on; if (!on) for (const [to, all] of held.splice(0)) send.apply(to, all) };"""

# the step in view and the sign of work, frame by frame, with the time since the last press
FRAMES = (
    DEEP
    + """globalThis.frames = []; let pressed = 0;
  const heads = [...deep(document)].filter((e) => e.matches('h2') && e.getRootNode().host?.matches('.heading'));
  addEventListener('pointerdown', () => { pressed = performance.now(); frames.length = 0 }, true);
  const look = () => { if (pressed) frames.push([performance.now() - pressed,
      heads.find((e) => e.getClientRects().length)?.textContent ?? '', 'busy' in document.documentElement.dataset]);
    requestAnimationFrame(look) };
  requestAnimationFrame(look);"""
)


@pytest.fixture
def held(person):
    """Somebody whose Python can be held back."""
    person.page.add_init_script(HOLD)
    person.open()
    return person


def headings(person):
    """The headings of steps that are in view."""
    return [
        step
        for step, words in HEADINGS.items()
        if person.page.get_by_role("heading", name=words, exact=True).first.is_visible()
    ]


@pytest.mark.parametrize("way", ["bar", "next"])
def test_a_step_and_the_sign_of_work_are_shown_while_python_is_held_back(held, way):
    held.page.evaluate("scrollTo(0, 300)")
    held.page.evaluate("holdBack(true)")
    press(held, {"bar": BUTTONS["hit"], "next": "Next: hit some balls"}[way])
    until(lambda: headings(held) == ["hit"], "the step, from the page itself", 5)
    until(lambda: held.page.evaluate("'busy' in document.documentElement.dataset"), "the sign of work", 5)
    here = held.page.get_by_role("button", name=BUTTONS["hit"]).first
    until(lambda: here.get_attribute("aria-current") == "step", "the bar to tell where one is", 5)
    assert held.page.evaluate("scrollY") == 0
    assert held.page.get_by_role("button", name="Add ball").count() == 0  # Python has done nothing yet
    held.page.evaluate("holdBack(false)")
    until(held.page.get_by_role("button", name="Add ball").first.is_visible, "the step to be filled")
    settle(held)
    assert headings(held) == ["hit"] and not held.page.evaluate("'busy' in document.documentElement.dataset")


def test_less_and_more_beside_a_number_answer_before_python_does(held):
    """The number changed only once all that followed from the last one had been worked out."""
    go = held.page.get_by_role
    press(held, BUTTONS["play"])
    ask = held.page.get_by_label("Distance to carry").first
    until(ask.is_visible, "Play")
    ask.fill("120.5")
    ask.press("Enter")
    until(lambda: "chance of landing within" in held.text(), "what to hit")
    settle(held)
    held.page.evaluate("holdBack(true)")
    for label, shown in (("plus 1", "121.5"), ("plus 10", "131.5"), ("minus 1", "130.5")):
        go("button", name=f"Distance {label} m", exact=True).first.tap()
        assert ask.input_value() == shown
    held.page.evaluate("holdBack(false)")
    until(lambda: "130.5" in held.text(), "the answer")
    settle(held)
    assert ask.input_value() == "130.5"
    press(held, BUTTONS["layout"])
    slider = held.page.locator(".bk-slider-value").first
    until(slider.is_visible, "Lay out")
    settle(held)
    before = float(slider.inner_text())
    held.page.evaluate("holdBack(true)")
    press(held, "one step more")
    assert float(slider.inner_text()) > before
    held.page.evaluate("holdBack(false)")
    until(held.page.get_by_role("button", name="Keep it").first.is_visible, "what is tried")
    settle(held)
    assert float(slider.inner_text()) > before


def test_nothing_is_typed_in_the_fields_of_a_club_before_they_are_its_own(held):
    press(held, "The bag")
    press(held, "One club at a time")
    choice = held.page.get_by_label("Club to edit").first
    until(choice.is_visible, "the fold")
    length = held.page.get_by_label("Length").first
    until(lambda: length.is_visible() and length.input_value(), "the figures of a club")
    settle(held)
    first = length.input_value()
    held.page.evaluate("holdBack(true)")
    choice.select_option(label="9-iron")
    length.evaluate("(field) => field.focus()")
    held.page.keyboard.type("1")
    assert length.input_value() == first
    held.page.evaluate("holdBack(false)")
    until(lambda: length.input_value() != first, "the length of the 9-iron")
    settle(held)
    length.tap()
    length.press("Control+a")
    held.page.keyboard.type("90.4")
    held.page.keyboard.press("Tab")
    until(
        lambda: case(held) is not None and case(held).club("9i").length_m == 0.904, "the length in the case"
    )
    settle(held)
    assert length.input_value() == "90.4" != first
    assert [c.id for c in case(held).bag if c.length_m == 0.904] == ["9i"]


def test_steps_pressed_one_after_the_other_end_at_the_last(held):
    held.page.evaluate("holdBack(true)")
    for step in ("hit", "layout", "play", "build"):
        press(held, BUTTONS[step])
        until(lambda step=step: headings(held) == [step], f"the step {step}", 5)
    held.page.evaluate(FRAMES)
    press(held, BUTTONS["play"])
    held.page.evaluate("holdBack(false)")
    until(
        held.page.get_by_role("button", name="Turn", exact=True).first.is_visible,
        "the last step to be filled",
    )
    settle(held)
    assert headings(held) == ["play"]
    shown = [words for _, words, _ in held.page.evaluate("frames")]
    assert HEADINGS["play"] in shown
    assert {w for w in shown[shown.index(HEADINGS["play"]) :] if w in HEADINGS.values()} == {HEADINGS["play"]}
    held.page.go_back()
    shows(held, "build")


def test_back_shows_the_step_before_at_once(held):
    go(held, "hit")
    go(held, "layout")
    held.page.evaluate("holdBack(true)")
    held.page.go_back()
    until(lambda: headings(held) == ["hit"], "the step before", 5)
    held.page.evaluate("holdBack(false)")
    settle(held)
    assert headings(held) == ["hit"]


def test_what_stands_in_a_field_goes_along_to_the_next_step(held):
    held.page.get_by_label("Height").first.fill("183")
    held.page.evaluate("holdBack(true)")
    press(held, BUTTONS["hit"])
    until(lambda: headings(held) == ["hit"], "the step", 5)
    held.page.evaluate("holdBack(false)")
    until(lambda: case(held) is not None and case(held).player.height_m == 1.83, "the height")


@pytest.mark.soak  # measures, for the bench
@pytest.mark.parametrize("slower", [1, 4])
def test_how_soon_a_step_is_shown(person, slower):
    person.open(link.make(demo_case()).hash)
    session = person.page.context.new_cdp_session(person.page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    person.page.evaluate(FRAMES)
    for turn in ("first", "again"):
        for step in ("measure", "hit", "layout", "build", "play"):
            press(person, BUTTONS[step])
            shows(person, step)
            settle(person)
            frames = person.page.evaluate("frames")
            shown = next(t for t, words, _ in frames if words == HEADINGS[step])
            busy = [t for t, _, busy in frames if busy]
            sign = f"sign {busy[0]:.0f} to {busy[-1]:.0f}" if busy else "no sign"
            print(f"{slower}x {turn} {step}: shown {shown:.0f} ms, {sign}")
