"""What the bench makes of a club: the figures that the sheet orders work on, and the others as they were."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import replace
from typing import Any

from ..documents.case import FIGURES, SWING_WEIGHT, Club
from .balance import at_length, swing_weight_after, wished_of
from .bending import bend_range, bent_so_far, bent_to, bounce_after, limit_of
from .known import sd_of
from .limits import (
    LONGEST_EXTENSION_M,
    MOST_ADDED_KG,
    MOST_REMOVED_KG,
    SMALLEST_BEND_DEG,
    SMALLEST_MASS_KG,
)
from .steps import EIGHTH_M, MASS_STEP_KG, bend_in_steps, in_steps, length_in_steps

ANGLES = ("loft_deg", "lie_deg")


def after_work(
    present: Club,
    wanted: Club,
    *,
    least_bend_deg: float = SMALLEST_BEND_DEG,
    length_step_m: float = EIGHTH_M,
    as_wanted: Collection[str] = (),
) -> Club:
    """The present club once it was built as wanted, to the steps of the bench; the same club where nothing is ordered.

    Nothing is ordered against an estimate: a figure that nobody knows stays as it is. What a head or shaft does not bear
    stays in it, to be seen and refused by the sheet; a head that is less than is worth pulling it for beyond what can be
    added or ground off goes as far as it goes. A length that is hardly off stays (`engine.workshop.steps`).
    A known bounce goes with the loft, degree for degree.

    Parameters
    ----------
    least_bend_deg : least bend [deg] that is ordered
    length_step_m : step [m] in which lengths are cut
    as_wanted : angles that are ordered as they are wanted: those set by hand, and those counted in steps from what the head
        has
    """
    made: dict[str, Any] = {
        "length_m": length_in_steps(
            present.length_m, wanted.length_m, step=length_step_m, high=LONGEST_EXTENSION_M
        ),
        "head_kg": _head(present.head_kg, wanted.head_kg),
    }
    for name in ANGLES:
        low, high = bend_range(present, name)
        now, aim = getattr(present, name), getattr(wanted, name)
        bears = low - 1e-9 <= aim - now <= high + 1e-9 and abs(aim - now) >= least_bend_deg - 1e-9
        made[name] = (
            aim
            if name in as_wanted and bears
            else bend_in_steps(now, aim, least=least_bend_deg, low=low, high=high)
        )
    made |= {name: getattr(present, name) for name in dict(present.estimated) if name in made}
    change = made["loft_deg"] - present.loft_deg
    if change and present.bounce_deg is not None:
        made["bounce_deg"] = float(bounce_after(bounce_deg=present.bounce_deg, loft_change_deg=change))
    club = replace(at_length(present, made.pop("length_m")), **made)
    return present if club == present else ordered_from(present, club)


def mass_change(head: Club, wanted_kg: float) -> float:
    """Change of mass [kg] that is asked of a head, be it weighed or estimated."""
    return _head(head.head_kg, wanted_kg) - head.head_kg


def bears_mass(head: Club, wanted_kg: float) -> bool:
    """Whether a head can be brought to a mass [kg]; of one that nobody weighed, whether that is more likely than not."""
    if sd_of(head, "head_kg"):
        return chance_of_mass(head, wanted_kg) > 0.5
    return -MOST_REMOVED_KG - 1e-9 <= mass_change(head, wanted_kg) <= MOST_ADDED_KG + 1e-9


def chance_of_mass(head: Club, wanted_kg: float) -> float:
    """Chance that a head can be brought to a mass [kg], or so near that it would not be pulled again, by how far its own
    mass is known.
    """
    sd = sd_of(head, "head_kg")
    if not sd:
        return float(bears_mass(head, wanted_kg))
    most, least = MOST_ADDED_KG + SMALLEST_MASS_KG, -MOST_REMOVED_KG - SMALLEST_MASS_KG
    return _chance_within(wanted_kg - head.head_kg, sd, least, most)


def bears_angle(head: Club, name: str, wanted_deg: float, *, least_deg: float = SMALLEST_BEND_DEG) -> bool:
    """Whether a head can be bent to a ``"loft_deg"`` or ``"lie_deg"``, short of it by less than the least bend; of one that
    nobody measured, whether that is more likely than not.
    """
    return chance_of_angle(head, name, wanted_deg, least_deg=least_deg) > 0.5


def chance_of_angle(
    head: Club, name: str, wanted_deg: float, *, least_deg: float = SMALLEST_BEND_DEG
) -> float:
    """Chance that a head can be bent to an angle, by how far its own is known."""
    low, high = bend_range(head, name)
    change, sd = wanted_deg - float(getattr(head, name)), sd_of(head, name)
    if sd and change and limit_of(head):
        return _chance_within(change, sd, low - least_deg, high + least_deg)
    return float(max(low - change, change - high) < max(least_deg - 1e-9, 1e-9))


def _chance_within(change: float, sd: float, low: float, high: float) -> float:
    """Chance that a change, known to a standard deviation, lies within bounds."""
    below, above = (0.5 * (1 + math.erf((x - change) / (sd * math.sqrt(2)))) for x in (low, high))
    return above - below


def _head(now_kg: float, wanted_kg: float) -> float:
    """The head mass [kg] to order; as far as the head goes where that comes so near that it would not be pulled again."""
    how = {"step": MASS_STEP_KG, "least": SMALLEST_MASS_KG, "low": -MOST_REMOVED_KG, "high": MOST_ADDED_KG}
    within = min(max(wanted_kg, now_kg - MOST_REMOVED_KG), now_kg + MOST_ADDED_KG)
    nearest = in_steps(now_kg, within, **how)
    near = abs(wanted_kg - nearest) < SMALLEST_MASS_KG - 1e-9
    return nearest if near else in_steps(now_kg, wanted_kg, **how)


def as_far_as(head: Club, name: str, wanted_deg: float, *, least_deg: float = SMALLEST_BEND_DEG) -> float:
    """The ``"loft_deg"`` or ``"lie_deg"`` nearest to a wanted one to which the bench sets a head, as far as it bends."""
    low, high = bend_range(head, name)
    now: float = getattr(head, name)
    within = min(max(wanted_deg, now + low), now + high)
    return bend_in_steps(now, within, least=least_deg, low=low, high=high)


def ordered_from(present: Club, club: Club, *, typed: Collection[str] = ()) -> Club:
    """A club that the bench makes of another, with what its figures then rest on, how far its head is bent by then, its
    shaft as cut and, where a scale showed it before and the shaft stays, its swing weight.

    typed : figures that were measured when it was done
    """
    changed = {name for name in FIGURES if getattr(club, name) != getattr(present, name)}
    cut = at_length(present, club.length_m)
    weight, scaled = present.swing_weight_inoz, SWING_WEIGHT in present.ordered
    wished = present.wished_inoz
    if changed & {"length_m", "head_kg"}:  # a head that is changed is changed to what is wanted
        wished = None if "head_kg" in changed else wished_of(present)
    if (
        club.length_m - present.length_m > LONGEST_EXTENSION_M + 1e-9
    ):  # another shaft, of which no scale has told
        weight, scaled = None, False
        wished = None
    elif weight is not None and changed & {"length_m", "head_kg"}:
        weight, scaled = swing_weight_after(present, club), True
    by = {name: getattr(club, name) - getattr(present, name) for name in ANGLES}
    bent: dict[str, Any] = bent_to(present, {name: bent_so_far(present, name) + by[name] for name in ANGLES})
    return replace(
        club,
        **bent,
        shaft_kg=cut.shaft_kg,
        shaft_flex=cut.shaft_flex,
        tip_trim_m=cut.tip_trim_m,
        butt_trim_m=cut.butt_trim_m,
        swing_weight_inoz=weight,
        wished_inoz=wished,
        measured=tuple(n for n in FIGURES if n in typed or (n in present.measured and n not in changed)),
        ordered=(
            *(n for n in FIGURES if n not in typed and (n in changed or n in present.ordered)),
            *[SWING_WEIGHT] * scaled,
        ),
    )


def without(present: Club, club: Club, names: Collection[str]) -> Club:
    """What the bench makes of a club where figures of these ``names`` stay as they are."""
    changed = [n for n in FIGURES if getattr(club, n) != getattr(present, n)]
    kept = [n for n in changed if n not in names]
    if kept == changed:
        return club
    if not kept:
        return present
    made = replace(present, **{name: getattr(club, name) for name in kept})
    return ordered_from(present, replace(made, bounce_deg=club.bounce_deg))
