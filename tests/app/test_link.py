"""The link carries the case there and back, and hostile links do no harm."""

import base64
import contextlib
import io
import itertools
import json
import math
import random
import statistics
import time
import zlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from app import bridge, link
from app.demo import demo_case
from app.players import is_untouched, new_case
from app.state import State
from engine.documents.case import Case, Conditions, Job, Session, Shot, Swing, SwingSize
from engine.documents.reading import read_case, restore
from engine.fitting.fitting import Fitting
from tests.app.driver import Person
from tests.hostile_texts import mutated
from tests.hostile_texts import packed as pack

RELEASES = sorted((Path(__file__).parents[1] / "fixtures").glob("release-*"))
SLOWEST = 5.0  # [s] of processor time for one text; the usual is some milliseconds


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


def test_each_club_s_attack_travels():
    swing = Swing(attack_deg=3.0, iron7_attack_deg=-4.5)
    assert link.read(link.make(replace(new_case(), swing=swing)).hash).case.swing == swing


def test_unknown_keys_survive():
    doc = new_case().to_doc() | {"coach": {"note": "left wrist"}}
    assert link.read(link.make(read_case(doc)).hash).case.to_doc()["coach"] == {"note": "left wrist"}


def test_many_balls_are_thinned_and_it_says_so():
    rng = random.Random(5)
    balls = tuple(
        Shot(club, 100 + 40 * ((i * 7919) % 997) / 997, ball_speed_mps=rng.uniform(40, 50.4))
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
        ("#v3.AAAA", "newer version"),
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
        {"shots": [["7i", "3", {"carry_m": [130]}], ["7i", 2.5, {"carry_m": [130]}], ["7i", None, {}]]},
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


@pytest.mark.parametrize("count", ["2", 2.0, True, None, -1, [2]])
def test_only_a_whole_number_counts_the_balls_of_a_run(count):
    bag = new_case().to_doc()["bag"]
    runs = [["7i", count, {"carry_m": [130.0, 131.0]}], ["8i", 1, {"carry_m": [121.0]}]]
    opened = link.read(pack(json.dumps({"bag": bag, "shots": runs})))
    assert [(s.club, s.carry_m) for s in opened.case.shots] == [("8i", 121.0)]


# ---- length


def monitored(case: Case, count: int, seed: int) -> Case:
    """So many balls over all clubs but the putter, each with everything a launch monitor tells, digits and all."""
    rng = random.Random(seed)
    clubs = [c for c in case.bag if c.family != "putter"]
    balls = tuple(
        Shot(
            clubs[i * len(clubs) // count].id,
            rng.uniform(60, 240),
            club_speed_mps=rng.uniform(28, 50),
            ball_speed_mps=rng.uniform(35, 72),
            launch_deg=rng.uniform(8, 35),
            spin_rpm=rng.uniform(1800, 11000),
            side_m=rng.gauss(0, 9),
        )
        for i in range(count)
    )
    return replace(case, shots=balls)


@pytest.mark.parametrize("seed", range(10))
def test_14_clubs_and_60_balls_fit_into_2000_characters(seed):
    whole = monitored(new_case(), 60, seed)
    assert len(whole.bag) == 14
    carries = replace(whole, shots=tuple(Shot(s.club, round(s.carry_m, 1)) for s in whole.shots))
    made = link.make(carries)
    assert len(made.hash) <= link.LONG and made.notes == ()
    assert link.read(made.hash).case.shots == carries.shots
    made = link.make(whole)
    assert len(made.hash) <= link.LONG
    assert "rounded" in made.notes[0] and "file" in made.notes[0]
    opened = link.read(made.hash)
    assert opened.problem == "" and opened.case.shots
    wanted = {(s.club, round(s.carry_m, 1)) for s in whole.shots}
    assert {(s.club, s.carry_m) for s in opened.case.shots} <= wanted
    assert {s.club for s in opened.case.shots} == {s.club for s in whole.shots}


def test_balls_hit_after_the_build_are_carried_and_thinned_too():
    whole = monitored(new_case(), 60, 3)
    both = replace(whole, retest=monitored(new_case(), 60, 4).shots)
    made = link.make(both)
    assert len(made.hash) <= link.LONG and "rounded" in made.notes[0]
    opened = link.read(made.hash).case
    assert 0 < len(opened.retest) <= 60 and 0 < len(opened.shots) <= 60
    few = replace(new_case(), shots=whole.shots[:4], retest=whole.shots[4:8])
    assert rounded(link.read(link.make(few).hash).case) == rounded(few)


def session(clubs: int, each: int, **more) -> Case:
    """A range session with every value that a launch monitor tells."""
    case = monitored(new_case(), clubs * each, 8)
    return replace(case, shots=tuple(replace(s, **more) for s in case.shots))


def counted(case: Case) -> dict[str, float]:
    """How many balls stand behind each club's shots."""
    out: dict[str, float] = {}
    for shot in case.shots:
        out[shot.club] = out.get(shot.club, 0) + shot.balls
    return out


@pytest.mark.parametrize("clubs", [3, 13])
def test_a_mean_of_ten_balls_stays_one(clubs):
    case = session(clubs, 8, balls=10.0)
    made = link.make(case)
    assert made.notes, "too small to have been shortened"
    opened = link.read(made.hash).case
    assert {s.balls for s in opened.shots} == {10.0}
    assert counted(opened) == counted(case)


def test_means_are_kept_whole_where_single_balls_are_thinned():
    means = tuple(Shot(club, carry, balls=10.0) for club, carry in (("7i", 140.0), ("9i", 118.0)))
    case = session(3, 100)
    opened = link.read(link.make(replace(case, shots=(*case.shots, *means * 10))).hash).case
    assert [s for s in opened.shots if s.balls != 1.0] == [*means * 10]
    assert 0 < len([s for s in opened.shots if s.balls == 1.0]) < 300


def test_of_many_balls_the_same_are_carried_in_whatever_order_they_were_hit():
    """Spread through their carries, so that short and long ones alternating do not all leave one kind behind."""
    one = session(1, 200).shots[0]
    balls = [replace(one, carry_m=100.0 + n / 4, side_m=n / 8) for n in range(200)]
    orders = (
        balls,
        balls[::-1],
        [*balls[::2], *balls[1::2]],
        balls[::4] + balls[1::4] + balls[3::4] + balls[2::4],
    )
    kept = set()
    for order in orders:
        opened = link.read(link.make(replace(new_case(), shots=tuple(order))).hash).case
        carries = sorted(s.carry_m for s in opened.shots)
        assert 5 < len(carries) < 200 and carries[0] < 110 and carries[-1] > 140
        kept.add(tuple(carries))
    assert len(kept) == 1


def test_balls_switched_off_travel_and_stay_switched_off():
    case = session(13, 3)
    off = tuple(replace(s, use=i % 5 > 0) for i, s in enumerate(case.shots))
    made = link.make(replace(case, shots=off))
    assert "rounded" in made.notes[0]
    opened = link.read(made.hash).case
    assert len(opened.shots) == len(off)
    assert [s.use for s in opened.shots] == [s.use for s in off]


def test_what_was_cut_is_said_to_the_sender_and_to_the_opener():
    case = session(13, 60)
    case = replace(case, shots=tuple(replace(s, use=i % 3 > 0) for i, s in enumerate(case.shots)))
    made = link.make(case)
    opened = link.read(made.hash)
    sent, used = len(opened.case.shots), sum(s.use for s in case.shots)
    assert all(s.use for s in opened.case.shots) and 0 < sent < used
    for words in (made.notes[0], " ".join(opened.notes)):
        assert f"{sent} of {used}" in words, words
        assert f"{len(case.shots) - used} switched off" in words, words
    assert "file" in made.notes[0]
    assert "ask" in opened.notes[0] and "file" in opened.notes[0]
    assert "rounded" in opened.notes[0]
    # the note belongs to that link, not to the player, even where an older version took it for a part of him
    kept = read_case(demo_case().to_doc() | {"link_cut": {"off": 3}})
    assert link.read(link.make(kept).hash).notes == ()
    assert link.read(link.make(opened.case).hash).notes == ()


def test_only_carries_left_is_said_too():
    noise = random.Random(4)
    names = tuple(replace(c, name=f"{c.name} {noise.randrange(10**15)}") for c in new_case().bag)
    case = replace(session(13, 8, balls=10.0), bag=names)
    case = replace(case, shots=tuple(replace(s, use=i % 4 > 0) for i, s in enumerate(case.shots)))
    made = link.make(case)
    opened = link.read(made.hash)
    assert all(s.ball_speed_mps is None for s in opened.case.shots)
    assert {s.balls for s in opened.case.shots} == {10.0}
    assert [s.use for s in opened.case.shots] == [s.use for s in case.shots]
    for words in (made.notes[0], opened.notes[0]):
        assert "no speeds" in words


@pytest.mark.parametrize(
    "cut", [7, "x", [], {"balls": "no"}, {"balls": [1e9, None], "off": True}, {"carries": 1}]
)
def test_a_strange_note_of_what_was_cut_does_no_harm(cut):
    opened = link.read(pack(json.dumps({"player": {"label": "x"}, "link_cut": cut})))
    assert opened.case is not None and "link_cut" not in opened.case.to_doc()
    assert all(isinstance(n, str) and len(n) < 500 for n in opened.notes)


def test_exact_is_all_or_nothing():
    assert link.read(link.exact(demo_case())).case == link.read(link.make(demo_case()).hash).case
    assert rounded(link.read(link.exact(demo_case())).case) == rounded(demo_case())
    assert link.exact(session(13, 5)) == ""


def test_what_cannot_be_made_short_says_so():
    rng = random.Random(1)
    doc = new_case().to_doc() | {"notes": "".join(chr(rng.randrange(0x3400, 0x4DB0)) for _ in range(2000))}
    made = link.make(read_case(doc))
    assert len(made.hash) > link.LONG and "characters long" in made.notes[0]
    assert link.read(made.hash).case is not None


# ---- for ever


def within(part, whole, where="") -> None:
    """Every leaf of ``part`` is also in ``whole``; later versions may add, never change."""
    if isinstance(part, dict):
        for key, item in part.items():
            if item is not None and key not in ("format", "version"):
                assert key in whole, f"{where}.{key} is gone"
                within(item, whole[key], f"{where}.{key}")
    elif isinstance(part, list):
        assert len(part) == len(whole), where
        for index, item in enumerate(part):
            within(item, whole[index], f"{where}[{index}]")
    elif isinstance(part, float):
        assert whole == pytest.approx(part, abs=1e-4), where
    else:
        assert whole == part, where


@pytest.mark.parametrize("release", RELEASES, ids=lambda p: p.name)
def test_links_and_files_of_every_release_open(release):
    case = json.loads((release / "case.json").read_text(encoding="utf-8"))
    opened = link.read((release / "link.txt").read_text(encoding="utf-8").strip())
    assert opened.problem == "" and opened.notes == ()
    within(case, opened.case.to_doc())

    state = State()
    said = state.take_file((release / "case.json").read_text(encoding="utf-8"))
    assert "added" in said and state.notices == []
    within(case, state.case.to_doc())

    text = (release / "players.json").read_text(encoding="utf-8")
    store = json.loads(text)
    for state in (State(saved=text), State()):
        if len(state.store.players) == 1:
            assert "added" in state.take_file(text)
        assert state.notices == []
        cases = [e.case.to_doc() for e in state.store.players]
        for player in store["players"]:
            name = player["case"]["player"]["label"]
            found = [c for c in cases if c["player"]["label"] == name]
            if found or not is_untouched(
                restore(player["case"]).case
            ):  # of whom a file tells nothing to take in
                within(player["case"], found[-1])


@pytest.mark.parametrize("release", RELEASES, ids=lambda p: p.name)
def test_what_an_old_release_wrote_goes_out_as_it_would_read_it(release):
    """It names no version above its own, and nothing that its own program would not know."""
    doc = json.loads((release / "case.json").read_text(encoding="utf-8"))
    case = read_case(doc)
    assert case.to_doc()["version"] == doc["version"] == 1 and not case.sessions
    assert link.make(case).hash.startswith("#v1.")


FIXTURES = (*(r / "case.json" for r in RELEASES), *sorted(RELEASES[0].parent.glob("cases/*.json"))[::12])


@pytest.mark.parametrize("path", FIXTURES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_a_player_of_version_1_has_the_same_carries_by_file_link_and_store_and_as_one_session(path):
    """To 0.1 m, what is shown; a link rounds to four decimals."""
    case = restore(json.loads(path.read_text(encoding="utf-8"))).case
    assert case.to_doc()["version"] == 1
    state = State()
    state.take_file(json.dumps(case.to_doc()))
    days = (Session("first", "2031-05-03"),)
    shots = tuple(replace(s, session="first", id=f"b{n}") for n, s in enumerate(case.shots))
    retest = tuple(replace(s, session="first") for s in case.retest)
    ways = {
        "link": link.read(link.make(case).hash).case,
        "file": state.case,
        "store": State(saved=json.dumps(state.to_doc())).case,
        "session": replace(case, shots=shots, retest=retest, sessions=days),
    }
    wanted = _figures(case)
    for way, other in ways.items():
        assert _figures(other) == pytest.approx(wanted, abs=0.1), way
    assert _figures(ways["session"]) == pytest.approx(wanted, abs=1e-9)


def _figures(case: Case) -> list[float]:
    fitting = Fitting(case, 64)
    ends = [x for layout in fitting.layouts for c in layout.clubs for x in (c.carry_m.mean, c.carry_m.lo90)]
    retested = [c.difference.mean for c in fitting.retest.clubs]
    return [*ends, *(g.carry_m.mean for g in fitting.shots), *retested]


def test_sessions_and_what_belongs_to_them_travel_by_link_file_and_store():
    plain = demo_case()
    days = (
        Session(
            "s1",
            "2031-05-03",
            "the far range",
            Conditions(8.0, wind_mps=3.0),
            "the range's own",
            "now",
            "cold",
        ),
        Session("s2", by="student"),
    )
    balls = tuple(
        replace(shot, session=("s1", "s2", None)[n % 3], id=f"b{n}", by="student" if n % 3 == 1 else None)
        for n, shot in enumerate(plain.shots)
    )
    case = replace(
        plain,
        player=replace(plain.player, id="q7XvB2", note="left knee\n<b>", tags=("junior", "é")),
        shots=balls,
        sessions=days,
        wants=replace(plain.wants, half_life_days=365.0),
    )
    made = link.make(case)
    opened = link.read(made.hash)
    assert made.hash.startswith("#v2.") and opened.problem == "" and opened.notes == ()
    assert (
        rounded(opened.case) == rounded(link.without_tags(case)) != rounded(case)
    )  # these are nobody else's
    state = State()
    assert "added" in state.take_file(json.dumps(case.to_doc()))
    assert state.case == case
    again = State(saved=json.dumps(state.to_doc()))
    assert again.case == case and again.notices == []


def test_balls_are_thinned_within_each_session():
    plain = new_case()
    shots = tuple(Shot("7i", 100.0 + n / 7, session="new" if n < 300 else "old") for n in range(600))
    case = replace(plain, shots=shots, sessions=(Session("old"), Session("new")))
    found = link.read(link.make(case).hash).case.shots
    counts = [sum(s.session == name for s in found) for name in ("new", "old")]
    assert len(found) < 600 and counts[0] == counts[1] > 0


def test_there_is_a_fixture_of_this_release():
    assert RELEASES
    heads = {(r / "link.txt").read_text(encoding="utf-8").split(".")[0] for r in RELEASES}
    assert link.make(new_case()).hash.split(".")[0] in heads


# ---- files


def test_newer_files_are_refused_in_words():
    state = State()
    for doc in (demo_case().to_doc(), state.to_doc()):
        assert "newer version" in state.take_file(json.dumps(doc | {"version": 3}))
    assert len(state.store.players) == 1


def test_opening_a_file_twice_adds_nothing_and_overwrites_nothing():
    state = State()
    state.add_player(demo_case())
    backup = json.dumps(state.to_doc())
    before = state.store.players
    assert "here already" in state.take_file(backup)
    state.change(lambda c: replace(c, player=replace(c.player, label="Changed since")), "renamed")
    assert "1 player added" in state.take_file(backup)
    names = [e.name for e in state.store.players]
    assert names == ["Changed since", before[1].name]  # in place of the one of whom nothing was typed


def test_a_file_too_long_is_refused_before_it_is_read():
    began = time.process_time()
    assert "too long" in State().take_file("[" * 40_000_000)
    assert time.process_time() - began < 2


def test_a_full_list_refuses_links_and_files_in_words(monkeypatch):
    monkeypatch.setattr("app.state.MOST_PLAYERS", 2)
    state = State(fragment=link.make(demo_case()).hash)
    state.add_player(new_case())
    other = replace(demo_case(), player=replace(demo_case().player, label="One too many"))
    state.change(lambda c: replace(c, player=replace(c.player, label="Not blank", height_m=1.8)), "named")
    state.open_link(link.make(other).hash)
    assert any("at most 2" in n for n in state.notices)
    assert "at most 2" in state.take_file(json.dumps(other.to_doc()))
    assert [e.name for e in state.store.players].count("One too many") == 0


# ---- hostile


def survive(count: int, *, seed: int, solve_every: int) -> None:
    """Feed so many mutated links and files to one running dashboard state each; nothing raises, nothing hangs."""
    bridge.install(lambda kind, payload: json.dumps(payload).encode("utf-8"))  # as the page takes it
    try:
        for number, (kind, text) in enumerate(mutated(seed, count)):
            began = time.process_time()
            log = io.StringIO()
            with contextlib.redirect_stdout(log), contextlib.redirect_stderr(log):
                state = State(fragment=text) if kind == "link" else State(saved=text)
                if kind == "file":
                    said = state.take_file(text)
                    assert said.endswith((".", "file.")) and "\n" not in said
                for entry in state.store.players:
                    read_case(entry.case.to_doc())
                assert all(isinstance(n, str) and len(n) < 1000 for n in state.notices)
                state.flush()
                if number % solve_every == 0:
                    assert state.result is not None or state.problem
                    assert "could not be done" not in state.problem, (
                        f"seed {seed}, number {number}: {log.getvalue()}"
                    )
            assert "Traceback" not in log.getvalue(), f"seed {seed}, number {number}"
            assert time.process_time() - began < SLOWEST, f"seed {seed}, number {number}: too slow"
    finally:
        bridge.install(None)


def test_mutated_links_and_files_do_no_harm():
    survive(500, seed=20261125, solve_every=25)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(20))
def test_twenty_thousand_mutated_links_and_files_do_no_harm(seed):
    survive(1000, seed=seed, solve_every=50)


def test_too_little_memory_means_fewer_draws_and_says_so(monkeypatch):
    from engine.fitting import known_swing as module

    whole = module.calibrate
    asked = []

    def short(case, *, draws):
        asked.append(draws)
        if draws > 100:
            raise MemoryError
        return whole(case, draws=draws)

    monkeypatch.setattr(module, "calibrate", short)
    state = State(fragment=link.make(demo_case()).hash)
    assert state.result is not None and state.problem == ""
    assert asked == [256, 64]
    assert any("short of memory" in n for n in state.notices)
    state.change(_taller, "height typed")
    assert state.result is not None and asked == [256, 64, 64]


@pytest.mark.parametrize(
    "runs", [[["7i", 10**9, {}]], [["7i", 4000, {}]] * 6, [{"club": "7i"}] * 5000 + [["7i", 9, {}]]]
)
def test_however_many_balls_a_link_claims_no_more_are_made_of_them(monkeypatch, runs):
    """Few characters must not fill the memory."""
    made = []
    whole = link.restore
    monkeypatch.setattr(link, "restore", lambda doc: made.append(len(doc["shots"])) or whole(doc))
    link.read(pack(json.dumps({"shots": runs})))
    assert made == [5000]


def _taller(case):
    return replace(case, player=replace(case.player, height_m=1.93))


def test_only_a_case_with_part_swings_needs_the_newer_version(monkeypatch):
    """An older program would take their balls for full ones: it refuses the link and the file in words."""
    plain = demo_case()
    shots = (*plain.shots, Shot("sw", 31.0, swing_size="hip"))
    parts = replace(plain, shots=shots, swing_sizes=(SwingSize("hip", "to the hip"),))
    assert link.make(plain).hash.startswith("#v1.") and plain.to_doc()["version"] == 1
    made = link.make(parts).hash
    assert made.startswith("#v2.") and parts.to_doc()["version"] == 2
    assert link.read(made).case.swing_sizes == parts.swing_sizes and link.read(made).case.shots == shots
    monkeypatch.setattr(link, "VERSION", 1)
    monkeypatch.setattr("app.players.CASE_VERSION", 1)
    assert "newer version" in link.read(made).problem and link.read(made).case is None
    state = State()
    assert "newer version" in state.take_file(json.dumps(parts.to_doc()))
    assert link.read(link.make(plain).hash).case.shots == plain.shots


def test_a_new_device_begins_with_the_units_of_whoever_sent_the_link():
    sender = Person(demo_case())
    sender.tap("in \u00b7 yd")
    sender.go("Players, share, files").press("Share the link")
    made = sender.said("share")[-1]["hash"]
    assert len(made) <= 2000
    new = Person(hash=made)
    assert new.state.units == "imperial"
    new.go("Hit").type("Carry", "112").press("Add ball")
    assert new.case.shots[-1].carry_m == pytest.approx(112 * 0.9144, abs=0.01)
    new.state.flush()
    saved = new.said("save")[-1]["text"]
    new.state.set_units("metric")
    new.state.flush()
    own = new.said("save")[-1]["text"]
    assert Person(saved=saved).state.units == "imperial"
    assert Person(saved=own, hash=made).state.units == "metric"  # an own choice stays
    here = Person()
    here.state.set_units("metric")
    here.state.open_link(made)
    assert here.state.units == "metric" and here.case.shots


def test_the_mark_of_the_units_is_passed_over_by_releases_that_do_not_know_it():
    demo = demo_case()
    for case in (demo, replace(demo, shots=(), retest=())):
        made = link.make(case, "imperial").hash
        text = made.partition(".")[2]
        doc = json.loads(zlib.decompress(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)), -15))
        assert doc["shots"][-1][:2] == ["", 0]  # no balls, of no club
        assert not any(isinstance(values, list) for values in doc["shots"][-1][2].values())
        assert link.read(made).case == link.read(link.make(case).hash).case
        assert "link_units" not in link.read(made).case.to_doc()
        assert link.read(link.make(case, "<b>").hash).units == ""


