"""Step 5, Play: the carry card for today's air, and what to hit for a distance."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np

from app import bridge, edits, styles
from app.dates import other_day, today
from app.html import Safe, esc, h3, interval, join, note, p, table, tag
from app.phrases import phrases
from app.phrases.green import drift_line
from app.phrases.layouts import set_titles
from app.phrases.lines import brief_names, called, day_line, hit_first_line, plays_line, warm_ball_line
from app.phrases.marks import Marks
from app.phrases.record import names_of
from app.phrases.say import NOT_KNOWN, listed, percents
from app.plots.card import RANGE, Card, card_picture
from app.plots.checked import CheckedPlot
from app.plots.frame import Picture
from app.screens.at_green import THE_GREEN, AtGreen, headline, plain_field
from app.screens.part_swings import WedgeCard, part_rows, unknown_line
from app.screens.retest import Retest
from app.screens.shot_wind import ShotWind
from app.screens.tilt import Tilt
from app.screens.weather import weather_fields
from app.state import State
from app.units import amount, as_typed, unit
from app.widgets import Choice, Fold, NumberField, Screen, Stepper, Tick, button, html, line, put, stack
from engine.course.club_for_distance import Option
from engine.documents.case import Case, Club, Conditions
from engine.documents.result import LeftOutCheck
from engine.fitting.fitting import Fitting
from engine.sets.plan import is_own
from engine.statistics import intervals

SOME_CHANCE = 0.1  # of coming down near it; with less no swing is named for a target that lies between two
LEAST_CHANCE = 0.01  # of coming down near it; less is not worth a line
NONE_KNOWN = "No club whose carry is known lands"
WEATHER = "Today\u2019s weather"
TO_CARRY, TO_FLAG = "Distance to carry", "Distance to the flag"
WITHIN = {"metric": 5.0, "imperial": 4.572}  # [m]: 5 m or 5 yd


class Play(Screen):
    id, title = "play", "Play"
    head = ("What do I hit?", "Today\u2019s carries, and the club for a distance.")

    def build(self) -> list[Any]:
        self.layout_id = ""
        self.which = Choice("Set on the card", self._layouts(), lambda: self.layout_id, self._choose)
        self.card = html(sheet=styles.CARD_PRINT, cls="printed card")
        self.wedges = WedgeCard(self.state)
        self.ask = plain_field(self.state, TO_CARRY, "carry", "distance_m")
        self.above = plain_field(self.state, "Target above you", "carry", "height_m")
        self.blow = ShotWind(self.state)
        self._follow(self.ask, self.above, self.blow.speed)
        self.green = AtGreen(self.state, self._when_refused)
        self.withheld = False
        self.answer = html(cls="answer")
        self.chances = html()
        self.air = Fold(WEATHER, self._air)
        self.air_words = html()
        self.card_picture = html(cls="pic-card")
        self.as_picture = Fold("Card as a picture", self._picture, refresh=self._refresh_picture)
        self.check = Fold("Measured against predicted", self._check, refresh=self._refresh_check)
        self.check_plot: CheckedPlot | None = None
        self.retest = Retest(self.state)
        self.fields: list[Any] = []
        return [
            stack(
                line(
                    self.answer,
                    stack(
                        Stepper(
                            self.ask, {"\u221210": -10, "\u22121": -1, "+1": 1, "+10": 10}, self._usual
                        ).view,
                        Stepper(
                            self.above, {"\u221210": -10, "\u22121": -1, "+1": 1, "+10": 10}, lambda: 0.0
                        ).view,
                        Tilt(self.state, self.ask, self.above).view,
                        self.blow.view,
                        self.green.going.view,
                        cls="taps",
                    ),
                    cls="shot",
                ),
                self.chances,
                self.green.fold.view,
                cls="sheet",
            ),
            stack(self.which.view, self.air_words, self.air.view, cls="sheet"),
            stack(self.card, cls="sheet"),
            self.wedges.view,
            line(
                button("Print wallet card", lambda: bridge.print_page("card"), cls="main"),
                button("Print pocket card", lambda: bridge.print_page("pocket")),
                cls="ends",
            ),
            stack(self.as_picture.view, self.check.view, self.retest.fold.view, cls="sheet folds"),
            html(
                note(
                    p(
                        "Leave the course when there is lightning. Swing only where the landing area is clear. "
                        "If you feel pain, stop and ask a licensed professional."
                    ),
                    warn=True,
                )
            ),
        ]

    def _layouts(self) -> dict[str, str]:
        if self.state.drawn is None:
            return {"\u2013": ""}
        names = set_titles(self.state.fitting, self.state.units, played=True)
        self.layout_id = self.state.fitting.layout.id
        return {title: id_ for id_, title in names.items()}

    def _choose(self, layout_id: str) -> None:
        self.state.change(
            lambda case: edits.wants("layout")(case, layout_id), "set to build and play changed"
        )

    def _titles(self) -> dict[str, str]:
        assert self.state.drawn is not None
        return set_titles(self.state.fitting, self.state.units, played=True)

    # what do I hit

    def _usual(self) -> float:
        """The carry of the middle iron of the set [m], to the nearest ten shown, to start from."""
        shown = unit("carry", self.state.units)
        clubs = self.state.fitting.planned if self.state.drawn is not None else ()
        irons = tuple(c for c in clubs if c.family in ("iron", "wedge"))
        middle = np.median(self.state.fitting.predict(irons).carry.mean(axis=0)) if irons else 130.0
        return shown.si(10 * round(shown.shown(float(middle)) / 10))

    def _follow(self, *fields: NumberField) -> None:
        for field in fields:
            field.view.param.watch(lambda event: self._when_refused(), "value")

    @property
    def _refused(self) -> list[str]:
        """The fields of this shot that hold something that was refused, and where they are."""
        now = self.state.store.at_hand
        green = self.green.fields if now.at_green and now.distance_m is not None else []
        places = {"": [self.ask, self.above, self.blow.speed], WEATHER: self.fields, THE_GREEN: green}
        return [
            f"\u201c{field.label}\u201d" + (f" under \u201c{place}\u201d" if place else "")
            for place, fields in places.items()
            for field in fields
            if isinstance(field, NumberField) and field.faulty
        ]

    def _when_refused(self) -> None:
        if self._refused or self.withheld:  # else the shot at hand has changed, and all is brought up to date
            self._answer()

    def _answer(self) -> None:
        self.withheld = bool(self._refused)
        if self.state.drawn is None:
            return
        marks = Marks(self.state.fitting)
        said, table_ = self._said(marks)
        put(self.answer, said)
        told = marks.nobody, marks.legend
        put(self.chances, join(*[p(words, cls="small") for words in told if words], table_))

    def _said(self, marks: Marks) -> tuple[Safe, Safe]:
        """The club for the target, and the table of chances where there is one."""
        none = Safe("")
        at_hand = self.state.store.at_hand
        distance, air = at_hand.distance_m, at_hand.air(self.state.shown)
        if wrong := self._refused:
            return p(f"Put right {listed(wrong)} to see which club to hit."), none
        if distance is None:
            return p("Enter a distance to see which club is most likely to land near it."), none
        system, fitting = self.state.units, self.state.fitting
        within, height = WITHIN[system], at_hand.height_m or 0.0
        shot: dict[str, Any] = {"height_m": height, "air": air}
        options = fitting.clubs_for(self.layout_id, distance, within_m=within, **shot)
        plays = fitting.plays_like(self.layout_id, distance, **shot)
        if plays is None and height > 0:
            return p("No full swing with this set gets as high as that target."), none
        if not options:
            return p("There are no clubs in this set."), none
        swung = "full swing" if all(o.swing_size is None for o in options) else "swing that is known"
        gap = None if at_hand.at_green else _between(options, fitting.hit_first)
        if gap is not None:
            ends = [f"the {called(o, marks)} ({amount(o.carry_m.mean, 'carry', system)})" for o in gap]
            return p(f"No {swung} lands near that: it lies between {ends[0]} and {ends[1]}."), none
        if max(o.chance_near for o in options) < LEAST_CHANCE:
            known = options[0].id not in fitting.hit_first  # else the card gives no number either
            carry = f", {amount(options[0].carry_m.mean, 'carry', system)}," if known else ""
            side = "shorter than" if options[0].carry_m.mean > distance else "beyond"
            return p(
                f"That is {side} any {swung}; the {called(options[0], marks)}{carry} comes nearest.",
                f" {unknown_line(fitting, self.layout_id)}" if side == "shorter than" else "",
            ), none
        there = [o for o in options if o.chance_near >= LEAST_CHANCE]
        first = [o for o in there if o.id in fitting.hit_first]
        best = [o for o in there if o not in first][:4]
        near = amount(within, "carry", system)
        drift = drift_line(self._drift(there[0], **shot), system)
        like = plays_line(plays, self.state.shown.wants, air, system) if plays is not None else ""
        if at_hand.at_green and (
            at_green := self.green.said(
                self.layout_id, self._titles()[self.layout_id], like, best[0] if best else None, marks
            )
        ):
            return at_green
        asked = f"{as_typed(distance, 'carry', system, exact=True)}\u00a0{unit('carry', system).name}"
        target = f"{near} of {asked}, {self._titles()[self.layout_id]}."
        chance = f"{_percents(best[0])[0]} chance of landing within {target}" if best else ""
        said = join(
            *headline(there[0], best, like, chance or f"{NONE_KNOWN} within {target}", marks, fitting)
        )
        # below the keys, so that none of them moves when such a line comes or goes
        notes = join(
            p(hit_first_line(first), cls="small") if first else "",
            p(drift, cls="small") if drift else "",
        )
        rows = [
            [
                called(o, marks),
                *_percents(o),
            ]
            for o in best
        ]
        caption = "Chances of one full swing" if swung == "full swing" else "Chances of one swing"
        chances = table(["Club", "near", "short", "long"], rows, caption=caption) if best else ""
        return said, join(notes, chances)

    def _drift(self, best: Option, **shot: Any) -> float:
        """How far the wind moves a ball of this choice to the right [m]."""
        fitting = self.state.fitting
        club = next(c for c in fitting.to_play(self.layout_id) if c.id == best.id)
        part = next((part for part in fitting.part_swings if part.size == best.swing_size), None)
        return fitting.drift(club, part=part, **shot)

    # today's air

    def _air(self) -> Any:
        self.fields = weather_fields(
            self.state,
            ("temperature_c", "altitude_m"),
            of=_today,
            edit=edits.air,
            done="today\u2019s weather changed",
        )
        self._follow(*self.fields)
        self.fields += [
            Tick(label, partial(self._is_so, name), partial(self._of_the_day, name))
            for label, name in (("Ball as cold as the air", "cold_ball"), ("Wet faces", "wet_face"))
        ]
        return stack(
            line(*[getattr(f, "view", f) for f in self.fields], cls="fields"),
            line(button("Leave today\u2019s weather out", self._standard_air)),
        )

    def _is_so(self, name: str) -> bool:
        return bool(getattr(self.state.case.wants, name))

    def _of_the_day(self, name: str, value: bool) -> None:
        self.state.change(lambda case: edits.of_the_day(name)(case, value), "today\u2019s weather changed")

    def _standard_air(self) -> None:
        self.state.change(edits.standard_air, "today\u2019s weather left out")

    def _picture(self) -> Any:
        return stack(
            self.card_picture,
            line(button("Save as a picture", lambda: bridge.picture("pic-card", "Carry card", png=True))),
        )

    def _refresh_picture(self) -> None:
        if self.as_picture.open and self.state.drawn is not None:
            put(self.card_picture, card_picture(card_of(self.state)))

    # measured against predicted

    def _check(self) -> Any:
        self.check_plot = CheckedPlot()
        self.check_picture = Picture("checked", "Measured against predicted", self.check_plot.view)
        return self.check_picture.view

    def _refresh_check(self) -> None:
        fitting = self.state.drawn
        if not self.check.open or fitting is None or self.check_plot is None:
            return
        order = [c.id for c in self.state.shown.bag]
        checks = sorted(fitting.calibration.left_out_check, key=lambda c: order.index(c.club))
        if not checks:
            self.check_picture.say(p("Needs shots with at least two clubs."), "")
            return
        called = names_of(self.state.shown)
        self.check_plot.update(checks, brief_names(self.state.shown), self.state.units)
        self.check_picture.say(p(check_line(checks)), check_table(checks, called, self.state.units))

    def refresh(self) -> None:
        self.which.refresh(self._layouts())
        self.ask.label = TO_FLAG if self.state.store.at_hand.at_green else TO_CARRY
        for part in (self.ask, self.above, self.blow, self.green):
            part.refresh()
        for item in self.fields:
            item.refresh()
        if self.state.drawn is None:
            put(self.card, note(p(self.state.problem), warn=True))
            return
        old = other_day(self.state.shown.wants.air_on)
        again = f" It was set on {old}: set what is different today." if old else ""
        warm = warm_ball_line(self.state.shown.wants, self.state.units)
        put(self.air_words, p(day_line(self.state.shown, self.state.units, old), again, f" {warm}"))
        put(self.card, carry_card(self.state))
        self.state.show_glance()
        self._refresh_picture()
        self.wedges.refresh()
        self._answer()
        self._refresh_check()
        self.retest.refresh()


def _today(case: Case) -> Conditions:
    """The air that carries are predicted for."""
    return case.wants.air or Conditions()


NOT_OWNED = "predicted, yet to be built"


def _between(options: Sequence[Option], hit_first: Collection[str]) -> tuple[Option, Option] | None:
    """The swing that falls short and the one that flies over, where none comes near the target and both are known."""
    if max(o.chance_near for o in options) >= SOME_CHANCE or options[0].id in hit_first:
        return None
    known = [o for o in options if o.id not in hit_first]
    short = max((o for o in known if o.chance_short > 0.5), key=lambda o: o.carry_m.mean, default=None)
    over = min((o for o in known if o.chance_long > 0.5), key=lambda o: o.carry_m.mean, default=None)
    return None if short is None or over is None else (short, over)


def _percents(option: Option) -> list[str]:
    """The chances to land near, short and long."""
    return percents([option.chance_near, option.chance_short, option.chance_long])


def carry_card(state: State) -> Safe:
    """Club and carry of the chosen set, large enough to read at arm's length."""
    card = card_of(state)
    return join(
        h3(tag("span", card.player), tag("span", card.day, cls="when")),
        *[p(words, cls="small") for words in (card.set_, card.air)],
        Safe(f'<div class="carries" style="--rows:{math.ceil(len(card.rows) / 2)}">'),
        table(
            ["Club", f"carry ({card.unit})", "90 %"],
            [[_in_brief(name), tag("b", carry) if ends else carry, ends] for name, carry, ends in card.rows],
            caption=f"Carry card: carry in {card.unit} and 90 % range",
        ),
        Safe("</div>"),
        *[p(words, cls="small") for words in (RANGE, card.doubt, card.one_job, card.unhit) if words],
    )


