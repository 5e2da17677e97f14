"""Drawings: what a person sees in them is what was measured and worked out, all of it within the frame."""

import re

import numpy as np
import pytest
from bokeh.models import Scatter

from app import bridge
from app.demo import demo_case
from app.main import Page
from app.plots.carries import CarriesPlot
from app.plots.common_length import SweepPlot
from app.plots.dispersion import AbovePlot
from app.plots.driver import DriverPlot
from app.plots.flights import FlightsPlot
from app.plots.frame import Picture
from app.widgets import Fold
from engine.sets.dispersion import Direction, FromAbove, Landing

# one unit of the screen [m], as defined in the international yard and pound agreement of 1959
UNIT = {"metric": 1.0, "imperial": 0.9144}


@pytest.fixture(autouse=True)
def clean_bridge():
    bridge.install(None)
    bridge.outbox.clear()
    return


@pytest.fixture(scope="module")
def page():
    page = Page({})
    page.state.add_player(demo_case())
    return page


def drawn(fig, marker):
    """Data of the marks of one shape, as they lie in the figure."""
    found = [
        r.data_source.data for r in fig.renderers if isinstance(r.glyph, Scatter) and r.glyph.marker == marker
    ]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize("system", list(UNIT))
def test_measured_means_are_crosses_beside_the_carries(page, system):
    plot = CarriesPlot()
    plot.update(page.state.result, system)
    crosses = drawn(plot.fig, "x")
    club = {c.id: c.name or c.id for c in page.state.case.bag}
    balls = {}
    for shot in page.state.case.shots:
        if shot.grip_down_m == 0:
            balls.setdefault(club[shot.club], []).append(shot.carry_m / UNIT[system])
    assert {name for name, _ in crosses["y"]} == set(balls)
    for (name, _), mean in zip(crosses["y"], crosses["mean"], strict=True):
        good = sorted(balls[name])
        assert good[0] <= mean <= good[-1]
        assert mean == pytest.approx(np.median(good), rel=0.04)
    assert (plot.reach.start, plot.reach.end) != (0, 200)
    for source in plot.sources:
        assert all(plot.reach.start <= low for low in source.data["lo"])
        assert all(high <= plot.reach.end for high in source.data["hi"])


@pytest.mark.parametrize("system", list(UNIT))
def test_the_frame_from_above_holds_every_ellipse_and_little_more(system):
    marks = tuple(
        Landing(club=f"c{n}", carry_m=carry, half_width_m=wide, half_depth_m=deep)
        for n, (carry, wide, deep) in enumerate([(61.0, 4.0, 3.5), (104.0, 7.0, 9.0), (158.0, 13.0, 17.0)])
    )
    view = FromAbove(landings=marks, direction=Direction(4.0, 0, 0.0))
    plot = AbovePlot()
    plot.update({"now": view, "other": view}, system)
    near, far = (61.0 - 3.5) / UNIT[system], (158.0 + 17.0) / UNIT[system]
    assert plot.reach.start <= near < plot.reach.start + 10
    assert plot.reach.end - 10 <= far < plot.reach.end
    wide = 13.0 / UNIT[system]
    ends = []
    for source in plot.sources[:2]:
        middle = source.data["side"][0]
        assert source.data["side"] == [middle] * 3
        assert list(source.data["wide"]) == pytest.approx([2 * w / UNIT[system] for w in (4.0, 7.0, 13.0)])
        assert list(source.data["deep"]) == pytest.approx([2 * d / UNIT[system] for d in (3.5, 9.0, 17.0)])
        ends.append((middle - wide, middle + wide))
    assert plot.across.start <= ends[0][0] and ends[1][1] <= plot.across.end
    assert ends[0][1] < ends[1][0]  # side by side, not one over the other
    assert all(not column for source in plot.sources[2:] for column in source.data.values())


def test_the_numbers_behind_a_picture_are_the_ones_said_last():
    picture = Picture("made-up", "Made up", None)
    assert isinstance(picture.numbers, Fold)
    picture.say("<p>what is drawn</p>", "<table><tr><td>41</td></tr></table>")
    picture.numbers.toggle()
    assert "what is drawn" in picture.words.object
    assert ">41<" in picture.table.object
    picture.say("<p>what is drawn now</p>", "<table><tr><td>42</td></tr></table>")
    assert ">42<" in picture.table.object and ">41<" not in picture.table.object


def test_the_numbers_behind_the_carries_are_the_carries(page):
    page.go("layout")
    page.here.refresh()
    told = re.sub(r"<[^>]+>", " ", page.here.carries.table.object)
    for club in page.state.result.layouts[0].clubs:
        assert club.name in told
        number = re.search(rf"{club.name} +\S*{club.carry_m.mean:.0f}\b", told)
        assert bool(number) != club.hit_first, club.id


