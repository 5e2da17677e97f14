"""A shorter driver: speed lost against strikes nearer the centre.

Speed lost is the swing's own ``length_effect``, with its interval. How far strikes scatter, and how much more with a
longer club, nobody measured for this player: both are priors, common practice without a source. Geometry says that the
scatter grows with the distance from the hands, 2.4 % an inch at 45.5 in; a study of seven low handicaps found no loss of
accuracy from 46 to 50 in (Kenny, Wallace & Otto 2008), players and builders speak of more. So the growth is held to be 3
+/- 2 % an inch.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..course.scoring import expected_strokes
from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..physics.off_centre import DRIVER_FACE, Face, off_centre
from ..physics.trajectory import Launch, fly
from ..statements import Statement, state
from ..statistics import Interval, chance, interval
from ..swing.calibration import SEED, Posterior
from ..swing.delivery import Clubs, carry, deliver
from ..swing.parameters import INDEX
from ..units import DEGREE, INCH, YARD
from ..workshop.balance import head_for_swing_weight, usual_parts, weigh

Array = NDArray[np.float64]

LENGTHS_M = tuple(float(x) * INCH for x in np.arange(43.0, 46.01, 0.5))
SCATTER_LENGTH_M = 45.5 * INCH
TOE_SD_M = 0.012  # [m] heel to toe, of one player's strikes at 45.5 in; common practice, no source
HIGH_SD_M = 0.009  # [m] up and down the face; the same
SCATTER_LOG_SD = 0.25  # how unsure both are
GROWTH = (0.03 / INCH, 0.02 / INCH)  # [1/m] mean and standard deviation
POWERS = tuple((i, j) for i in range(4) for j in range(4 - i))
CENTRED_M = 0.010  # a strike within so much of the middle is called centred

HOLE_M = 400 * YARD
FAIRWAY_HALF_M = 15.0
DIRECTION_SD_DEG = 5.0  # [deg] of a middle handicap with a driver; common practice, no source
LEAST_SHARE = 0.3  # at least this share of a player's scatter has other causes than the place of the strike
SURE = 0.7
STROKES_THAT_MATTER = 0.05  # a drive; what saves less saves no stroke in a round; ours, no source

LENGTH_NOTE = state("note.strike_scatter")


@dataclass(frozen=True, slots=True)
class LengthOption:
    """One length [m] of the driver. Changes are against the present length, paired draw by draw.

    centred : share of strikes within 10 mm of the middle; carry_sd_m, side_sd_m : of one ball [m]
    strokes_change : on a 400 yd hole with a fairway 30 m wide, tour level; less than 0 is better
    """

    length_m: float
    head_kg: float
    club_speed_mps: Interval
    speed_change_mps: Interval
    carry_m: Interval
    carry_change_m: Interval
    centred: float
    carry_sd_m: float
    side_sd_m: float
    strokes_change: Interval
    chance_better: float


@dataclass(frozen=True, slots=True)
class LengthAdvice:
    """All lengths, what an inch costs, and the recommendation.

    recommended_m : the present length unless another is better by enough to matter, with some certainty
    chance : that it is better than the present, or that no other is better by enough to matter
    """

    options: tuple[LengthOption, ...]
    present_m: float
    speed_per_inch_mps: Interval
    carry_per_inch_m: Interval
    recommended_m: float
    chance: float
    statements: tuple[Statement, ...]
    note: Statement = LENGTH_NOTE


def length_advice(
    posterior: Posterior,
    driver: Club,
    air: Air,
    *,
    spread: float,
    lengths_m: tuple[float, ...] = LENGTHS_M,
    keep_swing_weight: bool = False,
    direction_sd_deg: float = DIRECTION_SD_DEG,
    toe_sd_m: float = TOE_SD_M,
    high_sd_m: float = HIGH_SD_M,
    face: Face = DRIVER_FACE,
    model: Aerodynamics | None = None,
) -> LengthAdvice:
    """What each length of a driver gives and costs.

    Parameters
    ----------
    spread : shot-to-shot standard deviation of carry as a share of it
    keep_swing_weight : the head is made heavier as the club gets shorter, so that the swing weight stays; otherwise the
        head stays
    direction_sd_deg : standard deviation of one ball's direction [deg]
    toe_sd_m, high_sd_m : scatter of the strikes at 45.5 in [m]

    Notes
    -----
    Carry and side over the face are cubics fitted to a batch of flights at the mean delivery; mean and variance for strikes
    scattered normally are exact for them. Scatter of carry and direction that is not from the strike stays as it is.
    """
    if driver.family != "driver":
        raise ValueError("`driver` must be a club of family driver")
    lengths = sorted([*(x for x in lengths_m if abs(x - driver.length_m) > 1e-6), driver.length_m])
    clubs = [replace(driver, length_m=x, head_kg=_head(driver, x, keep_swing_weight)) for x in lengths]
    now = lengths.index(driver.length_m)
    theta = posterior.theta
    own = np.exp(posterior.discrepancy(driver.id))[:, None]
    delivery = deliver(theta, Clubs.of(clubs))
    far = carry(theta, delivery, air, model=model).carry * own
    surface = face_surface(theta.mean(axis=0), driver, air, face=face, model=model)

    rng = np.random.default_rng([SEED, 1])
    level = np.exp(SCATTER_LOG_SD * rng.standard_normal(len(theta)))[:, None]
    growth = (GROWTH[0] + GROWTH[1] * rng.standard_normal(len(theta)))[:, None]
    wider = level * np.exp(growth * (np.array(lengths) - SCATTER_LENGTH_M))
    toe, high = toe_sd_m * wider, high_sd_m * wider
    mean, sd = moments(surface.carry, toe, high)
    side_sd = moments(surface.side, toe, high)[1]
    # The present length's loss is already in the player's own carries.
    expected = far * mean / mean[:, [now]]
    other = _rest(spread, sd[:, [now]])
    carry_sd = expected * np.hypot(other, sd)
    turned = _rest(np.tan(direction_sd_deg * DEGREE), side_sd[:, [now]])
    aside = expected * np.hypot(turned, side_sd)
    from scipy.special import ndtr  # late: scipy need not be there when the page starts

    hit = 2 * ndtr(FAIRWAY_HALF_M / aside) - 1
    left = HOLE_M - expected
    strokes = hit * expected_strokes(left) + (1 - hit) * expected_strokes(left, lie="rough")
    change = strokes - strokes[:, [now]]
    options = tuple(
        LengthOption(
            x,
            clubs[i].head_kg,
            interval(delivery.club_speed[:, i]),
            interval(delivery.club_speed[:, i] - delivery.club_speed[:, now]),
            interval(expected[:, i]),
            interval(expected[:, i] - expected[:, now]),
            float(centred_share(toe[:, i], high[:, i]).mean()),
            float(carry_sd[:, i].mean()),
            float(aside[:, i].mean()),
            interval(change[:, i]),
            0.5 if i == now else chance(change[:, i] < 0),
        )
        for i, x in enumerate(lengths)
    )
    best = min(options, key=lambda o: o.strokes_change.mean)
    worth = best.strokes_change.mean < -STROKES_THAT_MATTER and best.chance_better >= SURE
    chosen = best if worth else options[now]
    speed = delivery.club_speed[:, now] * theta[:, INDEX["length_effect"]] * INCH
    per_inch = far[:, now] * _carry_slope(far, lengths)
    advice = LengthAdvice(
        options,
        driver.length_m,
        interval(speed),
        interval(per_inch),
        chosen.length_m,
        best.chance_better if worth else chance(change.min(axis=1) >= -STROKES_THAT_MATTER),
        (),
    )
    return replace(advice, statements=_statements(advice, options[now], chosen))


@dataclass(frozen=True, slots=True)
class FaceSurface:
    """Carry over that of a centred strike, and side over the same carry [-], as cubics in toe and high [m].

    Coefficients of the monomials of `POWERS`.
    """

    carry: Array
    side: Array


def face_surface(
    theta: Array, driver: Club, air: Air, *, face: Face = DRIVER_FACE, model: Aerodynamics | None = None
) -> FaceSurface:
    """Fly strikes all over the face at one set of parameters (parameters,), and fit the cubics."""
    row = theta[None]
    base = deliver(row, Clubs.of([driver]))
    toe, high = (
        x.ravel()
        for x in np.meshgrid(np.linspace(-0.024, 0.024, 7), np.linspace(-0.018, 0.018, 7), indexing="ij")
    )
    hit = off_centre(base, head_mass=driver.head_kg, toe=toe, high=high, face=face)
    flight = fly(
        Launch(hit.ball_speed, hit.launch * DEGREE, hit.spin, hit.azimuth * DEGREE, hit.axis_tilt),
        air,
        model=model,
        drag_factor=np.exp(row[:, INDEX["ball_drag"], None]),
        lift_factor=np.exp(row[:, INDEX["ball_lift"], None]),
    )
    terms = np.stack([toe**i * high**j for i, j in POWERS], axis=1)
    middle = float(flight.carry[0, toe.size // 2])
    fit = np.linalg.lstsq(terms, np.stack([flight.carry[0], flight.side[0]], axis=1) / middle, rcond=None)[0]
    return FaceSurface(np.asarray(fit[:, 0] / fit[0, 0], float), np.asarray(fit[:, 1], float))


def moments(coefficients: Array, toe_sd: Array, high_sd: Array) -> tuple[Array, Array]:
    """Mean and standard deviation of a cubic of `POWERS` for strikes scattered normally, by Gauss-Hermite quadrature."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(4)  # exact to the seventh power
    weights = weights / weights.sum()
    mean, square = np.zeros(np.shape(toe_sd)), np.zeros(np.shape(toe_sd))
    for x, wx in zip(nodes, weights, strict=True):
        for y, wy in zip(nodes, weights, strict=True):
            value = sum(
                c * (x * toe_sd) ** i * (y * high_sd) ** j
                for c, (i, j) in zip(coefficients, POWERS, strict=True)
            )
            mean, square = mean + wx * wy * value, square + wx * wy * value**2
    return mean, np.sqrt(np.maximum(square - mean**2, 0.0))


