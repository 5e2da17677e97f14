"""The store: edits, undo, trial, saving, restoring, links over other work, files."""

import json
from dataclasses import replace

import pytest

from app import bridge, edits, link
from app.demo import demo_case
from app.state import State
from app.store import is_blank, new_case
from engine.case import CaseError, Shot


@pytest.fixture(autouse=True)
def clean_bridge():
    bridge.install(None)
    bridge.forget()
    bridge.outbox.clear()
    yield
    bridge.install(None)


def saved_text() -> str:
    return [payload["text"] for kind, payload in bridge.outbox if kind == "save"][-1]


def height(state: State, value: float | None) -> None:
    state.change(lambda case: edits.player("height_m")(case, value), "height changed")


def test_begins_blank_with_a_usual_bag_and_two_layouts():
    state = State()
    assert is_blank(state.case)
    assert [x.kind for x in state.case.layouts] == ["stepped", "single"]
    assert len(state.case.bag) <= 14


def test_every_change_is_saved_and_linked_and_can_be_undone():
    state = State()
    height(state, 1.8)
    assert json.loads(saved_text())["players"][0]["case"]["player"]["height_m"] == 1.8
    assert ("link", {"hash": link.make(state.case).hash}) in bridge.outbox
    state.undo()
    assert state.case.player.height_m is None
    assert json.loads(saved_text())["players"][0]["case"]["player"]["height_m"] is None


def test_a_refused_edit_changes_nothing():
    state = State()
    before = state.store
    with pytest.raises(CaseError, match=r"player\.height_m"):
        height(state, 1e9)
    assert state.store is before and not state.undo_what


def test_restored_as_saved():
    state = State()
    height(state, 1.8)
    state.set_units("imperial")
    state.change(lambda case: edits.add_balls(case, (Shot("7i", 140.0),)), "ball added")
    state.try_out(edits.layout("single", common_length_m=0.95), "tried")
    back = State(saved=saved_text())
    assert back.store == state.store


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "null", '{"players": 3}', '{"players": [{"case": 4}]}', "[" * 99_999]
)
def test_a_spoilt_save_begins_anew_and_never_raises(text):
    state = State(saved=text)
    assert state.case.bag and state.case.layouts


def test_a_trial_does_not_touch_the_case_until_kept():
    state = State()
    kept = state.case
    state.try_out(edits.layout("single", common_length_m=0.95), "tried")
    state.try_out(edits.layout("single", common_length_m=0.96), "tried")
    assert state.case is kept and state.trying
    assert state.shown.layouts[1].common_length_m == 0.96
    state.undo()
    assert not state.trying  # one drag of a slider is one step back
    state.try_out(edits.layout("single", common_length_m=0.97), "tried")
    state.keep_trial()
    assert state.case.layouts[1].common_length_m == 0.97 and not state.trying
    state.try_out(edits.layout("single", common_length_m=0.98), "tried")
    state.drop_trial()
    assert state.case.layouts[1].common_length_m == 0.97


def test_a_ball_added_while_trying_reaches_case_and_trial():
    state = State()
    state.try_out(edits.layout("single", common_length_m=0.95), "tried")
    state.change(lambda case: edits.add_balls(case, (Shot("7i", 140.0),)), "ball added")
    assert len(state.case.shots) == len(state.shown.shots) == 1
    assert state.shown.layouts[1].common_length_m == 0.95


def test_a_link_on_a_fresh_device_opens_at_once():
    case = demo_case()
    state = State(fragment=link.make(case).hash)
    assert state.case.player.label == case.player.label and len(state.store.players) == 1
    assert state.other is None


def test_a_link_over_other_work_keeps_both():
    mine = State()
    height(mine, 1.8)
    state = State(saved=saved_text(), fragment=link.make(demo_case()).hash)
    assert len(state.store.players) == 2
    assert state.other.case.player.height_m == 1.8
    assert state.case.player.label == demo_case().player.label


def test_the_same_link_again_adds_nothing():
    mine = State()
    height(mine, 1.8)
    state = State(saved=saved_text(), fragment=link.make(mine.case).hash)
    assert len(state.store.players) == 1 and state.other is None


