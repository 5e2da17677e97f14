"""What the engine has to say, as facts: a kind from a closed list, its quantities in SI, chances, clubs and layouts.

A statement holds no sentence. `KINDS` lists every kind with the quantities, the choices among fixed words (terms), the
clubs and the layouts that it carries; whoever shows it puts it into words in the units shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

from ..statistics import Interval
from .kinds import KINDS
from .spec import Spec

What = Literal[
    "carry",  # [m] of a ball through the air
    "gap",  # [m] between two carries, or of a distance to a carry
    "club_length",  # [m]
    "length_change",  # [m] of a club, or a small distance at the bench
    "grip_down",  # [m]
    "body_length",  # [m], and of a club that is read off a body
    "club_speed",  # [m/s]
    "speed_change",  # [m/s]
    "ball_roll",  # [m/s] on a green
    "putt",  # [m]
    "skid",  # [m]
    "hole",  # [m]
    "green_speed",  # [ft], the rating as it is always stated
    "angle",  # [deg]
    "head_angle",  # [deg], loft, lie or bend of a head
    "whole_angle",  # [deg], of a flight: no finer than a degree
    "mass",  # [kg]
    "spin",  # [rpm]
    "share",  # [-]
    "strokes",  # [-]
    "count",  # [-]
    "mean_count",  # [-], a count on average
    "deviations",  # [-], standard deviations
    "minutes",  # [s]
    "hours",  # [s]
]
WHATS: tuple[str, ...] = get_args(What)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number [SI, degrees, rpm] and what it is, with the ends of its 90 % interval where they are known."""

    what: str
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class ClubName:
    """A club that is spoken of: its id, and its name as the person wrote it."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class LayoutName:
    """A layout that is spoken of: its kind, the one length [m] of a single-length set, and which of several alike.

    bent : of the present set, whether its lofts are bent for what is asked for, so that it is no longer the bag as it is
    """

    id: str
    kind: str
    length_m: float | None = None
    number: int = 1
    bent: bool = False


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing the engine has to say.

    kind : one of `KINDS`, which says what else is there
    terms : choices among the fixed words of the kind, one or a list for each
    quoted : text of the person's own, as it was typed or pasted
    """

    kind: str
    quantities: Mapping[str, Quantity] = field(default_factory=dict)
    chance: float | None = None
    clubs: tuple[ClubName, ...] = ()
    layouts: tuple[LayoutName, ...] = ()
    terms: Mapping[str, str | tuple[str, ...]] = field(default_factory=dict)
    quoted: tuple[str, ...] = ()

    def __hash__(self) -> int:
        return hash((self.kind, self.chance, self.clubs, self.layouts, tuple(self.quantities)))


def state(
    kind: str,
    *,
    chance: float | None = None,
    clubs: Sequence[Any] = (),
    layouts: Sequence[LayoutName] = (),
    quoted: Sequence[str] = (),
    **values: float | Interval | tuple[float, float, float] | str | Sequence[str] | None,
) -> Statement:
    """A statement of a kind, checked against `KINDS`.

    Parameters
    ----------
    clubs : anything with ``id`` and ``name``
    values : quantities, as a number, an interval or (value, low, high), and terms, by the names that the kind gives them;
        ``None`` leaves out one that may be left out

    Raises
    ------
    ValueError
        If the kind is not in the list or does not carry what is given.
    """
    if kind not in KINDS:
        raise ValueError(f"there is no statement of kind {kind!r}")
    spec = KINDS[kind]
    given = {name: value for name, value in values.items() if value is not None}
    _check(kind, spec, given, len(clubs), len(layouts), len(quoted), chance)
    return Statement(
        kind,
        {
            name: _quantity(what.rstrip("?"), given[name])
            for name, what in spec.quantities.items()
            if name in given
        },
        None if chance is None else float(chance),
        tuple(ClubName(c.id, c.name or c.id) for c in clubs),
        tuple(layouts),
        {name: _term(given[name]) for name in spec.terms if name in given},
        tuple(quoted),
    )


def statement_of(doc: Mapping[str, Any]) -> Statement:
    """The statement that a result document holds."""
    return Statement(
        doc["kind"],
        {name: Quantity(**q) for name, q in doc["quantities"].items()},
        doc["chance"],
        tuple(ClubName(**c) for c in doc["clubs"]),
        tuple(LayoutName(**x) for x in doc["layouts"]),
        {name: tuple(t) if isinstance(t, list) else t for name, t in doc["terms"].items()},
        tuple(doc["quoted"]),
    )


def _check(
    kind: str,
    spec: Spec,
    given: Mapping[str, Any],
    clubs: int,
    layouts: int,
    quoted: int,
    chance: float | None,
) -> None:
    unknown = set(given) - set(spec.quantities) - set(spec.terms)
    missing = {n for n, w in spec.quantities.items() if not w.endswith("?")} - set(given)
    missing |= {n for n, options in spec.terms.items() if "" not in options} - set(given)
    if unknown or missing:
        raise ValueError(f"{kind}: not carried {sorted(unknown)}, missing {sorted(missing)}")
    for name, options in spec.terms.items():
        said = given.get(name, ())
        for term in (said,) if isinstance(said, str) else said:
            if term not in options:
                raise ValueError(f"{kind}: {name} cannot be {term!r}")
    if clubs not in spec.clubs or layouts != spec.layouts or quoted != spec.quoted:
        raise ValueError(f"{kind}: {clubs} clubs, {layouts} layouts or {quoted} quotations do not fit")
    if (chance is not None) != spec.chance:
        raise ValueError(f"{kind}: a chance is {'needed' if spec.chance else 'not carried'}")


def _quantity(what: str, value: Any) -> Quantity:
    if isinstance(value, Interval):
        return Quantity(what, float(value.mean), float(value.lo90), float(value.hi90))
    if isinstance(value, tuple):
        return Quantity(what, *(float(x) for x in value))
    return Quantity(what, float(value))


def _term(said: Any) -> str | tuple[str, ...]:
    return said if isinstance(said, str) else tuple(said)