def centred_share(toe_sd: Array, high_sd: Array) -> Array:
    """Share of normally scattered strikes within `CENTRED_M` of the middle, by integration round the circle."""
    turn = (np.arange(32) + 0.5) * (2 * np.pi / 32)
    bend = (np.cos(turn) / np.asarray(toe_sd)[..., None]) ** 2 + (
        np.sin(turn) / np.asarray(high_sd)[..., None]
    ) ** 2
    inside = (1 - np.exp(-(CENTRED_M**2) * bend / 2)) / bend
    mean: Array = inside.mean(axis=-1) / (np.asarray(toe_sd) * np.asarray(high_sd))
    return mean


def _rest(whole: float, part: Array) -> Array:
    """What is left of a scatter once a part is taken out of it, in squares; never less than `LEAST_SHARE` of it."""
    return np.sqrt(np.maximum(whole**2 - part**2, (LEAST_SHARE * whole) ** 2))


def _head(driver: Club, length_m: float, keep_swing_weight: bool) -> float:
    if not keep_swing_weight:
        return driver.head_kg
    now = weigh(usual_parts(driver)).moment_inoz
    return head_for_swing_weight(usual_parts(replace(driver, length_m=length_m)), now)


def _carry_slope(far: Array, lengths: list[float]) -> Array:
    """Carry lost an inch shorter over the carry [-], through the longest and the shortest length."""
    span = (lengths[-1] - lengths[0]) / INCH
    slope: Array = (far[:, -1] - far[:, 0]) / span / far.mean(axis=1)
    return slope


def _statements(advice: LengthAdvice, now: LengthOption, best: LengthOption) -> tuple[Statement, ...]:
    cost = state(
        "driver_length.cost",
        shorter=INCH,
        speed=advice.speed_per_inch_mps,
        carry=advice.carry_per_inch_m,
    )
    if best is now:
        return cost, state("driver_length.level", chance=advice.chance)
    return cost, state(
        "driver_length.better",
        length=best.length_m,
        strokes=-best.strokes_change.mean,
        centred=best.centred,
        centred_now=now.centred,
        carry=best.carry_change_m.mean,
        chance=advice.chance,
        way="shorter" if best.length_m < now.length_m else "longer",
    )
