"""The build sheet: what turns the clubs there are into the clubs that are wanted, club by club.

Figures are ordered in the steps of the bench (`engine.workshop.steps`). Where a head or shaft does not bear what is wanted,
nothing is ordered for that club, and the sheet says what to look for instead. Minutes a step takes, and the order of the
work, are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from ..documents.case import BENDS, FIGURES, Club
from ..statements import Quantity, Statement, state
from ..statistics import NINETY
from ..units import GRAM, INCH
from .balance import (
    POINT_INOZ,
    SHAFT_KG,
    SHAFT_SD_KG,
    Balance,
    Parts,
    butt_kg_per_m,
    grams_per_point,
    like_its_own,
    swing_weight_after,
    swing_weight_label,
    usual_parts,
    weigh,
    with_length,
)
from .bending import NOT_BENT, Bend, bend, bend_range, bent_towards, strain
from .cautions import Caution, cautions
from .flex import Flex, flex_for
from .known import SHORT, Known, known, not_measured, points_within, start_of
from .limits import (
    LONGEST_EXTENSION_M,
    MOST_ADDED_KG,
    MOST_REMOVED_KG,
    SMALLEST_BEND_DEG,
    SMALLEST_MASS_KG,
)
from .made import (
    ANGLES,
    after_work,
    as_far_as,
    bears_angle,
    bears_mass,
    chance_of_angle,
    chance_of_mass,
    mass_change,
    ordered_from,
)
from .rules import RulesCheck, check_bag
from .steps import ANGLE_STEP_DEG, EIGHTH_M, MASS_STEP_KG, angle_step, in_steps, length_matters
from .trim import FREQUENCY_PER_HALF_INCH_CPM, LengthChange, change_length

CARRIED_OVER = (
    "length_m",
    "loft_deg",
    "lie_deg",
    "head_kg",
    "bounce_deg",
    "bent_loft_deg",
    "bent_lie_deg",
    *BENDS,
    "butt_trim_m",
    "shaft_kg",
    "swing_weight_inoz",
    "wished_inoz",
    "measured",
    "ordered",
)
MINUTES = {
    "measure": 5,
    "pull": 15,
    "weight": 10,
    "grind": 20,
    "length": 15,
    "bend": 5,
    "grip": 10,
    "new": 40,
}
CURE_HOURS = 24
_FITTED = {"find.head": "head", "find.shaft": "new"}
"""The work by which what was found is fitted: a head is glued on, a shaft is cut, glued and gripped."""
_NEEDS = {"work.cut": ("grip",), "work.extend": ("grip", "extension")}
MEASURING = ("work.measure_first", "work.measure_other", "work.measure_for")
"""Actions after which a new sheet orders the work."""
HEAD_OFF = ("work.add_mass", "work.remove_mass")
"""Work for which a head is pulled: weight goes in through a bare hosel, and only a head that is off can be weighed."""


@dataclass(frozen=True, slots=True)
class ClubWork:
    """Work on one club. Swing weights as labels, moments about the butt [kg m2], masses [kg], time [min].

    present : whether there is a head to start from
    actions : what to do; nothing where ``problems`` says that head or shaft does not bear it
    look_for : the head or shaft to look for then
    then : what is done to the shaft once another head is found
    wanted : what the club should measure, in the steps of the bench; a figure to be measured first is not ordered yet
    now : the present club's figures and swing weight, and what each rests on; empty for a club built new
    swing_weight_within, swing_weight_wanted_within : half the width of the 90 % interval of the swing weight now (of the
        wanted club where there is none) and of that wanted [points]; ``None`` where a scale showed it
    target : the club as ordered: the wanted one where feasible, else the present one as it is
    ..._after : of ``target``, its shaft cut or extended; ``..._before`` are ``None`` for a club built new
    swing_weight_wanted : of ``wanted``, on the shaft that is cut or found for it
    stiffer_cpm : change of the clamped frequency by cutting or extending [cycles/min]
    flex : by the player's driver speed, if known
    against_rules : what the limits of the rules say against the wanted club
    work : ids of the cautions that go with it (`engine.workshop.cautions`)
    tentative : names of the figures wanted that are no firm order: taken of a club that nobody has measured, a lie that
        only the body asks for, or all of a club whose head is weighed first
    notes : what the work does to bounce and swing weight, and an angle that is left off what is wanted
    """

    id: str
    name: str
    present: bool
    feasible: bool
    actions: tuple[Statement, ...]
    problems: tuple[Statement, ...]
    look_for: tuple[Statement, ...]
    wanted: Club
    target: Club
    now: tuple[Known, ...]
    swing_weight_within: float | None
    swing_weight_wanted_within: float | None
    swing_weight_before: str | None
    swing_weight_after: str
    swing_weight_wanted: str
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
    notes: tuple[Statement, ...] = ()
    tentative: tuple[str, ...] = ()
    then: tuple[Statement, ...] = ()

    @property
    def worked_on(self) -> bool:
        """Whether anything is changed about the club, and it is not only measured."""
        return self.minutes > 0 and any(a.kind not in MEASURING for a in self.actions)

    @property
    def work_then(self) -> tuple[str, ...]:
        """Ids of the cautions that go with what is done once the parts are found."""
        found = {s.kind for s in self.look_for}
        kinds = {s.kind.removeprefix("work.") for s in self.then} | {_FITTED[kind] for kind in found}
        unsure = any(s.kind == "find.head" and s.terms["start"] for s in self.look_for)
        if len(found) == 1 or unsure:  # with both found, the old head only comes off to be weighed
            kinds.add("pull")
        return _cautions_of(kinds)


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """All clubs, what nobody has measured of those with work, the order of the work, the parts to have at hand, the cautions
    that go with the work, the time [min], and the rules.
    """

    clubs: tuple[ClubWork, ...]
    not_measured: tuple[Statement, ...]
    order: tuple[Statement, ...]
    parts: tuple[Statement, ...]
    cautions: tuple[Caution, ...]
    minutes: int
    cure_hours: int
    feasible: bool
    rules: RulesCheck

    @property
    def worked_on(self) -> int:
        """How many clubs are changed."""
        return sum(c.worked_on for c in self.clubs)

    @property
    def to_measure(self) -> int:
        """How many clubs are only measured."""
        return sum(c.minutes > 0 and not c.worked_on for c in self.clubs)

    def to_find(self, what: str, *, likely: bool = False) -> int:
        """How many of ``"head"`` or ``"shaft"`` have to be found; of heads with ``likely``, how many only may have to be."""
        sought = (s for c in self.clubs for s in c.look_for if s.kind == f"find.{what}")
        return sum((what == "head" and bool(s.terms["start"])) == likely for s in sought)


@dataclass(frozen=True, slots=True)
class _Bench:
    """What is the same for every club: weighed masses [kg] or ``None``, balance of the shaft [-], driver speed [m/s], least
    bend [deg], step of length [m], lies that suit [deg] by club, ids of the clubs whose lie only the body asks for, by club
    and figure the club it is taken of unmeasured, by club the figures set by hand, ``left`` for a left-hander's heads,
    by club the new shaft that those like it share, and ids of the clubs whose loft is not settled.
    """

    shaft_kg: float | None
    grip_kg: float | None
    shaft_balance: float
    driver_speed_mps: float | None
    least_bend_deg: float
    length_step_m: float
    lies_deg: Mapping[str, float]
    begun: Collection[str]
    on_guess: Mapping[str, Mapping[str, Club]]
    by_hand: Mapping[str, Collection[str]]
    hand: str = ""
    open_lofts: Collection[str] = ()
    shafts: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    def source(self, club_id: str, name: str) -> Club | None:
        """The club, not measured, of which a figure is taken."""
        return self.on_guess.get(club_id, {}).get(name)

    def parts(self, club: Club) -> Parts:
        return usual_parts(
            club, shaft_kg=self.shaft_kg, grip_kg=self.grip_kg, shaft_balance=self.shaft_balance
        )

    def parts_after(self, have: Club, made: Club) -> Parts:
        """Parts of a club that the work made of another."""
        if self.shaft_kg is None:
            return self.parts(made)
        return with_length(self.parts(have), made.length_m - have.length_m).with_head(made.head_kg)

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
    least_bend_deg: float = SMALLEST_BEND_DEG,
    length_step_m: float = EIGHTH_M,
    lies_deg: Mapping[str, float] | None = None,
    begun: Collection[str] = (),
    on_guess: Mapping[str, Mapping[str, Club]] | None = None,
    by_hand: Mapping[str, Collection[str]] | None = None,
    left_handed: bool = False,
    open_lofts: Collection[str] = (),
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
    least_bend_deg : least bend [deg] that is worth ordering: what the machine repeats
    length_step_m : step [m] in which lengths are cut
    lies_deg : by id, lies that suit [deg], where those wanted are in the bench's steps already
    begun : ids of the clubs whose lie only the body asks for, so that the bend is a start to be checked
    on_guess : by id and figure, the club whose figure it takes though nobody has measured that
        (`engine.sets.common_target.on_guess`)
    by_hand : by id, names of the figures set by hand; angles among them are ordered as they are, in no steps
    left_handed : whose heads are to be found
    open_lofts : ids of the clubs whose loft waits until they, or others, are hit: no head is bought for them before

    Raises
    ------
    ValueError
        If ``wanted`` names a club twice.
    """
    if len({c.id for c in wanted}) != len(wanted):
        raise ValueError("`wanted` names a club twice")
    have = {c.id: c for c in present}
    bench = _Bench(
        shaft_kg,
        grip_kg,
        shaft_balance,
        driver_speed_mps,
        least_bend_deg,
        length_step_m,
        lies_deg or {},
        begun,
        on_guess or {},
        by_hand or {},
        "left" if left_handed else "",
        open_lofts=open_lofts,
    )
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
    clubs, bench = _of_one_shaft(clubs, have, wanted, bench)
    clubs = _of_one_mass(clubs, have, wanted, bench)
    clubs = [_measure_for_others(row, clubs, bench) for row in clubs]
    ids = {id_ for club in clubs for id_ in club.work}
    glue = "epoxy" in ids
    for row in clubs:
        for sought in row.look_for:
            if sought.kind == "find.head":
                head = sought.quantities
                parts.append(
                    state(
                        "parts.head",
                        clubs=[row.wanted],
                        loft=head["loft"].value,
                        lie=head["lie"].value,
                        mass=head["mass"].value,
                        within=head["within"].value if "within" in head else None,
                        hand=sought.terms["hand"],
                        start=_rests_on(row, "head_kg"),
                        loft_is=sought.terms["loft_is"],
                        need="likely" if sought.terms["start"] else "",
                        then=_NEEDS[row.then[0].kind] if row.then else [],
                    )
                )
            else:
                old = have[row.id]
                about: dict[str, Any] = {
                    name: q.value if q.low is None else (q.value, q.low, q.high)
                    for name, q in sought.quantities.items()
                }
                about |= {"guess": sought.terms["start"], "start": _rests_on(row, "length_m")}
                flex = old.shaft_flex or (row.flex.likely if row.flex else "")
                about["flex"] = "" if old.shaft_flex else "usual"
                about |= _own_head(row, old)
                parts.append(state("parts.shaft", clubs=[old], quoted=[flex], tip=old.tip_trim_m, **about))
    ids.update(id_ for row in clubs for id_ in row.work_then)
    if "epoxy" in ids:
        parts.append(state("parts.epoxy"))
    if "grip" in ids:
        parts.append(state("parts.tape"))
    if ids:
        ids |= {"builder", "rules"}
    return BuildSheet(
        tuple(clubs),
        not_measured([have[c.id] for c in clubs if c.present and (c.minutes or not c.feasible)]),
        _order(clubs),
        tuple(parts),
        cautions(*ids),
        sum(c.minutes for c in clubs),
        CURE_HOURS if glue else 0,
        all(c.feasible for c in clubs),
        rules,
    )


