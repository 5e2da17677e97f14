"""The job record and what is left to settle, in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from app.dates import day
from app.phrases.say import listed, many
from app.units import amount, unit
from engine.documents.case import Case, JobClub, Shot
from engine.fitting.former import built_on, ended, unsure
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
    works = ended(case).items()
    return {i: f" before the work of {day(work)}" if work else ", before the build" for i, work in works}


def then(case: Case, balls: Sequence[tuple[Shot, Shot, str | None]]) -> list[str]:
    """What is to be said of balls of clubs that were built into others: each as it was told, with its club as it was on the
    day, and that day."""
    works: Counter[str] = Counter()
    same: Counter[str] = Counter()
    not_known: Counter[str] = Counter()
    for ball, now, date in balls:
        built = built_on(case, ball.club)
        if unsure(case, ball.club, date):
            not_known["after" if ball.club == now.club else "before"] += 1
        elif now.club != ball.club:
            works[next(d for d in built if d > (date or ""))] += 1
        elif date in built:
            same[str(date)] += 1
    out = [
        f"Hit before the build of {day(d)}: {many(n, 'ball')}, counted with the clubs as they were."
        for d, n in sorted(works.items())
    ]
    out += [
        f"Hit on the day of the build, {day(d)}: {many(n, 'ball')}, taken as hit with the clubs as built."
        for d, n in sorted(same.items())
    ]
    return out + [
        f"Not known whether hit before or after the build: {many(n, 'ball')}, taken as hit {side} it."
        for side, n in sorted(not_known.items())
    ]


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
        said.append("; ".join(figures(club, system) for club in noted.clubs))
    return ". ".join(filter(None, (*said, noted.place, noted.note)))


def _hit_with(noted: Noted, before: Mapping[str, str]) -> str:
    """The clubs of a day, those as they were before some work by that work."""
    groups: dict[str, list[str]] = {}
    for club in noted.clubs:
        groups.setdefault(before.get(club.id, ""), []).append(club.name or club.id)
    return ", and ".join(f"{listed(names)}{when}" for when, names in groups.items())


def figures(club: JobClub, system: str) -> str:
    """``7-iron (length 94 cm, loft 33°)``."""
    values = ((label, getattr(club, name), quantity) for label, name, quantity in FIGURES)
    start = " to begin with" * club.begin_lie
    said = [
        f"{label} {amount(value, quantity, system)}{start * (label == 'lie')}"
        for label, value, quantity in values
        if value is not None
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
            told = ["" if (value := getattr(club, name)) is None else of.text(value) for _, name, of in shown]
            weight = club.swing_weight_inoz
            weighed = "" if weight is None else swing_weight_label(weight)
            name = f"{club.name or club.id}{before.get(club.id, '')}"
            row = [one.date or "", WHAT[one.what], name, *told, weighed]
            rows.append([*row, str(balls or ""), one.place, one.note])
    return head, rows
