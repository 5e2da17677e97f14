"""Bounce and run after landing on a stated turf, in the form of Penner 2002 ("The run of a golf ball", Can. J. Phys.
80:931-940); constants from memory.

The turf gives way in front of the ball, so that it bounces as from a plane tilted back towards it; on that plane the
normal speed keeps a share that falls with speed, and friction turns backspin and forward speed into rolling.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..units import BALL_RADIUS, DEGREE, GRAVITY

Array = NDArray[np.float64]

MOST_BOUNCES = 12
LEAST_RISE = 0.3  # [m/s], below this a ball rolls


@dataclass(frozen=True, slots=True)
class Turf:
    """A ground: friction at the bounce, rolling resistance ``(7/5) a / g``, factor on how far the plane tilts."""

    name: str
    friction: float
    rolling: float
    tilt: float
    source: str


GREEN = Turf(  # of rating 10
    "green",
    0.40,
    0.078,
    1.0,
    "Penner 2002 for friction; rating to resistance by rolling mechanics",
)
FAIRWAY = Turf("firm_fairway", 0.40, 0.196, 1.0, "Penner 2002; resistance that of a green of rating 4")
SOFT = Turf("soft_fairway", 0.50, 0.35, 1.3, "common practice, no source")
SOFT_GREEN = Turf("soft_green", 0.45, 0.098, 1.3, "rating 8; how it gives way: common practice, no source")
USUAL_GREEN = Turf("usual_green", 0.42, 0.087, 1.15, "rating 9; between the soft one and Penner's, ours")
GREENS = {"soft": SOFT_GREEN, "usual": USUAL_GREEN, "firm": GREEN}


@dataclass(frozen=True, slots=True)
class Run:
    """From landing to rest; arrays of the input's shape. bounce, roll: distances [m], backwards negative; total: both."""

    bounce: Array
    roll: Array
    total: Array
    bounces: NDArray[np.int_]


def turf_restitution(normal_speed: ArrayLike) -> Array:
    """Restitution of ball on turf for a normal speed [m/s]: ``0.510 - 0.0375 v + 0.000903 v^2``, 0.120 above 20 m/s.

    Penner 2002 after Haake 1989; from memory.
    """
    v = np.asarray(normal_speed, float)
    return np.where(v < 20, 0.510 - 0.0375 * v + 0.000903 * v**2, 0.120)


def run_out(speed: ArrayLike, descent: ArrayLike, spin: ArrayLike, *, turf: Turf = FAIRWAY) -> Run:
    """Bounces and roll of balls that land on level turf.

    Parameters
    ----------
    speed : [m/s] at landing
    descent : [rad] below level
    spin : backspin [rad/s]
    turf : the ground

    Notes
    -----
    The plane tilts by ``15.4 deg (v / 18.6 m/s) (phi / 44.4 deg)``. A bounce slips while friction cannot stop the sliding,
    and otherwise leaves the ball rolling on the plane: ``v_t' = (5 v_t - 2 r w) / 7``. Between bounces air is neglected.
    """
    v, phi, omega = np.broadcast_arrays(*(np.asarray(x, float) for x in (speed, descent, spin)))
    forward, down, omega = v * np.cos(phi), v * np.sin(phi), np.array(omega, float)
    bounced = np.zeros(v.shape)
    count = np.zeros(v.shape, int)
    live = np.ones(v.shape, bool)
    for _ in range(MOST_BOUNCES):
        size = np.hypot(forward, down)
        angle = np.arctan2(down, np.abs(forward))
        tilt = np.minimum(turf.tilt * 15.4 * DEGREE * (size / 18.6) * (angle / (44.4 * DEGREE)), 0.5)
        side = np.where(forward >= 0, 1.0, -1.0)
        normal = size * np.sin(angle + tilt)
        along = size * np.cos(angle + tilt)
        back = omega * side  # backspin against the direction of travel
        e = turf_restitution(normal)
        slide = along + back * BALL_RADIUS
        grip = turf.friction * (1 + e) * normal
        rolled = (5 * along - 2 * back * BALL_RADIUS) / 7
        slips = np.abs(2 * slide / 7) > grip
        along_after = np.where(slips, along - np.sign(slide) * grip, rolled)
        back_after = np.where(slips, back - np.sign(slide) * 2.5 * grip / BALL_RADIUS, -rolled / BALL_RADIUS)
        rise = e * normal
        up = rise * np.cos(tilt) + along_after * np.sin(tilt)
        ahead = (along_after * np.cos(tilt) - rise * np.sin(tilt)) * side
        forward = np.where(live, ahead, forward)
        omega = np.where(live, back_after * side, omega)
        down = np.where(live, np.maximum(up, 0), down)
        hop = live & (up > LEAST_RISE)
        bounced = bounced + np.where(hop, 2 * ahead * np.maximum(up, 0) / GRAVITY, 0.0)
        count = count + hop
        live = hop
        if not live.any():
            break
    level = (5 * forward - 2 * omega * BALL_RADIUS) / 7
    roll = level * np.abs(level) / (2 * (5 / 7) * turf.rolling * GRAVITY)
    return Run(bounced, roll, bounced + roll, count)