def _own_head(row: ClubWork, old: Club) -> dict[str, Any]:
    """The mass [kg] of the head that a new shaft is for, where the club keeps its own: by it the swing weight is checked."""
    if any(s.kind == "find.head" for s in row.look_for):
        return {}
    unknown = start_of(old, "head_kg") != ""
    aim = row.wanted.head_kg
    return {
        "head": None if unknown else old.head_kg,
        "weigh": "head" if unknown else "",
        "aim": aim if unknown or abs(aim - old.head_kg) > MASS_STEP_KG / 2 else None,
    }


def _of_one_shaft(
    rows: list[ClubWork], have: Mapping[str, Club], wanted: Sequence[Club], bench: _Bench
) -> tuple[list[ClubWork], _Bench]:
    """The rows with new shafts of one kind for one length asked for at one mass, since they are of one model; and the bench
    that says so.
    """
    alike: dict[tuple[str, float], list[ClubWork]] = {}
    for row in rows:
        if any(s.kind == "find.shaft" for s in row.look_for):
            alike.setdefault((_kind(row), row.wanted.length_m), []).append(row)
    shafts: dict[str, dict[str, Any]] = {}
    for (_, length), group in alike.items():
        if len(group) > 1:
            ids = [row.id for row in group]
            shafts |= dict.fromkeys(ids, _new_shaft([have[i] for i in ids], length, bench))
    bench = replace(bench, shafts=shafts)
    want = {c.id: c for c in wanted}
    return [
        _work(have[row.id], want[row.id], bench, row.against_rules, []) if row.id in shafts else row
        for row in rows
    ], bench


