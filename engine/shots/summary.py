"""Centre, spread and certainty of one club's shots, without letting a few mishits decide.

Mishits are set aside by the rule in `engine.shots.mishits`.

Everything here depends on the values alone, not on their order, and a repeated set of values is never less
certain than the set once.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..statements import Statement
from .mishits import LEAST_SPREAD, LONG_LIMIT, SHORT_LIMIT, mishit_reason, mishit_scores, scores_by_day
from .robust_statistics import huber, in_order, middle_of, scale_about, standard_deviation

SPREAD_PRIOR = 0.065  # of carry, a middling handicap; common practice, no source
PRIOR_BALLS = 6  # degrees of freedom that a prior spread counts for; our choice
LEVEL = 0.90


@dataclass(frozen=True, slots=True)
class Summary:
    """What one club's values say. Units are those of the values.

    n: balls given; left_out: how many of them were set aside; mean: Huber location of the others (the plain
    mean of fewer than four values); sd: their standard deviation (n - 1), NaN for one value; spread: the same, drawn
    towards the prior if one was given, and what intervals and ball counts use; degrees: its degrees of
    freedom; used: which values counted; reasons: why the others did not, ``None`` where they did; between: standard
    error of the mean that days leave, whatever the balls of each; alone: the same values without what other days say of
    them, where they do.
    """

    n: int
    left_out: int
    mean: float
    sd: float
    spread: float
    degrees: float
    used: tuple[bool, ...] = field(repr=False)
    reasons: tuple[Statement | None, ...] = field(repr=False)
    between: float = 0.0
    alone: Summary | None = None

    @property
    def counted(self) -> int:
        """Balls that counted."""
        return self.n - self.left_out

    def interval(self, level: float = LEVEL) -> tuple[float, float]:
        """Student-t interval of the mean; infinite when one value and no prior is all there is."""
        half = t_half_width(self.spread, n=self.counted, level=level, degrees=self.degrees)
        if self.between:
            half = math.hypot(half, t_factor(degrees=1e9, level=level) * self.between)
        return self.mean - half, self.mean + half

    def balls_for(self, half_width: float, *, level: float = LEVEL) -> int | None:
        """Balls still needed for a mean known to +/- ``half_width``; None while the spread is not known, or where days
        leave more than that open, however many balls are hit today."""
        days = t_factor(degrees=1e9, level=level) * self.between
        if not math.isfinite(self.spread) or days >= half_width:
            return None
        half_width = math.sqrt(half_width**2 - days**2)
        prior = max(self.degrees - (self.counted - 1), 0.0)
        return max(
            0, balls_needed(self.spread, half_width=half_width, level=level, prior_balls=prior) - self.counted
        )

    def to_doc(self) -> dict[str, Any]:
        """Mean, sd and 90 % interval as JSON values; what is not known is None."""
        low, high = self.interval()
        values = {"mean": self.mean, "sd": self.sd, "lo90": low, "hi90": high}
        return {name: value if math.isfinite(value) else None for name, value in values.items()}


def summarise(
    values: ArrayLike,
    *,
    spread_prior: float | None = None,
    prior_balls: float = PRIOR_BALLS,
    keep: Sequence[bool] | None = None,
    balls: Sequence[float] | None = None,
    sds: Sequence[float | None] | None = None,
    least_spread: float = LEAST_SPREAD,
    days: Sequence[Hashable] | None = None,
    apart: float = 0.0,
) -> Summary:
    """Summarise one club's values of one quantity (n,), in any order.

    Parameters
    ----------
    spread_prior : expected standard deviation as a share of the centre, or None for none; see `pooled_share`
    prior_balls : degrees of freedom that ``spread_prior`` counts for
    keep : values that are never to be set aside, because the player said so
    balls : how many balls each value is the mean of, one each if not given; means are never set aside, and where there
        are any the location is the mean over all balls
    sds : standard deviation of the balls behind each mean, ``None`` where it is not known or a value is one ball
    least_spread, days, apart : for the mishit rule, see `engine.shots.mishits`; of one day where ``days`` is not given

    Raises
    ------
    ValueError : no value, a value that is not a finite number, or ``keep``, ``balls``, ``sds`` or ``days`` of another length
    """
    x = np.asarray(values, float)
    if x.ndim != 1 or not x.size:
        raise ValueError("`values` must be a list of at least one finite number")
    given: list[float] = x.tolist()
    if not all(abs(value) < 1e100 for value in given):
        raise ValueError("`values` must be a list of at least one finite number")
    if keep is not None and len(keep) != len(given):
        raise ValueError("`keep` must be as long as `values`")
    if balls is not None and len(balls) != len(given):
        raise ValueError("`balls` must be as long as `values`")
    if sds is not None and len(sds) != len(given):
        raise ValueError("`sds` must be as long as `values`")
    days = [None] * len(given) if days is None else days
    if len(days) != len(given):
        raise ValueError("`days` must be as long as `values`")
    if balls is not None and max(balls) > 1:
        told = sds or [None] * len(given)
        return _of_means(given, balls, told, keep, spread_prior, prior_balls, least_spread, days, apart)
    z, middle = _scores(given, least_spread, days, apart)
    used = tuple(-SHORT_LIMIT <= score <= LONG_LIMIT for score in z)
    if keep is not None:
        used = tuple(good or bool(kept) for good, kept in zip(used, keep, strict=True))
    good = [value for value, counts in zip(given, used, strict=True) if counts]
    n = len(good)
    mean = huber(good, scale=_scale(good, spread_prior, prior_balls)) if n >= 4 else math.fsum(good) / n
    sd = standard_deviation(good)
    spread, degrees = drawn_in(sd, float(n - 1), mean, spread_prior, prior_balls)
    if n == len(given):
        reasons: tuple[Statement | None, ...] = (None,) * n
    else:
        reasons = tuple(
            None if counts else mishit_reason(value, beside, score)
            for value, beside, score, counts in zip(given, middle, z, used, strict=True)
        )
    return Summary(len(given), len(given) - n, mean, sd, spread, degrees, used, reasons)


def _scores(
    values: list[float], least_spread: float, days: Sequence[Hashable], apart: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    if len(set(days)) > 1:
        return scores_by_day(values, days=days, apart=apart, least_spread=least_spread)
    z, middle = mishit_scores(values, least_spread=least_spread)
    return z, (middle,) * len(values)


def _scale(values: Sequence[float], spread_prior: float | None, prior_balls: float) -> float:
    """The robust standard deviation of values (n,), drawn towards the prior's: that of a few values is too rough."""
    ordered = in_order(values)
    middle = middle_of(ordered)
    return drawn_in(scale_about(ordered, middle), len(ordered) - 1.0, middle, spread_prior, prior_balls)[0]


