"""How far a head is bent stays with it in the bag and in the document."""

import re
from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from app.phrases import phrases
from engine.documents.case import Case, Layout, LayoutClub
from engine.documents.reading import read_case
from engine.workshop.build_sheet import build_sheet
from engine.workshop.norms import norm_bag, norm_club
from tests.app.driver import Person, all_hit, plain


def test_the_bag_and_the_document_keep_how_far_a_head_is_bent():
    case = Case(bag=tuple(replace(c, head_material=None) for c in norm_bag()))
    five = case.club("5i")
    (work,) = build_sheet([five], [replace(five, loft_deg=five.loft_deg - 1)]).clubs
    made = edits.built(case, (work.target,))
    assert made.club("5i").bent_loft_deg == -1
    assert read_case(made.to_doc()).club("5i").bent_loft_deg == -1


def test_a_head_bent_past_its_limit_is_not_called_used_up():
    """'Bends only 1 deg, and 1.25 deg of that is used up' was said of it."""
    five = replace(norm_club("5i"), head_material=None, bent_lie_deg=1.25)
    (work,) = build_sheet([five], [replace(five, lie_deg=five.lie_deg + 1)]).clubs
    (said,) = phrases(work.problems, "metric")
    past = "this head has already been bent 1.25\u00b0, past its usual 1\u00b0: do not bend it further"
    assert said == past + " (a lie of 62\u00b0 was wanted)"
    (work,) = build_sheet([five], [replace(five, lie_deg=five.lie_deg - 3)]).clubs
    (said,) = phrases(work.problems, "metric")  # the other way nothing of its life is spent
    assert "already" not in said and "do not bend" not in said


def test_a_head_that_stops_short_is_not_said_to_do_all_of_it():
    """'All of this can be done' stood beside 'this 27 deg head bends only 1 deg'."""
    for gap, material in ((9.5, "forged"), (8.0, None), (25.0, None)):
        bag = tuple(replace(c, head_material=material).known(loft_deg=c.loft_deg) for c in demo_case().bag)
        person = Person(edits.wants("gap_m")(all_hit(replace(demo_case(), bag=bag)), gap)).go("Build")
        stops = " head bends only" in person.text() or "more than 1.0" in person.text()
        assert ("All of this can be done with the present heads" in person.text()) == (not stops)
        assert stops == (material is None)


def test_a_lie_that_is_left_off_is_said_of_that_club():
    """Heads stood half a degree off what suits without a word, those that were bent and those that were not."""
    seven = demo_case().club("7i").lie_deg
    layout = Layout("x", "own", clubs=(LayoutClub("7i", lie_deg=seven - 0.4), LayoutClub("9i")))
    case = replace(demo_case(), layouts=(layout,))
    person = Person(edits.wants("layout")(case, "x")).go("Build")
    assert (
        f"7-iron: lie left 0.4\u00b0 more upright than the {seven - 0.4:g}\u00b0 wanted: too little to bend."
        in person.text()
    )
    assert "9-iron: lie" not in person.text()


@pytest.mark.parametrize(
    ("bent", "said"),
    [
        ({}, "bends 1\u00b0"),
        ({"bent_loft_deg": -1.0}, "bends 1\u00b0, all of it used in loft"),
        (
            {"bent_loft_deg": 0.5, "bent_lie_deg": 1.0},
            "bends 1\u00b0, 0.5\u00b0 of it used in loft, all of it used in lie",
        ),
        ({"bent_lie_deg": -2.0}, "bends 1\u00b0, already bent 2\u00b0 in lie"),
        (
            {"bent_loft_most_deg": 2.5, "bent_loft_sum_deg": 5.0},
            "bends 1\u00b0, bends in loft of 5\u00b0 in all, 2.5\u00b0 at most",
        ),
    ],
)
def test_the_sheet_tells_how_much_of_a_head_s_bend_is_used(bent, said):
    """A head bent to its limit was still printed as one that bends."""
    case = demo_case()
    bag = tuple(replace(c, bend_limit_deg=1.0, **bent) if c.id == "8i" else c for c in case.bag)
    person = Person(replace(case, bag=bag))
    person.go("Build").choose("Set to build", next(n for n in person.options("Set to build") if "ingle" in n))
    row = next(
        x for x in re.findall(r"<tr.*?</tr>", person.markup(), re.DOTALL) if "8-iron" in x and "made" in x
    )
    (head,) = re.findall(r"(bends .*?)</span>", row)
    assert plain(head) == said


def test_a_strained_head_is_warned_of_on_its_row_and_at_the_top():
    """Such a head was to be bent again, and 'all of this can be done within the usual limits'."""
    eight = demo_case().club("8i")
    bag = tuple(
        replace(c, head_material="cast", bent_loft_deg=-2.5) if c.id == "8i" else c for c in demo_case().bag
    )
    layout = Layout("x", "own", clubs=(LayoutClub("8i", loft_deg=eight.loft_deg + 1), LayoutClub("9i")))
    case = edits.wants("layout")(replace(demo_case(), bag=bag, layouts=(layout,)), "x")
    person = Person(case).go("Build")
    told = person.text()
    assert "Bent past their usual limit before, or to and fro: 8-iron." in told
    assert (
        "this head was bent 2.5\u00b0 in loft before, past its usual 2\u00b0 (3.5\u00b0 in all with this work)"
        in told
    )
    assert "All of this can be done" not in told and "Bending loft or lie" in told
    assert re.search(r'class="cannot"[^<]*this head was bent', person.markup(), re.IGNORECASE)
    calm = replace(case, bag=tuple(replace(c, bent_loft_deg=None) for c in case.bag))
    assert "to and fro" not in Person(calm).go("Build").text()


def test_a_head_said_to_be_as_it_came_has_no_history():
    case = Case(bag=(replace(norm_club("sw"), bent_loft_most_deg=2.5, bent_lie_sum_deg=3.0),))
    club = edits.club("sw", "bent_loft_deg")(case, 0.0).club("sw")
    assert club.bent_loft_most_deg is None and club.bent_lie_sum_deg == 3.0
