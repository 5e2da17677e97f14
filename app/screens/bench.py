"""What came off the bench: beside what was ordered of a club, what was measured of it, and what differs too much."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from app import edits
from app.html import Safe, bullets, h3, join, note, p, tag
from app.state import State
from app.units import Unreadable, amount, as_typed, bench_length
from app.widgets import Choice, NumberField, html, line, put, stack
from engine.documents.case import SWING_WEIGHT, Case, Club, LeftAsIs
from engine.documents.fields import MEASURED
from engine.workshop.balance import swing_weight_label, swing_weight_of
from engine.workshop.bench import (
    SWING_WEIGHT_POINTS,
    TOLERANCE,
    Off,
    off_target,
    still_so,
    swing_weight_asked,
)
from engine.workshop.known import basis, known, points_within
from engine.workshop.limits import SMALLEST_BEND_DEG

FIGURES = {
    "length_m": ("Measured length", "club"),
    "loft_deg": ("Measured loft", "set_angle"),
    "lie_deg": ("Measured lie", "set_angle"),
    "head_kg": ("Measured head mass", "mass"),
}


def text(name: str, value: float | None, system: str, within: float | None = None) -> str:
    """A figure of a club as it is shown at the bench; ``within``: how far a swing weight that is calculated may be off."""
    if name == SWING_WEIGHT and value is not None:
        label = swing_weight_label(value, within=within)
        return label if within is None else f"{label} \u00b1 {within:.0f}"
    return amount(value, FIGURES[name][1], system)


def called(name: str) -> str:
    """A figure in a sentence, such as ``head mass``."""
    return "swing weight" if name == SWING_WEIGHT else FIGURES[name][0].removeprefix("Measured ")


def off_words(off: Off, club: Club, system: str) -> str:
    """``loft 33.5°, ordered 34.0°``; ``not the usual 34.0°`` where no change was ordered of the ``club`` as it was."""
    ordered = text(off.name, off.ordered, system, off.within)
    told = f"ordered {ordered}" if off.asked else f"not {stood(club, off.name, ordered)}"
    told += " (the scale and the weighed head disagree: weigh both again)" * off.weighed
    return f"{called(off.name)} {text(off.name, off.measured, system)}, {told}"


BECAUSE = {
    "least": "too little to bend again",
    "nearer": "as it is, it comes nearer to what is wanted",
    "weighed": "the weighed head does not account for it, so weigh club and head again before you change either",
    "calculated": "it was only calculated, and no head weight was ordered",
}


def left_words(one: LeftAsIs, club: Club, system: str) -> str:
    """``loft 33.7\u00b0, ordered 34\u00b0: left so, too little to bend again``; empty once the club is no longer so."""
    value = still_so(one, club)
    if value is None:
        return ""
    now, ordered = (text(one.figure, x, system) for x in (value, one.ordered))
    return f"{called(one.figure)} {now}, ordered {ordered}: left so, {BECAUSE[one.why]}"


NOT_ORDERED = "Not what the bag had, though no change was ordered:"
WAS = {
    "measured": "{} as measured before",
    "ordered": "{} as ordered",
    "usual": "the usual {}",
    "estimated": "an estimated {}",
}


def stood(club: Club, name: str, value: str) -> str:
    """What a club had of a figure before it was measured: ``the usual 34.0°``."""
    if name == SWING_WEIGHT and club.swing_weight_inoz is None:
        return f"a calculated {value}"
    return WAS["measured" if name == SWING_WEIGHT else basis(club, name)].format(value)


def off_by_order(
    off: dict[str, tuple[Off, ...]], present: Mapping[str, Club], system: str
) -> tuple[dict[str, str], dict[str, str]]:
    """By club in words what is off the order, and what is other than it was taken to be though nothing of it was ordered.

    present : the clubs as the bag had them
    """
    groups = (
        {
            i: "; ".join(off_words(x, present[i], system) for x in told if x.asked == asked)
            for i, told in off.items()
        }
        for asked in (True, False)
    )
    first, second = ({i: words for i, words in group.items() if words} for group in groups)
    return first, second


class SwingWeightField(NumberField):
    """A swing weight as the scale shows it, such as D2.5."""

    def _classes(self) -> list[str]:
        return ["bad"] * bool(self._fault)

    def _text(self) -> str:
        value = self.get(self.state.case)
        return "" if value is None else swing_weight_label(value)

    def _read(self, text: str) -> float | None:
        try:
            return swing_weight_of(text) if text.strip() else None
        except ValueError:
            raise Unreadable("must be a letter A to G and points, such as D2.5") from None


class Bench:
    """Club by club: empty fields for what was measured, each beside what the sheet orders."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.club_id = ""
        self.present: dict[str, Club] = {}
        self.ordered: dict[str, Club] = {}
        self.of_set: Mapping[str, Collection[str]] = {}  # figures that the set asks of each club
        self.stuck: frozenset[str] = (
            frozenset()
        )  # of which a head or a shaft is looked for, and no work is ordered
        self.pick = Choice("Club on the bench", {"\u2013": ""}, lambda: self.club_id, self._pick, picks=True)
        self.asked = html()
        self.fields: list[NumberField] = [
            self._field(NumberField, label, quantity, name) for name, (label, quantity) in FIGURES.items()
        ]
        self.fields.append(self._field(SwingWeightField, "Measured swing weight", "count", SWING_WEIGHT))
        self.found = html()
        self.view = stack(
            html(
                join(
                    h3("Measure what came out"),
                    p(
                        "Type what you measure at the bench, even where it is just what was ordered. A field left empty "
                        "was not measured: the bag then has the figure as ordered, or as it was where nothing is ordered. "
                        "The bag, and every carry predicted for it, takes the club as measured."
                    ),
                )
            ),
            self.pick.view,
            self.asked,
            line(*[f.view for f in self.fields], cls="fields"),
            self.found,
        )

    def _field(self, kind: type[NumberField], label: str, quantity: str, name: str) -> NumberField:
        def edit(case: Case, value: float | None) -> Case:
            ordered = self._asked_of(name)
            system = self.state.units
            about = name == SWING_WEIGHT and self._weight_of_order() is not None
            if (
                None not in (value, ordered)
                and not about
                and text(name, value, system) == text(name, ordered, system)
            ):
                value = ordered  # to the last digit that is shown
            return edits.measured(self.club_id, name)(case, value)

        def get(case: Case) -> float | None:
            told = edits.measured_of(case, self.club_id)
            value: float | None = None if told is None else getattr(told, name)
            return value

        return kind(self.state, label, quantity, MEASURED[name], get, edit)

    def _asked_of(self, name: str) -> float | None:
        """A figure of the club on the bench as it was ordered; ``None`` where it is to stay as it is."""
        return None if self.club_id in self.stuck else self._wanted(name)

    def _wanted(self, name: str) -> float | None:
        """The same, of a club too of which a head or a shaft is looked for."""
        if self.club_id not in self.ordered:
            return None
        ordered, present = self.ordered[self.club_id], self.present[self.club_id]
        if name in dict(ordered.estimated):  # nothing is ordered against an estimate
            return None
        weight = name == SWING_WEIGHT
        value: float | None = swing_weight_asked(present, ordered) if weight else getattr(ordered, name)
        same = value is None or value == getattr(present, name)
        return None if same else value

    def _weight_of_order(self) -> float | None:
        """How far the swing weight ordered may be off [points], where it is calculated."""
        club = self.ordered.get(self.club_id)
        return None if club is None else points_within(club)

    def _pick(self, club_id: str) -> None:
        self.club_id = club_id
        for field in self.fields:
            field.forget()
        self._refresh_one()

    def _clubs(self) -> dict[str, str]:
        """The clubs that are worked on first, straightest face first."""
        busy = [i for i, club in self.ordered.items() if club != self.present[i]]
        rest = [i for i in self.ordered if i not in busy]
        if self.club_id not in self.ordered:
            self.club_id = (busy or rest or [""])[0]
        names = {i: self.present[i].name or i for i in (*busy, *rest)}
        told = {
            i: f"{name} [{i}]" if list(names.values()).count(name) > 1 else name for i, name in names.items()
        }
        return {told[i] + ("" if i in busy else " (no work)"): i for i in (*busy, *rest)} or {"\u2013": ""}

    def off(self) -> dict[str, tuple[Off, ...]]:
        """What came out too far from the order, by club."""
        case = self.state.shown
        found = {
            i: off_target(self.present[i], club, edits.measured_of(case, i), asked=self.of_set.get(i, ()))
            for i, club in self.ordered.items()
        }
        return {i: told for i, told in found.items() if told}

    def refresh(
        self,
        present: dict[str, Club],
        ordered: tuple[Club, ...],
        stuck: Collection[str],
        of_set: Mapping[str, Collection[str]],
    ) -> None:
        self.present, self.stuck, self.of_set = present, frozenset(stuck), of_set
        self.ordered = {c.id: c for c in ordered if c.id in present}
        self.pick.refresh(self._clubs())
        self._refresh_one()

    def _refresh_one(self) -> None:
        for name, field in zip((*FIGURES, SWING_WEIGHT), self.fields, strict=True):
            field.refresh()
            field.stand_in(self._stands_for(name, field))
        put(self.asked, p(self._order(), cls="small"))
        put(self.found, self._told())

    def _stands_for(self, name: str, field: NumberField) -> str:
        """What an empty field counts as: ``36.5 ordered``; nothing where nothing is ordered."""
        ordered, system = self._asked_of(name), self.state.units
        if ordered is None:
            return ""
        if name == SWING_WEIGHT:
            return f"{swing_weight_label(ordered, within=self._weight_of_order())} ordered"
        return f"{as_typed(ordered, field.quantity, system)} ordered"

    def _order(self) -> str:
        system = self.state.units
        values = ((name, self._wanted(name)) for name in (*FIGURES, SWING_WEIGHT))
        within = {SWING_WEIGHT: self._weight_of_order()}
        told = ", ".join(
            f"{called(name)} {text(name, value, system, within.get(name))}"
            for name, value in values
            if value is not None
        )
        if self.club_id in self.stuck:
            return f"No work is ordered. Looked for: {told or 'see the sheet'}."
        return f"Ordered: {told}." if told else "Nothing is ordered: this club stays as it is."

    def _told(self) -> Safe:
        system, case = self.state.units, self.state.shown
        off = self.off()
        names = {i: c.name or c.id for i, c in self.present.items()}
        told = [i for i in self.ordered if edits.measured_of(case, i) and i not in off]
        fine = [names[i] for i in told if self.ordered[i] != self.present[i]]
        stay = [
            join(tag("b", f"{names[i]}: "), self._now_known(i))
            for i in told
            if self.ordered[i] == self.present[i]
        ]
        parts: list[Any] = []
        heads = ("Not as ordered:", NOT_ORDERED)
        for head, found in zip(heads, off_by_order(off, self.present, system), strict=True):
            rows = [join(tag("b", f"{names[i]}: "), words) for i, words in found.items()]
            parts += [note(p(head), bullets(rows), warn=True)] if rows else []
        if fine:
            parts.append(p("Measured, and as ordered: ", ", ".join(fine), "."))
        if stay:
            parts.append(join(p("Measured, with no work ordered:"), bullets(stay)))
        bend = amount(case.wants.least_bend_deg or SMALLEST_BEND_DEG, "set_angle", system)
        parts.append(
            p(
                f"A club counts as ordered if its length is off by {bench_length(TOLERANCE['length_m'], system)} or less, "
                f"its loft and lie by less than {TOLERANCE['loft_deg']:g}\u00b0, its head by less than "
                f"{amount(TOLERANCE['head_kg'], 'mass', system)} and its swing weight by less than "
                f"{SWING_WEIGHT_POINTS:g} point; where the sheet gives a swing weight with \u00b1, it may be off by that "
                f"much (common practice). A loft or lie off by less than {bend} is not bent again, since a bending machine "
                "is no more exact.",
                cls="small",
            )
        )
        return join(*parts)

    def _now_known(self, club_id: str) -> str:
        """What was measured of a club that stays as it is, and what stood there before."""
        told, club, system = (
            edits.measured_of(self.state.shown, club_id),
            self.present[club_id],
            self.state.units,
        )
        within = points_within(club)
        had = {
            x.name: text(x.name, x.value, system, within if x.name == SWING_WEIGHT else None)
            for x in known(club)
        }
        return "; ".join(
            f"{called(name)} {text(name, value, system)} (until now {stood(club, name, had[name])})"
            for name in had
            if (value := getattr(told, name)) is not None
        )
