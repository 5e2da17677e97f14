"""A club asked for by what it is to carry: the loft that does it, in half degrees, on the length and head usual for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..documents.case import Club
from ..physics.air import Air
from ..sets.predict import predict
from ..statistics import Interval, chance, interval
from ..swing.calibration import Posterior
from ..units import GRAM, INCH
from ..workshop.norms import NORMS, WOMEN_FLATTER_DEG, WOMEN_LIGHTER_G, usual_build
from ..workshop.trim import tip_trim_flexes

LOFTS = {
    "driver": (7.0, 16.0),
    "fairway": (12.0, 28.0),
    "hybrid": (14.0, 34.0),
    "iron": (17.0, 46.0),
    "wedge": (40.0, 64.0),
}
"""Lofts in which heads are sold [deg]; common practice, no source."""
LOFT_STEP_DEG = 0.5


@dataclass(frozen=True, slots=True)
class Asked:
    """The club to look for, its carry [m], the chance that its mean carry lies in the range asked for.

    tip_flexes : how many flexes stiffer its shaft plays for the tip trim asked for; reached : whether some loft carries the
    middle of the range, within a few metres
    """

    club: Club
    carry: Interval
    chance_within: float
    tip_flexes: float
    reached: bool


def club_that_carries(
    posterior: Posterior,
    air: Air,
    *,
    family: str,
    low_m: float,
    high_m: float,
    tip_trim_m: float | None = None,
    sex: str | None = None,
    club_id: str = "asked",
) -> Asked:
    """The club of a family whose mean carry comes nearest to the middle of a range.

    Parameters
    ----------
    low_m, high_m : the range of carry [m], low first
    tip_trim_m : what is to be cut off the shaft's tip [m]; it stiffens the shaft and moves no carry here
    club_id : of the club that is made

    Raises
    ------
    ValueError
        If the family is none of ``LOFTS`` or the range is upside down.
    """
    if family not in LOFTS:
        raise ValueError(f"`family` must be one of {', '.join(LOFTS)}, not {family!r}")
    if not 0 < low_m <= high_m:
        raise ValueError("`low_m` must be above 0 and at most `high_m`")
    low, high = LOFTS[family]
    lofts = np.arange(low, high + LOFT_STEP_DEG / 2, LOFT_STEP_DEG)
    clubs = tuple(_made(club_id, family, float(loft), sex, tip_trim_m) for loft in lofts)
    flown = predict(posterior, clubs, air).carry
    off = np.abs(flown.mean(axis=0) - (low_m + high_m) / 2)
    best = int(np.argmin(off))
    drawn = flown[:, best]
    return Asked(
        clubs[best],
        interval(drawn),
        chance((drawn >= low_m) & (drawn <= high_m)),
        tip_trim_flexes(tip_trim_m or 0.0),
        bool(low_m <= drawn.mean() <= high_m),
    )


def _made(club_id: str, family: str, loft: float, sex: str | None, tip_trim_m: float | None) -> Club:
    length, head = usual_build(loft, family)
    near = min((n for n in NORMS.values() if n.family == family), key=lambda n: abs(n.loft_high - loft))
    lie = near.lie
    if sex == "female":
        length -= INCH
        head -= WOMEN_LIGHTER_G[family] * GRAM
        lie -= WOMEN_FLATTER_DEG.get(family, 0.0)
    return Club(club_id, "", family, round(length, 4), loft, lie, round(head, 4), tip_trim_m=tip_trim_m)
