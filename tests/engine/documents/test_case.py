"""The case document: what is read goes out again, unknown keys too, and each part is read from its own place."""

import copy

import pytest
from test_case_fuzz import valid

from engine.documents.case import CaseError
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
    out = read_case(doc).to_doc()
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
        (("swing_sizes", 0, "name"), "", "swing_sizes[0].name: must be text of 1 to 30 characters"),
        (("swing_sizes", 1, "clubs"), ["9i", "9i"], "swing_sizes[1].clubs: must be a list of at most 40 ids"),
        (("swing_sizes", 1, "clubs"), [["9i"]], "swing_sizes[1].clubs: must be a list of at most 40 ids"),
        (("shots", 5, "swing_size"), "knee", "shots[5].swing_size: is none of this player's (knee)"),
        (("retest", 0, "swing_size"), "hip", "retest[0].swing_size: is none of this player's (hip)"),
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
