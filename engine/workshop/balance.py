"""How a club balances: total mass, balance point, swing weight and moment of inertia about the butt.

A club is taken as three parts on one line from the butt: grip, shaft and head. The head's own size is left out
(its inertia about its own centre is a few thousandths of the club's), and its centre of mass is taken at the
club's full length.

Swing weight is the trade's static balance, the moment about a fulcrum 14 in from the butt in inch ounces: D0 is
213.5 in oz and a point is 1.75 in oz, ten points to a letter (trade constants, from memory; the fulcrum and "50 g
in to a point", that is 1.764 in oz, were read in club-making texts).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

from ..documents.case import Club
from ..units import GRAM, INCH, OUNCE
from .limits import LONGEST_EXTENSION_M

FULCRUM_M = 14 * INCH
A0_INOZ = 161.0  # [in oz]
POINT_INOZ = 1.75  # [in oz] a point
POINTS_A_LETTER = 10
LETTERS = "ABCDEFG"

GRIP_LENGTH_M = 10.5 * INCH  # common practice
SHAFT_IN_HEAD_M = (
    1.25 * INCH
)  # [m] of the length that lies in the head below the shaft's tip; common practice
LARGEST_POINT = 69.9
LEAST_FOR_WHOLE = 0.5  # [points] either way, from where on a swing weight is told in whole ones

GRIP_POINTS = 10
"""By how much a club weighs too heavy while it has no grip [points]: about 50 g, 10 in above the fulcrum; common practice,
no source."""

BUTT_SHARE = 0.85
"""Mass per length near the butt over that of the whole shaft: the wall is thinner there; gives 2.8 g an inch for 118 g."""

EXTENSION_KG_PER_M = 8 * GRAM / INCH
"""Mass of a butt extension per length it adds, with the part that lies inside the shaft."""

SHAFT_KG = {
    "driver": 60 * GRAM,
    "fairway": 65 * GRAM,
    "hybrid": 75 * GRAM,
    "iron": 118 * GRAM,
    "wedge": 118 * GRAM,
    "putter": 115 * GRAM,
}
GRIP_KG = {"putter": 65 * GRAM}
USUAL_GRIP_KG = 50 * GRAM
"""Usual masses where nobody weighed them: common practice, no source. Shafts of irons and wedges weigh the same, whatever
their lengths, so that equal heads on equal lengths come out alike."""
SHAFT_SD_KG = {
    "driver": 8 * GRAM,
    "fairway": 8 * GRAM,
    "hybrid": 10 * GRAM,
    "iron": 15 * GRAM,
    "wedge": 12 * GRAM,
    "putter": 12 * GRAM,
}
GRIP_SD_KG = 4 * GRAM
BALANCE_SD = 0.01
"""How far shafts and grips lie from the usual, and a shaft's balance from its middle [-]: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Parts:
    """What a club is made of. Masses [kg], positions of centres of mass from the butt [m].

    length : of the club [m]; shaft_length : of the cut shaft [m].
    """

    length: float
    head: float
    shaft: float
    grip: float
    shaft_at: float
    grip_at: float
    shaft_length: float

    def with_head(self, head_kg: float) -> Parts:
        return replace(self, head=head_kg)


@dataclass(frozen=True, slots=True)
class Balance:
    """Total mass [kg], balance point from the butt [m], swing weight [in oz], moment about the butt [kg m2]."""

    total_kg: float
    balance_m: float
    moment_inoz: float
    inertia_kgm2: float

    @property
    def swing_weight(self) -> str:
        return swing_weight_label(self.moment_inoz)


def parts_of(
    *,
    length_m: float,
    head_kg: float,
    shaft_kg: float,
    grip_kg: float = USUAL_GRIP_KG,
    shaft_balance: float = 0.5,
    grip_at_m: float = 4 * INCH,
) -> Parts:
    """A club from its measures.

    Parameters
    ----------
    length_m, head_kg, shaft_kg, grip_kg : [m], [kg]; the shaft as cut
    shaft_balance : centre of mass of the cut shaft as a share of its length from the butt [-]
    grip_at_m : centre of mass of the grip from the butt [m]; about 4 in (common practice)
    """
    shaft_length = length_m - SHAFT_IN_HEAD_M
    return Parts(length_m, head_kg, shaft_kg, grip_kg, shaft_balance * shaft_length, grip_at_m, shaft_length)


