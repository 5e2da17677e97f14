"""Step 4, Build: present against wanted for every club of one layout, cautions, a sheet to print, CSV."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from app import bridge, edits, styles
from app.files import file_name
from app.html import h3, join, note, p, tag
from app.phrases.layouts import set_titles
from app.phrases.say import listed
from app.screens.bench import NOT_ORDERED, Bench, left_words, off_by_order
from app.screens.record import record_table
from app.screens.sheet import CLUB_KEYS, LayoutToBuild, sheet, sheet_rows
from app.units import bench_length
from app.widgets import Choice, Fold, NumberField, Screen, Tick, button, html, line, put, show, stack
from engine.documents.case import Club
from engine.documents.csv_text import csv_text
from engine.documents.fields import LAYOUT_CLUB, WANTS
from engine.sets.common_target import asked_of_each
from engine.sets.plan import BUILT, ORDERED
from engine.workshop.build_sheet import ClubWork
from engine.workshop.limits import SMALLEST_BEND_DEG
from engine.workshop.made import without
from engine.workshop.steps import EIGHTH_M, MILLIMETRES_M

LENGTH_STEPS = (EIGHTH_M, MILLIMETRES_M)


class Build(Screen):
    id, title = "build", "Build"
    head = (
        "Build the set",
        "What each club measures now, what it should measure, and the work to get there.",
    )

    def build(self) -> list[Any]:
        self.layout_id = ""
        self.club_id = ""
        self.to_build: LayoutToBuild | None = None  # of the layout shown
        self.asking = False  # whether what cannot be made was built all the same
        self.which = Choice("Set to build", self._layouts(), lambda: self.layout_id, self._choose)
        self.own = html()
        self.sheet = html(sheet=styles.SHEET_PRINT, cls="printed")
        self.hand = Fold("Change a figure by hand", self._hand, refresh=self._refresh_hand)
        self.fields: list[Any] = []
        self.done = html()
        self.sure = line(
            button("Leave those clubs as they are", lambda: self._make_present(found=False)),
            button("They came out as planned: use this as the present bag", self._make_present),
        )
        show(self.sure, False)
        self.by_hand = stack(self.hand.view, cls="sheet folds")
        self.with_record = False
        self.record = Tick(
            "Print the job record with the sheet", lambda: self.with_record, self._print_record
        )
        self.order = button("Note as ordered today", self._note_order)
        self.when_built = self._when_built()
        return [
            stack(self.which.view, self.own, cls="sheet"),
            line(
                button("Print this sheet", lambda: bridge.print_page("sheet"), cls="main"),
                button("Save as CSV", self._csv),
                self.order,
                cls="ends",
            ),
            stack(self.sheet, cls="sheet"),
            stack(self.record.view, cls="sheet"),
            self.by_hand,
            self.when_built,
            line(button("Next: play it", lambda: self.go("play"), cls="main to-play"), cls="ends"),
        ]

    def _when_built(self) -> Any:
        self.bench = Bench(self.state)
        self.take = line(button("It is built: make this the present bag", self._ask_present))
        return stack(
            self.bench.view,
            html(
                join(
                    h3("When it is built"),
                    p(
                        "Make the new set the present bag, hit it, and compare measured with predicted carries. "
                        "Shots hit with a club before it was changed still count towards the swing, but that "
                        "old club is no longer part of any layout."
                    ),
                )
            ),
            self.take,
            self.done,
            self.sure,
            cls="sheet",
        )

    def _layouts(self) -> dict[str, str]:
        result = self.state.result
        if result is None:
            return {"\u2013": ""}
        names = set_titles(self.state.fitting, self.state.units)
        self.layout_id = self.state.fitting.layout.id
        return {title: id_ for id_, title in names.items()}

    def _choose(self, layout_id: str) -> None:
        self.layout_id = layout_id
        self.state.change(
            lambda case: edits.wants("layout")(case, layout_id), "set to build and play changed"
        )

    @property
    def planned(self) -> tuple[Club, ...] | None:
        """The clubs of the layout to build; ``None`` where the case could not be solved."""
        return None if self.state.result is None else self.state.fitting.planned

    # by hand

    def _hand(self) -> Any:
        self.pick = Choice("Club", self._clubs(), lambda: self.club_id, self._pick, picks=True)
        self.fields = [
            self._field({"head": "Head mass"}.get(label, label.capitalize()), quantity, key)
            for label, (key, quantity) in CLUB_KEYS.items()
        ]
        least = NumberField(
            self.state,
            "Least bend worth ordering",
            "set_angle",
            WANTS["least_bend_deg"],
            lambda case: case.wants.least_bend_deg or SMALLEST_BEND_DEG,
            edits.wants("least_bend_deg"),
        )
        self.fields.append(least)
        self.steps = Choice(
            "Lengths are cut in steps of",
            self._length_steps(),
            lambda: self.state.shown.wants.length_step_m or EIGHTH_M,
            self._length_step,
            listed=True,
        )
        return stack(
            html(
                p(
                    "Clear a field to go back to the calculated figure. Figures you change are marked on the sheet."
                )
            ),
            self.pick.view,
            line(*[f.view for f in (*self.fields, self.steps)], cls="fields"),
        )

    def _length_steps(self) -> dict[str, float]:
        """The steps to choose from, and one that a document states."""
        stated = self.state.shown.wants.length_step_m
        steps = dict.fromkeys((*LENGTH_STEPS, *[stated] * (stated is not None)))
        return {
            bench_length(step, self.state.units).replace("\u00a0", " "): step
            for step in steps
            if step is not None
        }

    def _length_step(self, step: float) -> None:
        stated = None if step == EIGHTH_M else step
        self.state.change(lambda case: edits.wants("length_step_m")(case, stated), "step of length changed")

    def _clubs(self) -> dict[str, str]:
        clubs = self.planned or ()
        if self.club_id not in {c.id for c in clubs}:
            irons = [c.id for c in clubs if c.family == "iron"] or [c.id for c in clubs]
            self.club_id = irons[0] if irons else ""
        return {f"{c.name or c.id} [{c.id}]": c.id for c in clubs} or {"\u2013": ""}

    def _pick(self, club_id: str) -> None:
        self.club_id = club_id
        self._refresh_hand()

    def _field(self, label: str, quantity: str, key: str) -> NumberField:
        def get(case: Any) -> float | None:
            for x in self.state.shown.layouts:
                for c in x.clubs if x.id == self.layout_id else ():
                    if c.id == self.club_id:
                        found: float | None = getattr(c, key)
                        return found
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
            self.steps.refresh(self._length_steps())

    # out of the page

    def _csv(self) -> None:
        if self.to_build is None:
            return
        head, rows = sheet_rows(self.to_build, self.state.units)
        name = file_name(f"{self.state.store.entry.name}-{self.layout_id}", "csv")
        bridge.download(name, "text/csv;charset=utf-8", csv_text(head, rows))
        bridge.announce("The build sheet was saved as CSV")

    def _print_record(self, wanted: bool) -> None:
        self.with_record = wanted
        self.refresh()

    def _note_order(self) -> None:
        """Write down today what the sheet orders of each club that it changes."""
        if self.to_build is None:
            return
        present = self.to_build.present
        firm = [self._firm(w) for w in self.to_build.sheet.clubs if w.id in present]
        orders = [club for club in firm if club != present[club.id]]
        begun = self.state.fitting.lies_begun
        clubs = [
            edits.job_club(c, names=edits.ordered_figures(present[c.id], c), begin=c.id in begun)
            for c in orders
        ]
        if not clubs:
            bridge.announce("The sheet has no firm order yet, so nothing was noted")
            return
        self.state.change(lambda case: edits.noted(case, "ordered", clubs), "order noted")
        bridge.announce("Noted as ordered today; the job record stands under Players")

    def _ask_present(self) -> None:
        """Take the set in; where the sheet says that some of it cannot be made, or has no firm order, ask first."""
        clubs = self.to_build.sheet.clubs if self.to_build else ()
        case = self.state.shown
        stuck = [c.name for c in clubs if not c.feasible and edits.measured_of(case, c.id) is None]
        unsure = [c.name for c in clubs if self._in_brackets(c)]
        if not stuck and not unsure:
            self._make_present()
            return
        said = "According to the sheet, these clubs cannot be made as planned from the present heads and shafts: "
        guess = "Figures of these clubs are wanted in brackets, without a firm order, and nobody has measured them: "
        put(
            self.done,
            note(
                *[
                    p(words, ", ".join(names), ".")
                    for words, names in ((said, stuck), (guess, unsure))
                    if names
                ],
                p("If they came out differently, type above what you measured."),
                warn=True,
            ),
        )
        show(self.done, True)
        show(self.sure, True)
        self.asking = True

    def _make_present(self, *, found: bool = True) -> None:
        """Take the set in; ``found`` says that heads which the sheet looks for were found. If they were not, the clubs stay
        as they are and are looked for still.
        """
        if self.planned is None:
            return
        assert self.to_build is not None
        off = self.bench.off()
        work = self.to_build.sheet.clubs
        clubs = self._ordered() if found else tuple(self._firm(w, self._in_brackets(w)) for w in work)
        stuck = {w.id for w in work if not w.feasible or self._in_brackets(w)}
        sought = () if found else tuple(c for c in self.to_build.wanted if c.id in stuck)
        sought += tuple(
            c
            for w in work
            if w.feasible and (found or w.id not in stuck) and (c := self._left_open(w)) != w.target
        )
        names = {c.id: c.name or c.id for c in clubs}
        present = self.bench.present
        shown, bent = self.state.shown, self.state.fitting.lofts_asked
        plan = self.to_build.lofts
        fitting = self.state.fitting
        how: dict[str, Any] = {
            "aims": fitting.aims,
            "starts": fitting.lies_begun,
            "promised": fitting.promised,
        }
        unhit = [names[c.club] for c in plan.clubs if c.waits and c.club in names] if plan else []
        to_hit = self.to_build.to_hit
        if not self.state.change(
            lambda case: edits.built(shown, clubs, sought=sought, **how),
            "new set made the present bag",
        ):
            return
        system = self.state.units
        heads = ("Not as ordered, and now in the bag as measured: ", f"{NOT_ORDERED} ")
        left = [
            p(head, "; ".join(f"{names[i]}: {words}" for i, words in told.items()), ".")
            for head, told in zip(heads, off_by_order(off, present, system), strict=True)
            if told
        ]
        so = [
            f"{self.state.case.club(one.club).name}: {words}"
            for layout in self.state.case.layouts
            if layout.id == BUILT
            for one in layout.as_is
            if (words := left_words(one, self.state.case.club(one.club), system))
        ]
        put(
            self.done,
            note(
                *left,
                p("; ".join(so), ".") if so else "",
                p("Choose \u201cLeft to do\u201d above for a sheet of it.")
                if any(x.id == ORDERED for x in self.state.case.layouts)
                else "",
                p(
                    "The new set is now the present bag; your other layouts stay under Lay out. ",
                    "What you asked of the lofts still holds. " if bent else "",
                    f"Not bent yet: {listed(unhit)}. Hit the {listed(to_hit)}, and the next sheet bends what is off. "
                    if unhit
                    else "",
                    "Hit it next; Undo brings the old bag back.",
                ),
            ),
        )
        show(self.done, True)
        show(self.when_built, True)
        bridge.announce("The new set is the present bag")

    def _in_brackets(self, work: ClubWork) -> set[str]:
        """The figures that the sheet moves without a firm order and that nobody has measured."""
        assert self.to_build is not None
        told, present = edits.measured_of(self.state.shown, work.id), self.to_build.present.get(work.id)
        return {
            n
            for n in _loose(work, self.state.fitting.lies_begun)
            if present is not None and getattr(work.target, n) != getattr(present, n)
            if told is None or getattr(told, n) is None
        }

    def _firm(self, work: ClubWork, names: Collection[str] | None = None) -> Club:
        """A club as it is firmly ordered, or without the figures of these ``names``."""
        assert self.to_build is not None
        loose = _loose(work, self.state.fitting.lies_begun) if names is None else names
        return without(self.to_build.present[work.id], work.target, loose)

    def _left_open(self, work: ClubWork) -> Club:
        """A club with what the sheet wants of it and could not order: figures to be measured first, and a lie taken of
        another club once that was measured."""
        case, lie = self.state.shown, work.target.lie_deg
        if work.wanted == work.target:
            return work.wanted
        if work.id in self.state.fitting.lies_begun and work.wanted.lie_deg == lie:
            return replace(work.wanted, lie_deg=self.bench.present[work.id].lie_deg)  # the start was made
        source = self.state.fitting.on_guess(self.state.fitting.layout).get(work.id, {}).get("lie_deg")
        if source is None or work.wanted.lie_deg == lie:
            return work.wanted
        told = edits.measured_of(case, source.id)
        known = told.lie_deg if told is not None else None
        return replace(work.wanted, lie_deg=lie if known is None else known)

    def _ordered(self) -> tuple[Club, ...]:
        """The clubs as the sheet orders them; one whose head has to be found, as it is looked for."""
        assert self.to_build is not None
        return tuple(work.target if work.feasible else work.wanted for work in self.to_build.sheet.clubs)

    def _refresh_own(self) -> None:
        """The present set is not built: nothing to change by hand, nothing to take in, but a word on what to choose."""
        result, case = self.state.result, self.state.shown
        offered = any(x.id == self.layout_id for x in case.layouts)
        changed = self.to_build is not None and any(club not in case.bag for club in self.to_build.wanted)
        said = ""
        if result is not None and not changed:
            said = p("This is the set in the bag now. Choose the set to build above.")
        put(self.own, said)
        show(self.own, bool(said))
        show(self.by_hand, offered)
        show(self.when_built, changed or bool(self.done.object))
        for part in (self.bench.view, self.take, self.order):
            show(part, changed)

    def refresh(self) -> None:
        self.which.refresh(self._layouts())
        if self.asking:  # whatever changed, the question was about what stood before
            self.asking = False
            put(self.done, "")
            show(self.sure, False)
        if self.layout_id != "built":  # what was taken in was undone, or another set is looked at
            put(self.done, "")
        self.to_build = None if self.planned is None else LayoutToBuild(self.state.fitting)
        self._refresh_own()
        if self.to_build is not None:
            stuck = {work.id for work in self.to_build.sheet.clubs if not work.feasible}
            made, fitting = self._ordered(), self.state.fitting
            of_set = asked_of_each(fitting.case, fitting.layout, {c.id: c for c in made})
            begun = fitting.lies_begun
            of_set = {i: names - ({"lie_deg"} if i in begun else set()) for i, names in of_set.items()}
            self.bench.refresh(self.to_build.present, made, stuck, of_set)
        if self.to_build is None:
            put(self.sheet, note(p(self.state.problem or "There is no layout to build."), warn=True))
            return
        record = ""
        if self.with_record:
            record = tag("div", record_table(self.state.case, self.state.units), cls="paper")
        put(self.sheet, join(sheet(self.state, self.to_build), record))
        self._refresh_hand()
        show(self.done, bool(self.done.object))


def _loose(work: ClubWork, begun: Collection[str]) -> set[str]:
    """The figures in brackets that are no order; a lie to begin with is ordered as a start."""
    return set(work.tentative) - ({"lie_deg"} if work.id in begun else set())
