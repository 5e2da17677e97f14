"""The verdict on the screen: short, in the words of a player, the plan one tap away, and settings that order it."""

import re
from dataclasses import replace

import panel as pn
import pytest

from app import bridge
from app.demo import demo_case
from app.main import Page
from app.screens.tables import next_ball_note, range_test, verdict_card
from engine.documents.case import Case, Layout, Player
from engine.documents.reading import read_case
from engine.sets.usual import DEFAULT_LAYOUTS
from engine.solve import solve
from engine.workshop.norms import norm_bag
from tests.app.golden.cases import cases

MOST_WORDS = 60
LEARNED = (
    "posterior",
    "draws",
    "layout",
    "interval",
    "variance",
    "probab",
    "deviation",
    "expected",
    "criterion",
)


def text(markup):
    return re.sub(r"<[^>]+>", " ", str(markup).replace("</p>", "\n"))


def words(told):
    """A number and its unit, which a line never parts, are one word."""
    return re.split(r"[ \n]+", told.strip())


def one_length():
    made = {"length_m": 0.94, "head_kg": 0.268, "lie_deg": 62.25}
    bag = tuple(replace(c, **made) if c.family in ("iron", "wedge") else c for c in norm_bag("male"))
    return replace(demo_case(), bag=bag, layouts=DEFAULT_LAYOUTS)


SHOWN = {
    "demo": demo_case(),
    "no shots": Case(player=Player(sex="male"), bag=norm_bag("male"), layouts=DEFAULT_LAYOUTS),
    "one length": one_length(),
    "far shorter": replace(demo_case(), layouts=(Layout("now", "present"), Layout("one", "single", 0.86))),
    **{name: case for name, case in cases().items() if name in ("all layouts", "fast, a gap asked for")},
}


@pytest.fixture(scope="module", params=SHOWN)
def result(request):
    return solve(SHOWN[request.param], draws=64)


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_the_verdict_takes_at_most_60_words_a_player_uses(result, system):
    told = text(verdict_card(result, system))
    assert 12 <= len(words(told)) <= MOST_WORDS, told
    assert not [w for w in LEARNED if w in told.lower()]
    assert "almost sure" not in told.lower() and "None" not in told
    plan = text(range_test(result, system))
    assert not [w for w in LEARNED if w in plan.replace("is expected", "").lower()]


def test_every_measure_is_on_one_side_and_only_the_told_ones_have_a_size(result):
    told = text(verdict_card(result, "metric"))
    sides = {d.measure: d.side for d in result.verdict.differences}
    assert ("Little difference" in told) == ("same" in sides.values())
    assert ("Unclear" in told) == ("open" in sides.values())
    if sides.get("top_descent_deg") == "same":
        assert "landing angle" in told and "steeper" not in told


def lay_out(case):
    bridge.install(None)
    page = Page({})
    page.state.add_player(case)
    page.go("layout")
    return page


def shown(page):
    return " ".join(text(x.object) for x in page.here.view.select(pn.pane.HTML))


def press(page, label):
    (found,) = [b for b in page.here.view.select(pn.widgets.Button) if (b.label or b.name) == label]
    found.clicks += 1


def test_the_plan_is_one_tap_away_and_the_next_ball_stays_with_its_reason():
    case = replace(demo_case(), shots=tuple(s for s in demo_case().shots if not s.grip_down_m))
    page = lay_out(case)
    assert "four times in five" not in shown(page)
    assert "Next ball" in shown(page) and "would show" in shown(page)
    press(page, "The range test that would show it")
    told = shown(page)
    assert "gripped down" in told and "full, down, down, full" in told and "four times in five" in told
    assert next_ball_note(page.state.fitting, "metric") != ""


def test_the_next_ball_is_told_of_the_present_set_alone():
    """Though one length is not laid out: what to hit and why."""
    shots = tuple(s for s in demo_case().shots if not s.grip_down_m)
    page = lay_out(replace(demo_case(), shots=shots, layouts=(Layout("now", "present"),)))
    assert "Next ball" in shown(page) and "would show" in shown(page)


def test_what_matters_comes_first_on_the_card_and_at_most_four_are_kept():
    page = lay_out(demo_case())
    plain = text(verdict_card(page.state.result, "metric"))
    press(page, "What matters to you")
    chips = page.here.matters.chips
    chips.value = ["feel"]
    told = text(verdict_card(page.state.result, "metric"))
    assert told != plain and sorted(told.split()) == sorted(plain.split())
    assert told.splitlines()[1].strip().startswith("Breaks even")
    chips.value = ["feel", "cost", "gaps", "posture", "top_carry"]
    assert page.state.shown.wants.matters == ("feel", "cost", "gaps", "posture") == tuple(chips.value)
    assert "all 4" in shown(page)


def test_lay_out_play_and_build_follow_the_lofts_chosen():
    page = lay_out(replace(demo_case(), wants=replace(demo_case().wants, layout="single")))
    press(page, "What matters to you")
    before = {c.id: c.loft_deg for x in page.state.result.layouts if x.id == "single" for c in x.clubs}
    page.here.matters.lofts.widget.value = "even_gaps"
    after = {c.id: c.loft_deg for x in page.state.result.layouts if x.id == "single" for c in x.clubs}
    assert after != before
    assert {c.id: c.loft_deg for c in page.state.fitting.clubs} == pytest.approx(after)
    page.here.matters.lofts.widget.value = "as_they_stand"
    assert page.state.shown.wants.lofts is None
    again = {c.id: c.loft_deg for x in page.state.result.layouts if x.id == "single" for c in x.clubs}
    assert again == before


def test_settings_are_kept_in_the_document_and_wrong_ones_are_refused():
    case = replace(demo_case(), wants=replace(demo_case().wants, matters=("feel", "cost"), lofts="even_gaps"))
    assert read_case(case.to_doc()) == case
    old = demo_case().to_doc()
    del old["wants"]["matters"], old["wants"]["lofts"]
    assert read_case(old).wants.matters == () and read_case(old).wants.lofts is None
    for wrong in (
        ["feel", "feel"],
        ["looks"],
        "feel",
        ["feel", "cost", "gaps", "posture", "top_carry"],
        [["feel"]],
    ):
        doc = case.to_doc()
        doc["wants"]["matters"] = wrong
        with pytest.raises(ValueError, match=r"wants\.matters"):
            read_case(doc)
