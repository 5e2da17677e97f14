"""Text that is pasted or opened on the Hit screen: `engine.shots.table` reads it, here it meets the bag and the units."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from app.phrases import phrase, phrases
from app.phrases.say import capital
from engine.documents.case import Case, Shot
from engine.shots.cells import decode
from engine.shots.club_names import wedge_of_loft
from engine.shots.table import TableError, read_table

MOST_TEXT = 400_000  # characters: more than any session on a range, and quick to show on a phone


@dataclass(frozen=True, slots=True)
class Preview:
    """What was understood of a text, before anything is taken in."""

    balls: tuple[Shot, ...] = ()
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def understand(text: str, case: Case, system: str) -> Preview:
    """What a pasted text or a table from a launch device holds, with all that was left out or assumed."""
    if not text.strip():
        return Preview()
    called = {club.id: club.name or club.id for club in case.bag}
    names = {name: club.id for club in case.bag for name in (club.id, club.name) if name}
    yards = system == "imperial"
    try:
        seen = read_table(
            text, clubs=names, length_unit="yd" if yards else "m", speed_unit="mph" if yards else None
        )
    except TableError as error:
        return Preview(problems=(_fault(error, system),))
    balls: list[Shot] = []
    problems = [
        f"Line {x.line}: {phrase(x.reason, system)} (\u201c{x.text[:40]}\u201d)." for x in seen.left_out
    ]
    fields = {f.name for f in dataclasses.fields(Shot)}
    wedges = {club.id: club.loft_deg for club in case.carried if club.family == "wedge"}
    meant: dict[str, str] = {}
    for number, doc in zip(seen.lines, seen.shots, strict=True):
        club = doc["club"]
        if club and club not in called and (wedge := wedge_of_loft(club, wedges)):
            meant[club] = wedge
            club = wedge
        if not club:
            problems.append(f"Line {number}: no club is named; begin the line with one.")
        elif club not in called:
            what = f"{club[1:]}\u00b0 wedge" if club.startswith("w") else club
            problems.append(f"Line {number}: {what} is not in the bag; add it under Measure.")
        else:
            known = {name: value for name, value in doc.items() if name in fields}
            balls.append(Shot(**known | {"club": club}))
    asked = [
        capital(phrase(q.statement, system))
        + ("; write a club of the bag in its place." if q.key == "clubs" else "")
        for q in seen.needs
    ]
    return Preview(
        tuple(balls),
        tuple(dict.fromkeys(problems)),
        (
            *(f"{said[1:]}\u00b0 was taken for the {called[wedge]}." for said, wedge in meant.items()),
            *(capital(text) for text in phrases(seen.warnings, system)),
            *asked,
            *(phrase(c.statement, system) for c in seen.understood),
        ),
    )


def _fault(error: TableError, system: str) -> str:
    why = f" ({phrase(error.why, system)})" if error.why else ""
    return f"{error.where}: {error.what}{why}; {error.do}"


def understand_file(data: bytes, case: Case, system: str) -> tuple[str, Preview]:
    """Text of a file's bytes and what it holds; no text where the file is too large to be read."""
    try:
        text = decode(data)
    except TableError as error:
        return "", Preview(problems=(str(error),))
    seen = understand(text, case, system)
    if len(text) > MOST_TEXT:
        return "", seen  # read whole all the same, only not shown
    return text, seen
