"""The bag in a minute: bags to start from, clubs in and out by chips, a row of figures at once, own bags kept."""

import json
from dataclasses import replace
from itertools import pairwise

import pytest

from app import bridge, edits
from app.demo import demo_case
from app.players import from_saved, new_case, norm_bag
from engine.documents.case import Club, Measured, Shot
from engine.workshop.norms import START_BAGS, norm_club, start_bag
from tests.app.driver import Person, with_balls


@pytest.fixture
def person():
    return Person().open("The bag")


def figures(person, name, *ids):
    return [getattr(person.case.club(i), name) for i in ids]


def test_an_unusual_bag_is_made_by_chips_that_stay_where_they_are(person):
    before = list(person.chip("Driver")[0].options)
    for name in ("Driver", "3-wood", "5-iron", "6-iron", "8-iron", "GW", "LW"):
        person.tap(name)
    person.tap("5-hybrid")
    assert [c.id for c in person.case.bag] == ["5w", "4h", "5h", "7i", "9i", "pw", "sw", "pt"]
    assert list(person.chip("Driver")[0].options) == before
    assert person.sees("The bag: 8 clubs")


def test_a_club_taken_out_and_put_in_again_has_the_figures_it_had(person):
    person.type("Figures of several clubs", "lofts from 27 by 4")
    person.tap("7-iron")
    assert "7i" not in [c.id for c in person.case.bag]
    person.tap("7-iron")
    assert figures(person, "loft_deg", "5i", "6i", "7i", "8i", "9i") == [27, 31, 35, 39, 43]


def test_taking_out_a_club_that_was_hit_says_so_and_undo_brings_its_balls_back(person):
    person.state.change(lambda c: with_balls(c, (Shot("7i", 140.0), Shot("7i", 141.0))), "balls")
    person.tap("7-iron")
    assert person.case.shots == () and "with 2 balls; Undo brings all back" in person.text()
    person.press("Undo")
    assert len(person.case.shots) == 2 and "Undone: 7-iron taken out" in person.text()


def test_the_last_club_stays(person):
    one = person.chip("Driver")[0]
    one.value = []
    assert len(person.case.bag) == 1 and len(one.value) == 1
    assert "needs at least one club" in person.text()


def test_a_row_of_figures_is_set_in_one_line_and_said(person):
    person.type("Figures of several clubs", "all irons 37 in")
    assert figures(person, "length_m", "5i", "9i") == pytest.approx([0.9398] * 2)
    assert "Length (cm): 5-iron 94.0" in person.text()
    person.choose("For", "Wedges")
    person.type("Figures of several clubs", "46 50 54 58")
    assert figures(person, "loft_deg", "pw", "gw", "sw", "lw") == [46, 50, 54, 58]
    person.press("Undo")
    assert figures(person, "loft_deg", "pw", "lw") == figures_of(norm_bag(None), "pw", "lw")


def figures_of(bag, *ids):
    return [next(c.loft_deg for c in bag if c.id == i) for i in ids]


def test_a_row_that_is_refused_stays_to_be_mended_and_changes_nothing(person):
    before = person.case
    person.type("Figures of several clubs", "26 30 34")
    assert person.case is before and "3 numbers for 5 clubs" in person.text()
    assert person.value("Figures of several clubs") == "26 30 34"


def test_lines_that_the_page_hands_over_at_enter_are_taken_by_the_field_of_that_name(person):
    """The page has freed the field; one that is refused is put back by what the field holds here."""
    for text in ("lofts of the irons 26 30 34 38 42", "all irons 37 in", "26 30"):
        bridge.receive("line", {"label": "Figures of several clubs", "text": text})
    assert person.case.club("7i").loft_deg == 34
    assert person.case.club("7i").length_m == pytest.approx(37 * 0.0254)
    assert person.value("Figures of several clubs") == "26 30"
    bridge.receive("line", {"label": "Figures of several clubs", "text": "wedge lofts 46 50 54 58"})
    assert person.value("Figures of several clubs") == "" and person.case.club("pw").loft_deg == 46
    before = person.case
    bridge.receive("line", {"label": "Another field", "text": "all irons 36 in"})
    assert person.case is before


@pytest.mark.parametrize(
    ("option", "loft", "length_in"),
    [
        ("Usual men\u2019s clubs", 34.5, 37),
        ("Usual women\u2019s clubs", 34.5, 36),
        ("Stronger lofts", 28.5, 37),
        ("Weaker lofts", 36, 37),
    ],
)
def test_bags_to_start_from(person, option, loft, length_in):
    person.choose("Start from", option)
    person.press("Use this bag")
    club = person.case.club("7i")
    assert (club.loft_deg, club.length_m) == (loft, pytest.approx(length_in * 0.0254))


@pytest.mark.parametrize("kind", START_BAGS)
@pytest.mark.parametrize("sex", ["female", None])
def test_lofts_of_a_bag_to_start_from_rise_club_by_club(kind, sex):
    """Common practice, no source: a set's lofts rise by 2 to 7.5 deg from iron to iron to the last wedge."""
    lofts = [c.loft_deg for c in start_bag(kind, sex=sex) if c.family in ("iron", "wedge")]
    steps = [b - a for a, b in pairwise(lofts)]
    assert all(2 <= step <= 7.5 for step in steps), steps


