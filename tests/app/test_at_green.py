"""Play, the shot at hand: a green and what lies round it, the wind, and what is kept of them."""

import json
import re

import pytest

from app import bridge, edits
from app.at_hand import AtHand
from app.demo import demo_case
from app.main import Page
from tests.app.driver import Person, with_balls


@pytest.fixture
def demo():
    return Person(demo_case()).go("Play").type("Distance to carry", "130")


def cells(person):
    head, *rows = person.rows("Chances of one full swing")
    assert head == ["Club", "on", "short", "long", "wide", "strokes"]
    return {row[0]: [float(re.search(r"[\d.]+", cell)[0]) for cell in row[1:]] for row in rows}


def kept():
    return next(p["text"] for kind, p in reversed(bridge.outbox) if kind == "save")


def again(person):
    """The page anew, with what it had given to be saved."""
    person.state.flush()
    return Person.at(Page({"saved": kept()})).go("Play")


def test_a_green_is_answered_with_the_clubs_that_take_fewest_strokes(demo):
    assert "strokes to hole out" not in demo.text()
    demo.tap("A green")
    found = cells(demo)
    assert 1 <= len(found) <= 3 and demo.text().count("strokes to hole out") == 1
    best = next(iter(found))
    assert re.search(
        rf"{best} \d+\s% chance of the green, \d\.\d strokes to hole out for a tour player, Present set\.",
        demo.text(),
    )
    strokes = [row[-1] for row in found.values()]
    assert strokes == sorted(strokes) and 2.5 < strokes[0] < 4
    for row in found.values():
        assert sum(row[:-1]) == pytest.approx(100, abs=3)
    assert "a tour player from where the ball comes to rest (Broadie)" in demo.text()
    assert "played from rough as a tour player would" in demo.text()
    assert "Direction: \u00b14.0\u00b0 in two shots of three, from common practice until" in demo.text()


def test_front_and_back_move_with_the_flag(demo):
    demo.tap("A green").open("The green, and what lies round it")
    assert (demo.value("Front of the green"), demo.value("Back of the green")) == ("118", "142")
    demo.type("Front of the green", "125").type("Back of the green", "150").type("Width of the green", "30")
    demo.press("+10", 0)
    assert (demo.value("Front of the green"), demo.value("Back of the green")) == ("135", "160")
    at_hand = demo.state.store.at_hand
    assert (at_hand.front_m, at_hand.back_m, at_hand.half_width_m) == (5.0, 20.0, 15.0)
    assert "5 m from the front to the flag, 20 m from the flag to the back." in demo.text()
    assert "and the green moves with the flag" in demo.text()


GREEN_WRONG = (
    "Put right \u201c{}\u201d under \u201cThe green, and what lies round it\u201d to see which club to hit."
)


@pytest.mark.parametrize(
    ("label", "typed", "told"),
    [
        ("Front of the green", "150", "must be short of the flag, by 1 to 40 m"),
        ("Front of the green", "130", "must be short of the flag, by 1 to 40 m"),
        ("Front of the green", "80", "must be short of the flag, by 1 to 40 m"),
        ("Front of the green", "near", "must be short of the flag, by 1 to 40 m"),
        ("Back of the green", "125", "must be beyond the flag, by 1 to 40 m"),
        ("Back of the green", "171", "must be beyond the flag, by 1 to 40 m"),
        ("Width of the green", "90", "must be from 6 to 80 m"),
    ],
)
def test_an_edge_on_the_wrong_side_of_the_flag_stays_and_is_told(demo, label, typed, told):
    demo.tap("A green").open("The green, and what lies round it")
    before = demo.state.store.at_hand
    demo.type(label, typed)
    field = demo.find(label)
    assert field.value == typed and field.label == f"{label} {told}" and "bad" in field.css_classes
    assert demo.state.store.at_hand == before
    wrong = GREEN_WRONG.format(label)
    assert wrong in demo.text() and "strokes to hole out" not in demo.text()
    assert "from the front to the flag" not in demo.text()
    demo.press("Undo")
    assert demo.value(label) != typed and "bad" not in demo.find(label).css_classes
    assert wrong not in demo.text() and "strokes to hole out" in demo.text()
    assert "from the front to the flag" in demo.text()


def test_an_edge_typed_before_its_distance_counts_once_that_is_there(demo):
    demo.tap("A green").open("The green, and what lies round it").type("Front of the green", "150")
    demo.type("Distance to the flag", "160")
    assert demo.value("Front of the green") == "150" and demo.state.store.at_hand.front_m == 10.0
    assert "strokes to hole out" in demo.text()
    demo.type("Distance to the flag", "").type("Back of the green", "128")
    assert demo.find("Back of the green").label == "Back of the green needs the distance to the flag first"
    assert demo.value("Back of the green") == "128"
    demo.type("Distance to the flag", "120")
    assert demo.state.store.at_hand.back_m == 8.0 and demo.value("Front of the green") == "110"


