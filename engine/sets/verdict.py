"""The verdict: which layout, how sure, what decides, what it costs, and what would settle it."""

from __future__ import annotations

from dataclasses import dataclass

from ..documents.case import Case
from ..documents.result import Advice, LayoutResult
from ..statements import Statement, state
from ..statistics import Interval
from ..units import INCH
from .compare import CRITERIA, DECIDES, HOLD_DESCENT, Comparison

SURE, LIKELY = 0.90, 0.70
GRIPPED_DOWN_M = 1.5 * INCH
BALLS = 10
_MEASURE = {m.name: m for m in CRITERIA}


def advise(
    case: Case, layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...]
) -> tuple[Advice, ...]:
    """Advice on the set: the verdict between the layouts first, then the top of the irons, then what to hit next."""
    out: list[Advice] = []
    verdict = _verdict(layouts, comparison)
    if verdict:
        out.append(verdict)
    for layout in layouts:
        if case.wants.longest_iron == next((c.id for c in layout.clubs if c.family == "iron"), ""):
            out.append(_wished_iron(layout, str(case.wants.longest_iron)))
        elif layout.summary.get("top_iron") is not None:
            out.append(_top_iron(layout))
    learned = _length_is_open(case, layouts)
    if learned:
        out.append(learned)
    return tuple(out)


@dataclass(frozen=True, slots=True)
class Favourite:
    """The layout most likely to leave the smaller miss, the one it runs closest with, and the chance it is better."""

    best: str
    rival: str
    chance: float


def favourite(layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...]) -> Favourite | None:
    """How the layouts stand by `DECIDES`; ``None`` where no two of them have it."""
    rows = {(c.a, c.b): c for c in comparison if c.measure == DECIDES}
    if not rows:
        return None

    def beats(one: str, other: str) -> float:
        if (one, other) in rows:
            return 1 - rows[one, other].chance_b_better
        return rows[other, one].chance_b_better if (other, one) in rows else 1.0

    # A layout of too few clubs has no such measure and takes no part.
    compared = [layout.id for layout in layouts if any(layout.id in pair for pair in rows)]

    def rivals(one: str) -> list[str]:
        return [other for other in compared if (one, other) in rows or (other, one) in rows]

    best = max(compared, key=lambda one: min(beats(one, other) for other in rivals(one)))
    rival = min(rivals(best), key=lambda other: beats(best, other))
    return Favourite(best, rival, beats(best, rival))


def _verdict(layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...]) -> Advice | None:
    found = favourite(layouts, comparison)
    if found is None:
        return None
    names = {layout.id: layout.called for layout in layouts}
    pair = [names[found.best], names[found.rival]]
    row = next(c for c in comparison if c.measure == DECIDES and {c.a, c.b} == {found.best, found.rival})
    difference = _turned(row.difference, -1 if row.b == found.best else 1)
    if found.chance < LIKELY or abs(difference.mean) < _MEASURE[DECIDES].least:
        said = state("verdict.level", layouts=pair, difference=difference, chance=found.chance)
    else:
        sure = "almost_certain" if found.chance >= SURE else "probable"
        said = state("verdict.better", layouts=pair, difference=difference, chance=found.chance, sure=sure)
    between = tuple(c for c in comparison if {c.a, c.b} == {found.best, found.rival})
    pair_ids = (found.best, found.rival)
    return Advice(said, differences(layouts, between), found.chance, "verdict", pair_ids)


def differences(
    layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...]
) -> tuple[Statement, ...]:
    """What one layout has over another beside `DECIDES`: of each measure the surest pair, surest first.

    Only differences that are likely and that a player would notice; each with the better layout first.
    """
    names = {layout.id: layout.called for layout in layouts}
    rows: list[tuple[float, str, Statement]] = []
    for row in comparison:
        sure = max(row.chance_b_better, 1 - row.chance_b_better)
        if row.measure == DECIDES or sure < LIKELY or abs(row.difference.mean) < _MEASURE[row.measure].least:
            continue
        b_wins = row.chance_b_better >= 0.5
        pair = [names[row.b], names[row.a]] if b_wins else [names[row.a], names[row.b]]
        more = (1 if b_wins else -1) * (1 if _MEASURE[row.measure].better == "more" else -1)
        said = state(
            f"difference.{row.measure}",
            layouts=pair,
            difference=_turned(row.difference, more),
            chance=sure,
        )
        rows.append((sure, row.measure, said))
    rows.sort(key=lambda r: -r[0])
    surest: dict[str, Statement] = {}
    for _, measure, said in rows:
        surest.setdefault(measure, said)
    return tuple(surest.values())


def _turned(difference: Interval, sign: int) -> Interval:
    """A difference seen from the side that has the better of it."""
    low, high = sorted((sign * difference.lo90, sign * difference.hi90))
    return Interval(sign * difference.mean, low, high)


def _top_iron(layout: LayoutResult) -> Advice:
    top, sure = str(layout.summary["top_iron"]), float(layout.summary["top_iron_chance"])
    iron = next(c for c in layout.clubs if c.id == top)
    return Advice(
        state("advice.irons_stop", layouts=[layout.called], clubs=[iron], chance=sure),
        (state("advice.why_irons_stop", descent=HOLD_DESCENT),),
        sure,
        f"top:{layout.id}",
        (layout.id,),
    )


def _wished_iron(layout: LayoutResult, longest: str) -> Advice:
    """The player's own word on where the irons stop, beside the iron that would be taken without it."""
    clubs = {c.id: c for c in layout.clubs}
    top = layout.summary.get("top_iron")
    without = [] if top in (None, longest) else [clubs[str(top)]]
    return Advice(
        state("advice.irons_stop_as_wished", layouts=[layout.called], clubs=[clubs[longest]]),
        (state("advice.why_as_wished", clubs=without),),
        None,
        f"top:{layout.id}",
        (layout.id,),
    )


def _length_is_open(case: Case, layouts: tuple[LayoutResult, ...]) -> Advice | None:
    changed = any(layout.kind in ("single", "two_lengths", "single_wedges") for layout in layouts)
    if not changed or any(shot.grip_down_m > 0.01 and shot.use for shot in case.shots):
        return None
    return Advice(
        state("advice.hit_gripped_down", balls=BALLS, grip=GRIPPED_DOWN_M),
        (state("advice.why_gripped_down"),),
        None,
        "next",
    )
