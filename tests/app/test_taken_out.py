"""What takes a player or a session away asks first, says how to get it back, and gives it back after a reload too."""

import json
from dataclasses import replace
from datetime import datetime, timedelta

import panel as pn
import pytest

from app import bridge, edits
from app.dates import now
from app.demo import demo_case
from app.players import MOST_REMOVED, Removed, new_case
from engine.documents.case import Session, Shot
from tests.app.driver import Person, with_balls

PLAYERS = "Players, share, files"


def named(label, balls=0):
    case = edits.player("label")(new_case(), label)
    return with_balls(case, tuple(Shot("7i", 130.0 + n) for n in range(balls)))


def names(person):
    return [e.case.player.label for e in person.state.store.players if e.case.player.label]


def saved(person):
    person.state.flush()
    return person.said("save")[-1]["text"]


def reloaded(text):
    return Person(saved=text).go(PLAYERS)


@pytest.fixture
def coach():
    person = Person(named("Bo Lindqvist", 14))
    person.state.add_player(named("Cy"))
    person.state.open_player(next(e.id for e in person.state.store.players if e.name == "Bo Lindqvist"))
    return person.go(PLAYERS)


def test_removing_a_player_asks_with_name_and_balls_and_a_double_tap_removes_none(coach):
    coach.press("Remove").press("Remove")
    assert names(coach) == ["Bo Lindqvist", "Cy"] and "Remove Bo Lindqvist and 14 balls?" in coach.text()
    coach.press("Keep")
    assert "14 balls?" not in coach.text() and not coach.sees("Yes, remove")
    yes = coach.press("Remove").find("Yes, remove")
    yes.clicks += 1
    yes.clicks += 1  # a double tap on this one
    assert names(coach) == ["Cy"] and not coach.sees("Yes, remove") and not coach.sees("Remove")
    assert "Bo Lindqvist was removed, and Cy is open now." in coach.text()
    coach.press("Go on with Cy").press("Remove")
    assert "Remove Cy?" in coach.text()


def test_the_question_goes_with_the_player_it_is_about(coach):
    coach.press("Remove")
    coach.state.open_player(coach.state.store.players[-1].id)
    assert not coach.sees("Yes, remove") and names(coach) == ["Bo Lindqvist", "Cy"]
    coach.press("Remove")
    coach.state.change(lambda case: with_balls(case, (Shot("7i", 120.0),)), "ball added")
    assert not coach.sees("Yes, remove")  # it would take more than it said


def test_what_was_removed_is_told_over_the_page_with_undo_until_something_else_is_done(coach):
    coach.press("Remove").press("Yes, remove")
    assert coach.said("done")[-1] == {"text": "Bo Lindqvist was removed.", "undo": True}
    bridge.receive("undo")
    assert names(coach) == ["Bo Lindqvist", "Cy"] and coach.said("done")[-1]["text"] == ""
    coach.press("Remove").press("Yes, remove").press("New player")
    assert coach.said("done")[-1]["text"] == ""
    bridge.receive("undo")  # a tap on the way when the message went
    assert names(coach) == ["Cy"] and len(coach.state.store.players) == 3


def test_a_removed_player_comes_back_after_a_reload_as_he_was(coach):
    bo = coach.state.store.entry
    coach.press("Remove").press("Yes, remove")
    again = reloaded(saved(coach))
    assert names(again) == ["Cy"] and again.state.undo_what == "player removed"
    again.open("Removed players (1)")
    assert "30 days" in again.text()
    again.press("Bring back Bo Lindqvist")
    assert again.state.store.entry == bo and sorted(names(again)) == ["Bo Lindqvist", "Cy"]
    assert not again.sees("Removed players")
    again.press("Undo")
    assert names(again) == ["Cy"] and again.sees("Removed players (1)")


def test_removed_players_are_kept_for_their_time_and_no_more_than_a_few(coach):
    coach.press("Remove").press("Yes, remove")
    doc = json.loads(saved(coach))
    for days, kept in ((29, 1), (31, 0), (-400, 0)):
        on = (datetime.now() - timedelta(days=days)).isoformat(timespec="seconds")
        doc["removed"][0]["removed"] = on
        assert len(Person(saved=json.dumps(doc)).state.store.removed) == kept
    for strange in (7, [], [3], [{"removed": "2031"}], {"a": 1}):
        assert Person(saved=json.dumps(doc | {"removed": strange})).state.store.removed == ()
    person = Person(named("0"))
    for n in range(1, MOST_REMOVED + 4):
        person.state.add_player(named(str(n)))
        person.state.remove_player(person.state.store.open)
    assert next(iter(person.state.store.removed)).entry.name == "4"


