"""Lies on the screen: the mark is typed, the table follows, and one button takes them into every set."""

from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from app.phrases import phrase
from engine.documents.case import Layout, LayoutClub, Player, Shot
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.workshop.norms import norm_bag
from tests.app.driver import Person, all_hit, with_balls

FOLD = "Lies from a board, ball flight or the body"


def table(person):
    return {row[0]: row[1:] for row in person.rows("Lies to build")}


@pytest.fixture
def person():
    bag = tuple(replace(c, head_material="forged") for c in demo_case().bag)
    return Person(replace(demo_case(), bag=bag)).go("Measure").open(FOLD)


def test_the_body_alone_is_a_start_to_be_checked(person):
    assert "Going by the body alone, begin" in person.text() and "then check" in person.text()
    assert {row[-1] for row in list(table(person).values())[1:]} == {"body"}


def test_the_mark_in_millimetres_is_the_board_s_and_no_line_on_a_ball_s(person):
    assert "Hit off a lie board" in person.text() and "ink a line" not in person.text()


def test_a_mark_toward_the_heel_is_bent_flatter_and_the_body_no_longer_counts(person):
    person.choose("Club on the lie board", "7-iron").type("Mark toward the heel", "12")
    assert person.case.club("7i").lie_mark_m == pytest.approx(0.012)
    now, suits, build, bend, _, source = table(person)["7-iron"]
    assert (
        float(build) < float(now) - 1 and float(suits.split()[0]) < float(now) - 1 and source == "lie board"
    )
    assert bend.startswith("\u2212") and float(bend[1:]) == pytest.approx(float(now) - float(build))
    assert "the body no longer counts" in person.text()
    assert read_case(person.case.to_doc()) == person.case
    person.type("Mark toward the heel", "-12")
    assert float(table(person)["7-iron"][2]) > float(now) + 1
    person.type("Mark toward the heel", "")
    assert person.case.club("7i").lie_mark_m is None and "body alone" in person.text()


TAKE = "Take these lies into every set"


def sheet_lies(case):
    return {w.name: w.wanted.lie_deg for w in Fitting(case, 64).build.clubs}


def shown(person):
    return {name: float(row[2]) for name, row in list(table(person).items())[1:]}


def test_one_button_takes_them_into_every_set_which_stays_what_it_is(person):
    """One number everywhere: on Measure, on the sheet and in the set that is laid out; the player's lies, not the set's."""
    person.choose("Club on the lie board", "7-iron").type("Mark toward the heel", "6")
    before = person.case
    person.press(TAKE)
    assert person.case.layouts == before.layouts and person.case.bag == before.bag
    for layout in (*before.layouts, Layout("present", "present")):
        person.state.change(lambda case, id_=layout.id: edits.wants("layout")(case, id_), "which")
        assert person.state.fitting.layout.kind == layout.kind
        told, ordered = shown(person), sheet_lies(person.case)
        assert told == {name: ordered[name] for name in told}
        laid_out = {c.name: c.lie_deg for c in person.state.fitting.clubs}
        fits = {w.name for w in person.state.fitting.build.clubs if w.feasible}
        assert {n: laid_out[n] for n in told if n in fits} == {n: told[n] for n in told if n in fits}
    work = {c.name: [a.kind for a in c.actions] for c in person.state.fitting.build.clubs}
    assert "work.bend_lie" in work["7-iron"] and "work.cut" not in work["7-iron"]
    assert read_case(person.case.to_doc()) == person.case
    person.press("Leave the lies as they are")
    assert all("work.bend_lie" not in x for x in sheet_actions(person.case).values())
    assert not person.sees("Leave the lies as they are")


def sheet_actions(case):
    return {c.name: [a.kind for a in c.actions] for c in Fitting(case, 64).build.clubs}


def test_a_head_that_does_not_bend_so_far_is_told_beside_its_lie():
    """Of unknown material a head is bent a degree at most (common practice)."""
    person = Person(edits.club("7i", "lie_mark_m")(demo_case(), 0.012)).go("Measure").open(FOLD)
    assert table(person)["7-iron"][3] == "another head"
    (work,) = [w for w in Fitting(edits.lies(person.case, True), 64).build.clubs if w.id == "7i"]
    assert not work.feasible and f"{work.wanted.lie_deg:g}" == table(person)["7-iron"][2]


FACE_AND_PATH = "face and path send a ball to one side too"


