"""Which club for a distance: the chance that one ball with each club comes down near it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..documents.case import Case
from ..physics.air import REFERENCE
from ..sets.plan import is_own, own_layout, planned
from ..sets.usual import complete
from ..solve import DRAWS, laid_out, posterior_of, prediction_of
from ..statistics import Interval, intervals
from ..swing.observations import carry_spread


@dataclass(frozen=True, slots=True)
class Option:
    """A club for a distance. Carry [m] is of the mean ball; the chances are of one ball and add up to one."""

    id: str
    name: str
    carry_m: Interval
    chance_near: float
    chance_short: float
    chance_long: float


def clubs_for(
    case: Case, layout_id: str, distance_m: float, *, within_m: float = 5.0, draws: int = DRAWS
) -> tuple[Option, ...]:
    """Every club of a layout, the likeliest to come down within ``within_m`` of the distance first;
    of those alike to a per cent, the one whose carry is nearest.

    Parameters
    ----------
    case : its ``wants.air`` is the air of the day
    layout_id : one of the case's layouts, or that of the present set (`engine.sets.plan.own_layout`)
    distance_m : carry wanted [m], above 0
    within_m : how near is near enough [m], above 0

    The carry of one ball is taken as normal about the club's mean, with the player's own shot-to-shot spread; the
    chance is averaged over the draws of what is not known of the mean. Lateral misses are not in it.

    Raises
    ------
    KeyError
        If the case has no such layout.
    """
    from scipy.special import ndtr  # late: scipy need not be there when the page starts

    if not distance_m > 0 or not within_m > 0:
        raise ValueError("`distance_m` and `within_m` must be above 0")
    case = complete(case)
    offered = (*case.layouts, own_layout(case.layouts, case.bag))
    layout = next((x for x in offered if x.id == layout_id), None)
    if layout is None:
        raise KeyError(layout_id)
    clubs = planned(layout, case) if is_own(layout, case.bag) else laid_out(case, layout, draws=draws)
    prediction = prediction_of(case, clubs, case.wants.air or REFERENCE, draws=draws)
    if not prediction.clubs:
        return ()
    carry = prediction.carry
    sd = carry_spread(posterior_of(case, draws=draws).summaries) * np.maximum(carry, 1.0)
    short = ndtr((distance_m - within_m - carry) / sd).mean(axis=0)
    long = ndtr((carry - distance_m - within_m) / sd).mean(axis=0)
    options = [
        Option(club.id, club.name, interval, float(1 - s - n), float(s), float(n))
        for club, interval, s, n in zip(prediction.clubs, intervals(carry), short, long, strict=True)
    ]
    return tuple(sorted(options, key=lambda o: (-round(o.chance_near, 2), abs(o.carry_m.mean - distance_m))))
