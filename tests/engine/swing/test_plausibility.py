"""Carries that can hardly be so are asked about, and honest ones are not. The cases are invented."""

from dataclasses import replace

import pytest
from simulate import SimulatedPlayer

from engine.documents.case import Case, Player, Shot, Swing
from engine.solve import solve
from engine.swing.calibration import calibrate
from engine.swing.plausibility import doubts
from engine.units import MPH
from engine.workshop.norms import norm_bag

CASE = Case(player=Player(sex="male", height_m=1.78), bag=norm_bag("male"))


def said(*carries, case=CASE):
    """What is said of carries given as (club, metres, ...)."""
    shots = tuple(Shot(club, carry_m=float(carry)) for club, *flown in carries for carry in flown)
    case = replace(case, shots=shots)
    return doubts(case, calibrate(case, draws=32))


def test_carries_that_hang_together_are_not_asked_about():
    assert said(("7i", 140, 143, 137), ("9i", 118, 121), ("5i", 158)) == ()
    assert said(("7i", 140)) == ()
    assert said() == ()


def test_of_two_clubs_that_contradict_one_another_both_are_named():
    words = said(("7i", 140, 142), ("9i", 400))
    assert "7-iron and 9-iron do not belong to one swing" in words[0] and "not 400 m" in words[0]


def test_a_club_that_the_others_contradict_is_named_alone():
    (words,) = said(("7i", 140, 142), ("5i", 160), ("9i", 14))
    assert words.startswith("9-iron: carries 8") and "less" in words


def test_a_slip_among_one_clubs_balls_is_said_with_both_ends():
    assert said(("7i", 140, 14), ("9i", 118))[0].startswith("7-iron: its balls carry from 14 m to 140 m")


@pytest.mark.parametrize("carry", [14, 400])
def test_a_carry_that_nobody_swings_is_asked_about_from_the_first_ball(carry):
    (words,) = said(("7i", carry))
    assert "would be usual" in words and "unit" in words


def test_a_speed_that_was_entered_and_that_the_carries_deny_is_named():
    fast = replace(CASE, swing=Swing(driver_speed_mps=112 * MPH))
    (words,) = said(("7i", 110, 112), ("9i", 90), case=fast)
    assert "the speed that was entered" in words
    assert said(("7i", 152, 155), ("9i", 128), case=fast) == ()


def test_players_as_the_priors_have_them_are_seldom_asked():
    asked = []
    for seed in range(40):
        player = SimulatedPlayer(seed)
        case = player.case(player.shots(("5i", "8i", "pw"), 3))
        asked.append(bool(doubts(case, calibrate(case, draws=32))))
    assert sum(asked) <= 2


def test_the_result_carries_them_as_warnings():
    shots = (Shot("7i", carry_m=140.0), Shot("9i", carry_m=400.0))
    assert "do not belong to one swing" in solve(replace(CASE, shots=shots), draws=32).warnings[0]
