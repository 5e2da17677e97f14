"""A player who is sent to somebody and comes home: told what is new, put together, undone, any number of times."""

import base64
import json
import random
import re
import secrets
import zlib
from dataclasses import replace

import panel as pn
import pytest

from app import bridge, copies, edits, link
from app.demo import LABEL, demo_case
from app.phrases import copies as words
from app.players import new_case
from engine.documents.case import Conditions, Job, JobClub, Player, Session, Shot
from engine.documents.merge import Difference, merge
from engine.documents.reading import read_case
from tests.app.driver import CHOICES, Person, plain, take_in, with_balls

PLAYERS = "Players, share, files"
COMES = "has come back with"
AGAIN = "was sent to you again"  # said to whom it was sent
MARK = "from another device"


class Device:
    """What one person has stored, and their visits to the page."""

    def __init__(self, case=None):
        self.saved, self.case = None, case

    def visit(self, fragment=""):
        self.person = Person(self.case, saved=self.saved, hash=fragment)
        self.case = None
        return self.person

    def leave(self):
        self.person.state.flush()
        self.saved = ([s["text"] for s in self.person.said("save")] or [self.saved])[-1]

    def add(self, *carries, club="7i", **known):
        balls = tuple(Shot(club, carry_m=float(c), **known) for c in carries)
        assert self.person.state.change(lambda case: with_balls(case, balls), "balls added")

    def send(self):
        """The link, by its button."""
        self.person.go(PLAYERS).press("Share the link")
        self.leave()
        return self.person.said("share")[-1]["hash"]

    def file(self):
        self.person.go(PLAYERS).press("Save this player as a file")
        self.leave()
        return self.person.said("download")[-1]["text"]

    def backup(self):
        self.person.go(PLAYERS).press("Save all players as a file")
        self.leave()
        return self.person.said("download")[-1]["text"]


def anna(*carries):
    case = edits.player("label")(new_case(), "Anna")
    return with_balls(case, tuple(Shot("7i", carry_m=float(c)) for c in carries))


def carries(person):
    return sorted(s.carry_m for s in person.case.shots)


def names(person):
    return [e.name for e in person.state.store.players if e.case.player.label]


@pytest.fixture
def sent():
    """A coach who sent Anna's link, and Anna's device, which opened it."""
    coach, student = Device(anna(139, 141)), Device()
    coach.visit()
    student.visit(coach.send())
    student.leave()
    assert names(student.person) == ["Anna"] and not any(
        said in student.person.text() for said in (COMES, AGAIN)
    )
    return coach, student


def test_a_link_that_comes_home_is_asked_about_and_added(sent):
    coach, student = sent
    student.add(*range(120, 132))
    back = student.send()
    coach.visit()
    coach.add(150)
    coach.leave()
    person = coach.visit(back)
    assert "Another copy of “Anna” has come back with 12 new balls from another device." in person.text()
    assert "Stay with the linked player" not in [b.label for b in person.seen() if hasattr(b, "label")]
    person.press("Add to mine")
    assert carries(person) == [*range(120, 132), 139, 141, 150] and names(person) == ["Anna"]
    assert {s.by for s in person.case.shots} == {None, "another device"} and COMES not in person.text()
    coach.leave()
    for fragment in (back, ""):  # the same link once more, and a page opened anew
        person = coach.visit(fragment)
        assert COMES not in person.text() and len(person.case.shots) == 15 and names(person) == ["Anna"]
        coach.leave()
    person = student.visit(coach.send())
    assert "“Anna” was sent to you again with 1 new ball." in person.text() and COMES not in person.text()
    person.press("Add to mine")
    assert carries(person) == [*range(120, 132), 139, 141, 150] and AGAIN not in person.text()
    assert {s.id for s in person.case.shots} == {s.id for s in coach.person.case.shots}


def test_balls_that_came_home_stay_marked_where_balls_are_listed_and_nobody_elses_are(sent):
    coach, student = sent
    student.add(120, 121)
    coach.visit(student.send()).press("Add to mine")
    for person, marks in ((coach.person, 2), (student.person, 0)):
        person.go("Hit").tap("7i")
        person.open("Balls of the 7-iron").page.here.day.fold.toggle()
        person.choose("Session", next(name for name in person.options("Session") if "no date" in name))
        listed = person.rows("7-iron, as hit")
        assert sum(row[listed[0].index("Added")] == MARK for row in listed if "Added" in listed[0]) == marks
        clubs = [row[0] for row in person.rows("Balls of this session")[1:]]
        assert sum(MARK in club for club in clubs) == bool(marks)


def test_undo_takes_the_copy_out_again_and_asks_anew(sent):
    coach, student = sent
    student.add(120)
    coach.visit()
    coach.add(150)
    coach.leave()
    person = coach.visit(student.send())
    done = "The copy was added to yours; Undo takes it out again."
    assert done not in person.text()
    person.press("Add to mine")
    person.go("Play").go("Hit")
    assert done in person.text() and person.said("announce")[-1]["text"] == done
    person.press("Undo")
    assert COMES in person.text() and done not in person.text()
    assert carries(person) == [139, 141, 150] and person.case.removed == ()
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141, 150]


def test_what_is_typed_while_a_copy_is_asked_about_goes_into_mine_and_is_kept(sent):
    coach, student = sent
    student.add(117, club="9i")
    back = student.send()
    person = coach.visit()
    coach.add(150)
    coach.leave()
    person = coach.visit(back)
    assert carries(person) == [139, 141, 150]
    person.press("Look first")
    person.go("Hit").tap("8i").type("Carry", "131").press("Add ball")
    assert COMES in person.text() and "117.0 m with 9-iron" in plain(person.rows("New balls (1)")[1][0])
    coach.leave()
    person = coach.visit(back)  # reloaded before it was answered
    assert carries(person) == [131, 139, 141, 150] and COMES in person.text()
    person.go(PLAYERS)
    assert [row[0] for row in person.rows("On this device")[1:]].count(
        "Anna"
    ) == 1  # the copy cannot be mistaken for mine
    person.press("Add to mine")
    assert carries(person) == [117, 131, 139, 141, 150] and names(person) == ["Anna"]
    assert len({s.id for s in person.case.shots}) == 5


def test_a_store_in_which_the_copy_was_open_goes_on_with_mine(sent):
    coach, student = sent
    student.add(117)
    coach.visit(student.send())
    coach.leave()
    doc = json.loads(coach.saved)
    doc["open"] = doc["asked"][0]
    coach.saved = json.dumps(doc)
    person = coach.visit()
    assert carries(person) == [139, 141] and COMES in person.text()
    coach.add(150)
    person.press("Add to mine")
    assert carries(person) == [117, 139, 141, 150]


def test_two_balls_made_in_one_visit_on_two_copies_of_a_player_have_two_ids(sent):
    coach, student = sent
    student.add(120)
    back = student.send()
    person = coach.visit(back)
    other, mine = person.state.copied
    coach.add(131, club="8i")
    person.state._become(replace(person.state.store, open=other.id), "")  # as an archived one might be
    coach.add(117, club="9i")
    ids = {s.id for e in person.state.store.players for s in e.case.shots}
    assert len(ids) == 5
    person.state._become(replace(person.state.store, open=mine.id), "")
    person.press("Add to mine")
    assert carries(person) == [117, 120, 131, 139, 141]


def test_a_trial_under_way_has_the_balls_by_the_same_ids(sent):
    coach, _ = sent
    state = coach.visit().state
    assert state.try_out(lambda c: edits.club("7i", "loft_deg")(c, 33.0), "loft")
    coach.add(150)
    coach.add(151)
    assert [s.id for s in state.store.entry.trial.shots] == [s.id for s in state.case.shots]


