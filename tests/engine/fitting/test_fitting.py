"""The sections of the result document: made from the same case, agreeing with one another and with the layouts."""

from dataclasses import replace

import numpy as np
import pytest

from app.demo import demo_case
from engine.body.posture import address
from engine.documents.case import Faced, Layout, LayoutClub, Player, Shot
from engine.fitting.fitting import Fitting
from engine.fitting.sections import document
from engine.sets.plan import own_layout
from engine.units import INCH
from engine.workshop.norms import norm_bag


@pytest.fixture(scope="module")
def fitting():
    case = demo_case()
    return Fitting(replace(case, wants=replace(case.wants, layout=Fitting(case).open_choice.ahead)))


def test_the_layout_to_build_is_the_present_set_until_one_is_asked_for():
    case = demo_case()
    fitting = Fitting(replace(case, wants=replace(case.wants, layout=None)))
    assert fitting.layout.kind == "present" and fitting.planned == fitting.present
    assert document(fitting.given)["layout_to_build"] == fitting.layout.id
    changed = replace(fitting.case.layouts[0], id="other", kind="present", common_length_m=None)
    hand = replace(changed, clubs=(LayoutClub("7i", length_m=0.9),))
    assert own_layout((hand, changed), case.bag) == changed  # one changed by hand is not the bag as it is


def test_the_layout_to_build_is_the_one_asked_for(fitting):
    other = next(layout.id for layout in fitting.case.layouts if layout.id != fitting.layout.id)
    asked = Fitting(replace(fitting.given, wants=replace(fitting.given.wants, layout=other)))
    assert asked.layout.id == other
    assert document(asked.given)["layout_to_build"] == other


def test_every_club_of_a_layout_has_the_posture_that_it_asks_for(fitting):
    """Taller stands the player to a longer club of the same lie; of a player whose height nobody knows, none is told."""
    player = fitting.given.player
    assert player.height_m is not None
    for layout in document(fitting.given)["layouts"]:
        for club in layout["clubs"]:
            stand = address(
                height_m=player.height_m,
                wingspan_m=player.wingspan_m,
                wrist_to_floor_m=player.wrist_to_floor_m,
                sex=player.sex,
                length_m=club["length_m"],
                lie_deg=club["lie_deg"],
            )
            assert club["hip_hinge_deg"] == pytest.approx(float(stand.hip_hinge_deg[0]))
    unknown = replace(fitting.given, player=replace(player, height_m=None))
    told = [c["hip_hinge_deg"] for x in document(unknown)["layouts"] for c in x["clubs"]]
    assert told and set(told) == {None}


def test_the_best_bag_misses_no_more_than_the_present_one(fitting):
    found = document(fitting.given)["make_up"]
    assert found["miss_m"]["mean"] <= found["present_miss_m"]["mean"]
    assert len(found["carried"]) + found["putters"] <= found["clubs_most"]
    assert all(club["adding_m"] >= -1e-9 for club in found["left_out"])


def test_the_best_bag_buys_no_club_that_another_section_speaks_against(fitting):
    doc = document(replace(fitting.given, wants=replace(fitting.given.wants, change_worth_m=0.0)))
    bag, stop, woods = doc["make_up"], doc["irons_stop"]["longest"], doc["woods"]
    present = {c.id for c in fitting.present}
    assert all(c["in_bag"] == (c["id"] in present) for c in bag["left_out"] + bag["carried"])
    irons = [c["id"] for c in bag["carried"] if c["id"][-1] == "i"]
    assert irons[0] == stop
    carried = {c["id"] for c in bag["carried"]}
    assert {woods["longest_fairway"], woods["longest_hybrid"]} <= carried | {None}
    told = {
        c["id"]: c["why"] for c in bag["left_out"] if c["why"] and c["why"]["kind"] == "bag.too_little_loft"
    }
    assert {"3i", "4i"} <= set(told)


def test_stated_distances_decide_the_bag_and_the_comparison(fitting):
    faced = (Faced(95.0, 3.0), Faced(60.0, 1.0))
    case = replace(fitting.given, wants=replace(fitting.given.wants, demand=faced, clubs_most=3))
    doc = document(case)
    assert doc["make_up"]["demand_stated"] and doc["make_up"]["demand_m"] == [60.0, 95.0]
    assert len(doc["make_up"]["carried"]) == 2  # the driver stays, the putter is one of the three
    rows = {(r["a"], r["b"]): r for r in doc["comparison"] if r["measure"] == "expected_miss_m"}
    before = {(r.a, r.b): r for r in fitting.result.comparison if r.measure == "expected_miss_m"}
    assert any(not np.isclose(rows[k]["difference"]["mean"], before[k].difference.mean) for k in rows)