def test_a_bad_link_leaves_the_work_alone_and_says_so():
    mine = State()
    height(mine, 1.8)
    state = State(saved=saved_text(), fragment="#v1.AAAA")
    assert state.case.player.height_m == 1.8
    assert any("damaged" in n for n in state.notices)


def test_files_there_and_back():
    state = State()
    height(state, 1.8)
    whole = json.dumps(state.to_doc())
    one = json.dumps(demo_case().to_doc())
    other = State()
    assert "added" in other.take_file(one)
    assert "here already" in other.take_file(one)
    assert "1 player added" in other.take_file(whole)
    assert "is empty" in other.take_file(" \n")
    assert "cut short" in other.take_file(whole[: len(whole) // 2])
    assert [e.case.player.height_m for e in other.store.players] == [None, 1.81, 1.8]
    for bad in ("", "{", "[]", '{"format": "x"}', '{"format": "fettle-store", "players": []}'):
        before = other.store
        assert "Nothing was changed" in other.take_file(bad)
        assert other.store is before
    newer = json.dumps(demo_case().to_doc() | {"version": 2})
    assert "newer version" in other.take_file(newer)


def test_players_can_be_added_archived_removed_and_brought_back_by_undo():
    state = State()
    state.add_player(demo_case())
    first, second = state.store.players
    state.archive_player(first.id, True)
    assert state.store.players[0].archived
    state.remove_player(second.id)
    assert [e.id for e in state.store.players] == [first.id] and state.store.open == first.id
    state.undo()
    assert len(state.store.players) == 2


def test_a_player_who_is_put_away_makes_room_for_the_next():
    state = State()
    for _ in range(3):
        state.add_player(demo_case())
    one, two, three, four = (e.id for e in state.store.players)
    state.open_player(three)
    state.archive_player(three, True)
    assert state.store.open == four
    state.archive_player(four, True)
    assert state.store.open == two
    state.archive_player(one, True)
    assert state.store.open == two
    state.archive_player(two, True)
    assert state.store.open == two  # nobody is left: the last one stays
    state.archive_player(two, False)
    state.archive_player(one, False)
    state.remove_player(two)
    assert state.store.open == one
    state.undo()
    assert state.store.open == two


def test_norms_follow_until_the_bag_is_edited():
    state = State()
    state.change(lambda case: edits.sex(case, "female"), "norms")
    women = state.case.bag
    assert women != new_case().bag
    state.change(lambda case: edits.club("7i", "loft_deg")(case, 33.0), "loft")
    state.change(lambda case: edits.sex(case, "male"), "norms")
    assert {c.id: c.loft_deg for c in state.case.bag}["7i"] == 33.0
    assert state.case.bag[0] == women[0]


def test_bag_edits_keep_the_case_sound():
    state = State()
    state.change(lambda case: edits.copy_club(case, "7i"), "copied")
    assert [c.id for c in state.case.bag].count("7i-2") == 1
    state.change(lambda case: edits.add_balls(case, (Shot("7i-2", 120.0), Shot("7i", 121.0))), "balls")
    state.change(lambda case: edits.drop_club(case, "7i-2"), "dropped")
    assert [s.club for s in state.case.shots] == ["7i"]
    order = [c.id for c in state.case.bag]
    state.change(lambda case: edits.move_club(case, order[0], 1), "moved")
    assert [c.id for c in state.case.bag][:2] == [order[1], order[0]]


def test_a_page_that_throws_does_not_take_the_work_with_it(capsys):
    def post(kind, payload):
        raise RuntimeError("no page")

    bridge.install(post)
    state = State()
    height(state, 1.8)
    assert state.case.player.height_m == 1.8
    assert "no page" in capsys.readouterr().out


def test_layout_ids_stay_apart():
    case = edits.add_layout(edits.add_layout(new_case(), "single"), "single")
    ids = [x.id for x in case.layouts]
    assert len(set(ids)) == len(ids)
    assert [x.id for x in edits.drop_layout(case, ids[-1]).layouts] == ids[:-1]
    assert replace(case).layouts[0].kind == "stepped"