def test_the_rule_of_whose_entry_stays_is_told_once(sent):
    coach, student = sent
    student.person.state.change(lambda c: edits.player("height_m")(c, 1.7), "height")
    student.add(120)
    person = coach.visit(student.send())
    person.press("Look first")
    rule = "What only they changed or added is taken in. Where yours and theirs differ, yours stays"
    assert person.text().count(rule) == 1 and "Add to mine puts in what is chosen here." in person.text()
    assert "yours stays unless you choose theirs" not in person.text()


def test_a_copy_kept_apart_is_a_player_of_its_own(sent):
    coach, student = sent
    student.add(120)
    back = student.send()
    person = coach.visit(back)
    person.press("Keep apart")
    assert names(person) == ["Anna", "Anna"] and carries(person) == [139, 141] and COMES not in person.text()
    ids = [e.case.player.id for e in person.state.store.players if e.name == "Anna"]
    assert len({*ids}) == 2
    coach.leave()
    student.add(121)
    person = coach.visit(student.send())  # the next one still finds the player it came from
    assert "2 new balls" in person.text()


def test_what_differs_is_looked_at_side_by_side_and_chosen(sent):
    coach, student = sent
    state = student.person.state
    first = state.case.shots[0]
    state.change(lambda c: edits.player("height_m")(c, 1.7), "height")
    state.change(lambda c: edits.player("wingspan_m")(c, 1.74), "span")
    state.change(lambda c: edits.club("7i", "loft_deg")(c, 33.0), "loft")
    state.change(lambda c: replace(c, shots=(replace(first, use=False), *c.shots[1:])), "ball off")
    student.add(120)
    back = student.send()
    state = coach.visit().state
    state.change(lambda c: edits.player("height_m")(c, 1.8), "height")
    state.change(lambda c: edits.club("7i", "loft_deg")(c, 35.0), "loft")
    coach.leave()
    person = coach.visit(back)
    assert "1 new ball from another device, 2 other changes and 2 entries that differ" in person.text()
    assert "Mine: 180.0 cm" not in person.text()
    person.press("Look first")
    assert person.rows("New balls (1)")[1:] == [["120.0 m with 7-iron", "no date", "from another device"]]
    assert person.chosen("Player, height") == "Mine: 180.0 cm"
    assert person.offered("Player, height") == {"Mine: 180.0 cm": False, "Theirs: 170.0 cm": True}
    assert person.chosen("Player, wingspan") == "Theirs: 174.0 cm"
    assert person.chosen("Ball of 139.0\u00a0m with 7-iron, use") == "Theirs: no"
    person.choose("7-iron, loft", "Theirs: 33°").choose("Player, wingspan", "Mine: nothing")
    person.press("Add to mine")
    player = person.case.player
    assert (player.height_m, player.wingspan_m, person.case.club("7i").loft_deg) == (1.8, None, 33.0)
    assert [s.use for s in person.case.shots] == [False, True, True]
    coach.leave()
    assert COMES not in coach.visit(back).text()  # what was answered is not asked again


def test_what_was_not_looked_at_stays_mine_and_is_asked_again(sent):
    coach, student = sent
    student.person.state.change(lambda c: edits.player("height_m")(c, 1.7), "height")
    student.add(120)
    back = student.send()
    coach.visit().state.change(lambda c: edits.player("height_m")(c, 1.8), "height")
    coach.leave()
    coach.visit(back).press("Add to mine")
    assert coach.person.case.player.height_m == 1.8 and carries(coach.person) == [120, 139, 141]
    student.visit(coach.send())
    assert "1 entry that differs" in student.person.text()
    student.person.press("Look first").choose("Player, height", "Theirs: 180.0 cm").press("Add to mine")
    assert student.person.case.player.height_m == 1.8
    coach.visit(student.send())
    assert COMES not in coach.person.text()


def test_a_ball_removed_there_is_kept_here_unless_somebody_says_otherwise(sent):
    coach, student = sent
    student.person.state.change(lambda c: c.without_shots([0]), "ball out")
    student.add(120)
    back = student.send()
    person = coach.visit(back)
    assert "with 1 new ball from another device and without 1 ball that you still have." in person.text()
    person.press("Look first")
    assert person.rows("Balls removed there (1)")[1][0] == "139.0 m with 7-iron"
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141]
    person.press("Undo").tap("Remove them here too").press("Add to mine")
    assert carries(person) == [120, 141]
    person.press("Undo").tap("Keep them").press("Add to mine")
    coach.leave()
    assert COMES not in coach.visit(back).text()
    person = student.visit(coach.send())
    assert "with 1 ball that you removed and they kept." in person.text()
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141]


def test_a_ball_that_was_removed_here_does_not_come_back_by_the_buttons_as_they_stand(sent):
    coach, student = sent
    coach.visit().state.change(lambda c: c.without_shots([0]), "ball out")
    student.visit(coach.send()).press("Add to mine")  # it stays with whom it was sent to
    assert carries(student.person) == [139, 141]
    student.add(120)
    back = student.send()
    person = coach.visit(back)
    assert "with 1 new ball from another device and 1 ball that you removed and they kept." in person.text()
    assert person.chosen("Balls that you removed") == "Leave them out"
    person.press("Look first")
    assert [row[0] for row in person.rows("Balls that you removed and they kept (1)")[1:]] == [
        "139.0 m with 7-iron"
    ]
    assert [row[0] for row in person.rows("New balls (1)")[1:]] == ["120.0 m with 7-iron"]
    person.press("Add to mine")
    assert carries(person) == [120, 141]
    assert "Undo takes it out again. 1 ball that you removed stays out." in person.text()
    coach.leave()
    assert COMES not in coach.visit(back).text()  # what was answered is not asked again
    student.visit(coach.send())
    assert "without 1 ball that you still have" in student.person.text()
    student.person.tap("Remove them here too").press("Add to mine")
    assert carries(student.person) == [120, 141]
    coach.visit(student.send())
    assert COMES not in coach.person.text() and carries(coach.person) == [120, 141]


def test_a_ball_that_was_removed_here_can_be_taken_back_and_stays_out_when_all_copies_are_added(sent):
    coach, student = sent
    coach.visit().state.change(lambda c: c.without_shots([0]), "ball out")
    student.visit(coach.send()).press("Add to mine")
    student.add(120)
    first = student.send()
    student.visit()
    student.add(121)
    person = coach.visit(first)
    person.tap("Take them back").press("Add to mine")
    assert carries(person) == [120, 139, 141]
    person.press("Undo")
    person.state.open_link(student.send())
    person.press("Add both copies to mine")
    assert carries(person) == [120, 121, 141] and COMES not in person.text()


def test_adding_all_copies_removes_no_ball_and_asks_again_about_those_not_looked_at(sent):
    coach, student = sent
    student.person.state.change(lambda c: c.without_shots([0]), "ball out")
    first = student.send()
    student.add(120)
    person = coach.visit(first)
    person.state.open_link(student.send())
    person.press("Add both copies to mine")
    assert carries(person) == [120, 139, 141] and COMES not in person.text()


