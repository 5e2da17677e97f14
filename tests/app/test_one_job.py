"""Two clubs that carry alike are told where the player looks, once on a screen and in the same words, with what to do."""

import json
import re
from dataclasses import replace

from app import edits
from app.phrases.report import report
from app.players import default_layouts
from engine.documents.case import Case, Player, Shot
from engine.fitting.fitting import Fitting
from engine.fitting.sections import document
from engine.workshop.norms import norm_bag
from tests.app.driver import Person

CARRIES = {"5i": 165.0, "7i": 145.0, "9i": 121.0, "pw": 109.0, "gw": 99.0, "sw": 87.0}
BEND = (
    "The Gap wedge and the Pitching wedge do the same job: they carry within 2.0 m of each other. "
    "Bend them apart, or leave one out."
)
AGAIN = (
    "The Gap wedge and the Pitching wedge seem to do the same job: they carry within 2.0 m of each other. "
    "Your shots cannot tell yet whether one is longer: hit both again before you change anything."
)


def player(*, balls=24, spread=0.03, without=(), **lofts):
    """A man whose clubs were hit but for those ``without`` balls; ``lofts`` that his clubs have besides the usual."""
    usual = norm_bag("male")
    bag = tuple(replace(c, loft_deg=lofts.get(c.id, c.loft_deg), head_material="forged") for c in usual)
    slope = {"gw": CARRIES["gw"] + 2.0 * (50.0 - lofts.get("gw", 50.0))}
    shots = tuple(
        Shot(i, carry_m=round(slope.get(i, carry) * (1 + by), 1))
        for i, carry in CARRIES.items()
        if i not in without
        for by in (-spread, spread) * (balls // 2)
    )
    case = Case(player=Player(sex="male", height_m=1.8), bag=bag, shots=shots)
    return replace(case, layouts=default_layouts(bag))


def twins(**how):
    """The gap wedge has nearly the loft of the pitching wedge, and was hit as far."""
    case = player(gw=46.5, **how)
    shots = tuple(replace(s, carry_m=s.carry_m + 109 - 106) if s.club == "gw" else s for s in case.shots)
    return replace(case, shots=shots)


def told(case):
    """What each screen says of clubs that do the same job."""
    said = {}
    for step, folds in (
        ("Lay out", ["Which clubs to carry", "Where the irons stop"]),
        ("Build", []),
        ("Play", []),
    ):
        person = Person(case).go(step)
        for fold in folds:
            person.open(fold)
        text = person.text().replace("\u00a0", " ")
        said[step] = re.findall(
            r"The [^.:]* do the same job: they carry within [\d.]+ m of each other\. [^.]*\.", text
        )
    return said


def test_two_wedges_alike_are_told_on_every_screen_once_and_in_the_same_words():
    case = twins()
    assert told(case) == {"Lay out": [BEND], "Build": [BEND], "Play": [BEND]}
    doc = json.loads(json.dumps(document(case, draws=64)))
    assert report(doc, "metric", {c.id: c.name for c in case.bag}).replace("\u00a0", " ").count(BEND) == 1


def test_where_the_balls_cannot_tell_both_are_hit_again_first():
    assert told(twins(balls=2, spread=0.1)) == {"Lay out": [AGAIN], "Build": [AGAIN], "Play": [AGAIN]}


def test_nothing_is_said_of_clubs_nobody_hit_or_that_are_apart():
    nothing = {"Lay out": [], "Build": [], "Play": []}
    assert told(twins(without=("gw",))) == nothing
    assert told(player()) == nothing


def test_heads_that_do_not_bend_far_enough_are_not_told_to_be_bent():
    case = twins()
    case = replace(case, bag=tuple(replace(c, bend_limit_deg=0.5) for c in case.bag))
    assert told(case)["Play"] == [
        BEND.replace("Bend them apart, or leave one out.", "Leave one of them out.")
    ]


def test_the_sheet_does_not_say_beside_it_that_nothing_needs_changing():
    text = Person(twins()).go("Build").text()
    assert "Nothing needs changing" not in text and "There is nothing to do at the bench." in text


def test_a_wood_and_a_hybrid_alike_cannot_be_bent():
    case = player(**{"4h": 18.0})
    shots = tuple(Shot(i, carry_m=190.0 * x) for i in ("5w", "4h") for x in (0.97, 1.03) * 12)
    case = replace(case, shots=(*case.shots, *shots), wants=replace(case.wants, change_worth_m=5.0))
    (found,) = {s for said in told(case).values() for s in said}
    assert found.startswith(("The 5-wood and the 4-hybrid do", "The 4-hybrid and the 5-wood do"))
    assert found.endswith("Leave one of them out.")


def test_two_clubs_that_a_build_made_alike_are_told():
    case = player(gw=49.0)
    bag = tuple(replace(c, bend_limit_deg=6.0) for c in case.bag)
    case = replace(case, bag=bag, wants=replace(case.wants, layout="stepped"))
    for club, loft in (("pw", 48.5), ("gw", 47.0)):
        case = edits.layout_club("stepped", club, "loft_deg")(case, loft)
    assert not told(replace(case, wants=replace(case.wants, layout=None)))["Play"]
    built = edits.built(case, tuple(w.target for w in Fitting(case, 64).build.clubs))
    said = told(built)
    assert said["Play"] == said["Build"] == said["Lay out"] != [] and "Gap wedge" in said["Play"][0]


def test_of_two_alike_of_which_the_plan_leaves_one_out_that_is_all():
    case = twins()
    case = replace(case, wants=replace(case.wants, clubs_most=10))
    plan = Fitting(case, 64).make_up
    left = {c.id for c in plan.left_out} & {"pw", "gw"}
    assert left and told(case) == {"Lay out": [], "Build": [], "Play": []}
