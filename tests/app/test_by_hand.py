"""What a person decides stands: a ball that counts, a set that was built, norms over an edited bag, a refused distance."""

import re
from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from app.players import norm_bag
from engine.sets.plan import plan
from tests.app.driver import Person, with_balls


@pytest.fixture
def person():
    return Person(demo_case())


def group(person, club="7i"):
    return next(g for g in person.state.result.shots if g.club == club and g.grip_down_m == 0)


def test_a_ball_set_aside_by_the_rule_can_be_counted_and_left_out_again(person):
    person.go("Hit").tap("7i").open("Balls of the 7-iron: 13")
    assert group(person).left_out == 1
    index = next(i for i, s in enumerate(person.case.shots) if s.carry_m == 96.0)  # topped
    person.tap("5: 96 m").press("Include this shot")
    assert group(person).left_out == 0 and person.case.shots[index].keep
    person.press("Exclude this shot")
    assert not person.case.shots[index].use and "excluded by hand" in person.text()
    assert person.sees("Include this shot") and not person.sees("Exclude this shot")


def test_another_club_is_held_full_and_says_nothing_old(person):
    person.go("Hit").choose("Grip", "2.5 cm").press("Add ball")
    assert "is empty" in person.find("Carry").label
    person.tap("9i")
    assert person.chosen("Grip") == "Full" and person.find("Carry").label == "Carry, 9-iron (m)"


def test_what_cannot_be_made_is_asked_about_before_it_becomes_the_bag(person):
    built, sure = (
        "It is built: make this the present bag",
        "They came out as planned: use this as the present bag",
    )
    person.go("Build").choose("Set to build", "Single length, 91.4 cm")
    before = person.case.bag
    person.press(built)
    assert person.case.bag == before and re.search("cannot be made as planned.*Lob wedge", person.text())
    person.state.change(edits.layout("single", common_length_m=0.92), "another length")
    assert "cannot be made as planned" not in person.text() and not person.sees(
        sure
    )  # it was about what stood before
    person.press(built).press(sure)
    assert person.case.bag != before


def test_the_clubs_before_the_build_are_carried_no_more(person):
    state = person.state
    state.change(lambda case: with_balls(case, (replace(case.shots[0], club="dr", carry_m=190.0),)), "ball")
    state.change(lambda case: edits.layout_club("single", "dr", "loft_deg")(case, 11.0), "by hand")
    state.change(lambda case: edits.layout_club("single", "3w", "loft_deg")(case, 15.0), "by hand")
    full = [c.id for c in state.case.bag if c.family != "putter"]
    assert sorted(c.id for c in next(x for x in state.result.layouts if x.id == "single").clubs) == sorted(
        full
    )
    person.go("Build").choose("Set to build", "Single length, 91.4 cm")
    person.press("It is built: make this the present bag")
    person.press("They came out as planned: use this as the present bag")
    assert any(c.name == "Driver (before)" for c in state.case.bag)
    assert sorted(c.id for c in plan(state.case.layouts[0], state.case.bag)) == sorted(full)


def test_an_edited_bag_stays_and_says_so(person):
    said = "so it stays"
    person.state.add_player(replace(demo_case(), shots=(), bag=norm_bag("female")))
    person.go("Measure").choose("Typical sizes to start from", "Men\u2019s")
    assert person.case.bag == norm_bag("male") and said not in person.text()
    person.state.change(lambda case: edits.club("7i", "loft_deg")(case, 33.0), "bent")
    person.choose("Typical sizes to start from", "Women\u2019s")
    assert person.case.bag != norm_bag("female") and said in person.text()
    person.state.add_player(demo_case())
    assert said not in person.text()


@pytest.mark.parametrize(
    ("typed", "told"),
    [("20", "shorter than any full swing"), ("390", "beyond any full swing"), ("5000", "Put right")],
)
def test_distances_without_an_answer(person, typed, told):
    person.go("Play").type("Distance to carry", "130")
    assert "chance of landing within" in person.text()
    person.type("Distance to carry", typed)
    assert told in person.text() and "chance of landing within" not in person.text()


def test_fields_that_take_a_minus_or_feet_get_all_keys(person):
    person.go("Measure").open("What you know of the swing")
    keys = {name: "free" in person.find(name).css_classes for name in ("Height", "Driver club speed")}
    assert keys == {"Height": False, "Driver club speed": False}
    assert "free" in person.find("Attack angle, 7-iron (up is +)").css_classes
    person.choose("Units", "in \u00b7 yd")
    assert (
        "free" in person.find("Height").css_classes
        and "free" not in person.find("Driver club speed").css_classes
    )


def test_removing_a_club_leads_to_its_neighbour(person):
    person.go("Measure").open("The bag: 14 clubs").open("One club at a time")
    person.choose("Club to edit", "8-iron").press("Remove")
    assert all(c.id != "8i" for c in person.case.bag) and person.sees("The bag: 13 clubs")
    assert person.value("Club name") == "9-iron"


def test_a_club_taken_out_by_its_chip_while_it_is_edited_leads_to_its_neighbour_too(person):
    """What was typed wrong for the one is not asked of the other."""
    person.go("Measure").open("The bag: 14 clubs").open("One club at a time")
    person.choose("Club to edit", "8-iron").type("Loft", "abc")
    assert "bad" in person.find("Loft").css_classes
    person.tap("Driver")  # another one than is being edited
    assert person.chosen("Club to edit") == "8-iron" and person.value("Loft") == "abc"
    person.tap("8-iron")
    assert person.chosen("Club to edit") == "9-iron" and person.value("Club name") == "9-iron"
    assert person.find("Loft").label == "Loft (\u00b0)"
    assert float(person.value("Loft")) == person.case.club("9i").loft_deg


def test_a_mistyped_carry_is_asked_about_where_it_was_typed(person):
    odd = "cannot come from the same swing"
    person.state.change(lambda case: replace(case, shots=()), "emptied")
    person.go("Hit")
    for club, carry in (("7i", "140"), ("7i", "142"), ("9i", "40")):
        person.tap(club).type("Carry", carry)
        assert odd not in person.text()
        person.press("Add ball")
    assert odd in person.text() and "not 40 m" in person.text()
    person.tap("5i")  # also beside a club that was not hit yet
    assert odd in person.text()
    person.tap("9i").press("Remove last ball")
    assert odd not in person.text()


@pytest.mark.parametrize(("label", "name"), [("driver", "attack_deg"), ("7-iron", "iron7_attack_deg")])
def test_each_club_s_attack_is_asked_for_by_its_own_field(person, label, name):
    person.go("Measure").open("What you know of the swing")
    before = person.case.swing
    person.type(f"Attack angle, {label} (up is +)", "-2.5")
    assert person.case.swing == replace(before, **{name: -2.5})
