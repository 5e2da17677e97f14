"""Fit the default ball of `engine.physics.aerodynamics.modern` and print what the engine quotes.

Fit set: every other row of the men's older set and of the women's set in ``../data/launch_typical.csv`` (common
practice figures, no source; 25 C, sea level and calm assumed), with carry to 2 %, apex to 8 %, descent to 2.5 deg; and
the read effects of air on a drive and a 7-iron: 8.5 and 9 % for a mile of altitude, 2 and 1.6 yd for 70 to 80 F.
Held out: the other rows, and the men's newer set.
"""

import csv
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from engine.documents.case import Conditions
from engine.physics.aerodynamics import Aerodynamics
from engine.physics.air import air_of
from engine.physics.trajectory import Launch, fly
from engine.units import DEGREE, MPH, YARD

DATA = Path(__file__).parents[1] / "data" / "launch_typical.csv"
TRADE_AIR = air_of(Conditions(temperature_c=25.0))
PROBES = Launch.of(
    np.array([158, 120]) * MPH, launch_deg=np.array([12, 16.3]), spin_rpm=np.array([2650, 7097])
)
AIR_WEIGHT = 2.0


def rows_of(*groups):
    with DATA.open(encoding="utf-8") as file:
        return [r for r in csv.DictReader(file) if r["group"] in groups]


def column(rows, name):
    return np.array([float(r[name]) for r in rows])


def model_of(p):
    def form(re, w):
        return p[0] + p[1] * (1 - np.exp(-w / p[2])) + p[5] * np.exp(-re / 5e4), p[3] * (
            1 - np.exp(-w / p[4])
        )

    return Aerodynamics("trial", form, (0, 1), (0, 1), "", "")


def flights(model, rows):
    launch = Launch.of(
        column(rows, "ball_speed_mph") * MPH,
        launch_deg=column(rows, "launch_deg"),
        spin_rpm=column(rows, "spin_rpm"),
    )
    return fly(launch, TRADE_AIR, model=model)


def carry_error(model, rows):
    return flights(model, rows).carry / YARD / column(rows, "carry_yd") - 1


def air_effects(model):
    def carry(**conditions):
        return fly(PROBES, air_of(Conditions(**conditions)), model=model).carry

    mile = 100 * (carry(temperature_c=15, altitude_m=1609) / carry(temperature_c=15) - 1)
    warm = (carry(temperature_c=26.67) - carry(temperature_c=21.11)) / YARD
    return mile, warm


def residuals(p, rows):
    model = model_of(p)
    flight = flights(model, rows)
    mile, warm = air_effects(model)
    return np.concatenate(
        [
            (flight.carry / YARD / column(rows, "carry_yd") - 1) / 0.02,
            (flight.apex / YARD / column(rows, "apex_yd") - 1) / 0.08,
            (flight.descent / DEGREE - column(rows, "descent_deg")) / 2.5,
            AIR_WEIGHT * (mile - np.array([8.5, 9.0])) / 1.5,
            AIR_WEIGHT * (warm - np.array([2.0, 1.6])) / 0.5,
        ]
    )


def main():
    both = rows_of("tour male (older 2010s set)", "tour female")
    start = np.array([0.2, 0.25, 0.3, 0.4, 0.17, 0.05])
    found = least_squares(residuals, start, args=(both[0::2],), x_scale=np.maximum(start, 0.01))
    print("coefficients", np.round(found.x, 4))
    sets = {"fit": both[0::2], "held out": both[1::2], "newer set": rows_of("tour male (newer 2020s set)")}
    for name, rows in sets.items():
        error = 100 * carry_error(model_of(found.x), rows)
        print(
            f"{name}: {len(rows)} rows, rms {np.sqrt(np.mean(error**2)):.2f} %, worst {np.abs(error).max():.2f} %"
        )
    print("mile of altitude [%], 70 to 80 F [yd]:", air_effects(model_of(found.x)))


if __name__ == "__main__":
    main()
