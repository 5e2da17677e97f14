"""Step 3, Lay out: layouts side by side, sliders that try out without overwriting, and the verdict."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import panel as pn

from app import edits, look
from app.markup import Safe, bullets, esc, h2, join, note, p, table, tag
from app.measures import unit
from app.parts import Choice, Fold, NumberField, Screen, button, html, line, put, show, stack
from app.plots.address import address_figures
from app.plots.carries import CarriesPlot
from app.plots.flights import flights
from app.words import (
    KINDS,
    air_line,
    better_line,
    carries_line,
    gaps_line,
    percent,
    reasons,
    titles,
    verdict,
)
from engine.case import Layout
from engine.fields import LAYOUT

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
        self.posture_pane, self.flight_pane, self.what_if_note = html(), html(), html()
        self.posture = Fold("At address", lambda: self.posture_pane, refresh=self._refresh_pictures)
        self.flights = Fold("Flights from the side", lambda: self.flight_pane, refresh=self._refresh_pictures)
        self.set_up = Fold("Which layouts, and more to try", self._set_up, refresh=self._refresh_set_up)
        self.air_words = html()
        self.gap_words = html()
        self.gaps = html()
        self.warnings = html()
        return [
            stack(html(h2("Lay out the set")), self.verdict, cls="sheet"),
            self.trying,
            stack(
                self.sliders,
                self.key,
                self.plot.view,
                self.carries_line,
                self.air_words,
                self.carries.view,
                cls="sheet",
            ),
            stack(self.set_up.view, self.posture.view, self.flights.view, cls="sheet"),
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
        steps = round(float(self.slider.value or 0) / shown.step) + by
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

    # layouts side by side

    def _set_up(self) -> Any:
        self.chosen, self.kind = "", "present"
        self.pick = Choice("Layout", self._layouts(), lambda: self.chosen, self._pick, listed=True)
        self.kinds = Choice(
            "Add a layout", {v: k for k, v in KINDS.items()}, lambda: self.kind, self._kind, listed=True
        )
        self.add = button("Add", self._add_layout)
        self.drop = button("Take this layout away", self._drop_layout)
        self.loft_step = pn.widgets.FloatSlider(
            label="Loft step of its irons (\u00b0)",
            start=2.5,
            end=6.0,
            step=0.25,
            value=4.0,
            format="0.00",
            stylesheets=[look.SLIDER],
            margin=0,
        )
        self.loft_step.param.watch(self._lofts, "value")
        self.as_bag = button("Lofts as in the bag", self._lofts_back)
        self.top = Choice("Its longest iron", {"All irons": ""}, self._top, self._set_top, listed=True)
        self.common = NumberField(
            self.state,
            "Its common length",
            "club",
            LAYOUT["common_length_m"],
            lambda case: self._layout.common_length_m if self._layout else None,
            lambda case, value: edits.layout(self.chosen, common_length_m=value)(case),
            change=self.state.try_out,
        )
        self.second = NumberField(
            self.state,
            "Its second length",
            "club",
            LAYOUT["second_length_m"],
            lambda case: self._layout.second_length_m if self._layout else None,
            lambda case, value: edits.layout(self.chosen, second_length_m=value)(case),
            change=self.state.try_out,
        )
        return stack(
            html(
                p(
                    "Up to four layouts side by side. Everything here is tried out first; keep it when "
                    "you like it."
                )
            ),
            line(self.kinds.view, self.add, cls="fields"),
            line(self.pick.view, self.top.view, self.common.view, self.second.view, cls="fields"),
            self.loft_step,
            line(self.as_bag, self.drop),
            self.what_if_note,
        )

    @property
    def _layout(self) -> Layout | None:
        return next((x for x in self.state.shown.layouts if x.id == self.chosen), None)

    def _layouts(self) -> dict[str, str]:
        layouts = self.state.shown.layouts
        if self.chosen not in {x.id for x in layouts} and layouts:
            self.chosen = next((x.id for x in layouts if x.kind == "single"), layouts[0].id)
        return {f"{KINDS[x.kind]} [{x.id}]" if _twins(layouts, x) else KINDS[x.kind]: x.id for x in layouts}

    def _pick(self, layout_id: str) -> None:
        self.chosen = layout_id
        self._refresh_set_up()

    def _kind(self, kind: str) -> None:
        self.kind = kind

    def _add_layout(self) -> None:
        if len(self.state.shown.layouts) >= edits.MOST_LAYOUTS:
            put(self.what_if_note, note("Four layouts is the most; take one away first.", warn=True))
            return
        self.state.try_out(lambda case: edits.add_layout(case, self.kind), "layout added")
        self.chosen = self.state.shown.layouts[-1].id
        put(self.what_if_note, "")
        self._refresh_set_up()

    def _drop_layout(self) -> None:
        if len(self.state.shown.layouts) < 2:
            put(self.what_if_note, note("One layout has to stay.", warn=True))
            return
        self.state.try_out(lambda case: edits.drop_layout(case, self.chosen), "layout taken away")

    def _lofts(self, event: Any) -> None:
        if not self._quiet and self._layout is not None:
            step = float(event.new)
            self.state.try_out(edits.loft_steps(self.chosen, step), "loft step tried")

    def _lofts_back(self) -> None:
        layout = self._layout
        if layout is not None:
            clubs = tuple(replace(c, loft_deg=None) for c in layout.clubs)
            self.state.try_out(edits.layout(layout.id, clubs=clubs), "lofts as in the bag")

    def _top(self) -> str:
        layout, irons = self._layout, self._irons()
        named = {c.id for c in layout.clubs} if layout else set()
        kept = [i for i in irons if i in named]
        return kept[0] if kept and kept[0] != irons[0] else ""

    def _irons(self) -> list[str]:
        irons = [c for c in self.state.shown.bag if c.family == "iron"]
        return [c.id for c in sorted(irons, key=lambda c: c.loft_deg)]

    def _set_top(self, top: str) -> None:
        self.state.try_out(edits.without_irons_above(self.chosen, top or None), "longest iron tried")

    def _refresh_set_up(self) -> None:
        if not self.set_up.open:
            return
        self.pick.refresh(self._layouts())
        names = {c.id: c.name or c.id for c in self.state.shown.bag}
        self.top.refresh({"All irons": "", **{names[i]: i for i in self._irons()[1:]}})
        layout = self._layout
        kind = layout.kind if layout else ""
        show(self.common.view, kind in ("single", "single_wedges", "two_lengths"))
        show(self.second.view, kind == "two_lengths")
        self.common.refresh()
        self.second.refresh()

    # pictures

    def _refresh_pictures(self) -> None:
        result = self.state.result
        if result is None:
            return
        names = titles(result, self.state.units)
        if self.posture.open:
            put(self.posture_pane, address_figures(self.state.shown, result, names, self.state.units))
        if self.flights.open:
            put(self.flight_pane, flights(self.state.shown, result, names, self.state.units))

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
        put(self.air_words, p(air_line(self.state.shown, system), cls="small"))
        self._refresh_set_up()
        self._refresh_pictures()
        put(self.gap_words, p(gaps_line(result, system)))
        put(self.gaps, gaps_table(result, names, system))
        put(self.warnings, note(bullets(result["warnings"]), warn=True) if result["warnings"] else "")


def _twins(layouts: tuple[Layout, ...], one: Layout) -> bool:
    return sum(x.kind == one.kind for x in layouts) > 1


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
            f'<span style="border-color:{colour}"><span style="border:0;padding:0;margin:0;color:{colour}">'
            f"{marks[mark]}</span>\u00a0{esc(name)}</span>"
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
    shown = unit("carry", system)
    by = {x["id"]: {c["id"]: c["carry_m"] for c in x["clubs"]} for x in result["layouts"]}
    rows = []
    for club_id, name in order.items():
        cells: list[Any] = [name]
        for layout_id in names:
            carry = by[layout_id].get(club_id)
            cells.append("\u2013" if carry is None else _stacked(carry, shown))
        rows.append(cells)
    return table(["Club", *names.values()], rows, caption=f"Carry in {shown.name}, mean and 90 % interval")


def _stacked(carry: dict[str, Any], shown: Any) -> Safe:
    return join(
        tag("b", shown.text(carry["mean"])),
        tag("span", f"{shown.text(carry['lo90'])} to {shown.text(carry['hi90'])}", cls="small under"),
    )


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
        caption=f"Gap in {unit('gap', system).name}, 90 % interval, and chance that one ball "
        "with the shorter club flies further",
    )