def test_a_ball_whose_adding_was_undone_after_it_was_sent_does_not_come_back(sent):
    coach, student = sent
    coach.visit()
    coach.add(150)
    sent_on = coach.send()
    coach.person.press("Undo")
    assert carries(coach.person) == [139, 141]
    coach.leave()
    student.visit(sent_on).press("Add to mine")
    assert carries(student.person) == [139, 141, 150]
    assert COMES not in coach.visit(student.send()).text()
    assert carries(coach.person) == [139, 141]
    student.visit(coach.send())
    assert "was sent to you again without 1 ball that you still have." in student.person.text()
    student.person.tap("Remove them here too").press("Add to mine")
    assert carries(student.person) == [139, 141]


def test_files_come_home_as_links_do(sent):
    coach, student = sent
    student.add(120)
    text = student.file()
    person = coach.visit().go(PLAYERS)
    said = person.state.take_file(text)
    assert "is a copy of “Anna”" in said and "1 new ball from another device" in person.text()
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141] and "holds nothing new about" in person.state.take_file(text)
    assert names(person) == ["Anna"]


def test_a_shortened_link_comes_home_without_loss():
    coach, student = Device(anna()), Device()
    coach.visit()
    chance = random.Random(5)
    some = [chance.gauss(140, 9) for _ in range(900)]
    coach.add(*some, ball_speed_mps=50.123, launch_deg=18.26, spin_rpm=6012.0)
    whole = coach.send()
    student.visit(whole)
    assert 0 < len(student.person.case.shots) < 900 and "shortened" in student.person.text()
    student.add(90)
    before = coach.visit().case
    person = coach.visit(student.send())
    assert "has come back with 1 new ball from another device." in person.text()
    person.press("Add to mine")
    assert person.case.shots[:900] == before.shots and len(person.case.shots) == 901


@pytest.mark.parametrize("speed", [None, 48.2])
def test_new_balls_come_home_whole_before_any_that_are_there_already(speed):
    coach, student = Device(five_sessions(ball_speed_mps=54, launch_deg=18)), Device()
    coach.visit()
    student.visit(coach.send())
    new = [140.0 + n / 10 for n in range(10)]
    student.add(*new, ball_speed_mps=speed, spin_rpm=speed and 6000.0)
    back = student.send()
    assert len(back) <= link.LONG and "shortened" in coach.visit(back).text()
    assert "with 10 new balls from another device" in coach.person.text()
    coach.person.press("Add to mine")
    mine = [s for s in coach.person.case.shots if s.by]
    assert [(s.carry_m, s.ball_speed_mps) for s in mine] == [(c, speed) for c in new]
    assert len(coach.person.case.shots) == 130
    assert "new ball" not in student.person.text() and "10 new shots first" in student.person.text()


def test_new_balls_that_do_not_fit_are_counted_for_whoever_sends_them():
    coach, student = Device(five_sessions(ball_speed_mps=54, launch_deg=18)), Device()
    coach.visit()
    student.visit(coach.send())
    chance = random.Random(4)
    for club in ("5i", "6i", "7i", "8i", "9i"):
        student.add(*(round(chance.gauss(140, 9), 1) for _ in range(200)), club=club)
    back = student.send()
    arrived = sum(bool(s.by) for s in link.read(back).case.shots)
    assert 0 < arrived < 1000 and len(back) <= link.LONG
    assert (
        f"{1000 - arrived} of your 1000 new balls did not fit: send the file instead."
        in student.person.text()
    )


def test_a_link_that_stays_too_long_anyway_leaves_no_new_ball_out():
    chance = random.Random(7)
    days = tuple(
        Session(f"d{n}", f"2031-04-{n % 28 + 1:02}", place=chance.randbytes(30).hex()) for n in range(40)
    )
    shots = tuple(Shot("7i", 130.0 + n, id=f"b{n}", session=days[n].id) for n in range(40))
    case = replace(anna(), sessions=days, shots=shots)
    made = link.make(case, new={"b38", "b39"})
    assert len(made.hash) > link.LONG and {"b38", "b39"} <= {s.id for s in link.read(made.hash).case.shots}
    assert "did not fit" not in made.notes[0] and "2 new shots first" in made.notes[0]
    assert f"still {len(made.hash)} characters long" in made.notes[0]


def test_sharing_changes_nothing_but_marks_and_leaves_undo_alone():
    coach = Device(anna(139))
    person = coach.visit()
    coach.add(141)
    before, what = person.case, person.state.undo_what
    first = coach.send()
    assert coach.send() == first and person.state.undo_what == what  # unchanged, it is the same link
    bare = replace(
        person.case,
        player=replace(person.case.player, id=None),
        shots=tuple(replace(s, id=None) for s in person.case.shots),
        shares=(),
    )
    assert bare == before and len({s.id for s in person.case.shots} - {None}) == 2
    person.press("Undo")
    assert person.case.shots[0].id and person.case.player.id and len(person.case.shots) == 1
    assert person.case.removed  # the ball that was sent, and whose adding was undone


def test_the_address_of_a_player_who_was_sent_is_as_good_as_a_link_by_the_button(sent):
    coach, student = sent
    coach.visit()
    coach.add(150, 151)
    coach.leave()
    address = coach.person.said("link")[-1]["hash"]
    student.visit(address).press("Add to mine")
    student.add(120)
    person = coach.visit(student.send())
    assert "has come back with 1 new ball from another device." in person.text()
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141, 150, 151]


def test_a_player_who_is_shared_is_still_a_document_of_version_1():
    coach = Device(anna(139))
    coach.visit()
    assert coach.send().startswith("#v1.")
    doc = json.loads(coach.file())
    assert doc["version"] == 1 and doc["player"]["id"] and doc["shots"][0]["id"]
    day = Session("s1")
    coach.person.state.change(
        lambda c: replace(c, sessions=(day,), shots=(*c.shots, Shot("7i", 140.0, session="s1"))), "session"
    )
    assert coach.send().startswith("#v2.")


def test_players_without_an_id_are_asked_about_as_ever():
    coach = Device(anna(139))
    coach.visit()
    coach.leave()
    person = coach.visit(link.make(demo_case()).hash)
    assert COMES not in person.text() and LABEL in person.text()
    person.press("Stay with the linked player")
    assert names(person) == ["Anna", LABEL]


def test_a_long_note_is_not_shown_whole_but_taken_whole(sent):
    coach, student = sent
    note = "Keeps the elbow in. " * 40
    student.person.state.change(lambda c: edits.player("note")(c, note), "note")
    student.person.go(PLAYERS).choose("Include my notes", "Yes")
    person = coach.visit(student.send())
    person.press("Look first")
    shown = person.chosen("Player, note")
    assert shown.startswith("Theirs: Keeps the elbow in.") and len(shown) < 100
    person.press("Add to mine")
    assert person.case.player.note == note


def test_what_people_wrote_is_shown_as_text(sent):
    coach, student = sent
    state = student.person.state
    state.change(
        lambda c: replace(c, player=Player(label="<img src=x onerror=alert(1)>", id=c.player.id)), "name"
    )
    state.change(lambda c: edits.club("7i", "name")(c, "<b>7</b>"), "name")
    student.add(120)
    person = coach.visit(student.send())
    person.press("Look first")
    assert "<img" not in person.markup() and "<b>7</b>" not in person.markup()
    assert "&lt;img" in person.markup()


def test_copies_of_one_player_that_do_not_fit_together_stay_apart(sent):
    coach, student = sent
    for device, side in ((student, "s"), (coach, "c")):
        state = device.visit().state
        layouts = tuple(replace(state.case.layouts[0], id=f"{side}{n}") for n in range(4))
        assert state.change(lambda c, new=layouts: replace(c, layouts=(*c.layouts, *new)), "sets")
        device.leave()
    student.visit()
    person = coach.visit(student.send())
    assert "cannot be added to yours" in person.text()
    person.press("Add to mine")
    assert person.state.refusal and len(person.case.layouts) == 6
    person.press("Keep apart")
    assert names(person) == ["Anna", "Anna"]


