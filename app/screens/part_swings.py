"""Part swings: their names on Hit, and the wedge table on Play and on the card."""

from __future__ import annotations

from functools import partial
from typing import Any

from app import bridge, edits
from app.html import Safe, join, note, p, stacked, table
from app.state import State
from app.units import unit
from app.widgets import (
    Chips,
    Choice,
    Fold,
    TextField,
    button,
    html,
    line,
    put,
    show,
    stack,
)
from engine.course.wedge_table import BALLS, WedgeCarry, WedgeTable
from engine.documents.case import SwingSize
from engine.documents.fields import SWING_SIZE, Text

FIRST_NAMES = ("to the hip", "to the chest", "to the shoulder")
"""Names to begin with at a tap; any other can be typed."""
NAME_IT = f"Name a part swing under Hit and note {('no', 'one', 'two', 'three')[BALLS]} balls of it."


class Sizes:
    """A fold in which the player names part swings, renames them, and says which clubs they are for."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.chosen = ""
        self.fold = Fold("Part swings", self._build, refresh=self.refresh)
        self.built = False

    def _build(self) -> Any:
        rule = SWING_SIZE["name"]
        assert isinstance(rule, Text)
        self.told = html()
        self.fault = html()
        self.named = TextField(
            "Name of a new part swing", lambda: "", self._typed, most=rule.most, passing=True
        )
        self.quick = [button(name, partial(self._add, name)) for name in FIRST_NAMES]
        self.which = Choice("Part swing to change", {}, lambda: self.chosen, self._choose)
        self.name = TextField("Its name", self._name, self._rename, most=rule.most)
        self.clubs = Chips("For these clubs only (none chosen: all wedges)", {}, self._clubs, self._meant_for)
        self.change = stack(
            self.which.view,
            line(self.name.view, cls="fields"),
            self.clubs.view,
            line(button("Remove this part swing and its balls", self._remove)),
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

    def _remove(self) -> None:
        size = self.size
        if size is not None:
            self._edit(
                lambda case: edits.drop_size(case, size.id), f"part swing \u201c{size.name}\u201d removed"
            )
            bridge.announce(f"Part swing {size.name} removed")

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
                "Name a swing of your own that is less than full: tap a name, or type one. It then stands below the clubs, "
                f"where you choose it before you add its carries; {('no', 'one', 'two', 'three')[BALLS]} balls are enough "
                "to begin with. They say nothing of your full swing.",
                cls="small",
            ),
        )
        self.named.refresh()
        names = {size.name for size in sizes}
        for item in self.quick:
            show(item, item.label not in names)
        show(self.change, bool(sizes))
        if sizes:
            self.which.refresh(self._options())
            self.name.refresh()
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


def swing_of(size: SwingSize | None) -> str:
    """The part swing as it follows a club's name; nothing for a full one."""
    return "" if size is None else f", {size.name}"


def wedges(found: WedgeTable, system: str) -> Safe:
    """Clubs by swing size with their carries and ranges; what is predicted is marked, what is too rough is not given."""
    shown = unit("carry", system)
    names = list(dict.fromkeys(c.size_name for c in found.carries))
    clubs = list(dict.fromkeys((c.club, c.name) for c in found.carries))
    cells = {(c.club, c.size_name): c for c in found.carries}

    def cell(one: WedgeCarry | None) -> object:
        if one is None:
            return "\u2013"
        if one.hit_first:
            return "hit it first"
        ends = f"{shown.text(one.carry_m.lo90)}\u2013{shown.text(one.carry_m.hi90)}"
        return stacked(shown.text(one.carry_m.mean) + ("" if one.balls else "*"), ends)

    rows = [[name, *(cell(cells.get((club, size))) for size in names)] for club, name in clubs]
    open_ = any(not c.balls and not c.hit_first for c in found.carries)
    return join(
        table(
            ["Club", *(size or "full" for size in names)],
            rows,
            caption=f"Wedges by swing, carry ({shown.name}) and 90 % range",
        ),
        p("* Not hit yet: predicted from other balls.", cls="small") if open_ else "",
    )
