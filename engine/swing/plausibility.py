"""Implausible carries and speeds: stated as something to look at, while nothing is left out because of them."""

from __future__ import annotations

import numpy as np

from ..documents.case import Case, Club
from ..statements import Statement, state
from .calibration import AT_ODDS_SDS, Posterior
from .observations import ClubShots
from .parameters import INDEX

SCATTERED = 0.30  # of the mean: sd of one club's carries; a beginner's is about half of it; common practice, no source
FAR_FROM_ENTERED = 2.5  # standard deviations
FAR_FROM_USUAL = 4.0  # the same, of what people of a sex and height swing: a few do swing far from it


def doubts(case: Case, posterior: Posterior) -> tuple[Statement, ...]:
    """Statements on carries that look mistyped, noted under the wrong club, or at odds with the speed that was entered.

    A club that two or more others contradict is named; of two that contradict one another both are. At odds are the
    carries and the prior where the most probable speed has moved further than the sum of both allows: a normal prior
    moves by ``N(0, prior variance - posterior variance)``, the check for a conflict of prior and data (Evans & Moshonov
    2006, from memory).
    """
    clubs = {c.id: c for c in case.bag}
    return (
        *_scattered(case, posterior.summaries),
        *_doubted(posterior, clubs),
        *_two_apart(posterior, clubs),
        *_speed(case, posterior),
    )


def _scattered(case: Case, groups: tuple[ClubShots, ...]) -> list[Statement]:
    out = []
    for group in groups:
        carry = group.carry
        if carry.counted > 1 and carry.sd > SCATTERED * carry.mean:
            flown = [
                case.shots[n].carry_m or 0.0 for n, used in zip(group.shots, carry.used, strict=True) if used
            ]
            out.append(state("doubt.scattered", clubs=[group.club], least=min(flown), most=max(flown)))
    return out


def _doubted(posterior: Posterior, clubs: dict[str, Club]) -> list[Statement]:
    out = []
    for check in posterior.left_out:
        if check.club in posterior.doubted:
            off = check.measured / check.predicted - 1
            way = "more" if off > 0 else "less"
            out.append(state("doubt.club_off", clubs=[clubs[check.club]], off=abs(off), way=way))
    return out


def _two_apart(posterior: Posterior, clubs: dict[str, Club]) -> list[Statement]:
    """With two clubs nobody can tell which of them is wrong."""
    checks = posterior.left_out
    if len(checks) != 2 or max(abs(c.z) for c in checks) < AT_ODDS_SDS:
        return []
    one, other = checks
    pair = [clubs[one.club], clubs[other.club]]
    return [state("doubt.two_apart", clubs=pair, predicted=other.predicted, measured=other.measured)]


def _speed(case: Case, posterior: Posterior) -> list[Statement]:
    if not posterior.summaries:
        return []
    at = INDEX["log_speed"]
    left = float(np.linalg.inv(posterior.precision)[at, at])  # variance as a share of the prior's
    moved = float(posterior.top[at]) / np.sqrt(max(1 - left, 1e-6))
    asked, before = (float(np.exp(x[at])) for x in (posterior.mean, posterior.prior_mean))
    if case.swing.iron7_speed_mps is not None or case.swing.driver_speed_mps is not None:
        if abs(moved) < FAR_FROM_ENTERED:
            return []
        return [state("doubt.speed_entered", carries=asked, entered=before)]
    if abs(moved) < FAR_FROM_USUAL:
        return []
    return [state("doubt.speed_unusual", carries=asked, usual=before)]
