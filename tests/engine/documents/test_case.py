"""The case document: what is read goes out again, unknown keys too, and each part is read from its own place."""

import copy
from dataclasses import replace

import pytest
from test_case_fuzz import valid

from engine.documents.case import CaseError, Conditions, Session
from engine.documents.checking import checked
from engine.documents.reading import read_case, restore


def test_a_case_survives_the_round_trip():
    case = read_case(valid())
    assert read_case(case.to_doc()) == case
    assert restore(case.to_doc()).case == case and not restore(case.to_doc()).notes


def test_every_part_is_read():
    case = read_case(valid())
    assert (case.wants.layout, case.wants.clubs_most, case.wants.green_speed_m) == ("one", 5, 3.0)
    assert case.wants.carries[0].carry_m == 122 and case.wants.demand[1].weight == 1.0
    assert case.wants.ball is not None and case.wants.ball.wedge_spin == 1.05
    assert case.retest[0].club == "7i"
    assert (case.swing.attack_deg, case.swing.iron7_attack_deg) == (-2.0, -4.0)


def test_unknown_keys_go_out_again():
    doc = valid()
    doc["note"] = "mine"
    doc["wants"]["colour"] = "blue"
    doc["wants"]["carries"][0]["why"] = "habit"
    doc["retest"][0]["weather"] = "fair"
    doc["sessions"][1]["tide"] = "low"
    doc["sessions"][0]["conditions"]["dew"] = True
    out = read_case(doc).to_doc()
    assert out["sessions"][1]["tide"] == "low" and out["sessions"][0]["conditions"]["dew"] is True
    assert out["note"] == "mine" and out["wants"]["colour"] == "blue"
    assert out["wants"]["carries"][0]["why"] == "habit" and out["retest"][0]["weather"] == "fair"


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (("retest", 0, "club"), "9x", "retest[0].club: is not in the bag"),
        (("swing", "iron7_attack_deg"), 20, "swing.iron7_attack_deg: must be a number from -15 to 15"),
        (("wants", "carries", 0, "carry_m"), 0, "wants.carries[0].carry_m: must be a number from 1 to 400"),
        (("wants", "demand", 1, "weight"), -1, "wants.demand[1].weight: must be a number from 0 to 1000"),
        (("wants", "ball", "wedge_spin"), "more", "wants.ball.wedge_spin: must be a number from 0.5 to 1.5"),
        (("wants", "air", "humidity"), 3, "wants.air.humidity: must be a number from 0 to 1"),
        (("wants", "part_gap_m"), 1, "wants.part_gap_m: must be a number from 2 to 40"),
        (("wants", "longest_iron"), "i" * 25, "wants.longest_iron: must be text of 0 to 24 characters"),
        (("wants", "layout"), "l" * 25, "wants.layout: must be text of 0 to 24 characters"),
        (("wants", "clubs_most"), 0, "wants.clubs_most: must be a number from 1 to 14"),
        (("wants", "clubs_most"), 15, "wants.clubs_most: must be a number from 1 to 14"),
        (("swing_sizes", 0, "name"), "", "swing_sizes[0].name: must be text of 1 to 30 characters"),
        (("swing_sizes", 1, "clubs"), ["9i", "9i"], "swing_sizes[1].clubs: must be a list of at most 40 ids"),
        (("swing_sizes", 1, "clubs"), [["9i"]], "swing_sizes[1].clubs: must be a list of at most 40 ids"),
        (("shots", 5, "swing_size"), "knee", "shots[5].swing_size: is none of this player's (knee)"),
        (("retest", 0, "swing_size"), "hip", "retest[0].swing_size: is none of this player's (hip)"),
        (("shots", 5, "session"), "july", "shots[5].session: is none of this player's (july)"),
        (("shots", 5, "session"), "", "shots[5].session: must be text of 1 to 24 characters"),
        (("retest", 0, "session"), "july", "retest[0].session: is none of this player's (july)"),
        (("retest", 0, "id"), "b5", "retest[0].id: stands twice (b5)"),
        (("shots", 5, "by"), 7, "shots[5].by: must be text of 1 to 60 characters"),
        (("player", "id"), "", "player.id: must be text of 1 to 24 characters"),
        (("player", "note"), "x" * 4001, "player.note: must be text of 0 to 4000 characters"),
        (
            ("player", "tags"),
            ["a", "a"],
            "player.tags: must be a list of at most 20 different texts of 1 to 30",
        ),
        (
            ("player", "tags"),
            ["a" * 31],
            "player.tags: must be a list of at most 20 different texts of 1 to 30",
        ),
        (("sessions", 0, "date"), "03.05.2031", "sessions[0].date: must be a day such as 2031-05-03"),
        (("sessions", 0, "date"), "2031-02-30", "sessions[0].date: must be a day such as 2031-05-03"),
        (("sessions", 0, "date"), "2031-W18-6", "sessions[0].date: must be a day such as 2031-05-03"),
        (("sessions", 0, "date"), 20310503, "sessions[0].date: must be a day such as 2031-05-03"),
        (("sessions", 0, "place"), "x" * 121, "sessions[0].place: must be text of 0 to 120 characters"),
        (
            ("sessions", 0, "conditions", "humidity"),
            3,
            "sessions[0].conditions.humidity: must be a number from 0",
        ),
        (("sessions", 0, "conditions"), 3, "sessions[0].conditions: must be a JSON object"),
        (("sessions", 1, "id"), "may", "sessions[1].id: stands twice (may)"),
        (("wants", "half_life_days"), 1, "wants.half_life_days: must be a number from 7 to 3650"),
        (("retest", 0, "carry_m"), 401, "retest[0].carry_m: must be a number from 1 to 400"),
    ],
)
def test_a_fault_names_its_field_and_restoring_keeps_the_rest(path, value, said):
    doc = copy.deepcopy(valid())
    part = doc
    for step in path[:-1]:
        part = part[step]
    part[path[-1]] = value
    with pytest.raises(CaseError) as caught:
        read_case(doc)
    assert str(caught.value).startswith(said)
    restored = restore(doc)
    assert restored.notes and restored.case.bag == read_case(valid()).bag


