"""What a person decides stands: a ball that counts, a set that was built, norms over an edited bag, a refused distance."""

from dataclasses import replace

import pytest

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.players import norm_bag
from engine.sets.plan import plan


@pytest.fixture
def page():
    bridge.install(None)
    bridge.outbox.clear()
    page = Page({})
    page.state.add_player(demo_case())
    return page


def group(page, club="7i"):
    return next(g for g in page.state.result["shots"] if g["club"] == club and g["grip_down_m"] == 0)


def test_a_ball_set_aside_by_the_rule_can_be_counted_and_left_out_again(page):
    page.go("hit")
    hit = page.here
    hit._choose("7i")
    hit.list.toggle()
    assert group(page)["left_out"] == 1
    index = next(iter(hit._mishits()))
    hit._pick(index)
    assert hit.toggle.label == "Take this ball in again"
    hit._toggle()
    assert group(page)["left_out"] == 0 and page.state.case.shots[index].keep
    assert hit.toggle.label == "Leave this ball out"
    hit._toggle()
    assert not page.state.case.shots[index].use
    assert hit.toggle.label == "Take this ball in again"


def test_another_club_is_held_full_and_says_nothing_old(page):
    page.go("hit")
    hit = page.here
    hit._hold(0.0254)
    hit._add()
    assert hit.fault
    hit._choose("9i")
    assert hit.grip == 0.0 and not hit.fault


def test_what_cannot_be_made_is_asked_about_before_it_becomes_the_bag(page):
    page.go("build")
    build = page.here
    build._choose("single")
    before = page.state.case.bag
    build._ask_present()
    assert page.state.case.bag == before and "Lob wedge" in build.done.object
    page.state.change(edits.layout("single", common_length_m=0.92), "another length")
    assert not build.done.object and "off" in build.sure.css_classes  # it was about what stood before
    build._ask_present()
    build._make_present()
    assert page.state.case.bag != before


def test_the_clubs_before_the_build_are_carried_no_more(page):
    state = page.state
    state.change(
        lambda case: edits.add_balls(case, (replace(case.shots[0], club="dr", carry_m=190.0),)), "ball"
    )
    state.change(lambda case: edits.layout_club("single", "dr", "loft_deg")(case, 11.0), "by hand")
    state.change(lambda case: edits.layout_club("single", "3w", "loft_deg")(case, 15.0), "by hand")
    full = [c.id for c in state.case.bag if c.family != "putter"]
    assert sorted(
        c["id"] for c in next(x for x in state.result["layouts"] if x["id"] == "single")["clubs"]
    ) == sorted(full)
    page.go("build")
    page.here._choose("single")
    page.here._make_present()
    assert any(c.name == "Driver (before)" for c in state.case.bag)
    assert sorted(c.id for c in plan(state.case.layouts[0], state.case.bag)) == sorted(full)


def test_an_edited_bag_stays_and_says_so(page):
    page.state.add_player(replace(demo_case(), shots=(), bag=norm_bag("female")))
    page.go("measure")
    measure = page.here
    measure._sex("male")
    assert page.state.case.bag == norm_bag("male") and not measure.norms_said.object
    page.state.change(lambda case: edits.club("7i", "loft_deg")(case, 33.0), "bent")
    measure._sex("female")
    assert page.state.case.bag != norm_bag("female")
    assert "stays" in measure.norms_said.object
    page.state.add_player(demo_case())
    assert not measure.norms_said.object


@pytest.mark.parametrize(
    "typed, told",
    [("20", "shorter than any full swing"), ("390", "beyond any full swing"), ("5000", "Enter a distance")],
)
def test_distances_without_an_answer(page, typed, told):
    page.go("play")
    play = page.here
    play.ask.view.value = "130"
    assert "chance of landing within" in play.answer.object
    play.ask.view.value = typed
    assert told in play.answer.object


def test_fields_that_take_a_minus_or_feet_get_all_keys(page):
    page.go("measure")
    assert "free" not in page.here.height.view.css_classes
    page.state.set_units("imperial")
    page.here.refresh()
    assert "free" in page.here.height.view.css_classes


def test_removing_a_club_leads_to_its_neighbour(page):
    page.go("measure")
    bag = page.here.bag
    bag.fold.toggle()
    bag._choose("8i")
    bag._remove()
    assert bag.club.id == "9i"


def test_a_mistyped_carry_is_asked_about_where_it_was_typed(page):
    page.state.change(lambda case: replace(case, shots=()), "emptied")
    page.state.set_units("metric")
    page.go("hit")
    hit = page.here
    for club, carry in (("7i", "140"), ("7i", "142"), ("9i", "40")):
        hit._choose(club)
        hit.entry.value = carry
        assert "cannot come from the same swing" not in hit.stats.object
        hit._add()
    assert "cannot come from the same swing" in hit.stats.object and "not 40\u00a0m" in hit.stats.object
    hit._choose("5i")  # also beside a club that was not hit yet
    assert "cannot come from the same swing" in hit.stats.object
    hit._choose("9i")
    hit._undo_ball()
    assert "cannot come from the same swing" not in hit.stats.object


@pytest.mark.parametrize(("label", "name"), [("driver", "attack_deg"), ("7-iron", "iron7_attack_deg")])
def test_each_club_s_attack_is_asked_for_by_its_own_field(page, label, name):
    page.go("measure")
    page.here.swing.toggle()
    (field,) = [
        f for f in page.here.fields if f.view.label.startswith("Attack angle") and label in f.view.label
    ]
    before = page.state.case.swing
    field.view.value = "-2.5"
    assert page.state.case.swing == replace(before, **{name: -2.5})
