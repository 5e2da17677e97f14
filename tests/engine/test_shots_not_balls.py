"""What stands among balls and is none: deviations, averages, other people's balls, part swings. Read rightly where that is
certain, refused by the name of its column or row where it is not.
"""

import pytest

from engine.shots.columns import field_of, says_mean, split_heading
from engine.shots.remarks import Finding
from engine.shots.table import read_table


def balls(text, **kwargs):
    """(club, carry [m]) of the shots read."""
    return [(s["club"], s.get("carry_m")) for s in read_table(text, length_unit="m", **kwargs).shots]


def said(text):
    """Everything that is said beside the shots."""
    seen = read_table(text, length_unit="m")
    return "\n".join(
        [f"{x.reason} {x.about}" for x in seen.left_out]
        + [f"{c.heading}: {c.field}" for c in seen.understood]
    )


@pytest.mark.parametrize(
    "heading",
    [
        "Carry SD",
        "Carry SD (m)",
        "SD Carry",
        "Carry Std Dev",
        "Carry Dev (m)",
        "Carry CV",
        "Carry error",
        "Carry spread",
        "Carry Variance",
        "Carry Std. Abw. (m)",
        "Carry Streuung",
        "\u00d8 Carry (m)",
        "Carry Mittelwert",
        "Durchschnitt Carry",
        "Carry Minimum",
        "Max. Carry",
        "Ball speed SD",
        "Spin StdDev",
        "Launch SD",
        "Ball Speed (avg)",
        "Carry \u03c3",
    ],
)
def test_a_deviation_or_an_average_is_no_measure_of_a_ball(heading):
    words = split_heading(heading)[0]
    found = field_of(words)
    assert found is None or found[0] == "carry_sd_m" or says_mean(words)
    table = read_table(f"Club,{heading}\n7i,140\n7i,142\n")
    assert table.shots == () or [q.key for q in table.needs if q.key == "balls"] == ["balls"]


@pytest.mark.parametrize("order", [("Carry SD", "Carry (m)"), ("Carry (m)", "Carry SD")])
def test_the_carry_is_taken_and_not_its_deviation(order):
    cells = {"Carry SD": ("6", "5"), "Carry (m)": ("140", "142")}
    rows = [",".join(["7i", *(cells[name][i] for name in order)]) for i in (0, 1)]
    text = "\n".join([",".join(["Club", *order]), *rows])
    assert balls(text) == [("7i", 140), ("7i", 142)]
    assert "Carry SD: carry_sd_m" in said(text)


@pytest.mark.parametrize(
    ("text", "shots", "asked"),
    [
        ("Club,Carry SD (m)\n7i,6\n9i,5\n", 0, ["columns"]),
        ("Club,Avg Carry (m)\n7i,140\n", 1, ["balls"]),
        ("Club,Shots,Avg Carry (m),Carry SD (m)\n7i,10,140,6\n", 1, []),
        ("Avg Carry (m)\n140\n142\n", 2, ["balls", "club"]),
    ],
)
def test_a_table_of_averages_counts_as_the_balls_behind_them_or_asks_how_many(text, shots, asked):
    table = read_table(text)
    assert len(table.shots) == shots and [q.key for q in table.needs] == asked
    assert all(("balls" in shot) == (asked == []) for shot in table.shots)


SUMMARIES = [
    "Std Dev",
    "Std. Dev.",
    "StdDev",
    "SD",
    "Average",
    "Mean",
    "Min",
    "Max",
    "Avg.",
    "Median",
    "Average of 2 shots",
]
SUMMARIES += [
    "Mittelwert",
    "Mittel",
    "Durchschnitt",
    "Schnitt",
    "\u00d8",
    "Standardabweichung",
    "Stdabw",
    "Std.-Abw.",
]
SUMMARIES += ["Streuung", "Minimum", "Maximum", "Summe", "Gesamt", "Spannweite", "Varianz", "STABW", "\u03c3"]


@pytest.mark.parametrize("label", SUMMARIES)
@pytest.mark.parametrize(
    "table",
    [
        "Club,Carry (m),Spin\n7i,140,6500\n7i,142,6400\n{},6,70\n",
        "#,Club,Shot,Carry (m)\n1,7i,a,140\n2,7i,b,142\n,7i,{},6\n",
        "Date,Club,Carry (m)\n1.2.,7i,140\n1.2.,7i,142\n{},7i,6\n",
        "Player,Club,Carry (m)\nAnna,7i,140\nAnna,7i,142\n{},,6\n",
        "Name,Club,Carry (m)\nAnna,7i,140\nAnna,7i,142\n{},,141\n",
        "Club,Carry (m)\n7i,140\n7i,142\n7i {},6\n",
    ],
)
def test_a_row_of_averages_or_deviations_is_no_ball(table, label):
    text = table.format(label)
    assert balls(text) == [("7i", 140), ("7i", 142)]
    assert "summary_row" in said(text)


