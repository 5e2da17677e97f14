"""The report of a case, and what folds and cards say of putter, driver and sets: read as a coach would read it."""

import json
import re
from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from app.phrases import phrase
from app.phrases.report import report
from app.phrases.say import a
from app.players import default_layouts
from engine.__main__ import main
from engine.documents.case import Case, Layout, LayoutClub, Player, Swing
from engine.fitting.fitting import Fitting
from engine.fitting.sections import document
from engine.statements import state, statement_of
from engine.workshop.norms import NORMS, norm_bag, norm_club
from tests.app.driver import Person
from tests.app.golden.cases import cases, hit


def told(case, system="metric"):
    names = {c.id: c.name or c.id for c in case.bag}
    return report(document(case, draws=48), system, names).replace("\u00a0", " ")


def section(words, title):
    found = re.search(rf"^{title}\n((?:  .*\n)*)", words, re.MULTILINE)
    return [line.strip() for line in found[1].splitlines()] if found else []


@pytest.mark.parametrize("name", ["demo", "all layouts", "fast, a gap asked for"])
def test_the_verdict_stands_under_its_headings(name):
    case = cases()[name]
    verdict = Fitting(case, 48).result.verdict
    lines = section(told(case), "Advice")
    assert " instead of " in lines[0] and lines[0].endswith(":")
    headings = ("You gain: ", "It costs: ", "Little difference: ", "Unclear: ")
    under = {line.split(": ")[0]: line for line in lines if line.startswith(headings)}
    sides = {d.side for d in verdict.differences} | {"give"}  # the work is a cost
    assert len(under) == len(sides)
    for measure, side in ((d.measure, d.side) for d in verdict.differences):
        if measure == "top_descent_deg" and side == "same":
            assert "landing angle" in under["Little difference"]
    work = next(x for x in verdict.lines if x.kind == "verdict.work")
    assert phrase(work, "metric").replace("\u00a0", " ") in under["It costs"]


def test_a_chance_cannot_be_taken_for_a_size():
    """``longest iron (75 % shorter)`` reads as if it lost three quarters of its length."""
    words = told(demo_case())
    assert not re.search(
        r"\d % (shorter|longer|less|more|farther|wider|narrower|fewer|flatter|steeper)\)", words
    )
    assert re.search(r"longest iron’s carry \(\d+ % likely less\)", words)


def test_shots_set_aside_are_told_under_their_club_whatever_the_layouts_hold(tmp_path, capsys):
    """No layout has the 9-iron, and the 7-iron was made into another club since."""
    case = demo_case()
    was = replace(case.club("7i"), id="old", became="7i")
    shots = (*case.shots, *hit("9i", 30), *hit("old", *[131, 129, 130, 132, 128], 60))
    layout = Layout("few", "own", clubs=tuple(LayoutClub(i) for i in ("5i", "7i", "pw")))
    case = replace(case, bag=(*case.bag, was), shots=shots, layouts=(layout,))
    path = tmp_path / "case.json"
    path.write_text(json.dumps(case.to_doc()), encoding="utf-8")
    assert main([str(path), "--draws", "32", "--words", "metric"]) == 0
    lines = section(capsys.readouterr().out.replace("\u00a0", " "), "Shots set aside")
    assert len(lines) >= 3 and all("short of the median" in line for line in lines)
    starts = {line.split(": ")[0] for line in lines}
    assert starts == {"7-iron", "9-iron", "7-iron, before the build"}


def test_only_clubs_that_are_there_are_left_out_and_no_club_is_called_both_ways():
    words = told(demo_case())
    for absent in ("4-iron", "3-iron", "6-hybrid"):
        assert absent not in words
    assert "may be worth carrying" not in words  # beside "keep the clubs you have"
    lines = section(words, "Which clubs to carry")
    assert lines[0].startswith("Keep the clubs you have")
    after = [x for x in lines if "hybrid" in x or "7-wood" in x]
    assert after and all(
        re.match(r"Next best, but not worth buying yet: (adding an?|swapping the)\b", x) for x in after
    )


