"""The bag in a minute: bags to start from, clubs in and out by chips, a row of figures at once, own bags kept."""

import json
from dataclasses import replace
from itertools import pairwise

import pytest
from pressing import chips, choose, fill, press, tap, widget, words

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.players import from_saved, new_case, norm_bag
from engine.documents.case import Club, Shot
from engine.workshop.norms import START_BAGS, start_bag
from tests.app.driver import Person


@pytest.fixture
def page():
    bridge.install(None)
    bridge.forget()
    bridge.outbox.clear()
    page = Page({})
    press(page, "The bag")
    return page


def figures(page, name, *ids):
    return [getattr(page.state.case.club(i), name) for i in ids]


def test_an_unusual_bag_is_made_by_chips_that_stay_where_they_are(page):
    before = list(chips(page, "Driver").options)
    for name in ("Driver", "3-wood", "5-iron", "6-iron", "8-iron", "GW", "LW"):
        tap(page, name)
    tap(page, "5-hybrid")
    assert [c.id for c in page.state.case.bag] == ["5w", "4h", "5h", "7i", "9i", "pw", "sw", "pt"]
    assert list(chips(page, "Driver").options) == before
    assert "The bag: 8 clubs" in widget_labels(page)


def widget_labels(page):
    import panel as pn

    return [w.label for w in page.here.view.select(pn.widgets.Button)]


def test_a_club_taken_out_and_put_in_again_has_the_figures_it_had(page):
    fill(page, "Figures of several clubs", "lofts from 27 by 4")
    tap(page, "7-iron")
    assert "7i" not in [c.id for c in page.state.case.bag]
    tap(page, "7-iron")
    assert figures(page, "loft_deg", "5i", "6i", "7i", "8i", "9i") == [27, 31, 35, 39, 43]


def test_taking_out_a_club_that_was_hit_says_so_and_undo_brings_its_balls_back(page):
    page.state.change(lambda c: edits.add_balls(c, (Shot("7i", 140.0), Shot("7i", 141.0))), "balls")
    tap(page, "7-iron")
    assert page.state.case.shots == () and "with 2 balls; Undo brings all back" in words(page)
    press(page, "Undo")
    assert len(page.state.case.shots) == 2 and "Undone: 7-iron taken out" in words(page)


def test_the_last_club_stays(page):
    one = chips(page, "Driver")
    one.value = []
    assert len(page.state.case.bag) == 1 and len(one.value) == 1
    assert "needs one club" in words(page)


def test_a_row_of_figures_is_set_in_one_line_and_said(page):
    fill(page, "Figures of several clubs", "all irons 37 in")
    assert figures(page, "length_m", "5i", "9i") == pytest.approx([0.9398] * 2)
    assert "Length (cm): 5-iron 94.0" in words(page)
    choose(page, "For", "Wedges")
    fill(page, "Figures of several clubs", "46 50 54 58")
    assert figures(page, "loft_deg", "pw", "gw", "sw", "lw") == [46, 50, 54, 58]
    press(page, "Undo")
    assert figures(page, "loft_deg", "pw", "lw") == figures_of(norm_bag(None), "pw", "lw")


def figures_of(bag, *ids):
    return [next(c.loft_deg for c in bag if c.id == i) for i in ids]


def test_a_row_that_is_refused_stays_to_be_mended_and_changes_nothing(page):
    before = page.state.case
    fill(page, "Figures of several clubs", "26 30 34")
    assert page.state.case is before and "3 numbers for 5 clubs" in words(page)
    import panel as pn

    assert widget(page, pn.widgets.TextInput, "Figures of several clubs").value == "26 30 34"


@pytest.mark.parametrize(
    ("option", "loft", "length_in"),
    [
        ("Usual men\u2019s clubs", 34.5, 37),
        ("Usual women\u2019s clubs", 34.5, 36),
        ("Stronger lofts", 28.5, 37),
        ("Weaker lofts", 36, 37),
    ],
)
def test_bags_to_start_from(page, option, loft, length_in):
    choose(page, "Start from", option)
    press(page, "Use this bag")
    club = page.state.case.club("7i")
    assert (club.loft_deg, club.length_m) == (loft, pytest.approx(length_in * 0.0254))


@pytest.mark.parametrize("kind", START_BAGS)
@pytest.mark.parametrize("sex", ["female", None])
def test_lofts_of_a_bag_to_start_from_rise_club_by_club(kind, sex):
    """Common practice, no source: a set's lofts rise by 2 to 7.5 deg from iron to iron to the last wedge."""
    lofts = [c.loft_deg for c in start_bag(kind, sex=sex) if c.family in ("iron", "wedge")]
    steps = [b - a for a, b in pairwise(lofts)]
    assert all(2 <= step <= 7.5 for step in steps), steps


