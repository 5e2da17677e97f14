"""Copies of one player on several devices: how one is marked when it is sent, and found again when it comes home.

A player who is sent gets an id, and from then on so do his balls; each copy that is sent gets a mark, and the device keeps
the last few, so that of a copy that comes back it is known what both come from (`engine.documents.merge`). Ids of balls
begin with a ``prefix`` that is random for each visit, and go on with a number that no other ball of the visit has, of
whichever copy it is: two balls never share an id.
"""

from __future__ import annotations

import secrets
from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from app import link
from app.players import MOST_COPIES, Entry, complete
from app.sessions import ELSEWHERE
from engine.documents.case import FIGURES, Case, Club, JobClub, Path, Shot
from engine.documents.fields import MARKS, NOTE
from engine.documents.merge import Difference, Merged, merge, named, tracked
from engine.fitting.former import built_on, hit_again

THEIRS = "From another device"  # before what came from there, in a note
SAME = 1e-4  # of a club's figures, in the unit of each: links round them


def kept(entry: Entry, mark: str, case: Case) -> Entry:
    """The entry with one more copy to remember."""
    return replace(entry, copies=(*entry.copies, (mark, link.packed(case)))[-MOST_COPIES:])


def opened(entry: Entry) -> Entry:
    """A player who came from elsewhere: what is added here is marked as added elsewhere than where he is from."""
    shares = entry.case.shares
    return kept(replace(entry, guest=True), shares[-1], entry.case) if shares else entry


def new_prefix() -> str:
    return f"{secrets.token_hex(4)}b"


def with_ids(case: Case, prefix: str, *, first: int, guest: bool) -> Case:
    """The case with an id for each ball, numbered from ``first`` on."""
    return named(case, prefix, first=first, by=ELSEWHERE if guest else None)


def number_after(entry: Entry, prefix: str) -> int:
    """The number after the highest that an id of this prefix has in an entry."""
    cases = (entry.case, entry.trial or entry.case)
    ids = (shot.id or "" for case in cases for shot in (*case.shots, *case.retest))
    numbers = (i[len(prefix) :] for i in ids if i.startswith(prefix))
    return max((int(n) for n in numbers if n.isdecimal()), default=0) + 1


def sent(entry: Entry, prefix: str, first: int) -> Entry:
    """The entry as it is sent; the same where nothing was changed since it was sent or taken in last."""
    shares = entry.case.shares
    if shares and entry.copies and entry.copies[-1] == (shares[-1], link.packed(entry.case)):
        return entry
    mark = secrets.token_hex(3)
    player = replace(entry.case.player, id=entry.case.player.id or secrets.token_hex(6))
    case = replace(entry.case, player=player, shares=(*shares, mark)[-MARKS["shares"].most :])
    case = with_ids(case, prefix, first=first, guest=entry.guest)
    return kept(replace(entry, case=case), mark, case)


def added_here(entry: Entry) -> frozenset[str]:
    """The ids of the balls that were added on this device to a player from elsewhere, and that whoever sent him is not
    known to have: those that the oldest copy remembered has not."""
    if not entry.guest:
        return frozenset()
    had = {s.id for s in _balls(link.read(entry.copies[0][1]).case)} if entry.copies else set()
    return frozenset(s.id for s in _balls(entry.case) if s.id and s.by and s.id not in had)


def not_sent(entry: Entry) -> int:
    """How many balls were added on this device since the player was sent from it last, in none of the copies remembered."""
    balls = [s for s in _balls(entry.case) if s.by] if entry.guest else []
    if not balls:
        return 0
    had = {s.id for _, text in entry.copies for s in _balls(link.read(text).case)} - {None}
    return round(sum(s.balls for s in balls if s.id not in had))


def changed_here(entry: Entry) -> bool:
    """Whether anything but balls differs from the copy that was sent or taken in last."""
    last = link.read(entry.copies[-1][1]).case if entry.guest and entry.copies else None
    return last is not None and _but_balls(entry.case) != _but_balls(last)


def _but_balls(case: Case) -> str:
    return link.packed(replace(case, shots=(), retest=(), sessions=(), shares=(), removed=()))


def _balls(case: Case | None) -> tuple[Shot, ...]:
    return (*case.shots, *case.retest) if case else ()


def like(entry: Entry, old: Entry, new: Entry) -> Entry:
    """An earlier state of ``old``, with the ids that its balls have got in ``new``."""
    pairs = zip((*old.case.shots, *old.case.retest), (*new.case.shots, *new.case.retest), strict=True)
    known = {id(before): after for before, after in pairs}

    def marked(case: Case) -> Case:
        player = replace(case.player, id=new.case.player.id)
        changed: dict[str, Any] = {"player": player, "shares": new.case.shares}
        for name in ("shots", "retest"):
            shots, before = getattr(case, name), getattr(old.case, name)
            same = shots == before
            changed[name] = getattr(new.case, name) if same else tuple(known.get(id(s), s) for s in shots)
        return replace(case, **changed)

    trial = None if entry.trial is None else marked(entry.trial)
    return replace(entry, case=marked(entry.case), trial=trial, copies=new.copies)


def undone(now: Entry, before: Entry) -> Entry:
    """An entry as it was, which remembers what balls it had since, that copies elsewhere may have."""
    return replace(before, case=tracked(now.case, before.case))


