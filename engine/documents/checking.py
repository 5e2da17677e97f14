"""Holding a case that was changed in memory against the rules of its fields, without writing it out and reading it again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, TypeVar

from .case import Case, CaseError, Club, Conditions, Job, Layout, Session, Shot, Wants
from .fields import (
    AS_IS,
    BALL,
    CLUB,
    CONDITIONS,
    FACED,
    JOB,
    JOB_CLUB,
    LAYOUT,
    LAYOUT_CLUB,
    MARKS,
    MEASURED,
    MOST,
    MOST_SIZES,
    PLAYER,
    SESSION,
    SHOT,
    SWING,
    SWING_SIZE,
    WANTED_CARRY,
    WANTS,
    Rule,
    marked_wrong,
    size_too_many,
)
from .reading import as_known, read_case

Part = TypeVar("Part")
Rules = dict[str, Rule]


def checked(case: Case, *, known: Case | None = None) -> Case:
    """The case as `engine.documents.reading.read_case` would read its document: refused at the first fault, else with
    the defaults where a field that has one is ``None``.

    known : a case that has been checked; parts and entries that are its very own are not looked at again

    Raises
    ------
    CaseError
        With the words of `read_case`.

    >>> from engine.documents.case import Player
    >>> checked(Case(player=Player(height_m=3.0)))
    Traceback (most recent call last):
    engine.documents.case.CaseError: player.height_m: must be a number from 1 to 2.4
    """
    if case.extra:  # keys of entries that were taken out must go with them
        return read_case(case.to_doc())
    known = known or Case()
    bag = _entries(case.bag, known.bag, CLUB, "bag")
    if bag is not known.bag:
        bag = tuple(as_known(club) for club in bag)
    sizes = _entries(case.swing_sizes, known.swing_sizes, SWING_SIZE, "swing_sizes")
    if (number := size_too_many(sizes, bag)) is not None:
        raise CaseError(f"swing_sizes[{number}]", f"is one too many: a club may have {MOST_SIZES}")
    shots = _entries(case.shots, known.shots, SHOT, "shots")
    if shots is not known.shots or bag is not known.bag or sizes is not known.swing_sizes:
        _hit_with(shots, bag, "shots", {size.id for size in sizes})
    retest = _entries(case.retest, known.retest, SHOT, "retest")
    if retest is not known.retest or bag is not known.bag:
        _hit_with(retest, bag, "retest", set())
    sessions = _entries(case.sessions, known.sessions, SESSION, "sessions")
    if sessions is not known.sessions:
        sessions = tuple(_session(one, f"sessions[{n}]") for n, one in enumerate(sessions))
    if shots is not known.shots or retest is not known.retest or sessions is not known.sessions:
        balls = {"shots": shots, "retest": retest}
        for (name, number), (field, problem) in marked_wrong(balls, {one.id for one in sessions}):
            raise CaseError(f"{name}[{number}].{field}", problem)
    for name, rule in MARKS.items():
        marks = getattr(case, name)
        try:
            _ = marks is getattr(known, name) or rule.check(marks)
        except ValueError:
            raise CaseError(name, rule.problem()) from None
    bench = _entries(case.bench, known.bench, MEASURED, "bench")
    ids = {club.id for club in bag}
    for number, one in enumerate(bench):
        if one.club not in ids:
            raise CaseError(f"bench[{number}].club", f"is not in the bag ({one.club})")
    layouts = _entries(case.layouts, known.layouts, LAYOUT, "layouts")
    if layouts is not known.layouts:
        layouts = tuple(_layout(layout, f"layouts[{n}]") for n, layout in enumerate(layouts))
    jobs = _entries(case.jobs, known.jobs, JOB, "jobs")
    if jobs is not known.jobs:
        jobs = tuple(_job(one, f"jobs[{n}]") for n, one in enumerate(jobs))
    return replace(
        case,
        bag=bag,
        shots=shots,
        retest=retest,
        bench=bench,
        layouts=layouts,
        swing_sizes=sizes,
        sessions=sessions,
        jobs=jobs,
        player=_part(case.player, known.player, PLAYER, "player"),
        swing=_part(case.swing, known.swing, SWING, "swing"),
        conditions=_part(case.conditions, known.conditions, CONDITIONS, "conditions"),
        wants=_wants(case.wants, known.wants),
    )


def _part(part: Part, known: object, rules: Rules, path: str) -> Part:
    if part is known:
        return part
    mended: dict[str, Any] = {}
    for name, rule in rules.items():
        given = getattr(part, name)
        if given is None:
            if rule.required:
                raise CaseError(f"{path}.{name}", "is missing: " + rule.problem())
            found: Any = rule.default
        else:
            try:
                found = rule.check(given)
            except (ValueError, OverflowError):
                raise CaseError(f"{path}.{name}", rule.problem()) from None
        if found is not given:
            mended[name] = found
    return replace(part, **mended) if mended else part  # type: ignore[type-var]  # every part is a dataclass


def _entries(entries: tuple[Part, ...], known: Iterable[object], rules: Rules, path: str) -> tuple[Part, ...]:
    if entries is known:
        return entries
    most = MOST[path.rpartition(".")[2]]
    if len(entries) > most:
        raise CaseError(path, f"must have at most {most} entries")
    old = {id(entry) for entry in known}
    seen: set[str] = set()
    out = []
    for number, entry in enumerate(entries):
        out.append(entry if id(entry) in old else _part(entry, None, rules, f"{path}[{number}]"))
        if "id" in rules and rules["id"].required:
            own = getattr(entry, "id", "")
            if own in seen:
                raise CaseError(f"{path}[{number}].id", f"stands twice ({own})")
            seen.add(own)
    same = all(a is b for a, b in zip(out, entries, strict=True))
    return entries if same else tuple(out)


def _layout(layout: Layout, path: str) -> Layout:
    clubs = _entries(layout.clubs, (), LAYOUT_CLUB, f"{path}.clubs")
    as_is = _entries(layout.as_is, (), AS_IS, f"{path}.as_is")
    same = clubs is layout.clubs and as_is is layout.as_is
    return layout if same else replace(layout, clubs=clubs, as_is=as_is)


def _job(job: Job, path: str) -> Job:
    clubs = _entries(job.clubs, (), JOB_CLUB, f"{path}.clubs")
    return job if clubs is job.clubs else replace(job, clubs=clubs)


def _session(session: Session, path: str) -> Session:
    if session.conditions is None:
        return session
    if not isinstance(session.conditions, Conditions):
        raise CaseError(f"{path}.conditions", "must be a JSON object")
    found = _part(session.conditions, None, CONDITIONS, f"{path}.conditions")
    return session if found is session.conditions else replace(session, conditions=found)


def _wants(wants: Wants, known: Wants) -> Wants:
    if wants is known:
        return wants
    wants = _part(wants, None, WANTS, "wants")
    return replace(
        wants,
        air=wants.air and _part(wants.air, None, CONDITIONS, "wants.air"),
        ball=wants.ball and _part(wants.ball, None, BALL, "wants.ball"),
        carries=_entries(wants.carries, (), WANTED_CARRY, "wants.carries"),
        built_to=_entries(wants.built_to, (), WANTED_CARRY, "wants.built_to"),
        demand=_entries(wants.demand, (), FACED, "wants.demand"),
    )


def _hit_with(shots: tuple[Shot, ...], bag: tuple[Club, ...], path: str, sizes: set[str]) -> None:
    family = {club.id: club.family for club in bag}
    for number, shot in enumerate(shots):
        if shot.club not in family:
            raise CaseError(f"{path}[{number}].club", f"is not in the bag ({shot.club})")
        if shot.grip_down_m > 0 and family[shot.club] == "putter":
            raise CaseError(f"{path}[{number}].club", "is a putter")
        if shot.swing_size is not None and shot.swing_size not in sizes:
            raise CaseError(f"{path}[{number}].swing_size", f"is none of this player's ({shot.swing_size})")
