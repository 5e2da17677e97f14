"""Words, tables and plots say what the result says; user text never becomes markup."""

import re
from dataclasses import replace

import panel as pn
import pytest

from app import bridge, edits
from app.demo import demo_case
from app.html import esc, p, table
from app.main import Page
from app.paste import understand
from app.phrases import percent
from app.phrases.layouts import titles
from app.phrases.marks import Marks
from app.players import new_case
from app.plots.carries import CarriesPlot, carries_data, measured_data
from app.screens.pasting import preview_words
from app.screens.tables import carries_table, gaps_table
from app.units import unit
from engine.documents.case import Shot
from engine.fitting.fitting import Fitting
from engine.solve import solve
from tests.app.driver import Person


@pytest.fixture(autouse=True)
def clean_bridge():
    bridge.install(None)
    bridge.outbox.clear()
    return


@pytest.fixture(scope="module")
def result():
    return solve(demo_case())


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_the_plot_holds_the_result(result, system):
    size = unit("carry", system).size
    for layout, columns in zip(result.layouts, carries_data(result, system), strict=True):
        told = [c for c in layout.clubs if not c.hit_first]
        assert columns["club"] == [c.id for c in told] and len(told) < len(layout.clubs)
        for key, name in (("mean", "mean"), ("lo", "lo90"), ("hi", "hi90")):
            assert columns[key] == pytest.approx([getattr(c.carry_m, name) / size for c in told])
    measured = measured_data(result, {c.id: c.name for c in demo_case().bag}, system)
    wanted = [g.carry_m.mean / size for g in result.shots if g.grip_down_m == 0]
    assert measured["mean"] == pytest.approx(wanted)


def test_the_plot_is_patched_not_rebuilt(result):
    plot = CarriesPlot()
    plot.update(result, "metric")
    fig, sources, before = plot.fig, list(plot.sources), dict(plot.sources[1].data)
    other = solve(edits.layout("single", common_length_m=0.96)(demo_case()))
    plot.update(other, "metric")
    assert plot.fig is fig and all(a is b for a, b in zip(plot.sources, sources, strict=True))
    assert list(plot.sources[1].data["mean"]) != list(before["mean"])
    assert list(plot.sources[0].data["mean"]) == pytest.approx(carries_data(result, "metric")[0]["mean"])


def test_tables_show_every_club_and_gap(result):
    names = titles(result.layouts, "metric")
    marks = Marks(Fitting(demo_case()))
    text = carries_table(result, names, "metric", marks)
    for layout in result.layouts:
        for club in layout.clubs:
            if club.hit_first:
                assert re.search(
                    rf"{club.name}\W+not known yet\W+not known yet", re.sub(r"<[^>]+>", " ", text)
                )
            else:
                assert re.search(rf"<b>{club.carry_m.mean:.0f}\*?</b>", text)
    gaps = gaps_table(result, names, "metric", marks)
    ids = {c.id for c in result.layouts[0].clubs if c.family in ("iron", "wedge")}
    for gap in result.layouts[0].gaps:
        if gap.longer in ids and gap.shorter in ids:
            assert f"<b>{gap.gap_m.mean:.1f}</b>".replace("-", "\u2212") in gaps


def test_words_do_not_claim_certainty():
    assert percent(1.0) == "over 99\u00a0%"
    assert percent(0.0) == "under 1\u00a0%"
    assert percent(0.724) == "72\u00a0%"


def test_differences_are_probable_and_large_enough_to_notice(result):
    """Against the limits written out again; a notice of the verdict's own measure would say it twice."""
    least = {"overlaps": 0.3, "reach_m": 2.0, "gap_spread_m": 0.5, "buildable": 0.5, "top_descent_deg": 2.0}
    assert result.differences
    for said in result.differences:
        measure = said.kind.partition(".")[2]
        assert said.chance >= 0.8 and measure != "expected_miss_m"
        assert abs(said.quantities["difference"].value) >= least.get(measure, 1.0)
        pair = {x.id for x in said.layouts}
        (row,) = (r for r in result.comparison if {r.a, r.b} == pair and r.measure == measure)
        winner = row.b if row.chance_b_better >= 0.5 else row.a
        assert said.layouts[0].id == winner


def test_user_text_is_escaped():
    nasty = "<img src=x onerror=alert(1)>\"'&"
    assert "<img" not in p(nasty) and "<img" not in table([nasty], [[nasty]], caption=nasty)
    assert esc(nasty).count("<") == 0
    case = edits.player("label")(demo_case(), nasty)
    bag = (replace(case.bag[0], name=nasty), *case.bag[1:])
    page = Page({"saved": None, "hash": ""})
    page.state.add_player(replace(case, bag=bag))
    for step in [s.id for s in page.screens]:
        page.go(step)
    for pane in page.view.select(lambda x: type(x).__name__ == "HTML"):
        assert "<img" not in pane.object


def test_all_screens_open_for_a_blank_case_one_club_and_the_demo():
    blank = new_case()
    for case in (blank, replace(blank, bag=blank.bag[:1], layouts=blank.layouts), demo_case()):
        page = Page({})
        page.state.add_player(case)
        for screen in page.screens:
            page.go(screen.id)
        assert page.state.problem == ""


