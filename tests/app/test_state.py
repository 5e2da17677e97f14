"""The store: edits, undo, trial, saving, restoring, links over other work, files."""

import json
import random
from dataclasses import replace

import pytest

from app import bridge, edits, link
from app.demo import demo_case
from app.main import Page
from app.players import is_blank, new_case
from app.state import State
from engine.documents.case import Case, Shot
from tests.app.driver import with_balls


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


def test_a_part_of_a_screen_that_fails_keeps_nothing_from_being_saved_or_drawn():
    state, drawn = State(), []

    def spoilt():
        raise IndexError("a slip of ours")

    state.listen(spoilt)
    state.listen(lambda: drawn.append(state.case.player.height_m))
    with pytest.raises(IndexError):
        height(state, 1.8)
    assert drawn == [1.8]
    assert json.loads(saved_text())["players"][0]["case"]["player"]["height_m"] == 1.8
    with pytest.raises(IndexError):
        state.undo()
    assert json.loads(saved_text())["players"][0]["case"]["player"]["height_m"] is None


def test_a_refused_edit_changes_nothing():
    state = State()
    before = state.store
    height(state, 1e9)
    assert state.store is before and not state.undo_what
    assert "height must be" in state.refusal and ("refusal", {"text": state.refusal}) in bridge.outbox


def test_restored_as_saved():
    state = State()
    height(state, 1.8)
    state.set_units("imperial")
    state.change(lambda case: with_balls(case, (Shot("7i", 140.0),)), "ball added")
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
    state.try_out(edits.layout("single", common_length_m=0.95), "tried", on="single")
    state.try_out(edits.layout("single", common_length_m=0.96), "tried", on="single")
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
    state.change(lambda case: with_balls(case, (Shot("7i", 140.0),)), "ball added")
    assert len(state.case.shots) == len(state.shown.shots) == 1
    assert state.shown.layouts[1].common_length_m == 0.95


def test_a_link_on_a_fresh_device_opens_at_once():
    case = demo_case()
    state = State(fragment=link.make(case).hash)
    assert state.case.player.label == case.player.label and len(state.store.players) == 1
    assert state.question is None


def test_a_link_over_other_work_keeps_both():
    mine = State()
    height(mine, 1.8)
    state = State(saved=saved_text(), fragment=link.make(demo_case()).hash)
    assert len(state.store.players) == 2
    linked, mine = state.question
    assert mine.case.player.height_m == 1.8
    assert linked.case is state.case
    assert state.case.player.label == demo_case().player.label


def test_the_same_link_again_adds_nothing():
    mine = State()
    height(mine, 1.8)
    state = State(saved=saved_text(), fragment=link.make(mine.case).hash)
    assert len(state.store.players) == 1 and state.question is None


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
    assert [e.case.player.height_m for e in other.store.players] == [1.81, 1.8]
    for bad in ("", "{", "[]", '{"format": "x"}', '{"format": "fettle-store", "players": []}'):
        before = other.store
        assert "Nothing was changed" in other.take_file(bad)
        assert other.store is before
    newer = json.dumps(demo_case().to_doc() | {"version": 3})
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
    state.change(lambda case: with_balls(case, (Shot("7i-2", 120.0), Shot("7i", 121.0))), "balls")
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


# ---- the address, and links from elsewhere


def address() -> str:
    """The fragment that the page last put into its address."""
    return [payload["hash"] for kind, payload in bridge.outbox if kind == "link"][-1]


def known() -> dict[str, str]:
    """Fragments of which all was stored here, and whose they are, as the page keeps them."""
    return {payload["hash"]: payload["player"] for kind, payload in bridge.outbox if kind == "known"}


def again(fragment: str | None = None) -> State:
    """The page loaded anew: with its own address, or with another."""
    fragment = address() if fragment is None else fragment
    return State(saved=saved_text(), fragment=fragment, owner=known().get(fragment, ""))


def monitored(clubs: int, each: int, label: str = "Range session") -> Case:
    """Balls of which a launch monitor told all, digits and all, with clubs that have names of their own."""
    noise = random.Random(7)
    case = edits.player("label")(new_case(), label)
    bag = tuple(replace(c, name=f"{c.name} {noise.randrange(10**12)}") for c in case.bag)
    balls = tuple(
        Shot(
            club.id,
            noise.uniform(80, 200),
            ball_speed_mps=noise.uniform(35, 60),
            launch_deg=noise.uniform(10, 30),
            spin_rpm=noise.uniform(3000, 9000),
            club_speed_mps=noise.uniform(30, 45),
            side_m=noise.gauss(0, 6),
        )
        for club in bag[:clubs]
        for _ in range(each)
    )
    return replace(case, bag=bag, shots=balls)