def test_blank_players_are_not_kept_and_files_hold_no_removed_ones(coach):
    coach.press("New player").press("Remove").press("Yes, remove")
    assert coach.state.store.removed == ()
    coach.state.open_player(next(e.id for e in coach.state.store.players if e.name == "Bo Lindqvist"))
    coach.press("Remove").press("Yes, remove").press("Save all players as a file")
    assert "Lindqvist" not in coach.said("download")[-1]["text"]


def test_what_undo_takes_back_is_still_there_after_a_reload(coach):
    bo = coach.state.store.entry
    for height in ("171", "172", "173"):
        coach.go("Measure").type("Height", height)
    coach.go(PLAYERS).press("Remove").press("Yes, remove")
    again = reloaded(saved(coach))
    assert "Undo\nplayer removed" in [b.label for b in again.seen() if hasattr(b, "label")]
    again.press("Undo")
    assert sorted(names(again)) == ["Bo Lindqvist", "Cy"] and again.state.store.removed == ()
    again.state.change(lambda case: edits.player("height_m")(case, 1.74), "height changed")
    again = reloaded(saved(again))
    assert again.case.player.height_m == 1.74
    for height in (1.73, 1.72, 1.71, None):
        again.press("Undo")
        assert again.case.player.height_m == height
    assert again.state.store.entry.case == bo.case
    text = again.go(PLAYERS).press("Save all players as a file").said("download")[-1]["text"]
    assert "undo" not in json.loads(text)


@pytest.mark.parametrize(
    "spoilt", [7, [3], [{}], [{"what": "x", "players": 3, "ids": [7], "asked": [1]}], {"a": 1}]
)
def test_steps_back_that_are_not_sound_are_left_out(coach, spoilt):
    doc = json.loads(saved(coach)) | {"undo": spoilt}
    again = reloaded(json.dumps(doc))
    again.state.undo()
    assert names(again) == ["Bo Lindqvist", "Cy"] and not again.state.undo_what


def test_two_players_of_one_name_keep_what_they_are_called(coach):
    for label, balls in (("Kim Lee", 3), ("Kim Lee", 5)):
        coach.state.add_player(named(label, balls))
    first = next(e.id for e in coach.state.store.players if len(e.case.shots) == 3)
    coach.open_player("Kim Lee").press("Remove").press("Yes, remove")
    assert "Kim Lee was removed, and Cy is open now." in coach.text()
    assert not any(coach.sees(label) for label in ("Remove", "Archive", "Name of this player"))
    again = reloaded(saved(coach))
    assert {
        e.case.shots[-1].carry_m: again.state.label(e) for e in again.state.listed if e.name == "Kim Lee"
    } == {134.0: "Kim Lee (2)"}
    again.state.bring_back(first)
    assert sorted(again.state.labels.values()) == [
        "Bo Lindqvist",
        "Cy",
        "Kim Lee",
        "Kim Lee (2)",
        "Player without a name",
    ]
    again.state.add_player(named("Kim Lee"))
    assert again.state.label(again.state.store.entry) == "Kim Lee (3)"
    again.type("Name of this player", "Kim")
    assert again.state.label(again.state.store.entry) == "Kim"


def test_lists_are_made_with_what_is_chosen_in_them(coach, monkeypatch):
    """One that gets its options only afterwards stands empty on the page."""
    made, real = [], pn.widgets.Select
    monkeypatch.setattr(pn.widgets, "Select", lambda **known: made.append(known) or real(**known))
    coach.press("Remove").press("Yes, remove").open("Removed players (1)")
    coach.press("Go on with Cy").open("Job record").go("Hit").open("Paste, or open").go("Play")
    assert len(made) > 5 and all(one["value"] in one["options"].values() for one in made)


