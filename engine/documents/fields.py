"""What each field of a case document may hold."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from .case import BENDS, FIGURES, PARTS, SWING_WEIGHT, Club, Shot, SwingSize

FAMILIES = ("driver", "fairway", "hybrid", "iron", "wedge", "putter")
KINDS = ("present", "stepped", "single", "single_wedges", "two_lengths", "own")
MATERIALS = ("forged", "cast")
LOFTS = ("as_they_stand", "even_gaps")
FITTED = "fitted"
LIES = ("as_they_stand", FITTED)
JOBS = ("ordered", "built", "measured", "note", "lesson")
MATTERS = ("top_carry", "gaps", "posture", "cost", "feel")
"""What can matter to a player, in the order that is taken if he does not say."""
MOST_MATTERS = 4
MOST = {
    "bag": 200,  # with the clubs as they were before each build
    "shots": 5000,
    "layouts": 8,
    "clubs": 40,
    "as_is": 200,
    "carries": 40,
    "built_to": 40,
    "demand": 400,
    "retest": 5000,
    "bench": 40,
    "swing_sizes": 24,
    "sessions": 500,
    "jobs": 500,
}
MOST_SIZES = 3
"""Part swings that a club may have."""


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
class OneOf:
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


@dataclass(frozen=True, slots=True)
class SeveralOf:
    """A list of words, each once, at most so many."""

    options: tuple[str, ...]
    most: int
    default: tuple[str, ...] = ()
    required: bool = False

    def problem(self) -> str:
        return f"must be a list of at most {self.most} of " + ", ".join(self.options)

    def check(self, value: Any) -> tuple[str, ...]:
        if not isinstance(value, (list, tuple)) or len(value) > self.most:
            raise ValueError
        if any(not isinstance(v, str) or v not in self.options for v in value) or len(set(value)) < len(
            value
        ):
            raise ValueError
        return tuple(value)

    def mend(self, value: Any) -> tuple[str, ...]:
        if not isinstance(value, list):
            return self.default
        known = dict.fromkeys(v for v in value if isinstance(v, str) and v in self.options)
        return tuple(known)[: self.most]


@dataclass(frozen=True, slots=True)
class Ids:
    """A list of ids, each once, at most so many."""

    most: int
    default: tuple[str, ...] = ()
    required: bool = False

    def problem(self) -> str:
        return f"must be a list of at most {self.most} ids"

    def check(self, value: Any) -> tuple[str, ...]:
        if not isinstance(value, (list, tuple)) or len(value) > self.most:
            raise ValueError
        ids = tuple(_ID.check(v) for v in value)
        if len(set(ids)) < len(ids):
            raise ValueError
        return ids

    def mend(self, value: Any) -> tuple[str, ...]:
        if not isinstance(value, list):
            return self.default
        return tuple(dict.fromkeys(v for v in value if _sound(v)))[: self.most]


@dataclass(frozen=True, slots=True)
class Tags:
    """A list of short texts, each once, at most so many."""

    most: int
    longest: int
    default: tuple[str, ...] = ()
    required: bool = False

    def problem(self) -> str:
        return f"must be a list of at most {self.most} different texts of 1 to {self.longest} characters"

    def check(self, value: Any) -> tuple[str, ...]:
        if not isinstance(value, (list, tuple)) or len(value) > self.most:
            raise ValueError
        texts = tuple(self._text.check(v) for v in value)
        if len(set(texts)) < len(texts):
            raise ValueError
        return texts

    def mend(self, value: Any) -> tuple[str, ...]:
        if not isinstance(value, list):
            return self.default
        return tuple(dict.fromkeys(t for v in value if (t := self._text.mend(v))))[: self.most]

    @property
    def _text(self) -> Text:
        return Text(self.longest, None, least=1)


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the calendar."""

    default: str | None = None
    required: bool = False

    def problem(self) -> str:
        return "must be a day such as 2031-05-03"

    def check(self, value: Any) -> str:
        if not isinstance(value, str) or not re.fullmatch(DAY, value, re.ASCII):
            raise ValueError
        date.fromisoformat(value)
        return value

    def mend(self, value: Any) -> str | None:
        """The day at the start of a date with a time, else none."""
        try:
            return self.check(value[:10])
        except (TypeError, ValueError):
            return self.default


