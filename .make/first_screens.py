"""The first two screens as plain HTML, which a page shows and takes entries in before the dashboard is there, the card, and
the headings of the others.

They are drawn from the dashboard's own parts and style sheets, so that every control stands where it will stand. Widgets
live in shadow roots, these do not: what a sheet says of its host it says here of a class of its own.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from html import escape
from typing import Any

# what Bokeh's own sheets add to ours, as far as it shows
BASE = """
.w{box-sizing:border-box;position:relative;display:block;width:fit-content;height:fit-content;max-width:100%;flex:0 0 auto;
align-self:start;min-width:0;min-height:0}
.w .bk-input-group{position:relative;display:inline-flex;flex-flow:column nowrap;white-space:nowrap}
.w .bk-input-group>label{align-self:flex-start}.w .bk-input-container{display:flex;width:100%;height:100%}
.w .bk-input{position:relative;display:inline-block;flex-grow:1;resize:none}.w .bk-input:focus{outline-offset:1px}
.w .bk-btn-group{display:flex;flex-flow:row nowrap}.w .bk-btn{display:inline-block;vertical-align:middle;text-align:center}
.w .bk-btn.bk-btn{line-height:calc(20/14)}
"""
SKIPPED = ("off", "question")


def first_screens() -> tuple[str, str]:
    """Markup, and the style sheet that goes with it."""
    from app import styles
    from app.html import p
    from app.main import Page
    from app.screens.hit import GRIP_NAMES, GRIP_NAMES_CM
    from app.units import unit
    from app.widgets import html, stack

    page = Page({})
    measure: Any = page.screens[0]
    hit: Any = page.screens[1]
    content: Any = page.view[1]
    card = stack(html(cls="card", sheet=styles.CARD_PRINT), cls="sheet off")
    steps = page.screens[:5]
    later = steps[2:]
    for screen in later:
        what = "The club for a distance comes" if screen is later[-1] else "Opens"
        screen.view.append(html(p(f"{what} as soon as Fettle has loaded.")))
    later[-1].view.append(card)
    hit.fill()
    hit.day.fold.head.label = "Today: weather and place"  # the page knows which day that is
    names = {}
    for widget, name in (
        (measure.height.view, "height"),
        (measure.wingspan.view, "wingspan"),
        (measure.units.widget, "units"),
        (measure.start, "start"),
        (page.name, "who"),
        (hit.clubs.widget, "clubs"),
        (hit.entry, "carry"),
        (hit.tally, "tally"),
        (hit.stats, "stats"),
        (hit.list.head, "list"),
        (hit.day.fold.head, "day"),
        (hit.undo_ball, "again"),
        (card, "card"),
    ):
        names[id(widget)] = name
    ids = {c.id: c.name for c in page.state.case.bag}
    of_grip = dict(zip(GRIP_NAMES_CM, GRIP_NAMES, strict=True))
    drawn = Drawn(names, ids, of_grip)
    inside = "".join(drawn.part(item) for item in (content[0], *(screen.view for screen in steps)))
    markup = drawn.host(page.view, drawn.part(page.steps) + drawn.host(content, inside))
    systems = ("metric", "imperial")
    words = {
        name: [f"{label} ({unit(quantity, s).name})" for s in systems]
        for name, label, quantity in (
            ("height", "Height", "body"),
            ("wingspan", "Wingspan", "body"),
            ("carry", "Carry, {}", "carry"),
        )
    }
    for name, (metric, imperial) in words.items():
        at = f'data-early="{name}"'
        markup = markup.replace(at, f'{at} data-metric="{metric}" data-imperial="{imperial}"')
    markup = markup.replace(
        'data-early="carry"', f'data-early="carry" data-limits="{escape(json.dumps(limits()))}"'
    )
    used = set(re.findall(r"[\w-]+", " ".join(re.findall(r'class="([^"]*)"', markup))))
    used |= {"short", "bad", "brief", "here", "other", "bk-active", "off", "when", "small", "scroll"}
    tags = set(re.findall(r"<([a-z]\w*)", markup))
    tags |= {"table", "caption", "thead", "tbody", "tr", "th", "td", "h3", "b"}
    css = "".join(needed(scoped(sheet, f".w{n}"), used, tags) for n, sheet in enumerate(drawn.sheets))
    return markup, BASE + css


def limits() -> dict[str, list[Any]]:
    """By units, the least and the greatest carry that can be typed, and what is said of a text that is no number, of one
    with three digits after its point, and of one beyond them.
    """
    from app.units import Unreadable, parse, unit
    from engine.documents.fields import SHOT

    rule: Any = SHOT["carry_m"]

    def refused(text: str, system: str) -> str:
        try:
            parse(text, "carry", system, low=rule.low, high=rule.high)
        except Unreadable as error:
            return str(error)
        raise AssertionError(text)

    out = {}
    for system in ("metric", "imperial"):
        shown = unit("carry", system)
        slack = 0.51 * 10.0**-shown.decimals
        ends = [shown.shown(rule.low) - slack, shown.shown(rule.high) + slack]
        out[system] = [*ends, *(refused(text, system) for text in ("x", "1.234", "99999"))]
    return out


class Drawn:
    """Draws Panel's parts as Bokeh would, and keeps the sheets that they use."""

    def __init__(self, names: dict[int, str], clubs: dict[str, str], imperial: dict[str, str]) -> None:
        self.names, self.clubs = names, clubs
        self.imperial = imperial  # by the words of a choice in metric units
        self.sheets: list[str] = []

    def host(self, item: Any, inside: str) -> str:
        sheet = "\n".join(item.stylesheets)
        if sheet not in self.sheets:
            self.sheets.append(sheet)
        name = self.names.get(id(item))
        early = f' data-early="{name}"' if name else ""
        classes = " ".join(["w", f"w{self.sheets.index(sheet)}", *item.css_classes])
        role = ' role="navigation" aria-label="Steps"' if "steps" in item.css_classes else ""
        return f'<div class="{classes}"{early}{role}>{inside}</div>'

    def part(self, item: Any) -> str:
        import panel as pn

        screen = any(name.startswith("at-") for name in item.css_classes)
        if any(name in SKIPPED for name in item.css_classes) and not screen and id(item) not in self.names:
            return ""
        if isinstance(item, (pn.Column, pn.Row)):
            return self.host(item, "".join(map(self.part, item)))
        if isinstance(item, pn.widgets.Button):
            return self.host(item, f'<div class="bk-btn-group">{self.button(item, item.label)}</div>')
        if isinstance(item, (pn.widgets.RadioButtonGroup, pn.widgets.CheckButtonGroup)):
            return self.host(item, f'<div class="bk-btn-group" role="group">{self.choices(item)}</div>')
        if isinstance(item, pn.widgets.TextInput):
            return self.host(item, self.field(item))
        if isinstance(item, pn.widgets.Select):
            option = f"<option>{escape(next(iter(item.options)))}</option>"
            field = f'<select class="bk-input" aria-label="{escape(item.label)}" disabled>{option}</select>'
            return self.host(item, grouped(f"<label>{escape(item.label)}</label>", field))
        return self.host(item, f"<div>{item.object}</div>")  # a pane of the app's own markup

    def button(self, item: Any, label: str) -> str:
        name = self.names.get(id(item))
        # what leads to a step does so at once or in the end
        usable = any(c in ("key", "enter", "menu") or c.startswith("to-") for c in item.css_classes)
        said = ' aria-label="delete last digit"' if "back" in item.css_classes else ""
        off = "" if usable or name == "start" else " disabled"
        return f'<button type="button" class="bk-btn"{said}{off}>{escape(label)}</button>'

    def choices(self, item: Any) -> str:
        name = self.names.get(id(item))
        out = []
        for label, value in item.options.items():
            chosen = value == item.value
            more = f' data-value="{escape(str(value))}"' if name else " disabled"
            more += f' data-name="{escape(self.clubs[value])}"' if name == "clubs" else ""
            if (other := self.imperial.get(label, label)) != label:
                more += f' data-metric="{escape(label)}" data-imperial="{escape(other)}"'
            on = " bk-active" if chosen else ""
            more += f' aria-pressed="{str(chosen).lower()}"'
            out.append(f'<button type="button" class="bk-btn{on}"{more}>{escape(label)}</button>')
        return "".join(out)

    def field(self, item: Any) -> str:
        name = self.names.get(id(item), "")
        at = f"early-{name}" if name else ""
        label = f"<label{f' for={at}' if at else ''}>{escape(item.label)}</label>"
        more = f'id="{at}" inputmode="decimal" autocomplete="off" enterkeyhint="done"' if at else "disabled"
        more += "" if at else f' aria-label="{escape(item.label)}"'
        most = f' maxlength="{item.max_length}"' if item.max_length else ""
        return grouped(label, f'<input class="bk-input" type="text" {more}{most}>')


