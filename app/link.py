"""A case in the address' fragment: ``#v1.`` (``#v2.`` where version 1 cannot hold it) + base64url(deflate(compact JSON)).

The fragment never reaches a server. Whatever comes in is hostile until `engine.documents.reading.restore` has been
over it: sizes are limited before and while inflating, a newer version is refused in words, and nothing here raises.
"""

from __future__ import annotations

import base64
import binascii
import json
import re
import zlib
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import comb, dist, sqrt
from typing import Any

from app.phrases.say import many
from engine.documents.case import FORMAT, VERSION, Case, Shot
from engine.documents.merge import STEPS
from engine.documents.reading import restore

MOST_IN = 64 * 1024
MOST_OUT = 512 * 1024
MOST_SHOTS = 5000
MOST_TRIED = 5000  # ways to choose them
MOST_SOUGHT = 60  # balls of a club, of which a few are sought with the mean and spread of all
LONG = 2000
LISTS = ("shots", "retest")  # lists of balls
CUT = "link_cut"  # in a link's document: what had to be cut for length
UNITS_OF = "link_units"  # in a document unpacked: the sender's units
MARKED_UNITS = ("imperial",)  # a link says nothing of the others, which a new device has
_MARK = re.compile(r"^#player-([A-Za-z0-9_\-]{1,24})$")
_HEAD = re.compile(r"^#?v(\d{1,6})\.([A-Za-z0-9_\-]*)=*$")


@dataclass(frozen=True, slots=True)
class Made:
    """A link's fragment and what had to be left out of it, in words."""

    hash: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Opened:
    """What a fragment held: a case, or ``problem`` in words, or neither when there was no link at all."""

    case: Case | None = None
    notes: tuple[str, ...] = ()
    problem: str = ""
    units: str = ""  # those of the sender, where they are not metric


def exact(case: Case, units: str = "metric") -> str:
    """The fragment that holds all of this case, or nothing where that is longer than `LONG`."""
    made = _pack(_document(case), units)
    return made if len(made) <= LONG else ""


def packed(case: Case) -> str:
    """The fragment that holds all of this case, however long it is."""
    return _pack(_document(case))


def make(case: Case, units: str = "metric", *, new: Collection[str] = ()) -> Made:
    """The fragment that holds this case but for its tags, marked with the sender's units: a new device begins with them.

    new : ids of balls that whoever it goes to does not have

    What is too long for a chat program (`LONG` characters) is made shorter step by step, and it is said how, to the
    sender and in the link itself to whoever opens it: first measured values are rounded to what instruments tell
    apart, then balls that were switched off are left out, then single balls are thinned so that mean and spread
    stay, those of earlier sessions first, then the job record is left out, then only the carries are kept, and last
    means of several balls are thinned as well. New balls are left as they are until all this is not enough.
    """
    case = without_tags(case)
    whole = exact(case, units)
    if whole:
        return Made(whole)
    doc = _document(case)
    made, notes = _pack(doc, units), []
    if any(doc.get(name) for name in (*LISTS, "jobs")):
        made, cut, lost = _shortened(doc, units, new)
        if lost:
            which = f"{lost} of your {many(lost + cut.get('new', 0), 'new ball')}"
            notes.append(f"{which} did not fit: send the file instead.")
        notes.append(f"The link holds {_words(cut)}.")
    if len(made) > LONG:
        notes.append(f"It is still {len(made)} characters long, and some programs cut links of that length.")
    return Made(made, (" ".join([*notes, "The file holds everything."]),))


def without_tags(case: Case) -> Case:
    """The case without what a player is filed under, which is nobody else's business."""
    return replace(case, player=replace(case.player, tags=()))


def without_own_words(case: Case) -> Case:
    """The case without tags and notes: what is sent unless somebody asks for more."""
    return without_tags(without_notes(case))


def without_notes(case: Case) -> Case:
    """The case without what somebody wrote about the player, a session or the work; a merge takes nothing out for it."""
    return replace(
        case,
        player=replace(case.player, note=""),
        sessions=tuple(replace(one, note="") for one in case.sessions),
        jobs=tuple(replace(one, note="") for one in case.jobs if one.what != "note"),
    )


