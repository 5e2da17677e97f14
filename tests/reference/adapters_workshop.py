"""Thin calls for bench rows whose source states trade units or sums: they hold no formula of the engine."""

import math
from dataclasses import replace

from engine.body.survey import mean_of, segment, wrist_to_floor
from engine.physics.putting import deceleration, speed_to_roll
from engine.units import BALL_DIAMETER, BALL_MASS, FOOT, GRAM, GRAVITY, INCH, MPH, YARD
from engine.workshop.balance import (
    POINT_INOZ,
    Parts,
    grams_per_point,
    moment_of_inertia,
    parts_of,
    swing_weight_moment,
    swing_weight_of,
    weigh,
)
from engine.workshop.flex import DRIVER_BANDS_MPH, flex_for
from engine.workshop.lie import face_direction, lie_after_length, lie_per_length
from engine.workshop.rules import limit


def points_above_d0(*, total_kg, balance_m):
    moment = swing_weight_moment(total_kg=total_kg, balance_m=balance_m)
    return (moment - swing_weight_of("D0")) / POINT_INOZ


def points_for(*, mass_kg, at_m):
    """Points by which a mass put so far from the butt of a 7-iron makes it heavier."""
    parts = parts_of(length_m=37 * INCH, head_kg=0.27, shaft_kg=0.11)
    mass = parts.grip + mass_kg
    more = replace(parts, grip=mass, grip_at=(parts.grip * parts.grip_at + mass_kg * at_m) / mass)
    return (weigh(more).moment_inoz - weigh(parts).moment_inoz) / POINT_INOZ


def half_inch_longer(*, length_in, head_kg, shaft_kg):
    parts = parts_of(length_m=length_in * INCH, head_kg=head_kg, shaft_kg=shaft_kg)
    made = parts_of(length_m=(length_in + 0.5) * INCH, head_kg=head_kg, shaft_kg=shaft_kg)
    made = replace(made, shaft_at=parts.shaft_at + 0.25 * INCH)  # the same shaft, longer, keeps its mass
    return (weigh(made).moment_inoz - weigh(parts).moment_inoz) / POINT_INOZ


def inertia_kgcm2(*, length_in, head_kg, shaft_kg):
    return 1e4 * moment_of_inertia(parts_of(length_m=length_in * INCH, head_kg=head_kg, shaft_kg=shaft_kg))


def rod(*, length_m, mass_kg):
    return moment_of_inertia(Parts(length_m, 0.0, mass_kg, 0.0, length_m / 2, 0.0, length_m))


def miss_ft(*, carry_yd, loft_deg, lie_error_deg):
    turn = face_direction(loft_deg=loft_deg, lie_error_deg=lie_error_deg)
    return carry_yd * YARD * math.tan(math.radians(float(turn))) / FOOT


def flatter_per_half_inch(*, length_in, lie_deg):
    return -lie_per_length(length_m=length_in * INCH, lie_deg=lie_deg) * 0.5 * INCH


def flex_step(*, speed_mph):
    return [band[0] for band in DRIVER_BANDS_MPH].index(flex_for(speed_mph * MPH).likely)


def wrist_ratio(*, sex):
    stature = mean_of("stature", sex)
    return wrist_to_floor(stature, sex=sex, shoe_m=0.0).mean_m / stature


def arm_sum():
    return segment("upper_arm") + segment("forearm") + segment("hand")


def leg_sum():
    return segment("ankle_height") + segment("shank") + segment("thigh")


def deceleration_g(*, green_speed_ft):
    return deceleration(green_speed_ft=green_speed_ft) / GRAVITY


def roll_fps(*, distance_ft, green_speed_ft):
    return speed_to_roll(distance_ft * FOOT, green_speed_ft=green_speed_ft) / FOOT


def ball_mass_g():
    return BALL_MASS * 1000


def ball_diameter_mm():
    return BALL_DIAMETER * 1000


def limit_in_mm(*, item):
    """A limit of the rules that is kept in inches, in millimetres."""
    return limit(item) * 25.4


def points_of_parts(*, length_in, head_g, shaft_g, grip_g):
    """Swing weight in points above D0 of a club from its parts."""
    return (
        weigh(_parts(length_in, head_g, shaft_g, grip_g)).moment_inoz - swing_weight_of("D0")
    ) / POINT_INOZ


def total_of_parts(*, length_in, head_g, shaft_g, grip_g):
    """Total mass [g] of a club from its parts."""
    return weigh(_parts(length_in, head_g, shaft_g, grip_g)).total_kg / GRAM


def grams_a_point(*, length_in):
    """Head mass [g] that moves the swing weight a point at a length [in]."""
    return grams_per_point(length_in * INCH) / GRAM


def lie_for_half_an_inch(*, length_in, lie_deg):
    """Change of lie [deg] for half an inch more length with the hands where they are."""
    return float(lie_after_length(length_m=length_in * INCH, lie_deg=lie_deg, longer_m=0.5 * INCH)) - lie_deg


def _parts(length_in, head_g, shaft_g, grip_g):
    return parts_of(
        length_m=length_in * INCH, head_kg=head_g * GRAM, shaft_kg=shaft_g * GRAM, grip_kg=grip_g * GRAM
    )
