"""The driver: carry over launch and spin, where the player stands on it, what moves him, and which loft suits.

Launch and spin cannot be chosen apart: at one attack they go together with the loft. So beside the map of all launches
and spins, with its optimum and the flat ridge round it, stands the line of lofts within the player's reach (the
question of Winfield & Tan 1994 and Penner 2001, solved here by flying each loft).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..physics.ground import FAIRWAY, Turf
from ..physics.impact import DRIVER_RESTITUTION, Delivery, strike
from ..physics.off_centre import DRIVER_FACE, Face, off_centre
from ..physics.trajectory import Launch, fly
from ..statements import Statement, state
from ..statistics import Interval, chance, interval
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, carry, deliver
from ..swing.parameters import INDEX
from ..units import DEGREE, GRAM, INCH, RPM
from .launch_map import MOST_ATTACK_DEG, RIDGE, LaunchMap, launch_map, totals

Array = NDArray[np.float64]

LOFTS_DEG = tuple(np.arange(6.0, 17.0, 1.0))
REGION = -2 * np.log(1 - 0.9)  # 90 % of a normal distribution of two dimensions
WORTH_IT_M = 2.0  # [m] of carry, less than this a player does not notice; common practice, no source


@dataclass(frozen=True, slots=True)
class PlaceOnMap:
    """Where the player is on the map. ``region`` (points, 2): launch [deg], spin [rpm] round nine draws in ten.

    behind_m : carry of the map's best less the player's [m]; behind_reach_m : the same against the best loft
    within reach
    """

    ball_speed_mps: Interval
    club_speed_mps: Interval
    attack_deg: Interval
    launch_deg: Interval
    spin_rpm: Interval
    region: Array
    carry_m: Interval
    total_m: float
    behind_m: float
    behind_reach_m: float


@dataclass(frozen=True, slots=True)
class Effect:
    """What one change does, all else as it is: means over the draws, carry with its interval.

    side_m : to the right, for a right-handed player
    """

    what: Statement
    launch_deg: float
    spin_rpm: float
    ball_speed_mps: float
    side_m: float
    carry_m: Interval


@dataclass(frozen=True, slots=True)
class Loft:
    """A driver loft [deg] in these hands: launch [deg], spin [rpm], carry and total [m], and the chance that it carries
    at least as far as the present one.
    """

    loft_deg: float
    launch_deg: float
    spin_rpm: float
    carry_m: Interval
    total_m: float
    chance_longer: float


@dataclass(frozen=True, slots=True)
class DriverAdvice:
    """The map, the player on it, what moves him, the lofts within reach, and the recommendation."""

    club: Club
    map: LaunchMap
    standing: PlaceOnMap
    effects: tuple[Effect, ...]
    lofts: tuple[Loft, ...]
    best_loft_deg: float
    best_loft_chance: float
    statements: tuple[Statement, ...]


EFFECTS = (
    (state("effect.loft", change=1.0), {"loft": 1.0}),
    (state("effect.attack", change=1.0), {"attack": 1.0}),  # the face as lofted as before
    (state("effect.length", change=INCH), {"length": -INCH}),
    (state("effect.head", change=5 * GRAM), {"head": 5 * GRAM}),
    (state("effect.high", change=0.010), {"high": 0.010}),
    (state("effect.toe", change=0.010), {"toe": 0.010}),
)


def driver_advice(
    posterior: Posterior,
    driver: Club,
    air: Air,
    *,
    turf: Turf = FAIRWAY,
    face: Face = DRIVER_FACE,
    model: Aerodynamics | None = None,
) -> DriverAdvice:
    """All that launch and spin say of a driver in a player's hands.

    Parameters
    ----------
    posterior : the player's swing; the same draws are used throughout, so that differences are paired
    driver : a club of family ``driver``

    Raises
    ------
    ValueError
        If the club is no driver.
    """
    if driver.family != "driver":
        raise ValueError("`driver` must be a club of family driver")
    theta = posterior.theta
    own = np.exp(posterior.discrepancy(driver.id))
    now = deliver(theta, Clubs.of([driver]))
    lofts = sorted([*(x for x in LOFTS_DEG if abs(x - driver.loft_deg) > 1e-6), driver.loft_deg])
    line = deliver(theta, Clubs.of([replace(driver, loft_deg=x) for x in lofts]))
    flown = carry(theta, line, air, model=model)
    far = flown.carry * own[:, None]
    total = totals(flown, turf=turf, scale=own[:, None])
    present = lofts.index(driver.loft_deg)
    swept = tuple(
        Loft(
            float(loft),
            float(line.launch[:, i].mean()),
            float(line.spin[:, i].mean() / RPM),
            interval(far[:, i]),
            mean_total(total[:, i]),
            0.5 if i == present else chance(far[:, i] >= far[:, present]),
        )
        for i, loft in enumerate(lofts)
    )
    best = max(range(len(lofts)), key=lambda i: swept[i].carry_m.mean)
    ball_speed = float(now.ball_speed.mean())
    rigid = strike(
        now.club_speed,
        (now.face_loft - now.attack) * DEGREE,
        head_mass=driver.head_kg,
        restitution=DRIVER_RESTITUTION,
    )
    drawn = launch_map(
        ball_speed,
        air,
        head_mass=driver.head_kg,
        spin_factor=float(now.spin.mean() / rigid.spin.mean()),
        most_attack_deg=max(MOST_ATTACK_DEG, float(now.attack.mean())),
        drag_factor=float(np.exp(theta[:, INDEX["ball_drag"]].mean())),
        lift_factor=float(np.exp(theta[:, INDEX["ball_lift"]].mean())),
        scale=float(own.mean()),
        turf=turf,
        model=model,
    )
    standing = PlaceOnMap(
        interval(now.ball_speed),
        interval(now.club_speed),
        interval(now.attack),
        interval(now.launch),
        interval(now.spin / RPM),
        region(now.launch[:, 0], now.spin[:, 0] / RPM),
        swept[present].carry_m,
        swept[present].total_m,
        drawn.best.carry_m - swept[present].carry_m.mean,
        swept[best].carry_m.mean - swept[present].carry_m.mean,
    )
    return DriverAdvice(
        driver,
        drawn,
        standing,
        what_moves_it(posterior, driver, air, face=face, model=model),
        swept,
        float(lofts[best]),
        chance(far[:, best] > far[:, present]) if best != present else 0.5,
        _statements(driver, drawn, standing, swept, present, best),
    )


def what_moves_it(
    posterior: Posterior,
    driver: Club,
    air: Air,
    *,
    face: Face = DRIVER_FACE,
    model: Aerodynamics | None = None,
) -> tuple[Effect, ...]:
    """Differences of launch, spin, ball speed and carry for each of `EFFECTS`, paired draw by draw, one batched flight."""
    theta = posterior.theta
    base = deliver(theta, Clubs.of([driver]))
    columns = [off_centre(base, head_mass=driver.head_kg, face=face)]
    for _, change in EFFECTS:
        made = replace(
            driver,
            loft_deg=driver.loft_deg + change.get("loft", 0.0),
            length_m=driver.length_m + change.get("length", 0.0),
            head_kg=driver.head_kg + change.get("head", 0.0),
        )
        moved = theta
        if "attack" in change:
            moved = theta.copy()
            moved[:, INDEX["attack"]] += change["attack"]
        delivery: Delivery = deliver(moved, Clubs.of([made]))
        columns.append(
            off_centre(
                delivery,
                head_mass=made.head_kg,
                toe=change.get("toe", 0.0),
                high=change.get("high", 0.0),
                face=face,
            )
        )
    speed, launch, azimuth, spin, tilt = (
        np.concatenate([getattr(c, name) for c in columns], axis=1)
        for name in ("ball_speed", "launch", "azimuth", "spin", "axis_tilt")
    )
    flight = fly(
        Launch(speed, launch * DEGREE, spin, azimuth * DEGREE, tilt),
        air,
        model=model,
        drag_factor=np.exp(theta[:, INDEX["ball_drag"], None]),
        lift_factor=np.exp(theta[:, INDEX["ball_lift"], None]),
    )
    own = np.exp(posterior.discrepancy(driver.id))[:, None]
    far, side = flight.carry * own, flight.side * own
    back = spin * np.cos(tilt) / RPM

    def moved_by(values: Array, i: int) -> float:
        return float((values[:, i] - values[:, 0]).mean())

    return tuple(
        Effect(
            what,
            moved_by(launch, i),
            moved_by(back, i),
            moved_by(speed, i),
            moved_by(side, i),
            interval(far[:, i] - far[:, 0]),
        )
        for i, (what, _) in enumerate(EFFECTS, start=1)
    )


def region(launch_deg: Array, spin_rpm: Array, *, points: int = 48) -> Array:
    """Outline (points, 2) of the region that holds 90 % of the draws, as if launch and log spin were normal."""
    values = np.stack([launch_deg, np.log(np.maximum(spin_rpm, 1.0))])
    middle = values.mean(axis=1)
    root = np.linalg.cholesky(np.cov(values) + 1e-12 * np.eye(2))
    turn = np.linspace(0, 2 * np.pi, points)
    outline = middle[:, None] + np.sqrt(REGION) * root @ np.stack([np.cos(turn), np.sin(turn)])
    return np.stack([outline[0], np.exp(outline[1])], axis=1)


def mean_total(total: Array) -> float:
    """Mean of the draws that come down steeply enough to have a total; NaN where most do not."""
    known = np.isfinite(total)
    return float(total[known].mean()) if known.mean() > 0.5 else float("nan")


def _statements(
    driver: Club, drawn: LaunchMap, standing: PlaceOnMap, lofts: tuple[Loft, ...], present: int, best: int
) -> tuple[Statement, ...]:
    low, high = drawn.ridge_launch_deg
    out = [
        state(
            "driver.best",
            attack=drawn.most_attack_deg,
            launch=drawn.best.launch_deg,
            spin=drawn.best.spin_rpm,
            flat_from=low,
            flat_to=high,
        ),
        state("driver.player", launch=standing.launch_deg, spin=standing.spin_rpm),
    ]
    gain = standing.behind_reach_m
    if best == present or gain < WORTH_IT_M:
        out.append(state("driver.leave_loft", loft=driver.loft_deg, gain=WORTH_IT_M))
    else:
        out.append(
            state(
                "driver.try_loft",
                loft=lofts[best].loft_deg,
                present=driver.loft_deg,
                gain=gain,
                chance=lofts[best].chance_longer,
                beyond="or_more" if best == len(lofts) - 1 else "or_less" if best == 0 else "exact",
            )
        )
    flat = [x.loft_deg for x in lofts if x.carry_m.mean >= RIDGE * lofts[best].carry_m.mean]
    out.append(state("driver.flat", lowest=flat[0], highest=flat[-1]))
    return tuple(out)
