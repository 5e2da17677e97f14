"""Sessions as a person meets them under Hit: today's by itself, earlier ones to look at, mend, move and delete; files."""

import json
import re
from dataclasses import replace

import numpy as np
import pytest

from app import bridge, edits, link, sessions
from app.demo import demo_case
from app.phrases.tally import tally
from app.players import new_case
from app.state import State
from engine.documents.case import Case, Conditions, Session, Shot
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.swing.then_and_now import then_and_now
from tests.app.driver import Person


@pytest.fixture
def person(clock):
    return Person().go("Hit")


def hit(person, *texts):
    bridge.receive("entered", {"numbers": [{"text": str(t), "mends": False} for t in texts]})


def line(person):
    """The one line of the day."""
    folds = [b.label.replace("\u00a0", " ") for b in person.seen() if "fold" in (b.css_classes or ())]
    return folds[0]


def days(person):
    return {s.date: [b.carry_m for b in person.case.shots if b.session == s.id] for s in person.case.sessions}


OLD = replace(new_case(), shots=tuple(Shot("7i", c) for c in (150.0, 152.0, 149.0)))  # as version 1 had it


# today


def test_the_first_ball_opens_the_session_of_the_day_and_nobody_need_know(person):
    assert line(person) == "Today, 3 May: weather and place"
    hit(person, 140, 141)
    assert days(person) == {"2031-05-03": [140, 141]}
    assert line(person) == "Today, 3 May: weather and place"
    assert " session" not in person.text()  # no word of it anywhere
    person.press("Undo").press("Undo")
    assert person.case.sessions == () and person.case.shots == ()


def test_another_day_is_another_session_and_older_balls_stay_where_they_are(person, clock):
    hit(person, 140)
    assert not person.sees("Place") and not person.sees("Session")  # the line is shut
    clock("2031-05-09")
    hit(person, 142, 143)
    assert days(person) == {"2031-05-03": [140], "2031-05-09": [142, 143]}
    assert line(person) == "Today, 9 May: weather, 1 earlier session"
    assert person.case.to_doc()["version"] == 2
    person.open("Today")
    assert person.rows("Sessions") == [["Session", "Balls"], ["Today, 9 May", "2"], ["3 May", "1"]]
    assert "From one day to another carries differ" in person.text()


def test_one_day_is_a_document_of_version_1_with_the_figures_of_balls_without_a_day(person):
    hit(person, 140, 141, 139)
    dated = person.case
    undated = replace(dated, sessions=(), shots=tuple(replace(s, session=None) for s in dated.shots))
    assert dated.to_doc()["version"] == 1 and link.make(dated).hash.startswith("#v1.")
    for one, other in zip(Fitting(dated, 64).layouts, Fitting(undated, 64).layouts, strict=True):
        assert one.clubs == other.clubs


def test_a_session_that_gets_another_day_goes_on_being_filled_until_another_one_is_chosen(person):
    hit(person, 140, 141)
    person.open("Today").type("Date", "25 Apr 2031")
    hit(person, 142)
    assert days(person) == {"2031-04-25": [140, 141, 142]}
    said = "The balls you add go into the session of 25 Apr."
    assert said in person.text().replace("\u00a0", " ") and line(person).startswith("25 Apr: ")
    assert "last 142" in person.text().replace("\u00a0", " ")
    person.press("Remove last ball")
    assert days(person) == {"2031-04-25": [140, 141]}
    paste(person, "7i 139 137").press("Add these balls")
    assert days(person) == {"2031-04-25": [140, 141, 139, 137]}
    person.choose("Session", "Today, 3 May: 0 balls")
    assert "The balls you add today go into this session." in person.text()
    hit(person, 150)
    person.choose("Session", "25 Apr: 4 balls")
    assert "The balls you add go into today\u2019s session, not into this one." in person.text()
    hit(person, 151)
    assert days(person) == {"2031-04-25": [140, 141, 139, 137], "2031-05-03": [150, 151]}
    person.press("Add the next balls to this session")
    assert said in person.text().replace("\u00a0", " ")
    assert not person.sees("Add the next balls to this session")
    hit(person, 138)
    assert days(person)["2031-04-25"] == [140, 141, 139, 137, 138]
    person.go("Players, share, files").press("New player").go("Hit")
    hit(person, 120)
    assert days(person) == {"2031-05-03": [120]}  # what is filled is one player's


