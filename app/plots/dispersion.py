"""Top view: where the balls of each iron and wedge come down, one row of ellipses a layout."""

from __future__ import annotations

from typing import Any

from bokeh.models import ColumnDataSource, Range1d

from app import styles
from app.html import Safe, table
from app.phrases.green import direction_line
from app.phrases.marks import Marks
from app.plots.frame import frame, pane, patching, renew, spread
from app.units import unit
from engine.fitting.fitting import Fitting
from engine.sets.dispersion import FromAbove, from_above

EMPTY: dict[str, list[Any]] = {"side": [], "far": [], "wide": [], "deep": []}


def views(fitting: Fitting) -> dict[str, FromAbove]:
    """The view from above of each layout's irons and wedges."""
    out = {}
    for layout in fitting.case.layouts[:4]:
        clubs = tuple(c for c in fitting.laid_out(layout) if c.family in ("iron", "wedge"))
        if clubs:
            out[layout.id] = from_above(
                fitting.predict(clubs), spread=fitting.spread, shots=fitting.counted_shots
            )
    return out


class AbovePlot:
    """Built once; ``update`` patches its data. Layouts stand side by side, each about its own line."""

    def __init__(self) -> None:
        self.sources = [ColumnDataSource(dict(EMPTY)) for _ in range(4)]
        self.across, self.reach = Range1d(start=-20, end=20), Range1d(start=50, end=200)
        self.fig = frame(height=420, x_range=self.across, y_range=self.reach)
        self.fig.xgrid.visible = False
        self.fig.yaxis[0].ticker.desired_num_ticks = 6
        self.fig.xaxis[0].ticker.desired_num_ticks = 4
        for source, colour, dash in zip(self.sources, styles.SERIES, styles.DASHES, strict=True):
            self.fig.ellipse(
                x="side", y="far", width="wide", height="deep", source=source,
                fill_color=colour, fill_alpha=0.14, line_color=colour, line_width=2, line_dash=dash,
            )  # fmt: skip
        self.view = pane(self.fig, "above")

    def update(self, seen: dict[str, FromAbove], system: str) -> None:
        shown = unit("carry", system)
        data: list[dict[str, list[Any]]] = []
        for view in seen.values():
            marks = view.landings
            data.append(
                {
                    "side": [0.0] * len(marks),
                    "far": [shown.shown(m.carry_m) for m in marks],
                    "wide": [2 * shown.shown(m.half_width_m) for m in marks],
                    "deep": [2 * shown.shown(m.half_depth_m) for m in marks],
                }
            )
        widest = max((w for d in data for w in d["wide"]), default=20.0)
        apart = 1.15 * widest
        for n, columns in enumerate(data):
            columns["side"] = [apart * (n - (len(data) - 1) / 2)] * len(columns["side"])
        with patching():
            for source, columns in zip(self.sources, data + [EMPTY] * (4 - len(data)), strict=True):
                renew(source, columns)
            ends = [
                f + s * d / 2 for c in data for f, d in zip(c["far"], c["deep"], strict=True) for s in (-1, 1)
            ]
            if ends:
                half = apart * len(data) / 2
                spread(self.across, -half, half)
                spread(self.reach, 10 * (min(ends) // 10), 10 * (max(ends) // 10 + 1))
            for axis, label in (
                (self.fig.yaxis[0], f"carry ({shown.name})"),
                (self.fig.xaxis[0], f"offline ({shown.name}), layouts side by side"),
            ):
                if axis.axis_label != label:
                    axis.axis_label = label


def above_line(seen: dict[str, FromAbove]) -> str:
    first = next(iter(seen.values()))
    return (
        "From above: nine shots in ten with each iron and wedge land inside its ellipse. "
        f"{direction_line(first.direction)}"
    )


def above_table(
    seen: dict[str, FromAbove], called: dict[str, str], names: dict[str, str], system: str, marks: Marks
) -> Safe:
    shown = unit("carry", system)
    by = {x: {m.club: m for m in view.landings} for x, view in seen.items()}
    ids = list(dict.fromkeys(i for marks in by.values() for i in marks))
    rows = [
        [
            marks(called.get(i, i), i),
            *[
                f"\u00b1{shown.text(by[x][i].half_depth_m)} / \u00b1{shown.text(by[x][i].half_width_m)}"
                if i in by.get(x, {})
                else "\u2013"
                for x in names
            ],
        ]
        for i in ids
    ]
    return table(
        ["Club", *names.values()],
        rows,
        caption=f"Where nine shots in ten land: short or long / left or right of the middle ({shown.name})",
    )