def test_an_edge_left_empty_goes_back_to_the_usual_depth(demo):
    demo.tap("A green").open("The green, and what lies round it").type("Front of the green", "125")
    demo.type("Front of the green", "")
    assert demo.value("Front of the green") == "118"


def test_steps_of_an_edge_stop_at_the_flag(demo):
    demo.tap("A green").open("The green, and what lies round it")
    for _ in range(4):
        demo.press("+5", 1)  # the wind has such a key too
    assert (
        demo.value("Front of the green") == "129" and "bad" not in demo.find("Front of the green").css_classes
    )
    for _ in range(8):
        demo.press("\u22125", 2)
    assert demo.value("Back of the green") == "131"


def test_close_to_the_flag_the_front_is_behind_the_player(demo):
    demo.tap("A green").open("The green, and what lies round it").type("Distance to the flag", "10")
    field = demo.find("Front of the green")
    assert (field.value, field.placeholder) == ("", "behind you") and demo.state.store.at_hand.front_m == 12.0
    demo.type("Distance to the flag", "50")
    assert (demo.value("Front of the green"), demo.find("Front of the green").placeholder) == ("38", "")


def test_the_distance_says_to_what_it_is(demo):
    assert demo.sees("Distance to carry") and not demo.sees("Distance to the flag")
    demo.tap("A green")
    assert demo.sees("Distance to the flag") and not demo.sees("Distance to carry")
    demo.tap("A distance")
    assert demo.sees("Distance to carry")


def test_undo_of_a_refused_distance_brings_the_answer_back(demo):
    demo.type("Distance to carry", "near")
    assert "Put right \u201cDistance to carry\u201d" in demo.text()
    demo.press("Undo")
    assert demo.value("Distance to carry") == "130" and "within 5 m of 130 m" in demo.text()


@pytest.mark.parametrize(
    ("typed", "kept_m"), [("1", 1.0), ("400", 400.0), ("0", 130.0), ("401", 130.0), ("-3", 130.0)]
)
def test_a_distance_to_carry_is_from_1_to_400_m_the_rest_is_refused(demo, typed, kept_m):
    demo.type("Distance to carry", typed)
    assert demo.state.store.at_hand.distance_m == kept_m
    refused = float(typed) != kept_m
    assert ("must be from 1 to 400 m" in demo.find("Distance to carry").label) is refused
    assert ("bad" in demo.find("Distance to carry").css_classes) is refused


@pytest.mark.parametrize(
    ("step", "fold", "labels"),
    [
        ("Play", "The green, and what lies round it", ("Distance to the flag", "Front of the green")),
        ("Hit", "Where they came down", ("Side of this ball",)),
    ],
)
def test_a_field_with_steps_beside_it_has_its_label_above_the_first_of_them(demo, step, fold, labels):
    """The styles find it by its class, from the first time it is shown."""
    demo.go(step).tap("A green" if step == "Play" else "7i").open(fold)
    for label in labels:
        assert "stepped" in demo.find(label).css_classes, label


def test_water_short_is_named_with_its_price_and_asks_for_more_club(demo):
    demo.tap("A green").open("The green, and what lies round it")
    before = cells(demo)
    assert "costs a stroke" not in demo.text()
    demo.choose("Short of it", "Water").choose("Over it", "Fairway")
    after = cells(demo)
    assert "in the water costs a stroke and is dropped in the rough" in demo.text()
    assert next(iter(after.values()))[1] <= next(iter(before.values()))[1], "short is left alone"
    same = before.keys() & after.keys()
    assert same and all(after[c][-1] >= before[c][-1] for c in same if after[c][1] > 20)


def test_measured_sides_take_the_place_of_common_practice_ball_by_ball(demo):
    def narrow(case):
        return with_balls(case, balls)

    from engine.documents.case import Shot

    balls = tuple(
        Shot("7i", carry_m=129.0 + n, side_m=side) for n, side in enumerate((-3, 3, -2, 2, 1, -1, 0))
    )
    demo.tap("A green")
    wide = next(iter(cells(demo).values()))[3]
    demo.state.change(narrow, "hit")
    told = r"Direction: \u00b1(\d\.\d)\u00b0 in two shots of three, (\d+)\s% of it from your (\d+) balls"
    sd, share, count = re.search(told, demo.text()).groups()
    assert (share, count) == (
        "50",
        "7",
    )  # six balls of the usual spread stand beside seven, of which one is the mean
    assert float(sd) == pytest.approx(4.0 / 2**0.5, abs=0.3)  # seven that hardly differ halve the variance
    assert "the rest from common practice" in demo.text()
    assert next(iter(cells(demo).values()))[3] < wide
    demo.go("Lay out").open("Where shots land, from above")
    assert f"{sd}\u00b0 in two shots of three, 50" in demo.text().replace("\u00a0", " ")


