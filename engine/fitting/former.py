"""Clubs as they were before they were built into what they are now, and which of them a ball of some day was hit with."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

from ..documents.case import FIGURES, Case, Shot


def built_on(case: Case, club_id: str) -> tuple[str, ...]:
    """The days on which the job record says that a club was built, in order."""
    jobs = (job for job in case.jobs if job.what == "built" and job.date)
    return tuple(sorted({str(job.date) for job in jobs if any(c.id == club_id for c in job.clubs)}))


def ended(case: Case) -> dict[str, str | None]:
    """By the id of each club as it was before some work, the day of that work, as far as record and balls tell it."""
    days = {one.id: one.date or "" for one in case.sessions}
    last: dict[str, str] = {}
    for shot in case.shots:
        last[shot.club] = max(last.get(shot.club, ""), days.get(shot.session or "", ""))
    out: dict[str, str | None] = {}
    work: dict[str, str] = {}  # of the one before
    for club in case.bag:
        if base := club.became:
            built = (d for d in built_on(case, base) if d > work.get(base, "") and d >= last.get(club.id, ""))
            out[club.id] = next(built, None)
            work[base] = out[club.id] or work.get(base, "")
    return out


def _base(case: Case, club_id: str) -> str:
    """What a club became, or itself."""
    return next((club.became for club in case.bag if club.id == club_id), None) or club_id


def unsure(case: Case, club_id: str, date: str | None) -> bool:
    """Whether a club was built into another, and the record does not tell whether before ``date`` or after it."""
    base = _base(case, club_id)
    built = built_on(case, base)
    return (date is None and bool(built)) or (not built and any(c.became == base for c in case.bag))


def as_hit(
    case: Case, shots: Sequence[Shot], dates: Sequence[str | None], *, before: bool = False
) -> tuple[Case, tuple[Shot, ...]]:
    """Balls with the clubs as they were on their days, and the case with those clubs, should it not have them yet. What a
    club was on the day of the work itself stays as the ball tells it.

    before : whether those balls of which it is not known, see `unsure`, were hit before the last work on their club
    """
    known: dict[tuple[str, str | None], str] = {}
    made: dict[tuple[str, str], str] = {}
    for club, date in dict.fromkeys((shot.club, date) for shot, date in zip(shots, dates, strict=True)):
        case, known[club, date] = _club_on(case, club, date, made, before=before)
    clubs = [known[shot.club, date] for shot, date in zip(shots, dates, strict=True)]
    return case, tuple(
        shot if shot.club == club else replace(shot, club=club, layout=None)
        for shot, club in zip(shots, clubs, strict=True)
    )


def hit_again(case: Case, balls: Collection[tuple[str, int]], *, before: bool = False) -> Case:
    """The case with some of its balls, by list and place, put to the clubs as they were on the days of their sessions;
    ``before`` as for `as_hit`."""
    numbers = sorted(n for name, n in balls if name == "shots")
    dates = {one.id: one.date for one in case.sessions}
    apart = case.without_shots(set(numbers))
    there = [case.shots[n] for n in numbers]
    found, hit = as_hit(apart, there, [dates.get(s.session or "") for s in there], before=before)
    now = dict(zip(numbers, hit, strict=True))
    shots = tuple(now.get(n, s) for n, s in enumerate(case.shots))
    return case if shots == case.shots else replace(case, bag=found.bag, shots=shots)


def _club_on(
    case: Case, club_id: str, date: str | None, made: dict[tuple[str, str], str], *, before: bool
) -> tuple[Case, str]:
    """``made`` : clubs that were added, by what they became and the day of that work."""
    base = _base(case, club_id)
    built = built_on(case, base)
    if all(club.id != base for club in case.bag):
        return case, club_id
    if date is None or not built:
        if not before or not unsure(case, club_id, date):
            return case, club_id
        if not built:
            return case, [club.id for club in case.bag if club.became == base][-1]
        date = built[-2] if len(built) > 1 else ""
    works = ended(case)
    if works.get(club_id) == date:
        return case, club_id
    work = next((day for day in built if day > date), None)
    if work is None:
        return case, base
    for former in case.bag:
        if former.became == base and works[former.id] == work and former.id not in made.values():
            return case, former.id
    if (base, work) not in made:
        case, made[base, work] = _with_former(case, base, work, works)
    return case, made[base, work]


def _with_former(case: Case, base: str, work: str, works: dict[str, str | None]) -> tuple[Case, str]:
    """The case with a club as it was before some work, of which only what the record tells of its figures is known."""
    jobs = sorted((j for j in case.jobs if j.what == "built" and j.date), key=lambda j: str(j.date))
    told = [(str(job.date), club) for job in jobs for club in job.clubs if club.id == base]
    club = case.club(base)
    changed = {n for day, c in told if day >= work for n in FIGURES if getattr(c, n) is not None}
    club = club.unknown(*(name for name in FIGURES if name in changed))
    known: dict[str, Any] = {}
    for day, was in told:
        known |= {n: getattr(was, n) for n in changed if day < work and getattr(was, n) is not None}
    club, taken = club.known(**known), {one.id for one in case.bag}
    ids = (f"{base[:18]}-old{number or ''}" for number in range(len(taken) + 1))
    club = replace(
        club,
        id=next(made for made in ids if made not in taken),
        name=f"{club.name} (before)"[:60],
        became=base,
        lie_mark_m=None,
        swing_weight_inoz=None,
        wished_inoz=None,
        measured=tuple(n for n in club.measured if n not in changed),
        ordered=tuple(n for n in club.ordered if n not in changed),
    )
    later = (n for n, one in enumerate(case.bag) if one.became == base and (works[one.id] or "9") > work)
    at = next(later, len(case.bag))
    return replace(case, bag=(*case.bag[:at], club, *case.bag[at:])), club.id
