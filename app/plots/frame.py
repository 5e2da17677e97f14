"""The frame all Bokeh figures share: no toolbar, no active tool, scrolling left to the page, colours
from the page."""

from __future__ import annotations

import sys
from contextlib import AbstractContextManager, nullcontext
from typing import Any, Protocol

import panel as pn
from bokeh.models import ColumnDataSource
from bokeh.plotting import figure

from app import bridge, styles
from app.widgets import Fold, button, html, line, put, stack
from engine.documents.result import LayoutResult, ShotGroup


class Sets(Protocol):
    """What the pictures of the layouts read: a result, or a fitting whose verdict is still to come."""

    @property
    def layouts(self) -> tuple[LayoutResult, ...]: ...
    @property
    def shots(self) -> tuple[ShotGroup, ...]: ...


def frame(*, height: int, x_label: str = "", y_label: str = "", **options: Any) -> Any:
    """A bare figure that fills its width."""
    fig = figure(
        height=height,
        sizing_mode="stretch_width",
        toolbar_location=None,
        tools="",
        x_axis_label=x_label or None,
        y_axis_label=y_label or None,
        background_fill_alpha=0,
        border_fill_alpha=0,
        outline_line_alpha=0,
        min_border_right=12,
        min_border_left=4,
        css_variables=AXES,
        **options,
    )
    fig.toolbar.autohide = True
    for axis in (*fig.xaxis, *fig.yaxis):
        axis.axis_label_text_font_style = "normal"
        axis.axis_label_text_font_size = "0.95rem"
        axis.major_label_text_font_size = "0.9rem"
        axis.minor_tick_line_color = None
    return fig


AXES: dict[str, Any] = {
    "--bk-axis-label-text-color": "var(--ink)",
    "--bk-major-label-text-color": "var(--ink)",
    "--bk-axis-line-color": "var(--edge)",
    "--bk-major-tick-line-color": "var(--edge)",
    "--bk-grid-line-color": "var(--grid)",
}


def pane(fig: Any, name: str = "") -> pn.pane.Bokeh:
    """The figure as a part of a screen; ``name`` is what `Picture` finds it by."""
    kinds = ["figure", *([f"pic-{name}"] if name else [])]
    return pn.pane.Bokeh(
        fig, sizing_mode="stretch_width", stylesheets=[styles.FIGURE], css_classes=kinds, margin=0
    )


class Picture:
    """A drawing with one line that says what it shows, the numbers behind it, and a way to save it."""

    def __init__(self, name: str, title: str, drawing: Any, *, above: Any = None) -> None:
        self.words, self.table = html(), html()
        self.numbers = Fold("Show the numbers", lambda: self.table)
        self.view = stack(
            *([above] if above is not None else []),
            stack(drawing, cls=f"picture pic-{name}"),
            self.words,
            line(
                button("Save as a picture", lambda: bridge.picture(f"pic-{name}", title), cls="quiet"),
            ),
            self.numbers.view,
            cls="tight",
        )

    def say(self, words: str, table: str) -> None:
        put(self.words, words)
        put(self.table, table)


def mean_and_range(
    fig: Any,
    source: ColumnDataSource,
    number: int,
    *,
    row: str,
    height: float,
    mean: str = "mean",
    ends: tuple[str, str] = ("lo", "hi"),
) -> None:
    """Means with their ranges, a bar each, in the colour and with the marker of series ``number``."""
    colour, (low, high) = styles.SERIES[number], ends
    fig.hbar(
        y=row, left=low, right=high, height=height, source=source,
        fill_color=colour, fill_alpha=0.45, line_color=None,
    )  # fmt: skip
    marker = styles.MARKERS[number]
    fig.scatter(mean, row, source=source, marker=marker, size=11, fill_color=colour, line_color="white")


def spread(range_: Any, start: float, end: float) -> None:
    """Move a range only if it must, so that a small change stays a small patch."""
    if abs(range_.start - start) > 1e-9 or abs(range_.end - end) > 1e-9:
        range_.update(start=start, end=end)


def renew(source: ColumnDataSource, data: dict[str, list[Any]]) -> None:
    """New data in place; nothing is sent if nothing changed."""
    if {k: list(v) for k, v in source.data.items()} != data:
        source.data = data


def patching() -> AbstractContextManager[Any]:
    """Around changes of Bokeh models: a server sends them without its lock; a browser as ever."""
    if sys.platform == "emscripten":
        return nullcontext()
    from panel.io.document import unlocked

    return unlocked()
