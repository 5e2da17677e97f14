"""A whole result document in words, section by section: what the command line prints."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from app.phrases import phrase
from app.phrases.say import capital

SECTIONS = {
    "advice": "Advice",
    "differences": "What sets the layouts apart",
    "warning_statements": "Please check",
    "shots": "Shots set aside",
    "body": "Length, lie and grip from the body",
    "lofts": "Lofts",
    "irons_stop": "Where the irons stop",
    "common_length": "A common length",
    "build": "Build sheet",
    "make_up": "Clubs to leave out",
    "driver": "Driver",
    "driver_length": "Length of the driver",
    "woods": "Fairway woods and hybrids",
    "ball": "Another ball",
    "putter": "Putter",
    "wedge_table": "Wedges and part swings",
    "next_ball": "What to hit next",
    "retest": "After the build",
    "then_and_now": "Then and now",
}
ELSEWHERE = (
    "fills",
    "flex",
    "effects",
)  # said again as statements, the same for every club, of use in a table only
MOST_NEXT = 3  # kinds of balls worth naming


def report(doc: Mapping[str, Any], system: str) -> str:
    """All that a result document states, in the units of ``system``; every sentence once."""
    names = {c["id"]: c["name"] or c["id"] for layout in doc["layouts"] for c in layout["clubs"]}
    out: list[str] = []
    told: set[str] = set()
    for key, title in SECTIONS.items():
        lines = [x for x in dict.fromkeys(_lines(doc[key], names, system)) if x not in told]
        told |= set(lines)
        if key == "next_ball":
            lines = lines[:MOST_NEXT]
        if lines:
            out.append("\n".join([title, *(f"  {capital(line)}" for line in lines)]))
    return "\n\n".join(out) + "\n"


def _lines(part: Any, names: Mapping[str, str], system: str) -> Iterator[str]:
    if isinstance(part, Mapping) and "quantities" in part:
        yield phrase(part, system)
    elif isinstance(part, Mapping) and not part.get("conforms"):
        club = names.get(part.get("club") or "") if isinstance(part.get("club"), str) else part.get("name")
        inside = [
            line
            for key, value in part.items()
            if key not in ELSEWHERE
            for line in _lines(value, names, system)
        ]
        if club and inside and "clubs" not in part:
            said = [line for line in inside if club not in line] or inside
            yield f"{club}: {'; '.join(said)}" if said is not inside else said[0]
        else:
            yield from inside
    elif isinstance(part, list):
        for value in part:
            yield from _lines(value, names, system)
