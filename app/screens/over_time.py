"""Then and now: a player's carries, speed, spread and gaps by session, and what clearly changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from app import sessions
from app.dates import day
from app.html import Safe, bullets, join, p, table
from app.phrases import over_time as words
from app.phrases import phrases
from app.phrases.copies import added
from app.phrases.record import WHAT, about, former, names_of
from app.phrases.record import told as told_of
from app.phrases.say import capital, listed
from app.phrases.sessions import shortened
from app.plots.frame import Picture
from app.plots.over_time import OverTimePlot, TimeRow
from app.screens.tables import series_key
from app.state import State
from app.units import ShownUnit, unit
from app.widgets import Choice, Fold, html, line, put, show, stack
from engine.fitting.job_record import Noted
from engine.statistics import Interval
from engine.swing.then_and_now import Change, Day, days_hit, then_and_now

HITS = ("hit", "hit_again")
SINCE = ("built", "lesson")  # lines of the job record with which "now" may begin
BETWEEN = ("ordered", "built", "note", "lesson")  # lines of the job record that are marked between sessions
MOST_ROWS = 20
SHOWN = {
    "Carry": "carry",
    "Club speed": "club_speed",
    "Ball speed": "ball_speed",
    "Spread": "spread",
    "Gap": "gap",
}
AXES = {
    "carry": ("carry", "carry"),
    "club_speed": ("club speed", "speed"),
    "ball_speed": ("ball speed", "speed"),
    "spread": ("spread of carry", "percent"),
    "gap": ("gap", "gap"),
}
UNITS = {"pace": "percent", "spread": "percent", "club_speed": "speed", "ball_speed": "speed"}
Line = tuple[Noted | None, int | None]
"""A line of the job record, or the number of a session."""
FULL = 5e-4  # [m] gripped down less than this


class OverTime:
    """A fold under Players, there once balls of two sessions are; nothing is worked out before it is opened."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.fold = Fold("Then and now", self._build, refresh=self.refresh)
        self.view = self.fold.view
        self.what, self.of, self.since = "carry", "", ""
        self.owner = state.store.open

    def _build(self) -> Any:
        self.plot = OverTimePlot()
        self.key, self.changed, self.changes = html(), html(), html()
        self.picture = Picture("over-time", "Then and now", self.plot.view, above=self.key)
        self.pick_what = Choice("Show", {"Carry": "carry"}, lambda: self.what, self._pick_what, listed=True)
        self.pick_of = Choice("Of", {"\u2013": ""}, lambda: self.of, self._pick_of, listed=True)
        self.pick_since = Choice(
            "Now begins with", {"\u2013": ""}, lambda: self.since, self._pick_since, listed=True
        )
        self.shown = stack(
            line(self.pick_since.view, self.pick_what.view, self.pick_of.view, cls="wide-fields"),
            self.picture.view,
            Fold("Every change", lambda: self.changes).view,
        )
        return stack(self.changed, self.shown)

    def _pick_what(self, what: str) -> None:
        self.what = what
        self._draw()

    def _pick_of(self, of: str) -> None:
        self.of = of
        self._draw()

    def _pick_since(self, since: str) -> None:
        self.since = since
        self.refresh()

    def refresh(self) -> None:
        state = self.state
        show(self.view, days_hit(state.case) > 1)
        if not (self.fold.open and days_hit(state.case) > 1):
            return
        if self.owner != state.store.open:
            self.owner, self.since = state.store.open, ""
        found = state.fitting.then_and_now
        there = found is not None and any(True for one in found.days for _ in _of_day(one, {}))
        show(self.shown, there)
        if found is None or not there:
            put(self.changed, p(words.NO_CARRIES))
            return
        ids = [words.id_of(one) for one in found.days]
        self.found = found
        options, cuts = self._begins(ids)
        if self.since not in cuts:  # a session that is offered under another name by now
            self.since = next((value for value, cut in cuts.items() if str(cut) == self.since), "")
        if self.since:
            cut = cuts[self.since]
            found = then_and_now(state.fitting.case, before=ids[:cut], after=ids[cut:]) or found
        self.found, self.ids = found, ids
        self.pick_since.refresh(options)
        self._draw()

    def _begins(self, ids: list[str | None]) -> tuple[dict[str, str], dict[str, int]]:
        """With what "now" can begin, each once, by its name; and how many sessions come before each."""
        found, lines = self.found, self._since_lines()
        after = [*found.after]
        usual = len(ids) - len(after) if after == ids[-len(after) :] else 0
        last = {one.date for one in found.days if words.id_of(one) in after} == {found.days[-1].date}
        name = "the last session" if after == ids[-1:] else "the last day" if usual and last else "the build"
        with_it = [line for line, _ in lines.get(usual, ())]
        options, cuts = {": ".join((name, listed(with_it))) if with_it else name: ""}, {"": usual}
        known = {one.id: one for one in self.state.case.sessions}
        guest = self.state.store.entry.guest
        for cut, one in enumerate(found.days[1:], 1):
            if cut == usual:
                continue
            called, value = listed([line for line, _ in lines.get(cut, ())]), str(cut)
            if called:
                value = f"line {lines[cut][0][1]}"
            else:
                session = known.get(one.session or "")
                where = (shortened(session.place) or added(session, guest=guest)) if session else ""
                called = ", ".join(filter(None, (f"session {cut + 1}", words.title(one), where)))
            options[f"{called} [{cut + 1}]" if called in options else called] = value
            cuts[value] = cut
        return options, cuts

    def _since_lines(self) -> dict[int, list[tuple[str, str | None]]]:
        """The builds and lessons with sessions before and after them, by how many come before: name and id of each."""
        out: dict[int, list[tuple[str, str | None]]] = {}
        before = 0
        for noted, at in self._in_time():
            before += at is not None
            if noted is None or noted.what not in SINCE or not 0 < before < len(self.found.days):
                continue
            name = f"{WHAT[noted.what].lower()}, {day(noted.date)}"
            name += f" ({noted.note[:30]})" if noted.note else ""
            out.setdefault(before, []).append((name, noted.id))
        return out

    # drawing

    def _values(self, names: dict[str, str]) -> dict[str, dict[str, list[Interval | None]]]:
        """By what is shown and of which club or pair, the interval of each day."""
        days = self.found.days
        out: dict[str, dict[str, list[Interval | None]]] = {}
        for number, one in enumerate(days):
            for what, of, value, _ in _of_day(one, names):
                row = out.setdefault(what, {}).setdefault(of, [None] * len(days))
                row[number] = value
        return {what: out[what] for what in SHOWN.values() if what in out}

    def _draw(self) -> None:
        state, found, names = self.state, self.found, names_of(self.state.case)
        system, values, in_time = state.units, self._values(names), self._in_time()
        if self.what not in values:
            self.what = next(iter(values))
        of = values[self.what]
        if self.of not in of:
            seven = names.get("7i")
            self.of = max(of, key=lambda name: (sum(x is not None for x in of[name]), name == seven))
        self.pick_what.refresh({label: what for label, what in SHOWN.items() if what in values})
        self.pick_of.refresh({name: name for name in of})
        show(self.pick_of.view, len(of) > 1)
        axis, quantity = AXES[self.what]
        title = f"{axis}, {self.of}" if self.of else axis
        shown = _unit(quantity, system)
        rows = self._rows(in_time, of[self.of])
        self.plot.update(rows[-MOST_ROWS:], shown, title)
        put(self.key, series_key({"before": "before", "now": "now"}, measured=False))
        told = words.beyond(found, system, names)
        put(
            self.changed,
            join(
                p(words.sides(found)),
                p(words.TOLD) if told else "",
                bullets(told),
                p(words.within(found, names) if found.changes else words.ONE_SIDE),
                p(" ".join(phrases(found.statements, system)), cls="small"),
            ),
        )
        cut = f" The picture shows the last {MOST_ROWS} rows." if len(rows) > MOST_ROWS else ""
        between = "dashed lines mark work, lessons and notes in between"
        said = f"{capital(title)} by session; {between}. {words.bars(self.what)}{cut}"
        self.picture.say(p(said), self._table(in_time, of[self.of], title, shown))
        put(self.changes, changes_table(found.changes, names, system))

    def _rows(self, lines: Sequence[Line], values: Sequence[Interval | None]) -> list[TimeRow]:
        """The sessions that have a value, and what lies between the first and the last of them."""
        out: list[TimeRow] = []
        taken: set[str] = set()
        later = {*self.found.after}
        there = [n for n, (_, at) in enumerate(lines) if at is not None and values[at] is not None]
        for noted, at in lines[there[0] : there[-1] + 1] if there else ():
            if at is None:
                assert noted is not None
                label = f"{WHAT[noted.what].lower()}, {self._brief(day(noted.date))}"
            elif values[at] is None:
                continue
            else:
                label = self._brief(words.title(self.found.days[at]))
            name, number = label, 2
            while name in taken:
                name, number = f"{label} ({number})", number + 1
            taken.add(name)
            out.append(TimeRow(name) if at is None else TimeRow(name, values[at], self.ids[at] in later))
        return out

    def _brief(self, date: str) -> str:
        """A day without its year, where all sessions are of one: there is little room beside a picture."""
        years = {(one.date or "")[:4] for one in self.found.days}
        return date if len(years) > 1 else date.removesuffix(f" {min(years)}")

    def _in_time(self) -> list[Line]:
        """Days by their number, and between them lines of the job record, in its order."""
        days, told = self.found.days, told_of(self.state.case)
        places = {one.id: n for n, one in enumerate(told) if one.what in HITS and one.date}
        noted = [one for one in told if one.what in BETWEEN and one.date]
        out: list[Line] = []
        for number, one in enumerate(days):
            while noted and one.session in places and told.index(noted[0]) < places[one.session]:
                out.append((noted.pop(0), None))
            if one.date is None and one.retest:
                out += [(x, None) for x in noted]
                noted = []
            out.append((None, number))
        return out + [(x, None) for x in noted]

    def _air(self, one: Day) -> str:
        """How far the carry of the club shown was brought to standard air."""
        names, session = names_of(self.state.case), one.session or sessions.UNDATED
        full = (c for c in one.carries if c.grip_down_m < FULL and names.get(c.club, c.club) == self.of)
        by = next((c.by_air for c in full), 0.0)
        return words.by_air(by, sessions.air(self.state.case, session), self.state.units)

    def _table(
        self, lines: Sequence[Line], values: Sequence[Interval | None], title: str, shown: ShownUnit
    ) -> Safe:
        known = {one.id: one for one in self.state.case.sessions}
        before = former(self.state.case)
        system, later = self.state.units, {*self.found.after}
        rows = []
        for noted, at in lines:
            if at is None:
                assert noted is not None
                done = ". ".join(filter(None, (WHAT[noted.what], about(noted, system, before))))
                rows.append([day(noted.date), "", "", "", done])
                continue
            one = self.found.days[at]
            session = known.get(one.session or "")
            said = [session.place, session.note] if session else []
            if self.what == "carry":
                said.insert(0, self._air(one))
            side = "now" if self.ids[at] in later else "before"
            balls = {(what, of): n for what, of, _, n in _of_day(one, names_of(self.state.case))}
            count = str(balls.get((self.what, self.of), 0))
            note = ". ".join(filter(None, said))
            rows.append([words.title(one), side, count, _with_ends(values[at], shown), note])
        return table(
            ["Session", "Side", "Balls", f"{capital(title)} ({shown.name})", "Note"],
            rows,
            caption=f"{capital(title)} by session",
            words=[1, 4],
            cards=True,
        )


