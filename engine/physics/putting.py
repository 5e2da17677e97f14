"""The ball on the green: loft at impact and launch, skid and roll, deceleration, and what the hole takes.

Green speed is the roll-out [ft] of a ball let off a ramp at 6.00 ft/s (1.83 m/s; read in a greenkeeping text and in
Holmes 1991 from memory). A rolling ball slows evenly, a sliding one is slowed by friction until it rolls (solid
sphere). Friction 0.4 of ball on turf is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..units import BALL_MASS, BALL_RADIUS, DEGREE, FOOT, GRAVITY

RAMP_SPEED = 6.0 * FOOT  # [m/s]
FRICTION = 0.4  # [-] sliding ball on turf, from memory
HOLE_RADIUS = 0.054  # [m], hole of 4.25 in
RIM_CAPTURE_SPEED = 1.63  # [m/s] Holmes 1991, from memory
LAUNCH_WANTED_DEG = (1.0, 2.0)  # [deg] read in one coaching text
LAUNCH_SHARE = 0.8
"""Launch angle over dynamic loft for lofts this small, as for a rigid rolling impact (Daish 1972); derived."""
HEAD_KG = 0.350  # common practice
RESTITUTION = 0.80  # [-] ball on a putter at a few metres a second; common practice, no source


def deceleration(*, green_speed_ft: ArrayLike, slope: ArrayLike = 0.0) -> Any:
    """Deceleration of a rolling ball [m/s2], less than 0 where it gains speed.

    ``v0^2 / (2 S) + (5/7) g sin(slope)``; slope [-] is rise over run, uphill positive. One text read has a slope of
    4.2 % at which a ball on a green of 14 no longer stops, which is the sliding form without 5/7; this gives 5.6 %.
    """
    flat = RAMP_SPEED**2 / (2 * np.asarray(green_speed_ft, float) * FOOT)
    return flat + 5 / 7 * GRAVITY * np.sin(np.arctan(np.asarray(slope, float)))


def rolling_resistance(*, green_speed_ft: ArrayLike) -> Any:
    """Rolling resistance [-], ``(7/5) a / g`` (Penner 2002, from memory: 0.065 at 12 ft and 0.196 at 4 ft)."""
    return 1.4 * np.asarray(deceleration(green_speed_ft=green_speed_ft)) / GRAVITY


def speed_to_roll(distance_m: ArrayLike, *, green_speed_ft: ArrayLike, slope: ArrayLike = 0.0) -> Any:
    """Speed [m/s] at which a ball already rolling stops after a distance [m]; NaN where the slope never stops it."""
    slowing = np.asarray(deceleration(green_speed_ft=green_speed_ft, slope=slope))
    with np.errstate(invalid="ignore"):
        return np.where(slowing > 0, np.sqrt(2 * slowing * np.asarray(distance_m, float)), np.nan)


@dataclass(frozen=True, slots=True)
class Putt:
    """A putt. Skid [m] and time of it [s], speed once rolling [m/s], roll and whole run [m], skid's share [-]."""

    skid_m: float
    skid_s: float
    rolling_mps: float
    roll_m: float
    total_m: float
    skid_share: float


def putt(
    speed_mps: float,
    *,
    green_speed_ft: float,
    slope: float = 0.0,
    spin_rad_s: float = 0.0,
    friction: float = FRICTION,
) -> Putt:
    """How a ball struck along the turf slides, then rolls; the whole run is NaN where a slope never stops it.

    Parameters
    ----------
    speed_mps : speed off the face [m/s]
    green_speed_ft : green speed [ft]
    slope : rise over run while it rolls, uphill positive [-]
    spin_rad_s : forward spin off the face [rad/s], backspin negative
    friction : of ball on turf while sliding [-]

    Notes
    -----
    Rolling begins at ``(5 v + 2 r w) / 7`` after ``2 (v - r w) / (7 mu g)`` (solid sphere); without spin that is
    5/7 of the speed after ``12 v^2 / (49 mu g)``.
    """
    slip = speed_mps - BALL_RADIUS * spin_rad_s
    rolling = (5 * speed_mps + 2 * BALL_RADIUS * spin_rad_s) / 7
    seconds = 2 * abs(slip) / (7 * friction * GRAVITY)
    skid = (speed_mps + rolling) / 2 * seconds
    slowing = float(deceleration(green_speed_ft=green_speed_ft, slope=slope))
    roll = rolling**2 / (2 * slowing) if slowing > 0 else float("nan")
    total = skid + roll
    return Putt(skid, seconds, rolling, roll, total, skid / total if total > 0 else 0.0)


