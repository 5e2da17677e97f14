"""Gaps between wedge carries as they are told: those that anybody finds who takes one number of the card from another."""

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from app.demo import demo_case
from app.phrases.sets import apart, between_carries
from engine.documents.case import Shot, SwingSize
from tests.app.driver import Person

SIZES = (SwingSize("size1", "to the hip"), SwingSize("size2", "to the chest"))


def played(hip, chest, wanted):
    shots = tuple(
        Shot("sw", carry_m=mean + x, swing_size=size)
        for size, mean in (("size1", hip), ("size2", chest))
        for x in (-1.0, 0.0, 1.0)
    )
    case = replace(demo_case(), swing_sizes=SIZES, shots=(*demo_case().shots, *shots))
    return Person(replace(case, wants=replace(case.wants, part_gap_m=wanted))).go("Play")


def shown(person):
    """Carries of the card and of the wedge table, the shortest iron first, as they stand there."""
    card = {row[0]: row[1].rstrip("*") for row in person.rows("Carry card")[1:]}
    _, *rows = person.rows("Wedges by swing")
    cells = [int(re.match(r"\d+", cell)[0]) for row in rows for cell in row[1:] if cell[0].isdigit()]
    return sorted([int(card["9-iron"]), *cells], reverse=True)


@pytest.mark.parametrize("system", ["metric", "imperial"])
@pytest.mark.parametrize("wanted", [4.0, 6.0, 8.0, 10.0])
@pytest.mark.parametrize(("hip", "chest"), [(41.0, 56.0), (30.4, 61.7)])
def test_every_gap_told_is_the_difference_of_the_carries_shown(system, wanted, hip, chest):
    person = played(hip, chest, wanted)
    person.state.set_units(system)
    carries = shown(person)
    most = wanted if system == "metric" else round(wanted / 0.9144, 1)
    wide = [(a - b, a, b) for a, b in pairwise(carries) if a - b > most]
    told = re.findall(r"A gap of (\d+)\s\w+: nothing between (\d+)\s\w+ \([^)]*\) and (\d+)", person.text())
    assert sorted(tuple(map(int, found)) for found in told) == sorted(wide)
    assert ("no gap is wider than" in person.text()) is (not wide)


def test_figures_that_round_apart_are_told_as_they_are_shown():
    """94.6 and 83.4 m are 11.2 apart and show as 95 and 83; 94.4 and 83.6 are 10.8 apart and show as 94 and 84."""
    assert (apart(94.6, 83.4, "metric"), apart(94.4, 83.6, "metric")) == (12, 10)
    told = between_carries(("9i", 94.6), ("pw", 83.4), "metric").replace("\u00a0", " ")
    assert told == "A gap of 12 m: nothing between 95 m (9i) and 83 m (pw)."
    assert "A gap of 12\u00a0yd" in between_carries(("9i", 94.6), ("pw", 83.4), "imperial")  # 103 and 91


def test_the_gap_from_the_shortest_iron_is_told():
    person = played(41.0, 56.0, 4.0)
    told = r"A gap of \d+\s+m: nothing between \d+\s+m \(9-iron, full swing\) and \d+\s+m \(Pitching wedge"
    assert re.search(told, person.text())
