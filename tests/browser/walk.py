"""Walking through the page as a person does: from step to step, and what can be measured on each."""

import time
from contextlib import contextmanager

from conftest import Person, Served

HEADINGS = {
    "measure": "Measure the player",
    "hit": "Hit with at least two clubs",
    "layout": "Lay out the set",
    "build": "Build the set",
    "play": "What do I hit?",
    "players": "Players",
    "methods": "Methods and settings",
}
BUTTONS = {
    "measure": "1 Measure",
    "hit": "2 Hit",
    "layout": "3 Lay out",
    "build": "4 Build",
    "play": "5 Play",
    "players": "Players, share, files",
    "methods": "Methods and settings",
}
DEEP = """const deep = function* (root) { for (const e of root.querySelectorAll('*')) {
  yield e; if (e.shadowRoot) yield* deep(e.shadowRoot) } };
const seen = (e) => { const r = e.getBoundingClientRect(); return r.width > 1 && r.height > 1 &&
  getComputedStyle(e).visibility !== 'hidden' };"""

# The computed style of whatever holds words that are to be seen, in the page's shadow roots, each by `take`.
WORDS = """const words = (take) => {
  const out = [];
  const walk = (node) => {
    for (const part of node.childNodes) {
      if (part.nodeType === 1) { walk(part); if (part.shadowRoot) walk(part.shadowRoot); continue; }
      if (part.nodeType !== 3 || !part.textContent.trim()) continue;
      const inside = part.parentElement || part.getRootNode().host;
      if (!inside || inside.tagName === "STYLE" || inside.tagName === "SCRIPT") continue;
      const range = document.createRange();
      range.selectNodeContents(part);
      if ([...range.getClientRects()].some((r) => r.width > 1 && r.height > 1)) out.push(take(getComputedStyle(inside)));
    }
  };
  for (const host of document.querySelectorAll("*")) if (host.shadowRoot) walk(host.shadowRoot);
  return out };"""


@contextmanager
def visit(chromium, *, width, height=844, fragment="", **options):
    """A person with a page of this width; ends with no error on the page and nothing asked of another site."""
    site = Served()
    phone = width < 1000
    context = chromium.new_context(
        viewport={"width": width, "height": height}, has_touch=phone, is_mobile=phone, **options
    )
    someone = Person(context, site.address)
    try:
        someone.open(fragment)
        yield someone
        assert someone.faults == []
        assert someone.outside == []
    finally:
        context.close()
        site.stop()


def press(person, name, *, exact=False):
    """Tap with a finger or click with a mouse, as the page's device would."""
    target = person.page.get_by_role("button", name=name, exact=exact).first
    person.taps = getattr(person, "taps", 0) + 1
    target.tap() if person.page.viewport_size["width"] < 1000 else target.click()


def until(check, what, seconds=30):
    end = time.time() + seconds
    while not check():
        assert time.time() < end, f"not within {seconds} s: {what}"
        time.sleep(0.05)


def go(person, step):
    """To a step or place, by its button, until its heading stands there and nothing moves any more."""
    if step in ("players", "methods"):
        press(person, "Menu", exact=True)
        until(lambda: person.page.get_by_role("button", name=BUTTONS[step]).first.is_visible(), "the menu")
    press(person, BUTTONS[step])
    heading = person.page.get_by_role("heading", name=HEADINGS[step], exact=True).first
    until(heading.is_visible, f"the heading of {step}")
    settle(person)


def settle(person):
    """Wait until no work is under way and the page's height and text have stood still for a moment."""
    last, since = None, time.time()
    end = since + 20
    while time.time() < end:
        busy, *now = person.page.evaluate(
            "['busy' in document.documentElement.dataset, document.documentElement.scrollHeight,"
            " document.querySelectorAll('*').length]"
        )
        if busy or now != last:
            last, since = now, time.time()
        elif time.time() - since > 0.4:
            return
        time.sleep(0.05)


def open_fold(person, name):
    """Open one fold, if it is closed, and wait until it is."""
    head = person.page.get_by_role("button", name=name).first
    if head.get_attribute("aria-expanded") != "true":
        head.tap() if person.page.viewport_size["width"] < 1000 else head.click()
        until(lambda: head.get_attribute("aria-expanded") == "true", f"{name} to open")
    settle(person)


def unfold(person):
    """Open every fold of the screen, one after the other."""
    closed = person.page.get_by_role("button", expanded=False).filter(has_not_text="Menu", visible=True)
    for _ in range(40):
        if closed.count() == 0:
            return
        fold = closed.first.element_handle()
        fold.tap() if person.page.viewport_size["width"] < 1000 else fold.click()
        until(lambda fold=fold: fold.get_attribute("aria-expanded") == "true", "a fold to open")
        settle(person)
    raise AssertionError("folds without end")


def overflow(person):
    """How far the page can be scrolled sideways [px]."""
    return person.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")


def small_targets(person, least=44):
    """Controls that a thumb would miss: smaller than ``least`` [px] either way."""
    return person.page.evaluate(
        DEEP
        + """((least) => { const out = []; for (const e of deep(document)) {
          if (!e.matches('button,input,select,textarea,a[href],[role=slider],summary') || !seen(e)) continue;
          const r = e.getBoundingClientRect();
          if (r.width < least - 0.5 || r.height < least - 0.5)
            out.push(`${e.tagName} ${(e.ariaLabel || e.textContent || e.type || '').trim().slice(0, 30)} ` +
              `${Math.round(r.width)}x${Math.round(r.height)}`) } return out })"""
        + f"({least})"
    )


def squeezed(person, least):
    """Running text in a column narrower than ``least`` em of its own size."""
    return person.page.evaluate(
        DEEP
        + """((least) => { const out = []; for (const e of deep(document)) {
          if (!e.matches('p, li, td.words, .chance span') || !seen(e) || e.textContent.trim().length < 40) continue;
          const wide = e.getBoundingClientRect().width / parseFloat(getComputedStyle(e).fontSize);
          if (wide < least) out.push(`${e.tagName} ${e.textContent.trim().slice(0, 30)} ${wide.toFixed(1)} em`) }
          return out })"""
        + f"({least})"
    )


def clipped(person):
    """Buttons and headings whose words do not fit into them, and text that leaves the screen at the right."""
    return person.page.evaluate(
        DEEP
        + """(() => { const out = []; const wide = document.documentElement.clientWidth;
          const strip = (e) => getComputedStyle(e.parentElement ?? e).overflowX === 'auto'; // made to be pushed along
          for (const e of deep(document)) { if (!seen(e) || strip(e)) continue;
            if (e.matches('button,h1,h2,h3,label') && e.scrollWidth > e.clientWidth + 2)
              out.push(`${e.tagName} ${e.textContent.trim().slice(0, 30)} ${e.scrollWidth}>${e.clientWidth}`);
            if (e.matches('button,input,select,h1,h2,h3,p') && e.getBoundingClientRect().right > wide + 1)
              out.push(`off the screen: ${e.tagName} ${e.textContent.trim().slice(0, 30)}`) }
          return out })()"""
    )
