"""What the bench makes of a club: the figures that the sheet orders work on, and the others as they were."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ..documents.case import Club
from .bending import bounce_after
from .limits import SMALLEST_BEND_DEG, SMALLEST_LENGTH_M, SMALLEST_MASS_KG

SMALLEST = {
    "length_m": SMALLEST_LENGTH_M,
    "loft_deg": SMALLEST_BEND_DEG,
    "lie_deg": SMALLEST_BEND_DEG,
    "head_kg": SMALLEST_MASS_KG,
}
"""Smallest change of each figure that the sheet orders; less is within the error of the bench."""


def after_work(present: Club, wanted: Club) -> Club:
    """The present club once it was built as wanted; the same club where the sheet leaves it as it is.

    A known bounce goes with the loft, degree for degree.
    """
    made: dict[str, Any] = {}
    for name, least in SMALLEST.items():
        value = getattr(wanted, name)
        if abs(value - getattr(present, name)) >= least - 1e-9:
            made[name] = value
    if "loft_deg" in made and present.bounce_deg is not None:
        change = made["loft_deg"] - present.loft_deg
        made["bounce_deg"] = float(bounce_after(bounce_deg=present.bounce_deg, loft_change_deg=change))
    return replace(present, **made)
