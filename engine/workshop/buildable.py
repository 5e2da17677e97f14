"""How many clubs of a layout can be built from the clubs that are there, and why the others cannot.

A club can be built where its head takes the wanted mass, loft and lie and its shaft the wanted length. The limits are
those of the build sheet (`engine.workshop.build_sheet`): bending by material, mass added or ground off, an extension
(`engine.workshop.limits`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..documents.case import Club
from ..statements import Statement, state
from .build_sheet import build_sheet
from .limits import LONGEST_EXTENSION_M, SMALLEST_BEND_DEG
from .made import ANGLES, after_work, bears_angle, bears_mass

NO_HEAD = state("limit.no_head")
IRON_FAMILIES = ("iron", "wedge")


@dataclass(frozen=True, slots=True)
class HeadCheck:
    """Whether one wanted club can be built from its present head, what would be done, and what stands against it."""

    club: str
    name: str
    buildable: bool
    actions: tuple[Statement, ...]
    problems: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class Buildable:
    """How many of the wanted clubs can be built from the present heads, of how many, and each of them."""

    count: int
    wanted: int
    clubs: tuple[HeadCheck, ...]

    @property
    def failing(self) -> tuple[HeadCheck, ...]:
        return tuple(c for c in self.clubs if not c.buildable)


def buildable(
    present: Sequence[Club], wanted: Sequence[Club], *, families: Sequence[str] = IRON_FAMILIES
) -> Buildable:
    """Which of the wanted clubs can be built from the present heads.

    Parameters
    ----------
    present : the bag, one head each
    wanted : clubs of a layout, paired with the heads by id
    families : those that are counted; a layout changes irons and wedges only

    Raises
    ------
    ValueError
        If ``wanted`` names a club twice.
    """
    sheet = build_sheet(present, [c for c in wanted if c.family in families])
    clubs = tuple(
        HeadCheck(
            work.id,
            work.name,
            work.present and work.feasible,
            work.actions if work.present else (),
            work.problems if work.present else (NO_HEAD,),
        )
        for work in sheet.clubs
    )
    return Buildable(sum(c.buildable for c in clubs), len(clubs), clubs)


def head_stays(head: Club, wanted: Club, *, least_bend_deg: float = SMALLEST_BEND_DEG) -> bool:
    """Whether a head can be kept for a wanted club by its mass and its lie, whatever loft is asked of it."""
    made = after_work(head, replace(wanted, loft_deg=head.loft_deg), least_bend_deg=least_bend_deg)
    return bears_mass(head, wanted.head_kg) and bears_angle(
        head, "lie_deg", made.lie_deg, least_deg=least_bend_deg
    )


def count_buildable(present: Sequence[Club], wanted: Sequence[Club]) -> int:
    """The count of `buildable` alone, without its words and quick enough for a sweep: one number for each layout."""
    have = {c.id: c for c in present}
    return sum(_fits(have[c.id], c) for c in wanted if c.family in IRON_FAMILIES and c.id in have)


def _fits(head: Club, wanted: Club) -> bool:
    made = after_work(head, wanted)
    return (
        bears_mass(head, wanted.head_kg)
        and made.length_m - head.length_m <= LONGEST_EXTENSION_M + 1e-9
        and all(bears_angle(head, name, getattr(made, name)) for name in ANGLES)
    )
