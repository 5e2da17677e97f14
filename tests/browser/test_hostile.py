"""Links and files as an attacker would make them, in a real browser: a canary that must never sing."""

from __future__ import annotations

import json
import time

import pytest
from conftest import PHONE, Person
from walk import BUTTONS, HEADINGS

from app import link
from app.demo import demo_case
from engine.documents.reading import restore
from tests.hostile_texts import CANARY, MARKUP, mutated

LONGEST = 60.0  # [s] for one answer on a busy machine; past it counts as hung
A_PAGE = 50  # texts fed to one loaded page

COUNT = """() => {
  const odd = ["iframe,object,embed,base,meta[http-equiv],#canary", "[onerror],[onload],[onmouseover],[srcdoc]",
    "a[href^=javascript]"].join();
  let found = 0, scripts = 0;
  const walk = (root) => { for (const e of root.querySelectorAll("*")) {
    if (e.matches(odd)) found++;
    if (e.tagName === "SCRIPT") scripts++;
    if (e.shadowRoot) walk(e.shadowRoot);
  } };
  walk(document);
  return [found, scripts, "canary" in globalThis, document.title];
}"""


class Target:
    """A loaded page that takes links by its address and files by its file field."""

    def __init__(self, person: Person) -> None:
        self.person, self.page = person, person.page
        person.open()
        self.clean = self.page.evaluate(COUNT)
        self.open_files()

    def menu(self) -> None:
        """One whole round through the worker: only a page that is not hung opens its menu."""
        button = self.page.get_by_role("button", name="Menu").first
        was = button.get_attribute("aria-expanded")
        button.tap()
        end = time.monotonic() + LONGEST
        while button.get_attribute("aria-expanded") == was:
            assert time.monotonic() < end, "hung"
            self.page.wait_for_timeout(20)

    def open_files(self) -> None:
        if self.page.get_by_role("button", name="Menu").first.get_attribute("aria-expanded") != "true":
            self.menu()
        self.person.tap("Players, share, files")
        self.page.get_by_label("Case file").first.wait_for(state="attached", timeout=LONGEST * 1000)

    def feed(self, kind: str, text: str) -> None:
        if kind == "link":
            self.page.evaluate("text => { location.hash = text }", text)
        else:
            self.page.get_by_label("Case file").first.set_input_files(
                {
                    "name": "case.json",
                    "mimeType": "application/json",
                    "buffer": text.encode("utf-8", "replace"),
                }
            )

    def look(self, told: str) -> None:
        text = self.person.text()
        assert "Traceback" not in text and "could not be done" not in text, told
        assert self.page.locator("#failure").is_hidden(), told
        assert self.page.locator("[data-notice=fault]").count() == 0, told
        assert self.page.evaluate(COUNT) == self.clean, told
        assert self.person.faults == [], told
        assert self.person.outside == [], told


def attack(chromium, served, *, count: int, seed: int, phone: dict) -> None:
    target = context = None
    try:
        for number, (kind, text) in enumerate(mutated(seed, count)):
            if number % A_PAGE == 0:
                if context:
                    context.close()
                context = chromium.new_context(**phone)
                target = Target(Person(context, served.address))
            target.feed(kind, text)
            target.menu()
            told = f"seed {seed}, number {number}, a {kind}"
            target.look(told)
            if number % 12 == 5:
                for step in ("layout", "build", "play", "hit", "measure"):
                    target.person.tap(BUTTONS[step])
                    heading = target.page.get_by_role("heading", name=HEADINGS[step], exact=True)
                    heading.first.wait_for(timeout=LONGEST * 1000)  # a step shuts the menu
                    target.menu()
                    target.look(f"{told}, {step}")
                target.open_files()
    finally:
        if context:
            context.close()


def test_mutated_links_and_files_in_a_real_browser(chromium, served):
    attack(chromium, served, count=25, seed=11, phone=PHONE)


@pytest.mark.soak
def test_five_hundred_mutated_links_and_files_in_a_real_browser(chromium, served):
    attack(chromium, served, count=500, seed=12, phone=PHONE)


def test_the_canary_can_sing(person):
    """The watch itself works: what is forbidden here is seen, by the policy and by the count."""
    person.open()
    clean = person.page.evaluate(COUNT)
    person.page.evaluate("html => document.body.insertAdjacentHTML('beforeend', html)", MARKUP[0])
    person.page.wait_for_timeout(300)
    assert person.page.evaluate(COUNT) != clean
    assert any("policy" in fault or "Content Security Policy" in fault for fault in person.faults)
    assert not person.page.evaluate("'canary' in globalThis"), "the policy lets inline script run"
    person.faults.clear()


@pytest.mark.parametrize("where", ["label", "club"])
def test_markup_in_names_is_shown_as_text_everywhere(person, where):
    doc = json.loads(json.dumps(demo_case().to_doc()))
    if where == "label":
        doc["player"]["label"] = MARKUP[0]
    else:
        for club in doc["bag"]:
            club["name"] = MARKUP[0][:40]
    person.open(link.make(restore(doc).case).hash)
    clean = None
    for step in ("1 Measure", "2 Hit", "3 Lay out", "4 Build", "5 Play"):
        person.tap(step)
        person.page.wait_for_timeout(400)
        clean = clean or person.page.evaluate(COUNT)
        assert person.page.evaluate(COUNT) == clean
    assert not person.page.evaluate("'canary' in globalThis")
    assert CANARY not in person.page.title()
