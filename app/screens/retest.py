"""After the build: balls hit with the new clubs against what was predicted of them."""

from __future__ import annotations

from typing import Any

from app import edits
from app.html import Safe, interval, join, note, p, table
from app.phrases import phrase, phrases
from app.phrases.say import many
from app.screens.pasting import Pasting
from app.state import State
from app.units import unit
from app.widgets import Fold, Sure, button, html, line, put, show, stack
from engine.fitting.job_record import hit_since
from engine.sets.plan import BUILT
from engine.statistics import intervals

NOT_BUILT = (
    "The set on the card has not been built yet, so there is nothing to hit again. To check the clubs in the bag now, "
    "choose your present set on the card. Once this set is built, press \u201cIt is built: make this the present "
    "bag\u201d under Build, and then note its shots here."
)
NOT_BENT = (
    "The lofts you asked for have not been bent yet, so there is nothing to hit again. Once they are, press \u201cIt is "
    "built: make this the present bag\u201d under Build, and then note the shots here."
)

APART = (
    "These shots are only compared with the prediction: the card does not count them, since this set has not been built "
    "here. Enter shots with your own clubs under Hit."
)

UNDER_HIT = (
    "{} hit with these clubs since the build {} under Hit and {} in the prediction. Once you compare with them, the "
    "prediction is made without them; under Hit and on the card they still count."
)
COMPARE = "Compare with the balls hit since the build"


class Retest:
    """A fold with a text or a file of balls, shown as understood before they are taken in, and each new club's verdict."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.said = html()
        self.pasting = Pasting(
            state,
            lambda club: None,
            add=edits.add_retest,
            full_only=True,
            label="Shots with the new clubs",
            told="Hit a few shots with each of the clubs in the bag now to see which need adjusting again. Once the set "
            "has been taken in under Build, these shots also count under Hit and on the card. One club per line, or open a "
            "table from any launch monitor.",
        )
        self.fold = Fold("After the build: hit again and compare", self._build, refresh=self.refresh)

    def _build(self) -> Any:
        self.entry, self.not_built = self.pasting.build(), html()
        self.drop = Sure(
            "Delete the shots after the build", self._to_drop, self._drop, what="delete", where=self._shown
        )
        self.under = html()
        self.since = stack(self.under, line(button(COMPARE, self._compare)))
        return stack(
            self.not_built,
            self.entry,
            self.said,
            self.since,
            line(self.drop.head),
            self.drop.view,
        )

    def _shown(self) -> tuple[int, ...]:
        """The numbers of the shots that are shown."""
        return self.state.fitting.hit_again[1] if self.state.result is not None else ()

    def _to_drop(self) -> str:
        shots = many(len(self._shown()), "shot")
        return f"Delete {shots} after the build? Those compared here are deleted, under Hit too; all others stay."

    def _compare(self) -> None:
        what = f"{self._balls_since()} compared with the prediction"
        if self.state.change(edits.compare_hit_since, what):
            self.state.tell_done(f"{what}.")

    def _balls_since(self) -> str:
        """How many balls were hit with the clubs in the bag since they were built, and are not compared yet."""
        case = self.state.case
        return many(round(sum(case.shots[n].balls for n in hit_since(case))), "ball")

    def _drop(self) -> None:
        of, shown = self.state.fitting.hit_again
        what = f"{many(len(shown), 'shot')} after the build deleted"
        if self.state.change(lambda case: edits.drop_retest(case, shown, of=of), what):
            self.state.tell_done(f"{what}.")

    def refresh(self) -> None:
        if self.fold.open and self.state.result is not None:
            work = self.state.fitting
            own = work.layout.id == work.own_layout.id
            in_hand = own and (work.layout.id == BUILT or work.clubs == work.present)
            put(self.not_built, note(p(NOT_BENT if own else NOT_BUILT), warn=True))
            show(self.entry, in_hand)
            show(self.not_built, not in_hand)
            self.pasting.refresh()
            self.drop.refresh()
            show(self.drop.head, bool(self._shown()))
            put(self.said, retest_table(self.state))
            balls, waits = self._balls_since(), bool(hit_since(self.state.case))
            show(self.since, waits and work.layout.id == BUILT)
            put(
                self.under,
                p(UNDER_HIT.format(balls, *(("is", "counts") if balls == "1 ball" else ("are", "count")))),
            )


def retest_table(state: State) -> Safe:
    """Each club that was hit again: measured, predicted, verdict."""
    case = state.shown
    if not case.retest and all(s.layout is None for s in case.shots):
        return p("None noted here yet." if hit_since(case) else "None yet.")
    system = state.units
    found = state.fitting.retest
    names = {c.id: c.name or c.id for c in state.shown.bag}
    shown = unit("carry", system)
    if not found.clubs:
        return p("The shots after the build were hit with another set; choose that set above to compare.")
    work = state.fitting
    clubs = work.to_play(work.layout.id)
    card = {c.id: x.mean for c, x in zip(clubs, intervals(work.played(clubs).carry), strict=True)}
    other = any(shown.text(c.predicted.mean) != shown.text(card[c.club]) for c in found.clubs)
    rows = [
        [
            names.get(c.club, c.club),
            c.balls,
            interval(shown, c.measured.mean, c.measured.lo90, c.measured.hi90),
            interval(
                shown,
                c.predicted.mean,
                c.predicted.lo90,
                c.predicted.hi90,
                *([f"on the card {shown.text(card[c.club])}"] if other else []),
            ),
            phrase(c.statement, system),
        ]
        for c in found.clubs
    ]
    counted = work.layout.id == BUILT and not any(s.layout in (None, BUILT) for s in case.retest)
    return join(
        "" if counted else note(p(APART), warn=True),
        p(" ".join(phrases(found.statements, system))),
        p(
            f"{'Predicted without these shots, ' if counted else 'Predicted '}for the air and the balls they were hit with; "
            f"the card {'counts them and ' if counted else ''}is for the weather chosen there.",
            cls="small",
        )
        if other
        else "",
        table(
            ["Club", "Shots", f"measured ({shown.name})", f"predicted ({shown.name})", "Result"],
            rows,
            caption="After the build",
            words=[4],
            cards=True,
        ),
    )
