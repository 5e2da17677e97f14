"""What was measured besides carry, club by club, and what a range carry is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..documents.case import Case, Conditions
from .observations import MEASURED, ClubShots, gather
from .parameters import range_ball_factor


@dataclass(frozen=True, slots=True)
class LaunchMean:
    """The mean of one quantity over the balls of one club at one grip, as the fit takes it.

    ``quantity`` is ``club_speed`` or ``ball_speed`` [m/s], ``launch`` [deg] or ``spin`` [rpm]; ``grip_down_m`` [m].
    """

    club: str
    grip_down_m: float
    quantity: str
    mean: float
    balls: int


def launch_means(case: Case) -> tuple[LaunchMean, ...]:
    """Means of all that was measured of the balls besides their carries, with a carry or without."""
    share = {name: is_share for name, is_share, _ in MEASURED.values()}
    return tuple(
        LaunchMean(
            o.club.id, o.grip_down, o.quantity, math.exp(o.value) if share[o.quantity] else o.value, o.balls
        )
        for o in gather(case)[0]
        if o.balls and o.quantity in share and o.quantity != "carry"
    )


def mean_as_hit(case: Case, group: ClubShots) -> float:
    """Mean carry [m] of those of a club's balls that count, each as it flew on its day."""
    if group.carry.alone is None:
        return group.carry.mean
    balls = [case.shots[n] for n, used in zip(group.shots, group.carry.used, strict=True) if used]
    return math.fsum((s.carry_m or 0.0) * s.balls for s in balls) / math.fsum(s.balls for s in balls)


def with_good_ball(carry_m: float, conditions: Conditions) -> float:
    """What a carry [m] hit in these conditions is worth with a good ball: the same where it was one."""
    return carry_m / range_ball_factor(conditions)[0] if counts_as_range(conditions) else carry_m


def counts_as_range(conditions: Conditions) -> bool:
    """Whether carries are those of range balls; indoors a carry is worked out for a good ball."""
    return conditions.range_ball and not conditions.indoors
