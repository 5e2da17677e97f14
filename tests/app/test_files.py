"""Files: CSV as RFC 4180 asks, and cells that a spreadsheet would run are defused (OWASP, CSV injection)."""

import csv
import io

import pytest

from app.demo import demo_case
from app.edits import built, wants
from app.files import file_name
from app.screens.sheet import LayoutToBuild, sheet_rows
from engine.documents.csv_text import csv_cell, csv_text
from engine.fitting.fitting import Fitting
from engine.solve import solve


@pytest.mark.parametrize("bad", ["=1+1", "+SUM(A1)", "-cmd|x", "@x", "\tx", "=HYPERLINK(1)"])
def test_formulas_are_defused(bad):
    assert next(csv.reader(io.StringIO(csv_cell(bad))))[0] == "'" + bad


@pytest.mark.parametrize("number", ["-3.5", "+2", "12", "\u22124.0"])
def test_numbers_stay_numbers(number):
    assert float(csv_cell(number)) == float(number.replace("\u2212", "-"))


def test_a_reader_gets_back_what_was_written():
    rows = [["a,b", 'say "x"', "two\nlines"], ["", None, "7"]]
    read = list(csv.reader(io.StringIO(csv_text(["h1", "h2", "h3"], rows))))
    assert read == [["h1", "h2", "h3"], ["a,b", 'say "x"', "two\nlines"], ["", "", "7"]]


def test_file_names_are_plain():
    assert file_name("../../Zo\u00eb <x>", "csv") == "fettle-zo-x.csv"
    assert file_name("", "json") == "fettle-player.json"


def test_the_sheet_holds_the_wanted_figures():
    case = demo_case()
    layout = next(x for x in solve(case).layouts if x.kind == "single")
    chosen = wants("layout")(case, layout.id)
    head, rows = sheet_rows(LayoutToBuild(Fitting(chosen)), "metric")
    wanted = head.index("length wanted (cm)")
    assert [float(r[wanted]) for r in rows] == pytest.approx(
        [100 * c.length_m for c in layout.clubs], abs=0.06
    )


def test_after_building_old_balls_stay_with_old_clubs():
    case = demo_case()
    layout = next(x for x in solve(case).layouts if x.kind == "single")
    after = built(case, Fitting(wants("layout")(case, layout.id)).clubs)
    lengths = {c.id: c.length_m for c in after.bag}
    hit = {s.club for s in after.shots}
    assert len(after.shots) == len(case.shots)
    assert {lengths[c.id] for c in after.bag if c.family in ("iron", "wedge") and "old" not in c.id} == {
        layout.clubs[-1].length_m
    }
    assert "5i-old" in hit and "5i" not in hit
    before = {c.id: c.length_m for c in case.bag}
    assert lengths["5i-old"] == before["5i"]
    ids = [c.id for c in solve(after).layouts[0].clubs]
    assert not any("old" in i for i in ids)
