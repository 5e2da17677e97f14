"""Text to rows of cells, and cells to numbers: delimiters, quotes, decimal commas, thousands, units."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections import Counter
from dataclasses import dataclass
from functools import lru_cache

from ..statements import Statement
from ..units import FOOT, INCH, KMH, MPH, YARD
from .labels import SIDE_OF

SPLIT = "split it and read the parts one by one"
MOST_TEXT = 1_000_000  # characters
MOST_ROWS = 5_000
MOST_COLUMNS = 200
MOST_LINE = 20_000  # characters
DELIMITERS = {"\t": "tabs", ";": "semicolons", "|": "bars", ",": "commas", "  ": "runs of spaces"}


class TableError(ValueError):
    """A text that cannot be read as shots: ``what`` is wrong, ``where``, what to ``do``, and ``why`` of its first line."""

    def __init__(self, what: str, where: str, do: str, why: Statement | None = None):
        kind = f" ({why.kind})" if why else ""
        super().__init__(f"{where}: {what}{kind}; {do}")
        self.why = why
        self.what = what
        self.where = where
        self.do = do


@dataclass(frozen=True, slots=True)
class Unit:
    """``value_si = value * size``; ``kind`` is length, speed, angle or spin."""

    kind: str
    size: float
    name: str


_UNITS = {
    Unit("length", YARD, "yd"): "yd yds yard yards y yarda yardas ヤード",
    Unit("length", 1.0, "m"): "m mtr mtrs meter meters metre metres metros metro metern メートル",
    Unit("length", FOOT, "ft"): "ft feet foot '",
    Unit("length", INCH, "in"): 'in inch inches "',
    Unit("length", 0.01, "cm"): "cm",
    Unit("length", 0.001, "mm"): "mm",
    Unit("speed", MPH, "mph"): "mph mi/h mp/h",
    Unit("speed", KMH, "km/h"): "km/h kmh kph kmph km/hr kmhr",
    Unit("speed", 1.0, "m/s"): "m/s mps ms m/sec ms-1",
    Unit("speed", FOOT, "ft/s"): "ft/s fps ft/sec",
    Unit("angle", 1.0, "deg"): "deg degs degree degrees ° grad grados grader degres 度",
    Unit("spin", 1.0, "rpm"): "rpm rev/min r/min 1/min revs/min u/min tr/min varv/min 回転",
}
UNITS = {spelling: unit for unit, spellings in _UNITS.items() for spelling in spellings.split()}
METRE, YARDS = UNITS["m"], UNITS["yd"]

_MISSING = frozenset([*"-?.\u2013\u2014", "", "--", "---", "n/a", "#n/a", "na", "nan", "null", "none", "nil"])
_NUMBER = re.compile(
    rf"(?P<side>{'|'.join(sorted(SIDE_OF, key=len, reverse=True))})? ?"
    r"(?P<number>[+-]?\d[\d.,' ]*(?:e[+-]?\d{1,2})?|[+-]?[.,]\d+) ?"
    r"(?P<rest>[^\d]*)"
)


_SPACED = re.compile(r"(?<=\d)[' ](?=\d{3}(?!\d))")
_WRITTEN = {
    mark: re.compile(
        rf"[+-]?(?:(?:[1-9]\d{{0,2}}(?:{group}\d{{3}})+|\d+)(?:{point}\d*)?|{point}\d+)(?:e[+-]?\d{{1,2}})?",
        re.ASCII,
    )
    for mark, point, group in ((".", r"\.", ","), (",", ",", r"\."))
}
_LOOKALIKES = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u202f": " ", "\u2019": "'"})


def missing(cell: str) -> bool:
    """Whether a cell says that there is no value."""
    return cell.strip().lower() in _MISSING


@dataclass(frozen=True, slots=True)
class Quantity:
    """The number in a cell: what it may be read as, likeliest first, its own unit, "l" or "r" for a side."""

    readings: tuple[float, ...]
    unit: Unit | None = None
    side: str = ""


def bare(text: str, most: int = 200) -> str:
    """A text in lower case, in the plain forms of its letters, without accents, with single spaces."""
    if text.isascii():
        return " ".join(text[:most].lower().split())
    folded = unicodedata.normalize("NFD", unicodedata.normalize("NFKC", text[:most])).casefold()
    plain = unicodedata.normalize("NFC", re.sub(r"[\u0300-\u036f]", "", folded))
    return " ".join(plain.translate(_LOOKALIKES).split())


@lru_cache(maxsize=8192)
def quantity(cell: str, *, decimal_comma: bool = False) -> Quantity | None:
    """Read one cell such as "143,5", "6 500", "98.2 mph", "L 5.2", "12.0R"; None if it is no number."""
    if len(cell) > 60:
        return None
    match = _NUMBER.fullmatch(bare(cell))
    if not match:
        return None
    side, unit = SIDE_OF.get(match["side"] or "", ""), None
    rest = match["rest"].strip(" .")
    if rest in UNITS:
        unit = UNITS[rest]
    else:
        for word in rest.split():
            if word in SIDE_OF and not side:
                side = SIDE_OF[word]
            elif word in UNITS and unit is None:
                unit = UNITS[word]
            else:
                return None
    readings = number_readings(match["number"].strip(), decimal_comma=decimal_comma)
    return Quantity(readings, unit, side) if readings else None


def number_readings(text: str, *, decimal_comma: bool = False) -> tuple[float, ...]:
    """What a number may mean, likeliest first: "6,500" is 6500, else 6.5; or 6.5 first."""
    marks = (",", ".") if decimal_comma else (".", ",")
    found = [value for mark in marks if (value := number_of(text, mark)) is not None]
    return tuple(dict.fromkeys(found))


def number_of(text: str, mark: str) -> float | None:
    """The value of a number written with ``mark`` before its decimals; None if it cannot be written so."""
    text = _SPACED.sub("", text).strip()
    if len(text) > 40 or not _WRITTEN[mark].fullmatch(text):
        return None
    value = float(text.replace("," if mark == "." else ".", "").replace(mark, "."))
    return value if abs(value) < 1e12 else None


def decode(data: bytes) -> str:
    """Text of a file's bytes: by its byte order mark, else UTF-8, else UTF-16, else the
    Japanese code page where it gives kana, else Windows-1252.

    Raises `TableError` for a file that is too large, and for nothing else.
    """
    if len(data) > 4 * MOST_TEXT:
        raise TableError(f"is longer than {MOST_TEXT:,} characters", "the file", SPLIT)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    if data[:2000].count(0) * 3 > len(data[:2000]):
        return data.decode("utf-16-le" if data[1:2] == b"\x00" else "utf-16-be", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    try:
        japanese = data.decode("cp932")
    except (UnicodeDecodeError, LookupError):  # not every Python has this code page
        japanese = ""
    if len(re.findall(r"[\u3040-\u30ff\u756a]", japanese)) >= 3:  # kana, or the word after an iron's number
        return japanese
    return data.decode("cp1252", "replace")


def lines_of(text: str) -> list[tuple[int, str]]:
    """Numbered lines of a text, without a byte order mark; a quoted cell may run over up to four lines."""
    if not isinstance(text, str):
        raise TableError("is not text", "the table", "paste rows of text or open a CSV file")
    if len(text) > MOST_TEXT:
        raise TableError(f"is longer than {MOST_TEXT:,} characters", "the table", SPLIT)
    text = text.lstrip("\ufeff").replace("\x00", "").replace("\r\n", "\n").replace("\r", "\n")
    raw = text.split("\n")
    out: list[tuple[int, str]] = []
    at = 0
    while at < len(raw):
        line, size = raw[at], 1
        if line.count('"') % 2 and not re.search(r'\d"', line):
            for more in range(1, 4):
                if at + more < len(raw) and raw[at + more].count('"') % 2:
                    line, size = " ".join(raw[at : at + more + 1]), more + 1
                    break
        if line.strip():
            out.append((at + 1, line))
        at += size
    return out


def split_line(line: str, delimiter: str) -> list[str]:
    """Cells of one line, stripped; a quote that is never closed does not swallow anything but its line."""
    if delimiter == "  ":
        return re.split(r"\s{2,}|\t", line.strip())
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    try:
        cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(delimiter)
    return [cell.strip() for cell in cells]


def find_delimiter(lines: list[tuple[int, str]]) -> str | None:
    """The delimiter that splits most lines into the same number of cells; None if there are no columns.

    Commas come last but for spaces, since in half of the world they are decimal marks.
    """
    sample = [line for _, line in lines[:200] if len(line) <= MOST_LINE]
    best, most = None, 0.0
    for delimiter in DELIMITERS:
        counts = Counter(len(split_line(line, delimiter)) for line in sample)
        counts.pop(1, None)
        if not counts:
            continue
        votes = max(counts.values())
        if votes > most * 1.25:
            best, most = delimiter, float(votes)
    return best
