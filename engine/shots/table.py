"""Shots from a file or a pasted text of any origin, by plain words and units, not by one layout.

One way for all: bytes → text → lines → cells under headings, or pieces of loose text → rows → shots, and what is to be said
of every column and every line. Nothing is dropped in silence, and nothing is taken in that could be something else: what had
to be assumed, or cannot be known, comes back as a question, whose answer is an argument of a second reading.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from .cells import (
    MOST_COLUMNS,
    MOST_LINE,
    MOST_ROWS,
    SPLIT,
    UNITS,
    TableError,
    Unit,
    decode,
    find_delimiter,
    lines_of,
    missing,
    quantity,
    split_line,
)
from .club_names import WEDGE_LOFTS, club_id, leading_club, plain, several_clubs
from .column_units import Known, UnitChooser
from .columns import (
    KIND,
    MEASURED,
    Column,
    Used,
    field_of,
    find_header,
    is_units_row,
    map_columns,
    split_heading,
    unknown_header,
)
from .dates import ORDERS, ahead, day_of, orders_of, readings, without_year
from .free_text import WIDEST, Loose
from .remarks import MOST_SAID, Finding, LineLeftOut, Question, Reason, Remarks
from .rows import Gatherer, Row, label_line, mark_of, part_names, plausible, usual_mark
from .swing_sizes import Sizes

__all__ = ["Column", "Finding", "LineLeftOut", "Question", "Table", "TableError", "decode", "read_table"]

ALL = "*"  # all days, or all names as one player
MOST_OPTIONS = 60
_Rows = list[tuple[int, list[str]]]


@dataclass(frozen=True, slots=True)
class Table:
    """What a text was understood to say.

    shots: documents of shots, SI, with the field names of a case; lines: the line each came from; days: on which each was
    hit, such as ``2031-05-03``, or what stands there if it is no day of the calendar, "" if nothing does; understood: every
    column; left_out: every other line; findings: what to look at before taking the shots in; needs: what is asked;
    headings: what names the layout of the columns, empty for loose text.
    """

    shots: tuple[dict[str, Any], ...]
    lines: tuple[int, ...] = field(repr=False, default=())
    days: tuple[str, ...] = field(repr=False, default=())
    understood: tuple[Column, ...] = ()
    left_out: tuple[LineLeftOut, ...] = ()
    findings: tuple[Finding, ...] = ()
    needs: tuple[Question, ...] = ()
    headings: tuple[str, ...] = ()


def read_table(
    text: str,
    *,
    club: str | None = None,
    clubs: Mapping[str, str] | None = None,
    length_unit: str | None = None,
    speed_unit: str | None = None,
    usual_unit: str = "yd",
    columns: Mapping[int, str] | None = None,
    numbers: Mapping[int, str] | None = None,
    player: str | None = None,
    day: str | None = None,
    dates: str | None = None,
    today: date | None = None,
    balls: float | None = None,
    swing_sizes: Iterable[str] = (),
    swings: str | None = None,
) -> Table:
    """Read shots from text.

    Parameters
    ----------
    text : the content of a file or of the clipboard, at most 1 MB and 5,000 rows of 200 columns
    club : id of the club for rows that name none
    clubs : ids for names, for names of the player's own; tried before the usual names
    length_unit, speed_unit : "yd", "m", "mph", "km/h", "m/s" where the text does not say
    usual_unit : the unit of length that is likeliest where nothing says, and is asked about
    columns : what columns are to be taken for, by number from 1: a field of `engine.shots.columns.ROLES`, "" for nothing
    numbers : the decimal mark "." or "," of columns by number from 1, of loose text under 0
    player : whose shots are read where players are named, however the name is spaced or capitalized; ``ALL`` for names
        that are not players' in loose text
    day : which day's shots are read where there are several; ``ALL`` for all of them, as where all are days of the calendar
    dates : which of `engine.shots.dates.ORDERS` dates are written in, where they can be read in several
    today : a later day is no shot's, and a day without a year is the last such day; without it no day is too late
    balls : how many balls each number is the mean of, where the text does not say
    swing_sizes : the player's own names of part swings; a shot that names one has it under ``swing_size``
    swings : what words such as "to the knee" are where no part swing is called so: "full" or "part"

    Raises
    ------
    TableError : the text is empty or too large, or an argument is wrong; says what, where and what to do

    >>> table = read_table("club,carry (yd)\\n7i,150\\n7i,146\\n")
    >>> [round(shot["carry_m"], 1) for shot in table.shots]
    [137.2, 133.5]
    """
    for key, value, kind in (
        ("length_unit", length_unit, "length"),
        ("speed_unit", speed_unit, "speed"),
        ("usual_unit", usual_unit, "length"),
    ):
        if value is not None and (value not in UNITS or UNITS[value].kind != kind):
            raise TableError(f"is not a unit of {kind}", f"`{key}`", "use yd, m, mph, km/h or m/s")
    if swings not in (None, "", "full", "part"):
        raise TableError("is not a kind of swing", "`swings`", "use full or part")
    if dates not in (None, "", *ORDERS):
        raise TableError("is not an order of day, month and year", "`dates`", f"use {', '.join(ORDERS)}")
    lines = lines_of(text)
    if not lines:
        raise TableError("is empty", "the table", "paste rows of text or open a CSV file")
    if len(lines) > MOST_ROWS + 100:
        raise TableError(f"holds more than {MOST_ROWS:,} rows", "the table", SPLIT)
    reader = _Reader(
        text=text,
        club=club or "",
        clubs={plain(name): known for name, known in (clubs or {}).items()},
        length=UNITS[length_unit] if length_unit else None,
        speed=UNITS[speed_unit] if speed_unit else None,
        usual=UNITS[usual_unit],
        chosen=columns or {},
        marks=numbers or {},
        player=player,
        day=day,
        dates=dates or "",
        today=today,
        balls=balls,
        sizes=Sizes(swing_sizes),
        swings=swings or "",
    )
    sheet = _sheet(lines, reader.report)
    for number, line in lines:
        if sheet and len(line) > MOST_LINE:
            reader.report.leave(number, line, "too_long")
    if sheet:
        reader.columns(sheet)
    else:
        reader.loose(lines)
    return reader.table()


# lines to a sheet of cells


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Cells under headings: ``above`` is what stands before them."""

    heading: list[str]
    data: _Rows
    above: _Rows
    delimiter: str | None
    line: int  # of the heading