def test_the_next_ball_is_for_the_choice_the_verdict_leaves_open(fitting):
    found = document(fitting.given)["next_ball"]
    assert (found["next"]["a"], found["next"]["b"]) == (
        fitting.open_choice.behind,
        fitting.open_choice.ahead,
    )
    left = [c["variance_after"] for c in found["next"]["ranking"]]
    assert left == sorted(left) and left[0] < found["next"]["ranking"][0]["variance_before"]
    assert found["next"]["ranking"][0]["chance_right"] >= found["next"]["chance_now"] - 1e-9


def test_the_balls_hit_last_are_told_from_the_others(fitting):
    shots = (*fitting.given.shots, *(Shot("9i", 104.0 + m, grip_down_m=0.0381) for m in (-2, 0, 1, 2)))
    last = document(replace(fitting.given, shots=shots))["next_ball"]["last"]
    assert (last["club"], last["grip_down_m"], last["balls"]) == ("9i", 0.0381, 4)
    before, after = last["learned"]["variance_before"], last["learned"]["variance_after"]
    assert last["learned"]["share_cut"] == pytest.approx(1 - after / before)


def test_no_choice_and_no_balls_leave_nothing_to_settle(fitting):
    bag = tuple(c for c in fitting.case.bag if c.family not in ("iron", "wedge"))
    case = replace(fitting.given, bag=bag, layouts=fitting.case.layouts[:1], shots=())
    assert document(case)["next_ball"] == {"next": None, "last": None}


@pytest.mark.parametrize("kind", ["present", "single", "own"])
def test_a_set_laid_out_alone_is_settled_against_the_one_it_is_weighed_with(fitting, kind):
    """The pair of the verdict, one of which is not laid out: the same numbers as where it is."""
    alone = Fitting(replace(fitting.given, layouts=(Layout("mine", kind),)))
    pair = {alone.verdict.base.id, alone.verdict.other.id}
    found = alone.next_ball.next
    assert {found.a, found.b} == pair and len(pair - {"mine"}) == 1
    assert found.ranking and found.ranking[0].why.quantities is not None
    extra = next(x for x in (alone.verdict.base, alone.verdict.other) if x.id != "mine")
    both = Fitting(replace(alone.given, layouts=(Layout("mine", kind), Layout(extra.id, extra.kind))))
    told = both.next_ball.next
    assert {told.a, told.b} == pair and told.chance_now == pytest.approx(found.chance_now)
    assert [(b.club, b.grip_down_m) for b in told.ranking] == [(b.club, b.grip_down_m) for b in found.ranking]
    assert len(alone.result.layouts) == 1 and alone.comparison == ()


@pytest.mark.parametrize("kind", ["present", "own"])
@pytest.mark.parametrize(
    ("now", "wrist", "wanted"),
    [
        (37.0, 35.0, 37.0),
        (36.5, 35.0, 36.5),
        (37.5, 38.0, 37.5),
        (37.0, 30.0, 36.0),
        (35.5, 38.0, 37.0),
        (38.0, 35.0, 37.0),
    ],
)
def test_a_bag_of_one_length_is_offered_one_length(kind, now, wrist, wanted):
    """Lengths [in] of an 8-iron to a 7-iron are usual for such a set, and the body moves all of it (common practice, no
    source); a club a hair off the others is one of them, one of another length is not.
    """
    apart = {"6i": 0.1, "lw": -1.5}
    bag = tuple(
        replace(c, length_m=(now + apart.get(c.id, 0.0)) * INCH) if c.family in ("iron", "wedge") else c
        for c in norm_bag("male")
    )
    case = replace(
        demo_case(),
        player=Player(sex="male", wrist_to_floor_m=wrist * INCH),
        bag=bag,
        layouts=(Layout("x", kind),),
    )
    case = replace(case, wants=replace(case.wants, layout="x"), shots=())
    offered = {c.id: c.length_m / INCH for c in Fitting(case, 16).body.clubs}
    usual = {c.id: c.length_m / INCH for c in norm_bag("male")}
    longer = 0.25 * (max(wrist - 36, 0) + min(wrist - 34, 0))
    assert offered.pop("lw") == pytest.approx(usual["lw"] + longer)
    assert list(offered.values()) == pytest.approx([wanted] * len(offered))
