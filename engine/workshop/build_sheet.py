"""The build sheet: what turns the clubs there are into the clubs that are wanted, club by club.

Minutes a step takes are common practice, no source. A step that a head or shaft does not bear is taken as far as it goes,
and what is left is named beside the nearest club that can be made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ..documents.case import Club
from ..statements import Statement, state
from .balance import Balance, Parts, parts_of, usual_parts, weigh
from .bending import Bend, bend
from .cautions import Caution, cautions
from .flex import Flex, flex_for
from .limits import LONGEST_EXTENSION_M, MOST_ADDED_KG, MOST_REMOVED_KG, SMALLEST_MASS_KG
from .rules import RulesCheck, check_bag
from .trim import LengthChange, butt_kg_per_m, change_length, with_length

MINUTES = {"weight": 10, "grind": 20, "length": 15, "bend": 5, "grip": 10, "new": 40}
CURE_HOURS = 24


@dataclass(frozen=True, slots=True)
class ClubWork:
    """Work on one club. Swing weights as labels, moments about the butt [kg m2], masses [kg], time [min].

    present : whether there is a head to start from
    actions : what to do, as far as head and shaft bear it
    problems : what cannot be done, and the nearest that can
    nearest : the club that the actions make; the wanted one where feasible
    ..._after : of the wanted club, its shaft cut or extended; ``..._before`` are ``None`` for a club built new
    stiffer_cpm : change of the clamped frequency by cutting or extending [cycles/min]
    flex : by the player's driver speed, if known
    against_rules : what the limits of the rules say against the wanted club
    work : ids of the cautions that go with it (`engine.workshop.cautions`)
    """

    id: str
    name: str
    present: bool
    feasible: bool
    actions: tuple[Statement, ...]
    problems: tuple[Statement, ...]
    nearest: Club
    swing_weight_before: str | None
    swing_weight_after: str
    inertia_before_kgm2: float | None
    inertia_after_kgm2: float
    total_before_kg: float | None
    total_after_kg: float
    balance_before_m: float | None
    balance_after_m: float
    shaft_before_kg: float | None
    shaft_after_kg: float
    stiffer_cpm: float
    flex: Flex | None
    bounce_after_deg: float | None
    against_rules: tuple[Statement, ...]
    minutes: int
    work: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """All clubs, the parts to have at hand, the cautions that go with the work, the time [min], and the rules."""

    clubs: tuple[ClubWork, ...]
    parts: tuple[Statement, ...]
    cautions: tuple[Caution, ...]
    minutes: int
    cure_hours: int
    feasible: bool
    rules: RulesCheck


@dataclass(frozen=True, slots=True)
class _Bench:
    """What is the same for every club: weighed masses [kg] or ``None``, balance of the shaft [-], driver speed [m/s]."""

    shaft_kg: float | None
    grip_kg: float | None
    shaft_balance: float
    driver_speed_mps: float | None

    def parts(self, club: Club) -> Parts:
        usual = usual_parts(club, shaft_kg=self.shaft_kg, grip_kg=self.grip_kg)
        return parts_of(
            length_m=club.length_m,
            head_kg=club.head_kg,
            shaft_kg=usual.shaft,
            grip_kg=usual.grip,
            shaft_balance=self.shaft_balance,
        )

    def flex(self, club: Club) -> Flex | None:
        if self.driver_speed_mps is None or club.family == "putter":
            return None
        return flex_for(self.driver_speed_mps)


def build_sheet(
    present: Sequence[Club],
    wanted: Sequence[Club],
    *,
    shaft_kg: float | None = None,
    grip_kg: float | None = None,
    shaft_balance: float = 0.5,
    driver_speed_mps: float | None = None,
    also: Sequence[Club] = (),
    local_length_rule: bool = False,
) -> BuildSheet:
    """Work that turns present clubs into wanted ones, paired by id.

    Parameters
    ----------
    present, wanted : clubs; one that is only in ``wanted`` is built new, one only in ``present`` is left out
    shaft_kg, grip_kg : weighed masses of the present clubs [kg]; ``None`` takes those usual for the family
    shaft_balance : centre of mass of the shaft as a share of its length from the butt [-]
    driver_speed_mps : club speed with the driver [m/s], for the flex
    also : clubs carried as they are, such as the putter: for the rules only
    local_length_rule : whether the committee has put 46 in in force

    Raises
    ------
    ValueError
        If ``wanted`` names a club twice.
    """
    if len({c.id for c in wanted}) != len(wanted):
        raise ValueError("`wanted` names a club twice")
    have = {c.id: c for c in present}
    bench = _Bench(shaft_kg, grip_kg, shaft_balance, driver_speed_mps)
    extra = [c for c in also if c.id not in {w.id for w in wanted}]
    rules = check_bag((*wanted, *extra), local_length_rule=local_length_rule)
    parts: list[Statement] = []
    clubs = []
    for club in wanted:
        against = tuple(f.statement for f in rules.faults if f.club == club.id)
        before = have.get(club.id)
        clubs.append(
            _new(club, bench, against, parts)
            if before is None
            else _work(before, club, bench, against, parts)
        )
    ids = {id_ for club in clubs for id_ in club.work}
    glue = "epoxy" in ids
    if glue:
        parts.append(state("parts.epoxy"))
    if ids:
        ids |= {"builder", "rules"}
    return BuildSheet(
        tuple(clubs),
        tuple(parts),
        cautions(*ids),
        sum(c.minutes for c in clubs),
        CURE_HOURS if glue else 0,
        all(c.feasible for c in clubs),
        rules,
    )


def _new(want: Club, bench: _Bench, against: tuple[Statement, ...], parts: list[Statement]) -> ClubWork:
    parts.append(state("parts.new_club", clubs=[want], loft=want.loft_deg, mass=want.head_kg))
    return _row(
        want,
        (state("work.build_new"),),
        (),
        want,
        None,
        bench.parts(want),
        0.0,
        bench,
        want.bounce_deg,
        against,
        MINUTES["new"],
        {"new"},
    )


def _work(
    have: Club, want: Club, bench: _Bench, against: tuple[Statement, ...], parts: list[Statement]
) -> ClubWork:
    todo: list[Statement] = []
    problems: list[Statement] = []
    needs: list[str] = []
    other: dict[str, Any] = {}
    weight: float | None = None
    kinds: set[str] = set()
    minutes = 0
    change = want.head_kg - have.head_kg
    can = float(np.clip(change, -MOST_REMOVED_KG, MOST_ADDED_KG))
    head = want.head_kg
    if abs(change) >= SMALLEST_MASS_KG - 1e-9:
        kind = "weight" if change > 0 else "grind"
        kinds.add(kind)
        minutes += MINUTES[kind]
        todo.append(state("work.add_mass" if change > 0 else "work.remove_mass", mass=abs(can)))
        if change > 0:
            weight = can
        if abs(change - can) > 1e-9:
            problems.append(_head_problem(change))
            head = have.head_kg + can
    before = bench.parts(have)
    length = change_length(from_m=have.length_m, to_m=want.length_m, kg_per_m=butt_kg_per_m(before))
    if length.statements:
        within = change_length(from_m=have.length_m, to_m=length.nearest_m)
        todo.extend(within.statements)
        kinds.add("cut" if length.longer_m < 0 else "extend")
        needs += ["grip", "extension"] if length.longer_m > 0 else ["grip"]
        minutes += MINUTES["length"] + MINUTES["grip"]
        if not length.feasible:
            problems.append(_length_problem(length))
    bent = bend(have, loft_deg=want.loft_deg, lie_deg=want.lie_deg)
    if bent.statements:
        todo.extend(bent.statements)
        kinds.add("bend")
        minutes += MINUTES["bend"] * len(bent.statements)
    if not bent.feasible:
        problems.append(_bend_problem(have, want, bent))
    if head != want.head_kg or not bent.feasible:
        other = {"other_loft": want.loft_deg, "other_lie": want.lie_deg, "other_mass": want.head_kg}
    if not length.feasible:
        needs.append("shaft")
    if needs or other or weight is not None:
        parts.append(state("parts.club", clubs=[want], mass=weight, needs=needs, **other))
    nearest = replace(
        want,
        head_kg=head,
        length_m=length.nearest_m,
        loft_deg=want.loft_deg if bent.feasible else bent.nearest_loft_deg,
        lie_deg=want.lie_deg if bent.feasible else bent.nearest_lie_deg,
    )
    after = with_length(before, want.length_m - have.length_m).with_head(want.head_kg)
    return _row(
        want,
        tuple(todo) or (state("work.none"),),
        tuple(problems),
        nearest,
        before,
        after,
        length.frequency_cpm if length.statements else 0.0,
        bench,
        bent.bounce_deg,
        against,
        minutes,
        kinds,
    )


def _row(
    want: Club,
    actions: tuple[Statement, ...],
    problems: tuple[Statement, ...],
    nearest: Club,
    before: Parts | None,
    after: Parts,
    stiffer_cpm: float,
    bench: _Bench,
    bounce_deg: float | None,
    against: tuple[Statement, ...],
    minutes: int,
    kinds: set[str],
) -> ClubWork:
    was: Balance | None = None if before is None else weigh(before)
    will = weigh(after)
    return ClubWork(
        id=want.id,
        name=want.name or want.id,
        present=before is not None,
        feasible=not problems,
        actions=actions,
        problems=problems,
        nearest=nearest,
        swing_weight_before=was.swing_weight if was else None,
        swing_weight_after=will.swing_weight,
        inertia_before_kgm2=was.inertia_kgm2 if was else None,
        inertia_after_kgm2=will.inertia_kgm2,
        total_before_kg=was.total_kg if was else None,
        total_after_kg=will.total_kg,
        balance_before_m=was.balance_m if was else None,
        balance_after_m=will.balance_m,
        shaft_before_kg=before.shaft if before else None,
        shaft_after_kg=after.shaft,
        stiffer_cpm=stiffer_cpm,
        flex=bench.flex(want),
        bounce_after_deg=bounce_deg,
        against_rules=against,
        minutes=minutes,
        work=_cautions_of(kinds),
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


def _head_problem(change_kg: float) -> Statement:
    if change_kg > 0:
        return state("limit.mass_added", mass=change_kg, most=MOST_ADDED_KG)
    return state("limit.mass_removed", mass=-change_kg, most=MOST_REMOVED_KG)


def _length_problem(length: LengthChange) -> Statement:
    return state(
        "limit.extension", longer=length.longer_m, most=LONGEST_EXTENSION_M, reaches=length.nearest_m
    )


def _bend_problem(have: Club, want: Club, bent: Bend) -> Statement:
    if bent.limit_deg == 0:
        return state("limit.no_bend", loft=want.loft_deg, lie=want.lie_deg)
    sides: dict[str, Any] = {}
    if not np.isclose(bent.nearest_loft_deg, want.loft_deg):
        sides |= {"loft": bent.nearest_loft_deg, "wanted_loft": want.loft_deg}
    if not np.isclose(bent.nearest_lie_deg, want.lie_deg):
        sides |= {"lie": bent.nearest_lie_deg, "wanted_lie": want.lie_deg}
    return state("limit.bend", limit=bent.limit_deg, material=have.head_material, **sides)