HEADS_ALIKE_KG = 4 * GRAM
"""Heads of one length whose wanted masses lie no farther apart are bought as one mass; common practice, no source."""
FEWEST_ALIKE = 3


def _of_one_mass(
    rows: list[ClubWork],
    have: Mapping[str, Club],
    wanted: Sequence[Club],
    bench: _Bench,
) -> list[ClubWork]:
    """The rows with heads to find for one length asked for at one mass, and how far off it each may be."""
    alike: dict[float, list[ClubWork]] = {}
    for row in rows:
        if any(s.kind == "find.head" for s in row.look_for):
            alike.setdefault(row.wanted.length_m, []).append(row)
    made = {}
    for group in alike.values():
        masses = [row.wanted.head_kg for row in group]
        apart = max(masses) - min(masses)
        if len(group) < FEWEST_ALIKE or not 1e-9 < apart <= HEADS_ALIKE_KG + 1e-9:
            continue
        mass = _step(float(np.median(masses)), MASS_STEP_KG)
        within = max(abs(x - mass) for x in masses)
        for row in group:
            want = next(c for c in wanted if c.id == row.id)
            again = _work(have[row.id], replace(want, head_kg=mass), bench, row.against_rules, [])
            sought = tuple(
                replace(s, quantities={**s.quantities, "within": Quantity("mass", within)})
                if s.kind == "find.head"
                else s
                for s in again.look_for
            )
            if sought != again.look_for:  # it still takes another head
                made[row.id] = replace(again, look_for=sought)
    return [made.get(row.id, row) for row in rows]


def _rests_on(row: ClubWork, name: str) -> str:
    """What a part to be found rests on that has to be measured first; empty where that was done."""
    if name in row.tentative:
        return "usual"
    basis = {x.name: x.basis for x in row.now}[name]
    return basis if basis in ("usual", "estimated") else ""


