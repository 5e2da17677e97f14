"""Lies on the screen: the mark is typed, the table follows, and one button takes them into the set to build."""

from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from tests.app.driver import Person

FOLD = "Lies from a board, ball flight or the body"


def table(person):
    return {row[0]: row[1:] for row in person.rows("Lies to build")}


@pytest.fixture
def person():
    return Person(demo_case()).go("Measure").open(FOLD)


def test_the_body_alone_is_a_start_to_be_checked(person):
    assert "Going by the body alone, begin" in person.text() and "then check" in person.text()
    assert {row[-1] for row in list(table(person).values())[1:]} == {"body"}


def test_the_mark_in_millimetres_is_the_board_s_and_no_line_on_a_ball_s(person):
    assert "Hit off a lie board" in person.text() and "ink a line" not in person.text()


def test_a_mark_toward_the_heel_is_bent_flatter_and_the_body_no_longer_counts(person):
    person.choose("Club on the lie board", "7-iron").type("Mark toward the heel", "12")
    assert person.case.club("7i").lie_mark_m == pytest.approx(0.012)
    now, change, build, source = table(person)["7-iron"]
    assert float(build) < float(now) - 1 and change.startswith("\u2212") and source == "lie board"
    assert "the body no longer counts" in person.text()
    assert read_case(person.case.to_doc()) == person.case
    person.type("Mark toward the heel", "-12")
    assert float(table(person)["7-iron"][2]) > float(now) + 1
    person.type("Mark toward the heel", "")
    assert person.case.club("7i").lie_mark_m is None and "body alone" in person.text()


def test_one_button_takes_them_into_a_set_to_build(person):
    person.choose("Club on the lie board", "7-iron").type("Mark toward the heel", "6")
    wanted = {name: float(row[2]) for name, row in list(table(person).items())[1:]}
    before = person.case.bag
    person.press("Take these lies into the set to build")
    built = {c.name: c for c in person.state.fitting.planned}
    assert {n: built[n].lie_deg for n in wanted} == pytest.approx(wanted, abs=0.006)
    assert person.case.bag == before and person.state.fitting.layout.kind == "own"
    work = {c.name: [a.kind for a in c.actions] for c in person.state.fitting.build.clubs}
    assert "work.bend_lie" in work["7-iron"] and "work.cut" not in work["7-iron"]
    layouts = len(person.case.layouts)
    person.press("Take lies and lengths")
    assert len(person.case.layouts) == layouts  # into the same set
    fit = {c.id: c.length_m for c in person.state.fitting.body.clubs}
    assert all(c.length_m is None or c.id in fit for c in person.state.fitting.layout.clubs)
    person.press("Undo")
    person.press("Undo")
    assert person.case.layouts == demo_case().layouts or len(person.case.layouts) == layouts - 1


def test_a_set_that_is_chosen_takes_them_itself(person):
    person.state.change(lambda case: edits.wants("layout")(case, "single"), "which")
    layouts = [x.id for x in person.case.layouts]
    person.press("Take these lies into the set to build")
    assert [x.id for x in person.case.layouts] == layouts and person.case.wants.layout == "single"
    lies = {c.id: c.lie_deg for c in person.state.fitting.lies}
    assert {c.id: c.lie_deg for c in person.state.fitting.planned if c.id in lies} == pytest.approx(lies)


def test_a_club_that_is_bent_has_to_be_marked_again():
    case = edits.club("7i", "lie_mark_m")(demo_case(), 0.006)
    clubs = Fitting(case, 16).present
    same = edits.built(case, clubs)
    assert same.club("7i").lie_mark_m == 0.006
    bent = edits.built(case, tuple(replace(c, lie_deg=c.lie_deg - 1) if c.id == "7i" else c for c in clubs))
    assert bent.club("7i").lie_mark_m is None
