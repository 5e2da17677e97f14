"""What was typed before the dashboard was there: in its order, once, and with the checks of anything typed."""

import asyncio
import json

import pytest

from app import bridge, edits
from app.demo import demo_case
from app.glance import glance
from app.players import Store, from_saved
from app.state import SAVE_AFTER
from tests.app.driver import Person

M, YD = "metric", "imperial"


def hand(page, *entries, first=0, player=""):
    bridge.receive(
        "early", {"id": page, "player": player, "first": first, "entries": [list(e) for e in entries]}
    )


def saved(person):
    person.state.flush()
    return person.said("save")[-1]


def carries(person):
    return [(s.club, s.carry_m) for s in person.case.shots]


def test_everything_is_there_in_order():
    person = Person()
    hand(
        "a",
        ("height", "178", M),
        ("wingspan", "181", M),
        ("carry", "150", M, "7i"),
        ("carry", "120", M, "9i"),
        ("carry", "148,5", M, "7i"),
    )
    assert (person.case.player.height_m, person.case.player.wingspan_m) == (1.78, 1.81)
    assert carries(person) == [("7i", 150.0), ("9i", 120.0), ("7i", 148.5)]
    assert person.value("Height") == "178"
    person.go("Hit")
    assert "Carry, 7-iron" in "".join(w.label for w in person.seen() if getattr(w, "label", None))
    person.press("Undo")  # one step for each
    assert carries(person) == [("7i", 150.0), ("9i", 120.0)]


@pytest.mark.parametrize("again", [False, True])
def test_what_was_handed_over_is_not_taken_in_again(again):
    person = Person()
    entries = [("height", "178", M), ("carry", "150", M, "7i")]
    hand("a", *entries)
    if again:  # after a page that died with this on the device, but before it had dropped its own copy
        person = Person(saved=saved(person)["text"])
    hand("a", *entries, ("carry", "151", M, "7i"))
    hand("a", ("carry", "152", M, "7i"), first=3)
    assert carries(person) == [("7i", 150.0), ("7i", 151.0), ("7i", 152.0)]
    assert len(person.state.store.players) == 1


def test_undo_does_not_open_the_door_to_the_same_entries_again():
    person = Person()
    both = [("carry", "150", M, "7i"), ("carry", "151", M, "7i")]
    hand("a", *both)
    person.press("Undo")
    person.press("Undo")
    hand("a", *both)
    assert carries(person) == []
    assert json.loads(saved(person)["text"])["early"]["a"][0] == 2


def test_a_text_is_read_in_the_units_it_was_typed_in():
    person = Person()
    hand("a", ("height", "178", M), ("units", YD), ("wingspan", "6'0", YD), ("carry", "160", YD, "7i"))
    assert person.state.units == YD
    assert person.case.player.height_m == pytest.approx(1.78)
    assert person.case.player.wingspan_m == pytest.approx(72 * 0.0254)
    assert carries(person) == [("7i", pytest.approx(160 * 0.9144, abs=0.01))]
    hand("b", ("carry", "150", M, "7i"))  # another page, before the units were switched here
    assert carries(person)[-1] == ("7i", 150.0)
    assert person.state.units == M


def test_what_is_refused_stands_in_its_field_with_its_words():
    person = Person()
    hand(
        "a",
        ("height", "999", M),
        ("carry", "1522", M, "7i"),
        ("carry", "151", M, "7i"),
        ("carry", "x", M, "9i"),
    )
    assert person.case.player.height_m is None
    assert carries(person) == [("7i", 151.0)]
    assert person.value("Height") == "999"
    assert "Height must be from" in "".join(w.label for w in person.seen() if getattr(w, "label", None))
    person.go("Hit")
    assert "\u201c1522\u201d must be from 1 to 400 m" in person.text()  # another was entered after it
    assert person.said("returned")[-1] == {"text": "x"}


def test_a_carry_for_a_club_that_is_gone_goes_to_no_other():
    person = Person()
    hand("a", ("carry", "150", M, "nope"), ("carry", "151", M, "7i"))
    assert carries(person) == [("7i", 151.0)]
    person.go("Hit")
    assert "\u201c150\u201d was typed for a club (nope) that is not in the bag" in person.text()


