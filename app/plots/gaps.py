"""Gaps between neighbouring irons and wedges with 90 % intervals, a row of marks a layout; the wanted gap as a band."""

from __future__ import annotations

from typing import Any

from bokeh.models import ColumnDataSource, FactorRange, Range1d
from bokeh.models.annotations import BoxAnnotation, Span

from app.plots.carries import OFFSETS, ROW, Mark, name_of, plain
from app.plots.frame import Sets, frame, mean_and_range, pane, patching, renew, spread
from app.units import unit
from engine.documents.result import LayoutResult
from engine.sets.compare import Gap

BAND = 0.25  # of the wanted gap, to each side, is drawn as the band


def full_gaps(layout: LayoutResult) -> list[Gap]:
    """The gaps between irons and wedges only."""
    ids = {c.id for c in layout.clubs if c.family in ("iron", "wedge")}
    return [g for g in layout.gaps if g.longer in ids and g.shorter in ids]


def gaps_data(result: Sets, system: str, mark: Mark = plain) -> list[dict[str, list[Any]]]:
    """Columns of each layout: ``y`` (pair of names, offset), ``gap``, ``lo``, ``hi`` in display units."""
    shown = unit("gap", system).shown
    layouts = result.layouts[:4]
    out: list[dict[str, list[Any]]] = []
    for offset, layout in zip(OFFSETS[max(len(layouts), 1)], layouts, strict=True):
        names = {c.id: mark(_short(name_of(c)), c.id) for c in layout.clubs}
        found = full_gaps(layout)
        out.append(
            {
                "y": [(pair, offset) for pair in _apart([pair_of(names, g) for g in found])],
                "gap": [shown(g.gap_m.mean) for g in found],
                "lo": [shown(g.gap_m.lo90) for g in found],
                "hi": [shown(g.gap_m.hi90) for g in found],
            }
        )
    return out


def pair_of(names: dict[str, str], gap: Gap) -> str:
    return f"{names[gap.longer]} \u2013 {names[gap.shorter]}"


def _apart(pairs: list[str]) -> list[str]:
    """The same labels with a number where clubs of one name would share a row, which the axis cannot bear."""
    out: list[str] = []
    for pair in pairs:
        label, number = pair, 2
        while label in out:
            label, number = f"{pair} {number}", number + 1
        out.append(label)
    return out


def _short(name: str) -> str:
    """``7-iron`` as ``7i``, ``Pitching wedge`` as ``PW``: axis labels have little room."""
    words = name.split()
    if name.endswith("-iron") and name[:-5].isdigit():
        return f"{name[:-5]}i"
    return f"{words[0][:1]}W".upper() if len(words) == 2 and words[1] == "wedge" else name[:10]


class GapsPlot:
    """Built once; ``update`` patches its data."""

    def __init__(self) -> None:
        self.sources = [ColumnDataSource({"y": [], "gap": [], "lo": [], "hi": []}) for _ in range(4)]
        self.pairs = FactorRange(factors=[], range_padding=0.03)
        self.reach = Range1d(start=-5, end=25)
        self.fig = frame(height=360, x_range=self.reach, y_range=self.pairs, x_axis_location="above")
        self.fig.ygrid.visible = False
        self.fig.xaxis[0].ticker.desired_num_ticks = 5
        self.band = BoxAnnotation(fill_color="#009E73", fill_alpha=0.16, line_color=None, visible=False)
        self.fig.add_layout(self.band)
        self.fig.add_layout(
            Span(location=0, dimension="height", line_color="#888888", line_width=1.5, line_dash="dashed")
        )
        for number, source in enumerate(self.sources):
            mean_and_range(self.fig, source, number, row="y", mean="gap", height=0.13)
        self.view = pane(self.fig, "gaps")

    def update(self, result: Sets, system: str, wanted_m: float | None, mark: Mark = plain) -> None:
        """Patch the plot to a result; ``wanted_m`` is the gap asked for [m]."""
        with patching():
            self._update(result, system, wanted_m, mark)

    def _update(self, result: Sets, system: str, wanted_m: float | None, mark: Mark) -> None:
        data = gaps_data(result, system, mark)
        order: list[str] = []
        for columns in data:
            order += [pair for pair, _ in columns["y"] if pair not in order]
        order.reverse()
        if list(self.pairs.factors) != order:
            self.pairs.factors = order
        height = 70 + ROW * max(len(order), 2)
        if self.fig.height != height:
            self.fig.height = height
        empty: dict[str, list[Any]] = {"y": [], "gap": [], "lo": [], "hi": []}
        for source, columns in zip(self.sources, data + [empty] * (4 - len(data)), strict=True):
            renew(source, columns)
        shown = unit("gap", system).shown
        ends = [v for columns in data for v in columns["lo"] + columns["hi"]]
        if wanted_m is not None:
            left, right = shown(wanted_m * (1 - BAND)), shown(wanted_m * (1 + BAND))
            ends += [left, right]
            self.band.update(left=left, right=right, visible=True)
        elif self.band.visible:
            self.band.visible = False
        if ends:
            step = 5.0
            spread(self.reach, step * (min(ends) // step), step * (max(ends) // step + 1))
        label = f"gap ({unit('gap', system).name})"
        if self.fig.xaxis[0].axis_label != label:
            self.fig.xaxis[0].axis_label = label
