"""Circulated tour averages (`tests/reference/data/launch_typical.csv`): common practice figures, no source.

Carry from ball speed, launch and spin by the default ball; ball speed and launch from club speed and attack by the
impact and delivery model, for centred strikes.
"""

import sys
from pathlib import Path

import numpy as np
import pytest

from engine.physics.impact import DRIVER_RESTITUTION, ball_restitution, strike
from engine.swing.delivery import Clubs, deliver
from engine.swing.parameters import INDEX, PARAMETERS
from engine.units import DEGREE, GRAM, INCH, MPH

sys.path.insert(0, str(Path(__file__).parents[2] / "reference" / "derive"))
from modern_ball import carry_error, column, rows_of
from tours import CLUBS, MEN, NEWER, WOMEN

from engine.physics.aerodynamics import aerodynamics


def rms(values):
    return float(np.sqrt(np.mean(np.square(values))))


@pytest.mark.parametrize(
    ("name", "part"), [("fit", slice(0, None, 2)), ("held out", slice(1, None, 2)), ("both", slice(None))]
)
def test_carry_of_tour_averages(name, part):
    error = carry_error(aerodynamics("modern"), rows_of(MEN, WOMEN)[part])
    assert rms(error) <= 0.03
    assert np.abs(error).max() <= 0.06


def test_carry_of_a_set_that_had_no_part_in_the_fit():
    error = carry_error(aerodynamics("modern"), rows_of(NEWER))
    assert rms(error) <= 0.03
    assert np.abs(error).max() <= 0.06


def impact_errors(group):
    """Relative error of ball speed and error of launch [deg] from the rows' own club speed and attack."""
    rows = rows_of(group)
    women = group == WOMEN
    specs = [CLUBS[r["club"]] for r in rows]
    clubs = Clubs(
        np.array([s[1] - women for s in specs]) * INCH,
        np.array([s[2] + women for s in specs], float),
        np.array([s[3] for s in specs]) * GRAM,
        tuple(s[0] for s in specs),
    )
    theta = np.array([[p.mean for p in PARAMETERS]])
    theta[0, INDEX["strike"]] = 0.0  # centred strikes
    speed, attack = column(rows, "club_speed_mph") * MPH, column(rows, "attack_deg")
    # how far the hands lead goes with the speed of the 7-iron
    theta[0, INDEX["log_speed"]] = np.log(speed[next(i for i, r in enumerate(rows) if r["club"] == "7-iron")])
    face = deliver(theta, clubs).face_loft[0]
    spin_loft = (face - attack) * DEGREE
    driver = np.array([s[0] == "driver" for s in specs])
    e = np.where(driver, DRIVER_RESTITUTION, ball_restitution(speed * np.cos(spin_loft)))
    release = strike(speed, spin_loft, head_mass=clubs.head, restitution=e)
    strike_of = np.array([theta[0, INDEX[f"{s[0]}_strike"]] if s[0] != "iron" else 0.0 for s in specs])
    ball_speed = release.speed * np.exp(strike_of)
    return (
        ball_speed / (column(rows, "ball_speed_mph") * MPH) - 1,
        release.angle / DEGREE + attack - column(rows, "launch_deg"),
    )


@pytest.mark.parametrize("group", [MEN, WOMEN, NEWER])
def test_ball_speed_and_launch_from_club_speed_and_attack(group):
    ball_speed, launch = impact_errors(group)
    assert rms(ball_speed) <= 0.025
    assert rms(launch) <= 1.5


def test_speed_along_an_ordinary_set():
    """Club speed of every club from that of the 7-iron alone, by the prior means: within 2.5 % (men's older set)."""
    rows = rows_of(MEN)
    specs = [CLUBS[r["club"]] for r in rows]
    clubs = Clubs(
        np.array([s[1] for s in specs]) * INCH,
        np.array([s[2] for s in specs], float),
        np.array([s[3] for s in specs]) * GRAM,
        tuple(s[0] for s in specs),
    )
    theta = np.array([[p.mean for p in PARAMETERS]])
    seven = next(i for i, r in enumerate(rows) if r["club"] == "7-iron")
    speed = column(rows, "club_speed_mph") * MPH
    theta[0, 0] += np.log(speed[seven] / deliver(theta, clubs).club_speed[0, seven])
    assert np.abs(deliver(theta, clubs).club_speed[0] / speed - 1).max() <= 0.025