def _sheet(lines: list[tuple[int, str]], report: Remarks) -> _Sheet | None:
    """The cells of a text that is a table; None if it is loose text."""
    told = re.fullmatch(r'"?sep=([,;|\t])"?[ ,;]*', lines[0][1].strip(" \r"))
    if told and len(lines) > 1:
        lines = lines[1:]
    delimiter = told[1] if told else find_delimiter(lines)
    rows = _cut(lines, delimiter)
    header = find_header(rows)
    if header is not None and len(rows[header][1]) == 1 and delimiter is not None:
        delimiter = None  # one heading: what looked like delimiters are decimal commas or prose
        rows = _cut(lines, delimiter)
        header = find_header(rows)
    if header is None and delimiter is not None and _notes(rows):
        return None
    if header is None and delimiter is not None:
        if turned := _turned(rows):
            report.findings.append(Finding("turned"))
            rows, header = turned, 0
        elif across := _clubs_across(rows):
            report.findings.append(Finding("turned"))
            return _Sheet(["Club", "Carry"], across[1], rows[: across[0]], delimiter, rows[across[0]][0])
        else:
            header = unknown_header(rows)
        if header is None and (width := _bare_columns(rows)):
            return _Sheet([""] * width, rows, [], delimiter, 0)
    if spaced := _spaced(lines):
        return spaced
    if header is None or (delimiter is None and not _one_column(rows[header + 1 :])):
        return None
    return _Sheet(rows[header][1], rows[header + 1 :], rows[:header], delimiter, rows[header][0])


def _cut(lines: list[tuple[int, str]], delimiter: str | None) -> _Rows:
    return [(number, _cells(line, delimiter)) for number, line in lines if len(line) <= MOST_LINE]


def _cells(line: str, delimiter: str | None) -> list[str]:
    cells = [line.strip()] if delimiter is None else split_line(line, delimiter)
    while len(cells) > 1 and not cells[-1]:
        cells.pop()
    return cells


def _one_column(rows: _Rows) -> bool:
    numbers = sum(quantity(row[0]) is not None for _, row in rows[:200])
    return numbers * 2 > min(len(rows), 200)


