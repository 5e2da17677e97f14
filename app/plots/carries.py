"""Carries per club with 90 % intervals, one row of marks a layout; measured means beside them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bokeh.models import ColumnDataSource, FactorRange, Range1d

from app.plots.frame import Sets, frame, mean_and_range, pane, patching, renew, spread
from app.units import unit
from engine.documents.result import ClubResult

OFFSETS = {1: (0.0,), 2: (0.16, -0.16), 3: (0.24, 0.0, -0.24), 4: (0.3, 0.1, -0.1, -0.3)}
ROW = 38  # [px] a club
Mark = Callable[[str, str], str]  # a club's name, and its id: the name, marked where nobody has hit that club


def plain(name: str, club_id: str) -> str:
    """No mark."""
    return name


def carries_data(result: Sets, system: str, mark: Mark = plain) -> list[dict[str, list[Any]]]:
    """Columns of each layout: ``club``, ``y`` (factor, offset), ``mean``, ``lo``, ``hi`` in display units; without the
    clubs that have to be hit first. ``mark`` is put to the names of clubs that nobody has hit."""
    shown = unit("carry_fine", system).shown
    layouts = result.layouts[:4]
    offsets = OFFSETS[max(len(layouts), 1)]
    out: list[dict[str, list[Any]]] = []
    for offset, layout in zip(offsets, layouts, strict=True):
        clubs = [c for c in layout.clubs if not c.hit_first]
        out.append(
            {
                "club": [c.id for c in clubs],
                "y": [(mark(name_of(c), c.id), offset) for c in clubs],
                "mean": [shown(c.carry_m.mean) for c in clubs],
                "lo": [shown(c.carry_m.lo90) for c in clubs],
                "hi": [shown(c.carry_m.hi90) for c in clubs],
            }
        )
    return out


def measured_data(result: Sets, names: dict[str, str], system: str) -> dict[str, list[Any]]:
    """Means of balls hit with a full grip, in the air of the carries beside them, for the clubs that have any."""
    shown = unit("carry_fine", system).shown
    groups = [g for g in result.shots if g.grip_down_m < 1e-6 and g.club in names]
    return {
        "y": [(names[g.club], 0.0) for g in groups],
        "mean": [shown(g.mean_in_air_m) for g in groups if g.mean_in_air_m is not None],
    }


def name_of(club: ClubResult) -> str:
    return club.name or club.id


class CarriesPlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.sources = [
            ColumnDataSource({"club": [], "y": [], "mean": [], "lo": [], "hi": []}) for _ in range(4)
        ]
        self.measured = ColumnDataSource({"y": [], "mean": []})
        self.clubs = FactorRange(factors=[], range_padding=0.02)
        self.reach = Range1d(start=0, end=200)
        self.fig = frame(height=400, x_range=self.reach, y_range=self.clubs, x_axis_location="above")
        self.fig.ygrid.visible = False
        self.fig.xaxis[0].ticker.desired_num_ticks = 3  # more run together on a phone
        for number, source in enumerate(self.sources):
            mean_and_range(self.fig, source, number, row="y", height=0.13)
        self.fig.scatter(
            "mean", "y", source=self.measured, marker="x", size=13, line_color="#888888", line_width=3
        )
        self.view = pane(self.fig, "carries")

    def update(self, result: Sets, system: str, mark: Mark = plain) -> None:
        """Patch the plot to a result."""
        with patching():
            self._update(result, system, mark)

    def _update(self, result: Sets, system: str, mark: Mark) -> None:
        data = carries_data(result, system, mark)
        names: dict[str, str] = {}
        for layout in result.layouts[:4]:
            names.update({c.id: mark(name_of(c), c.id) for c in layout.clubs if not c.hit_first})
        order = sorted(set(names.values()), key=lambda n: _longest(result, n, mark))
        if list(self.clubs.factors) != order:
            self.clubs.factors = order
        height = 70 + ROW * max(len(order), 2)
        if self.fig.height != height:
            self.fig.height = height
        empty: dict[str, list[Any]] = {"club": [], "y": [], "mean": [], "lo": [], "hi": []}
        for source, columns in zip(self.sources, data + [empty] * (4 - len(data)), strict=True):
            renew(source, columns)
        renew(self.measured, measured_data(result, names, system))
        ends = [v for columns in data for v in columns["lo"] + columns["hi"]]
        if ends:
            step = 20.0
            spread(self.reach, max(0.0, step * (min(ends) // step)), step * (max(ends) // step + 1))
        label = f"carry ({unit('carry', system).name})"
        if self.fig.xaxis[0].axis_label != label:
            self.fig.xaxis[0].axis_label = label


def _longest(result: Sets, name: str, mark: Mark) -> tuple[float, str]:
    """Order by loft, shortest-hitting at the foot of the axis."""
    lofts = [-c.loft_deg for layout in result.layouts for c in layout.clubs if mark(name_of(c), c.id) == name]
    return (min(lofts), name)