def mark(player_id: str) -> str:
    """A fragment that names a player of this device and holds nothing of him; empty where the name would not fit in one."""
    made = f"#player-{player_id}"
    return made if _MARK.match(made) else ""


def marked(fragment: str) -> str:
    """The player whom a fragment by `mark` names, or nothing."""
    found = _MARK.match(fragment)
    return found[1] if found else ""


def _document(case: Case) -> dict[str, Any]:
    doc = case.to_doc()
    doc.pop(CUT, None)
    if not doc["swing_sizes"]:
        del doc["swing_sizes"]
    return doc


def _shortened(doc: dict[str, Any], units: str, new: Collection[str]) -> tuple[str, dict[str, Any], int]:
    """The longest of the short fragments, what was cut, and how many new balls; if none is short enough, the shortest that
    holds all of these."""
    lists = {name: doc[name] for name in LISTS if doc.get(name)}
    news = {name: [shot for shot in shots if shot.get("id") in new] for name, shots in lists.items()}
    count = sum(map(len, news.values()))
    rungs: list[tuple[Any, int | None, bool]] = [(rung, None, False) for rung in _RUNGS]
    if count:  # all of them, with their carries only; then fewer and fewer
        rungs += [(_RUNGS[-1], most, True) for most in (None, *range(_FEWER[0], -1, -1))]
    used, off_in_all = _balls(lists, use=True), _balls(lists, use=False)
    jobs = doc.get("jobs")
    earlier = _earlier(doc)
    for (record, carries, off, older, most, means), most_new, bare in rungs:
        if not record:
            doc = {name: part for name, part in doc.items() if name != "jobs"}
        few: dict[str, list[dict[str, Any]]] = {}
        sent = 0
        for name, shots in lists.items():
            rest = [shot for shot in shots if shot.get("id") not in new]
            rest = _thinned(rest, off=off, most=most, means=means, earlier=earlier, older=older)
            mine = (
                news[name] if most_new is None else _thinned(news[name], off=False, most=most_new, means=True)
            )
            sent += len(mine)
            kept = {*map(id, (*rest, *mine))}
            few[name] = [shot for shot in shots if id(shot) in kept]
        cut: dict[str, Any] = {"carries": carries == "all" or carries} if carries else {}
        if sent:
            cut |= {"new": sent} | ({"new_carries": True} if bare else {})
        if jobs and not record:
            cut["jobs"] = len(jobs)
        if gone := off_in_all - _balls(few, use=False):
            cut["off"] = gone
        if _balls(few, use=True) < used:
            cut |= {"most": most, "older": older, "balls": [_balls(few, use=True), used]}
        short = {
            name: [
                _coarse(
                    shot,
                    bare
                    if shot.get("id") in new
                    else carries == "all" or (carries and shot.get("session") in earlier),
                )
                for shot in shots
            ]
            for name, shots in few.items()
        }
        made = _pack({**doc, **short, **({CUT: cut} if cut else {})}, units)
        if len(made) <= LONG:
            return made, cut, count - sent
        if sent == count:
            shortest = made, cut
    return *shortest, 0


def _balls(lists: dict[str, list[dict[str, Any]]], *, use: bool) -> int:
    """How many balls are switched on, or off, each mean with its count."""
    return round(
        sum(float(shot["balls"]) for shots in lists.values() for shot in shots if shot["use"] is use)
    )


def _earlier(doc: dict[str, Any]) -> set[str | None]:
    """The sessions before the newest day; balls without one are earlier where there is such a day."""
    dates: dict[str | None, str] = {one["id"]: one.get("date") or "" for one in doc.get("sessions") or ()}
    hit = {shot.get("session") for name in LISTS for shot in doc.get(name) or ()}
    newest = max((dates.get(session, "") for session in hit), default="")
    return {session for session in hit if dates.get(session, "") < newest}