@pytest.mark.parametrize("system", list(UNIT))
def test_flights_begin_at_the_ball_come_down_at_the_carry_and_stay_in_the_frame(page, system):
    plot = FlightsPlot()
    plot.update(page.state.fitting, system)
    farthest = highest = 0.0
    for layout, source in zip(page.state.result.layouts, plot.sources, strict=False):
        irons = [c for c in layout.clubs if c.family in ("iron", "wedge")]
        assert len(source.data["far"]) == len(source.data["high"]) == len(irons)
        for club, far, high in zip(irons, source.data["far"], source.data["high"], strict=True):
            assert (far[0], high[0]) == (0.0, 0.0)
            assert high[-1] == pytest.approx(0.0, abs=0.5)
            # drawn is the most probable swing, the carry is the mean of all that are likely, a club's own departure too
            assert far[-1] == pytest.approx(club.carry_m.mean / UNIT[system], rel=0.06)
            assert max(high) == pytest.approx(club.apex_m / UNIT[system], rel=0.1)
            farthest, highest = max(farthest, *far), max(highest, *high)
    assert plot.reach.start == plot.rise.start == 0
    assert plot.reach.end - 25 <= farthest < plot.reach.end
    assert plot.rise.end - 10 <= highest < plot.rise.end


def test_the_solid_line_of_common_lengths_is_the_one_to_take_the_dashed_one_the_present(page):
    swept = page.state.fitting.common_length
    plot = SweepPlot()
    plot.update(swept, "imperial", 0.9398)
    assert plot.now.visible and plot.now.location == pytest.approx(37.0)  # [in]
    assert plot.taken.location == pytest.approx(swept.recommended_m / 0.0254)
    assert (plot.taken.line_dash, bool(plot.now.line_dash)) == ([], True)
    assert list(plot.source.data["length"]) == pytest.approx([x.length_m / 0.0254 for x in swept.lengths])
    for low, mean, high in zip(*(plot.source.data[n] for n in ("low", "mean", "high")), strict=True):
        assert low < mean < high
    plot.update(swept, "imperial", None)
    assert not plot.now.visible and plot.taken.location == pytest.approx(swept.recommended_m / 0.0254)


def test_the_drivers_map_is_strongest_at_its_star_and_blank_out_of_reach(page):
    advice = page.state.fitting.driver
    plot = DriverPlot()
    plot.update(advice)
    (image,) = plot.map.data["image"]
    drawn = advice.map
    assert image.shape == (len(drawn.spin_rpm), len(drawn.launch_deg))  # rows go up with spin
    assert (np.isnan(image.T) == ~drawn.within_reach).all()
    share = drawn.carry_m / drawn.best.carry_m
    for level, (least, most) in enumerate([(0.98, 2.0), (0.95, 0.98), (0.90, 0.95), (0.0, 0.90)]):
        cells = share[level == image.T]
        assert cells.size and (cells >= least - 1e-9).all() and (cells <= most + 1e-9).all()
    (star,) = zip(plot.best.data["x"], plot.best.data["y"], strict=True)
    assert star == (drawn.best.launch_deg, drawn.best.spin_rpm)
    assert plot.marks.data["x"] == [pytest.approx(advice.standing.launch_deg.mean)]
    assert plot.marks.data["y"] == [pytest.approx(advice.standing.spin_rpm.mean)]
    across, up = (
        plot.map.data[at][0] + (np.arange(n) + 0.5) * plot.map.data[wide][0] / n
        for at, wide, n in (("x", "dw", image.shape[1]), ("y", "dh", image.shape[0]))
    )
    # the middle of a cell lies on its own value, and the frame shows every cell whole
    assert across == pytest.approx(drawn.launch_deg) and up == pytest.approx(drawn.spin_rpm)
    assert (plot.fig.x_range.start, plot.fig.x_range.end) == pytest.approx((3.5, 28.5))
    assert (plot.fig.y_range.start, plot.fig.y_range.end) == pytest.approx((500, 5500))
    lofts = plot.lofts.data
    assert lofts["loft"] == [x.loft_deg for x in advice.lofts] and len(lofts["loft"]) > 2
    assert lofts["x"] == sorted(lofts["x"]) and lofts["y"] == sorted(
        lofts["y"]
    )  # more loft, higher and more spin
    assert min(plot.region.data["x"]) < advice.standing.launch_deg.mean < max(plot.region.data["x"])
