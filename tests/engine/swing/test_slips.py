"""A ball is asked about where a digit or another swing would put it right, and not where it may well be so.

What clubs carry is common practice, no source.
"""

from dataclasses import replace

import pytest

from app.demo import demo_case
from engine.documents.case import Shot, SwingSize
from engine.swing.slips import slips
from engine.units import YARD

HIP, CHEST = SwingSize("hip", "to the hip"), SwingSize("chest", "to the chest")
SEVEN = {("7i", None): (150, 152, 149)}
WEDGE = {**SEVEN, ("sw", None): (85, 87, 84)}
PARTS = {**WEDGE, ("sw", "hip"): (41, 42, 40)}


def asked(balls, *last, sizes=(HIP, CHEST), unit_m=1.0, **case):
    """The slips of a case with these balls, and last of all some more of (club, swing, carry)."""
    shots = [Shot(club, c * unit_m, swing_size=s) for (club, s), carries in balls.items() for c in carries]
    shots += [Shot(club, carry * unit_m, swing_size=size) for club, size, carry in last]
    return slips(replace(demo_case(), shots=tuple(shots), swing_sizes=sizes, **case), unit_m=unit_m)


@pytest.mark.parametrize("unit_m", [1.0, YARD])
@pytest.mark.parametrize(
    ("balls", "last", "meant", "by"),
    [
        (SEVEN, ("7i", None, 15), 150, "same"),
        (SEVEN, ("7i", None, 50), 150, "same"),
        (SEVEN, ("7i", None, 14), 140, "same"),
        (SEVEN, ("9i", None, 13), 130, "others"),
        ({}, ("7i", None, 16), 116, "usual"),
        ({("7i", None): (150,)}, ("7i", None, 15), 150, "same"),
        ({("7i", None): (15,)}, ("9i", None, 130), 150, "others"),
        (WEDGE, ("sw", None, 8), 80, "same"),
        (PARTS, ("sw", "hip", 4), 40, "same"),
        (PARTS, ("lw", "hip", 3.8), 38, "others"),
        (PARTS, ("sw", "hip", 390), 39, "same"),
        (WEDGE, ("sw", "hip", 390), 39, "full"),
    ],
)
def test_a_digit_lost_or_too_many(balls, last, meant, by, unit_m):
    (slip,) = asked(balls, last, unit_m=unit_m)
    assert slip.carries_m[0] == pytest.approx(meant * unit_m, abs=0.01)
    assert slip.statement.terms["by"] == by


def test_where_two_digits_may_be_missing_both_are_offered():
    (slip,) = asked({}, ("7i", None, 15))
    assert set(slip.carries_m) == {115, 150}


@pytest.mark.parametrize(
    ("balls", "last", "swings"),
    [
        (PARTS, ("sw", None, 41), ("hip",)),
        (WEDGE, ("sw", None, 41), ("hip", "chest")),
        (PARTS, ("sw", "hip", 85), (None,)),
        ({**PARTS, ("sw", "chest"): (60, 62)}, ("sw", "hip", 61), ("chest",)),
        ({**PARTS, ("sw", "chest"): (60, 62)}, ("sw", None, 61), ("chest",)),
    ],
)
def test_a_ball_of_another_swing(balls, last, swings):
    (slip,) = asked(balls, last)
    assert slip.swings == swings


@pytest.mark.parametrize(
    ("balls", "last"),
    [
        (SEVEN, ("7i", None, 130)),
        (SEVEN, ("7i", None, 95)),  # a mishit is said to be one, and nothing would put it right
        (SEVEN, ("7i", None, 172)),
        (SEVEN, ("dr", None, 240)),
        (SEVEN, ("lw", None, 70)),
        ({}, ("7i", None, 60)),
        ({}, ("7i", None, 190)),
        ({("7i", None): (40, 42, 38)}, ("9i", None, 34)),  # a child
        (WEDGE, ("sw", "hip", 8)),  # a chip: nothing is known of this swing yet
        (WEDGE, ("sw", "hip", 80)),
        (PARTS, ("sw", "hip", 30)),
        (PARTS, ("sw", "chest", 12)),
        ({**WEDGE, ("sw", "hip"): (9, 8, 11)}, ("sw", "hip", 6)),
        ({**WEDGE, ("sw", "hip"): (12, 8, 25)}, ("sw", "hip", 5)),
        (PARTS, ("sw", None, 75)),
        (PARTS, ("7i", None, 95)),  # no part swing is meant for it
    ],
)
def test_what_may_well_be_so_is_not_asked_about(balls, last):
    assert asked(balls, last) == ()


@pytest.mark.parametrize(("carry", "odd"), [(280, True), (200, False), (90, False)])
def test_a_ball_far_beyond_the_others_is_asked_about_though_no_digit_puts_it_right(carry, odd):
    found = asked(SEVEN, ("7i", None, carry))
    assert [slip.carries_m for slip in found] == [()] * odd


def test_a_short_wedge_is_no_part_swing_where_none_is_named():
    assert asked(WEDGE, ("sw", None, 41), sizes=()) == ()


def test_what_was_left_out_or_kept_is_not_asked_about_again():
    case = replace(demo_case(), shots=tuple(Shot("7i", c) for c in (150, 152, 149, 15)))
    assert [s.shot for s in slips(case)] == [3]
    for answer in ({"use": False}, {"keep": True}, {"carry_m": 150.0}):
        shots = (*case.shots[:3], replace(case.shots[3], **answer))
        assert slips(replace(case, shots=shots)) == ()


def test_the_demonstration_has_no_slips():
    assert slips(demo_case()) == ()
