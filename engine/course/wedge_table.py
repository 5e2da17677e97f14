"""The wedge table: what each wedge carries with every swing size, and the gaps from the shortest iron down."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..documents.case import Club
from ..sets.part_swings import WedgeLofts
from ..sets.predict import Prediction
from ..statements import Statement, state
from ..statistics import Interval, interval, intervals
from ..swing.part_swings import PartSwing

PART_GAP_M = 10.0
"""A gap [m] between neighbouring carries from the shortest iron down that is worth a word; ours, no source."""
BALLS = 3
"""Balls of a part swing that are asked for before anything is said of it; ours."""

Swung = tuple[Club, PartSwing | None]
"""A club and the part swing that it is hit with, ``None`` for a full one."""


@dataclass(frozen=True, slots=True)
class WedgeCarry:
    """A club at one size, ``swing_size`` ``None`` for the full swing: its mean carry [m] and the balls of it that counted.

    hit_first : nobody has hit it, and what it carries is known too roughly to be of use
    """

    club: str
    name: str
    swing_size: str | None
    size_name: str
    carry_m: Interval
    balls: int
    hit_first: bool
    statement: Statement | None


@dataclass(frozen=True, slots=True)
class SizeLearned:
    """A part swing: its share of full head speed [-], its shot-to-shot spread as a share of carry, its balls."""

    swing_size: str
    name: str
    share: Interval
    spread: float
    balls: int
    statement: Statement


@dataclass(frozen=True, slots=True)
class WedgeGap:
    """Two neighbouring carries: numbers into the table's carries, and the gap between them [m]."""

    longer: int
    shorter: int
    gap_m: Interval
    statement: Statement | None


@dataclass(frozen=True, slots=True)
class TopGap:
    """The gap [m] from the shortest iron that carries farther than every full wedge to the longest of these."""

    club: str
    name: str
    longer_m: float
    wedge: int
    gap_m: Interval
    statement: Statement | None


@dataclass(frozen=True, slots=True)
class WedgeTable:
    """Clubs by swing size.

    carries : club by club, the full swing first; top : the gap above the longest full wedge, ``None`` where no iron carries
    farther; gaps : from that wedge down, among the carries that are known; both with a statement where they are wider than
    ``wanted_gap_m``; lofts : those that close the gaps, where that was asked for
    """

    sizes: tuple[SizeLearned, ...]
    carries: tuple[WedgeCarry, ...]
    top: TopGap | None
    gaps: tuple[WedgeGap, ...]
    wanted_gap_m: float
    lofts: WedgeLofts | None
    statements: tuple[Statement, ...]


def wedge_table(
    swung: Sequence[Swung],
    prediction: Prediction,
    *,
    irons: Prediction,
    full_balls: Mapping[str, int],
    too_wide_m: float,
    gap_m: float | None = None,
    lofts: WedgeLofts | None = None,
) -> WedgeTable:
    """The table of clubs and swing sizes.

    Parameters
    ----------
    swung, prediction : each club at each size and, in the same order, what it does
    irons : full swings of the irons, draw by draw as ``prediction``
    full_balls : balls of each club's full swing that counted, by its id
    too_wide_m : a 90 % range [m] wider than this is too rough to be of use where nobody has hit it
    gap_m : widest gap wanted, `PART_GAP_M` if not given
    """
    found = intervals(prediction.carry) if swung else ()
    carries = tuple(
        _carry(club, part, carry, full_balls, too_wide_m)
        for (club, part), carry in zip(swung, found, strict=True)
    )
    wanted = PART_GAP_M if gap_m is None else gap_m
    sizes = {part.size.id: part for _, part in swung if part is not None}
    return WedgeTable(
        tuple(_learned(part) for part in sizes.values()),
        carries,
        _top(swung, carries, prediction, irons, wanted),
        _gaps(swung, carries, prediction, wanted),
        wanted,
        lofts,
        _statements(lofts, wanted),
    )


