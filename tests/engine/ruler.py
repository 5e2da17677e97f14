"""What a coach does by hand: three ways to read a set's carries off a few measured ones, and the yardstick made of them."""

from __future__ import annotations

import numpy as np

YARD = 0.9144
BASELINES = ("line", "between", "ratio")
USUAL_FALL = (
    2.5 * YARD
)  # [m a deg]: ten yards from club to club, four degrees apart; common practice, no source

# Carries of the men's older circulated set [yd] over the lofts of such clubs (common practice, no source); below the
# pitching wedge the same gaps go on.
USUAL_LOFT = (20.5, 23.5, 26.5, 30, 33.5, 37.5, 41.5, 46, 52, 56, 60)
USUAL_CARRY = (212, 203, 194, 183, 172, 160, 148, 136, 119, 107, 95)


def line(loft, carry, at):
    """Straight line of mean carry over loft; through one club with the usual gaps."""
    if len(set(loft)) < 2:
        return np.mean(carry) - USUAL_FALL * (np.asarray(at) - np.mean(loft))
    slope, level = np.polyfit(loft, carry, 1)
    return level + slope * np.asarray(at)


def between(loft, carry, at):
    """Straight from club to club, never rising with loft; beyond the ends as the last two say."""
    if len(set(loft)) < 2:
        return line(loft, carry, at)
    x = np.unique(loft)
    y = [np.mean([c for c, at_ in zip(carry, loft, strict=True) if at_ == one]) for one in x]
    held: list[list[float]] = []
    for value in y:  # pool what rises
        held.append([value, 1])
        while len(held) > 1 and held[-1][0] > held[-2][0]:
            (a, wa), (b, wb) = held[-2:]
            held[-2:] = [[(a * wa + b * wb) / (wa + wb), wa + wb]]
    y = np.concatenate([[value] * int(w) for value, w in held])
    at = np.asarray(at, float)
    out = np.interp(at, x, y)
    first, last = (y[1] - y[0]) / (x[1] - x[0]), (y[-1] - y[-2]) / (x[-1] - x[-2])
    out = np.where(at < x[0], y[0] + first * (at - x[0]), out)
    return np.where(at > x[-1], y[-1] + last * (at - x[-1]), out)


def ratio(loft, carry, at):
    """The usual set's carries, all multiplied by one number."""
    usual = lambda x: np.interp(x, USUAL_LOFT, USUAL_CARRY)  # noqa: E731
    return np.sum(carry) / np.sum(usual(loft)) * usual(at)


def by_hand(truth):
    """Predicted carries of a truth's present clubs and of its single-length set by each baseline: name -> two arrays.

    At one length a coach says what the line says, and what was hit where it was.
    """
    means = {
        i: float(np.mean([s.carry_m for s in truth.case.shots if s.club == i]))
        for i in dict.fromkeys(truth.hit)
    }
    lofts = {c.id: c.loft_deg for c in truth.clubs}
    loft, carry = [lofts[i] for i in means], list(means.values())
    out = {}
    for name, way in (("line", line), ("between", between), ("ratio", ratio)):
        present = way(loft, carry, [c.loft_deg for c in truth.clubs])
        single = way(loft, carry, [c.loft_deg for c in truth.single])
        single = np.array([means.get(c.id, s) for c, s in zip(truth.single, single, strict=True)])
        out[name] = np.maximum(present, 1.0), np.maximum(single, 1.0)
    return out
