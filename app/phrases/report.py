"""A whole result document in words, section by section: what the command line prints."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from app.phrases import phrase, phrases, record
from app.phrases.layouts import layout_title
from app.phrases.say import NOT_KNOWN, capital, listed
from app.phrases.verdict import SIDES, by_side
from app.units import unit
from engine.documents.case import JobClub
from engine.fitting.job_record import Noted
from engine.statements import LayoutName, statement_of

SECTIONS = {
    "warning_statements": "Please check",
    "layouts": "Carries",
    "advice": "Advice",
    "differences": "What sets the layouts apart",
    "shots": "Shots set aside",
    "next_ball": "What to hit next to choose between the sets",
    "make_up": "Which clubs to carry",
    "irons_stop": "Where the irons stop",
    "woods": "Fairway woods and hybrids",
    "driver": "Driver",
    "driver_length": "Length of the driver",
    "body": "Length, lie and grip from the body",
    "lofts": "Lofts",
    "wedge_table": "Wedges and part swings",
    "common_length": "A common length",
    "build": "Build sheet",
    "ball": "Another ball",
    "putter": "Putter",
    "retest": "After the build",
    "then_and_now": "Then and now",
    "job_record": "Job record",
}
ELSEWHERE = ("fills", "flex", "effects", "irons", "left_out", "started")
"""Parts that are said again as statements, the same for every club, or of use in a table only."""
IN_FULL = ("layouts", "build")
MOST_NEXT = 3  # clubs worth naming
NOT_YET = "retest.none"
SHAFTS, HIT_FIRST = "woods.shaft", "bag.hit_first"


def report(doc: Mapping[str, Any], system: str, names: Mapping[str, str] | None = None) -> str:
    """All that a result document states, in the units of ``system``; every sentence once, but carries and the build sheet
    in full.

    names : of the clubs by id, those too that no layout has
    """
    called = {c["id"]: c["name"] or c["id"] for layout in doc["layouts"] for c in layout["clubs"]}
    called = {**called, **(names or {})}
    out: list[str] = []
    told: set[str] = set()
    for key, title in SECTIONS.items():
        said = _OWN_WAYS.get(key, _lines)(doc[key], called, system)
        lines = list(said) if key in IN_FULL else [x for x in dict.fromkeys(said) if x not in told]
        told |= set(lines)
        if lines:
            out.append("\n".join([title, *(f"  {capital(line)}" for line in lines)]))
    return "\n\n".join(out) + "\n"


def _lines(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    """The statements of a part in words: its own first, then those of what it holds, then what it notes."""
    if _is_statement(part):
        yield phrase(part, system)
    elif isinstance(part, Mapping) and not part.get("conforms"):
        club = names.get(part.get("club") or "") if isinstance(part.get("club"), str) else part.get("name")
        order = sorted(part, key=lambda key: (key != "statements") + (key in ("check", "note", "notes")))
        inside = [line for key in order if key not in ELSEWHERE for line in _lines(part[key], names, system)]
        if club and inside and "clubs" not in part:
            yield _of(club, inside)
        else:
            yield from inside
    elif isinstance(part, list):
        for value in part:
            yield from _lines(value, names, system)


def _is_statement(part: Any) -> bool:
    return isinstance(part, Mapping) and "quantities" in part


def _of(club: str, lines: list[str]) -> str:
    """What is said of a club, under its name unless the name stands in it."""
    said = [line for line in lines if club not in line]
    return f"{club}: {'; '.join(said)}" if said else lines[0]


def _carries(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    """The carry of every club of each layout, with where it lies nine times in ten."""
    shown = unit("carry", system)
    for layout in part:
        yield f"{layout_title(LayoutName(**layout['called']), system)} ({shown.name}):"
        for club in layout["clubs"]:
            carry = club["carry_m"]
            told = f"{shown.text(carry['mean'])} ({shown.text(carry['lo90'])} to {shown.text(carry['hi90'])})"
            yield f"  {names[club['id']]}: {NOT_KNOWN if club['hit_first'] else told}"


def _advice(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    """The verdict under its headings, then the rest."""
    for advice in part:
        if advice["topic"] != "verdict":
            yield from _lines([advice["statement"], advice["reasons"]], names, system)
            continue
        yield f"{phrase(advice['statement'], system)}:"
        sides, even, first = by_side(map(statement_of, advice["reasons"]), system)
        lines = [f"{SIDES[side]}{'; '.join(parts)}." for side, parts in sides.items()]
        lines.insert(0 if first else len(lines), even)
        yield from (f"  {line}" for line in lines)


def _shots(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    """Each ball set aside, under its club and its grip."""
    for group in part:
        grip = "" if not group["grip_down_m"] else ", gripped down"
        for _, statement in group["mishits"]:
            yield f"{names.get(group['club'], group['club'])}{grip}: {phrase(statement, system)}"


def _next(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    """Of each club to hit next the grip that tells most."""
    ranked = (part["next"] or {}).get("ranking", []) if part else []
    best: dict[str, Any] = {}
    for ball in ranked:
        best.setdefault(ball["club"], ball["why"])
    yield from phrases(list(best.values())[:MOST_NEXT], system)
    last = (part or {}).get("last") or {}
    yield from _lines(last.get("learned"), names, system)


def _build(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    """The work of each club; those left as they are in one line, and of those that cannot be made what they would need."""
    if part is None:
        return
    stay = []
    for club in part["clubs"]:
        actions = [x for x in club["actions"] if x["kind"] != "work.none"]
        lines = phrases([*actions, *club["problems"], *club["look_for"]], system)
        lines += _lines(club["against_rules"], names, system)
        if not lines:
            stay.append(club["name"])
        elif not actions and club["problems"]:
            yield f"{club['name']}: no work ordered yet: {'; '.join(lines)}"
        else:
            yield f"{club['name']}: {'; '.join(lines)}"
    if stay:
        yield f"Nothing to do at the bench: {listed(stay)}."
    yield from _lines({k: v for k, v in part.items() if k != "clubs"}, names, system)


def _retest(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    if part and any(s["kind"] != NOT_YET for s in part["statements"]):
        yield from _lines(part, names, system)


def _record(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    for one in part:
        clubs = tuple(JobClub(**club) for club in one["clubs"])
        yield record.line(Noted(**{**one, "clubs": clubs}), system, {})


def _without_note(kind: str, *, where: bool) -> Callable[[Any, Mapping[str, str], str], Iterator[str]]:
    """A section whose note is said only where a statement of a kind is there, or is not."""

    def lines(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
        if not part:
            return
        noted = any(s["kind"] == kind for s in part["statements"]) is where
        yield from _lines({k: v for k, v in part.items() if k != "note" or noted}, names, system)

    return lines


_OWN_WAYS: dict[str, Callable[[Any, Mapping[str, str], str], Iterator[str]]] = {
    "layouts": _carries,
    "advice": _advice,
    "shots": _shots,
    "next_ball": _next,
    "build": _build,
    "retest": _retest,
    "job_record": _record,
    "woods": _without_note(SHAFTS, where=True),
    "driver_length": _without_note(HIT_FIRST, where=False),
}