def _measure_for_others(row: ClubWork, rows: Sequence[ClubWork], bench: _Bench) -> ClubWork:
    """A club that is measured before others are worked on, since they take figures of it."""
    names = {n for x in rows for n in x.tentative if (of := bench.source(x.id, n)) and of.id == row.id}
    if not names or not row.feasible:
        return row
    told = state("work.measure_for", figures=[SHORT[n] for n in FIGURES if n in names])
    todo = tuple(a for a in row.actions if a.kind != "work.none")
    return replace(
        row,
        actions=(told, *todo),
        minutes=row.minutes or MINUTES["measure"],
        tentative=tuple(n for n in FIGURES if n in names or n in row.tentative),
    )


def _new(want: Club, bench: _Bench, against: tuple[Statement, ...], parts: list[Statement]) -> ClubWork:
    parts.append(state("parts.new_club", clubs=[want], loft=want.loft_deg, mass=want.head_kg))
    return _row(want, want, None, bench, against, (state("work.build_new"),), {"new"}, MINUTES["new"])


def _work(
    have: Club, want: Club, bench: _Bench, against: tuple[Statement, ...], parts: list[Statement]
) -> ClubWork:
    begun = ("lie_deg",) if want.id in bench.begun else ()
    exact = {*begun, *bench.by_hand.get(want.id, ())}

    def worked(wish: Club) -> Club:
        how: dict[str, Any] = {"least_bend_deg": bench.least_bend_deg, "length_step_m": bench.length_step_m}
        return after_work(have, wish, as_wanted=exact, **how)

    made = worked(want)
    guessed = {
        name: club
        for name, club in bench.on_guess.get(want.id, {}).items()
        if getattr(made, name) != getattr(have, name)
        or (name in dict(have.estimated) and getattr(want, name) != getattr(have, name))
    }
    taken = dict[str, float]()
    if "lie_deg" in guessed and "lie_deg" not in dict(have.estimated):
        taken["lie_deg"] = made.lie_deg  # no head is bent towards a guess
        made = worked(replace(want, lie_deg=have.lie_deg))
    wanted = replace(want, **{name: getattr(made, name) for name in CARRIED_OVER}, estimated=made.estimated)
    change = wanted.head_kg - have.head_kg
    length = change_length(
        from_m=have.length_m,
        to_m=wanted.length_m,
        kg_per_m=butt_kg_per_m(bench.parts(have)),
        start=_start(have, "length_m", guessed),
    )
    bent = bend(have, loft_deg=wanted.loft_deg, lie_deg=wanted.lie_deg, least_deg=bench.least_bend_deg)
    short = max(abs(bent.nearest_loft_deg - wanted.loft_deg), abs(bent.nearest_lie_deg - wanted.lie_deg))
    if not bent.feasible and short < bench.least_bend_deg - 1e-9:  # as far as the head goes is near enough
        loft, lie = (_near_enough(have, name, wanted, value, bench) for name, value in bent.nearest)
        made, wanted = (replace(x, loft_deg=loft, lie_deg=lie) for x in (made, wanted))
        bent = bend(have, loft_deg=loft, lie_deg=lie, least_deg=bench.least_bend_deg)
    problems, look_for = [], []
    then: tuple[Statement, ...] = ()
    least = bench.least_bend_deg
    stuck = [n for n in ANGLES if not bears_angle(have, n, getattr(wanted, n), least_deg=least)]
    rests = [start_of(have, n) for n in stuck]
    if stuck:
        problems.append(_bend_problem(have, wanted, bent, "" if "" in rests else rests[0]))
    if not bears_mass(have, want.head_kg):
        rests.append(start_of(have, "head_kg"))
        problems.insert(0, _head_problem(mass_change(have, want.head_kg), rests[-1]))
    if (
        problems or not length.feasible
    ):  # what is to be found is found as wished, not as near as the present head comes
        wanted = ordered_from(
            have,
            replace(
                want,
                length_m=_step(want.length_m, bench.length_step_m),
                loft_deg=_angle(want, "loft_deg", ANGLE_STEP_DEG, bench),
                lie_deg=_angle(want, "lie_deg", ANGLE_STEP_DEG, bench),
                head_kg=_step(want.head_kg, MASS_STEP_KG),
                bounce_deg=None,
            ),
        )
    if problems:
        wanted = replace(wanted, **NOT_BENT)  # it takes another head
        found = state(
            "find.head",
            loft=wanted.loft_deg,
            lie=wanted.lie_deg,
            mass=wanted.head_kg,
            hand=bench.hand,
            start="" if "" in rests else rests[-1],
            risk=None if "" in rests else _risk(have, want, least),
            loft_is="open" if have.id in bench.open_lofts else "",
        )
        look_for.append(found)
        then = length.statements
        if "length_m" in dict(have.estimated):
            how_long = change_length(from_m=have.length_m, to_m=wanted.length_m, start="estimated")
            then = how_long.statements
    if not length.feasible:
        problems.append(_length_problem(length, start_of(have, "length_m")))
        shaft = bench.shafts.get(have.id) or _new_shaft([have], wanted.length_m, bench)
        look_for.append(state("find.shaft", length=wanted.length_m, **shaft))
    others = _others_first(guessed)
    tentative = tuple(n for n in FIGURES if n in guessed)
    if problems:
        return _row(
            wanted,
            have,
            have,
            bench,
            against,
            (state("work.none"),),
            set(),
            0,
            (*problems, *others),
            tuple(look_for),
            tentative=tentative,
            shaft_kg=None if length.feasible else look_for[-1].quantities["mass"].value,
            then=then,
        )
    first = {name: value for name, value in _to_measure(have, want, bench).items() if name not in taken}
    todo = [*others, *(_measure_first(SHORT[name], value) for name, value in first.items())]
    waits = _waits(have, first)
    if any(getattr(made, n) != getattr(have, n) for n in (*first, *waits)):
        kept = {n: getattr(have, n) for n in (*first, *waits, *taken)}
        made = worked(replace(want, **kept))
        tentative = tuple(n for n in FIGURES if n in tentative or n in kept)
    wanted = wanted.known(**first, **taken)
    if have.swing_weight_inoz is not None and "head_kg" in first:
        wanted = replace(wanted, swing_weight_inoz=swing_weight_after(have, wanted))
    needs: list[str] = []
    kinds: set[str] = set()
    minutes = MINUTES["measure"] if first or taken else 0
    start = ""
    held = {*first, *waits}
    if change and "head_kg" not in held:
        kind = "weight" if change > 0 else "grind"
        kinds.add(kind)
        needs.append("ferrule")  # the old one seldom survives the heat
        minutes += MINUTES[kind] + MINUTES["pull"]
        weigh_in = "work.add_mass" if change > 0 else "work.remove_mass"
        by_scale = have.swing_weight_inoz is not None and start_of(
            have, "head_kg"
        )  # so much more or less, of whatever mass
        start = "" if by_scale else _start(have, "head_kg", guessed)
        to = None if by_scale else wanted.head_kg
        most = MOST_ADDED_KG if change > 0 else MOST_REMOVED_KG
        todo.append(state(weigh_in, mass=abs(change), to=to, start=start, most=most if start else None))
    # the scale may say that the head goes: then nothing else was done to the club in vain
    on_scale = bool(start)
    if on_scale:
        moved = [n for n in FIGURES if getattr(made, n) != getattr(have, n)]
        tentative = tuple(n for n in FIGURES if n in tentative or n in moved)
    if length.statements:
        todo.extend(_once_weighed(s) if on_scale else s for s in length.statements)
        kinds.add("cut" if length.longer_m < 0 else "extend")
        needs += _NEEDS[length.statements[0].kind]
        minutes += MINUTES["length"] + MINUTES["grip"]
    bends = [s for s in bent.statements if f"{s.kind.removeprefix('work.bend_')}_deg" not in held]
    if bends:
        bends = [_as_a_start(s) if begun else s for s in bends]
        todo.extend(_once_weighed(s) if on_scale else s for s in bends)
        kinds.add("bend")
        minutes += MINUTES["bend"] * len(bends)
        for work in bends:  # it is read before the bend
            if work.kind == "work.bend_loft" and have.family == "wedge" and have.bounce_deg is None:
                way = "more" if wanted.loft_deg > have.loft_deg else "less"
                todo.insert(len(todo) - len(bends), state("work.check_bounce", way=way))
    if needs and "head_kg" not in first:
        guesses = [
            what
            for what, name in (("mass", "head_kg"), ("extension", "length_m"))
            if _start(have, name, guessed)
        ]
        mass = change if change > 0 and "head_kg" not in held else None
        parts.append(state("parts.club", clubs=[want], mass=mass, needs=needs, guess=guesses))
    if "head_kg" in first:  # nothing is cut or bent before the scale says whether the head stays
        todo = todo[: len(others) + len(first)]
        made, kinds, minutes = have, {"weigh"}, MINUTES["measure"]
        tentative = tuple(n for n in FIGURES if n in guessed or getattr(wanted, n) != getattr(have, n))
    actions = tuple(todo) or (state("work.none"),)
    rest = _rest(have, want, made, bench, {*taken, *begun, *waits})
    if begun and made.lie_deg != have.lie_deg:
        tentative = (*(n for n in tentative if n not in begun), *begun)
    return _row(wanted, made, have, bench, against, actions, kinds, minutes, rest=rest, tentative=tentative)


