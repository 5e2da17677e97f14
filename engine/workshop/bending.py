"""Bending loft and lie: how far a head may go, and what its bounce becomes.

The limits are common practice, no source: about 4 deg for a soft forged head and 2 deg for a cast one (1 deg is often
said of hard castings, 3 deg of softer ones). A limit known for the head itself always comes first, and no table makes
a bend safe: the cautions of `engine.workshop.cautions` go with every bend.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..documents.case import BENDS, Club
from ..statements import Statement, state
from .known import start_of
from .limits import BEND_LIMIT_DEG, SMALLEST_BEND_DEG, UNKNOWN_BEND_LIMIT_DEG

BENDABLE = ("iron", "wedge", "putter")
NOT_BENT: dict[str, Any] = dict.fromkeys(("bent_loft_deg", "bent_lie_deg", *BENDS))
"""A head as it came."""


@dataclass(frozen=True, slots=True)
class Bend:
    """A bend of one head. ``loft_deg`` positive is weaker, ``lie_deg`` positive is more upright [deg].

    feasible : whether both stay within ``limit_deg``, counted from the head as it came
    nearest_loft_deg, nearest_lie_deg : what the head can come to [deg], the wish itself where feasible
    bounce_deg : after the bend to ``nearest_loft_deg`` [deg], ``None`` if not known before
    statements : what to do
    """

    loft_deg: float
    lie_deg: float
    limit_deg: float
    feasible: bool
    nearest_loft_deg: float
    nearest_lie_deg: float
    bounce_deg: float | None
    statements: tuple[Statement, ...]

    @property
    def nearest(self) -> tuple[tuple[str, float], tuple[str, float]]:
        """What the head can come to [deg], by the name of the figure."""
        return ("loft_deg", self.nearest_loft_deg), ("lie_deg", self.nearest_lie_deg)


def limit_of(club: Club) -> float:
    """How far [deg] the head may be bent from how it came; 0 for heads without a hosel to bend."""
    if club.bend_limit_deg is not None:
        return club.bend_limit_deg
    if club.family not in BENDABLE:
        return 0.0
    return BEND_LIMIT_DEG.get(club.head_material or "", UNKNOWN_BEND_LIMIT_DEG)


def bend_range(club: Club, name: str) -> tuple[float, float]:
    """How far [deg] the head may yet be bent down (0 or less) and up: bends add up for the life of a head.

    name : ``"loft_deg"`` or ``"lie_deg"``
    """
    limit, bent = limit_of(club), bent_so_far(club, name)
    return min(-limit - bent, 0.0), max(limit - bent, 0.0)


def bent_so_far(club: Club, name: str) -> float:
    """How far [deg] the head has been bent in ``"loft_deg"`` or ``"lie_deg"`` since it came."""
    return float(getattr(club, f"bent_{name}") or 0.0)


def history(club: Club, name: str) -> tuple[float, float]:
    """How far [deg] the head stood at most from how it came in ``"loft_deg"`` or ``"lie_deg"``, and all its bends added up,
    there and back.
    """
    bent, kept = abs(bent_so_far(club, name)), f"bent_{name.removesuffix('_deg')}"
    most, total = (float(getattr(club, f"{kept}_{what}_deg") or 0.0) for what in ("most", "sum"))
    return max(bent, most), max(bent, total)


def bent_to(club: Club, bent: Mapping[str, float]) -> dict[str, float | None]:
    """What is kept of a head's bends once it is ``bent`` by so much [deg] from how it came, by the names of `Club`."""
    out: dict[str, float | None] = {}
    for name, now in bent.items():
        most, total = history(club, name)
        total += abs(now - bent_so_far(club, name))
        out[f"bent_{name}"] = round(now, 6) or None
        for what, value in (("most", max(most, abs(now))), ("sum", total)):
            kept = round(value, 6) if value > abs(now) + 1e-6 else None
            out[f"bent_{name.removesuffix('_deg')}_{what}_deg"] = kept
    return out


def strain(club: Club, made: Club) -> tuple[Statement, ...]:
    """What to heed where a head is bent that stood past its limit before, in either angle, or whose bends add up to more
    than that: they tire one hosel. Nothing where no angle is bent; common practice, no source.
    """
    by = {name: abs(getattr(made, name) - getattr(club, name)) for name in ("loft_deg", "lie_deg")}
    bends = [(*history(club, name), name) for name in by]
    limit = limit_of(club)
    past = [
        (most, total + by[name], name)
        for most, total, name in bends
        if max(most, total + by[name]) > limit + 1e-6
    ]
    if not past or not any(by.values()):
        return ()
    most, total, name = max(past)
    return (state("work.strained", figure=name.removesuffix("_deg"), limit=limit, most=most, total=total),)


def bent_towards(club: Club, name: str, wanted_deg: float) -> float | None:
    """How far [deg] the head has been bent the way it is to be bent again; ``None`` where it was not."""
    bent, change = bent_so_far(club, name), wanted_deg - float(getattr(club, name))
    return abs(bent) if bent * change > 0 else None


def bounce_after(*, bounce_deg: ArrayLike, loft_change_deg: ArrayLike) -> Any:
    """Bounce [deg] of a head whose loft was bent by so much [deg]: degree for degree, weaker is more (rigid rotation)."""
    return np.asarray(bounce_deg, float) + np.asarray(loft_change_deg, float)


def bend(
    club: Club,
    *,
    loft_deg: float | None = None,
    lie_deg: float | None = None,
    least_deg: float = SMALLEST_BEND_DEG,
) -> Bend:
    """Bend a club's head to a wanted loft and lie [deg], as far as it allows; ``None`` leaves it.

    ``least_deg`` is the least bend that is spoken of [deg].
    """
    limit = limit_of(club)
    loft = 0.0 if loft_deg is None else loft_deg - club.loft_deg
    lie = 0.0 if lie_deg is None else lie_deg - club.lie_deg
    can_loft, can_lie = (
        float(np.clip(x, *bend_range(club, name))) for x, name in ((loft, "loft_deg"), (lie, "lie_deg"))
    )
    bounce = (
        None
        if club.bounce_deg is None
        else float(bounce_after(bounce_deg=club.bounce_deg, loft_change_deg=can_loft))
    )
    todo = tuple(
        state(
            kind,
            change=abs(x),
            way=more if x > 0 else less,
            to=getattr(club, name) + x,
            start=(start := start_of(club, name)),
            most=abs(bend_range(club, name)[x > 0]) if start else None,
        )
        for kind, name, x, more, less in (
            ("work.bend_loft", "loft_deg", can_loft, "weak", "strong"),
            ("work.bend_lie", "lie_deg", can_lie, "upright", "flat"),
        )
        if abs(x) >= least_deg - 1e-9
    )
    return Bend(
        loft,
        lie,
        limit,
        abs(loft - can_loft) <= 1e-9 and abs(lie - can_lie) <= 1e-9,
        club.loft_deg + can_loft,
        club.lie_deg + can_lie,
        bounce,
        todo,
    )