def test_the_club_chosen_last_is_the_chosen_one_whatever_was_hit_last():
    person = Person()
    hand("a", ("carry", "150", M, "7i"), ("carry", "120", M, "9i"), ("club", "5i", M))
    person.go("Hit")
    assert person.tapped("5i") and person.sees("Carry, 5-iron")
    person = Person(saved=saved(person)["text"])
    person.go("Hit")
    assert person.tapped("5i")
    hand("a", ("carry", "150", M, "7i"), ("carry", "120", M, "9i"), ("club", "5i", M))
    assert person.tapped("5i") and carries(person) == [("7i", 150.0), ("9i", 120.0)]
    hand("a", ("club", "7i", M), ("club", "<b>", M), first=3)
    assert person.tapped("7i") and person.state.units == M


def test_a_page_that_goes_on_with_what_another_left_makes_no_second_player():
    person = Person()
    hand("a", ("carry", "150", M, "7i"), ("club", "9i", M))
    page = {"id": "b", "player": "", "after": "a", "first": 0}
    bridge.receive("early", page | {"entries": [["club", "9i", M], ["carry", "120", M, "9i"]]})
    assert carries(person) == [("7i", 150.0), ("9i", 120.0)] and len(person.state.store.players) == 1
    person.go("Hit")
    assert person.tapped("9i")


def test_entries_go_to_the_player_who_was_shown():
    person = Person(demo_case())
    demo = person.state.store.open
    first = person.state.store.players[0].id
    person.state.open_player(first)
    hand("a", ("carry", "150", M, "7i"), player=demo)
    assert person.state.store.open == demo
    assert person.case.shots[-1].carry_m == 150.0
    hand("b", ("height", "170", M))  # typed when nobody was stored yet, while somebody is open now
    assert person.state.store.open not in (demo, first)
    hand("b", ("height", "170", M), ("wingspan", "171", M))
    assert person.case.player.wingspan_m == 1.71
    assert len(person.state.store.players) == 3


def test_hostile_entries_do_no_harm():
    person = Person()
    hand(
        "a",
        ("units", "<b>"),
        ("nothing", "1", M),
        ("height", "<img src=x>" * 9, M),
        ("carry", "<b>1</b>", M, "7i"),
    )
    assert person.state.units == M
    assert carries(person) == []
    person.go("Hit")
    assert "<b>1" not in person.markup() and "<img" not in person.markup()


def test_a_save_goes_with_what_the_next_page_shows_at_first():
    person = Person()
    hand("a", ("height", "178", M), ("carry", "150", M, "9i"), ("carry", "151", M, "9i"))
    person.type("Name", "Ann <i>")
    shown = saved(person)["glance"]
    assert (shown["player"], shown["name"], shown["units"], shown["blank"]) == (
        person.state.store.open, "Ann <i>", M, False,
    )  # fmt: skip
    assert shown["body"] == {M: ["178", ""], YD: ["70.1", ""]}
    assert ["9i \u00b7 2", "9i", "9-iron"] in shown["clubs"]
    assert shown["club"] == "9i"
    assert shown["tally"] == "2 balls, last 151\u00a0m, mean 150\u00a0m"
    person.go("Hit")
    assert shown["tally"].replace("\u00a0", " ") in person.text()
    assert shown["early"] == {"a": 3}


def test_a_store_keeps_only_sound_notes_of_early_entries():
    doc = {"format": "fettle-store", "players": [{"id": "p1", "case": {}}]}
    for early in (None, 3, [], {"a": 3}, {"a": ["3", "p1"]}, {"a": [True, "p1"]}, {"a": [3]}):
        assert from_saved(json.dumps(doc | {"early": early}), []).early == {}
    assert from_saved(json.dumps(doc | {"early": {"a": [3, "p1"]}}), []).early == {"a": (3, "p1")}
    assert glance(Store(players=from_saved(None, []).players, open="p1"))["blank"]


def test_the_page_is_told_at_the_start_what_it_may_show_at_the_next():
    person = Person(saved=saved(Person(demo_case()))["text"])
    bridge.receive("started", {"how": "plainly"})
    assert person.said("glance") == [glance(person.state.store) | {"card": None}]


def test_the_card_goes_with_a_save_once_it_is_worked_out_and_not_before():
    person = Person()
    person.type("Height", "178")
    assert saved(person)["glance"]["card"] is None  # Measure asks for no sums, nor does a save
    hand("a", *[("carry", str(c), M, "7i") for c in (150, 152, 148)])
    person.go("Play")
    shown = person.said("glance")[-1]["card"]
    assert shown["unit"] == "m" and len(shown["rows"]) > 5
    assert [tuple(row[:3]) for row in person.rows("Carry card")[1:]] == [tuple(row) for row in shown["rows"]]
    hand("a", ("carry", "151", M, "7i"), first=3)  # solved anew on this screen before it is saved
    assert saved(person)["glance"]["card"]["rows"] != shown["rows"]


