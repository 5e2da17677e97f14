"""An edit that fails ends in one place, in words; nothing is half changed, and widgets show what the case holds."""

from dataclasses import replace

import panel as pn
import pytest

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.widgets import Fold
from engine.bag.ball import entered_ball
from engine.documents.case import Shot
from tests.app.driver import Person, with_balls


@pytest.fixture
def page():
    bridge.install(None)
    bridge.forget()
    bridge.outbox.clear()
    page = Page({})
    page.state.add_player(demo_case())
    return page


def unfold(page, step):
    page.go(step)
    for _ in range(2):  # folds in folds
        for part in (page.here, *vars(page.here).values()):
            for fold in list(vars(part).values()) if hasattr(part, "__dict__") else []:
                if isinstance(fold, Fold) and not fold.open:
                    fold.toggle()
    return page.here.view


def widget(view, kind, label):
    return next(w for w in view.select(kind) if w.label and w.label.startswith(label))


def press(view, label):
    widget(view, pn.widgets.Button, label).clicks += 1


def refusals(page):
    return [payload["text"] for kind, payload in bridge.outbox if kind == "refusal"]


def test_a_hand_edit_of_a_layout_only_tried_out_is_refused_in_words(page):
    page.state.try_out(lambda case: edits.add_layout(case, "own"), "layout added")
    tried = page.state.shown.layouts[-1].id
    page.state.change(lambda case: edits.wants("layout")(case, tried), "chosen")
    view, before = unfold(page, "build"), page.state.store
    loft = widget(view, pn.widgets.TextInput, "Loft")
    loft.value = "31"
    assert page.state.store is before and loft.value == ""
    assert len(refusals(page)) == 1 and "Keep it first" in refusals(page)[0]


def test_a_club_with_balls_after_the_build_can_be_removed(page):
    page.state.change(
        lambda case: edits.add_retest(case, (Shot("7i", 140.0), Shot("9i", 118.0))), "hit again"
    )
    page.state.change(lambda case: edits.drop_club(case, "7i"), "removed")
    assert refusals(page) == []
    assert [s.club for s in page.state.case.retest] == ["9i"]
    page.state.change(edits.usual_bag, "usual set")
    assert refusals(page) == [] and len(page.state.case.retest) == 1


def test_a_club_hit_gripped_down_cannot_become_a_putter_and_the_list_says_iron(page):
    page.state.change(lambda case: with_balls(case, (Shot("7i", 130.0, grip_down_m=0.0254),)), "ball")
    view = unfold(page, "measure")
    widget(view, pn.widgets.Select, "Club to edit").value = "7i"
    before, kind = page.state.store, widget(view, pn.widgets.Select, "Kind")
    kind.value = "putter"
    assert page.state.store is before and kind.value == "iron"
    assert "Delete those shots first" in refusals(page)[-1]


@pytest.mark.parametrize("error", [StopIteration, IndexError, ZeroDivisionError])
def test_a_slip_in_an_edit_ends_in_the_same_place(page, error, capsys):
    def slip(case):
        raise error("slip")

    before = page.state.store
    assert not page.state.change(slip, "x") and not page.state.try_out(slip, "x")
    assert page.state.store is before and page.state.undo_what != "x"
    assert len(refusals(page)) == 2 and "nothing was changed" in refusals(page)[0]


def test_a_set_that_cannot_be_taken_in_leaves_the_trial_as_it_was(page, monkeypatch, capsys):
    page.state.change(lambda case: edits.wants("layout")(case, "single"), "chosen")
    page.state.try_out(edits.layout("single", common_length_m=0.95), "tried", on="single")
    person = Person.at(page).go("Build")

    def fails(case, clubs):
        raise KeyError("loft_deg")

    monkeypatch.setattr(edits, "built", fails)
    before = page.state.store
    person.press("It is built: make this the present bag")
    person.press("They came out as planned: use this as the present bag")
    assert page.state.store is before and page.state.trying and len(refusals(page)) == 1


def test_spin_of_another_ball_has_one_limit(page):
    view = unfold(page, "layout")
    page.here.rest.folds["ball"].toggle()
    spin = widget(view, pn.widgets.TextInput, "Spin off the driver")
    spin.value = "160"
    assert "from 50 to 150 %" in spin.label and page.state.case.wants.ball is None
    spin.value = "150"
    assert page.state.case.wants.ball.driver_spin == 1.5 and refusals(page) == []
    assert entered_ball(1.5, 0.5)
    with pytest.raises(ValueError, match=r"1\.5"):
        entered_ball(1.6, 1.0)


def test_a_second_tap_on_remove_leaves_the_next_club_alone(page):
    view = unfold(page, "measure")
    pick = widget(view, pn.widgets.Select, "Club to edit")
    pick.value = "7i"
    bag = [c.id for c in page.state.case.bag]
    press(view, "Remove")
    press(view, "Remove")
    assert [c.id for c in page.state.case.bag] == [i for i in bag if i != "7i"]
    assert pick.value == "" and widget(view, pn.widgets.Button, "Remove").disabled
    pick.value = "8i"
    press(view, "Remove")
    assert len(page.state.case.bag) == len(bag) - 2


@pytest.fixture
def bag():
    person = Person(demo_case()).go("Measure").open("The bag").open("One club at a time")
    return person.choose("Club to edit", "7-iron")


@pytest.mark.parametrize("typed", ["8-iron", " 8-IRON", "8 - iron"])
def test_a_club_takes_no_name_that_another_bears(bag, typed):
    before = bag.case
    bag.type("Club name", typed)
    assert bag.case == before and bag.value("Club name") == "7-iron"
    loft = f"{before.club('8i').loft_deg:g}"
    assert refusals(bag.page) == [
        f"The club of {loft}\u00b0 loft is called \u201c8-iron\u201d already. "
        "Give this one another name, or rename that one first."
    ]


def test_a_club_may_be_called_what_no_other_is_and_by_its_usual_name_again(bag):
    assert bag.type("Club name", "7-Iron ").case.club("7i").name == "7-Iron"
    assert bag.type("Club name", "Old seven").case.club("7i").name == "Old seven"
    assert bag.type("Club name", " ").case.club("7i").name == "7-iron"
    bag.press("Duplicate").type("Club name", "")
    assert bag.case.club("7i-2").name == "7i-2", "a club of no usual id"
    assert refusals(bag.page) == []
    bag.type("Club name", "Seven").choose("Club to edit", "7-iron").type("Club name", "Spare")
    bag.choose("Club to edit", "Seven").type("Club name", "7-iron").choose("Club to edit", "Spare")
    bag.type("Club name", "")
    assert bag.case.club("7i").name == "Spare" and "7-iron" in refusals(bag.page)[-1]


def test_a_club_may_be_called_as_it_was_before_its_work_and_equal_names_of_old_stay(bag):
    case = edits.club("8i", "name")(bag.case, "7-iron")
    old = Person(case).go("Measure")
    assert [c.name for c in old.case.bag].count("7-iron") == 2
    old.open("The bag").open("One club at a time").choose("Club to edit", "7-iron [8i]")
    old.type("Maximum bend", "2")
    assert old.case.club("8i").bend_limit_deg == 2 and refusals(old.page) == []
    then = replace(case.club("7i"), id="7i-then", name="Bent", became="7i")
    case = replace(demo_case(), bag=(*demo_case().bag, then))
    assert edits.club_name(case, "7i-then", "7-iron").club("7i-then").name == "7-iron"
    assert edits.club_name(case, "7i", "Bent").club("7i").name == "Bent"
