"""A coach's list of players, and the file of all of them between two devices: merged, nothing doubled, nothing lost."""

import json
import random
import re
from dataclasses import replace

import pytest

from app import bridge, edits, players
from app.phrases.record import LEFT
from app.players import entry_doc, new_case
from app.state import State
from engine.documents.case import Job, Player, Session, Shot
from engine.fitting.job_record import OPEN
from tests.app.driver import Person, with_balls

PLAYERS = "Players, share, files"


def player(label, *carries, day=None, **known):
    """Invented, with balls of a 7-iron, all of one day if it is told."""
    case = edits.player("label")(new_case(), label)
    session = None if day is None else f"d{day}"
    shots = tuple(Shot("7i", carry_m=float(c), session=session) for c in carries)
    days = () if day is None else (Session(session, day),)
    return replace(case, player=replace(case.player, **known), shots=shots, sessions=days)


def person_with(*cases):
    person = Person()
    for case in cases:
        person.state.add_player(case)
    return person.go(PLAYERS)


def rows(person):
    head, *found = person.rows("On this device")
    return [dict(zip(head, row, strict=True)) for row in found]


def names(person):
    return [row["Player"] for row in rows(person)]


# the list


@pytest.fixture
def three():
    return person_with(
        player("Bea", 130, day="2031-05-03", tags=("juniors", "left hip"), note="Keeps the elbow in"),
        player("anna", 139, 140, day="2031-03-01"),
        replace(player("Cleo"), jobs=(Job("j", "note", "2031-01-01", note="waits for shafts"),)),
    )


def test_the_list_tells_the_last_session_and_what_is_left(three):
    found = {row["Player"].split()[0]: row for row in rows(three)}
    assert found["anna"]["Last session"] == "1 Mar 2031" and found["Cleo"]["Last session"] == "\u2013"
    assert found["anna"]["Open questions"] == "fewer than three clubs hit"
    assert found["Cleo"]["Open questions"] == "no carries yet" and found["Cleo"]["Status"] == "open now"
    assert found["Bea"]["Player"] == "Bea juniors, left hip"
    assert set(LEFT) == set(OPEN)


@pytest.mark.parametrize(
    ("typed", "seen"),
    [
        ("JUNIORS", ["Bea"]),
        ("elbow", ["Bea"]),
        ("shafts waits", ["Cleo"]),
        ("an", ["anna"]),
        ("hip anna", []),
    ],
)
def test_names_tags_and_notes_are_searched(three, typed, seen):
    three.find("Search names, tags and notes").value_input = typed
    if not seen:
        assert "No player matches this search." in three.text()
    else:
        assert [name.split()[0] for name in names(three)] == seen


def test_the_list_is_sorted(three):
    def order():
        return [name.split()[0] for name in names(three)]

    assert order() == ["anna", "Bea", "Cleo", "Player"], "by name, those without one last"
    assert three.choose("Sort by", "Last session") and order()[:2] == ["Bea", "anna"]
    three.state.change(lambda c: edits.player("height_m")(c, 1.7), "height")  # of Cleo, who is open
    entry = three.state.store.entry
    assert entry.changed > "2026" and all(e.changed for e in three.state.store.players[1:])
    old = tuple(replace(e, changed="2020-02-03T10:00:00") for e in three.state.store.players if e != entry)
    three.state._become(replace(three.state.store, players=(*old, entry)), "")
    three.choose("Sort by", "Last change")
    assert order()[0] == "Cleo" and rows(three)[1]["Last change"] == "3 Feb 2020"


def test_players_of_one_day_are_sorted_by_name_and_numbers_by_their_size():
    day = "2031-05-03"
    person = person_with(*(player(name, 130, day=day) for name in ("Junior 10", "Zoe", "junior 9", "Abe")))
    assert names(person)[:4] == ["Abe", "junior 9", "Junior 10", "Zoe"]
    assert names(person.choose("Sort by", "Last session"))[:4] == ["Abe", "junior 9", "Junior 10", "Zoe"]


def test_a_tag_is_one_however_it_is_written_and_a_search_that_finds_nobody_says_so():
    person = person_with(
        player("Abe", tags=("Juniors",)), player("Bea", tags=("juniors", "winter")), player("Cleo")
    )
    assert person.tap("Juniors").sees("Search names, tags and notes")
    assert [name.split()[0] for name in names(person)] == ["Abe", "Bea"]
    person.tap("winter")
    assert [name.split()[0] for name in names(person)] == ["Bea"]
    person.type("Search names, tags and notes", "abe")
    assert "No player matches this search." in person.text()


