"""Tables that we made up: delimiters, units, headings, averages, clubs; what is asked or left out."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.documents.case import Case
from engine.documents.reading import read_case
from engine.shots.cells import MOST_COLUMNS, MOST_ROWS, MOST_TEXT, number_readings, quantity
from engine.shots.club_names import club_id, part_swing, wedge_of_loft
from engine.shots.columns import field_of, split_heading
from engine.shots.remarks import Finding
from engine.shots.table import TableError, decode, read_table
from engine.units import FOOT, INCH, KMH, MPH, YARD

NAMES = {
    "dr": ["Driver", "D", "dr", "1W", "1 wood", "Driver 9.5°", "W1"],
    "3w": ["3w", "3 Wood", "W3", "3-wood", "3 fairway wood", "Wood 3", "three wood"],
    "7w": ["7 wood", "7W"],
    "4h": ["4h", "4 Hybrid", "Hybrid 4", "H4", "4-hybrid", "4 hyb"],
    "7i": ["7i", "7-iron", "iron 7", "7 Iron", "7IRON", "i7", "seven iron", "#7 iron", "7", "7 Iron (stock)"],
    "pw": ["PW", "Pitching wedge", "pitching wedge", "P"],
    "gw": ["GW", "Gap Wedge", "AW", "approach wedge", "Gap wedge (52°)"],
    "sw": ["SW", "sand wedge", "Sand Wedge 56°", "56 SW"],
    "lw": ["LW", "lob wedge", "60° lob wedge"],
    "w52": ["52°", "52 deg", "52 degree wedge", "W52", "Wedge 52", "52 wedge"],
    "pt": ["Putter", "pt"],
}


@pytest.mark.parametrize(("club", "name"), [(c, n) for c, names in NAMES.items() for n in names])
def test_club_names(club, name):
    assert club_id(name) == club
    assert club_id(f"  {name.upper()} ") == club


@pytest.mark.parametrize(
    "name", ["", "wedge", "99w", "11i", "10.5", "player", "average", "d shaped draw", "carry"]
)
def test_what_is_no_club(name):
    assert club_id(name) is None


@pytest.mark.parametrize(
    "name", ["half 9i", "PW 3/4", "three-quarter SW", "GW 9 o'clock", "PW 75%", "9 iron (half)"]
)
def test_part_swings(name):
    assert part_swing(name)


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("Carry", "carry_m", None),
        ("Carry Distance (yds)", "carry_m", "yd"),
        ("carry_m", "carry_m", "m"),
        ("Distance [m]", "carry_m", "m"),
        ("Carry/yd", "carry_m", "yd"),
        ("BallSpeed", "ball_speed_mps", None),
        ("Ball Speed km/h", "ball_speed_mps", "km/h"),
        ("Ball velocity (m/s)", "ball_speed_mps", "m/s"),
        ("Club Head Speed - mph", "club_speed_mps", "mph"),
        ("Swing speed", "club_speed_mps", None),
        ("Launch Angle (deg)", "launch_deg", "deg"),
        ("Vertical launch", "launch_deg", None),
        ("Back Spin", "spin_rpm", None),
        ("Spin rate [rpm]", "spin_rpm", "rpm"),
        ("Off-line (ft)", "side_m", "ft"),
        ("Carry side", "side_m", None),
        ("Carry Deviation", "side_m", None),
        ("Grip down (in)", "grip_down_m", "in"),
        ("Club Type", "club", None),
        ("Club path", None, None),
        ("Launch direction", None, None),
        ("Side spin", None, None),
        ("Spin axis", None, None),
        ("Total distance", "total_m", None),
        ("Attack angle", None, None),
        ("Landing speed", None, None),
        ("Ball landing speed", None, None),
        ("Descent speed of the ball", None, None),
        ("Speed", None, None),
        ("Average carry", "carry_m", None),
        ("Carry SD", "carry_sd_m", None),
        ("", None, None),
        ("Apex height", None, None),
        ("Smash", None, None),
        ("Date", "date", None),
    ],
)
def test_headings(heading, field, unit):
    words, found = split_heading(heading)
    assert (field_of(words) or (None,))[0] == field
    if field:
        assert (found.name if found else None) == unit


@pytest.mark.parametrize(
    ("cell", "comma", "value"),
    [
        ("143.2", False, 143.2),
        ("143,2", False, 143.2),
        ("6,510", False, 6510),
        ("6,510", True, 6.51),
        ("6.510", True, 6510),
        ("1,234.5", False, 1234.5),
        ("1.234,5", False, 1234.5),
        ("6 510", False, 6510),
        ("6'510", False, 6510),
        ("\u22125.2", False, -5.2),
        (" 98.2 mph ", False, 98.2),
        (".5", False, 0.5),
        ("1e2", False, 100),
    ],
)
def test_numbers(cell, comma, value):
    assert quantity(cell, decimal_comma=comma).readings[0] == pytest.approx(value)


@pytest.mark.parametrize(
    "cell", ["", "-", "n/a", "seven", "1.2.3,4,5", "12 13", "0x10", "inf", "nan", "=1+1"]
)
def test_what_is_no_number(cell):
    assert quantity(cell) is None


@given(st.floats(1, 99999).map(lambda v: round(v, 2)), st.sampled_from(["us", "de", "fr", "ch"]))
def test_numbers_come_back_in_every_style(value, style):
    text = f"{value:,.2f}"
    text = {"us": text, "de": text.translate({44: 46, 46: 44}), "fr": text.translate({44: 32, 46: 44})}.get(
        style, text.replace(",", "'")
    )
    assert number_readings(text, decimal_comma=style in ("de", "fr"))[0] == pytest.approx(value)


def shots(text, **kwargs):
    return [tuple(s.items()) for s in read_table(text, **kwargs).shots]


def test_a_plain_file():
    table = read_table(
        "\ufeffPlayer,A. Nobody\r\n\r\nClub,Carry (yds),Ball Speed (mph),"
        "Launch Angle,Spin Rate,Offline,Smash\r\n"
        '7 Iron,143.2,98.1,17.2,"6,510",5.2 L,1.3\r\n7 Iron,145,99,16.9,6480,R 3,1.3\r\n'
        "Average,144.1,98.5,17,6495,,\r\n"
        "Std. Dev.,1,1,1,1,1,1\r\n"
    )
    first, second = table.shots
    assert first["club"] == "7i"
    assert first["carry_m"] == pytest.approx(143.2 * YARD, abs=1e-3)
    assert first["ball_speed_mps"] == pytest.approx(98.1 * MPH, abs=1e-3)
    assert (first["launch_deg"], first["spin_rpm"]) == (17.2, 6510)
    assert first["side_m"] == pytest.approx(-5.2 * YARD, abs=1e-3)
    assert second["side_m"] == pytest.approx(3 * YARD, abs=1e-3)
    assert table.lines == (4, 5)
    assert [(item.line, item.reason) for item in table.left_out] == [
        (1, "above_headings"),
        (6, "summary_row"),
        (7, "summary_row"),
    ]
    assert [(c.heading, c.field, c.sure, c.unit, c.unit_how) for c in table.understood][:2] == [
        ("Club", "club", "stated", "", ""),
        ("Carry (yds)", "carry_m", "stated", "yd", "stated"),
    ]
    assert (table.understood[-1].heading, table.understood[-1].field) == ("Smash", None)
    assert table.needs == ()


def test_semicolons_decimal_commas_and_a_units_row():
    table = read_table(
        "Club;Carry;Ball Speed;Spin\n;[m];[km/h];[rpm]\n7i;131,4;157,2;6.510\n;130,2;156,0;6480\n"
        ";132,0;158;6.600\n"
        ";131,2;157,07;6530\nPW;101,0;130,1;8.100\n"
    )
    assert [s["club"] for s in table.shots] == ["7i", "7i", "7i", "pw"]
    assert [s["carry_m"] for s in table.shots] == [131.4, 130.2, 132.0, 101.0]
    assert table.shots[0]["ball_speed_mps"] == pytest.approx(157.2 * KMH, abs=1e-3)
    assert [s["spin_rpm"] for s in table.shots] == [6510, 6480, 6600, 8100]
    assert table.left_out[0].line == 6
    assert table.left_out[0].reason == "unlabelled_mean"


@pytest.mark.parametrize("mark", [",", ";", "\t", "|", "   "])
def test_every_delimiter_reads_the_same(mark):
    rows = [
        ["Club", "Carry (m)", "Head speed (m/s)"],
        ["7 iron", "131.5", "36.2"],
        ["8 iron", "121.5", "35.4"],
    ]
    text = "\n".join(mark.join(row) for row in rows)
    first = (("club", "7i"), ("carry_m", 131.5), ("club_speed_mps", 36.2))
    assert shots(text) == [first, (("club", "8i"), ("carry_m", 121.5), ("club_speed_mps", 35.4))]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("7i 143", [("7i", 143)]),
        ("7 iron, 143 yd", [("7i", 143)]),
        ("143 145 151", [("", 143), ("", 145), ("", 151)]),
        ("143\n145\n151", [("", 143), ("", 145), ("", 151)]),
        ("143,145,151", [("", 143), ("", 145), ("", 151)]),
        ("143,5\n145,0", [("", 143.5), ("", 145)]),
        ("7i: 143 145; 150\nPW 105", [("7i", 143), ("7i", 145), ("7i", 150), ("pw", 105)]),
        ("7 iron\n143\n145\n8 iron\n133", [("7i", 143), ("7i", 145), ("8i", 133)]),
        ("7 143\n8 132", [("7i", 143), ("8i", 132)]),
        ("52° 98\nd 210", [("w52", 98), ("dr", 210)]),
        ("my old 7 iron 143", [("7i", 143)]),
        ("Carry\n143\n145,5", [("", 143), ("", 145.5)]),
        ("7i 143 145\naverage 144", [("7i", 143), ("7i", 145)]),
        ("7i 143\nhalf 7i 80", [("7i", 143)]),
    ],
)
def test_text_without_headings(text, expected):
    found = read_table(text, length_unit="yd").shots
    assert [(s["club"], pytest.approx(s["carry_m"] / YARD, abs=1e-3)) for s in found] == expected


def test_metres_where_they_are_said():
    assert shots("7i 143m\n8i 130, 132 m") == [
        (("club", "7i"), ("carry_m", 143.0)),
        (("club", "8i"), ("carry_m", 130.0)),
        (("club", "8i"), ("carry_m", 132.0)),
    ]


@pytest.mark.parametrize("usual", ["yd", "m"])
def test_a_unit_beside_some_carries_says_nothing_of_the_others(usual):
    table = read_table("PW 100m 102m\n7i 150 152", usual_unit=usual)
    assert [(s["club"], s["carry_m"]) for s in table.shots] == [("pw", 100.0), ("pw", 102.0)]
    assert [(q.key, q.taken) for q in table.needs] == [("length_unit", "")]
    assert [(x.line, x.reason) for x in table.left_out] == [(2, "unit_open")]
    assert read_table("GW 92m 94", usual_unit=usual).shots == ()
    assert shots("Club Carry (m)\n7i 131") == [(("club", "7i"), ("carry_m", 131.0))]


def test_what_is_not_said_is_asked_and_the_answer_is_used():
    table = read_table("Club,Carry,Ball Speed\n7i,131,158\nDriver,200,238\nMy bat,90,120\n")
    assert [q.key for q in table.needs] == ["length_unit", "speed_unit", "clubs"]
    assert table.needs[1].taken == "km/h"
    again = read_table(
        "Club,Carry,Ball Speed\n7i,131,158\nDriver,200,238\nMy bat,90,120\n",
        length_unit="m",
        speed_unit="km/h",
        clubs={"my bat": "w50"},
    )
    assert again.needs == ()
    assert [(s["club"], s["carry_m"]) for s in again.shots] == [("7i", 131.0), ("dr", 200.0), ("w50", 90.0)]
    assert read_table("143 145", length_unit="m").needs[0].key == "club"
    assert {s["club"] for s in read_table("143 145", length_unit="m", club="9i").shots} == {"9i"}


@pytest.mark.parametrize(("unit", "size"), [("mph", MPH), ("km/h", KMH), ("m/s", 1.0)])
@pytest.mark.parametrize(
    ("carry", "ball", "head"), [(131, 44.5, 34), (205, 66, 45), (90, 34, 30), (60, 26, 24)]
)
def test_speed_units_are_told_by_size(unit, size, carry, ball, head):
    text = f"Club,Carry (m),Ball speed,Club speed\n7i,{carry},{ball / size:.1f},{head / size:.1f}\n"
    assert read_table(text).needs[0].taken == unit
    assert read_table(text).shots[0]["ball_speed_mps"] == pytest.approx(ball, abs=0.1)


def test_carry_takes_its_unit_from_its_neighbours():
    assert read_table("Club,Carry,Ball speed (m/s)\n7i,131,44\n").shots[0]["carry_m"] == 131
    assert read_table("Club,Carry,Ball speed (mph)\n7i,143,98\n").shots[0]["carry_m"] == pytest.approx(
        143 * YARD, abs=1e-3
    )
    table = read_table("Club,Carry (yd),Side (ft),Grip down (in)\n7i,143,-12,1\n")
    assert table.shots[0]["side_m"] == pytest.approx(-12 * FOOT, abs=1e-3)
    assert table.shots[0]["grip_down_m"] == pytest.approx(INCH, abs=1e-3)


def test_sections_repeated_headings_and_a_club_above():
    table = read_table(
        "7 Iron\nCarry (yd),Ball speed (mph)\n143,98\nAverage,98\n"
        "8 Iron\nCarry (yd),Ball speed (mph)\n133,95\n"
    )
    assert [s["club"] for s in table.shots] == ["7i", "8i"]
    assert read_table("Club: 7 Iron\nDate: today\nCarry (m),Total (m)\n131,140\n").shots[0]["club"] == "7i"


def test_a_table_on_its_side():
    table = read_table("Club,7i,7i,8i\nCarry (m),131,133,121\nBall speed (m/s),44,45,42\n")
    assert [(s["club"], s["carry_m"], s["ball_speed_mps"]) for s in table.shots] == [
        ("7i", 131, 44),
        ("7i", 133, 45),
        ("8i", 121, 42),
    ]


def test_out_of_range_is_said():
    table = read_table("Club,Carry (m),Spin\n7i,0,6000\n7i,140,99999\n7i,4000,5000\n7i,,\n")
    assert shots("Club,Carry (m),Spin\n7i,0,6000\n7i,140,99999\n") == [(("club", "7i"), ("carry_m", 140.0))]
    assert [item.line for item in table.left_out] == [2, 4, 5]
    assert Finding("values_ignored", 3, count=1, field="spin_rpm") in table.findings


def test_two_wedges_of_one_name_stay_two():
    table = read_table("Club,Carry (m)\nSW 54,80\nSW 58,70\nGW (50°),95\n")
    assert [s["club"] for s in table.shots] == ["w54", "w58", "gw"]


def test_a_player_called_max_is_no_maximum():
    assert len(read_table("Player,Club,Carry (m)\nMax,7i,131\nMax,7i,133\n").shots) == 2


def test_a_quote_left_open_costs_one_line_at_most():
    table = read_table('Club,Carry (m)\n7i,131\n"7i,133\n7i,135\n7i,137\n')
    assert [s["carry_m"] for s in table.shots] == [131, 135, 137]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "the table: is empty"),
        (" \n\n", "the table: is empty"),
        ("x" * (MOST_TEXT + 1), "longer than 1,000,000 characters"),
        ("Club,Carry\n" + "7i,131\n" * (MOST_ROWS + 1), "holds more than 5,000 rows"),
        ("1\n" * 400_000, "holds more than 5,000 rows"),
        ("Carry" + ",x" * MOST_COLUMNS + "\n1,2,3", "holds more than 200 columns"),
    ],
)
def test_errors_say_what_where_and_what_to_do(text, says):
    with pytest.raises(TableError) as caught:
        read_table(text)
    assert says in str(caught.value)
    assert caught.value.do
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        ("hello there", 1, "no_carry"),
        ('{"format": "x"}', 1, "no_carry"),
        ("7i,143,98.2,16.1,6500", 1, "columns_open"),
        ("Club,Carry (m)\nAverage,131", 2, "summary_row"),
    ],
)
def test_where_nothing_is_a_shot_every_line_says_why(text, line, reason):
    table = read_table(text)
    assert table.shots == ()
    assert [(item.line, item.reason) for item in table.left_out] == [(line, reason)]


def test_wrong_arguments_are_refused():
    with pytest.raises(TableError, match="length_unit"):
        read_table("7i 143", length_unit="mph")
    with pytest.raises(TableError, match="is not text"):
        read_table(b"7i 143")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_bytes_of_a_file(encoding):
    text = "Club,Carry (m)\n52°,98\n7i,131\n"
    assert [s["club"] for s in read_table(decode(text.encode(encoding))).shots] == ["w52", "7i"]


CLUBS = st.sampled_from([names[0] for club, names in NAMES.items() if club != "pt"])


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(CLUBS, st.integers(400, 2800), st.integers(300, 700)), min_size=2, max_size=12),
    st.sampled_from([("yd", YARD), ("m", 1.0)]),
    st.sampled_from([("mph", MPH), ("km/h", KMH), ("m/s", 1.0)]),
    st.sampled_from([(",", "."), (";", ","), ("\t", ","), ("\t", "."), (";", ".")]),
    st.booleans(),
)
def test_round_trip(rows, length, speed, style, units_row):
    mark, point = style
    heads = (
        ["Club", "Carry", "Ball speed"]
        if units_row
        else ["Club", f"Carry ({length[0]})", f"Ball speed [{speed[0]}]"]
    )
    lines = [mark.join(heads)] + ([mark.join(["", length[0], speed[0]])] if units_row else [])
    for club, carry, ball in rows:
        cells = [club, f"{carry / 10 / length[1]:.2f}", f"{ball / 10 / speed[1]:.2f}"]
        lines.append(mark.join(cell.replace(".", point) if i else cell for i, cell in enumerate(cells)))
    table = read_table("\n".join(lines))
    assert len(table.shots) == len(rows)
    for shot, (club, carry, ball) in zip(table.shots, rows, strict=True):
        assert shot["club"] == club_id(club)
        assert shot["carry_m"] == pytest.approx(carry / 10, abs=0.006)
        assert shot["ball_speed_mps"] == pytest.approx(ball / 10, abs=0.006)


def test_shots_fit_into_a_case():
    table = read_table("Club,Carry (m),Side (m)\n7i,131,-3\n")
    doc = Case().to_doc()
    club = {
        "id": "7i",
        "name": "7-iron",
        "family": "iron",
        "length_m": 0.94,
        "loft_deg": 34,
        "lie_deg": 62,
        "head_kg": 0.27,
    }
    case = read_case({**doc, "bag": [club], "shots": list(table.shots)})
    assert case.shots[0].carry_m == 131
    assert math.isclose(case.shots[0].side_m, -3)


def test_a_wedge_called_by_its_loft_is_the_one_of_that_loft():
    lofts = {"pw": 44.0, "gw": 51.0, "sw": 56.0, "lw": 60.0}
    assert wedge_of_loft("w52", lofts) == "gw"
    assert wedge_of_loft("w56", lofts) == "sw"
    assert wedge_of_loft("w48", lofts) is None  # no wedge is near it
    assert wedge_of_loft("w58", lofts) is None
    assert wedge_of_loft("w52", {"gw": 51.0, "uw": 53.0}) is None  # which of them?
    assert wedge_of_loft("7i", lofts) is None and wedge_of_loft("w52", {}) is None


def test_a_table_on_its_side_needs_no_more_than_clubs_and_carries():
    table = read_table("Club,7i,7i,8i\nCarry (m),131,133,121\n")
    assert [(s["club"], s["carry_m"]) for s in table.shots] == [("7i", 131), ("7i", 133), ("8i", 121)]


@pytest.mark.parametrize("of", ["Ball speed", "Spin rate", "Launch angle", "Total distance", "Side", "Apex"])
def test_the_spread_of_another_quantity_is_none_of_the_carry(of):
    (shot,) = read_table(f"Club,Carry (m),{of} std dev,Shots\n7i,140,7,10\n").shots
    assert shot["carry_m"] == 140 and "carry_sd_m" not in shot
    (shot,) = read_table("Club,Carry (m),Carry std dev,Shots\n7i,140,7,10\n").shots
    assert shot["carry_sd_m"] == 7


def test_a_unit_may_be_written_with_spaces():
    table = read_table("Club;Ball speed;Carry\n;( km / h );( m )\n7i;180;140\n")
    assert table.shots[0]["ball_speed_mps"] == pytest.approx(50) and table.shots[0]["carry_m"] == 140


def test_a_second_table_of_two_columns_is_not_read_under_the_headings_of_the_first():
    table = read_table("Club,Carry (m),Total (m)\n7i,140,150\nClub,Total (m)\n9i,120\n")
    assert [(s["club"], s["carry_m"]) for s in table.shots] == [("7i", 140)]
    assert [x.reason for x in table.left_out] == ["other_headings"] * 2


def test_a_word_beside_each_carry_makes_no_table_of_a_list():
    text = "7i, 150, well struck\n8i, 140, pure\n9i, 128, fine\n"
    assert [(s["club"], s["carry_m"]) for s in read_table(text, length_unit="m").shots] == [
        ("7i", 150),
        ("8i", 140),
        ("9i", 128),
    ]


def test_cells_in_quotes_may_stand_after_a_space():
    table = read_table('"Club", "Carry (m)", "Name, first and last"\n"7i", "143,5", "A, B"\n')
    assert [(x["club"], x["carry_m"]) for x in table.shots] == [("7i", 143.5)]


def test_an_average_says_of_how_many_balls_it_is():
    table = read_table("7i avg 150 of 6\n9i mean 120 m of 5 shots\n", length_unit="m")
    assert [(x["club"], x["carry_m"], x["balls"]) for x in table.shots] == [("7i", 150, 6), ("9i", 120, 5)]


@pytest.mark.parametrize(
    ("heading", "field"),
    [("Club (mph)", None), ("Distance (deg)", None), ("Club", "club"), ("Distance (m)", "carry_m")],
)
def test_a_heading_whose_unit_says_otherwise_is_not_what_its_words_say(heading, field):
    """Miles an hour are no club, and degrees are no distance."""
    read = read_table(f"Shot,{heading},Carry side (m)\n1,7,3\n2,8,4\n3,9,2\n")
    assert [c.field for c in read.understood if c.heading == heading] == [field]