def test_what_to_hit_next_names_each_club_once():
    lines = section(told(demo_case()), "What to hit next to choose between the sets")
    clubs = [re.match(r"Shots with the ([\w -]+?)(?:,| would)", x)[1] for x in lines if x.startswith("Shots")]
    assert len(clubs) == len(set(clubs)) > 1
    assert not any(re.match(r"[\w -]+: The new shots", x) for x in lines)


def test_shafts_name_no_driver_that_is_not_there():
    bag = tuple(norm_club(i) for i in ("5w", "5h", "7i", "9i", "sw"))
    case = Case(player=Player(height_m=1.8), bag=bag, shots=hit("7i", 140, 142, 141, 139))
    words = told(replace(case, layouts=default_layouts(bag)))
    assert "Driver" not in words and "enter your speed with a driver" in words
    assert "trim chart" not in words  # nothing is said of shafts that it could follow


def putter_of(case):
    return {s.kind: s for s in Fitting(case, 48).putter.statements}


def test_a_putter_is_judged_by_what_was_measured_and_entered_only():
    case = demo_case()  # the usual putter, and no word of the stroke
    judged = {"putter.launch", "putter.leave_loft", "putter.change_loft", "putter.no_loft", "putter.skid"}
    said = putter_of(case)
    assert not judged & set(said) and "putter.eyes" not in said and "putter.begin" in said
    assert set(said["putter.not_measured"].terms["needs"]) == {"loft", "size", "stroke"}
    stroke = replace(case, swing=replace(case.swing, putter_lean_deg=1.0, putter_attack_deg=0.5))
    assert set(putter_of(stroke)["putter.not_measured"].terms["needs"]) == {"loft", "size"}
    own = replace(case.club("pt"), measured=("length_m", "loft_deg", "lie_deg"))
    bag = tuple(own if c.id == "pt" else c for c in case.bag)
    seen = putter_of(replace(stroke, bag=bag))
    assert {"putter.launch", "putter.eyes", "putter.skid"} <= set(seen) and "putter.not_measured" not in seen
    half = putter_of(replace(stroke, bag=bag, swing=replace(stroke.swing, putter_attack_deg=None)))
    assert not judged & set(half) and half["putter.not_measured"].terms["needs"] == ("stroke",)
    nobody = putter_of(replace(case, player=replace(case.player, height_m=None)))
    assert "putter.begin" not in nobody and "body.unknown" in nobody


def test_the_putter_fold_shows_a_loft_only_for_a_stroke_that_was_entered():
    for swing, shown in ((Swing(), False), (Swing(putter_lean_deg=1.0, putter_attack_deg=0.0), True)):
        person = Person(replace(demo_case(), swing=swing)).go("Lay out").open("Putter")
        rows = [row[0] for row in person.rows("A putter to start with")[1:]]
        assert rows == ["Length", "Lie", *["Loft"] * shown]


def driver_of(case):
    return [s.kind for s in Fitting(case, 48).driver.statements]


def test_a_driver_s_launch_is_told_only_where_it_was_measured_or_its_attack_entered():
    case = demo_case()
    carried = replace(case, shots=(*case.shots, *hit("dr", 186, 190, 188, 192, 187)))
    about = {"driver.player", "driver.leave_loft", "driver.try_loft", "driver.flat"}
    assert driver_of(case) == ["bag.hit_first"]
    assert driver_of(carried) == ["driver.best", "driver.not_measured"]
    launched = hit("dr", 186, 190, 188, launch_deg=12.0, spin_rpm=2900.0)
    for known in (
        replace(case, shots=(*case.shots, *launched)),
        replace(carried, swing=replace(carried.swing, attack_deg=2.0)),
    ):
        kinds = driver_of(known)
        assert about & set(kinds) >= {"driver.player", "driver.flat"} and "driver.not_measured" not in kinds
        assert kinds[-1] == "known.usual"  # the loft that all this is measured against
    unused = replace(case, shots=(*carried.shots, *(replace(s, use=False) for s in launched)))
    assert driver_of(unused) == ["driver.best", "driver.not_measured"]


