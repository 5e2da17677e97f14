"""What the rules say of a set: count, lengths, the putter; with the edition, and who decides.

Sources: Rules of Golf (2023 edition), rule 4.1b (rule number from memory); Equipment Rules, part 2 (2.1a, 2.1c, 2.4b)
as published by the governing bodies; Model Local Rule G-10 (in force from January 2022), optional. Changes that were
announced but not in force are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.case import Club
from engine.units import GRAM, INCH

EDITION = "Rules of Golf 2023 and the Equipment Rules as read in 2025"
DECIDES = "The rule book of the day and the committee in charge decide."

MOST_CLUBS = 14
SHORTEST_M = 18 * INCH
LONGEST_M = 48 * INCH  # putters are free of it
LOCAL_LONGEST_M = 46 * INCH  # Model Local Rule G-10, putters are free of it
PUTTER_MOST_LOFT_DEG = 10.0
PUTTER_LEAST_LOFT_DEG = -15.0
SHAFT_LEAST_FROM_VERTICAL_DEG = 10.0
BALL_MOST_KG = 45.93 * GRAM
BALL_LEAST_DIAMETER_M = 0.04267
WOOD_WIDEST_M = 0.127  # heel to toe
WOOD_HIGHEST_M = 0.07112
WOOD_LARGEST_M3 = 460e-6  # tolerance 10 cm3
ANGLE_ERROR_DEG = 1e-9
LENGTH_ERROR_M = 1e-6


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the rules have against a set; ``club`` is its id, or ``None`` for the whole set."""

    club: str | None
    rule: str
    words: str


@dataclass(frozen=True, slots=True)
class Findings:
    """All that was found, the edition it was held against, and who decides."""

    found: tuple[Finding, ...]
    edition: str = EDITION
    decides: str = DECIDES

    @property
    def conforms(self) -> bool:
        """Nothing found among the limits that are checked here: not a ruling."""
        return not self.found


def check(clubs: Sequence[Club], *, local_length_rule: bool = False) -> Findings:
    """Hold a set against the limits of count, length, and the putter's loft and lie.

    ``local_length_rule``: Model Local Rule G-10, 46 in, is in force in the competition.
    """
    found = [f for club in clubs for f in _club(club, local_length_rule)]
    if len(clubs) > MOST_CLUBS:
        found.insert(0, Finding(None, "4.1b", f"{len(clubs)} clubs; a round may be started with at most {MOST_CLUBS}"))
    return Findings(tuple(found))


def check_club(
    *, family: str, length_m: float, loft_deg: float = 4.0, lie_deg: float = 70.0, local_length_rule: bool = False
) -> Findings:
    """Hold one club against the same limits. [m], [deg]."""
    club = Club("club", "club", family, length_m, loft_deg, lie_deg, 0.3)
    return Findings(tuple(_club(club, local_length_rule)))


def _club(club: Club, local: bool) -> list[Finding]:
    out = []
    inches = club.length_m / INCH
    if club.length_m < SHORTEST_M - LENGTH_ERROR_M:
        out.append(Finding(club.id, "2.1c", f"{inches:.2f} in is shorter than 18 in"))
    if club.family == "putter":
        if not PUTTER_LEAST_LOFT_DEG - ANGLE_ERROR_DEG <= club.loft_deg <= PUTTER_MOST_LOFT_DEG + ANGLE_ERROR_DEG:
            out.append(Finding(club.id, "2.1a", f"a putter of {club.loft_deg:g} deg of loft; at most 10 deg"))
        if 90 - club.lie_deg < SHAFT_LEAST_FROM_VERTICAL_DEG - ANGLE_ERROR_DEG:
            words = f"a shaft {90 - club.lie_deg:.1f} deg from upright; at least 10 deg, and 25 may be asked for"
            out.append(Finding(club.id, "2.1d", words))
    elif club.length_m > LONGEST_M + LENGTH_ERROR_M:
        out.append(Finding(club.id, "2.1c", f"{inches:.2f} in is longer than 48 in"))
    elif local and club.length_m > LOCAL_LONGEST_M + LENGTH_ERROR_M:
        out.append(Finding(club.id, "G-10", f"{inches:.2f} in is longer than the 46 in of the local rule"))
    return out
