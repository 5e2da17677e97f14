"""Part swings at the dashboard: named, noted, asked for on Play, on the card, in text, files and links."""

import math
import re
from dataclasses import replace
from types import SimpleNamespace

import pytest

from app import link
from app.demo import demo_case
from app.paste import understand
from app.phrases.report import report
from engine.documents.case import SwingSize
from engine.documents.reading import restore
from engine.fitting.sections import document
from tests.app.driver import Person, all_hit

HIP, CHEST = SwingSize("size1", "to the hip"), SwingSize("size2", "to the chest")
NAMED = replace(demo_case(), swing_sizes=(HIP, CHEST))


def noted(person, *carries, club="SW", swing="to the hip"):
    person.go("Hit").tap(club).tap(swing)
    for carry in carries:
        person.type("Carry", carry).press("Add ball")
        assert person.value("Carry") == ""
    return person


def test_a_part_swing_is_named_by_taps_and_its_balls_noted_under_it():
    person = Person(demo_case()).go("Hit")
    before = person.state.fitting.posterior
    person.open("Part swings").press("to the hip")
    assert [s.name for s in person.case.swing_sizes] == ["to the hip"]
    noted(person, "41", "42", "40")
    assert [(s.carry_m, s.swing_size) for s in person.case.shots[-3:]] == [
        (m, "size1") for m in (41.0, 42.0, 40.0)
    ]
    assert "3 balls, last 40\u00a0m, mean 41\u00a0m" in person.text().replace("40 m", "40\u00a0m").replace(
        "41 m", "41\u00a0m"
    )
    assert person.sees("Carry, Sand wedge, to the hip (m)")
    assert person.state.fitting.posterior is before  # full swings have nothing to do with it
    person.tap("8i")
    assert "part: wedges only" in " ".join(person.chip("Full swing")[0].options)
    told = "When a wedge is chosen it stands below the clubs"
    assert told in person.text()
    person.tap("PW")
    assert "wedges only" not in " ".join(person.chip("Full swing")[0].options)
    assert person.tapped("Full swing")  # another club begins full, as it begins with the full grip


def test_balls_of_a_part_swing_are_listed_removed_and_undone_like_others():
    person = noted(Person(NAMED), "41", "42", "5")
    person.press("Remove last ball")
    assert [s.carry_m for s in person.case.shots[-2:]] == [41.0, 42.0]
    person.press("Undo")
    assert person.case.shots[-1].carry_m == 5.0
    person.open("Balls of the Sand wedge")
    head, *rows = person.rows("Sand wedge, as hit")
    assert head[:4] == ["Ball", "Carry", "Swing", "Grip"]
    assert [row[2] for row in rows[-3:]] == ["to the hip"] * 3
    person.tap("Full swing")
    full = len(person.case.shots)
    assert person.find("Remove last ball").disabled and len(person.case.shots) == full


def test_a_refused_carry_stays_and_says_so_under_a_part_swing_too():
    person = Person(NAMED).go("Hit").tap("SW").tap("to the hip").type("Carry", "4o").press("Add ball")
    assert person.value("Carry \u201c4o\u201d") == "4o" and person.case.shots == NAMED.shots


def test_names_clubs_and_an_end_of_part_swings():
    person = Person(NAMED).go("Hit").open("Part swings")
    person.type("Name of a new part swing", "low runner")
    assert person.value("Name of a new part swing") == ""
    assert [s.name for s in person.case.swing_sizes] == ["to the hip", "to the chest", "low runner"]
    person.type("Name of a new part swing", "one more")
    assert "A club can have 3 part swings. Remove one first." in person.text()
    assert len(person.case.swing_sizes) == 3
    person.type("Its name", "bump").tap("9-iron")
    assert person.case.swing_sizes[-1] == SwingSize("size3", "bump", ("9i",))
    assert person.case.swing_sizes[-1].clubs == ("9i",)
    noted(person, "60", club="9i", swing="bump")
    assert person.case.shots[-1].swing_size == "size3"
    person.press("Remove this part swing and its balls").press("Yes, remove")
    assert person.case.swing_sizes == (HIP, CHEST) and person.case.shots == NAMED.shots
    person.press("Undo")
    assert person.case.swing_sizes[-1].name == "bump" and person.case.shots[-1].swing_size == "size3"
    person.type("Name of a new part swing", "to the hip")
    assert "There is a swing called \u201cto the hip\u201d already." in person.text()


