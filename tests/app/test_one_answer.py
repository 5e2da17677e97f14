"""One question has one answer: the bar names the verdict's pair, a club has one carry, a file means one thing everywhere."""

import json
from dataclasses import replace

import panel as pn
import pytest

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.phrases import phrase, phrases
from app.players import entries_of, new_case
from app.screens.methods import methods_page
from engine.documents.case import Layout, LayoutClub
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.fitting.sections import document
from engine.sets.compare import CRITERIA, DECIDES
from engine.sets.usual import complete
from engine.solve import solve
from tests.app.driver import Person


def verdict_of(result):
    """The advice that is the verdict between the layouts."""
    (said,) = (advice for advice in result.advice if advice.topic == "verdict")
    return said


def sparse():
    """Two sets of a few irons each beside a whole one: every chance saturates, so that several pairs have the same."""
    few = (("now", ("5i", "sw")), ("later", ("5i", "8i", "pw", "sw")))
    layouts = tuple(Layout(i, "present", clubs=tuple(LayoutClub(c) for c in clubs)) for i, clubs in few)
    return replace(demo_case(), layouts=(*layouts, *demo_case().layouts[:1]))


@pytest.mark.parametrize("case", [demo_case(), sparse()], ids=["demo", "sparse"])
@pytest.mark.parametrize("turned", [False, True])
def test_the_verdict_the_advice_and_the_next_ball_are_of_one_pair(case, turned):
    case = replace(case, layouts=case.layouts[::-1] if turned else case.layouts)
    fitting = Fitting(case)
    result = fitting.result
    said, verdict = verdict_of(result), result.verdict
    pair = [verdict.other.id, verdict.base.id]
    assert list(said.layouts) == pair == [x.id for x in verdict.lines[0].layouts]
    lead = phrase(verdict.lines[0], "metric").lower()
    kinds = {x.id: x.kind.replace("present", "your present set") for x in result.layouts}
    assert lead.index(kinds[pair[0]]) < lead.rindex(kinds[pair[1]])
    found = fitting.open_choice
    assert {found.ahead, found.behind} == set(pair)
    (row,) = [r for r in result.comparison if r.measure == DECIDES and {r.a, r.b} == set(pair)]
    assert found.chance == (row.chance_b_better if row.b == found.ahead else 1 - row.chance_b_better)


def test_two_layouts_of_one_kind_are_told_apart_in_the_verdict():
    case = replace(demo_case(), layouts=(Layout("a", "single", 0.95), Layout("b", "single", 0.90)))
    told = phrase(verdict_of(solve(case)).statement, "metric")
    assert "95\u00a0cm" in told and "90\u00a0cm" in told
    case = replace(demo_case(), layouts=(Layout("a", "own"), Layout("b", "own"), Layout("c", "own")))
    case = edits.layout_club("c", "7i", "length_m")(case, 0.95)  # those that are the same set do not meet
    told = phrase(verdict_of(solve(case)).statement, "metric")
    assert "(2)" in told or "(3)" in told


@pytest.mark.parametrize("club", ["5w", "dr", "4h"])
@pytest.mark.parametrize("left_out", [False, True])
def test_a_wood_changed_by_hand_has_one_carry_everywhere(club, left_out):
    case = replace(demo_case(), wants=replace(demo_case().wants, layout="single"))
    if left_out:  # the layout names the other woods and hybrids, and the bag's own is longer than usual
        case = edits.club(club, "length_m")(case, case.club(club).length_m + 0.05)
        named = edits.layout_club("single", "3w" if club != "4h" else "4h", "loft_deg")(case, None)
        case = edits.layout("single", clubs=tuple(c for c in named.layouts[1].clubs if c.id != club))(case)
    else:
        case = edits.layout_club("single", club, "loft_deg")(case, case.club(club).loft_deg + 6)
    fitting = Fitting(case)
    carries = {c.id: c.carry_m.mean for x in fitting.result.layouts if x.id == "single" for c in x.clubs}
    told = [carries[club]] if club in carries else []
    told += [w.carry_m.mean for w in fitting.woods.woods if w.club.id == club]
    top = fitting.irons_stop
    told += [c.carry_m.mean for c in top.candidates if c.club.id == club]
    told += [top.driver_m.mean] if club == "dr" else []
    bag = fitting.make_up
    told += [c.carry_m.mean for c in bag.carried if c.id == club]
    assert len(told) >= 2 and max(told) - min(told) < 0.2


