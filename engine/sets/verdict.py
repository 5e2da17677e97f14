"""The verdict between two sets: what the player gains, what he gives, and what makes no difference he would notice.

A measure is told where the chance is high enough that the sets differ in it by more than a player notices, paired draw
by draw, and put down as no difference where the chance is high enough that they do not. What lies between is open.
There is no score over the measures: what they are worth against each other is the player's to say.

The limits of carry and length follow Just Noticeable Differences in the Length of Golf Irons, Proceedings 2020, 49(1),
147: 13 mm of length, and 6 mm for the position of low handicaps. `TOLD`, `SAME` and `DOUBTS` were chosen on invented
players whose truth is known (``tests/engine/sets/test_verdict.py``), so that chances hold. Full swings say little of what
a length does to one player: one loss of carry in six that is told is one that nobody would notice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Case, Club, Layout
from ..documents.fields import MATTERS
from ..statements import LayoutName, Statement, state
from ..statistics import Interval, interval
from ..workshop.bending import bent_so_far
from ..workshop.build_sheet import build_sheet
from ..workshop.limits import SMALLEST_BEND_DEG, SMALLEST_MASS_KG
from ..workshop.steps import EIGHTH_M, length_matters
from .break_even import BreakEven, break_even
from .compare import LEAST, Demand, doubted, irons_and_wedges, noticed, useful_irons
from .length_test import LengthTest, SpreadByLength
from .plan import anchor_of, is_one_length, own_layout, plan, planned
from .predict import Prediction

Array = NDArray[np.float64]

TOLD, SAME = 0.80, 0.80


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity that two sets are told apart by.

    matters : which of `MATTERS` it belongs to; better : 1 where more is better, -1 where less is
    notice : a player notices more than this [SI, deg]
    """

    name: str
    matters: str
    better: int
    notice: float


MEASURES = (
    Measure("reach_m", "top_carry", 1, LEAST["reach_m"]),
    Measure("top_descent_deg", "top_carry", 1, LEAST["top_descent_deg"]),
    Measure("irons_kept", "top_carry", 1, 0.5),
    Measure("narrowest_gap_m", "gaps", 1, LEAST["narrowest_gap_m"]),
    Measure("widest_gap_m", "gaps", -1, LEAST["widest_gap_m"]),
    Measure("length_range_m", "posture", -1, 0.006),
)


@dataclass(frozen=True, slots=True)
class Difference:
    """One measure of the other set less that of the base, [SI, deg].

    side : whether the other set gains or gives, makes no difference to notice, or whether that is open
    chance : that it is so; of an open one the chance of a difference to notice, the likelier way
    """

    measure: str
    matters: str
    side: str
    difference: Interval
    chance: float