def test_lines_are_read_and_what_is_not_understood_is_told():
    case = new_case()
    seen = understand("7i 139 141,5 138\n\nfoo 12\n9 iron: 118\n121\n7-iron;140\n7i abc", case, "metric")
    assert [(b.club, b.carry_m) for b in seen.balls] == [
        ("7i", 139.0),
        ("7i", 141.5),
        ("7i", 138.0),
        ("9i", 118.0),
        ("9i", 121.0),
        ("7i", 140.0),
    ]
    assert len(seen.problems) == 2 and "Line 3" in seen.problems[0] and "Line 7" in seen.problems[1]
    wedges = understand("52 deg 98 99\n48\u00b0 105", case, "metric")
    assert [(b.club, b.carry_m) for b in wedges.balls] == [("gw", 98.0), ("gw", 99.0), ("pw", 105.0)]
    assert "52\u00b0 was read as the Gap wedge." in wedges.notes
    assert "54\u00b0 wedge is not in the bag" in understand("54 deg 92", case, "metric").problems[0]
    yards = understand("7i 152", case, "imperial")
    assert yards.balls[0].carry_m == pytest.approx(138.99, abs=0.01)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("139 141", "no club is named"),
        ("1w 200", "not in the bag"),
        ("foo", "there is no carry in it"),
        ("7i 139 1385", "differ too much"),
        ("Club,Carry\nfoo,131", "which club is"),
    ],
)
def test_what_cannot_be_taken_in_says_why(text, told):
    case = replace(new_case(), bag=tuple(c for c in new_case().bag if c.id != "dr"))
    seen = understand(text, case, "metric")
    assert not seen.balls and any(told in line for line in (*seen.problems, *seen.notes, *seen.asked))


def test_a_table_with_headings_brings_all_that_was_measured():
    text = "Club,Carry (m),Ball speed (m/s),Spin\n7i,131,44,6500\n"
    assert understand(text, new_case(), "imperial").balls == (Shot("7i", 131.0, 0.0, 44.0, spin_rpm=6500.0),)


def test_the_qr_code_of_a_shortened_link_says_so():
    page = Page({})
    many = tuple(Shot("7i", 100.0 + i / 7, spin_rpm=5000 + i**2 / 3) for i in range(400))
    page.state.add_player(replace(demo_case(), shots=many))
    page.go("players")
    page.here.qr.toggle()
    assert "The link holds" in page.here.qr_pane.object and "400" in page.here.qr_pane.object


def test_every_button_of_every_screen_can_be_pressed():
    """Each button and fold of each screen is pressed once where it can be; what it does is tested where it belongs."""
    leaves = ("Remove", "Undo", "Menu")  # these are tested by what they do
    for step in (
        "Measure",
        "Hit",
        "Lay out",
        "Build",
        "Play",
        "Players, share, files",
        "Methods and settings",
    ):
        person = Person(demo_case()).go(step)
        pressed = set(person.page.buttons)
        while waiting := [
            b
            for b in person.seen(pn.widgets.Button)
            if b not in pressed
            and not b.disabled
            and b.label.partition("\n")[0] not in leaves
            and not b.label.startswith("Next")
        ]:
            pressed.add(waiting[0])
            waiting[0].clicks += 1
            assert person.page.here.title in ("Players" if step.startswith("Players") else step)
            assert person.state.problem == "" and not person.said("refusal"), waiting[0].label
        assert len(pressed) > len(person.page.buttons)


def test_numbers_on_screen_are_those_of_the_command_line(tmp_path, capsys):
    import json

    from engine.__main__ import main

    page = Page({})
    page.state.add_player(demo_case())
    file = tmp_path / "case.json"
    file.write_text(json.dumps(page.state.case.to_doc()), encoding="utf-8")
    assert main([str(file)]) == 0
    scripted = json.loads(capsys.readouterr().out)
    for a, b in zip(scripted["layouts"], page.state.result.layouts, strict=True):
        assert [c["carry_m"] for c in a["clubs"]] == [pytest.approx(c.carry_m.to_doc()) for c in b.clubs]


def test_clubs_of_one_name_do_not_share_a_row_of_the_gaps():
    from dataclasses import replace

    from app.demo import demo_case
    from app.plots.gaps import gaps_data
    from engine.solve import solve

    case = demo_case()
    case = replace(case, bag=tuple(replace(c, name="Same") for c in case.bag))
    for columns in gaps_data(solve(case), "metric"):
        assert len(columns["y"]) > 2 and len(set(columns["y"])) == len(columns["y"])


def test_what_was_assumed_is_shown_before_the_columns():
    """A device writes more columns than the preview shows; a unit that was assumed is not among those left out."""
    heads = ["Club", "Carry", *(f"Column {n}" for n in range(30)), "Carry SD"]
    cells = ["7i", "131", *("0" for _ in range(30)), "6"]
    seen = understand(",".join(heads) + "\n" + ",".join(cells) + "\n", new_case(), "metric")
    assert [b.carry_m for b in seen.balls] == [131.0]
    side = understand(
        "Club,Carry (m),Side," + "x," * 30 + "\n7i,131,4," + "0," * 30 + "\n", new_case(), "metric"
    )
    shown = str(preview_words(side, Page({}).state))
    assert "Side: positive numbers were read as right of the target" in shown


def test_two_people_in_a_table_are_asked_about_in_words():
    seen = understand("Player,Club,Carry (m)\nAnna,7i,120\nBert,7i,160\n", new_case(), "metric")
    assert not seen.balls and "several players" in seen.asked[0]
    assert seen.questions[0].options == ("Anna", "Bert")
