"""Measured, ordered, usual or estimated: what a figure rests on is said on screen, sheet, file and command line."""

import csv
import io
import json
import re
from dataclasses import replace

import numpy as np
import pytest

from app import edits
from app.demo import demo_case
from engine.__main__ import main
from engine.documents.case import Case, Layout, LayoutClub, Measured
from engine.documents.reading import read_case, restore
from engine.fitting.fitting import Fitting
from engine.sets.usual import estimated
from engine.units import GRAM, INCH
from engine.workshop.balance import (
    head_for_swing_weight,
    parts_of,
    swing_weight_label,
    swing_weight_of,
    usual_parts,
    weigh,
)
from engine.workshop.bench import as_built, left_to_do
from engine.workshop.known import basis, known, points_within
from engine.workshop.norms import norm_bag, norm_club, start_bag
from tests.app.driver import Person

FIGURES = ("length_m", "loft_deg", "lie_deg", "head_kg")
HEADS = ("Length", "Loft", "Lie", "Head")


def a_case(**changes):
    """The usual bag with a 6-iron of which this is known otherwise, all irons to be bent a degree weak."""
    bag = tuple(
        replace(c, head_material="forged", **changes) if c.id == "6i" else replace(c, head_material="forged")
        for c in norm_bag("male")
    )
    clubs = tuple(LayoutClub(c.id, loft_deg=c.loft_deg + 1) for c in bag if c.family in ("iron", "wedge"))
    case = Case(bag=bag, layouts=(Layout("new", "own", clubs=clubs),))
    return estimated(replace(case, wants=replace(case.wants, layout="new")))


def sheet_row(case, name="6-iron"):
    person = Person(case).go("Build")
    return person, next(r for r in person.rows("Clubs to change") if r[0].startswith(name))


def test_a_bag_that_nobody_measured_is_called_usual_and_not_measured():
    person, row = sheet_row(a_case())
    assert row[1] == "usual as measured wanted as built"
    assert " measured" not in " ".join(row).replace("as measured", "")
    assert "Usual: what such clubs usually have; nobody has measured it" in person.text()
    assert re.search(r"D\d \u00b1 \d", row[6])


@pytest.mark.parametrize("kind", ["men", "women", "stronger", "weaker"])
def test_every_bag_to_start_from_is_usual(kind):
    assert {x.basis for c in start_bag(kind) for x in known(c)} == {"usual", "estimated"}
    assert all(basis(c, name) == "usual" for c in start_bag(kind) for name in FIGURES)


def test_what_was_typed_counts_as_measured_the_usual_figure_too():
    person = Person(a_case()).go("Measure").open("The bag: 14 clubs").open("One club at a time")
    person.choose("Club to edit", "6-iron").type("Loft", "30")
    assert basis(person.case.club("6i"), "loft_deg") == "measured"
    before = person.case
    person.enter("Length", person.value("Length")).press("Undo")
    assert person.case == before
    usual = person.value("Lie")
    person.enter("Lie", usual)
    person.enter("Lie", usual)
    club = person.case.club("6i")
    assert club.lie_deg == before.club("6i").lie_deg
    assert club.measured == ("lie_deg",) and basis(club, "lie_deg") == "measured"
    assert basis(club, "length_m") == "usual"
    assert "Length and head mass of 6-iron: the usual figures, not measured." in person.text()
    person.type("Lie", "")
    assert basis(person.case.club("6i"), "lie_deg") == "estimated" and person.case.club("6i").measured == ()


def test_one_press_says_that_all_of_it_was_measured():
    person = Person(a_case()).go("Measure").open("The bag: 14 clubs").open("One club at a time")
    person.choose("Club to edit", "6-iron").press("Measured as shown")
    assert {basis(person.case.club("6i"), name) for name in FIGURES} == {"measured"}
    assert basis(person.case.club("7i"), "loft_deg") == "usual"
    person.press("All figures were measured")
    assert {basis(c, name) for c in person.case.carried for name in FIGURES} == {"measured"}
    assert not person.sees("All figures were measured") and "not measured" not in person.text()
    row = next(r for r in person.go("Build").rows("Clubs to change") if r[0].startswith("6-iron"))
    assert row[1] == "measured wanted as built"
    assert read_case(person.case.to_doc()) == person.case == restore(person.case.to_doc()).case