def usual_parts(
    club: Club,
    *,
    shaft_kg: float | None = None,
    grip_kg: float | None = None,
    shaft_balance: float = 0.5,
) -> Parts:
    """A club of the bag with the shaft and grip masses usual for its family, unless it has its own or they were weighed.

    What the bench cut off the butt of its shaft, or put on it (``butt_trim_m``), counts as cut or put on, so that a club
    weighs after the work what was foretold of it.

    Parameters
    ----------
    shaft_kg, grip_kg : weighed masses [kg]; the shaft's as it is now
    shaft_balance : centre of mass of the shaft, before any trim, as a share of its length from the butt [-]
    """
    trim = club.butt_trim_m or 0.0
    own = shaft_kg if shaft_kg is not None else club.shaft_kg
    untrimmed = SHAFT_KG[club.family] if own is None else _before_trim(own, club.length_m, trim)
    parts = parts_of(
        length_m=club.length_m + trim,
        head_kg=club.head_kg,
        shaft_kg=untrimmed,
        grip_kg=_first(grip_kg, club.grip_kg, GRIP_KG.get(club.family, USUAL_GRIP_KG)),
        shaft_balance=shaft_balance,
    )
    return with_length(parts, -trim) if trim else parts


def at_length(club: Club, length_m: float) -> Club:
    """The club cut or extended at its butt to a length [m], with what its shaft then weighs where that is known; on another
    shaft, of which nothing is known, where it is longer than an extension bears.
    """
    if length_m == club.length_m:
        return club
    if length_m - club.length_m > LONGEST_EXTENSION_M + 1e-9:
        new = {"shaft_kg": None, "shaft_flex": None, "tip_trim_m": None, "butt_trim_m": None}
        return replace(club, length_m=length_m, **new)  # type: ignore[arg-type]
    trim = round((club.butt_trim_m or 0.0) + club.length_m - length_m, 6)
    made = replace(club, length_m=length_m, butt_trim_m=trim or None)
    if club.shaft_kg is None:
        return made
    untrimmed = usual_parts(club)
    was = _before_trim(club.shaft_kg, club.length_m, club.butt_trim_m or 0.0)
    whole = parts_of(length_m=length_m + trim, head_kg=untrimmed.head, shaft_kg=was, grip_kg=untrimmed.grip)
    return replace(made, shaft_kg=with_length(whole, -trim).shaft)


def like_its_own(club: Club, length_m: float) -> float | None:
    """Mass [kg] of another shaft as heavy for its length as the club's own, cut for a length [m]; ``None`` where that is not
    known.
    """
    if club.shaft_kg is None:
        return None
    return club.shaft_kg * (length_m - SHAFT_IN_HEAD_M) / (club.length_m - SHAFT_IN_HEAD_M)


def _before_trim(shaft_kg: float, length_m: float, trim_m: float) -> float:
    """Mass [kg] that a shaft had before so much [m] was cut off its butt, or put on it if negative."""
    if trim_m < 0:
        return max(shaft_kg + EXTENSION_KG_PER_M * trim_m, 0.5 * shaft_kg)
    return shaft_kg / (1 - BUTT_SHARE * trim_m / (length_m + trim_m - SHAFT_IN_HEAD_M))


def _first(*values: float | None) -> float:
    return next(value for value in values if value is not None)


def weigh(parts: Parts) -> Balance:
    """Balance of a club from its parts."""
    total = parts.head + parts.shaft + parts.grip
    first = parts.head * parts.length + parts.shaft * parts.shaft_at + parts.grip * parts.grip_at
    return Balance(
        total,
        first / total,
        swing_weight_moment(total_kg=total, balance_m=first / total),
        moment_of_inertia(parts),
    )


def swing_weight_moment(*, total_kg: float, balance_m: float) -> float:
    """Moment about the 14 in fulcrum [in oz] of a club of mass [kg] that balances so far from its butt [m]."""
    return total_kg * (balance_m - FULCRUM_M) / (INCH * OUNCE)


def swing_weight_points(moment_inoz: float) -> float:
    """Points above A0 of a moment [in oz]; D0 is 30."""
    return (moment_inoz - A0_INOZ) / POINT_INOZ


def swing_weight_label(moment_inoz: float, *, within: float | None = None) -> str:
    """A moment [in oz] as the trade writes it, ``"D2.0"``; ``"lighter than A0"`` or ``"heavier than G9.9"`` off it.

    within : half the width of its 90 % interval [points] where it was not read off a scale: to whole points, ``"D2"``, where
        tenths mean nothing

    >>> swing_weight_label(swing_weight_of("D2")), swing_weight_label(0.0)
    ('D2.0', 'lighter than A0')
    >>> swing_weight_label(swing_weight_of("D2.3"), within=6.0)
    'D2'
    """
    places = 0 if within is not None and within >= LEAST_FOR_WHOLE else 1
    points = round(swing_weight_points(moment_inoz), places)
    if points < 0:
        return "lighter than A0"
    if points > LARGEST_POINT:
        return "heavier than G9.9"
    letter, point = divmod(points, POINTS_A_LETTER)
    return f"{LETTERS[int(letter)]}{point:.{places}f}"


