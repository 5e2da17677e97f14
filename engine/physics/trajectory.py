"""Flight of many balls at once: 3-D point mass with drag, lift and decaying spin, by Runge-Kutta of fourth order.

Axes: x forward, y to the left, z up, from the tee. The spin axis keeps its direction in space; its size decays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..units import BALL_AREA, BALL_DIAMETER, BALL_MASS, BALL_RADIUS, DEGREE, GRAVITY, RPM
from .aerodynamics import SPIN_DECAY, Aerodynamics, aerodynamics
from .air import Air

Array = NDArray[np.float64]

STEP_PATH = 25.0  # [m] of flight in one step: keeps landings well within 0.05 m of a fine solver
STEPS_UP = 5  # at least so many steps in the time a ball without air would take to come down
FIRST_STEPS = (0.3, 0.6)  # the first steps are shorter: there the ball is fastest
MOST_STEPS = 400
AREA_OVER_MASS = 0.5 * BALL_AREA / BALL_MASS
X, Z, VX, VZ, SPIN, VY, Y = range(7)  # rows of a state; a flight in one plane has only the first five
ROWS = 7


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
    air: Air | Sequence[Air],
    *,
    model: Aerodynamics | None = None,
    drag_factor: ArrayLike = 1.0,
    lift_factor: ArrayLike = 1.0,
    height: float = 0.0,
    path_points: int = 0,
) -> Flight:
    """Fly every ball of a launch until it comes down to a height, that of the tee unless another is given.

    Parameters
    ----------
    launch : the balls; arrays of any one shape
    air : density, viscosity and wind; or several, one for each entry of the launch's first axis
    model : coefficient set; the default of the registry if not given
    drag_factor, lift_factor : multiply the coefficients; broadcast to the launch's shape
    height : of the landing above the tee [m], below it if negative; a ball that never gets so high ends at its top, and its
        descent is 0
    path_points : if positive, ``Flight.path`` is an array (3, path_points, *shape) of points forward, right, up [m]

    Landing is found by a step of the right size, not by a straight line, so that the step length hardly matters:
    within 0.05 m of scipy's DOP853 at a relative tolerance of 1e-10 (`tests/engine/physics/test_flight.py`).

    >>> from engine.physics.air import REFERENCE, air_of
    >>> from engine.units import DEGREE, RPM
    >>> balls = Launch(speed=[50.0, 55.0], elevation=20 * DEGREE, spin=6500 * RPM)
    >>> flight = fly(balls, air_of(REFERENCE))
    >>> flight.carry.shape, bool(flight.carry[1] > flight.carry[0] > 100.0)
    ((2,), True)
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
    if isinstance(air, Air):
        density: Any = air.density
        viscosity: Any = air.viscosity
        wind: tuple[Any, Any] = air.wind
    else:
        each = speed.size // len(air)
        told = np.array([(one.density, one.viscosity, *one.wind) for one in air])
        density, viscosity, *both = np.repeat(told, each, axis=0).T
        wind = both[0], both[1]
    planar = not (np.any(wind[1]) or azimuth.any() or tilt.any())
    state = np.zeros((VY if planar else ROWS, speed.size))
    state[VX] = speed * np.cos(elevation) * np.cos(azimuth)
    state[VZ] = speed * np.sin(elevation)
    state[SPIN] = np.maximum(spin, 1e-6)
    axis = np.zeros((3, 0))
    if not planar:
        state[VY] = -speed * np.cos(elevation) * np.sin(azimuth)
        # Backspin about a level axis square to the direction of launch, then tilted about that direction.
        axis = np.array([-np.sin(azimuth) * np.cos(tilt), -np.cos(azimuth) * np.cos(tilt), -np.sin(tilt)])
    motion = _Motion(density, viscosity, wind, model, kd, kl, axis)
    flown = _until_landed(state, speed, motion, height=float(height), keep_history=path_points > 0)
    final = flown.state
    vx, vz = final[VX], final[VZ]
    vy = np.zeros_like(vx) if planar else final[VY]
    side = np.zeros_like(vx) if planar else -final[Y]
    return Flight(
        carry=final[X].reshape(shape),
        side=side.reshape(shape),
        apex=flown.apex.reshape(shape),
        time=flown.time.reshape(shape),
        descent=np.arctan2(-vz, np.hypot(vx, vy)).reshape(shape),
        speed=np.sqrt(vx * vx + vy * vy + vz * vz).reshape(shape),
        spin=final[SPIN].reshape(shape),
        heading=np.arctan2(-vy, vx).reshape(shape),
        path=_path(flown, path_points).reshape(3, path_points, *shape) if path_points else None,
    )


