"""Part swings: their names on Hit, and the wedge table on Play and on the card."""

from __future__ import annotations

from functools import partial
from typing import Any

from app import bridge, edits, styles
from app.dates import today
from app.html import Safe, bullets, h3, join, note, p, stacked, table, tag
from app.phrases import phrases
from app.phrases.lines import brief
from app.phrases.marks import Marks
from app.phrases.say import NOT_KNOWN, listed, many
from app.phrases.sets import apart, between_carries, swung
from app.state import State
from app.units import unit
from app.widgets import (
    Chips,
    Choice,
    Fold,
    NumberField,
    Sure,
    TextField,
    button,
    classes,
    html,
    line,
    put,
    show,
    stack,
)
from engine.course.wedge_table import BALLS, WedgeCarry, WedgeTable
from engine.documents.case import SwingSize
from engine.documents.fields import SWING_SIZE, WANTS, Text
from engine.fitting.fitting import Fitting

FIRST_NAMES = ("to the hip", "to the chest", "to the shoulder")
"""Names to begin with at a tap; any other can be typed."""
FEW = ("no", "one", "two", "three")[BALLS]
NAME_IT = f"Name a part swing under Hit and note {FEW} balls of it."


class Sizes:
    """A fold in which the player names part swings, renames them, and says which clubs they are for."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.chosen = ""
        self.fold = Fold("Part swings", self._build, refresh=self.refresh)
        classes(self.fold.body, ["foot", "comes", "off"])  # opened from above, it comes into view
        self.built = False

    def _build(self) -> Any:
        rule = SWING_SIZE["name"]
        assert isinstance(rule, Text)
        self.told = html()
        self.fault = html()
        self.named = TextField(
            "Name of a new part swing", lambda: "", self._typed, most=rule.most, clears=True
        )
        self.quick = [button(name, partial(self._add, name)) for name in FIRST_NAMES]
        self.which = Choice(
            "Part swing to change", {"\u2013": ""}, lambda: self.chosen, self._choose, listed=True
        )
        self.name = TextField("Its name", self._name, self._rename, most=rule.most)
        self.clubs = Chips("For these clubs only (none chosen: all wedges)", {}, self._clubs, self._meant_for)
        self.drop = Sure(
            "Remove this part swing and its balls",
            self._to_remove,
            self._remove,
            what="remove",
            where=lambda: self.chosen,
        )
        self.change = stack(
            self.which.view,
            line(self.name.view, cls="fields"),
            self.clubs.view,
            line(self.drop.head),
            self.drop.view,
        )
        self.built = True
        return stack(
            self.told,
            line(*self.quick),
            line(self.named.view, button("Add part swing", lambda: None), cls="fields low"),
            self.fault,
            self.change,
        )

    @property
    def size(self) -> SwingSize | None:
        sizes = self.state.case.swing_sizes
        return next((size for size in sizes if size.id == self.chosen), sizes[-1] if sizes else None)

    def _edit(self, edit: Any, what: str) -> bool:
        done = self.state.change(edit, what)
        put(self.fault, "" if done else note(p(self.state.refusal), warn=True))
        return done

    def _typed(self, text: str) -> None:
        if text.strip():
            self._add(text.strip())

    def _add(self, name: str) -> None:
        if self._edit(lambda case: edits.add_size(case, name), f"part swing \u201c{name}\u201d added"):
            self.chosen = self.state.case.swing_sizes[-1].id
            bridge.announce(f"Part swing {name} added")
        self.refresh()

    def _choose(self, size_id: str) -> None:
        self.chosen = size_id
        self.refresh()

    def _name(self) -> str:
        return self.size.name if self.size else ""

    def _rename(self, text: str) -> None:
        size = self.size
        if size is not None and text.strip():
            self._edit(edits.size(size.id, name=text.strip()), f"part swing \u201c{size.name}\u201d renamed")

    def _clubs(self) -> list[str]:
        return list(self.size.clubs) if self.size else []

    def _meant_for(self, clubs: list[str]) -> None:
        size = self.size
        if size is not None:
            order = [c.id for c in self.state.case.carried if c.id in clubs]
            self._edit(edits.size(size.id, clubs=tuple(order)), f"clubs of \u201c{size.name}\u201d changed")

    def _to_remove(self) -> str:
        size, case = self.size, self.state.case
        if size is None:
            return ""
        hit = sum(round(s.balls) for s in case.shots if s.swing_size == size.id)
        return (
            f"Remove \u201c{size.name}\u201d and {many(hit, 'ball')}?"
            if hit
            else f"Remove \u201c{size.name}\u201d?"
        )

    def _remove(self) -> None:
        size = self.size
        if size is not None:
            self._edit(
                lambda case: edits.drop_size(case, size.id), f"part swing \u201c{size.name}\u201d removed"
            )
            self.state.tell_done(f"Part swing {size.name} removed.")

    def refresh(self) -> None:
        sizes = self.state.case.swing_sizes
        self.fold.rename(f"Part swings: {len(sizes)}" if sizes else "Part swings")
        if not (self.built and self.fold.open):
            return
        if self.size is not None and self.chosen != self.size.id:
            self.chosen = self.size.id
        put(
            self.told,
            p(
                "Name a swing of your own that is less than full: tap a name, or type one. When a wedge is chosen it "
                f"stands below the clubs: choose it there before you add its carries; {FEW} balls are enough to begin with. "
                "Part swings are for wedges only, unless you choose clubs here. They say nothing of your full swing.",
                cls="small",
            ),
        )
        names = {size.name for size in sizes}
        for item in self.quick:
            item.disabled = item.label in names  # it stays in its place: a second tap must not name another
        show(self.change, bool(sizes))
        if sizes:
            self.which.refresh(self._options())
            self.name.refresh()
            self.drop.refresh()
            self.clubs.refresh(
                {c.name or c.id: c.id for c in self.state.case.carried if c.family != "putter"}
            )

    def _options(self) -> dict[str, str]:
        """The part swings by name; of several alike with their clubs."""
        sizes = self.state.case.swing_sizes
        alike = [size.name for size in sizes]
        return {
            size.name
            if alike.count(size.name) == 1
            else f"{size.name} ({', '.join(size.clubs) or 'wedges'})": size.id
            for size in sizes
        }


def unknown_line(fitting: Fitting, layout_id: str) -> str:
    """What would let a part swing answer a shorter distance than a full one."""
    found = fitting.wedge_table_of(layout_id)
    if found is None:
        return NAME_IT
    unhit = [size.name for size in found.sizes if not size.balls]
    if not unhit:
        return f"A shorter part swing would answer: name one under Hit and note {FEW} balls of it."
    return f"Nobody has hit these part swings: {listed(unhit)}. Note {FEW} balls of one under Hit."


class WedgeCard:
    """The wedge table, printed with the card, and the gaps between its carries with the one that is wanted."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.card = html(sheet=styles.CARD_PRINT, cls="printed card")
        self.said = html()
        self.gap = NumberField(
            state,
            "Widest gap wanted between wedge carries",
            "gap",
            WANTS["part_gap_m"],
            lambda case: case.wants.part_gap_m,
            edits.wants("part_gap_m"),
        )
        self.view = stack(self.card, self.said, line(self.gap.view, cls="fields"), cls="sheet")

    def refresh(self) -> None:
        found = self.state.fitting.wedge_table
        show(self.view, found is not None)
        if found is None:
            return
        self.gap.refresh()
        of = h3(tag("span", self.state.store.entry.name), tag("span", today(), cls="when"))
        put(self.card, join(of, wedges(found, self.state.units, Marks(self.state.fitting))))
        put(self.said, gaps(found, self.state.units, Marks(self.state.fitting)))