@pytest.mark.parametrize(
    ("changes", "label", "cell"),
    [
        ({"loft_deg": 30.25}, "now", "30.25 measured"),
        ({"measured": ("loft_deg",)}, "now", "31 measured"),
        ({"ordered": ("loft_deg",)}, "now", "31\u2020 ordered"),
        ({"loft_deg": 40.0, "estimated": (("loft_deg", 0.0),)}, "now", "31 \u00b1 1"),
        ({"measured": FIGURES}, "measured", "31"),
    ],
)
def test_each_figure_says_what_it_rests_on(changes, label, cell, tmp_path, capsys):
    """On the sheet, in its file and from the command line alike."""
    case = a_case(**changes)
    person, row = sheet_row(case)
    assert row[1].startswith(label) and row[3].startswith(cell)
    assert (row[2].split()[1] == "usual") == (label == "now")
    person.press("Save as CSV")
    head, *rows = csv.reader(io.StringIO(person.said("download")[-1]["text"], newline=""))
    cells = dict(zip(head, next(r for r in rows if r[0] == "6-iron"), strict=True))
    path = tmp_path / "case.json"
    path.write_text(json.dumps(case.to_doc()), encoding="utf-8")
    assert main([str(path), "--draws", "16"]) == 0
    build = json.loads(capsys.readouterr().out)["build"]
    now = {x["name"]: x for c in build["clubs"] if c["id"] == "6i" for x in c["now"]}
    for name, told in zip(FIGURES, HEADS, strict=True):
        said = {"ordered": "as ordered"}.get(now[name]["basis"], now[name]["basis"])
        assert cells[f"{told.lower()} now is"] == said == _said(basis(case.club("6i"), name))
    assert cells["swing weight now is"] == "estimated" == now["swing_weight_inoz"]["basis"]
    assert float(cells["swing weight now \u00b1 (points)"]) > 2
    assert main([str(path), "--draws", "16", "--words", "metric"]) == 0
    words = capsys.readouterr().out
    assert "the usual figures, not measured." in words  # of the others


def _said(basis_):
    return {"ordered": "as ordered"}.get(basis_, basis_)


def test_what_a_bench_was_asked_for_and_nobody_measured_is_said_to_be_ordered():
    case = a_case()
    person = Person(case).go("Build")
    person.choose("Club on the bench", "6-iron").type("Measured loft", "31.7")
    person.press("It is built: make this the present bag")
    six, seven = person.case.club("6i"), person.case.club("7i")
    assert (basis(six, "loft_deg"), basis(seven, "loft_deg")) == ("measured", "ordered")
    assert basis(seven, "length_m") == "usual"
    bag = Person(person.case).go("Measure").open("The bag: 14 clubs")
    assert (
        "Loft of 5-iron, 7-iron" in bag.text()
        and "as the last sheet ordered, not measured since" in bag.text()
    )


# the swing weight


def test_spread_of_a_swing_weight_worked_by_hand():
    """A 7-iron of 37 in: a head known to 5 g tells 5/2.157 points; a shaft, its middle 17.9 in down, to 15 g 3.9 in from the
    fulcrum 15 x 3.9 / 49.6; a grip to 4 g, 10 in from it; a balance of the shaft to 1 % of 35.75 in, 110 g."""
    seven = replace(norm_club("7i"), estimated=(("head_kg", 5 * GRAM),), measured=("length_m",))
    parts = [5 / 2.157, 15 * 3.875 / 49.61, 4 * 10 / 49.61, 110 * 0.3575 / 49.61]
    assert points_within(seven) == pytest.approx(1.645 * np.hypot.reduce(parts), rel=0.01)
    weighed = replace(seven, estimated=(), measured=FIGURES, shaft_kg=0.11, grip_kg=0.05)
    assert points_within(weighed) == pytest.approx(1.645 * parts[3], rel=0.01)
    assert points_within(replace(weighed, swing_weight_inoz=213.5)) is None


