"""Step 3, Lay out: layouts side by side, sliders that try out without overwriting, and the verdict."""

from __future__ import annotations

from typing import Any

import panel as pn

from app import edits, look
from app.markup import Safe, bullets, h2, join, note, p, table, tag
from app.measures import unit
from app.parts import Fold, Screen, button, html, line, put, show, stack
from app.plots.carries import CarriesPlot
from app.words import (
    better_line,
    carries_line,
    gaps_line,
    interval,
    percent,
    reasons,
    titles,
    verdict,
)
from engine.case import Layout

SHORTEST, LONGEST = 0.84, 1.02  # [m], what the slider offers


class LayOut(Screen):
    id, title = "layout", "Lay out"

    def build(self) -> list[Any]:
        self._quiet = False
        self.verdict = html()
        self.trying = line(
            html(note("You are trying something out. Your case is as it was until you keep it.")),
            button("Keep it", self.state.keep_trial, cls="main"),
            button("Put it back", self.state.drop_trial),
        )
        show(self.trying, False)
        self.slider = pn.widgets.FloatSlider(
            label="Length of the single-length clubs",
            start=1,
            end=2,
            value=1,
            step=1,
            format="0.00",
            stylesheets=[look.SLIDER],
            margin=0,
        )
        self.slider.param.watch(self._slid, "value")
        self.sliders = stack(
            line(
                self.slider,
                button("\u2212", lambda: self._step(-1), cls="square less"),
                button("+", lambda: self._step(1), cls="square more"),
                cls="pair",
            ),
        )
        self.plot = CarriesPlot()
        self.key = html()
        self.carries_line = html()
        self.carries = Fold("Carries as a table", self._carries, refresh=self._refresh_carries)
        self.carries_table = html()
        self.gap_words = html()
        self.gaps = html()
        self.warnings = html()
        return [
            stack(html(h2("Lay out the set")), self.verdict, cls="sheet"),
            self.trying,
            stack(self.sliders, self.key, self.plot.view, self.carries_line, self.carries.view, cls="sheet"),
            stack(html(h2("Gaps")), self.gap_words, self.gaps, cls="sheet"),
            self.warnings,
            line(button("Next: build it", lambda: self.go("build"), cls="main")),
        ]

    # sliders

    @property
    def single(self) -> Layout | None:
        return next((x for x in self.state.shown.layouts if x.kind == "single"), None)

    def _slid(self, event: Any) -> None:
        if not self._quiet:
            self._set_common(unit("club", self.state.units).si(float(event.new)))

    def _step(self, by: int) -> None:
        shown = unit("club", self.state.units)
        steps = round(float(self.slider.value) / shown.step) + by
        self._set_common(shown.si(steps * shown.step))

    def _set_common(self, length: float) -> None:
        single = self.single
        if single is not None:
            length = round(min(max(length, SHORTEST), LONGEST), 5)
            self.state.try_out(edits.layout(single.id, common_length_m=length), "common length tried")

    def _refresh_slider(self) -> None:
        single = self.single
        show(self.sliders, single is not None)
        if single is None:
            return
        shown = unit("club", self.state.units)
        step = shown.step
        low, high = (round(shown.shown(end) / step) * step for end in (SHORTEST, LONGEST))
        common = single.common_length_m
        if common is None and self.state.result:
            common = next(
                c["length_m"]
                for x in self.state.result["layouts"]
                if x["id"] == single.id
                for c in x["clubs"]
                if c["family"] == "iron"
            )
        value = min(max(round(shown.shown(common or 0.94), 3), low), high)
        self._quiet = True
        try:
            label = f"Length of the single-length clubs ({shown.name})"
            wanted = {"start": low, "end": high, "step": step, "value": value, "label": label}
            new = {k: v for k, v in wanted.items() if getattr(self.slider, k) != v}
            if new:
                self.slider.param.update(**new)
        finally:
            self._quiet = False

    # tables

    def _carries(self) -> Any:
        return self.carries_table

    def _refresh_carries(self) -> None:
        result = self.state.result
        if not self.carries.open or result is None:
            return
        system = self.state.units
        names = titles(result, system)
        put(self.carries_table, carries_table(result, names, system))

    def refresh(self) -> None:
        show(self.trying, self.state.trying)
        self._refresh_slider()
        result = self.state.result
        if result is None:
            put(self.verdict, note(p(self.state.problem), warn=True))
            return
        system = self.state.units
        names = titles(result, system)
        put(self.verdict, verdict_card(result, system))
        put(self.key, series_key(names))
        put(self.carries_line, p(carries_line(result, system)))
        self.plot.update(result, system)
        self._refresh_carries()
        put(self.gap_words, p(gaps_line(result, system)))
        put(self.gaps, gaps_table(result, names, system))
        put(self.warnings, note(bullets(result["warnings"]), warn=True) if result["warnings"] else "")


