"""Fit the closed form of `engine.physics.aerodynamics.bearman_harvey` to a digitised table of Bearman & Harvey 1976.

Run with the table's path, a CSV with columns speed_m_s, spin_rpm, CD, CL (figures 7 and 8, hexagonal dimples; 210
points). The table is not part of this project. Prints the coefficients and residuals quoted in the engine.
"""

import csv
import sys

import numpy as np
from scipy.optimize import least_squares

KINEMATIC_VISCOSITY = 1.46e-5  # [m2/s], 15 C
DIAMETER = 0.04267  # [m]


def main(path):
    with open(path, encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    speed, spin, drag, lift = (
        np.array([float(r[k]) for r in rows]) for k in ("speed_m_s", "spin_rpm", "CD", "CL")
    )
    re = speed * DIAMETER / KINEMATIC_VISCOSITY / 1e5
    w = spin * np.pi / 30 * DIAMETER / 2 / speed
    forms = {
        "drag": (
            lambda p: p[0] + p[1] * w + p[2] * w**2 + p[3] * np.exp(-re / p[4]),
            [0.2, 0.2, 0.2, 0.1, 0.5],
            drag,
        ),
        "lift": (lambda p: p[0] * w ** p[1] * (1 - np.exp(-((re / p[2]) ** 2))), [0.5, 0.4, 0.3], lift),
    }
    for name, (form, start, data) in forms.items():
        found = least_squares(
            lambda p, form=form, data=data: form(p) - data, start, loss="soft_l1", f_scale=0.02, max_nfev=5000
        )
        residual = form(found.x) - data
        print(name, np.round(found.x, 4), f"rms {residual.std():.4f} worst {np.abs(residual).max():.3f}")


if __name__ == "__main__":
    main(sys.argv[1])