def test_nine_swing_weights_in_ten_lie_within_what_is_said():
    """Clubs drawn as usual clubs are said to vary; the interval is made from the usual club alone."""
    rng = np.random.default_rng(4)
    seven = norm_club("7i")
    said = points_within(seven)
    told = weigh(usual_parts(seven)).moment_inoz
    off = []
    for _ in range(4000):
        club = parts_of(
            length_m=seven.length_m + rng.normal(0, np.hypot(0.25, 0.125)) * INCH,
            head_kg=seven.head_kg + rng.normal(0, np.hypot(6, 3)) * GRAM,
            shaft_kg=rng.normal(0.110, 0.015),
            grip_kg=rng.normal(0.050, 0.004),
            shaft_balance=rng.normal(0.5, 0.01),
        )
        off.append(abs(weigh(club).moment_inoz - told) / 1.75)
    assert np.mean(np.array(off) < said) == pytest.approx(0.90, abs=0.015)


def built_with(measured, **changes):
    case = a_case(**changes)
    (work,) = [w for w in Fitting(case, 16).build.clubs if w.id == "6i"]
    return as_built(case.club("6i"), work.target, measured), work


def test_a_swing_weight_typed_alone_leaves_the_head_an_estimate():
    made, _ = built_with(Measured("6i", swing_weight_inoz=swing_weight_of("D4")))
    assert basis(made, "head_kg") == "estimated" and made.swing_weight_inoz == swing_weight_of("D4")
    assert known(made)[-1].basis == "measured" and points_within(made) is None
    assert made.head_kg == pytest.approx(
        head_for_swing_weight(usual_parts(norm_club("6i")), swing_weight_of("D4")), abs=1e-6
    )
    assert weigh(usual_parts(made)).moment_inoz == pytest.approx(swing_weight_of("D4"), abs=1e-3)
    # shaft 15 g x 4.1 in, grip 4 g x 10 in, balance 110 g x 0.36 in, usual length 0.28 in x 316 g, over 23.5 in
    sd = dict(made.estimated)["head_kg"] / GRAM
    assert sd == pytest.approx(np.hypot.reduce([15 * 4.125, 40, 110 * 0.3625]) / 23.5, rel=0.02)
    both, _ = built_with(Measured("6i", swing_weight_inoz=swing_weight_of("D4"), head_kg=0.266))
    assert basis(both, "head_kg") == "measured" and both.head_kg == 0.266
    assert both.swing_weight_inoz == swing_weight_of("D4")


def test_the_screen_the_document_and_the_next_sheet_keep_it_so():
    person = Person(a_case()).go("Build")
    person.choose("Club on the bench", "6-iron").type("Measured swing weight", "D4")
    person.press("It is built: make this the present bag")
    case = person.case
    doc = next(c for c in case.to_doc()["bag"] if c["id"] == "6i")
    assert doc["head_kg"] is None and doc["swing_weight_inoz"] == swing_weight_of("D4")
    assert estimated(read_case(case.to_doc())) == case
    (row,) = [w for w in Fitting(case, 16).build.clubs if w.id == "6i"]
    assert row.swing_weight_before == "D4.0" and row.swing_weight_within is None
    person.go("Measure").open("The bag: 14 clubs")
    cells = next(r for r in person.rows("Clubs in the bag") if r[0] == "6-iron")
    assert cells[4].startswith("about ")