def names(state: State) -> list[str]:
    return [e.name for e in state.store.players]


@pytest.mark.parametrize(("clubs", "each"), [(3, 2), (13, 5), (13, 30)])
def test_loading_the_page_again_opens_what_is_stored_and_adds_nobody(clubs, each):
    state = State()
    state.add_player(monitored(clubs, each))
    for _ in range(3):
        state = again()
        assert names(state).count("Range session") == 1 and len(state.store.players) == 2
        assert state.case == monitored(clubs, each)
        assert state.question is None and state.notices == []
        state.flush()


def test_only_an_exact_link_is_put_into_the_address():
    state = State()
    state.add_player(monitored(3, 2))
    assert link.read(address()).case.to_doc()["shots"]
    state.add_player(monitored(13, 30, "Many balls"))
    assert link.make(state.case).notes, "too small to be shortened"
    assert link.read(address()).case is None
    assert state.store.open in address()
    state.add_player(new_case())
    assert link.read(address()).case is None


def test_a_mark_in_the_address_opens_its_player():
    state = State()
    state.add_player(monitored(13, 30, "Many balls"))
    many = address()
    state.add_player(monitored(3, 2))
    state.flush()
    assert again(many).store.entry.name == "Many balls"
    assert again("#player-nobody").store.entry.name == "Range session"
    other = State(fragment=many)
    assert is_blank(other.case) and other.notices == []


def test_an_older_address_of_this_page_opens_the_player_as_stored():
    state = State()
    state.add_player(monitored(3, 2))
    older = address()
    state.change(lambda case: with_balls(case, (Shot("7i", 140.0),)), "ball added")
    newest = state.case
    state.add_player(edits.player("label")(new_case(), "Somebody else"))
    for at_start in (True, False):
        if at_start:
            back = again(older)
        else:
            back = again("")
            back.open_link(older, owner=known()[older])
        assert back.case == newest and len(back.store.players) == 3
        assert back.question is None and "holds nothing new" in back.notices[0]


def test_looking_at_an_older_address_saves_nothing():
    state = State()
    state.add_player(monitored(3, 2))
    older = address()
    state.add_player(edits.player("label")(new_case(), "Somebody else"))
    back = again(older)
    assert back.store.entry.name == "Range session"
    bridge.outbox.clear()
    back.flush()
    assert not [kind for kind, _ in bridge.outbox if kind == "save"]


def test_an_address_that_holds_what_was_never_stored_is_asked_about():
    state = State()
    state.add_player(monitored(3, 2))
    saved = saved_text()
    state.change(lambda case: with_balls(case, (Shot("7i", 140.0),)), "ball added")
    back = State(saved=saved, fragment=address())  # the page does not know it: it could not store the ball
    assert len(back.case.shots) == 7
    linked, mine = back.question
    assert len(mine.case.shots) == 6 and linked.case is back.case


def test_an_address_of_a_player_who_was_removed_brings_him_back():
    state = State()
    state.change(edits_label("Mine"), "named")
    state.add_player(monitored(3, 2))
    older = address()
    state.remove_player(state.store.open)
    state.add_player(edits.player("label")(new_case(), "New, not the removed one"))
    back = again(older)
    assert back.store.entry.name == "Range session" and back.question is None
    assert "had been removed" in back.notices[0]


def edits_label(label: str):
    return lambda case: edits.player("label")(case, label)


def test_the_link_of_a_coach_opened_twice_is_opened_once():
    mine = State()
    mine.change(edits_label("Mine"), "named")
    for case in (monitored(3, 2), monitored(13, 30)):
        made = link.make(case).hash
        state = again(made)
        state.flush()
        assert names(state).count("Range session") == 1
        state = again(made)
        assert names(state).count("Range session") == 1 and state.question is not None
        state.stay()
        state.change(lambda case: edits.club("7i", "loft_deg")(case, 33.0), "loft")
        worked_on = state.case
        state = again(made)  # the same message is tapped once more
        assert state.case == worked_on and state.question is None
        bridge.outbox.clear()
        mine.set_units("imperial" if mine.units == "metric" else "metric")


def test_a_shortened_link_that_was_opened_and_worked_on_is_known():
    mine = State()
    mine.change(edits_label("Mine"), "named")
    made = link.make(monitored(13, 30)).hash
    state = again(made)
    state.change(lambda case: edits.club("7i", "loft_deg")(case, 33.0), "loft")
    worked_on = state.case
    state = again(made)
    assert state.case == worked_on and len(state.store.players) == 2


