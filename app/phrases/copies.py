"""What a copy of a player that came home holds beyond the one here, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from app.dates import day as full_day
from app.phrases import record, sessions
from app.phrases.layouts import layout_title
from app.phrases.say import listed, many
from app.units import amount
from engine.documents.case import Case, Job, JobClub, Layout, Path, Session, Shot
from engine.documents.merge import Difference, Merged
from engine.fitting.job_record import Noted
from engine.statements import LayoutName
from engine.workshop.balance import swing_weight_label

PARTS = {
    "player": "Player",
    "swing": "Swing",
    "conditions": "Weather when hitting",
    "wants": "Wishes",
    "bench": "Bench",
}
MOST_SAID = 80  # characters
MOST_JOBS = 3
BALLS = ("shots", "retest")
KEYED = ("bag", "sessions", "layouts", "swing_sizes", "jobs")  # lists whose entries come and go
ENTRIES = {"swing_sizes": "Part swing"}
WHOLE: dict[Path, str] = {("player", "label"): "Name", ("wants", "layout"): "Set to build"}
FINE = ("carry", "side", "gap", "distance")  # distances, other lengths are of clubs or of the body
MEASURED = ("length_m", "loft_deg", "lie_deg", "head_kg", "swing_weight_inoz")
JOBS = {
    "ordered": "an order",
    "built": "a build",
    "measured": "measurements at the bench",
    "lesson": "a lesson",
    "note": "a note",
}
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
    told: set[tuple[object, ...]] = {("sessions", shot.session) for shot in found.added}
    built = builds(found)
    told.update(d.path for parts in built.values() for d in parts)
    jobs = [
        d for d in found.differences if d.news and d.theirs and d.path[:1] == ("jobs",) and len(d.path) == 2
    ]
    for one in jobs[:MOST_JOBS]:
        told.add(one.path)
        day = full_day(one.theirs.get("date"))
        also = f" ({many(len(one.theirs.get('clubs', ())), 'club')})" if one.path in built else ""
        said.append(f"{JOBS.get(one.theirs['what'], 'an entry')}{f' of {day}' if day else ''}{also}")
    notes = [d.path for d in found.differences if d.path[-1] == "note" and d.theirs]
    if notes:
        told.update(notes)
        said.append("a note" if len(notes) == 1 else f"{len(notes)} notes")
    if news := sum(d.news and d.path not in told for d in found.differences):
        said.append(many(news, "other change" if said else "change"))
    if differ := sum(not d.news and d.path not in notes for d in found.differences):
        said.append("1 entry that differs" if differ == 1 else f"{differ} entries that differ")
    whole = [f"with {listed(said)}"] if said else []
    if found.removed:
        whole.append(f"without {many(len(found.removed), 'ball')} that you still have")
    return " and ".join(whole)


def builds(found: Merged) -> dict[Path, list[Difference]]:
    """What only they have and which came by a build: by the path of each build that is new in the record, its clubs in the
    bag, balls that went to clubs as they were, and the sets."""
    news = [d for d in found.differences if d.news and d.taken and d.theirs is not None]
    clubs = {
        d.path: {club["id"] for club in d.theirs.get("clubs", ())}
        for d in news
        if d.path[0] == "jobs" and len(d.path) == 2 and d.theirs["what"] == "built"
    }
    out: dict[Path, list[Difference]] = {path: [] for path in clubs}
    for one in news:
        path = next((path for path in reversed(clubs) if _built(one, clubs[path])), None)
        if path:
            out[path].append(one)
    return out


def _built(one: Difference, clubs: set[str]) -> bool:
    part, *rest = one.path
    if part == "bag":
        return rest[0] in clubs or (len(rest) == 1 and one.theirs.get("became") in clubs)
    if part in BALLS and rest[1:] == ["club"]:
        return one.mine in clubs or one.theirs in clubs
    return part == "layouts" or one.path == ("wants", "layout")


def build(job: Difference, parts: Sequence[Difference]) -> str:
    """A build in short, such as "7 clubs built, 3 measured"."""
    count = len(job.theirs.get("clubs", ()))
    measured = {d.path[1] for d in parts if d.path[0] == "bag" and d.path[-1] == "measured" and d.theirs}
    said = [f"{many(count, 'club')} built" + (f", {len(measured)} measured" if measured else "")]
    if balls := sum(d.path[0] in BALLS for d in parts):
        said.append(f"{many(balls, 'ball')} stay{'s' * (balls == 1)} with the clubs as they were")
    return "; ".join(said)


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
    if part in BALLS:
        for case in cases:
            for shot in getattr(case, str(part)):
                if shot.id == rest[0]:
                    return f"Ball of {ball(shot, case, system)}, {_words(rest[1])}"
    if difference.path in WHOLE:
        return WHOLE[difference.path]
    if part == "layouts" and rest:
        return ", ".join([f"Set: {_set(rest[0], cases, system)}", *_fields(rest[1:], cases)])
    if part == "jobs" and rest and (job := _job(rest[0], cases)):
        if len(rest) == 1 and job.what == "built":
            return f"Build of {full_day(job.date)}" if job.date else "Build, no date"
        return ", ".join([f"Job record, {full_day(job.date) or 'no date'}", *_fields(rest[1:], cases)])
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
    if difference.path == ("wants", "layout"):
        return _set(side, cases, system)
    if side in (None, "", []):
        entry = difference.path[0] in KEYED and (len(difference.path) == 2 or difference.path[-2] == "clubs")
        return "not there" if entry else "nothing"
    part, *_, name = difference.path
    whole = len(difference.path) == 2
    if part == "layouts" and whole:
        return "there"
    if part == "sessions" and whole:
        side = {k: v for k, v in side.items() if k not in ("date", "by")}  # that stands over it
        return _text("", "sessions", side, system).replace("as it is", "there")
    if part == "jobs" and whole and (job := _job(name, cases)):
        return _job_line(job, system)
    if part == "bench" or (part in ("jobs", "bag") and isinstance(side, dict)):
        names = _clubs(cases)
        clubs = [
            JobClub(id_, names.get(id_, id_), *map(one.get, MEASURED))
            for one in (side if isinstance(side, list) else [side])
            if (id_ := one.get("club") or one.get("id"))
        ]
        return _short("; ".join(record.figures(club, system) for club in clubs))
    if part == "jobs" and name == "what":
        return record.WHAT.get(side, str(side))
    if name == "club":
        return _clubs(cases).get(side, str(side))
    if name == "date":
        return full_day(side) or str(side)
    if name == "session":
        return next(
            (sessions.called(one) for case in cases for one in case.sessions if one.id == side), str(side)
        )
    return _short(_text(str(name), str(part), side, system))


def _fields(parts: Sequence[Any], cases: Sequence[Case]) -> list[str]:
    """The words of the last parts of a path, clubs by their names."""
    names = _clubs(cases)
    return [names.get(one) or _words(one) for one in parts if one != "clubs"]


def _clubs(cases: Sequence[Case]) -> dict[str, str]:
    told = {club.id: club.name for case in cases for job in case.jobs for club in job.clubs if club.name}
    for case in cases[::-1]:
        told |= record.names_of(case)
    return told


def _short(said: str) -> str:
    return said if len(said) <= MOST_SAID else f"{said[: MOST_SAID - 1]}\u2026"


def _job(job_id: object, cases: Sequence[Case]) -> Job | None:
    return next((job for case in cases for job in case.jobs if job.id == job_id), None)


def _job_line(job: Job, system: str) -> str:
    """What was ordered or built: with its figures where they are few, else the clubs alone."""
    line = f"{record.WHAT[job.what]}: "
    said = line + record.about(Noted(job.what, None, clubs=job.clubs, note=job.note), system, {})
    if len(said) <= MOST_SAID or not job.clubs:
        return _short(said)
    return ". ".join(filter(None, (line + listed([c.name or c.id for c in job.clubs]), _short(job.note))))


def _set(layout_id: object, cases: Sequence[Case], system: str) -> str:
    """A set by its title; the one in the bag where there is none of that id."""
    found = (one for case in cases for one in case.layouts if one.id == layout_id)
    one = next(found, Layout("", "present"))
    length = one.common_length_m if one.kind == "single" else None
    return layout_title(LayoutName(one.id, one.kind, length_m=length), system)


def _text(name: str, part: str, side: Any, system: str) -> str:
    if isinstance(side, bool):
        return "yes" if side else "no"
    if isinstance(side, dict):
        shown = [(k, v) for k, v in side.items() if v not in (None, "", []) and k not in ("id", "bag")]
        return ", ".join(f"{_words(k)} {_text(k, part, v, system)}" for k, v in shown[:8]) or "as it is"
    if name in ("measured", "ordered"):  # figures of a club, by name
        return ", ".join(map(_words, side))
    if isinstance(side, list):
        return "; ".join(_text(name, part, one, system) for one in side[:12])
    if not isinstance(side, int | float):
        return str(side).replace("_", " ")
    stem, _, end = name.rpartition("_")
    if end == "inoz":
        return swing_weight_label(side)
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
