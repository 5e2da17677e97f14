"""Impact of head and ball: a rigid collision with restitution, rolling or slipping at release.

Algebra after Daish 1972 and Penner 2003 ("The physics of golf", Rep. Prog. Phys. 66:131), derived again here for a
solid sphere. A head of mass M that is free in space meets a ball of mass m at speed V; the spin loft is the angle
between the face's normal and the path.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..units import BALL_MASS, BALL_RADIUS

Array = NDArray[np.float64]

DRY_FRICTION = 0.4  # [-] face and ball; from memory, Penner 2003 and Daish 1972 give values of this size
WET_FRICTION = 0.15  # [-] grass and water between; common practice, no source
WARM_BALL_C = 20.0  # [deg C] of a ball out of a pocket or a warm shop
COLD_BALL = 0.00075  # [log carry per K]: a ball at 40 F is 3 to 5 yd short of one at 80 F off a driver; common practice


@dataclass(frozen=True, slots=True)
class Release:
    """How the ball leaves the face: speed [m/s], angle above the path [rad], backspin [rad/s], whether it rolled."""

    speed: Array
    angle: Array
    spin: Array
    rolling: NDArray[np.bool_]


def ball_restitution(normal_speed: ArrayLike) -> Array:
    """Restitution of ball on a rigid face, ``0.86 - 0.0029 v``, v the normal speed [m/s].

    Penner 2001 (Am. J. Phys. 69:1073) after Chou et al. 1994; from memory. Held to at least 0.5.
    """
    return np.maximum(0.86 - 0.0029 * np.asarray(normal_speed, float), 0.5)


def cold_ball_factor(temperature_c: float) -> float:
    """Carry of a ball as cold as this [deg C] over that of a warm one; 1 from `WARM_BALL_C` up."""
    return float(np.exp(-COLD_BALL * max(WARM_BALL_C - temperature_c, 0.0)))


def effective_mass(head_mass: ArrayLike, offset: ArrayLike, inertia: ArrayLike) -> Array:
    """Mass [kg] that a strike ``offset`` [m] from the line through the head's centre of mass feels.

    ``1 / (1/M + b^2/I)``, I the head's moment of inertia [kg m2] about the axis square to the offset (Daish 1972).
    """
    lightness: Array = 1.0 / np.asarray(head_mass, float)
    turning: Array = np.asarray(offset, float) ** 2 / np.asarray(inertia, float)
    return 1.0 / (lightness + turning)


def strike(
    head_speed: ArrayLike,
    spin_loft: ArrayLike,
    *,
    head_mass: ArrayLike,
    restitution: ArrayLike | None = None,
    friction: ArrayLike = DRY_FRICTION,
    spin_factor: ArrayLike = 1.0,
    ball_mass: float = BALL_MASS,
    ball_radius: float = BALL_RADIUS,
) -> Release:
    """Ball speed, angle from the path and spin of an impact.

    Parameters
    ----------
    head_speed : [m/s] along the path
    spin_loft : [rad], face normal to path
    head_mass : [kg], the effective mass for strikes off the centre
    restitution : [-]; `ball_restitution` of the normal speed if not given
    friction : [-], limit of the tangential over the normal impulse
    spin_factor : [-], measured spin over that of rigid rolling; the angle stays that of rolling

    Notes
    -----
    Normal: ``v_n = V cos(t) (1 + e) / (1 + m/M)``. Tangential, rolling at release: ``v_t = V sin(t) / (7/2 + m/M)``
    and ``r w = (5/2) v_t``. When rolling would take more than ``friction`` times the normal impulse the ball slips
    throughout, and ``v_t = friction v_n``.
    """
    v, t, mass = np.broadcast_arrays(*(np.asarray(x, float) for x in (head_speed, spin_loft, head_mass)))
    ratio = ball_mass / mass
    across, along = v * np.cos(t), v * np.sin(t)
    e = ball_restitution(across) if restitution is None else np.asarray(restitution, float)
    normal = across * (1 + e) / (1 + ratio)
    rolled = along / (3.5 + ratio)
    limit = np.asarray(friction, float) * normal
    rolling = np.abs(rolled) <= limit
    tangential = np.clip(rolled, -limit, limit)
    spin = 2.5 * tangential / ball_radius * np.asarray(spin_factor, float)
    return Release(np.hypot(normal, tangential), t - np.arctan2(tangential, normal), spin, rolling)


@dataclass(frozen=True, slots=True)
class GearEffect:
    """Spin that a strike off the centre adds [rad/s]: ``side`` positive bends right, ``back`` adds to backspin."""

    side: Array
    back: Array


def gear_effect(
    ball_speed: ArrayLike,
    *,
    toe_offset: ArrayLike,
    high_offset: ArrayLike,
    depth: ArrayLike,
    inertia_vertical: ArrayLike,
    inertia_heel_toe: ArrayLike,
    right_handed: bool = True,
    ball_mass: float = BALL_MASS,
    ball_radius: float = BALL_RADIUS,
) -> GearEffect:
    """Spin from the head turning under an off-centre strike, as if face and ball were gears without slip.

    The impulse ``m v`` turns the head at ``Omega = m v b / I``; its centre of mass lies ``depth`` behind the face, so
    the face slides sideways at ``Omega depth`` under the ball, which takes 5/7 of it over the radius (a rolling solid
    sphere of fixed centre line; Cochran & Stobbs 1968 and Penner 2003 in words, algebra ours).

    Parameters
    ----------
    toe_offset, high_offset : [m] from the sweet spot, towards the toe and upwards
    depth : [m], centre of mass behind the face; near zero for irons, so that they show almost none
    inertia_vertical, inertia_heel_toe : [kg m2] about the vertical and the heel-to-toe axis
    """
    impulse = ball_mass * np.asarray(ball_speed, float)
    turn = impulse * np.asarray(toe_offset, float) / np.asarray(inertia_vertical, float)
    tip = impulse * np.asarray(high_offset, float) / np.asarray(inertia_heel_toe, float)
    share = (5 / 7) * np.asarray(depth, float) / ball_radius
    towards = -1.0 if right_handed else 1.0  # a toe strike bends back towards the player's own side
    return GearEffect(side=towards * turn * share, back=-tip * share)


def lie_error(loft: ArrayLike, error: ArrayLike) -> tuple[Array, Array, Array]:
    """What a lie error does to the face: direction change, new loft, tilt of the spin axis, all in [rad].

    A club of this loft turned about the target line by ``error`` (upright positive): direction
    ``atan(tan(loft) sin(error))`` to the player's own side, loft ``asin(sin(loft) cos(error))``, tilt equal to the error
    for a level blow along the target line. Rigid rotation; derived.
    """
    loft, error = np.asarray(loft, float), np.asarray(error, float)
    return np.arctan(np.tan(loft) * np.sin(error)), np.arcsin(np.sin(loft) * np.cos(error)), error


DRIVER_RESTITUTION = 0.83  # [-], thin face at the limit of the rules (read in press; Equipment Rules)


@dataclass(frozen=True, slots=True)
class Delivery:
    """Head and ball at impact; arrays (draws, clubs). Speeds [m/s], angles [deg], spin [rad/s].

    azimuth, axis_tilt : start and bend to the right [deg]; zero where no lie is off.
    """

    club_speed: Array
    attack: Array
    face_loft: Array
    ball_speed: Array
    launch: Array
    spin: Array
    azimuth: ArrayLike = 0.0
    axis_tilt: ArrayLike = 0.0
