"""Hands and eyes of a person at the dashboard, for tests: press by label, type by label, read what is in view.

Only what is in view can be pressed, typed into or read: what stands under a part that is put away (class ``off``, or
``hushed`` where another part has its place), or on
another step, is not there.
"""

import html
import re
from dataclasses import replace
from types import SimpleNamespace

import panel as pn

from app import bridge
from app.main import Page
from engine.documents.case import Shot
from engine.fitting.fitting import Fitting

FIELDS = (pn.widgets.TextInput, pn.widgets.TextAreaInput)
CHOICES = (pn.widgets.Select, pn.widgets.RadioButtonGroup)
CHIPS = (pn.widgets.RadioButtonGroup, pn.widgets.CheckButtonGroup)
FOLLOWS = (
    " (",
    " ",
    ", ",
    ": ",
    "\n",
)  # what parts a label from its unit, its fault, its club, a count or its second line


def plain(markup):
    """The words of some markup, as they are read."""
    text = html.unescape(re.sub(r"<[^>]+>", " ", str(markup)))
    return re.sub(r"\s+", " ", text).strip()


def with_balls(case, balls):
    """The case with balls more just as they are, of no day unless they name one."""
    return replace(case, shots=(*case.shots, *balls))


def all_hit(case, draws=64):
    """The case with two balls more of every club that nobody hit, as they are foretold."""
    fitting = Fitting(case, draws)
    carries = zip(fitting.present, fitting.predict(fitting.present).carry.mean(axis=0), strict=True)
    balls = [Shot(c.id, carry_m=round(float(x), 1)) for c, x in carries if c.id not in fitting.clubs_hit]
    return with_balls(case, [ball for ball in balls for _ in range(2)])


def bare(shot):
    """A ball apart from its session, which is that of the day on which a test runs."""
    return replace(shot, session=None)


def take_in(person):
    """Say that the single-length set is built."""
    person.go("Build").choose("Set to build", next(n for n in person.options("Set to build") if "ingle" in n))
    person.press("It is built: make this the present bag")
    if person.sees("They came out as planned: use this as the present bag"):
        person.press("They came out as planned: use this as the present bag")
    return person


