"""Units of speeds that a table does not state, told from the carries beside them."""

import csv
from pathlib import Path

import pytest

from engine.shots.table import read_table

# circulated averages of tour players: common practice, from memory, no source
TYPICAL = list(
    csv.DictReader(
        (Path(__file__).parents[1] / "reference/data/launch_typical.csv")
        .read_text(encoding="utf-8")
        .splitlines()
    )
)
SIZES = {"mph": 1.0, "km/h": 1.609344, "m/s": 0.44704}


def taken(heading, rows, unit):
    lines = [f"{speed * SIZES[unit]:.1f},{carry}" for speed, carry in rows]
    told = read_table("\n".join([f"{heading},carry (yd)", *lines]), club="7i")
    return [question.taken for question in told.needs if question.key == "speed_unit"]


@pytest.mark.parametrize("unit", SIZES)
@pytest.mark.parametrize("row", TYPICAL, ids=lambda row: f"{row['group']} {row['club']}")
def test_one_ball_tells_the_unit_of_its_speed(row, unit):
    carry = row["carry_yd"]
    if row["ball_speed_mph"]:
        assert taken("ball speed", [(float(row["ball_speed_mph"]), carry)], unit) == [unit]
    # carry by head speed differs most between drives and wedges: of those one ball may not be enough
    if row["club_speed_mph"] and row["club"] not in ("driver", "pitching wedge"):
        assert taken("club speed", [(float(row["club_speed_mph"]), carry)], unit) == [unit]


@pytest.mark.parametrize("unit", SIZES)
@pytest.mark.parametrize("group", sorted({row["group"] for row in TYPICAL if row["club"] == "7-iron"}))
def test_a_session_tells_the_unit_of_head_speed(group, unit):
    rows = [
        (float(r["club_speed_mph"]), r["carry_yd"])
        for r in TYPICAL
        if r["group"] == group and r["club_speed_mph"]
    ]
    assert taken("club speed", rows, unit) == [unit]