def _risk(have: Club, want: Club, least_deg: float) -> float:
    """Chance that a head of which not all was measured cannot be made to fit."""
    fits = chance_of_mass(have, want.head_kg)
    for name in ANGLES:
        fits *= chance_of_angle(have, name, getattr(want, name), least_deg=least_deg)
    return 1 - fits


def _waits(have: Club, first: Collection[str]) -> tuple[str, ...]:
    """Figures whose work hangs on others that are measured first: a loft is bent before the lie, which it moves; and what a
    head of a known swing weight has to gain or lose goes by the length.
    """
    after = {"loft_deg": "lie_deg"} | ({"length_m": "head_kg"} if have.swing_weight_inoz is not None else {})
    return tuple(then for name, then in after.items() if name in first and then not in first)


def _once_weighed(work: Statement) -> Statement:
    """Work that is firm but for the head, which is weighed first."""
    return work if work.terms["start"] else replace(work, terms={**work.terms, "start": "head"})


def _new_shaft(have: Sequence[Club], length_m: float, bench: _Bench) -> dict[str, Any]:
    """Mass [kg] of the new shafts that clubs of a kind take at one length [m], by which their swing weight is told: as heavy
    for its length as the middle one of their own that were weighed, or the usual one where none was.
    """
    own = [x for club in have if (x := like_its_own(club, length_m)) is not None]
    if own:
        return {"mass": _step(float(np.median(own)), MASS_STEP_KG), "start": ""}
    if bench.shaft_kg is not None:
        return {"mass": bench.shaft_kg, "start": ""}
    usual, within = SHAFT_KG[have[0].family], NINETY * max(SHAFT_SD_KG[club.family] for club in have)
    return {"mass": (usual, usual - within, usual + within), "start": "usual"}