def _in_brief(name: str) -> str:
    """A club's name, and its initials where it is of several words: print has room for no more."""
    if " " not in name:
        return name
    short = "".join(word[0] for word in name.split()).upper()
    return Safe(f'<span data-brief="{esc(short)}">{esc(name)}</span>')


def _which_set(name: str, work: Fitting) -> str:
    return _now(name, work) if is_own(work.layout, work.case.bag) else f"{name}: {NOT_OWNED}"


def card_of(state: State) -> Card:
    """What stands on the carry card."""
    system, work = state.units, state.fitting
    shown = unit("carry", system)
    clubs = work.to_play(work.layout.id)
    found = dict(
        zip((c.id for c in clubs), intervals(work.played(clubs).carry) if clubs else (), strict=True)
    )
    doubted = set(work.posterior.doubted)
    marks, part_marks = Marks(work, to_build=True), Marks(work, to_build=True)
    rows = []
    for club in _in_order(clubs, {i: x.mean for i, x in found.items()}, doubted, work.hit_first):
        x = found[club.id]
        name = club.name or club.id
        if club.id in work.hit_first:
            rows.append((name, NOT_KNOWN, ""))
            continue
        carry = marks(shown.text(x.mean) + ("?" if club.id in doubted else ""), club.id)
        rows.append((name, carry, f"{shown.text(x.lo90)}\u2013{shown.text(x.hi90)}"))
    assert state.drawn is not None
    name = set_titles(work, system, played=True)[work.layout.id]
    return Card(
        player=state.store.entry.name,
        day=today(),
        set_=f"{_which_set(name, work)} {marks.nobody}".strip(),
        air=day_line(state.shown, system, other_day(state.shown.wants.air_on)),
        unit=shown.name,
        rows=tuple(rows),
        doubt="? Check this club: it does not fit the others." if doubted & {c.id for c in clubs} else "",
        unhit=marks.legend,
        one_job=" ".join(phrases(work.one_job(clubs), system)),
        parts=part_rows(work.wedge_table, system, part_marks),
        parts_unhit=part_marks.legend,
    )