def test_the_fourth_part_swing_of_a_club_is_refused_and_left_out_with_its_balls():
    doc = valid()
    doc["swing_sizes"] += [{"id": i, "name": f"to the {i}"} for i in ("chest", "shoulder", "ear")]
    doc["shots"].append({"club": "pw", "carry_m": 60.0, "swing_size": "ear"})
    with pytest.raises(CaseError, match=r"swing_sizes\[4\]: is one too many: a club may have 3"):
        read_case(doc)
    restored = restore(doc)
    assert [size.id for size in restored.case.swing_sizes] == ["hip", "chip", "chest", "shoulder"]
    assert [s.swing_size for s in restored.case.shots if s.club == "pw"] == ["hip"]
    assert any(note.startswith("swing_sizes[4]") for note in restored.notes)
    assert any(note.startswith("shots[6].swing_size") for note in restored.notes)


def test_a_document_from_before_part_swings_holds_none():
    doc = valid()
    del doc["swing_sizes"], doc["shots"][-1]
    case = read_case(doc)
    assert case.swing_sizes == () and case.full_shots == case.shots
    assert all(shot.swing_size is None for shot in case.shots)


def test_a_document_that_version_1_can_hold_is_written_as_version_1_and_without_the_new_keys():
    doc = valid()
    del doc["sessions"], doc["swing_sizes"], doc["shots"][-1], doc["retest"], doc["wants"]["half_life_days"]
    del doc["removed"], doc["shares"]
    for name in ("id", "note", "tags"):
        del doc["player"][name]
    case = read_case(doc)
    old = case.to_doc()
    assert old["version"] == 1
    assert not {"sessions", "removed", "shares"} & set(old) and not {"id", "note", "tags"} & set(
        old["player"]
    )
    assert not {"session", "id", "by"} & {key for shot in old["shots"] for key in shot}
    assert "half_life_days" not in old["wants"]
    ball, cold = case.shots[0], Session("s", conditions=Conditions(temperature_c=-3.0))
    for (
        newer,
        version,
    ) in (  # version 2 where version 1 would take the balls for others, else it hands the keys on
        (replace(case, sessions=(Session("s"),)), 1),
        (replace(case, sessions=(Session("s"),), shots=(replace(ball, session="s"),)), 1),
        (replace(case, sessions=(Session("s"),), shots=(replace(ball, session="s"), ball)), 2),
        (replace(case, sessions=(cold,)), 1),
        (replace(case, sessions=(cold,), shots=(replace(ball, session="s"),)), 2),
        (replace(case, sessions=(cold,), retest=(replace(ball, session="s"),)), 2),
        (
            replace(
                case,
                sessions=(replace(cold, conditions=case.conditions),),
                retest=(replace(ball, session="s"),),
            ),
            1,
        ),
        (replace(case, sessions=(Session("s"),), retest=(replace(ball, session="s"), ball)), 1),
        (replace(case, wants=replace(case.wants, half_life_days=90.0)), 1),
        (replace(case, player=replace(case.player, id="q7")), 1),
        (replace(case, player=replace(case.player, note="tall")), 1),
        (replace(case, player=replace(case.player, tags=("junior",))), 1),
        (replace(case, shots=(replace(ball, id="b1"),)), 1),
        (replace(case, retest=(replace(ball, by="student"),)), 1),
        (replace(case, removed=("b7", "b8")), 1),
        (replace(case, shares=("s1",)), 1),
    ):
        written = newer.to_doc()
        assert written["version"] == version and read_case(written) == newer
        assert restore(written).case == newer and not restore(written).notes
        assert checked(newer) == newer


