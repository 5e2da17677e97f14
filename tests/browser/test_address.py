"""The page's own address, links from elsewhere and two tabs, in a real Chromium: nobody is doubled or opened over."""

import json
import random
from contextlib import contextmanager
from dataclasses import replace

import pytest
from conftest import PHONE, Person
from walk import go, until

from app import bridge, edits, link
from app.demo import demo_case
from app.players import new_case
from app.state import State
from engine.documents.case import Case, Shot

STORE = """async (text) => {
  const { Storage } = await import("./storage.js");
  const storage = new Storage();
  const found = await storage.read();
  if (text !== null) await storage.save(text);
  const aside = await storage.aside();
  storage.channel.close();
  return [text ?? found, aside.length];
}"""

FOCUSED = """(function at(root) { const item = root.activeElement;
  return item?.shadowRoot ? at(item.shadowRoot) : item?.textContent })(document)"""


@contextmanager
def device(chromium, served):
    """One browser profile, a page on it that only looks into the store, and a maker of tabs."""
    context = chromium.new_context(**PHONE)
    shelf = context.new_page()
    shelf.goto(served.address + "manifest.webmanifest")
    tabs: list[Person] = []

    def tab(fragment: str = "") -> Person:
        tabs.append(Person(context, served.address))
        tabs[-1].open(fragment)
        return tabs[-1]

    yield tab, lambda text=None: shelf.evaluate(STORE, text)
    faults = [fault for one in tabs for fault in one.faults + one.outside]
    context.close()
    assert faults == []


@pytest.fixture
def here(chromium, served):
    with device(chromium, served) as made:
        yield made


def players(stored) -> list[tuple[str, int]]:
    """Of everybody stored: the name and how many balls."""
    text = stored()[0]
    if text is None:
        return []
    return [(p["case"]["player"]["label"], len(p["case"]["shots"])) for p in json.loads(text)["players"]]


def store_of(*cases: Case) -> str:
    """A store as an earlier visit left it, the last player open."""
    players = [
        {"id": f"q{n}", "archived": False, "case": case.to_doc(), "trial": None}
        for n, case in enumerate(cases)
    ]
    return json.dumps(State().to_doc() | {"open": players[-1]["id"], "players": players})


def named(label: str, case: Case | None = None) -> Case:
    return edits.player("label")(case or new_case(), label)


def session() -> Case:
    """13 clubs, 65 balls with all that a launch monitor tells: too much for a link."""
    noise = random.Random(3)
    case = named("Range session")
    bag = tuple(replace(c, name=f"{c.name} {noise.randrange(10**12)}") for c in case.bag)
    balls = tuple(
        Shot(
            club.id,
            noise.uniform(60, 200),
            ball_speed_mps=noise.uniform(35, 60),
            launch_deg=noise.uniform(10, 30),
            spin_rpm=noise.uniform(3000, 9000),
            club_speed_mps=noise.uniform(30, 45),
            side_m=noise.gauss(0, 6),
        )
        for club in bag[:13]
        for _ in range(5)
    )
    return replace(case, bag=bag, shots=balls)


def who(tab: Person) -> str:
    return tab.page.locator(".who").first.inner_text()


def add_ball(tab: Person, carry: str) -> None:
    go(tab, "hit")
    field = tab.page.get_by_label("Carry").first
    field.fill(carry)
    field.press("Enter")
    until(lambda: field.input_value() == "", "the ball to be taken")


def leave(tab: Person) -> None:
    """As when the person looks at something else: the page saves and brings its address up to date."""
    tab.page.evaluate("dispatchEvent(new Event('pagehide'))")
    tab.page.wait_for_timeout(1500)


def test_loading_the_page_again_and_again_opens_what_is_stored(here):
    tab, stored = here
    stored(store_of(session()))
    one = tab()
    for _ in range(2):
        leave(one)
        one.page.reload()
        one.ready()
        assert who(one) == "Range session"
    add_ball(one, "151")
    leave(one)
    one.page.reload()
    one.ready()
    leave(one)
    assert players(stored) == [("Range session", 66)]
    assert one.page.evaluate("location.hash").startswith("#player-")
    document = json.loads(stored()[0])
    assert document["players"][0]["case"]["shots"][0]["spin_rpm"] is not None


def test_load_what_is_stored_opens_the_newer_player_and_adds_nobody(here):
    tab, stored = here
    stored(store_of(demo_case()))
    balls = len(demo_case().shots)
    one = tab()
    add_ball(one, "139")
    leave(one)
    older = one.page.evaluate("location.hash")
    assert (
        older.startswith("#v2.") and players(stored)[0][1] == balls + 1
    )  # the ball of today is another session
    two = tab(older)
    add_ball(two, "140")
    leave(two)
    notice = one.page.locator("[data-notice=othertab]")
    until(notice.is_visible, "the notice")
    assert one.page.evaluate("location.hash") == older
    with one.page.expect_navigation():
        notice.get_by_role("button", name="Load what is saved").tap()
    one.ready()
    leave(one)
    assert players(stored) == [(demo_case().player.label, balls + 2)]
    # nor does a bookmark of then, in a new tab or in this one
    three = tab(older)
    leave(three)
    assert three.page.evaluate("location.hash") != older
    three.page.evaluate("older => { location.hash = older }", older)
    until(lambda: three.page.evaluate("location.hash") != older, "the address of now")
    leave(three)
    assert players(stored) == [(demo_case().player.label, balls + 2)]
    assert not three.page.get_by_role("button", name="Stay with the linked player").is_visible()


