"""Carry and total over launch and spin at one ball speed, with the best that can be reached and the flat ridge round it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..physics.ground import FAIRWAY, Turf, run_out
from ..physics.impact import DRIVER_RESTITUTION
from ..physics.trajectory import Flight, Launch, fly
from ..units import BALL_MASS, BALL_RADIUS, DEGREE, RPM

Array = NDArray[np.float64]

LAUNCH_DEG = np.linspace(4.0, 28.0, 25)
SPIN_RPM = np.linspace(600.0, 5400.0, 25)
RIDGE = 0.98  # of the best carry
MOST_ATTACK_DEG = 5.0  # [deg] upward; about the most seen off a tee; common practice, no source
LEAST_ATTACK_DEG = -8.0
SHALLOWEST_DEG = 36.0
"""Below this descent [deg] no total is given: there the run comes out far longer than any that was published
(`tests/engine/physics/test_run.py`)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A launch [deg] and spin [rpm] with what it carries [m]; total [m] is NaN where the landing is too shallow."""

    launch_deg: float
    spin_rpm: float
    carry_m: float
    total_m: float


@dataclass(frozen=True, slots=True)
class LaunchMap:
    """Carry over launch and spin at one ball speed; arrays are (launches, spins).

    attack_deg : the attack each pair asks for; within_reach : where that is one people swing at
    best, best_total : the longest within reach
    ridge : within reach and within 2 % of the best carry; ridge_launch_deg, ridge_spin_rpm : its ends
    """

    ball_speed_mps: float
    launch_deg: Array
    spin_rpm: Array
    carry_m: Array
    total_m: Array
    descent_deg: Array
    attack_deg: Array
    within_reach: NDArray[np.bool_]
    ridge: NDArray[np.bool_]
    best: Spot
    best_total: Spot | None
    ridge_launch_deg: tuple[float, float]
    ridge_spin_rpm: tuple[float, float]
    most_attack_deg: float
    turf: str


def launch_map(
    ball_speed_mps: float,
    air: Air,
    *,
    launch_deg: ArrayLike = LAUNCH_DEG,
    spin_rpm: ArrayLike = SPIN_RPM,
    head_mass: float = 0.2,
    spin_factor: float = 0.8,
    most_attack_deg: float = MOST_ATTACK_DEG,
    drag_factor: float = 1.0,
    lift_factor: float = 1.0,
    scale: float = 1.0,
    turf: Turf = FAIRWAY,
    model: Aerodynamics | None = None,
) -> LaunchMap:
    """Fly every pair of launch and spin at one ball speed, in one batch.

    High launch with next to no spin would carry farthest, but nobody can hit it: it asks for an attack far upward. The
    best and the ridge are therefore those within reach.

    Parameters
    ----------
    ball_speed_mps : [m/s], above 0
    launch_deg, spin_rpm : rising axes of the map
    head_mass, spin_factor : of the driver [kg] and of the player's spin over rigid rolling [-], for the attack asked for
    most_attack_deg : farthest upward attack that counts as within reach [deg]
    drag_factor, lift_factor : of the player's ball
    scale : the driver's own departure from the model, on carry [-]
    """
    if not ball_speed_mps > 0:
        raise ValueError("`ball_speed_mps` must be above 0")
    launch, spin = np.asarray(launch_deg, float), np.asarray(spin_rpm, float)
    up, back = np.meshgrid(launch, spin, indexing="ij")
    rise = face_rise(ball_speed_mps, spin, head_mass=head_mass, spin_factor=spin_factor)
    attack = up - rise
    reach = (attack <= most_attack_deg) & (attack >= LEAST_ATTACK_DEG)
    # The best lies where the attack is most upward: that line is flown too, so that no cell's width is lost.
    fine = np.linspace(spin[0], spin[-1], 4 * len(spin))
    line = most_attack_deg + face_rise(ball_speed_mps, fine, head_mass=head_mass, spin_factor=spin_factor)
    flight = fly(
        Launch.of(ball_speed_mps, launch_deg=np.r_[up.ravel(), line], spin_rpm=np.r_[back.ravel(), fine]),
        air,
        model=model,
        drag_factor=drag_factor,
        lift_factor=lift_factor,
    )
    far, total = flight.carry * scale, totals(flight, turf=turf, scale=scale)
    launches, spins = np.r_[up.ravel(), line], np.r_[back.ravel(), fine]
    on_map = np.r_[reach.ravel(), (line >= launch[0]) & (line <= launch[-1])]

    def longest(values: Array) -> Spot:
        i = int(np.nanargmax(np.where(on_map, values, -np.inf)))
        return Spot(float(launches[i]), float(spins[i]), float(far[i]), float(total[i]))

    best = longest(far)
    cells = far[: up.size].reshape(up.shape)
    ridge = reach & (cells >= RIDGE * best.carry_m)
    on = np.nonzero(ridge)
    return LaunchMap(
        float(ball_speed_mps),
        launch,
        spin,
        cells,
        total[: up.size].reshape(up.shape),
        flight.descent[: up.size].reshape(up.shape) / DEGREE,
        attack,
        reach,
        ridge,
        best,
        longest(total) if np.isfinite(total[on_map]).any() else None,
        _ends(launch[on[0]], best.launch_deg),
        _ends(spin[on[1]], best.spin_rpm),
        most_attack_deg,
        turf.name,
    )


def face_rise(
    ball_speed: ArrayLike, spin_rpm: ArrayLike, *, head_mass: ArrayLike, spin_factor: ArrayLike
) -> Array:
    """How far above the path [deg] a driver sends a ball of this speed [m/s] that leaves with this spin [rpm].

    The rigid impact of `engine.physics.impact.strike` turned round: spin gives the tangential speed, ball speed the normal
    one, both together the spin loft and the angle. Launch less this is the attack.
    """
    ratio = BALL_MASS / np.asarray(head_mass, float)
    along = np.asarray(spin_rpm, float) * RPM * BALL_RADIUS / (2.5 * np.asarray(spin_factor, float))
    across = np.sqrt(np.maximum(np.asarray(ball_speed, float) ** 2 - along**2, 1e-9))
    loft = np.arctan(along / across * (3.5 + ratio) * (1 + DRIVER_RESTITUTION) / (1 + ratio))
    return (loft - np.arctan2(along, across)) / DEGREE


def _ends(values: Array, best: float) -> tuple[float, float]:
    return float(min(values.min(initial=best), best)), float(max(values.max(initial=best), best))


def totals(flight: Flight, *, turf: Turf = FAIRWAY, scale: ArrayLike = 1.0) -> Array:
    """Carry and run [m]; NaN where the ball comes down shallower than `SHALLOWEST_DEG`."""
    run = run_out(flight.speed, flight.descent, flight.spin, turf=turf).total
    total = flight.carry * np.asarray(scale, float) + run
    return np.where(flight.descent >= SHALLOWEST_DEG * DEGREE, total, np.nan)