@pytest.mark.parametrize("spoilt", [7, "x", [["m"]], [[1, 2]], [["m", "#v1.AAAA"]], {"m": "n"}])
def test_spoilt_copies_in_the_store_are_left_out_or_unread(spoilt, sent):
    coach, student = sent
    student.add(120)
    back = student.send()
    doc = json.loads(coach.saved)
    assert any("copies" in p for p in doc["players"])
    for player in doc["players"]:
        player["copies"] = spoilt
    coach.saved = json.dumps(doc)
    person = coach.visit(back)
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141]


def test_documents_that_were_sent_are_sound(sent):
    coach, _ = sent
    coach.visit()
    doc = json.loads(coach.file())
    assert read_case(doc).to_doc() == doc


def five_sessions(**known):
    """14 clubs, 5 sessions and 120 balls, invented."""
    chance = random.Random(1)
    case = edits.player("label")(new_case(), "Anna")
    bag = tuple(
        replace(c, length_m=round(c.length_m + chance.uniform(-0.01, 0.01), 4), lie_deg=round(c.lie_deg, 1))
        for c in case.bag
    )
    sessions = tuple(
        Session(
            secrets.token_hex(4),
            date=f"2031-0{n + 3}-1{n}",
            place="The far range",
            conditions=Conditions(temperature_c=8.0 + 3 * n, wind_mps=2.0),
        )
        for n in range(5)
    )
    clubs = [c.id for c in bag if c.family != "putter"]
    shots = tuple(
        Shot(
            clubs[n // 4 % len(clubs)],
            carry_m=round(chance.gauss(140, 6), 1),
            session=sessions[n // 24].id,
            **{name: round(chance.gauss(mean, mean / 20), 1) for name, mean in known.items()},
        )
        for n in range(120)
    )
    assert len(bag) == 14
    return replace(case, bag=bag, sessions=sessions, shots=shots)


def test_a_link_of_five_sessions_and_120_balls_stays_short_and_says_what_it_leaves_out():
    coach, student = Device(five_sessions()), Device()
    coach.visit()
    made = coach.send()
    assert len(made) <= 2000 and link.read(made).case.shots == coach.person.case.shots
    measured = five_sessions(ball_speed_mps=54, launch_deg=18, spin_rpm=6000, club_speed_mps=38)
    coach = Device(measured)
    coach.visit()
    made = coach.send()
    assert len(made) <= 2000 and "only their carries" in coach.person.text()
    opened = student.visit(made).case
    assert "only their carries" in student.person.text() and len(opened.sessions) == 5
    assert [s.id for s in opened.shots] == [s.id for s in coach.person.case.shots]
    assert read_case(json.loads(coach.file())).shots == coach.person.case.shots  # a file has all


def test_ids_are_written_short_and_read_as_they_were():
    chance = random.Random(3)
    odd = [None, "m1a00012", "abc", "0", "x0", "q-1", "\u00fc1", "a b", "12", "99999999", "*", "a1,b"]
    for _ in range(400):
        ids = []
        for _ in range(chance.randint(1, 8)):
            first, stem = chance.randint(1, 30), chance.choice(["a1f", "7c4d", "m", "s_", ""])
            ids += [f"{stem}{n}" for n in range(first, first + chance.randint(1, 5))]
            ids += chance.choices(odd[: chance.randint(1, len(odd))], k=chance.randint(0, 2))
        ids = [i for n, i in enumerate(ids) if i is None or i not in ids[:n]]
        case = replace(anna(*range(100, 100 + len(ids))), player=Player(id="anna"))
        case = replace(case, shots=tuple(replace(s, id=i) for s, i in zip(case.shots, ids, strict=True)))
        assert link.read(link.packed(case)).case.shots == case.shots
    assert len(link.packed(case)) < 2000


@pytest.mark.parametrize(
    "spoilt", [7, "a1-9999999", "a1-99999999999999 a2,,,- *", "a1,a1,a1", "\u0661-9", " , "]
)
def test_ids_that_were_tampered_with_break_nothing(spoilt):
    doc = anna(139, 141).to_doc()
    doc["shots"] = [["7i", 2, {"carry_m": [139.0, 141.0], "ids": spoilt}]]
    text = base64.urlsafe_b64encode(zlib.compress(json.dumps(doc).encode(), 9, -15)).decode().rstrip("=")
    opened = link.read(f"#v1.{text}")
    assert [s.carry_m for s in opened.case.shots] == [139, 141]


def test_an_older_release_that_drops_the_ids_of_balls_sends_home_no_ball_twice(sent):
    coach, student = sent
    student.add(120)
    case = student.person.case
    older = replace(case, shots=tuple(replace(s, id=None, by=None) for s in case.shots))
    person = coach.visit(link.packed(older))
    assert "has come back with 1 new ball." in person.text()
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141]
    coach.leave()
    assert COMES not in coach.visit(link.packed(older)).text()


# notes


def noted_anna():
    """A player with a note on her, on a session and in the job record."""
    case = edits.player("note")(anna(130, 131), "slow learner")
    day = Session("s", "2026-05-01", note="grumpy")
    case = replace(case, sessions=(day,), shots=tuple(replace(s, session="s") for s in case.shots))
    return edits.noted(case, "note", note="owes for two grips")


NOTES = ("slow learner", "grumpy", "owes for two grips")


def test_notes_stay_out_of_links_until_they_are_asked_for_and_files_hold_them():
    coach = Device(noted_anna())
    coach.visit().go(PLAYERS)
    assert "Your notes go along only if you include them" in coach.person.text()
    hash_ = coach.send()
    assert not any(note in str(link.read(hash_).case) for note in NOTES)
    assert "The link leaves out your notes." in coach.person.text()
    assert not any(note in coach.file() for note in NOTES)
    assert "The file leaves out your notes." in coach.person.text()
    assert all(note in coach.backup() for note in NOTES)
    addresses = [s["hash"] for s in coach.person.said("link")]
    assert addresses and not any(note in str(link.read(a).case) for a in addresses for note in NOTES)
    coach.person.go(PLAYERS).choose("Include my notes", "Yes")
    assert all(note in str(link.read(coach.send()).case) for note in NOTES)
    assert all(note in coach.file() for note in NOTES)
    assert "leaves out" not in coach.person.text()
    coach.person.state.add_player(edits.player("note")(new_case(), "of another"))
    assert coach.person.chosen("Include my notes") == "No"


def test_a_link_without_notes_takes_none_out_when_it_comes_home_or_is_opened_again():
    coach, pupil = Device(noted_anna()), Device()
    coach.visit()
    first = coach.send()
    pupil.visit(first)
    pupil.add(140)
    assert pupil.person.case.player.note == ""
    back = pupil.send()
    home = coach.visit(back)
    home.press("Add to mine")
    assert home.case.player.note == NOTES[0] and home.case.sessions[0].note == NOTES[1]
    assert [job.note for job in home.case.jobs] == [NOTES[2]] and carries(home) == [130, 131, 140]
    assert coach.visit(first).case.player.note == NOTES[0] and COMES not in coach.person.text()


def test_another_note_on_the_same_player_is_asked_about_and_never_replaces_one():
    coach, pupil = Device(noted_anna()), Device()
    coach.visit().go(PLAYERS).choose("Include my notes", "Yes")
    pupil.visit(coach.send())
    pupil.person.state.change(lambda case: edits.player("note")(case, "knows better"), "note")
    pupil.person.go(PLAYERS).choose("Include my notes", "Yes")
    back = pupil.send()
    home = coach.visit(back)
    assert home.case.player.note == NOTES[0] and "has come back with a note." in home.text()
    home.press("Look first")
    assert home.chosen("Player, note") == "Both, mine first"
    home.press("Add to mine")
    both = f"{NOTES[0]}\nFrom another device: knows better"
    assert home.case.player.note == both
    home.press("Undo")
    assert home.case.player.note == NOTES[0]
    home.press("Look first").choose("Player, note", "Theirs: knows better").press("Add to mine")
    assert home.case.player.note == "knows better"
    home.press("Undo").press("Add to mine")  # without a look
    assert home.case.player.note == both
    home.go(PLAYERS).choose("Include my notes", "Yes")
    pupil.visit(coach.send()).press("Add to mine")
    assert pupil.person.case.player.note == both  # once
    pupil.person.go(PLAYERS).choose("Include my notes", "Yes")
    assert COMES not in coach.visit(pupil.send()).text()


@pytest.fixture
def noted_twice():
    """Anna with other notes on one session and one job on two devices, and the link from the second."""
    coach, pupil = Device(noted_anna()), Device()
    coach.visit().go(PLAYERS).choose("Include my notes", "Yes")
    pupil.visit(coach.send())

    def written(device, of_session, of_job):
        def edit(case):
            days = tuple(replace(one, note=of_session) for one in case.sessions)
            return replace(case, sessions=days, jobs=tuple(replace(job, note=of_job) for job in case.jobs))

        assert device.person.state.change(edit, "notes")

    written(pupil, "windy", "has paid")
    pupil.person.go(PLAYERS).choose("Include my notes", "Yes")
    back = pupil.send()
    coach.visit()
    written(coach, "left early", "owes for three grips")
    coach.leave()
    return coach, pupil, back


def notes_of(person):
    return person.case.sessions[0].note, person.case.jobs[0].note


def test_of_notes_on_a_session_and_on_a_job_both_stay_unless_somebody_chooses(noted_twice):
    coach, pupil, back = noted_twice
    both = "left early\nFrom another device: windy", "owes for three grips\nFrom another device: has paid"
    home = coach.visit(back)
    assert "has come back with 2 notes." in home.text() and "but of two notes both do;" in home.text()
    home.press("Add to mine")  # without a look
    assert notes_of(home) == both
    home.press("Undo").press("Look first")
    labels = [w.label for w in home.seen(CHOICES) if "Both, mine first" in w.options]
    assert len(labels) == 2 and all(home.chosen(label) == "Both, mine first" for label in labels)
    home.choose(next(x for x in labels if "Session" in x), "Theirs: windy")
    home.choose(next(x for x in labels if "Job" in x), "Mine: owes for three grips").press("Add to mine")
    assert notes_of(home) == ("windy", "owes for three grips")
    home.press("Undo").press("Look first").press("Add to mine")
    assert notes_of(home) == both
    home.go(PLAYERS).choose("Include my notes", "Yes")
    pupil.visit(coach.send()).press("Add to mine")
    assert notes_of(pupil.person) == both  # once
    pupil.person.go(PLAYERS).choose("Include my notes", "Yes")
    assert COMES not in coach.visit(pupil.send()).text()


def test_a_note_that_is_chosen_stays_as_chosen_beside_one_that_is_not(noted_twice):
    coach, _, back = noted_twice
    other, mine = coach.visit(back).state.copied
    one = ("sessions", mine.case.sessions[0].id, "note")
    case = copies.together(mine, other.case, {one: False})[0].case
    assert (case.sessions[0].note, case.jobs[0].note.count("\n")) == ("left early", 1)


def test_all_copies_at_once_keep_both_notes(noted_twice):
    coach, pupil, back = noted_twice
    pupil.visit()
    pupil.add(120)
    pupil.person.go(PLAYERS).choose("Include my notes", "Yes")
    coach.visit(back)
    coach.person.state.open_link(pupil.send())
    coach.person.press("Add both copies to mine")
    assert notes_of(coach.person)[0] == "left early\nFrom another device: windy"


def test_two_notes_that_are_too_long_for_one_are_asked_about():
    assert copies.both("a" * 3000, "b" * 3000) is None and copies.both("", "b") is None
    assert copies.both("a b", "a") is False and copies.both("a", "a b") is True
    assert copies.both("broken", "ok") == "broken\nFrom another device: ok"


TAG = "slow payer"


def tagged_anna():
    return edits.player("tags")(anna(139, 141), (TAG, "junior"))


def test_tags_are_the_coachs_own_and_travel_in_no_link_and_in_no_file_unasked():
    coach = Device(tagged_anna())
    coach.visit().go(PLAYERS)
    assert "never into a link" in coach.person.text()
    for asked in ("No", "Yes"):
        coach.person.go(PLAYERS).choose("Include my notes", asked)
        assert link.read(coach.send()).case.player.tags == () and TAG not in coach.person.state.address
        assert "The link leaves out your tags." in coach.person.text()
        assert (TAG in coach.file()) == (asked == "Yes")
        assert ("The file leaves out your tags." in coach.person.text()) == (asked == "No")
        assert TAG in coach.backup()
    assert not any(TAG in str(link.read(s["hash"]).case) for s in coach.person.said("link"))
    coach.person.go(PLAYERS).open("QR code of the link")
    assert "The link leaves out your tags." in coach.person.text()
    with_notes = edits.player("note")(coach.person.case, "x")
    assert link.read(link.make(with_notes).hash).case.player.tags == ()


def test_a_link_without_tags_takes_none_out_when_it_comes_home():
    coach, pupil = Device(tagged_anna()), Device()
    coach.visit()
    first = coach.send()
    pupil.visit(first)
    pupil.add(140)
    home = coach.visit(pupil.send())
    assert COMES in home.text() and "has come back with 1 new ball from another device." in home.text()
    home.press("Add to mine")
    assert home.case.player.tags == (TAG, "junior") and carries(home) == [139, 140, 141]
    assert coach.visit(first).case.player.tags == (TAG, "junior") and COMES not in coach.person.text()


def test_a_link_that_was_taken_is_always_said_to_hold_nothing_new(sent):
    coach, student = sent
    old = coach.send()
    student.visit()
    student.add(120)
    student.leave()
    own = [said["hash"] for said in student.person.said("link")][-1]
    owner = student.person.state.store.open
    for known in ("", owner):
        person = Person(None, saved=student.saved, hash=old, owner=known)
        assert "This link holds nothing new about “Anna”" in person.text()
    assert "nothing new" not in Person(None, saved=student.saved, hash=own, owner=owner).text()
    for known in ("", owner):
        person.press("OK").state.open_link(own, owner=known)
        person.page.refresh()
        assert "nothing new" in person.text()


def test_a_copy_that_a_link_brought_is_saved_before_it_is_answered(sent):
    coach, student = sent
    old = coach.send()
    coach.add(150)
    person = student.visit(coach.send())
    assert AGAIN in person.text()
    bridge.receive("started", {"how": "plain"})
    student.saved = person.said("save")[-1]["text"]  # the page is gone at once
    assert AGAIN in student.visit(old).text() and AGAIN in student.visit().text()


def test_what_was_undone_is_saved_before_anything_is_drawn(sent, monkeypatch):
    coach, student = sent
    student.add(120)
    person = coach.visit(student.send()).press("Add to mine")
    coach.leave()
    person = coach.visit()
    drawn = []
    person.state.listen(lambda: drawn.append(len(person.said("save"))))
    monkeypatch.setattr("app.state._loop", lambda: Waits())
    before = len(person.said("save"))
    person.press("Undo")
    assert drawn[0] == before + 1 and COMES in Person(None, saved=person.said("save")[-1]["text"]).text()


class Waits:
    """A loop that comes to nothing that was put off."""

    def call_later(self, *what):
        return self

    def cancel(self):
        pass


def test_what_a_student_changed_beside_balls_is_told_as_not_sent_back(sent):
    _, student = sent
    person = student.visit().go("Play")
    student.add(120, 121)
    person.page.refresh()
    assert "Not sent back yet: 2 balls. Send" in person.text()
    assert person.state.change(lambda c: replace(c, player=replace(c.player, height_m=1.8)), "height")
    assert "Not sent back yet: 2 balls and what you changed. Send" in person.text()
    student.send()
    assert "Not sent back yet" not in person.go("Play").text()


# messages go with what they are about


def test_a_message_about_a_player_goes_when_another_is_opened(sent):
    coach, _ = sent
    first = coach.send()
    coach.visit()
    coach.add(150)
    coach.person.state.add_player(edits.player("label")(new_case(), "Bo"))
    person = coach.person
    person.state.open_link(first)  # an older link, tapped once more
    assert (
        "This link holds nothing new about \u201cAnna\u201d" in person.text()
        and person.case.player.label == "Anna"
    )
    person.state.open_player(next(e.id for e in person.state.store.players if e.name == "Bo"))
    assert "nothing new" not in person.text() and not person.sees("OK")
    many = tuple(Shot("7i", 100.0 + n / 7, spin_rpm=5000.0 + n * n / 3) for n in range(400))
    person.state.open_link(link.make(replace(edits.player("label")(new_case(), "Sid"), shots=many)).hash)
    assert "was shortened by its sender" in person.text() and person.case.player.label == "Sid"
    person.press("Back to mine, keep both")
    assert person.case.player.label == "Bo" and "shortened" not in person.text()


def test_what_was_said_of_a_file_goes_when_another_player_is_opened(sent):
    coach, _ = sent
    coach.visit().go(PLAYERS)
    text = coach.file()
    coach.person.state.change(lambda case: with_balls(case, (Shot("9i", 110.0),)), "ball added")
    coach.person.find("", pn.widgets.FileInput).value = text.encode()
    assert "This file holds nothing new about \u201cAnna\u201d" in coach.person.text()
    coach.person.press("New player")
    assert "nothing new" not in coach.person.text()


def test_a_copy_with_news_is_not_told_beside_one_that_has_none(sent):
    coach, student = sent
    coach.visit()
    first = coach.send()
    student.visit()
    student.add(120)
    coach.visit().state.open_link(first)
    coach.add(150)
    coach.person.state.open_link(first)
    assert "nothing new" in coach.person.text()
    coach.person.state.open_link(student.send())
    assert COMES in coach.person.text() and "nothing new" not in coach.person.text()
    coach.person.state.open_link(first)
    assert COMES in coach.person.text() and "nothing new" not in coach.person.text()


def test_a_refusal_goes_once_the_edit_is_made_or_another_player_is_opened():
    person = Person(anna(139)).go(PLAYERS)
    many = ", ".join(f"tag {n}" for n in range(40))
    person.type("Tags, with commas between", many)
    assert "Refused" in person.said("refusal")[-1]["text"] and person.state.refusal
    person.type("Tags, with commas between", "juniors")
    assert person.said("refusal")[-1]["text"] == "" == person.state.refusal
    person.type("Tags, with commas between", many).press("New player")
    assert person.said("refusal")[-1]["text"] == ""


def test_differences_read_like_a_sheet_and_balls_tell_their_day():
    day = Session("261129", "2020-11-29", place="North range")
    case = replace(new_case(), sessions=(day,))
    told = Difference(("sessions", "261129"), None, case.to_doc()["sessions"][0], news=True, taken=True)
    assert words.where(told, [case], "metric") == "Session: 29\u00a0Nov 2020, North range"
    assert words.value(told, None, [case], "metric") == "not there"
    assert words.value(told, told.theirs, [case], "metric").startswith("place North range")
    bare = {"id": "261129", "date": "2020-11-29"}
    assert words.value(replace(told, theirs=bare), bare, [case], "metric") == "there"
    name = Difference(("player", "label"), "Bo", "Bob", news=False, taken=False)
    assert words.where(name, [case], "metric") == "Name"
    assert words.session(Shot("7i", 130.0, session="261129"), case) == "29\u00a0Nov 2020, North range"
    own = Shot("7i", 130.0, by="another device")
    assert (words.added(own), words.added(own, guest=True)) == ("from another device", "")


def test_a_player_who_was_sent_opens_on_the_card_and_is_sent_back_from_there(sent):
    coach, _ = sent
    coach.add(118, club="9i")
    fragment, pupil = coach.send(), Device()
    person = pupil.visit(fragment)
    assert person.page.here.id == "play" and "“Anna” was sent to you." in person.text()
    assert "Add your own balls under Hit, then send it back from here." in person.text()
    pupil.add(150)
    assert "“Anna” was sent to you. Not sent back yet: 1 ball. Send it back from here." in person.text()
    assert "whoever sent it to you opens your link or file" in person.go(PLAYERS).text()
    assert "keep a file of all players" not in person.text()
    person.go("Play").press("Send it back")
    assert 150 in [s.carry_m for s in link.read(person.said("share")[-1]["hash"]).case.shots]
    person.go("Hit")
    assert not person.sees("Send it back")  # the keys need the room
    person.go("Play").state.add_player(edits.player("label")(new_case(), "Mine"))
    assert not person.sees("Send it back")
    assert not coach.visit().go("Play").sees("Send it back")  # whose player it is
    assert "keep a file of all players" in coach.person.go(PLAYERS).text()
    assert "whoever sent it to you" not in coach.person.text()
    busy = Device(edits.player("label")(new_case(), "Mine"))
    busy.visit()
    busy.leave()
    assert busy.visit(fragment).page.here.id == "layout" and not busy.person.sees("Send it back")


def test_balls_that_were_not_sent_back_are_counted_from_the_last_time_they_were(sent):
    coach, student = sent
    person = student.visit()

    def waits(count):
        told = re.findall(r"Not sent back yet: (\d+)", person.go("Play").text())
        assert told == [str(count)] * (count > 0)
        return True

    for n in range(5):  # more often than copies are remembered
        student.add(*range(100 + 10 * n, 102 + 10 * n + n))
        assert waits(2 + n)
        person.press("Send it back")
        assert waits(0)
    student.leave()
    person = student.visit(coach.send())
    assert waits(0)
    student.add(150)
    assert waits(1)
    student.leave()
    coach.visit()
    coach.add(90, 91, 92)
    person = student.visit(coach.send()).press("Add to mine")  # of these none was added here
    assert waits(1)


def test_a_student_who_opens_the_coachs_newer_link_is_told_so_on_the_page_and_in_the_list(sent):
    coach, student = sent
    coach.visit()
    coach.person.state.change(lambda c: edits.player("label")(c, "Annie"), "name")
    newer = coach.send()
    person = student.visit()
    bridge.receive("hash", {"hash": newer})
    assert person.said("announce")[-1]["text"].startswith("This player was sent to you again.")
    assert "“Anna” (there “Annie”) was sent to you again with 1 change." in person.text()
    assert person.go(PLAYERS).rows("On this device")[1][-1] == "sent to you again"
    assert "come back" not in person.text()


def test_of_two_copies_each_is_said_and_can_be_dealt_with(sent):
    coach, student = sent
    other = Device()
    coach.visit()
    other.visit(coach.send())
    other.add(90, 91)
    other.person.state.change(lambda c: edits.player("height_m")(c, 1.7), "height")
    theirs = other.send()
    student.visit()
    student.add(120)
    person = coach.visit(student.send())
    assert not person.sees("Which copy")
    person.state.open_link(theirs)
    said = "with 2 new balls from another device and 1 other change"
    assert person.options("Which copy") == ["1: with 1 new ball from another device", f"2: {said}"]
    assert person.chosen("Which copy") == f"2: {said}" and f"has come back {said}." in person.text()
    person.choose("Which copy", "1: with 1 new ball from another device")
    assert "has come back with 1 new ball from another device." in person.text()
    person.press("Look first")
    assert [row[0] for row in person.rows("New balls (1)")[1:]] == ["120.0 m with 7-iron"]
    coach.leave()
    person = coach.visit()
    assert person.chosen("Which copy").startswith("1: ")
    person.press("Keep apart")
    assert not person.sees("Which copy") and f"has come back {said}." in person.text()
    person.press("Add to mine")
    assert carries(person) == [90, 91, 139, 141] and names(person) == ["Anna", "Anna"]


def test_copies_of_other_players_that_wait_are_named(sent):
    coach, student = sent
    coach.visit().state.add_player(edits.player("label")(new_case(), "Bea"))
    coach.add(100)
    student.visit().state.take_file(coach.backup())
    for name in ("Anna", "Bea"):
        student.person.go(PLAYERS).open_player(name)
        student.add(77)
    text = student.backup()
    person = coach.visit()
    person.state.take_file(text)
    person.page.refresh()
    assert "Copies of Bea are waiting too." in person.text() and not person.sees("Which copy")


def test_a_copy_that_holds_nothing_new_by_now_is_said_to(sent):
    coach, student = sent
    student.person.state.change(lambda c: edits.player("height_m")(c, 1.7), "height")
    person = coach.visit(student.send())
    assert "with 1 change." in person.text()
    person.state.change(lambda c: edits.player("height_m")(c, 1.7), "height")
    assert "has come back with nothing that is not here already." in person.text()
    assert "cannot be added" not in person.text()


# of a player who was removed


def removed_anna(sent):
    """A coach who worked with Cy and removed Anna, and the student to whom she was sent."""
    coach, student = sent
    person = coach.visit().go(PLAYERS).press("Remove").press("Yes, remove")
    person.state.add_player(edits.player("label")(new_case(), "Cy"))
    coach.leave()
    assert names(person) == ["Cy"] and len(person.state.store.removed) == 1
    return coach, student


BACK = "“Anna” had been removed on"


def listed(person):
    return sorted(e.name for e in person.state.listed if e.case.player.label)


def test_a_link_of_a_player_who_was_removed_brings_him_back_and_is_asked_about(sent):
    coach, student = removed_anna(sent)
    student.add(120)
    back = student.send()
    told = []
    for _ in range(3):  # the same link thrice
        person = coach.visit(back)
        assert listed(person) == ["Anna", "Cy"] and len(person.state.waiting) == 1
        assert carries(person) == [139, 141] and not person.state.store.removed
        assert "with 1 new ball from another device" in person.text()
        coach.leave()
        told.append(BACK in person.text())
    assert told == [True, False, False]
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141] and sorted(names(person)) == ["Anna", "Cy"]