def gaps(found: WedgeTable, system: str, marks: Marks) -> Safe:
    """The gaps from the shortest iron down that are wider than wanted as the carries are shown, and the lofts that would
    close those between wedges.
    """
    wanted = unit("gap", system).shown(found.wanted_gap_m)
    at = [(marks(swung(c.name, c.size_name), c.club, c.swing_size), c.carry_m.mean) for c in found.carries]
    pairs = [(at[g.longer], at[g.shorter]) for g in found.gaps]
    if top := found.top:
        pairs.insert(0, ((marks(swung(top.name, ""), top.club), top.longer_m), at[top.wedge]))
    wide = [(a, b) for a, b in pairs if apart(a[1], b[1], system) > round(wanted, 1)]
    start = "the shortest iron" if top else "the longest wedge"
    fine = f"From {start} down no gap is wider than {unit('gap', system).brief(found.wanted_gap_m)}."
    said = bullets([between_carries(a, b, system) for a, b in wide]) if wide else p(fine)
    if not any(c.swing_size and not c.hit_first for c in found.carries):
        none = "No part swing has been hit yet, so nothing is known below the shortest full wedge."
        said = join(said, p(none, cls="small"))
    asked = phrases(found.statements, system)
    lofts = (
        p("With these lofts, which are in the set to build under Build:", cls="small")
        if len(asked) > 1
        else ""
    )
    return join(said, lofts, bullets(asked) if asked else "")


def part_rows(found: WedgeTable | None, system: str, marks: Marks) -> tuple[tuple[str, str, str], ...]:
    """Club and swing, carry and 90 % range of every part swing that is known, longest first."""
    shown = unit("carry", system)
    known = [c for c in found.carries if c.swing_size and not c.hit_first] if found is not None else []
    return tuple(
        (
            f"{brief(c.club, c.name)}, {c.size_name}",
            marks(shown.text(c.carry_m.mean), c.club, c.swing_size),
            f"{shown.text(c.carry_m.lo90)}\u2013{shown.text(c.carry_m.hi90)}",
        )
        for c in sorted(known, key=lambda c: -c.carry_m.mean)
    )


def wedges(found: WedgeTable, system: str, marks: Marks) -> Safe:
    """Clubs by swing size with their carries and ranges; what is predicted is marked, what is too rough is not given."""
    shown = unit("carry", system)
    names = list(dict.fromkeys(c.size_name for c in found.carries))
    clubs = list(dict.fromkeys((c.club, brief(c.club, c.name)) for c in found.carries))
    cells = {(c.club, c.size_name): c for c in found.carries}

    def cell(one: WedgeCarry | None) -> object:
        if one is None:
            return "\u2013"
        if one.hit_first:
            return NOT_KNOWN
        ends = f"{shown.text(one.carry_m.lo90)}\u2013{shown.text(one.carry_m.hi90)}"
        return stacked(marks(shown.text(one.carry_m.mean), one.club, one.swing_size), ends)

    rows = [[name, *(cell(cells.get((club, size))) for size in names)] for club, name in clubs]
    return join(
        table(
            [f"Club ({shown.name})", *(size or "full" for size in names)],
            rows,
            caption=f"Wedges by swing, carry ({shown.name}) and 90 % range",
        ),
        *[p(words, cls="small") for words in (marks.nobody, marks.legend) if words],
    )
