"""How a driver and a 3-wood carry beside a 7-iron, against the circulated averages of players of all speeds."""

import csv
from pathlib import Path

import numpy as np
import pytest

from engine.swing.ties import TIES
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
