"""What stands among balls and is none: deviations, averages, other people's balls, part swings. Read rightly where that is
certain, refused by the name of its column or row where it is not.
"""

import pytest

from engine.shots.columns import field_of, says_mean, split_heading
from engine.shots.remarks import Finding
from engine.shots.table import TableError, read_table


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
        ("Date", "13/2/2026"),
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


KNEE = "Club,{},Carry (m)\nSW,to the knee,41\nSW,,83\nSW,to the chest,60\n"


@pytest.mark.parametrize(
    "heading", ["Swing", "Swing size", "Type", "Notes", "Length", "Effort", "Schwung", ""]
)
def test_swings_of_unknown_names_are_asked_about_never_silently_full(heading):
    text = KNEE.format(heading)
    table = read_table(text)
    assert [shot["carry_m"] for shot in table.shots] == [83]
    assert [(item.line, item.reason) for item in table.left_out] == [(2, "swing_open"), (4, "swing_open")]
    (question,) = table.needs
    assert (question.key, question.taken, question.options) == ("swings", "", ("to the knee", "to the chest"))
    assert [shot["carry_m"] for shot in read_table(text, swings="full").shots] == [41, 83, 60]
    parts = read_table(text, swings="part")
    assert [shot["carry_m"] for shot in parts.shots] == [83] and not parts.needs
    assert [item.reason for item in parts.left_out] == ["part_swing"] * 2


def test_any_name_under_a_heading_that_says_swing_is_asked_about():
    text = "Club,{},Carry (m)\nSW,little one,41\nSW,full,83\n"
    assert read_table(text.format("Swing")).needs[0].options == ("little one",)
    for heading in ("Notes", "Swing speed", "Swing direction", "Type"):
        assert not read_table(text.format(heading)).needs, heading


def test_an_unknown_name_beside_a_half_swing_is_asked_about():
    table = read_table("Club,Swing,Carry (m)\nSW,half,41\nSW,to the knee,40\nSW,full,83\n")
    assert [shot["carry_m"] for shot in table.shots] == [83]
    assert [item.reason for item in table.left_out] == ["part_swing", "swing_open"]


def test_a_club_s_cell_tells_of_the_swing_for_the_blank_cells_below_it():
    for said, why in (("to the knee", "swing_open"), ("3/4", "part_swing")):
        table = read_table(f"Club,Carry (m)\nSW {said},41\n,42\nPW,101\n,102\n")
        assert [shot["carry_m"] for shot in table.shots] == [101, 102]
        assert [item.reason for item in table.left_out] == [why] * 2
    table = read_table("Club,Carry (m)\nSW to the knee,41\n,42\nPW,101\n", swings="full")
    assert [(shot["club"], shot["carry_m"]) for shot in table.shots] == [("sw", 41), ("sw", 42), ("pw", 101)]


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("PW 101\nSW 41 to the knee", [41]),
        ("PW 101\nSW to the knee 41 40", [41, 40]),
        ("PW 101\nSW (knee high): 41, 40", [41, 40]),
        ("PW 101\nSW, from hip to hip, 41 40", [41, 40]),
        ("PW 101\nSW bis zum Knie 41 40", [41, 40]),
        ("PW 101\nSW to the knee\n41\n40", [41, 40]),
    ],
)
def test_notes_of_unknown_swings_are_asked_about(text, left):
    table = read_table(text, length_unit="m")
    assert [shot["carry_m"] for shot in table.shots] == [101]
    assert {item.reason for item in table.left_out} == {"swing_open"}
    assert [question.key for question in table.needs] == ["swings"]
    full = read_table(text, length_unit="m", swings="full")
    if "\n41" not in text:
        assert [shot["carry_m"] for shot in full.shots] == [101, *left]
    parts = read_table(text, length_unit="m", swings="part")
    assert [shot["carry_m"] for shot in parts.shots] == [101]
    assert {item.reason for item in parts.left_out} == {"part_swing"}


def test_carries_below_a_part_swing_s_line_are_not_those_of_the_club_above():
    table = read_table("PW 101 102\nSW half\n41\n40\nPW 103", length_unit="m")
    assert [shot["carry_m"] for shot in table.shots] == [101, 102, 103]
    assert [item.reason for item in table.left_out] == ["part_swing"] * 3


def test_an_own_club_s_name_is_no_swing():
    table = read_table("SW hip 80 81", length_unit="m", clubs={"SW hip": "sw"})
    assert [shot["carry_m"] for shot in table.shots] == [80, 81]
    table = read_table("Club,Carry (m)\nSW hip,80\n", clubs={"SW hip": "sw"})
    assert [shot["carry_m"] for shot in table.shots] == [80]


def test_the_answer_about_swings_is_one_of_two():
    with pytest.raises(TableError, match="full or part"):
        read_table("SW 80", swings="half")