def test_opening_and_sharing_are_no_change(three, monkeypatch):
    monkeypatch.setattr("app.state.now", lambda: "2031-06-01T00:00:00")
    before = {e.id: e.changed for e in three.state.store.players}
    three.open_player("anna").press("Share the link")
    assert {e.id: e.changed for e in three.state.store.players} == before
    saved = three.said("save")[-1]["text"]
    again = Person(saved=saved)
    assert {e.id: e.changed for e in again.state.store.players} == before


def test_a_press_on_a_name_opens_its_player_and_says_so(three):
    edits_before = three.state.undo_what
    three.open_player("Cleo")
    assert three.state.undo_what == edits_before, "who is open already is not opened again"
    three.open_player("anna")
    assert three.case.player.label == "anna" and three.said("announce")[-1]["text"] == "anna is open"
    (here,) = re.findall(r'<button[^>]* aria-current="true">(.*?)</button>', three.markup())
    assert here == "anna"
    three.press("Undo")
    assert three.case.player.label == "Cleo"


@pytest.mark.parametrize("player", [None, 7, "", "nobody", ["p1"]])
def test_a_press_on_a_name_that_is_gone_opens_nobody(three, player):
    bridge.receive("player", {"player": player})
    assert three.case.player.label == "Cleo" and three.said("announce") == []


def test_ids_and_names_are_no_markup_in_the_list(three):
    doc = three.state.to_doc()
    doc["players"][-1]["id"] = '"><b>&x'
    doc["players"][-1]["case"]["player"]["label"] = "<b>Cleo</b>"
    person = Person(saved=json.dumps(doc)).go(PLAYERS)
    assert not any(text in person.markup() for text in ("<b>Cleo", "<b>&x", "<b>&amp;x"))
    person.open_player("anna").open_player("<b>Cleo</b>")
    assert person.state.store.open == '"><b>&x'


@pytest.mark.parametrize("changed", [7, "yesterday", "2031-05-03T10:00:00<b>", None])
def test_a_time_of_change_that_is_none_is_left_out(changed):
    doc = json.loads(json.dumps(person_with(player("Anna")).state.to_doc()))
    doc["players"][-1]["changed"] = changed
    assert Person(saved=json.dumps(doc)).state.store.players[-1].changed == ""


def test_tags_and_a_note_are_typed_and_are_text(three):
    three.type("Tags, with commas between", " <b>x</b>, juniors,, juniors ")
    three.type("Note on this player", "first\n<script>second</script>")
    assert three.case.player.tags == ("<b>x</b>", "juniors")
    assert three.case.player.note == "first\n<script>second</script>"
    assert "<b>x" not in three.markup() and "&lt;b&gt;x" in three.markup()
    assert three.value("Tags, with commas between") == "<b>x</b>, juniors"
    three.type("Tags, with commas between", ", ".join(f"t{n}" for n in range(21)))
    assert "at most 20 different texts" in three.state.refusal and len(three.case.player.tags) == 2
    three.open_player("anna")
    assert three.value("Tags, with commas between") == "" and three.value("Note on this player") == ""


def test_of_many_players_a_page_is_shown_and_all_when_asked():
    person = person_with(*(player(f"No {n:02d}") for n in range(30)))
    assert len(rows(person)) == 10
    person.press("Show all 31 players")
    assert len(rows(person)) == 31
    person.press("Show fewer").find("Search names, tags and notes").value_input = "no 29"
    assert len(rows(person)) == 1 and not any(
        "Show all" in (w.label or "") for w in person.seen() if hasattr(w, "label")
    )


# the file of all players


class Kept:
    """What one person has stored, without a page."""

    def __init__(self, *cases):
        self.state = State()
        for case in cases:
            self.state.add_player(case)

    def file(self):
        return json.dumps(self.state.share_all())

    def take(self, text):
        return self.state.take_file(text)

    def open(self, name):
        self.state.open_player(next(e.id for e in self.state.listed if e.name == name))

    def add(self, name, *carries):
        self.open(name)
        balls = tuple(Shot("7i", carry_m=float(c)) for c in carries)
        assert self.state.change(lambda case: with_balls(case, balls), "balls added")

    def balls(self):
        found = {}
        for entry in self.state.listed:
            if entry.case.shots:
                assert entry.name not in found, "nobody is there twice"
                found[entry.name] = sorted(s.carry_m for s in entry.case.shots)
        return found


class Device(Kept):
    """The same with the page over it."""

    def __init__(self, *cases):
        self.person = person_with(*cases)
        self.state = self.person.state

    def file(self):
        self.person.go(PLAYERS).press("Save all players as a file")
        return self.person.said("download")[-1]["text"]

    def take(self, text):
        said = super().take(text)
        self.person.page.refresh()
        return said


