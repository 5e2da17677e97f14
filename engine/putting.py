"""Rolling a putt: green speed, skid, capture, and the loft a putter wants.

A ball released from the ramp of the rating at 6.00 ft/s rolls the rated distance, so a level green decelerates it by
``a = v0^2 / 2S`` (release speed read; 1.83 m/s in Holmes 1991). Skid is the mechanics of a solid sphere sliding until
it rolls. Capture: free fall across the hole by geometry; with the rim's help 1.63 m/s (Holmes 1991, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from engine.units import BALL_RADIUS, DEGREE, FOOT, GRAVITY

RELEASE_MPS = 6.0 * FOOT
SLIDING_FRICTION = 0.4  # [-] ball on grass, from memory
HOLE_RADIUS_M = 0.108 / 2  # Rules of Golf: 4 1/4 in (108 mm) across
CAPTURE_MPS = 1.63  # dead centre with rim contact, Holmes 1991, from memory

LAUNCH_WANTED_DEG = 1.5  # the middle of the 1 to 2 deg a coach quotes; common practice
LOFT_SHARE = 0.85  # of the loft at impact that becomes launch, from the rigid impact at small lofts
USUAL_LIE_DEG = 71.0  # common practice
LENGTH_ABOVE_HANDS_M = 0.0762  # 3 in of grip above the middle of the hands; common practice


@dataclass(frozen=True, slots=True)
class Roll:
    """A level putt struck at ``speed_mps`` without topspin.

    skid_m : until it rolls [m]; roll_mps : speed when it does; total_m : until it stops [m]; skid_share : of total
    """

    speed_mps: float
    skid_m: float
    roll_mps: float
    total_m: float
    skid_share: float


@dataclass(frozen=True, slots=True)
class PutterFit:
    """Length [m], lie and loft [deg] to begin with, and where they come from."""

    length_m: float
    lie_deg: float
    loft_deg: float
    launch_deg: float
    words: tuple[str, ...]


def deceleration(stimp_ft: ArrayLike, *, uphill: ArrayLike = 0.0) -> Any:
    """Deceleration of a rolling ball [m/s2] on a green of a speed [ft] and a slope (rise over run, uphill positive).

    ``v0^2 / 2S + (5/7) g sin(slope)`` for a solid sphere. Below 0 the ball does not stop.
    """
    level = RELEASE_MPS**2 / (2 * np.asarray(stimp_ft, float) * FOOT)
    return level + 5 / 7 * GRAVITY * np.sin(np.arctan(np.asarray(uphill, float)))


def rolling_resistance(stimp_ft: ArrayLike) -> Any:
    """``(7/5) a / g`` [-], the rolling coefficient of Penner 2002 (0.065 to 0.196, from memory)."""
    return 7 / 5 * deceleration(stimp_ft) / GRAVITY


def speed_to_roll(*, distance_m: ArrayLike, stimp_ft: ArrayLike, uphill: ArrayLike = 0.0) -> Any:
    """Speed [m/s] of a ball already rolling that stops after a distance [m]."""
    return np.sqrt(2 * np.asarray(deceleration(stimp_ft, uphill=uphill)) * np.asarray(distance_m, float))


def skid(speed_mps: float, *, stimp_ft: float, friction: float = SLIDING_FRICTION) -> Roll:
    """Skid and roll of a ball sent off at a speed [m/s] without spin on a level green.

    Sliding ends at 5/7 of the speed after ``12 v^2 / (49 mu g)``.
    """
    if not (speed_mps > 0 and friction > 0):
        raise ValueError("`speed_mps` and `friction` must be above 0")
    slide = 12 * speed_mps**2 / (49 * friction * GRAVITY)
    rolling = 5 / 7 * speed_mps
    total = slide + rolling**2 / (2 * float(deceleration(stimp_ft)))
    return Roll(speed_mps, slide, rolling, total, slide / total)


def roll_speed(*, speed_mps: float, topspin_rps: float) -> float:
    """Speed [m/s] at which rolling begins for a ball with topspin [rad/s] (backspin negative): ``(5v + 2rw)/7``."""
    return (5 * speed_mps + 2 * BALL_RADIUS * topspin_rps) / 7


def free_fall_capture() -> float:
    """Largest speed [m/s] at which a ball across the hole's middle falls by its radius: ``(2R - r) sqrt(g / 2r)``."""
    return (2 * HOLE_RADIUS_M - BALL_RADIUS) * math.sqrt(GRAVITY / (2 * BALL_RADIUS))


def capture_speed(off_centre_m: ArrayLike = 0.0) -> Any:
    """Largest speed [m/s] that the hole takes for a ball so far off its middle [m]; 0 from the hole's edge out.

    ``1.63 (1 - (d/R)^2)`` (Holmes 1991, form and figure from memory).
    """
    off = np.abs(np.asarray(off_centre_m, float)) / HOLE_RADIUS_M
    return CAPTURE_MPS * np.clip(1 - off**2, 0.0, None)


def launch(*, loft_deg: float, lean_deg: float = 0.0, attack_deg: float = 0.0) -> float:
    """Launch from the ground [deg]: the loft at impact, most of it, and the rest from the attack angle.

    lean_deg : hands ahead of the head at impact, positive takes loft off
    """
    at_impact = loft_deg - lean_deg
    return LOFT_SHARE * at_impact + (1 - LOFT_SHARE) * attack_deg


def loft_for(*, launch_deg: float = LAUNCH_WANTED_DEG, lean_deg: float = 0.0, attack_deg: float = 0.0) -> float:
    """Loft [deg] with which a stroke launches at an angle [deg]; the inverse of `launch`."""
    return (launch_deg - (1 - LOFT_SHARE) * attack_deg) / LOFT_SHARE + lean_deg


def fit_putter(
    *, hands_height_m: float, lie_deg: float = USUAL_LIE_DEG, lean_deg: float = 0.0, attack_deg: float = 0.0
) -> PutterFit:
    """Length, lie and loft of a putter from where the hands hang.

    Parameters
    ----------
    hands_height_m : middle of the hands above the ground in the putting posture [m]
    lie_deg : shaft to the ground as the player holds it [deg]
    lean_deg, attack_deg : of the stroke [deg]

    Raises
    ------
    ValueError
        If the hands are not from 0.3 to 1.5 m above the ground, or the lie not from 45 to 80 deg.
    """
    if not 0.3 <= hands_height_m <= 1.5:
        raise ValueError("`hands_height_m` must be from 0.3 to 1.5")
    if not 45 <= lie_deg <= 80:
        raise ValueError("`lie_deg` must be from 45 to 80")
    length = hands_height_m / math.sin(lie_deg * DEGREE) + LENGTH_ABOVE_HANDS_M
    loft = min(max(loft_for(lean_deg=lean_deg, attack_deg=attack_deg), 0.0), 10.0)
    sent = launch(loft_deg=loft, lean_deg=lean_deg, attack_deg=attack_deg)
    words = (
        "length and lie from where the hands hang",
        f"loft for a launch of about {sent:.1f} deg (common practice: 1 to 2 deg)",
        "a starting point: roll on the green ends it",
    )
    return PutterFit(length, lie_deg, loft, sent, words)
