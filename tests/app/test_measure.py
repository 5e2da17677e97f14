"""Measure, by hand: fields in either system of units, norms, the estimate, the body's fit and the made-up player."""

from dataclasses import replace

import pytest

from app.players import new_case, norm_bag
from tests.app.driver import Person


@pytest.fixture
def blank():
    return Person(new_case())


def test_a_made_up_player_is_offered_to_a_blank_page_only(blank):
    blank.press("Look around with a made-up player")
    assert "Lay out the set" in blank.text() and "invented" in blank.text()
    assert len(blank.case.shots) == 25 and "made-up" in blank.said("announce")[-1]["text"]
    blank.go("Measure")
    assert not blank.sees("Look around with a made-up player")
    blank.press("Undo")
    assert blank.case.shots == () and blank.sees("Look around with a made-up player")


def test_height_and_wingspan_reach_the_case_and_bring_the_estimate(blank):
    assert "Estimated wrist to floor" not in blank.text()
    blank.type("Height", "181").type("Wingspan", "188")
    assert (blank.case.player.height_m, blank.case.player.wingspan_m) == (1.81, 1.88)
    assert "Estimated wrist to floor" in blank.text()
    blank.open("More body measures").type("Wrist to floor", "90,5").type("Hand length", "19")
    assert (blank.case.player.wrist_to_floor_m, blank.case.player.hand_length_m) == (0.905, 0.19)
    assert "Estimated wrist to floor" not in blank.text()
    blank.type("Wrist to floor", "")
    assert blank.case.player.wrist_to_floor_m is None and "Estimated wrist to floor" in blank.text()


def test_the_same_lengths_in_feet_and_inches(blank):
    """An inch is 2.54 cm and a foot twelve of them, by definition."""
    blank.type("Height", "181").choose("Units", "in \u00b7 yd")
    assert blank.value("Height") == "71.3" and blank.find("Height").label == "Height (in)"
    blank.type("Height", "5' 11\"")
    assert blank.case.player.height_m == pytest.approx(71 * 0.0254)
    blank.choose("Units", "cm \u00b7 m")
    assert blank.value("Height") == "180.3"


def test_what_is_wrong_is_said_once_and_what_was_typed_stays(blank):
    blank.type("Height", "181")
    spoken = len(blank.said("announce"))
    blank.type("Height", "18")
    field = blank.find("Height")
    assert "must be from" in field.label and field.value == "18" and blank.case.player.height_m == 1.81
    assert "bad" in field.css_classes
    assert [x["text"] for x in blank.said("announce")][spoken:] == [field.label]
    blank.type("Height", "19")  # wrong in the same way
    assert len(blank.said("announce")) == spoken + 1
    blank.type("Height", "tall")  # and in another
    assert len(blank.said("announce")) == spoken + 2
    blank.type("Height", "182")
    assert blank.find("Height").label == "Height (cm)" and blank.case.player.height_m == 1.82
    assert "bad" not in blank.find("Height").css_classes


def test_a_fault_is_forgotten_when_the_units_are_switched(blank):
    blank.type("Height", "18").choose("Units", "in \u00b7 yd")
    assert blank.find("Height").label == "Height (in)" and blank.value("Height") == ""


def test_the_name_is_shown_at_the_top_without_spaces_round_it(blank):
    blank.type("Name", "  Tove Brandsma (invented) ")
    assert blank.case.player.label == "Tove Brandsma (invented)"
    assert blank.value("Name") == "Tove Brandsma (invented)" and "Tove Brandsma" in blank.page.name.object
    blank.press("Undo")
    assert blank.case.player.label == "" and "Player without a name" in blank.page.name.object


@pytest.mark.parametrize(("option", "sex"), [("Men\u2019s", "male"), ("Women\u2019s", "female")])
def test_norms_bring_the_usual_set(blank, option, sex):
    blank.choose("Typical sizes to start from", option)
    assert blank.case.player.sex == sex and blank.case.bag == norm_bag(sex)
    assert "You have changed the bag" not in blank.text()


def test_norms_leave_a_bag_alone_that_was_changed(blank):
    blank.open("The bag: 14 clubs").open("One club at a time")
    blank.choose("Club to edit", "7-iron").type("Loft", "33")
    blank.choose("Typical sizes to start from", "Women\u2019s")
    assert blank.case.club("7i").loft_deg == 33 and "You have changed the bag, so it stays" in blank.text()
    blank.press("Put the usual set back")
    assert blank.case.bag == norm_bag("female")