def test_a_ball_keeps_its_place_where_its_session_or_its_id_is_no_good():
    doc = valid()
    doc["shots"][1] |= {"session": "gone", "id": "b5"}
    restored = restore(doc)
    assert len(restored.case.shots) == len(doc["shots"])
    assert [s.session for s in restored.case.shots] == [None] * 5 + ["may"]
    assert [s.id for s in restored.case.shots] == [None, "b5", None, None, None, None]
    assert "shots[1].session: is none of this player's (gone); left out" in restored.notes
    assert "shots[5].id: stands twice (b5); left out" in restored.notes


def test_a_session_that_is_no_good_is_left_out_and_its_balls_stay():
    doc = valid()
    doc["sessions"][0] |= {"date": "2031-05-03T10:15:00Z", "mark": 1}
    doc["sessions"][0]["conditions"] |= {"humidity": 3, "mark": 2}
    doc["sessions"][1]["id"] = "may"
    doc["player"]["tags"] = ["junior", 7, "junior", "", "x" * 40]
    case = restore(doc).case
    assert [s.id for s in case.sessions] == ["may"] and case.retest[0].session is None
    assert case.sessions[0].date == "2031-05-03" and case.sessions[0].conditions.humidity == 1
    assert case.player.tags == ("junior", "x" * 30)
    out = case.to_doc()["sessions"][0]
    assert out["mark"] == 1 and out["conditions"]["mark"] == 2