def test_balls_from_before_are_an_earlier_session_without_a_date_that_can_be_given_one(clock):
    person = Person(OLD).go("Hit")
    assert line(person) == "Earlier balls, no date: weather and place"
    hit(person, 145)
    assert [s.session for s in person.case.shots] == [None, None, None, "310503"]
    person.open("Today")
    assert "Balls without a date count as one earlier session." in person.text()
    assert person.options("Session") == ["Today, 3 May: 1 ball", "Earlier balls, no date: 3 balls"]
    person.choose("Session", "Earlier balls, no date: 3 balls")
    assert "count as one earlier session" in person.text()
    person.type("Date", "20.4.2031")
    assert days(person) == {"2031-04-20": [150, 152, 149], "2031-05-03": [145]}
    assert person.chosen("Session") == "20 Apr: 3 balls" and person.value("Date") == "20 Apr 2031"
    person.press("Undo")
    assert [s.session for s in person.case.shots] == [None, None, None, "310503"]


def test_an_old_player_opens_as_he_did_until_he_hits_again(clock):
    state = State(saved=json.dumps({"format": "fettle-case", **OLD.to_doc()}))
    assert state.case.shots == OLD.shots and state.case.to_doc()["version"] == 1 and not state.case.sessions


# what is told of a session


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("yesterday", "must be a day, such as 20 Oct 2026"),
        ("31.2.2031", "must be a day"),
        ("3/4/2031", "can be 4 Mar 2031 or 3 Apr 2031: write the month in letters"),
        ("1 Jun 2031", "is in the future"),
    ],
)
def test_a_date_that_is_none_or_could_be_two_is_refused_in_its_label(person, typed, said):
    hit(person, 140)
    person.open("Today").type("Date", typed)
    assert said in person.find("Date").label and person.case.sessions[0].date == "2031-05-03"
    assert person.value("Date") == typed  # stays to be mended
    person.type("Date", "2 May 2031")
    assert person.find("Date").label == "Date" and person.case.sessions[0].date == "2031-05-02"


def test_place_balls_clubs_and_note_are_kept_and_shown_as_plain_text(person):
    person.open("Today")
    person.type("Place", " <b>North</b> range ").type("Balls used", "old ones").type(
        "Note on this session", "a\nb <i>"
    )
    person.choose("Clubs hit, for the record", "Stepped lengths")
    (session,) = person.case.sessions
    assert (session.place, session.balls, session.note) == ("<b>North</b> range", "old ones", "a\nb <i>")
    assert session.layout == "stepped" and session.date == "2031-05-03"
    hit(person, 140)
    assert person.case.shots[0].session == session.id
    assert line(person) == "Today, 3 May, <b>North</b> range"
    hit(person, 141)
    assert "<b>North" not in person.markup() and "<i>" not in person.markup()
    person.press("Undo").press("Undo").press("Undo")
    assert person.case.sessions[0].layout is None


def test_the_weather_of_one_day_leaves_that_of_the_others(person, clock):
    person.open("Today").type("Temperature", "5").type("Wind", "4")
    hit(person, 140, 141)
    assert person.case.conditions.wind_mps == 4 and person.case.to_doc()["version"] == 1
    clock("2031-05-09")
    hit(person, 150)
    first, second = person.case.sessions
    assert sessions.air(person.case, second.id) == Conditions(temperature_c=5.0)  # nobody has felt its wind
    assert line(person) == "Today, 9 May: 5 °C, 1 earlier session"
    person.type("Temperature", "25").choose("Hit indoors", "Yes")
    assert sessions.air(person.case, second.id) == Conditions(temperature_c=25.0, indoors=True)
    assert sessions.air(person.case, first.id) == Conditions(temperature_c=5.0, wind_mps=4.0)
    person.choose("Session", "3 May: 2 balls").type("Temperature", "6")
    assert sessions.air(person.case, first.id).temperature_c == 6
    assert sessions.air(person.case, second.id).temperature_c == 25
    person.type("Temperature", "200")
    assert (
        "must be" in person.find("Temperature").label
        and sessions.air(person.case, first.id).temperature_c == 6
    )