def test_the_club_chosen_last_is_the_one_at_the_next_visit_and_undo_leaves_it():
    person = Person()
    hand("a", ("carry", "150", M, "9i"))
    person.go("Hit").tap("8i").go("Measure").type("Height", "178").press("Undo")
    kept = saved(person)
    assert kept["glance"]["club"] == "8i" and kept["glance"]["tally"] == "No balls yet"
    back = Person(saved=kept["text"]).go("Hit")
    assert back.tapped("8i")
    back.state.add_player(demo_case(), "made-up player opened")
    assert saved(back)["glance"]["club"] == "7i"
    doc = json.loads(kept["text"])
    for nonsense in (None, 3, ["p1"], ["p1", 3], [["p1"], "8i"], {"p1": "8i"}, ["p2", "8i"], ["p1", "gone"]):
        assert glance(from_saved(json.dumps(doc | {"hitting": nonsense}), []))["club"] == "9i"


def test_the_card_after_undo_is_of_the_set_that_stands():
    person = Person(demo_case())
    person.go("Play")
    was = person.said("glance")[-1]["card"]

    async def undoing():
        person.go("Build").tap("Single length, 91.4 cm")
        assert "yet to be built" in saved(person)["glance"]["card"]["set"]
        person.press("Undo")  # saved at once, before anything is worked out
        assert saved(person)["glance"]["card"] is None

    asyncio.run(undoing())
    told = [payload.get("glance", payload) for kind, payload in bridge.outbox if kind in ("save", "glance")]
    assert told[-1]["card"] == was


def ball(text, club, *, swing="Full swing", grip="Full", means="one ball", player="p1", units=M, measured=()):
    return ("ball", text, units, club, swing, grip, means, player, *measured)


def test_balls_of_a_page_that_died_are_put_back_as_they_were_typed_and_once():
    person = Person()
    person.go("Hit")
    bridge.receive("entered", {"id": "a", "numbers": [{"number": 0, "text": "150"}]})
    text = saved(person)["text"]
    person = Person(saved=text)
    balls = [
        ball("150", "7i"),
        ball("120", "9i", grip="2.5 cm", measured=["Ball speed (km/h)=162", "Spin (rpm)=x"]),
        ball("121", "9i", means="the mean of 3 balls"),
        ball("1210", "9i"),
        ball("80", "xx"),
        ball("70", "SW", swing="to the hip"),
    ]
    for _ in range(2):
        hand("a", *balls)
        assert carries(person) == [("7i", 150.0), ("9i", 120.0), ("9i", 121.0)]
    first, second = person.case.shots[1:]
    assert (round(first.grip_down_m, 4), first.ball_speed_mps, first.spin_rpm) == (0.0254, 45.0, None)
    assert (second.balls, second.ball_speed_mps) == (3, None)
    assert "It has been put back: 9i 120 m and 9i 121 m." in person.text()
    person.go("Hit")
    assert "\u201c80\u201d (xx" in person.text() and "\u201c70\u201d (SW, to the hip" in person.text()
    assert "\u201c1210\u201d must be from 1 to 400 m" in person.text()


def test_balls_of_a_page_that_died_go_to_the_player_they_were_typed_for():
    person = Person(demo_case())
    demo, first = person.state.store.open, person.state.store.players[0].id
    hand("a", ball("150", "7i", player=first), ball("151", "7i", player=demo))
    assert [e.case.shots[-1].carry_m for e in person.state.store.players if e.id in (first, demo)] == [
        150,
        151,
    ]


def test_a_ball_is_saved_before_anything_is_drawn_and_a_save_does_not_wait_for_a_pause():
    async def typing():
        person = Person()
        person.go("Hit")
        said = person.said("save")
        for number in range(3):
            bridge.receive("entered", {"id": "a", "numbers": [{"number": number, "text": "150"}]})
            assert json.loads(person.said("save")[-1]["text"])["early"]["a"][0] == number + 1
        said = len(person.said("save"))
        for size in range(170, 178):  # without a pause as long as a save waits
            person.state.change(
                lambda case, s=size: edits.player("height_m")(case, s / 100), "height changed"
            )
            await asyncio.sleep(SAVE_AFTER / 4)
        assert len(person.said("save")) > said

    asyncio.run(typing())