def test_a_link_that_tells_nothing_new_of_a_removed_player_opens_him(sent):
    coach, student = removed_anna(sent)
    back = student.send()
    told = coach.visit().go(PLAYERS).text()  # what is promised of links
    assert "asked before a player you have is changed. One you removed is brought back." in told
    assert "A player stays on this device until you share them." in told
    person = coach.visit(back)
    assert BACK in person.text() and not person.sees("Stay with the linked player")
    assert sorted(names(person)) == ["Anna", "Cy"] and not person.state.store.removed
    assert carries(person) == [139, 141] and person.state.undo_what == "player brought back"
    coach.leave()
    person = coach.visit().press("Undo")
    assert names(person) == ["Cy"] and [one.entry.name for one in person.state.store.removed] == ["Anna"]


def test_a_link_of_a_removed_player_who_was_never_sent_brings_him_back():
    coach = Device(anna(139, 141))
    coach.visit()
    coach.leave()
    own = link.make(coach.person.case).hash
    person = coach.visit().go(PLAYERS).press("Remove").press("Yes, remove")
    coach.leave()
    for shorter in (own, link.make(anna(139)).hash):
        person = coach.visit(shorter)
        assert names(person) == ["Anna"] and carries(person) == [139, 141] and BACK in person.text()
        assert not person.state.store.removed and not person.sees("Stay with the linked player")


