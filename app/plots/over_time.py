"""One quantity of a player by session with 90 % intervals, oldest on top; dashed rows where work or a note lies between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bokeh.models import ColumnDataSource, FactorRange, Range1d

from app.plots.frame import frame, mean_and_range, pane, patching, renew, spread
from app.units import ShownUnit
from engine.statistics import Interval

ROW = 34  # [px]
EMPTY: dict[str, list[Any]] = {"row": [], "mean": [], "lo": [], "hi": []}


@dataclass(frozen=True, slots=True)
class TimeRow:
    """A session with its value [SI], if it has one, or what lies between sessions; ``now`` for those compared as later."""

    label: str
    value: Interval | None = None
    now: bool = False


class OverTimePlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.sources = [ColumnDataSource(dict(EMPTY)) for _ in range(2)]
        self.between = ColumnDataSource({"row": [], "left": [], "right": []})
        self.rows = FactorRange(factors=[], range_padding=0.03)
        self.reach = Range1d(start=0, end=1)
        self.fig = frame(height=200, x_range=self.reach, y_range=self.rows, x_axis_location="above")
        self.fig.ygrid.visible = False
        self.fig.xaxis[0].ticker.desired_num_ticks = 4
        self.fig.segment(
            "left", "row", "right", "row", source=self.between,
            line_color="#888888", line_width=1.5, line_dash="dashed",
        )  # fmt: skip
        for number, source in enumerate(self.sources):
            mean_and_range(self.fig, source, number, row="row", height=0.4)
        self.view = pane(self.fig, "over-time")

    def update(self, rows: Sequence[TimeRow], shown: ShownUnit, label: str) -> None:
        """Patch the plot to rows in order of time, labels all different; ``label`` is the axis', without its unit."""
        with patching():
            self._update(rows, shown, label)

    def _update(self, rows: Sequence[TimeRow], shown: ShownUnit, label: str) -> None:
        order = [row.label for row in reversed(rows)]
        if list(self.rows.factors) != order:
            self.rows.factors = order
        height = 80 + ROW * max(len(order), 2)
        if self.fig.height != height:
            self.fig.height = height
        ends = [
            shown.shown(end) for row in rows if row.value for end in (row.value.lo90, row.value.hi90)
        ] or [0.0, 1.0]
        room = 0.06 * (max(ends) - min(ends)) or 1.0
        left, right = min(ends) - room, max(ends) + room
        spread(self.reach, left, right)
        for source, now in zip(self.sources, (False, True), strict=True):
            side = [(row.label, row.value) for row in rows if row.value is not None and row.now is now]
            renew(
                source,
                {
                    "row": [name for name, _ in side],
                    "mean": [shown.shown(value.mean) for _, value in side],
                    "lo": [shown.shown(value.lo90) for _, value in side],
                    "hi": [shown.shown(value.hi90) for _, value in side],
                },
            )
        marks = [row.label for row in rows if row.value is None]
        renew(self.between, {"row": marks, "left": [left] * len(marks), "right": [right] * len(marks)})
        title = f"{label} ({shown.name})"
        if self.fig.xaxis[0].axis_label != title:
            self.fig.xaxis[0].axis_label = title