def test_enter_adds_a_part_swing_once():
    """The browser tells of Enter by itself, with the text again, after the change of the field was dealt with."""
    person = Person(NAMED).go("Hit").open("Part swings")
    person.type("Name of a new part swing", "low runner")
    field = person.find("Name of a new part swing")
    field._process_event(SimpleNamespace(event_name="enter-pressed", value_input="low runner"))
    assert person.case.swing_sizes[-1].name == "low runner" and "already" not in person.text()


def test_play_says_plainly_when_no_part_swing_is_named_or_hit():
    person = Person(demo_case()).go("Play").type("Distance to carry", "45")
    assert "Name a part swing under Hit and note three balls of it." in person.text()
    person = Person(NAMED).go("Play").type("Distance to carry", "45")
    assert "Nobody has hit these part swings: to the hip and to the chest." in person.text()
    person.type("Distance to carry", "390")
    assert (
        "beyond any full swing" in person.text() and "part swing" not in person.text().split("beyond")[1][:60]
    )


@pytest.fixture(scope="module")
def played():
    return noted(Person(NAMED), "41", "42", "40").go("Play")


def test_play_answers_a_short_distance_with_club_and_swing(played):
    played.type("Distance to carry", "42")
    assert "Sand wedge, to the hip" in played.text()
    _, *rows = played.rows("Chances of one swing")
    assert rows[0][0] == "Sand wedge, to the hip" and int(re.search(r"\d+", rows[0][1])[0]) >= 50
    assert "chance of landing within 5 m of 42 m" in played.text()


def test_the_card_holds_the_wedge_table(played):
    head, *rows = played.rows("Wedges by swing")
    assert head == ["Club (m)", "full", "to the hip", "to the chest"]  # the print has no caption
    cells = {row[0]: row[1:] for row in rows}
    assert re.fullmatch(r"4\d \d\d\u20134\d", cells["SW"][1])  # hit: no mark
    assert re.match(r"\d\d\*", cells["LW"][1])  # predicted
    assert cells["SW"][2] == "not known yet"
    card = {row[0]: row[1] for row in played.rows("Carry card")[1:]}
    assert cells["PW"][0].split()[0] == card["Pitching wedge"]
    assert "not hit yet: predicted from other balls" in played.text().lower()
    assert "nothing between" in played.text()  # a gap below the shortest full wedge


def test_the_card_as_a_picture_has_the_part_swings_that_are_known(played):
    played.open("Card as a picture")
    drawn = played.markup()
    assert ">SW, to the hip<" in drawn and ">LW, to the hip<" in drawn and "to the chest</text>" not in drawn
    assert "* Not hit yet" in drawn


def test_no_wedge_table_without_part_swings():
    person = Person(demo_case()).go("Play")
    with pytest.raises(AssertionError, match="no table"):
        person.rows("Wedges by swing")


def test_a_wanted_gap_bends_the_set_to_build():
    person = noted(Person(NAMED), "41", "42", "40").go("Play")
    person.type("Widest gap wanted between wedge carries", "12")
    assert person.case.wants.part_gap_m == 12.0
    assert "Hit each wedge before any is bent" in person.text()
    person.state.change(all_hit, "hit")
    assert "widest gap between wedge carries" in person.text().lower()
    lofts = person.state.fitting.wedge_lofts
    moved = [c for c in lofts.clubs if c.wanted_loft_deg != c.loft_deg]
    for club in moved:
        assert f"Bend the {club.name}" in person.text()


def test_a_green_is_gone_for_with_a_part_swing_too(played):
    played.type("Distance to carry", "42").tap("A green")
    _, *rows = played.rows("Chances of one swing")
    assert any(row[0] == "Sand wedge, to the hip" for row in rows)
    played.tap("A distance")


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_the_words_stand_in_both_units(system):
    person = noted(Person(NAMED), "41", "42", "40")
    person.state.set_units(system)
    person.go("Play")
    name = {"metric": "(m)", "imperial": "(yd)"}[system]
    assert person.rows(f"Wedges by swing, carry {name}")
    assert ("yd" if system == "imperial" else " m") in person.text()


# text, files and links

TEXTS = {
    "SW to the hip 41 42 40\nSW 80 81": "hip 41, hip 42, hip 40, full 80, full 81",
    "SW To The Hip: 41, 42": "hip 41, hip 42",
    "SW\nto the hip 41 42": "hip 41, hip 42",
    "club,swing,carry (m)\nsw,to the hip,41\nsw,full,80\nsw,to the knee,30\nsw,half,41": "hip 41, full 80",
    "club,carry (m)\nsw to the hip,41\n,42\nsw,80": "hip 41, hip 42, full 80",
    "club,swing,carry (m)\nsw,to the knee,30\nsw,,80": "full 80",
    "club,note,carry (m)\nsw,nice one,79\nsw,,80": "full 79, full 80",
    "club,note,carry (m)\nsw,to the chest,55\nsw,,80": "chest 55, full 80",
    # what may be either is left out
    "SW to the hip 41 42\n45 46": "hip 41, hip 42",
    "SW to the hip\n45 46": "",
    "SW to the hip 41, PW 110": "",
    "SW to the hip 41 to the chest 55": "",
    "SW half 41": "",
}