# From the least that is cut to the most: with the job record, of which sessions only the carries, with balls that were
# switched off, most of a club in an earlier session and in any, means thinned too.
_FEWER = (24, 16, 12, 9, 7, 5, 3)
_RUNGS: tuple[tuple[bool, str, bool, int | None, int | None, bool], ...] = (
    (True, "", True, None, None, False),
    (True, "", False, None, None, False),
    *((True, "", False, most, None, False) for most in _FEWER),
    (True, "earlier", False, None, None, False),
    *((True, "earlier", False, most, None, False) for most in _FEWER),
    *((True, "earlier", False, min(most, 3), most, False) for most in _FEWER),
    (False, "", False, None, None, False),
    *((False, "", False, most, most, False) for most in _FEWER),
    (False, "all", True, None, None, False),
    (False, "all", False, None, None, False),
    *((False, "all", False, most, most, False) for most in _FEWER),
    *((False, "all", False, most, most, True) for most in _FEWER),
)


def _words(cut: dict[str, Any]) -> str:
    """What a shortened link holds; ``cut`` may come from outside."""
    said = ["shots rounded to what instruments show"]
    if _count(new := cut.get("new", 0)):
        said.append(f"{many(new, 'new shot')} first")
    if cut.get("carries") is True:
        which = (
            "of the others only the" if _count(new) and cut.get("new_carries") is not True else "only their"
        )
        said.append(f"{which} carries, no speeds, launch or spin")
    elif cut.get("carries") == "earlier":
        said.append("of earlier sessions only the carries, no speeds, launch or spin")
    most, older, balls, off = (cut.get(name) for name in ("most", "older", "balls", "off"))
    if (
        (_count(most) or _count(older))
        and isinstance(balls, list)
        and len(balls) == 2
        and all(map(_count, balls))
    ):
        club = "of the others of each club" if _count(new) else "of each club"
        few = [f"{club} in an earlier session at most {older}"] if _count(older) and older != most else []
        few += [f"{club} in a session at most {most}"] if _count(most) else []
        said.append(
            f"{', '.join(few)}, chosen so that mean and spread stay about as they are ({balls[0]} of {balls[1]} shots)"
        )
    if _count(off):
        said.append(f"without the {off} switched off")
    if _count(cut.get("jobs")):
        said.append("without the job record")
    return ", ".join(said)


def _count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value < 10**6


# What a launch monitor or a range finder tells apart, so many steps to the unit; finer digits are noise.
_STEPS = {name: round(1 / step, 6) for name, step in STEPS.items()}


MEASURED = ("ball_speed_mps", "launch_deg", "spin_rpm", "club_speed_mps", "side_m")  # beside the carry


def rounded(shot: Shot) -> Shot:
    """The shot as a shortened link holds it."""
    values = {name: getattr(shot, name) for name in _STEPS}
    return replace(shot, **{name: _step(name, value) for name, value in values.items()})


def _step(name: str, value: Any) -> Any:
    return round(value * _STEPS[name]) / _STEPS[name] if name in _STEPS and value is not None else value


def _coarse(shot: dict[str, Any], carries: object) -> dict[str, Any]:
    """The shot with its values rounded to `_STEPS`; of what was measured only the carry if ``carries``."""
    return {key: _step(key, value) for key, value in shot.items() if not (carries and key in MEASURED)}


def read(fragment: object) -> Opened:
    """Open a fragment; never raises."""
    if not isinstance(fragment, str) or not fragment.strip("#"):
        return Opened()
    if len(fragment) > MOST_IN:
        return Opened(problem="This link is too long to be one of ours; ask for the file instead.")
    head = _HEAD.match(fragment.strip())
    if not head:
        if re.match(r"^#?v\d+\.", fragment):
            return Opened(problem="This link was damaged in transit; ask for it again, or for the file.")
        return Opened()
    if int(head[1]) > VERSION:
        return Opened(
            problem="This link was made by a newer version; reload to get the newest one and open it again."
        )
    try:
        doc = _unpack(head[2])
    except Exception:  # whatever is wrong in there, the person is told the same
        return Opened(
            problem="This link was cut short or damaged in transit; ask for it again, or for the file."
        )
    cut, units = doc.pop(CUT, None), doc.pop(UNITS_OF, "")
    restored = restore(doc)
    notes = list(restored.notes)
    if isinstance(cut, dict) and cut:
        notes.insert(
            0,
            f"This link was shortened by its sender: it holds {_words(cut)}. If you need all of it, ask for the file.",
        )
    return Opened(restored.case, tuple(notes), units=units)