def _start(have: Club, name: str, guessed: Collection[str]) -> str:
    """What has to be measured before a figure is changed: the club itself, or the one of which the figure is taken."""
    return start_of(have, name) or ("usual" if name in guessed else "")


def _others_first(guessed: Mapping[str, Club]) -> list[Statement]:
    """The clubs that nobody has measured, of which this one takes its figures."""
    out = []
    for source in dict.fromkeys(guessed.values()):
        names = [SHORT[n] for n in FIGURES if guessed.get(n) == source]
        out.append(state("work.measure_other", clubs=[source], figures=names))
    return out


def _as_a_start(bend: Statement) -> Statement:
    return replace(bend, kind="work.begin_lie") if bend.kind == "work.bend_lie" else bend


def _rest(have: Club, want: Club, made: Club, bench: _Bench, loose: Collection[str]) -> tuple[Statement, ...]:
    """Of each angle that is left more than half a step off what is wanted, or off what was set by hand, and of a length
    that is left short, by how much and why; but for those ``loose``, of which nothing is ordered or only a start.
    """
    out = []
    short = want.length_m - made.length_m
    left = made.length_m == have.length_m and short > bench.length_step_m / 2 and not length_matters(short)
    if left and "length_m" not in dict(have.estimated):
        out.append(state("work.short", off=short))
    for name, more, less in (("loft_deg", "weak", "strong"), ("lie_deg", "upright", "flat")):
        aim: float = getattr(want, name)
        if name == "lie_deg":
            aim = bench.lies_deg.get(want.id, aim)
        off, change = getattr(made, name) - aim, aim - getattr(have, name)
        hand = name in bench.by_hand.get(want.id, ())
        near = 0.0 if hand else angle_step(bench.least_bend_deg) / 2
        if name in loose or name in dict(have.estimated) or abs(off) <= near + 1e-9:
            continue
        low, high = bend_range(have, name)
        why = "others" if low - 1e-9 <= change <= high + 1e-9 else "limit"
        if abs(change) < bench.least_bend_deg - 1e-9:
            why = "least"
        out.append(
            state(
                "work.rest",
                figure=SHORT[name],
                off=abs(off),
                way=more if off > 0 else less,
                wanted=aim,
                why=why,
            )
        )
    return tuple(out)


def _to_measure(have: Club, want: Club, bench: _Bench) -> dict[str, float]:
    """What is wanted of the figures that nobody knows, where it differs from what is taken for them."""
    aims = {
        "length_m": _step(want.length_m, bench.length_step_m),
        **{name: _angle(want, name, angle_step(bench.least_bend_deg), bench) for name in ANGLES},
        "head_kg": _step(want.head_kg, MASS_STEP_KG),
    }
    return {
        name: aim
        for name, aim in aims.items()
        if name in dict(have.estimated)
        and abs(getattr(want, name) - getattr(have, name)) > _told_to(have, name)
    }


def _angle(want: Club, name: str, step: float, bench: _Bench) -> float:
    """A wanted angle [deg] in steps, or just as it was set by hand."""
    value: float = getattr(want, name)
    return value if name in bench.by_hand.get(want.id, ()) else _step(value, step)


def _told_to(have: Club, name: str) -> float:
    """How far an estimate may be off what is wanted and still be it: a head's that a scale told of, to what that tells."""
    if name != "head_kg" or have.swing_weight_inoz is None:
        return 1e-6
    return max(SMALLEST_MASS_KG, NINETY * dict(have.estimated)[name]) + 1e-6


def _measure_first(figure: str, wanted: float) -> Statement:
    quantity: dict[str, Any] = {figure: wanted}
    return state("work.measure_first", **quantity)


def _near_enough(have: Club, name: str, wanted: Club, nearest: float, bench: _Bench) -> float:
    """What is set where a head goes nearly as far as is wanted: in the bench's steps, where they come about as near."""
    step = max(angle_step(bench.least_bend_deg), bench.least_bend_deg)
    value = as_far_as(have, name, nearest, least_deg=bench.least_bend_deg)
    return value if abs(value - getattr(wanted, name)) <= step + 1e-9 else nearest


