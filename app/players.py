"""What is kept on the device: the players, each a case, how the page looks, and reading that back in."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from app.at_hand import AtHand
from app.choices import Choices
from app.dates import day as full_day
from app.dates import now
from app.phrases.say import many
from app.sessions import counts
from engine.documents.case import FORMAT as CASE_FORMAT
from engine.documents.case import STORE_FORMAT, Case, Club, Layout
from engine.documents.case import VERSION as CASE_VERSION
from engine.documents.reading import restore
from engine.fitting.job_record import last_hit
from engine.sets.plan import anchor_of
from engine.sets.usual import complete as complete
from engine.sets.usual import estimated as estimated

VERSION = 1
MOST_PLAYERS = 500
MOST_LAYOUTS = 50  # of files whose columns are remembered
MOST_TEMPLATES = 50
MOST_COPIES = 4  # of a player, kept to compare with what comes back
MOST_EARLY = 8  # pages
MOST_REMOVED = 10  # players, in case one is wanted back
KEPT_DAYS = 30  # so long
NAMELESS = "Player without a name"
MOST_NAME = 60  # characters
SECOND = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d"


@dataclass(frozen=True, slots=True)
class Entry:
    """One player of the list."""

    id: str
    case: Case
    trial: Case | None = None
    archived: bool = False
    guest: bool = False  # came from another device
    number: int = 1  # among players of one name, which he keeps
    changed: str = ""  # when that was last, as ``2031-05-03T14:22:05``
    copies: tuple[
        tuple[str, str], ...
    ] = ()  # that were sent or taken in: mark and fragment, see `app.copies`

    @property
    def name(self) -> str:
        return self.case.player.label or NAMELESS

    @property
    def called(self) -> str:
        """His name, with his number where another had it before him."""
        return self.name if self.number == 1 else f"{self.name} ({self.number})"


@dataclass(frozen=True, slots=True)
class Removed:
    """A player who was removed, and when, as ``2031-05-03T14:22:05``."""

    entry: Entry
    on: str


@dataclass(frozen=True, slots=True)
class Template:
    """A bag that was kept to start others from."""

    name: str
    bag: tuple[Club, ...]


@dataclass(frozen=True, slots=True)
class Store:
    """All that is kept on the device."""

    players: tuple[Entry, ...]
    open: str
    units: str = "metric"
    theme: str = "auto"
    contrast: str = "normal"
    size: str = "normal"
    columns: Mapping[str, Mapping[str, Any]] = field(
        default_factory=dict
    )  # `app.choices.Choices` by layout of a file
    templates: tuple[Template, ...] = ()
    asked: tuple[
        tuple[str, str], ...
    ] = ()  # a player who came by link or file, and the one here: which to go on with, or what to do with a copy
    removed: tuple[Removed, ...] = ()  # oldest first
    at_hand: AtHand = field(default_factory=AtHand)
    hitting: tuple[str, str] = ("", "")  # a player, and the club chosen last to hit with
    early: Mapping[str, tuple[int, str]] = field(
        default_factory=dict
    )  # by page: how much that was typed in it before the dashboard was there is in here, and of which player

    @property
    def entry(self) -> Entry:
        return next((e for e in self.players if e.id == self.open), self.players[0])

    @property
    def club(self) -> str:
        """The club that whoever is open chose last, if anything is known of it."""
        player, club = self.hitting
        return club if player == self.entry.id else ""


def told_apart(names: Mapping[str, str]) -> dict[str, str]:
    """Names by id, numbered in this order where they are the same."""
    out: dict[str, str] = {}
    taken: set[str] = set()
    for id_, name in names.items():
        made, number = name, 1
        while made in taken:
            made = f"{name} ({(number := number + 1)})"
        taken.add(made)
        out[id_] = made
    return out


def numbered(
    before: tuple[Entry, ...], after: tuple[Entry, ...], removed: tuple[Removed, ...]
) -> tuple[Entry, ...]:
    """Players after an edit, those who are new to a name with a number that no other of it has; whoever kept his name
    keeps his number."""
    had = {e.id: e.name for e in before}
    taken = {one.entry.called for one in removed}
    out = {e.id: e for e in after}
    for entry in sorted(after, key=lambda e: had.get(e.id) != e.name):
        if entry.case.player.label:
            if had.get(entry.id, entry.name) != entry.name:
                entry = replace(entry, number=1)
            while entry.called in taken:
                entry = replace(entry, number=entry.number + 1)
            taken.add(entry.called)
            out[entry.id] = entry
    return tuple(out.values())


def labels(entries: tuple[Entry, ...]) -> dict[str, str]:
    """What each player is called wherever he is named, by id; those without a name by their balls."""
    names = {e.id: e.called for e in entries}
    if list(names.values()).count(NAMELESS) > 1:
        names |= {e.id: _by_balls(e) for e in entries if not e.case.player.label}
    return told_apart(names)


def _by_balls(entry: Entry) -> str:
    balls = sum(counts(entry.case).values())
    day = full_day(last_hit(entry.case))
    return ", ".join(filter(None, (entry.name, many(balls, "ball") if balls else "", day)))


def norm_bag(sex: str | None) -> tuple[Any, ...]:
    from engine.workshop.norms import norm_bag as usual

    return tuple(usual(sex))


def default_layouts(bag: tuple[Any, ...]) -> tuple[Layout, ...]:
    carried = [c for c in bag if c.became is None]
    irons = [c for c in carried if c.family == "iron"] or [c for c in carried if c.family == "wedge"]
    common = round(anchor_of(irons).length_m, 4) if irons else None
    return (Layout("stepped", "stepped"), Layout("single", "single", common_length_m=common))


def new_case() -> Case:
    """A blank player with the usual set and two layouts to compare."""
    bag = norm_bag(None)
    return Case(bag=bag, layouts=default_layouts(bag))


def is_blank(case: Case) -> bool:
    """Whether nobody has typed anything yet."""
    return (
        not case.shots
        and not case.swing_sizes
        and not case.sessions
        and replace(case.player, sex=None, handed="right", id=None) == Case().player
        and case.swing == Case().swing
    )


def is_untouched(case: Case) -> bool:
    """Whether there is nothing in it that somebody typed: a link may take its place."""
    if not is_blank(case):
        return False
    bag = norm_bag(case.player.sex)
    case = replace(
        case, bag=tuple(replace(c, bounce_deg=None) for c in case.bag)
    )  # which usual clubs once had
    return replace(case, player=Case().player, shares=()) == Case(bag=bag, layouts=default_layouts(bag))


def from_saved(
    saved: str | None,
    notices: list[str],
    undo: list[dict[str, Any]] | None = None,
    texts: dict[int, tuple[Entry, str]] | None = None,
) -> Store:
    """The store as it was saved; what cannot be read is mended or begun anew, and said in ``notices``. To ``undo`` come the
    steps back that were saved, as documents for `stepped_back`; to ``texts`` each player as he was saved, by identity.
    """
    fresh = Store(players=(Entry("p1", new_case()),), open="p1")
    if not saved:
        return fresh
    try:
        doc, each = _parts(saved)
        if not isinstance(doc, dict):
            raise ValueError
    except (ValueError, RecursionError):
        notices.append("What was saved on this device could not be read, so a new player was started.")
        return fresh
    if newer(doc):
        notices.append(
            "The data stored here were saved by a newer version of Fettle. This version shows what it can; "
            "reload to get the newest version before you change anything."
        )
    if doc.get("format") == "fettle-case":
        doc = {"players": [{"id": "p1", "case": doc}], "open": "p1"}
    entries = entries_of(doc, notices)
    if not entries:
        return fresh
    if texts is not None and len(each) == len(entries):  # none was left out
        texts |= {id(entry): (entry, text) for entry, text in zip(entries, each, strict=True)}
    look: Any = doc.get("look")
    look = look if isinstance(look, dict) else {}
    ids = [e.id for e in entries]
    waiting = doc.get("waiting")
    asked = [doc.get("asked"), *(waiting if isinstance(waiting, list) else ())]
    removed = _removed(doc.get("removed"))
    if undo is not None and isinstance(steps := doc.get("undo"), list):
        undo += [step for step in steps if isinstance(step, dict) and isinstance(step.get("what"), str)]
    return Store(
        players=numbered(tuple(entries), tuple(entries), removed),
        open=next((i for i in ids if i == doc.get("open")), ids[0]),
        units=_one_of(doc.get("units"), ("metric", "imperial")),
        theme=_one_of(look.get("theme"), ("auto", "light", "dark")),
        contrast=_one_of(look.get("contrast"), ("normal", "high")),
        size=_one_of(look.get("size"), ("normal", "large")),
        templates=templates_of(doc),
        removed=removed,
        asked=tuple(
            (pair[0], pair[1])
            for pair in asked
            if isinstance(pair, list) and len(pair) == 2 and all(i in ids for i in pair)
        ),
        columns=_columns(doc.get("columns")),
        at_hand=AtHand.from_doc(doc.get("at_hand")),
        hitting=_hitting(doc.get("hitting")),
        early=_early(doc.get("early")),
    )


def _hitting(doc: object) -> tuple[str, str]:
    two = isinstance(doc, list) and len(doc) == 2 and all(isinstance(one, str) for one in doc)
    return (doc[0], doc[1]) if two else ("", "")  # type: ignore[index]


def _parts(saved: str) -> tuple[Any, list[str]]:
    """A store's document, and the text of each of its players, so that nobody need be written anew who was not changed; no
    texts where the store is not laid out as `app.state.State` does it.
    """
    mark, decode = '"players":[', json.JSONDecoder().raw_decode
    items, texts = [], []
    try:
        begin = at = saved.index(mark) + len(mark)
        while saved[at] != "]":
            item, end = decode(saved, at)
            items.append(item)
            texts.append(saved[at:end])
            at = end + (saved[end] == ",")
        doc = json.loads(saved[:begin] + saved[at:])
        if doc["players"] == []:
            return doc | {"players": items}, texts
    except (ValueError, IndexError, KeyError, TypeError):
        pass
    return json.loads(saved), []


def _columns(doc: object) -> dict[str, dict[str, Any]]:
    """What was chosen for the columns of files, by their layout; whatever is not sound is left out."""
    items = list(doc.items()) if isinstance(doc, dict) else []
    return {
        key: Choices.from_doc(value).to_doc()
        for key, value in items[-MOST_LAYOUTS:]
        if re.fullmatch(r"[0-9a-f]{16}", key) and isinstance(value, dict)
    }


def _removed(items: object) -> tuple[Removed, ...]:
    found: list[Removed] = []
    for item in items[-MOST_REMOVED:] if isinstance(items, list) else ():
        on = item.get("removed") if isinstance(item, dict) else None
        if isinstance(on, str):
            found += [Removed(entry, on) for entry in entries_of({"players": [item]}, [])]
    return lasting(tuple(found))


def lasting(removed: tuple[Removed, ...]) -> tuple[Removed, ...]:
    """Those of the removed players who are still kept."""
    return tuple(one for one in removed if _lasts(one.on))[-MOST_REMOVED:]


def _lasts(on: str) -> bool:
    try:
        return abs(datetime.fromisoformat(now()) - datetime.fromisoformat(on)) <= timedelta(days=KEPT_DAYS)
    except (ValueError, TypeError):
        return False


def _early(doc: object) -> dict[str, tuple[int, str]]:
    items = list(doc.items()) if isinstance(doc, dict) else []
    return {
        key: (value[0], value[1])
        for key, value in items[-MOST_EARLY:]
        if isinstance(value, list) and len(value) == 2 and type(value[0]) is int and isinstance(value[1], str)
    }


def templates_of(doc: dict[str, Any]) -> tuple[Template, ...]:
    """The bags kept to start from in a store document; older ones have none, and what is unsound is left out."""
    found: dict[str, Template] = {}
    items = doc.get("bags")
    for item in items[:MOST_TEMPLATES] if isinstance(items, list) else ():
        name = item.get("name") if isinstance(item, dict) else None
        if not isinstance(name, str) or not name.strip():
            continue
        name = name.strip()[:MOST_NAME].encode("utf-8", "replace").decode()
        bag = restore({"format": "fettle-case", "version": CASE_VERSION, "bag": item.get("bag")}).case.bag
        if bag:
            found.setdefault(name, Template(name, bag))
    return tuple(found.values())


def template_docs(templates: tuple[Template, ...]) -> list[dict[str, Any]]:
    return [{"name": t.name, "bag": Case(bag=t.bag).to_doc()["bag"]} for t in templates]


def newer(doc: dict[str, Any]) -> bool:
    """Whether a document of ours says that a later version than this one made it."""
    newest = {STORE_FORMAT: VERSION, CASE_FORMAT: CASE_VERSION}.get(str(doc.get("format")))
    version = doc.get("version")
    return newest is not None and isinstance(version, int) and version > newest


def _one_of(value: object, options: tuple[str, ...]) -> str:
    return value if isinstance(value, str) and value in options else options[0]


def open_without(store: Store, player_id: str, after: tuple[Entry, ...]) -> str:
    """Who is open once a player has been put away, which leaves the list ``after``: if it was the open one, the next who
    is not archived, else the one before; in place of one who was removed nobody of his name, unless there is no other.
    """
    if player_id != store.open:
        return store.open
    order = [e.id for e in store.players]
    place = order.index(player_id)
    near = (*order[place + 1 :], *reversed(order[:place]))
    there = {e.id for e in after if not e.archived}
    left = {e.id for e in after}
    names = {e.id: e.case.player.label for e in store.players if player_id not in left}
    found = sorted(
        (i for i in near if i in there), key=lambda i: bool(names.get(i)) and names[i] == names[player_id]
    )
    return next(iter(found), player_id if player_id in left else after[0].id)


def free_player_id(players: tuple[Entry, ...]) -> str:
    """An id that no player has or had, on this device or in another tab: an old address must not open somebody else."""
    taken = {e.id for e in players}
    while (made := f"p{os.urandom(5).hex()}") in taken:
        pass
    return made


def entries_of(doc: dict[str, Any], notices: list[str]) -> list[Entry]:
    """The players of a store document; what is unsound is mended or left out, and said."""
    entries: list[Entry] = []
    players = doc.get("players")
    for item in players[:MOST_PLAYERS] if isinstance(players, list) else ():
        if not isinstance(item, dict):
            continue
        restored = restore(item.get("case"))
        notices.extend(restored.notes[:3])
        trial = item.get("trial")
        trial_case = complete(restore(trial).case) if isinstance(trial, dict) else None
        wanted = item.get("id")
        taken = {e.id for e in entries}
        id_ = (
            wanted
            if isinstance(wanted, str) and 0 < len(wanted) < 25 and wanted not in taken
            else free_player_id(tuple(entries))
        )
        changed, number = item.get("changed"), item.get("number")
        entries.append(
            Entry(
                id_,
                complete(restored.case),
                trial_case,
                archived=bool(item.get("archived")),
                guest=item.get("guest") is True,
                number=number if type(number) is int and 1 < number < 1000 else 1,
                changed=changed if isinstance(changed, str) and re.fullmatch(SECOND, changed) else "",
                copies=_pairs(item.get("copies"))[-MOST_COPIES:],
            )
        )
    return entries


def stepped_back(after: Store, step: dict[str, Any]) -> Store | None:
    """The store before a step that was saved, from the store after it; nothing where the step is not sound."""
    had = {e.id: e for e in (*after.players, *entries_of(step, []))}
    ids, asked = step.get("ids"), step.get("asked")
    order = ids if isinstance(ids, list) else [e.id for e in after.players]
    players = tuple(had[i] for i in order if isinstance(i, str) and i in had)
    if not players:
        return None
    there = [e.id for e in players]
    again = [Removed(had[i], day) for i, day in _pairs(step.get("removed")) if i in had]
    pairs = [
        tuple(p) for p in (asked if isinstance(asked, list) else after.asked) if isinstance(p, list | tuple)
    ]
    return replace(
        after,
        players=players,
        open=next((i for i in there if i == step.get("open")), there[0]),
        removed=lasting((*(one for one in after.removed if one.entry.id not in there), *again)),
        asked=tuple((p[0], p[1]) for p in pairs if len(p) == 2 and all(i in there for i in p)),
    )


def _pairs(items: object) -> tuple[tuple[str, str], ...]:
    return tuple(
        (item[0], item[1])
        for item in (items if isinstance(items, list) else ())
        if isinstance(item, list) and len(item) == 2 and all(isinstance(text, str) for text in item)
    )


def entry_doc(entry: Entry) -> dict[str, Any]:
    """A player as the store's document has him."""
    return {
        "id": entry.id,
        "archived": entry.archived,
        "case": entry.case.to_doc(),
        "trial": None if entry.trial is None else entry.trial.to_doc(),
        **({"guest": True} if entry.guest else {}),
        **({"number": entry.number} if entry.number > 1 else {}),
        **({"changed": entry.changed} if entry.changed else {}),
        **({"copies": [list(one) for one in entry.copies]} if entry.copies else {}),
    }
