"""A bag against the rules of golf: number of clubs, lengths, shaft angle, putter loft; the other limits as a table.

Only limits that were read are applied. Sources: Rules of Golf 4.1b (fourteen clubs; the number of the rule from
memory), Equipment Rules part 2 as published by the governing bodies, their guide to appendix II of the older
rules, and their release of October 2021 on the optional local rule for length. What was announced but not
confirmed is left out. The committee in charge decides, by the rule book of the day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..documents.case import Club
from ..units import INCH

EDITION = "Equipment Rules part 2 and Rules of Golf 4.1b as read in 2026 in texts of 2016 to 2022"
SCOPE = "This checks stated measures, not the clubs themselves. The rule book of the day and the committee in charge decide."

MOST_CLUBS = 14
SHORTEST_M = 18 * INCH
LONGEST_M = 48 * INCH
LOCAL_LONGEST_M = 46 * INCH
PUTTER_LOFT_MOST_DEG = 10.0
PUTTER_LOFT_LEAST_DEG = -15.0
SHAFT_FROM_UPRIGHT_LEAST_DEG = 10.0
SLACK_M = 1e-6


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of the rules: value with its unit, and where it was read."""

    item: str
    value: float
    unit: str
    source: str


_HEAD = "Equipment Rules 2.4b"
_GROOVE = "supplement on grooves, 2010"
LIMITS: tuple[Limit, ...] = (
    Limit("clubs carried, at most", MOST_CLUBS, "clubs", "Rules of Golf 4.1b"),
    Limit("length, at least", 18, "in", "Equipment Rules 2.1c"),
    Limit("length but for putters, at most", 48, "in", "Equipment Rules 2.1c; 48 in is 1.219 m"),
    Limit("length but for putters under the optional local rule", 46, "in", "Model Local Rule G-10, 2022"),
    Limit("length is measured with the sole against a plane of", 60, "deg", "Equipment Rules 2.1c"),
    Limit("putter loft, at most", 10, "deg", "Equipment Rules 2.1a"),
    Limit("putter negative loft, to about", -15, "deg", "Equipment Rules 2.1a, interpretation"),
    Limit("shaft off upright, toe to heel, at least", 10, "deg", "guide to appendix II 1d"),
    Limit("shaft leaning forward, at most", 20, "deg", "guide to appendix II 1d"),
    Limit("shaft leaning backward, at most", 10, "deg", "guide to appendix II 1d"),
    Limit("wood head, heel to toe, at most", 127, "mm", _HEAD),
    Limit("wood head, sole to crown, at most", 71.12, "mm", _HEAD),
    Limit("wood head volume, at most (tolerance 10)", 460, "cm3", "guide to appendix II 4b"),
    Limit("groove width, at most", 0.035, "in", _GROOVE),
    Limit("groove depth, at most", 0.020, "in", _GROOVE),
    Limit("groove separation, at least", 0.075, "in", _GROOVE),
    Limit("ball mass, at most", 45.93, "g", "appendix III, 2016"),
    Limit("ball diameter, at least", 42.67, "mm", "appendix III, 2016"),
)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: the club (``None`` for the bag), whether it conforms, and why in words."""

    club: str | None
    what: str
    conforms: bool
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class RulesCheck:
    """What a bag comes to. ``conforms`` is true if nothing found stands against it."""

    findings: tuple[Finding, ...]
    local_length_rule: bool
    edition: str = EDITION
    note: str = SCOPE

    @property
    def conforms(self) -> bool:
        return all(f.conforms for f in self.findings)

    @property
    def faults(self) -> tuple[Finding, ...]:
        return tuple(f for f in self.findings if not f.conforms)


def limit(item: str) -> float:
    """Value of a row of `LIMITS` in its own unit; `KeyError` if there is none."""
    for row in LIMITS:
        if row.item == item:
            return row.value
    raise KeyError(item)


def count_allowed(count: int) -> bool:
    """Whether so many clubs may be carried in a round (Rule 4.1b)."""
    return count <= MOST_CLUBS


def length_conforms(length_m: float, *, putter: bool = False, local_length_rule: bool = False) -> bool:
    """Whether a length [m] is within 18 in and 48 in, or 46 in where the local rule is in force; putters have no
    upper limit (Equipment Rules 2.1c; Model Local Rule G-10)."""
    if length_m < SHORTEST_M - SLACK_M:
        return False
    longest = LOCAL_LONGEST_M if local_length_rule else LONGEST_M
    return putter or length_m <= longest + SLACK_M


def putter_loft_conforms(loft_deg: float) -> bool:
    """Whether a putter's loft [deg] is from -15 to 10 (Equipment Rules 2.1a and interpretation)."""
    return PUTTER_LOFT_LEAST_DEG <= loft_deg <= PUTTER_LOFT_MOST_DEG


def lie_conforms(lie_deg: float) -> bool:
    """Whether the shaft is at least 10 deg off upright, that is, a lie [deg] of at most 80 (appendix II 1d)."""
    return 90.0 - lie_deg >= SHAFT_FROM_UPRIGHT_LEAST_DEG


def check_bag(clubs: Sequence[Club], *, local_length_rule: bool = False) -> RulesCheck:
    """Every club and the bag against the limits; ``local_length_rule`` if the committee has put 46 in in force."""
    count = len(clubs)
    words = f"{count} clubs, {MOST_CLUBS} are allowed"
    found = [Finding(None, "number of clubs", count_allowed(count), words, "Rules of Golf 4.1b")]
    for club in clubs:
        found.extend(_check(club, local_length_rule))
    return RulesCheck(tuple(found), local_length_rule)


def _check(club: Club, local: bool) -> list[Finding]:
    putter = club.family == "putter"
    longest = "no upper limit" if putter else f"{46 if local else 48} in at most"
    out = [
        Finding(
            club.id,
            "length",
            length_conforms(club.length_m, putter=putter, local_length_rule=local),
            f"{club.length_m / INCH:.2f} in; 18 in at least, {longest}",
            "Model Local Rule G-10" if local and not putter else "Equipment Rules 2.1c",
        ),
        Finding(
            club.id,
            "shaft angle",
            lie_conforms(club.lie_deg),
            f"{90 - club.lie_deg:.1f} deg off upright; 10 deg at least",
            "guide to appendix II 1d",
        ),
    ]
    if putter:
        words = f"{club.loft_deg:.1f} deg; from -15 to 10 deg"
        loft = putter_loft_conforms(club.loft_deg)
        out.append(Finding(club.id, "putter loft", loft, words, "Equipment Rules 2.1a"))
    return out
