"""Sizes of everyday units in SI: a value in SI is the number times its unit, as in ``120 * MPH``.

Exact by definition (BIPM, The International System of Units, 9th ed., 2019; NIST SP 811, appendix B) but for
``RPM``, which is exact up to the digits of pi.

>>> round(100 * MPH, 3), round(150 * YARD, 2), round(37 * INCH, 4)
(44.704, 137.16, 0.9398)
"""

import math

INCH = 0.0254  # [m]
FOOT = 0.3048  # [m]
YARD = 0.9144  # [m]
MPH = 0.44704  # [m/s]
KMH = 1 / 3.6  # [m/s]
GRAM = 1e-3  # [kg]
OUNCE = 0.028349523125  # [kg], avoirdupois
RPM = 2 * math.pi / 60  # [rad/s]
DEGREE = math.pi / 180  # [rad]
CELSIUS_ZERO = 273.15  # [K]
GRAVITY = 9.80665  # [m/s2], standard acceleration of free fall

BALL_MASS = 0.04593  # [kg], the largest the Rules of Golf allow (Equipment Rules, part 4)
BALL_DIAMETER = 0.04267  # [m], the smallest the Rules of Golf allow (Equipment Rules, part 4)
BALL_RADIUS = BALL_DIAMETER / 2
BALL_AREA = math.pi * BALL_RADIUS**2
