"""One sheet for everybody: what is ordered stays what it was once it is built, in whatever units and at every door."""

import csv
import io
import json
import random
from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from engine.__main__ import main
from engine.documents.case import Layout
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.units import GRAM, INCH
from tests.app.driver import Person

KINDS = ("stepped", "single", "single_wedges", "two_lengths")


def to_build(kind, *, shafts=(None,), **wants):
    """The demo's bag of forged heads with shafts as they come, to be made into a set of this kind."""
    rng = random.Random(7)
    bag = tuple(
        replace(
            c,
            head_material="forged",
            shaft_kg=rng.choice(shafts),
            length_m=c.length_m + rng.uniform(-0.006, 0.006),
            head_kg=c.head_kg + rng.uniform(-4, 2) * GRAM,
        )
        for c in demo_case().bag
    )
    case = replace(demo_case(), bag=bag, layouts=(Layout("new", kind),))
    return replace(case, wants=replace(case.wants, layout="new", **wants))


def take_in(case):
    """The case once all of it was built as the sheet has it."""
    return edits.built(
        case, tuple(w.target if w.feasible else w.wanted for w in Fitting(case, 16).build.clubs)
    )


@pytest.mark.parametrize("shafts", [(None,), (None, 0.062, 0.095, 0.128)])
@pytest.mark.parametrize("kind", KINDS)
def test_what_was_ordered_is_what_the_next_sheet_finds(kind, shafts):
    """Swing weight, total mass and balance of a club that was cut or extended; a shaft cut twice as well."""
    case = to_build(kind, shafts=shafts)
    looked_at = 0
    for _ in range(2):
        ordered = {w.id: w for w in Fitting(case, 16).build.clubs}
        case = take_in(case)
        for found in Fitting(case, 16).build.clubs:
            order = ordered[found.id]
            if not order.feasible:
                continue
            looked_at += order.minutes > 0
            assert found.swing_weight_before == found.swing_weight_after == order.swing_weight_after
            for was in ("total_before_kg", "inertia_before_kgm2", "balance_before_m", "shaft_before_kg"):
                foretold = getattr(order, was.replace("before", "after"))
                assert getattr(found, was) == pytest.approx(foretold, abs=1e-9)
        case = replace(case, layouts=(*case.layouts[:1], Layout("next", "own", clubs=next_cut(case))))
        case = replace(case, wants=replace(case.wants, layout="next"))
    assert looked_at >= 5


def next_cut(case):
    """A second work on every iron: half an inch off where it was put on, and put on where it was cut."""
    case = replace(case, layouts=(Layout("x", "own"),))
    for club in case.carried:
        if club.family == "iron":
            longer = 0.5 * INCH if (club.butt_trim_m or 0) > 0 else -0.5 * INCH
            case = edits.layout_club("x", club.id, "length_m")(case, club.length_m + longer)
    return case.layouts[0].clubs


def test_what_was_cut_off_the_butt_is_kept_with_the_club():
    case = to_build("own")
    seven = case.club("7i")
    case = edits.layout_club("new", "7i", "length_m")(case, 35 * INCH)
    shorter = take_in(case).club("7i")
    assert shorter.butt_trim_m == pytest.approx(seven.length_m - shorter.length_m, abs=1e-6)
    assert read_case(take_in(case).to_doc()).club("7i") == shorter


# one step of work


def command_line(case, tmp_path, capsys):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(case.to_doc()), encoding="utf-8")
    assert main([str(path), "--draws", "16"]) == 0
    return json.loads(capsys.readouterr().out)["build"]["clubs"]


@pytest.mark.parametrize("step", [None, 0.003, 0.002])
def test_screens_files_and_command_line_cut_by_one_step(tmp_path, capsys, step):
    """In centimetres and in inches; the step is the case's, not that of the units shown."""
    case = to_build("single", length_step_m=step)
    told = {c["id"]: c["wanted"]["length_m"] for c in command_line(case, tmp_path, capsys)}
    of = step or 0.125 * INCH
    moved = {i: v for i, v in told.items() if v != case.club(i).length_m}
    assert len(moved) > 4
    for value in moved.values():
        assert value / of == pytest.approx(round(value / of), abs=1e-6)
    person = Person(case)
    for system, name, size in (("cm \u00b7 m", "cm", 0.01), ("in \u00b7 yd", "in", INCH)):
        person.go("Measure").choose("Units", system).go("Build")
        assert {w.id: w.wanted.length_m for w in person.page.here.to_build.sheet.clubs} == told
        person.press("Save as CSV")
        head, *rows = csv.reader(io.StringIO(person.said("download")[-1]["text"], newline=""))
        names = {c.name: c.id for c in case.bag}
        for row in rows:
            cell = float(row[head.index(f"length wanted ({name})")])
            assert cell * size == pytest.approx(
                told[names[row[0]]], abs=0.51 * 10 ** -(1 + (name == "in")) * size
            )


def test_the_step_of_length_is_set_beside_the_sheet():
    person = Person(to_build("single")).go("Build").open("Change a figure by hand")
    label = "Lengths are cut in steps of"
    assert person.chosen(label) == "3.2 mm" and person.case.wants.length_step_m is None
    person.choose(label, "3 mm")
    assert person.case.wants.length_step_m == 0.003
    assert all(
        abs(w.target.length_m / 0.003 - round(w.target.length_m / 0.003)) < 1e-6
        for w in person.state.fitting.build.clubs
        if w.minutes and w.target.length_m != person.case.club(w.id).length_m
    )
    person.choose(label, "3.2 mm")
    assert person.case.wants.length_step_m is None
    person.go("Measure").choose("Units", "in \u00b7 yd").go("Build")
    assert person.chosen(label) == "1/8 in"  # in the units of the sheet


def test_a_step_of_millimetres_is_not_shown_as_an_eighth():
    person = (
        Person(to_build("single", length_step_m=0.003))
        .go("Measure")
        .choose("Units", "in \u00b7 yd")
        .go("Build")
    )
    cell = next(r[2] for r in person.rows("Clubs to change")[1:] if r[0] == "6-iron")
    wanted = next(w.wanted for w in person.state.fitting.build.clubs if w.id == "6i").length_m / INCH
    assert f"{wanted:.2f}" in cell
