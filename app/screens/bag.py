"""The bag editor: a table to look at, one club at a time to edit, so that it works on a narrow screen."""

from __future__ import annotations

from typing import Any

from app import edits
from app.html import p, table
from app.state import State
from app.units import unit
from app.widgets import Choice, Fold, NumberField, TextField, button, classes, html, line, put, show, stack
from engine.documents.case import Club
from engine.documents.fields import CLUB
from engine.workshop.norms import NORMS, norm_club

FAMILY_NAMES = {
    "Driver": "driver",
    "Fairway wood": "fairway",
    "Hybrid": "hybrid",
    "Iron": "iron",
    "Wedge": "wedge",
    "Putter": "putter",
}
MATERIALS = {"Not known": None, "Forged": "forged", "Cast": "cast"}


class BagEditor:
    """Prefilled from common norms; every change can be undone."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.chosen = ""
        self.removed: Club | None = None  # taken out last, until another is chosen: a second tap meant it too
        self.fields: list[Any] = []
        self.fold = Fold(self._title(), self._build, refresh=self.refresh)

    def _title(self) -> str:
        return f"The bag: {len(self.state.case.carried)} clubs"

    def _build(self) -> Any:
        self.table = html()
        self.pick = Choice("Club to edit", self._options(), self._picked, self._choose, listed=True)
        self.fields = [
            TextField(
                "Club name",
                lambda: self.club.name,
                lambda text: self._edit("name", text.strip() or self.club.id),
            ),
            Choice(
                "Kind", FAMILY_NAMES, lambda: self.club.family, lambda v: self._edit("family", v), listed=True
            ),
            self._number("Length", "club", "length_m"),
            self._number("Loft", "set_angle", "loft_deg"),
            self._number("Lie", "set_angle", "lie_deg"),
            self._number("Head mass", "mass", "head_kg"),
            self._number("Bounce", "set_angle", "bounce_deg", needed=False),
            Choice(
                "Head made",
                MATERIALS,
                lambda: self.club.head_material,
                lambda v: self._edit("head_material", v),
                listed=True,
            ),
            self._number("Can be bent by", "set_angle", "bend_limit_deg", needed=False),
        ]
        self.former = stack(
            html(
                p(
                    "This is a club as it was before the build. It is carried no more, and its balls still count for "
                    "the swing."
                )
            ),
            line(button("Carry it again", self._carry_again, cls="quiet")),
        )
        self.new_id = ""
        self.remove = button("Remove", self._remove)
        self.new = Choice("A usual club to add", self._norms(), lambda: self.new_id, self._new, listed=True)
        self.row = line(*[getattr(f, "view", f) for f in self.fields], cls="fields")
        return stack(
            html(p("Filled in from common norms (common practice; makers differ). Change what you know.")),
            self.table,
            self.pick.view,
            self.former,
            self.row,
            line(
                button("Move up", lambda: self._move(-1)),
                button("Move down", lambda: self._move(1)),
                button("Duplicate", self._copy),
                self.remove,
                button("Put the usual set back", self._usual, cls="quiet"),
            ),
            line(self.new.view, button("Add it", self._add), cls="fields low"),
        )

    def _norms(self) -> dict[str, str]:
        have = {c.id for c in self.state.case.bag}
        free = {n.name: n.id for n in NORMS.values() if n.id not in have}
        if self.new_id not in free.values():
            self.new_id = next(iter(free.values()), "")
        return free or {"\u2013": ""}

    def _new(self, club_id: str) -> None:
        self.new_id = club_id

    def _add(self) -> None:
        if self.new_id:
            club = norm_club(self.new_id, self.state.case.player.sex)
            self.chosen = club.id
            self.state.change(lambda case: edits.add_club(case, club), f"{club.name} added")

    @property
    def club(self) -> Club:
        bag = self.state.case.bag
        return next((c for c in bag if c.id == self.chosen), bag[0])

    def _options(self) -> dict[str, str]:
        out: dict[str, str] = {f"{self.removed.name} removed: choose a club": ""} if self.removed else {}
        for club in self.state.case.bag:
            name = club.name or club.id
            out[name if name not in out else f"{name} [{club.id}]"] = club.id
        return out

    def _number(self, label: str, quantity: str, name: str, *, needed: bool = True) -> NumberField:
        return NumberField(
            self.state,
            label,
            quantity,
            CLUB[name],
            lambda case: getattr(self.club, name),
            lambda case, value: edits.club(self.club.id, name)(case, value),
            needed=needed,
        )

    def _picked(self) -> str:
        return "" if self.removed else self.club.id

    def _choose(self, club_id: str) -> None:
        self.chosen, self.removed = club_id, None
        for item in self.fields:
            if isinstance(item, NumberField):
                item._fault = ""
        self.refresh()

    def _edit(self, name: str, value: Any) -> None:
        self.state.change(
            lambda case: edits.club(self.club.id, name)(case, value), f"{self.club.name}: {name} changed"
        )

    def _move(self, by: int) -> None:
        if not self.removed:
            self.state.change(lambda case: edits.move_club(case, self.club.id, by), "club moved")

    def _copy(self) -> None:
        if self.removed:
            return
        before = {c.id for c in self.state.case.bag}
        self.state.change(lambda case: edits.copy_club(case, self.club.id), "club duplicated")
        self.chosen = next((c.id for c in self.state.case.bag if c.id not in before), self.chosen)
        self.refresh()

    def _remove(self) -> None:
        bag = self.state.case.bag
        if len(bag) > 1 and not self.removed:
            gone, club = bag.index(self.club), self.club
            beside = bag[gone + 1] if gone + 1 < len(bag) else bag[gone - 1]
            if self.state.change(lambda case: edits.drop_club(case, club.id), f"{club.name} removed"):
                self._choose(beside.id)
                self.removed = club
                self.refresh()

    def _carry_again(self) -> None:
        self.state.change(
            lambda case: edits.carry_again(case, self.club.id), f"{self.club.name} carried again"
        )

    def _usual(self) -> None:
        self.state.change(edits.usual_bag, "usual set put back")

    def refresh(self) -> None:
        self.fold.rename(self._title())
        if not self.fold.open or not self.fields:
            return
        if self.removed in self.state.case.bag:  # undone
            self.removed = None
        self.pick.refresh(self._options())
        show(self.former, self.club.became is not None)
        classes(self.row, ["fields", "blank"] if self.removed else ["fields"])
        if self.remove.disabled != bool(self.removed):
            self.remove.disabled = bool(self.removed)
        self.new.refresh(self._norms())
        for item in self.fields:
            item.refresh()
        system = self.state.units
        length, angle, mass = (unit(q, system) for q in ("club", "set_angle", "mass"))
        put(
            self.table,
            table(
                ["Club", f"Length ({length.name})", "Loft (\u00b0)", "Lie (\u00b0)", "Head (g)"],
                [
                    [
                        c.name or c.id,
                        length.text(c.length_m),
                        angle.text(c.loft_deg),
                        angle.text(c.lie_deg),
                        mass.text(c.head_kg),
                    ]
                    for c in self.state.case.bag
                ],
                caption="Clubs in the bag",
            ),
        )