def _row(
    wanted: Club,
    target: Club,
    have: Club | None,
    bench: _Bench,
    against: tuple[Statement, ...],
    actions: tuple[Statement, ...],
    kinds: set[str],
    minutes: int,
    problems: tuple[Statement, ...] = (),
    look_for: tuple[Statement, ...] = (),
    rest: tuple[Statement, ...] = (),
    tentative: tuple[str, ...] = (),
    shaft_kg: float | None = None,
    then: tuple[Statement, ...] = (),
) -> ClubWork:
    before = None if have is None else bench.parts(have)
    longer = 0.0 if have is None else target.length_m - have.length_m
    after = bench.parts(target) if have is None else bench.parts_after(have, target)
    off, wanted_off = points_within(target if have is None else have), points_within(wanted)
    was: Balance | None = None if before is None else weigh(before)
    will = weigh(after)
    to_find = wanted if shaft_kg is None else replace(wanted, shaft_kg=shaft_kg)
    bent = have is None or target.loft_deg != have.loft_deg
    return ClubWork(
        id=wanted.id,
        name=wanted.name or wanted.id,
        present=have is not None,
        feasible=not problems,
        actions=actions,
        problems=problems,
        look_for=look_for,
        wanted=wanted,
        target=target,
        now=() if have is None else known(have),
        swing_weight_within=off,
        swing_weight_wanted_within=wanted_off,
        swing_weight_before=None if have is None or was is None else _label(have, was, off),
        swing_weight_after=_label(target, will, points_within(target)),
        swing_weight_wanted=_label(
            wanted, will if wanted == target else weigh(bench.parts(to_find)), wanted_off
        ),
        inertia_before_kgm2=was.inertia_kgm2 if was else None,
        inertia_after_kgm2=will.inertia_kgm2,
        total_before_kg=was.total_kg if was else None,
        total_after_kg=will.total_kg,
        balance_before_m=was.balance_m if was else None,
        balance_after_m=will.balance_m,
        shaft_before_kg=before.shaft if before else None,
        shaft_after_kg=after.shaft,
        stiffer_cpm=-FREQUENCY_PER_HALF_INCH_CPM * longer / (0.5 * INCH),
        flex=bench.flex(target),
        bounce_after_deg=target.bounce_deg if bent else None,
        against_rules=against,
        minutes=minutes,
        work=_cautions_of(kinds),
        notes=()
        if was is None or have is None
        else (*strain(have, target), *_bounce(have, target), *_heft(have, was, will, target), *rest),
        tentative=tentative,
        then=then,
    )


def _heft(have: Club, was: Balance, will: Balance, target: Club) -> tuple[Statement, ...]:
    """By how much the swing weight moves, or lies off what was wanted of it before, where it is much, and the head mass that
    would restore it; nothing where the head is made lighter or heavier, since then that is what is wanted.
    """
    points = (will.moment_inoz - was.moment_inoz) / POINT_INOZ
    if have.wished_inoz is not None:
        points = (swing_weight_after(have, target) - have.wished_inoz) / POINT_INOZ
    if abs(points) < MUCH_POINTS - 1e-9 or target.head_kg != have.head_kg:
        return ()
    mass = MASS_STEP_KG * round(abs(points) * grams_per_point(target.length_m) / MASS_STEP_KG)
    most = MOST_ADDED_KG if points < 0 else MOST_REMOVED_KG
    return (
        state(
            "work.swing_weight",
            points=abs(points),
            way="less" if points < 0 else "more",
            wish="" if have.wished_inoz is None else "before",
            mass=mass,
            most=most if mass > most + 1e-9 else None,
        ),
    )


MUCH_POINTS = 1.5
"""A swing weight that moves so far is told, two points as they are read; common practice, no source."""


def _bounce(have: Club, target: Club) -> tuple[Statement, ...]:
    """What the bend of a loft makes of the bounce, where it was entered."""
    if target.loft_deg == have.loft_deg or target.bounce_deg is None:
        return ()
    return (state("work.bounce", to=target.bounce_deg),)


def _label(club: Club, balance: Balance, within: float | None) -> str:
    """A club's swing weight as a scale showed it, else as it is calculated, to what it may be off [points]."""
    shown = club.swing_weight_inoz
    return swing_weight_label(balance.moment_inoz if shown is None else shown, within=within)