def test_a_side_wind_is_in_the_chances_and_tells_how_to_aim(demo):
    demo.tap("A green").type("Wind", "6").choose("Wind direction", "From the left")
    told = re.search(
        r"Aim (\d+)\s+m left of the flag for the wind; straight at it the chance is (\d+)", demo.text()
    )
    best = next(iter(cells(demo).values()))
    assert int(told[1]) >= 3 and int(told[2]) < best[0]


def test_out_of_reach_of_a_green_is_said_as_before(demo):
    demo.tap("A green").type("Distance to the flag", "390")
    assert "beyond any full swing" in demo.text()


def test_the_shot_at_hand_outlives_a_reload_and_is_no_part_of_the_player(demo):
    case = demo.case
    demo.tap("A green").type("Target above you", "4").type("Wind", "3").choose("Wind direction", "Tailwind")
    assert demo.case is case
    said = demo.text()
    fresh = again(demo)
    assert (fresh.value("Distance to the flag"), fresh.value("Target above you")) == ("130", "4")
    assert (fresh.value("Wind"), fresh.chosen("Wind direction")) == ("3", "Tailwind")
    assert fresh.text().partition("Chances")[0] == said.partition("Chances")[0]


def test_undo_takes_back_edits_and_leaves_the_shot_at_hand(demo):
    demo.open("Today\u2019s weather").type("Temperature", "9").type("Distance to carry", "141").press("Undo")
    assert demo.case.wants.air is None and demo.value("Distance to carry") == "141"


def test_a_wind_kept_with_the_day_by_older_versions_moves_to_the_shot(demo):
    demo.state.change(edits.air("wind_mps") and (lambda c: edits.air("wind_mps")(c, 5.0)), "old")
    demo.state.change(lambda c: edits.air("wind_from_deg")(c, 180.0), "old")
    assert "a tailwind of 5.0 m/s" in demo.text() and demo.value("Wind") == "5"
    demo.press("+1", 2)
    assert demo.value("Wind") == "6" and demo.chosen("Wind direction") == "Tailwind"
    assert demo.case.wants.air is None and "In the air of the day you hit" in demo.text()


def test_the_arrow_is_turned_by_a_thumb(demo):
    demo.type("Wind", "5")
    bridge.receive("turned", {"degrees": 105.0})
    assert (
        demo.state.store.at_hand.wind_from_deg == 105.0 and demo.chosen("Wind direction") == "From the right"
    )
    assert "rotate(105 24 24)" in demo.markup() and "A wind of 5.0 m/s from the right." in demo.text()
    for nonsense in (None, "x", float("nan"), []):
        bridge.receive("turned", {"degrees": nonsense})
    assert demo.state.store.at_hand.wind_from_deg == 105.0
    demo.press("Turn")
    assert demo.chosen("Wind direction") == "Tailwind from the right"


@pytest.mark.parametrize(
    "doc",
    [
        None,
        [],
        "x",
        {"distance_m": "far", "front_m": -3, "turf": "lava", "at_green": 1, "other": 2},
        {"distance_m": 1e9, "short": None, "half_width_m": float("nan")},
    ],
)
def test_whatever_was_stored_of_it_opens(doc):
    at_hand = AtHand.from_doc(doc)
    assert at_hand.green.short == "rough" and at_hand.turf == "usual" and at_hand.at_green is False
    assert at_hand.distance_m in (None, 400.0) and AtHand.from_doc(at_hand.to_doc()) == at_hand


def test_a_store_without_a_shot_at_hand_opens_and_none_is_written():
    person = Person(demo_case())
    person.state.flush()
    assert "at_hand" not in json.loads(kept())
    assert Page({"saved": kept()}).state.store.at_hand == AtHand()


@pytest.mark.parametrize(
    ("angle", "height", "told"),
    [
        (4.4, "10", "4\u00b0 up: 10"),
        (-4.4, "-10", "4\u00b0 down: 10"),
        (0.0, "0", "0\u00b0 up: 0"),
        (55.0, "", "steeper than any shot"),
        (None, "", "does not tell its tilt"),
    ],
)
def test_the_height_by_the_tilt_of_the_phone(demo, angle, height, told):
    """130 m away and 4.4 degrees up is 10 m: 130 tan 4.4 deg = 10.003."""
    demo.press("Height by the phone\u2019s tilt")
    assert "Hold the phone flat along the line" in demo.text()
    bridge.receive("tilted", {"degrees": angle})
    assert demo.value("Target above you") == height and told in demo.text()


def test_the_tilt_needs_a_distance(demo):
    demo.type("Distance to carry", "")
    bridge.receive("tilted", {"degrees": 3.0})
    assert "Enter the distance first" in demo.text() and demo.value("Target above you") == ""