@pytest.mark.parametrize("label", [s for s in SUMMARIES if s != "Average of 2 shots"])
def test_a_loose_line_of_averages_or_deviations_is_no_ball(label):
    assert balls(f"7i 140 142\n{label} 141\n") == [("7i", 140), ("7i", 142)]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("PW 140, GW 128, SW 115", [("pw", 140), ("gw", 128), ("sw", 115)]),
        ("PW 140; GW 128; SW 115", [("pw", 140), ("gw", 128), ("sw", 115)]),
        ("PW 140 GW 128 SW 115", [("pw", 140), ("gw", 128), ("sw", 115)]),
        ("PW 140, 139, 141, GW 128", [("pw", 140), ("pw", 139), ("pw", 141), ("gw", 128)]),
        ("7i: 150 148 152 - 9i 128,131", [("7i", 150), ("7i", 148), ("7i", 152), ("9i", 128), ("9i", 131)]),
        ("7 iron 150, 8 iron 140 m, pitching wedge 110", [("7i", 150), ("8i", 140), ("pw", 110)]),
        ("7i 150, 52\u00b0 100", [("7i", 150), ("w52", 100)]),
        ("7i 150 Mine 90", [("7i", 150), ("gw", 90)]),
    ],
)
def test_several_clubs_on_one_line_are_several_clubs(line, expected):
    assert balls(line, clubs={"mine": "gw"}) == expected


@pytest.mark.parametrize("line", ["PW 140 GW", "140 PW, 128 GW, 115 SW", "7i 150 or 8i", "7i/8i 150"])
def test_a_club_without_its_carry_is_asked_about(line):
    table = read_table(line)
    assert table.shots == ()
    assert {x.reason for x in table.left_out} <= {"several_clubs", "club_after_numbers"}


def test_letters_after_a_carry_are_not_clubs():
    """A side, a unit: single letters are a club only at the beginning of a line."""
    assert balls("7i 143 m\n7i 145 l\n") == [("7i", 143), ("7i", 145)]


@pytest.mark.parametrize(
    ("text", "spin"),
    [
        ("Club,Carry (m),Spin (rpm)\n7i,140,6.510\n", 6510),
        ("Club,Carry (m),Spin (rpm)\n7i,140.5,6.510\n", 6510),
        ("Club;Carry (m);Spin (rpm)\n7i;140,5;6.510\n", 6510),
        ('Club,Carry (m),Spin (rpm)\n7i,140.5,"6,510"\n', 6510),
        ("Club;Carry (m);Spin (rpm)\n7i;140,5;6,510\n", 6510),
        ("Club,Carry (m),Spin (rpm)\n7i,140.5,6510.25\n", 6510.25),
        ("Club,Carry (m),Spin (rpm)\n7i,140,11.048\n", 11048),
    ],
)
def test_a_mark_of_thousands_in_spin(text, spin):
    assert read_table(text).shots[0]["spin_rpm"] == spin


@pytest.mark.parametrize("cell", ["6.5", "0", "6.51", "0.510"])
def test_a_spin_that_no_ball_has_is_left_out_and_said(cell):
    table = read_table(f"Club,Carry (m),Spin (rpm)\n7i,140,{cell}\n7i,141,6500\n")
    assert [s.get("spin_rpm") for s in table.shots] == [None, 6500]
    assert Finding("values_ignored", 2, count=1, field="spin_rpm") in table.findings


@pytest.mark.parametrize(
    "heading", ["Player", "Golfer", "Name", "Student name", "Spieler", "Sch\u00fcler", "User"]
)
def test_two_people_in_one_table_are_not_merged(heading):
    text = f"{heading},Club,Carry (m)\nAnna,7i,120\nBert,7i,160\nAnna,7i,121\n"
    table = read_table(text)
    assert table.shots == () and [(q.key, q.options) for q in table.needs][-1] == ("player", ("Anna", "Bert"))
    assert balls(text, player="Bert") == [("7i", 160)]
    assert balls(text.replace("Bert", " anna ")) == [("7i", 120), ("7i", 160), ("7i", 121)]


def test_two_sections_of_two_people_are_not_merged():
    one = "Player,Anna\nClub,Carry (m)\n7i,120\n"
    table = read_table(one + "Player,Bert\nClub,Carry (m)\n7i,160\n")
    assert table.shots == () and table.needs[-1].options == ("Anna", "Bert")
    assert len(balls(one + "Player,Anna\nClub,Carry (m)\n7i,121\n")) == 2


def test_a_name_that_is_a_club_s_or_a_ball_s_is_no_person():
    assert len(balls("Name,Carry (m),Club\n7 iron,120,7i\n9 iron,100,9i\n")) == 2
    assert len(balls("Club name,Carry (m)\n7 iron,120\n9 iron,100\n")) == 2


@pytest.mark.parametrize(
    ("heading", "tag"),
    [
        ("Tag", "half"),
        ("Note", "half swing"),
        ("Comment", "3/4"),
        ("Shot type", "Pitch"),
        ("Swing", "50%"),
        ("Type", "chip"),
        ("Bemerkung", "halb"),
        ("Notiz", "halber Schwung"),
        ("Art", "Dreiviertel"),
        ("Extra", "half"),
        ("Extra", "3/4 swing"),
    ],
)
def test_a_part_swing_that_a_tag_tells_is_not_counted_as_full(heading, tag):
    text = f"Club,Carry (m),{heading}\n7i,140,full\n7i,80,{tag}\n"
    assert balls(text) == [("7i", 140)]
    assert f"part_swing {tag}" in said(text) and f"{heading}: swing_size" in said(text)


@pytest.mark.parametrize(
    ("heading", "cell"),
    [
        ("Date", "1/2/2026"),
        ("Date", "3/4"),
        ("Player", "Chip"),
        ("Place", "Pitch and Putt"),
        ("Tag", "full"),
        ("Swing", "100%"),
    ],
)
def test_what_is_no_part_swing_counts(heading, cell):
    assert balls(f"Club,Carry (m),{heading}\n7i,140,{cell}\n7i,142,{cell}\n") == [("7i", 140), ("7i", 142)]


def test_a_half_swing_in_german_on_a_loose_line():
    assert balls("7i 140\n9i 50 (halb)\n") == [("7i", 140)]