def test_range_balls_are_those_of_today(clock):
    person = Person(OLD).go("Hit").tap("Range balls")
    assert "Today’s balls only" in person.text() and not person.case.conditions.range_ball
    hit(person, 130)
    assert [sessions.air(person.case, key).range_ball for key in ("310503", sessions.UNDATED)] == [
        True,
        False,
    ]
    assert person.case.to_doc()["version"] == 2


def test_the_weather_of_balls_without_a_date_leaves_that_of_dated_ones(clock):
    person = Person(OLD).go("Hit")
    hit(person, 145)
    person.open("Today").choose("Session", "Earlier balls, no date: 3 balls").type("Temperature", "3")
    assert (
        person.case.conditions.temperature_c == 3 and sessions.air(person.case, "310503").temperature_c == 20
    )


# earlier sessions


@pytest.fixture
def regular(clock):
    """Somebody with three days, today's among them."""
    made = (
        Session("310401", "2031-04-01", "North range"),
        Session("310420", "2031-04-20"),
        Session("310503", "2031-05-03"),
    )
    shots = tuple(
        Shot(club, c + n, session=one.id)
        for n, one in enumerate(made)
        for club, c in (("7i", 150.0), ("7i", 152.0), ("9i", 126.0), ("9i", 124.0))
    )
    return Person(replace(new_case(), shots=shots, sessions=made)).go("Hit").open("Today")


def test_balls_of_a_session_are_looked_at_and_moved_to_another(regular):
    regular.choose("Session", "1 Apr, North range: 4 balls")
    assert regular.rows("Balls of this session")[1:] == [
        ["7-iron", "2", "150, 152"],
        ["9-iron", "2", "126, 124"],
    ]
    regular.choose("Move its balls to", "20 Apr: 4 balls").press("Move these balls")
    assert {d: len(b) for d, b in days(regular).items()} == {
        "2031-04-01": 0,
        "2031-04-20": 8,
        "2031-05-03": 4,
    }
    regular.press("Undo")
    regular.choose("Session", "20 Apr: 4 balls").choose("Move its balls to", "a new session, no date")
    regular.press("Move these balls")
    (made,) = [s for s in regular.case.sessions if s.date is None]
    assert sum(s.session == made.id for s in regular.case.shots) == 4
    assert "2031-04-20" not in days(regular)  # nothing else was told of it


def test_single_balls_are_moved_to_another_session_from_the_list_of_their_club(regular):
    regular.tap("7i").open("Balls of the 7-iron")
    assert [row[3] for row in regular.rows("7-iron, as hit")[1:3]] == ["1 Apr, North range"] * 2
    regular.tap("2: 152 m").choose("Move to session", "Today, 3 May: 4 balls").press("Move to this session")
    assert [s.session for s in regular.case.shots][:2] == ["310401", "310503"]
    regular.press("Undo")
    assert [s.session for s in regular.case.shots][:2] == ["310401"] * 2


def test_a_session_is_deleted_with_its_balls_and_comes_back_by_undo(regular):
    before = regular.case
    regular.choose("Session", "20 Apr: 4 balls").press("Delete this session: 4 balls").press("Yes, delete")
    assert "2031-04-20" not in days(regular) and len(regular.case.shots) == 8
    regular.press("Undo")
    assert regular.case == before


def test_two_sessions_of_one_day_are_two(regular):
    regular.press("Start another session today")
    hit(regular, 140)
    assert [s.id for s in regular.case.sessions][-1] == regular.case.shots[-1].session == "310503-2"
    regular.type("Place", "indoors")
    assert [s.place for s in regular.case.sessions][2:] == ["", "indoors"]
    assert line(regular).endswith("3 other sessions")  # one of them is of today too


def test_older_sessions_fade_where_somebody_says_so_and_it_says_what_that_does(regular):
    assert "Old sessions count as much as new ones." in regular.text()
    regular.tap("count less with time")
    assert regular.case.wants.half_life_days == 90
    assert "one 90 days before the newest counts half" in regular.text()
    regular.type("Days until one counts half", "30")
    assert regular.case.wants.half_life_days == 30 and "one 30 days before" in regular.text()
    regular.type("Days until one counts half", "2")
    assert "must be from 7 to 3650" in regular.find("Days until one counts half").label
    regular.tap("count in full")
    assert regular.case.wants.half_life_days is None


