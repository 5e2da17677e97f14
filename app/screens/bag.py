"""The bag editor: a bag to start from, clubs in and out, a row of figures at once, then one club at a time."""

from __future__ import annotations

from functools import partial
from typing import Any

from app import bridge, edits
from app.html import join, note, p, table
from app.phrases import phrases
from app.phrases.say import many
from app.rows import FIGURES, GROUPS, QUANTITIES, read_row
from app.screens.asking import Asking
from app.screens.bench import SwingWeightField
from app.state import State
from app.units import Unreadable, unit
from app.widgets import (
    Chips,
    Choice,
    Fold,
    NumberField,
    TextField,
    button,
    classes,
    html,
    line,
    put,
    show,
    stack,
)
from engine.documents.case import FIGURES as FIGURES_OF_CLUB
from engine.documents.case import SWING_WEIGHT, Club
from engine.documents.fields import CLUB
from engine.workshop.bending import history
from engine.workshop.known import not_measured
from engine.workshop.norms import NORMS, norm_club, start_bag
from engine.workshop.sleeve import face_of

FAMILY_NAMES = {
    "Driver": "driver",
    "Fairway wood": "fairway",
    "Hybrid": "hybrid",
    "Iron": "iron",
    "Wedge": "wedge",
    "Putter": "putter",
}
STARTS = {
    "Usual men\u2019s clubs": "men",
    "Usual women\u2019s clubs": "women",
    "Stronger lofts": "stronger",
    "Weaker lofts": "weaker",
}
MATERIALS = {"Not known": None, "Forged": "forged", "Cast": "cast"}


