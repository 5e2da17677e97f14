"""Common lengths, shorter and longer: what each leaves between the distances faced and the nearest club."""

from __future__ import annotations

from typing import Any

from bokeh.models import ColumnDataSource
from bokeh.models.annotations import Span

from app import styles
from app.html import Safe, interval, stacked, table
from app.plots.frame import frame, pane, patching, renew
from app.units import unit
from engine.sets.common_length import LengthSweep


class SweepPlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.source = ColumnDataSource({"length": [], "mean": [], "low": [], "high": []})
        self.fig = frame(height=280)
        self.fig.xaxis[0].ticker.desired_num_ticks = 5
        self.fig.varea(
            "length", "low", "high", source=self.source, fill_color=styles.SERIES[0], fill_alpha=0.25
        )
        self.fig.line("length", "mean", source=self.source, line_color=styles.SERIES[0], line_width=3)
        self.now = Span(dimension="height", line_color=styles.SERIES[1], line_width=2.5, line_dash="dashed")
        self.taken = Span(dimension="height", line_color=styles.SERIES[2], line_width=2.5)
        for mark in (self.now, self.taken):
            self.fig.add_layout(mark)
        self.view = pane(self.fig, "sweep")

    def update(self, sweep: LengthSweep, system: str, now_m: float | None) -> None:
        """``now_m`` : the common length of the layout shown [m]."""
        length, gap = unit("club", system), unit("gap", system)
        with patching():
            renew(
                self.source,
                {
                    "length": [length.shown(x.length_m) for x in sweep.lengths],
                    "mean": [gap.shown(x.miss_m.mean) for x in sweep.lengths],
                    "low": [gap.shown(x.miss_m.lo90) for x in sweep.lengths],
                    "high": [gap.shown(x.miss_m.hi90) for x in sweep.lengths],
                },
            )
            self.taken.location = length.shown(sweep.recommended_m)
            self.now.update(visible=now_m is not None, location=length.shown(now_m or sweep.recommended_m))
            for axis, label in (
                (self.fig.xaxis[0], f"common length ({length.name})"),
                (self.fig.yaxis[0], f"average distance to nearest club ({gap.name})"),
            ):
                if axis.axis_label != label:
                    axis.axis_label = label


def sweep_line(sweep: LengthSweep, system: str) -> str:
    shown = unit("club", system)
    return (
        "How far you are from the nearest club, on average, for each common length, with its 90 % range; less is better. "
        f"Solid line: the length to choose, {shown.text(sweep.recommended_m, unit=True)}; dashed: the one laid out now."
    )


def sweep_table(sweep: LengthSweep, system: str) -> Safe:
    length, gap, carry = (unit(q, system) for q in ("club", "gap", "carry"))
    rows: list[list[Any]] = [
        [
            length.text(x.length_m),
            interval(gap, x.miss_m.mean, x.miss_m.lo90, x.miss_m.hi90),
            carry.text(x.top_m.mean),
            f"{x.hip_hinge_deg:.0f}\u00b0" if x.hip_hinge_deg is not None else "\u2013",
            stacked(unit("mass", system).text(x.head_kg), f"{x.buildable} of {sweep.clubs}"),
        ]
        for x in sweep.lengths[::2]
    ]
    return table(
        [
            f"Length ({length.name})",
            f"to nearest club ({gap.name})",
            f"longest iron ({carry.name})",
            "hip hinge",
            "head (g)",
        ],
        rows,
        caption=(
            "Common lengths. To nearest club: how far you are from it on average; under the head mass: how many "
            "of the present heads can be made to suit"
        ),
    )