def test_unknown_keys_stay_with_their_own_entry_when_others_are_left_out():
    doc = valid()
    doc["bag"] = [{"id": "no club"}, doc["bag"][0], dict(doc["bag"][0], mark="twin"), *doc["bag"][1:]]
    doc["layouts"] = ["not a layout", dict(doc["layouts"][0], kind="none", mark="bad"), *doc["layouts"]]
    doc["shots"] = [{"club": "nowhere", "mark": "lost"}, 7, *doc["shots"]]
    doc["wants"]["demand"] = [{"mark": "lost"}, *doc["wants"]["demand"]]
    for entry in doc["bag"][3:] + doc["layouts"][3:] + doc["shots"][2:]:
        entry["mark"] = [entry["id"] if "id" in entry else entry["carry_m"]]
    clubs = next(x for x in doc["layouts"][2:] if x.get("clubs"))["clubs"]
    clubs[:] = [{"id": 3}, {"id": "5i", "mark": ["5i"]}, {"id": "5i", "mark": "twin"}]
    doc["wants"]["demand"][1]["mark"] = [doc["wants"]["demand"][1]["distance_m"]]
    out = restore(doc).case.to_doc()
    told = 0
    for entry in (
        *out["bag"],
        *out["layouts"],
        *out["shots"],
        *out["wants"]["demand"],
        *(c for x in out["layouts"] for c in x["clubs"]),
    ):
        if "mark" in entry:
            own = entry.get("id", entry.get("carry_m", entry.get("distance_m")))
            assert entry["mark"] == [own]
            told += 1
    assert told == len(doc["bag"][3:]) + len(doc["layouts"][3:]) + len(doc["shots"][2:]) + 2


def test_unknown_keys_stay_with_their_shot_when_another_is_taken_out():
    doc = valid()
    for number, shot in enumerate(doc["shots"]):
        shot["mark"] = number
    doc["bag"][1]["mark"] = "club"
    out = read_case(doc).without_shots({1, 2}).to_doc()
    assert [shot["mark"] for shot in out["shots"]] == [0, 3, 4, 5]
    assert [s["carry_m"] for s in out["shots"]] == [doc["shots"][n]["carry_m"] for n in (0, 3, 4, 5)]
    assert out["bag"][1]["mark"] == "club"


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("length_m", 0.45, 1.35), ("loft_deg", -5, 80), ("lie_deg", 40, 85), ("head_kg", 0.1, 0.6)],
)
def test_a_club_has_the_same_limits_in_the_bag_in_a_layout_and_at_the_bench(name, least, most):
    """Our choice, with room for a child's putter and the longest driver."""
    doc = valid()
    club = doc["bag"][0]["id"]
    doc["layouts"] = [{"id": "own", "kind": "own", "clubs": [{"id": club}]}]
    doc["bench"] = [{"club": club, "layout": "own"}]
    places = {
        "bag[0]": doc["bag"][0],
        "layouts[0].clubs[0]": doc["layouts"][0]["clubs"][0],
        "bench[0]": doc["bench"][0],
    }
    for where, entry in places.items():
        before = entry.get(name)
        for value in (least, most):
            entry[name] = value
            read_case(doc)
        for value in (least - 0.01, most + 0.01):
            entry[name] = value
            with pytest.raises(CaseError) as caught:
                read_case(doc)
            assert str(caught.value).startswith(f"{where}.{name}: must be a number from {least} to {most}")
        entry[name] = before
        if before is None:
            del entry[name]


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("bounce_deg", -10, 30),
        ("bend_limit_deg", 0, 10),
        ("lie_mark_m", -0.05, 0.05),
        ("shaft_kg", 0.02, 0.2),
        ("tip_trim_m", 0, 0.15),
        ("grip_kg", 0.01, 0.2),
        ("sleeve_deg", -4, 4),
    ],
)
def test_what_else_is_known_of_a_club_has_limits(name, least, most):
    """Our choice, with room for whatever is sold."""
    doc = valid()
    for value in (least, most):
        doc["bag"][0][name] = value
        assert getattr(read_case(doc).bag[0], name) == value
    for value in (least - 0.005, most + 0.005):
        doc["bag"][0][name] = value
        with pytest.raises(CaseError, match=rf"bag\[0\]\.{name}: must be a number"):
            read_case(doc)
