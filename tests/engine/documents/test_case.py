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
    assert [shot["mark"] for shot in out["shots"]] == [0, 3, 4]
    assert [s["carry_m"] for s in out["shots"]] == [doc["shots"][n]["carry_m"] for n in (0, 3, 4)]
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
