"""Reading a case document: strictly, for scripts, or leniently, for storage, links and files.

``read_case`` stops at the first fault and names the field. ``restore`` keeps what is sound, drops or clamps what is not,
says so, and never raises. Both apply the same table of fields (`engine.documents.fields`), so they cannot disagree about
what is allowed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from .case import (
    FIGURES,
    FORMAT,
    VERSION,
    BallSpin,
    Case,
    CaseError,
    Club,
    Conditions,
    Faced,
    Job,
    JobClub,
    Layout,
    LayoutClub,
    LeftAsIs,
    Measured,
    Path,
    Player,
    Session,
    Shot,
    Swing,
    SwingSize,
    WantedCarry,
    Wants,
)
from .fields import (
    AS_IS,
    BALL,
    CLUB,
    CONDITIONS,
    FACED,
    JOB,
    JOB_CLUB,
    KEYS,
    LAYOUT,
    LAYOUT_CLUB,
    MARKS,
    MEASURED,
    MOST,
    MOST_SIZES,
    NESTED,
    PLAYER,
    SESSION,
    SHOT,
    SWING,
    SWING_SIZE,
    WANTED_CARRY,
    WANTS,
    Rule,
    former_named,
    marked_wrong,
    size_too_many,
)

DEEPEST = 32


def _dotted(path: Path) -> str:
    """A path as faults name it: ``shots[3].carry_m``."""
    words = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return words.lstrip(".") or "document"


def _whole(value: Any, depth: int = 0) -> None:
    """Raise `ValueError` or `TypeError` unless this can be written as JSON in UTF-8 and read back anywhere."""
    if depth > DEEPEST:
        raise ValueError
    if isinstance(value, dict):
        for key, item in value.items():
            key.encode()
            _whole(item, depth + 1)
    elif isinstance(value, list):
        for item in value:
            _whole(item, depth + 1)
    elif isinstance(value, str):
        value.encode()
    elif isinstance(value, float) and not math.isfinite(value):
        raise ValueError
    elif value is not None and not isinstance(value, bool | int | float):
        raise TypeError


class Strict:
    """Reads a document and stops at the first fault."""

    def __init__(self) -> None:
        self.extra: dict[Path, dict[str, Any]] = {}

    def fault(self, field: str, problem: str) -> None:
        raise CaseError(field, problem)

    def mended(self, rule: Rule, field: str, value: Any) -> Any:
        self.fault(field, rule.problem())

    def case(self, doc: object) -> Case:
        if not isinstance(doc, dict):
            self.fault("document", "must be a JSON object")
            doc = {}
        self._heading(doc)
        self._unknown((), doc, KEYS)
        bag = self._items(doc, "bag", CLUB, _club)
        sizes = self._sizes(doc, bag)
        sessions = self._items(doc, "sessions", SESSION, self._session)
        balls = {
            "shots": self._shots(doc, "shots", bag, {size.id for size in sizes}),
            "retest": self._shots(doc, "retest", bag, set()),
        }
        shots, retest = self._marked(balls, {session.id for session in sessions}).values()
        layouts = self._items(doc, "layouts", LAYOUT, self._layout)
        case = Case(
            player=Player(**self._part(doc, "player", PLAYER)),
            swing=Swing(**self._part(doc, "swing", SWING)),
            bag=bag,
            shots=shots,
            conditions=Conditions(**self._part(doc, "conditions", CONDITIONS)),
            layouts=layouts,
            wants=self._wants(doc),
            retest=retest,
            bench=self._bench(doc, bag),
            swing_sizes=sizes,
            sessions=sessions,
            jobs=self._items(doc, "jobs", JOB, self._job),
            **{name: self._marks(doc.get(name), name) for name in MARKS},
            extra=self.extra,
        )
        return case.hit_as_built()

    def _marks(self, value: Any, name: str) -> tuple[str, ...]:
        try:
            return () if value is None else MARKS[name].check(value)
        except ValueError:
            self.fault(name, MARKS[name].problem())
            return MARKS[name].mend(value)

    def _heading(self, doc: dict[str, Any]) -> None:
        if doc.get("format") != FORMAT:
            self.fault("format", f'must be "{FORMAT}"')
        version = doc.get("version")
        if isinstance(version, bool) or not isinstance(version, int) or version < 1:
            self.fault("version", "must be a whole number from 1")
        elif version > VERSION:
            self.fault(
                "version", f"is {version}, newer than this program reads ({VERSION}); use the newest release"
            )

    def _unknown(self, path: Path, doc: dict[str, Any], known: Any) -> None:
        keys = {key: value for key, value in doc.items() if key not in known}
        if not keys:
            return
        try:
            _whole(keys)
        except (TypeError, ValueError, RecursionError):
            self.fault(_dotted(path), "holds unknown keys that no JSON text can carry")
            return
        self.extra[path] = keys

    def _part(
        self, doc: dict[str, Any], name: str, rules: dict[str, Rule], *, path: str = "", place: Path = ()
    ) -> dict[str, Any]:
        path = path or name
        part = doc.get(name)
        if part is None:
            part = {}
        if not isinstance(part, dict):
            self.fault(path, "must be a JSON object")
            part = {}
        values = self._fields(part, rules, path)
        self._unknown(place or tuple(path.split(".")), part, _known(path, rules))
        return values

    def _fields(self, part: dict[str, Any], rules: dict[str, Rule], path: str) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for name, rule in rules.items():
            value = part.get(name)
            if value is None:
                if rule.required:
                    self.fault(f"{path}.{name}", "is missing: " + rule.problem())
                    raise _Dropped
                values[name] = rule.default
                continue
            try:
                values[name] = rule.check(value)
            except (ValueError, OverflowError):
                values[name] = self.mended(rule, f"{path}.{name}", value)
                if values[name] is None and rule.required:
                    raise _Dropped from None
        return values

    def _items(
        self,
        doc: dict[str, Any],
        name: str,
        rules: dict[str, Rule],
        make: Callable[..., Any],
        *,
        path: str = "",
        place: Path = (),
        refuse: Callable[[Any], tuple[str, str] | None] = lambda _: None,
    ) -> tuple[Any, ...]:
        """The entries of a list that are sound, each made of its fields.

        Entries with an id must differ in it. Unknown keys are kept by that id, else by the number the entry will have,
        which is not the number it came with where others before it were left out.
        """
        path, place = path or name, place or tuple((path or name).split("."))
        items = doc.get(name)
        if items is None:
            return ()
        if not isinstance(items, list):
            self.fault(path, "must be a JSON array")
            return ()
        if len(items) > MOST[name]:
            self.fault(path, f"must have at most {MOST[name]} entries")
        kept: list[Any] = []
        seen: set[Any] = set()
        for number, item in enumerate(items[: MOST[name]]):
            where = f"{path}[{number}]"
            if not isinstance(item, dict):
                self.fault(where, "must be a JSON object")
                continue
            try:
                values = self._fields(item, rules, where)
            except _Dropped:
                continue
            own = values["id"] if "id" in rules and rules["id"].required else len(kept)
            if own in seen:
                self.fault(f"{where}.id", f"stands twice ({own})")
                continue
            deep = make in (self._layout, self._session, self._job)
            nested = {"item": item, "path": where, "way": (*place, own)} if deep else {}
            made = make(**values, **nested)
            if (told := refuse(made)) is not None:
                self.fault(f"{where}.{told[0]}", told[1])
                continue
            kept.append(made)
            seen.add(own)
            self._unknown((*place, own), item, _known(name, rules))
        return tuple(kept)

    def _layout(self, *, item: dict[str, Any], path: str, way: Path, **values: Any) -> Layout:
        clubs = self._items(
            item, "clubs", LAYOUT_CLUB, LayoutClub, path=f"{path}.clubs", place=(*way, "clubs")
        )
        as_is = self._items(item, "as_is", AS_IS, LeftAsIs, path=f"{path}.as_is", place=(*way, "as_is"))
        return Layout(**values, clubs=clubs, as_is=as_is)

    def _job(self, *, item: dict[str, Any], path: str, way: Path, **values: Any) -> Job:
        clubs = self._items(item, "clubs", JOB_CLUB, JobClub, path=f"{path}.clubs", place=(*way, "clubs"))
        return Job(**values, clubs=clubs)

    def _session(self, *, item: dict[str, Any], path: str, way: Path, **values: Any) -> Session:
        if item.get("conditions") is None:
            return Session(**values)
        found = self._part(
            item, "conditions", CONDITIONS, path=f"{path}.conditions", place=(*way, "conditions")
        )
        return Session(**values, conditions=Conditions(**found))

    def _wants(self, doc: dict[str, Any]) -> Wants:
        values = self._part(doc, "wants", WANTS)
        raw = doc.get("wants")
        if not isinstance(raw, dict):
            return Wants(**values)
        for name, rules, make in (("air", CONDITIONS, Conditions), ("ball", BALL, BallSpin)):
            if raw.get(name) is not None:
                values[name] = make(**self._part(raw, name, rules, path=f"wants.{name}"))
        carries = self._items(raw, "carries", WANTED_CARRY, WantedCarry, path="wants.carries")
        built_to = self._items(raw, "built_to", WANTED_CARRY, WantedCarry, path="wants.built_to")
        demand = self._items(raw, "demand", FACED, Faced, path="wants.demand")
        return Wants(**values, carries=carries, built_to=built_to, demand=demand)

    def _bench(self, doc: dict[str, Any], bag: tuple[Club, ...]) -> tuple[Measured, ...]:
        ids = {club.id for club in bag}

        def refuse(one: Measured) -> tuple[str, str] | None:
            return None if one.club in ids else ("club", f"is not in the bag ({one.club})")

        return self._items(doc, "bench", MEASURED, Measured, refuse=refuse)

    def _sizes(self, doc: dict[str, Any], bag: tuple[Club, ...]) -> tuple[SwingSize, ...]:
        sizes = self._items(doc, "swing_sizes", SWING_SIZE, SwingSize)
        while (number := size_too_many(sizes, bag)) is not None:
            self.fault(f"swing_sizes[{number}]", f"is one too many: a club may have {MOST_SIZES}")
            sizes = (*sizes[:number], *sizes[number + 1 :])
        return sizes

    def _shots(
        self, doc: dict[str, Any], name: str, bag: tuple[Club, ...], sizes: set[str]
    ) -> tuple[Shot, ...]:
        family = {club.id: club.family for club in bag}

        def refuse(shot: Shot) -> tuple[str, str] | None:
            if shot.club not in family:
                return "club", f"is not in the bag ({shot.club})"
            if shot.grip_down_m > 0 and family[shot.club] == "putter":
                return "club", "is a putter"
            if shot.swing_size is not None and shot.swing_size not in sizes:
                return "swing_size", f"is none of this player's ({shot.swing_size})"
            return None

        return self._items(doc, name, SHOT, Shot, refuse=refuse)

    def _marked(self, balls: dict[str, tuple[Shot, ...]], sessions: set[str]) -> dict[str, tuple[Shot, ...]]:
        """The balls without a session that there is not, and without an id that another has."""
        for (name, number), (field, problem) in marked_wrong(balls, sessions):
            self.fault(f"{name}[{number}].{field}", problem)
            shots = balls[name]
            without: dict[str, Any] = {field: None}
            shot = replace(shots[number], **without)
            balls[name] = (*shots[:number], shot, *shots[number + 1 :])
        return balls


def as_known(club: Club) -> Club:
    """A club whose figures may be ``None`` with something that stands for them until they are estimated."""
    missing = [name for name in FIGURES if getattr(club, name) is None]
    return club.unknown(*missing) if missing else club


def _club(**values: Any) -> Club:
    return as_known(Club(**values))


def _known(part: str, rules: dict[str, Rule]) -> set[str]:
    return rules.keys() | NESTED.get(part, set())


class _Dropped(Exception):
    """An entry without a field it cannot do without; only the lenient reader gets this far."""


class Lenient(Strict):
    """Reads the same rules, but keeps what is sound and notes what was changed."""

    MOST_NOTES = 40

    def __init__(self) -> None:
        super().__init__()
        self.notes: list[str] = []

    def case(self, doc: object) -> Case:
        case = super().case(doc)
        return replace(case, bag=former_named(case.bag))

    def fault(self, field: str, problem: str) -> None:
        if len(self.notes) < self.MOST_NOTES:
            self.notes.append(f"{field}: {problem}; left out")

    def mended(self, rule: Rule, field: str, value: Any) -> Any:
        better = rule.mend(value)
        said = "not known" if better is None else better
        if len(self.notes) < self.MOST_NOTES:
            self.notes.append(f"{field}: {rule.problem()}; set to {said}")
        return better


@dataclass(frozen=True, slots=True)
class Restored:
    """What `restore` made of a document, and what it had to change, in words."""

    case: Case
    notes: tuple[str, ...] = ()


def read_case(doc: object) -> Case:
    """Check a case document and return it as a `Case`.

    Raises
    ------
    CaseError
        At the first fault, naming the field, as in ``shots[3].carry_m: must be a number from 1 to 400``.

    >>> read_case({"format": "fettle-case", "version": 1, "player": {"height_m": 1.8}}).player.height_m
    1.8
    >>> read_case({"format": "fettle-case", "version": 1, "player": {"height_m": 18}})
    Traceback (most recent call last):
    engine.documents.case.CaseError: player.height_m: must be a number from 1 to 2.4
    """
    return Strict().case(doc)


def restore(doc: object) -> Restored:
    """Make the best `Case` of any object at all: fill, clamp, drop, report; never raises.

    >>> found = restore({"format": "fettle-case", "version": 1, "player": {"height_m": 18, "sex": "male"}})
    >>> found.case.player.height_m, found.case.player.sex
    (2.4, 'male')
    >>> found.notes
    ('player.height_m: must be a number from 1 to 2.4; set to 2.4',)
    """
    reader = Lenient()
    try:
        case = reader.case(doc)
    except Exception as error:  # the promise to callers is absolute; the cause is still told
        return Restored(
            Case(), (f"the document could not be read ({type(error).__name__}); a new case was begun",)
        )
    return Restored(case, tuple(reader.notes))
