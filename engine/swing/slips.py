"""Carries that look like a slip of the finger, so that somebody can be asked: a digit lost, or another swing than noted.

A ball is asked about only where it lies far from what the club carries and something simple would put it right, or
far beyond the other balls of its club; a short ball of a part swing of which nothing is known yet is no slip. Nothing is
changed or left out here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log

import numpy as np

from ..documents.case import Case, Club
from ..shots.robust_statistics import median
from ..statements import Statement, state
from ..units import MPH, YARD
from .departures import FALL
from .parameters import REFERENCE_LOFT, prior

USUAL_YD, USUAL_MPH, YD_PER_MPH = 172.0, 90.0, 2.2
"""A 7-iron's carry at a head speed, and per mph: men 172 yd at 90, women 141 at 76; circulated tour averages, no source."""
FAR = {"same": 0.5, "others": 0.4, "usual": 0.25}
"""Below this share of what a ball should carry, or as far above it, it is far off, by what that is known from; ours."""
NEAR = {"same": 0.2, "others": 0.25, "usual": 0.6}
"""[log carry], how near to it the ball comes once it is put right; ours."""
KNOWN = 3.0  # what other clubs say counts up to this many times the usual, or down to as little of it
SHORT = 0.75  # of the full carry: a ball shorter than this may be one of a part swing
SHARES = (
    0.3,
    0.65,
)  # of the full carry, a part swing that nobody has hit yet, where a ball may be taken for one
LONGER, HALF = 1.3, 0.58
"""Of the full carry: what no part swing carries, and what a middling one does; ours, and common practice."""
FITS = 0.15  # [log carry], how near to a swing's own carries its balls come down, less than three spreads
TOO_LONG = 1.5  # of what the other balls of its club carry with a full swing: a mishit falls short; ours
MOST_MEANT = 2


@dataclass(frozen=True, slots=True)
class Slip:
    """A ball to ask about: its number among the shots, the question, and what would put it right.

    carries_m : the carries [m] that a digit more or less makes of it, the likeliest first, none where that does not help
    swings : the swings whose carries it fits, ids of part swings, ``None`` for the full swing
    unnamed : whether it may be of a part swing that has no name yet
    """

    shot: int
    statement: Statement
    carries_m: tuple[float, ...]
    swings: tuple[str | None, ...]
    unnamed: bool = False


@dataclass(frozen=True, slots=True)
class _Level:
    """What a ball should carry [m], and what that is known from."""

    carry: float
    by: str


def slips(case: Case, *, unit_m: float = 1.0) -> tuple[Slip, ...]:
    """The balls of a case that somebody should look at, in the order of its shots.

    Balls that are left out, or that somebody said count whatever they are, are not asked about. ``unit_m`` is the unit [m]
    that carries are typed in: a digit lost is one of that number.
    """
    seen = _Seen(case)
    found = [
        slip
        for key, numbers in seen.groups.items()
        for n in numbers
        if not case.shots[n].keep and (slip := seen.slip(key, n, unit_m)) is not None
    ]
    return tuple(sorted(found, key=lambda slip: slip.shot))


