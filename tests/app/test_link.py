"""The link carries the case there and back, and hostile links do no harm."""

import base64
import json
import zlib
from dataclasses import replace

import pytest

from app import link
from app.demo import demo_case
from app.state import new_case
from engine.case import Case, Shot, read_case


def pack(text: str | bytes, version: str = "1") -> str:
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15)
    raw = squeeze.compress(text.encode() if isinstance(text, str) else text) + squeeze.flush()
    return f"#v{version}." + base64.urlsafe_b64encode(raw).decode().rstrip("=")


def rounded(case: Case) -> dict:
    return json.loads(json.dumps(case.to_doc()), parse_float=lambda x: round(float(x), 4))


@pytest.mark.parametrize("case", [new_case(), demo_case()], ids=["blank", "demo"])
def test_there_and_back(case):
    made = link.make(case)
    opened = link.read(made.hash)
    assert made.notes == () and opened.problem == "" and opened.notes == ()
    assert rounded(opened.case) == rounded(case)
    assert len(made.hash) < link.LONG


def test_order_and_every_field_of_balls():
    bag = new_case().bag
    balls = (
        Shot("7i", 140.25, grip_down_m=0.0508),
        Shot("9i", None, club_speed_mps=33.5),
        Shot("7i", 139.0, ball_speed_mps=50.25, launch_deg=16.5, spin_rpm=6400.0, side_m=-3.5, use=False),
        Shot("7i", 141.0),
    )
    case = replace(new_case(), bag=bag, shots=balls)
    assert link.read(link.make(case).hash).case.shots == balls


def test_unknown_keys_survive():
    doc = new_case().to_doc() | {"coach": {"note": "left wrist"}}
    assert link.read(link.make(read_case(doc)).hash).case.to_doc()["coach"] == {"note": "left wrist"}


def test_many_balls_are_thinned_and_it_says_so():
    balls = tuple(
        Shot(club, 100 + 40 * ((i * 7919) % 997) / 997, ball_speed_mps=40 + ((i * 104729) % 1009) / 97)
        for club in ("5i", "7i", "9i")
        for i in range(300)
    )
    made = link.make(replace(new_case(), shots=balls))
    assert len(made.hash) <= link.LONG
    assert "file" in made.notes[0] and "900" in made.notes[0]
    opened = link.read(made.hash)
    assert opened.problem == "" and 0 < len(opened.case.shots) < 900
    for club in ("5i", "7i", "9i"):
        whole = sorted(s.carry_m for s in balls if s.club == club)
        few = sorted(s.carry_m for s in opened.case.shots if s.club == club)
        assert abs(sum(few) / len(few) - sum(whole) / len(whole)) < 1.5
        assert few[0] < 115 and few[-1] > 125


@pytest.mark.parametrize("nothing", ["", "#", None, 7, "#hit", "#section-2"])
def test_no_link_is_no_problem(nothing):
    opened = link.read(nothing)
    assert opened.case is None and opened.problem == ""


@pytest.mark.parametrize(
    ("hostile", "word"),
    [
        ("#v1." + "A" * 70_000, "too long"),
        ("#v2.AAAA", "newer version"),
        ("#v999999.AAAA", "newer version"),
        ("#v1.", "damaged"),
        ("#v1.%%%", "damaged"),
        ("#v1.AAAA", "damaged"),
        (pack("x" * 10), "damaged"),
        (pack("[1, 2]"), "damaged"),
        (pack("null"), "damaged"),
        (pack('{"player": NaN}'), "damaged"),
        (pack("[" * 100_000), "damaged"),
        (pack(b"\xff\xfe\x00"), "damaged"),
        (pack('{"a":"' + "0" * 600_000 + '"}'), "damaged"),
        (pack("{" + '"a":1,' * 20 + '"b":' + "9" * 10_000 + "}"), "damaged"),
    ],
)
def test_hostile_links_are_refused_in_words(hostile, word):
    opened = link.read(hostile)
    assert opened.case is None
    assert word in opened.problem


def test_a_cut_link_is_told():
    whole = link.make(demo_case()).hash
    for keep in (10, len(whole) // 2, len(whole) - 3):
        opened = link.read(whole[:keep])
        assert opened.case is None and "cut short" in opened.problem


@pytest.mark.parametrize(
    "doc",
    [
        {"player": {"height_m": 1e9, "wingspan_m": "long", "label": "<script>alert(1)</script>"}},
        {"bag": [{"id": "7i"}, 3, None], "shots": [["7i", 3, {"carry_m": [1, "x", None]}]]},
        {"shots": [["7i", 10**12, {"carry_m": [1]}]]},
        {"shots": [["7i", True, {}], ["7i", -4, {}], [1], "x", ["7i", 2, {"carry_m": 5}]]},
        {"layouts": [{"id": "a", "kind": "nonsense"}], "wants": [], "conditions": "windy"},
        {"version": 5, "format": "other"},
    ],
)
def test_odd_documents_are_mended_not_trusted(doc):
    opened = link.read(pack(json.dumps(doc)))
    assert opened.case is not None
    read_case(opened.case.to_doc())
    assert len(opened.case.shots) <= link.MOST_SHOTS
    height = opened.case.player.height_m
    assert height is None or 1.0 <= height <= 2.4
