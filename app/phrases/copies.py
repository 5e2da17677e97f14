"""What a copy of a player that came home holds beyond the one here, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from app.dates import day as full_day
from app.phrases import sessions
from app.phrases.say import listed, many
from app.units import amount
from engine.documents.case import Case, Session, Shot
from engine.documents.merge import Difference, Merged

PARTS = {
    "player": "Player",
    "swing": "Swing",
    "conditions": "Weather when hitting",
    "wants": "Wishes",
    "bench": "Bench",
}
MOST_SAID = 80  # characters
KEYED = ("bag", "sessions", "layouts", "swing_sizes", "jobs")  # lists whose entries come and go
ENTRIES = {"layouts": "Set", "swing_sizes": "Part swing", "jobs": "Job record"}
FINE = ("carry", "side", "gap", "distance")  # distances, other lengths are of clubs or of the body
UNITS = {"mps": "speed", "deg": "set_angle", "kg": "mass", "rpm": "spin", "c": "temperature"}


def in_short(found: Merged, *, guest: bool = False) -> str:
    """What comes in, is missing and differs, such as "with 12 new balls from another device"."""
    said = []
    new = [shot for shot in found.added if shot.id not in found.back]
    if new:
        (where, *others) = {added(shot, guest=guest) for shot in new}
        said.append(many(len(new), "new ball") + (f" {where}" if where and not others else ""))
    if found.back:
        said.append(f"{many(len(found.back), 'ball')} that you removed and they kept")
    hit_on = {("sessions", shot.session) for shot in found.added}
    if news := sum(d.news and d.path not in hit_on for d in found.differences):
        said.append(many(news, "other change"))
    if differ := sum(not d.news for d in found.differences):
        said.append("1 entry that differs" if differ == 1 else f"{differ} entries that differ")
    whole = [f"with {listed(said)}"] if said else []
    if found.removed:
        whole.append(f"without {many(len(found.removed), 'ball')} that you still have")
    return " and ".join(whole)


def added(shot: Shot | Session, *, guest: bool = False) -> str:
    """Where a ball or a session was added, as far as it is known: a player who was sent may have been in anybody's hands.
    To a ``guest``, to whom he was sent, these may be his own balls.
    """
    return "from another device" if shot.by and not guest else ""


def session(shot: Shot, case: Case) -> str:
    """The day of a ball, or whatever else its session is called."""
    return next((sessions.called(one) for one in case.sessions if one.id == shot.session), "no date")


def ball(shot: Shot, case: Case, system: str) -> str:
    """A ball, such as "139 m with the 7-iron"."""
    club = next((c.name or c.id for c in case.bag if c.id == shot.club), shot.club)
    return f"{amount(shot.carry_m, 'carry_fine', system)} with {club}"


def where(difference: Difference, cases: Sequence[Case], system: str) -> str:
    """Which field or entry it is, such as "7-iron, loft"."""
    part, *rest = difference.path
    if part in ("shots", "retest"):
        for case in cases:
            for shot in getattr(case, str(part)):
                if shot.id == rest[0]:
                    return f"Ball of {ball(shot, case, system)}, {_words(rest[1])}"
    if difference.path == ("player", "label"):
        return "Name"
    names = [PARTS.get(str(part), "")] if part not in KEYED else []
    for case in cases:
        if names or not rest:
            break
        for entry in getattr(case, str(part), ()):
            if entry.id == rest[0]:
                if part == "sessions":
                    own = f"Session: {sessions.called(entry)}"
                else:
                    own = getattr(entry, "name", "") or full_day(getattr(entry, "date", None)) or entry.id
                names = [f"{ENTRIES[str(part)]} {own}" if part in ENTRIES else own]
                rest = rest[1:]
                break
    return ", ".join([*filter(None, names), *map(_words, rest)]) or _words(part)


def value(difference: Difference, side: Any, cases: Sequence[Case], system: str) -> str:
    """What one side has there."""
    if side in (None, "", []):
        return "not there" if len(difference.path) == 2 and difference.path[0] in KEYED else "nothing"
    if difference.path[0] == "sessions" and len(difference.path) == 2:
        side = {k: v for k, v in side.items() if k != "date"}  # which stands over it
        return _text("", "sessions", side, system).replace("as it is", "there")
    if difference.path[-1] == "date":
        return full_day(side) or str(side)
    if difference.path[-1] == "session":
        return next(
            (sessions.called(one) for case in cases for one in case.sessions if one.id == side), str(side)
        )
    said = _text(str(difference.path[-1]), str(difference.path[0]), side, system)
    return said if len(said) <= MOST_SAID else f"{said[: MOST_SAID - 1]}\u2026"


def _text(name: str, part: str, side: Any, system: str) -> str:
    if isinstance(side, bool):
        return "yes" if side else "no"
    if isinstance(side, dict):
        shown = [(k, v) for k, v in side.items() if v not in (None, "", []) and k not in ("id", "bag")]
        return ", ".join(f"{_words(k)} {_text(k, part, v, system)}" for k, v in shown[:8]) or "as it is"
    if isinstance(side, list):
        return "; ".join(_text(name, part, one, system) for one in side[:12])
    if not isinstance(side, int | float):
        return str(side).replace("_", " ")
    stem, _, end = name.rpartition("_")
    if end == "m":
        fine = part in ("shots", "retest", "wants") or any(stem.startswith(word) for word in FINE)
        quantity = (
            "height"
            if stem == "altitude"
            else "carry_fine"
            if fine
            else "body"
            if part == "player"
            else "club"
        )
    else:
        quantity = "wind" if name == "wind_mps" else UNITS.get(end, "")
    return amount(side, quantity, system) if quantity else f"{side:g}"


def _words(name: Any) -> str:
    text = str(name)
    stem, _, end = text.rpartition("_")
    return (stem if stem and end in (*UNITS, "m", "inoz", "sd") else text).replace("_", " ")