@dataclass(frozen=True, slots=True)
class Work:
    """What the other set costs, as its build sheet has it: clubs to work on, those only to measure, the time at the bench
    for both [s]; and how many clubs wait for another head or shaft, fitting which is not in that time; ``likely_heads``
    those whose own head likely has to go, once it is measured.
    """

    clubs: int
    heads: int
    shafts: int
    time_s: float
    likely_heads: int = 0
    to_measure: int = 0


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the other set gains and gives against the base.

    lines : the same as statements, in the order of what matters to the player; plan : the test as statements
    test : ``None`` where the other set shortens no club that could be gripped down for it
    so_far : what balls hit at two lengths say of their spread, ``None`` where there are too few
    """

    base: LayoutName
    other: LayoutName
    differences: tuple[Difference, ...]
    work: Work
    break_even: BreakEven
    test: LengthTest | None
    so_far: SpreadByLength | None
    lines: tuple[Statement, ...]
    plan: tuple[Statement, ...]


COUNTED = ("irons_kept",)  # whole numbers, which no doubt widens
MISCOUNTED = 0.09
"""A count turns on clubs that are just useful or just not, which draws of one model see too sharply: the share of players
who keep one iron more than drawn, and of those who keep one fewer. Chosen on invented players: of those of whom the draws
said with 85 % that as many irons stay useful, as many did with 68 %."""


def same_set(a: Sequence[Club], b: Sequence[Club]) -> bool:
    """Whether two sets have the same irons and wedges, as near as a bench can tell."""
    one, other = ({c.id: c for c in x if c.family in ("iron", "wedge")} for x in (a, b))
    return one.keys() == other.keys() and all(
        not length_matters(c.length_m - other[i].length_m)
        and abs(c.loft_deg - other[i].loft_deg) < SMALLEST_BEND_DEG
        and abs(c.lie_deg - other[i].lie_deg) < SMALLEST_BEND_DEG
        and abs(c.head_kg - other[i].head_kg) < SMALLEST_MASS_KG
        for i, c in one.items()
    )


def sets_to_compare(case: Case) -> tuple[Layout, Layout] | None:
    """The base and the set that is weighed against it; ``None`` where the bag has fewer than two irons and wedges.

    The base is the present set if it is laid out, else the layout most like it, else the first of several. Against it
    stands the layout that is to be built, else the first of the other kind (one length or stepped), else any that is not
    the same set; where there is none, the other kind itself, though it is not laid out. What the shots say has no part
    in it.
    """
    if sum(c.family in ("iron", "wedge") for c in case.carried) < 2:
        return None
    own = own_layout(case.layouts, case.bag)
    mine = plan(own, case.bag)
    clubs = {x.id: planned(x, case) for x in (*case.layouts, own)}
    enough = [x for x in case.layouts if sum(c.family in ("iron", "wedge") for c in clubs[x.id]) >= 2]
    alike = [x for x in enough if x.id == own.id] + [x for x in enough if same_set(clubs[x.id], mine)]
    alike += [x for x in enough if is_one_length(clubs[x.id]) == is_one_length(mine)]
    base = next(iter(alike or enough[: len(enough) > 1]), own)
    one = is_one_length(clubs[base.id])
    others = [x for x in enough if x.id != base.id and not same_set(clubs[x.id], clubs[base.id])]
    wanted = [x for x in others if x.id == case.wants.layout]
    wanted += [x for x in others if is_one_length(clubs[x.id]) != one] + others
    kind = "stepped" if one else "single"
    taken = {x.id for x in case.layouts}
    free = next(
        i for i in (kind, f"{kind}-2", f"{kind}-3", *(f"{kind}{n}" for n in range(9))) if i not in taken
    )
    return base, next(iter(wanted), Layout(free, kind))


def measure_draws(prediction: Prediction) -> dict[str, Array]:
    """Draws (draws,) of each of `MEASURES` that the set has clubs for."""
    columns = irons_and_wedges(prediction)
    clubs = [prediction.clubs[i] for i in columns]
    carry = prediction.carry[:, columns]
    out: dict[str, Array] = {}
    if len(columns) >= 2:
        between = carry[:, :-1] - carry[:, 1:]
        out["narrowest_gap_m"], out["widest_gap_m"] = between.min(axis=1), between.max(axis=1)
        lengths = [c.length_m for c in clubs]
        out["length_range_m"] = np.full(len(carry), max(lengths) - min(lengths))
    irons = [i for i, c in zip(columns, clubs, strict=True) if c.family == "iron"]
    if irons:
        out["reach_m"] = prediction.carry[:, irons].max(axis=1)
        out["top_descent_deg"] = prediction.descent[:, irons[0]]
        kept = np.zeros(len(carry))
        below = len(irons)
        for _, adds, steep in useful_irons(prediction):
            kept = np.maximum(kept, np.where(adds & steep, below, 0))
            below -= 1
        out["irons_kept"] = kept
    return out


def differ(base: Mapping[str, Array], other: Mapping[str, Array]) -> tuple[Difference, ...]:
    """The other set against the base in every measure that both have, draw by draw."""
    out = []
    for measure in MEASURES:
        if measure.name not in base or measure.name not in other:
            continue
        apart = other[measure.name] - base[measure.name]
        if measure.name in COUNTED:
            chances = miscounted(measure.better * apart, measure.notice)
        else:
            apart = doubted(apart, measure.name)
            chances = noticed(measure.better * apart, measure.notice)
        side, sure = decide(*chances)
        out.append(Difference(measure.name, measure.matters, side, interval(apart), sure))
    return tuple(out)


def miscounted(turned: Array, least: float) -> tuple[float, float]:
    """Chances of a gain and of a loss in a count that may be off by one either way, see `MISCOUNTED`."""
    shares = {0.0: 1 - 2 * MISCOUNTED, 1.0: MISCOUNTED, -1.0: MISCOUNTED}
    told = [(share, noticed(turned + by, least)) for by, share in shares.items()]
    return sum(share * gain for share, (gain, _) in told), sum(share * give for share, (_, give) in told)


def decide(gain: float, give: float) -> tuple[str, float]:
    """What is told of a measure by the chances that the other set gains or gives more than a player notices."""
    same = 1 - gain - give
    if max(gain, give) >= TOLD:
        return ("gain", gain) if gain > give else ("give", give)
    if same >= SAME:
        return "same", same
    return "open", max(gain, give)


def work_for(
    bag: Sequence[Club],
    other: Sequence[Club],
    *,
    least_bend_deg: float = SMALLEST_BEND_DEG,
    length_step_m: float = EIGHTH_M,
    on_guess: Mapping[str, Mapping[str, Club]] | None = None,
) -> Work:
    """Work that turns the clubs of the bag into those of a set, counted off its build sheet."""
    sheet = build_sheet(
        bag, other, least_bend_deg=least_bend_deg, length_step_m=length_step_m, on_guess=on_guess
    )
    return Work(
        sheet.worked_on,
        sheet.to_find("head"),
        sheet.to_find("shaft"),
        60.0 * sheet.minutes,
        sheet.to_find("head", likely=True),
        sheet.to_measure,
    )


def with_lies(bag: Sequence[Club], clubs: Sequence[Club]) -> tuple[Club, ...]:
    """The clubs of a bag bent to the lies that those of a set have."""
    lies = {c.id: c.lie_deg for c in clubs}
    return tuple(
        replace(c, lie_deg=lies[c.id], bent_lie_deg=bent_so_far(c, "lie_deg") + lies[c.id] - c.lie_deg)
        if lies.get(c.id, c.lie_deg) != c.lie_deg
        else c
        for c in bag
    )


def verdict_between(
    base: LayoutName,
    other: LayoutName,
    of_base: Prediction,
    of_other: Prediction,
    *,
    bag: Sequence[Club],
    spread: float,
    least_bend_deg: float = SMALLEST_BEND_DEG,
    length_step_m: float = EIGHTH_M,
    degrees: float,
    lies_apart: bool = False,
    matters: Sequence[str] = (),
    demand: Demand | None = None,
    test: LengthTest | None = None,
    so_far: SpreadByLength | None = None,
    even: BreakEven | None = None,
    lofts_bent: bool = False,
    on_guess: Mapping[str, Mapping[str, Club]] | None = None,
) -> Verdict:
    """The verdict between two sets.

    Parameters
    ----------
    of_base, of_other : draws of their clubs, paired
    bag : the clubs there are, for the work that the other set asks for, with the steps of the bench [deg], [m]
    lies_apart : every set takes the lies that suit the player, so that those of the base count as done in either
    spread : shot-to-shot standard deviation of carry as a share of it; degrees : of freedom that it rests on
    matters : what matters to the player, of `MATTERS`, first things first: it orders the lines and changes nothing else
    demand : distances faced, if the player stated any
    even : the break-even, worked out if not given
    lofts_bent : whether lofts are bent towards carries or gaps, which make up for what a length does to carry
    on_guess : what the other set takes of unmeasured clubs, as `engine.workshop.build_sheet.build_sheet` has it
    """
    differences = differ(measure_draws(of_base), measure_draws(of_other))
    have = with_lies(bag, of_base.clubs) if lies_apart else tuple(bag)
    work = work_for(
        have, of_other.clubs, least_bend_deg=least_bend_deg, length_step_m=length_step_m, on_guess=on_guess
    )
    even = even or break_even_of(of_base, of_other, spread=spread, degrees=degrees, demand=demand)
    anchor = next(c for c in of_base.clubs if c.id == even.club)
    order = [*matters, *(m for m in MATTERS if m not in matters)]
    lines = [(d.matters, _line(d)) for d in differences]
    if work.clubs or work.to_measure or work.heads or work.likely_heads or work.shafts:
        cost: dict[str, Any] = {
            "clubs_to_build": work.clubs,
            "measure": work.to_measure or None,
            "heads": work.heads,
            "likely": work.likely_heads or None,
            "shafts": work.shafts,
            "time": work.time_s,
        }
        if have != tuple(bag):
            cost["lies"] = "apart"
        lines.append(("cost", state("verdict.work", **cost)))
    lines.append(("feel", _break_even_line(even, anchor)))
    lines.sort(key=lambda line: order.index(line[0]))
    return Verdict(
        base,
        other,
        differences,
        work,
        even,
        test,
        so_far,
        (state("verdict.compared", layouts=[other, base]), *(said for _, said in lines)),
        plan_statements(test, so_far, even, lofts_bent=lofts_bent),
    )


def break_even_of(
    of_base: Prediction, of_other: Prediction, *, spread: float, degrees: float, demand: Demand | None
) -> BreakEven:
    """The break-even of two sets, told in metres by the club that the base is set out from."""
    columns = irons_and_wedges(of_base)
    clubs = [of_base.clubs[i] for i in columns]
    anchor = anchor_of([c for c in clubs if c.family == "iron"] or clubs)
    return break_even(
        of_base.carry[:, columns],
        of_other.carry[:, irons_and_wedges(of_other)],
        spread=spread,
        degrees=degrees,
        club=anchor.id,
        club_carry=of_base.carry[:, of_base.clubs.index(anchor)],
        demand=demand,
    )


def _line(d: Difference) -> Statement:
    sign = 1 if d.difference.mean >= 0 else -1
    return state(
        f"verdict.{d.measure}", difference=d.difference, chance=d.chance, side=d.side, way=_WAYS[sign]
    )


_WAYS = {1: "more", -1: "less"}
LEAST_TIGHTER = 0.005  # of the spread: less is called none; ours, no source


def _break_even_line(even: BreakEven, club: Club) -> Statement:
    mean = even.tighter.mean
    way = "tighter" if mean > LEAST_TIGHTER else "wider" if mean < -LEAST_TIGHTER else "alike"
    return state(
        "verdict.break_even",
        clubs=[club],
        tighter=even.tighter,
        by=even.tighter_m,
        chance=even.chance_worth,
        way=way,
    )


def plan_statements(
    test: LengthTest | None, so_far: SpreadByLength | None, even: BreakEven, *, lofts_bent: bool = False
) -> tuple[Statement, ...]:
    """The test, what it can find and what it cannot, and what the balls say so far."""
    out = []
    if test is None:
        out.append(state("length_test.none"))
    else:
        out.append(
            state(
                "length_test.hit",
                clubs=[test.club],
                full=test.full_m,
                short=test.short_m,
                grip=test.grip_down_m,
                balls=test.balls_each,
                block=test.turns[0].balls,
                time=60.0 * test.minutes,
            )
        )
        out.append(
            state(
                "length_test.carry",
                finds=test.finds_m,
                expected=test.expected_m,
                shows="yes" if test.shows_carry else "no",
                lofts="bent" if lofts_bent else "kept",
            )
        )
        shows = "yes" if test.shows_spread else "no" if test.balls_for_spread else "not_needed"
        out.append(
            state(
                "length_test.spread",
                finds=1 - test.finds_ratio,
                needed=None if test.balls_for_spread is None else 1 - test.needed_ratio,
                balls=test.balls_for_spread,
                shows=shows,
            )
        )
        out.append(
            state(
                "length_test.strike",
                balls=test.balls_each,
                mishits=test.mishits,
                finds=test.finds_mishits,
                known="noted" if test.mishits_noted else "assumed",
            )
        )
    if test is None or not test.shows_spread:
        out.append(state("length_test.month"))
    if so_far is not None:
        out.append(
            state("length_test.so_far", ratio=so_far.ratio, down=so_far.balls_down, full=so_far.balls_full)
        )
        out.append(
            state(
                "length_test.mishits_so_far",
                down=so_far.mishits_down,
                of_down=so_far.mishits_down + so_far.balls_down,
                full=so_far.mishits_full,
                of_full=so_far.mishits_full + so_far.balls_full,
            )
        )
    return tuple(out)