def _pack(doc: dict[str, Any], units: str = "metric") -> str:
    slim = _slim({key: value for key, value in doc.items() if key not in LISTS})
    for name in LISTS:
        if doc.get(name) or name == "shots":
            slim[name] = _runs(doc.get(name) or [])
    if units in MARKED_UNITS:
        slim["shots"].append(
            ["", 0, {"units": units}]
        )  # a run of no balls, which releases that do not know it pass over
    text = json.dumps(slim, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15)
    raw = squeeze.compress(text.encode()) + squeeze.flush()
    return f"#v{doc['version']}." + base64.urlsafe_b64encode(raw).decode().rstrip("=")


def _unpack(text: str) -> dict[str, Any]:
    try:
        raw = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    except (binascii.Error, ValueError) as error:
        raise ValueError("not base64") from error
    inflate = zlib.decompressobj(-15)
    data = inflate.decompress(raw, MOST_OUT)
    if inflate.unconsumed_tail or not inflate.eof:
        raise ValueError("too long or cut short")
    doc = json.loads(data.decode(), parse_constant=_no_constant)
    if not isinstance(doc, dict):
        raise ValueError("not an object")
    doc[UNITS_OF] = _units(doc.get("shots"))
    return {"format": FORMAT, "version": VERSION, **doc, **{name: _shots(doc.get(name)) for name in LISTS}}


def _units(runs: Any) -> str:
    """The sender's units by the mark at the end of the runs, or nothing."""
    match runs:
        case [*_, [_, 0, {"units": str(units)}]] if units in MARKED_UNITS:
            return units
    return ""


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _slim(value: Any) -> Any:
    """Without what is null or empty: reading fills it in again."""
    if isinstance(value, dict):
        slim = {key: _slim(item) for key, item in value.items()}
        return {key: item for key, item in slim.items() if item is not None and item != {} and item != ""}
    if isinstance(value, list):
        return [_slim(item) for item in value]
    return round(value, 6) if isinstance(value, float) else value


_PLAIN = {"grip_down_m": 0.0, "use": True, "keep": False, "balls": 1.0}


def _runs(shots: list[dict[str, Any]]) -> list[list[Any]]:
    """Shots as runs of one club, one list a quantity: ``[club, count, {quantity: [values]}]``; the first run holds the
    ids of all, written short."""
    runs: list[list[Any]] = []
    ids = _short_ids([shot.get("id") for shot in shots])
    for shot in shots:
        if not runs or runs[-1][0] != shot["club"]:
            runs.append([shot["club"], 0, {}])
        run = runs[-1]
        for key, value in shot.items():
            if key == "club" or value is None or _PLAIN.get(key) == value or (ids and key == "id"):
                continue
            values = run[2].setdefault(key, [])
            values.extend([None] * (run[1] - len(values)))
            values.append(round(value, 4) if isinstance(value, float) else value)
        run[1] += 1
    if ids:
        runs[0][2]["ids"] = ids
    return runs


_NUMBERED = re.compile(r"(\w*[^\W\d]|)([1-9]\d{0,6})", re.ASCII)


def _short_ids(ids: list[str | None]) -> str:
    """Ids such as a1, a2, a3, b7 as ``a1-3 b7``, ``*`` for a ball without one; nothing where that does not hold them."""
    out: list[list[Any]] = []  # prefix, first, last
    for one in ids:
        found = _NUMBERED.fullmatch(one or "")
        if one and not found and not re.fullmatch(r"\w+", one, re.ASCII):
            return ""
        prefix, number = (found[1], int(found[2])) if found else (one or "*", 0)
        if number and out and out[-1][0] == prefix and out[-1][2] == number - 1:
            out[-1][2] = number
        else:
            out.append([prefix, number, number])
    said, before = [], None
    for prefix, first, last in out:
        numbers = "" if not first else f"{first}" if first == last else f"{first}-{last}"
        said.append(f",{numbers}" if first and prefix == before else f" {prefix}{numbers}")
        before = prefix if first else None
    return "".join(said).strip() if any(ids) else ""


