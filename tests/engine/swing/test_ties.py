"""How a driver and a 3-wood carry beside a 7-iron, against the circulated averages of players of all speeds."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from simulate import SimulatedPlayer

from engine.physics.air import REFERENCE, air_of
from engine.sets.predict import predict
from engine.swing import calibration
from engine.swing.calibration import calibrate
from engine.swing.ties import TIES, Tied
from engine.units import MPH

TYPICAL = Path(__file__).parents[2] / "reference" / "data" / "launch_typical.csv"


def ratios(club):
    """Head speed with a 7-iron [m/s], and what the club carries over it, of each group; common practice, no source."""
    with TYPICAL.open(encoding="utf-8", newline="") as file:
        rows = {(row["group"], row["club"]): row for row in csv.DictReader(file)}
    groups = [group for group, name in rows if name == club and (group, "7-iron") in rows]
    irons = [rows[group, "7-iron"] for group in groups]
    carries = [float(rows[group, club]["carry_yd"]) for group in groups]
    return [
        (float(iron["club_speed_mph"]) * MPH, carry / float(iron["carry_yd"]))
        for iron, carry in zip(irons, carries, strict=True)
    ]


@pytest.mark.parametrize("tie", TIES, ids=lambda tie: tie.name)
def test_a_tie_is_within_its_error_of_every_group_and_level_with_them_all(tie):
    found = ratios(tie.name)
    assert len(found) >= 3
    off = [tie.level + tie.by_speed * np.log(speed / (90 * MPH)) - np.log(ratio) for speed, ratio in found]
    assert np.abs(off).max() < tie.sd
    assert abs(np.mean(off)) < 0.4 * tie.sd


def carries(case):
    """Draws of log carry of driver, 3-wood, irons and wedges."""
    bag = tuple(c for c in case.bag if c.family != "putter")
    return {
        c.id: x
        for c, x in zip(bag, np.log(predict(calibrate(case), bag, air_of(REFERENCE)).carry).T, strict=True)
    }


@pytest.mark.parametrize("clubs", [("7i",), ("5i", "9i"), ("4i", "7i", "pw", "sw")])
def test_what_is_said_of_woods_says_nothing_of_irons(clubs, monkeypatch):
    player = SimulatedPlayer(21)
    case = player.case(player.shots([c for c in clubs if c in {x.id for x in player.bag}], 10))
    before = carries(case)
    monkeypatch.setattr(calibration, "TIES", tuple(replace(t, level=t.level + 0.2) for t in TIES))
    after = carries(case)
    for club in ("5i", "7i", "pw", "sw"):
        assert np.abs(after[club] - before[club]).max() < 2e-3
    for club in ("dr", "3w"):
        assert 0.1 < (after[club] - before[club]).mean() < 0.2


def test_a_driver_s_balls_still_say_where_the_irons_are():
    player = SimulatedPlayer(22)
    alone, none = player.case(player.shots(("dr",), 10)), player.case(())
    assert carries(alone)["7i"].std() < 0.6 * carries(none)["7i"].std()


def test_tied_parameters_are_those_of_the_normal_distribution_given_the_shared_ones():
    """Mean and covariance of the woods' own parameters, given the others and the ties, by the textbook's formula."""
    rng = np.random.default_rng(5)
    woods = np.array([False, False, True, True, True])
    slope, of_loft = rng.normal(0, 0.05, (2, 5)), rng.normal(0, 0.5, (2, 3))
    rest, error = np.array([0.06, -0.03]), np.array([0.05, 0.04])
    tied = Tied.of(slope, of_loft, rest, error, woods)
    free, smooth = rng.standard_normal((50_000, 5)), np.array([0.01, -0.02, 0.03])
    free[:, :2] = (0.7, -1.2)
    white = tied.white(free, smooth)
    assert np.array_equal(white[:, :2], free[:, :2])
    own = slope[:, woods]
    left = rest - slope[:, :2] @ free[0, :2] - of_loft @ smooth
    gain = own.T @ np.linalg.inv(own @ own.T + np.diag(error**2))
    assert white[:, woods].mean(axis=0) == pytest.approx(gain @ left, abs=0.02)
    assert np.cov(white[:, woods].T) == pytest.approx(np.eye(3) - gain @ own, abs=0.02)
    # the precision of the whole: normals before, parameters after
    whole = np.eye(5 + 3)
    back = tied.precision(whole, np.full(3, 0.01))
    map_ = np.eye(8)
    map_[:5, :5], map_[:5, 5:] = tied.of_free, tied.of_loft * 0.01
    assert np.linalg.inv(back) == pytest.approx(map_ @ map_.T)
