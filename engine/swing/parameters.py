"""How a player delivers a club, as parameters with priors: one table, read by calibration, result and methods page.

The model, for a club of length L, loft l, head mass m, a 7-iron as reference (subscript 7), and the length Lu and head
mass mu that usually go with the loft::

    log speed   = log_speed + length_effect (L - Lu) - head_mass_effect log(m / mu) + loft_intent (l7 - l) + family
                  + what the usual effects of length and mass give from L7, m7 to Lu, mu
    attack      = attack + attack_slope (L - Lu) + family + the same for attack, by length and by loft
    face loft   = l + loft_offset + loft_slope (l - l7) + family,
                  with `LEAN_SHARE` of how far the player's loft_offset lies from the usual
    log smash   = rigid-body value + strike + family
    log spin    = rigid rolling value + spin_factor + spin_slope (l - l7) + family
    log carry   = flight with drag and lift factors + departure over loft + the club's own departure

``length_effect`` and ``loft_intent`` must not be taken for one another. Along an ordinary set speed rises by about
4 mph an inch, but most of that is lighter heads and the wish to hit a straight face further; changing the length of
one club alone moves it by 0.7 to 1.4 mph an inch. Carries of a stepped set cannot tell the two apart, so that the effects
of length and head mass are those of departing from the usual build of a loft: what grows along a usual set is known as a
whole, and ordinary carries say of it what they say without touching them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..documents.case import Case, Club, Conditions
from ..units import INCH, MPH

REFERENCE_LENGTH = 37 * INCH  # [m], 7-iron; common practice
REFERENCE_LOFT = 34.5  # [deg], 7-iron; common practice
REFERENCE_HEAD = 0.268  # [kg], 7-iron; common practice
REFERENCE_HEIGHT = {"male": 1.756, "female": 1.628, None: 1.70}  # [m], ANSUR II means (read)

RANGE_BALL_FACTOR = 0.93  # [-], carry of a range ball over that of a good one; common practice, no source
RANGE_BALL_SD = 0.03

FULL_SHOT_FAMILIES = ("driver", "fairway", "hybrid", "iron", "wedge")
CP = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter of the swing: prior mean and standard deviation, unit, and where the prior comes from."""

    name: str
    unit: str
    mean: float
    sd: float
    source: str


# head speed with the 7-iron; from stated speed, else from sex and height
LOG_SPEED = Parameter(
    "log_speed",
    "log(m/s)",
    float(np.log(68 * MPH)),
    0.18,
    "average driver speeds 93 and 72 mph of men and women (governing bodies in the press, 2023)",
)

SHARED = (
    LOG_SPEED,
    # speed from length alone: 0.7 to 1.4 mph an inch near 90 mph
    Parameter(
        "length_effect",
        "1/m",
        0.0120 / INCH,
        0.0027 / INCH,
        "Kenny, Wallace & Otto 2008 (0.7 mph an inch); constant angular velocity (1.4 mph an inch)",
    ),
    # a heavier head moves more slowly: 26 g on a driver costs about 2.7 mph
    Parameter(
        "head_mass_effect",
        "-",
        0.19,
        0.06,
        "MacKenzie, Ryan & Rice 2015, as cited in Proceedings 49(1):81",
    ),
    # straighter faces are swung harder; what is left of the speed along a stepped set
    Parameter(
        "loft_intent",
        "1/deg",
        0.0029,
        0.0010,
        f"circulated tour averages ({CP}) less the two effects above",
    ),
    # angle of attack with the 7-iron
    Parameter("attack", "deg", -3.0, 1.4, CP),
    # longer clubs meet the ball later in the arc
    Parameter("attack_slope", "deg/m", 0.20 / INCH, 0.15 / INCH, CP),
    # hands ahead take loft off the face at impact, 7-iron
    Parameter("loft_offset", "deg", -11.5, 2.0, CP),
    # more is taken off lofted clubs
    Parameter("loft_slope", "deg/deg", -0.22, 0.04, CP),
    # energy lost to strikes off the centre
    Parameter("strike", "log", -0.020, 0.030, CP),
    # iron spin over rigid rolling: the ball's tangential spring
    Parameter("spin_factor", "log", 0.28, 0.12, CP),
    # the same, with loft
    Parameter("spin_slope", "1/deg", 0.006, 0.003, CP),
    # this ball's drag over the default form
    Parameter(
        "ball_drag",
        "log",
        0.0,
        0.05,
        "carry spread of 18 m over 13 ball models: Lyu, Kensrud, Smith & Tosaya 2018",
    ),
    # this ball's lift over the default form
    Parameter(
        "ball_lift",
        "log",
        0.0,
        0.07,
        "as for drag",
    ),
    # range balls carry 5 to 10 % less; only if used, and as the case states it where it does
    Parameter(
        "range_ball",
        "log",
        float(np.log(RANGE_BALL_FACTOR)),
        RANGE_BALL_SD / RANGE_BALL_FACTOR,
        CP,
    ),
)

