"""How many clubs of a layout can be built from the heads that are there, and why the others cannot.

A club can be built where its head takes the wanted mass, loft and lie; shafts may be cut, extended or new. The limits
are those of the build sheet (`engine.clubs.sheet`): bending by material, 12 g added, 3 g ground off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.case import Club
from engine.clubs.sheet import build_sheet

NO_HEAD = "there is no head of this club; look for one"
FAMILIES = ("iron", "wedge")


@dataclass(frozen=True, slots=True)
class HeadCheck:
    """Whether one wanted club can be built from its present head, what would be done, and what stands against it."""

    club: str
    name: str
    buildable: bool
    actions: tuple[str, ...]
    problems: tuple[str, ...]


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
    present: Sequence[Club], wanted: Sequence[Club], *, families: Sequence[str] = FAMILIES
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


def count_buildable(present: Sequence[Club], wanted: Sequence[Club]) -> int:
    """`buildable` as a number, one for each layout: the measure that layouts are compared by."""
    return buildable(present, wanted).count