def test_nothing_of_removed_players_stands_there_once_none_is_left(coach):
    coach.press("Remove").press("Yes, remove").open("Removed players (1)")
    assert coach.sees("Removed player")
    coach.press("Bring back Bo Lindqvist")
    assert not coach.sees("Removed player") and not coach.sees("Bring back")
    coach.press("Remove").press("Yes, remove").press("Delete them for good").press("Yes, delete")
    assert not coach.sees("Removed player") and not coach.sees("Bring back")


def test_a_file_takes_the_place_of_a_player_of_whom_nothing_was_typed(coach):
    coach.press("Save all players as a file")
    everybody = coach.said("download")[-1]["text"]
    coach.press("Save this player as a file")
    for text, there in (
        (everybody, ["Bo Lindqvist", "Cy"]),
        (coach.said("download")[-1]["text"], ["Bo Lindqvist"]),
    ):
        fresh = Person().go(PLAYERS)
        fresh.state.take_file(text)
        assert [e.name for e in fresh.state.store.players] == there
        fresh.press("Undo")
        assert [e.name for e in fresh.state.store.players] == ["Player without a name"]


def test_removed_players_can_be_deleted_for_good(coach):
    coach.press("Remove").press("Yes, remove").open("Removed players (1)").press("Delete them for good")
    assert coach.state.store.removed and "Delete 1 removed player for good?" in coach.text()
    coach.press("Yes, delete")
    assert coach.state.store.removed == () and "Lindqvist" not in saved(coach)


def test_a_player_brought_back_beside_a_copy_that_came_meanwhile_is_put_together_with_it(coach):
    """Earlier releases opened the link of a removed player beside him."""
    coach.press("Share the link")
    gone = replace(coach.state.store.entry, id="earlier")
    coach.state.change(lambda case: with_balls(case, (Shot("9i", 110.0),)), "ball added")
    coach.state._become(replace(coach.state.store, removed=(Removed(gone, now()),)), "")
    coach.state.bring_back("earlier")
    assert names(coach).count("Bo Lindqvist") == 1 and len(coach.case.shots) == 15


def test_deleting_a_session_asks_with_its_day_and_balls_and_is_told_with_undo():
    case = replace(new_case(), sessions=(Session("a", "2031-04-20"), Session("b", "2031-05-01")))
    person = Person(
        with_balls(case, (Shot("7i", 140.0, session="a"), Shot("7i", 141.0, session="a"), Shot("7i", 1e2)))
    )
    person.go("Hit")
    person.page.here.day.fold.toggle()
    person.choose("Session", next(n for n in person.options("Session") if n.startswith("20 Apr")))
    before = person.case
    delete = "Delete this session: 2 balls"
    person.press(delete).press(delete)
    assert person.case == before and "Delete the session 20 Apr 2031 and its 2 balls?" in person.text()
    person.press("Yes, delete")
    assert len(person.case.shots) == 1 and not person.sees("Yes, delete")
    assert person.said("done")[-1] == {"text": "Session deleted: 20\u00a0Apr 2031.", "undo": True}
    bridge.receive("undo")
    assert person.case == before


def test_only_the_shots_after_the_build_that_are_shown_are_deleted_and_their_number_is_asked():
    person = Person(demo_case())
    person.go("Play").open("After the build: hit again and compare")
    delete = "Delete the shots after the build"
    assert not person.sees(delete)  # there are none
    person.state.change(lambda case: edits.wants("layout")(case, "present"), "which")
    person.type("Shots with the new clubs", "7i 139 141 138 140\n9i 118 121")
    person.press("Show how it is read").press("Add these balls")
    person.press(delete)
    assert "Delete 6 shots after the build?" in person.text()
    person.press("Keep")
    person.choose("Set on the card", "Stepped lengths")
    assert not person.sees(delete) and len(person.case.retest) == 6
    assert "with another set" in person.text()
    other = Shot("7i", 150.0, layout="stepped")
    person.state.change(lambda case: replace(case, retest=(*case.retest, other)), "hit")
    person.press(delete)
    assert "Delete 1 shot after the build?" in person.text()
    person.press("Yes, delete")
    assert len(person.case.retest) == 6 and other not in person.case.retest
    bridge.receive("undo")
    assert other in person.case.retest
    person.choose("Set on the card", "Present set").press(delete).press("Yes, delete")
    assert person.case.retest == (other,) and "Stepped lengths" in person.options("Set on the card")
