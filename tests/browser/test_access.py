"""For those who do not see, point or hear as others do: axe-core's findings, and the whole path by keyboard alone."""

from pathlib import Path

import axe_playwright_python
import pytest
from walk import HEADINGS, go, until, visit

from app import link
from app.demo import demo_case

AXE = next(Path(axe_playwright_python.__file__).parent.rglob("axe.min.js"))
LOOKS = {
    "light": {"theme": "light", "contrast": "normal"},
    "dark": {"theme": "dark", "contrast": "normal"},
    "high contrast": {"theme": "light", "contrast": "high"},
}


@pytest.fixture(scope="module")
def person(chromium):
    with visit(chromium, width=390, fragment=link.make(demo_case()).hash, device_scale_factor=1) as someone:
        someone.page.evaluate(AXE.read_text(encoding="utf-8"))
        yield someone


@pytest.mark.parametrize("step", HEADINGS)
def test_axe_finds_nothing_serious(person, step):
    """axe-core (its own rules, all of them) in each look; what it calls serious or critical fails."""
    go(person, step)
    for look, values in LOOKS.items():
        person.page.evaluate("(values) => Object.assign(document.documentElement.dataset, values)", values)
        found = person.page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
        bad = [
            (
                v["id"],
                v["impact"],
                [n["html"][:120] for n in v["nodes"][:3]],
                v["nodes"][0].get("failureSummary", "")[:300],
            )
            for v in found["violations"]
            if v["impact"] in ("serious", "critical")
        ]
        assert bad == [], f"{step} in {look}"
        assert found["passes"] or found["violations"] is not None


FOCUSED = """() => { let e = document.activeElement; while (e?.shadowRoot?.activeElement) e = e.shadowRoot.activeElement;
  if (!e || e === document.body) return '';
  const label = e.labels?.[0]?.textContent || e.getRootNode().querySelector?.('label')?.textContent;
  return (e.ariaLabel || (e.tagName === 'INPUT' || e.tagName === 'SELECT' ? label : '') || e.textContent || '')
    .replace(/\\s+/g, ' ').trim() }"""


def tab_to(person, name, *, most=60):
    """Press the tabulator until the focus stands on what is called so."""
    for _ in range(most):
        if name in person.page.evaluate(FOCUSED):
            return
        person.page.keyboard.press("Tab")
    raise AssertionError(f"{name!r} was not reached in {most} presses; at {person.page.evaluate(FOCUSED)!r}")


def test_the_whole_path_by_keyboard_alone(chromium):
    with visit(chromium, width=1280, height=850) as person:
        keys = person.page.keyboard
        for label, text in (("Height", "178"), ("Wingspan", "181")):
            tab_to(person, label)
            keys.type(text)
            keys.press("Enter")
        tab_to(person, "Next: hit some balls")
        keys.press("Enter")
        heading = person.page.get_by_role("heading", name=HEADINGS["hit"], exact=True).first
        until(heading.is_visible, "Hit")
        for club, carries in (("7i", ("138", "141")), ("9i", ("117", "115"))):
            tab_to(person, club, most=120)
            keys.press("Enter")
            tab_to(person, "Carry, ", most=120)
            for carry in carries:
                keys.type(carry)
                keys.press("Enter")
                until(lambda: person.page.get_by_label("Carry, ").first.input_value() == "", "ball taken")
        tab_to(person, "Next: lay out", most=120)
        keys.press("Enter")
        until(lambda: any(d["mean"] for d in person.sources()), "carries drawn")
        before = person.sources()
        tab_to(person, "Common length", most=120)
        keys.press("ArrowRight")
        until(lambda: person.sources() != before, "the slider's redraw")
        tab_to(person, "Discard", most=160)
        keys.press("Enter")
        until(lambda: person.sources() == before, "what was tried is put back")
        for button, step in (("Next: build it", "build"), ("Next: play it", "play")):
            tab_to(person, button, most=160)
            keys.press("Enter")
            heading = person.page.get_by_role("heading", name=HEADINGS[step], exact=True).first
            until(heading.is_visible, step)
        tab_to(person, "Distance to carry", most=160)
        keys.type("120")
        keys.press("Enter")
        until(lambda: "chance of landing within" in person.text(), "what to hit")