def _spaced(lines: list[tuple[int, str]]) -> _Sheet | None:
    """A table whose cells stand apart by single spaces, as "Club Carry Total" above "7 iron 150 160"."""
    for at, (number, line) in enumerate(lines[:20]):
        heading = line.split()
        fields = {f[0] for word in heading if (f := field_of(split_heading(word)[0]))}
        if (
            len(fields) < 2
            or len(fields) < len(heading)
            or len(fields & set(KIND)) < 2
            or re.search(r"[,;\t|]|  ", line)
        ):
            continue
        rows: _Rows = []
        for below, text in lines[at + 1 :]:
            found = leading_club(plain(text)) if "club" in fields else None
            name = (
                text.strip()[: len(plain(text)) - len(found[1])].strip()
                if found and len(found[1]) < len(text)
                else ""
            )
            rows.append((below, [name, *text.strip()[len(name) :].split()] if name else text.split()))
        return _Sheet(heading, rows, _cut(lines[:at], None), " ", number)
    return None


def _turned(rows: _Rows) -> _Rows | None:
    """Rows and columns exchanged, if the first column names two fields or more, one of them measured."""
    found = [field_of(split_heading(row[0])[0]) for _, row in rows[:60] if len(row) > 1]
    fields = {f[0] for f in found if f}
    if len(rows) > MOST_COLUMNS or len(fields) < 2 or not fields & MEASURED:
        return None
    width = min(max(len(row) for _, row in rows), MOST_ROWS + 1)
    return [(rows[0][0], [row[c] if c < len(row) else "" for _, row in rows]) for c in range(width)]


def _clubs_across(rows: _Rows) -> tuple[int, _Rows] | None:
    """Where a row of club names stands above rows of carries: its place, and the carries as rows of club and carry."""
    for at, (_, row) in enumerate(rows[:20]):
        names = [(i, cell) for i, cell in enumerate(row) if not missing(cell)]
        first = bool(names) and names[0][0] == 0 and not _is_club(names[0][1])
        clubs = names[1:] if first else names
        below = rows[at + 1 :]
        if len(clubs) < 2 or not all(_is_club(cell) for _, cell in clubs) or not below:
            continue
        places = dict(clubs)
        if sum(any(quantity(c) for c in cells) for _, cells in below) * 2 <= len(below):
            return None
        out: _Rows = []
        for line, cells in below:
            label = cells[0] if first and not quantity(cells[0]) else ""
            for i, cell in enumerate(cells):
                if i in places and not missing(cell):
                    out.append((line, [places[i], cell] if not label else [f"{places[i]} {label}", cell]))
        return (at, out) if len(out) <= MOST_ROWS else None
    return None


def _notes(rows: _Rows) -> bool:
    """Whether the lines are notes: each begins with a club and its first carry in one cell, as "7i 150,5 148,5"."""
    rests = [found[1] if (found := leading_club(plain(row[0]))) else "" for _, row in rows if len(row) > 1]
    return bool(rests) and all(
        (number := re.match(r"\d+", rest)) and int(number[0]) not in WEDGE_LOFTS for rest in rests
    )


def _is_club(cell: str) -> bool:
    found = leading_club(plain(cell))
    return found is not None and not found[1]


def _bare_columns(rows: _Rows) -> int:
    """How many columns a text without headings has; 0 if its lines are rather lists of one club's carries each."""
    counted = [row for _, row in rows if len(row) > 1]
    width = max((len(row) for row in counted), default=0)
    if width < 3 or len(counted) < len(rows) or any(len(row) != width for row in counted):
        return 0
    numbers = [[n.readings[0] for cell in row[1:] if (n := quantity(cell))] for row in counted]
    if any(len(row) < 2 for row in numbers):
        return 0
    wide = any(min(row) <= 0 or max(row) / min(row) > WIDEST for row in numbers)
    clubs = [row[0] for row in counted]
    again = len(counted) > 2 and len(set(clubs)) < len(clubs)
    return width if wide or again else 0


def _as_one(name: str) -> str:
    return " ".join(name.casefold().split())


# cells to shots