# files and notes


def paste(person, text):
    return person.open("Paste, or open").type("Balls as text", text).press("Show how it is read")


THREE = (
    "Date,Club,Carry (m)\n2031-04-12 10:05,7i,131\n20 Apr 2031,7i,133\n2031-05-03,9i,110\n2031-04-12,9i,112\n"
)


def test_a_file_with_dates_makes_sessions_by_itself_and_says_so_first(person):
    hit(person, 140)
    paste(person, THREE)
    said = person.text().replace("\u00a0", " ")
    assert "3 sessions: 12 Apr, 20 Apr, 3 May. Already here: 3 May; new balls are added to it." in said
    assert not person.sees("Hit on") and len(person.case.shots) == 1  # nothing before it is asked for
    person.press("Add these balls")
    assert days(person) == {"2031-05-03": [140, 110], "2031-04-12": [131, 112], "2031-04-20": [133]}
    person.press("Undo")
    assert days(person) == {"2031-05-03": [140]} and person.value("Balls as text") == THREE


def test_a_file_is_not_taken_in_twice_unless_somebody_wants_it(person):
    paste(person, THREE).press("Add these balls")
    paste(person, THREE)
    assert "All of these balls are here already." in person.text() and not person.sees("Add these balls")
    more = THREE + "2031-04-20,7i,134\n"
    paste(person, more)
    assert "4 of these 5 balls are here already." in person.text()
    person.press("Add only the new ball")
    assert days(person)["2031-04-20"] == [133, 134] and len(person.case.shots) == 5
    paste(person, THREE).press("Add all 4 balls, also those here")
    assert len(person.case.shots) == 9


def test_each_ball_that_is_there_stands_for_one_of_the_file():
    there = replace(OLD, sessions=(Session("a", "2031-04-12"),), shots=(Shot("7i", 131.0, session="a"),))
    balls = (Shot("7i", 131.0), Shot("7i", 131.0), Shot("9i", 131.0))
    assert sessions.here_already(there, balls, ("2031-04-12",) * 3) == {0}
    assert sessions.here_already(there, balls, ("2031-04-13",) * 3) == set()


def test_a_file_comes_back_through_a_link_and_is_known_again(person):
    """A link rounds carries to 0.1 m."""
    text = "Date,Club,Carry (yd)\n2031-04-12,7i,150.3\n2031-04-12,7i,151.7\n"
    paste(person, text).press("Add these balls")
    case = link.read(link.make(person.case).hash).case
    other = Person(replace(case, shots=tuple(link.rounded(s) for s in case.shots))).go("Hit")
    paste(other, text)
    assert "All of these balls are here already." in other.text()


def test_balls_without_a_date_go_where_somebody_says_and_a_text_pasted_twice_is_known(person):
    hit(person, 140)
    text = "7i 139 141 138\n9i 118 121 119"
    paste(person, text)
    assert person.options("Hit on") == ["Today, 3 May", "an earlier day, no date"]
    person.choose("Hit on", "an earlier day, no date").press("Add these balls")
    first, second = person.case.sessions
    assert second.date is None and [s.session for s in person.case.shots] == [first.id] + [second.id] * 6
    paste(person, text)
    assert "All of these balls are here already." in person.text()
    paste(person, "7i 139 141")  # two balls alone may well be the same by chance
    assert "already" not in person.text()
    person.press("Add these balls")
    assert person.case.shots[-1].session == first.id


FEW = "9i 118 121\n7i 139\nPW 95"


def carries(person):
    return [(s.club, s.carry_m) for s in person.case.shots]


