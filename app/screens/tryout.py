"""What can be tried out on a layout: common length, steps, longest iron, wanted gap; and which layouts there are.

Everything here edits the trial; the case stays as it is until the trial is kept.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from app import edits
from app.html import join, note, p
from app.phrases import phrases
from app.phrases.layouts import KINDS_OF_LAYOUT as KINDS
from app.phrases.layouts import titles
from app.state import State
from app.widgets import Choice, Fold, Slider, button, classes, html, line, put, show, stack
from engine.documents.case import Layout
from engine.sets.plan import loft_step_of, planned
from engine.units import INCH

LENGTHS = (0.84, 1.02)  # [m] what the sliders offer
LENGTH_STEPS = (0.0, 0.75 * INCH)
LOFT_STEPS = (2.5, 6.0)  # [deg]
GAPS = (5.0, 20.0)  # [m]


class TryOut:
    """The card of controls beside the picture of carries."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.chosen, self.kind = "", "two_lengths"
        self.pick = Choice("Layout to adjust", self._layouts(), lambda: self.chosen, self._pick)
        self.common = self._length("Common length", "common_length_m")
        self.second = self._length("Second length", "second_length_m")
        self.length_step = Slider(
            state,
            "Length step between irons",
            "club",
            LENGTH_STEPS,
            lambda: None if self.layout is None else self.layout.length_step_m or 0.5 * INCH,
            lambda value: self._try("length_step_m", value, "length step changed"),
            step=0.25 if state.units == "metric" else 0.125,
        )
        self.more = Fold("Also adjust: lofts, longest iron, gap", self._more, refresh=self._refresh_more)
        self.which = Fold("Add or remove a layout", self._which, refresh=self._refresh_which)
        self.loft_step: Slider | None = None
        self.said = html()
        self.view = stack(
            self.pick.view,
            self.common.view,
            self.second.view,
            self.length_step.view,
            stack(self.more.view, self.which.view, cls="folds"),
            cls="sheet",
        )

    def _length(self, label: str, field: str) -> Slider:
        return Slider(
            self.state,
            label,
            "club",
            LENGTHS,
            lambda: self._length_of(field),
            lambda value: self._try(field, value, f"{label.lower()} changed"),
        )

    @property
    def layout(self) -> Layout | None:
        return next((x for x in self.state.shown.layouts if x.id == self.chosen), None)

    def _length_of(self, field: str) -> float | None:
        layout = self.layout
        if layout is None or getattr(layout, field) is not None:
            return None if layout is None else getattr(layout, field)
        clubs = planned(layout, self.state.shown)
        kind = "wedge" if layout.kind == "single_wedges" or field == "second_length_m" else "iron"
        mine = [c for c in clubs if c.family == kind] or list(clubs)
        return mine[0].length_m if mine else None

    def _try(self, field: str, value: Any, what: str) -> None:
        if self.layout is not None:
            self.state.try_out(edits.layout(self.chosen, **{field: value}), what, on=self.chosen)

    def _layouts(self) -> dict[str, str]:
        layouts = self.state.shown.layouts
        if self.chosen not in {x.id for x in layouts} and layouts:
            self.chosen = next((x.id for x in layouts if x.kind == "single"), layouts[0].id)
        result = self.state.result
        if result is None:
            return {KINDS[x.kind]: x.id for x in layouts}
        return {name: id_ for id_, name in titles(result.layouts, self.state.units, lengths=False).items()}

    def _pick(self, layout_id: str) -> None:
        self.chosen = layout_id
        self.refresh()

    # lofts, longest iron, wanted gap

    def _more(self) -> Any:
        self.loft_step = Slider(
            self.state,
            "Loft step between irons",
            "angle",
            LOFT_STEPS,
            lambda: None if self.layout is None else loft_step_of(planned(self.layout, self.state.shown)),
            lambda value: self.state.try_out(
                edits.loft_steps(self.chosen, value), "loft step changed", on=self.chosen
            ),
            step=0.25,
        )
        self.top = Choice("Longest iron", self._tops(), self._top, self._set_top)
        self.gap = Slider(
            self.state,
            "Wanted gap, for all layouts",
            "gap",
            GAPS,
            lambda: self.state.shown.wants.gap_m,
            lambda value: self.state.try_out(
                lambda c: edits.wants("gap_m")(c, value), "wanted gap changed", on="all layouts"
            ),
            begin=lambda: None if self.state.result is None else self.state.fitting.mean_gap,
        )
        self.gap_said = html()
        return stack(
            self.loft_step.view,
            line(button("Lofts as in the bag", self._lofts_back, cls="quiet")),
            self.top.view,
            self.gap.view,
            self.gap_said,
            html(
                p(
                    "The lofts of all sets are bent towards the wanted gap, as far as the heads allow, here and under "
                    "Build; it is drawn as a band over the gaps. Under What matters to you, the lofts can be bent for "
                    "even gaps instead, or put back as they stand.",
                    cls="small",
                )
            ),
        )

    def _lofts_back(self) -> None:
        if self.layout is not None:
            clubs = tuple(replace(c, loft_deg=None) for c in self.layout.clubs)
            self._try("clubs", clubs, "lofts as in the bag")

    def _irons(self) -> dict[str, str]:
        irons = [c for c in self.state.shown.carried if c.family == "iron"]
        return {c.id: c.name or c.id for c in sorted(irons, key=lambda c: c.loft_deg)}

    def _tops(self) -> dict[str, str]:
        irons = list(self._irons().items())
        return {f"{name} [{i}]" if names_twice(irons, name) else name: i for i, name in irons[:4]} or {
            "\u2013": ""
        }

    def _top(self) -> str:
        clubs = planned(self.layout, self.state.shown) if self.layout else ()
        return next((c.id for c in clubs if c.family == "iron"), next(iter(self._irons()), ""))

    def _set_top(self, top: str) -> None:
        edit = edits.without_irons_above(self.chosen, top or None)
        self.state.try_out(edit, "longest iron changed", on=self.chosen)

    def _refresh_more(self) -> None:
        if self.more.open and self.loft_step is not None:
            self.loft_step.refresh()
            options, top = self._tops(), self._top()
            if top not in options.values():
                options[self._irons().get(top, "\u2013")] = top
            self.top.refresh(options)
            self.gap.refresh()
            layout = None if self.state.result is None else self.layout
            told = () if layout is None else self.state.fitting.gap_of(layout)
            put(self.gap_said, join(*(p(text) for text in phrases(told, self.state.units))))

    # layouts

    def _which(self) -> Any:
        self.kinds = Choice(
            "Kind of layout",
            {v: k for k, v in KINDS.items()},
            lambda: self.kind,
            self._kind,
            listed=True,
        )
        self.drop = button("Remove", self._drop)
        return stack(
            html(p("Up to four layouts side by side.")),
            line(self.kinds.view, button("Add layout", self._add), cls="fields low"),
            line(self.drop),
            self.said,
        )

    def _kind(self, kind: str) -> None:
        self.kind = kind

    def _add(self) -> None:
        if len(self.state.shown.layouts) >= edits.MOST_LAYOUTS:
            put(self.said, note("You can compare up to four layouts; remove one first.", warn=True))
            return
        if self.state.try_out(lambda case: edits.add_layout(case, self.kind), "layout added"):
            self.chosen = self.state.shown.layouts[-1].id
        put(self.said, "")
        self.refresh()

    def _drop(self) -> None:
        if len(self.state.shown.layouts) < 2:
            put(self.said, note("At least one layout has to stay.", warn=True))
            return
        self.state.try_out(lambda case: edits.drop_layout(case, self.chosen), "layout removed")

    def _refresh_which(self) -> None:
        if self.which.open:
            name = next((n for n, i in self._layouts().items() if i == self.chosen), "it")
            label = f"Remove \u201c{name}\u201d"
            if self.drop.label != label:
                self.drop.label = label

    def refresh(self) -> None:
        self.pick.refresh(self._layouts())
        kind = self.layout.kind if self.layout else ""
        show(self.common.view, kind in ("single", "single_wedges", "two_lengths"))
        show(self.second.view, kind == "two_lengths")
        show(self.length_step.view, kind in ("stepped", "single_wedges"))
        self.length_step.own_step = 0.25 if self.state.units == "metric" else 0.125
        for slider in (self.common, self.second, self.length_step):
            if "off" not in slider.view.css_classes:
                slider.refresh()
        self._refresh_more()
        self._refresh_which()


def names_twice(items: list[tuple[str, str]], name: str) -> bool:
    return sum(n == name for _, n in items) > 1


def trying_bar(state: State) -> Any:
    """Says that something is being tried, and keeps it or puts it back; stays in view while scrolling."""
    bar = line(
        html(p("Trying this out; not saved yet.")),
        button("Keep it", state.keep_trial, cls="main"),
        button("Discard", state.drop_trial),
    )
    classes(bar, ["trying", "off"])
    return bar
