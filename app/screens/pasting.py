"""Balls as pasted text or as a file: shown as understood first, changed where need be, taken in only when asked to."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from app import bridge, sessions, styles
from app.choices import Choices
from app.html import Safe, bullets, join, note, p, table, tag
from app.paste import MOST_TEXT, Preview, understand, understand_file
from app.phrases import sessions as words
from app.phrases.reading import FIELDS, how_sure, option, taken_for
from app.phrases.record import then
from app.phrases.say import many
from app.state import State
from app.units import amount, unit
from app.widgets import Choice, Fold, button, html, line, put, show, stack, text_area
from engine.documents.case import Case, Shot
from engine.fitting.former import as_hit, unsure
from engine.shots.table import ALL
from engine.units import YARD

MOST_LINES = 200  # shown of a text; the rest is counted
CHOOSE = "\u2013"  # nothing chosen yet: a list on the page cannot show nothing as one of its lines
MEANS = {"one ball": 1.0, **{f"the mean of {n} balls": float(n) for n in (3, 5, 8, 10, 12, 15, 20, 30)}}
ROLES = {"not used": "", **{words: name for name, words in FIELDS.items()}}
MARKS = {"as recognized": "", "the point: 143.5": ".", "the comma: 143,5": ","}


DATES = {"choose": CHOOSE, "the day": "dmy", "the month": "mdy", "the year": "ymd"}
SWINGS = {"choose": CHOOSE, "full swings": "full", "part swings, to be named first": "part"}

ADD = "Add these balls"
MOST_ADDED = 10  # texts that can come back


@dataclass(frozen=True, slots=True)
class _Added:
    """A text whose balls were taken in: the case before, how it was read, and what of it stayed in the box."""

    before: Case
    text: str
    choices: Choices
    rest: str


class Pasting:
    """A text, a file and a preview of what they hold.

    done : called with the club of the last ball taken in
    add : what taking in does to the case; takes what `app.sessions.add` does
    label, told : of the field for the text, and what stands above it
    full_only : whether balls of part swings are left out
    into : the session that balls without a day go into, today's if empty
    """

    def __init__(
        self,
        state: State,
        done: Callable[[str], None],
        *,
        add: Callable[..., Case] = sessions.add,
        label: str = "Balls as text",
        told: str = "One club per line, or open a table from any launch monitor.",
        full_only: bool = False,
        into: Callable[[], str] = lambda: "",
    ) -> None:
        self.state, self.done, self.add, self.label, self.told = state, done, add, label, told
        self.full_only, self.into = full_only, into
        self.raw = ""  # the text that the preview is of
        self.written = ""  # what stood in the field when it was read: a very long file's text does not
        self.choices = Choices()
        self.preview = Preview()
        self.offered: frozenset[int] = frozenset()  # balls that were here when the new ones were offered
        self.remembered = False
        self.column, self.name = 0, ""  # which one is being changed
        self.whose = ""  # who was open last, once this is built
        self.added: list[_Added] = []  # texts whose balls were taken in, the last one last

    def build(self) -> Any:
        import panel as pn

        self.whose = self.state.store.open
        self.text = text_area(self.label, "7i 139 141 138\n9i 118 121", most=MOST_TEXT)
        self.text.param.watch(lambda event: self._changed(), "value")
        self.file = pn.widgets.FileInput(
            accept=".csv,.txt,.tsv,text/csv,text/plain",
            stylesheets=[styles.FIELD],
            margin=0,
            css_classes=["file"],
        )
        self.file.param.watch(self._opened, ["value", "filename"])
        self.seen, self.asked, self.columns = html(), html(), html()
        self.every = Fold("How every line was read", self._lines, refresh=self._show_lines)
        self.asks = self._asks()
        self.pick = {
            "column": Choice("Column", {"\u2013": 0}, lambda: self.column, self._pick_column, listed=True),
            "role": Choice("Read it as", ROLES, self._role, self._take_for, listed=True),
            "mark": Choice(
                "Its decimal mark", MARKS, lambda: self._mark(self.column), self._read_mark, listed=True
            ),
        }
        self.changes = stack(self.columns, line(*[c.view for c in self.pick.values()], cls="fields"))
        self.take = button(ADD, self._take, cls="main")
        self.take_all = button("", lambda: self._take(again=True), cls="off")
        self.added_words = html(cls="off")
        self.below = stack(
            self.seen,
            self.asked,
            line(*[c.view for c in self.asks.values()], cls="fields"),
            self.changes,
            self.every.view,
            line(self.take, self.take_all, button("Discard", self._leave)),
            cls="comes off",
        )
        self.view = stack(
            html(p(f"{self.told} Nothing counts until you add it.")),
            self.text,
            line(button("Show how it is read", self._read)),
            html(tag("b", "CSV file")),
            self.file,
            self.below,
            self.added_words,
        )
        return self.view

    def _asks(self) -> dict[str, Choice]:
        """What can be asked of the whole text, each shown only where it matters."""

        def ask(label: str, name: str, options: dict[str, Any] | None = None) -> Choice:
            return Choice(
                label,
                options or {CHOOSE: CHOOSE},
                lambda: self._answer(name),
                lambda v: self._choose(**{name: v}),
                listed=True,
            )

        return {
            "length_unit": ask("Carries are in", "length_unit"),
            "speed_unit": ask("Speeds are in", "speed_unit"),
            "player": ask("Whose balls", "player"),
            "day": ask("Which day", "day"),
            "dates": ask("Its dates begin with", "dates", DATES),
            "hit_on": Choice(
                "Hit on",
                {"\u2013": ""},
                lambda: self.hit_on,
                lambda v: self._choose(hit_on=v),
                listed=True,
            ),
            "before": Choice(
                "Before or after the build",
                {"after: the clubs as they are now": False, "before: the clubs as they were": True},
                lambda: self.choices.before,
                lambda v: self._choose(before=v),
                listed=True,
            ),
            "club": ask("Hit with", "club"),
            "name": Choice(
                "Club in the text", {"\u2013": ""}, lambda: self.name, self._pick_name, listed=True
            ),
            "clubs": Choice(
                "It is",
                {"\u2013": ""},
                lambda: self.choices.clubs.get(self.name, ""),
                self._is_club,
                listed=True,
            ),
            "numbers": Choice(
                "Decimal mark", MARKS, lambda: self._mark(0), lambda v: self._read_mark(v, 0), listed=True
            ),
            "swings": ask("These swings are", "swings", SWINGS),
            "balls": ask("Each number is", "balls", MEANS),
        }

    # reading

    def _opened(self, *events: Any) -> None:
        data = self.file.value or b""  # an empty file has a name and no value
        if not data and not self.file.filename:
            return
        if data and self.raw and all(event.name != "value" for event in events):
            return  # the same file under another name
        text, preview = understand_file(
            bytes(data), self.state.case, self.state.units, full_only=self.full_only
        )
        self._leave()
        self.text.value = text if len(text) <= MOST_TEXT else ""
        self._begin(text, preview)

    def _changed(self) -> None:
        """A preview is of the text as it stood: once the text is another one, it is gone."""
        if self.raw and (self.text.value or "") != self.written:
            self._forget()

    def _read(self) -> None:
        text = self.text.value or ""
        if text != self.raw or not text:
            self._begin(text, self._understood(text))
        else:
            self._again()

    def _begin(self, text: str, preview: Preview) -> None:
        """Show a new text, its columns taken as for the last file of the same layout."""
        show(self.added_words, False)
        self.raw, self.choices, self.preview = text, Choices(), preview
        self.written = self.text.value or ""
        self.column, self.name = 0, ""
        known = self.state.store.columns.get(preview.layout)
        self.remembered = known is not None
        if known is not None:
            self.choices = Choices.from_doc(known)
            self._again()
        else:
            self._show()

    def _choose(self, **choices: Any) -> None:
        said: dict[str, Any] = {name: None if value == CHOOSE else value for name, value in choices.items()}
        self.choices = replace(self.choices, **said)
        self._again()

    def _again(self) -> None:
        self.preview = self._understood(self.raw, self.choices)
        self._show()

    def _understood(self, text: str, choices: Choices | None = None) -> Preview:
        return understand(text, self.state.case, self.state.units, choices, full_only=self.full_only)

    # sessions

    @property
    def here(self) -> frozenset[int]:
        """The numbers of those balls of the text that the player has already."""
        return sessions.here_already(self.state.case, self._then[1], self.preview.days)

    @property
    def _then(self) -> tuple[Case, tuple[Shot, ...]]:
        """The balls of the text with their clubs as they were on their days, and the case with those."""
        return as_hit(self.state.case, self.preview.balls, self._dates, before=self.choices.before)

    @property
    def _dates(self) -> list[str | None]:
        return sessions.dates(self.state.case, self.preview.days, self.hit_on)

    @property
    def _hit_with(self) -> set[tuple[str, str | None]]:
        """Each club of the text with each of its days."""
        return {(s.club, day) for s, day in zip(self.preview.balls, self._dates, strict=True)}

    def _clubs_then(self, *, again: bool = False) -> list[str]:
        """What is to be said of balls of clubs that were built into others."""
        hit, dates, balls = self._then[1], self._dates, self.preview.balls
        return then(self.state.case, [(balls[n], hit[n], dates[n]) for n in self._wanted(again=again)])

    def _wanted(self, *, again: bool) -> list[int]:
        """The numbers of the balls to be added; ``again``, those that are here already too."""
        here = frozenset() if again else self.here
        return [n for n in range(len(self.preview.balls)) if n not in here]

    @property
    def hit_on(self) -> str:
        """The session of balls without a day: the one that is being filled, but in a text that dates others."""
        chosen = self.choices.hit_on
        return (sessions.APART if any(self.preview.days) else self.into()) if chosen is None else chosen

    def _days_to_hit_on(self) -> dict[str, str]:
        case = self.state.case
        balls, today = sessions.counts(case), sessions.todays(case, self.state.guest)
        others = {key: sessions.of(case, key) for key in balls if key != today.id}
        first = {words.called(today): "", "an earlier day, no date": sessions.APART}
        return first | words.names(case, others, balls)

    # choosing

    def _question(self, key: str) -> Any:
        return next((q for q in self.preview.questions if q.key == key), None)

    def _answer(self, name: str) -> Any:
        chosen, question = getattr(self.choices, name), self._question(name)
        if name == "balls":
            return chosen or 1.0
        return chosen if chosen is not None else (question.taken if question else "") or CHOOSE

    def _pick_column(self, number: int) -> None:
        self.column = number
        self._show_columns()

    def _role(self) -> str:
        column = next((c for c in self.preview.columns if c.number == self.column), None)
        return column.field or "" if column and column.sure != "unsure" else ""

    def _take_for(self, role: str) -> None:
        self._choose(columns={**self.choices.columns, self.column: role})

    def _mark(self, column: int) -> str:
        return self.choices.numbers.get(column, "")

    def _read_mark(self, mark: str, column: int | None = None) -> None:
        at = self.column if column is None else column
        numbers = {n: m for n, m in self.choices.numbers.items() if n != at}
        self._choose(numbers=numbers | ({at: mark} if mark else {}))

    def _pick_name(self, name: str) -> None:
        self.name = name
        self._show_asks()

    def _is_club(self, club: str) -> None:
        self._choose(clubs={**self.choices.clubs, self.name: club})

    # showing

    def _show(self) -> None:
        there = bool(self.raw.strip())
        show(self.below, True)
        put(self.seen, join(preview_words(self.preview, self.state), self._already()))
        put(self.asked, self._asked_words())
        self._show_asks()
        self._show_columns()
        show(self.every.view, bool(self.preview.lines))
        self.every.rename(
            f"How every line was read: {many(len({x.number for x in self.preview.lines}), 'line')}"
        )
        self._show_lines()
        self._show_take()
        if there:
            asked = len(self.preview.asked)
            bridge.announce(
                f"{many(len(self.preview.balls), 'ball')} understood"
                + (f", {many(asked, 'question')}" if asked else "")
            )

    def _show_take(self) -> None:
        """The new balls alone are offered first where others are here already."""
        self.offered = self.here
        every, new = len(self.preview.balls), len(self.preview.balls) - len(self.offered)
        self.take.label = ADD if new == every else words.only_new(new)
        show(self.take, new > 0)
        self.take_all.label = words.all_again(every)
        show(self.take_all, new < every)

    def _already(self) -> Safe:
        """Which sessions the text has, and that balls of it are here already."""
        here, parts = len(self.here), []
        if said := words.found(self.preview.days, self.state.case, new=here < len(self.preview.balls)):
            parts.append(p(said))
        if here:
            parts.append(note(p(words.again(here, len(self.preview.balls))), warn=True))
        if then_said := self._clubs_then():
            parts.append(note(bullets(then_said)))
        return join(*parts)

    def _asked_words(self) -> Safe | str:
        what = "The columns are taken" if self.choices.columns else "Days and numbers are read"
        told = f"{what} as you chose last time." if self.remembered else ""
        asked = (
            note(p("Please check:"), bullets(self.preview.asked[:12]), warn=True)
            if self.preview.asked
            else ""
        )
        return join(p(told) if told else "", asked)

    def _show_asks(self) -> None:
        asked = {q.key for q in self.preview.questions}
        bag = {c.name or c.id: c.id for c in self.state.case.carried if c.family != "putter"}
        names = [q.about for q in self.preview.questions if q.key == "clubs"]
        names = list(dict.fromkeys([*names, *self.choices.clubs]))
        if self.name not in names:
            self.name = names[0] if names else ""
        options: dict[str, dict[str, Any]] = {
            "length_unit": {"metres": "m", "yards": "yd"},
            "speed_unit": {"mph": "mph", "km/h": "km/h", "m/s": "m/s"},
            "club": {"choose a club": CHOOSE, **bag},
            "name": {name: name for name in names} or {"\u2013": ""},
            "clubs": {"left out": "", **bag},
            "numbers": MARKS,
            "balls": MEANS,
            "swings": SWINGS,
        }
        if (asks := self._question("length_unit")) and not asks.taken:
            options["length_unit"] = {"choose": CHOOSE, **options["length_unit"]}
        for key in ("player", "day"):
            question = self._question(key)
            known = {_option(key, value): value for value in question.options} if question else {}
            options[key] = known if question and question.taken == ALL else {"choose": CHOOSE, **known}
        for key in ("hit_on", "before"):
            options[key] = self.asks[key].widget.options
        if "" in self.preview.days:
            options["hit_on"] = self._days_to_hit_on()
        if asks := self._question("dates"):
            options["dates"] = {name: v for name, v in DATES.items() if v in (CHOOSE, *asks.options)}
        else:
            options["dates"] = DATES
        wanted = {
            **{
                key: key in asked or getattr(self.choices, key) is not None
                for key in ("length_unit", "speed_unit", "club", "swings")
            },
            "player": "player" in asked,
            "day": "day" in asked,
            "dates": "dates" in asked,
            "hit_on": "" in self.preview.days,
            "before": any(unsure(self.state.case, *one) for one in self._hit_with),
            "name": bool(names),
            "clubs": bool(names),
            "numbers": 0 in self.choices.numbers
            or any(q.key == "numbers" and not q.column for q in self.preview.questions),
            "balls": bool(self.preview.balls),
        }
        for name, choice in self.asks.items():
            choice.refresh(options[name])
            show(choice.view, wanted[name])

    def _show_columns(self) -> None:
        columns = self.preview.columns
        show(self.changes, bool(columns))
        if not columns:
            return
        waiting = [q.column for q in self.preview.questions if q.column]
        if self.column not in {c.number for c in columns}:
            self.column = waiting[0] if waiting else columns[0].number
        put(self.columns, columns_words(self.preview))
        self.pick["column"].refresh({f"{c.number}: {c.heading or 'no heading'}": c.number for c in columns})
        self.pick["role"].refresh(ROLES)
        self.pick["mark"].refresh(MARKS)
        current = next(c for c in columns if c.number == self.column)
        open_ = any(q.key == "numbers" and q.column == self.column for q in self.preview.questions)
        show(self.pick["mark"].view, bool(current.mark) or open_ or self.column in self.choices.numbers)

    def _lines(self) -> Any:
        self.lines = html()
        return self.lines

    def _show_lines(self) -> None:
        if self.every.open:
            put(self.lines, lines_words(self.preview))

    # taking in

    def _take(self, *, again: bool = False) -> None:
        if not self.raw:  # pressed just as the text changed
            if not self.text.value:
                return
            self._read()
            put(self.asked, join(p("The text has changed: look at it again, then add."), self._asked_words()))
            return
        if self.here != self.offered:
            self._again()
            put(
                self.asked,
                join(p("What stands here has changed: look again, then add."), self._asked_words()),
            )
            return
        numbers = self._wanted(again=again)
        if not numbers:
            return
        balls, days = [self.preview.balls[n] for n in numbers], [self.preview.days[n] for n in numbers]
        if self.preview.layout and (self.choices.columns or self.choices.numbers or self.choices.dates):
            self.state.remember_columns(self.preview.layout, self.choices.to_doc())
        before, mark, undated, guest = self.state.case, secrets.token_hex(2), self.hit_on, self.state.guest
        was, then_said = self.choices.before, self._clubs_then(again=again)
        if not self.state.change(
            lambda case: self.add(case, balls, days, undated=undated, mark=mark, guest=guest, before=was),
            f"{many(len(balls), 'ball')} added",
        ):
            return
        rest = left_in_the_box(self.raw, self.preview)
        self.added = [*self.added, _Added(before, self.raw, self.choices, rest)][-MOST_ADDED:]
        self._leave()
        if rest:
            label = self.state.case.player.label  # whose balls are meant unless somebody chooses otherwise
            said = self.added[-1].choices
            self._again_from(rest, replace(said, player=None) if label else said)
            # what can be read now that the rest is gone is not offered before somebody asks for it
            put(self.seen, preview_words(replace(self.preview, balls=()), self.state))
            for offer in (self.take, self.take_all):
                show(offer, False)
        self.done(balls[-1].club)
        kept = " What was left out stays in the box." if rest else ""
        into = None if undated == sessions.APART else sessions.of(self.state.case, undated)
        told = " ".join((words.added(days, into) + kept, *then_said))
        put(self.added_words, note(p(told)))
        show(self.added_words, True)
        bridge.announce(told)

    def refresh(self) -> None:
        """Once the balls of a text were undone, it is there again; what was typed since stands below it. To another player
        nothing is said of what was added to the last one."""
        if self.whose and self.whose != self.state.store.open:
            self.whose = self.state.store.open
            show(self.added_words, False)
            self.file.clear()
            if self.raw:
                self._again()
        if not self.added or self.state.case is not self.added[-1].before:
            return
        show(self.added_words, False)
        last = self.added.pop()
        now = self.text.value or ""
        since = "" if now.strip() in ("", last.rest.strip()) else now
        self._again_from("\n".join(filter(None, (last.text, since))), last.choices)

    def _again_from(self, text: str, choices: Choices) -> None:
        """A text read as one before it was."""
        self.text.value = text if len(text) <= MOST_TEXT else ""
        self.raw, self.choices, self.written = text, choices, self.text.value
        self.column, self.name = 0, ""
        self._again()

    def _leave(self) -> None:
        self._forget()
        self.text.value = ""

    def _forget(self) -> None:
        self.raw, self.written, self.preview, self.choices = "", "", Preview(), Choices()
        show(self.below, False)


def _option(key: str, value: str) -> str:
    return words.day(value) if key == "day" and value != ALL and value else option(value)


def left_in_the_box(text: str, preview: Preview) -> str:
    """The balls that were not taken, with the lines that say how to read them; nothing where all went in."""
    if not any(x.ball for x in preview.lines):
        return ""
    taken = {x.number for x in preview.lines if x.taken}
    gone = {x.number for x in preview.lines if x.gone}
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    parts = {n: [x.text for x in preview.lines if x.number == n and not x.taken] for n in taken}
    kept = [
        "; ".join(parts[n]) if n in taken else words
        for n, words in enumerate(lines, 1)
        if words.strip() and n not in gone
    ]
    return "\n".join(filter(None, kept))


def preview_words(preview: Preview, state: State) -> Safe:
    """What a text was understood to hold, what was assumed, and what was not understood."""
    system = state.units
    groups: dict[tuple[str, str | None], list[Shot]] = {}
    for ball in preview.balls:
        groups.setdefault((ball.club, ball.swing_size), []).append(ball)
    names = {c.id: c.name for c in state.case.bag}
    sizes = {size.id: f", {size.name}" for size in state.case.swing_sizes}
    rows = [
        [
            names.get(club, club) + sizes.get(size or "", ""),
            len(balls),
            ", ".join(_carry(b, system) for b in balls[:30]),
            _also(balls),
        ]
        for (club, size), balls in groups.items()
    ]
    more = any(row[3] for row in rows)
    name = unit("carry", system).name
    head = ["Club", "Balls", f"Carries ({name})", "Also measured"]
    parts: list[Safe] = []
    if rows:
        parts.append(
            table(
                head if more else head[:3],
                rows if more else [row[:3] for row in rows],
                caption="Read so far, not yet added",
                words=[2, 3],
                cards=True,
            )
        )
    parts.append(bullets(preview.notes[:20]))
    if preview.problems and not preview.lines:
        parts.append(note(bullets(preview.problems), warn=True))
    elif preview.problems:
        left = len(preview.problems) - 12
        told = [*preview.problems[:12], *([f"and {left} more, see every line below"] if left > 0 else [])]
        parts.append(note(p("Left out:"), bullets(told), warn=True))
    if not rows and not preview.problems:
        parts.append(p("There is nothing here to read yet."))
    return join(*parts)


def _carry(ball: Shot, system: str) -> str:
    if ball.carry_m is None:
        return "\u2013"
    whole = any(abs(x - round(x)) < 2e-3 for x in (ball.carry_m, ball.carry_m / YARD))  # as it was written
    text = amount(ball.carry_m, "carry" if whole else "carry_fine", system, bare=True)
    if ball.balls > 1:
        text += f" (mean of {ball.balls:.0f}"
        text += (
            f", sd {amount(ball.carry_sd_m, 'carry_fine', system, bare=True)})"
            if ball.carry_sd_m is not None
            else ")"
        )
    return text


def _also(balls: list[Shot]) -> str:
    measured = ("ball_speed_mps", "club_speed_mps", "launch_deg", "spin_rpm", "side_m", "grip_down_m")
    return ", ".join(FIELDS[name] for name in measured if any(getattr(ball, name) for ball in balls))


def columns_words(preview: Preview) -> Safe:
    """Every column: what it was taken for, how sure that is, and its first values."""
    told = (
        (c.heading or f"column {c.number}", ": ".join(filter(None, (taken_for(c), how_sure(c)))), c.sample)
        for c in preview.columns
    )
    return join(
        tag("b", "Columns"),
        *(
            p(tag("b", name), f" \u2013 {words}; first values: {', '.join(sample) or 'none'}")
            for name, words, sample in told
        ),
    )


def lines_words(preview: Preview) -> Safe:
    """Every line of the text, and what became of it."""
    more = len(preview.lines) - MOST_LINES
    return join(
        *(
            p(tag("b", f"{x.number}"), f" {x.text} \u2013 ", tag("b", x.fate))
            for x in preview.lines[:MOST_LINES]
        ),
        p(f"and {more} more lines") if more > 0 else "",
    )
