"""Figures of a club that nobody knows, taken from the other clubs of its set where they can be, else from what is usual.

What is known of the same kind of club tells by how much this set lies from the usual one. How far sets lie from the usual
clubs, and clubs from their own set, is common practice, no source: makers differ by 1/4 to 1/2 in of length and 2 to 4 deg
of loft, while within a set clubs are made to an eighth of an inch, a degree and two or three grams.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..documents.case import FIGURES, Club
from ..units import GRAM, INCH, OUNCE
from .balance import FULCRUM_M, head_for_swing_weight, parts_sd_inoz, usual_parts
from .norms import NORMS, norm_club

SET_SD = {"length_m": 0.25 * INCH, "loft_deg": 1.5, "lie_deg": 1.0, "head_kg": 6 * GRAM}
"""How far a set lies from the usual clubs [m], [deg], [kg], one standard deviation."""
CLUB_SD = {"length_m": 0.125 * INCH, "loft_deg": 0.75, "lie_deg": 0.5, "head_kg": 3 * GRAM}
"""How far a club lies from its own set."""
DECIMALS = {"length_m": 6, "loft_deg": 1, "lie_deg": 1, "head_kg": 6}
"""To which an estimate is told, as it is shown everywhere: an angle that may be off by a degree has no hundredths."""
ALIKE = {"iron": ("iron", "wedge"), "wedge": ("iron", "wedge"), "fairway": ("fairway", "hybrid")}
ALIKE["hybrid"] = ALIKE["fairway"]
"""Families made as one set."""


def with_estimates(bag: Sequence[Club], *, sex: str | None = None) -> tuple[Club, ...]:
    """The bag with every figure that is not known estimated anew; the very same clubs where nothing changes.

    Parameters
    ----------
    bag : clubs whose ``estimated`` names the figures that are not known
    sex : whose usual clubs they are held against, as in `engine.workshop.norms.norm_club`
    """
    return tuple(_estimated(club, bag, sex) if club.estimated else club for club in bag)


def _estimated(club: Club, bag: Sequence[Club], sex: str | None) -> Club:
    usual = _usual(club, sex)
    found = {name: _one(club, usual, name, bag, sex) for name, _ in club.estimated}
    values = {name: value for name, (value, _) in found.items()}
    made = replace(club.known(**values), estimated=tuple((name, sd) for name, (_, sd) in found.items()))
    if "head_kg" in found and club.swing_weight_inoz is not None:
        made = head_by_swing_weight(made)
    return club if made == club else made


def head_by_swing_weight(club: Club) -> Club:
    """The club with its head mass estimated from its swing weight, and how far it may be off for what is not known of
    shaft, grip and length.
    """
    assert club.swing_weight_inoz is not None
    low, high = FIGURES["head_kg"]
    parts = usual_parts(club)
    head = min(max(head_for_swing_weight(parts, club.swing_weight_inoz), low), high)
    reach = club.length_m - FULCRUM_M
    off = dict(club.estimated).get("length_m", 0.0) * (head + parts.shaft / 2)
    sd = float(np.hypot(parts_sd_inoz(club) * INCH * OUNCE, off) / reach)
    others = tuple(one for one in club.estimated if one[0] != "head_kg")
    return replace(club, head_kg=round(head, 6), estimated=(*others, ("head_kg", sd)))


def _one(club: Club, usual: Club, name: str, bag: Sequence[Club], sex: str | None) -> tuple[float, float]:
    """A figure and its standard deviation: the usual one, moved as the set's known clubs lie from theirs."""
    off = [
        getattr(other, name) - getattr(_usual(other, sex), name)
        for other in bag
        if other.id != club.id
        and other.became is None
        and other.family in ALIKE.get(club.family, (club.family,))
        and name not in dict(other.estimated)
    ]
    of_set, of_club = SET_SD[name] ** 2, CLUB_SD[name] ** 2
    weight = len(off) * of_set / (len(off) * of_set + of_club)
    moved = weight * float(np.mean(off)) if off else 0.0
    low, high = FIGURES[name]
    value = min(max(getattr(usual, name) + moved, low), high)
    return round(value, DECIMALS[name]), float(np.sqrt(of_club + of_set * (1 - weight)))


def _usual(club: Club, sex: str | None) -> Club:
    """The usual club to hold this one against: of its id, else of its family the one nearest in what is known of it."""
    known = NORMS.get(club.id)
    if known is not None and known.family == club.family:
        return norm_club(club.id, sex)
    others = [norm_club(n.id, sex) for n in NORMS.values() if n.family == club.family]
    guessed = dict(club.estimated)
    for name in ("loft_deg", "length_m"):
        if name not in guessed:
            return min(others, key=lambda c: abs(getattr(c, name) - getattr(club, name)))
    return others[len(others) // 2]