@pytest.mark.parametrize("grams", [0, 5])
def test_grams_are_ordered_by_a_scale_only_where_some_were_ordered_before(grams):
    """And only beyond what the swing weight that was ordered may be off, since that is calculated."""
    six = norm_club("6i")
    order = replace(six, head_kg=six.head_kg + grams * GRAM, ordered=("head_kg",) if grams else ())
    asked, within = weigh(usual_parts(order)).moment_inoz, points_within(order)
    for share, left in ((0.9, set()), (1.1, {"head_kg"} if grams else set())):
        built = as_built(six, order, Measured("6i", swing_weight_inoz=asked + 1.75 * within * share))
        assert abs(built.head_kg - order.head_kg) > 1.5 * GRAM
        assert set(left_to_do(six, order, built)) == left


@pytest.mark.parametrize("estimated_", [(), (("head_kg", 3.0),)])
def test_a_measured_swing_weight_is_where_the_next_work_starts(estimated_):
    """D1 by the scale, and 5 g put in the head and half an inch cut off: the sheet foretells from D1, and the club built so
    is found as foretold."""
    six = replace(norm_club("6i"), swing_weight_inoz=swing_weight_of("D1"), estimated=estimated_)
    case = Case(bag=(six, norm_club("7i")))
    six = estimated(case).club("6i")
    club = LayoutClub(
        "6i",
        length_m=six.length_m - 0.5 * INCH,
        head_kg=None if estimated_ else round(six.head_kg + 5 * GRAM, 3),
    )
    case = replace(
        case, bag=(six, norm_club("7i")), layouts=(Layout("new", "own", clubs=(club, LayoutClub("7i"))),)
    )
    case = replace(case, wants=replace(case.wants, layout="new"))
    work = next(w for w in Fitting(case, 16).build.clubs if w.id == "6i")
    assert work.swing_weight_before == "D1.0" and work.minutes and work.swing_weight_within is None
    by_hand = (
        weigh(usual_parts(work.target)).moment_inoz - weigh(usual_parts(six)).moment_inoz
    ) + swing_weight_of("D1")
    assert work.swing_weight_after == swing_weight_label(by_hand) != "D1.0"
    after = edits.built(case, tuple(w.target for w in Fitting(case, 16).build.clubs))
    again = next(w for w in Fitting(after, 16).build.clubs if w.id == "6i")
    assert again.swing_weight_before == work.swing_weight_after and not again.minutes
    assert known(after.club("6i"))[-1].basis == "ordered"
    assert basis(after.club("6i"), "head_kg") == ("estimated" if estimated_ else "ordered")
    # from a swing weight the head is told by the shaft, of which nobody knows that it was cut: its length was not measured
    assert after.club("6i").head_kg == pytest.approx(work.target.head_kg, abs=5e-4 if estimated_ else 2e-6)


def test_a_swing_weight_typed_in_the_bag_says_more_than_a_usual_head():
    person = Person(demo_case()).go("Measure").open("The bag: 14 clubs").open("One club at a time")
    person.choose("Club to edit", "6-iron").type("Measured swing weight", "D3")
    club = person.case.club("6i")
    assert club.swing_weight_inoz == swing_weight_of("D3") and basis(club, "head_kg") == "estimated"
    person.type("Head mass", "262")
    assert person.case.club("6i").swing_weight_inoz == swing_weight_of("D3")
    assert basis(person.case.club("6i"), "head_kg") == "measured"
    person.type("Measured swing weight", "")
    assert person.case.club("6i").swing_weight_inoz is None


def test_a_head_that_is_weighed_for_the_order_makes_the_swing_weight_surer():
    """What is left then is shaft, grip and the shaft's balance."""
    case = a_case()
    case = replace(
        case, layouts=(Layout("new", "own", clubs=(LayoutClub("6i", head_kg=0.268), LayoutClub("7i"))),)
    )
    six, seven = (w for w in Fitting(case, 16).build.clubs if w.id in ("6i", "7i"))
    assert six.swing_weight_wanted_within < 0.7 * six.swing_weight_within
    assert seven.swing_weight_wanted_within == seven.swing_weight_within
    built = edits.built(case, (six.target, seven.target))
    assert points_within(built.club("6i")) == pytest.approx(six.swing_weight_wanted_within)


