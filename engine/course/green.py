"""A shot at a green: the chances that a ball with each club is short, on, long or wide of it, and the strokes to hole out.

The whole spread counts: what is not known of the mean carry, shot to shot, the direction, a wind that is seldom quite the
one reckoned with, and the run on the green. Strokes are those that a tour player needs from where the ball lies
(`engine.course.scoring`); other players need more, so that they tell clubs apart rather than foretell a score.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..documents.case import SwingSize
from ..physics.ground import USUAL_GREEN, Turf, run_out
from ..sets.predict import Prediction
from ..statistics import Interval, interval
from ..units import DEGREE, RPM
from .scoring import expected_putts, expected_strokes

Array = NDArray[np.float64]

LURKS = ("fairway", "rough", "sand", "water")
PENALTY = (
    1.0  # [strokes] of a ball in the water, then dropped in the rough as far from the hole; common practice
)
WIND_SD = 0.2  # [-], of the wind in flight about the one reckoned with; ours: gusts over open ground vary by so much
RUN_SD = 0.4  # [log run]: turf differs from place to place; ours, no source
FLAT_RUN_SD = 0.8  # the same of landings flatter than those of which the trade has figures
FLAT_DEG = 40.0  # [deg] of descent
FLATTEST_DEG = 35.0  # [deg] that runs are reckoned for; the run of a flatter landing, near its top on an uphill green, grows
# without bound in the model and is taken as that of this one; ours
BALLS = 32  # with every draw
MOST = 5  # clubs looked into, those whose carries lie nearest; the rest are short or long of any green
LEAST_DRIFT_M = 0.5  # worth a second look without aiming off
SIDES = ("short", "long", "left", "right")


@dataclass(frozen=True, slots=True)
class Green:
    """A green about its flag [m], an oval: how far it reaches in front of the flag, behind it and to either side.

    short, long, left, right : what lies there, one of `LURKS`

    Raises
    ------
    ValueError : a size that is not above 0, or a word that is not one of `LURKS`
    """

    front_m: float
    back_m: float
    half_width_m: float
    short: str = "rough"
    long: str = "rough"
    left: str = "rough"
    right: str = "rough"

    def __post_init__(self) -> None:
        if min(self.front_m + self.back_m, self.half_width_m) <= 0:
            raise ValueError("a green must reach from front to back and to both sides")
        if not {getattr(self, side) for side in SIDES} <= set(LURKS):
            raise ValueError("what lies round a green must be one of " + ", ".join(LURKS))

    def off(self, far: Array, aside: Array) -> tuple[NDArray[np.bool_], NDArray[np.int_]]:
        """Whether a ball lies on the green, and on which of `SIDES` of its middle, by places from the flag [m], beyond it
        and to the right positive.
        """
        deep = (far - (self.back_m - self.front_m) / 2) / ((self.front_m + self.back_m) / 2)
        wide = aside / self.half_width_m
        along = np.abs(deep) >= np.abs(wide)
        return deep**2 + wide**2 <= 1, np.where(along, (deep > 0).astype(int), 2 + (wide > 0).astype(int))


@dataclass(frozen=True, slots=True)
class Approach:
    """One club at a green, with a full swing or the part swing ``swing_size``. Chances of one ball, which add up to one;
    ``strokes`` to hole out, that shot among them, with the 90 % interval of what is not known of the mean ball.

    carry_m : of the mean ball; run_m : of one that lands on the green, backwards negative
    aim_m : how far to the right of the flag to aim for the wind, left negative; on_straight : the chance to be on the green
        for whoever aims at the flag all the same
    """

    id: str
    name: str
    carry_m: Interval
    run_m: float
    on: float
    short: float
    long: float
    left: float
    right: float
    strokes: Interval
    aim_m: float
    on_straight: float
    swing_size: SwingSize | None = None


def approaches(
    prediction: Prediction,
    distance_m: float,
    green: Green,
    *,
    spread: float | Sequence[float],
    direction_sd_deg: float,
    calm: Prediction | None = None,
    turf: Turf = USUAL_GREEN,
    sizes: Sequence[SwingSize | None] = (),
) -> tuple[Approach, ...]:
    """Every club at a green, fewest strokes first.

    Parameters
    ----------
    prediction : of the set in the air and wind of the shot, to the height of the green
    distance_m : to the flag [m], above 0
    spread : shot-to-shot standard deviation of carry as a share of it [-], one for all or one for each club
    direction_sd_deg : of direction [deg]
    calm : the same clubs without the wind; ``prediction`` if not given
    turf : of the green
    sizes : the part swing of each club, ``None`` for a full one; full swings all if not given

    Notes
    -----
    A ball that lands on the green or on the fairway runs, one that lands in anything else stays there. The player is taken
    to aim off for the mean drift. Every club has the same ``BALLS`` balls with each draw, spread evenly over the normal
    distributions, so that clubs compare ball by ball.

    Raises
    ------
    ValueError : a distance that is not above 0
    """
    if not distance_m > 0:
        raise ValueError("`distance_m` must be above 0")
    still = prediction if calm is None else calm
    if not prediction.clubs:
        return ()
    balls = even_normals(len(prediction.carry))
    run = run_out(
        prediction.landing_speed,
        np.maximum(prediction.descent, FLATTEST_DEG) * DEGREE,
        prediction.landing_spin * RPM,
        turf=turf,
    ).total
    spreads = np.broadcast_to(np.asarray(spread, float), len(prediction.clubs))
    near = np.argsort(np.abs(prediction.carry.mean(axis=0) - distance_m), kind="stable")[:MOST]
    found = []
    for i in near:
        club, carry = prediction.clubs[i], prediction.carry[:, i, None]
        drift, blown = prediction.side[:, i, None] - still.side[:, i, None], carry - still.carry[:, i, None]
        gust, mean = WIND_SD * balls[2], float(drift.mean())
        up = prediction.descent[:, i, None] > 0  # else it never gets as high as the green, and is short of it
        far = carry * (1 + spreads[i] * balls[0]) + blown * gust - distance_m
        far = np.where(up, far, np.minimum(far, -green.front_m - 1.0))
        aside = (far + distance_m) * np.tan(direction_sd_deg * DEGREE * balls[1]) + drift * (1 + gust) - mean
        vary = np.where(prediction.descent[:, i, None] < FLAT_DEG, FLAT_RUN_SD, RUN_SD)
        rolled = np.where(up, run[:, i, None] * np.exp(vary * balls[3]), 0.0)
        on, where, strokes = _rest(far, aside, rolled, green)
        straight = on if abs(mean) < LEAST_DRIFT_M else _rest(far, aside + mean, rolled, green)[0]
        short, long, left, right = (float((~on & (where == side)).mean()) for side in range(len(SIDES)))
        found.append(
            Approach(
                id=club.id,
                name=club.name,
                carry_m=interval(carry),
                run_m=float(run[up[:, 0], i].mean()) if up.any() else 0.0,
                on=float(on.mean()),
                short=short,
                long=long,
                left=left,
                right=right,
                strokes=interval(1 + strokes.mean(axis=1)),
                aim_m=-mean,
                on_straight=float(straight.mean()),
                swing_size=sizes[i] if sizes else None,
            )
        )
    return tuple(sorted(found, key=lambda a: (round(a.strokes.mean, 2), abs(a.carry_m.mean - distance_m))))


def _rest(
    far: Array, aside: Array, run: Array, green: Green
) -> tuple[NDArray[np.bool_], NDArray[np.int_], Array]:
    """Whether balls that land at places from the flag [m] end on the green, on which side of it, and strokes from there."""
    on, side = green.off(far, aside)
    mown = np.array([getattr(green, name) == "fairway" for name in SIDES])
    far = np.where(on | mown[side], far + run, far)
    on, side = green.off(far, aside)
    left = np.hypot(far, aside)
    strokes = np.asarray(expected_putts(left))
    for lie in dict.fromkeys(getattr(green, name) for name in SIDES):
        here = ~on & np.array([getattr(green, name) == lie for name in SIDES])[side]
        wet = lie == "water"
        strokes[here] = expected_strokes(left[here], lie="rough" if wet else lie) + PENALTY * wet
    return on, side, strokes


def even_normals(draws: int, count: int = BALLS) -> Array:
    """Standard normal points (4, draws, count): in every draw and dimension the middles of ``count`` equal shares.

    How dimensions pair follows the order of Hammersley's points (Hammersley 1960), moved on from draw to draw.
    """
    from scipy.special import ndtri

    ranks = np.stack([np.argsort(np.argsort(_mirrored(count, base))) for base in (count, 2, 3, 5)])
    steps = np.arange(draws)[None, :, None] * np.array([0, 1, 7, 19])[:, None, None]
    return np.asarray(ndtri(((ranks[:, None, :] + steps) % count + 0.5) / count))


def _mirrored(count: int, base: int) -> Array:
    """The first so many numbers with their digits mirrored about the point."""
    out, scale, left = np.zeros(count), 1.0, np.arange(count)
    while left.any():
        left, digit = np.divmod(left, base)
        scale /= base
        out += digit * scale
    return out
