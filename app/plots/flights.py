"""Side view of the flights of irons and wedges, all layouts in one drawing, from the middle of what is believed."""

from __future__ import annotations

from typing import Any

import numpy as np
from bokeh.models import ColumnDataSource, Range1d

from app import styles
from app.html import Safe, stacked, table
from app.phrases.marks import Marks
from app.plots.frame import frame, pane, patching, renew, spread
from app.units import unit
from engine.documents.result import Result
from engine.fitting.fitting import Fitting
from engine.physics.air import air_of
from engine.swing.delivery import Clubs, carry, deliver

LINES = ("solid", "dashed", "dotted", "dash-dotted")


def flight_paths(fitting: Fitting, layout_id: str, *, points: int = 32) -> tuple[list[str], Any]:
    """Ids of a layout's irons and wedges and their paths (2, points, clubs): forward and up [m]."""
    clubs = tuple(c for c in fitting.clubs_of(layout_id) if c.family in ("iron", "wedge"))
    if not clubs:
        return [], np.zeros((2, points, 0))
    theta = fitting.posterior.mean[None, :]
    flight = carry(theta, deliver(theta, Clubs.of(clubs)), air_of(fitting.air), path_points=points)
    assert flight.path is not None
    path = flight.path[[0, 2], :, 0, :]
    path[0] *= np.exp(fitting.posterior.departure(clubs).mean(axis=0))  # as far as the club is said to carry
    return [c.id for c in clubs], path


class FlightsPlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.sources = [ColumnDataSource({"far": [], "high": []}) for _ in range(4)]
        self.reach, self.rise = Range1d(start=0, end=200), Range1d(start=0, end=40)
        self.fig = frame(height=260, x_range=self.reach, y_range=self.rise)
        self.fig.xgrid.visible = False
        for axis in (self.fig.xaxis[0], self.fig.yaxis[0]):
            axis.ticker.desired_num_ticks = 5
        for source, colour, dash in zip(self.sources, styles.SERIES, styles.DASHES, strict=True):
            self.fig.multi_line("far", "high", source=source, line_color=colour, line_width=2, line_dash=dash)
        self.view = pane(self.fig, "flights")

    def update(self, fitting: Fitting, system: str) -> None:
        """Patch the plot to a fitting."""
        shown = unit("carry", system).shown
        data = []
        for layout in fitting.result.layouts[:4]:
            _, path = flight_paths(fitting, layout.id)
            data.append(
                {
                    "far": [[shown(x) for x in one] for one in path[0].T.tolist()],
                    "high": [[shown(x) for x in one] for one in path[1].T.tolist()],
                }
            )
        with patching():
            for source, columns in zip(
                self.sources, data + [{"far": [], "high": []}] * (4 - len(data)), strict=True
            ):
                renew(source, columns)
            far = [v for d in data for one in d["far"] for v in one]
            high = [v for d in data for one in d["high"] for v in one]
            if far:
                spread(self.reach, 0.0, 25.0 * (max(far) // 25 + 1))
                spread(self.rise, 0.0, 10.0 * (max(high) // 10 + 1))
            name = unit("carry", system).name
            for axis, label in (
                (self.fig.xaxis[0], f"carry ({name})"),
                (self.fig.yaxis[0], f"height ({name})"),
            ):
                if axis.axis_label != label:
                    axis.axis_label = label


def flights_line(names: dict[str, str]) -> str:
    """What the drawing shows; lines are told apart without colour."""
    kinds = ", ".join(f"{name}: {kind}" for name, kind in zip(names.values(), LINES, strict=False))
    return f"Flights of irons and wedges from the side; height is drawn to a larger scale than distance. {kinds}."


def flights_table(result: Result, names: dict[str, str], system: str, marks: Marks) -> Safe:
    """Carry, apex and descent of each club, the layouts side by side."""
    shown = unit("carry", system)
    by = {x.id: {c.id: c for c in x.clubs if c.family in ("iron", "wedge")} for x in result.layouts}
    order = {i: c.name or i for clubs in by.values() for i, c in clubs.items()}
    rows = []
    for club_id, name in order.items():
        cells: list[Any] = [name]
        for layout_id in names:
            club = by[layout_id].get(club_id)
            cells.append(
                "\u2013"
                if club is None
                else stacked(
                    marks(shown.text(club.carry_m.mean), club_id),
                    f"{shown.text(club.apex_m)} high, {club.descent_deg:.0f}\u00b0",
                )
            )
        rows.append(cells)
    return table(
        ["Club", *names.values()], rows, caption=f"Carry, apex ({shown.name}) and descent of each club"
    )
