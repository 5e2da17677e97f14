"""Two copies of one player made into one: both were edited since they were the same.

Balls go by their id: those of both copies are in the result once. What this side took out (``Case.removed``) a copy does not
bring back. What the other side took out stays until a person says which: it goes, or it is kept, and then it gets another id
that follows from its own (its heir), by which it comes back to the other side too, as one ball on every device.
A ball without an id is taken for one of the other side that has the same values, each for one. Everything else goes field
by field, entries of lists by their id. A field that differs stays as it is here until a person chooses; where a copy is
known from which both come (``Case.shares``), what only one side changed since is no difference but news, and is taken; but
a note is never taken out or replaced without asking, nor are tags, since links leave them out.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from .case import Case, Path, Shot
from .fields import MARKS
from .reading import read_case

LISTS = ("shots", "retest")
STEPS = {
    "carry_m": 0.1,
    "carry_sd_m": 0.1,
    "side_m": 0.1,
    "launch_deg": 0.1,
    "ball_speed_mps": 0.1,
    "club_speed_mps": 0.1,
    "grip_down_m": 0.001,
    "spin_rpm": 10.0,
}
"""What instruments tell apart of a ball [m], [deg], [m/s], [rpm]; links round to it, so that less is no difference."""
CLOSE = 6e-5  # of other numbers, in the unit of their field: links round them too
MARKED = ("id", "by", "use", "keep", "layout", "session")  # of a ball, beside what was hit
_UNKNOWN: Any = object()

Doc = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Difference:
    """A field, or an entry of a list, that the two copies have differently, as in their documents; ``None`` where one has
    none. ``news`` says that it was changed by them only, or is new; ``taken``, whether the merged case has it as theirs.
    """

    path: Path
    mine: Any
    theirs: Any
    news: bool
    taken: bool


@dataclass(frozen=True, slots=True)
class Merged:
    """The merged case; the balls that came in, the ids of those among them that were taken out here and kept there; the
    balls of this side that they took out; and fields that differ.
    """

    case: Case
    added: tuple[Shot, ...]
    back: frozenset[str]
    removed: tuple[Shot, ...]
    differences: tuple[Difference, ...]

    @property
    def nothing_new(self) -> bool:
        return not (self.added or self.removed or self.differences)


def merge(
    mine: Case,
    theirs: Case,
    base: Case | None = None,
    *,
    choices: Mapping[Path, bool | str] | None = None,
    keep: Collection[str] = (),
    drop: Collection[str] = (),
) -> Merged:
    """``mine`` with what ``theirs`` has beyond it.

    base : a copy from which both come, where one is known; choices : for the paths of differences whether theirs is
    wanted, or of texts what shall stand there; keep, drop : ids of balls that they took out, of which
    a person said that they stay, or that they go here too; the others stay, and are asked about again; ``drop`` also
    leaves out balls that come in, such as those in ``Merged.back``

    The marks in ``theirs.shares`` are handed on only once nothing is left to choose, so that what was left open is asked
    again on either side.

    Raises
    ------
    CaseError
        Where the two together are more than a document holds.

    >>> a = Case(removed=("b1",))
    >>> merge(a, Case(removed=("b2",))).case.removed
    ('b1', 'b2')
    """
    work = _Work(mine.to_doc(), theirs.to_doc(), None if base is None else base.to_doc(), choices or {})
    doc = work.merged(frozenset(keep), frozenset(drop))
    differences = tuple(work.differences)
    if all(d.news or d.path in work.choices for d in differences):
        doc["shares"] = _united(mine.shares, theirs.shares)[-MARKS["shares"].most :]
    case = read_case(doc)
    added = {shot.id for shot in (*case.shots, *case.retest)} & work.added
    return Merged(
        case,
        tuple(shot for shot in (*case.shots, *case.retest) if shot.id in added),
        frozenset(map(_heir, mine.removed)) & added,
        tuple(shot for shot in (*mine.shots, *mine.retest) if shot.id in work.removed),
        differences,
    )


def named(case: Case, prefix: str, *, first: int = 1, by: str | None = None) -> Case:
    """The case with ids, ``prefix`` and a number from ``first`` on, for the balls that have none; these are marked as
    added ``by``."""
    taken = {shot.id for shot in (*case.shots, *case.retest)} | {*case.removed}
    free = (made for n in range(first, 2**31) if (made := f"{prefix}{n}") not in taken)

    def marked(shots: tuple[Shot, ...]) -> tuple[Shot, ...]:
        return tuple(s if s.id else replace(s, id=next(free), by=s.by or by) for s in shots)

    return replace(case, shots=marked(case.shots), retest=marked(case.retest)) if None in taken else case


def tracked(before: Case, after: Case) -> Case:
    """A case after an edit, with the ids of balls that it took out among ``removed``."""
    if before.shots is after.shots and before.retest is after.retest:
        return after
    there = {shot.id for shot in (*after.shots, *after.retest)}
    gone = [s.id for s in (*before.shots, *before.retest) if s.id and s.id not in there]
    removed = tuple(i for i in _united(after.removed, gone) if i not in there)[-MARKS["removed"].most :]
    return after if removed == after.removed else replace(after, removed=removed)


def _united(first: Collection[str], second: Collection[str]) -> list[str]:
    return list(dict.fromkeys((*first, *second)))


@dataclass(slots=True)
class _Work:
    mine: Doc
    theirs: Doc
    base: Doc | None
    choices: Mapping[Path, bool | str]
    differences: list[Difference] = field(default_factory=list)
    added: set[str] = field(default_factory=set)
    removed: set[str] = field(default_factory=set)
    left_out: list[str] = field(default_factory=list)  # balls of theirs that a person did not want
    needed: set[tuple[str, str]] = field(default_factory=set)  # parts of which merged balls speak

    def merged(self, keep: frozenset[str], drop: frozenset[str]) -> Doc:
        balls = self._balls(keep, drop)
        self.needed = {
            (part, shot[name])
            for shots in balls.values()
            for shot in shots
            for part, name in (("bag", "club"), ("sessions", "session"), ("swing_sizes", "swing_size"))
            if shot.get(name)
        }
        apart = {*LISTS, *MARKS, "format", "version"}
        mine, theirs = ({k: v for k, v in doc.items() if k not in apart} for doc in (self.mine, self.theirs))
        theirs["player"] = {**theirs["player"], "id": mine["player"].get("id") or theirs["player"].get("id")}
        mine["player"] = {**mine["player"], "id": theirs["player"]["id"]}
        doc = self._entry((), mine, theirs, _UNKNOWN if self.base is None else self.base)
        there = {shot.get("id") for shots in balls.values() for shot in shots}
        gone = _united(self.mine.get("removed", ()), self.theirs.get("removed", ()))
        removed = [i for i in _united(gone, self.left_out) if i not in there][-MARKS["removed"].most :]
        heading = {name: max(self.mine[name], self.theirs[name]) for name in ("format", "version")}
        return {**heading, **doc, **balls, "removed": removed, "shares": self.mine.get("shares", [])}

    # fields

    def _entry(self, path: Path, mine: Doc, theirs: Doc, base: Any) -> Doc:
        known = {} if base is None else base
        return {
            key: self._value(
                (*path, key),
                mine.get(key),
                theirs.get(key),
                known.get(key) if isinstance(known, dict) else _UNKNOWN,
            )
            for key in dict.fromkeys((*mine, *theirs))
        }

    def _value(self, path: Path, mine: Any, theirs: Any, base: Any) -> Any:
        if _same(mine, theirs):
            return mine
        if isinstance(mine, dict) and isinstance(theirs, dict):
            return self._entry(path, mine, theirs, base)
        if _keyed(mine or []) and _keyed(theirs or []):  # one that holds nothing need not be there
            return self._list(path, mine or [], theirs or [], base)
        if base is not _UNKNOWN and _same(theirs, base):
            return mine
        news = base is not _UNKNOWN and _same(mine, base)
        if base is _UNKNOWN and path[0] in (
            "player",
            "swing",
        ):  # nothing known here, or there, is no difference
            if theirs in (None, "", []):
                return mine
            news = mine in (None, "", [])
        if path[-1] in (
            "note",
            "tags",
        ):  # links leave them out, and what somebody wrote is not replaced unasked
            if theirs in (None, "", []):
                return mine
            news = news and mine in (None, "", [])
        return self._differ(path, mine, theirs, news=news)

    def _differ(self, path: Path, mine: Any, theirs: Any, *, news: bool, take: bool | None = None) -> Any:
        taken = self.choices.get(path, news if take is None else take)
        self.differences.append(Difference(path, mine, theirs, news, bool(taken)))
        if isinstance(taken, str):
            return taken
        return theirs if taken else mine

    def _list(self, path: Path, mine: list[Doc], theirs: list[Doc], base: Any) -> list[Doc]:
        here, there = _by_id(mine), _by_id(theirs)
        were = _by_id(base) if isinstance(base, list) and _keyed(base) else None
        out = []
        for key in dict.fromkeys((*here, *there)):
            own, other, was = here.get(key), there.get(key), (were or {}).get(key)
            way = (*path, key)
            if own is not None and other is not None:
                entry = self._value(way, own, other, _UNKNOWN if was is None else was)
            elif (
                own is None
            ):  # new there, or taken out here; then it comes back only if changed there, and asked for
                needed = (str(path[0]), key) in self.needed and len(path) == 1
                if was is not None and _same(was, other) and not needed:
                    continue
                entry = (
                    other if needed and was is not None else self._differ(way, None, other, news=was is None)
                )
            elif was is None or (str(path[0]), key) in self.needed or path == ("jobs",):
                entry = own  # what was done is no less so for a copy that does not tell of it, as a link may
            else:  # taken out there: it stays until somebody says so
                entry = self._differ(way, own, None, news=_same(own, was), take=False)
            if entry is not None:
                out.append(entry)
        return out

    # balls

    def _balls(self, keep: frozenset[str], drop: frozenset[str]) -> dict[str, list[Doc]]:
        mine, theirs, base = (
            [(name, shot) for name in LISTS for shot in doc.get(name, ())] if doc else []
            for doc in (self.mine, self.theirs, self.base)
        )
        here, there, were = ({s["id"]: s for _, s in side if s.get("id")} for side in (mine, theirs, base))
        gone_here = {*self.mine.get("removed", ())} - here.keys()
        gone_there = {*self.theirs.get("removed", ())} - there.keys()
        out: dict[str, list[Doc]] = {name: [] for name in LISTS}
        paired: list[tuple[str, int, Any, Doc]] = []
        for number, (name, shot) in enumerate(mine):
            own = heir = shot.get("id")
            while heir in gone_there or (heir != own and (heir in here or heir in gone_here)):
                heir = _heir(heir)
            if heir != own and heir in there:  # they kept what was taken out elsewhere
                shot = {**shot, "id": heir}
            elif heir != own:
                self.removed.add(own)
                if own in drop:
                    continue
                shot = {**shot, "id": heir} if own in keep else shot
            paired.append((name, number, own, shot))
        known = {shot.get("id") for *_, shot in paired} | gone_here
        loose = _Loose(s for _, s in theirs if not s.get("id") or s["id"] not in known)
        for name, number, own, shot in paired:
            now = shot.get("id")
            other = there.get(now) or (None if own in self.removed else loose.like(shot))
            if other is not None:
                shot = self._ball((name, now or number), shot, other, were.get(now) or were.get(own))
            out[name].append(shot)
        ids = {shot.get("id") for shots in out.values() for shot in shots} | gone_here | there.keys()
        left = {id(shot) for shot in loose.left()}
        for name, shot in theirs:
            if id(shot) in left and shot.get("id") in drop:
                self.left_out.append(shot["id"])
            elif id(shot) in left:
                if not shot.get("id"):
                    shot = {**shot, "id": _made_id(repr(_hit(shot)), ids)}
                    ids.add(shot["id"])
                self.added.add(shot["id"])
                out[name].append(shot)
        return out

    def _ball(self, path: Path, mine: Doc, theirs: Doc, base: Doc | None) -> Doc:
        out = dict(mine)
        for key, value in theirs.items():
            own = mine.get(key)
            if key in ("id", "by"):
                out[key] = own or value
            elif value is None or own == value:
                continue
            elif own is None and (base is None or not _same(base.get(key), value)):
                out[key] = value
            elif own is None:
                continue
            elif key in STEPS and abs(own - value) <= 0.51 * STEPS[key]:
                coarse = abs(own / STEPS[key] - round(own / STEPS[key])) < 1e-6
                out[key] = value if coarse else own
            elif not _same(own, value) and (base is None or not _near(key, value, base.get(key))):
                news = base is not None and _near(key, own, base.get(key))
                if key == "club" and not news and self._same_head(own, value):
                    continue  # as it is and as it was: the one who has the record of the work knows
                out[key] = self._differ((*path, key), own, value, news=news)
        return out

    def _same_head(self, one: str, other: str) -> bool:
        became = {c["id"]: c.get("became") for doc in (self.theirs, self.mine) for c in doc.get("bag", ())}
        return (became.get(one) or one) == (became.get(other) or other)


class _Loose:
    """Balls of the other side that none of this side has by its id, to be found by what was hit."""

    def __init__(self, shots: Iterator[Doc]) -> None:
        self.alike: dict[tuple[Any, ...], list[Doc]] = defaultdict(list)
        for shot in shots:
            self.alike[_hit(shot)].append(shot)

    def like(self, shot: Doc) -> Doc | None:
        """One with the same values, which is then spoken for; two ids are two balls."""
        alike = self.alike.get(_hit(shot), [])
        for other in alike:
            if not (shot.get("id") and other.get("id")):
                alike[:] = [one for one in alike if one is not other]
                return other
        return None

    def left(self) -> Iterator[Doc]:
        for alike in self.alike.values():
            yield from alike


def _hit(shot: Doc) -> tuple[Any, ...]:
    """What was hit, apart from how it is marked."""
    values = sorted((k, v) for k, v in shot.items() if k not in MARKED and v is not None)
    return tuple((k, round(v, 3) + 0.0 if isinstance(v, float) else repr(v)) for k, v in values)


def _made_id(text: str, taken: Collection[Any]) -> str:
    """An id that follows from a text, the same on every device."""
    number = 0
    while True:
        made = "m" + hashlib.blake2s(f"{text} {number}".encode(), digest_size=6).hexdigest()
        if made not in taken:
            return made
        number += 1


def _heir(ball: str) -> str:
    """The id that a ball has once it was taken out on one side and kept on the other."""
    return _made_id(ball, ())


def _by_id(entries: list[Doc]) -> dict[str, Doc]:
    return {entry["id"]: entry for entry in entries}


def _keyed(value: Any) -> bool:
    """Whether this is a list, perhaps empty, whose entries have ids."""
    return isinstance(value, list) and all(
        isinstance(e, dict) and isinstance(e.get("id"), str) for e in value
    )


def _near(key: str, a: Any, b: Any) -> bool:
    return _same(a, b) or (
        key in STEPS and a is not None and b is not None and abs(a - b) <= 0.51 * STEPS[key]
    )


def _same(a: Any, b: Any) -> bool:
    """Whether two values of documents are the same, but for what a link rounds; what is empty is not there."""
    if isinstance(a, bool) or isinstance(b, bool):
        return a is b
    if isinstance(a, float | int) and isinstance(b, float | int):
        return abs(a - b) <= CLOSE
    if isinstance(a, dict) and isinstance(b, dict):
        return all(_same(a.get(key), b.get(key)) for key in {*a, *b})
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(map(_same, a, b))
    return a == b or (a in (None, "", []) and b in (None, "", []))