def test_my_own_shortened_link_is_known_as_mine():
    state = State()
    state.add_player(monitored(13, 30))
    back = again(link.make(state.case).hash)
    assert back.case == state.case and len(back.store.players) == 2
    assert back.question is None


def older_release(case: Case, most: int) -> str:
    """A shortened link as the first release put it into the address: carries only, no counts, no word of it."""
    shots = tuple(Shot(s.club, round(s.carry_m, 1)) for s in case.shots)
    few = tuple(s for i, s in enumerate(shots) if i % 5 < most)
    return link.make(replace(case, shots=few)).hash


@pytest.mark.parametrize("most", [3, 5])
def test_a_link_that_holds_less_of_a_player_than_is_stored_opens_the_stored_one_and_says_so(most):
    state = State()
    state.add_player(monitored(13, 5))
    back = again(older_release(state.case, most))
    assert back.case == state.case and len(back.store.players) == 2
    assert back.question is None
    assert any("holds less" in notice for notice in back.notices) is (most < 5)


@pytest.mark.parametrize("new", ["a ball", "a loft", "a wish", "switched off", "a spin"])
def test_a_link_that_holds_anything_new_of_a_player_is_asked_about(new):
    state = State()
    state.add_player(monitored(3, 2))
    case = replace(state.case, shots=state.case.shots[:4])
    if new == "a ball":
        case = with_balls(case, (Shot("7i", 140.0),))
    elif new == "a loft":
        case = edits.club(case.bag[0].id, "loft_deg")(case, 11.5)
    elif new == "a wish":
        case = edits.wants("gap_m")(case, 9.0)
    elif new == "a spin":
        case = replace(case, shots=(replace(case.shots[0], spin_rpm=2999.0), *case.shots[1:]))
    else:
        case = replace(case, shots=(replace(case.shots[0], use=False), *case.shots[1:]))
    back = again(link.make(case).hash)
    assert back.question is not None and len(back.store.players) == 3


def test_a_bag_that_was_typed_is_not_opened_over():
    mine = State()
    mine.change(lambda case: edits.club("7i", "loft_deg")(case, 33.0), "loft")
    state = State(saved=saved_text(), fragment=link.make(demo_case()).hash)
    assert len(state.store.players) == 2
    assert {c.id: c.loft_deg for c in state.store.players[0].case.bag}["7i"] == 33.0


def test_a_link_that_could_not_be_opened_stays_in_the_address():
    mine = State()
    mine.change(edits_label("Mine"), "named")
    state = again("#v99.AAAA")
    bridge.outbox.clear()
    state.flush()
    assert not [kind for kind, _ in bridge.outbox if kind == "link"]
    state.change(edits_label("Mine too"), "named")
    assert link.read(address()).case.player.label == "Mine too"


def shown_question(page: Page) -> str:
    return page.asked.object if "off" not in page.question.css_classes else ""


def press(page: Page, label: str) -> None:
    [found] = list(page.question.select(lambda x: getattr(x, "label", "") == label))
    found.param.trigger("clicks")


@pytest.fixture
def asked() -> Page:
    mine = State()
    mine.change(edits_label("Mine"), "named")
    return Page({"saved": saved_text(), "hash": link.make(monitored(3, 2)).hash})


def test_a_link_from_elsewhere_is_asked_about(asked):
    said = shown_question(asked)
    assert "Range session" in said and "Mine" in said and "6 balls" in said
    # and still after the page is loaded again
    asked.state.flush()
    page = Page({"saved": saved_text(), "hash": address(), "owner": known().get(address(), "")})
    assert page.state.store.entry.name == "Range session" and "Mine" in shown_question(page)


@pytest.mark.parametrize("spoilt", [7, "p1", ["p1"], [["p1"], {}], ["p1", "nobody"], {"p1": 1}])
def test_a_spoilt_question_is_not_asked(spoilt):
    doc = State().to_doc() | {"asked": spoilt}
    assert Page({"saved": json.dumps(doc)}).state.question is None


def test_one_may_stay_with_the_linked_player(asked):
    press(asked, "Stay with the linked player")
    assert asked.state.store.entry.name == "Range session" and names(asked.state) == ["Mine", "Range session"]
    assert shown_question(asked) == ""
    assert again().question is None


def test_the_answer_stands_when_an_edit_before_it_is_undone(asked):
    asked.state.change(edits_label("Range session, renamed"), "renamed")
    press(asked, "Stay with the linked player")
    asked.state.undo()
    assert asked.state.store.entry.name == "Range session" and shown_question(asked) == ""


