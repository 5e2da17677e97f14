"""Shots from a CSV or a pasted table of any launch device, by plain words and units, not by one layout.

Nothing is dropped in silence: every column is said to be used or not, every row that is not a shot is listed
with its reason, and what had to be assumed comes back as a question that a second reading can answer.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ..documents.fields import SHOT
from ..statements import Statement, state
from .cells import (
    DELIMITERS,
    MOST_COLUMNS,
    MOST_LINE,
    MOST_ROWS,
    SPLIT,
    UNITS,
    Quantity,
    TableError,
    Unit,
    decode,
    find_delimiter,
    lines_of,
    quantity,
    split_line,
    uses_decimal_comma,
)
from .club_names import club_id, leading_club, plain
from .column_units import Known, UnitChooser
from .columns import Column, field_of, find_header, is_units_row, map_columns, split_heading, summary_headings
from .free_text import read_loose
from .people import People
from .remarks import LineLeftOut, Question, Remarks
from .rows import Gatherer, Row, part_names, plausible

__all__ = ["Column", "LineLeftOut", "Question", "Table", "TableError", "decode", "read_table"]

BALLS = "give the balls one by one, with a column such as carry"
DO = "give the columns plain headings such as club, carry, ball speed, or paste lines such as 7i 143"


@dataclass(frozen=True, slots=True)
class Table:
    """What a text was understood to say.

    shots: documents of shots, SI, with the field names of a case; lines: the line each came from; understood:
    every column; left_out: every other line; warnings, needs: what to look at before taking the shots in.
    """

    shots: tuple[dict[str, Any], ...]
    lines: tuple[int, ...] = field(repr=False, default=())
    understood: tuple[Column, ...] = ()
    left_out: tuple[LineLeftOut, ...] = ()
    warnings: tuple[Statement, ...] = ()
    needs: tuple[Question, ...] = ()


def read_table(
    text: str,
    *,
    club: str | None = None,
    clubs: Mapping[str, str] | None = None,
    length_unit: str | None = None,
    speed_unit: str | None = None,
) -> Table:
    """Read shots from text.

    Parameters
    ----------
    text : the content of a file or of the clipboard, at most 1 MB and 5,000 rows of 200 columns
    club : id of the club for rows that name none
    clubs : ids for names, for names of the player's own; tried before the usual names
    length_unit, speed_unit : "yd", "m", "mph", "km/h", "m/s" where the table does not say

    Raises
    ------
    TableError : nothing in the text can be taken for a shot, or it is too large; says what, where and what to
    do

    >>> table = read_table("club,carry (yd)\\n7i,150\\n7i,146\\n")
    >>> [round(shot["carry_m"], 1) for shot in table.shots]
    [137.2, 133.5]
    """
    for key, value, kind in (("length_unit", length_unit, "length"), ("speed_unit", speed_unit, "speed")):
        if value is not None and (value not in UNITS or UNITS[value].kind != kind):
            raise TableError(f"is not a unit of {kind}", f"`{key}`", "use yd, m, mph, km/h or m/s")
    lines = lines_of(text)
    if not lines:
        raise TableError("is empty", "the table", "paste rows of text or open a CSV file")
    if len(lines) > MOST_ROWS + 100:
        raise TableError(f"holds more than {MOST_ROWS:,} rows", "the table", SPLIT)
    reader = _Reader(
        club or "",
        {plain(name): known for name, known in (clubs or {}).items()},
        UNITS[length_unit] if length_unit else None,
        UNITS[speed_unit] if speed_unit else None,
    )
    told = re.fullmatch(r'"?sep=([,;|\t])"?', lines[0][1].strip(" ,;\r"))
    if told and len(lines) > 1:
        lines = lines[1:]
    delimiter = told[1] if told and told[1] in DELIMITERS else find_delimiter(lines)
    rows, header = _rows_and_header(lines, delimiter)
    if header is not None and len(rows[header][1]) == 1 and delimiter is not None:
        delimiter = None  # one heading: what looked like delimiters are decimal commas or prose
        rows, header = _rows_and_header(lines, delimiter)
    if header is None and (turned := _turned(rows)):
        rows, header = turned, 0
        reader.report.warnings.append(state("table.turned"))
    if header is None and (told_only := summary_headings(rows)):
        where, headings = told_only
        named = ", ".join(f"\u201c{heading[:40]}\u201d" for heading in headings[:4])
        raise TableError(f"{named}: averages or deviations, and no balls", f"line {where}", BALLS)
    if header is None or (delimiter is None and not _one_column(rows[header + 1 :])):
        for number, text_line in lines:
            reader.people.label(number, [text_line[:200].strip()])
        reader.people.check()
        reader.loose(lines)
    else:
        for number, line in lines:
            if len(line) > MOST_LINE:
                reader.report.leave(number, line, state("line.too_long", most=MOST_LINE))
        reader.columns(rows, header, delimiter)
    return reader.table()


def _rows_and_header(
    lines: list[tuple[int, str]], delimiter: str | None
) -> tuple[list[tuple[int, list[str]]], int | None]:
    rows = [(number, _cells(line, delimiter)) for number, line in lines if len(line) <= MOST_LINE]
    return rows, find_header(rows)


def _cells(line: str, delimiter: str | None) -> list[str]:
    cells = [line.strip()] if delimiter is None else split_line(line, delimiter)
    while len(cells) > 1 and not cells[-1]:
        cells.pop()
    return cells


def _one_column(rows: list[tuple[int, list[str]]]) -> bool:
    numbers = sum(quantity(row[0]) is not None for _, row in rows[:200])
    return numbers * 2 > min(len(rows), 200)


def _turned(rows: list[tuple[int, list[str]]]) -> list[tuple[int, list[str]]] | None:
    """Rows and columns exchanged, if the first column names two fields or more, one of them measured."""
    found = [field_of(split_heading(row[0])[0]) for _, row in rows[:60] if len(row) > 1]
    fields = {f[0] for f in found if f}
    if len(rows) > MOST_COLUMNS or len(fields) < 2 or not fields - {"club"}:
        return None
    width = min(max(len(row) for _, row in rows), MOST_ROWS + 1)
    return [(rows[0][0], [row[c] if c < len(row) else "" for _, row in rows]) for c in range(width)]


class _Reader:
    """Gathers shots, and everything that is to be said about them, from one text."""

    def __init__(self, club: str, clubs: Mapping[str, str], length: Unit | None, speed: Unit | None):
        self.club = club
        self.clubs = clubs
        self.report = Remarks()
        self.units = UnitChooser(length, speed, self.report)
        self.people = People()
        self.shots: list[tuple[int, dict[str, Any]]] = []
        self.understood: list[Column] = []

    def table(self) -> Table:
        """The result; `TableError` if there is neither a shot nor an unknown club to ask about."""
        report = self.report
        for name, count in list(report.unknown.items())[:40]:
            said = state("ask.which_club", rows=count, quoted=[name])
            report.needs.append(Question("clubs", said, name))
        if not self.shots and not report.unknown:
            first = min(report.left_out, key=lambda item: item.line) if report.left_out else None
            where = f"line {first.line}" if first else "the table"
            raise TableError("no shot was understood", where, DO, first.reason if first else None)
        if any(not shot["club"] for _, shot in self.shots):
            report.needs.append(Question("club", state("ask.club"), ""))
        return Table(
            shots=tuple(shot for _, shot in self.shots),
            lines=tuple(line for line, _ in self.shots),
            understood=tuple(self.understood),
            left_out=tuple(sorted(report.left_out, key=lambda item: item.line)),
            warnings=tuple(report.warnings[:40]),
            needs=tuple(report.needs),
        )

    def loose(self, lines: list[tuple[int, str]]) -> None:
        """Text without headings: lines of an optional club and carries."""
        found = read_loose(lines, clubs=self.clubs, club=self.club)
        if len(found.carries) > MOST_ROWS:
            raise TableError(f"holds more than {MOST_ROWS:,} shots", "the table", SPLIT)
        self.report.warnings += found.warnings
        for line, text, reason in found.left_out:
            self.report.leave(line, text, reason)
        if not found.carries:
            return
        units = {unit for *_, unit in found.carries if unit}
        stated = found.unit or (units.pop() if len(units) == 1 else None)
        known = Known(stated, "stated") if stated else self.units.carry([])
        for line, club, value, unit in found.carries:
            row = Row(line, f"{club} {value:g}", club, "", {"carry_m": Quantity((value,), unit)})
            self._shot(row, {"carry_m": known})
        self.understood.append(Column(1, "", "carry_m", known.unit.name, known.how))

    def columns(self, rows: list[tuple[int, list[str]]], header: int, delimiter: str | None) -> None:
        """Text with headings."""
        heading = rows[header][1]
        data = rows[header + 1 :]
        units = data.pop(0)[1] if data and is_units_row(data[0][1]) else None
        if len(data) > MOST_ROWS:
            raise TableError(f"holds more than {MOST_ROWS:,} rows", "the table", SPLIT)
        if max(len(row) for _, row in rows) > MOST_COLUMNS:
            raise TableError(
                f"holds more than {MOST_COLUMNS} columns", "the table", "keep the columns of the shots only"
            )
        for line, above in rows[:header]:
            self.people.label(line, above)
            self._above(line, above)
        columns, fields = map_columns(heading, units)
        decimal_comma = uses_decimal_comma([row for _, row in data], delimiter)
        if decimal_comma:
            self.report.warnings.append(state("table.decimal_commas"))
        shots = Gatherer(
            heading, fields, self.clubs, self.club, decimal_comma, self.report, self.people
        ).rows(data)
        self.people.check()
        part_names(shots)
        known = self.units.choose(fields, shots)
        for row in shots:
            self._shot(row, known)
        self._remarks(shots, known)
        self.understood = [
            Column(c.number, c.heading, c.field, known[c.field].unit.name, known[c.field].how)
            if c.field in known
            else c
            for c in columns
        ]

    def _above(self, line: int, row: list[str]) -> None:
        """A line above the headings; it may name the club of what follows, as "Club: 7 iron" or "7 iron"."""
        filled = [cell for cell in row if cell]
        text = " ".join(filled)
        label, _, rest = (text if len(filled) == 1 else ": ".join(filled[:2])).partition(":")
        name = club_id(rest) if "club" in label.lower() and rest else None
        if len(filled) == 1 and len(text) > 1 and (alone := leading_club(plain(text))) and not alone[1]:
            name = alone[0]
        if name and not self.club:
            self.club = name
            self.report.warnings.append(state("table.club_from_line", line=line, quoted=[text[:40]]))
        else:
            self.report.leave(line, text, state("line.above_headings"))

    def _shot(self, row: Row, known: Mapping[str, Known]) -> None:
        """One row in SI, with what is out of range left out."""
        shot: dict[str, Any] = {"club": row.club}
        for name, number in row.values.items():
            value = plausible(name, number, known[name].unit)
            if value is not None:
                shot[name] = value
            elif name == "carry_m":
                rule = SHOT[name]
                unit = (number.unit or known[name].unit).size
                limits: dict[str, Any] = {"least": rule.low, "most": rule.high}  # type: ignore[union-attr]
                said = state("line.carry_out_of_range", carry=number.readings[0] * unit, **limits)
                self.report.leave(row.line, row.text, said)
                return
        if set(shot) <= {"club", "side_m", "grip_down_m"}:
            self.report.leave(row.line, row.text, state("line.nothing_of_a_shot"))
            return
        self.shots.append((row.line, shot))

    def _remarks(self, rows: list[Row], known: Mapping[str, Known]) -> None:
        """Say how sides were read, and which values were out of range while their row was kept."""
        if any("side_m" in row.values and not row.values["side_m"].side for row in rows):
            self.report.warnings.append(state("table.sides_right_positive"))
        for name, unit in known.items():
            told = [(row.line, row.values[name]) for row in rows if name in row.values]
            bad = [line for line, number in told if plausible(name, number, unit.unit) is None]
            if bad and name != "carry_m":
                said = state("table.values_ignored", values=len(bad), line=bad[0], field=name)
                self.report.warnings.append(said)
