"""The next ball: by how much balls with each club are expected to settle the open choice between two layouts."""

from __future__ import annotations

from typing import Any

from bokeh.models import ColumnDataSource, FactorRange, Range1d

from app import styles
from app.html import Safe, table
from app.phrases import percent
from app.plots.frame import frame, pane, patching, renew, spread
from app.units import unit
from engine.sets.next_ball import BallToHit, NextBalls

MOST = 8  # rows worth looking at


class NextBallPlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.source = ColumnDataSource({"what": [], "share": []})
        self.rows = FactorRange(factors=[], range_padding=0.05)
        self.reach = Range1d(start=0, end=100)
        self.fig = frame(height=300, x_range=self.reach, y_range=self.rows, x_label="doubt removed (%)")
        self.fig.ygrid.visible = False
        self.fig.hbar(
            y="what", left=0, right="share", height=0.55, source=self.source,
            fill_color=styles.SERIES[0], fill_alpha=0.8, line_color=None,
        )  # fmt: skip
        self.view = pane(self.fig, "next")

    def update(self, found: NextBalls, called: dict[str, str], system: str) -> None:
        shown = list(reversed(found.ranking[:MOST]))
        names = [name_of(c, called, system) for c in shown]
        shares = [100 * c.share_cut for c in shown]
        with patching():
            if list(self.rows.factors) != names:
                self.rows.factors = names
            height = 80 + 34 * max(len(names), 2)
            if self.fig.height != height:
                self.fig.height = height
            renew(self.source, {"what": names, "share": shares})
            spread(self.reach, 0.0, 5.0 * (max(shares, default=5.0) // 5 + 1))


def name_of(ball: BallToHit, called: dict[str, str], system: str) -> str:
    held = f", \u2212{unit('grip', system).brief(ball.grip_down_m)}" if ball.grip_down_m > 1e-3 else ""
    return f"{called.get(ball.club, ball.club)}{held}"


def next_line(found: NextBalls) -> str:
    best = found.best
    if best is None:
        return "There is nothing left to decide between the two sets."
    return (
        f"How much of the doubt about which of the two sets is better {best.balls} more shots with each club should "
        "settle."
    )


def next_table(found: NextBalls, called: dict[str, str], system: str) -> Safe:
    rows: list[list[Any]] = [
        [
            name_of(c, called, system),
            percent(c.share_cut),
            percent(c.chance_right),
            unit("count", system).text(c.balls_worth),
        ]
        for c in found.ranking[:MOST]
    ]
    return table(
        ["Club", "uncertainty removed", "chance of the right choice", "shots worth hitting"],
        rows,
        caption="What to hit next; a minus sign means gripped down by that much",
        words=[0],
    )
