"""Step 2, Hit: balls per club by keypad, paste or file; what they say, and how many more are wanted."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from app import bridge, edits, sessions
from app.glance import club_chips, club_named, first_club
from app.html import Safe, bullets, h2, join, kpis, note, p, table, tag
from app.phrases import phrase, phrases
from app.phrases.copies import added
from app.phrases.lines import balls_line, brief, swing_of
from app.phrases.say import listed
from app.phrases.tally import NO_BALLS, launch_line, no_balls, tally, what_the_days_did
from app.screens.asked_of import AskedOf
from app.screens.day import Day
from app.screens.landing import Landing
from app.screens.part_swings import FEW, Sizes
from app.screens.pasting import Pasting
from app.screens.weather import RangeBalls
from app.units import Unreadable, amount, between, parse, unit
from app.widgets import (
    Chips,
    Choice,
    Fold,
    NumberField,
    Screen,
    button,
    classes,
    html,
    line,
    put,
    show,
    stack,
)
from engine.documents.case import Case, Club, Shot
from engine.documents.fields import SHOT, Number
from engine.physics.air import air_of, struck_in
from engine.statements import Statement
from engine.statistics import Interval, intervals
from engine.swing.launch_data import counts_as_range, mean_as_hit
from engine.swing.observations import ClubShots
from engine.swing.plausibility import doubts
from engine.swing.sessions import hit_in
from engine.units import INCH
from engine.workshop.cautions import cautions

GRIP_NAMES = {
    "Full": 0.0,
    "\u00bd in": 0.5 * INCH,
    "1 in": INCH,
    "1\u00bd in": 1.5 * INCH,
    "2 in": 2 * INCH,
    "3 in": 3 * INCH,
}
MEANS = {"one ball": 1, **{f"the mean of {n} balls": n for n in (3, 5, 10, 20)}}
GRIP_NAMES_CM = {
    "Full": 0.0,
    "1.3 cm": 0.5 * INCH,
    "2.5 cm": INCH,
    "3.8 cm": 1.5 * INCH,
    "5.1 cm": 2 * INCH,
    "7.6 cm": 3 * INCH,
}


CHOOSE = {"choose": ""}
SHOWN = 3  # of the numbers that were not added

WEDGES_ONLY, OTHERS_ONLY = "part: wedges only", "part: other clubs"

FULL = "Full swing"
MEASURED = (
    ("Ball speed", "speed", "ball_speed_mps"),
    ("Launch", "angle", "launch_deg"),
    ("Spin", "spin", "spin_rpm"),
    ("Club speed", "speed", "club_speed_mps"),
    ("Side (right is +)", "gap", "side_m"),
)
LAUNCH_COLUMNS = {
    "ball_speed_mps": ("Ball speed", "speed"),
    "launch_deg": ("Launch", "angle"),
    "spin_rpm": ("Spin", "spin"),
    "club_speed_mps": ("Club speed", "speed"),
    "side_m": ("Side", "carry"),
}


class Hit(Screen):
    id, title = "hit", "Hit"
    head = ("Hit with at least two clubs", "Type how far each ball carried.")

    def build(self) -> list[Any]:
        self.club_id = first_club(self.state.store)
        self.grip = 0.0
        self.size: str | None = None  # the part swing of the next ball
        self.ticked: set[int] = set()  # balls of the club's list, by their place among all
        self.listed: tuple[Shot, ...] = ()  # the balls that these places are among
        self.to = ""  # the club that ticked balls are to go to
        self.means = 1
        self.other = False  # whether another club was chosen since the field's text was typed; the next digit replaces it
        self.extra: dict[str, Any] = {}  # measured of the next ball besides its carry
        self.fault = ""
        self.refused = (
            ""  # what was wrong with the last number entered, and for which club, if it was refused
        )
        self.missed: list[str] = []  # the same of numbers left behind, while the next ones were typed
        self.missed_words = html()
        self.missed_box = stack(self.missed_words, line(button("OK", self._understood)), cls="tight off")
        self.asked = AskedOf(self.state, lambda: self.club.id, self._name_swing)
        bridge.listen("entered", self._entered)
        self.clubs = Choice("", self._club_options(), lambda: self.club.id, self._take_up)
        self.clubs.widget.css_classes = ["group", "strip", "clubs"]
        self.swings = Choice("", {"Full swing": ""}, lambda: self.size or "", self._swing)
        self.swings.widget.css_classes = ["group", "strip", "swings"]
        self.sizes = Sizes(self.state)
        self.grips = Choice("Grip", self._grips(), lambda: self.grip, self._hold)
        self.grips.widget.css_classes = ["group", "grips"]
        self.entry = self._entry()
        keys = [
            button(k, partial(self._key, k), cls="key digit")
            for k in ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0")
        ]
        keys.append(button("\u232b", lambda: self._key("back"), cls="key digit back"))
        self.tally = html(cls="tally")
        self.stats = html()
        self.balls = html()
        self.which = Chips("Balls to change", {}, lambda: sorted(self.ticked), self._tick)
        self.toggle = button("Exclude this shot", self._toggle)
        self.delete = button("Delete this ball", self._delete)
        self.mover = button("Move", self._move)
        self.target = Choice("Move to", CHOOSE, lambda: self.to, self._aim, listed=True)
        self.session = ""  # the one that ticked balls are to go to
        self.hit_on = Choice("Move to session", CHOOSE, lambda: self.session, self._aim_at, listed=True)
        self.mover_on = button("Move to this session", self._move_to_session)
        self.to_session = line(self.hit_on.view, self.mover_on, cls="fields low")
        self.list = Fold("Balls of this club", self._list, refresh=self._refresh_list)
        self.stands_for = Choice("Each number is", MEANS, lambda: self.means, self._stand_for, listed=True)
        self.stands_for.view.css_classes = ["means"]
        self.measured = Fold("Ball speed, launch, spin, side", self._measured, refresh=self._refresh_measured)
        self.measured_fields: list[NumberField] = []
        self.landing = Landing(self.state, lambda: self.club, lambda: self.size)
        self.pasting = Pasting(self.state, self._taken_in, into=lambda: self.day.into)
        self.paste = Fold("Paste, or open a CSV file", self.pasting.build)
        self.range = RangeBalls(self.state)
        self.day = Day(self.state, self.refresh)
        self.undo_ball = button("Remove last ball", self._undo_ball, cls="again")
        return [
            line(
                stack(
                    stack(
                        self.clubs.view,
                        self.swings.view,
                        line(self.entry, self.range.chip.view, cls="pair low"),
                        self.tally,
                        self.asked.view,  # in the place of the line above, so that no key moves
                        line(*keys, cls="keys"),
                        line(button("Add ball", self._add, cls="main enter"), self.undo_ball, cls="ends add"),
                        cls="pad",
                    ),
                    self.missed_box,
                    self.range.more,
                    line(self.grips.view, self.stands_for.view, cls="wide-fields"),
                    stack(self.day.fold.view, self.measured.view, self.landing.fold.view, cls="folds"),
                    cls="sheet",
                ),
                stack(self.stats, self.list.view, cls="sheet"),
                cls="wide-fields whole",
            ),
            stack(self.sizes.fold.view, self.paste.view, cls="sheet folds"),
            html(
                join(
                    *[
                        p(phrase(c.statement, self.state.units), cls="small")
                        for c in cautions("range", "body", "lightning")
                    ]
                )
            ),
            line(
                button("Next: lay out the set", lambda: self.go("layout"), cls="main to-layout"), cls="ends"
            ),
        ]

    def undone(self, before: Case) -> None:
        """The club whose balls came or went is the one to look at."""
        was, now = set(before.shots), set(self.state.case.shots)
        clubs = {s.club for s in was ^ now} or {
            c.id
            for c in self.state.case.bag
            if self._count_of(before, c.id) != self._count_of(self.state.case, c.id)
        }
        here = {c.id for c in self.state.case.bag}
        if clubs & here and self.club_id not in clubs:
            self._choose(min(clubs & here))
            self.refresh()

    @staticmethod
    def _count_of(case: Case, club_id: str) -> int:
        return sum(s.club == club_id for s in case.shots)

    # which club, which grip

    @property
    def club(self) -> Club:
        bag = self.state.case.bag
        return next((c for c in bag if c.id == self.club_id), bag[0])

    def _club_options(self) -> dict[str, str]:
        chips = club_chips(self.state.case, self.club_id)
        return chips or {"no club in the bag": self.state.case.bag[0].id}

    def _grips(self) -> dict[str, float]:
        return GRIP_NAMES if self.state.units == "imperial" else GRIP_NAMES_CM

    def _held(self, grip_m: float) -> str:
        """How far down the grip, as the choice above says it where it offers that."""
        near = (name for name, offered in self._grips().items() if abs(offered - grip_m) < 1e-3)
        return next(near, amount(grip_m, "grip", self.state.units))

    def _choose(self, club_id: str) -> None:
        if club_id != self.club_id:
            self.other = bool(self.entry.value)
        self.club_id, self.grip, self.size = club_id, 0.0, None
        self.ticked.clear()
        self.to = self.session = ""
        self.fault = ""

    def _take_up(self, club_id: str) -> None:
        self._choose(club_id)
        before = self.state.store
        self.state.hit_with(club_id)
        if self.state.store is before:
            self.refresh()

    def _hold(self, grip: float) -> None:
        self.grip = grip
        self.refresh()

    def _swing(self, size_id: str) -> None:
        self.size = size_id or None
        self.refresh()

    def _swings(self) -> dict[str, str]:
        parts = edits.sizes_of(self.state.case, self.club)
        only = OTHERS_ONLY if any(size.clubs for size in self.state.case.swing_sizes) else WEDGES_ONLY
        full = FULL if parts else f"{FULL} \u00b7 {only}"
        return {full: "", **{size.name: size.id for size in parts}}

    @property
    def swung(self) -> str:
        """The part swing chosen, as it follows the club's name; nothing for a full one."""
        return swing_of(next((s for s in self.state.case.swing_sizes if s.id == self.size), None))

    def _name_swing(self) -> None:
        if not self.sizes.fold.open:
            self.sizes.fold.toggle()

    def _stand_for(self, balls: int) -> None:
        self.means = balls
        self.refresh()

    def _taken_in(self, club_id: str) -> None:
        """Balls came from a file or a text; the club chosen for typing stays."""
        self.refresh()

    # typing a ball: in the browser the page keeps the field and says what was entered (site/shell/entry.js); the field's
    # own value and the keys' clicks reach Python only without that page

    def _entry(self) -> Any:
        import panel as pn

        from app import styles

        entry = pn.widgets.TextInput(
            label="Carry",
            stylesheets=[styles.FIELD],
            css_classes=["num", "entry", "brief"],
            margin=0,
            max_length=20,
        )
        entry.param.watch(lambda event: self._add() if event.new else None, "enter_pressed")
        return entry

    def _key(self, key: str) -> None:
        text = self.entry.value or ""
        if self.other and key not in ("back", "."):
            text = ""
        self.other = False
        self.entry.value = text[:-1] if key == "back" else (text + key)[:8]

    def _say(self, fault: str) -> None:
        new, self.fault = fault != self.fault, fault
        name = unit("carry", self.state.units).name
        held = "" if not self.grip else f", gripped down {self._held(self.grip)}"
        what = "Carry" if self.means == 1 else f"Mean carry of {self.means} balls"
        title = f"Carry {fault}" if fault else f"{what}, {self.club.name}{self.swung}{held} ({name})"
        if self.entry.label != title:
            self.entry.label = title
        brief = len(title) <= 24  # on one line, also beside the chip on a small phone
        kinds = ["num", "entry"] + (["bad"] if fault else ["brief"] if brief else [])
        classes(self.entry, kinds)
        if fault and new:
            bridge.announce(f"Carry {fault}")

    def _entered(self, payload: dict[str, Any]) -> None:
        """Numbers from the page, in the order in which they were typed."""
        page = str(payload.get("id") or "")
        with self.state.gathered():
            for number in payload.get("numbers") or ():
                text = str(number.get("text") or "")
                if page and self.state.early_taken(page, int(number.get("number") or 0)):
                    continue
                if self.refused and not number.get("mends"):
                    self._miss()
                self.refused = ""
                if not self._take(text) and text:
                    self.refused = f"{self.club.name}{self.swung}: {self.fault}"
                    bridge.give_back(text)

    def early(self, text: str, club_id: str) -> None:
        """A carry typed before the dashboard was there, for the club that was chosen then."""
        if not any(c.id == club_id for c in self.state.case.bag):
            self._gone(f"\u201c{text}\u201d was typed for a club ({club_id}) that is not in the bag")
            return
        if club_id != self.club_id or self.grip or self.size:
            self.club_id, self.grip, self.size, self.fault = club_id, 0.0, None, ""
            self.ticked.clear()
        self.state.hit_with(club_id)
        self._entered({"numbers": [{"text": text}]})

    def put_back(self, text: str, chosen: Sequence[str], measured: Sequence[str]) -> str:
        """A number typed in a page that died, with what then stood on the chosen buttons for club, swing, grip and how many
        balls it is of, and what else was measured, as ``label=text``; which ball it is, or nothing where it is refused.
        """
        stood = dict(zip(("club", "swing", "grip", "means"), chosen, strict=False))
        club_id = club_named(self.state.case, stood.get("club", ""))
        size = grip = None
        if club_id:
            self.early_club(club_id)
            swing = stood.get("swing") or FULL
            size = self._swings().get(swing, "" if swing.startswith(FULL) else None)
            grip = self._grips().get(stood.get("grip") or "Full")
        if size is None or grip is None:
            self._gone(f"\u201c{text}\u201d ({', '.join(chosen)}): there is no such club or swing now")
            return ""
        self.size, self.grip = size or None, grip
        now = self.means, self.extra
        self.means = MEANS.get(stood.get("means", ""), 1)
        self.extra = self._read(dict(one.rsplit("=", 1) for one in measured if "=" in one))
        before = len(self.state.case.shots)
        self._entered({"numbers": [{"text": text}]})
        self.means, self.extra = now
        if len(self.state.case.shots) == before:
            return ""
        return f"{short(self.club)}{self.swung} {self._shown(self.state.case.shots[-1])}"

    def _read(self, fields: Mapping[str, str]) -> dict[str, Any]:
        """What was measured of a ball besides its carry, of those fields that can be read."""
        out = {}
        for label, quantity, name in MEASURED:
            rule = SHOT[name]
            assert isinstance(rule, Number)
            text = next((t for title, t in fields.items() if title.startswith(label)), "")
            try:
                value = parse(text, quantity, self.state.units, low=rule.low, high=rule.high)
            except Unreadable:
                continue
            if value is not None:
                out[name] = round(value, 3)
        return out

    def early_club(self, club_id: str) -> None:
        """The club chosen before the dashboard was there."""
        if club_id != self.club_id and any(c.id == club_id for c in self.state.case.bag):
            self._take_up(club_id)

    def _add(self) -> None:
        self.other = False
        if self._take(self.entry.value or ""):
            self.entry.value = ""

    def _take(self, text: str) -> bool:
        """One ball of what was typed; what is wrong with it is said in the field's label, with the number itself."""
        rule = SHOT["carry_m"]
        assert isinstance(rule, Number)
        try:
            carry = parse(text, "carry", self.state.units, low=rule.low, high=rule.high)
            if carry is None and not self.extra:
                raise Unreadable("is empty: type how far the ball flew")
            for field in self.measured_fields:
                if field.faulty:
                    raise Unreadable(f"not added yet: correct {field.label} first")
            ball = Shot(
                self.club.id,
                carry_m=None if carry is None else round(carry, 2),
                grip_down_m=round(self.grip, 4),
                balls=self.means,
                swing_size=self.size,
                **self.extra,
            )
            what = f"{short(self.club)}{self.swung} {self._shown(ball)}"
            guest, into = self.state.guest, self.day.into
            if not self.state.change(
                lambda case: sessions.add(case, (ball,), undated=into, guest=guest), what
            ):
                raise Unreadable(f"was not added. {self.state.refusal}")
        except Unreadable as error:
            self._say(f"\u201c{text}\u201d {error}" if text else str(error))
            return False
        self.extra.clear()
        for field in self.measured_fields:
            field.refresh()
        self._say("")
        bridge.announce(f"{self.club.name}{self.swung}: {self._told()}")
        return True

    def _shown(self, ball: Shot) -> str:
        """A ball in a word or two."""
        return "launch" if ball.carry_m is None else amount(ball.carry_m, "carry", self.state.units)

    # what else was measured of the next ball

    def _measured(self) -> Any:
        def field(label: str, quantity: str, name: str) -> NumberField:
            def take(case: Case, value: float | None) -> Case:
                self.extra = {k: v for k, v in self.extra.items() if k != name}
                if value is not None:
                    self.extra[name] = round(value, 3)
                return case

            return NumberField(
                self.state,
                label,
                quantity,
                SHOT[name],
                lambda case: self.extra.get(name),
                take,
                change=lambda edit, what: edit(self.state.case),
                passing=True,
            )

        self.measured_fields = [field(*one) for one in MEASURED]
        return stack(
            html(
                p(
                    "These go with the next ball you add. To add it without a carry, leave the carry empty.",
                    cls="small",
                )
            ),
            line(*[f.view for f in self.measured_fields], cls="fields measured"),
        )

    def _refresh_measured(self) -> None:
        for field in self.measured_fields:
            field.refresh()

    def _miss(self) -> None:
        """The number that was refused last was typed over, perhaps unseen: it is said until somebody has read it."""
        self.missed.append(self.refused)
        last = self.missed[-SHOWN:]
        more = len(self.missed) - len(last)
        before = f" ({more} more before these)" if more else ""
        put(self.missed_words, note(p(f"Not added{before}:"), bullets(last), warn=True))
        show(self.missed_box, True)

    def _gone(self, words: str) -> None:
        """A number cannot be taken for what it was typed for."""
        if self.refused:
            self._miss()
        self.refused = words
        self._miss()
        self.refused = ""

    def _understood(self) -> None:
        self.missed.clear()
        show(self.missed_box, False)
        put(self.tally, self._tally())

    def _last(self) -> int | None:
        """The number of the ball that was added last."""
        return sessions.last_ball(self.state.case, self.club.id, self.size, today=True, into=self.day.into)

    def _undo_ball(self) -> None:
        index = self._last()
        self.fault = ""
        if index is not None:
            what = f"{short(self.club)}{self.swung} {self._shown(self.state.case.shots[index])} removed"
            self.state.change(lambda case: edits.drop_balls(case, {index}), what)
            bridge.announce(f"{self.club.name}{self.swung}: the last ball was removed")

    # the list of balls: tick some, then exclude, delete or move them

    def _list(self) -> Any:
        return stack(
            self.balls,
            self.which.view,
            line(self.toggle, self.delete),
            line(self.target.view, self.mover, cls="fields low"),
            self.to_session,
        )

    def _tick(self, indices: list[int]) -> None:
        self.ticked = {int(i) for i in indices}
        self._refresh_list()

    def _aim(self, club_id: str) -> None:
        self.to = club_id
        self._refresh_list()

    def _some(self) -> str:
        """The ticked balls, for undo."""
        shots = self.state.case.shots
        if len(self.ticked) == 1:
            return f"{short(self.club)} {self._shown(shots[min(self.ticked)])}"
        return f"{len(self.ticked)} balls of the {short(self.club)}"

    def _toggle(self) -> None:
        if self.ticked:
            some, use = frozenset(self.ticked), not self._count()
            what = f"{self._some()} {'included' if use else 'excluded'}"
            self.state.change(lambda case: edits.use_balls(case, some, use), what)

    def _count(self) -> bool:
        """Whether any of the ticked balls counts."""
        return any(self.state.case.shots[i].use and i not in self._mishits() for i in self.ticked)

    def _delete(self) -> None:
        if self.ticked:
            some = frozenset(self.ticked)
            self.state.change(lambda case: edits.drop_balls(case, some), f"{self._some()} deleted")

    def _move(self) -> None:
        if self.ticked and self.to and self.to != self.club.id:
            some, to = frozenset(self.ticked), self.to
            name = self.state.case.club(to).name
            what = f"{self._some()} moved to the {name}"
            if self.state.change(lambda case: edits.move_balls(case, some, to), what):
                bridge.announce(f"{len(some)} moved to the {name}")

    def _aim_at(self, key: str) -> None:
        self.session = key
        self._refresh_list()

    def _move_to_session(self) -> None:
        if self.ticked and self.session:
            some, to = {("shots", n) for n in self.ticked}, self.session
            if self.state.change_days(sessions.move(some, to), f"{self._some()} moved to another session"):
                bridge.announce(f"{len(some)} moved to another session")

    def _mishits(self) -> dict[int, Statement]:
        fitting = self.state.summed_up
        if fitting is None:
            return {}
        groups = (*fitting.shots, *(g for of in fitting.part_shots.values() for g in of))
        return {n: reason for group in groups for n, reason in group.mishits}

    def _refresh_list(self) -> None:
        shots = self.state.case.shots
        mine = [(i, s) for i, s in enumerate(shots) if s.club == self.club.id]
        self.list.rename(f"Balls of the {self.club.name}: {len(mine)}")
        if len(shots) != len(self.listed) or any(
            i >= len(shots) or shots[i].club != self.club.id for i in self.ticked
        ):
            self.ticked.clear()
        self.listed = shots
        if not self.list.open:
            return
        system, mishits = self.state.units, self._mishits()
        more = {
            name: one
            for name, one in LAUNCH_COLUMNS.items()
            if any(getattr(s, name) is not None for _, s in mine)
        }
        sizes = {size.id: size.name for size in self.state.case.swing_sizes}
        parts = ["Swing"] * any(s.swing_size for _, s in mine)
        when = {key: name.rpartition(":")[0] for name, key in self.day.names().items()}
        day = ["Session"] * (len({s.session for s in shots}) > 1)
        theirs = ["Added"] * any(added(s, guest=self.state.store.entry.guest) for _, s in mine)
        rows, options = [], {}
        for number, (index, shot) in enumerate(mine, 1):
            reason = phrase(mishits[index], system) if index in mishits else ""
            why = reason if shot.use else "excluded by hand"
            carry = amount(shot.carry_m, "carry", system)
            carry += f", mean of {shot.balls:.0f}" if shot.balls > 1 else ""
            grip = f"\u2212{self._held(shot.grip_down_m)}" if shot.grip_down_m else "full"
            cells = [amount(getattr(shot, name), quantity, system) for name, (_, quantity) in more.items()]
            swing = [sizes.get(shot.swing_size or "", "full")] * len(parts)
            hit_on = [when[sessions.key_of(shot)]] * len(day)
            told = [added(shot, guest=self.state.store.entry.guest)] * len(theirs)
            shown = tag("span", carry, cls="left") if why else carry
            rows.append([number, shown, *swing, grip, *cells, *hit_on, *told, why])
            options[f"{number}: {carry}"] = index
        put(
            self.balls,
            table(
                [
                    "Ball",
                    "Carry",
                    *parts,
                    "Grip",
                    *(label for label, _ in more.values()),
                    *day,
                    *theirs,
                    "Excluded because",
                ],
                rows,
                caption=f"{self.club.name}, as hit",
                words=[3 + len(parts) + len(more) + n for n in range(len(day) + len(theirs) + 1)],
            )
            if rows
            else p("None yet."),
        )
        self.which.refresh(options)
        several = len(self.ticked) > 1
        verb = "Exclude" if self._count() or not self.ticked else "Include"
        labels = (
            (self.toggle, f"{verb} these {len(self.ticked)} shots" if several else f"{verb} this shot"),
            (self.delete, f"Delete these {len(self.ticked)} balls" if several else "Delete this ball"),
        )
        for item, label in labels:
            if item.label != label:
                item.label = label
        others = {c.name or c.id: c.id for c in self.state.case.carried if c.id != self.club.id}
        if self.to not in others.values():
            self.to = ""
        self.target.refresh(CHOOSE | others)
        days = self.day.names()
        if self.session not in days.values():
            self.session = ""
        self.hit_on.refresh(CHOOSE | days)
        show(self.to_session, len(days) > 1)
        for item, to in (
            (self.toggle, True),
            (self.delete, True),
            (self.mover, self.to),
            (self.mover_on, self.session),
        ):
            if item.disabled == bool(self.ticked and to):
                item.disabled = not item.disabled

    # refresh

    def refresh(self) -> None:
        if not any(c.id == self.club_id for c in self.state.case.bag):
            self.club_id = first_club(self.state.store)
        swings = self._swings()
        if (self.size or "") not in swings.values():
            self.size = None
        self.asked.refresh()
        classes(self.tally, ["plain", "tally"] + ["hushed"] * (self.asked.slip is not None))
        self.pasting.refresh()
        put(self.tally, self._tally())  # first of all: it waits for no sum
        self.swings.refresh(swings)
        parts = bool(self.state.case.swing_sizes)
        show(self.swings.view, parts)  # with every club, so that no key moves from one to the next
        classes(self.view[0], ["plain", "heading", *["short"] * parts])  # which makes room for them
        self.sizes.refresh()
        self.clubs.refresh(self._club_options())
        self.range.refresh()
        self.grips.refresh(self._grips())
        for item in self.measured_fields:
            item.refresh()
        self.day.refresh()
        self._say(self.fault)
        put(self.stats, self._stats())
        self._refresh_list()
        self.landing.refresh()
        last = self._last()
        if self.undo_ball.disabled != (last is None):
            self.undo_ball.disabled = last is None

    def _tally(self) -> Safe:
        missed = f" {len(self.missed)} not added: see below the keys." if self.missed else ""
        odd = [short(self.state.case.club(id_)) for id_ in self.asked.others]
        return p(self._told(), missed, f" To check: a ball of the {listed(odd)}." if odd else "")

    def _told(self) -> str:
        case, into = self.state.case, self.day.into
        return tally(case, self.club.id, self.grip, self.state.units, swing_size=self.size, into=into)

    def _on_the_card(self) -> Interval | None:
        """The carry of this club and swing as the card has it, ``None`` of one that it has not."""
        fitting = self.state.fitting
        if self.size is None:
            return intervals(fitting.played((self._as_played,)).carry)[0]
        parts = fitting.wedge_table.carries if fitting.wedge_table is not None else ()
        known = (c for c in parts if (c.club, c.swing_size) == (self.club.id, self.size) and not c.hit_first)
        return next((c.carry_m for c in known), None)

    @property
    def _as_played(self) -> Club:
        """The club as the set on the card has it, as it is where that leaves it out."""
        fitting = self.state.fitting
        return next((c for c in fitting.to_play(fitting.layout.id) if c.id == self.club.id), self.club)

    def _why_another(self, group: ClubShots) -> str:
        """Why the card has another figure than the mean of some balls."""
        fitting = self.state.fitting
        hit = [hit_in(fitting.case, [fitting.case.shots[n]]) for n in group.shots]
        why = ["takes every club you hit into account"]
        if fitting.posterior.days is not None:
            why.append("evens out good and bad days")
        if any(map(counts_as_range, hit)):
            why.append("is for a good ball")
        if any(air_of(struck_in(air)) != air_of(fitting.air) for air in hit):
            why.append(
                "is for the air chosen under Play" if fitting.case.wants.air else "is for standard air"
            )
        if self._as_played != self.club:
            why.append("is for the club as it is to be built")
        wants = fitting.case.wants
        why += [
            f"is for {what}"
            for what, so in (("wet faces", wants.wet_face), ("a cold ball", wants.cold_ball))
            if so
        ]
        return f"The card has another figure than the mean of these balls because it {listed(why)}."

    def _stats(self) -> str:
        system = self.state.units
        fitting = self.state.summed_up
        name = self.club.name
        if fitting is None:
            return note(p(self.state.problem), warn=True)
        every = fitting.shots if self.size is None else fitting.part_shots.get(self.size, ())
        groups = [g for g in every if g.club == self.club.id]
        sizes = {part.size.id: part.summaries for part in fitting.part_swings}
        summed = sizes.get(self.size, ()) if self.size else fitting.posterior.summaries
        mine = [g for g in groups if abs(g.grip_down_m - self.grip) < 1e-3]
        others = [g for g in groups if g not in mine]
        odd = bullets(phrases(doubts(fitting.case, fitting.posterior), system))
        look_at = note(odd, warn=True) if odd else ""
        said = "" if self.size else launch_line(self.state.case, self.club.id, system)
        launched = p(said) if said else Safe("")
        name += self.swung
        if not groups:
            few = FEW if self.size else "five or six"
            told = no_balls(self.state.case, self.club.id, self.size)
            since = "" if told == NO_BALLS else f"{told}; those still tell of it. "
            none = p(f"{since or 'No carries yet. '}Type a carry and add it; {few} give a fair first idea.")
            return join(h2(name), launched or none, look_at)
        parts: list[Any] = [h2(name), look_at]
        for group in mine + others:
            carry = group.carry_m
            balls = next(x for x in summed if (x.club.id, x.grip_down) == (group.club, group.grip_down_m))
            card = self._on_the_card() if group.grip_down_m < 1e-3 else None
            over = "on the card" if card else "over all days" if carry.alone else ""
            best = card or Interval(carry.mean, *carry.interval())
            told = amount(mean_as_hit(fitting.case, balls), "carry", system)
            held = "" if group.grip_down_m < 1e-3 else f" gripped down {self._held(group.grip_down_m)}"
            if held or len(groups) > 1:
                parts.append(tag("h3", (held or "full grip").strip().capitalize()))
            parts.append(
                kpis(
                    [
                        ("balls", group.n),
                        ("mean carry", told),
                        *([(over, amount(best.mean, "carry", system))] if over else []),
                        (
                            f"90 % range {over or 'of the mean'}",
                            between(best.lo90, best.hi90, "carry", system)
                            if math.isfinite(best.lo90)
                            else "needs two balls",
                        ),
                        (
                            "spread (sd)",
                            amount(carry.sd, "carry", system) if carry.counted > 1 else "\u2013",
                        ),
                    ]
                )
            )
            if count := group.left_out:
                what, they = "1 ball looks like a mishit and does", "it"
                if count > 1:
                    what, they = f"{count} balls look like mishits and do", "they"
                parts.append(p(f"{what} not count; see the list, where {they} can be included."))
            if card is not None and amount(card.mean, "carry", system) != told:
                day = what_the_days_did(fitting.case, balls, fitting.posterior.day, system)
                parts.append(p(f"{self._why_another(balls)} {day}".strip()))
            parts.append(p(balls_line(group, system, card)))
        parts.append(launched)
        clubs = {g.club for g in fitting.shots}
        if len(clubs) == 1 and not self.size:
            parts.append(
                note(
                    "One club shows how fast you swing; a second one, three or four numbers away, shows "
                    "how your carries are spaced."
                )
            )
        return join(*parts)


def short(club: Club) -> str:
    """A name short enough for a button."""
    return brief(club.id, club.name)
