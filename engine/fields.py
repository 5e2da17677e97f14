"""What each field of a case document may hold, and the two readers that apply it: strict and lenient."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from engine.case import (
    FORMAT,
    VERSION,
    BallSpin,
    Case,
    CaseError,
    Club,
    Conditions,
    Faced,
    Layout,
    LayoutClub,
    Path,
    Player,
    Shot,
    Swing,
    WantedCarry,
    Wants,
)

FAMILIES = ("driver", "fairway", "hybrid", "iron", "wedge", "putter")
KINDS = ("present", "stepped", "single", "single_wedges", "two_lengths", "own")
MATERIALS = ("forged", "cast")
MOST = {"bag": 40, "shots": 5000, "layouts": 8, "clubs": 40, "carries": 40, "demand": 400, "retest": 5000}


@dataclass(frozen=True, slots=True)
class Number:
    low: float
    high: float
    default: float | None = None
    required: bool = False

    def problem(self) -> str:
        return f"must be a number from {self.low:g} to {self.high:g}"

    def check(self, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise ValueError
        number = float(value)
        if not math.isfinite(number) or not self.low <= number <= self.high:
            raise ValueError
        return number

    def mend(self, value: Any) -> float | None:
        """Clamp a finite number that is out of range; anything else is not known."""
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            return self.default
        try:
            number = float(value)
        except OverflowError:
            return self.default
        if not math.isfinite(number):
            return self.default
        return min(max(number, self.low), self.high)


@dataclass(frozen=True, slots=True)
class Choice:
    options: tuple[str, ...]
    default: str | None = None
    required: bool = False

    def problem(self) -> str:
        return "must be one of " + ", ".join(self.options)

    def check(self, value: Any) -> str:
        if not isinstance(value, str) or value not in self.options:
            raise ValueError
        return value

    def mend(self, value: Any) -> str | None:
        return self.default


@dataclass(frozen=True, slots=True)
class Text:
    most: int
    default: str | None = ""
    required: bool = False
    least: int = 0

    def problem(self) -> str:
        return f"must be text of {self.least} to {self.most} characters"

    def check(self, value: Any) -> str:
        if not isinstance(value, str) or not self.least <= len(value) <= self.most:
            raise ValueError
        value.encode()  # half a surrogate pair is no text: a ValueError too
        return value

    def mend(self, value: Any) -> str | None:
        if not isinstance(value, str) or len(value) < self.least:
            return self.default
        return value[: self.most].encode("utf-8", "replace").decode()


@dataclass(frozen=True, slots=True)
class Flag:
    default: bool
    required: bool = False

    def problem(self) -> str:
        return "must be true or false"

    def check(self, value: Any) -> bool:
        if not isinstance(value, bool):
            raise ValueError
        return value

    def mend(self, value: Any) -> bool:
        return self.default


Rule = Number | Choice | Text | Flag

_ID = Text(24, None, required=True, least=1)
PLAYER: dict[str, Rule] = {
    "label": Text(120),
    "sex": Choice(("female", "male")),
    "handed": Choice(("right", "left"), "right"),
    "height_m": Number(1.0, 2.4),
    "wingspan_m": Number(1.0, 2.6),
    "wrist_to_floor_m": Number(0.4, 1.2),
    "hand_length_m": Number(0.1, 0.3),
}
SWING: dict[str, Rule] = {
    "driver_speed_mps": Number(10, 75),
    "iron7_speed_mps": Number(8, 60),
    "attack_deg": Number(-15, 15),
    "iron7_attack_deg": Number(-15, 15),
    "putter_lean_deg": Number(-10, 15),
    "putter_attack_deg": Number(-10, 10),
}
CLUB: dict[str, Rule] = {
    "id": _ID,
    "name": Text(60),
    "family": Choice(FAMILIES, required=True),
    "length_m": Number(0.45, 1.35, required=True),
    "loft_deg": Number(-5, 80, required=True),
    "lie_deg": Number(40, 85, required=True),
    "head_kg": Number(0.1, 0.6, required=True),
    "bounce_deg": Number(-10, 30),
    "head_material": Choice(MATERIALS),
    "bend_limit_deg": Number(0, 10),
    "became": Text(24, None, least=1),
}
SHOT: dict[str, Rule] = {
    "club": _ID,
    "carry_m": Number(1, 400),
    "grip_down_m": Number(0, 0.25, 0.0),
    "ball_speed_mps": Number(2, 110),
    "launch_deg": Number(-10, 80),
    "spin_rpm": Number(0, 20000),
    "club_speed_mps": Number(2, 80),
    "side_m": Number(-200, 200),
    "use": Flag(True),
    "keep": Flag(False),
    "balls": Number(1, 500, 1.0),
    "carry_sd_m": Number(0, 100),
}
CONDITIONS: dict[str, Rule] = {
    "temperature_c": Number(-30, 55, 20.0),
    "altitude_m": Number(-450, 5000, 0.0),
    "humidity": Number(0, 1, 0.5),
    "wind_mps": Number(0, 30, 0.0),
    "wind_from_deg": Number(-360, 360, 0.0),
    "indoors": Flag(False),
    "range_ball": Flag(False),
    "range_ball_factor": Number(0.7, 1.1),
    "range_ball_sd": Number(0, 0.15),
}
LAYOUT: dict[str, Rule] = {
    "id": _ID,
    "kind": Choice(KINDS, required=True),
    "common_length_m": Number(0.75, 1.1),
    "second_length_m": Number(0.75, 1.1),
    "length_step_m": Number(-0.01, 0.03),
}
LAYOUT_CLUB: dict[str, Rule] = {
    "id": _ID,
    "length_m": Number(0.45, 1.35),
    "loft_deg": Number(-5, 80),
    "lie_deg": Number(40, 85),
    "head_kg": Number(0.1, 0.6),
}
WANTS: dict[str, Rule] = {
    "gap_m": Number(2, 40),
    "longest_iron": Text(24, None),
    "layout": Text(24, None),
    "clubs_most": Number(1, 14),
    "green_speed_m": Number(1, 6),
}
WANTED_CARRY: dict[str, Rule] = {"id": _ID, "carry_m": Number(1, 400, required=True)}
FACED: dict[str, Rule] = {"distance_m": Number(1, 400, required=True), "weight": Number(0, 1000, 1.0)}
BALL: dict[str, Rule] = {"driver_spin": Number(0.5, 1.5, 1.0), "wedge_spin": Number(0.5, 1.5, 1.0)}
NESTED = {id(LAYOUT): {"clubs"}, id(WANTS): {"air", "ball", "carries", "demand"}}
"""Keys of a part that hold parts of their own, read apart."""


PARTS = {"format", "version", "player", "swing", "bag", "shots", "conditions", "layouts", "wants", "retest"}


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
        self._unknown((), doc, PARTS)
        bag = self._items(doc, "bag", CLUB, Club)
        shots, retest = (self._shots(doc, name, bag) for name in ("shots", "retest"))
        layouts = self._items(doc, "layouts", LAYOUT, self._layout)
        return Case(
            player=Player(**self._part(doc, "player", PLAYER)),
            swing=Swing(**self._part(doc, "swing", SWING)),
            bag=bag,
            shots=shots,
            conditions=Conditions(**self._part(doc, "conditions", CONDITIONS)),
            layouts=layouts,
            wants=self._wants(doc),
            retest=retest,
            extra=self.extra,
        )

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
        self, doc: dict[str, Any], name: str, rules: dict[str, Rule], *, path: str = ""
    ) -> dict[str, Any]:
        path = path or name
        part = doc.get(name)
        if part is None:
            part = {}
        if not isinstance(part, dict):
            self.fault(path, "must be a JSON object")
            part = {}
        values = self._fields(part, rules, path)
        self._unknown(tuple(path.split(".")), part, _known(rules))
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
            own = values["id"] if "id" in rules else len(kept)
            if own in seen:
                self.fault(f"{where}.id", f"stands twice ({own})")
                continue
            nested = {"item": item, "path": where, "place": (*place, own)} if make == self._layout else {}
            made = make(**values, **nested)
            if (told := refuse(made)) is not None:
                self.fault(f"{where}.{told[0]}", told[1])
                continue
            kept.append(made)
            seen.add(own)
            self._unknown((*place, own), item, _known(rules))
        return tuple(kept)

    def _layout(self, *, item: dict[str, Any], path: str, place: Path, **values: Any) -> Layout:
        clubs = self._items(
            item, "clubs", LAYOUT_CLUB, LayoutClub, path=f"{path}.clubs", place=(*place, "clubs")
        )
        return Layout(**values, clubs=clubs)

    def _wants(self, doc: dict[str, Any]) -> Wants:
        values = self._part(doc, "wants", WANTS)
        raw = doc.get("wants")
        if not isinstance(raw, dict):
            return Wants(**values)
        for name, rules, make in (("air", CONDITIONS, Conditions), ("ball", BALL, BallSpin)):
            if raw.get(name) is not None:
                values[name] = make(**self._part(raw, name, rules, path=f"wants.{name}"))
        carries = self._items(raw, "carries", WANTED_CARRY, WantedCarry, path="wants.carries")
        demand = self._items(raw, "demand", FACED, Faced, path="wants.demand")
        return Wants(**values, carries=carries, demand=demand)

    def _shots(self, doc: dict[str, Any], name: str, bag: tuple[Club, ...]) -> tuple[Shot, ...]:
        family = {club.id: club.family for club in bag}

        def refuse(shot: Shot) -> tuple[str, str] | None:
            if shot.club not in family:
                return "club", f"is not in the bag ({shot.club})"
            if shot.grip_down_m > 0 and family[shot.club] == "putter":
                return "club", "is a putter"
            return None

        return self._items(doc, name, SHOT, Shot, refuse=refuse)


def _known(rules: dict[str, Rule]) -> set[str]:
    return rules.keys() | NESTED.get(id(rules), set())


def _former_named(bag: tuple[Club, ...]) -> tuple[Club, ...]:
    """Clubs that older versions kept for their balls after a build, told by id and name only, with what they became."""
    out = []
    for club in bag:
        old = re.fullmatch(r"(.+)-old(-\d+)?", club.id)
        if old and club.became is None and club.name.endswith("(before)"):
            club = replace(club, became=next((c.id for c in bag if c.id[:18] == old[1]), None))
        out.append(club)
    return tuple(out)


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
        return replace(case, bag=_former_named(case.bag))

    def fault(self, field: str, problem: str) -> None:
        if len(self.notes) < self.MOST_NOTES:
            self.notes.append(f"{field}: {problem}; left out")

    def mended(self, rule: Rule, field: str, value: Any) -> Any:
        better = rule.mend(value)
        said = "not known" if better is None else better
        if len(self.notes) < self.MOST_NOTES:
            self.notes.append(f"{field}: {rule.problem()}; set to {said}")
        return better