class Person:
    """Somebody at a page of their own; ``case`` is opened as a player, ``boot`` is what the page was started with."""

    def __init__(self, case=None, **boot):
        bridge.install(None)
        bridge.forget()
        bridge.outbox.clear()
        self.page = Page(boot)
        if case is not None:
            self.page.state.add_player(case)

    @classmethod
    def at(cls, page):
        """Somebody at a page that is there already."""
        person = cls.__new__(cls)
        person.page = page
        return person

    @property
    def state(self):
        return self.page.state

    @property
    def case(self):
        return self.page.state.case

    # what is in view

    def seen(self, kind=object):
        """Everything of a kind in view, in order."""

        def walk(item):
            if {"off", "hushed"} & {*(item.css_classes or [])}:
                return
            if isinstance(item, kind):
                yield item
            for part in item if isinstance(item, pn.layout.ListLike) else ():
                yield from walk(part)

        return list(walk(self.page.view))

    def find(self, label, kind=pn.widgets.Widget, place=None):
        """The one thing of a kind in view with this label, or the one at a place among several; a unit, a fault, a club
        or a second line may follow it."""
        found = [w for w in self.seen(kind) if w.label == label]
        begun = tuple(label + mark for mark in FOLLOWS)
        found = found or [w for w in self.seen(kind) if (w.label or "").startswith(begun)]
        labels = [w.label for w in self.seen(kind)]
        assert found, f"{label!r} is not in view; there are {labels}"
        assert place is not None or len(found) == 1, f"{label!r} is in view {len(found)} times"
        return found[place or 0]

    def sees(self, label, kind=pn.widgets.Widget):
        begun = (f"{label} (", f"{label}: ", f"{label}\n")
        return any(w.label == label or (w.label or "").startswith(begun) for w in self.seen(kind))

    def text(self):
        """All words in view."""
        return " ".join(plain(pane.object) for pane in self.seen(pn.pane.HTML))

    def markup(self):
        return " ".join(str(pane.object) for pane in self.seen(pn.pane.HTML))

    def rows(self, caption):
        """The table in view whose caption begins so: its rows as lists of cell texts, the head first."""
        for found in re.findall(r"<table.*?</table>", self.markup(), re.DOTALL):
            title = re.search(r"<caption>(.*?)</caption>", found, re.DOTALL)
            if title and plain(title[1]).startswith(caption):
                rows = re.findall(r"<tr(?! class=.paper).*?</tr>", found, re.DOTALL)
                return [[plain(c) for c in re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL)] for row in rows]
        raise AssertionError(f"no table {caption!r} is in view")

    def drawn(self, name):
        """The columns of everything drawn in the figure of that name."""
        (pane,) = [f for f in self.seen(pn.pane.Bokeh) if f"pic-{name}" in f.css_classes]
        return [
            {k: list(v) for k, v in r.data_source.data.items()} for r in pane.object.renderers if r.visible
        ]

    def figure(self, name):
        (pane,) = [f for f in self.seen(pn.pane.Bokeh) if f"pic-{name}" in f.css_classes]
        return pane.object

    # what is done

    def go(self, step):
        """To one of the five steps by the bar, to the others by the menu."""
        bar = {b.label.partition("\n")[2]: b for b in self.page.buttons}
        if step in bar:
            bar[step].clicks += 1
        else:
            self.press("Menu")
            self.press(step)
        return self

    def press(self, label, place=None):
        found = self.find(label, pn.widgets.Button, place)
        assert not found.disabled, f"{label!r} cannot be pressed now"
        found.clicks += 1
        return self

    def open(self, label, place=None):
        """Open the fold with this heading, if it is shut."""
        found = self.find(label, pn.widgets.Button, place)
        assert "fold" in found.css_classes
        if "open" not in found.css_classes:
            found.clicks += 1
        return self

    def type(self, label, text):
        field = self.find(label, FIELDS)
        field.value = text
        return self

    def enter(self, label, text):
        """Type a text and press Enter, the text that stands there too."""
        field = self.find(label, FIELDS)
        field._process_event(SimpleNamespace(event_name="enter-pressed", value_input=text))
        return self

    def value(self, label):
        return self.find(label, FIELDS).value

    def offered(self, label):
        """What a choice offers and stands for, by names with plain spaces."""
        return {
            name.replace("\u00a0", " "): value for name, value in self.find(label, CHOICES).options.items()
        }

    def options(self, label):
        return list(self.offered(label))

    def choose(self, label, option):
        offered = self.offered(label)
        assert option in offered, f"{label!r} offers {list(offered)}"
        self.find(label, CHOICES).value = offered[option]
        return self

    def chosen(self, label):
        now = self.find(label, CHOICES).value
        return next(name for name, value in self.offered(label).items() if value == now)

    def chip(self, name):
        """The group of the one chip in view with this name, a count may follow it, and what the chip stands for."""
        there = [(w, n.replace("\u00a0", " "), v) for w in self.seen(CHIPS) for n, v in w.options.items()]
        found = [(w, v) for w, n, v in there if n == name or n.startswith(f"{name} \u00b7 ")]
        assert found, f"no chip {name!r} is in view; there are {[n for _, n, _ in there]}"
        assert len(found) == 1, f"{len(found)} chips {name!r} are in view"
        return found[0]

    def open_player(self, name):
        """Press a name in the list of players."""
        names = re.findall(r'<button type="button" data-player="([^"]*)"[^>]*>(.*?)</button>', self.markup())
        found = [html.unescape(player) for player, said in names if plain(said) == name]
        assert len(found) == 1, f"{name!r} is in the list {len(found)} times: {[plain(n) for _, n in names]}"
        bridge.receive("player", {"player": found[0]})
        return self

    def tap(self, name):
        """Tap a chip: one of a choice is chosen, one of several changes between chosen and not."""
        group, value = self.chip(name)
        assert not group.disabled, f"{name!r} cannot be tapped now"
        if isinstance(group, pn.widgets.RadioButtonGroup):
            group.value = value
        elif value in group.value:
            group.value = [v for v in group.value if v != value]
        else:
            group.value = [*group.value, value]
        return self

    def tapped(self, name):
        """Whether a chip is chosen."""
        group, value = self.chip(name)
        several = isinstance(group, pn.widgets.CheckButtonGroup)
        return value in group.value if several else value == group.value

    def slide(self, label, value):
        slider = self.find(label, pn.widgets.FloatSlider)
        assert slider.start <= value <= slider.end
        slider.value = value
        return self

    def said(self, kind):
        """What was handed to the page of one kind, in order."""
        return [payload for what, payload in bridge.outbox if what == kind]
