"""How far a club can be changed, and what is too little to matter: one place for the workshop's limits.

Masses [kg], lengths [m], angles [deg]. Common practice, no source.
"""

from __future__ import annotations

from ..units import GRAM, INCH

SMALLEST_MASS_KG = 2 * GRAM
"""Less than this of a head, about a point of swing weight, is not worth pulling it; common practice, no source."""
MOST_ADDED_KG = 12 * GRAM
"""More than this in or on an iron's head wants another head; common practice, no source."""
MOST_REMOVED_KG = 3 * GRAM
"""More than this ground off a head spoils its sole and balance; common practice, no source."""

BEND_LIMIT_DEG = {"forged": 4.0, "cast": 2.0}
UNKNOWN_BEND_LIMIT_DEG = 1.0
"""What is allowed of a bendable head of unknown material [deg]; common practice, no source."""
SMALLEST_BEND_DEG = 0.5
"""Less than this [deg] is what a bending machine repeats, where nobody says otherwise; common practice, no source."""

LENGTH_LEFT_M = 0.125 * INCH
"""A club this far off its length, or less, is left as it is: a rule laid along a club shows no more. The one bound
for what is cut, extended, counted as built, and taken for the same set; common practice, no source."""
LONGEST_EXTENSION_M = 1.0 * INCH
