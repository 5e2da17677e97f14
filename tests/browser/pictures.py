"""The README's pictures from the built site in Chromium, and a sheet that shows them beside each other.

Run as a program (``build.py pictures``) it writes ``site/images/*.png`` at 390 x 844 and prints where the sheet is.
A page that errs or asks for anything outside the site stops it.
"""

from __future__ import annotations

import os
import shutil

from conftest import FLAGS, ROOT, SITE
from playwright.sync_api import sync_playwright
from walk import go, settle, until, visit

from app import edits, link
from app.demo import demo_case

IMAGES = SITE / "images"
SHEET = ROOT / ".cache" / "pictures.png"
SIZE = {"width": 390, "height": 844}
# name: (step, what stands at the top of the picture, what it shows)
PICTURES = {
    "layout": ("layout", "Carries", "Lay out: carries"),
    "build": ("build", "Clubs to change", "Build"),
    "play": ("play", "", "Play"),
}
QUIET_LOOKS, LOOK_MS = 4, 250  # a second without a notice
DISTANCE = "128"  # [m] asked for under Play


def take(chromium) -> list[str]:
    """One page for all pictures; the made-up player, a single length to build."""
    IMAGES.mkdir(exist_ok=True)
    case = edits.wants("layout")(demo_case(), "single")
    made = []
    with visit(chromium, **SIZE, fragment=link.make(case).hash, device_scale_factor=1) as person:
        person.offline_ready()  # its notice comes a moment later and is shut with the others
        person.page.evaluate("document.documentElement.dataset.theme = 'light'")
        for name, (step, to, _) in PICTURES.items():
            go(person, step)
            if step == "play":
                field = person.page.get_by_label("Distance to carry").first
                field.fill(DISTANCE)
                field.press("Enter")
                until(lambda: "chance of landing within" in person.text(), "the club for a distance")
            show(person, to)
            person.page.screenshot(path=IMAGES / f"{name}.png")
            made.append(name)
    return made


def show(person, to: str) -> None:
    """Scroll so that what the picture is of stands at its top, and shut the notices that would lie over it."""
    if to:
        place = person.page.get_by_text(to).locator("visible=true").first
        place.evaluate("e => { e.scrollIntoView({block: 'start'}); scrollBy(0, -16) }")
    settle(person)
    clear(person)


def clear(person) -> None:
    """Shut every notice, and wait long enough to see that none comes after: one is put up a moment late."""
    quiet = 0
    while quiet < QUIET_LOOKS:
        shut = [x for x in person.page.locator("#notices button").all() if x.is_visible()]
        for button in shut[:1]:
            button.tap()
        quiet = 0 if shut else quiet + 1
        person.page.wait_for_timeout(LOOK_MS)
    settle(person)
    assert not person.page.locator("#notices .shell-note").locator("visible=true").count(), (
        "a notice is in the picture"
    )


def sheet(chromium, names: list[str]) -> None:
    """All pictures in one row, each with its name."""
    page = chromium.new_page(viewport={"width": 410 * len(names), "height": 900})
    figures = "".join(
        f'<figure style="margin:8px"><img src="{(IMAGES / f"{n}.png").as_uri()}" width="390"><figcaption>{PICTURES[n][2]}'
        "</figcaption></figure>"
        for n in names
    )
    file = SHEET.with_suffix(".html")
    file.parent.mkdir(exist_ok=True)
    file.write_text(
        f'<body style="display:flex;margin:0;font:16px sans-serif">{figures}</body>', encoding="utf-8"
    )
    page.goto(file.as_uri())
    page.screenshot(path=SHEET, full_page=True)
    page.close()


def main() -> None:
    path = os.environ.get("FETTLE_CHROMIUM") or shutil.which("chromium")
    with sync_playwright() as running:
        chromium = running.chromium.launch(executable_path=path, args=FLAGS)
        names = take(chromium)
        sheet(chromium, names)
        chromium.close()
    for name in names:
        print(f"site/images/{name}.png  {(IMAGES / f'{name}.png').stat().st_size:,} bytes")
    print(f"sheet: {SHEET.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