def drawn_in(
    sd: float, degrees: float, mean: float, spread_prior: float | None, prior_balls: float
) -> tuple[float, float]:
    """A standard deviation drawn towards the prior's, and its degrees of freedom."""
    if spread_prior is None:
        return sd, degrees
    total = prior_balls * (spread_prior * mean) ** 2 + (degrees * sd**2 if degrees else 0.0)
    return math.sqrt(total / (degrees + prior_balls)), degrees + prior_balls


def _of_means(
    values: list[float],
    balls: Sequence[float],
    sds: Sequence[float | None],
    keep: Sequence[bool] | None,
    spread_prior: float | None,
    prior_balls: float,
    least_spread: float,
    days: Sequence[Hashable],
    apart: float,
) -> Summary:
    """Summary of values some of which are means of several balls; a value of w balls scatters by sd over root w.

    Where the balls behind a mean have a standard deviation of their own, it counts by their w - 1 degrees of freedom.
    """
    kept = tuple(w > 1 or (keep is not None and bool(keep[i])) for i, w in enumerate(balls))
    alone = [i for i, w in enumerate(balls) if w <= 1]
    used = [True] * len(values)
    reasons: list[Statement | None] = [None] * len(values)
    if len(alone) > 2:
        singles = summarise(
            [values[i] for i in alone],
            keep=[kept[i] for i in alone],
            least_spread=least_spread,
            days=[days[i] for i in alone],
            apart=apart,
        )
        for i, counts, why in zip(alone, singles.used, singles.reasons, strict=True):
            used[i], reasons[i] = counts, why
    good = sorted((v, float(w)) for v, w, counts in zip(values, balls, used, strict=True) if counts)
    n = math.fsum(w for _, w in good)
    mean = math.fsum(v * w for v, w in good) / n
    within = [
        (w - 1, s)
        for w, s, counts in zip(balls, sds, used, strict=True)
        if counts and w > 1 and s is not None
    ]
    degrees = float(len(good) - 1) + math.fsum(free for free, _ in within)
    squares = math.fsum((*(w * (v - mean) ** 2 for v, w in good), *(free * s**2 for free, s in within)))
    sd = math.sqrt(squares / degrees) if degrees else math.nan
    spread, degrees = drawn_in(sd, degrees, mean, spread_prior, prior_balls)
    left = sum(1 for counts in used if not counts)
    return Summary(round(n) + left, left, mean, sd, spread, degrees, tuple(used), tuple(reasons))