def _of_day(one: Day, names: dict[str, str]) -> Iterator[tuple[str, str, Interval, int]]:
    """What a day showed, of which club or pair, and of how many balls."""
    full = [carry for carry in one.carries if carry.grip_down_m < FULL]
    balls = {carry.club: carry.balls for carry in full}
    for carry in full:
        yield "carry", names.get(carry.club, carry.club), carry.carry_m, carry.balls
    for speed in one.speeds:
        yield speed.quantity, names.get(speed.club, speed.club), speed.speed_mps, speed.balls
    for gap in one.gaps:
        pair = f"{names.get(gap.longer, gap.longer)} to {names.get(gap.shorter, gap.shorter)}"
        yield "gap", pair, gap.gap_m, balls[gap.longer] + balls[gap.shorter]
    if one.spread is not None:
        yield "spread", "", one.spread, one.balls


def _with_ends(value: Interval | None, shown: ShownUnit, *, sign: bool = False) -> str:
    if value is None:
        return "\u2013"
    low, high = (shown.text(x, sign=sign) for x in (value.lo90, value.hi90))
    return f"{shown.text(value.mean, unit=sign, sign=sign)} ({low} to {high})"


def _unit(quantity: str, system: str) -> ShownUnit:
    """The unit of a quantity; shares to a tenth of a per cent, since a player's spread is a few."""
    shown = unit(quantity, system)
    return replace(shown, decimals=1) if quantity == "percent" else shown


def changes_table(changes: Sequence[Change], names: dict[str, str], system: str) -> Safe:
    """Every change with its range, and whether it is a clear one; then what the ranges are."""
    if not changes:
        return p(words.ONE_SIDE)
    rows = []
    for one in changes:
        shown = _unit(UNITS.get(one.what, "gap"), system)
        was, now = ("" if x is None else shown.text(x, unit=True) for x in (one.before, one.after))
        change = _with_ends(one.by, shown, sign=True)
        rows.append([words.what(one, names), was, now, change, "yes" if one.beyond_chance else "no"])
    listed = table(
        ["Of", "Before", "Now", "Change", "Clear"],
        rows,
        caption="From before to now",
        words=[4],
        cards=True,
    )
    return join(listed, p(words.ranges(changes), cls="small"))
