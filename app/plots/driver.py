"""The driver: carry over launch and spin as steps below the longest, the player on it, and the lofts within reach."""

from __future__ import annotations

from typing import Any

import numpy as np
from bokeh.models import ColumnDataSource, LinearColorMapper
from numpy.typing import NDArray

from app.html import Safe, interval, stacked, table
from app.plots.frame import frame, pane, patching, renew
from app.units import unit
from engine.bag.driver import DriverAdvice

BELOW_BEST = (0.02, 0.05, 0.10)  # below the longest carry, as shares
# one blue, let through: the best field is the strongest over a light ground and over a dark one
SHADES = ["#1f86c9ff", "#1f86c99e", "#1f86c95c", "#1f86c92b"]


class DriverPlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.map = ColumnDataSource({"image": [], "x": [], "y": [], "dw": [], "dh": []})
        self.region = ColumnDataSource({"x": [], "y": []})
        self.lofts = ColumnDataSource({"x": [], "y": [], "loft": []})
        self.marks = ColumnDataSource({"x": [], "y": []})
        self.best = ColumnDataSource({"x": [], "y": []})
        self.fig = frame(height=380, x_label="launch (\u00b0)", y_label="spin (rpm)")
        self.fig.grid.visible = False
        self.fig.x_range.update(range_padding=0.0, start=3.5, end=28.5)
        self.fig.y_range.update(range_padding=0.0, start=500, end=5500)
        mapper = LinearColorMapper(palette=SHADES, low=0, high=3, nan_color="rgba(0,0,0,0)")
        self.fig.image(source=self.map, color_mapper=mapper)
        self.fig.patch(
            "x", "y", source=self.region, fill_color="#D55E00", fill_alpha=0.35, line_color="#D55E00"
        )
        self.fig.line("x", "y", source=self.lofts, line_color="white", line_width=3)
        self.fig.line("x", "y", source=self.lofts, line_color="black", line_width=1.5, line_dash="dashed")
        self.fig.scatter("x", "y", source=self.lofts, size=7, fill_color="white", line_color="black")
        self.fig.scatter(
            "x", "y", source=self.best, marker="star", size=18, fill_color="#F0E442", line_color="black"
        )
        self.fig.scatter(
            "x", "y", source=self.marks, size=13, fill_color="#D55E00", line_color="white", line_width=2
        )
        self.view = pane(self.fig, "driver")

    def update(self, advice: DriverAdvice) -> None:
        """Patch the plot to an advice."""
        drawn, stands = advice.map, advice.standing
        below = 1 - drawn.carry_m / drawn.best.carry_m
        levels = np.searchsorted(BELOW_BEST, np.maximum(below, 0.0)).astype(float)
        levels[~drawn.within_reach] = np.nan
        left, wide = _covered(drawn.launch_deg)
        foot, high = _covered(drawn.spin_rpm)
        with patching():
            self.map.data = {
                "image": [levels.T.astype("float32")],
                "x": [left],
                "y": [foot],
                "dw": [wide],
                "dh": [high],
            }
            renew(self.region, {"x": stands.region[:, 0].tolist(), "y": stands.region[:, 1].tolist()})
            lofts = advice.lofts
            renew(
                self.lofts,
                {
                    "x": [x.launch_deg for x in lofts],
                    "y": [x.spin_rpm for x in lofts],
                    "loft": [x.loft_deg for x in lofts],
                },
            )
            renew(self.marks, {"x": [stands.launch_deg.mean], "y": [stands.spin_rpm.mean]})
            renew(self.best, {"x": [drawn.best.launch_deg], "y": [drawn.best.spin_rpm]})


def _covered(values: NDArray[np.float64]) -> tuple[float, float]:
    """Where cells centred on these even values begin, and how far they reach together."""
    cell = float(values[1] - values[0])
    return float(values[0]) - cell / 2, cell * len(values)


def driver_line(advice: DriverAdvice, system: str) -> str:
    speed = unit("speed", system).text(advice.standing.ball_speed_mps.mean, unit=True)
    return (
        f"Carry for each launch and spin at your ball speed of {speed}. Darkest: within 2 % of the longest carry; "
        f"then within "
        "5 %, within 10 %, and less. Blank: out of reach. The dot is you now, the area round it the 90 % range; the dashed "
        "line shows what other lofts would do, the star the longest carry within reach."
    )


def driver_table(advice: DriverAdvice, system: str) -> Safe:
    shown = unit("carry", system)
    rows: list[list[Any]] = [
        [
            stacked(f"{x.loft_deg:g}\u00b0", *["now"] * (abs(x.loft_deg - advice.club.loft_deg) < 1e-6)),
            f"{x.launch_deg:.1f}\u00b0",
            f"{round(x.spin_rpm, -1):.0f}",
            interval(shown, x.carry_m.mean, x.carry_m.lo90, x.carry_m.hi90),
            shown.text(x.total_m),
        ]
        for x in advice.lofts
    ]
    return table(
        ["Loft", "launch", "spin", f"carry ({shown.name})", f"total ({shown.name})"],
        rows,
        caption="Lofts you could use with this swing; total is for short, firm turf, and far less on soft",
    )
