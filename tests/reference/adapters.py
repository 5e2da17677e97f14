"""Thin calls for reference rows whose source states trade units or differences: they hold no formula of the engine."""

import numpy as np

from engine.documents.case import Conditions
from engine.physics.aerodynamics import SPIN_DECAY, aerodynamics
from engine.physics.air import (
    Air,
    air_of,
    moist_density,
    standard_pressure,
    standard_temperature,
    sutherland_viscosity,
)
from engine.physics.impact import effective_mass, gear_effect, lie_error, strike
from engine.physics.trajectory import Launch, fly
from engine.units import BALL_DIAMETER, BALL_MASS, BALL_RADIUS, DEGREE, MPH, RPM, YARD

DRY_15C = Air(1.225, 1.7894e-5)


def coefficient(*, model, re, w, which):
    return float(aerodynamics(model)(re, w)[{"drag": 0, "lift": 1}[which]])


def reynolds(*, speed, density, viscosity):
    return density * speed * BALL_DIAMETER / viscosity


def spin_ratio(*, spin_rpm, speed):
    return spin_rpm * RPM * BALL_RADIUS / speed


def spin_loss_rpm_s(*, speed_mph, spin_rpm):
    return SPIN_DECAY * spin_rpm * speed_mph * MPH / BALL_RADIUS


def standard_density(*, altitude):
    """Of dry air, whose gas constant ISO 2533:1975 states."""
    return float(standard_pressure(altitude) / (287.05287 * standard_temperature(altitude)))


def density_ratio(*, altitude):
    return standard_density(altitude=altitude) / standard_density(altitude=0)


def kinematic_viscosity(*, temperature, density):
    return float(sutherland_viscosity(temperature)) / density


def humidity_loss_percent(*, temperature, pressure):
    dry, wet = (moist_density(temperature, pressure, humidity=h) for h in (0.0, 1.0))
    return float(100 * (1 - wet / dry))


def _fly(speed, launch_deg, spin_rpm, air, model="modern", **factors):
    return fly(
        Launch.of(speed, launch_deg=launch_deg, spin_rpm=spin_rpm), air, model=aerodynamics(model), **factors
    )


def vacuum(*, speed, launch_deg, which):
    return float(getattr(_fly(speed, launch_deg, 3000, Air(1e-12, 1.8e-5)), which))


def carry_dry_15c(*, model, speed_mph=None, speed=None, launch_deg, spin_rpm):
    return float(
        _fly(speed_mph * MPH if speed is None else speed, launch_deg, spin_rpm, DRY_15C, model).carry
    )


def trade_flight(*, speed_mph, launch_deg, spin_rpm, which, model="modern"):
    """Carry and apex [yd], descent [deg] in calm air of 25 C at sea level."""
    flight = _fly(speed_mph * MPH, launch_deg, spin_rpm, air_of(Conditions(temperature_c=25.0)), model)
    return float(
        {"carry": flight.carry / YARD, "apex": flight.apex / YARD, "descent": flight.descent / DEGREE}[which]
    )


def change(*, speed_mph, launch_deg, spin_rpm, before, after, unit, model="modern"):
    """Change of carry between two sets of conditions: [yd], [m] or [%]."""
    a, b = (
        float(_fly(speed_mph * MPH, launch_deg, spin_rpm, air_of(Conditions(**c)), model).carry)
        for c in (before, after)
    )
    return {"yd": (b - a) / YARD, "m": b - a, "%": 100 * (b / a - 1)}[unit]


def head_over_tail(*, speed_mph, launch_deg, spin_rpm, wind_mps):
    args = {"speed_mph": speed_mph, "launch_deg": launch_deg, "spin_rpm": spin_rpm, "before": {}, "unit": "m"}
    head = change(after={"wind_mps": wind_mps}, **args)
    tail = change(after={"wind_mps": wind_mps, "wind_from_deg": 180.0}, **args)
    return -head / tail


def terminal_speed(*, drag, density):
    """Speed at which a ball falling through level air stops gaining, found by flying one straight up for long."""
    model = aerodynamics("modern")
    constant = type(model)(
        "constant", lambda re, w: (np.full_like(re, drag), np.zeros_like(re)), (0, 1), (0, 1), "", ""
    )
    high = fly(Launch(400.0, 89.99 * DEGREE, 1e-6), Air(density, 1.8e-5), model=constant)
    return float(high.speed)


def impact(*, speed, spin_loft_deg, restitution, head_mass, which, friction=9.0):
    release = strike(
        speed, spin_loft_deg * DEGREE, restitution=restitution, head_mass=head_mass, friction=friction
    )
    return float({"speed": release.speed, "angle": release.angle / DEGREE, "spin": release.spin / RPM}[which])


def smash(*, restitution, head_mass):
    return (
        impact(speed=50.0, spin_loft_deg=0.0, restitution=restitution, head_mass=head_mass, which="speed")
        / 50.0
    )


def launch_share_percent(*, spin_loft_deg):
    """Launch from the path over spin loft for a typical head and restitution."""
    return (
        100
        * impact(speed=40, spin_loft_deg=spin_loft_deg, restitution=0.78, head_mass=0.25, which="angle")
        / spin_loft_deg
    )


def effective_mass_share(*, head_mass, offset, inertia):
    return float(effective_mass(head_mass, offset, inertia) / head_mass)


def toe_strike_side_sign(*, right_handed):
    effect = gear_effect(
        70.0,
        toe_offset=0.02,
        high_offset=0.0,
        depth=0.035,
        inertia_vertical=4.5e-4,
        inertia_heel_toe=3e-4,
        right_handed=right_handed,
    )
    return float(np.sign(effect.side))


def high_strike_backspin_change_rpm(*, high_offset):
    effect = gear_effect(
        70.0,
        toe_offset=0.0,
        high_offset=high_offset,
        depth=0.035,
        inertia_vertical=4.5e-4,
        inertia_heel_toe=3e-4,
    )
    return float(effect.back / RPM)


def lie_direction_deg(*, loft_deg, error_deg):
    return float(lie_error(loft_deg * DEGREE, error_deg * DEGREE)[0] / DEGREE)


def lie_loft_deg(*, loft_deg, error_deg):
    return float(lie_error(loft_deg * DEGREE, error_deg * DEGREE)[1] / DEGREE)


def rolling_limit(*, friction, restitution, mass_ratio):
    """The largest spin loft at which a ball still rolls off the face, found by trying."""
    low, high = 0.0, np.pi / 2
    for _ in range(40):
        middle = (low + high) / 2
        hit = strike(
            40.0, middle, head_mass=BALL_MASS / mass_ratio, restitution=restitution, friction=friction
        )
        low, high = (middle, high) if bool(hit.rolling) else (low, middle)
    return low