def test_after_two_links_in_a_row_back_is_still_to_mine(asked):
    bridge.receive("hash", {"hash": link.make(demo_case()).hash})
    assert asked.state.store.entry.name == demo_case().player.label
    press(asked, "Back to mine, keep both")
    assert asked.state.store.entry.name == "Mine" and len(asked.state.store.players) == 3


def test_one_may_go_back_and_keep_both(asked):
    press(asked, "Back to mine, keep both")
    assert asked.state.store.entry.name == "Mine" and names(asked.state) == ["Mine", "Range session"]
    assert shown_question(asked) == ""


def test_one_may_go_back_and_drop_the_linked_one(asked):
    press(asked, "Back to mine, remove the linked one")
    assert asked.state.store.entry.name == "Mine" and names(asked.state) == ["Mine"]
    assert shown_question(asked) == ""
    asked.state.undo()
    assert names(asked.state) == ["Mine", "Range session"]


def test_the_question_is_about_the_linked_player_only(asked):
    linked = asked.state.store.open
    asked.state.add_player(edits.player("label")(new_case(), "Third"))
    assert shown_question(asked) == "", "another player is open"
    asked.state.open_player(linked)
    assert "Range session" in shown_question(asked)
    asked.state.remove_player(asked.state.store.players[0].id)
    assert shown_question(asked) == "", "there is nobody to go back to"


def test_new_players_never_get_the_number_of_a_removed_one():
    state = State()
    seen = set()
    for _ in range(20):
        state.add_player(demo_case())
        assert state.store.open not in seen
        seen.add(state.store.open)
        state.remove_player(state.store.open)


def test_what_was_set_aside_is_said_to_be_taken_in_only_when_it_is(monkeypatch):
    other = State()
    other.change(edits_label("Other tab"), "named")
    text = saved_text()
    page = Page({})
    page.state.add_player(demo_case())

    def take() -> dict:
        bridge.outbox.clear()
        bridge.receive("take", {"text": text, "reply": 7})
        [answer] = [payload for kind, payload in bridge.outbox if kind == "taken"]
        return answer

    with monkeypatch.context() as full:
        full.setattr("app.state.MOST_PLAYERS", 1)
        assert take() == {"reply": 7, "whole": False}
    assert any("at most 1" in notice for notice in page.state.notices)
    assert take() == {"reply": 7, "whole": True}
    assert "Other tab" in names(page.state)
    assert take() == {"reply": 7, "whole": True}, "it is here already"
    whole = text
    for bad in ("{", "[]", json.dumps(json.loads(whole) | {"players": []})):
        text = bad
        assert take() == {"reply": 7, "whole": False}
    other.add_player(edits.player("label")(new_case(), "One"))
    other.add_player(edits.player("label")(new_case(), "Two"))
    text = json.dumps(other.to_doc())
    with monkeypatch.context() as nearly_full:
        nearly_full.setattr("app.state.MOST_PLAYERS", len(page.state.store.players) + 1)
        assert take() == {"reply": 7, "whole": False}
    assert "One" in names(page.state) and "Two" not in names(page.state)


def test_one_edit_is_solved_once(monkeypatch):
    from engine.fitting import solved as module

    state = State(fragment=link.make(demo_case()).hash)
    weighed = []  # cases, once a solve
    whole = module.weigh_layouts
    monkeypatch.setattr(
        module, "weigh_layouts", lambda case, *a, **k: weighed.append(case) or whole(case, *a, **k)
    )
    state.try_out(edits.layout("single", common_length_m=0.95), "tried", on="single")
    assert state.result is not None and state.fitting.open_choice is not None
    assert state.fitting.next_ball.next is not None and state.result.layouts
    before_the_last_balls = [case for case in weighed if case != state.fitting.case]
    assert len(weighed) == 2 and len(before_the_last_balls) == 1


def test_two_sliders_on_two_layouts_are_two_steps_back():
    state = State()
    state.change(lambda case: edits.add_layout(case, "two_lengths"), "added")
    for layout in ("single", "two_lengths"):
        for length in (0.95, 0.96):
            edit = edits.layout(layout, common_length_m=length)
            state.try_out(edit, "common length tried", on=layout)
    state.undo()
    assert {x.id: x.common_length_m for x in state.shown.layouts}["single"] == 0.96
    assert {x.id: x.common_length_m for x in state.shown.layouts}["two_lengths"] is None
    state.undo()
    assert not state.trying
