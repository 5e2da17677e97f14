"""The job record and what is left to settle, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from app.dates import day
from app.phrases.say import listed, many
from app.units import amount, unit
from engine.documents.case import Case, JobClub
from engine.fitting.job_record import OPEN as OPEN
from engine.fitting.job_record import Noted, job_record
from engine.statements import Statement
from engine.workshop.balance import swing_weight_label

WHAT = {
    "note": "Note",
    "lesson": "Lesson",
    "hit": "Hit",
    "ordered": "Ordered",
    "measured": "Measured at the bench",
    "built": "Built",
    "hit_again": "Hit after the build",
    "on_bench": "Measured at the bench, not in the bag yet",
}
LEFT = {
    "on_bench": "measured at the bench, not in the bag yet",
    "to_build": "ordered, not built yet",
    "to_hit": "built, not hit yet",
    "rest_of_order": "part of the order is left to do",
    "no_carries": "no carries yet",
    "few_clubs": "fewer than three clubs hit",
    "to_order": "set chosen, not ordered yet",
}
"""What is left to settle, by the kinds of `OPEN`."""
Said = TypeVar("Said", Noted, Statement)
FIGURES = (
    ("length", "length_m", "club"),
    ("loft", "loft_deg", "set_angle"),
    ("lie", "lie_deg", "set_angle"),
    ("head", "head_kg", "mass"),
)


def names_of(case: Case) -> dict[str, str]:
    """Clubs by name; one as it was before it was worked on, by the name that it has now and the day of that work."""
    before, now = former(case), _names(case)
    return {**now, **{i: f"{now[i]}{when}" for i, when in before.items()}}


def _names(case: Case) -> dict[str, str]:
    """Every club by the name that it has now."""
    now = {c.id: c.name or c.id for c in case.bag if c.became is None}
    return {c.id: now.get(c.became or c.id, c.name) for c in case.bag}


def former(case: Case) -> dict[str, str]:
    """Of clubs as they were before some work, when that was: `` before the work of 3 May 2031``."""
    hit = {one.id: one.date or "" for one in case.sessions}
    out = {}
    for club in case.bag:
        if club.became is None:
            continue
        last = max((hit.get(s.session or "", "") for s in case.shots if s.club == club.id), default="")
        built = [
            one.date
            for one in case.jobs
            if one.what == "built" and one.date and any(x.id == club.became for x in one.clubs)
        ]
        work = min((date for date in built if date >= last), default=None)
        out[club.id] = f" before the work of {day(work)}" if work else ", before the build"
    return out


def renamed(said: Said, names: Mapping[str, str]) -> Said:
    """A line of the record or a statement with its clubs called by these names."""
    return replace(said, clubs=tuple(replace(c, name=names.get(c.id, c.name)) for c in said.clubs))


def told(case: Case) -> tuple[Noted, ...]:
    """The job record, with clubs as they were before some work by the names that they have now, see `former`."""
    called = _names(case)
    names = {one.id: called[one.id] for one in case.bag if one.became is not None}
    return tuple(renamed(one, names) for one in job_record(case))


def line(noted: Noted, system: str, before: Mapping[str, str]) -> str:
    """``3 May 2031: Ordered: 7-iron (length 94 cm, loft 33°)``."""
    said = about(noted, system, before)
    return ": ".join(filter(None, (day(noted.date) or "No date", WHAT[noted.what], said)))


def about(noted: Noted, system: str, before: Mapping[str, str]) -> str:
    """What a line of the record tells beside its day and its kind; ``before`` as by `former`."""
    said = []
    if noted.balls:
        said.append(f"{many(noted.balls, 'ball')} with {_hit_with(noted, before)}")
    elif noted.clubs:
        said.append("; ".join(_club(club, system) for club in noted.clubs))
    return ". ".join(filter(None, (*said, noted.place, noted.note)))


def _hit_with(noted: Noted, before: Mapping[str, str]) -> str:
    """The clubs of a day: those as they were before some work by that work, and of others the new ones said to be so."""
    groups: dict[str, list[str]] = {}
    told_new = not {c.id for c in noted.clubs} <= {*noted.new}
    for club in noted.clubs:
        new = " (new)" if told_new and club.id in noted.new else ""
        groups.setdefault(before.get(club.id, ""), []).append(f"{club.name or club.id}{new}")
    return ", and ".join(f"{listed(names)}{when}" for when, names in groups.items())


def _club(club: JobClub, system: str) -> str:
    values = ((label, getattr(club, name), quantity) for label, name, quantity in FIGURES)
    said = [
        f"{label} {amount(value, quantity, system)}" for label, value, quantity in values if value is not None
    ]
    if club.swing_weight_inoz is not None:
        said.append(f"swing weight {swing_weight_label(club.swing_weight_inoz)}")
    name = club.name or club.id
    return f"{name} ({', '.join(said)})" if said else name


def cells(
    lines: Iterable[Noted], system: str, before: Mapping[str, str]
) -> tuple[list[str], list[list[str]]]:
    """The record as a flat table: a row for each club of each line; ``before`` as by `former`."""
    shown = [(label, name, unit(quantity, system)) for label, name, quantity in FIGURES]
    head = ["date", "what", "club"]
    head += [f"{label} ({of.name.replace(chr(0xB0), 'deg')})" for label, _, of in shown]
    head += ["swing weight", "balls with this club", "place", "note"]
    rows = []
    for one in lines:
        clubs = one.clubs or (JobClub(""),)
        for club, balls in zip(clubs, one.each or [0] * len(clubs), strict=True):
            figures = [
                "" if (value := getattr(club, name)) is None else of.text(value) for _, name, of in shown
            ]
            weight = club.swing_weight_inoz
            weighed = "" if weight is None else swing_weight_label(weight)
            name = f"{club.name or club.id}{before.get(club.id, '')}"
            row = [one.date or "", WHAT[one.what], name, *figures, weighed]
            rows.append([*row, str(balls or ""), one.place, one.note])
    return head, rows