def test_a_head_that_nobody_weighed_is_weighed_before_anything_is_ordered_of_it():
    """No weight, no other head and no limit against an estimate, and no hundredths of what may be off by a degree."""
    case = a_case(head_kg=0.3, loft_deg=40.0, estimated=(("head_kg", 0.0), ("loft_deg", 0.0)))
    heavier = tuple(
        replace(c, head_kg=0.268, loft_deg=40.0) if c.id == "6i" else c for c in case.layouts[0].clubs
    )
    case = replace(case, layouts=(replace(case.layouts[0], clubs=heavier),))
    person, row = sheet_row(case)
    work = row[-1]
    assert "weigh the head first: 268 g is wanted" in work
    assert "measure the loft first: 40\u00b0 is wanted" in work
    assert not re.search(r"bend|add|grind|look for|make the", work)
    assert not re.search(r"\d\.\d\d \u00b1", person.text())
    person.press("It is built: make this the present bag")
    assert {name for name, _ in person.case.club("6i").estimated} == {"head_kg", "loft_deg"}
    person.choose("Set to build", "Left to do")
    again = next(r for r in person.rows("Clubs to change") if r[0].startswith("6-iron"))
    assert "weigh the head first: 268 g is wanted" in again[-1]
    person.state.change(lambda case: edits.club("6i", "head_kg")(case, 0.264), "weighed")
    again = next(r for r in person.rows("Clubs to change") if r[0].startswith("6-iron"))
    assert "add 4 g to the head, to 268 g" in again[-1]


def test_a_mark_stands_beside_every_figure_that_nobody_measured():
    """Of clubs with work and without, on screen and paper alike: a bare figure is read as a measured one."""
    person, row = sheet_row(a_case(measured=("loft_deg",), ordered=("lie_deg",)))
    assert [cell.split()[0] for cell in row[2:6]] == ["95.2*", "31", "61.5\u2020", "261*"]
    stay = next(r for r in person.rows("Leave these as they are") if r[0] == "Driver")
    assert all(cell.endswith("*") for cell in stay[2:6]) and "*" not in stay[6]
    on_paper = next(x for x in re.findall(r"<p class=\"paper\">(.*?)</p>", person.markup()) if "bold" in x)
    assert on_paper.endswith(" * usual, not measured. \u2020 as ordered, not measured.")
    assert "* Usual: what such" in person.text() and "\u2020 As ordered: what the" in person.text()
    known, row = sheet_row(a_case(measured=FIGURES))
    assert not any("*" in cell for cell in row) and "*" in known.text()


@pytest.mark.parametrize(
    ("case", "club", "said"),
    [
        (a_case(), "6-iron", {"Length": "", "Loft": "ordered"}),
        (edits.wants("layout")(demo_case(), "single"), "6-iron", {"Length": "no firm order", "Loft": ""}),
        (edits.wants("layout")(demo_case(), "single"), "5-iron", {"Length": "no firm order", "Loft": ""}),
    ],
)
def test_the_file_says_beside_each_figure_wanted_whether_it_is_ordered(case, club, said):
    """The 5-iron takes another head, which is no order; numbers stay numbers, without a mark."""
    person = Person(case).go("Build").press("Save as CSV")
    head, *rows = csv.reader(io.StringIO(person.said("download")[-1]["text"], newline=""))
    row = next(r for r in rows if r[0] == club)
    for name, words in said.items():
        at = next(n for n, cell in enumerate(head) if cell.startswith(f"{name.lower()} wanted ("))
        assert head[at + 1] == f"{name.lower()} wanted is" and row[at + 1] == words
        float(row[at]), float(row[at - 2])