@pytest.mark.parametrize(
    ("text", "new"),
    [
        ("9i 118 121 119\n7i 139 143\nPW 95\n8i 130", [("9i", 119), ("7i", 143), ("8i", 130)]),
        ("8i 130\n9i 117 118 121\n7i 139\nPW 95", [("8i", 130), ("9i", 117)]),
        ("Club,Carry (m)\n9i,118\n9i,121\n7i,139\n7i,141\npw,95\n", [("7i", 141)]),
        ("Date,Club,Carry (m)\n3.5.2031,9i,118\n3.5.2031,9i,121\n3.5.2031,9i,121\n", [("9i", 121)]),
        ("3 May 2031\n9i 118 121\n7i 139 141\nPW 95", [("7i", 141)]),
    ],
    ids=["more of each", "before them", "a file", "a file with dates", "a day over them"],
)
def test_a_text_that_comes_again_with_new_balls_is_asked_about_and_only_those_are_added(person, text, new):
    hit(person, 140)
    paste(person, FEW).press("Add these balls")
    before = carries(person)
    paste(person, text)
    assert not person.sees("Add these balls")
    count = len(person.page.here.pasting.preview.balls)
    assert f"{count - len(new)} of these {count} balls are here already." in person.text()
    person.press(f"Add only the {len(new)} new balls" if len(new) > 1 else "Add only the new ball")
    assert carries(person) == [*before, *new]
    person.press("Undo")
    assert carries(person) == before and person.value("Balls as text") == text
    person.press(f"Add all {count} balls, also those here")
    assert len(carries(person)) == len(before) + count


def test_what_changed_meanwhile_is_shown_before_anything_is_added(person):
    paste(person, FEW).press("Add these balls")
    paste(person, f"{FEW}\n8i 130")
    assert person.state.change(lambda case: case.without_shots(range(4)), "out")
    person.press("Add only the new ball")
    assert carries(person) == [] and "What stands here has changed" in person.text()
    person.press("Add these balls")
    assert len(carries(person)) == 5


def test_a_text_with_dates_finds_its_balls_that_stand_without_one(person):
    paste(person, FEW).choose("Hit on", "an earlier day, no date").press("Add these balls")
    paste(person, f"12 April 2031\n{FEW}\n8i 130")
    assert "4 of these 5 balls are here already." in person.text()
    person.press("Add only the new ball")
    assert days(person)["2031-04-12"] == [130]
    paste(person, f"13 April 2031\n8i 130\n6i 150\n{FEW}")  # of another day than the new one
    assert "4 of these 6 balls are here already." in person.text()


def test_balls_that_agree_with_a_few_by_chance_are_not_said_to_be_here(person):
    paste(person, "7i 139 144 136 141 138 147\n9i 118 121 117 123").press("Add these balls")
    for text in ("7i 139 142 145", "7i 140 144 143 139\n9i 121 119 122", "9i 118", "8i 139 144 136"):
        paste(person, text)
        assert "already" not in person.text() and person.sees("Add these balls"), text


def test_a_text_whose_balls_stand_on_two_days_finds_them_all(clock):
    clock("2031-05-03")
    person = Person(OLD).go("Hit")
    paste(person, FEW).press("Add these balls")
    clock("2031-05-10")
    person.page.refresh()
    paste(person, f"{FEW}\n8i 130 131 133").press("Add only the 3 new balls")
    assert sorted(days(person)) == ["2031-05-03", "2031-05-10"]
    paste(person, f"{FEW}\n8i 130 131 133\n6i 150")
    assert "7 of these 8 balls are here already." in person.text()


def test_a_few_balls_of_many_clubs_agree_by_chance():
    def shots(*first, session=None):
        rows = zip(("6i", "7i", "8i", "9i", "pw"), first, strict=True)
        return tuple(Shot(club, float(c), session=session) for club, row in rows for c in row)

    there = shots(
        (150, 148, 155), (139, 141, 135), (130, 128, 131), (118, 120, 115), (100, 98, 95), session="a"
    )
    balls = shots((150, 148, 152), (139, 141, 144), (127, 133, 129), (122, 117, 121), (101, 99, 97))
    case = replace(OLD, sessions=(Session("a", "2031-04-12"),), shots=there)
    assert sessions.here_already(case, balls, [""] * 15) == set()
    assert sessions.here_already(case, balls[:6], [""] * 6) == {0, 1, 3, 4}