def swing_weight_of(label: str) -> float:
    """Moment [in oz] of a swing weight such as ``"D2"`` or ``"C7.5"``.

    Raises
    ------
    ValueError
        If the label is not a letter A to G and a number of points from 0 to below 10.
    """
    match = re.fullmatch(r"([A-G])(\d(?:\.\d+)?)", label.strip().upper())
    if match is None:
        raise ValueError(f"`label` must be a letter A to G and 0 to 9.9 points, not {label[:12]!r}")
    points = LETTERS.index(match[1]) * POINTS_A_LETTER + float(match[2])
    return A0_INOZ + POINT_INOZ * points


def butt_kg_per_m(parts: Parts) -> float:
    """Mass per length [kg/m] of a club's shaft near its butt, `BUTT_SHARE` of the mean."""
    return BUTT_SHARE * parts.shaft / parts.shaft_length


def with_length(parts: Parts, longer_m: float) -> Parts:
    """The parts of a club after it was cut (less than 0) or extended at the butt by so much [m].

    A piece of shaft goes, with its mass and moment, or an extension comes, half of it inside the old butt; all other
    positions move with the butt, the grip stays at it.
    """
    if longer_m < 0:
        change = longer_m * butt_kg_per_m(parts)
        at = -longer_m / 2  # from the old butt
    else:
        change, at = longer_m * EXTENSION_KG_PER_M, 0.0
    shaft = parts.shaft + change
    middle = (parts.shaft * parts.shaft_at + change * at) / shaft + longer_m
    return replace(
        parts,
        length=parts.length + longer_m,
        shaft=shaft,
        shaft_at=middle,
        shaft_length=parts.shaft_length + longer_m,
    )


def moment_of_inertia(parts: Parts) -> float:
    """Moment of inertia about the butt [kg m2]: head and grip as points and the shaft as a rod.

    ``I = m_h L^2 + m_s (l^2/12 + x_s^2) + m_g (g^2/12 + x_g^2)`` (parallel axes; Huygens-Steiner).
    """
    shaft = parts.shaft * (parts.shaft_length**2 / 12 + parts.shaft_at**2)
    grip = parts.grip * (GRIP_LENGTH_M**2 / 12 + parts.grip_at**2)
    return parts.head * parts.length**2 + shaft + grip


def grams_per_point(head_at_m: float) -> float:
    """Head mass [kg] that moves the swing weight one point, for a head so far from the butt [m].

    ``1.75 in oz / (distance - 14 in)``: 1.6 g on a driver, 2.2 g on a 7-iron; the trade says 2 g.
    """
    return POINT_INOZ * INCH * OUNCE / (head_at_m - FULCRUM_M)


def swing_weight_after(present: Club, made: Club) -> float:
    """Static moment [in oz] of the present club made into another: its shaft cut or extended, its head changed.

    Where a scale showed what it is now, from there; on a new shaft, where it has to be one, as heavy for its length.
    """
    at = at_length(present, made.length_m)
    if at.shaft_kg is None:
        at = replace(at, shaft_kg=like_its_own(present, made.length_m))
    after = weigh(usual_parts(at).with_head(made.head_kg)).moment_inoz
    if present.swing_weight_inoz is None:
        return after
    return present.swing_weight_inoz + after - weigh(usual_parts(present)).moment_inoz


def wished_of(club: Club) -> float | None:
    """Static moment [in oz] that is wanted of a club whose swing weight a scale showed: that, or what it was to have when
    the bench left it otherwise.
    """
    return club.swing_weight_inoz if club.wished_inoz is None else club.wished_inoz


def parts_sd_inoz(club: Club) -> float:
    """Standard deviation [in oz] of the swing weight for what nobody weighed of shaft and grip."""
    parts = usual_parts(club)
    shaft = 0.0 if club.shaft_kg is not None else SHAFT_SD_KG[club.family] * (parts.shaft_at - FULCRUM_M)
    grip = 0.0 if club.grip_kg is not None else GRIP_SD_KG * (FULCRUM_M - parts.grip_at)
    middle = parts.shaft * parts.shaft_length * BALANCE_SD
    return math.hypot(shaft, grip, middle) / (INCH * OUNCE)


def head_for_swing_weight(parts: Parts, moment_inoz: float) -> float:
    """Head mass [kg] with which these parts come to a swing weight [in oz]; not bounded, may be below what exists."""
    now = weigh(parts).moment_inoz
    return parts.head + (moment_inoz - now) * INCH * OUNCE / (parts.length - FULCRUM_M)
