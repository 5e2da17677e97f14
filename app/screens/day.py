"""The day's session under Hit: one line, and under it place, weather and note, earlier sessions, and how those count."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import date
from typing import Any

from app import bridge, edits, sessions
from app.dates import day as full_day
from app.dates import iso_today
from app.html import join, note, p, table
from app.phrases import phrases
from app.phrases import sessions as words
from app.phrases.copies import added
from app.phrases.layouts import layout_title
from app.phrases.say import many
from app.screens.weather import weather_fields
from app.state import State
from app.units import Unreadable, amount
from app.widgets import Choice, Fold, NumberField, Sure, TextField, Tick, button, html, line, put, show, stack
from engine.documents.case import Case, Session
from engine.documents.fields import SESSION, WANTS, Number, Text
from engine.shots.dates import ahead, day_of, readings
from engine.statements import LayoutName, Statement
from engine.swing.sessions import weather_noted

HALF_LIFE = 90.0  # [days], to begin with
MOST_CARRIES = 60  # of a club, shown in a session


class DayField(NumberField):
    """A day of the case, typed as people write it; one that can be read in two ways is not guessed."""

    def __init__(
        self,
        state: State,
        label: str,
        get: Callable[[Case], Any],
        edit: Callable[[Case, Any], Case],
        change: Callable[..., Any],
    ) -> None:
        super().__init__(state, label, "count", Number(0, 1), get, edit, change=change)

    def _classes(self) -> list[str]:
        return ["bad"] * bool(self._fault)

    def _text(self) -> str:
        return full_day(self.get(self.state.case))  # type: ignore[arg-type]  # a day is its text

    def _read(self, text: str) -> Any:
        if not text.strip():
            return None
        today = date.fromisoformat(iso_today())
        days = sorted(set((readings(day_of(text), today) or {}).values()))
        if not days:
            raise Unreadable("must be a day, such as 20 Oct 2026")
        if len(days) > 1:
            both = " or ".join(full_day(day.isoformat()) for day in days)
            raise Unreadable(f"can be {both}: write the month in letters")
        if ahead(days[0], today):
            raise Unreadable("is in the future")
        return days[0].isoformat()


class Day:
    """The fold; ``key`` is the session looked at, once somebody has chosen one; ``filled`` the player and the session that
    balls are added to, if it is not today's; ``turned`` is called once another one is looked at or filled."""

    def __init__(self, state: State, turned: Callable[[], None]) -> None:
        self.state, self.turned, self.key, self.to = state, turned, "", ""
        self.filled = ("", "")
        self.fields: list[Any] = []
        self.fold = Fold("Today", self._build, refresh=self.refresh)

    # which session

    @property
    def case(self) -> Case:
        return self.state.case

    @property
    def shown(self) -> str:
        """The session looked at: the one chosen, else today's, else the newest one with balls."""
        case, today = self.case, sessions.todays(self.case, self.state.guest)
        balls = sessions.counts(case)
        if self.key in balls or self.key == today.id:
            return self.key
        newest = next((key for key, count in balls.items() if count), today.id)
        return today.id if today in case.sessions or self.state.guest else newest

    @property
    def into(self) -> str:
        """The session that balls are added to; nothing for today's."""
        player, key = self.filled
        return key if player == self.state.store.open and key in sessions.counts(self.case) else ""

    def _fill(self) -> None:
        self.key = self.shown
        self.filled = (self.state.store.open, self.key)
        self.turned()

    def _all(self) -> dict[str, Session]:
        """Today's session, those that are there, and the balls without one, newest first."""
        case = self.case
        keys = dict.fromkeys((sessions.todays(case, self.state.guest).id, *sessions.counts(case)))
        return {key: sessions.of(case, key) for key in keys}

    def names(self) -> dict[str, str]:
        """Keys of all sessions by name, those of another device marked."""
        named = words.names(self.case, self._all(), sessions.counts(self.case))
        return {f"{self._theirs(key)}: ".join(name.rsplit(": ", 1)): key for name, key in named.items()}

    def _theirs(self, key: str) -> str:
        where = added(sessions.of(self.case, key), guest=bool(self.state.guest))
        return f", {where}" if where else ""

    def _look_at(self, key: str) -> None:
        self.key, self.filled = key, ("", "")
        for field in self.fields:
            if isinstance(field, NumberField):
                field.forget()
        self.turned()

    # what stands in it

    def _build(self) -> Any:
        self.list, self.told, self.balls, self.half_words = html(), html(), html(), html()
        self.which = Choice("Session", self.names(), lambda: self.shown, self._look_at, listed=True)
        self.date = DayField(
            self.state, "Date", lambda case: self._session(case).date, self._tell("date"), self._redate
        )
        self.as_given = Tick(
            "The weather was as above", lambda: sessions.air(self.case, self.shown).noted, self._as_given
        )
        self.fields = [
            self.date,
            self._text("Place", "place"),
            *weather_fields(
                self.state,
                ("temperature_c", "altitude_m", "humidity", "wind_mps"),
                of=lambda case: sessions.air(case, self.shown),
                edit=self._weather,
                done="weather of these shots changed",
            ),
            self.as_given,
            Tick("Hit indoors", lambda: sessions.air(self.case, self.shown).indoors, self._indoors),
            self._text("Balls used", "balls"),
            Choice("Clubs hit, for the record", self._sets(), self._set, self._hit_with, listed=True),
        ]
        self.note = self._text("Note on this session", "note", lines=True)
        self.target = Choice("Move its balls to", {"\u2013": ""}, lambda: self.to, self._aim, listed=True)
        self.mover = line(self.target.view, button("Move these balls", self._move), cls="fields low")
        self.delete = Sure(
            "Delete this session", self._to_delete, self._delete, what="delete", where=lambda: self.shown
        )
        self.fill = button("Add the next balls to this session", self._fill)
        self.more = button("Start another session today", self._another)
        self.fading = Choice(
            "Earlier sessions",
            {"count in full": False, "count less with time": True},
            lambda: self.case.wants.half_life_days is not None,
            self._fade,
        )
        self.half = NumberField(
            self.state,
            "Days until one counts half",
            "count",
            WANTS["half_life_days"],
            lambda case: case.wants.half_life_days,
            edits.wants("half_life_days"),
            needed=True,
        )
        self.over_time = stack(self.fading.view, self.half.view, self.half_words)
        return stack(
            self.list,
            self.which.view,
            self.told,
            line(*[getattr(f, "view", f) for f in self.fields], cls="fields"),
            self.note.view,
            self.balls,
            self.mover,
            line(self.fill, self.more, self.delete.head),
            self.delete.view,
            self.over_time,
        )

    def _session(self, case: Case) -> Session:
        return sessions.of(case, self.shown)

    def _tell(self, name: str) -> Callable[[Case, Any], Case]:
        def edit(case: Case, value: Any) -> Case:
            return sessions.told(self.shown, name)(case, value)

        return edit

    def _text(self, label: str, name: str, *, lines: bool = False) -> TextField:
        rule = SESSION[name]
        assert isinstance(rule, Text)

        def take(value: str) -> None:
            if value.strip() != getattr(self._session(self.case), name):
                self._change(lambda case: self._tell(name)(case, value.strip()), f"{label.lower()} changed")

        return TextField(
            label, lambda: str(getattr(self._session(self.case), name)), take, most=rule.most, lines=lines
        )

    def _change(self, edit: Callable[[Case], Case], what: str) -> None:
        """An edit of the session looked at, which stays in view where the edit gave it an id."""
        undated, self.key = self.shown == sessions.UNDATED, self.shown
        if self.state.change_days(edit, what) and undated:
            self._look_at(self.case.sessions[0].id)

    def _redate(self, edit: Callable[[Case], Case], what: str) -> None:
        """Another day of the session looked at; the one that was being filled goes on being filled."""
        if not self.into and self.shown == sessions.todays(self.case, self.state.guest).id:
            self.filled = (self.state.store.open, self.shown)
        self._change(edit, what)

    def _weather(self, name: str) -> Callable[[Case, Any], Case]:
        return lambda case, value: sessions.weather(self.shown, name)(case, value)

    def _as_given(self, value: bool) -> None:
        self.state.change(lambda case: self._weather("noted")(case, value), "weather noted")

    def _indoors(self, value: bool) -> None:
        self.state.change(
            lambda case: self._weather("indoors")(case, value), f"hit indoors {'on' if value else 'off'}"
        )

    def _sets(self) -> dict[str, str]:
        out = {"the bag of that day": ""}
        for one in self.case.layouts:
            name = layout_title(LayoutName(one.id, one.kind, length_m=one.common_length_m), self.state.units)
            out[name if name not in out else f"{name} ({one.id})"] = one.id
        if (now := self._set()) not in out.values():
            out["a set that is no more"] = now
        return out

    def _set(self) -> str:
        return self._session(self.case).layout or ""

    def _hit_with(self, layout: str) -> None:
        self._change(lambda case: self._tell("layout")(case, layout or None), "clubs of the session changed")

    # its balls

    def _aim(self, key: str) -> None:
        self.to = key

    def _move(self) -> None:
        balls = sessions.balls_of(self.case, self.shown)
        to, mark = self.to, secrets.token_hex(2)
        if balls and self.state.change_days(
            sessions.move(balls.keys(), to, mark=mark), f"{many(len(balls), 'ball')} moved to another session"
        ):
            bridge.announce(f"{many(len(balls), 'ball')} moved")

    def _to_delete(self) -> str:
        balls = sessions.counts(self.case).get(self.shown, 0)
        return words.to_delete(self._session(self.case), balls)

    def _delete(self) -> None:
        name = words.called(self._session(self.case))
        if self.state.change(sessions.drop(self.shown), f"session {name} deleted"):
            self.state.tell_done(f"Session deleted: {name}.")

    def _another(self) -> None:
        guest = self.state.guest
        if self.state.change(lambda case: sessions.another(case, guest), "another session today"):
            self._look_at("")

    def _fade(self, fade: bool) -> None:
        days = HALF_LIFE if fade else None
        self.state.change(
            lambda case: edits.wants("half_life_days")(case, days),
            f"earlier sessions count {'less' if fade else 'alike'}",
        )

    # refresh

    def refresh(self) -> None:
        case, balls = self.case, sessions.counts(self.case)
        hit = [key for key, count in balls.items() if count]
        key, today = self.shown, sessions.todays(case, self.state.guest)
        dates = [sessions.of(case, one).date or "" for one in hit if one != key]
        date = sessions.of(case, key).date or ""
        head = words.head(
            sessions.of(case, key),
            sessions.air(case, key),
            self.state.units,
            earlier=sum(one < date for one in dates),
            others=len(dates),
        )
        theirs = self._theirs(key)
        self.fold.rename(f"{theirs}: ".join(head.split(": ", 1)) if theirs else head)
        if not self.fold.open:
            return
        names = self.names()
        session = sessions.of(case, key)
        several = len(names) > 1
        self.which.refresh(names)
        show(self.which.view, several)
        put(self.list, self._table() if len(hit) > 1 else "")
        put(self.told, self._words(session, today))
        now_air = sessions.air(case, key)
        show(self.as_given.view, now_air.noted or not weather_noted(now_air))
        self.fields[-1].refresh(self._sets())
        for field in (*self.fields[:-1], self.note, self.fading, self.half):
            field.refresh()
        mine = sessions.balls_of(case, key)
        put(self.balls, self._balls() if several or len(mine) > 0 else "")
        others = {name: k for name, k in names.items() if k != key}
        others["a new session, no date"] = sessions.APART
        if self.to not in others.values():
            self.to = next(iter(others.values()))
        self.target.refresh(others)
        show(self.mover, bool(mine))
        count = f": {many(balls[key], 'ball')}" if balls.get(key) else ""
        self.delete.refresh(f"Delete this session{count}")
        show(self.delete.head, key in balls)
        mine_here = bool(session.by) == bool(self.state.guest)
        show(self.fill, mine_here and key in balls and key != (self.into or today.id))
        show(self.more, key == today.id and bool(balls.get(key)))
        show(self.over_time, len(hit) > 1 or case.wants.half_life_days is not None)
        days = case.wants.half_life_days
        show(self.half.view, days is not None)
        put(self.half_words, p(" ".join(phrases(self._how_they_count(), self.state.units)), cls="small"))

    def _words(self, session: Session, today: Session) -> str:
        old = session.id == sessions.UNDATED
        target = sessions.of(self.case, self.into or today.id)
        said: str = p(words.goes_into(target, here=session.id == target.id))
        said = note(words.OLD) + said if old else said
        conditions, system = sessions.air(self.case, session.id), self.state.units
        balls = sessions.counts(self.case).get(session.id)
        if balls and (unknown := words.not_noted(self.case, session, conditions, system)):
            said += p(unknown)
        return said + p(
            "Enter the wind as a weather report gives it. The card says which weather its carries are for."
        )

    def _how_they_count(self) -> list[Statement]:
        """What is made of the sessions, once there is a result."""
        found = self.state.fitting.then_and_now if self.state.summed_up is not None else None
        return [s for s in found.statements if s.kind.startswith("sessions.")] if found else []

    def _table(self) -> str:
        balls = sessions.counts(self.case)
        rows = [
            [words.called(sessions.of(self.case, key)) + self._theirs(key), count]
            for key, count in balls.items()
        ]
        old = p(words.SOME_OLD, cls="small") if balls.get(sessions.UNDATED) else ""
        return join(table(["Session", "Balls"], rows, caption="Sessions", words=[0]), old)

    def _balls(self) -> str:
        """The balls of the session, club by club."""
        clubs: dict[str, list[str]] = {}
        names = {c.id: c.name or c.id for c in self.case.bag}
        sizes = {size.id: f", {size.name}" for size in self.case.swing_sizes}
        for (name, _), shot in sessions.balls_of(self.case, self.shown).items():
            again = ", after the build" if name == "retest" else ""
            theirs = added(shot, guest=self.state.store.entry.guest)
            theirs = f", {theirs}" if theirs else ""
            club = f"{names.get(shot.club, shot.club)}{sizes.get(shot.swing_size or '', '')}{again}{theirs}"
            carry = amount(shot.carry_m, "carry", self.state.units, bare=True)
            carry += f" (mean of {shot.balls:.0f})" if shot.balls > 1 else ""
            clubs.setdefault(club, []).append(carry if shot.use else f"{carry} (excluded)")
        if not clubs:
            return p("No balls yet.")
        rows = [
            [club, len(carries), ", ".join(carries[:MOST_CARRIES]) + "\u2026" * (len(carries) > MOST_CARRIES)]
            for club, carries in clubs.items()
        ]
        return table(
            ["Club", "Balls", "Carries"], rows, caption="Balls of this session", words=[2], cards=True
        )
