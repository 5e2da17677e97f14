"""A case in the address' fragment: ``#v1.`` + base64url(deflate(compact JSON)).

The fragment never reaches a server. Whatever comes in is hostile until `engine.case.restore` has been
over it: sizes are
limited before and while inflating, a newer version is refused in words, and nothing here raises.
"""

from __future__ import annotations

import base64
import binascii
import json
import re
import zlib
from dataclasses import dataclass
from typing import Any

from engine.case import FORMAT, VERSION, Case, restore

MOST_IN = 64 * 1024
MOST_OUT = 512 * 1024
MOST_SHOTS = 5000
LONG = 2000
LISTS = ("shots", "retest")  # lists of balls
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


def make(case: Case) -> Made:
    """The fragment that holds this case.

    What is too long for a chat program (`LONG` characters) is made shorter step by step, and it is said how:
    first measured values are rounded to what instruments tell apart, then balls are thinned, evenly through their
    carries, and last only the carries are kept.
    """
    doc = case.to_doc()
    made = _pack(doc)
    if len(made) <= LONG:
        return Made(made)
    note = ""
    if any(doc.get(name) for name in LISTS):
        made, note = _shortened(doc, made)
    if len(made) > LONG:
        note += f" It is {len(made)} characters long all the same, and some programs cut such links."
    return Made(made, ((note.strip() + " Send the file for all of it."),))


def _shortened(doc: dict[str, Any], made: str) -> tuple[str, str]:
    """The longest of the short fragments and what was left out of it; the shortest if none is short enough."""
    lists = {name: doc[name] for name in LISTS if doc.get(name)}
    balls = sum(map(len, lists.values()))
    note = ""
    for keys in (None, {"club", "carry_m", "grip_down_m", "use", "keep"}):
        for most in (balls, 24, 16, 12, 9, 7, 5, 3):
            few = {n: [_coarse(s, keys) for s in _thinned(shots, most)] for n, shots in lists.items()}
            left = sum(map(len, few.values()))
            made = _pack({**doc, **few})
            note = "The link holds balls rounded as instruments round them"
            note += " and only their carries" if keys else ""
            if left < balls:
                note += f", at most {most} a club, spread as yours are ({left} of {balls} balls)"
            if len(made) <= LONG:
                return made, note + "."
    return made, note + "."


# What a launch monitor or a range finder tells apart, as a step and its inverse; finer digits are noise.
_STEPS = {
    "carry_m": 10,
    "carry_sd_m": 10,
    "side_m": 10,
    "launch_deg": 10,
    "ball_speed_mps": 10,
    "club_speed_mps": 10,
    "grip_down_m": 1000,
    "spin_rpm": 0.1,
}


def _coarse(shot: dict[str, Any], keys: set[str] | None) -> dict[str, Any]:
    """The shot with its values rounded to `_STEPS`, and only those named in ``keys`` if there are any."""
    return {
        key: round(value * _STEPS[key]) / _STEPS[key] if key in _STEPS and value is not None else value
        for key, value in shot.items()
        if keys is None or key in keys
    }


def read(fragment: object) -> Opened:
    """Open a fragment; never raises."""
    if not isinstance(fragment, str) or not fragment.strip("#"):
        return Opened()
    if len(fragment) > MOST_IN:
        return Opened(problem="This link is too long to be one of ours; ask for the file instead.")
    head = _HEAD.match(fragment.strip())
    if not head:
        if re.match(r"^#?v\d+\.", fragment):
            return Opened(problem="This link was damaged on its way; ask for it again, or for the file.")
        return Opened()
    if int(head[1]) > VERSION:
        return Opened(
            problem="This link was made by a newer version; reload to get the newest one and open it again."
        )
    try:
        doc = _unpack(head[2])
    except Exception:  # whatever is wrong in there, the person is told the same
        return Opened(
            problem="This link was cut short or damaged on its way; ask for it again, or for the file."
        )
    restored = restore(doc)
    return Opened(restored.case, tuple(restored.notes))


def _pack(doc: dict[str, Any]) -> str:
    slim = _slim({key: value for key, value in doc.items() if key not in LISTS})
    for name in LISTS:
        if doc.get(name) or name == "shots":
            slim[name] = _runs(doc.get(name) or [])
    text = json.dumps(slim, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15)
    raw = squeeze.compress(text.encode()) + squeeze.flush()
    return f"#v{VERSION}." + base64.urlsafe_b64encode(raw).decode().rstrip("=")


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
    return {"format": FORMAT, "version": VERSION, **doc, **{name: _shots(doc.get(name)) for name in LISTS}}


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


_PLAIN = {"grip_down_m": 0.0, "use": True, "keep": False}


def _runs(shots: list[dict[str, Any]]) -> list[list[Any]]:
    """Shots as runs of one club, one list a quantity: ``[club, count, {quantity: [values]}]``."""
    runs: list[list[Any]] = []
    for shot in shots:
        if not runs or runs[-1][0] != shot["club"]:
            runs.append([shot["club"], 0, {}])
        run = runs[-1]
        for key, value in shot.items():
            if key == "club" or value is None or _PLAIN.get(key) == value:
                continue
            values = run[2].setdefault(key, [])
            values.extend([None] * (run[1] - len(values)))
            values.append(round(value, 4) if isinstance(value, float) else value)
        run[1] += 1
    return runs


def _shots(runs: Any) -> list[dict[str, Any]]:
    shots: list[dict[str, Any]] = []
    for run in runs if isinstance(runs, list) else ():
        if isinstance(run, dict) and len(shots) < MOST_SHOTS:
            shots.append(run)  # a ball by itself, as other programs may write it
        if not (isinstance(run, list) and len(run) == 3 and isinstance(run[2], dict)):
            continue
        club, count, values = run
        if isinstance(count, bool) or not isinstance(count, int) or count < 0:
            continue
        for i in range(min(count, MOST_SHOTS - len(shots))):
            shot: dict[str, Any] = {"club": club}
            for key, items in values.items():
                if isinstance(items, list) and i < len(items) and items[i] is not None:
                    shot[key] = items[i]
            shots.append(shot)
    return shots


def _thinned(shots: list[dict[str, Any]], most: int) -> list[dict[str, Any]]:
    """At most so many balls for each club and grip, evenly spaced through their carries, in the order hit."""
    groups: dict[tuple[str, float], list[int]] = {}
    for index, shot in enumerate(shots):
        if shot["use"]:
            groups.setdefault((shot["club"], shot["grip_down_m"]), []).append(index)
    kept: set[int] = set()
    for indices in groups.values():
        if len(indices) > most:
            ranked = sorted(indices, key=lambda i: shots[i]["carry_m"] or 0.0)
            indices = [ranked[int((k + 0.5) * len(ranked) / most)] for k in range(most)]
        kept.update(indices)
    return [shots[i] for i in sorted(kept)]