def _order(clubs: Sequence[ClubWork]) -> tuple[Statement, ...]:
    """The work in the order of a bench: heads first, then lengths and glue, bends once it has cured, and a last look."""
    kinds = {
        "order.pull": HEAD_OFF,
        "order.mass": HEAD_OFF,
        "order.length": ("work.cut", "work.extend"),
        "order.new": ("work.build_new",),
        "order.dry": (*HEAD_OFF, "work.build_new"),
        "order.cure": (*HEAD_OFF, "work.extend", "work.build_new"),
        "order.grip": ("work.cut", "work.extend", "work.build_new"),
        "order.bend_loft": ("work.bend_loft",),  # before the lie: a bend of either moves the other
        "order.bend_lie": ("work.bend_lie", "work.begin_lie"),
    }
    busy = [c.target for c in clubs if c.minutes]
    if not busy:
        return ()
    sought = [c.wanted for c in clubs if c.look_for]
    unknown = _to_be_measured(clubs)
    out = [state("order.measure", clubs=unknown)] if unknown else []
    waits = ("work.measure_first", "work.measure_other")
    first = [c.target for c in clubs if any(a.kind in waits for a in c.actions)]
    if any(_weigh_first(s) for c in clubs for s in (*c.actions, *c.look_for)):
        out.append(state("order.weigh"))
    if first:
        out.append(state("order.again", clubs=first, which="all" if first == busy else ""))
    if sought:
        after = "again" if first else "measured" if unknown else ""
        out.append(state("order.find", clubs=sought, after=after))
    bends = ("work.bend_loft", "work.bend_lie", "work.begin_lie")
    bent = [c.target for c in clubs if any(a.kind in bends for a in c.actions)]
    unknown_heads = [c for c in bent if c.head_material is None]
    for step, of in kinds.items():
        about = [c.target for c in clubs if any(a.kind in of for a in c.actions)]
        if about:
            more: dict[str, Any] = {"time": CURE_HOURS * 3600.0} if step == "order.cure" else {}
            if step.startswith("order.bend") and unknown_heads:
                out.append(state("order.material", clubs=unknown_heads))
                unknown_heads = []
            out.append(state(step, clubs=about, which="all" if about == busy else "", **more))
    if any(s.kind in kinds for s in out):
        out.append(state("order.check"))
    if begun := [c.target for c in clubs if any(a.kind == "work.begin_lie" for a in c.actions)]:
        out.append(state("order.lie_board", clubs=begun, which="all" if begun == busy else ""))
    return tuple(out)


def _weigh_first(said: Statement) -> bool:
    """Whether work on a head waits for the scale."""
    if said.kind == "find.head":
        return bool(said.terms["start"])
    return said.kind == "work.measure_first" and "head" in said.quantities


def _to_be_measured(clubs: Sequence[ClubWork]) -> list[Club]:
    """The clubs of which a figure to be worked on was not measured, and those of their kind of which nobody knows it: one
    set is judged by all of it.
    """
    changes: dict[str, set[str]] = {}
    for c in clubs:
        changes.setdefault(_kind(c), set()).update(_changed(c) if c.minutes else ())
    return [
        c.target
        for c in clubs
        if any(x.basis != "measured" and x.name in _changed(c) for x in c.now if c.minutes)
        or any(x.basis in ("usual", "estimated") and x.name in changes[_kind(c)] for x in c.now)
    ]


def _kind(row: ClubWork) -> str:
    return "iron" if row.target.family == "wedge" else row.target.family


def _changed(row: ClubWork) -> set[str]:
    """Names of the figures that are worked on or waited for; a bend of loft or lie moves the other."""
    names = {x.name for x in row.now if x.name in FIGURES and x.value != getattr(row.wanted, x.name)}
    names.update(row.tentative)
    return names | set(ANGLES) if names & set(ANGLES) else names


def _step(value: float, step: float) -> float:
    return in_steps(-np.inf, value, step=step, least=0.0)


def _cautions_of(kinds: set[str]) -> tuple[str, ...]:
    """Ids of the cautions that go with kinds of work."""
    ids = kinds & {"bend", "cut", "grind", "extend", "weight"}
    if kinds & {"weight", "grind", "extend", "new", "head"}:
        ids |= {"epoxy"}
    if kinds & {"weight", "grind", "weigh", "pull"}:
        ids |= {"heat"}  # the head may be pulled for it
    if kinds & {"cut", "extend"}:
        ids |= {"grip"}  # the old one comes off
    if "new" in kinds:
        ids |= {"cut", "grip"}
    return tuple(sorted(ids))


def _head_problem(change_kg: float, start: str) -> Statement:
    if change_kg > 0:
        return state("limit.mass_added", mass=change_kg, most=MOST_ADDED_KG, start=start)
    return state("limit.mass_removed", mass=-change_kg, most=MOST_REMOVED_KG, start=start)


def _length_problem(length: LengthChange, start: str) -> Statement:
    return state(
        "limit.extension",
        longer=length.longer_m,
        most=LONGEST_EXTENSION_M,
        reaches=length.nearest_m,
        start=start,
    )


def _bend_problem(have: Club, want: Club, bent: Bend, start: str) -> Statement:
    if bent.limit_deg == 0:
        return state("limit.no_bend")
    sides: dict[str, Any] = {}
    if not np.isclose(bent.nearest_loft_deg, want.loft_deg):
        sides |= {"loft": bent.nearest_loft_deg, "wanted_loft": want.loft_deg}
    if not np.isclose(bent.nearest_lie_deg, want.lie_deg):
        sides |= {"lie": bent.nearest_lie_deg, "wanted_lie": want.lie_deg}
    names = [f"{name}_deg" for name in ("loft", "lie") if name in sides]
    bent_before = max((bent_towards(have, name, getattr(want, name)) or 0.0 for name in names), default=0.0)
    return state(
        "limit.bend",
        limit=bent.limit_deg,
        bent=bent_before or None,
        material=have.head_material,
        start=start,
        **sides,
    )
