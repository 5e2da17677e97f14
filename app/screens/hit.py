"""Step 2, Hit: balls per club by keypad, paste or file; what they say, and how many more are wanted."""

from __future__ import annotations

import math
from functools import partial
from typing import Any

from app import bridge, edits
from app.html import bullets, h2, join, kpis, note, p, table, tag
from app.phrases import phrase, phrases
from app.phrases.lines import balls_line
from app.screens.pasting import Pasting
from app.screens.weather import RangeBalls, weather_fields
from app.units import Unreadable, amount, between, parse, unit
from app.widgets import Choice, Fold, Screen, Tick, button, classes, heading, html, line, put, show, stack
from engine.documents.case import Club, Shot
from engine.documents.fields import SHOT, Number
from engine.statements import Statement
from engine.swing.plausibility import doubts
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
    "4 cm": 1.5 * INCH,
    "5 cm": 2 * INCH,
    "7.5 cm": 3 * INCH,
}


class Hit(Screen):
    id, title = "hit", "Hit"

    def build(self) -> list[Any]:
        self.club_id = self._first_club()
        self.grip = 0.0
        self.ball = -1
        self.means = 1
        self.fault = ""
        self.refused = False  # whether the last number entered was refused
        self.missed: list[str] = []  # numbers that were not taken, while the next ones were typed
        self.missed_words = html()
        self.missed_box = stack(
            self.missed_words, line(button("Understood", self._understood)), cls="tight off"
        )
        bridge.listen("entered", self._entered)
        self.clubs = Choice("Club", self._club_options(), lambda: self.club.id, self._choose)
        self.grips = Choice("Held", self._grips(), lambda: self.grip, self._hold)
        self.entry = self._entry()
        keys = [
            button(k, partial(self._key, k), cls="key digit")
            for k in ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0")
        ]
        keys.append(button("\u232b", lambda: self._key("back"), cls="key digit back"))
        self.stats = html()
        self.balls = html()
        self.which = Choice("Ball", {"\u2013": -1}, lambda: self.ball, self._pick, listed=True)
        self.toggle = button("Leave this ball out", self._toggle)
        self.list = Fold("Balls of this club", self._list, refresh=self._refresh_list)
        self.stands_for = Choice("Each number is", MEANS, lambda: self.means, self._stand_for, listed=True)
        self.pasting = Pasting(self.state, self._taken_in)
        self.air = Fold("Weather, place and balls", self._air)
        self.fields: list[Any] = []
        self.undo_ball = button("Take back last ball", self._undo_ball)
        return [
            heading("Hit with at least two clubs", "Type how far each ball carried."),
            stack(self.clubs.view, cls="sheet"),
            line(
                stack(
                    self.entry,
                    self.missed_box,
                    line(*keys, cls="keys"),
                    line(button("Add ball", self._add, cls="main enter"), self.undo_ball, cls="ends"),
                    self.grips.view,
                    self.stands_for.view,
                    cls="sheet",
                ),
                stack(self.stats, self.list.view, cls="sheet"),
                cls="wide-fields",
            ),
            stack(self.pasting.fold.view, self.air.view, cls="sheet folds"),
            html(
                join(
                    *[
                        p(phrase(c.statement, self.state.units), cls="small")
                        for c in cautions("range", "body", "lightning")
                    ]
                )
            ),
            line(button("Next: lay out the set", lambda: self.go("layout"), cls="main"), cls="ends"),
        ]

    # which club, how held

    def _first_club(self) -> str:
        bag = [c for c in self.state.case.carried if c.family != "putter"]
        used = self.state.case.shots[-1].club if self.state.case.shots else None
        ids = [c.id for c in bag]
        return used if used in ids else ("7i" if "7i" in ids else (ids[0] if ids else ""))

    @property
    def club(self) -> Club:
        bag = self.state.case.bag
        return next((c for c in bag if c.id == self.club_id), bag[0])

    def _club_options(self) -> dict[str, str]:
        counts: dict[str, int] = {}
        for shot in self.state.case.shots:
            counts[shot.club] = counts.get(shot.club, 0) + 1
        out: dict[str, str] = {}
        for club in self.state.case.bag:
            if club.family != "putter":
                name = short(club)
                if name in out:
                    name = f"{name} [{club.id}]"
                out[name + (f" \u00b7 {counts[club.id]}" if club.id in counts else "")] = club.id
        return out or {"no club in the bag": self.state.case.bag[0].id}

    def _grips(self) -> dict[str, float]:
        return GRIP_NAMES if self.state.units == "imperial" else GRIP_NAMES_CM

    def _held(self, grip_m: float) -> str:
        """How far down the grip, as the choice above says it where it offers that."""
        near = (name for name, offered in self._grips().items() if abs(offered - grip_m) < 1e-3)
        return next(near, amount(grip_m, "grip", self.state.units))

    def _choose(self, club_id: str) -> None:
        self.club_id, self.ball, self.grip = club_id, -1, 0.0
        self._clear_fault()
        self.refresh()

    def _hold(self, grip: float) -> None:
        self.grip = grip
        self.refresh()

    def _stand_for(self, balls: int) -> None:
        self.means = balls
        self.refresh()

    def _taken_in(self, club_id: str) -> None:
        self.club_id = club_id
        self.refresh()

    # typing a ball: in the browser the page keeps the field and says what was entered (site/shell/entry.js); the field's
    # own value and the keys' clicks reach Python only without that page

    def _entry(self) -> Any:
        import panel as pn

        from app import styles

        entry = pn.widgets.TextInput(
            label="Carry", stylesheets=[styles.FIELD], css_classes=["num", "entry"], margin=0, max_length=20
        )
        entry.param.watch(lambda event: self._add() if event.new else None, "enter_pressed")
        return entry

    def _key(self, key: str) -> None:
        text = self.entry.value or ""
        self.entry.value = text[:-1] if key == "back" else (text + key)[:8]

    def _say(self, fault: str) -> None:
        new, self.fault = fault != self.fault, fault
        name = unit("carry", self.state.units).name
        held = "" if not self.grip else f", gripped down {self._held(self.grip)}"
        what = "Carry" if self.means == 1 else f"Mean carry of {self.means} balls"
        title = f"Carry {fault}" if fault else f"{what} of the {self.club.name}{held} ({name})"
        if self.entry.label != title:
            self.entry.label = title
        classes(self.entry, ["num", "entry", "bad"] if fault else ["num", "entry"])
        if fault and new:
            bridge.announce(f"Carry {fault}")

    def _entered(self, payload: dict[str, Any]) -> None:
        """Numbers from the page, in the order in which they were typed."""
        with self.state.gathered():
            for number in payload.get("numbers") or ():
                text = str(number.get("text") or "")
                if self.refused and not number.get("mends"):
                    self._miss()
                if not self._take(text) and text:
                    self.refused = True
                    bridge.give_back(text)

    def _add(self) -> None:
        if self._take(self.entry.value or ""):
            self.entry.value = ""

    def _take(self, text: str) -> bool:
        """One ball of what was typed; what is wrong with it is said in the field's label, with the number itself."""
        rule = SHOT["carry_m"]
        assert isinstance(rule, Number)
        try:
            carry = parse(text, "carry", self.state.units, low=rule.low, high=rule.high)
            if carry is None:
                raise Unreadable("is empty: type how far the ball flew")
            ball = Shot(
                self.club.id, carry_m=round(carry, 2), grip_down_m=round(self.grip, 4), balls=self.means
            )
            if not self.state.change(lambda case: edits.add_balls(case, (ball,)), "ball added"):
                raise Unreadable(f"was not added. {self.state.refusal}")
        except Unreadable as error:
            self._say(f"\u201c{text}\u201d {error}" if text else str(error))
            return False
        self.refused = False
        self._say("")
        count = sum(s.club == self.club.id for s in self.state.case.shots)
        bridge.announce(f"{self.club.name}, ball {count}: {amount(carry, 'carry', self.state.units)}")
        return True

    def _miss(self) -> None:
        """The number that was refused last was typed over, perhaps unseen: it is said until somebody has read it."""
        self.missed.append(self.fault)
        self.refused = False
        put(self.missed_words, note(p("Not added:"), bullets(self.missed), warn=True))
        show(self.missed_box, True)

    def _understood(self) -> None:
        self.missed.clear()
        show(self.missed_box, False)

    def _clear_fault(self) -> None:
        if self.refused:
            self._miss()
        self.fault = ""

    def _undo_ball(self) -> None:
        index = edits.last_ball(self.state.case, self.club.id)
        self._clear_fault()
        if index is not None:
            self.state.change(lambda case: edits.drop_ball(case, index), "ball taken back")
            bridge.announce(f"{self.club.name}: the last ball was taken back")

    # the list of balls

    def _list(self) -> Any:
        return stack(
            self.balls,
            line(self.which.view, cls="fields"),
            line(self.toggle, button("Delete this ball", self._delete)),
        )

    def _pick(self, index: int) -> None:
        self.ball = index
        self._refresh_list()

    def _toggle(self) -> None:
        if 0 <= self.ball < len(self.state.case.shots):
            index, use = self.ball, not self._counts(self.ball)
            self.state.change(
                lambda case: edits.use_ball(case, index, use), "ball left out" if not use else "ball taken in"
            )

    def _counts(self, index: int) -> bool:
        return self.state.case.shots[index].use and index not in self._mishits()

    def _delete(self) -> None:
        if 0 <= self.ball < len(self.state.case.shots):
            index, self.ball = self.ball, -1
            self.state.change(lambda case: edits.drop_ball(case, index), "ball deleted")

    def _mishits(self) -> dict[int, Statement]:
        result = self.state.result
        if result is None:
            return {}
        return {n: reason for group in result.shots for n, reason in group.mishits}

    def _refresh_list(self) -> None:
        mine = [(i, s) for i, s in enumerate(self.state.case.shots) if s.club == self.club.id]
        self.list.rename(f"Balls of the {self.club.name}: {len(mine)}")
        if not self.list.open:
            return
        system, mishits = self.state.units, self._mishits()
        rows, options = [], {}
        for number, (index, shot) in enumerate(mine, 1):
            reason = phrase(mishits[index], system) if index in mishits else ""
            why = reason if shot.use else "left out by hand"
            carry = amount(shot.carry_m, "carry", system)
            carry += f", mean of {shot.balls:.0f}" if shot.balls > 1 else ""
            held = f"\u2212{self._held(shot.grip_down_m)}" if shot.grip_down_m else "full"
            rows.append([number, tag("span", carry, cls="left") if why else carry, held, why])
            options[f"{number}: {carry}"] = index
        put(
            self.balls,
            table(
                ["Ball", "Carry", "Held", "Left out because"],
                rows,
                caption=f"{self.club.name}, as hit",
                words=[3],
            )
            if rows
            else p("None yet."),
        )
        if self.ball not in options.values():
            self.ball = next(iter(options.values()), -1)
        self.which.refresh(options or {"\u2013": -1})
        known = 0 <= self.ball < len(self.state.case.shots)
        label = "Take this ball in again" if known and not self._counts(self.ball) else "Leave this ball out"
        if self.toggle.label != label:
            self.toggle.label = label

    # conditions

    def _air(self) -> Any:
        self.fields = [
            *weather_fields(
                self.state,
                ("temperature_c", "altitude_m", "humidity", "wind_mps"),
                of=lambda case: case.conditions,
                edit=edits.conditions,
                winds={
                    "Into the player": 0.0,
                    "From the right": 90.0,
                    "From behind": 180.0,
                    "From the left": 270.0,
                },
                done="conditions changed",
            ),
            Tick(
                "Hit indoors",
                lambda: self.state.case.conditions.indoors,
                lambda v: self._condition("indoors", v),
            ),
            RangeBalls(self.state),
        ]
        return stack(
            html(
                p(
                    "Each carry is modelled in the air it was hit in. What the clubs would carry is shown for the air "
                    "chosen under Play, or else for reference air (20 \u00b0C or 68 \u00b0F, sea level, no wind)."
                )
            ),
            line(*[getattr(f, "view", f) for f in self.fields], cls="fields"),
        )

    def _condition(self, name: str, value: Any) -> None:
        self.state.change(lambda case: edits.conditions(name)(case, value), "conditions changed")

    # refresh

    def refresh(self) -> None:
        if not any(c.id == self.club_id for c in self.state.case.bag):
            self.club_id = self._first_club()
        self.clubs.refresh(self._club_options())
        self.grips.refresh(self._grips())
        for item in self.fields:
            item.refresh()
        self._say(self.fault)
        put(self.stats, self._stats())
        self._refresh_list()
        last = edits.last_ball(self.state.case, self.club.id)
        if self.undo_ball.disabled != (last is None):
            self.undo_ball.disabled = last is None

    def _stats(self) -> str:
        system = self.state.units
        result = self.state.result
        name = self.club.name
        if result is None:
            return note(p(self.state.problem), warn=True)
        groups = [g for g in result.shots if g.club == self.club.id]
        mine = [g for g in groups if abs(g.grip_down_m - self.grip) < 1e-3]
        others = [g for g in groups if g not in mine]
        fitting = self.state.fitting
        odd = bullets(phrases(doubts(fitting.case, fitting.posterior), system))
        look_at = note(odd, warn=True) if odd else ""
        if not groups:
            none = p("No balls yet. Type a carry and add it; five or six give a fair first idea.")
            return join(h2(name), none, look_at)
        parts: list[Any] = [h2(name), look_at]
        for group in mine + others:
            carry = group.carry_m
            low, high = carry.interval()
            held = "" if group.grip_down_m < 1e-3 else f" gripped down {self._held(group.grip_down_m)}"
            if held or len(groups) > 1:
                parts.append(tag("h3", (held or "full grip").strip().capitalize()))
            parts.append(
                kpis(
                    [
                        ("balls", group.n),
                        ("mean carry", amount(carry.mean, "carry", system)),
                        (
                            "mean within, 90 %",
                            between(low, high, "carry", system) if math.isfinite(low) else "needs two balls",
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
                parts.append(p(f"{what} not count; see the list, where {they} can be taken in."))
            parts.append(p(balls_line(group, system)))
        clubs = {g.club for g in result.shots}
        if len(clubs) == 1:
            parts.append(
                note(
                    "One club says how fast you swing; a second club, three or four numbers away, says "
                    "how your gaps run."
                )
            )
        return join(*parts)


def short(club: Club) -> str:
    """A name short enough for a button: the id where it is short, else the name."""
    if len(club.id) == 2 and club.family == "wedge":
        return club.id.upper()
    return club.id if len(club.id) <= 4 and any(ch.isdigit() for ch in club.id) else (club.name or club.id)