DAY = r"\d{4}-\d{2}-\d{2}"


def _sound(value: Any) -> bool:
    """Whether a value can be an id."""
    try:
        _ID.check(value)
    except ValueError:
        return False
    return True


Rule = Number | OneOf | SeveralOf | Text | Flag | Ids | Tags | Day

NOTE = 4000  # characters of a note
_ID = Text(24, None, required=True, least=1)
_FIGURES: dict[str, Rule] = {name: Number(*ends) for name, ends in FIGURES.items()}
PLAYER: dict[str, Rule] = {
    "label": Text(120),
    "sex": OneOf(("female", "male")),
    "handed": OneOf(("right", "left"), "right"),
    "height_m": Number(1.0, 2.4),
    "wingspan_m": Number(1.0, 2.6),
    "wrist_to_floor_m": Number(0.4, 1.2),
    "hand_length_m": Number(0.1, 0.3),
    "id": Text(24, None, least=1),
    "note": Text(NOTE),
    "tags": Tags(20, 30),
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
    "family": OneOf(FAMILIES, required=True),
    **_FIGURES,
    "bounce_deg": Number(-10, 30),
    "head_material": OneOf(MATERIALS),
    "bend_limit_deg": Number(0, 10),
    "bent_loft_deg": Number(-40, 40),
    "bent_lie_deg": Number(-40, 40),
    **{name: Number(0, 1000) for name in BENDS},
    "became": Text(24, None, least=1),
    "lie_mark_m": Number(-0.05, 0.05),
    "shaft_kg": Number(0.02, 0.2),
    "shaft_flex": Text(20, None, least=1),
    "tip_trim_m": Number(0, 0.15),
    "butt_trim_m": Number(-0.9, 0.9),
    "grip_kg": Number(0.01, 0.2),
    "sleeve_deg": Number(-4, 4),
    "swing_weight_inoz": Number(100, 400),
    "wished_inoz": Number(100, 400),
    "measured": SeveralOf(tuple(FIGURES), len(FIGURES)),
    "ordered": SeveralOf((*FIGURES, SWING_WEIGHT), len(FIGURES) + 1),
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
    "layout": Text(24, None, least=1),
    "swing_size": Text(24, None, least=1),
    "session": Text(24, None, least=1),
    "id": Text(24, None, least=1),
    "by": Text(60, None, least=1),
}
SESSION: dict[str, Rule] = {
    "id": _ID,
    "date": Day(),
    "place": Text(120),
    "balls": Text(60),
    "layout": Text(24, None, least=1),
    "note": Text(NOTE),
    "by": Text(60, None, least=1),
}
SWING_SIZE: dict[str, Rule] = {"id": _ID, "name": Text(30, None, required=True, least=1), "clubs": Ids(40)}
MEASURED: dict[str, Rule] = {
    "club": _ID,
    "layout": Text(24, None, least=1),
    **_FIGURES,
    "swing_weight_inoz": Number(100, 400),
}
JOB: dict[str, Rule] = {
    "id": _ID,
    "what": OneOf(JOBS, required=True),
    "date": Day(),
    "note": Text(NOTE),
}
JOB_CLUB: dict[str, Rule] = {
    "id": _ID,
    "name": Text(60),
    **_FIGURES,
    "swing_weight_inoz": Number(100, 400),
    "begin_lie": Flag(False),
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
    "noted": Flag(False),
}
LAYOUT: dict[str, Rule] = {
    "id": _ID,
    "kind": OneOf(KINDS, required=True),
    "common_length_m": Number(0.75, 1.1),
    "second_length_m": Number(0.75, 1.1),
    "length_step_m": Number(-0.01, 0.03),
    "built_as": OneOf(KINDS),
}
WHYS = ("least", "nearer", "weighed", "calculated")
"""Why a figure that came out other than ordered is left so: too little to bend, nearer to what is wanted than the order, a
scale that disagrees with the weighed head, or a swing weight that was only calculated."""
AS_IS: dict[str, Rule] = {
    "club": _ID,
    "figure": OneOf((*FIGURES, SWING_WEIGHT), required=True),
    "ordered": Number(-5, 400, required=True),
    "why": OneOf(WHYS, required=True),
}
LAYOUT_CLUB: dict[str, Rule] = {"id": _ID, **_FIGURES, "begin_lie": Flag(False)}
WANTS: dict[str, Rule] = {
    "gap_m": Number(2, 40),
    "longest_iron": Text(24, None),
    "layout": Text(24, None),
    "clubs_most": Number(1, 14),
    "green_speed_m": Number(1, 6),
    "lofts": OneOf(LOFTS),
    "lies": OneOf(LIES),
    "matters": SeveralOf(MATTERS, MOST_MATTERS),
    "least_bend_deg": Number(0.1, 3),
    "length_step_m": Number(0.0005, 0.0127),
    "change_worth_m": Number(0, 5),
    "part_gap_m": Number(2, 40),
    "air_on": Text(10, None),
    "cold_ball": Flag(False),
    "wet_face": Flag(False),
    "half_life_days": Number(7, 3650),
}
WANTED_CARRY: dict[str, Rule] = {"id": _ID, "carry_m": Number(1, 400, required=True)}
FACED: dict[str, Rule] = {"distance_m": Number(1, 400, required=True), "weight": Number(0, 1000, 1.0)}
BALL: dict[str, Rule] = {"driver_spin": Number(0.5, 1.5, 1.0), "wedge_spin": Number(0.5, 1.5, 1.0)}
MARKS: dict[str, Ids] = {"removed": Ids(5000), "shares": Ids(12)}
"""Lists of ids that stand by themselves."""
NESTED = {
    "layouts": {"clubs", "as_is"},
    "jobs": {"clubs"},
    "sessions": {"conditions"},
    "wants": {"air", "ball", "built_to", "carries", "demand"},
}
"""Keys of a part that hold parts of their own, read apart."""