def test_the_bag_of_another_player_is_copied_and_a_club_that_was_hit_stays(person):
    person.state.change(lambda c: edits.player("label")(c, "Ann"), "named")
    person.state.change(lambda c: edits.club("7i", "loft_deg")(c, 31.0), "bent")
    own = Club("x7", "Seven", "iron", 0.94, 33.0, 62.0, 0.268)
    other = replace(new_case(), bag=(own, *norm_bag("female")[5:]), shots=(Shot("x7", 120.0),))
    person.state.add_player(other)
    person.choose("Start from", "Bag of Ann")
    person.press("Use this bag")
    assert person.case.club("7i").loft_deg == 31.0
    assert "x7" in [c.id for c in person.case.bag] and len(person.case.shots) == 1
    assert "Kept for their balls: Seven" in person.text()


def test_what_was_measured_at_the_bench_stays_with_the_clubs_that_stay(person):
    bench = (Measured("5i", length_m=0.96), Measured("7i", length_m=0.94), Measured("mine", loft_deg=50.0))
    mine = replace(norm_club("gw"), id="mine", name="Mine")
    case = demo_case()
    person.state.add_player(replace(case, bag=(*case.bag, mine), bench=bench))
    person.choose("Start from", "Weaker lofts").press("Use this bag")
    assert person.case.bench == bench[:2] and "mine" not in [c.id for c in person.case.bag]


def test_a_bag_is_kept_on_the_device_and_older_stores_open_as_before(person):
    person.type("Figures of several clubs", "lofts from 26 by 4")
    person.press("Keep this bag")
    person.type("Name of this bag", "Club house")
    person.press("Keep it")
    text = json.dumps(person.state.to_doc())
    again = Person(saved=text)
    again.state.add_player(new_case())
    again.open("The bag")
    again.choose("Start from", "Kept: Club house")
    again.press("Use this bag")
    assert again.state.case.club("6i").loft_deg == 30.0
    older = {k: v for k, v in json.loads(text).items() if k != "bags"}
    assert from_saved(json.dumps(older), []).templates == ()
    assert "bags" not in Person().state.to_doc()
    for spoilt in (7, [7], [{"name": 3, "bag": []}], [{"name": "x", "bag": "y"}], {"a": 1}):
        notices: list[str] = []
        assert from_saved(json.dumps({**older, "bags": spoilt}), notices).players
    again.press("Keep this bag")
    again.press("Remove the bag chosen above")
    assert again.state.store.templates == ()


def test_a_file_of_all_players_brings_their_kept_bags(person):
    person.state.keep_template("House", norm_bag("female"))
    person.state.change(lambda c: edits.player("label")(c, "Ann"), "named")
    other = Person()
    other.state.take_file(json.dumps(person.state.to_doc()))
    assert [t.name for t in other.state.store.templates] == ["House"]


def test_a_players_own_clubs_are_chips_too():
    person = Person()
    person.state.add_player(
        replace(demo_case(), bag=(*demo_case().bag, Club("x", "Chipper", "iron", 0.9, 38, 65, 0.29)))
    )
    person.open("The bag")
    person.tap("Chipper")
    assert "x" not in [c.id for c in person.case.bag]
    person.tap("Chipper")
    assert person.case.club("x").name == "Chipper"


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


def test_what_one_player_started_from_is_not_the_next_players_choice(person):
    person.choose("Start from", "Stronger lofts").press("Use this bag")
    first = person.state.store.open
    person.state.add_player(new_case())
    assert person.chosen("Start from") == "Usual men\u2019s clubs"
    person.state.add_player(replace(new_case(), player=replace(new_case().player, sex="female")))
    assert person.chosen("Start from") == "Usual women\u2019s clubs"
    person.choose("Start from", "Weaker lofts").type("Figures of several clubs", "all irons 37 in")
    assert person.chosen("Start from") == "Weaker lofts" and person.state.store.open != first


def test_the_bag_to_start_from_goes_with_the_player(person):
    """It still said women's clubs over a bag that had become a man's."""
    person = Person(new_case()).go("Measure").choose("Typical sizes", "Women\u2019s").open("The bag")
    assert person.chosen("Start from") == "Usual women\u2019s clubs"
    person.go("Hit").go("Measure").choose("Typical sizes", "Men\u2019s")
    assert person.chosen("Start from") == "Usual men\u2019s clubs"
    person.choose("Start from", "Weaker lofts").choose("Typical sizes", "Women\u2019s")
    assert person.chosen("Start from") == "Weaker lofts"


def test_one_of_a_thing_is_no_plural(person):
    for name in [n for n in person.chip("Driver")[0].options if n != "Putter"]:
        if person.tapped(name):
            person.tap(name)
    assert person.sees("The bag: 1 club") and not person.sees("The bag: 1 clubs")