def test_lies_from_ball_flight_alone_say_what_else_turns_a_ball(person):
    """Balls to the right overruled the body without a word of face and path; a lie board decides."""
    assert FACE_AND_PATH not in person.text().lower()
    right = [Shot("7i", carry_m=130.0, side_m=x) for x in (6.0, 7.0, 8.0, 9.0)]
    flown = Person(with_balls(person.case, right)).go("Measure").open(FOLD)
    assert table(flown)["7-iron"][-1] == "ball flight" and FACE_AND_PATH in flown.text().lower()
    assert [s.kind for s in flown.state.fitting.lies[0].statements] == ["lie.by_flight"]
    flown.go("Build")
    assert FACE_AND_PATH not in flown.text().lower()  # no lies are ordered
    flown.go("Measure").press(TAKE).go("Build")
    assert FACE_AND_PATH in flown.text().lower()
    flown.go("Measure").choose("Club on the lie board", "9-iron").type("Mark toward the heel", "2")
    assert FACE_AND_PATH not in flown.text().lower()
    flown.go("Build")
    assert FACE_AND_PATH not in flown.text().lower()


def test_lies_of_which_nothing_tells_are_not_taken():
    person = Person(replace(demo_case(), player=Player())).go("Measure").open(FOLD)
    person.press(TAKE)
    assert person.case.wants.lies is None and "Nothing says yet" in person.text()


def test_lies_and_lengths_go_into_the_set_to_build(person):
    person.press("Take lies and lengths")
    fit = {c.id: c.length_m for c in person.state.fitting.body.clubs}
    assert person.case.wants.lies == "fitted" and person.state.fitting.layout.kind == "own"
    assert all(c.lie_deg is None for c in person.state.fitting.layout.clubs)
    # a set that comes of it is called by its name
    assert "a new set, \u201cOwn lengths\u201d, has the lengths from the body" in person.text()
    told = shown(person)
    assert told == {n: x for n, x in sheet_lies(person.case).items() if n in told}
    layouts = len(person.case.layouts)
    person.press("Take lies and lengths")
    assert len(person.case.layouts) == layouts and fit  # into the same set
    person.press("Undo")  # the second time nothing changed
    assert person.case.layouts == demo_case().layouts and person.case.wants.lies is None


BOTH = "Take lies and lengths"


def with_lengths(person):
    """What the table offers of lies at the lengths from the body; nothing where the set has those."""
    head = table(person)["Club"]
    (at,) = [i for i, title in enumerate(head) if title.startswith("with the lengths")] or [None]
    return (
        {}
        if at is None
        else {n: float(row[at].split()[0]) for n, row in table(person).items() if n != "Club"}
    )


def build(person):
    person.go("Build").press("It is built: make this the present bag")
    if person.sees("They came out as planned: use this as the present bag"):
        person.press("They came out as planned: use this as the present bag")
    return person.go("Measure")


def test_lengths_from_the_body_are_taken_once(person):
    """Half an inch off the usual length is half an inch, however often it is asked for, and after the set was built."""
    usual = {c.id: c.length_m for c in person.state.fitting.planned}
    person.press(BOTH)
    once = {c.id: c.length_m for c in person.state.fitting.planned}
    assert any(abs(once[i] - usual[i]) > 0.005 for i in usual)
    assert "set to build has the lengths" not in person.text()
    person.press(BOTH)
    assert {c.id: c.length_m for c in person.state.fitting.planned} == once
    assert "set to build has the lengths" in person.text() and not with_lengths(person)
    build(person)
    made = {c.id: c.length_m for c in person.state.fitting.present}
    before = person.case.layouts
    person.press(BOTH)
    assert {c.id: c.length_m for c in person.state.fitting.planned} == made and person.case.layouts == before


@pytest.mark.parametrize("kind", ["single", "two_lengths", "stepped"])
def test_a_set_of_one_length_stays_one_as_the_body_has_it(person, kind):
    person.state.change(lambda c: replace(c, layouts=(Layout("x", kind),)), "one")
    person.state.change(lambda c: edits.wants("layout")(c, "x"), "which")
    was = {c.id: c.length_m for c in person.state.fitting.planned if is_iron(c)}
    for _ in range(2):
        person.press(BOTH)
        now = {c.id: c.length_m for c in person.state.fitting.planned if is_iron(c)}
        apart = {round(now[i] - was[i], 5) for i in was}
        assert len(apart) == 1


