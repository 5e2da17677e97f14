"""The kept cases are sound and varied, and the comparison of two engines sees a difference."""

import json
from collections import Counter

from engine.documents.reading import read_case
from tests.same_numbers import COUNT, differences, made, path_of

CASES = [json.loads(path_of(number).read_text(encoding="utf-8")) for number in range(COUNT)]


def test_the_kept_cases_are_those_the_script_makes():
    assert [made(number) for number in range(COUNT)] == CASES


def test_the_kept_cases_are_sound_and_varied():
    cases = [read_case(doc) for doc in CASES]
    assert {case.player.sex for case in cases} == {"female", "male", None}
    assert {case.player.handed for case in cases} == {"right", "left"}
    kinds = Counter(layout.kind for case in cases for layout in case.layouts)
    assert (
        min(kinds[kind] for kind in ("present", "stepped", "single", "single_wedges", "two_lengths", "own"))
        >= 10
    )
    assert sum(not case.bag for case in cases) >= 2
    assert sum(not case.shots for case in cases) >= 5
    assert sum(any(s.grip_down_m for s in case.shots) for case in cases) >= 10
    assert sum(any(s.balls > 1 for s in case.shots) for case in cases) >= 5
    for wish in ("gap_m", "layout", "clubs_most", "green_speed_m", "carries", "demand", "ball", "air"):
        assert sum(bool(getattr(case.wants, wish)) for case in cases) >= 4, wish
    assert sum(bool(case.retest) for case in cases) >= 5


def test_the_comparison_sees_what_it_should():
    old = {"a": 1.0, "b": [True, "7i", {"words": "Say it so."}], "c": None}
    same = {"a": 1.0 + 5e-10, "b": [True, "7i", {"words": "Say it otherwise."}], "c": None, "new": 3}
    assert list(differences(old, same)) == []
    for changed in (
        {**same, "a": 1.0 + 5e-9},
        {**same, "b": [False, *same["b"][1:]]},
        {**same, "b": [True, "8i", {}]},
        {**same, "b": same["b"][:2]},
        {**same, "c": 0.0},
        {key: value for key, value in same.items() if key != "a"},
    ):
        assert list(differences(old, changed))