@pytest.fixture
def two():
    """Two devices with the same three players."""
    first = Device(player("Anna", 139, 141), player("Bea", 130), player("Cleo", 120))
    second = Device()
    said = second.take(first.file())
    assert said.startswith("3 players added from the file.") and second.balls() == first.balls()
    return first, second


def test_a_file_of_all_opened_again_tells_nothing_new(two):
    first, second = two
    assert second.take(first.file()) == "Every player in this file is here already. Nothing was changed."
    assert first.take(second.file()) == "Every player in this file is here already. Nothing was changed."


def test_the_units_of_a_file_hold_where_nobody_was_here():
    first = State()
    first.add_player(player("Dora", 80))
    first.set_units("imperial")
    text = json.dumps(first.share_all())
    fresh, own = State(), State()
    assert fresh.take_file(text).endswith("What you type and see is in yards and inches now, as in the file.")
    assert fresh.units == "imperial"
    own.add_player(player("Eve", 80))
    assert "yards" not in own.take_file(text) and own.units == "metric"


def test_copies_in_a_file_are_asked_about_one_after_another(two):
    first, second = two
    second.add("Anna", *range(100, 112))
    second.add("Bea", 90)
    second.state.add_player(player("Dora", 80))
    first.add("Anna", 150)
    before = first.balls()
    said = first.take(second.file())
    assert said == (
        "1 player added from the file. It has news of “Anna” and “Bea”, already here: choose at the top what to do. "
        "1 was here already."
    )
    assert first.balls() == before | {"Dora": [80]}, "nothing is in yet, and no copy is in the list"
    person = first.person
    assert person.state.case.player.label == "Anna" and "has come back with 12 new balls" in person.text()
    assert [row["Open questions"] for row in rows(person)].count("a copy that has come back") == 2
    person.press("Add to mine")
    assert person.state.case.player.label == "Bea" and "has come back with 1 new ball." in person.text()
    person.press("Look first")
    assert person.rows("New balls (1)")[1][0] == "90.0 m with 7-iron"
    person.press("Keep apart")
    assert "has come back" not in person.text() and len(first.state.listed) == 5
    assert sorted(s.carry_m for e in first.state.listed if e.name == "Anna" for s in e.case.shots) == [
        *range(100, 112), 139, 141, 150,
    ]  # fmt: skip
    assert [len(e.case.shots) for e in first.state.listed if e.name == "Bea"] == [1, 2]


def test_all_copies_are_added_at_once_and_undone_at_once(two):
    first, second = two
    for name in ("Anna", "Bea", "Cleo"):
        second.add(name, 90)
        first.add(name, 150)
    before = first.balls()
    first.take(second.file())
    first.person.press("Add all 3 copies to mine")
    assert first.balls() == {name: [90, *balls] for name, balls in before.items()} | {
        "Anna": [90, 139, 141, 150]
    }
    assert not first.state.waiting and not first.person.sees("Look first")
    first.person.press("Undo")
    assert first.balls() == before and len(first.state.waiting) == 3
    first.person.press("Undo")
    assert first.balls() == before and not first.state.waiting
    first.take(second.file())
    first.person.press("Add all 3 copies to mine")
    second.take(first.file())
    second.person.press("Add all 3 copies to mine")
    assert first.balls() == second.balls() and len(first.balls()["Anna"]) == 4


def test_what_was_chosen_for_the_copy_in_view_holds_for_add_all(two):
    first, second = two
    for device, height in ((first, 1.8), (second, 1.7)):
        for name in ("Bea", "Anna"):
            device.open(name)
            device.state.change(lambda c, h=height: edits.player("height_m")(c, h), "height")
    first.take(second.file())
    first.person.press("Look first").choose("Player, height", "Theirs: 170.0 cm")
    looked_at = first.state.case.player.label
    first.person.press("Add both copies to mine")
    heights = {e.name: e.case.player.height_m for e in first.state.listed}
    assert heights[looked_at] == 1.7 and sorted(h for h in heights.values() if h) == [1.7, 1.8]


def test_what_waits_is_stored_and_asked_again(two):
    first, second = two
    second.add("Anna", 90)
    second.add("Bea", 91)
    first.take(second.file())
    first.state.flush()
    again = Person(saved=first.person.said("save")[-1]["text"])
    assert len(again.state.waiting) == 2 and "has come back with 1 new ball" in again.text()
    again.press("Add both copies to mine")
    assert sorted(len(e.case.shots) for e in again.state.listed if e.case.shots) == [1, 2, 3]


