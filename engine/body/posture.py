"""How a player stands over a club: linked segments seen from behind the ball line.

Feet flat, knees a little flexed, trunk hinged at the hips, straight arms meeting at the middle of the grip,
and the club from there to the ball. Only one thing ties the player to the club: the hands must be as high
as the club holds them, ``(length - 3 in) * sin(shaft angle)``. Three things can give way to make it so: the
hip hinge, the reach of the arms and the sole, which may sit toe up. Each gives way in proportion to its
freedom (the least sum of squares of departures from a natural posture, each over its own freedom), so every
club can be stood to and the same player stands alike to like clubs.

The natural posture and the freedoms below are ours: common practice, no source. They make the average man
of the survey sit a standard 7-iron about 2 deg toe up and a driver about 10 deg toe up at address, as
players are seen to do. The size of a hinge is a convention; differences between clubs are what to read.
Segments: `engine.body.survey`.

Static measures start a fitting and ball flight ends it: hands rise and the shaft bows down before impact,
so the lie is settled with a lie board or face tape on struck balls. This is not medical advice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..statements import Statement, state
from ..units import DEGREE
from ..workshop.norms import GRIP_M
from . import survey

Array = NDArray[np.float64]

WRIST_TO_GRIP = 0.040  # [stature] from the wrist crease to the middle of the grip, club in the fingers
SHANK_LEAN_DEG = 4.0  # [deg] forward; keeps the body's weight over the middle of the foot at these hinges
KNEE_FLEX_DEG = 20.0  # [deg]

NATURAL_HINGE_DEG = 35.0
NATURAL_ARM_DEG = 12.0  # [deg] arms out from hanging straight down
HINGE_FREEDOM_DEG = 5.0
ARM_FREEDOM_DEG = 5.0
SOLE_FREEDOM_DEG = 3.0

STATIC_NOTE = state("note.posture")


@dataclass(frozen=True, slots=True)
class Body:
    """Lengths [m] of the linked figure, in shoes; ``arm`` is shoulder to mid-grip in this view."""

    height: float
    shoe: float
    ankle: float
    shank: float
    thigh: float
    trunk: float
    arm: float
    head: float

    @property
    def hip_height(self) -> float:
        lean, flex = SHANK_LEAN_DEG * DEGREE, KNEE_FLEX_DEG * DEGREE
        return self.shoe + self.ankle + self.shank * math.cos(lean) + self.thigh * math.cos(flex - lean)

    @property
    def hip_x(self) -> float:
        """Hip joint against the ankle [m], toward the ball positive."""
        lean, flex = SHANK_LEAN_DEG * DEGREE, KNEE_FLEX_DEG * DEGREE
        return self.shank * math.sin(lean) - self.thigh * math.sin(flex - lean)

    def hands_height(self, hinge_deg: ArrayLike, arm_deg: ArrayLike) -> Array:
        """Height of mid-grip above the ground [m] for a hip hinge and an outward arm angle [deg]."""
        hinge, arm = np.asarray(hinge_deg, float) * DEGREE, np.asarray(arm_deg, float) * DEGREE
        return np.asarray(self.hip_height + self.trunk * np.cos(hinge) - self.arm * np.cos(arm))


def body_of(
    *,
    height_m: float | None = None,
    wingspan_m: float | None = None,
    wrist_to_floor_m: float | None = None,
    sex: str | None = None,
) -> Body:
    """The linked figure of a player.

    Parameters
    ----------
    height_m : stature, barefoot [m]; ``None`` takes the survey's mean
    wingspan_m : fingertip to fingertip [m], if measured
    wrist_to_floor_m : wrist crease to floor, arms hanging, in shoes [m]; ``None`` is estimated
    sex : ``"female"``, ``"male"`` or ``None``
    """
    height = survey.mean_of("stature", sex) if height_m is None else float(height_m)
    if wrist_to_floor_m is None:
        wrist_to_floor_m = survey.wrist_to_floor(height, wingspan_m=wingspan_m, sex=sex).mean_m
    shoulder = survey.segment("shoulder_height", height)
    straight = shoulder - (wrist_to_floor_m - survey.SHOE_M) + WRIST_TO_GRIP * height
    half = survey.ratio_of("biacromial", sex) * height / 2
    # Arms come together from both shoulders; a very short arm still has most of its length in this view.
    arm = np.sqrt(max(straight**2 - half**2, (0.5 * straight) ** 2))
    return Body(
        height=height,
        shoe=survey.SHOE_M,
        ankle=survey.segment("ankle_height", height),
        shank=survey.segment("shank", height),
        thigh=survey.segment("thigh", height),
        trunk=shoulder - survey.segment("hip_height", height),
        arm=float(arm),
        head=height - shoulder,
    )


@dataclass(frozen=True, slots=True)
class Address:
    """A player at address to each club; arrays of the shape of the clubs.

    hip_hinge_deg : trunk from upright [deg]
    arm_deg : arms out from hanging straight down [deg]
    shaft_deg : shaft to the ground as held [deg]
    toe_up_deg : how far the toe sits off the ground [deg], the club's lie less ``shaft_deg``
    hands_height_m : mid-grip above the ground [m]
    flat_lie_deg : lie that would lay the sole flat at the natural posture [deg], NaN where the club is too
        short to reach the ground
    ball_m : ball from the ankle joint, along the ground [m]
    joints : name to (2, clubs) coordinates [m], x toward the ball from the ankle, y up from the ground; in
        order toe, heel, ankle, knee, hip, shoulder, head, hands, butt, ball
    """

    hip_hinge_deg: Array
    arm_deg: Array
    shaft_deg: Array
    toe_up_deg: Array
    hands_height_m: Array
    flat_lie_deg: Array
    ball_m: Array
    joints: dict[str, Array]
    note: Statement = STATIC_NOTE


def address(
    *,
    height_m: float | None = None,
    wingspan_m: float | None = None,
    wrist_to_floor_m: float | None = None,
    sex: str | None = None,
    length_m: ArrayLike,
    lie_deg: ArrayLike,
) -> Address:
    """Posture that each club asks of a player.

    Parameters
    ----------
    height_m, wingspan_m, wrist_to_floor_m, sex : see `body_of`
    length_m, lie_deg : clubs [m], [deg]; any shape that broadcasts, at least one dimension comes out

    Raises
    ------
    ValueError
        If a length is not longer than the 3 in above the hands, or a lie is not between 0 and 90 deg.
    """
    length, lie = np.broadcast_arrays(np.atleast_1d(np.asarray(length_m, float)), np.asarray(lie_deg, float))
    if not np.all(length > GRIP_M):
        raise ValueError("`length_m` must be longer than the 3 in that lie above the hands")
    if not np.all((lie > 0) & (lie < 90)):
        raise ValueError("`lie_deg` must be between 0 and 90")
    body = body_of(height_m=height_m, wingspan_m=wingspan_m, wrist_to_floor_m=wrist_to_floor_m, sex=sex)
    reach = length - GRIP_M
    hinge, arm, toe = _give_way(body, reach, lie)
    shaft = lie - toe
    hands = body.hands_height(hinge, arm)
    natural = body.hands_height(NATURAL_HINGE_DEG, NATURAL_ARM_DEG)
    with np.errstate(invalid="ignore"):
        flat = np.arcsin(natural / reach) / DEGREE
    joints = _joints(body, reach, hinge, arm, shaft)
    return Address(hinge, arm, shaft, toe, hands, flat, joints["ball"][0], joints)


def _give_way(body: Body, reach: Array, lie: Array) -> tuple[Array, Array, Array]:
    """Hinge, arm and toe-up [deg] nearest the natural posture that put the hands where the club is.

    Newton steps on ``hands height = reach sin(lie - toe)`` along the direction of least effort, to a
    millionth of a degree.
    """
    natural = np.array([NATURAL_HINGE_DEG, NATURAL_ARM_DEG, 0.0])[:, None]
    freedom = np.array([HINGE_FREEDOM_DEG, ARM_FREEDOM_DEG, SOLE_FREEDOM_DEG])[:, None] ** 2
    shape = reach.shape
    reach, lie = reach.ravel(), lie.ravel()
    x = np.repeat(natural, reach.size, axis=1)
    for _ in range(30):
        held = reach * np.sin((lie - x[2]) * DEGREE)
        miss = held - body.hands_height(x[0], x[1])
        # The slope of hands height minus held height, per degree of each.
        slope = DEGREE * np.stack(
            [
                -body.trunk * np.sin(x[0] * DEGREE),
                body.arm * np.sin(x[1] * DEGREE),
                reach * np.cos((lie - x[2]) * DEGREE),
            ]
        )
        weighted = freedom * slope
        gain = (miss + (slope * (x - natural)).sum(axis=0)) / (slope * weighted).sum(axis=0)
        new = natural + weighted * gain
        new[0] = np.clip(new[0], 1.0, 85.0)
        new[1] = np.clip(new[1], 1.0, 85.0)
        moved = float(np.abs(new - x).max(initial=0.0))
        x = new
        if moved < 1e-6:
            break
    # Where a joint came to its stop the sole takes up what is left.
    held = np.clip(body.hands_height(x[0], x[1]) / reach, -1.0, 1.0)
    toe = lie - np.arcsin(held) / DEGREE
    return x[0].reshape(shape), x[1].reshape(shape), toe.reshape(shape)


def _joints(body: Body, reach: Array, hinge: Array, arm: Array, shaft: Array) -> dict[str, Array]:
    """Coordinates [m] of the drawn figure, each (2, ...)."""
    h, a, s = hinge * DEGREE, arm * DEGREE, shaft * DEGREE
    lean = SHANK_LEAN_DEG * DEGREE
    foot = survey.segment("foot", body.height)
    still = np.ones_like(h)
    ankle = np.stack([0 * still, (body.shoe + body.ankle) * still])
    knee = ankle + body.shank * np.stack([np.sin(lean) * still, np.cos(lean) * still])
    hip = np.stack([body.hip_x * still, body.hip_height * still])
    shoulder = hip + body.trunk * np.stack([np.sin(h), np.cos(h)])
    neck = h + 0.35  # the head looks down a further 20 deg
    head = shoulder + 0.75 * body.head * np.stack([np.sin(neck), np.cos(neck)])
    hands = shoulder + body.arm * np.stack([np.sin(a), -np.cos(a)])
    along = np.stack([np.cos(s), -np.sin(s)])
    ground = np.stack([still, 0 * still])
    return {
        "toe": ground * 0.75 * foot,
        "heel": ground * -0.25 * foot,
        "ankle": ankle,
        "knee": knee,
        "hip": hip,
        "shoulder": shoulder,
        "head": head,
        "hands": hands,
        "butt": hands - GRIP_M * along,
        "ball": hands + reach * along,
    }
