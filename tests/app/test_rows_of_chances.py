"""Chances that belong together add up to 100 per cent as shown, and the answer says the same as the table below it."""

import random
import re

import pytest

from app.demo import demo_case
from app.phrases.say import percents
from tests.app.driver import Person


def per_cent(text):
    """A cell as a reader adds it up: next to none is nothing, next to certain is all."""
    number = int(re.search(r"\d+", text)[0])
    return {"under": 0, "<": 0, "over": 100, ">": 100}.get(re.match(r"[a-z]*[<>]?", text)[0], number)


@pytest.mark.parametrize("bare", [False, True])
def test_every_row_adds_up_to_100_and_no_chance_is_off_by_one(bare):
    rng = random.Random(5)
    rows = [[1.0], [0.5, 0.5], [1 / 3] * 3, [0.994, 0.003, 0.003], [0.996, 0.004, 0.0], [0.125] * 8]
    for _ in range(2000):
        row = [rng.random() ** rng.choice((1, 3, 9)) for _ in range(rng.choice((2, 3, 4)))]
        rows.append([x / sum(row) for x in row])
    for row in rows:
        told = [per_cent(text) for text in percents(row, bare=bare)]
        assert sum(told) == 100, row
        assert all(abs(n - 100 * x) < 1 for n, x in zip(told, row, strict=True)), row


def test_what_rounding_down_lost_most_is_rounded_up():
    assert percents([0.336, 0.334, 0.33], bare=True) == ["34", "33", "33"]
    assert percents([0.005, 0.4975, 0.4975], bare=True) == ["<1", "50", "50"]
    assert percents([0.999, 0.001]) == ["over 99\u00a0%", "under 1\u00a0%"]
    assert percents([1.0, 0.0], bare=True) == [">99", "<1"]


def told(person, caption, cells):
    return [[per_cent(cell) for cell in row[1 : 1 + cells]] for row in person.rows(caption)[1:]]


@pytest.mark.parametrize("going", ["A distance", "A green"])
def test_every_answer_on_play_adds_up(going):
    person = Person(demo_case()).go("Play").tap(going)
    label = "Distance to the flag" if person.sees("Distance to the flag") else "Distance to carry"
    seen = 0
    for distance in range(70, 175, 5):
        person.type(label, str(distance))
        if "No club whose carry is known" in person.text():  # those that may get there have to be hit first
            assert "% chance" not in person.text() and distance > 160
            continue
        for row in told(person, "Chances of one", 3 if going == "A distance" else 4):
            assert sum(row) == 100, (distance, row)
            seen += 1
        best = told(person, "Chances of one", 1)[0][0]
        assert re.search(rf"{best}\s% chance", person.text()), distance
    assert seen > 40
