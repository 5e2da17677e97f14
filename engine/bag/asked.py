"""A club asked for by what it is to carry: the loft that does it, in half degrees, on the length and head usual for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..documents.case import Club
from ..physics.air import Air
from ..sets.compare import LEAST_GAP, NEAR_LOFT_DEG
from ..sets.predict import predict
from ..statistics import Interval, chance, interval
from ..swing.calibration import Posterior
from ..units import GRAM, INCH
from ..workshop.norms import NORMS, WOMEN_FLATTER_DEG, WOMEN_LIGHTER_G, usual_build
from ..workshop.steps import ANGLE_STEP_DEG, EIGHTH_M
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

    tip_flexes : how many flexes stiffer its shaft plays for the tip trim asked for
    found : ``yes`` where its mean carry lies in the range, ``between`` where the range lies between two lofts, ``too_far``
        and ``too_near`` where every loft carries less or more
    one_job : the clubs of the bag that do the same job, their loft or their carry too close
    """

    club: Club
    carry: Interval
    chance_within: float
    tip_flexes: float
    found: str
    one_job: tuple[Club, ...] = ()

    @property
    def reached(self) -> bool:
        """Whether there is such a club, as near as heads are made."""
        return self.found in ("yes", "between")


def club_that_carries(
    posterior: Posterior,
    air: Air,
    *,
    family: str,
    low_m: float,
    high_m: float,
    tip_trim_m: float | None = None,
    sex: str | None = None,
    bag: Sequence[Club] = (),
    length_step_m: float = EIGHTH_M,
    club_id: str = "asked",
) -> Asked:
    """The club of a family whose mean carry comes nearest to the middle of a range; of two lofts that do, the higher.

    Parameters
    ----------
    low_m, high_m : the range of carry [m], low first
    tip_trim_m : what is to be cut off the shaft's tip [m]; it stiffens the shaft and moves no carry here
    bag : the clubs there are, to be held against it
    length_step_m : the step in which lengths are ordered [m]
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
    clubs = tuple(_made(club_id, family, float(loft), sex, tip_trim_m, length_step_m) for loft in lofts)
    flown = predict(posterior, clubs, air).carry
    means = flown.mean(axis=0)
    longest = int(np.argmax(means))  # straighter faces carry no further, and less surely
    best = longest + int(np.argmin(np.abs(means[longest:] - (low_m + high_m) / 2)))
    drawn, club = flown[:, best], clubs[best]
    if low_m <= means[best] <= high_m:
        found = "yes"
    elif means.max() < low_m:
        found = "too_far"
    else:
        found = "too_near" if means.min() > high_m else "between"
    return Asked(
        club,
        interval(drawn),
        chance((drawn >= low_m) & (drawn <= high_m)),
        tip_trim_flexes(tip_trim_m or 0.0),
        found,
        _one_job(posterior, air, club, float(means[best]), bag),
    )


def _one_job(
    posterior: Posterior, air: Air, club: Club, carry_m: float, bag: Sequence[Club]
) -> tuple[Club, ...]:
    """The clubs of the bag whose carry is within `LEAST_GAP` of this one's, or whose loft is too near in its family."""
    others = tuple(
        c for c in bag if c.family not in ("putter", "driver") or c.family == club.family == "driver"
    )
    if not others:
        return ()
    carries = predict(posterior, others, air).carry.mean(axis=0)
    return tuple(
        c
        for c, carry in zip(others, carries, strict=True)
        if abs(carry - carry_m) < LEAST_GAP
        or (c.family == club.family and abs(c.loft_deg - club.loft_deg) < NEAR_LOFT_DEG)
    )


def _made(
    club_id: str, family: str, loft: float, sex: str | None, tip_trim_m: float | None, step_m: float
) -> Club:
    length, head = usual_build(loft, family)
    near = min((n for n in NORMS.values() if n.family == family), key=lambda n: abs(n.loft_high - loft))
    lie = near.lie
    if sex == "female":
        length -= INCH
        head -= WOMEN_LIGHTER_G[family] * GRAM
        lie -= WOMEN_FLATTER_DEG.get(family, 0.0)
    length = round(round(length / step_m) * step_m, 6)
    lie = round(lie / ANGLE_STEP_DEG) * ANGLE_STEP_DEG
    return Club(club_id, "", family, length, loft, lie, round(head, 3), tip_trim_m=tip_trim_m)