ANSWERS = {
    "Stay with the linked player": (demo_case().player.label, ["Mine", demo_case().player.label]),
    "Back to mine, keep both": ("Mine", ["Mine", demo_case().player.label]),
    "Back to mine, remove the linked one": ("Mine", ["Mine"]),
}


@pytest.mark.parametrize("answer", ANSWERS)
def test_a_link_from_elsewhere_is_asked_about_and_every_answer_does_as_it_says(here, answer):
    tab, stored = here
    stored(store_of(named("Mine")))
    made = link.make(demo_case()).hash
    pasted = answer == "Back to mine, keep both"
    one = tab("" if pasted else made)
    if pasted:
        one.page.evaluate("made => { location.hash = made }", made)
    button = one.page.get_by_role("button", name=answer)
    until(button.is_visible, "the question")
    assert "You were working on \u201cMine\u201d" in one.text()
    if answer.startswith("Stay"):
        one.shot("question-phone")
        width = one.page.evaluate("document.documentElement.scrollWidth")
        assert width <= 390
        leave(one)
        one.page.reload()  # not answered yet
        one.ready()
        until(button.is_visible, "the question again")
    for name in ANSWERS:
        box = one.page.get_by_role("button", name=name).bounding_box()
        assert box["height"] >= 44 and box["x"] >= 0 and box["x"] + box["width"] <= 390
    button.tap()
    until(lambda: not button.is_visible(), "the answer to be taken")
    open_, all_ = ANSWERS[answer]
    until(lambda: who(one) == open_, "the player")
    leave(one)
    assert [name for name, _ in players(stored)] == all_
    one.page.reload()
    one.ready()
    assert who(one) == open_
    assert not button.is_visible()


def test_a_link_put_in_while_the_page_wakes_up_is_opened(here):
    tab, stored = here
    stored(store_of(named("Mine")))
    one = tab()
    one.page.goto("about:blank")
    one.page.goto(one.address, wait_until="commit")
    one.until("document.documentElement.dataset.state == 'starting'")
    one.page.evaluate("made => { location.hash = made }", link.make(demo_case()).hash)
    one.ready()
    until(lambda: who(one) == demo_case().player.label, "the linked player")
    leave(one)
    assert len(players(stored)) == 2


def test_players_set_aside_are_cleared_only_when_they_are_added_and_stored(here):
    tab, stored = here
    full = [named(f"Player {n}") for n in range(500)]
    stored(store_of(*full))
    one = tab()
    until(lambda: who(one) == "Player 499", "the last one")
    go(one, "players")
    stored(store_of(named("From the other tab")))
    one.tap("Remove", exact=True)
    one.tap("Yes, remove")
    notice = one.page.locator("[data-notice=aside]")
    until(notice.is_visible, "the notice")
    one.tap("Undo")
    until(lambda: who(one) == "Player 499", "all of them")
    leave(one)
    assert stored()[1] == 1
    notice.get_by_role("button", name="Add its players here").tap()
    until(lambda: "the copy is kept" in notice.inner_text(), "the refusal", 60)
    assert stored()[1] == 1, "cleared although it was refused"
    one.tap("Remove", exact=True)
    one.tap("Yes, remove")
    until(lambda: who(one) != "Player 499", "room for one")
    notice.get_by_role("button", name="Add its players here").tap()
    until(lambda: stored()[1] == 0, "cleared", 60)
    assert ("From the other tab", 0) in players(stored)
    assert not notice.is_visible()


def test_a_link_that_cannot_be_copied_is_shown_and_not_put_into_the_address(here):
    tab, stored = here
    stored(store_of(session()))
    one = tab()
    leave(one)
    address = one.page.evaluate("location.hash")
    one.page.evaluate(
        """() => { navigator.share = undefined;
        navigator.clipboard.writeText = () => Promise.reject(new Error('no')) }"""
    )
    go(one, "players")
    one.tap("Share the link")
    field = one.page.locator("[data-notice=share] input")
    until(field.is_visible, "the link to copy")
    assert link.read(field.input_value().removeprefix(one.address)).notes
    assert one.page.evaluate("location.hash") == address
    assert "only their carries" in one.text()


def test_a_name_in_the_list_opens_its_player_by_thumb_and_by_keys(here):
    tab, stored = here
    stored(store_of(named("Anna"), named("Bea")))
    one = tab()
    go(one, "players")
    one.page.get_by_label("Tags, with commas between").fill("left-handed")  # not yet told to the dashboard
    anna, bea = (one.page.get_by_role("button", name=name, exact=True) for name in ("Anna", "Bea"))
    for name in (anna, bea):
        box = name.bounding_box()
        assert box["height"] >= 44 and box["width"] >= 44
    anna.tap()
    until(lambda: who(one) == "Anna", "Anna")
    assert anna.get_attribute("aria-current") == "true"
    bea.focus()
    one.page.keyboard.press("Enter")
    until(lambda: who(one) == "Bea" and bea.get_attribute("aria-current") == "true", "Bea")
    assert one.page.evaluate(FOCUSED) == "Bea", "whoever goes by keys stays in the list"
    leave(one)
    tags = [p["case"]["player"].get("tags", []) for p in json.loads(stored()[0])["players"]]
    assert tags == [[], ["left-handed"]]


@pytest.fixture(autouse=True)
def no_page():
    bridge.install(None)
    yield
    bridge.outbox.clear()