def test_the_address_holds_the_units_as_a_link_does():
    person = Person(new_case())
    person.type("Height", "178").tap("in \u00b7 yd")
    person.state.flush()
    address = person.said("link")[-1]["hash"]
    assert link.read(address).units == "imperial" and Person(hash=address).value("Height") == "70.1"


# ---- what goes first


def coached(note: str = "", each: int = 3) -> Case:
    """A student of four sessions, with speeds, notes and a job record: some 44 balls and a lesson."""
    rng = random.Random(11)
    days = tuple(Session(f"31040{n}", f"2031-04-0{n}", note=note) for n in range(1, 5))
    balls = tuple(
        Shot(
            club,
            rng.gauss(mean, 4),
            ball_speed_mps=rng.gauss(mean / 3, 1),
            spin_rpm=rng.gauss(6e3, 300),
            session=d.id,
        )
        for d in days
        for club, mean in (("5i", 160.0), ("7i", 140.0), ("9i", 118.0))
        for _ in range(each)
    )
    jobs = tuple(Job(f"j{n}", "note", f"2031-04-0{n}", note=note) for n in range(1, 4))
    return replace(new_case(), shots=balls, sessions=days, jobs=jobs)


def words_of(size: int) -> str:
    rng = random.Random(2)
    return "".join(chr(rng.randrange(0x61, 0x7A)) for _ in range(size))