@pytest.mark.parametrize("text", TEXTS)
def test_a_text_or_a_file_says_which_swing_it_was(text):
    seen = understand(text, NAMED, "metric")
    called = {None: "full", "size1": "hip", "size2": "chest"}
    assert all(b.club == "sw" for b in seen.balls)
    assert ", ".join(f"{called[b.swing_size]} {b.carry_m:.0f}" for b in seen.balls) == TEXTS[text]


def test_left_out_lines_say_why():
    said = " ".join(understand("SW to the hip 41, PW 110\nSW half 41", NAMED, "metric").problems)
    assert "write one club, one such swing and their carries on a line" in said
    assert "such balls count once the swing has a name under Hit" in said


def test_a_name_for_several_clubs_is_the_one_of_the_club():
    sizes = (SwingSize("a", "low one", ("pw",)), SwingSize("b", "low one", ("sw",)))
    case = replace(demo_case(), swing_sizes=sizes)
    seen = understand("SW low one 41\nPW low one 60", case, "metric")
    assert [(b.club, b.swing_size) for b in seen.balls] == [("sw", "b"), ("pw", "a")]


def test_balls_after_the_build_are_full_swings():
    seen = understand("SW to the hip 41 42\nSW 80 81", NAMED, "metric", full_only=True)
    assert [round(b.carry_m) for b in seen.balls] == [80, 81]
    assert any("not a full swing" in line for line in seen.problems)


def test_links_and_documents_keep_part_swings():
    case = noted(Person(NAMED), "41", "42", "40").case
    opened = link.read(link.make(case).hash)
    assert opened.case.shots == case.shots and opened.case.swing_sizes == case.swing_sizes
    assert not opened.notes
    assert restore(case.to_doc()).case == case


@pytest.mark.parametrize(("system", "carry"), [("metric", "41 m"), ("imperial", "45 yd")])
def test_the_command_line_tells_the_wedge_table(system, carry):
    case = noted(Person(NAMED), "41", "42", "40").case
    said = report(document(case, draws=64), system).split("Wedges and part swings")[1]
    assert f"Sand wedge, to the hip: {carry}" in said.replace("\u00a0", " ")
    assert "Lob wedge, to the hip: " in said and "predicted from other balls" in said
    assert "Gap wedge, to the chest: not known yet, 3 balls will do" in said
    assert "of full head speed" in said and "A gap of" in said


def test_a_name_is_something_typed():
    from app.players import is_blank, new_case

    assert is_blank(new_case()) and not is_blank(replace(new_case(), swing_sizes=(HIP,)))


def test_a_shortened_link_keeps_some_balls_of_every_swing():
    case = NAMED
    shots = tuple(
        replace(shot, club="sw", carry_m=30.0 + 1000 * math.sin(n) % 30, swing_size=size)
        for size in (None, "size1", "size2")
        for n, shot in enumerate(demo_case().shots[:1] * 900)
    )
    case = replace(case, shots=shots)
    opened = link.read(link.make(case).hash).case
    assert len(opened.shots) < len(shots)
    assert {s.swing_size for s in opened.shots} == {None, "size1", "size2"}


def test_a_removed_club_takes_the_part_swing_that_was_for_it_alone():
    from app import edits

    low = SwingSize("low", "low one", ("sw",))
    both = SwingSize("two", "two", ("sw", "pw"))
    case = edits.drop_club(replace(demo_case(), swing_sizes=(HIP, low, both)), "sw")
    assert case.swing_sizes == (HIP, replace(both, clubs=("pw",)))


def test_a_name_is_never_markup():
    case = replace(demo_case(), swing_sizes=(SwingSize("x", "<img src=x>"),))
    person = noted(Person(case), "41", "42", "40", swing="<img src=x>").open("Balls of the Sand wedge")
    on_hit = person.markup()
    on_play = person.go("Play").type("Distance to carry", "42").open("Card as a picture").markup()
    for markup in (on_hit, on_play):
        assert "<img" not in markup and "&lt;img src=x&gt;" in markup
