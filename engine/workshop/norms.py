"""What clubs usually measure, for prefilling a bag that nobody has measured yet.

Women's clubs are an inch shorter than men's, with heads 4 to 6 g lighter and irons half a degree flatter, which is what
shorter players come to; common practice, from memory.

Common practice, no source: there is no standard, and makers differ by 1/4 to 1/2 in of length and 2 to 4
deg of loft. The lengths of the 5, 6 and 7-iron (38, 37.5 and 37 in) and of the driver (about 45.5 in) were
also read in magazine and university columns. Bounce angles are from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..documents.case import Club
from ..units import GRAM, INCH

GRIP_M = 3 * INCH  # [m] from the butt to the middle of the hands; common practice


@dataclass(frozen=True, slots=True)
class Norm:
    """Usual measures of one club in the trade's units.

    Lengths [in] for men and women, for men the low and the high end of the usual loft [deg] (for irons the strong
    and the middle of modern sets), lie [deg], head mass [g], bounce [deg] or ``None`` where nobody speaks
    of it.
    """

    id: str
    name: str
    family: str
    men_in: float
    women_in: float
    loft_low: float
    loft_high: float
    lie: float
    head_g: float
    bounce: float | None = None


WOMEN_LIGHTER_G = {"driver": 6, "fairway": 6, "hybrid": 5, "iron": 4, "wedge": 4, "putter": 0}
WOMEN_FLATTER_DEG = {"iron": 0.5, "wedge": 0.5}
WOMEN_SHORTER_M = INCH
"""Heads, lies and irons' lengths of women's clubs beside men's, by family; common practice, from memory."""

NORMS: dict[str, Norm] = {
    norm.id: norm
    for norm in (
        Norm("dr", "Driver", "driver", 45.5, 44.5, 9, 12, 58.5, 200),
        Norm("3w", "3-wood", "fairway", 43, 42, 14.5, 16, 57.5, 210),
        Norm("5w", "5-wood", "fairway", 42.5, 41.5, 17.5, 19, 58, 215),
        Norm("7w", "7-wood", "fairway", 42, 41, 20.5, 22.5, 58.5, 220),
        Norm("9w", "9-wood", "fairway", 41.5, 40.5, 23.5, 25.5, 59, 226),
        Norm("2h", "2-hybrid", "hybrid", 40.5, 39.5, 16, 18, 58.5, 228),
        Norm("3h", "3-hybrid", "hybrid", 40, 39, 18.5, 20.5, 59, 232),
        Norm("4h", "4-hybrid", "hybrid", 39.5, 38.5, 21.5, 23.5, 59.5, 238),
        Norm("5h", "5-hybrid", "hybrid", 39, 38, 24.5, 26.5, 60, 244),
        Norm("6h", "6-hybrid", "hybrid", 38.5, 37.5, 27.5, 30, 60.5, 250),
        Norm("3i", "3-iron", "iron", 39, 38, 19, 21, 59.5, 241, 2),
        Norm("4i", "4-iron", "iron", 38.5, 37.5, 20, 24, 60.25, 247, 3),
        Norm("5i", "5-iron", "iron", 38, 37, 22.5, 27, 61, 254, 3),
        Norm("6i", "6-iron", "iron", 37.5, 36.5, 25.5, 31, 61.5, 261, 4),
        Norm("7i", "7-iron", "iron", 37, 36, 28.5, 34.5, 62.25, 268, 4),
        Norm("8i", "8-iron", "iron", 36.5, 35.5, 33, 38.5, 62.75, 275, 5),
        Norm("9i", "9-iron", "iron", 36, 35, 38, 42.5, 63.25, 282, 5),
        Norm("pw", "Pitching wedge", "wedge", 35.5, 34.5, 42.5, 47, 63.75, 288, 6),
        Norm("gw", "Gap wedge", "wedge", 35.5, 34.5, 47, 52, 64, 293, 8),
        Norm("sw", "Sand wedge", "wedge", 35.25, 34.25, 54, 56, 64, 299, 12),
        Norm("lw", "Lob wedge", "wedge", 35, 34, 58, 60, 64, 302, 8),
        Norm("pt", "Putter", "putter", 34.5, 33, 2, 4, 71, 350),
    )
}

_BY_LOFT = {
    family: sorted(
        (
            (n.loft_low + n.loft_high) / 2 if family in ("driver", "fairway", "hybrid") else n.loft_high,
            n.men_in,
            n.head_g,
        )
        for n in NORMS.values()
        if n.family in members
    )
    for family, members in (
        ("driver", ("driver",)),
        ("fairway", ("fairway",)),
        ("hybrid", ("hybrid",)),
        ("iron", ("iron", "wedge")),
        ("wedge", ("iron", "wedge")),
    )
}


def usual_build(loft_deg: float, family: str) -> tuple[float, float]:
    """Length [m] and head mass [kg] that usually go with a loft in a family (men's; irons and wedges are one line)."""
    line = _BY_LOFT[family]
    low = max((i for i, one in enumerate(line) if one[0] <= loft_deg), default=0)
    a, b = line[low], line[min(low + 1, len(line) - 1)]
    share = min(max((loft_deg - a[0]) / (b[0] - a[0]), 0.0), 1.0) if b[0] > a[0] else 0.0
    length, head = (a[k] + share * (b[k] - a[k]) for k in (1, 2))
    return length * INCH, head * GRAM