def test_a_session_that_a_file_names_is_known_by_the_first_line_of_its_note():
    day = Session("a", None, note="Session 2\nFrom another device: windy")
    there = replace(OLD, sessions=(day,), shots=(Shot("7i", 131.0, session="a"),))
    assert sessions.here_already(there, (Shot("7i", 131.0),), ("Session 2",)) == {0}


def test_a_text_of_before_a_build_is_known_after_it(person):
    paste(person, FEW).press("Add these balls")
    case = person.case
    old = (replace(club, id=f"{club.id}-old", became=club.id) for club in case.bag if club.id in ("7i", "9i"))
    shots = (replace(s, club=f"{s.club}-old") if s.club in ("7i", "9i") else s for s in case.shots)
    built = replace(case, bag=(*case.bag, *old), shots=tuple(shots))
    balls = (*case.shots, Shot("8i", 130.0))
    assert sessions.here_already(built, balls, [""] * 5) == {0, 1, 2, 3}


def test_a_wrong_date_is_said_with_its_line_and_its_ball_stays_in_the_box(person):
    paste(person, "Date,Club,Carry (m)\n12.04.2031,7i,131\n31.04.2031,7i,133\n12.04.2032,7i,134\n")
    said = person.text()
    assert "Line 3: “31.04.2031” does not exist; correct the date" in said
    assert "Line 4: 12.04.2032 is in the future; correct the date" in said
    person.press("Add these balls")
    assert days(person) == {"2031-04-12": [131]}
    assert person.value("Balls as text").splitlines()[1:] == ["31.04.2031,7i,133", "12.04.2032,7i,134"]


def test_day_or_month_first_is_asked_once_for_the_files_of_one_layout(person):
    paste(person, "Date,Club,Carry (m)\n03/04/2031,7i,131\n")
    assert "Is 03/04/2031 the 3rd of April or the 4th of March?" in person.text() and not person.sees(
        "Add these balls"
    )
    person.choose("Its dates begin with", "the day").press("Add these balls")
    assert days(person) == {"2031-04-03": [131]}
    paste(person, "Date,Club,Carry (m)\n04/04/2031,7i,132\n02/05/2031,7i,133\n")
    assert "2 sessions: 4 Apr, 2 May" in person.text().replace("\u00a0", " ")


def test_sessions_that_a_file_only_names_keep_their_names(person):
    paste(person, "Session,Club,Carry (m)\nmorning,7i,131\nevening,7i,133\n")
    person.choose("Which day", "all of them").press("Add these balls")
    assert [(s.date, s.note) for s in person.case.sessions] == [(None, "morning"), (None, "evening")]
    assert [s.session for s in person.case.shots] == [s.id for s in person.case.sessions]


# after the build


def test_the_retest_is_a_session_with_the_new_clubs_by_itself(clock):
    case = replace(OLD, sessions=(Session("310420", "2031-04-20"),))
    case = replace(case, shots=tuple(replace(s, session="310420") for s in case.shots))
    built = edits.built(case, [replace(c, length_m=c.length_m - 0.01) for c in case.carried if c.id == "7i"])
    state = State()
    state.add_player(built)
    assert state.change(lambda c: edits.add_retest(c, (Shot("7i", 148.0), Shot("7i", 149.0))), "hit again")
    made = state.case.sessions[-1]
    assert (made.date, made.layout) == ("2031-05-03", built.wants.layout)
    assert [(s.session, s.layout) for s in state.case.shots[-2:]] == [(made.id, made.layout)] * 2
    found = state.fitting.then_and_now
    assert found.before == ("310420",) and found.after == (made.id,)
    assert state.fitting.retest.clubs


def test_balls_of_two_devices_on_one_day_are_of_one_session(clock):
    """Its id follows from the day."""
    assert sessions.begun(Case(), "2031-05-03").id == sessions.begun(demo_case(), "2031-05-03").id == "310503"
    assert sessions.begun(Case(), None, mark="a1").id != sessions.begun(Case(), None, mark="b2").id


def test_a_second_build_is_not_what_the_session_of_the_first_was_hit_with(clock):
    def shorter(case):
        return edits.built(
            case, [replace(c, length_m=c.length_m - 0.01) for c in case.carried if c.id == "7i"]
        )

    case = edits.add_retest(shorter(OLD), (Shot("7i", 148.0),))
    assert case.sessions[-1].layout == case.wants.layout
    case = edits.add_retest(sessions.another(shorter(case)), (Shot("7i", 146.0),))
    assert [s.layout for s in case.sessions] == [None, None]
    assert [(s.session, s.layout) for s in case.shots[-2:]] == [("310503", None), ("310503-2", "built")]


