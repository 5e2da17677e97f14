"""From swing parameters and clubs to how each club is delivered, launched and carried: draws x clubs at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..physics.impact import DRIVER_RESTITUTION, DRY_FRICTION, Delivery, ball_restitution, strike
from ..physics.trajectory import Flight, Launch, fly
from ..units import DEGREE
from ..workshop.norms import usual_build
from .parameters import (
    ATTACK_BY_LOFT,
    FULL_SHOT_FAMILIES,
    INDEX,
    LEAN_BY_SPEED,
    LEAN_SHARE,
    LEAN_SPEED,
    REFERENCE_HEAD,
    REFERENCE_LENGTH,
    REFERENCE_LOFT,
    USUAL,
    USUAL_LOFT_OFFSET,
)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Clubs:
    """The clubs to be delivered: arrays of shape (clubs,). length [m] as gripped, loft [deg], head [kg]."""

    length: Array
    loft: Array
    head: Array
    family: tuple[str, ...]

    @classmethod
    def of(cls, clubs: Sequence[Any], *, grip_down: ArrayLike = 0.0) -> Clubs:
        """From anything with ``length_m``, ``loft_deg``, ``head_kg`` and ``family``."""
        return cls(
            np.array([c.length_m for c in clubs], float) - np.asarray(grip_down, float),
            np.array([getattr(c, "played_loft_deg", c.loft_deg) for c in clubs], float),
            np.array([c.head_kg for c in clubs], float),
            tuple(c.family for c in clubs),
        )


@dataclass(frozen=True, slots=True)
class Part:
    """What a part swing changes of the full swing, (draws, clubs) each: log of its share of head speed, loft at impact and
    attack [deg] on top.
    """

    log_share: Array
    loft: Array
    attack: Array


def deliver(
    theta: Array,
    clubs: Clubs,
    *,
    lie_error_deg: ArrayLike = 0.0,
    friction: float = DRY_FRICTION,
    part: Part | None = None,
) -> Delivery:
    """Delivery and launch of every club for every row of parameters.

    Parameters
    ----------
    theta : (draws, parameters) in the order of `engine.swing.parameters.PARAMETERS`
    clubs : the clubs, families of `FULL_SHOT_FAMILIES` (no putters)
    lie_error_deg : how much too upright each club sits at impact [deg] (clubs,) for a right-handed player, who then
        starts and bends the ball to the left
    friction : of face and ball, `engine.physics.impact.WET_FRICTION` for a wet face
    part : of a part swing, ``None`` for full swings

    Returns
    -------
    Delivery, arrays of shape (draws, clubs)
    """
    unknown = set(clubs.family) - set(FULL_SHOT_FAMILIES)
    if unknown:
        raise ValueError(
            f"`clubs.family` must be one of {', '.join(FULL_SHOT_FAMILIES)}, not {', '.join(sorted(unknown))}"
        )
    p = {name: theta[:, i, None] for name, i in INDEX.items()}
    family = _family_terms(theta, clubs.family)
    usual_length, usual_head = (
        np.array(
            [
                usual_build(loft, family)
                for loft, family in zip(clubs.loft.tolist(), clubs.family, strict=True)
            ]
        )
        .reshape(-1, 2)
        .T
    )
    longer, heavier = clubs.length - usual_length, np.log(clubs.head / usual_head)
    along = usual_length - REFERENCE_LENGTH
    loftier = clubs.loft - REFERENCE_LOFT
    log_speed = (
        p["log_speed"]
        + p["length_effect"] * longer
        - p["head_mass_effect"] * heavier
        + USUAL["length_effect"] * along
        - USUAL["head_mass_effect"] * np.log(usual_head / REFERENCE_HEAD)
        - p["loft_intent"] * loftier
        + family["speed"]
    )
    if part is not None:
        log_speed = log_speed + part.log_share
    speed = np.exp(log_speed)
    attack = (
        p["attack"]
        + p["attack_slope"] * longer
        + USUAL["attack_slope"] * along
        + ATTACK_BY_LOFT * loftier
        + family["attack"]
    )
    # a driver is hit off a tee, and its circulated figures show no such leaning
    slower = LEAN_BY_SPEED * (p["log_speed"] - LEAN_SPEED) * np.array([f != "driver" for f in clubs.family])
    lean = USUAL_LOFT_OFFSET + (p["loft_offset"] + slower - USUAL_LOFT_OFFSET) * np.array(
        [LEAN_SHARE[f] for f in clubs.family]
    )
    face = clubs.loft + lean + p["loft_slope"] * loftier + family["loft"]
    if part is not None:
        attack, face = attack + part.attack, face + part.loft
    tilted = np.broadcast_to(np.asarray(lie_error_deg, float), (len(clubs.family),)) * DEGREE
    flat = not tilted.any()
    spin_loft = (
        np.maximum(face - attack, 1.0) * DEGREE
        if flat
        else np.maximum(_spin_loft(face * DEGREE, attack * DEGREE, tilted), 1.0 * DEGREE)
    )
    driver = np.array([f == "driver" for f in clubs.family])
    restitution = np.where(driver, DRIVER_RESTITUTION, ball_restitution(speed * np.cos(spin_loft)))
    release = strike(
        speed,
        spin_loft,
        head_mass=clubs.head,
        restitution=restitution,
        friction=friction,
        spin_factor=np.exp(p["spin_factor"] + p["spin_slope"] * loftier + family["spin"]),
    )
    ball_speed = release.speed * np.exp(p["strike"] + family["strike"])
    if flat:
        return Delivery(speed, attack, face, ball_speed, release.angle / DEGREE + attack, release.spin)
    launch, azimuth, tilt = _directions(face * DEGREE, attack * DEGREE, tilted, release.angle)
    return Delivery(
        speed, attack, face, ball_speed, launch / DEGREE, release.spin, azimuth / DEGREE, tilt / DEGREE
    )


def _vectors(face: Array, attack: Array, lie_error: Array) -> tuple[Array, Array]:
    """Path of the head and normal of a face turned about the target line, as (forward, left, up) in the first axis."""
    path = np.stack([np.cos(attack), np.zeros_like(attack), np.sin(attack)])
    out = np.sin(face)
    return path, np.stack([np.cos(face), out * np.sin(lie_error), out * np.cos(lie_error)])


def _spin_loft(face: Array, attack: Array, lie_error: Array) -> Array:
    path, normal = _vectors(face, attack, lie_error)
    angle: Array = np.arccos(np.clip((path * normal).sum(axis=0), -1.0, 1.0))
    return angle


def _directions(face: Array, attack: Array, lie_error: Array, angle: Array) -> tuple[Array, Array, Array]:
    """Elevation, azimuth and tilt of the spin axis [rad] of a ball that leaves ``angle`` from the path to the normal.

    The ball leaves in the plane of path and normal and spins square to it (Daish 1972 in words; vectors ours).
    """
    path, normal = _vectors(face, attack, lie_error)
    across = normal - (path * normal).sum(axis=0) * path
    across = across / np.maximum(np.sqrt((across**2).sum(axis=0)), 1e-12)
    forward, left, up = np.cos(angle) * path + np.sin(angle) * across
    axis_up = path[0] * across[1] - path[1] * across[0]
    return np.arcsin(np.clip(up, -1, 1)), -np.arctan2(left, forward), -np.arcsin(np.clip(axis_up, -1, 1))


def carry(
    theta: Array,
    delivery: Delivery,
    air: Air,
    *,
    model: Aerodynamics | None = None,
    height: float = 0.0,
    path_points: int = 0,
) -> Flight:
    """Flights (draws, clubs) of a delivery in an air to a height [m], with each draw's drag and lift factors."""
    return fly(
        Launch(
            delivery.ball_speed,
            delivery.launch * DEGREE,
            delivery.spin,
            azimuth=np.asarray(delivery.azimuth, float) * DEGREE,
            axis_tilt=np.asarray(delivery.axis_tilt, float) * DEGREE,
        ),
        air,
        model=model,
        drag_factor=np.exp(theta[:, INDEX["ball_drag"], None]),
        lift_factor=np.exp(theta[:, INDEX["ball_lift"], None]),
        height=height,
        path_points=path_points,
    )


def _family_terms(theta: Array, families: tuple[str, ...]) -> dict[str, Array]:
    out = {}
    for part in ("speed", "attack", "loft", "strike", "spin"):
        columns = [INDEX.get(f"{family}_{part}", -1) for family in families]
        padded = np.concatenate([theta, np.zeros((len(theta), 1))], axis=1)
        out[part] = padded[:, columns]
    return out
