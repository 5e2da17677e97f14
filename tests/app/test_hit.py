"""Hit tells at once; what is not a carry counts; balls go to the right club; undo says what it undid, where it was done."""

import re
from dataclasses import replace

import panel as pn
import pytest
from pressing import chips, choose, fill, press, tap, widget, words

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.phrases.tally import tally
from app.players import new_case
from app.units import amount
from engine.documents.case import Case, Conditions, Shot
from engine.swing.launch_data import launch_means


@pytest.fixture
def page():
    bridge.install(None)
    bridge.forget()
    bridge.outbox.clear()
    page = Page({})
    page.go("hit")
    return page


def type_in(page, *texts):
    bridge.receive("entered", {"numbers": [{"text": t, "mends": False} for t in texts]})


def hit(*carries, **conditions) -> Case:
    shots = tuple(Shot("7i", c) for c in carries)
    return replace(new_case(), shots=shots, conditions=Conditions(**conditions))


def club(page, name):
    group = next(
        w
        for w in page.here.view.select(pn.widgets.RadioButtonGroup)
        if any(o.startswith(name) for o in w.options)
    )
    group.value = next(v for o, v in group.options.items() if o.startswith(name))


def test_the_tally_stands_beside_the_field_before_any_sum_is_done(page, monkeypatch):
    seen = []
    monkeypatch.setattr(
        type(page.state), "result", property(lambda self: seen.append(page.here.tally.object))
    )
    monkeypatch.setattr(type(page.here), "_stats", lambda self: self.state.result or "")
    type_in(page, "140", "142", "139")
    assert "3 balls, last 139\u00a0m, mean 140\u00a0m" in seen[0]


@pytest.mark.parametrize(
    ("case", "told"),
    [
        (hit(), "No balls yet"),
        (hit(140.0), "1 ball, last 140 m, mean 140 m"),
        (hit(140.0, 142.0, 138.0), "3 balls, last 138 m, mean 140 m"),
        (
            hit(140.0, 142.0, 138.0, range_ball=True),
            "3 balls, last 138 m, mean 140 m, about 151 m with a good ball",
        ),
        (hit(140.0, 142.0, 138.0, range_ball=True, indoors=True), "3 balls, last 138 m, mean 140 m"),
        (
            hit(129, 133, 126.5, 131, 96, 134.5, 128, 130),
            "8 balls, last 130 m, mean 130 m (all balls average 126.0 m; 1 mishit left out)",
        ),
        (
            replace(hit(140.0, 142.0, 120.0), shots=(*hit(140.0, 142.0).shots, Shot("7i", 120.0, use=False))),
            "3 balls, last 120 m, mean 141 m (all balls average 134.0 m; 1 excluded)",
        ),
        (replace(hit(), shots=(Shot("7i", 140.0, balls=10.0),)), "10 balls, last 140 m, mean 140 m"),
        (replace(hit(), shots=(Shot("7i", ball_speed_mps=50.0),)), "1 ball, last without a carry"),
    ],
)
def test_the_tally_and_why_a_mean_is_not_the_average(case, told):
    assert tally(case, "7i", 0.0, "metric").replace("\u00a0", " ") == told


def test_a_robust_mean_that_differs_from_the_average_says_why():
    """Huber's mean weighs far balls down: five balls of 100 and three short ones that are no mishits."""
    case = hit(101, 100, 99, 100, 102, 93, 101, 93)
    said = tally(case, "7i", 0.0, "metric")
    mean = re.search(r"mean (\d+)", said)[1]
    plain = sum(s.carry_m for s in case.shots) / 8
    assert mean != f"{plain:.0f}" and f"all balls average {plain:.1f}" in said.replace("\u00a0", " ")
    assert "far from the rest count less" in said


def test_one_number_for_one_thing(page):
    """The mean beside the field, in the figures below it and in the result document; another on the card is explained."""
    page.state.add_player(demo_case())
    page.go("hit")
    club(page, "7i")
    group = next(g for g in page.state.result.shots if g.club == "7i" and g.grip_down_m == 0)
    mean = amount(group.carry_m.mean, "carry", "metric")
    assert f"mean {mean}" in page.here.tally.object and mean in page.here.stats.object
    page.go("play")
    row = re.search(r"7-iron</th><td[^>]*><b>(\d+)</b>", page.here.card.object)
    if f"{row[1]}\u00a0m" != mean:
        page.go("hit")
        assert f"On the card: {row[1]}\u00a0m" in page.here.stats.object


def test_range_balls_are_asked_beside_the_club(page):
    type_in(page, "140", "142")
    tap(page, "Range balls")
    assert page.state.case.conditions.range_ball and "with a good ball" in page.here.tally.object
    tap(page, "Range balls")
    assert not page.state.case.conditions.range_ball and "good ball" not in page.here.tally.object


