"""Text that is pasted or opened on the Hit screen: `engine.shots.table` reads it, here it meets the bag and the units."""

from __future__ import annotations

import dataclasses
import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from app import edits
from app.choices import Choices
from app.dates import day as full_day
from app.dates import iso_today
from app.phrases import reading
from app.sessions import is_day
from engine.documents.case import Case, Shot
from engine.shots.cells import decode
from engine.shots.club_names import wedge_of_loft
from engine.shots.columns import Column
from engine.shots.remarks import Question
from engine.shots.table import TableError, read_table

MOST_TEXT = 400_000  # characters: more than any session on a range, and quick to show on a phone


@dataclass(frozen=True, slots=True)
class Line:
    """What became of a line of the text.

    ball : it holds a ball that was not taken, and could be mended; gone : it holds none that anybody misses
    """

    number: int
    text: str
    fate: str
    taken: bool = False
    ball: bool = False
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Preview:
    """What was understood of a text, before anything is added.

    balls : as they would be added; days : of each as `engine.shots.table` has it; problems, notes, asked : in words;
    questions : what is asked; columns, lines : what became of each; layout : what the columns are remembered by, "" for
    text without headings
    """

    balls: tuple[Shot, ...] = ()
    days: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    columns: tuple[Column, ...] = ()
    lines: tuple[Line, ...] = ()
    layout: str = ""


# Lines that are no news: everybody expects headings and labels not to be balls.
_EXPECTED = {"headings_again", "units_row", "club_alone", "label_alone", "day_alone", "above_headings"}
# Lines that are not to be read again without the others: an average could then be taken for a ball.
_GONE = {"summary_row", "unlabelled_mean", "not_a_shot"}


def understand(
    text: str, case: Case, system: str, choices: Choices | None = None, *, full_only: bool = False
) -> Preview:
    """What a pasted text or a table from a launch device holds, with all that was left out or assumed.

    full_only : balls of part swings are left out
    """
    if not text.strip():
        return Preview()
    said = choices or Choices()
    called = {club.id: club.name or club.id for club in case.bag}
    names = {name: club.id for club in case.bag for name in (club.id, club.name) if name}
    own = {name: id_ for name, id_ in said.clubs.items() if id_ in called and not _is_id(name)}
    try:
        seen = read_table(
            text,
            club=said.club if said.club in called else None,
            clubs=names | own,
            length_unit=said.length_unit,
            speed_unit=said.speed_unit,
            usual_unit="yd" if system == "imperial" else "m",
            columns=said.columns,
            numbers=said.numbers,
            player=case.player.label or None if said.player is None else said.player,
            day=said.day,
            dates=said.dates,
            today=date.fromisoformat(iso_today()),
            balls=said.balls,
            swings=said.swings,
            swing_sizes=[size.name for size in case.swing_sizes],
        )
    except TableError as error:
        return Preview(problems=(str(error),))
    wedges = {club.id: club.loft_deg for club in case.carried if club.family == "wedge"}
    fields = {f.name for f in dataclasses.fields(Shot)}
    balls: list[Shot] = []
    days: list[str] = []
    taken: dict[int, list[str]] = {}
    hit_on: dict[int, dict[str, None]] = {}
    missing: dict[int, str] = {}
    dropped: set[int] = set()
    absent: dict[str, None] = {}
    meant: dict[str, str] = {}
    for number, doc, day in zip(seen.lines, seen.shots, seen.days, strict=True):
        club = doc["club"]
        if club not in called and club in said.clubs:
            club = said.clubs[club]
            if not club:
                missing[number] = f"the {_spoken(doc['club'])} is left out, as you chose."
                dropped.add(number)
                continue
        elif club and club not in called and (wedge := wedge_of_loft(club, wedges)):
            meant[club] = wedge
            club = wedge
        if not club:
            missing[number] = "no club is named; choose one, or begin the line with one."
        elif club not in called:
            absent[club] = None
            missing[number] = (
                f"the {_spoken(club)} is not in the bag; choose a club, or add it under Measure."
            )
        elif full_only and "swing_size" in doc:
            missing[number] = f"{doc['swing_size']}: not a full swing."
        else:
            known = {name: value for name, value in doc.items() if name in fields} | {"club": club}
            if "swing_size" in known:
                known["swing_size"] = edits.size_named(case, club, known["swing_size"]).id
            balls.append(Shot(**known))
            days.append(day if is_day(day) or re.search(r"[^\W\d_]", day) else "")  # no bare number is a day
            taken.setdefault(number, []).append(club)
            hit_on.setdefault(number, {})[full_day(days[-1]) or days[-1]] = None
    lines = [
        *(
            Line(
                x.line,
                x.text,
                reading.left_out(x),
                ball=x.reason not in _EXPECTED | _GONE,
                gone=x.reason in _GONE,
            )
            for x in seen.left_out
        ),
        *(Line(n, "", why, ball=n not in dropped, gone=n in dropped) for n, why in missing.items()),
        *(Line(n, "", _taken(clubs, called, hit_on[n]), True) for n, clubs in taken.items()),
    ]
    texts = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    told = {x.number for x in lines}
    lines += [
        Line(n, "", "says how to read the other lines")
        for n, words in enumerate(texts, 1)
        if n not in told and words.strip()
    ]
    problems = [
        *(
            f"Line {x.line}: {reading.left_out(x)} (\u201c{x.text[:40]}\u201d)."
            for x in seen.left_out
            if x.reason not in _EXPECTED
        ),
        *(f"Line {n}: {why}" for n, why in missing.items()),
    ]
    return Preview(
        balls=tuple(balls),
        days=tuple(days),
        problems=tuple(dict.fromkeys(problems)),
        notes=(
            *(f"{_spoken(club)[:-6]} was read as the {called[wedge]}." for club, wedge in meant.items()),
            *(reading.finding(item) for item in seen.findings),
        ),
        asked=tuple(
            reading.question(item, seen.understood)
            for item in seen.needs
            if item.key not in ("player", "day", "dates") or not item.taken
        ),
        questions=(*seen.needs, *(Question("clubs", about=club) for club in absent)),
        columns=seen.understood if seen.headings or len(seen.understood) > 1 else (),
        lines=tuple(
            dataclasses.replace(x, text=x.text or texts[min(x.number, len(texts)) - 1].strip()[:80])
            for x in sorted(dict.fromkeys(lines), key=lambda x: x.number)
        ),
        layout=_layout(seen.headings),
    )


