"""Step 4, Build: present against wanted for every club of one layout, cautions, a sheet to print, CSV."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from app import bridge, edits, look
from app.files import csv_text, file_name
from app.markup import Safe, bullets, h2, h3, join, note, p, table, tag
from app.measures import unit
from app.parts import Choice, Fold, NumberField, Screen, button, html, line, put, show, stack
from app.words import SHOP_CAUTIONS, change_cautions, titles
from engine.clubs.balance import usual_parts, weigh
from engine.fields import LAYOUT_CLUB

KEYS = (("length_m", "club"), ("loft_deg", "angle"), ("lie_deg", "angle"), ("head_kg", "mass"))


class Build(Screen):
    id, title = "build", "Build"

    def build(self) -> list[Any]:
        self.layout_id = ""
        self.club_id = ""
        self.which = Choice("Build which layout", self._layouts(), lambda: self.layout_id, self._choose)
        self.sheet = html(sheet=look.SHEET_PRINT, cls="printed")
        self.hand = Fold("Change a figure by hand", self._hand, refresh=self._refresh_hand)
        self.fields: list[Any] = []
        self.done = html()
        return [
            stack(html(h2("Build the set")), self.which.view, cls="sheet"),
            stack(self.sheet, cls="sheet"),
            line(
                button("Print this sheet", lambda: bridge.print_page("sheet"), cls="main"),
                button("Save as CSV", self._csv),
            ),
            stack(self.hand.view, cls="sheet"),
            stack(
                html(
                    join(
                        h3("When it is built"),
                        p(
                            "Make the new set the present bag, hit it, and see measured against "
                            "predicted. The balls of "
                            "the old clubs stay with the old clubs, and what they taught stays with them."
                        ),
                    )
                ),
                line(button("It is built: make this the present bag", self._make_present)),
                self.done,
                cls="sheet",
            ),
            line(button("Next: play it", lambda: self.go("play"), cls="main")),
        ]

    def _layouts(self) -> dict[str, str]:
        result = self.state.result
        if result is None:
            return {"\u2013": ""}
        names = titles(result, self.state.units)
        if self.layout_id not in names:
            changed = [x["id"] for x in result["layouts"] if x["kind"] not in ("present", "stepped")]
            self.layout_id = (changed or list(names))[0]
        return {title: id_ for id_, title in names.items()}

    def _choose(self, layout_id: str) -> None:
        self.layout_id = layout_id
        self.refresh()

    @property
    def layout(self) -> dict[str, Any] | None:
        result = self.state.result
        return next((x for x in result["layouts"] if x["id"] == self.layout_id), None) if result else None

    # by hand

    def _hand(self) -> Any:
        self.pick = Choice("Club", self._clubs(), lambda: self.club_id, self._pick, listed=True)
        self.fields = [
            self._field(label, quantity, key)
            for label, (key, quantity) in zip(("Length", "Loft", "Lie", "Head mass"), KEYS, strict=True)
        ]
        return stack(
            html(p("Empty goes back to the worked-out figure. What was set by hand is marked on the sheet.")),
            self.pick.view,
            line(*[f.view for f in self.fields], cls="fields"),
        )

    def _clubs(self) -> dict[str, str]:
        layout = self.layout
        clubs = layout["clubs"] if layout else []
        if self.club_id not in {c["id"] for c in clubs}:
            irons = [c["id"] for c in clubs if c["family"] == "iron"] or [c["id"] for c in clubs]
            self.club_id = irons[0] if irons else ""
        return {f"{c['name'] or c['id']} [{c['id']}]": c["id"] for c in clubs} or {"\u2013": ""}

    def _pick(self, club_id: str) -> None:
        self.club_id = club_id
        self._refresh_hand()

    def _field(self, label: str, quantity: str, key: str) -> NumberField:
        def get(case: Any) -> float | None:
            for x in self.state.shown.layouts:
                for c in x.clubs if x.id == self.layout_id else ():
                    if c.id == self.club_id:
                        return getattr(c, key)
            return None

        return NumberField(
            self.state,
            label,
            quantity,
            LAYOUT_CLUB[key],
            get,
            lambda case, value: edits.layout_club(self.layout_id, self.club_id, key)(case, value),
        )

    def _refresh_hand(self) -> None:
        if self.hand.open and self.fields:
            self.pick.refresh(self._clubs())
            for field in self.fields:
                field.refresh()

    # out of the page

    def _csv(self) -> None:
        layout = self.layout
        if layout is None:
            return
        system = self.state.units
        head, rows = sheet_rows(self.state.shown, layout, system)
        name = file_name(f"{self.state.store.entry.name}-{layout['id']}", "csv")
        bridge.download(name, "text/csv;charset=utf-8", csv_text(head, rows))
        bridge.announce("The sheet was saved as CSV")

    def _make_present(self) -> None:
        layout = self.layout
        if layout is None:
            return
        clubs = layout["clubs"]
        self.state.keep_trial()
        self.state.change(lambda case: edits.built(case, clubs), "new set made the present bag")
        put(
            self.done,
            note(p("The new set is the present bag now. Hit it next; Undo brings the old one back.")),
        )
        bridge.announce("The new set is the present bag")

    def refresh(self) -> None:
        self.which.refresh(self._layouts())
        layout = self.layout
        if layout is None:
            put(self.sheet, note(p(self.state.problem or "There is no layout to build."), warn=True))
            return
        put(self.sheet, sheet(self.state, layout))
        self._refresh_hand()
        show(self.done, self.layout_id == "built" or bool(self.done.object and self.state.undo_what))


def _pairs(case: Any, layout: dict[str, Any]) -> list[tuple[Any, dict[str, Any]]]:
    present = {c.id: c for c in case.bag}
    return [(present[c["id"]], c) for c in layout["clubs"] if c["id"] in present]


def sheet_rows(case: Any, layout: dict[str, Any], system: str) -> tuple[list[str], list[list[str]]]:
    """The sheet as plain text cells: present, wanted and change of each figure of each club."""
    head = ["Club"]
    for label, (_, quantity) in zip(("length", "loft", "lie", "head"), KEYS, strict=True):
        name = unit(quantity, system).name.replace("\u00b0", "deg")
        head += [f"{label} now ({name})", f"{label} wanted ({name})", f"{label} change ({name})"]
    head.append("set by hand")
    rows = []
    for now, wanted in _pairs(case, layout):
        row = [now.name or now.id]
        for key, quantity in KEYS:
            shown = unit(quantity, system)
            was, will = getattr(now, key), wanted[key]
            change = shown.text(will - was + shown.zero, sign=True)
            row += [shown.text(was), shown.text(will), change]
        row.append("yes" if edits.by_hand(case, layout["id"], now.id) else "")
        rows.append(row)
    return head, rows


def sheet(state: Any, layout: dict[str, Any]) -> Safe:
    """The sheet on the screen and on paper."""
    case, system = state.shown, state.units
    names = titles(state.result, system)
    rows = []
    for now, wanted in _pairs(case, layout):
        cells: list[Any] = [now.name or now.id]
        if edits.by_hand(case, layout["id"], now.id):
            cells = [join(now.name or now.id, tag("span", "by hand", cls="small under"))]
        for key, quantity in KEYS:
            shown = unit(quantity, system)
            was, will = shown.text(getattr(now, key)), shown.text(wanted[key])
            if was == will:
                cells.append(will)
            else:
                change = shown.text(wanted[key] - getattr(now, key) + shown.zero, sign=True)
                cells.append(join(tag("b", will), tag("span", f"{was}, so {change}", cls="small under")))
        made = replace(now, length_m=wanted["length_m"], head_kg=wanted["head_kg"])
        label, before = (weigh(usual_parts(c)).swing_weight for c in (made, now))
        cells.append(
            label if label == before else join(tag("b", label), tag("span", before, cls="small under"))
        )
        rows.append(cells)
    length, angle, mass = (unit(q, system).name for q in ("club", "angle", "mass"))
    cautions = change_cautions(
        [(now.name or now.id, now, wanted) for now, wanted in _pairs(case, layout)], system
    )
    return join(
        h2(f"{names[layout['id']]}: {state.store.entry.name}"),
        p(
            "Swing weights take a shaft and grip of the usual mass for each kind of club; weigh your own.",
            cls="small",
        ),
        p("Bold is what to build; under it what the club has now and by how much it changes.", cls="small"),
        table(
            [
                "Club",
                f"Length ({length})",
                f"Loft ({angle})",
                f"Lie ({angle})",
                f"Head ({mass})",
                "Swing weight",
            ],
            rows,
            caption="Present against wanted",
        ),
        note(h3("Before you begin, for these clubs"), bullets(cautions), warn=True) if cautions else "",
        h3("At the bench"),
        bullets(SHOP_CAUTIONS),
    )
