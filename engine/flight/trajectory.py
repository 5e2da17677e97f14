"""Flight of many balls at once: 3-D point mass with drag, lift and decaying spin, by Runge-Kutta of fourth order.

Axes: x forward, y to the left, z up, from the tee. The spin axis keeps its direction in space; its size decays.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine.flight.aerodynamics import SPIN_DECAY, Aerodynamics, aerodynamics
from engine.flight.air import Air, wind_factor
from engine.units import BALL_AREA, BALL_DIAMETER, BALL_MASS, BALL_RADIUS, DEGREE, GRAVITY, RPM

Array = NDArray[np.float64]

STEP_PATH = 25.0  # [m] of flight in one step: keeps landings well within 0.05 m of a fine solver
STEPS_UP = 5  # at least so many steps in the time a ball without air would take to come down
FIRST_STEPS = (0.3, 0.6)  # the first steps are shorter: the wind changes fastest near the ground
MOST_STEPS = 400
AREA_OVER_MASS = 0.5 * BALL_AREA / BALL_MASS


@dataclass(frozen=True, slots=True)
class Launch:
    """How balls leave the face; arrays of one shape, or numbers, which are repeated.

    speed [m/s]; elevation, azimuth (right positive) [rad]; spin [rad/s]; axis_tilt [rad], positive bends right.
    """

    speed: ArrayLike
    elevation: ArrayLike
    spin: ArrayLike
    azimuth: ArrayLike = 0.0
    axis_tilt: ArrayLike = 0.0

    @classmethod
    def of(
        cls,
        speed_mps: ArrayLike,
        *,
        launch_deg: ArrayLike,
        spin_rpm: ArrayLike,
        azimuth_deg: ArrayLike = 0.0,
        axis_tilt_deg: ArrayLike = 0.0,
    ) -> Launch:
        """A launch from the units of documents: [m/s], [deg], [rpm]."""
        return cls(
            np.asarray(speed_mps, float),
            np.asarray(launch_deg, float) * DEGREE,
            np.asarray(spin_rpm, float) * RPM,
            np.asarray(azimuth_deg, float) * DEGREE,
            np.asarray(axis_tilt_deg, float) * DEGREE,
        )


@dataclass(frozen=True, slots=True)
class Flight:
    """Where and how balls came down; every array has the shape of the launch. SI and radians.

    carry: forward distance to the landing [m]; side: to the right [m]; apex [m]; time [s]; descent: angle below
    level at landing [rad]; speed and spin at landing [m/s], [rad/s]; heading: direction at landing, right positive.
    """

    carry: Array
    side: Array
    apex: Array
    time: Array
    descent: Array
    speed: Array
    spin: Array
    heading: Array
    path: Array | None = None


def fly(
    launch: Launch,
    air: Air,
    *,
    model: Aerodynamics | None = None,
    drag_factor: ArrayLike = 1.0,
    lift_factor: ArrayLike = 1.0,
    path_points: int = 0,
) -> Flight:
    """Fly every ball of a launch until it comes down to the height of the tee.

    Parameters
    ----------
    launch : the balls; arrays of any one shape
    air : density, viscosity and wind
    model : coefficient set; the default of the registry if not given
    drag_factor, lift_factor : multiply the coefficients; broadcast to the launch's shape
    path_points : if positive, ``Flight.path`` is an array (3, path_points, *shape) of points forward, right, up [m]

    Landing is found by a step of the right size, not by a straight line, so that the step length hardly matters:
    within 0.05 m of scipy's DOP853 at a relative tolerance of 1e-10 (`tests/engine/test_flight.py`).
    """
    model = model or aerodynamics()
    speed, elevation, spin, azimuth, tilt, kd, kl = np.broadcast_arrays(
        *(
            np.asarray(v, float)
            for v in (
                launch.speed,
                launch.elevation,
                launch.spin,
                launch.azimuth,
                launch.axis_tilt,
                drag_factor,
                lift_factor,
            )
        )
    )
    shape = speed.shape
    speed, elevation, spin, azimuth, tilt, kd, kl = (
        v.ravel() for v in (speed, elevation, spin, azimuth, tilt, kd, kl)
    )
    state = np.zeros((7, speed.size))
    state[3] = speed * np.cos(elevation) * np.cos(azimuth)
    state[4] = -speed * np.cos(elevation) * np.sin(azimuth)
    state[5] = speed * np.sin(elevation)
    state[6] = np.maximum(spin, 1e-6)
    # Backspin about a level axis square to the direction of launch, then tilted about that direction.
    axis = np.array([-np.sin(azimuth) * np.cos(tilt), -np.cos(azimuth) * np.cos(tilt), -np.sin(tilt)])
    motion = _Motion(air, model, kd, kl, axis)

    n = speed.size
    final = np.empty((7, n))
    time = np.zeros(n)
    index = np.arange(n)
    clock = np.zeros(n)
    ceiling = 2 * np.maximum(state[5], 0.3 * speed) / GRAVITY / STEPS_UP
    apex = np.zeros(n)
    history: list[
        tuple[NDArray[Any], Array, Array]
    ] = []  # (index, clock, state) before each step, for the path
    for number in range(MOST_STEPS):
        step = np.minimum(STEP_PATH / _length(state[3:6]), ceiling[index])
        if number < len(FIRST_STEPS):
            step = step * FIRST_STEPS[number]
        rate = motion.rate(state)
        after = motion.step(state, rate, step)
        if path_points:
            history.append((index, clock, state))
        turning = (state[5] > 0) & (after[5] <= 0)
        if turning.any():
            apex[index[turning]] = _top(
                state[:, turning], rate[:, turning], after[:, turning], step[turning], motion
            )
        down = after[2] <= 0
        if down.any():
            landed, spent = motion.only(down).land(state[:, down], rate[:, down], after[:, down], step[down])
            where = index[down]
            final[:, where] = landed
            time[where] = clock[down] + spent
            up = ~down
            if not up.any():
                break
            index, clock, step, after, motion = index[up], clock[up], step[up], after[:, up], motion.only(up)
        state = after
        clock = clock + step
    else:
        final[:, index] = state
        time[index] = clock
    vx, vy, vz = final[3:6]
    level = np.hypot(vx, vy)
    path = (
        _path(history, final, time, path_points, n).reshape(3, path_points, *shape) if path_points else None
    )
    return Flight(
        carry=final[0].reshape(shape),
        side=-final[1].reshape(shape),
        apex=apex.reshape(shape),
        time=time.reshape(shape),
        descent=np.arctan2(-vz, level).reshape(shape),
        speed=_length(final[3:6]).reshape(shape),
        spin=final[6].reshape(shape),
        heading=np.arctan2(-vy, vx).reshape(shape),
        path=path,
    )


@dataclass(frozen=True, slots=True)
class _Motion:
    """The equations of motion of a batch of balls; state rows are x, y, z, vx, vy, vz, omega."""

    air: Air
    model: Aerodynamics
    drag_factor: Array
    lift_factor: Array
    axis: Array

    def only(self, mask: Array) -> _Motion:
        return _Motion(
            self.air, self.model, self.drag_factor[mask], self.lift_factor[mask], self.axis[:, mask]
        )

    def rate(self, state: Array) -> Array:
        out = np.empty_like(state)
        out[:3] = state[3:6]
        ux, uy, uz = state[3], state[4], state[5]
        forward, left = self.air.wind
        if forward or left:
            factor = wind_factor(state[2])
            ux = ux - forward * factor
            uy = uy - left * factor
        size = np.sqrt(ux * ux + uy * uy + uz * uz)
        omega = state[6]
        w = omega * BALL_RADIUS / size
        cd, cl = self.model.form(size * (self.air.density * BALL_DIAMETER / self.air.viscosity), w)
        scale = (self.air.density * AREA_OVER_MASS) * size
        drag = -scale * cd * self.drag_factor
        lift = scale * cl * self.lift_factor
        ax, ay, az = self.axis
        out[3] = drag * ux + lift * (ay * uz - az * uy)
        out[4] = drag * uy + lift * (az * ux - ax * uz)
        out[5] = drag * uz + lift * (ax * uy - ay * ux) - GRAVITY
        out[6] = (-SPIN_DECAY / BALL_RADIUS) * omega * size
        return out

    def step(self, state: Array, k1: Array, dt: Array) -> Array:
        """One classical Runge-Kutta step; ``k1`` is the rate at ``state``."""
        half = 0.5 * dt
        k2 = self.rate(state + half * k1)
        k3 = self.rate(state + half * k2)
        k4 = self.rate(state + dt * k3)
        k2 += k3
        k2 *= 2
        k2 += k1
        k2 += k4
        return state + (dt / 6) * k2

    def land(self, state: Array, k1: Array, after: Array, dt: Array) -> tuple[Array, Array]:
        """State and time at height zero inside a step: Hermite estimate, then a step of that size and one correction."""
        part = _hermite_root(state[2], dt * k1[2], after[2], dt * after[5]) * dt
        landed = self.step(state, k1, part)
        late = -landed[2] / np.minimum(landed[5], -1e-6)
        return landed + late * self.rate(landed), part + late


def _length(v: Array) -> Array:
    return np.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])


def _hermite(s: Array, z0: Array, d0: Array, z1: Array, d1: Array) -> tuple[Array, Array]:
    """Cubic through two ends with slopes, and its slope, at a fraction ``s`` of the interval."""
    c2 = 3 * (z1 - z0) - 2 * d0 - d1
    c3 = 2 * (z0 - z1) + d0 + d1
    return z0 + s * (d0 + s * (c2 + s * c3)), d0 + s * (2 * c2 + 3 * s * c3)


def _hermite_root(z0: Array, d0: Array, z1: Array, d1: Array) -> Array:
    """Where a cubic that starts at or above zero and ends at or below it comes down, by guarded Newton steps."""
    low, high = np.zeros_like(z0), np.ones_like(z0)
    s = np.where(z0 > 0, z0 / np.maximum(z0 - z1, 1e-12), 1.0)
    s = np.clip(s, 0.05, 1.0)
    for _ in range(12):
        z, slope = _hermite(s, z0, d0, z1, d1)
        low = np.where(z > 0, s, low)
        high = np.where(z > 0, high, s)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = s - z / slope
        s = np.where((newton > low) & (newton < high), newton, 0.5 * (low + high))
    return s


def _top(state: Array, rate: Array, after: Array, dt: Array, motion: _Motion) -> Array:
    """Greatest height inside a step in which the ball stops rising."""
    a0 = rate[5] * dt
    rise = after[5] - state[5]
    # Vertical speed along the step is close to a parabola through its ends with the known slope at the start.
    curve = rise - a0
    with np.errstate(divide="ignore", invalid="ignore"):
        root = (-a0 - np.sqrt(np.maximum(a0 * a0 - 4 * curve * state[5], 0))) / (2 * curve)
    s = np.where(np.abs(curve) > 1e-9 * np.abs(a0), root, -state[5] / np.where(a0 == 0, -1, a0))
    s = np.clip(np.nan_to_num(s, nan=0.5), 0, 1)
    return _hermite(s, state[2], dt * state[5], after[2], dt * after[5])[0]


def _path(history: list[tuple[Array, Array, Array]], final: Array, time: Array, points: int, n: int) -> Array:
    """Points evenly spaced in time along each flight: forward, right, up."""
    out = np.empty((3, points, n))
    for ball in range(n):
        steps = [(c[i == ball][0], s[:, i == ball][:, 0]) for i, c, s in history if (i == ball).any()]
        knots = np.array([t for t, _ in steps] + [time[ball]])
        states = np.array([s for _, s in steps] + [final[:, ball]])
        at = np.linspace(0, time[ball], points)
        k = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)
        dt = np.maximum(knots[k + 1] - knots[k], 1e-12)
        s = (at - knots[k]) / dt
        for row in range(3):
            z0, z1 = states[k, row], states[k + 1, row]
            out[row, :, ball] = _hermite(s, z0, dt * states[k, row + 3], z1, dt * states[k + 1, row + 3])[0]
    out[1] *= -1
    return out