class _Seen:
    """The balls of a case by club and swing, and what each should carry by the others."""

    def __init__(self, case: Case):
        self.case = case
        self.clubs: Mapping[str, Club] = {c.id: c for c in case.bag if c.family != "putter"}
        self.groups: dict[tuple[str, str | None], list[int]] = {}
        for n, shot in enumerate(case.shots):
            if shot.use and shot.carry_m is not None and shot.club in self.clubs:
                self.groups.setdefault((shot.club, shot.swing_size), []).append(n)
        self.middle = {key: median([self.carry(i) for i in numbers]) for key, numbers in self.groups.items()}
        speed = exp(float(np.asarray(prior(case)[0])[0])) / MPH
        self.seven = YARD * max(USUAL_YD + YD_PER_MPH * (speed - USUAL_MPH), USUAL_YD / 4)

    def carry(self, n: int) -> float:
        return self.case.shots[n].carry_m or 0.0

    def slip(self, key: tuple[str, str | None], n: int, unit_m: float) -> Slip | None:
        """What is odd about a ball, ``None`` where nothing is."""
        club, size = key
        level, carry = self.level(key, n), self.carry(n)
        typed = _typed(carry / unit_m)
        meant: tuple[float, ...] = ()
        if level is None:
            level = _Level(self.full(club).carry, "full")
            if carry < LONGER * level.carry:
                return None
            meant = _meant(typed, HALF * level.carry / unit_m, NEAR["usual"])
        elif not FAR[level.by] <= carry / level.carry <= 1 / FAR[level.by]:
            meant = _meant(typed, level.carry / unit_m, NEAR[level.by])
        swings = self.swings(key, carry, level) if level.by in ("same", "others") else ()
        unnamed = False
        if not swings and size is None and level.by == "others" and self.halved(club, carry, level):
            swings = tuple(s.id for s in self.case.swing_sizes if s.meant_for(self.clubs[club]))
            unnamed = not swings
        far = size is None and level.by == "same" and carry > TOO_LONG * level.carry
        if not meant and not swings and not unnamed and not far:
            return None
        names = {s.id: s.name for s in self.case.swing_sizes}
        asked = state(
            "slip",
            clubs=[self.clubs[club]],
            quoted=[names.get(size or "", "")],
            carry=carry,
            near=level.carry,
            by=level.by,
        )
        return Slip(n, asked, tuple(round(x * unit_m, 2) for x in meant), swings, unnamed)

    def all_halved(self, key: tuple[str, str | None], beside: _Level) -> bool:
        """Whether the balls of a full swing, taken together, were perhaps part swings, and nobody has said they were not."""
        told = any(self.case.shots[i].keep for i in self.groups.get(key, ()))
        open_ = key in self.middle and key[1] is None and beside.by == "others" and not told
        return open_ and self.halved(key[0], self.middle[key], beside)

    def halved(self, club: str, carry: float, full: _Level) -> bool:
        """Whether a carry is that of a part swing with a club that such swings are for."""
        sizes = (size.meant_for(self.clubs[club]) for size in self.case.swing_sizes)
        part = self.clubs[club].family == "wedge" or any(sizes)
        return part and SHARES[0] < carry / full.carry < SHARES[1]

    def level(self, key: tuple[str, str | None], n: int) -> _Level | None:
        """What a ball should carry by the others of its club and swing, else by other clubs, else by what is usual."""
        numbers = self.groups.get(key, ())
        beside = self.beside(*key)
        if beside and self.all_halved(key, beside):
            return beside
        if len(numbers) > 2:
            middle = self.middle[key]
            if (
                not SHORT <= self.carry(n) / middle <= 1 / SHORT
            ):  # many of one club: only a far ball is held against the rest
                middle = median([self.carry(i) for i in numbers if i != n])
            return _Level(middle, "same")
        other = next((self.carry(i) for i in numbers if i != n), None)
        if other is None or (
            beside and abs(log(other / beside.carry)) >= abs(log(self.carry(n) / beside.carry))
        ):
            return beside
        return _Level(other, "same")

    def beside(self, club: str, size: str | None) -> _Level | None:
        """What a club should carry with a swing by everything but its own balls of it; nothing is usual of a part swing."""
        if size is not None:
            shares = [
                self.middle[c, s] / self.full(c).carry for c, s in self.groups if s == size and c != club
            ]
            return _Level(median(shares) * self.full(club).carry, "others") if shares else None
        loft = self.clubs[club].played_loft_deg
        usual = self.seven * exp(FALL * (REFERENCE_LOFT - loft))
        told = [
            m * exp(FALL * (self.clubs[c].played_loft_deg - loft))
            for (c, s), m in self.middle.items()
            if s is None and c != club
        ]
        told = [m for m in told if 1 / KNOWN < m / usual < KNOWN]
        return _Level(median(told), "others") if told else _Level(usual, "usual")

    def full(self, club: str) -> _Level:
        """The full carry of a club."""
        found = self.beside(club, None)
        assert found is not None
        if len(self.groups.get((club, None), ())) > 1 and not self.all_halved((club, None), found):
            return _Level(self.middle[club, None], "same")
        return found

    def swings(self, key: tuple[str, str | None], carry: float, level: _Level) -> tuple[str | None, ...]:
        """The other swings of the club whose carries a ball fits, where it does not fit its own."""
        club, own = key
        full = self.full(club)
        if SHORT <= carry / level.carry <= 1 / SHORT or (own is None and carry > level.carry):
            return ()
        mine: list[str | None] = []  # swings whose carries are known
        any_: list[str | None] = []
        if own is not None and full.by != "usual" and abs(log(carry / full.carry)) < FITS:
            mine.append(None)
        for size in self.case.swing_sizes:
            if size.id == own or not size.meant_for(self.clubs[club]):
                continue
            middle = self.middle.get((club, size.id))
            known = self.beside(club, size.id) if middle is None else _Level(middle, "same")
            if known is None and own is None and SHARES[0] < carry / full.carry < SHARES[1]:
                any_.append(size.id)
            elif known is not None and abs(log(carry / known.carry)) < FITS:
                mine.append(size.id)
        return tuple(mine or any_)


def _typed(number: float) -> float:
    """A carry in its unit as it was typed; in metres it is kept to the centimetre."""
    return next((r for n in (0, 1) if abs((r := round(number, n)) - number) < 0.006), number)


def _meant(typed: float, near: float, within: float) -> tuple[float, ...]:
    """The numbers, two at most, that a digit more or less, or a point, makes of what was typed and that lie near another."""
    made = (typed * 10, typed / 10, *(typed + hundred for hundred in (100, 200, 300)))
    off = sorted((abs(log(x / near)), x) for x in made)
    return tuple(x for far, x in off[:MOST_MEANT] if far < within)
