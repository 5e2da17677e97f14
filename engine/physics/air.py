"""The air a ball flies through: pressure with altitude, density of moist air, viscosity, wind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..documents.case import Conditions
from ..units import CELSIUS_ZERO, DEGREE, GRAVITY

Array = NDArray[np.float64]

GAS_CONSTANT_DRY_AIR = 287.05287  # [J/(kg K)], ISO 2533:1975
EARTH_RADIUS = 6_356_766.0  # [m], nominal, ISO 2533:1975


@dataclass(frozen=True, slots=True)
class Air:
    """Air at the tee. ``wind`` is the velocity of the air all along the flight as (forward, left) [m/s]."""

    density: float  # [kg/m3]
    viscosity: float  # [Pa s]
    wind: tuple[float, float] = (0.0, 0.0)


def standard_pressure(altitude: ArrayLike) -> Array:
    """Pressure of the standard atmosphere [Pa] at a geometric altitude [m], -2 to 11 km.

    ISO 2533:1975, equations for the layer with lapse rate 6.5 K/km, after conversion to geopotential altitude.
    """
    temperature = standard_temperature(altitude)
    return 101325.0 * (temperature / 288.15) ** (GRAVITY / (GAS_CONSTANT_DRY_AIR * 0.0065))


def standard_temperature(altitude: ArrayLike) -> Array:
    """Temperature of the standard atmosphere [K] at a geometric altitude [m], -2 to 11 km (ISO 2533:1975)."""
    z = np.asarray(altitude, float)
    geopotential = EARTH_RADIUS * z / (EARTH_RADIUS + z)
    return 288.15 - 0.0065 * geopotential


def saturation_pressure(temperature: ArrayLike) -> Array:
    """Saturation vapour pressure over water [Pa] at a temperature [K] (CIPM-2007, equation A1.1)."""
    t = np.asarray(temperature, float)
    return np.exp(1.2378847e-5 * t**2 - 1.9121316e-2 * t + 33.93711047 - 6343.1645 / t)


def moist_density(temperature: ArrayLike, pressure: ArrayLike, *, humidity: ArrayLike = 0.0) -> Array:
    """Density of moist air [kg/m3].

    Parameters
    ----------
    temperature : [K]; the formula is stated for 288 to 300 K and is used here from 240 to 330 K
    pressure : [Pa]
    humidity : relative humidity, 0 to 1

    Source: CIPM-2007 (Picard, Davis, Glaeser, Fujii 2008, Metrologia 45:149, equations 1 to 5 and A1), with 400
    parts in a million of carbon dioxide; constants from memory.
    """
    t_kelvin = np.asarray(temperature, float)
    p = np.asarray(pressure, float)
    t = t_kelvin - CELSIUS_ZERO
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t**2
    x = np.asarray(humidity, float) * enhancement * saturation_pressure(t_kelvin) / p
    compressibility = (
        1
        - p
        / t_kelvin
        * (
            1.58123e-6
            - 2.9331e-8 * t
            + 1.1043e-10 * t**2
            + (5.707e-6 - 2.051e-8 * t) * x
            + (1.9898e-4 - 2.376e-6 * t) * x**2
        )
        + (p / t_kelvin) ** 2 * (1.83e-11 - 0.765e-8 * x**2)
    )
    density: Array = p * 28.96546e-3 / (compressibility * 8.314472 * t_kelvin) * (1 - 0.3780 * x)
    return density


def sutherland_viscosity(temperature: ArrayLike) -> Array:
    """Dynamic viscosity of air [Pa s] at a temperature [K]: Sutherland's law with the constants of ISO 2533:1975."""
    t = np.asarray(temperature, float)
    return 1.458e-6 * t**1.5 / (t + 110.4)


def air_of(conditions: Conditions) -> Air:
    """The air of a case's conditions: standard pressure for the altitude, stated temperature and humidity.

    The wind is that of a weather report, 10 m over open ground (WMO No. 8), and blows so at every height: over the rougher
    ground of a course it is slower low down and about as fast where balls fly (`tests/engine/physics/test_flight.py`).

    >>> calm = air_of(Conditions(temperature_c=15.0, humidity=0.0))
    >>> round(calm.density, 3), calm.wind
    (1.226, (-0.0, 0.0))
    >>> air_of(Conditions(altitude_m=2000.0)).density < 0.82 * calm.density
    True
    """
    temperature = conditions.temperature_c + CELSIUS_ZERO
    density = moist_density(
        temperature, standard_pressure(conditions.altitude_m), humidity=conditions.humidity
    )
    towards = conditions.wind_from_deg * DEGREE
    wind = (-conditions.wind_mps * float(np.cos(towards)), conditions.wind_mps * float(np.sin(towards)))
    return Air(float(density), float(sutherland_viscosity(temperature)), wind)


REFERENCE = Conditions()  # 20 C, sea level, half humidity, no wind


def struck_in(conditions: Conditions) -> Conditions:
    """The air of measured carries: that of the conditions, the reference air where the device states them from indoors."""
    return REFERENCE if conditions.indoors else conditions