def usual_length(club: Club, sex: str | None = None) -> float:
    """Length [m] that such a club usually has, by its name in `NORMS`, of others by loft; ``sex`` as in `norm_club`."""
    norm = NORMS.get(club.id)
    if norm is not None and norm.family == club.family:
        return norm_club(club.id, sex).length_m
    return usual_build(club.loft_deg, club.family)[0] - WOMEN_SHORTER_M * (sex == "female")


USUAL_FOURTEEN = ("dr", "3w", "5w", "4h", "5i", "6i", "7i", "8i", "9i", "pw", "gw", "sw", "lw", "pt")


def norm_club(club_id: str, sex: str | None = None) -> Club:
    """The usual club of this id, in SI.

    Irons and wedges take the middle of modern lofts. Woods and hybrids take the middle of their usual range
    for men and for players whose sex is not known, its high end for women; the putter has 3 deg. Women's
    clubs are shorter, with lighter heads and flatter irons (`WOMEN_LIGHTER_G`, `WOMEN_FLATTER_DEG`).

    Parameters
    ----------
    club_id : one of `NORMS`
    sex : ``"female"``, ``"male"`` or ``None`` (as for men)

    Raises
    ------
    KeyError
        If the table has no such club.
    """
    return _USUAL_CLUBS[club_id, sex == "female"]


def _usual_club(norm: Norm, *, woman: bool) -> Club:
    if woman:
        flatter, lighter = WOMEN_FLATTER_DEG.get(norm.family, 0.0), WOMEN_LIGHTER_G[norm.family]
        norm = replace(norm, lie=norm.lie - flatter, head_g=norm.head_g - lighter)
    loft = norm.loft_high
    if norm.family == "putter" or (not woman and norm.family in ("driver", "fairway", "hybrid")):
        loft = (norm.loft_low + norm.loft_high) / 2
    return Club(
        id=norm.id,
        name=norm.name,
        family=norm.family,
        length_m=(norm.women_in if woman else norm.men_in) * INCH,
        loft_deg=loft,
        lie_deg=norm.lie,
        head_kg=norm.head_g * GRAM,
    )


_USUAL_CLUBS = {
    (id_, woman): _usual_club(norm, woman=woman) for id_, norm in NORMS.items() for woman in (False, True)
}


def norm_bag(sex: str | None = None) -> tuple[Club, ...]:
    """The usual fourteen clubs: driver, two woods, a hybrid, five irons, four wedges and a putter.

    >>> len(norm_bag()), norm_bag("female")[0].family
    (14, 'driver')
    """
    return tuple(norm_club(club_id, sex) for club_id in USUAL_FOURTEEN)


def is_usual(club: Club, name: str) -> bool:
    """Whether a figure of a club is what such a club usually has, a man's or a woman's, of weaker or stronger lofts."""
    norm = NORMS.get(club.id)
    if norm is None or norm.family != club.family:
        return False
    usual = [getattr(norm_club(club.id, sex), name) for sex in ("male", "female")]
    if name == "loft_deg":
        usual += [norm.loft_low, WEAKER_LOFTS.get(club.id, norm.loft_low)]
    return any(abs(getattr(club, name) - value) < 1e-6 for value in usual)


START_BAGS = ("men", "women", "stronger", "weaker")
# lofts of older and of softer-hitting sets [deg]; common practice, from memory
WEAKER_LOFTS = {
    "3i": 22.0,
    "4i": 25.0,
    "5i": 28.0,
    "6i": 32.0,
    "7i": 36.0,
    "8i": 40.0,
    "9i": 44.0,
    "pw": 48.0,
    "gw": 52.0,
    "sw": 56.0,
    "lw": 60.0,
}


def start_bag(kind: str, *, sex: str | None = None) -> tuple[Club, ...]:
    """A bag to start from: the usual fourteen with men's or women's measures, or with stronger or weaker lofts.

    Stronger irons and wedges take the low end of modern lofts, weaker ones the lofts of older sets; both have the
    lengths that are usual for ``sex``.

    Parameters
    ----------
    kind : one of ``START_BAGS``
    sex : as in `norm_club`; of no account for ``men`` and ``women``

    Raises
    ------
    KeyError
        For any other kind.
    """
    if kind in ("men", "women"):
        return norm_bag({"men": "male", "women": "female"}[kind])
    lofts = {"stronger": {n.id: float(n.loft_low) for n in NORMS.values()}, "weaker": WEAKER_LOFTS}[kind]
    return tuple(
        replace(c, loft_deg=lofts[c.id]) if c.family in ("iron", "wedge") else c for c in norm_bag(sex)
    )


WOOD_FAMILIES = ("fairway", "hybrid")


def usual_woods(bag: Sequence[Club], *, sex: str | None = None) -> tuple[Club, ...]:
    """The bag's fairway woods and hybrids, and of the usual ones those it has none of; straightest face first."""
    have = [c for c in bag if c.family in WOOD_FAMILIES]
    ids = {c.id for c in have}
    usual = [norm_club(n.id, sex) for n in NORMS.values() if n.family in WOOD_FAMILIES and n.id not in ids]
    return tuple(sorted([*have, *usual], key=lambda c: (WOOD_FAMILIES.index(c.family), c.loft_deg)))
