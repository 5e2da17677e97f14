"""Days as people write them. What day comes first, 3/11 or 11/3, one text alone may not tell: all its readings are kept."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta

from .cells import bare

ORDERS = ("dmy", "mdy", "ymd")  # of day, month and year
OLDEST = 1950  # year of a ball that somebody measured; ours
_NAMES = (
    "january|januar|janvier|enero|januari",
    "february|februar|fevrier|febrero|februari",
    "march|marz|mars|marzo|mrz",
    "april|avril|abril",
    "may|mai|mayo|maj",
    "june|juni|juin|junio",
    "july|juli|juillet|julio",
    "august|aout|agosto|augusti",
    "september|septembre|septiembre",
    "october|oktober|octobre|octubre",
    "november|novembre|noviembre",
    "december|dezember|decembre|diciembre",
)
_IN_FIGURES = re.compile(r"(\d{4}|\d{1,2})([-./])(\d{1,2})\2(\d{4}|\d{1,2})")
_JOINED = re.compile(r"((?:19|20)\d\d)(\d\d)(\d\d)|(\d{4})年(\d{1,2})月(\d{1,2})日")
_GAP = r"[-,./ ]+(?:of |de )?"
_YEAR = rf"(?:{_GAP}(\d{{4}}|\d\d))?[.,]{{0,2}}"
_WEEKDAY = r"(?:[a-z]{2,10},? )?"
_DAY_FIRST = re.compile(rf"{_WEEKDAY}(\d{{1,2}})(?:st|nd|rd|th)?{_GAP}([a-z]{{3,10}}){_YEAR}")
_MONTH_FIRST = re.compile(rf"{_WEEKDAY}([a-z]{{3,10}}){_GAP}(\d{{1,2}})(?:st|nd|rd|th)?{_YEAR}")
_DAYS = r"(?:(?:mon|tue|tues|wed|wednes|thu|thur|thurs|fri|sat|satur|sun)(?:day)?,? )?(?:the )?"
_IN_DAY_FIRST = re.compile(
    rf"{_DAYS}\d{{1,2}}(?:st|nd|rd|th)?{_GAP}([a-z]{{3,10}})(?![a-z])((?:{_GAP}\d{{4}})?)(?!\w)"
)
_IN_MONTH_FIRST = re.compile(
    rf"{_DAYS}([a-z]{{3,10}}){_GAP}\d{{1,2}}(?:st|nd|rd|th)?((?:{_GAP}\d{{4}})?)(?!\w)"
)
_TIME = re.compile(r"[T ]?\d{1,2}[:.h]\d{2}(?:[:.]\d{2})?(?:\.\d+)?(?: ?[ap]m)?\s*$", re.IGNORECASE)


def day_of(cell: str) -> str:
    """The day in a cell such as "2026-03-01 10:12", as it stands there; the whole cell if there is none in figures."""
    found = re.search(
        r"\d{4}[-./]\d{1,2}[-./]\d{1,2}|\d{1,2}[-./]\d{1,2}[-./]\d{2,4}|\d{4}年\d{1,2}月\d{1,2}日", cell
    )
    text = found[0] if found else _TIME.sub("", cell)
    return " ".join(text.split())[:40]


def readings(text: str, today: date | None = None) -> dict[str, date] | None:
    """The days that a text may mean, by order: none where it is no day though it is written as one, ``None`` where it is not
    written as one.

    today : that of the device, for a day without a year: the last such day there was; without it such a text is no day

    >>> readings("03/11/2026")
    {'dmy': datetime.date(2026, 11, 3), 'mdy': datetime.date(2026, 3, 11)}
    >>> readings("31.02.2026"), readings("morning")
    ({}, None)
    """
    words = bare(text, 60)
    if found := _IN_FIGURES.fullmatch(words):
        first, mark, second, third = found.groups()
        if len(first) == 4:
            told = dict.fromkeys(ORDERS, (first, second, third))
        else:
            told = {"dmy": (third, second, first), "mdy": (third, first, second)}
            if mark == ".":
                del told["mdy"]  # with points the day stands first everywhere
            if mark == "-" and len(third) < 3:
                told["ymd"] = first, second, third
    elif found := _JOINED.fullmatch(words):
        told = dict.fromkeys(ORDERS, tuple(filter(None, found.groups())))
    elif (found := _DAY_FIRST.fullmatch(words)) and (month := _month(found[2])):
        told = dict.fromkeys(ORDERS, (found[3], month, found[1]))
    elif (found := _MONTH_FIRST.fullmatch(words)) and (month := _month(found[1])):
        told = dict.fromkeys(ORDERS, (found[3], month, found[2]))
    else:
        return None
    if any(year is None for year, _, _ in told.values()) and today is None:
        return None
    days = {order: _day(*parts, today) for order, parts in told.items()}
    return {order: day for order, day in days.items() if day is not None}


def worded(text: str, at: int, *, apart: bool) -> int:
    """Where a day with its month in letters ends that begins at a place of a text, in lower case; ``at`` if none does.

    apart : nothing else can be meant there, as at the beginning of a line or in brackets; elsewhere "may 12" without a year
        may be a word and a number
    """
    if at and text[at - 1].isalnum():
        return at
    if (found := _IN_DAY_FIRST.match(text, at)) and _month(found[1]):
        return found.end()
    if (found := _IN_MONTH_FIRST.match(text, at)) and _month(found[1]):
        alone = apart and re.match(r" ?[:;,)\]]| ?-|$", text[found.end() :])
        return found.end() if found[2] or alone else at
    return at


def is_day(line: str) -> bool:
    """Whether a line is a day alone, perhaps with a time."""
    text, any_day = line.strip(" \t,;:"), date(2000, 1, 1)
    return any(readings(t, any_day) is not None for t in (text, _TIME.sub("", text).rstrip(" ,")))


def without_year(text: str) -> bool:
    """Whether a day is written without its year."""
    return readings(text, date(2000, 1, 1)) is not None and readings(text) is None


def ahead(day: date, today: date | None) -> bool:
    """Whether a day lies in the future, wherever on earth somebody is."""
    return today is not None and day > today + timedelta(days=1)


def orders_of(texts: Iterable[str], today: date | None = None) -> tuple[str, ...]:
    """The orders under which most of the texts are days that have been; several only where they make other days of them."""
    found = [told for text in texts if (told := readings(text, today)) is not None]
    been = [{order: day for order, day in told.items() if not ahead(day, today)} for told in found]
    counts = {order: sum(order in told for told in been) for order in ORDERS}
    best = (order for order in ORDERS if counts[order] == max(counts.values()))
    alike: dict[tuple[date | None, ...], str] = {}
    for order in best:
        alike.setdefault(tuple(told.get(order) for told in been), order)
    return tuple(alike.values())


def _month(word: str) -> str:
    """The number of a month by its name or the first letters of it."""
    found = [
        n for n, names in enumerate(_NAMES, 1) if any(name.startswith(word) for name in names.split("|"))
    ]
    return f"{found[0]}" if len(found) == 1 else ""


def _day(year: str | None, month: str, day: str, today: date | None) -> date | None:
    try:
        if year is None:
            assert today is not None
            found = date(today.year, int(month), int(day))
            return found.replace(year=today.year - 1) if ahead(found, today) else found
        number = int(year) + (2000 if len(year) < 3 else 0)
        return date(number, int(month), int(day)) if number >= OLDEST else None
    except ValueError:
        return None
