"""What takes a player or a session away asks first, says how to get it back, and gives it back after a reload too."""

import json
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from app import bridge, edits
from app.demo import demo_case
from app.players import MOST_REMOVED, new_case
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
    assert names(coach) == ["Cy"] and not coach.sees("Yes, remove")
    coach.press("Remove")
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
    assert names(again) == ["Cy"] and not again.state.undo_what
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


def test_removed_players_can_be_deleted_for_good(coach):
    coach.press("Remove").press("Yes, remove").open("Removed players (1)").press("Delete them for good")
    assert coach.state.store.removed and "Delete 1 removed player for good?" in coach.text()
    coach.press("Yes, delete")
    assert coach.state.store.removed == () and "Lindqvist" not in saved(coach)


def test_a_player_brought_back_beside_a_copy_that_came_meanwhile_is_put_together_with_it(coach):
    coach.press("Share the link")
    sent = coach.said("share")[-1]["hash"]
    coach.press("Remove").press("Yes, remove")
    coach.state.open_link(sent)
    coach.state.stay()
    coach.state.change(lambda case: with_balls(case, (Shot("9i", 110.0),)), "ball added")
    coach.state.bring_back(coach.state.store.removed[-1].entry.id)
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