class BagEditor:
    """Prefilled from common norms; every change can be undone."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.chosen = ""
        self.removed: Club | None = None  # taken out last, until another is chosen: a second tap meant it too
        self.fields: list[Any] = []
        self.away: dict[
            tuple[str, str], Club
        ] = {}  # taken out by its chip, with its figures: (player, id) -> club
        self.group, self.figure, self.typed = "Irons", "Loft", ""
        self.start, self.template, self.of = "", "", ("", "")
        self.fold = Fold(self._title(), self._build, refresh=self.refresh)

    def _title(self) -> str:
        return f"The bag: {many(len(self.state.case.carried), 'club')}"

    def _build(self) -> Any:
        self.table, self.unmeasured = html(), html()
        self.all = line(button("All figures were measured", self._all_measured, cls="quiet"))
        self.chips = Chips("Clubs carried", self._chips(), self._carried, self._carry)
        self.starts = Choice("Start from", self._starts(), lambda: self.start, self._start, listed=True)
        self.name = TextField("Name of this bag", lambda: self.template, self._name, passing=True)
        self.keep = Fold("Keep this bag to start others from", self._keeping)
        self.row_text = TextField(
            "Figures of several clubs", lambda: self.typed, self._row, most=200, clears=True
        )
        self.row_text.view.placeholder = "26 by 4"
        self.row_said = html()
        self.asking = Asking(self.state)
        self.one = Fold("One club at a time", self._one, refresh=self._refresh_one)
        return stack(
            html(
                p(
                    "Filled in from common practice, which varies from maker to maker. Take out what is not in the "
                    "bag, put in what is, then set the figures you know. Clear a figure that nobody knows: it is then "
                    "estimated from the other clubs, and the carries allow for the doubt."
                )
            ),
            line(self.starts.view, button("Use this bag", self._use), cls="fields low"),
            self.chips.view,
            line(
                Choice("For", {g: g for g in GROUPS}, lambda: self.group, self._for, listed=True).view,
                Choice("Set", {f: f for f in FIGURES}, lambda: self.figure, self._set, listed=True).view,
                self.row_text.view,
                cls="fields low",
            ),
            self.row_said,
            self.table,
            self.unmeasured,
            self.all,
            stack(self.one.view, self.asking.fold.view, self.keep.view, cls="folds"),
        )

    def _one(self) -> Any:
        self.pick = Choice("Club to edit", self._options(), self._picked, self._choose, picks=True)
        self.fields = [
            TextField(
                "Club name",
                lambda: self.club.name,
                self._rename,
            ),
            Choice(
                "Kind", FAMILY_NAMES, lambda: self.club.family, lambda v: self._edit("family", v), listed=True
            ),
            self._number("Length", "club", "length_m"),
            self._number("Loft", "set_angle", "loft_deg"),
            self._number("Lie", "set_angle", "lie_deg"),
            self._number("Head mass", "mass", "head_kg"),
            self._number("Measured swing weight", "count", SWING_WEIGHT, SwingWeightField),
            self._number("Bounce", "set_angle", "bounce_deg"),
            Choice(
                "Head material",
                MATERIALS,
                lambda: self.club.head_material,
                lambda v: self._edit("head_material", v),
                listed=True,
            ),
            self._number("Maximum bend", "set_angle", "bend_limit_deg"),
            self._number("Bent so far, loft (weak +)", "set_angle", "bent_loft_deg"),
            self._number("Bent so far, lie (upright +)", "set_angle", "bent_lie_deg"),
            self._number("Shaft mass, as cut", "mass", "shaft_kg"),
            TextField(
                "Shaft flex",
                lambda: self.club.shaft_flex or "",
                lambda text: self._edit("shaft_flex", text.strip() or None),
                most=20,
            ),
            self._number("Tip trim", "length_change", "tip_trim_m"),
            self._number("Butt trim at the bench", "length_change", "butt_trim_m"),
            self._number("Grip mass", "mass", "grip_kg"),
            self._number("Sleeve adds loft", "set_angle", "sleeve_deg"),
        ]
        self.former = stack(
            html(
                p(
                    "This is the club as it was before the build. It is no longer carried, but its balls still count for "
                    "the swing."
                )
            ),
            line(button("Carry it again", self._carry_again, cls="quiet")),
        )
        self.sleeve = html()
        self.remove = button("Remove", self._remove)
        self.row = line(*[getattr(f, "view", f) for f in self.fields], cls="fields")
        return stack(
            self.pick.view,
            self.former,
            self.row,
            self.sleeve,
            line(
                button("Move up", lambda: self._move(-1)),
                button("Move down", lambda: self._move(1)),
                button("Duplicate", self._copy),
                self.remove,
                button("Measured as shown", self._measured),
                button("Put the usual set back", self._usual, cls="quiet"),
            ),
        )

    # a bag to start from

    def _starts(self) -> dict[str, str]:
        out = dict(STARTS)
        out |= {f"Kept: {t.name}": f"kept {t.name}" for t in self.state.store.templates}
        for entry in self.state.store.players:
            if entry.id != self.state.store.open and entry.case.carried:
                name, number = f"Bag of {entry.name}", 2
                while name in out:
                    name, number = f"Bag of {entry.name} ({number})", number + 1
                out[name] = f"player {entry.id}"
        usual = "women" if self.state.case.player.sex == "female" else "men"
        whose = (self.state.store.open, usual)
        stale = self.start not in out.values() or self.start in ("men", "women")
        if self.of[0] != whose[0] or (
            self.of != whose and stale
        ):  # a choice is one player's, and goes with who it is
            self.start = usual
        self.of = whose
        return out

    def _start(self, start: str) -> None:
        self.start = start

    def _use(self) -> None:
        kind, _, which = self.start.partition(" ")
        store = self.state.store
        if kind == "kept":
            clubs = next(t.bag for t in store.templates if t.name == which)
        elif kind == "player":
            clubs = next(e.case.carried for e in store.players if e.id == which)
        else:
            clubs = start_bag(kind, sex=self.state.case.player.sex)
        if self.state.change(edits.use_bag(clubs), "another bag"):
            stay = [c.name or c.id for c in self.state.case.carried if c.id not in {x.id for x in clubs}]
            self._say(
                f"{many(len(clubs), 'club')}."
                + (f" Kept for their balls: {', '.join(stay)}." if stay else "")
            )

    def _keeping(self) -> Any:
        return line(
            self.name.view,
            button("Keep it", self._keep),
            button("Remove the bag chosen above", self._forget, cls="quiet"),
            cls="fields low",
        )

    def _name(self, text: str) -> None:
        self.template = text.strip()

    def _keep(self) -> None:
        if not self.template:
            self._say("Give this bag a name first.")
            return
        self.state.keep_template(self.template, self.state.case.carried)
        self.start = f"kept {self.template}"
        self._say(f"\u201c{self.template}\u201d is kept on this device.")
        self.template = ""
        self.refresh()

    def _forget(self) -> None:
        kind, _, name = self.start.partition(" ")
        if kind == "kept":
            self.state.drop_template(name)
            self._say(f"\u201c{name}\u201d was taken out.")

    # clubs in and out, each by its chip

    def _chips(self) -> dict[str, str]:
        """Every usual club and the bag's own, in an order that no tap changes."""
        out: dict[str, str] = {}
        own = [
            *self.state.case.carried,
            *(c for (who, _), c in self.away.items() if who == self.state.store.open),
        ]
        named = {c.id: chip_name(c) for c in own}
        more = sorted(set(named) - set(NORMS))
        for club_id in (*NORMS, *more):
            name = named.get(club_id) or chip_name(norm_club(club_id))
            out[name if name not in out else f"{name} [{club_id}]"] = club_id
        return out

    def _carried(self) -> list[str]:
        return [c.id for c in self.state.case.carried]

    def _carry(self, wanted: list[str]) -> None:
        """Bring the bag in step with the chips."""
        open_ = self.state.store.open
        for club_id in [i for i in self._carried() if i not in wanted]:
            case = self.state.case
            club = case.club(club_id)
            if len(case.bag) == 1:
                self._say("A bag needs at least one club.")
                break
            balls = sum(s.club == club_id for s in case.shots)
            name = club.name or club.id
            self.away[open_, club_id] = club
            edited, beside = self.club == club, self._beside(club)
            if self.state.change(partial(edits.drop_club, club_id=club_id), f"{name} taken out"):
                with_balls = (
                    f" with {balls} ball{'s' if balls > 1 else ''}; Undo brings all back" if balls else ""
                )
                self._say(f"{name} taken out{with_balls}.")
                if edited:
                    self._choose(beside.id)
        for club_id in [i for i in wanted if i not in self._carried()]:
            club = self.away.get((open_, club_id)) or norm_club(club_id, self.state.case.player.sex)
            if self.state.change(partial(edits.add_club, new=club), f"{club.name or club_id} put in"):
                self._say(f"{club.name or club_id} put in.")
                self._choose(club_id)

    # a row of figures

    def _for(self, group: str) -> None:
        self.group = group

    def _set(self, figure: str) -> None:
        self.figure = figure

    def _row(self, text: str) -> None:
        if not text.strip():
            self.typed = ""
            return
        system = self.state.units
        try:
            row = read_row(text, self.state.case.bag, system, group=self.group, figure=self.figure)
        except Unreadable as error:
            self.typed = text  # stays to be mended
            self._say(f"\u201c{text[:40]}\u201d {error}.", warn=True)
            return
        self.typed = ""
        figure = next(label for label, name in FIGURES.items() if name == row.name)
        ids = [c.id for c in row.clubs]
        if self.state.change(
            edits.row(ids, row.name, row.values), f"{figure.lower()} of {many(len(ids), 'club')} set"
        ):
            shown = unit(QUANTITIES[row.name], system)
            each = ", ".join(
                f"{c.name or c.id} {shown.text(v)}" for c, v in zip(row.clubs, row.values, strict=True)
            )
            self._say(f"{figure} ({shown.name}): {each}.")

    def _say(self, words: str, *, warn: bool = False) -> None:
        put(self.row_said, note(p(words), warn=True) if warn else p(words, cls="small"))
        bridge.announce(words)

    # one club at a time

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

    def _number(
        self, label: str, quantity: str, name: str, kind: type[NumberField] = NumberField
    ) -> NumberField:
        field = kind(
            self.state,
            label,
            quantity,
            CLUB[name],
            lambda case: None if name in self._unsaid() else getattr(self.club, name),
            lambda case, value: edits.club(self.club.id, name)(case, value),
            measured=True,
        )
        field.name = name
        return field

    def _picked(self) -> str:
        return "" if self.removed else self.club.id

    def _choose(self, club_id: str) -> None:
        self.chosen, self.removed = club_id, None
        for item in self.fields:
            if isinstance(item, NumberField):
                item.forget()
        self.refresh()

    def _edit(self, name: str, value: Any) -> None:
        what = {"family": "kind", "head_material": "head material"}.get(name, name)
        self.state.change(
            lambda case: edits.club(self.club.id, name)(case, value), f"{self.club.name}: {what} changed"
        )

    def _rename(self, text: str) -> None:
        what = f"{self.club.name}: name changed"
        self.state.change(lambda case: edits.club_name(case, self.club.id, text), what)

    def _move(self, by: int) -> None:
        if not self.removed:
            self.state.change(lambda case: edits.move_club(case, self.club.id, by), f"{self.club.name} moved")

    def _copy(self) -> None:
        if self.removed:
            return
        before = {c.id for c in self.state.case.bag}
        self.state.change(lambda case: edits.copy_club(case, self.club.id), f"{self.club.name} duplicated")
        self.chosen = next((c.id for c in self.state.case.bag if c.id not in before), self.chosen)
        self.refresh()

    def _remove(self) -> None:
        bag = self.state.case.bag
        if len(bag) > 1 and not self.removed:
            club, beside = self.club, self._beside(self.club)
            if self.state.change(lambda case: edits.drop_club(case, club.id), f"{club.name} removed"):
                self._choose(beside.id)
                self.removed = club
                self.refresh()

    def _beside(self, club: Club) -> Club:
        """The club to go on with when this one leaves the bag."""
        bag = self.state.case.bag
        at = bag.index(club)
        return bag[at + 1] if at + 1 < len(bag) else bag[at - 1]

    def _carry_again(self) -> None:
        self.state.change(
            lambda case: edits.carry_again(case, self.club.id), f"{self.club.name} carried again"
        )

    def _unsaid(self) -> set[str]:
        """What nobody knows of the club, and a swing weight that a bench was to make and no scale has shown."""
        return {name for name, _ in self.club.estimated} | ({SWING_WEIGHT} & set(self.club.ordered))

    def _measured(self) -> None:
        name = self.club.name or self.club.id
        if self.state.change(edits.as_measured([self.club.id]), f"{name}: measured as shown"):
            self._say(f"{name}: its figures count as measured.")

    def _all_measured(self) -> None:
        if self.state.change(edits.as_measured(self._carried()), "all figures measured"):
            self._say("The figures of the bag count as measured, but for those with \u201cabout\u201d.")

    def _usual(self) -> None:
        self.state.change(edits.usual_bag, "usual set put back")

    def refresh(self) -> None:
        self.fold.rename(self._title())
        if not self.fold.open:
            return
        self.chips.refresh(self._chips())
        self.starts.refresh(self._starts())
        self._refresh_one()
        self._refresh_table()

    def _refresh_one(self) -> None:
        if not self.one.open or not self.fields:
            return
        if self.removed in self.state.case.bag:  # undone
            self.removed = None
        self.pick.refresh(self._options())
        show(self.former, self.club.became is not None)
        classes(self.row, ["fields", "blank"] if self.removed else ["fields"])
        if self.remove.disabled != bool(self.removed):
            self.remove.disabled = bool(self.removed)
        for item in self.fields:
            item.refresh()
            if isinstance(item, NumberField):
                self._guess(item)
        put(self.sleeve, self._sleeve())

    def _sleeve(self) -> str:
        """What a sleeve that is set does to loft and face."""
        club, angle = self.club, unit("angle", self.state.units)
        if not club.sleeve_deg:
            return ""
        closed = face_of(club)
        way = "closed" if closed > 0 else "open"
        return p(
            f"With the sleeve so set it plays {angle.text(club.played_loft_deg)}\u00b0 of loft once the face is square; "
            f"soled flat, the face sits about {angle.text(abs(closed))}\u00b0 {way}.",
            cls="small",
        )

    def _guess(self, field: NumberField) -> None:
        """Where a figure is not known, what is taken for it, in the empty field."""
        value = getattr(self.club, field.name)
        guess = f"about {unit(field.quantity, self.state.units).text(value)}"
        if field.name in ("bent_loft_deg", "bent_lie_deg"):
            _, total = history(self.club, field.name.removeprefix("bent_"))
            told = unit(field.quantity, self.state.units).text(total)
            field.stand_in(f"back, {told} in all" if total else "")
            return
        field.stand_in(guess if field.name in dict(self.club.estimated) else "")

    def _refresh_table(self) -> None:
        system = self.state.units
        told = not_measured(self.state.case.carried)
        put(self.unmeasured, join(*[p(words, cls="small") for words in phrases(told, system)]))
        show(self.all, any(s.kind != "known.estimated" for s in told))
        length, angle, mass = (unit(q, system) for q in ("club", "set_angle", "mass"))
        put(
            self.table,
            table(
                ["Club", f"Length ({length.name})", "Loft (\u00b0)", "Lie (\u00b0)", "Head (g)"],
                [
                    [
                        c.name or c.id,
                        *(
                            ("about " if name in dict(c.estimated) else "") + shown.text(getattr(c, name))
                            for name, shown in zip(FIGURES_OF_CLUB, (length, angle, angle, mass), strict=True)
                        ),
                    ]
                    for c in self.state.case.carried
                ],
                caption="Clubs in the bag",
            ),
        )


def chip_name(club: Club) -> str:
    """Short enough for a chip, and still in words where there is no number."""
    known = NORMS.get(club.id)
    if known is None or (club.name or known.name) != known.name:
        return club.name or club.id
    return club.id.upper() if club.family == "wedge" else club.name
