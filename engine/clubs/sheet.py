"""The build sheet: what turns the clubs there are into the clubs that are wanted, club by club, in words.

Minutes a step takes are common practice, no source. A step that a head or shaft does not bear is named with what it can
come to instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engine.case import Club
from engine.clubs.balance import Balance, parts_of, usual_parts, weigh
from engine.clubs.bend import bend
from engine.clubs.cautions import Caution, cautions
from engine.clubs.trim import change_length
from engine.units import GRAM

SMALLEST_MASS_KG = 1 * GRAM
MOST_ADDED_KG = 12 * GRAM
"""More than this in or on an iron's head wants another head; common practice, no source."""
MOST_REMOVED_KG = 3 * GRAM
"""More than this ground off a head spoils its sole and balance; common practice, no source."""

MINUTES = {"weight": 10, "grind": 20, "length": 15, "bend": 5, "grip": 10, "new": 40}
CURE_HOURS = 24


@dataclass(frozen=True, slots=True)
class ClubWork:
    """Work on one club. Swing weights as labels, moments about the butt [kg m2], time [min].

    present : whether there is a head to start from; problems : what cannot be done, and the nearest that can
    work : ids of the cautions that go with it (`engine.clubs.cautions`)
    """

    id: str
    name: str
    present: bool
    feasible: bool
    actions: tuple[str, ...]
    problems: tuple[str, ...]
    swing_weight_before: str | None
    swing_weight_after: str
    inertia_after_kgm2: float
    bounce_after_deg: float | None
    minutes: int
    work: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """All clubs, the parts to have at hand, the cautions that go with the work, and the time [min]."""

    clubs: tuple[ClubWork, ...]
    parts: tuple[str, ...]
    cautions: tuple[Caution, ...]
    minutes: int
    cure_hours: int
    feasible: bool


def build_sheet(
    present: Sequence[Club],
    wanted: Sequence[Club],
    *,
    shaft_kg: float | None = None,
    grip_kg: float | None = None,
    shaft_balance: float = 0.5,
) -> BuildSheet:
    """Work that turns present clubs into wanted ones, paired by id.

    Parameters
    ----------
    present, wanted : clubs; one that is only in ``wanted`` is built new, one only in ``present`` is left out
    shaft_kg, grip_kg : weighed masses [kg]; ``None`` takes those usual for the family
    shaft_balance : centre of mass of the shaft as a share of its length from the butt [-]

    Raises
    ------
    ValueError
        If ``wanted`` names a club twice.
    """
    if len({c.id for c in wanted}) != len(wanted):
        raise ValueError("`wanted` names a club twice")
    have = {c.id: c for c in present}
    parts: list[str] = []
    clubs = [_work(have.get(c.id), c, (shaft_kg, grip_kg, shaft_balance), parts) for c in wanted]
    ids = {id_ for club in clubs for id_ in club.work}
    glue = "epoxy" in ids
    if glue:
        parts.append("epoxy for the joints, with its safety sheet")
    if ids:
        ids |= {"builder", "rules"}
    return BuildSheet(
        tuple(clubs),
        tuple(parts),
        cautions(*ids),
        sum(c.minutes for c in clubs),
        CURE_HOURS if glue else 0,
        all(c.feasible for c in clubs),
    )


