"""Sessions of a case: which one balls go into, and edits of them.

A ball that is typed goes into today's session, which its first ball opens. Balls without a session, as older versions have
them, are one earlier session without a date; its conditions are the case's own, which sessions without conditions share.
On a device that a player was sent to, balls go into sessions of that device only: ``guest`` is its mark, "" elsewhere.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import fields, replace
from datetime import date
from typing import Any, Literal

from app.dates import iso_today
from engine.documents.case import Case, Conditions, Session, Shot
from engine.documents.merge import MARKED, STEPS
from engine.fitting.former import as_hit, hit_again
from engine.physics.air import REFERENCE
from engine.swing.sessions import conditions_of

ELSEWHERE = "another device"  # by which balls and sessions were added to a player who had been sent there
GUEST = "g"  # in the id of a session of such a device, before its mark
UNDATED = "-"  # for the balls without a session; no id
APART = "+"  # for a new session without a date; no id either
LEAST_RUN = 3  # balls in a row that are hardly the same by chance
AIR_FIELDS = ("temperature_c", "altitude_m", "humidity", "wind_mps", "wind_from_deg", "noted")
LISTS: tuple[Literal["shots", "retest"], ...] = ("shots", "retest")


def todays(case: Case, guest: str = "") -> Session:
    """The session that the next ball goes into: the last one of today, or the one that it opens."""
    return of_day(case, iso_today(), guest) or begun(case, iso_today(), guest=guest)


def of_day(case: Case, day: str, guest: str = "") -> Session | None:
    """The last session of a day that was not added elsewhere than here."""
    mine = (one for one in reversed(case.sessions) if one.date == day and bool(one.by) == bool(guest))
    return next(mine, None)


def begun(case: Case, day: str | None, *, mark: str = "", guest: str = "", **told: Any) -> Session:
    """A session that is not in the case yet: today's in the weather of the newest but for its wind, which nobody has felt
    yet; any other in standard air, since today's weather says nothing of it. A guest's first one is in standard air too.

    mark : for the id of one without a day, which must be another on every device; two sessions of one day on two devices
    are one, unless one of them is a guest's
    """
    own = [one for one in case.sessions if bool(one.by) == bool(guest)]
    newest = max(reversed(own), key=lambda one: one.date or "", default=None)
    if guest and newest is None:
        now = Conditions()
    elif day != iso_today():
        now = replace(case.conditions, **{name: getattr(REFERENCE, name) for name in AIR_FIELDS})
    else:
        now = case.conditions if newest is None else conditions_of(case, newest.id)
        if case.shots or case.retest:
            now = replace(now, wind_mps=0.0, wind_from_deg=0.0, noted=False)
    stem = (day[2:].replace("-", "") if day else f"n{mark}") + (guest and GUEST + guest)
    taken = {one.id for one in case.sessions}
    id_ = next(i for n in range(len(taken) + 1) if (i := stem + (f"-{n + 1}" if n else "")) not in taken)
    by = ELSEWHERE if guest else None
    return Session(id_, day, conditions=None if now == case.conditions else now, by=by, **told)


def opened(case: Case, session: Session) -> Case:
    """The case with a session, where it is not there yet."""
    there = any(one.id == session.id for one in case.sessions)
    return case if there else replace(case, sessions=(*case.sessions, session))


def of(case: Case, key: str) -> Session:
    """A session by its id; for `UNDATED` what is known of balls without one."""
    if key == UNDATED:
        return Session(UNDATED)
    found = next((one for one in case.sessions if one.id == key), None)
    return found or todays(case, key.partition(GUEST)[2].partition("-")[0])


def key_of(shot: Shot) -> str:
    return shot.session or UNDATED


def balls_of(case: Case, key: str) -> dict[tuple[str, int], Shot]:
    """The balls of a session by their list and their place there."""
    return {(name, n): s for name in LISTS for n, s in enumerate(getattr(case, name)) if key_of(s) == key}


def last_ball(
    case: Case,
    club: str,
    swing_size: str | None = None,
    *,
    grip_m: float | None = None,
    today: bool = False,
    into: str = "",
) -> int | None:
    """The number of the newest ball of a club with a full swing, or with a part swing; of one grip, or of any; only of
    ``today`` and the session ``into`` which balls go, or of any day.
    """
    days = {one.id for one in case.sessions if one.date == iso_today()} | {into}
    found = (
        n
        for n, s in enumerate(case.shots)
        if (s.club, s.swing_size) == (club, swing_size)
        and (not today or key_of(s) in days)
        and (grip_m is None or abs(s.grip_down_m - grip_m) < 1e-3)
    )
    return max(found, default=None)


def counts(case: Case) -> dict[str, int]:
    """How many balls each session has, newest first, then those without a date; also of those that have none."""
    had = Counter({one.id: 0 for one in case.sessions})
    for name in LISTS:
        for shot in getattr(case, name):
            had[key_of(shot)] += round(shot.balls)
    places = {one.id: (one.date or "", n) for n, one in enumerate(case.sessions)}
    return {key: had[key] for key in sorted(had, key=lambda key: places.get(key, ("", -1)), reverse=True)}


def clubs_hit(case: Case) -> frozenset[str]:
    """The clubs that `counts` has balls of, each once, whatever was made of it since."""
    now = {club.id: club.became or club.id for club in case.bag}
    return frozenset(now.get(shot.club, shot.club) for name in LISTS for shot in getattr(case, name))


# balls


def add(
    case: Case,
    balls: Sequence[Shot],
    days: Sequence[str] = (),
    *,
    undated: str = "",
    mark: str = "",
    layout: str | None = None,
    to: str = "shots",
    guest: str = "",
    before: bool = False,
) -> Case:
    """The case with balls more, each in the session of its day, which is opened where there is none, and with its club as it
    was on that day.

    days : of each ball such as ``2031-05-03``, "" if not known, or whatever a file calls a session; none are known if empty
    undated : the session for those without a day, its id, `UNDATED` or `APART`; today's if empty
    mark : see `begun`
    layout : of the set that was hit; a session that is opened for the balls is told so
    to : the list for the balls
    before : whether those of which that is not known were hit before the clubs were built
    """
    days = days or [""] * len(balls)
    known: dict[str, Session] = {}
    for day in dict.fromkeys(days):
        known[day] = _of_day(case, day, undated, mark, layout, guest)
        if known[day].id != UNDATED:
            case = opened(case, known[day])
    ids = {day: None if one.id == UNDATED else one.id for day, one in known.items()}
    out: Sequence[Shot] = [
        replace(ball, session=ids[day], layout=layout or ball.layout)
        for ball, day in zip(balls, days, strict=True)
    ]
    if to == "shots":
        case, out = as_hit(case, out, [known[day].date for day in days], before=before)
    more: dict[str, Any] = {to: (*getattr(case, to), *out)}
    return replace(case, **more)


def _of_day(case: Case, day: str, undated: str, mark: str, layout: str | None, guest: str) -> Session:
    if not day and undated:
        return begun(case, None, mark=mark, guest=guest) if undated == APART else of(case, undated)
    if day and not is_day(day):  # "Session 2": by its name, which is its note
        return begun(case, None, mark=mark, guest=guest, note=day[:60], layout=layout)
    day = day or iso_today()
    built = all((job.date or "") <= day for job in case.jobs if job.what == "built")
    return of_day(case, day, guest) or begun(case, day, guest=guest, layout=layout if built else None)


def dates(case: Case, days: Sequence[str], undated: str = "") -> list[str | None]:
    """The dates of balls as `add` takes them in."""
    when = iso_today() if not undated else None if undated == APART else of(case, undated).date
    return [when if not day else day if is_day(day) else None for day in days]


def is_day(text: str) -> bool:
    """Whether a text is a day of a document."""
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def here_already(case: Case, balls: Sequence[Shot], days: Sequence[str]) -> frozenset[int]:
    """The numbers of those of some balls that the case seems to have: balls of one day with the same values, each for one;
    of the others, where they or what stands here have no date, those that stand here in the same order, enough of them not
    to be so by chance. It may be chance all the same: whoever adds balls is asked.
    """
    heads = {club.id: club.became or club.id for club in case.bag}
    called = {one.id: one.date or one.note.partition("\n")[0] for one in case.sessions}
    dated = {one.id for one in case.sessions if one.date}
    stand = [
        (key_of(s), (called.get(s.session or "", ""), _hit(s, heads)))
        for name in LISTS
        for s in getattr(case, name)
    ]
    there = Counter(one for _, one in stand)
    rest = {n: (day, _hit(ball, heads)) for n, (ball, day) in enumerate(zip(balls, days, strict=True))}
    found: set[int] = set()
    for n, one in rest.items():
        if one[0] and there[one] > 0:
            there[one] -= 1
            found.add(n)
    rows: dict[tuple[bool, str], list[_Hit]] = {}  # of each date, and of each session without one
    for key, one in stand:
        if there[one] > 0:
            there[one] -= 1
            rows.setdefault((True, one[0]) if key in dated else (False, key), []).append(one[1])
    while rows:
        alike = {
            day: _standing(
                {n: hit for n, (on, hit) in rest.items() if n not in found and not (on and day[0])}, row
            )
            for day, row in rows.items()
        }
        day = max(alike, key=lambda one: len(alike[one]))
        if not alike[day]:
            break
        found |= alike[day]
        del rows[day]
    return frozenset(found)


def _standing(balls: Mapping[int, _Hit], row: Sequence[_Hit]) -> set[int]:
    """The numbers of the balls of a text that stand in the row of one day, club by club. Those of a club count where they
    are one after the other or half of the club's in the text; all together, where they are half of the text or of the
    day, and not too few: of each club of which the day has more balls one may be there by chance.
    """
    whole: set[int] = set()
    found: set[int] = set()
    sure = 0
    for club in {hit[0] for hit in balls.values()} & {hit[0] for hit in row}:
        run = {n: hit for n, hit in balls.items() if hit[0] == club}
        of_day = [hit for hit in row if hit[0] == club]
        part = _part(run, of_day)
        if part and _counts(part, list(run)):
            found.update(part)
            sure += len(part) - (len(part) < len(of_day))
            whole.update(part if LEAST_RUN <= len(part) == len(run) else ())
    few = len(found) < min(LEAST_RUN, len(row)) or sure < LEAST_RUN - 1
    return whole if few or 2 * len(found) < min(len(balls), len(row)) else found


def _counts(part: Sequence[int], run: Sequence[int]) -> bool:
    beside = run.index(part[-1]) - run.index(part[0]) == len(part) - 1
    return 2 * len(part) >= len(run) or (beside and len(part) > 1)


def _part(run: Mapping[int, _Hit], row: Sequence[_Hit]) -> list[int]:
    """The numbers of those balls of a run that are the longest part of a row, with others between them or none."""
    best: list[int] = []
    known = {*run.values()}
    for start in (n for n, hit in enumerate(row) if hit in known):
        part: list[int] = []
        left = iter(run.items())
        for hit in row[start:]:
            if (number := next((n for n, one in left if one == hit), None)) is None:
                break
            part.append(number)
        best = max(best, part, key=len)
    return best


_Hit = tuple[Any, ...]  # the head first
_HIT = tuple(f.name for f in fields(Shot) if f.name not in (*MARKED, "club"))


def _hit(shot: Shot, heads: Mapping[str, str]) -> _Hit:
    """What was hit with which head, and not how it is marked."""
    values = ((name, getattr(shot, name)) for name in _HIT)
    told = (round(v / STEPS.get(n, 0.01)) if isinstance(v, float) else v for n, v in values)
    return heads.get(shot.club, shot.club), *told


def move(balls: Collection[tuple[str, int]], key: str, *, mark: str = "") -> Callable[[Case], Case]:
    """An edit that puts balls, by list and place, into another session; for `APART` into a new one without a date."""

    def edit(case: Case) -> Case:
        session = begun(case, None, mark=mark) if key == APART else of(case, key)
        new, into = (case, None) if key == UNDATED else (opened(case, session), session.id)
        moved: dict[str, Any] = {
            name: tuple(
                replace(s, session=into) if (name, n) in balls else s
                for n, s in enumerate(getattr(new, name))
            )
            for name in LISTS
        }
        return pruned(case, hit_again(replace(new, **moved), balls))

    return edit


def pruned(before: Case, after: Case) -> Case:
    """A case after an edit, without those sessions whose last balls it took and of which nothing else is told."""
    had, now = counts(before), counts(after)
    gone = {
        one.id
        for one in after.sessions
        if had.get(one.id) and not now[one.id] and not (one.place or one.note or one.balls or one.layout)
    }
    return replace(after, sessions=tuple(s for s in after.sessions if s.id not in gone)) if gone else after


# what is told of a session


def told(key: str, name: str) -> Callable[[Case, Any], Case]:
    """An edit of what is told of a session; a date makes one of the balls without a session."""

    def edit(case: Case, value: Any) -> Case:
        if key == UNDATED:
            session = replace(begun(case, value if name == "date" else None, mark="1"), conditions=None)
            case = replace(case, sessions=(session, *case.sessions))
            case = move(balls_of(case, UNDATED).keys(), session.id)(case)
            return case if name == "date" else told(session.id, name)(case, value)
        case = opened(case, of(case, key))
        sessions = (replace(one, **{name: value}) if one.id == key else one for one in case.sessions)
        case = replace(case, sessions=tuple(sessions))
        return hit_again(case, balls_of(case, key)) if name == "date" else case

    return edit


def air(case: Case, key: str) -> Conditions:
    """The conditions of a session, also of one that is not open yet."""
    session = of(case, key)
    return case.conditions if session.conditions is None else session.conditions


def weather(key: str, name: str) -> Callable[[Case, Any], Case]:
    """An edit of one of the conditions of a session alone. Those of the case are changed where no other session has them."""

    def edit(case: Case, value: Any) -> Case:
        new = replace(air(case, key), **{name: value})
        others = {k for k, n in counts(case).items() if n and k != key}
        alike = {one.id for one in case.sessions if one.conditions is None and one.id in others}
        if key == UNDATED:
            sessions = (replace(s, conditions=case.conditions) if s.id in alike else s for s in case.sessions)
            return replace(case, conditions=new, sessions=tuple(sessions))
        if not alike and UNDATED not in others and of(case, key).conditions is None:
            return replace(case, conditions=new)
        return told(key, "conditions")(case, new)

    return edit


def drop(key: str) -> Callable[[Case], Case]:
    """An edit that deletes a session with its balls."""

    def edit(case: Case) -> Case:
        for name in LISTS:
            gone = {n for n, shot in enumerate(getattr(case, name)) if key_of(shot) == key}
            case = case.without_shots(gone, of=name)
        return replace(case, sessions=tuple(one for one in case.sessions if one.id != key))

    return edit


def another(case: Case, guest: str = "") -> Case:
    """One more session today, which the next balls go into."""
    case = opened(case, todays(case, guest))
    return opened(case, begun(case, iso_today(), guest=guest))
