"""Step 3, Lay out: layouts side by side, what can be tried out on them, the verdict, and the pictures."""

from __future__ import annotations

from typing import Any

from app.html import bullets, h3, join, note, p
from app.phrases import phrase, phrases
from app.phrases.layouts import titles
from app.phrases.lines import air_line, carries_line, gaps_line, lofts_line, present_line
from app.phrases.marks import Marks
from app.plots.address import address_pictures
from app.plots.carries import CarriesPlot
from app.plots.common_length import SweepPlot, sweep_line, sweep_table
from app.plots.dispersion import AbovePlot, above_line, above_table, views
from app.plots.flights import FlightsPlot, flights_line, flights_table
from app.plots.frame import Picture
from app.plots.gaps import GapsPlot
from app.plots.next_ball import MOST, NextBallPlot, next_line, next_table
from app.screens.matters import WhatMatters
from app.screens.rest import RestOfTheBag
from app.screens.tables import (
    carries_table,
    gaps_table,
    legend,
    measures_list,
    next_advice,
    next_ball_note,
    range_test,
    series_key,
    verdict_card,
)
from app.screens.tryout import TryOut
from app.widgets import Fold, Screen, button, heading, html, line, put, stack
from engine.sets.advice import moves


class LayOut(Screen):
    id, title = "layout", "Lay out"
    head = ("Lay out the set", "Compare sets side by side, all with the same swing.")

    def build(self) -> list[Any]:
        self.verdict, self.next_note = html(), html()
        self.plan, self.every = html(), html()
        self.test = Fold(
            "The range test that would show it", lambda: self.plan, refresh=self._refresh_verdict
        )
        self.measures = Fold("Every measure", lambda: self.every, refresh=self._refresh_verdict)
        self.matters = WhatMatters(self.state)
        self.controls = TryOut(self.state)
        self.key, self.gap_key, self.side_key = html(), html(), html()
        self.plot, self.gaps_plot = CarriesPlot(), GapsPlot()
        self.carries = Picture("carries", "Carries", self.plot.view, above=self.key)
        self.gaps = Picture("gaps", "Gaps", self.gaps_plot.view, above=self.gap_key)
        self.sides: FlightsPlot | None = None
        self.address = html(cls="figure-lines pic-address")
        self.posture = Fold("At address", self._posture, refresh=self._refresh_pictures)
        self.flights = Fold("Flights from the side", self._flights, refresh=self._refresh_pictures)
        self.above = Fold("Where shots land, from above", self._above, refresh=self._refresh_pictures)
        self.lengths = Fold("Other common lengths", self._lengths, refresh=self._refresh_pictures)
        self.next_ball = Fold("What to hit next", self._next, refresh=self._refresh_pictures)
        self.next_plot: NextBallPlot | None = None
        self.above_plot: AbovePlot | None = None
        self.sweep_plot: SweepPlot | None = None
        self.above_key = html()
        self.rest = RestOfTheBag(self.state)
        self.warnings = html()
        return [
            stack(
                stack(
                    self.controls.view, stack(html(h3("Carries")), self.carries.view, cls="sheet"), cls="melt"
                ),
                stack(
                    stack(
                        self.verdict,
                        self.test.view,
                        self.next_note,
                        stack(self.matters.view, self.measures.view, cls="folds"),
                        cls="sheet first",
                    ),
                    stack(html(h3("Gaps")), self.gaps.view, cls="sheet"),
                    cls="melt",
                ),
                cls="two",
            ),
            stack(
                self.posture.view,
                self.flights.view,
                self.above.view,
                self.lengths.view,
                self.next_ball.view,
                cls="sheet folds",
            ),
            heading("The rest of the bag"),
            self.rest.view,
            self.warnings,
            line(button("Next: build it", lambda: self.go("build"), cls="main to-build"), cls="ends"),
        ]

    # pictures that unfold

    def _posture(self) -> Any:
        self.posture_picture = Picture("address", "At address", self.address)
        return self.posture_picture.view

    def _flights(self) -> Any:
        self.sides = FlightsPlot()
        self.flight_picture = Picture("flights", "Flights", self.sides.view, above=self.side_key)
        return self.flight_picture.view

    def _above(self) -> Any:
        self.above_plot = AbovePlot()
        self.above_picture = Picture("above", "From above", self.above_plot.view, above=self.above_key)
        return self.above_picture.view

    def _next(self) -> Any:
        self.next_plot = NextBallPlot()
        self.next_picture = Picture("next", "What to hit next", self.next_plot.view)
        return self.next_picture.view

    def _refresh_verdict(self) -> None:
        result, system = self.state.result, self.state.units
        if result is not None:
            if self.test.open:
                put(self.plan, range_test(result, system))
            if self.measures.open:
                put(self.every, measures_list(result, system))

    def _refresh_next(self) -> None:
        found = self.state.fitting.next_ball.next
        if found is None or self.next_plot is None:
            self.next_picture.say(p("There are no two sets to choose between."), "")
            return
        called = {c.id: c.name or c.id for c in self.state.shown.bag}
        system = self.state.units
        self.next_plot.update(found, called, system)
        why: dict[str, str] = {}  # of each club the grip that settles most
        for c in found.ranking[:MOST] if moves(found) else ():
            why.setdefault(c.club, phrase(c.why, system))
        advised = next_advice(self.state.fitting)
        said = phrase(advised.statement, system) if advised else ""
        self.next_picture.say(
            join(p(said), p(next_line(found)), bullets(list(why.values())[:3])),
            next_table(found, called, system),
        )

    def _lengths(self) -> Any:
        self.sweep_plot = SweepPlot()
        self.sweep_picture = Picture("sweep", "Common lengths", self.sweep_plot.view)
        return self.sweep_picture.view

    def _refresh_pictures(self) -> None:
        result, system = self.state.result, self.state.units
        if result is None:
            return
        names = titles(result.layouts, system)
        if self.posture.open:
            drawing, words, numbers = address_pictures(self.state.shown, result, names, system)
            put(self.address, drawing)
            self.posture_picture.say(words, numbers)
        if self.flights.open and self.sides is not None:
            self.sides.update(self.state.fitting, system)
            put(self.side_key, series_key(names, measured=False))
            marks = Marks(self.state.fitting)
            numbers = flights_table(result, names, system, marks)
            self.flight_picture.say(p(flights_line(names)), join(numbers, legend(marks)))

        if self.above.open and self.above_plot is not None:
            seen = views(self.state.fitting)
            if seen:
                called = {c.id: c.name or c.id for x in result.layouts for c in x.clubs}
                self.above_plot.update(seen, system)
                put(self.above_key, series_key(names, measured=False))
                marks = Marks(self.state.fitting)
                numbers = above_table(seen, called, names, system, marks)
                self.above_picture.say(p(above_line(seen)), join(numbers, legend(marks)))
        if self.lengths.open and self.sweep_plot is not None:
            self._refresh_lengths()
        if self.next_ball.open:
            self._refresh_next()

    def _refresh_lengths(self) -> None:
        assert self.sweep_plot is not None
        system, fitting = self.state.units, self.state.fitting
        swept = fitting.common_length
        if swept is None:
            self.sweep_picture.say(p("Needs at least two irons or wedges."), "")
            return
        single = next((x for x in self.state.shown.layouts if x.kind == "single"), None)
        self.sweep_plot.update(swept, system, single.common_length_m if single else None)
        lofts = "Here every length has the lofts of the bag as they stand. " if fitting.lofts_asked else ""
        said = join(p(lofts, sweep_line(swept, system)), bullets(phrases(swept.statements, system)))
        self.sweep_picture.say(said, sweep_table(swept, system))

    def refresh(self) -> None:
        system, drawn = self.state.units, self.state.drawn
        if drawn is not None:  # the page draws these while the verdict is worked out
            mark = Marks(self.state.fitting)
            self.plot.update(drawn, system, mark)
            self.gaps_plot.update(drawn, system, self.state.shown.wants.gap_m, mark)
        result = self.state.result
        if result is None:
            put(self.verdict, note(p(self.state.problem), warn=True))
            return
        names = titles(result.layouts, system)
        put(self.verdict, verdict_card(result, system))
        put(self.next_note, next_ball_note(self.state.fitting, system))
        self._refresh_verdict()
        self.matters.refresh()
        self.controls.refresh()
        put(self.key, series_key(names))
        put(self.gap_key, series_key(names, measured=False))
        air = p(air_line(self.state.shown, system), cls="small")
        bent = lofts_line(self.state.shown, system, self.state.fitting.lofts)
        lofts = p(bent) if bent else ""
        marks = Marks(self.state.fitting)
        self.carries.say(
            join(
                lofts,
                p(carries_line(result, system, marks), present_line(self.state.fitting, system, marks)),
                air,
            ),
            carries_table(result, names, system, Marks(self.state.fitting)),
        )
        gaps = gaps_line(result, system, self.state.shown.wants.gap_m)
        self.gaps.say(
            join(lofts, p(gaps), legend(mark)) if mark.given else join(lofts, p(gaps)),
            gaps_table(result, names, system, Marks(self.state.fitting)),
        )
        self._refresh_pictures()
        self.rest.refresh()
        warnings = bullets(phrases(result.warning_statements, self.state.units))
        put(self.warnings, note(warnings, warn=True) if warnings else "")