def test_the_driver_fold_draws_nobody_whose_launch_was_not_measured():
    case = demo_case()
    carried = replace(case, shots=(*case.shots, *hit("dr", 186, 190, 188, 192, 187)))
    for attack, drawn in ((None, False), (2.0, True)):
        case = replace(carried, swing=replace(carried.swing, attack_deg=attack))
        person = Person(case).go("Lay out").open("Driver")
        assert (
            ("The dot is you now" in person.text()) is drawn is ("The effect of each change" in person.text())
        )
        assert ("was not measured: hit it with launch measured" in person.text()) is not drawn


def test_nothing_is_said_of_a_body_that_nobody_measured():
    case = Case(player=Player(label="No measure"), bag=norm_bag(), layouts=default_layouts(norm_bag()))
    kinds = [s.kind for s in Fitting(case, 48).body.statements]
    assert kinds == ["body.unknown"]
    assert "body.start" in [s.kind for s in Fitting(demo_case(), 48).body.statements]


@pytest.mark.parametrize("layouts", [(), (Layout("now", "present"), Layout("one", "single"))])
def test_the_present_set_is_the_bag_as_it_is_and_another_name_is_bent(layouts):
    case = demo_case()
    case = replace(case, layouts=layouts or case.layouts, wants=replace(case.wants, gap_m=11.0))
    person = Person(case).go("Play")
    assert person.chosen("Set on the card") == "Present set"
    person.go("Lay out")
    assert "All of this is for the set to build: Present set, lofts bent." in person.text()
    person.go("Build")
    assert person.chosen("Set to build") == "Present set, lofts bent"
    plain = Person(replace(case, wants=replace(case.wants, gap_m=None))).go("Build")
    assert plain.chosen("Set to build") == "Present set"
    if layouts:
        doc = document(case, draws=48)
        (verdict,) = [a for a in doc["advice"] if a["topic"] == "verdict"]
        assert "your present set with bent lofts" in phrase(statement_of(verdict["statement"]), "metric")


def test_a_mark_that_would_stand_on_every_line_stands_on_none():
    case = replace(demo_case(), layouts=(Layout("single", "single", common_length_m=0.94),))
    case = replace(case, wants=replace(case.wants, layout="single"))
    one = edits.layout_club("single", "8i", "lie_deg")(case, 63.0)
    marks = Person(one).go("Build").text().count("set for this club")
    assert marks == 1
    every = one
    for club in (c for c in case.bag if c.family in ("iron", "wedge")):
        every = edits.layout_club("single", club.id, "lie_deg")(every, 63.0)
    assert Person(every).go("Build").text().count("set for this club") == 0
    same = edits.layout_club("single", "8i", "length_m")(case, 0.94)  # what the layout has by itself
    assert not edits.by_hand(same, "single", "8i")


FULL = tuple(i for i in NORMS if i != "pt")


def test_an_iron_of_use_that_stays_at_home_is_not_called_of_little_use():
    """Of 22 clubs eight stay at home; of them an iron that is of use by itself."""
    bag = tuple(norm_club(i, "male") for i in (*FULL, "pt"))
    shots = hit("7i", *[142, 139, 145, 141, 143]) + hit("pw", *[112, 110, 114]) + hit("5h", *[165, 168, 163])
    shots += hit("dr", 205, 200, 210) + hit("3w", 190, 186, 193)
    case = Case(player=Player(sex="male", height_m=1.8), bag=bag, shots=shots, layouts=default_layouts(bag))
    fitting = Fitting(case, 96)
    uses = {u.club: u.chance_useful for u in fitting.irons_stop.irons}
    said = {s.kind: s for s in fitting.irons_stop.statements}
    spared = {s.clubs[0].id for s in fitting.irons_stop.statements if s.kind == "irons.spared"}
    gone = set(uses) - {c.id for c in fitting.make_up.carried}
    assert spared == {i for i in gone if uses[i] >= 0.5} and spared
    assert "irons.stop" not in said and [c.id for c in said["irons.carry"].clubs] == [
        i for i in uses if i not in gone
    ]


