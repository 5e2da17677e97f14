"""Broken case documents at the scripted door: a result, or exit 2 with one line that names the field."""

import contextlib
import copy
import io
import json
import random
import re
import time

import pytest

from engine.__main__ import main
from engine.documents.case import CaseError
from engine.documents.reading import read_case, restore

LONGEST = 5.0  # [s] of processor time for one document
VALUES = (
    *(None, True, False, 0, -1, 1, 1.5, 5000, -1e9, 1e9, 1e308, 10**400, 1e-320, float("nan"), float("inf")),
    *("", "7i", "0.9", "iron", "single", "\x00", "\u202e", "a" * 500, "<b>", "../..", "é", "\ud800", "1e3"),
    *([], {}, [[]], [None], {"id": "7i"}, [{"id": "7i"}] * 3, [1, 2, 3], {"": ""}, [{}], {"clubs": [None]}),
)
KEYS = (
    "id",
    "kind",
    "clubs",
    "air",
    "carry_m",
    "shots",
    "family",
    "",
    "version",
    "x" * 100,
    "bag[0]",
    "a.b.c",
    "0",
)


def valid():
    """A made-up player with five clubs, shots and three layouts."""
    clubs = (("dr", "driver", 1.143, 10.5, 58.5, 0.200), ("5i", "iron", 0.965, 27, 61, 0.254))
    clubs += (("7i", "iron", 0.940, 34, 62, 0.268), ("9i", "iron", 0.914, 42, 63, 0.282))
    clubs += (("pw", "wedge", 0.902, 47, 64, 0.288),)
    names = ("id", "family", "length_m", "loft_deg", "lie_deg", "head_kg")
    return {
        "format": "fettle-case",
        "version": 1,
        "player": {
            "label": "Nobody",
            "sex": "female",
            "handed": "right",
            "height_m": 1.7,
            "wingspan_m": 1.72,
            "id": "q7XvB2",
            "note": "left knee",
            "tags": ["junior", "Tuesdays"],
        },
        "swing": {
            "driver_speed_mps": 38.0,
            "iron7_speed_mps": None,
            "attack_deg": -2.0,
            "iron7_attack_deg": -4.0,
        },
        "bag": [{**dict(zip(names, club, strict=True)), "name": club[0]} for club in clubs],
        "shots": [
            {"club": "7i", "carry_m": carry, "launch_deg": 18.0} for carry in (121.0, 118.5, 124.0, 70.0)
        ]
        + [
            {
                "club": "9i",
                "carry_m": 99.0,
                "grip_down_m": 0.025,
                "spin_rpm": 7600,
                "use": True,
                "side_m": -3,
            },
            {
                "club": "pw",
                "carry_m": 41.0,
                "swing_size": "hip",
                "session": "may",
                "id": "b5",
                "by": "student",
            },
        ],
        "conditions": {
            "temperature_c": 12.0,
            "altitude_m": 300,
            "humidity": 0.7,
            "wind_mps": 2,
            "wind_from_deg": 30,
        },
        "layouts": [
            {"id": "now", "kind": "present"},
            {"id": "one", "kind": "single", "common_length_m": 0.94, "clubs": [{"id": "5i", "loft_deg": 26}]},
            {"id": "two", "kind": "two_lengths", "common_length_m": 0.94, "second_length_m": 0.9},
        ],
        "wants": {
            "gap_m": 12,
            "longest_iron": "5i",
            "layout": "one",
            "clubs_most": 5,
            "green_speed_m": 3.0,
            "carries": [{"id": "7i", "carry_m": 122}],
            "demand": [{"distance_m": 90, "weight": 2}, {"distance_m": 120}],
            "ball": {"driver_spin": 0.95, "wedge_spin": 1.05},
            "air": {"temperature_c": 25.0},
            "half_life_days": 365,
        },
        "retest": [{"club": "7i", "carry_m": 120.0, "session": "june", "id": "b6"}],
        "swing_sizes": [
            {"id": "hip", "name": "to the hip"},
            {"id": "chip", "name": "low one", "clubs": ["9i"]},
        ],
        "sessions": [
            {
                "id": "may",
                "date": "2031-05-03",
                "place": "the far range",
                "conditions": {"temperature_c": 8.0, "range_ball": True},
                "balls": "the range's own",
                "layout": "now",
                "note": "cold hands",
                "by": "coach",
            },
            {"id": "june"},
        ],
    }