def _carry(
    club: Club, part: PartSwing | None, carry: Interval, full_balls: Mapping[str, int], too_wide_m: float
) -> WedgeCarry:
    name = club.name or club.id
    if part is None:
        return WedgeCarry(club.id, name, None, "", carry, full_balls.get(club.id, 0), False, None)
    balls = part.balls(club.id)
    rough = not balls and carry.hi90 - carry.lo90 > too_wide_m
    said = (
        state("wedges.hit_first", clubs=[club], quoted=[part.size.name], balls=BALLS)
        if rough
        else state(
            "wedges.carry",
            clubs=[club],
            quoted=[part.size.name],
            carry=carry,
            known="hit" if balls else "predicted",
        )
    )
    return WedgeCarry(club.id, name, part.size.id, part.size.name, carry, balls, rough, said)


def _learned(part: PartSwing) -> SizeLearned:
    share = interval(np.exp(part.log_share))
    balls = sum(group.carry.counted for group in part.summaries)
    said = state("wedges.share", quoted=[part.size.name], share=share, learned="balls" if balls else "prior")
    return SizeLearned(part.size.id, part.size.name, share, part.spread, balls, said)


def _longest_wedge(swung: Sequence[Swung], carries: Sequence[WedgeCarry]) -> int | None:
    full = [i for i, (club, part) in enumerate(swung) if part is None and club.family == "wedge"]
    return max(full, key=lambda i: carries[i].carry_m.mean, default=None)


def _top(
    swung: Sequence[Swung],
    carries: Sequence[WedgeCarry],
    prediction: Prediction,
    irons: Prediction,
    wanted: float,
) -> TopGap | None:
    wedge = _longest_wedge(swung, carries)
    if wedge is None:
        return None
    far = irons.carry.mean(axis=0)
    above = [n for n in range(len(irons.clubs)) if far[n] > carries[wedge].carry_m.mean]
    if not above:
        return None
    n = min(above, key=lambda n: float(far[n]))
    iron, longer = irons.clubs[n], float(far[n])
    gap = interval(irons.carry[:, n] - prediction.carry[:, wedge])
    said = None
    if gap.mean > wanted:
        said = _gap_said((iron, swung[wedge][0]), ("", ""), gap, longer, carries[wedge].carry_m.mean)
    return TopGap(iron.id, iron.name or iron.id, longer, wedge, gap, said)


def _gap_said(
    clubs: tuple[Club, Club], swings: tuple[str, str], gap: Interval, longer: float, shorter: float
) -> Statement:
    return state("wedges.gap", clubs=clubs, quoted=swings, gap=gap, longer=longer, shorter=shorter)


def _gaps(
    swung: Sequence[Swung], carries: Sequence[WedgeCarry], prediction: Prediction, wanted: float
) -> tuple[WedgeGap, ...]:
    first = _longest_wedge(swung, carries)
    if first is None:
        return ()
    most = carries[first].carry_m.mean
    below = [i for i, c in enumerate(carries) if not c.hit_first and c.carry_m.mean <= most]
    below.sort(key=lambda i: -carries[i].carry_m.mean)
    out = []
    for longer, shorter in itertools.pairwise(below):
        gap = interval(prediction.carry[:, longer] - prediction.carry[:, shorter])
        said = None
        if gap.mean > wanted:
            said = _gap_said(
                (swung[longer][0], swung[shorter][0]),
                (carries[longer].size_name, carries[shorter].size_name),
                gap,
                carries[longer].carry_m.mean,
                carries[shorter].carry_m.mean,
            )
        out.append(WedgeGap(longer, shorter, gap, said))
    return tuple(out)


def _statements(lofts: WedgeLofts | None, wanted: float) -> tuple[Statement, ...]:
    if lofts is None:
        return ()
    bent = tuple(
        state(
            "wedges.bend",
            clubs=[_Named(c.club, c.name)],
            change=abs(c.wanted_loft_deg - c.loft_deg),
            loft=c.wanted_loft_deg,
            way="weak" if c.wanted_loft_deg > c.loft_deg else "strong",
        )
        for c in lofts.clubs
        if c.wanted_loft_deg != c.loft_deg
    )
    result = "met" if lofts.met else "nearer" if bent else "hit_first" if lofts.hit_first else "nothing_helps"
    said = state(
        "wedges.lofts", wanted=wanted, widest=lofts.widest_m, after=lofts.widest_after_m, result=result
    )
    return (*bent, said)


@dataclass(frozen=True, slots=True)
class _Named:
    id: str
    name: str
