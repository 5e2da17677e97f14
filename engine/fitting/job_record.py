"""The job record: what was hit, ordered, built, measured and hit again, by date; and what is left to settle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..documents.case import Case, JobClub, Session, Shot
from ..sets.plan import BUILT, ORDERED
from .former import built_on

WHATS = ("note", "lesson", "hit", "ordered", "measured", "built", "hit_again", "on_bench")
"""What a line of the record tells of; on one day in this order. ``on_bench``: measured, and not in the bag yet."""
OPEN = ("on_bench", "to_build", "to_hit", "rest_of_order", "no_carries", "few_clubs", "to_order")
"""What may be left to settle, the most pressing first."""
FEW = 3  # clubs hit, below which the others rest on little; ours
LAST = "9999"


@dataclass(frozen=True, slots=True)
class Noted:
    """One line of the record. ``id`` is that of the session or of the entry under ``Case.jobs``; ``clubs`` have figures
    only where they were ordered, built or measured. ``each`` is how many of the balls were hit with each of ``clubs``.
    """

    what: str
    date: str | None
    id: str | None = None
    clubs: tuple[JobClub, ...] = ()
    balls: int = 0
    place: str = ""
    note: str = ""
    each: tuple[int, ...] = ()


def job_record(case: Case) -> tuple[Noted, ...]:
    """Every session and every entry of ``Case.jobs``, oldest first; what has no date stands first if it is a session,
    else last.

    >>> from engine.documents.case import Job
    >>> [one.what for one in job_record(Case(jobs=(Job("a", "built", "2031-05-03"), Job("b", "ordered", "2031-04-02"))))]
    ['ordered', 'built']
    """
    lines = [Noted(one.what, one.date, one.id, one.clubs, note=one.note) for one in case.jobs]
    names = {club.id: club.name or club.id for club in case.bag}
    days: dict[str | None, Session | None] = {None: None, **{one.id: one for one in case.sessions}}
    retested = [s if s.layout is not None else replace(s, layout=BUILT) for s in case.retest]
    for session, known in days.items():
        shots = [s for s in (*retested, *case.shots) if s.session == session and s.use]
        new = _as_built(case, known.date if known else None)
        after = [s for s in shots if s.layout is not None or s.club in new]
        before = [s for s in shots if not (s.layout is not None or s.club in new)]
        if before or (known is not None and not shots and (known.note or known.place)):
            lines.append(_hit("hit", known, before, names))
        if after:
            lines.append(_hit("hit_again", known, after, names))
    if case.bench:
        clubs = tuple(
            JobClub(
                one.club,
                names.get(one.club, one.club),
                one.length_m,
                one.loft_deg,
                one.lie_deg,
                one.head_kg,
                one.swing_weight_inoz,
            )
            for one in case.bench
        )
        lines.append(Noted("on_bench", None, clubs=clubs))
    return tuple(sorted(lines, key=_place))


def _place(line: Noted) -> tuple[str, int]:
    undated = "" if line.what == "hit" else LAST
    return line.date or undated, WHATS.index(line.what)


def _hit(what: str, session: Session | None, shots: Sequence[Shot], names: dict[str, str]) -> Noted:
    each: dict[str, float] = {}
    for shot in shots:
        each[shot.club] = each.get(shot.club, 0.0) + shot.balls
    return Noted(
        what,
        session.date if session else None,
        session.id if session else None,
        tuple(JobClub(i, names.get(i, i)) for i in each),
        round(sum(each.values())),
        session.place if session else "",
        session.note if session else "",
        each=tuple(map(round, each.values())),
    )


def hit_since(case: Case) -> tuple[int, ...]:
    """The numbers of the full shots hit with clubs as they were built that are no balls of a re-test yet."""
    days = {one.id: one.date for one in case.sessions}
    built = {date: _as_built(case, date) for date in {None, *days.values()}}
    return tuple(
        n
        for n, s in enumerate(case.shots)
        if s.use and s.layout is None and s.swing_size is None and s.club in built[days.get(s.session or "")]
    )


def _as_built(case: Case, date: str | None) -> set[str]:
    """The ids of clubs that a ball of some day was hit with as they were built."""
    return {i for i in _new_clubs(case) if not built_on(case, i)} | _built_by(case, date)


def _built_by(case: Case, date: str | None) -> set[str]:
    """The ids of clubs that the record says were built by then."""
    done = (
        job for job in case.jobs if job.what == "built" and (not date or not job.date or job.date <= date)
    )
    return {club.id for job in done for club in job.clubs}


def _new_clubs(case: Case) -> set[str]:
    """The ids of clubs that were built into what they are now, and were hit as they were before."""
    return {club.became for club in case.bag if club.became is not None}


def last_hit(case: Case) -> str | None:
    """The date of the newest session that balls were hit in."""
    hit = {shot.session for shots in (case.shots, case.retest) for shot in shots}
    return max((one.date for one in case.sessions if one.date and one.id in hit), default=None)


def open_question(case: Case) -> str | None:
    """The most pressing of `OPEN`, from what is stored alone: nothing is worked out for it; ``None`` if nothing is left.

    >>> open_question(Case())
    'no_carries'
    """
    if case.bench:
        return "on_bench"
    orders = [one for one in case.jobs if one.what in ("ordered", "built")]
    if orders and max(enumerate(orders), key=lambda one: (one[1].date or "", one[0]))[1].what == "ordered":
        return "to_build"
    new = _new_clubs(case) | {club.id for one in orders if one.what == "built" for club in one.clubs}
    hit = {shot.club for shot in case.shots if shot.use and shot.carry_m is not None}
    kinds = {layout.id for layout in case.layouts}
    if BUILT in kinds and new and not case.retest and not hit & new:
        return "to_hit"
    if ORDERED in kinds:
        return "rest_of_order"
    if not hit:
        return "no_carries"
    if len(hit) < FEW:
        return "few_clubs"
    chosen = next((layout for layout in case.layouts if layout.id == case.wants.layout), None)
    return "to_order" if chosen is not None and chosen.kind != "present" else None
