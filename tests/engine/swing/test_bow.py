"""How log carry bends over loft beforehand: beside circulated averages, and beside their launches flown faster.

Carries and launches are circulated averages (`tests/reference/data/launch_typical.csv`; common practice, no source), drag
and lift those that Bearman & Harvey 1976 measured.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from tours import CLUBS, MEN, NEWER, WOMEN
from truths import flown, table_coefficients

from engine.documents.case import Case, Player
from engine.physics.air import REFERENCE, air_of
from engine.swing import departures
from engine.swing.delivery import Clubs, carry, deliver
from engine.swing.parameters import INDEX, prior
from engine.units import DEGREE, GRAM, INCH, MPH, RPM

TYPICAL = Path(__file__).parents[2] / "reference" / "data" / "launch_typical.csv"


def irons(group):
    """Rows of a group's irons and wedge, and their clubs."""
    with TYPICAL.open(encoding="utf-8", newline="") as file:
        rows = [r for r in csv.DictReader(file) if r["group"] == group]
    rows = [r for r in rows if CLUBS.get(r["club"], ("",))[0] in ("iron", "wedge")]
    women = group == WOMEN
    family, length, loft, head = zip(*(CLUBS[r["club"]] for r in rows), strict=True)
    return rows, Clubs(
        (np.array(length) - women) * INCH, np.array(loft, float) + women, np.array(head) * GRAM, family
    )


def bow(loft, values):
    """Second-degree share [per (10 deg)^2] of values over loft."""
    return np.polyfit((loft - departures.MIDDLE) / 10, values, 2)[0]


def bow_beforehand(clubs, mph):
    """Of the carries of these clubs before any ball, at a head speed with the 7-iron."""
    theta = prior(Case(player=Player(sex="male")))[0][None]
    theta[0, INDEX["log_speed"]] = np.log(mph * MPH)
    flight = carry(theta, deliver(theta, clubs), air_of(REFERENCE))
    return bow(clubs.loft, (np.log(flight.carry) + departures.expected(theta, clubs.loft, clubs.family))[0])


def bow_flown(group, faster):
    """Of carries of a group's launches, made so much faster, by measured drag and lift."""
    rows, clubs = irons(group)
    x = (clubs.loft - departures.MIDDLE) / 10

    def smooth(name):  # the figures that circulate are rounded
        return np.polyval(np.polyfit(x, [float(r[name]) for r in rows], 2), x)

    speed, spin = smooth("ball_speed_mph") * MPH * faster, smooth("spin_rpm") * RPM * faster
    return bow(clubs.loft, np.log(flown(speed, smooth("launch_deg") * DEGREE, spin, table_coefficients)[0]))


@pytest.mark.parametrize(("group", "mph"), [(WOMEN, 76), (MEN, 90), (NEWER, 92)])
def test_carries_bend_over_loft_as_circulated_ones_do(group, mph):
    rows, clubs = irons(group)
    circulated = bow(clubs.loft, np.log([float(r["carry_yd"]) for r in rows]))
    assert bow_beforehand(clubs, mph) == pytest.approx(circulated, abs=0.007)


@pytest.mark.parametrize("group", [MEN, NEWER])
def test_carries_of_swings_beyond_the_fastest_circulated_straighten_no_further(group):
    fastest = 92  # mph
    flown_so = bow_flown(group, 1.1) - bow_flown(group, 1.0)
    assert flown_so < 0
    clubs = irons(group)[1]
    ours = bow_beforehand(clubs, 1.1 * fastest) - bow_beforehand(clubs, fastest)
    assert ours == pytest.approx(flown_so, abs=0.003)
