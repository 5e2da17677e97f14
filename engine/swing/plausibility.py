"""What the balls say that can hardly be so: said as something to look at, while nothing is left out because of it."""

from __future__ import annotations

import numpy as np

from ..documents.case import Case
from ..units import MPH
from .calibration import DOUBT, Posterior
from .observations import ClubShots
from .parameters import INDEX

SCATTERED = 0.30  # of the mean: sd of one club's carries; a beginner's is about half of it; common practice, no source
FAR_FROM_ENTERED = 2.5  # standard deviations
FAR_FROM_USUAL = 4.0  # the same, of what people of a sex and height swing: a few do swing far from it


def doubts(case: Case, posterior: Posterior) -> tuple[str, ...]:
    """Sentences on carries that look mistyped, noted under the wrong club, or at odds with the speed that was entered.

    A club that two or more others contradict is named; of two that contradict one another both are. At odds are the
    carries and the prior where the most probable speed has moved further than the sum of both allows: a normal prior
    moves by ``N(0, prior variance - posterior variance)``, the check for a conflict of prior and data (Evans & Moshonov
    2006, from memory).
    """
    names = {c.id: c.name or c.id for c in case.bag}
    return (
        *_scattered(case, posterior.summaries, names),
        *_doubted(posterior, names),
        *_two_apart(posterior, names),
        *_speed(case, posterior),
    )


def _scattered(case: Case, groups: tuple[ClubShots, ...], names: dict[str, str]) -> list[str]:
    out = []
    for group in groups:
        carry = group.carry
        if carry.counted > 1 and carry.sd > SCATTERED * carry.mean:
            flown = [
                case.shots[n].carry_m or 0.0 for n, used in zip(group.shots, carry.used, strict=True) if used
            ]
            out.append(
                f"{names[group.club.id]}: its balls carry from {min(flown):.0f} m to {max(flown):.0f} m; "
                "look whether each number is right."
            )
    return out


def _doubted(posterior: Posterior, names: dict[str, str]) -> list[str]:
    out = []
    for check in posterior.left_out:
        if check.club in posterior.doubted:
            off = 100 * (check.measured / check.predicted - 1)
            out.append(
                f"{names[check.club]}: carries {abs(off):.0f} % {'more' if off > 0 else 'less'} than the other "
                "clubs say; check its loft, its length and whether the right club was noted. It counts for less until "
                "then."
            )
    return out


def _two_apart(posterior: Posterior, names: dict[str, str]) -> list[str]:
    """With two clubs nobody can tell which of them is wrong."""
    checks = posterior.left_out
    if len(checks) != 2 or max(abs(c.z) for c in checks) < DOUBT:
        return []
    one, other = (names[c.club] for c in checks)
    second = checks[1]
    return [
        f"{one} and {other} do not belong to one swing: by the {one} alone, the {other} would carry "
        f"{second.predicted:.0f} m and not {second.measured:.0f} m. Look whether both numbers are right and whether "
        "they are of those clubs."
    ]


def _speed(case: Case, posterior: Posterior) -> list[str]:
    if not posterior.summaries:
        return []
    at = INDEX["log_speed"]
    left = float(np.linalg.inv(posterior.precision)[at, at])  # variance as a share of the prior's
    moved = float(posterior.top[at]) / np.sqrt(max(1 - left, 1e-6))
    asked, before = (float(np.exp(x[at])) / MPH for x in (posterior.mean, posterior.prior_mean))
    if case.swing.iron7_speed_mps is not None or case.swing.driver_speed_mps is not None:
        if abs(moved) < FAR_FROM_ENTERED:
            return []
        return [
            f"The carries ask for a club speed of {asked:.0f} mph with the 7-iron, the speed that was entered for "
            f"{before:.0f} mph. The answer lies in between; look at both."
        ]
    if abs(moved) < FAR_FROM_USUAL:
        return []
    return [
        f"The carries ask for a club speed of {asked:.0f} mph with the 7-iron, where {before:.0f} mph would be usual; "
        "look whether the numbers and their unit are right."
    ]