def test_balls_of_the_re_test_go_into_the_session_that_was_chosen_with_its_weather(clock):
    """Old clubs and new ones on one day, in bay 4 against a wind."""
    case = sessions.add(OLD, (Shot("7i", 150.0),))
    for name, value in (("place", "bay 4"), ("conditions", Conditions(wind_mps=3.0))):
        case = sessions.told("310503", name)(case, value)
    case = edits.built(case, [replace(c, length_m=c.length_m - 0.01) for c in case.carried if c.id == "7i"])
    for days in ((), ("2031-05-03", "2031-05-03")):
        again = edits.add_retest(case, (Shot("7i", 148.0), Shot("8i", 140.0)), days)
        assert [(one.id, one.place) for one in again.sessions] == [("310503", "bay 4")]
        assert [(s.session, s.layout) for s in again.shots[-2:]] == [("310503", "built")] * 2
        assert sessions.todays(again).place == "bay 4"  # and so do later ones
    other = edits.add_retest(sessions.another(case), (Shot("7i", 148.0),), undated="310503")
    assert other.shots[-1].session == "310503"


# one number for a club and an air, whatever the sessions' airs were


def test_all_places_show_one_carry_where_sessions_differ_in_weather(person):
    hit(person, 140, 142, 138, 141)
    hit(person.tap("9i"), 118, 120, 119, 121)
    person.open("Today").type("Wind", "5")
    paste(person, "2031-03-02\n7i 141 142 139\n9i 119 120 121").press("Add these balls")
    case, fitting = person.case, person.state.fitting
    assert [s.date for s in case.sessions] == ["2031-05-03", "2031-03-02"]
    told = person.text()
    assert "mishit" not in told
    for club in ("7i", "9i"):
        (group,) = (g for g in fitting.shots if g.club == club)
        hit_at = np.mean([s.carry_m for s in case.shots if s.club == club])
        shown = [float(x) for x in re.findall(r"mean (\d+)\sm", tally(case, club, 0.0, "metric"))]
        assert shown == [round(hit_at)]  # of the balls as they were hit
        (card,) = fitting.played([c for c in fitting.present if c.id == club]).carry.mean(axis=0)
        assert card == pytest.approx(group.carry_m.mean, rel=0.015)
        found = then_and_now(case)
        of_day = [c.carry_m.mean for d in found.days for c in d.carries if c.club == club]
        assert min(of_day) < group.carry_m.mean < max(of_day)
        assert [c.balls for d in found.days for c in d.carries if c.club == club] == [3, 4]
        said = person.go("Hit").tap(club).text().replace("\u00a0", " ")
        low, high = map(
            int,
            re.search(rf"on the card {card:.0f} m 90 % range on the card (\d+) to (\d+) m", said).groups(),
        )
        assert low <= card <= high and f"mean carry {hit_at:.0f} m" in said
        name = case.club(club).name
        assert {r[0]: r[1] for r in person.go("Play").rows("Carry card")[1:]}[name] == f"{card:.0f}"
    person.go("Hit")
    person.type("Wind", "0")
    calm = {g.club: g.carry_m.mean for g in person.state.fitting.shots}
    person.type("Wind", "8")
    windy = {g.club: g.carry_m.mean for g in person.state.fitting.shots}
    assert all(windy[club] > 1.03 * calm[club] for club in calm), (
        "the weather of a day moves what the card says"
    )


# the weather of an earlier day