def grouped(label: str, field: str) -> str:
    return f'<div class="bk-input-group">{label}<div class="bk-input-container">{field}</div></div>'


def rules(css: str) -> Iterable[tuple[str, str]]:
    """Heads and bodies of the rules at the top of a sheet."""
    at = 0
    while (opened := css.find("{", at)) >= 0:
        depth, end = 1, opened + 1
        while depth:
            depth += {"{": 1, "}": -1}.get(css[end], 0)
            end += 1
        yield css[at:opened].strip(), css[opened + 1 : end - 1]
        at = end


def selectors(head: str) -> list[str]:
    return [part.strip() for part in re.split(r",(?![^(]*\))", head)]


def scoped(css: str, host: str) -> list[tuple[str, Any]]:
    """The rules of a widget's sheet as rules about ``host`` and what is in it."""
    out: list[tuple[str, Any]] = []
    for head, body in rules(css):
        if head.startswith("@"):
            out.append((head, scoped(body, host)))
            continue
        mine = []
        for one in selectors(head):
            found = re.match(r":host(?:\(((?:[^()]|\([^()]*\))*)\))?", one)
            if found is None:
                mine.append(f"{host} {one}")
                continue
            of, rest = found[1] or "", one[found.end() :]
            mine.append(host + of + re.sub(r"^ (?=\S)", " ", rest))
        out.append((",".join(mine), " ".join(body.split())))
    return out


def needed(sheet: list[tuple[str, Any]], classes: set[str], tags: set[str]) -> str:
    """The rules that can apply to anything of these classes and tags, as text; nothing for print."""
    out = []
    for head, body in sheet:
        if head.startswith("@"):
            inner = "" if "print" in head else needed(body, classes, tags)
            if inner:
                out.append(f"{head}{{{inner}}}")
            continue
        kept = [one for one in selectors(head) if _can_apply(one, classes, tags)]
        if kept:
            out.append(f"{','.join(kept)}{{{body}}}")
    return "".join(out)


def _can_apply(selector: str, classes: set[str], tags: set[str]) -> bool:
    plain = re.sub(r":not\([^()]*\)|::?[\w-]+|\[[^\]]*\]", "", selector)
    named = {name for name in re.findall(r"\.([\w-]+)", plain) if not re.fullmatch(r"w\d+", name)}
    kinds = set(re.findall(r"(?<![\w.#-])([a-z]\w*)", plain))
    return named <= classes and kinds <= tags