KEYS = {"format", "version", *PARTS}


def size_too_many(sizes: Sequence[SwingSize], bag: Sequence[Club]) -> int | None:
    """The number of the first part swing that is one too many for a club; one without clubs is for every wedge."""
    wedges = {club.id for club in bag if club.family == "wedge"} | {""}  # also where there is none yet
    had: Counter[str] = Counter()
    for number, size in enumerate(sizes):
        clubs = size.clubs or wedges
        if any(had[club] >= MOST_SIZES for club in clubs):
            return number
        had.update(clubs)
    return None


def marked_wrong(
    balls: Mapping[str, Sequence[Shot]], sessions: Container[str]
) -> Iterator[tuple[tuple[str, int], tuple[str, str]]]:
    """Balls of a session that there is not, and ids that two balls have: list and number, then the field and its problem."""
    seen: set[str] = set()
    for name, shots in balls.items():
        for number, shot in enumerate(shots):
            if shot.session is not None and shot.session not in sessions:
                yield (name, number), ("session", f"is none of this player's ({shot.session})")
            if shot.id is not None and shot.id in seen:
                yield (name, number), ("id", f"stands twice ({shot.id})")
            seen.add(shot.id or "")


def former_named(bag: tuple[Club, ...]) -> tuple[Club, ...]:
    """Clubs that older versions kept for their balls after a build, told by id and name only, with what they became."""
    out = []
    for club in bag:
        old = re.fullmatch(r"(.+)-old(-\d+)?", club.id)
        if old and club.became is None and club.name.endswith("(before)"):
            club = replace(club, became=next((c.id for c in bag if c.id[:18] == old[1]), None))
        out.append(club)
    return tuple(out)
