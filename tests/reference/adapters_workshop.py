"""Thin calls for bench rows whose source states trade units or sums: they hold no formula of the engine."""

from engine.body.survey import mean_of, segment, wrist_to_floor
from engine.physics.putting import deceleration, speed_to_roll
from engine.units import BALL_DIAMETER, BALL_MASS, FOOT, GRAVITY, INCH, MPH, YARD
from engine.workshop.balance import (
    POINT_INOZ,
    Parts,
    length_change_points,
    moment_of_inertia,
    parts_of,
    swing_weight_moment,
    swing_weight_of,
)
from engine.workshop.flex import DRIVER_BANDS_MPH, flex_for
from engine.workshop.lie import lie_per_length, side_miss
from engine.workshop.rules import limit


def points_above_d0(*, total_kg, balance_m):
    moment = swing_weight_moment(total_kg=total_kg, balance_m=balance_m)
    return (moment - swing_weight_of("D0")) / POINT_INOZ


def half_inch_longer(*, length_in, head_kg, shaft_kg):
    parts = parts_of(length_m=length_in * INCH, head_kg=head_kg, shaft_kg=shaft_kg)
    return length_change_points(parts, 0.5 * INCH)


def inertia_kgcm2(*, length_in, head_kg, shaft_kg):
    return 1e4 * moment_of_inertia(parts_of(length_m=length_in * INCH, head_kg=head_kg, shaft_kg=shaft_kg))


def rod(*, length_m, mass_kg):
    return moment_of_inertia(Parts(length_m, 0.0, mass_kg, 0.0, length_m / 2, 0.0, length_m))


def miss_ft(*, carry_yd, loft_deg, lie_error_deg):
    return side_miss(carry_m=carry_yd * YARD, loft_deg=loft_deg, lie_error_deg=lie_error_deg) / FOOT


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
