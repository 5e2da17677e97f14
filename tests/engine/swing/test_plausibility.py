"""Implausible carries are asked about, and honest ones are not. The cases are invented."""

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
    told = said(("7i", 140, 142), ("9i", 400))[0]
    assert told.kind == "doubt.two_apart" and [c.id for c in told.clubs] == ["7i", "9i"]
    assert told.quantities["measured"].value == pytest.approx(400)


def test_a_club_that_the_others_contradict_is_named_alone():
    (told,) = said(("7i", 140, 142), ("5i", 160), ("9i", 14))
    assert told.kind == "doubt.club_off" and [c.name for c in told.clubs] == ["9-iron"]
    assert 0.8 <= told.quantities["off"].value < 0.9 and told.terms == {"way": "less"}


@pytest.mark.parametrize(
    ("wrong", "hit"), [("6i", "7i"), ("7i", "8i"), ("8i", "9i"), ("7i", "6i"), ("8i", "7i"), ("9i", "8i")]
)
def test_balls_noted_under_the_next_club_s_name_are_told_of(wrong, hit):
    """Circulated averages, 15 % less, common practice, no source: five balls of 3 % with each of six clubs."""
    yards = {"5i": 194, "6i": 183, "7i": 172, "8i": 160, "9i": 148, "pw": 136}
    flown = {club: 0.85 * 0.9144 * carry for club, carry in yards.items()}
    spread = [1 + 0.015 * x for x in (-2, -1, 0, 1, 2)]
    assert said(*((club, *(mean * x for x in spread)) for club, mean in flown.items())) == ()
    flown[wrong] = flown[hit]
    (told,) = said(*((club, *(mean * x for x in spread)) for club, mean in flown.items()))
    assert told.kind == "doubt.club_off" and [c.id for c in told.clubs] == [wrong]


def test_a_slip_among_one_clubs_balls_is_said_with_both_ends():
    told = said(("7i", 140, 14), ("9i", 118))[0]
    assert told.kind == "doubt.scattered" and told.clubs[0].id == "7i"
    assert (told.quantities["least"].value, told.quantities["most"].value) == (14, 140)


@pytest.mark.parametrize("carry", [14, 400])
def test_a_carry_that_nobody_swings_is_asked_about_from_the_first_ball(carry):
    (told,) = said(("7i", carry))
    assert told.kind == "doubt.speed_unusual"


def test_a_speed_that_was_entered_and_that_the_carries_deny_is_named():
    fast = replace(CASE, swing=Swing(driver_speed_mps=112 * MPH))
    (told,) = said(("7i", 110, 112), ("9i", 90), case=fast)
    assert told.kind == "doubt.speed_entered"
    assert told.quantities["carries"].value < told.quantities["entered"].value
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
    found = solve(replace(CASE, shots=shots), draws=32)
    assert found.warning_statements[0].kind == "doubt.two_apart"
    assert found.warnings == () and found.in_words(lambda s: s.kind).warnings[0] == "doubt.two_apart"


def test_carries_of_one_club_alone_are_said_to_be_so():
    for clubs, told in ((("7i",), True), (("7i", "9i"), False)):
        shots = tuple(Shot(c, carry_m=140.0 if c == "7i" else 118.0) for c in clubs)
        kinds = [s.kind for s in solve(replace(CASE, shots=shots), draws=32).warning_statements]
        assert ("warning.one_club" in kinds) == told and "warning.no_carries" not in kinds
    assert solve(CASE, draws=32).warning_statements[0].kind == "warning.no_carries"