def _is_id(name: str) -> bool:
    """Whether a name is how the engine calls a club that is not in the bag."""
    return bool(re.fullmatch(r"dr|pt|[pgsl]w|w\d\d(?:\.\d)?|\d{1,2}[iwh]", name))


_SPOKEN = {
    "dr": "driver",
    "pw": "pitching wedge",
    "gw": "gap wedge",
    "sw": "sand wedge",
    "lw": "lob wedge",
    "pt": "putter",
}
_KINDS = {"i": "iron", "w": "wood", "h": "hybrid"}


def _spoken(club: str) -> str:
    """A club that is not in the bag, as people say it: the gap wedge, the 3-wood, the 52° wedge."""
    if re.match(r"w\d", club):
        return f"{club[1:]}\u00b0 wedge"
    if match := re.fullmatch(r"(\d+)([iwh])", club):
        return f"{match[1]}-{_KINDS[match[2]]}"
    return _SPOKEN.get(club, club)


def _taken(clubs: list[str], called: Mapping[str, str], days: Iterable[str]) -> str:
    """``read as: 7-iron, 3 balls, of 14 Apr 2026``, the day where it is known."""
    balls = [f"{len(clubs)} balls"] if len(clubs) > 1 else []
    told = [f"of {day}" for day in days if day]
    return "read as: " + ", ".join([*dict.fromkeys(called[c] for c in clubs), *balls, *told])


def _layout(headings: tuple[str, ...]) -> str:
    """A key of the headings that does not hold what somebody wrote in them."""
    return hashlib.sha256("\x1f".join(headings).casefold().encode()).hexdigest()[:16] if any(headings) else ""


def garbage(text: str) -> bool:
    """Whether the bytes of a picture or a program were read as text: it is full of characters that nobody types."""
    start = text[:4000]
    control = sum((ord(c) < 32 and c not in "\t\n\r\f\x1a") or 127 <= ord(c) < 160 for c in start)
    return (control + start.count("\ufffd")) * 50 > len(start)


def understand_file(
    data: bytes, case: Case, system: str, choices: Choices | None = None, *, full_only: bool = False
) -> tuple[str, Preview]:
    """Text of a file's bytes and what it holds, as `understand` has it; no text where the file cannot be read."""
    try:
        text = decode(data)
    except TableError as error:
        return "", Preview(problems=(str(error),))
    if not text.strip():
        return "", Preview(problems=("The file is empty.",))
    if text.lstrip().startswith("{") and '"format"' in text[:400]:
        return "", Preview(problems=("This is a file of players: open it under Players.",))
    if garbage(text):
        return "", Preview(problems=("The file is neither a table nor a text: open a CSV or a text file.",))
    return text, understand(text, case, system, choices, full_only=full_only)