def together(
    mine: Entry,
    other: Case,
    choices: Mapping[Path, bool | str] | None = None,
    keep: Collection[str] = (),
    drop: Collection[str] = (),
) -> tuple[Entry, Merged]:
    """The entry with what a copy of the player has beyond it; see `engine.documents.merge.merge`. Of two notes on one thing
    both stay, unless it is chosen otherwise."""
    base, chosen = _common(mine, other), dict(choices or {})
    found = merge(mine.case, other, base, choices=chosen, keep=keep, drop=drop)
    notes = {d.path: note for d in found.differences if (note := noted(d)) is not None}
    if notes.keys() - chosen.keys():
        found = merge(mine.case, other, base, choices=notes | chosen, keep=keep, drop=drop)
    found = _as_hit(mine.case, other, base, found)
    entry = replace(mine, case=found.case, trial=None)
    if found.case.shares != mine.case.shares:
        entry = kept(entry, other.shares[-1], other)
    return entry, found


def noted(one: Difference) -> bool | str | None:
    """What becomes of a note that both sides have, as `both` says; ``None`` of anything else."""
    sides = one.mine, one.theirs
    words = [side for side in sides if isinstance(side, str)] if one.path[-1] == "note" else []
    return both(*words) if len(words) == 2 else None


def both(mine: str, theirs: str) -> bool | str | None:
    """Two notes in one, or whether theirs is the one that holds both; ``None`` where there is no such note."""
    if not (mine and theirs):
        return None
    if _holds(mine, theirs) or _holds(theirs, mine):
        return not _holds(mine, theirs)
    whole = f"{mine}\n{THEIRS}: {theirs}"
    return whole if len(whole) <= NOTE else None


def _holds(note: str, part: str) -> bool:
    """Whether a note begins with another or has it on lines of its own."""
    rest = note.removeprefix(part)
    begins = note.startswith(part) and not (rest[:1].isalnum() and part[-1:].isalnum())
    return begins or any(f"\n{start}{part}\n" in f"\n{note}\n" for start in ("", f"{THEIRS}: "))


def left_out(mine: Entry, other: Case) -> frozenset[str]:
    """The balls that stay removed unless somebody says otherwise: those that were removed here and kept by whom he was sent
    to. Whoever got him from another takes what is kept there."""
    return frozenset() if mine.guest else together(mine, other)[1].back


def _common(mine: Entry, other: Case) -> Case | None:
    """The copy from which both come, as far as it is remembered. One whose last mark is known here, and which is too old to
    be remembered, tells nothing of fields: all that it had was taken in, or answered, when it was new."""
    *_, last = (None, *other.shares)
    if last in mine.case.shares and last not in dict(mine.copies):
        return other
    common = link.read(next((text for mark, text in reversed(mine.copies) if mark in other.shares), "")).case
    return common and complete(common)


def _as_hit(mine: Case, other: Case, base: Case | None, found: Merged) -> Merged:
    """Balls that are new to a side go to the clubs as they were on their day; those without a day, to the clubs as they were
    where the ball was added."""
    new = {s.id for s in found.added}
    told = {s.id for s in (*other.shots, *other.retest)}
    case = _then(found.case, other, base, new)
    case = _then(case, mine, base, {s.id for s in mine.shots if s.id not in told}, only_late=True)
    added = tuple(s for s in (*case.shots, *case.retest) if s.id in new)
    return found if case is found.case else replace(found, case=case, added=added)


def _then(
    case: Case, side: Case, base: Case | None, balls: Collection[str | None], *, only_late: bool = False
) -> Case:
    days = {one.id: one for one in case.sessions}
    late, unrecorded = _built_since(case, side, base)

    def before(shot: Shot) -> bool:
        """Whether it was hit with the club as it was, unless its day says otherwise."""
        day = days.get(shot.session or "")
        if day is not None and day.date:
            return shot.club in late
        as_built = shot.layout is not None or (day is not None and day.layout is not None)
        return shot.club in late | unrecorded and not as_built

    for early in (True,) if only_late else (True, False):
        places = {("shots", n) for n, s in enumerate(case.shots) if s.id in balls and before(s) == early}
        case = hit_again(case, places, before=early) if places else case
    return case


def _built_since(case: Case, side: Case, base: Case | None) -> tuple[set[str], set[str]]:
    """The clubs that were built and are not as built on one side, which a link may tell nothing of the work; and those of
    which no record tells, only that the side has none as they were."""
    known = {job.id for one in (side, base) if one is not None for job in one.jobs}
    bag = {club.id: club for club in side.bag}
    late = {
        built.id
        for job in case.jobs
        if job.what == "built" and job.id not in known
        for built in job.clubs
        if built.id not in bag or not _as_built(bag[built.id], built)
    }
    formers = {c.became for c in case.bag if c.became} - {c.became for c in side.bag}
    return late, {club for club in formers if club and not built_on(case, club)}


def _as_built(club: Club, built: JobClub) -> bool:
    pairs = [(getattr(built, name), getattr(club, name)) for name in FIGURES]
    told = [(now, then) for then, now in pairs if then is not None]
    return bool(told) and all(now is not None and abs(now - then) < SAME for now, then in told)


def apart(entry: Entry) -> Entry:
    """A copy as a player of its own."""
    player = replace(entry.case.player, id=None)
    return replace(entry, case=replace(entry.case, player=player, shares=(), removed=()), copies=())
