"""A line that sets a figure of several clubs: what it means, and that what could mean two things is refused."""

import pytest

from app.players import norm_bag
from app.rows import read_row
from app.units import Unreadable

BAG = norm_bag(None)


def row(text, system="metric", *, group="Irons", figure="Loft"):
    found = read_row(text, BAG, system, group=group, figure=figure)
    return [c.id for c in found.clubs], found.name, list(found.values)


IRONS = ["5i", "6i", "7i", "8i", "9i"]
WEDGES = ["pw", "gw", "sw", "lw"]


@pytest.mark.parametrize(
    ("text", "clubs", "name", "values"),
    [
        ("lofts from 26 by 4", IRONS, "loft_deg", [26, 30, 34, 38, 42]),
        ("all irons 37 in", IRONS, "length_m", [0.9398] * 5),
        ("26 30.5 34 38 42", IRONS, "loft_deg", [26, 30.5, 34, 38, 42]),
        ("26,30,34,38,42", IRONS, "loft_deg", [26, 30, 34, 38, 42]),
        ("26,5 30,5 34 38 42", IRONS, "loft_deg", [26.5, 30.5, 34, 38, 42]),
        ("26\t30\t34\t38\t42", IRONS, "loft_deg", [26, 30, 34, 38, 42]),
        ("27\u00b0 31\u00b0 35\u00b0 39\u00b0 43\u00b0", IRONS, "loft_deg", [27, 31, 35, 39, 43]),
        ("wedge lofts 46 50 54 58", WEDGES, "loft_deg", [46, 50, 54, 58]),
        ("wedges 35.5 in", WEDGES, "length_m", [0.9017] * 4),
        ("irons 38\u00bd in by 0.5", IRONS, "length_m", [0.9779, 0.9652, 0.9525, 0.9398, 0.9271]),
        ("lengths from 38 in by 0.5", IRONS, "length_m", [0.9652, 0.9525, 0.9398, 0.9271, 0.9144]),
        ("irons 38 1/2 in by 1/2", IRONS, "length_m", [0.9779, 0.9652, 0.9525, 0.9398, 0.9271]),
        ("lengths 38-1/4 in", IRONS, "length_m", [0.97155] * 5),
        ("lengths 38\u215b in", IRONS, "length_m", [0.968375] * 5),
        ("lengths 94 cm", IRONS, "length_m", [0.94] * 5),
        ("lie 61 by 0.5", IRONS, "lie_deg", [61, 61.5, 62, 62.5, 63]),
        ("heads 254 g", IRONS, "head_kg", [0.254] * 5),
    ],
)
def test_a_line_sets_what_it_says(text, clubs, name, values):
    assert row(text) == (clubs, name, pytest.approx(values))


def test_the_lists_say_what_the_line_does_not():
    assert row("35.5", "imperial", group="Wedges", figure="Length") == (
        WEDGES,
        "length_m",
        pytest.approx([0.9017] * 4),
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("26 30", "2 numbers for 5 clubs (5-iron, 6-iron"),
        ("26 30 34 38 42 46", "6 numbers for 5 clubs"),
        ("3/4 by", "one for each"),
        ("lofts 26 by 1/2", "write a decimal"),
        ("26 1/2 30 34 38 42", "write a decimal"),
        ("lengths 94 1/2 cm", "write a decimal"),
        ("heads 254 1/2 g", "write a decimal"),
        ("lofts -5", "from 5 to 75"),
        ("lofts from 3 by 4", "from 5 to 75"),
        ("lofts from 26", "one for each"),
        ("lofts 26 by", "one for each"),
        ("26-42", "2 numbers"),
        ("46 for wedges", "\u201cfor\u201d"),
        ("wedges 46,50", "one number or two"),
        ("lofts 27 31 35 39 43 in", "more than one figure"),
        ("irons 260", "from 5 to 75"),
        ("7i 34", "\u201ci\u201d"),
        ("hybrids", "no number"),
        ("lengths 37 in 94 cm 37 in 94 cm 37 in", "mixes"),
        ("37", "from 45 to 135 cm"),
    ],
)
def test_what_could_mean_two_things_is_refused(text, told):
    with pytest.raises(Unreadable) as error:
        row(text, figure="Length" if text == "37" else "Loft")
    assert told in str(error.value)