def test_a_length_with_no_range_has_none_in_brackets():
    case = replace(demo_case(), player=replace(demo_case().player, wrist_to_floor_m=0.9))
    (line,) = [x for x in section(told(case), "Putter") if x.startswith("Start with")]
    assert re.match(r"Start with \d+\.\d cm and a lie of", line)


def test_clubs_take_the_article_they_are_spoken_with():
    assert [a(x) for x in ("8-iron", "7-iron", "11-wood", "iron 8", "Pitching wedge")] == [
        "an 8-iron",
        "a 7-iron",
        "an 11-wood",
        "an iron 8",
        "a Pitching wedge",
    ]


@pytest.mark.parametrize("distance", ["130", "60", "250", "147"])
@pytest.mark.parametrize("green", [False, True])
def test_the_answer_of_play_takes_at_most_60_words(distance, green):
    person = Person(demo_case()).go("Play").type("Distance to carry", distance)
    if green:
        person.tap("A green")
    answer = re.sub(r"<[^>]+>", " ", str(person.page.here.answer.object))
    assert 4 <= len(re.split(r"[ \n]+", answer.strip())) <= 60, answer
    assert not re.search(r"\d\s% (shorter|longer|short|long)", answer)


@pytest.mark.parametrize("system", ["metric", "imperial"])
@pytest.mark.parametrize("short_m", [0.15, 0.3])
def test_a_carry_out_of_reach_does_not_look_the_same_as_the_one_wanted(system, short_m):
    """22 degrees carry a hand's breadth too far or too short; both figures round to one."""
    for kind, name, sign in (("loft.too_short", "least", 1), ("loft.too_far", "most", -1)):
        told = phrase(state(kind, wanted=170.0, loft=22.0, **{name: 170.0 + sign * short_m}), system)
        assert len(re.findall(r"\b(170|186)\b", told)) == 1, told
        far = phrase(state(kind, wanted=170.0, loft=22.0, **{name: 170.0 + 20 * sign * short_m}), system)
        assert len(re.findall(r"\d+\s(?:m|yd)\b", far)) == 2, far


@pytest.mark.parametrize("off_m", [1.001, 1.01, 1.04, 1.2])
def test_a_miss_is_told_as_no_less_than_what_counts_as_one(off_m):
    """A metre is 1.1 yd, and so is a miss of 1.01 m: the one is not told as more than the other."""
    clubs = [demo_case().club("7i")]
    for system in ("metric", "imperial"):
        at_least = phrase(state("loft.missed", clubs=clubs, most=1.0, asked="carry"), system)
        off = phrase(state("loft.off", carry=80.0, off=off_m, way="more"), system)
        least, size = (float(re.search(r"(\d+\.\d)\s(?:m|yd)\b", x)[1]) for x in (at_least, off))
        assert "more than" not in at_least and "or more" in at_least and size >= least


def test_carries_that_nobody_asked_for_are_not_called_so():
    """Lofts bent for even gaps, with a 7-iron that stops short of its place."""
    case = demo_case()
    bag = tuple(replace(c, loft_deg=c.loft_deg + 5) if c.id == "7i" else c for c in case.bag)
    for wants in ({"lofts": "even_gaps"}, {"gap_m": 12.0}):
        fitting = Fitting(replace(case, bag=bag, wants=replace(case.wants, layout="now", **wants)), 32)
        missed = [s for s in fitting.lofts.statements if s.kind == "loft.missed"]
        assert missed
        for said in missed:
            assert "carry you asked for" not in phrase(said, "metric")
            assert ("even gaps" in phrase(said, "metric")) is ("lofts" in wants)


@pytest.mark.parametrize(("balls", "shown"), [(120, True), (2_400_000, False)])
def test_more_shots_than_anybody_hits_are_not_counted_out(balls, shown):
    said = state("length_test.spread", finds=0.3, needed=0.004, balls=balls, shows="no")
    told = phrase(said, "metric")
    assert ("about 120 shots" in told) is shown and ("million" in told or ",000" in told) is False
    assert "no range session can" in told and " 0\u00a0%" not in told