def test_the_bag_of_another_player_is_copied_and_a_club_that_was_hit_stays(page):
    page.state.change(lambda c: edits.player("label")(c, "Ann"), "named")
    page.state.change(lambda c: edits.club("7i", "loft_deg")(c, 31.0), "bent")
    own = Club("x7", "Seven", "iron", 0.94, 33.0, 62.0, 0.268)
    other = replace(new_case(), bag=(own, *norm_bag("female")[5:]), shots=(Shot("x7", 120.0),))
    page.state.add_player(other)
    choose(page, "Start from", "Bag of Ann")
    press(page, "Use this bag")
    assert page.state.case.club("7i").loft_deg == 31.0
    assert "x7" in [c.id for c in page.state.case.bag] and len(page.state.case.shots) == 1
    assert "Kept for their balls: Seven" in words(page)


def test_a_bag_is_kept_on_the_device_and_older_stores_open_as_before(page):
    fill(page, "Figures of several clubs", "lofts from 26 by 4")
    press(page, "Keep this bag")
    fill(page, "Name of this bag", "Club house")
    press(page, "Keep it")
    text = json.dumps(page.state.to_doc())
    again = Page({"saved": text})
    again.state.add_player(new_case())
    press(again, "The bag")
    choose(again, "Start from", "Kept: Club house")
    press(again, "Use this bag")
    assert again.state.case.club("6i").loft_deg == 30.0
    older = {k: v for k, v in json.loads(text).items() if k != "bags"}
    assert from_saved(json.dumps(older), []).templates == ()
    assert "bags" not in Page({}).state.to_doc()
    for spoilt in (7, [7], [{"name": 3, "bag": []}], [{"name": "x", "bag": "y"}], {"a": 1}):
        notices: list[str] = []
        assert from_saved(json.dumps({**older, "bags": spoilt}), notices).players
    press(again, "Keep this bag")
    press(again, "Take out the one chosen above")
    assert again.state.store.templates == ()


def test_a_file_of_all_players_brings_their_kept_bags(page):
    page.state.keep_template("House", norm_bag("female"))
    page.state.change(lambda c: edits.player("label")(c, "Ann"), "named")
    other = Page({})
    other.state.take_file(json.dumps(page.state.to_doc()))
    assert [t.name for t in other.state.store.templates] == ["House"]


def test_a_players_own_clubs_are_chips_too():
    page = Page({})
    page.state.add_player(
        replace(demo_case(), bag=(*demo_case().bag, Club("x", "Chipper", "iron", 0.9, 38, 65, 0.29)))
    )
    press(page, "The bag")
    tap(page, "Chipper")
    assert "x" not in [c.id for c in page.state.case.bag]
    tap(page, "Chipper")
    assert page.state.case.club("x").name == "Chipper"


def test_a_figure_that_is_cleared_is_not_known_and_is_estimated():
    person = Person(demo_case()).go("Measure").open("The bag: 14 clubs").open("One club at a time")
    person.choose("Club to edit", "7-iron").type("Lie", "").type("Loft", "")
    club = person.case.club("7i")
    assert [name for name, _ in club.estimated] == ["lie_deg", "loft_deg"]
    assert person.value("Lie") == "" and person.find("Lie").placeholder.startswith("about 6")
    (row,) = [r for r in person.rows("Clubs in the bag") if r[0] == "7-iron"]
    assert row[2].startswith("about ") and row[3].startswith("about ") and not row[1].startswith("about")
    told = next(c for c in person.state.result.layouts[0].clubs if c.id == "7i")
    assert told.estimated == ("lie_deg", "loft_deg")
    before = club.loft_deg
    person.choose("Club to edit", "8-iron").type(
        "Loft", "40"
    )  # what is told of its neighbours moves the estimate
    person.choose("Club to edit", "9-iron").type("Loft", "45")
    assert person.case.club("7i").loft_deg > before
    person.choose("Club to edit", "7-iron").type("Loft", "33.5")
    assert person.case.club("7i").loft_deg == 33.5 and person.value("Loft") == "33.5"
    assert [name for name, _ in person.case.club("7i").estimated] == ["lie_deg"]
    (doc,) = [c for c in person.case.to_doc()["bag"] if c["id"] == "7i"]
    assert doc["lie_deg"] is None and doc["loft_deg"] == 33.5 and "estimated" not in doc