def card_at_hand(state: State) -> dict[str, Any] | None:
    """The carry card as the page shows it before the dashboard is there; no sum is begun for it."""
    if not state.solved:
        return None
    card = card_of(state)
    air = day_line(state.shown, state.units, today())  # by then it will be another day
    notes = [words for words in (card.doubt, card.one_job, card.unhit) if words]
    return {"set": card.set_, "air": air, "unit": card.unit, "rows": card.rows, "notes": notes}


def _now(name: str, work: Fitting) -> str:
    """The present set, and that its lofts are other ones under Lay out and Build where they are to be bent."""
    return f"{name}: as it is now, not yet bent" if work.clubs != work.present else name


def _in_order(
    clubs: Sequence[Club],
    carry_m: Mapping[str, float],
    doubted: Collection[str],
    unknown: Collection[str],
) -> list[Club]:
    """The clubs by carry, longest first; one that is doubted or has no number yet keeps its place by loft beside those of
    its kind, else by what it would carry, never before another without a number of less loft.
    """
    odd = [c for c in clubs if c.id in doubted or c.id in unknown]
    out = sorted((c for c in clubs if c not in odd), key=lambda c: -carry_m[c.id])
    last = -1
    for club in sorted(odd, key=lambda c: c.loft_deg):
        line = [n for n, c in enumerate(out) if _line(c) == _line(club)]
        before = [n for n in line if out[n].loft_deg <= club.loft_deg]
        shorter = (
            n
            for n, c in enumerate(out)
            if carry_m[c.id] < carry_m[club.id] and c.id not in unknown and n > last
        )
        place = before[-1] + 1 if before else line[0] if line else next(shorter, len(out))
        out.insert(place, club)
        if club.id in unknown:
            last = place
    return out


def _line(club: Club) -> str:
    return {"wedge": "iron", "fairway": "driver"}.get(club.family, club.family)


def inside(check: LeftOutCheck) -> bool:
    return check.predicted_m.lo90 <= check.measured_m <= check.predicted_m.hi90


def check_line(checks: list[LeftOutCheck]) -> str:
    """How many of the clubs lie where the others put them."""
    good = sum(inside(c) for c in checks)
    return (
        "Each club is left out in turn and predicted from the others. Dot and bar show the prediction, the cross what was "
        f"measured. {good} of {len(checks)} crosses lie on their bar; about nine in ten should."
    )


def check_table(checks: list[LeftOutCheck], called: dict[str, str], system: str) -> Safe:
    """Each club as measured, and as all other clubs predict it."""
    shown = unit("carry", system)
    rows = [
        [
            called.get(c.club, c.club),
            shown.text(c.measured_m),
            interval(shown, c.predicted_m.mean, c.predicted_m.lo90, c.predicted_m.hi90),
            "inside" if inside(c) else "outside",
        ]
        for c in checks
    ]
    return table(
        ["Club", f"measured ({shown.name})", f"predicted ({shown.name})", "90 % range"],
        rows,
        caption="Measured against predicted",
    )
