"""Each club left out in turn: as measured, and as all the other clubs predict it."""

from __future__ import annotations

from typing import Any

from bokeh.models import ColumnDataSource, FactorRange, Range1d

from app import styles
from app.plots.frame import frame, mean_and_range, pane, patching, renew, spread
from app.units import unit
from engine.documents.result import LeftOutCheck


class CheckedPlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.source = ColumnDataSource({"club": [], "mean": [], "low": [], "high": [], "measured": []})
        self.clubs = FactorRange(factors=[], range_padding=0.1)
        self.reach = Range1d(start=0, end=200)
        self.fig = frame(height=200, x_range=self.reach, y_range=self.clubs)
        self.fig.ygrid.visible = False
        self.fig.xaxis[0].ticker.desired_num_ticks = 5
        mean_and_range(self.fig, self.source, 0, row="club", ends=("low", "high"), height=0.22)
        self.fig.scatter(
            "measured",
            "club",
            source=self.source,
            marker="x",
            size=14,
            line_color=styles.SERIES[1],
            line_width=3,
        )
        self.view = pane(self.fig, "checked")

    def update(self, checks: list[LeftOutCheck], called: dict[str, str], system: str) -> None:
        shown = unit("carry", system)
        rows = list(reversed(checks))
        names = [called.get(c.club, c.club) for c in rows]
        data: dict[str, list[Any]] = {
            "club": names,
            "mean": [shown.shown(c.predicted_m.mean) for c in rows],
            "low": [shown.shown(c.predicted_m.lo90) for c in rows],
            "high": [shown.shown(c.predicted_m.hi90) for c in rows],
            "measured": [shown.shown(c.measured_m) for c in rows],
        }
        with patching():
            if list(self.clubs.factors) != names:
                self.clubs.factors = names
            height = 75 + 40 * max(len(names), 2)
            if self.fig.height != height:
                self.fig.height = height
            renew(self.source, data)
            ends = data["low"] + data["high"] + data["measured"]
            if ends:
                spread(self.reach, 10.0 * (min(ends) // 10), 10.0 * (max(ends) // 10 + 1))
            label = f"carry ({shown.name})"
            if self.fig.xaxis[0].axis_label != label:
                self.fig.xaxis[0].axis_label = label