def test_another_player_can_be_opened_meanwhile(two):
    first, second = two
    second.add("Anna", 90)
    first.take(second.file())
    first.open("Cleo")
    assert "has come back with" not in first.person.text()
    first.add("Cleo", 77)
    first.open("Anna")
    assert "has come back with 1 new ball" in first.person.text()


def test_a_second_copy_that_tells_no_more_is_dropped_with_the_first(two):
    first, second = two
    second.add("Anna", 90)
    older = second.file()
    second.add("Anna", 91)
    first.take(older)
    first.take(second.file())  # the one opened last is asked about first
    assert len(first.state.waiting) == 2
    first.person.press("Add to mine")  # the newer one, which holds what the older one does
    assert first.balls()["Anna"] == [90, 91, 139, 141]
    assert not first.state.waiting and len(first.state.store.players) == 3


def test_a_file_of_before_players_had_ids_adds_whoever_differs():
    first = Device(player("Anna", 139))
    text = json.dumps(first.state.to_doc())  # without the button, as files once were
    assert first.take(text) == "Every player in this file is here already. Nothing was changed."
    first.add("Anna", 140)
    assert "1 player added" in first.take(text) and [e.name for e in first.state.listed].count("Anna") == 2


def test_the_list_has_an_end(monkeypatch):
    monkeypatch.setattr("app.state.MOST_PLAYERS", 4)
    first = Device(player("Anna", 139), player("Bea", 130))
    text = Device(*(player(f"New {n}", 100 + n) for n in range(3))).file()
    said = first.take(text)
    assert said == ("2 players added from the file. 1 did not fit: the list holds at most 4.")
    assert "remove some first" in first.take(text)


def test_any_history_on_two_devices_ends_with_the_same_balls():
    """Balls added here and there, files to and fro: each ball once on both, whatever the order."""
    chance = random.Random(11)
    for _ in range(6):
        devices = [Kept(*(player(f"P{n}", 100 + n) for n in range(4))), Kept()]
        devices[1].take(devices[0].file())
        number = 200
        for _ in range(6):
            device = devices[chance.randrange(2)]
            for _ in range(chance.randrange(3)):
                number += 1
                device.add(f"P{chance.randrange(4)}", number)
            if chance.random() < 0.5:
                other = devices[1 - devices.index(device)]
                other.take(device.file())
                while other.state.waiting:
                    other.state.open_player(other.state.waiting[0][1].id)
                    assert other.state.put_together({}, ())
        for one, other in (devices, devices[::-1]):
            other.take(one.file())
            other.state.put_all_together({}, ())
        assert devices[0].balls() == devices[1].balls()
        assert sum(map(len, devices[0].balls().values())) == 4 + number - 200


def test_the_demo_of_an_untouched_player_stays_without_an_id():
    text = Device(player("Anna", 139)).file()
    doc = json.loads(text)
    assert [bool(p["case"]["player"].get("id")) for p in doc["players"]] == [False, True]
    assert players.entries_of(doc, [])[0].case.player == Player()


def test_after_a_start_only_who_was_changed_is_written_anew(monkeypatch):
    kept = Kept(player("Anna", 139), player("Bea", 130), player("Cleo", 120))
    saved, written = kept.state._text(), []
    indented = State(saved=json.dumps(json.loads(saved), indent=1))
    assert json.loads(State(saved=saved)._text()) == json.loads(indented._text()) == json.loads(saved)
    real = entry_doc
    monkeypatch.setattr("app.state.entry_doc", lambda entry: written.append(entry.name) or real(entry))
    again = State(saved=saved)
    again.change(lambda c: edits.player("height_m")(c, 1.7), "height")
    again._text()
    assert set(written) == {again.store.entry.name}
    assert json.loads(again._text()) == again.to_doc()


def test_what_is_saved_is_the_whole_document_whoever_was_changed():
    """Texts of players who were not changed are used again; undo and removal leave none behind."""
    kept = Kept(player("Anna", 139), player("\u201cBea\u201d", 130))
    steps = (
        lambda state: state.change(lambda c: edits.player("height_m")(c, 1.7), "height"),
        lambda state: state.open_player(state.store.players[1].id),
        lambda state: state.try_out(lambda c: edits.wants("gap_m")(c, 10.0), "gap"),
        lambda state: state.undo(),
        lambda state: state.share_all(),
        lambda state: state.remove_player(state.store.open),
        lambda state: state.undo(),
    )
    for step in steps:
        step(kept.state)
        kept.state.flush()
        assert json.loads(kept.state._text()) == kept.state.to_doc()