def _long_ids(text: str) -> list[str | None]:
    """What `_short_ids` wrote short; whatever is not sound names nothing."""
    ids: list[str | None] = []
    for word in text.split():
        prefix = ""
        for part in word.split(","):
            first, _, last = part.partition("-")
            found = _NUMBERED.fullmatch(f"{prefix}{first}")
            if found is None:
                ids.append(None if part == "*" else part)
                continue
            prefix, start = found[1], int(found[2])
            end = int(last) if last.isdecimal() and len(last) < 8 else start
            ids += [f"{prefix}{n}" for n in range(start, min(end, start + MOST_SHOTS) + 1)]
            if len(ids) > MOST_SHOTS:
                return ids
    return ids


def _shots(runs: Any) -> list[dict[str, Any]]:
    shots: list[dict[str, Any]] = []
    ids: list[str | None] = []
    for run in runs if isinstance(runs, list) else ():
        if isinstance(run, dict) and len(shots) < MOST_SHOTS:
            shots.append(run)  # a ball by itself, as other programs may write it
        if not (isinstance(run, list) and len(run) == 3 and isinstance(run[2], dict)):
            continue
        club, count, values = run
        if not shots and isinstance(values.get("ids"), str):
            ids = _long_ids(values["ids"])
        if isinstance(count, bool) or not isinstance(count, int) or count < 0:
            continue
        for i in range(min(count, MOST_SHOTS - len(shots))):
            shot: dict[str, Any] = {"club": club}
            for key, items in values.items():
                if isinstance(items, list) and i < len(items) and items[i] is not None:
                    shot[key] = items[i]
            shots.append(shot)
    for shot, own in zip(shots, ids, strict=False):
        if own:
            shot["id"] = own
    return shots


def chosen(carries: list[float], most: int) -> list[int]:
    """The numbers of so many of the carries, spread through them, with nearly the mean and standard deviation of all."""
    ranked = sorted(range(len(carries)), key=lambda i: carries[i])
    picks = [ranked[int((k + 0.5) * len(ranked) / most)] for k in range(most)]
    if len(carries) > MOST_SOUGHT or most < 2:
        return picks

    def mean_and_sd(some: Sequence[float]) -> tuple[float, float]:
        mean = sum(some) / len(some)
        return mean, sqrt(sum((x - mean) ** 2 for x in some) / (len(some) - 1))

    wanted = mean_and_sd(carries)

    def off(numbers: Sequence[int]) -> float:
        return dist(mean_and_sd([carries[i] for i in numbers]), wanted)

    if comb(len(carries), most) <= MOST_TRIED:
        return list(min(combinations(ranked, most), key=lambda few: off([*few])))
    best = off(picks)
    for _ in range(3):
        for k in range(most):
            for other in ranked:
                trial = [*picks[:k], other, *picks[k + 1 :]]
                if other not in picks and (now := off(trial)) < best - 1e-9:
                    picks, best = trial, now
    return picks


def _thinned(
    shots: list[dict[str, Any]],
    *,
    off: bool,
    most: int | None,
    means: bool,
    earlier: Collection[str | None] = (),
    older: int | None = None,
) -> list[dict[str, Any]]:
    """Shots in the order hit: those switched off only if ``off``, of the others at most so many for each club, grip, swing
    and session, ``older`` in the ``earlier`` ones, with the mean and spread of all. Means of several balls are counted
    apart, and thinned only if ``means``."""
    groups: dict[tuple[Any, ...], list[int]] = {}
    kept: set[int] = set()
    for index, shot in enumerate(shots):
        mean = shot["balls"] > 1
        if not shot["use"]:
            kept.update([index] if off else [])
        elif mean and not means:
            kept.add(index)
        else:
            limit = older if shot.get("session") in earlier else most
            alike = limit, shot["club"], shot["grip_down_m"], shot["swing_size"], shot.get("session"), mean
            groups.setdefault(alike, []).append(index)
    for (limit, *_), indices in groups.items():
        if limit is not None and len(indices) > limit:
            carries = [shots[i]["carry_m"] or 0.0 for i in indices]
            indices = [indices[i] for i in chosen(carries, limit)]
        kept.update(indices)
    return [shots[i] for i in sorted(kept)]
