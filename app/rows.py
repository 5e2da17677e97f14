"""One line that sets a figure of several clubs: ``all irons 37 in``, ``lofts from 26 by 4``, ``26 30 34 38 42``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.phrases.say import many
from app.units import ShownUnit, Unreadable, decimals, span, unit
from engine.documents.case import Club
from engine.documents.fields import CLUB, Number
from engine.units import INCH

GROUPS = {
    "Irons": ("iron",),
    "Irons and wedges": ("iron", "wedge"),
    "Wedges": ("wedge",),
    "Woods and hybrids": ("fairway", "hybrid"),
    "All but the putter": ("driver", "fairway", "hybrid", "iron", "wedge"),
}
FIGURES = {"Loft": "loft_deg", "Length": "length_m", "Lie": "lie_deg", "Head mass": "head_kg"}
QUANTITIES = {"loft_deg": "set_angle", "length_m": "club", "lie_deg": "set_angle", "head_kg": "mass"}
LOFTS = (5.0, 75.0)  # [deg] of what is not a putter; common practice, no source

_FAMILY = {
    "driver": ("driver",),
    "wood": ("fairway",),
    "fairway": ("fairway",),
    "hybrid": ("hybrid",),
    "iron": ("iron",),
    "wedge": ("wedge",),
    "club": GROUPS["All but the putter"],
    "bag": GROUPS["All but the putter"],
}
_FIGURE = {
    "loft": "loft_deg",
    "length": "length_m",
    "long": "length_m",
    "lie": "lie_deg",
    "head": "head_kg",
    "mass": "head_kg",
}
_INCH = ("in", "inch", "inches", '"', "\u201d", "\u2033")
_UNIT = {**dict.fromkeys(_INCH, INCH), "cm": 0.01}
_OF_UNIT = {**dict.fromkeys(_UNIT, "length_m"), "g": "head_kg"}
_AFTER = re.compile(
    r"""(?<=\d)\s*(inch(?:es)?|in|cm|g|deg(?:rees?)?|["\u201d\u2033\u00b0])(?![^\W\d_])""", re.IGNORECASE
)
_SPARE = {
    "all",
    "every",
    "the",
    "and",
    "of",
    "whole",
    "each",
    "at",
    "in",
    "are",
    "from",
    "by",
    "step",
    "-",
    "\u2013",
}
_TOKEN = re.compile(r"[+\-\u2212]?\d+(?:[.,]\d+)?|[^\W\d_]+|[^\s\w]")


@dataclass(frozen=True, slots=True)
class ClubRow:
    """One figure of the case's clubs, in SI, for the clubs it is meant for."""

    clubs: tuple[Club, ...]
    name: str
    values: tuple[float, ...]


def read_row(text: str, bag: Sequence[Club], system: str, *, group: str, figure: str) -> ClubRow:
    """What a line says of a bag; ``group`` and ``figure`` are meant where the line names none.

    One number is for every club, two with ``by`` are the first club's and the step (lengths and lies without a sign as
    they run in a bag: lengths down, all else up), otherwise there is one number for each club.

    Raises
    ------
    Unreadable
        With what is wrong, to stand behind the field's name.
    """
    numbers, words, units = _parts(plain := decimals(text))
    families = tuple(f for w in words for f in _FAMILY.get(w, ())) or GROUPS[group]
    named = {_FIGURE[w] for w in words if w in _FIGURE} | {_OF_UNIT[u] for u in units if u in _OF_UNIT}
    if len(named) > 1:
        raise Unreadable("names more than one figure: set one at a time")
    name = named.pop() if named else FIGURES[figure]
    clubs = tuple(c for c in bag if c.became is None and c.family in families)
    if not clubs:
        raise Unreadable("is for clubs that are not in the bag")
    values = _spread(numbers, words, len(clubs), down=name == "length_m")
    if values is None:
        names = ", ".join(c.name or c.id for c in clubs)
        raise Unreadable(
            f"gives {many(len(numbers), 'number')} for {many(len(clubs), 'club')} ({names}): give one, one for each, or "
            "\u201c26 by 4\u201d"
        )
    shown = unit(QUANTITIES[name], system)
    sizes = {_UNIT[u] for u in units if u in _UNIT}
    if len(sizes) > 1:
        raise Unreadable("mixes inches and centimetres")
    if sizes and name == "length_m":
        shown = ShownUnit("", sizes.pop(), 2, 0.5)
    if "/" in text and plain != text and not (name == "length_m" and shown.size == INCH):
        raise Unreadable("has a fraction, which is read in inches only: write a decimal, as 0.75")
    rule = CLUB[name]
    assert isinstance(rule, Number)
    found = tuple(round(shown.si(v), 6) for v in values)
    low, high = LOFTS if name == "loft_deg" else (rule.low, rule.high)
    if any(not low <= v <= high for v in found):
        raise Unreadable(f"must be {span(QUANTITIES[name], system, low, high)}")
    return ClubRow(clubs, name, found)


def _parts(text: str) -> tuple[list[str], list[str], set[str]]:
    """Numbers, words (in lower case and singular) and units of a line."""
    if re.search(r"\d,\d+,\d", text):  # a list without spaces
        text = re.sub(r"(?<=\d),(?=\d)", " ", text)
    units = {u.lower() for u in _AFTER.findall(text)}
    numbers, words = [], []
    for token in _TOKEN.findall(_AFTER.sub(" ", text)):
        if token[-1].isdigit():
            if (part := token.partition(",")[2]) and len(part) > 1 and part not in ("25", "75"):
                raise Unreadable(
                    f"has \u201c{token}\u201d, which could be one number or two: put a space between two, a point in one"
                )
            numbers.append(token.replace("\u2212", "-").replace(",", "."))
        elif token not in ",;:/|":
            words.append(token.lower().rstrip("s"))
    strange = [w for w in words if w not in {*_FAMILY, *_FIGURE, *_SPARE}]
    if strange:
        raise Unreadable(f"has a word that is not understood: \u201c{strange[0][:20]}\u201d")
    if not numbers:
        raise Unreadable("has no number in it")
    return numbers, words, units


def _spread(numbers: list[str], words: list[str], count: int, *, down: bool) -> list[float] | None:
    """One value for each of so many clubs, or ``None`` where the numbers do not make that many."""
    values = [float(n) for n in numbers]
    if "by" in words or "step" in words:
        if len(values) != 2:
            return None
        first, step = values
        if down and numbers[1][0] not in "+-":
            step = -step
        return [round(first + n * step, 6) for n in range(count)]
    if len(values) == 1 and "from" not in words:
        return values * count
    return values if len(values) == count else None