# family: (speed, attack, loft, strike, spin) mean and sd, on top of what the shared parameters give
_FAMILY = {
    "driver": ((-0.015, 0.03), (-1.0, 1.2), (11.0, 1.2), (0.025, 0.02), (-0.35, 0.16)),
    "fairway": ((0.0, 0.02), (-1.0, 0.8), (4.7, 1.0), (0.065, 0.02), (-0.17, 0.12)),
    "hybrid": ((-0.01, 0.02), (-0.6, 1.0), (3.4, 1.5), (0.035, 0.015), (-0.03, 0.10)),
    "wedge": ((0.0, 0.006), (0.0, 0.4), (0.0, 0.5), (0.0, 0.006), (0.0, 0.03)),
}
_PARTS = (
    # speed of the family beside the line of the irons
    ("speed", "log"),
    # attack of the family beside the line of the irons (a driver is hit off a tee)
    ("attack", "deg"),
    # loft at impact of the family beside the line of the irons
    ("loft", "deg"),
    # ball speed of the family beside the rigid body (thin faces)
    ("strike", "log"),
    # spin of the family beside the irons (gear effect of woods)
    ("spin", "log"),
)
FAMILY_PARAMETERS = tuple(
    Parameter(f"{family}_{part}", unit, *_FAMILY[family][number], f"circulated tour averages ({CP})")
    for family in _FAMILY
    for number, (part, unit) in enumerate(_PARTS)
)

PARAMETERS: tuple[Parameter, ...] = SHARED + FAMILY_PARAMETERS
INDEX = {parameter.name: number for number, parameter in enumerate(PARAMETERS)}
LEAN_SHARE = {"driver": 0.3, "fairway": 0.6, "hybrid": 0.8, "iron": 1.0, "wedge": 1.0}
"""Hands ahead of the ball belong to the strike down of an iron; off a tee little is left of them. Common practice."""
USUAL = {p.name: p.mean for p in PARAMETERS}
USUAL_LOFT_OFFSET = PARAMETERS[INDEX["loft_offset"]].mean
STATED_ATTACK_SD = 1.0
"""[deg], how far a stated angle of attack may lie from the usual one of this player; our choice."""
OPEN_ATTACK_SD = 20.0
"""[deg], prior of the driver's attack beside the irons where it was stated: wide, so that the statement alone decides it
and says nothing of the irons (one part in 200 of it reaches them)."""
ATTACK_BY_LOFT = -0.025
"""[deg/deg]. Along a set attack steepens by 0.4 to 0.5 deg from club to club an inch and 7 deg apart (circulated tour
averages); half of it is taken to go with length (`attack_slope`), half with loft and the place of the ball."""
LEAN_BY_SPEED = -11.0
"""[deg] of loft at impact per log of speed: slower swings lean the shaft less. From launch and attack of circulated
averages, 7-irons at 90, 78, 76 and 62 mph launch at 16.3, 18.5, 19.0 and 21 deg (common practice, no source). Without it
carry over loft bends far more at slow speeds than it is seen to."""
LEAN_SPEED = float(np.log(90 * MPH))