def test_launch_data_is_typed_beside_a_carry_or_without_one_and_counts(page):
    club(page, "Driver")
    press(page, "Ball speed, launch")
    fill(page, "Ball speed", "230")
    fill(page, "Launch", "12.5")
    fill(page, "Spin", "2700")
    type_in(page, "")
    fill(page, "Ball speed", "226")
    fill(page, "Side", "-8")
    type_in(page, "205", "207")
    first, second, third = page.state.case.shots
    assert first == Shot(
        "dr", ball_speed_mps=pytest.approx(230 / 3.6, abs=1e-3), launch_deg=12.5, spin_rpm=2700.0
    )
    assert (second.carry_m, second.side_m, second.launch_deg) == (205.0, -8.0, None)
    assert third == Shot("dr", 207.0)  # what was measured is of one ball
    assert widget(page, pn.widgets.TextInput, "Ball speed").value == ""
    said = page.here.stats.object.replace("\u00a0", " ")
    assert (
        "ball speed 228 km/h (2 balls)" in said
        and "spin 2700 rpm (1 ball)" in said
        and "side 8 m left" in said
    )
    means = {m.quantity: m.mean for m in launch_means(page.state.case)}
    assert means["ball_speed"] == pytest.approx(228 / 3.6, rel=1e-3) and means["launch"] == 12.5
    page.go("layout")
    press(page, "Driver")
    assert "ball speed 228 km/h" in page.here.rest.panes["driver"].object.replace("\u00a0", " ")


def test_a_wrong_launch_is_told_and_no_ball_is_added_until_it_is_mended(page):
    press(page, "Ball speed, launch")
    fill(page, "Launch", "120")
    type_in(page, "150")
    assert page.state.case.shots == () and "Launch is not right yet" in page.here.entry.label
    fill(page, "Launch", "20")
    type_in(page, "150")
    assert [(s.carry_m, s.launch_deg) for s in page.state.case.shots] == [(150.0, 20.0)]


def test_balls_noted_under_the_wrong_club_are_moved_and_undo_names_it_where_it_was_done(page):
    type_in(page, "140", "118", "117", "141")
    press(page, "Balls of the 7-iron")
    for ball in ("2: 118", "3: 117"):
        tap(page, ball)
    choose(page, "Move to", "9-iron")
    press(page, "Move")
    assert [s.club for s in page.state.case.shots] == ["7i", "9i", "9i", "7i"]
    assert "9-iron" in page.here.entry.label  # the club they went to is the one in view
    assert page.state.undo_what == "2 balls of the 7i moved to the 9-iron"
    page.go("play")
    press(page, "Undo")
    assert page.here.id == "hit" and {s.club for s in page.state.case.shots} == {"7i"}
    assert "Undone: 2 balls of the 7i moved to the 9-iron" in words(page)


def test_undo_of_another_clubs_ball_shows_that_club(page):
    type_in(page, "140")
    club(page, "9i")
    press(page, "Undo")
    assert "7-iron" in page.here.entry.label and "Undone: 7i 140" in words(page)
    type_in(page, "141")
    assert "Undone" not in words(page)


def test_several_balls_are_excluded_and_deleted_at_once(page):
    type_in(page, "140", "118", "117", "141")
    press(page, "Balls of the 7-iron")
    tap(page, "2: 118")
    tap(page, "3: 117")
    press(page, "Exclude these 2 shots")
    assert [s.use for s in page.state.case.shots] == [True, False, False, True]
    press(page, "Include these 2 shots")
    assert all(s.use and s.keep == (n in (1, 2)) for n, s in enumerate(page.state.case.shots))
    press(page, "Delete these 2 balls")
    assert [s.carry_m for s in page.state.case.shots] == [140.0, 141.0]
    assert list(chips(page, "1: 140").value) == []


def test_balls_gripped_down_do_not_go_to_the_putter(page):
    page.state.change(lambda c: edits.add_balls(c, (Shot("7i", 130.0, grip_down_m=0.0254),)), "ball")
    press(page, "Balls of the 7-iron")
    tap(page, "1: 130")
    choose(page, "Move to", "Putter")
    press(page, "Move")
    assert page.state.case.shots[0].club == "7i"
    assert any("cannot go to a putter" in x["text"] for kind, x in bridge.outbox if kind == "refusal")


FOREIGN = {
    "metric": re.compile(r"\d\s(yd|in|ft|mph|ft/s|\u00b0F)\b"),
    "imperial": re.compile(r"\d\s(m|cm|mm|km/h|m/s|\u00b0C)\b"),
}
FOREIGN_LABEL = {
    "metric": re.compile(r"\((yd|in|ft|mph|\u00b0F)\)"),
    "imperial": re.compile(r"\((m|cm|mm|km/h|m/s|\u00b0C)\)"),
}


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_no_screen_speaks_in_the_other_units(system):
    page = Page({})
    page.state.set_units(system)
    case = demo_case()
    page.state.add_player(replace(case, conditions=Conditions(range_ball=True, wind_mps=1.3)))
    found = []
    for step in ("measure", "hit", "layout", "build", "play"):
        page.go(step)
        for _ in range(2):
            for head in list(page.here.view.select(pn.widgets.Button)):
                if list(head.css_classes) == ["fold"]:
                    head.clicks += 1
        for pane in page.here.view.select(pn.pane.HTML):
            text = re.sub(r"<[^>]+>", " ", str(pane.object)).replace("\u00a0", " ")
            found += [
                (step, text[max(m.start() - 30, 0) : m.end() + 10]) for m in FOREIGN[system].finditer(text)
            ]
        labels = [w.label for w in page.here.view.select(pn.widgets.Widget) if w.label]
        found = [f for f in found if "green rated" not in f[1]]  # a rating, in feet everywhere
        found += [(step, label) for label in labels if FOREIGN_LABEL[system].search(label)]
    assert found == []