@pytest.mark.parametrize("drop", ["layouts", "bag", "both"])
def test_page_and_command_line_fill_in_the_same(drop):
    doc = demo_case().to_doc()
    for name in ("layouts", "bag") if drop == "both" else (drop,):
        doc[name] = []
    if drop != "layouts":
        doc["shots"] = []
    told = document(read_case(doc))
    (entry,) = entries_of({"players": [{"id": "p1", "case": doc}]}, [])
    assert entry.case == complete(read_case(doc))
    bridge.install(None)
    page = Page({})
    page.state.add_player(read_case(doc))
    shown = page.state.result
    assert json.dumps(shown.to_doc()["layouts"], sort_keys=True) == json.dumps(
        told["layouts"], sort_keys=True
    )
    if drop != "bag":
        assert [x["id"] for x in told["layouts"]] == ["now", "stepped", "single"]


def test_a_new_player_s_file_means_the_same_on_the_command_line():
    case = new_case()
    assert complete(case) == case == complete(read_case(case.to_doc()))


def test_a_longest_iron_asked_for_holds_through_edits_by_hand_and_can_be_overruled():
    case = replace(demo_case(), wants=replace(demo_case().wants, longest_iron="6i"))
    edited = edits.layout_club("single", "7i", "loft_deg")(case, 33.0)
    named = {c.id for x in edited.layouts if x.id == "single" for c in x.clubs}
    assert "6i" in named and "5i" not in named
    person = Person(case).go("Lay out").open("Also adjust: lofts, longest iron, gap")
    assert person.chosen("Longest iron") == "6-iron"
    person.choose("Longest iron", "5-iron").press("Keep it")
    ids = [c.id for x in person.state.result.layouts if x.id == "single" for c in x.clubs]
    assert "5i" in ids and person.chosen("Longest iron") == "5-iron"


def test_a_measure_has_one_title_and_it_is_of_what_is_measured():
    """A standard deviation of the gaps is how uneven they are: less of it speaks for a layout."""
    case = edits.layout_club("single", "8i", "loft_deg")(demo_case(), demo_case().club("8i").loft_deg - 4)
    result = solve(case)
    (row,) = [r for r in result.comparison if r.measure == "gap_spread_m"]
    assert row.b == "single" and row.difference.mean > 1  # the one with a club bent out of its line
    (said,) = (d for d in result.differences if d.kind == "difference.gap_spread_m")
    assert [x.id for x in said.layouts] == [row.a, row.b]
    assert said.quantities["difference"].value == pytest.approx(row.difference.mean)
    assert "the gaps are more even, varying by" in phrase(said, "metric")
    assert phrase(said, "metric") in phrases(result.differences, "metric")
    assert [m.better for m in CRITERIA if m.name == "gap_spread_m"] == ["less"]


def test_the_screens_say_what_is_done_with_the_air():
    """The fit flies each ball in its own air (`engine.swing.calibration`); no carry is converted beforehand."""
    page = Page({})
    page.state.add_player(demo_case())
    page.go("hit")
    page.here.day.fold.toggle()
    text = " ".join(str(x.object) for x in page.here.view.select(pn.pane.HTML)) + str(methods_page())
    assert text.count("modelled in the air it was hit in") == 1  # on the page of methods
    assert "The card says which weather its carries are for." in text
    assert "brought to one" not in text