def test_files_of_a_removed_player_bring_him_back(sent):
    coach, student = removed_anna(sent)
    old = student.file()
    everybody = student.backup()
    student.add(120)
    for text, new in ((old, 0), (everybody, 0), (student.file(), 1), (student.backup(), 1)):
        person = coach.visit()
        said = person.state.take_file(text)
        person.page.refresh()
        assert said.startswith(BACK) or BACK in said
        assert carries(person) == [139, 141] and not person.state.store.removed
        assert listed(person) == ["Anna", "Cy"] and len(person.state.waiting) == new
        if new:
            person.press("Add to mine")
            assert carries(person) == [120, 139, 141]
        person.state.take_file(text)
        assert listed(person) == ["Anna", "Cy"] and not person.state.waiting


def test_a_player_who_is_removed_takes_copies_that_wait_along(sent):
    coach, student = sent
    student.add(120)
    back = student.send()
    person = coach.visit(back)
    person.state.add_player(edits.player("label")(new_case(), "Cy"))
    person.go(PLAYERS).open_player("Anna").press("Remove").press("Yes, remove")
    assert names(person) == ["Cy"] and not person.state.waiting
    coach.leave()
    person = coach.visit(back)
    assert carries(person) == [139, 141]
    person.press("Add to mine")
    assert carries(person) == [120, 139, 141] and sorted(names(person)) == ["Anna", "Cy"]