@dataclass(frozen=True, slots=True)
class _Flown:
    """Balls at landing: states (rows, n), times [s] and apexes [m] (n,); (index, clock, state) before each step."""

    state: Array
    time: Array
    apex: Array
    history: list[tuple[NDArray[Any], Array, Array]]


def _until_landed(
    state: Array, speed: Array, motion: _Motion, *, height: float, keep_history: bool
) -> _Flown:
    """Step all balls until each is down.

    The steps in which balls reach their tops and the ground are set aside and looked into all at once at the end,
    since many small calls cost more than one large. For a raised target the step that holds the top ends there, so that
    a ball comes down to the target from above or has never been so high.
    """
    rows, n = state.shape
    raised = height > 0
    index, clock, moving = np.arange(n), np.zeros(n), motion
    ceiling = 2 * np.maximum(state[VZ], 0.3 * speed) / GRAVITY / STEPS_UP
    tops, landings, history = [], [], []
    for number in range(MOST_STEPS):
        step = np.minimum(STEP_PATH / _size(state), ceiling)
        if number < len(FIRST_STEPS):
            step = step * FIRST_STEPS[number]
        rate = moving.rate(state)
        after = moving.step(state, rate, step)
        if keep_history:
            history.append((index, clock, state))
        turning = np.flatnonzero((state[VZ] > 0) & (after[VZ] <= 0))
        if turning.size:
            tops.append(
                (index[turning], state[:, turning], rate[:, turning], after[:, turning], step[turning])
            )
            if raised:
                step[turning] *= _top_of(
                    state[:, turning], rate[:, turning], after[:, turning], step[turning]
                )
                after[:, turning] = moving.only(turning).step(
                    state[:, turning], rate[:, turning], step[turning]
                )
                after[VZ, turning] = np.minimum(after[VZ, turning], 0.0)
        down = (after[Z] <= height) & (after[VZ] <= 0)
        if down.any():
            at = np.flatnonzero(down)
            landings.append((index[at], state[:, at], rate[:, at], after[:, at], step[at], clock[at]))
            up = np.flatnonzero(~down)
            if not up.size:
                break
            index, clock, step, ceiling = index[up], clock[up], step[up], ceiling[up]
            after, moving = after[:, up], moving.only(up)
        state = after
        clock = clock + step
    final, time, apex = np.empty((rows, n)), np.empty(n), np.zeros(n)
    final[:, index], time[index] = (
        state,
        clock,
    )  # of a ball that is still up after all steps; the others follow
    if landings:
        where, before, slope, beyond, dt, began = (
            np.concatenate(part, axis=-1) for part in zip(*landings, strict=True)
        )
        landed, spent = motion.only(where).land(before, slope, beyond, dt, height)
        if raised:
            low = before[Z] < height  # its top is at the end of this step
            landed[:, low], spent[low] = beyond[:, low], dt[low]
            landed[VZ, low] = 0.0
        final[:, where] = landed
        time[where] = began + spent
    if tops:
        where, before, slope, beyond, dt = (np.concatenate(part, axis=-1) for part in zip(*tops, strict=True))
        apex[where] = _top(before, slope, beyond, dt)
    return _Flown(final, time, apex, history)


