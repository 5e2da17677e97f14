"""Balls typed or pasted as plain lines, ``7i 139 141 138``: read into shots, with a note on every line
not understood."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from app.measures import Unreadable, parse, span
from engine.case import Case, Club, Shot
from engine.fields import SHOT

MOST_LINES = 2000
MOST_TEXT = 400_000


@dataclass(frozen=True, slots=True)
class Preview:
    """What was understood of a text, before anything is taken in."""

    balls: tuple[Shot, ...] = ()
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default=())


def read_lines(text: str, case: Case, system: str) -> Preview:
    """Read lines of a club and carries in the shown unit; a line without a club belongs to the club
    above it."""
    clubs = _names(case)
    balls: list[Shot] = []
    problems: list[str] = []
    club: Club | None = None
    rule = SHOT["carry_m"]
    for number, line in enumerate(text[:MOST_TEXT].splitlines()[:MOST_LINES], 1):
        if not line.strip():
            continue
        found, rest = _club_of(line, clubs)
        if found is not None:
            club = found
        elif not re.match(r"\s*[+\-]?[\d.,]", line):
            problems.append(f"Line {number}: no club of the bag is named in \u201c{line.strip()[:40]}\u201d.")
            continue
        numbers = [t for t in re.split(r"[\s;|]+|,(?!\d)|(?<=\d),(?=\d{3})", rest) if t]
        if club is None:
            problems.append(f"Line {number}: no club of the bag is named in \u201c{line.strip()[:40]}\u201d.")
            continue
        for token in numbers:
            try:
                carry = parse(token, "carry", system, low=rule.low, high=rule.high)  # type: ignore[union-attr]
            except Unreadable:
                problems.append(
                    f"Line {number}: \u201c{token[:20]}\u201d is not a carry {span('carry', system, 1, 400)}."
                )
                continue
            if carry is not None:
                balls.append(Shot(club.id, carry_m=round(carry, 2)))
    return Preview(tuple(balls), tuple(problems))


def _names(case: Case) -> dict[str, Club]:
    """Every way of writing each club of the bag, normalised."""
    out: dict[str, Club] = {}
    for club in case.bag:
        for name in (club.id, club.name, *_also(club)):
            key = _plain(name)
            if key:
                out.setdefault(key, club)
    return out


def _also(club: Club) -> list[str]:
    number = re.match(r"(\d+)", club.id) or re.match(r"(\d+)", club.name)
    if number is None:
        return []
    n = number[1]
    return {
        "iron": [f"{n}i", f"{n} iron", f"i{n}", f"iron {n}"],
        "fairway": [f"{n}w", f"{n} wood", f"w{n}", f"wood {n}", f"{n} fairway"],
        "hybrid": [f"{n}h", f"{n} hybrid", f"h{n}", f"hybrid {n}"],
    }.get(club.family, [])


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]", "", name.lower())


def _club_of(line: str, clubs: dict[str, Club]) -> tuple[Club | None, str]:
    """The club a line begins with, and the rest of the line."""
    tokens = re.split(r"([\s,;:|=\t]+)", line.strip())
    for words in (5, 3, 1):
        head = "".join(tokens[:words])
        club = clubs.get(_plain(head))
        if club is not None and not re.fullmatch(r"[\d.,\s]+", head):
            return club, "".join(tokens[words:]).strip(" ,;:|=\t")
    return None, line