def test_an_old_link_opened_after_many_newer_ones_is_asked_about_no_more():
    """Neither the coach's with the student, nor the student's with the coach, however often they went to and fro."""
    coach, student = Device(anna(139, 141)), Device()
    coach.visit()
    out, back = [], []
    for n in range(6):
        coach.visit().state.change(lambda c, n=n: edits.player("height_m")(c, 1.7 + n / 100), "height")
        coach.add(150 + n)
        out.append(coach.send())
        student.visit(out[-1])
        if n:
            student.person.press("Add to mine")
        student.person.state.change(lambda c, n=n: edits.club("7i", "loft_deg")(c, 30.0 + n), "loft")
        student.add(120 + n)
        back.append(student.send())
        coach.visit(back[-1]).press("Add to mine")
        coach.leave()
    for device, links, said in ((student, out, AGAIN), (coach, back, "has come back")):
        before = device.visit().case
        for old in links:
            person = device.visit(old)
            assert said not in person.text() and person.case.shots == before.shots
            assert person.case.player == before.player and len(person.state.listed) <= 2
            device.leave()


def test_what_is_sent_to_a_second_device_is_not_said_to_have_been_added_there(sent):
    _, student = sent
    student.add(120)
    tablet = Device()
    person = tablet.visit(student.send())
    assert "“Anna” was sent to you. Add your own" in person.text()
    tablet.add(121)
    assert "Not sent back yet: 1 ball. Send it back" in person.text()