def prior(case: Case) -> tuple[np.ndarray, np.ndarray]:
    """Prior means and standard deviations of `PARAMETERS` for a case: arrays of shape (parameters,).

    Stated speeds and the 7-iron's stated attack take the place of what sex and height say. A stated attack of the driver
    is an observation of the driver (`engine.swing.observations.gather`); here it only opens the driver's own parameter.
    """
    mean = np.array([p.mean for p in PARAMETERS])
    sd = np.array([p.sd for p in PARAMETERS])
    mean[0], sd[0] = _speed_prior(case)
    if case.swing.iron7_attack_deg is not None:
        mean[INDEX["attack"]], sd[INDEX["attack"]] = case.swing.iron7_attack_deg, STATED_ATTACK_SD
    stated = stated_driver(case)
    if stated is not None:
        driver, attack = stated
        line = mean[INDEX["attack"]] + mean[INDEX["attack_slope"]] * (driver.length_m - REFERENCE_LENGTH)
        mean[INDEX["driver_attack"]] = attack - line
        sd[INDEX["driver_attack"]] = OPEN_ATTACK_SD
    mean[INDEX["range_ball"]], sd[INDEX["range_ball"]] = _range_ball(case.conditions)
    return mean, sd


def stated_driver(case: Case) -> tuple[Club, float] | None:
    """The bag's first driver and its stated attack [deg]; None where there is no driver or nothing is stated."""
    driver = next((club for club in case.carried if club.family == "driver"), None)
    return None if driver is None or case.swing.attack_deg is None else (driver, case.swing.attack_deg)


def _range_ball(conditions: Conditions) -> tuple[float, float]:
    """Log factor on carry of the balls that were hit; indoors the device states the carry of a good ball."""
    if not conditions.range_ball or conditions.indoors:
        return 0.0, 1e-9
    factor, sd = range_ball_factor(conditions)
    return float(np.log(factor)), max(sd / factor, 1e-9)


def range_ball_factor(conditions: Conditions) -> tuple[float, float]:
    """Carry of a range ball over that of a good ball and its standard deviation: as stated, else common practice."""
    factor, sd = conditions.range_ball_factor, conditions.range_ball_sd
    return (
        RANGE_BALL_FACTOR if factor is None else factor,
        RANGE_BALL_SD if sd is None else sd,
    )


DRIVER_OVER_IRON = 0.225  # [log], driver over 7-iron speed by the table's own means


def _speed_prior(case: Case) -> tuple[float, float]:
    stated = []
    if case.swing.iron7_speed_mps is not None:
        stated.append((np.log(case.swing.iron7_speed_mps), 0.04))
    if case.swing.driver_speed_mps is not None:
        stated.append((np.log(case.swing.driver_speed_mps) - DRIVER_OVER_IRON, 0.06))
    if stated:
        weights = np.array([1 / s**2 for _, s in stated])
        return float(np.dot(weights, [m for m, _ in stated]) / weights.sum()), float(weights.sum() ** -0.5)
    sex = case.player.sex
    # wide enough that tour players (some 115 and 94 mph, circulated) are not taken for slower ones with a livelier ball
    mean, sd = {"male": (93.0, 0.17), "female": (72.0, 0.18)}.get(sex or "", (84.5, 0.22))
    level = np.log(mean * MPH) - DRIVER_OVER_IRON
    if case.player.height_m is not None:
        # At one angular velocity speed goes with arm plus club; an arm is some 0.4 of that and goes with height.
        level += 0.4 * np.log(case.player.height_m / REFERENCE_HEIGHT[sex])
    return float(level), sd
