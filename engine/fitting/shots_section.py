"""What the shots told: each club's balls summed up, what the calibration learned, and what to check."""

from __future__ import annotations

from ..documents.case import Case
from ..documents.result import Calibration, LeftOutCheck, ParameterResult, ShotGroup
from ..statements import Statement, state
from ..statistics import Interval
from ..swing.calibration import Posterior
from ..swing.observations import ClubShots
from ..swing.parameters import PARAMETERS
from ..swing.plausibility import doubts

BALLS_HALF_WIDTH = 2.0  # [m]


def shot_group(group: ClubShots, *, mean_in_air_m: float | None = None) -> ShotGroup:
    """The balls of one club at one grip as the result holds them."""
    carry = group.carry
    reasons = zip(group.shots, carry.reasons, strict=True)
    return ShotGroup(
        club=group.club.id,
        grip_down_m=group.grip_down,
        n=carry.n,
        left_out=carry.left_out,
        carry_m=carry,
        balls_for_2m=carry.balls_for(BALLS_HALF_WIDTH) or 0,
        mishits=tuple((number, reason) for number, reason in reasons if reason is not None),
        mean_in_air_m=mean_in_air_m,
    )


def calibration(posterior: Posterior, spread: float) -> Calibration:
    """What the shots taught; ``spread`` is the shot-to-shot standard deviation of carry as a share of it [-]."""
    return Calibration(
        converged=posterior.converged,
        status=posterior.status,
        parameters=tuple(
            ParameterResult(
                p.name,
                p.unit,
                (float(posterior.prior_mean[i]), float(posterior.prior_sd[i])),
                (float(posterior.mean[i]), float(posterior.sd[i])),
            )
            for i, p in enumerate(PARAMETERS)
        ),
        left_out_check=tuple(
            LeftOutCheck(c.club, c.measured, Interval(c.predicted, c.low, c.high)) for c in posterior.left_out
        ),
        doubted=posterior.doubted,
        carry_spread=spread,
    )


def warnings(case: Case, posterior: Posterior) -> tuple[Statement, ...]:
    """What the coach should look at again, in the case and in what came of it."""
    out = list(doubts(case, posterior))
    longest = case.wants.longest_iron
    if longest is not None and all(c.id != longest or c.family != "iron" for c in case.carried):
        out.append(state("warning.longest_iron_missing", quoted=[longest]))
    if not posterior.summaries:
        out.append(state("warning.no_carries"))
    elif len({g.club.id for g in posterior.summaries}) == 1:
        out.append(state("warning.one_club"))
    if not posterior.converged:
        out.append(state("warning.not_settled"))
    return tuple(out)