def _work(
    have: Club | None,
    want: Club,
    masses: tuple[float | None, float | None, float],
    parts: list[str],
) -> ClubWork:
    kinds: set[str] = set()
    after = _balance(want, *masses)
    name = want.name or want.id
    if have is None:
        kinds.add("new")
        parts.append(f"{name}: head {want.loft_deg:g} deg, {want.head_kg / GRAM:.0f} g; shaft; grip")
        actions: tuple[str, ...] = ("build new",)
        return ClubWork(
            want.id, name, False, True, actions, (), None, after.swing_weight, after.inertia_kgm2,
            want.bounce_deg, MINUTES["new"], _cautions_of(kinds),
        )  # fmt: skip
    todo: list[str] = []
    problems: list[str] = []
    minutes = 0
    grams = (want.head_kg - have.head_kg) / GRAM
    if grams * GRAM >= SMALLEST_MASS_KG:
        todo.append(f"add {grams:.0f} g")
        parts.append(f"{name}: head weight {grams:.0f} g")
        kinds.add("weight")
        minutes += MINUTES["weight"]
        if grams * GRAM > MOST_ADDED_KG + 1e-9:
            problems.append(f"{grams:.0f} g is more than a head takes (about 12 g); look for a heavier head")
    elif -grams * GRAM >= SMALLEST_MASS_KG:
        todo.append(f"take {-grams:.0f} g off")
        kinds.add("grind")
        minutes += MINUTES["grind"]
        if -grams * GRAM > MOST_REMOVED_KG + 1e-9:
            problems.append(
                f"{-grams:.0f} g is more than can be ground off (about 3 g); look for a lighter head"
            )
    length = change_length(from_m=have.length_m, to_m=want.length_m)
    if length.words:
        todo.extend(length.words)
        parts.append(
            f"{name}: grip" + (", butt extension" if length.longer_m > 0 and length.feasible else "")
        )
        kinds.add("cut" if length.longer_m < 0 else "extend" if length.feasible else "new")
        minutes += MINUTES["length"] + MINUTES["grip"] if length.feasible else MINUTES["new"]
        if not length.feasible:
            parts[-1] = f"{name}: shaft, grip"
    bent = bend(have, loft_deg=want.loft_deg, lie_deg=want.lie_deg)
    if bent.words:
        todo.extend(bent.words)
        kinds.add("bend")
        minutes += MINUTES["bend"] * len(bent.words)
    if not bent.feasible:
        problems.append(
            _bend_problem(have, want, bent.limit_deg, bent.nearest_loft_deg, bent.nearest_lie_deg)
        )
    return ClubWork(
        want.id,
        name,
        True,
        not problems,
        tuple(todo) or ("leave as it is",),
        tuple(problems),
        _balance(have, *masses).swing_weight,
        after.swing_weight,
        after.inertia_kgm2,
        bent.bounce_deg,
        minutes,
        _cautions_of(kinds),
    )


def _cautions_of(kinds: set[str]) -> tuple[str, ...]:
    """Ids of the cautions that go with kinds of work."""
    ids = kinds & {"bend", "cut", "grind", "extend", "weight"}
    if kinds & {"weight", "extend", "new"}:
        ids |= {"epoxy"}
    if kinds & {"weight", "new"}:
        ids |= {"heat"}
    if "new" in kinds:
        ids |= {"cut"}
    return tuple(sorted(ids))


def _balance(club: Club, shaft_kg: float | None, grip_kg: float | None, shaft_balance: float) -> Balance:
    usual = usual_parts(club, shaft_kg=shaft_kg, grip_kg=grip_kg)
    return weigh(
        parts_of(
            length_m=club.length_m,
            head_kg=club.head_kg,
            shaft_kg=usual.shaft,
            grip_kg=usual.grip,
            shaft_balance=shaft_balance,
        )
    )


def _bend_problem(have: Club, want: Club, limit: float, loft: float, lie: float) -> str:
    if limit == 0:
        return (
            f"this head does not bend; look for one of {want.loft_deg:g} deg loft, {want.lie_deg:g} deg lie"
        )
    sides = []
    if not np.isclose(loft, want.loft_deg):
        sides.append(f"loft to {loft:g} deg of {want.loft_deg:g}")
    if not np.isclose(lie, want.lie_deg):
        sides.append(f"lie to {lie:g} deg of {want.lie_deg:g}")
    material = f"{have.head_material} " if have.head_material else ""
    return f"this {material}head bends {limit:g} deg: {', '.join(sides)}; for the rest look for another head"
