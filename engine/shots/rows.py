"""Rows under headings: which are shots, of which club, whose, of which day, and the numbers in them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from .cells import Quantity, Unit, bare, missing, number_of, quantity
from .club_names import club_id, full_swing, leading_club, part_swing, plain, several_clubs, unsure_h
from .columns import (
    KIND,
    LIKELY,
    MEASURED,
    TEXTS,
    Used,
    field_of,
    is_units_row,
    may_be_swing,
    split_heading,
)
from .dates import day_of, is_day
from .labels import GRIPPED, MISHIT, SUMMARY_ALONE, SUMMARY_WORDS
from .remarks import Finding, Remarks
from .swing_sizes import Sizes, reach

_NO = {"no", "n", "0", "false", "nein", "non", "nej", "nee"}
_TICKED = re.compile(r"(?:a |is )?mis-?s?hits?\??")
_LOFT = re.compile(r"(?<!\d)(4[2-9]|5\d|6\d)(?!\d)")


@dataclass(slots=True)
class Row:
    """What looks like a shot; numbers are read but not yet in SI.

    balls : how many balls the numbers are the mean of, None if that is not said; means : they are said to be a mean;
    swing_size : the player's name of the part swing, "" for a full one
    """

    line: int
    text: str
    club: str
    name: str
    values: dict[str, Quantity]
    player: str = ""
    day: str = ""
    balls: float | None = None
    means: bool = False
    swing_size: str = ""


def words_of(text: str) -> set[str]:
    """The words of a text, in the form of `SUMMARY_WORDS`."""
    return set(re.findall(r"[^\W\d_]+", bare(text, 400)))


def label_line(text: str) -> tuple[str, str] | None:
    """What a line such as "Player: A", "Date 2026-03-01" or "1 March 2026" says: player, date or club, and which."""
    if len(text) > 200:
        return None
    if is_day(text):
        return "date", " ".join(text.split())
    match = re.fullmatch(
        r"([^\W\d][^:=;,|\d]{0,24}?) ?(?:[:=;,|] ?|(?<= )(?=\d))(\S.{0,60}?)",
        " ".join(text.split()).strip(" ,;|"),
    )
    found = field_of(split_heading(match[1])[0]) if match else None
    return (
        (found[0], match[2].strip()) if match and found and found[0] in ("player", "date", "club") else None
    )


@dataclass(slots=True)
class Gatherer:
    """Reads rows one after another, keeping the club, player and day that a row or a line above it named."""

    heading: Sequence[str]
    fields: Mapping[str, Used]
    clubs: Mapping[str, str]
    club: str | None
    marks: Mapping[str, str]
    means: bool
    report: Remarks
    text: str = ""
    player: str = ""
    day: str = ""
    sizes: Sizes = field(default_factory=Sizes)
    swings: str = ""
    unknown: str = field(default="", init=False)
    named: tuple[str, ...] = field(default=(), init=False)  # part swings that the club's name holds
    said: str = field(default="", init=False)  # the club's name, with what it says of the swing

    def rows(self, data: list[tuple[int, list[str]]]) -> list[Row]:
        """The rows that are shots; every other goes to the report with its reason."""
        out: list[Row] = []
        run: list[Row] = []  # rows of one club without a break: the last may be an average without a label
        for at, (line, cells) in enumerate(data):
            row = None
            if self._headings(cells):
                for later, rest in data[at:]:
                    self.report.leave(later, " ".join(rest), "other_headings")
                break
            if not self._aside(line, cells):
                row = self._row(line, cells)
            if run and (row is None or row.club != run[-1].club):
                self._drop_average(run, out)
                run = []
            if row is not None:
                run.append(row)
                out.append(row)
        self._drop_average(run, out)
        named = next((at for at, row in enumerate(out) if row.name), len(out))
        blank = [row.line for row in out[named:] if not row.name]
        if blank and "club" in self.fields:
            self.report.findings.append(Finding("club_above", blank[0], count=len(blank)))
        return out

    def _cell(self, name: str, cells: Sequence[str]) -> str:
        at = self.fields[name].index if name in self.fields else len(cells)
        return "" if at >= len(cells) or missing(cells[at]) else cells[at]

    def _remarks(self, cells: Sequence[str]) -> list[tuple[str, str]]:
        """Headings and cells that may say something of a ball: the club's, and those of no known column."""
        used = {u.index for name, u in self.fields.items() if name != "club"}
        pairs = zip(self.heading, cells, strict=False)
        return [pair for at, pair in enumerate(pairs) if at not in used and not missing(pair[1])]

    def _headings(self, cells: Sequence[str]) -> bool:
        """Whether another table with headings of its own begins here."""
        if list(cells) == list(self.heading) or len(cells) < 2 or any(quantity(cell) for cell in cells):
            return False
        found = {f[0] for cell in cells if (f := field_of(split_heading(cell)[0]))}
        return len(found) > 1 and bool(found & MEASURED)

    def _aside(self, line: int, cells: Sequence[str]) -> bool:
        """Whether a row is no shot but something beside them: headings, units, a summary, a label."""
        text = " ".join(cells)
        filled = [cell for cell in cells if not missing(cell)]
        pair = len(filled) == 2 and not quantity(filled[1]) and len(self.heading) > 1
        label = label_line(": ".join(filled)) if len(filled) == 1 or pair else None
        alone = self._club_alone(filled[0]) if len(filled) == 1 and len(self.heading) > 1 else None
        if list(cells) == list(self.heading):
            self.report.leave(line, text, "headings_again")
        elif is_units_row(list(cells)):
            self.report.leave(line, text, "units_row")
        elif self._summary(cells):
            self.report.leave(line, text, "summary_row")
        elif label and label[0] == "player":
            self.player = label[1]
            self._below("")
            self.report.leave(line, text, "label_alone", label[1])
        elif label and label[0] == "date":
            self.day = day_of(label[1])
            self.report.leave(line, text, "day_alone", label[1])
        elif label and self._known(label[1]):
            self._below(self._known(label[1]))
            self.report.leave(line, text, "club_alone", label[1])
        elif alone:
            self._below(alone)
            self.report.leave(line, text, "club_alone", filled[0])
        else:
            return False
        return True

    def _below(self, club: str | None) -> None:
        """Take a club for the rows below."""
        self.club, self.unknown, self.named, self.said = club, "", (), ""

    def _row(self, line: int, cells: Sequence[str]) -> Row | None:
        text = " ".join(cells)
        if any(not missing(cell) for cell in cells[len(self.heading) :]):
            self.report.leave(line, text, "more_cells")
            return None
        named, name = self.sizes.within(self._cell("club", cells))
        if name.strip():
            self.club, self.named, self.said = self._known(name), named, name
            self.unknown = "" if self.club else name
        if self.unknown or self.club is None:
            self.report.unknown_club(line, text, self.unknown)
            return None
        remarks = self._remarks(cells)
        said = [words for _, cell in remarks if 0 < len(words := words_of(cell)) < 7]
        ticked = any(_TICKED.fullmatch(bare(head)) and bare(cell) not in _NO for head, cell in remarks)
        if ticked or any(words & MISHIT for words in said):
            self.report.leave(line, text, "mishit")
            return None
        if any(words & GRIPPED for words in said) and not self._cell("grip_down_m", cells):
            self.report.leave(line, text, "gripped_down")
            return None
        size = self._cell("swing_size", cells)
        sizes = {*self.named, *([self.sizes.whole(size)] if self.sizes.whole(size) else [])}
        if part_swing(self.said) or len(sizes) > 1 or (not self.sizes.whole(size) and self._part(size)):
            self.report.leave(line, text, "part_swing", size or self.said)
            return None
        if not sizes and self.swings != "full" and (swing := self._open(size)):
            if self.swings:
                self.report.leave(line, text, "part_swing", swing)
            else:
                self.report.open_swing(line, text, swing)
            return None
        values: dict[str, Quantity] = {}
        for field_name, used in self.fields.items():
            if field_name not in TEXTS and used.index < len(cells):
                if self.marks.get(field_name) == "?":
                    continue
                number = in_mark(cells[used.index], self.marks.get(field_name, ""))
                if number and (field_name == "side_m" or not number.side):
                    values[field_name] = number
                elif field_name == "carry_m" and not missing(cells[used.index]):
                    self.report.leave(line, text, "carry_unreadable", cells[used.index])
                    return None
        count = values.pop("balls", None)
        if not values.keys() & MEASURED:
            known = self.fields.keys() & MEASURED
            waits = "numbers_open" if any(self.marks.get(f) == "?" for f in known) else "no_number"
            self.report.leave(line, text, waits if known else "columns_open")  # type: ignore[arg-type]
            return None
        if "balls" in self.fields and count and count.readings[0] < 1:
            self.report.leave(line, text, "not_a_shot")
            return None
        return Row(
            line,
            text,
            self.club,
            name,
            values,
            self._cell("player", cells) or self.player,
            day_of(self._cell("date", cells)) or self.day,
            count.readings[0] if count else None,
            self.means,
            next(iter(sizes), ""),
        )

    def _part(self, size: str) -> bool:
        """Whether a cell of swing sizes says that the swing was not a full one, or may say so where sizes have names."""
        number = quantity(size.replace("%", "")) if size else None
        if number and not re.search(r"[/⁄½¾¼]|clock", bare(size)):
            value = number.readings[0]
            return value < (0.95 if value <= 1 and "%" not in size else 95)
        return part_swing(size) or (bool(self.sizes and size) and not full_swing(size))

    def _open(self, size: str) -> str:
        """The words of a row that may say that the swing was not a full one."""
        heading = self.heading[self.fields["swing_size"].index] if size else ""
        if size and not quantity(size.replace("%", "")) and may_be_swing(size, heading):
            return size
        return self.said if plain(self.said) not in self.clubs and reach(self.said) else ""

    def _known(self, name: str) -> str | None:
        """The club of a whole name, the reader's own names first; None if it is not known or may be another."""
        own = self.clubs.get(plain(name))
        doubtful = own is None and (unsure_h(name, self.text) or several_clubs(name))
        return None if doubtful else own or club_id(name)

    def _club_alone(self, name: str) -> str | None:
        found = leading_club(plain(name))
        return self.clubs.get(plain(name)) or (found[0] if found and not found[1] else None)

    def _summary(self, cells: Sequence[str]) -> bool:
        """Whether a row is one of averages, deviations, ends or sums by its words."""
        first = next((i for i, cell in enumerate(cells) if not missing(cell)), 0)
        labels = {first, self.fields["club"].index if "club" in self.fields else first}
        people = self.fields["player"].index if "player" in self.fields else -1
        for index, cell in enumerate(cells):
            words = words_of(cell.replace("\u2300", "\u00f8"))
            if index == people and words <= {"max", "min"} and self._cell("club", cells):
                continue  # a player may be called Max
            if words & SUMMARY_WORDS and (index in labels or words <= SUMMARY_ALONE):
                return True
        return False

    def _drop_average(self, run: list[Row], out: list[Row]) -> None:
        """Leave out the last row of a run if it has no label and all its numbers are means of those above."""
        if (
            len(run) < 3
            or run[-1].name
            or (len(run[-1].values) < 2 and not all(row.name for row in run[:-1]))
        ):
            return
        for name, number in run[-1].values.items():
            above = [row.values[name].readings[0] for row in run[:-1] if name in row.values]
            value = number.readings[0]
            rounding = 0.51 if value == int(value) else 0.06
            if not above or abs(value - sum(above) / len(above)) > rounding:
                return
        out.pop()
        self.report.leave(run[-1].line, run[-1].text, "unlabelled_mean")


