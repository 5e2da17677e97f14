"""What a reader said about the columns of a table is kept with the player and read back; what is unsound is left out."""

import json

import pytest

from app.choices import Choices


@pytest.mark.parametrize(
    "said",
    [
        Choices(),
        Choices(columns={1: "club", 4: "carry_m"}),
        Choices(columns={1: "club"}, numbers={4: ","}),
        Choices(columns={2: ""}, length_unit="yd", speed_unit="mph"),
    ],
)
def test_there_and_back(said):
    doc = json.loads(json.dumps(said.to_doc()))
    assert Choices.from_doc(doc) == said
    assert ("numbers" in doc) == bool(said.numbers) and ("length_unit" in doc) == bool(said.length_unit)


def test_what_holds_for_one_file_only_is_not_kept():
    once = Choices(clubs={"7": "7i"}, club="7i", player="A", day="Monday", balls=10.0, columns={1: "club"})
    assert Choices.from_doc(once.to_doc()) == Choices(columns={1: "club"})


@pytest.mark.parametrize(
    "doc",
    [
        None,
        [],
        "x",
        {"columns": [1], "numbers": 3},
        {"columns": {"x": "club", "1234": "club", "\u0661": "club", "2": 5, "3": "Carry <b>", "4": "x" * 21}},
        {"numbers": {"1": ";", "2": None}, "length_unit": "furlong", "speed_unit": ["mph"]},
    ],
)
def test_what_is_unsound_is_left_out(doc):
    assert Choices.from_doc(doc) == Choices()