@dataclass
class _Reader:
    """Gathers shots, and everything that is to be said about them, from one text."""

    text: str
    club: str
    clubs: Mapping[str, str]
    length: Unit | None
    speed: Unit | None
    usual: Unit
    chosen: Mapping[int, str]
    marks: Mapping[int, str]
    player: str | None
    day: str | None
    dates: str
    today: date | None
    balls: float | None
    sizes: Sizes
    swings: str = ""

    def __post_init__(self) -> None:
        self.report = Remarks()
        self.units = UnitChooser(self.length, self.speed, self.report, self.usual)
        self.shots: list[tuple[Row, dict[str, Any]]] = []
        self.understood: list[Column] = []
        self.headings: tuple[str, ...] = ()
        self.above_player = self.above_day = ""
        self.years: dict[str, date] = {}  # days without a year

    def _with_its_day(self, item: LineLeftOut) -> LineLeftOut:
        """A line that says a day for others, as wrong itself where that is no day or one to come."""
        told = (
            readings(day_of(item.about), self.today)
            if item.reason in ("day_alone", "above_headings")
            else None
        )
        if told is None:
            return item
        days = [told[self.dates]] if self.dates in told else [*told.values()] if not self.dates else []
        if not days:
            return replace(item, reason="date_wrong")
        return replace(item, reason="date_ahead") if all(ahead(day, self.today) for day in days) else item

    def table(self) -> Table:
        """The result, with what is asked put in order."""
        report = self.report
        report.left_out[:] = [self._with_its_day(item) for item in report.left_out]
        if not (self.shots or report.left_out or report.needs):
            report.leave(1, self.text, "no_carry")
        for name in list(report.unknown)[:MOST_OPTIONS]:
            if name:
                report.needs.append(Question("clubs", about=name))
        if report.swings:
            report.needs.append(Question("swings", options=tuple(report.swings)[:MOST_OPTIONS]))
        if any(not shot["club"] for _, shot in self.shots):
            report.needs.append(Question("club"))
        return Table(
            shots=tuple(shot for _, shot in self.shots),
            lines=tuple(row.line for row, _ in self.shots),
            days=tuple(row.day for row, _ in self.shots),
            understood=tuple(self.understood),
            left_out=tuple(sorted(report.left_out, key=lambda item: item.line)),
            findings=tuple(report.findings[:MOST_SAID]),
            needs=tuple(report.needs),
            headings=self.headings,
        )

    def loose(self, lines: list[tuple[int, str]]) -> None:
        """Text without headings: pieces of a club and its carries."""
        loose = Loose(self.clubs, self.club, self.marks.get(0, ""), self.report, self.sizes, self.swings)
        loose.read(lines)
        if len(loose.rows) > MOST_ROWS:
            raise TableError(f"holds more than {MOST_ROWS:,} shots", "the table", SPLIT)
        self.report.needs.extend(loose.question())
        rows = self._whose(loose.rows, names_may_be_notes=loose.labels)
        rows = rows if loose.unit else self.units.without(rows)
        if not rows:
            return
        carries = [row.values["carry_m"].unit for row in rows]
        stated = loose.unit or (carries[0] if all(carries) else None)
        known = Known(stated, "stated") if stated else self.units.carry([])
        for row in rows:
            self._shot(row, {"carry_m": known, "carry_sd_m": known})
        self._ask_means(rows)
        self.understood.append(
            Column(1, "", "carry_m", "stated" if stated else "likely", known.unit.name, known.how)
        )

    def columns(self, sheet: _Sheet) -> None:
        """Text with headings."""
        data, heading = list(sheet.data), sheet.heading
        units = data.pop(0)[1] if data and is_units_row(data[0][1]) else None
        if len(data) > MOST_ROWS:
            raise TableError(f"holds more than {MOST_ROWS:,} rows", "the table", SPLIT)
        if max((len(row) for _, row in [*data, (0, heading)]), default=0) > MOST_COLUMNS:
            raise TableError(
                f"holds more than {MOST_COLUMNS} columns", "the table", "keep the columns of the shots only"
            )
        if not data:
            self.report.leave(sheet.line, " ".join(heading), "no_number")
        for line, above in sheet.above:
            self._above(line, above)
        self.headings = tuple(heading) if any(heading) else ()
        cells = [row for _, row in data]
        columns, fields = map_columns(heading, units, cells, self.chosen, sizes=self.sizes)
        marks = self._marks(fields, cells, sheet.delimiter)
        means = any(column.means for column in columns) or bool(fields.keys() & {"balls", "carry_sd_m"})
        gatherer = Gatherer(
            heading, fields, self.clubs, self.club, marks, means, self.report, self.text[:20_000],
            self.above_player, self.above_day, self.sizes, self.swings,
        )  # fmt: skip
        rows = gatherer.rows(data)
        part_names(rows)
        known = self.units.choose(fields, rows)
        self._remarks(rows, known)
        self._ask_columns(columns, fields)
        if not fields.keys() & (MEASURED - {"side_m", "total_m"}):
            for row in rows:
                self.report.leave(row.line, row.text, "columns_open")
            rows = []
        rows = self._whose(rows)
        if "carry_m" in fields and fields["carry_m"].unit is None:
            rows = self.units.without(rows)
        for row in rows:
            self._shot(row, known)
        self._ask_means(rows)
        self.understood = [
            replace(
                c,
                unit=known[c.field].unit.name if c.field in known else "",
                unit_how=known[c.field].how if c.field in known else "",
                mark=marks.get(c.field, "") if c.field else "",
            )
            for c in columns
        ]

    def _marks(
        self, fields: Mapping[str, Used], cells: Sequence[Sequence[str]], delimiter: str | None
    ) -> dict[str, str]:
        """The decimal mark of each column of numbers; asked where both would do."""
        usual = usual_mark(cells, delimiter)
        marks = {}
        for name, used in fields.items():
            if name in KIND:
                column = [row[used.index] for row in cells if used.index < len(row)]
                mark = self.marks.get(used.index + 1) or mark_of(column, name, used.unit, usual)
                marks[name] = mark
                if mark == "?":
                    self.report.needs.append(Question("numbers", "", (".", ","), name, used.index + 1))
        if "," in marks.values():
            self.report.findings.append(Finding("decimal_comma"))
        return marks

    def _ask_columns(self, columns: Sequence[Column], fields: Mapping[str, Used]) -> None:
        """Ask about columns whose headings leave open what they hold, and for the carry if none holds it."""
        for column in columns:
            if column.sure == "unsure" and column.field:
                about = column.field
                self.report.needs.append(Question("column", "", (about, ""), about, column.number))
            elif column.sure == "likely" and column.field == "carry_m":
                options = ("carry_m", "total_m", "")
                self.report.needs.append(Question("column", "carry_m", options, "carry_m", column.number))
        if not fields.keys() & (MEASURED - {"side_m", "total_m"}):
            self.report.needs.append(Question("columns"))
        if "total_m" in fields:
            self.report.findings.append(Finding("total_not_carry", field="total_m"))

    def _above(self, line: int, row: list[str]) -> None:
        """A line above the headings: a club for what follows, as "Club: 7 iron" or "7 iron", a player, a day."""
        filled = [cell for cell in row if cell]
        text = " ".join(filled)
        label = label_line(text if len(filled) == 1 else ": ".join(filled[:2]))
        name = None
        if label and label[0] == "club":
            name = self.clubs.get(plain(label[1])) or (None if several_clubs(label[1]) else club_id(label[1]))
        if len(filled) == 1 and len(text) > 1 and (alone := leading_club(plain(text))) and not alone[1]:
            name = alone[0]
        if name and not self.club:
            self.club = name
            self.report.findings.append(Finding("club_from_line", line, text[:40]))
            return
        if label and label[0] == "player":
            self.above_player = label[1]
        elif label and label[0] == "date":
            self.above_day = day_of(label[1])
        about = label[1] if label and label[0] == "date" else ""
        self.report.leave(line, text, "above_headings", about)

    def _whose(self, rows: list[Row], *, names_may_be_notes: bool = False) -> list[Row]:
        """The rows of the one player and day that is asked for; where that is open, it is asked, and none is taken."""
        spelled: dict[str, str] = {}
        for row in rows:
            row.player = spelled.setdefault(_as_one(row.player), row.player)
        people = list(spelled.values())
        chosen = self.player
        if chosen is not None and chosen != ALL:
            chosen = spelled.get(_as_one(chosen), chosen)
        if len(people) > 1 or (any(people) and chosen not in (None, ALL, *people)):
            options = (*people[:MOST_OPTIONS], *((ALL,) if names_may_be_notes else ()))
            known = chosen is not None and chosen in options
            about = "" if known or chosen is None else chosen
            self.report.needs.append(Question("player", (known and chosen) or "", options, about))
            if chosen != ALL or not known:
                for row in [r for r in rows if not known or r.player != chosen]:
                    why_not: Reason = "other_player" if known else "player_open"
                    self.report.leave(row.line, row.text, why_not, row.player)
                rows = [r for r in rows if known and r.player == chosen]
        elif people and people[0]:
            self.report.findings.append(Finding("one_player", about=people[0][:40]))
        rows = self._dated(rows)
        days = list(dict.fromkeys(row.day for row in rows))
        if len(days) > 1:
            named = any(day and not day[:4].isdigit() for day in days)  # otherwise than by the calendar
            options = (ALL, *days[:MOST_OPTIONS])
            taken = self.day if self.day in options else "" if named else ALL
            self.report.needs.append(Question("day", taken or "", options))
            if taken != ALL:
                why: Reason = "other_day" if taken is not None and self.day in options else "day_open"
                for row in [r for r in rows if why == "day_open" or r.day != taken]:
                    self.report.leave(row.line, row.text, why, row.day)
                rows = [r for r in rows if why == "other_day" and r.day == taken]
        return rows

    def _dated(self, rows: list[Row]) -> list[Row]:
        """The rows with their days as ``2031-05-03``, where they are days of the calendar, without those whose day cannot be
        or is open."""
        known = {row.day: told for row in rows if (told := readings(row.day, self.today)) is not None}
        orders = orders_of(known, self.today)
        if len(orders) > 1:
            example = next(
                day for day, told in known.items() if len({told.get(order) for order in orders}) > 1
            )
            self.report.needs.append(
                Question("dates", self.dates if self.dates in orders else "", orders, example)
            )
        tried = (self.dates,) if self.dates else orders
        out = []
        for row in rows:
            told = known.get(row.day)
            days = {told.get(order) for order in tried} if told is not None else set()
            if len(days) > 1:
                self.report.leave(row.line, row.text, "date_open", row.day)
                continue
            day = days.pop() if days else None
            if told is not None and (day is None or ahead(day, self.today)):
                self.report.leave(row.line, row.text, "date_wrong" if day is None else "date_ahead", row.day)
                continue
            if day is not None:
                if without_year(row.day):
                    self.years.setdefault(row.day, day)
                row.day = day.isoformat()
            out.append(row)
        for text, day in self.years.items():
            self.report.findings.append(Finding("year_assumed", about=text, count=day.year))
        return out

    def _ask_means(self, rows: Sequence[Row]) -> None:
        """Ask how many balls stand behind means that do not say, and tell of those that do."""
        if any(row.means and row.balls is None for row in rows):
            self.report.needs.append(Question("balls", f"{self.balls or 1:g}"))
        counted = sum(row.balls is not None and row.balls > 1 for row in rows)
        if counted:
            self.report.findings.append(Finding("means_of_balls", count=counted))

    def _shot(self, row: Row, known: Mapping[str, Known]) -> None:
        """One row in SI, with what is out of range left out."""
        shot: dict[str, Any] = {"club": row.club}
        for name, number in row.values.items():
            value = plausible(name, number, known[name].unit)
            if value is not None:
                shot[name] = value
            elif name == "carry_m":
                unit = number.unit or known[name].unit
                self.report.leave(
                    row.line, row.text, "carry_out_of_range", f"{number.readings[0]:g} {unit.name}"
                )
                return
        shot.pop("total_m", None)
        if set(shot) <= {"club", "side_m", "grip_down_m", "carry_sd_m"}:
            self.report.leave(row.line, row.text, "not_a_shot")
            return
        behind = row.balls if row.balls is not None else self.balls
        if behind is not None and 1 < behind <= 500:
            shot["balls"] = float(behind)
        else:
            shot.pop("carry_sd_m", None)
        if row.swing_size:
            shot["swing_size"] = row.swing_size
        self.shots.append((row, shot))

    def _remarks(self, rows: Sequence[Row], known: Mapping[str, Known]) -> None:
        """Say how sides were read, and which values were out of range while their row was kept."""
        if any("side_m" in row.values and not row.values["side_m"].side for row in rows):
            self.report.findings.append(Finding("right_is_positive", field="side_m"))
        for name, unit in known.items():
            told = [(row.line, row.values[name]) for row in rows if name in row.values]
            bad = [line for line, number in told if plausible(name, number, unit.unit) is None]
            if bad and name != "carry_m":
                self.report.findings.append(Finding("values_ignored", bad[0], count=len(bad), field=name))
