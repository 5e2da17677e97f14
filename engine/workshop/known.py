"""What is known of a club's figures: measured, ordered of a bench, taken from usual clubs, or estimated.

A figure that is the usual one counts as usual until somebody says that it was measured: bags are filled in with those.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..documents.case import FIGURES, SWING_WEIGHT, Club
from ..statements import Statement, state
from ..statistics import NINETY
from ..units import INCH, OUNCE
from .balance import FULCRUM_M, parts_sd_inoz, swing_weight_points, usual_parts, weigh
from .estimates import CLUB_SD, SET_SD
from .norms import is_usual

BASES = ("measured", "ordered", "usual", "estimated")
SHORT = {"length_m": "length", "loft_deg": "loft", "lie_deg": "lie", "head_kg": "head"}


@dataclass(frozen=True, slots=True)
class Known:
    """A figure of a club in its own unit, what it rests on (one of `BASES`), and half the width of its 90 % interval,
    0 where it was measured or ordered.
    """

    name: str
    value: float
    basis: str
    within: float


def known(club: Club) -> tuple[Known, ...]:
    """Length, loft, lie, head mass and swing weight [in oz] of a club, each with what it rests on."""
    figures = [
        Known(name, getattr(club, name), basis(club, name), NINETY * sd_of(club, name)) for name in FIGURES
    ]
    return (*figures, _swing_weight(club))


def basis(club: Club, name: str) -> str:
    """What a figure of `FIGURES` rests on, one of `BASES`."""
    if name in dict(club.estimated):
        return "estimated"
    if name in club.measured:
        return "measured"
    if name in club.ordered:
        return "ordered"
    return "usual" if is_usual(club, name) else "measured"


def start_of(club: Club, name: str) -> str:
    """What a figure rests on that has to be measured before it is changed; empty for one that is known."""
    what = basis(club, name)
    return what if what in ("usual", "estimated") else ""


def points_within(club: Club) -> float | None:
    """Half the width of the 90 % interval of a club's swing weight [points]; ``None`` where a scale showed it."""
    found = _swing_weight(club)
    if found.basis != "estimated":
        return None
    return swing_weight_points(found.value + found.within) - swing_weight_points(found.value)


def not_measured(clubs: Sequence[Club]) -> tuple[Statement, ...]:
    """What of these clubs nobody has measured, clubs of a kind together."""
    out = []
    for what in ("usual", "estimated", "ordered"):
        groups: dict[tuple[str, ...], list[Club]] = {}
        for club in clubs:
            names = tuple(SHORT[name] for name in FIGURES if basis(club, name) == what)
            groups.setdefault(names, []).append(club)
        out += [state(f"known.{what}", clubs=of, figures=names) for names, of in groups.items() if names]
    return tuple(out)


def sd_of(club: Club, name: str) -> float:
    """Standard deviation of a figure in its own unit."""
    what = basis(club, name)
    if what == "usual":
        return float(np.hypot(SET_SD[name], CLUB_SD[name]))
    return dict(club.estimated)[name] if what == "estimated" else 0.0


def _swing_weight(club: Club) -> Known:
    if club.swing_weight_inoz is not None:
        what = "ordered" if SWING_WEIGHT in club.ordered else "measured"
        return Known(SWING_WEIGHT, club.swing_weight_inoz, what, 0.0)
    parts = usual_parts(club)
    head = sd_of(club, "head_kg") * (club.length_m - FULCRUM_M)
    longer = sd_of(club, "length_m") * (parts.head + parts.shaft / 2)
    sd = np.hypot(parts_sd_inoz(club), np.hypot(head, longer) / (INCH * OUNCE))
    return Known(SWING_WEIGHT, weigh(parts).moment_inoz, "estimated", NINETY * float(sd))