def test_hand_and_swing(blank):
    blank.choose("Plays", "Left-handed").open("What you know of the swing")
    blank.type("Driver club speed", "150").type("7-iron club speed", "120")
    blank.type("Attack angle, driver (up is +)", "2").type("Attack angle, 7-iron (up is +)", "\u22123")
    swing = blank.case.swing
    assert blank.case.player.handed == "left"
    assert swing.driver_speed_mps == pytest.approx(150 / 3.6) and swing.iron7_speed_mps == pytest.approx(
        120 / 3.6
    )
    assert (swing.attack_deg, swing.iron7_attack_deg) == (2.0, -3.0)


def test_length_and_lie_from_the_body_need_a_height(blank):
    blank.open("Length, lie and grip from body measures")
    assert "Enter the height first." in blank.text()
    blank.type("Height", "190")
    rows = {row[0]: row for row in blank.rows("A starting point from body measures")}
    tall = float(rows["7-iron"][1].split()[0])
    blank.type("Height", "160")
    short = float(
        {row[0]: row for row in blank.rows("A starting point from body measures")}["7-iron"][1].split()[0]
    )
    assert set(rows) >= {"5-iron", "7-iron", "9-iron"} and "Driver" not in rows
    assert tall - short > 1  # cm: a head taller, longer clubs
    assert rows["7-iron"][1].endswith(f"from {100 * blank.case.club('7i').length_m:.1f}")


def test_how_to_measure_is_drawn_and_the_way_on_leads_to_hit(blank):
    assert "fingertip to fingertip" not in blank.text()
    blank.open("How to measure")
    assert "fingertip to fingertip" in blank.text() and "<svg" in blank.markup()
    blank.press("Next: hit some balls")
    assert "Hit with at least two clubs" in blank.text()
    assert blank.said("step")[-1] == {"step": "hit", "back": False}


@pytest.mark.parametrize(
    ("step", "label"), [("Measure", "Name"), ("Players, share, files", "Name of this player")]
)
def test_a_name_as_long_as_its_field_takes_fits_into_the_case_and_no_longer_one(blank, step, label):
    blank.go(step)
    most = blank.find(label).max_length
    blank.type(label, "x" * most)
    assert blank.case.player.label == "x" * most and not blank.said("refusal")
    blank.type(label, "x" * (most + 1))
    assert blank.case.player.label == "x" * most and blank.said("refusal")


def test_a_club_s_name_too(blank):
    blank.open("The bag: 14 clubs").open("One club at a time")
    most = blank.find("Club name").max_length
    blank.type("Club name", "x" * most)
    assert blank.case.bag[0].name == "x" * most and not blank.said("refusal")
    blank.type("Club name", "x" * (most + 1))
    assert blank.case.bag[0].name == "x" * most


def test_undo_takes_back_a_figure_that_was_refused(blank):
    blank.type("Height", "180").type("Height", "tall")
    assert "number" in blank.find("Height").label
    blank.press("Undo")
    assert blank.value("Height") == "180" and blank.find("Height").label == "Height (cm)"
    assert blank.case.player.height_m == 1.8 and "Undone: height \u201ctall\u201d" in blank.text()
    blank.press("Undo")
    assert blank.value("Height") == "" and blank.case.player.height_m is None


def test_undo_goes_back_in_the_order_of_what_was_done(blank):
    blank.type("Height", "tall").type("Wingspan", "181")
    blank.press("Undo")
    assert blank.value("Wingspan") == "" and blank.value("Height") == "tall"
    blank.press("Undo")
    assert blank.value("Height") == "" and blank.find("Height").label == "Height (cm)"
    blank.type("Height", "tall").type("Height", "181").press("Undo")
    assert blank.value("Height") == "" and blank.case.player.height_m is None
    assert blank.find("Undo").label == "Undo\nplayer added"  # nothing is left of what was mended


def test_a_figure_that_was_refused_is_not_shown_as_another_players(blank):
    blank.type("Height", "tall")
    blank.state.add_player(new_case())
    assert blank.value("Height") == "" and blank.find("Height").label == "Height (cm)"
    blank.press("Undo")
    assert blank.value("Height") == "" and blank.find("Undo").label == "Undo\nplayer added"


def test_a_shot_at_hand_comes_in_between_no_undo(blank):
    """What is asked on Play is no edit: a refused figure is still what undo takes back first."""
    blank.type("Wingspan", "181").type("Height", "tall")
    blank.state.set_at_hand(replace(blank.state.store.at_hand, distance_m=120.0))
    blank.press("Undo")
    assert blank.value("Height") == "" and blank.value("Wingspan") == "181"
    blank.press("Undo")
    assert blank.value("Wingspan") == "" and blank.state.store.at_hand.distance_m == 120.0