@pytest.mark.parametrize(
    "layout",
    [
        Layout("x", "single"),
        Layout("x", "single", common_length_m=0.9652),
        Layout("x", "single_wedges"),
        Layout("x", "two_lengths"),
        Layout("x", "stepped", length_step_m=0.009525),
    ],
    ids=lambda x: f"{x.kind} {x.common_length_m}",
)
def test_a_set_is_still_of_its_kind_when_it_is_built(person, layout):
    """A built single-length set was offered stepped lengths."""
    person.state.change(lambda c: replace(c, layouts=(layout,)), "one")
    person.state.change(lambda c: edits.wants("layout")(c, "x"), "which")
    person.press(BOTH)
    taken = {c.id: c.length_m for c in person.state.fitting.body.clubs}
    build(person)
    for case in (person.case, read_case(person.case.to_doc())):
        assert {c.id: c.length_m for c in Fitting(case, 64).body.clubs} == pytest.approx(taken, abs=1e-6)
    assert "set to build has the lengths" not in person.text()
    before = person.case.layouts
    person.press(BOTH)
    assert "set to build has the lengths" in person.text() and person.case.layouts == before


def test_a_set_as_ordered_is_still_of_one_length(person):
    """What a build left to be done, and lengths that a taller player takes next, are of the kind that was built."""
    person.state.change(lambda c: replace(c, layouts=(Layout("x", "single", common_length_m=0.9652),)), "one")
    person.state.change(lambda c: edits.wants("layout")(c, "x"), "which")
    person.go("Build").choose("Club on the bench", "9-iron").type("Measured length", "95.5")
    build(person)
    for chosen in ("built", "ordered"):
        person.state.change(lambda c, to=chosen: edits.wants("layout")(c, to), "which")
        offered = {round(c.length_m, 4) for c in person.state.fitting.body.clubs}
        assert len(offered) == 1 and min(offered) > 0.9652
    person.state.change(lambda c: edits.wants("layout")(c, "built"), "which")
    person.press(BOTH)
    assert person.state.fitting.layout.kind == "own"
    assert {round(c.length_m, 4) for c in person.state.fitting.body.clubs} == offered


def test_a_set_of_one_length_that_is_made_stepped_by_hand_is_stepped(person):
    person.state.change(lambda c: replace(c, layouts=(Layout("x", "single"),)), "one")
    person.state.change(lambda c: edits.wants("layout")(c, "x"), "which")
    build(person)
    lengths = {c.id: c.length_m for c in norm_bag("female") if is_iron(c)}
    person.state.change(edits.row(list(lengths), "length_m", list(lengths.values())), "others")
    assert len({round(c.length_m, 4) for c in person.state.fitting.body.clubs}) > 5


def test_what_is_offered_is_what_each_button_orders(person):
    here, there = shown(person), with_lengths(person)
    assert there
    person.press(TAKE)
    ordered = sheet_lies(person.case)
    assert {n: ordered[n] for n in here} == here == shown(person)
    assert with_lengths(person) == there
    person.press(BOTH)
    ordered = sheet_lies(person.case)
    assert {n: ordered[n] for n in there} == there == shown(person)


def test_a_present_set_of_which_only_lies_change_has_no_lofts_bent(person):
    """On the sheet, in the list and at the table alike."""
    person.press(TAKE).go("Build")
    assert "lofts bent" not in person.text() and "Present set, lies fitted: " in person.text()
    assert person.chosen("Set to build") == "Present set, lies fitted"
    person.state.change(lambda case: edits.wants("gap_m")(all_hit(case), 15.0), "gap")
    assert person.chosen("Set to build") == "Present set, lofts bent, lies fitted"


def test_what_was_done_is_not_said_of_another_player(person):
    person.press(BOTH)
    assert "Every set takes these lies" in person.text()
    other = replace(demo_case(), player=replace(demo_case().player, height_m=1.7))
    person.state.add_player(other, "another")
    person.go("Measure")
    assert FOLD and "Every set takes these lies" not in person.text()


def test_the_words_at_the_table_do_not_contradict_each_other():
    """'The lies you have suit the body' stood beside 'begin up to 0.5 deg upright'."""
    for height in (1.70, 1.76, 1.80, 1.84):
        case = replace(demo_case(), player=Player(sex="male", height_m=height), bag=norm_bag("male"))
        person = Person(case).go("Measure").open(FOLD).open("Length, lie and grip from body measures")
        assert "the lies you have suit" not in person.text() and "Going by the body alone" in person.text()
        bent = any(float(row[3].replace("\u2212", "-")) for row in list(table(person).values())[1:])
        assert ("the bends only" in person.text()) <= bent and ("hardly anything" in person.text()) == (
            height == 1.76
        )