def test_notes_that_do_not_go_back_are_told_with_the_way_to_send_them(sent):
    coach, student = sent
    student.person.go(PLAYERS).type("Note on this player", "left hip hurts")
    student.person.go("Play").press("Send it back")
    assert "To send your notes too, share the link from Menu, Players, share, files" in student.person.text()
    student.person.go(PLAYERS).choose("Include my notes", "Yes")
    assert coach.visit(student.send()).press("Add to mine").case.player.note == "left hip hurts"


def test_a_copy_that_comes_by_link_and_by_file_waits_once(sent):
    coach, student = sent
    third = edits.club("7i", "length_m")
    student.person.state.change(lambda c: third(c, 0.93 + 1 / 3000), "length")  # which a link rounds
    student.add(120)
    back, one, everybody = student.send(), student.file(), student.backup()
    person = coach.visit(back)
    assert "is asked about already" in person.state.take_file(one)
    assert "is here already" in person.state.take_file(everybody) and len(person.state.waiting) == 1
    coach.leave()
    person = coach.visit()
    person.press("Keep apart")  # and then the other way round
    person.state.take_file(everybody)
    person.state.open_link(back)
    person.page.refresh()
    assert len(person.state.waiting) == 1 and not person.sees("Which copy") and COMES in person.text()


# what differs, in words


def test_what_was_ordered_and_built_is_said_as_the_job_record_says_it(sent):
    """And nothing of how a document holds it."""
    _, student = sent
    clubs = (JobClub("7i", "7-iron", length_m=0.94, loft_deg=33.0), JobClub("8i", "8-iron", lie_deg=62.0))
    jobs = (
        Job("j1", "ordered", "2031-04-02", clubs[:1], note="by post"),
        Job(
            "j2",
            "built",
            "2031-05-03",
            tuple(replace(clubs[0], id=f"{n}i", name=f"{n}-iron") for n in range(3, 9)),
        ),
        Job("j3", "note", note="owes for two grips"),
    )
    mine = student.person.case
    case = replace(mine, jobs=jobs)
    found = merge(mine, case, mine)
    said = {
        words.where(d, [mine, case], "metric"): words.value(d, d.theirs, [mine, case], "metric")
        for d in found.differences
    }
    assert {key.replace("\u00a0", " "): text.replace("\u00a0", " ") for key, text in said.items()} == {
        "Job record, 2 Apr 2031": "Ordered: 7-iron (length 94.0 cm, loft 33°). by post",
        "Build of 3 May 2031": "Built: 3-iron, 4-iron, 5-iron, 6-iron, 7-iron and 8-iron",
        "Job record, no date": "Note: owes for two grips",
    }  # fmt: skip
    short = words.in_short(found).replace("\u00a0", " ")
    assert short == "with an order of 2 Apr 2031, a build of 3 May 2031 (6 clubs) and a note"
    later = replace(
        case,
        jobs=(
            replace(jobs[0], what="measured", clubs=(*clubs[1:], replace(clubs[0], loft_deg=34.0))),
            *jobs[1:],
        ),
    )
    told = {
        words.where(d, [case, later], "metric").replace("\u00a0", " "): [
            words.value(d, side, [case, later], "metric").replace("\u00a0", " ")
            for side in (d.mine, d.theirs)
        ]
        for d in merge(case, later, case).differences
    }
    assert told == {
        "Job record, 2 Apr 2031, what": ["Ordered", "Measured at the bench"],
        "Job record, 2 Apr 2031, 7-iron, loft": ["33°", "34°"],
        "Job record, 2 Apr 2031, 8-iron": ["not there", "8-iron (lie 62°)"],
    }


BUILD = "Build of 3 May 2031"
EIGHT = "Theirs: 8 clubs built; 12 balls stay with the clubs as they were"


def test_a_build_that_comes_home_is_named_and_summed_up_in_words(clock):
    home, away = Device(demo_case()), Device()
    home.visit()
    away.visit(home.send())
    away.leave()
    home.visit()
    take_in(home.person)
    person = away.visit(home.send())
    said = "was sent to you again with a build of 3 May 2031 (8 clubs) and 1 other change."
    assert said in person.text().replace("\u00a0", " ")
    before = len(person.seen(CHOICES))
    person.press("Look first")
    assert len(person.seen(CHOICES)) == before + 2  # the build, and a set that is not there any more
    assert person.offered(BUILD) == {"Mine: not there": False, EIGHT: True} and person.chosen(BUILD) == EIGHT
    assert not person.sees("5-iron, length")
    person.open("What this build changed: 47")
    assert person.chosen("5-iron, length") == "Theirs: 91.4 cm"
    shown = [name for w in person.seen(CHOICES) for name in w.options]
    assert not any(raw in name for name in shown for raw in ("_m", "length m", "kind ", "-old", "{"))
    assert len(shown) > 90
    mine, theirs = person.press("Add to mine").case, home.person.case
    assert mine.jobs == theirs.jobs and [c.id for c in mine.bag] == [c.id for c in theirs.bag]
    assert [s.club for s in mine.shots] == [s.club for s in theirs.shots]


def test_a_build_is_taken_or_left_as_a_whole_and_what_both_changed_is_asked_about_apart(clock):
    home, away = Device(demo_case()), Device()
    home.visit()
    away.visit(home.send())
    assert away.person.state.change(lambda c: edits.club("5i", "lie_deg")(c, 61.0), "lie")
    away.leave()
    home.visit()
    take_in(home.person)
    home.add(150, club="8i")
    back = home.send()
    person = away.visit(back)
    before = person.case
    person.press("Look first")
    assert person.chosen("5-iron, lie") == "Mine: 61°"
    person.open("What this build changed: 46").choose(BUILD, "Mine: not there")
    assert person.chosen("8-iron, head") == "Mine: 271 g"  # they follow
    person.press("Add to mine")
    assert person.case.jobs == () and len(person.case.shots) == len(before.shots) + 1
    assert [c for c in person.case.bag if c in before.bag] == list(before.bag)
    person.press("Undo").press("Look first").open("What this build changed: 46")
    person.choose("8-iron, head", "Mine: 271 g").press("Add to mine")
    case, built = person.case, home.person.case
    assert case.jobs == built.jobs and case.club("8i").head_kg == before.club("8i").head_kg
    assert case.club("8i").length_m == built.club("8i").length_m and case.club("5i").lie_deg == 61.0


def test_clubs_of_a_build_that_were_measured_are_counted():
    case = demo_case()
    club = JobClub("7i", "7-iron", length_m=0.92), JobClub("8i", "8-iron", length_m=0.92)
    jobs = Job("a", "built", "2031-05-03", club), Job("b", "built", "2031-06-01", club[1:])
    bag = (replace(c, length_m=0.92, measured=("length_m",) * (c.id == "8i")) for c in case.bag)
    found = merge(case, replace(case, bag=tuple(bag), jobs=jobs), case)
    of = {d.path: d for d in found.differences}
    said = [words.build(of[path], parts) for path, parts in words.builds(found).items()]
    assert said == ["2 clubs built", "1 club built, 1 measured"]
    apart = {d.path for d in found.differences} - {d.path for p in words.builds(found).values() for d in p}
    assert ("bag", "9i", "length_m") in apart and ("bag", "7i", "length_m") not in apart
