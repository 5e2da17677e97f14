"""The case document: what is read goes out again, unknown keys too, and each part is read from its own place."""

import copy

import pytest
from test_case_fuzz import valid

from engine.case import CaseError, read_case, restore


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
        (("wants", "carries", 0, "carry_m"), 0, "wants.carries[0].carry_m: must be a number from 1 to 400"),
        (("wants", "demand", 1, "weight"), -1, "wants.demand[1].weight: must be a number from 0 to 1000"),
        (("wants", "ball", "wedge_spin"), "more", "wants.ball.wedge_spin: must be a number from 0.5 to 1.5"),
        (("wants", "air", "humidity"), 3, "wants.air.humidity: must be a number from 0 to 1"),
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