@dataclass(frozen=True, slots=True)
class _Motion:
    """The equations of motion of a batch of balls; without a wind from the side, side spin or aim the rows of y are
    left out and the spin axis is level and square to x.
    """

    density: Any  # and the others of the air: numbers, or one a ball
    viscosity: Any
    wind: tuple[Any, Any]
    model: Aerodynamics
    drag_factor: Array
    lift_factor: Array
    axis: Array

    def only(self, index: NDArray[Any]) -> _Motion:
        axis = self.axis[:, index] if self.axis.size else self.axis
        density, viscosity, wind = self.density, self.viscosity, self.wind
        if isinstance(density, np.ndarray):
            density, viscosity, wind = density[index], viscosity[index], (wind[0][index], wind[1][index])
        kd, kl = self.drag_factor[index], self.lift_factor[index]
        return _Motion(density, viscosity, wind, self.model, kd, kl, axis)

    def rate(self, state: Array) -> Array:
        out = np.empty_like(state)
        ux, uz, omega = state[VX], state[VZ], state[SPIN]
        out[X], out[Z] = ux, uz
        planar = len(state) < ROWS
        forward, left = self.wind
        ux = ux - forward
        square = ux * ux + uz * uz
        if not planar:
            out[Y] = state[VY]
            uy = state[VY] - left
            square += uy * uy
        size = np.sqrt(square)
        cd, cl = self.model.form(
            size * (self.density * BALL_DIAMETER / self.viscosity), omega * BALL_RADIUS / size
        )
        scale = (self.density * AREA_OVER_MASS) * size
        drag = scale * cd * self.drag_factor
        lift = scale * cl * self.lift_factor
        if planar:
            out[VX] = -drag * ux - lift * uz
            out[VZ] = lift * ux - drag * uz - GRAVITY
        else:
            ax, ay, az = self.axis
            out[VX] = lift * (ay * uz - az * uy) - drag * ux
            out[VY] = lift * (az * ux - ax * uz) - drag * uy
            out[VZ] = lift * (ax * uy - ay * ux) - drag * uz - GRAVITY
        out[SPIN] = (-SPIN_DECAY / BALL_RADIUS) * omega * size
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
        k2 *= dt / 6
        k2 += state
        return k2

    def land(self, state: Array, k1: Array, after: Array, dt: Array, height: float) -> tuple[Array, Array]:
        """State and time at a height inside a step: Hermite estimate, then a step of that size and one correction."""
        part = _hermite_root(state[Z] - height, dt * k1[Z], after[Z] - height, dt * after[VZ]) * dt
        landed = self.step(state, k1, part)
        late = (height - landed[Z]) / np.minimum(landed[VZ], -1e-6)
        return landed + late * self.rate(landed), part + late


def _size(state: Array) -> Array:
    """Speed over the ground [m/s]."""
    square: Array = state[VX] * state[VX] + state[VZ] * state[VZ]
    if len(state) >= ROWS:
        square = square + state[VY] * state[VY]
    size: Array = np.sqrt(square)
    return size


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


def _top_of(state: Array, rate: Array, after: Array, dt: Array) -> Array:
    """The share of a step after which a ball stops rising in it."""
    a0 = rate[VZ] * dt
    rise = after[VZ] - state[VZ]
    # Vertical speed along the step is close to a parabola through its ends with the known slope at the start.
    curve = rise - a0
    with np.errstate(divide="ignore", invalid="ignore"):
        root = (-a0 - np.sqrt(np.maximum(a0 * a0 - 4 * curve * state[VZ], 0))) / (2 * curve)
    s = np.where(np.abs(curve) > 1e-9 * np.abs(a0), root, -state[VZ] / np.where(a0 == 0, -1, a0))
    return np.asarray(np.clip(np.nan_to_num(s, nan=0.5), 0, 1))


def _top(state: Array, rate: Array, after: Array, dt: Array) -> Array:
    """Greatest height inside a step in which the ball stops rising."""
    s = _top_of(state, rate, after, dt)
    return _hermite(s, state[Z], dt * state[VZ], after[Z], dt * after[VZ])[0]


def _path(flown: _Flown, points: int) -> Array:
    """Points evenly spaced in time along each flight: forward, right, up (3, points, n)."""
    rows, n = flown.state.shape
    out = np.zeros((3, points, n))
    # forward, right and up, each with the row of its speed and its sign
    parts = [(0, X, VX, 1.0), (2, Z, VZ, 1.0)] + ([(1, Y, VY, -1.0)] if rows == ROWS else [])
    for ball in range(n):
        steps = [(c[i == ball][0], s[:, i == ball][:, 0]) for i, c, s in flown.history if (i == ball).any()]
        knots = np.array([t for t, _ in steps] + [flown.time[ball]])
        states = np.array([s for _, s in steps] + [flown.state[:, ball]])
        at = np.linspace(0, flown.time[ball], points)
        k = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)
        dt = np.maximum(knots[k + 1] - knots[k], 1e-12)
        s = (at - knots[k]) / dt
        for place, row, speed, sign in parts:
            z0, z1 = states[k, row], states[k + 1, row]
            out[place, :, ball] = (
                sign * _hermite(s, z0, dt * states[k, speed], z1, dt * states[k + 1, speed])[0]
            )
    return out
