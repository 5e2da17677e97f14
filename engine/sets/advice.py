"""Advice on the set, and what one layout has over another."""

from __future__ import annotations

from dataclasses import dataclass

from ..documents.case import Case
from ..documents.result import Advice, LayoutResult
from ..statements import Statement, state
from ..statistics import Interval
from .compare import CRITERIA, DECIDES, HOLD_DESCENT, Comparison
from .next_ball import LEAST_GAIN, BallToHit, NextBalls
from .verdict import TOLD, Verdict

LIKELY = 0.70
_MEASURE = {m.name: m for m in CRITERIA}


def advise(
    case: Case, layouts: tuple[LayoutResult, ...], verdict: Verdict | None, found: NextBalls | None
) -> tuple[Advice, ...]:
    """Advice on the set: the verdict between two layouts first, then the top of the irons, then what to hit next of the
    balls ``found`` for that choice."""
    out: list[Advice] = []
    if verdict is not None:
        compared, *lines = verdict.lines
        out.append(Advice(compared, tuple(lines), None, "verdict", (verdict.other.id, verdict.base.id)))
    for layout in layouts:
        if case.wants.longest_iron == next((c.id for c in layout.clubs if c.family == "iron"), ""):
            out.append(_wished_iron(layout, str(case.wants.longest_iron)))
        elif layout.summary.get("top_iron") is not None:
            out.append(_top_iron(layout))
    if verdict is not None and found is not None and found.best is not None:
        out.append(_next(found, found.best, verdict, hit=any(shot.use for shot in case.shots)))
    return tuple(out)


@dataclass(frozen=True, slots=True)
class OpenChoice:
    """Of the two sets of the verdict the one more likely to miss by less on average, the other, and that chance."""

    ahead: str
    behind: str
    chance: float


def open_choice(comparison: tuple[Comparison, ...], verdict: Verdict | None) -> OpenChoice | None:
    """How the two sets of the verdict stand by `DECIDES`, which more balls can settle; ``None`` where they have none."""
    if verdict is None:
        return None
    pair = {verdict.base.id, verdict.other.id}
    row = next((c for c in comparison if c.measure == DECIDES and {c.a, c.b} == pair), None)
    if row is None:
        return None
    if row.chance_b_better >= 0.5:
        return OpenChoice(row.b, row.a, row.chance_b_better)
    return OpenChoice(row.a, row.b, 1 - row.chance_b_better)


def differences(
    layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...]
) -> tuple[Statement, ...]:
    """What one layout has over another: of each measure the surest pair, surest first.

    Only differences that a player would notice, with that chance and from the same chance on as in the verdict; each with
    the better layout first.
    """
    names = {layout.id: layout.called for layout in layouts}
    rows: list[tuple[float, str, Statement]] = []
    for row in comparison:
        sure = max(row.chance_gain, row.chance_give)
        if sure < TOLD:
            continue
        b_wins = row.chance_gain >= row.chance_give
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


def _next(found: NextBalls, best: BallToHit, verdict: Verdict, *, hit: bool) -> Advice:
    """The balls that settle most of the choice, where they are worth hitting; ``hit``: whether there are balls so far."""
    now = found.chance_now
    if not moves(found):
        said = state(
            "advice.nothing_to_hit",
            layouts=[next(name for name in (verdict.base, verdict.other) if name.id == found.b)],
            now=now,
            after=best.chance_right,
            balls=best.balls,
            hit="some" if hit else "none",
        )
        return Advice(said, (), None, "next")
    (club,) = best.why.clubs
    grip = best.grip_down_m if best.grip_down_m > 0 else None
    said = state(
        "advice.next_ball", clubs=[club], balls=best.balls, grip=grip, now=now, after=best.chance_right
    )
    return Advice(said, (best.why,), None, "next", (found.a, found.b))


def moves(found: NextBalls) -> bool:
    """Whether the best balls raise the chance of choosing right by enough to be worth hitting, as it is shown."""
    best = found.best
    gain = 0 if best is None else round(100 * best.chance_right) - round(100 * found.chance_now)
    return gain >= 100 * LEAST_GAIN