# Clubs have tens of shots, not thousands: plain sorted lists are several times faster here than arrays.


def t_factor(*, degrees: float, level: float = LEVEL) -> float:
    """Two-sided Student-t factor for a level of confidence and degrees of freedom; infinite for none."""
    if degrees <= 0:
        return math.inf
    from scipy.special import stdtrit

    return float(stdtrit(degrees, 0.5 + level / 2))


def t_half_width(sd: float, *, n: float, level: float = LEVEL, degrees: float | None = None) -> float:
    """Half width of the interval of a mean of ``n`` values with standard deviation ``sd``.

    ``degrees`` of freedom are n - 1 unless the standard deviation is better known than from these values.
    """
    free = n - 1 if degrees is None else degrees
    if free <= 0 or math.isnan(sd):
        return math.inf
    return t_factor(degrees=free, level=level) * sd / math.sqrt(n)


def balls_needed(sd: float, *, half_width: float, level: float = LEVEL, prior_balls: float = 0.0) -> int:
    """Fewest balls whose mean is known to +/- ``half_width``: exact, with t at n - 1 + ``prior_balls``.

    The count for a known standard deviation is a lower bound; from there it is raised until Student's t
    agrees.
    """
    if not half_width > 0:
        raise ValueError("`half_width` must be a number above 0")
    if not 0 <= sd < 1e6 * half_width:
        raise ValueError("`sd` must be a number from 0 and not a million times `half_width`")
    from scipy.special import ndtri

    n = max(math.ceil((float(ndtri(0.5 + level / 2)) * sd / half_width) ** 2 - 1e-9), 1 if prior_balls else 2)
    while t_half_width(sd, n=n, level=level, degrees=n - 1 + prior_balls) > half_width:
        n += 1
    return n


def overlap_chance(gap: ArrayLike, *, sd_longer: ArrayLike, sd_shorter: ArrayLike) -> Any:
    """Chance that one shot with the shorter club flies further than one with the longer, ``gap`` apart in the
    mean.

    Normal spreads, independent shots; broadcasts. With no spread at all it is 0, 1/2 or 1.
    """
    from scipy.special import ndtr

    d = np.asarray(gap, float)
    sd = np.hypot(sd_longer, sd_shorter)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        z = np.where(sd > 0, -d / sd, -np.sign(d) * np.inf)
    return ndtr(np.where(np.isnan(z), 0.0, z))[()]


def pooled_share(
    shares: ArrayLike, *, counts: ArrayLike, prior: float = SPREAD_PRIOR, prior_balls: float = PRIOR_BALLS
) -> float:
    """One player's spread as a share of carry, over all clubs, beginning from a prior.

    shares (clubs,): standard deviation over mean of each club; counts (clubs,): its balls. Each club weighs
    by its degrees of freedom, the prior by ``prior_balls``; clubs with fewer than two balls say nothing.
    """
    s, free = np.asarray(shares, float), np.asarray(counts, float) - 1
    told = (free > 0) & np.isfinite(s)
    total = prior_balls * prior**2 + float((free[told] * s[told] ** 2).sum())
    return math.sqrt(total / (prior_balls + float(free[told].sum())))


def shrunk_sd(sd: ArrayLike, *, n: ArrayLike, towards: ArrayLike, prior_balls: float = PRIOR_BALLS) -> Any:
    """Standard deviation of ``n`` values drawn towards another by degrees of freedom; broadcasts.

    The posterior of a scaled inverse chi-square prior (Gelman et al., Bayesian Data Analysis, section 2.6).
    """
    free = np.maximum(np.asarray(n, float) - 1, 0)
    own = np.where(free > 0, np.asarray(sd, float), 0.0)
    return np.sqrt((prior_balls * np.square(towards) + free * own**2) / (prior_balls + free))[()]
