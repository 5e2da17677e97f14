"""Rows under headings: which are shots, of which club, and the numbers in them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from ..documents.fields import SHOT
from ..statements import Statement, state
from .cells import Quantity, Unit, missing, quantity
from .club_names import club_id, leading_club, only_part_swing, part_swing, plain
from .columns import KIND, is_units_row
from .labels import is_person, is_summary, letters, may_tag
from .people import People
from .remarks import Remarks

_LOFT = re.compile(r"(?<!\d)(4[2-9]|5\d|6\d)(?!\d)")
LEAST = {"spin_rpm": 100.0}
"""Least that a ball off any full swing has, where a case document may hold less: 6.510 is 6,510 rpm; common practice."""


@dataclass(slots=True)
class Row:
    """A row that looks like a shot; numbers are read but not yet in SI."""

    line: int
    text: str
    club: str
    name: str
    values: dict[str, Quantity]


@dataclass(slots=True)
class Gatherer:
    """Reads rows one after another, keeping the club that a row or a line above it named."""

    heading: list[str]
    fields: Mapping[str, tuple[int, Unit | None]]
    clubs: Mapping[str, str]
    club: str
    decimal_comma: bool
    report: Remarks
    people: People

    def rows(self, data: list[tuple[int, list[str]]]) -> list[Row]:
        """The rows that are shots; every other goes to the report with its reason."""
        out: list[Row] = []
        run: list[
            Row
        ] = []  # rows of one club without a break, the last of which may be an average without a label
        for line, cells in data:
            self.people.label(line, cells)
            reason = self._not_a_shot(cells)
            if reason:
                self.report.leave(line, " ".join(cells), reason)
            filled = [cell for cell in cells if not missing(cell)]
            alone = self._club_alone(filled[0]) if len(filled) == 1 and len(self.heading) > 1 else None
            row = None if reason or alone else self._row(line, cells)
            if alone:
                self.club = alone
                self.report.leave(line, filled[0], state("line.club_alone"))
            if run and (row is None or row.club != run[-1].club):
                self._drop_average(run, out)
                run = []
            if row is not None:
                run.append(row)
                out.append(row)
                self._who(line, cells)
        self._drop_average(run, out)
        return out

    def _row(self, line: int, cells: list[str]) -> Row | None:
        text = " ".join(cells)
        index = self.fields["club"][0] if "club" in self.fields else None
        name = cells[index] if index is not None and index < len(cells) else ""
        club: str | None = self.club
        if not missing(name):
            club = self.clubs.get(plain(name)) or club_id(name)
        if club is None:
            self.report.unknown[name[:40]] = self.report.unknown.get(name[:40], 0) + 1
            self.report.leave(line, text, state("line.unknown_club", quoted=[name[:40]]))
            return None
        self.club = club
        if part_swing(name):
            self.report.leave(line, text, state("line.part_swing"))
            return None
        if tag := self._part_tag(cells):
            self.report.leave(line, text, tag)
            return None
        if any(not missing(cell) for cell in cells[len(self.heading) :]):
            self.report.leave(line, text, state("line.more_cells_than_headings"))
            return None
        values = {}
        for field_name, (at, _) in self.fields.items():
            if field_name != "club" and at < len(cells):
                number = quantity(cells[at], decimal_comma=self.decimal_comma)
                if number:
                    values[field_name] = number
        if not values:
            self.report.leave(line, text, state("line.no_number"))
            return None
        return Row(line, text, club, name if cells[0] and not missing(name) else "", values)

    def _beside(self, cells: list[str]) -> list[tuple[str, str]]:
        """Heading and cell of the filled columns that no field is taken from."""
        used = {at for at, _ in self.fields.values()}
        return [
            (head, cell)
            for at, (head, cell) in enumerate(zip(self.heading, cells, strict=False))
            if at not in used and not missing(cell)
        ]

    def _part_tag(self, cells: list[str]) -> Statement | None:
        """Why a row is no full swing by a tag or a note beside its numbers, or None."""
        for head, cell in self._beside(cells):
            how = may_tag(head)
            if (how == "freely" and part_swing(cell)) or (how and only_part_swing(cell)):
                return state("line.tagged_part_swing", quoted=[cell[:30], head[:30]])
        return None

    def _who(self, line: int, cells: list[str]) -> None:
        """Note who hit a ball, by a column of people; a club's name is nobody's."""
        for head, cell in self._beside(cells):
            if is_person(head) and not (self.clubs.get(plain(cell)) or club_id(cell)):
                self.people.note(line, head, cell)

    def _club_alone(self, name: str) -> str | None:
        found = leading_club(plain(name))
        return self.clubs.get(plain(name)) or (found[0] if found and not found[1] else None)

    def _not_a_shot(self, cells: list[str]) -> Statement | None:
        """Why a row is not a shot by its words, or None."""
        if cells == self.heading:
            return state("line.headings_again")
        if is_units_row(cells):
            return state("line.units")
        first = next((i for i, cell in enumerate(cells) if not missing(cell)), 0)
        labels = {first, self.fields["club"][0] if "club" in self.fields else first}
        for index, cell in enumerate(cells):
            if not is_summary(cell, label=index in labels):
                continue
            head = self.heading[index] if index < len(self.heading) else ""
            if is_person(head) and letters(cell) <= {"max", "min"} and self._names_club(cells):
                continue  # a player may be called Max
            return state("line.summary")
        return None

    def _names_club(self, cells: list[str]) -> bool:
        at = self.fields["club"][0] if "club" in self.fields else len(cells)
        return at < len(cells) and not missing(cells[at])

    def _drop_average(self, run: list[Row], out: list[Row]) -> None:
        """Leave out the last row of a run if it has no label and all its numbers are means of those above."""
        if len(run) < 3 or run[-1].name or len(run[-1].values) < 2:
            return
        for name, number in run[-1].values.items():
            above = [row.values[name].readings[0] for row in run[:-1] if name in row.values]
            value = number.readings[0]
            rounding = 0.51 if value == int(value) else 0.06
            if not above or abs(value - sum(above) / len(above)) > rounding:
                return
        out.pop()
        self.report.leave(run[-1].line, run[-1].text, state("line.average_without_label"))


def part_names(rows: list[Row]) -> None:
    """Wedges of one name and several lofts are several clubs: sw at 54 and at 58 become w54 and w58."""
    lofts: dict[str, set[str]] = {}
    for row in rows:
        if row.club in ("pw", "gw", "sw", "lw") and (loft := _LOFT.search(row.name)):
            lofts.setdefault(row.club, set()).add(loft[0])
    for row in rows:
        if len(lofts.get(row.club, ())) > 1 and (loft := _LOFT.search(row.name)):
            row.club = f"w{loft[0]}"


def plausible(name: str, number: Quantity, unit: Unit) -> float | None:
    """The first reading of a number that its field may hold [SI], right positive; None if there is none."""
    if number.unit and number.unit.kind == KIND[name]:
        unit = number.unit
    rule = SHOT[name]
    for reading in number.readings:
        value = reading * unit.size
        if number.side:
            value = abs(value) if number.side == "r" else -abs(value)
        if max(rule.low, LEAST.get(name, rule.low)) <= value <= rule.high:  # type: ignore[union-attr]
            return round(value, 4)
    return None
