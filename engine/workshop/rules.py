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
from ..statements import Statement, state
from ..units import INCH

EDITION = "Equipment Rules part 2 and Rules of Golf 4.1b as read in 2026 in texts of 2016 to 2022"
SCOPE = state("note.rules")


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
    """One limit of the rules: what is limited, the value with its unit, and where it was read."""

    item: str
    value: float
    unit: str
    source: str


_HEAD = "Equipment Rules 2.4b"
_GROOVE = "supplement on grooves, 2010"
LIMITS: tuple[Limit, ...] = (
    Limit("clubs_most", MOST_CLUBS, "clubs", "Rules of Golf 4.1b"),
    Limit("length_least", 18, "in", "Equipment Rules 2.1c"),
    Limit("length_most", 48, "in", "Equipment Rules 2.1c; 48 in is 1.219 m"),
    Limit("length_most_local_rule", 46, "in", "Model Local Rule G-10, 2022"),
    Limit("length_plane_angle", 60, "deg", "Equipment Rules 2.1c"),
    Limit("putter_loft_most", 10, "deg", "Equipment Rules 2.1a"),
    Limit("putter_loft_least", -15, "deg", "Equipment Rules 2.1a, interpretation"),
    Limit("shaft_from_upright_least", 10, "deg", "guide to appendix II 1d"),
    Limit("shaft_forward_most", 20, "deg", "guide to appendix II 1d"),
    Limit("shaft_backward_most", 10, "deg", "guide to appendix II 1d"),
    Limit("wood_heel_to_toe_most", 127, "mm", _HEAD),
    Limit("wood_sole_to_crown_most", 71.12, "mm", _HEAD),
    Limit("wood_volume_most", 460, "cm3", "guide to appendix II 4b"),  # with a tolerance of 10
    Limit("groove_width_most", 0.035, "in", _GROOVE),
    Limit("groove_depth_most", 0.020, "in", _GROOVE),
    Limit("groove_separation_least", 0.075, "in", _GROOVE),
    Limit("ball_mass_most", 45.93, "g", "appendix III, 2016"),
    Limit("ball_diameter_least", 42.67, "mm", "appendix III, 2016"),
)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: the club (``None`` for the bag), whether it conforms, and the limits it was held to."""

    club: str | None
    conforms: bool
    statement: Statement
    source: str


@dataclass(frozen=True, slots=True)
class RulesCheck:
    """What a bag comes to. ``conforms`` is true if nothing found stands against it."""

    findings: tuple[Finding, ...]
    local_length_rule: bool
    edition: str = EDITION
    note: Statement = SCOPE

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
    told = state("rule.club_count", count=count, most=MOST_CLUBS)
    found = [Finding(None, count_allowed(count), told, "Rules of Golf 4.1b")]
    for club in clubs:
        found.extend(_check(club, local_length_rule))
    return RulesCheck(tuple(found), local_length_rule)


def _check(club: Club, local: bool) -> list[Finding]:
    putter = club.family == "putter"
    longest = None if putter else LOCAL_LONGEST_M if local else LONGEST_M
    out = [
        Finding(
            club.id,
            length_conforms(club.length_m, putter=putter, local_length_rule=local),
            state("rule.length", length=club.length_m, least=SHORTEST_M, most=longest),
            "Model Local Rule G-10" if local and not putter else "Equipment Rules 2.1c",
        ),
        Finding(
            club.id,
            lie_conforms(club.lie_deg),
            state("rule.shaft_angle", angle=90 - club.lie_deg, least=SHAFT_FROM_UPRIGHT_LEAST_DEG),
            "guide to appendix II 1d",
        ),
    ]
    if putter:
        loft = state(
            "rule.putter_loft",
            loft=club.loft_deg,
            least=PUTTER_LOFT_LEAST_DEG,
            most=PUTTER_LOFT_MOST_DEG,
        )
        out.append(Finding(club.id, putter_loft_conforms(club.loft_deg), loft, "Equipment Rules 2.1a"))
    return out