def speed_for(
    distance_m: float, *, green_speed_ft: float, slope: float = 0.0, spin_share: float = 0.0
) -> float:
    """Speed off the face [m/s] of a putt that stops after a distance [m], skid included.

    ``spin_share`` is the forward surface speed over the ball speed, ``r w / v``, backspin negative. Skid and roll both go
    with the square of the speed, so that one putt at 1 m/s gives all. NaN where the slope never stops the ball.
    """
    one = putt(1.0, green_speed_ft=green_speed_ft, slope=slope, spin_rad_s=spin_share / BALL_RADIUS)
    return float(np.sqrt(distance_m / one.total_m))


def face_spin_share(*, loft_deg: float, lean_deg: float = 0.0, attack_deg: float = 0.0) -> float:
    """Forward surface speed over ball speed, ``r w / v``, as the ball leaves the face; backspin is negative.

    Rolling impact of `engine.physics.impact`: ``r w = (5/2) v_t`` with ``v_t / v_n = tan(t) (1 + m/M) / ((7/2 + m/M) (1 +
    e))``, t the loft left between face and path (Daish 1972).
    """
    between = (dynamic_loft(loft_deg=loft_deg, lean_deg=lean_deg) - attack_deg) * DEGREE
    ratio = BALL_MASS / HEAD_KG
    slope = np.tan(between) * (1 + ratio) / ((3.5 + ratio) * (1 + RESTITUTION))
    return float(-2.5 * slope / np.hypot(1.0, slope))


def capture_offset(speed_mps: ArrayLike, *, rim: bool = False) -> Any:
    """Farthest off the middle of the hole [m] at which a ball of this speed [m/s] still drops; 0 where none does.

    The inverse of `capture_speed`.
    """
    fall = np.sqrt(GRAVITY / (2 * BALL_RADIUS))
    if rim:
        fall = fall * (RIM_CAPTURE_SPEED / ((2 * HOLE_RADIUS - BALL_RADIUS) * fall))
    half = (np.asarray(speed_mps, float) / fall + BALL_RADIUS) / 2
    return np.sqrt(np.maximum(HOLE_RADIUS**2 - half**2, 0.0))


def capture_speed(offset_m: ArrayLike = 0.0, *, rim: bool = False) -> Any:
    """Largest speed [m/s] at which a ball crossing the hole so far off its middle [m] drops.

    By free fall alone: the ball must sink its radius while it crosses the chord less its radius,
    ``(2 sqrt(R^2 - d^2) - r) sqrt(g / 2r)``: 1.31 m/s dead centre. With ``rim`` the contact with the far rim is let
    help, 1.63 m/s dead centre (Holmes 1991, from memory), scaled off centre as the free fall is: our choice.
    """
    offset = np.abs(np.asarray(offset_m, float))
    chord = 2 * np.sqrt(np.maximum(HOLE_RADIUS**2 - offset**2, 0.0))
    fall = np.maximum(chord - BALL_RADIUS, 0.0) * np.sqrt(GRAVITY / (2 * BALL_RADIUS))
    centre = (2 * HOLE_RADIUS - BALL_RADIUS) * np.sqrt(GRAVITY / (2 * BALL_RADIUS))
    return fall * (RIM_CAPTURE_SPEED / centre) if rim else fall


def dynamic_loft(*, loft_deg: float, lean_deg: float) -> float:
    """Loft at impact [deg] of a putter whose shaft leans so much toward the target [deg]."""
    return loft_deg - lean_deg


def launch_angle(*, loft_deg: float, lean_deg: float = 0.0, attack_deg: float = 0.0) -> float:
    """Launch [deg] of a putt: the attack, and four fifths of the loft left between face and path."""
    between = dynamic_loft(loft_deg=loft_deg, lean_deg=lean_deg) - attack_deg
    return attack_deg + LAUNCH_SHARE * between


def loft_for_launch(launch_deg: float, *, lean_deg: float = 0.0, attack_deg: float = 0.0) -> float:
    """Putter loft [deg] that launches so [deg]; the inverse of `launch_angle`."""
    return (launch_deg - attack_deg) / LAUNCH_SHARE + attack_deg + lean_deg


def recommended_loft(*, lean_deg: float = 0.0, attack_deg: float = 0.0) -> tuple[float, float]:
    """Band of putter loft [deg] that launches 1 to 2 deg (one coaching text), for this lean and attack [deg]."""
    low, high = (loft_for_launch(x, lean_deg=lean_deg, attack_deg=attack_deg) for x in LAUNCH_WANTED_DEG)
    return low, high