def test_todays_weather_is_not_taken_for_that_of_earlier_days(person):
    hit(person, 140)
    person.open("Today").type("Temperature", "9").type("Altitude", "120").type("Humidity", "80")
    person.type("Wind", "3")
    assert line(person) == "Today, 3 May: 9 °C, up 120 m, headwind of 3.0 m/s"
    paste(person, "Date,Club,Carry (m)\n2031-03-02,7i,131\n").press("Add these balls")
    case = person.case
    assert [sessions.conditions_of(case, s.id) for s in case.sessions] == [
        Conditions(9.0, 120.0, 0.8, 3.0),
        Conditions(),
    ]
    assert "No weather was noted for this session" not in person.text()
    person.choose("Session", "2 Mar: 1 ball")
    said = person.text().replace("\u00a0", " ")
    assert "No weather was noted for this session: its balls are taken as hit in standard air (20 °C" in said
    assert "no wind) and count for less beside other sessions." in said
    assert "It may have changed carry by about 3 %, so those balls count for less" in said
    person.type("Temperature", "12")
    assert "No weather was noted for this session" not in person.text()


def test_the_carries_of_a_single_session_without_weather_are_those_of_its_air_and_the_card_says_so(person):
    """No range says how far that air lies from standard air, so no sentence says that the carries are for standard air."""
    for carry in (138, 140, 142):
        hit(person, carry)
    of_day = "In the air of the day you hit: no weather was noted."
    person.go("Play")
    assert of_day in person.text() and "standard air" not in person.text()
    assert of_day in person.go("Lay out").text()
    person.go("Play").open("Today\u2019s weather").type("Temperature", "9")
    taken = "No weather was noted for your shots: they are taken as hit in standard air."
    assert "In today\u2019s air: 9" in person.text() and taken in person.text()
    person.press("Leave today\u2019s weather out").go("Hit").open("Today").type("Date", "2 Mar 2031")
    assert "the carries on the card hold in the air of that day. If you know" in person.text()
    person.type("Wind", "2")
    assert "No weather was noted" not in person.text()
    said = person.go("Play").text()
    assert "In standard air: 20" in said and "no weather was noted" not in said
    person.go("Hit").choose("Session", "Today, 3 May: 0 balls")
    hit(person, 141)  # of another day, without weather as well
    assert "In standard air: 20" in person.go("Play").text()


def test_the_line_of_the_day_names_the_session_whose_weather_stands_under_it(regular):
    regular.choose("Session", "1 Apr, North range: 4 balls")
    assert line(regular) == "1 Apr, North range: 2 other sessions"
    paste(regular, "Date,Club,Carry (m)\n2031-04-25,7i,131\n2031-05-02,7i,133\n").press("Add these balls")
    assert regular.chosen("Session") == "1 Apr, North range: 4 balls"
    regular.type("Temperature", "9")
    assert line(regular) == "1 Apr, North range: 9 °C, 4 other sessions"
    assert sessions.air(regular.case, "310401").temperature_c == 9.0
    regular.choose("Session", "Today, 3 May: 4 balls")
    assert (
        line(regular) == "Today, 3 May: weather, 4 earlier sessions" and regular.value("Temperature") == "20"
    )


def test_a_calm_day_of_standard_air_is_noted_by_a_tick(person, clock):
    hit(person, 140)
    assert (
        "No weather was noted for this session" not in person.open("Today").text()
    )  # nothing is compared yet
    clock("2031-05-04")
    hit(person, 138)
    assert "No weather was noted for this session" in person.text()
    person.choose("The weather was as above", "Yes")
    assert "No weather was noted for this session" not in person.text()
    assert line(person) == "Today, 4 May: 20 °C, no wind, 1 earlier session"
    case = person.case
    assert [sessions.air(case, s.id) for s in case.sessions] == [Conditions(), Conditions(noted=True)]
    assert link.read(link.make(case).hash).case.sessions == case.sessions
    assert read_case(case.to_doc()).sessions == case.sessions
    assert "noted" not in json.dumps(OLD.to_doc())  # an older program is told nothing new
    clock("2031-05-05")
    hit(person, 139)
    assert not sessions.air(person.case, person.case.sessions[-1].id).noted  # of another day nothing is known


@pytest.mark.parametrize(
    ("direction", "said"), [("Headwind", "headwind of 3.0 m/s"), ("Tailwind", "tailwind of 3.0 m/s")]
)
def test_the_line_of_the_day_says_where_the_wind_comes_from(person, direction, said):
    hit(person, 140)
    person.open("Today").type("Wind", "3").choose("Wind direction", direction)
    assert line(person) == f"Today, 3 May: {said}"