def in_mark(cell: str, mark: str) -> Quantity | None:
    """The number in a cell under the decimal mark of its column; where that cannot be, its only other reading."""
    number = quantity(cell, decimal_comma=mark == ",")
    return Quantity(number.readings[:1], number.unit, number.side) if number else None


def mark_of(cells: Sequence[str], name: str, unit: Unit | None, usual: str) -> str:
    """The decimal mark of a column, from all of its values: "." or ","; "" if it makes no difference; "?" if
    both marks give values that a golf shot may have.

    usual : the mark that other cells of the text need, or ""
    """
    low, high = LIKELY[name]
    size = unit.size if unit else 1.0
    slack = 1.0 if unit else 4.0  # where the unit is not known yet
    fits = {".": 0, ",": 0}
    differs = False
    for cell in cells[:2000]:
        number = quantity(cell)
        digits = re.search(r"[+-]?[\d.,' ]*\d", bare(cell)) if number else None
        if number is None or digits is None:
            continue
        scale = number.unit.size if number.unit and number.unit.kind == KIND[name] else size
        differs = differs or len(number.readings) > 1
        for mark in fits:
            value = number_of(digits[0], mark)
            fits[mark] += value is not None and low / slack <= value * scale <= high * slack
    if not differs:
        return ""
    if fits["."] != fits[","]:
        return max(fits, key=lambda mark: fits[mark])
    return "?" if fits["."] else usual


def usual_mark(rows: Sequence[Sequence[str]], delimiter: str | None) -> str:
    """The decimal mark that most cells such as "97,3" or "97.3" show; by the delimiter where there are none."""
    comma = dot = 0
    for row in rows[:500]:
        for cell in row:
            comma += bool(re.match(r"[^\d]{0,3}\d+,(\d{1,2}|\d{4,})(?!\d)", cell))
            dot += bool(re.match(r"[^\d]{0,3}\d+\.(\d{1,2}|\d{4,})(?![\d.])", cell))
    return "," if comma > dot else "." if dot > comma else "," if delimiter == ";" else "."


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
    """A number in SI, right positive; None if no golf shot has it."""
    if number.unit and number.unit.kind == KIND[name]:
        unit = number.unit
    low, high = LIKELY[name]
    value = number.readings[0] * unit.size
    if number.side:
        value = abs(value) if number.side == "r" else -abs(value)
    return round(value, 4) if low <= value <= high else None