@pytest.mark.parametrize("each", [7, 12])
def test_earlier_sessions_are_shortened_before_speeds_and_the_job_record_go(each):
    case = coached(words_of(16), each=each)
    made = link.make(case)
    opened = link.read(made.hash)
    assert len(made.hash) <= link.LONG and opened.case.jobs == case.jobs
    newest = [s for s in opened.case.shots if s.session == "310404"]
    assert len(newest) == 3 * each and all(s.ball_speed_mps is not None for s in newest)
    left = {d.id: sum(s.session == d.id for s in opened.case.shots) for d in case.sessions}
    assert left["310401"] == left["310403"] >= 9 and "job record" not in made.notes[0]
    for words in (made.notes[0], opened.notes[0]):
        assert f"({len(opened.case.shots)} of {len(case.shots)} shots)" in words
        assert "of each club in an earlier session at most" in words
    assert "The file holds everything." in made.notes[0]


def test_balls_that_are_chosen_have_the_mean_and_the_spread_of_all():
    """Nearer to them than balls evenly picked by carry, and near enough not to change what is read."""
    rng = random.Random(5)
    ours, even = [], []
    for count, most in ((10, 3), (12, 5), (40, 9), (25, 5), (8, 3)) * 12:
        carries = [rng.gauss(140, 4) for _ in range(count)]
        ranked = sorted(carries)
        picked = [carries[i] for i in link.chosen(carries, most)]
        assert len({*picked}) == most
        for found, few in (
            (ours, picked),
            (even, [ranked[int((k + 0.5) * count / most)] for k in range(most)]),
        ):
            found.append(
                abs(statistics.fmean(few) - statistics.fmean(carries))
                + abs(statistics.stdev(few) - statistics.stdev(carries))
            )
    assert statistics.fmean(ours) < 0.35 and statistics.fmean(ours) < 0.5 * statistics.fmean(even)


@pytest.mark.parametrize(("count", "most"), [(6, 3), (12, 5), (30, 3), (16, 5)])
def test_of_a_club_s_balls_those_nearest_in_mean_and_spread_are_sent(count, most):
    """Against every choice there is, with a ball among them that flew far."""
    rng = random.Random(count)
    for _ in range(4):
        carries = [round(rng.gauss(108, 3), 1) for _ in range(count - 1)] + [123.0]

        mean, spread = statistics.fmean(carries), statistics.stdev(carries)
        every = np.array(list(itertools.combinations(carries, most)))
        nearest = np.hypot(every.mean(axis=1) - mean, every.std(axis=1, ddof=1) - spread).min()
        few = [carries[i] for i in link.chosen(carries, most)]
        found = math.hypot(statistics.fmean(few) - mean, statistics.stdev(few) - spread)
        assert found == pytest.approx(nearest, abs=1e-9)


def test_mean_and_spread_of_a_few_balls_are_about_those_of_all():
    """Three of six with one that flew far cannot have them: nobody is told so."""
    made = link.make(coached(words_of(16), each=12))
    for words in (made.notes[0], link.read(made.hash).notes[0]):
        assert "chosen so that mean and spread stay about as they are" in words