def places(node, path=()):
    """Every path into a document."""
    yield path
    children = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, child in children:
        yield from places(child, (*path, key))


def broken(number):
    """The valid document with one to four things wrong with it, as text; the same for the same number."""
    rng = random.Random(number)
    doc = valid()
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        path = rng.choice(list(places(doc))[1:] or [()])
        if not path:
            break
        parent = doc
        for step in path[:-1]:
            parent = parent[step]
        kind = rng.randrange(6)
        if kind < 3:
            parent[path[-1]] = copy.deepcopy(rng.choice(VALUES))
        elif kind == 3:
            del parent[path[-1]]
        elif isinstance(parent, list):
            parent += copy.deepcopy(parent) * rng.choice((1, 1, 60))
        elif kind == 4 and isinstance(parent[path[-1]], (int, float)) and abs(parent[path[-1]]) < 1e9:
            parent[path[-1]] *= rng.choice((-1, 0, 0.5, 0.9, 1.1, 2, 100, 1e6))
        else:
            parent[rng.choice(KEYS)] = copy.deepcopy(rng.choice(VALUES))
    text = json.dumps(doc)
    if rng.random() < 0.15:
        at = rng.randint(0, len(text))
        text = rng.choice(
            (
                text[:at],
                text[:at] + rng.choice('{}[],:"\\\x00\ufeff') + text[at:],
                text[at:],
                "[" * 3000 + text,
                text * 2,
            )
        )
    return text


def run(text):
    """Exit status, standard output and standard error of the command, in this process."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(["-", "--draws", "16"], stdin=io.StringIO(text))
    return status, out.getvalue(), err.getvalue()


def check(text):
    start = time.process_time()
    status, out, err = run(text)
    assert time.process_time() - start < LONGEST
    if status == 0:
        assert err == ""
        result = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} in the result"))
        assert result["format"] == "fettle-result"
        assert all(set(group["carry_m"]) >= {"mean", "lo90", "hi90"} for group in result["shots"])
    else:
        assert status == 2
        assert out == ""
        assert re.fullmatch(r"[^\n]+\n", err)
        field, _, problem = err.partition(": ")
        assert re.fullmatch(r"(document|format|version|[a-z_]+(\[\d+\])?(\.[a-z0-9_]+(\[\d+\])?)*)", field), (
            err
        )
        assert problem.strip()
        assert len(err) < 400


def test_the_document_that_is_broken_here_is_sound():
    status, out, err = run(json.dumps(valid()))
    assert (status, err) == (0, "")
    assert json.loads(out)["shots"]


@pytest.mark.parametrize(
    "batch", [range(300), pytest.param(range(300, 5000), marks=pytest.mark.soak)], ids=str
)
def test_broken_documents(batch):
    for number in batch:
        text = broken(number)
        try:
            check(text)
        except Exception as error:
            raise AssertionError(f"document {number}: {error!r}: {text[:1500]}") from error


def test_mutations_break_most_documents_but_not_all():
    kinds = [0, 0]
    for number in range(300):
        try:
            read_case(json.loads(broken(number)))
            kinds[0] += 1
        except (CaseError, ValueError, RecursionError):
            kinds[1] += 1
    assert min(kinds) > 60


@pytest.mark.parametrize(
    "batch", [range(1000), pytest.param(range(1000, 5000), marks=pytest.mark.soak)], ids=str
)
def test_restore_never_raises_and_what_it_makes_is_sound(batch):
    for number in batch:
        try:
            doc = json.loads(broken(number))
        except (ValueError, RecursionError):
            continue
        restored = restore(doc)
        again = read_case(restored.case.to_doc())
        assert again.bag == restored.case.bag
        assert again.shots == restored.case.shots


@pytest.mark.parametrize("doc", VALUES, ids=lambda value: repr(value)[:20])
def test_anything_at_all_in_place_of_a_document(doc):
    with pytest.raises(CaseError):
        read_case(doc)
    assert restore(doc).notes
    check(json.dumps(doc))