def verdict_card(result: dict[str, Any], system: str) -> Safe:
    """The verdict, its chance, and what speaks for and against."""
    said = verdict(result)
    if said is None:
        return p("There is nothing to compare: keep at least two layouts.")
    parts: list[Any] = [p(said["what"], cls="lead")]
    better = better_line(result, system)
    if better:
        parts.append(p(tag("b", better)))
    found = reasons(result, system)
    if found:
        parts.append(bullets(found[:5]))
    else:
        parts.append(p("Nothing measured so far sets them clearly apart."))
    parts += [
        note(p(a["what"]), p(a["why"], cls="small")) for a in result["advice"] if a.get("topic") == "next"
    ][:1]
    return join(*parts)


def series_key(names: dict[str, str]) -> Safe:
    """Colour and mark of each layout, in words."""
    marks = {"circle": "\u25cf", "square": "\u25a0", "triangle": "\u25b2", "diamond": "\u25c6"}
    items = [
        Safe(
            f'<span style="border-color:{colour}"><span style="border:0;padding:0;margin:0;color:{colour}">{marks[mark]}</span>\u00a0{tag("b", name)[3:-4]}</span>'
        )
        for name, colour, mark in zip(names.values(), look.SERIES, look.MARKERS, strict=False)
    ]
    items.append(Safe("<span>\u2715\u00a0measured</span>"))
    return tag("div", *items, cls="tags")


def carries_table(result: dict[str, Any], names: dict[str, str], system: str) -> Safe:
    """Every club and layout: mean and 90 % interval."""
    order: dict[str, str] = {}
    for layout in result["layouts"]:
        for club in layout["clubs"]:
            order.setdefault(club["id"], club["name"] or club["id"])
    by = {x["id"]: {c["id"]: c["carry_m"] for c in x["clubs"]} for x in result["layouts"]}
    rows = []
    for club_id, name in order.items():
        cells: list[Any] = [name]
        for layout_id in names:
            carry = by[layout_id].get(club_id)
            cells.append(
                "\u2013"
                if carry is None
                else interval(carry["mean"], carry["lo90"], carry["hi90"], "carry", system)
            )
        rows.append(cells)
    return table(["Club", *names.values()], rows, caption="Carry, mean and 90 % interval")


def gaps_table(result: dict[str, Any], names: dict[str, str], system: str) -> Safe:
    """Gaps between neighbouring irons and wedges of each layout, with the chance of overlap."""
    pairs: dict[tuple[str, str], dict[str, Any]] = {}
    called: dict[str, str] = {}
    for layout in result["layouts"]:
        ids = {c["id"] for c in layout["clubs"] if c["family"] in ("iron", "wedge")}
        called.update({c["id"]: c["name"] or c["id"] for c in layout["clubs"]})
        for gap in layout["gaps"]:
            if gap["longer"] in ids and gap["shorter"] in ids:
                pairs.setdefault((gap["longer"], gap["shorter"]), {})[layout["id"]] = gap
    rows = []
    for (longer, shorter), found in pairs.items():
        cells: list[Any] = [f"{called[longer]} to {called[shorter]}"]
        for layout_id in names:
            gap = found.get(layout_id)
            if gap is None:
                cells.append("\u2013")
                continue
            mean, low, high = gap["gap_m"]["mean"], gap["gap_m"]["lo90"], gap["gap_m"]["hi90"]
            shown = unit("gap", system)
            cells.append(
                join(
                    tag("b", shown.text(mean)),
                    tag("span", f"{shown.text(low)} to {shown.text(high)}", cls="small under"),
                    tag("span", f"overlap {percent(gap['chance_overlap'])}", cls="small under"),
                )
            )
        rows.append(cells)
    if not rows:
        return p("No neighbouring irons or wedges.")
    return table(
        ["Between", *names.values()],
        rows,
        caption=f"Gap in {unit('gap', system).name}, 90 % interval, and chance that one ball with the shorter club flies further",
    )