def test_how_a_best_guess_becomes_a_bend_is_said(person):
    said = person.text()
    assert (
        "moves by steps of 0.5" in said and "never past the best guess" in said and "further than 4" in said
    )
    assert table(person)["Club"][1].startswith("best guess")


def test_the_verdict_does_not_hold_lies_against_a_set(person):
    """What fits the player is wanted for the present set as well: taking it makes no set dearer beside another."""
    case = replace(
        demo_case(),
        bag=tuple(replace(c, head_material="forged") for c in demo_case().bag),
        layouts=(Layout("now", "present"), Layout("mine", "own", clubs=(LayoutClub("7i", loft_deg=33.0),))),
    )
    mine = tuple(LayoutClub(c.id, loft_deg=33.0 if c.id == "7i" else None) for c in case.bag if is_iron(c))
    case = replace(case, layouts=(case.layouts[0], Layout("mine", "own", clubs=mine)))
    case = edits.club("7i", "lie_mark_m")(case, 0.012)
    plain, taken = (Fitting(x, 64).verdict for x in (case, edits.lies(case, True)))
    assert plain.work == taken.work and taken.work.clubs == 1
    assert len([w for w in Fitting(edits.lies(case, True), 64).build.clubs if w.minutes]) > 5
    (line,) = [phrase(s, "metric") for s in taken.lines if s.kind == "verdict.work"]
    assert line == "1 club to work on (5 min); fitting the lies comes on top for every set"


def is_iron(club):
    return club.family in ("iron", "wedge")


def test_a_reading_of_the_old_lie_is_not_lost_when_the_set_is_built(person):
    person.choose("Club on the lie board", "7-iron").type("Mark toward the heel", "12")
    person.press(TAKE)
    was = {name: row[1] for name, row in table(person).items()}
    assert "work.bend_lie" in sheet_actions(person.case)["7-iron"]
    ordered = {w.name: w.target.lie_deg for w in person.state.fitting.build.clubs}
    person.go("Build").press("It is built: make this the present bag")
    if person.sees("They came out as planned: use this as the present bag"):
        person.press("They came out as planned: use this as the present bag")
    assert person.case.wants.lies is None and person.case.club("7i").lie_mark_m is None
    person.go("Measure")
    now = table(person)
    assert {name: row[1] for name, row in now.items()} == was  # the player needs what he needed
    assert now["7-iron"][-1] == "lie board" and float(now["7-iron"][0]) == ordered["7-iron"]
    assert all(row[2] == row[0] for row in list(now.values())[1:])  # and nothing is left to bend
    person.choose("Club on the lie board", "7-iron (before)")
    assert person.value("Mark toward the heel").startswith("12")
    person.type("Mark toward the heel", "")
    assert "7-iron (before)" not in person.options("Club on the lie board")
    assert "body alone" in person.text() or "where they were begun" in person.text()


def test_a_reading_counts_once_where_only_the_loft_was_bent():
    case = edits.club("7i", "lie_mark_m")(demo_case(), 0.006)
    clubs = Fitting(case, 16).present
    same = edits.built(case, clubs)
    assert same.club("7i").lie_mark_m == 0.006
    weak = tuple(replace(c, loft_deg=c.loft_deg + 1) if c.id == "7i" else c for c in clubs)
    marks = [c.lie_mark_m for c in edits.built(case, weak).bag if c.lie_mark_m is not None]
    assert marks == [0.006]
    bent = tuple(replace(c, lie_deg=c.lie_deg - 1) if c.id == "7i" else c for c in clubs)
    after = edits.built(case, bent)
    assert [(c.became, c.lie_mark_m) for c in after.bag if c.lie_mark_m is not None] == [("7i", 0.006)]


def test_what_to_begin_with_is_what_the_table_has(person):
    """'Begin about 1.5 deg' stood over bends of 2 and 1 deg."""
    person.type("Height", "198")
    bends = {row[3] for row in list(table(person).values())[1:]}
    ends = sorted(float(b.replace("\u2212", "-")) for b in bends)
    said = person.text().replace("\u00b0", "")
    low = f"{ends[0]:g} to " if ends[0] else "up to "
    assert f"begin {low if ends[0] != ends[-1] else ''}{ends[-1]:g} upright" in said
