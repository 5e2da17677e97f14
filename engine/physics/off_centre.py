"""Strikes off the centre of a driver's face: ball speed, launch, spin and curve, relative to a centred strike.

A strike off the centre meets a smaller effective mass (`engine.physics.impact.effective_mass`), a face that stands otherwise
because it is curved, and turns the head. The turning head spins the ball like a gear (`engine.physics.impact.gear_effect`),
takes it along sideways, and stands a little otherwise while it presses on the ball. That a thin face is slower near its
edge is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..units import BALL_MASS, DEGREE, INCH
from .impact import DRIVER_RESTITUTION, Delivery, effective_mass, gear_effect, strike

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Face:
    """A driver's head as strikes feel it. Lengths [m], moments of inertia [kg m2].

    depth : centre of mass behind the face; roll, bulge : radii of the face from sole to crown and heel to toe
    """

    depth: float = 0.034
    inertia_vertical: float = 5.0e-4
    inertia_heel_toe: float = 3.3e-4
    roll: float = 12 * INCH
    bulge: float = 12 * INCH


DRIVER_FACE = Face()
"""Usual figures of a large driver head: common practice, no source."""

CONTACT_S = 4.5e-4  # [s], 400 to 500 us read in the opening of a chapter of Smits & Ogg
TURN_S = CONTACT_S / 8
"""[s] The rate at which the head turns in the end, times this, is the turn the ball leaves by: its mean over the contact,
weighted by the force. For a force that rises and falls as half a sine this is a quarter of the whole turn.
"""


@dataclass(frozen=True, slots=True)
class OffCentre:
    """A strike somewhere on the face; arrays of the shape of delivery and offsets together.

    Speeds [m/s], launch and azimuth [deg], right positive, backspin [rad/s], tilt of the spin axis [rad], right
    positive; for a right-handed player.
    """

    ball_speed: Array
    launch: Array
    azimuth: Array
    spin: Array
    axis_tilt: Array


def off_centre(
    delivery: Delivery,
    *,
    head_mass: ArrayLike,
    toe: ArrayLike = 0.0,
    high: ArrayLike = 0.0,
    face: Face = DRIVER_FACE,
) -> OffCentre:
    """What a delivery gives when it meets the ball so far towards the toe and above the middle.

    Parameters
    ----------
    delivery : of a driver; its own ball speed, launch and spin stand for the centre of the face
    head_mass : [kg], broadcast to the delivery
    toe, high : [m] from the centre, broadcast to the delivery

    Notes
    -----
    Roll adds ``high / roll`` to the loft, bulge turns the face by ``toe / bulge`` away from the player; each grows by a
    quarter of what the head turns during the contact (`TURN_S`): most of the turn comes when the force has nearly gone. Of
    the speed at which the face slides under the ball, 5/7 becomes spin and
    2/7 speed of the ball (solid sphere). Backspin keeps the player's own ratio to that of the rigid body.
    """
    toe, high = np.asarray(toe, float), np.asarray(high, float)
    mass = np.asarray(head_mass, float)
    felt = 1.0 / (
        1.0 / effective_mass(mass, toe, face.inertia_vertical)
        + 1.0 / effective_mass(mass, high, face.inertia_heel_toe)
        - 1.0 / mass
    )
    impulse = BALL_MASS * delivery.ball_speed
    turn, tip = impulse * toe / face.inertia_vertical, impulse * high / face.inertia_heel_toe  # [rad/s]
    loft = (delivery.face_loft - delivery.attack) * DEGREE
    more = high / face.roll + tip * TURN_S
    centred, hit = (
        strike(delivery.club_speed, np.maximum(t, DEGREE), head_mass=m, restitution=DRIVER_RESTITUTION)
        for t, m in ((loft, mass), (loft + more, felt))
    )
    ball_speed = delivery.ball_speed * hit.speed / centred.speed
    gear = gear_effect(
        ball_speed,
        toe_offset=toe,
        high_offset=high,
        depth=face.depth,
        inertia_vertical=face.inertia_vertical,
        inertia_heel_toe=face.inertia_heel_toe,
    )
    back = np.maximum(delivery.spin * hit.spin / centred.spin + gear.back, 1.0)
    up = hit.angle - centred.angle + 2 / 7 * tip * face.depth / ball_speed
    aside = toe / face.bulge + turn * (TURN_S + 2 / 7 * face.depth / ball_speed)
    return OffCentre(
        ball_speed,
        delivery.launch + up / DEGREE,
        np.broadcast_to(aside / DEGREE, ball_speed.shape),
        np.hypot(back, gear.side),
        np.arctan2(gear.side, back),
    )
