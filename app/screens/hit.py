"""Step 2, Hit: balls per club by keypad, paste or file; what they say, and how many more are wanted."""

from __future__ import annotations

from functools import partial
from typing import Any

from app import bridge, edits
from app.markup import Safe, bullets, h2, join, kpis, note, p, table, tag
from app.measures import Unreadable, parse, unit
from app.parts import (
    Choice,
    Fold,
    Screen,
    Tick,
    button,
    classes,
    heading,
    html,
    line,
    put,
    show,
    stack,
    text_area,
)
from app.paste import Preview, understand
from app.screens.weather import weather_fields
from app.words import amount, balls_line, between
from engine.case import CaseError, Club, Shot
from engine.clubs.cautions import cautions
from engine.fields import SHOT, Number
from engine.units import INCH

GRIPS = {"Full": 0.0, "1 in": INCH, "1\u00bd in": 1.5 * INCH, "2 in": 2 * INCH, "3 in": 3 * INCH}
GRIPS_CM = {"Full": 0.0, "2.5 cm": INCH, "4 cm": 1.5 * INCH, "5 cm": 2 * INCH, "7.5 cm": 3 * INCH}


class Hit(Screen):
    id, title = "hit", "Hit"

    def build(self) -> list[Any]:
        self.club_id = self._first_club()
        self.grip = 0.0
        self.ball = -1
        self.preview = Preview()
        self.fault = ""
        self.clubs = Choice("Club", self._club_options(), lambda: self.club.id, self._choose)
        self.grips = Choice("Held", self._grips(), lambda: self.grip, self._hold)
        self.entry = self._entry()
        keys = [
            button(k, partial(self._key, k), cls="key")
            for k in ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0")
        ]
        keys.append(button("\u232b", lambda: self._key("back"), cls="key back"))
        self.stats = html()
        self.balls = html()
        self.which = Choice("Ball", {"\u2013": -1}, lambda: self.ball, self._pick, listed=True)
        self.toggle = button("Leave this ball out", self._toggle)
        self.list = Fold("Balls of this club", self._list, refresh=self._refresh_list)
        self.paste = Fold("Paste, or open a CSV file", self._paste)
        self.air = Fold("Weather, place and balls", self._air)
        self.fields: list[Any] = []
        self.undo_ball = button("Take back last ball", self._undo_ball)
        return [
            heading("Hit with at least two clubs", "Type how far each ball carried."),
            stack(self.clubs.view, self.grips.view, cls="sheet"),
            line(
                stack(
                    self.entry,
                    line(*keys, cls="keys"),
                    line(button("Add ball", self._add, cls="main"), self.undo_ball, cls="ends"),
                    cls="sheet",
                ),
                stack(self.stats, self.list.view, cls="sheet"),
                cls="wide-fields",
            ),
            stack(self.paste.view, self.air.view, cls="sheet folds"),
            html(join(*[p(c.text, cls="small") for c in cautions("range", "body", "lightning")])),
            line(button("Next: lay out the set", lambda: self.go("layout"), cls="main"), cls="ends"),
        ]

    # which club, how held

    def _first_club(self) -> str:
        bag = [c for c in self.state.case.bag if c.family != "putter"]
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
        return GRIPS if self.state.units == "imperial" else GRIPS_CM

    def _choose(self, club_id: str) -> None:
        self.club_id, self.ball = club_id, -1
        self.refresh()

    def _hold(self, grip: float) -> None:
        self.grip = grip
        self.refresh()

    # typing a ball

    def _entry(self) -> Any:
        import panel as pn

        from app import look

        entry = pn.widgets.TextInput(
            label="Carry", stylesheets=[look.FIELD], css_classes=["num"], margin=0, max_length=20
        )
        entry.param.watch(lambda event: self._add() if event.new else None, "enter_pressed")
        return entry

    def _key(self, key: str) -> None:
        text = self.entry.value or ""
        self.entry.value = text[:-1] if key == "back" else (text + key)[:8]
        if self.fault:
            self._say("")

    def _say(self, fault: str) -> None:
        self.fault = fault
        name = unit("carry", self.state.units).name
        held = "" if not self.grip else f", gripped down {amount(self.grip, 'small', self.state.units)}"
        title = f"Carry {fault}" if fault else f"Carry of the {self.club.name}{held} ({name})"
        if self.entry.label != title:
            self.entry.label = title
        classes(self.entry, ["num", "bad"] if fault else ["num"])
        if fault:
            bridge.announce(f"Carry {fault}")

    def _add(self) -> None:
        rule = SHOT["carry_m"]
        assert isinstance(rule, Number)
        try:
            carry = parse(self.entry.value or "", "carry", self.state.units, low=rule.low, high=rule.high)
            if carry is None:
                raise Unreadable("is empty: type how far the ball flew")
            ball = Shot(self.club.id, carry_m=round(carry, 2), grip_down_m=round(self.grip, 4))
            self.state.change(lambda case: edits.add_balls(case, (ball,)), "ball added")
        except Unreadable as error:
            self._say(str(error))
            return
        except CaseError as error:
            self._say(error.problem)
            return
        self.entry.value = ""
        self._say("")
        count = sum(s.club == self.club.id for s in self.state.case.shots)
        bridge.announce(f"{self.club.name}, ball {count}: {amount(carry, 'carry', self.state.units)}")

    def _undo_ball(self) -> None:
        index = edits.last_ball(self.state.case, self.club.id)
        if index is not None:
            self.state.change(lambda case: edits.drop_ball(case, index), "ball taken back")

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
            index, use = self.ball, not self.state.case.shots[self.ball].use
            self.state.change(
                lambda case: edits.use_ball(case, index, use), "ball left out" if not use else "ball taken in"
            )

    def _delete(self) -> None:
        if 0 <= self.ball < len(self.state.case.shots):
            index, self.ball = self.ball, -1
            self.state.change(lambda case: edits.drop_ball(case, index), "ball deleted")

    def _mishits(self) -> dict[int, str]:
        result = self.state.result
        if result is None:
            return {}
        return {int(n): reason for group in result["shots"] for n, reason in group.get("mishits", ())}

    def _refresh_list(self) -> None:
        mine = [(i, s) for i, s in enumerate(self.state.case.shots) if s.club == self.club.id]
        self.list.rename(f"Balls of the {self.club.name}: {len(mine)}")
        if not self.list.open:
            return
        system, mishits = self.state.units, self._mishits()
        rows, options = [], {}
        for number, (index, shot) in enumerate(mine, 1):
            why = "left out by hand" if not shot.use else mishits.get(index, "")
            carry = amount(shot.carry_m, "carry", system)
            held = "full" if not shot.grip_down_m else f"\u2212{amount(shot.grip_down_m, 'small', system)}"
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
        chosen = self.state.case.shots[self.ball] if 0 <= self.ball < len(self.state.case.shots) else None
        label = "Take this ball in again" if chosen is not None and not chosen.use else "Leave this ball out"
        if self.toggle.label != label:
            self.toggle.label = label

    # paste and file

    def _paste(self) -> Any:
        import panel as pn

        from app import look

        self.text = text_area("Balls as text", "7i 139 141 138\n9i 118 121", most=400_000)
        self.file = pn.widgets.FileInput(
            accept=".csv,.txt,.tsv,text/csv,text/plain",
            stylesheets=[look.FIELD],
            margin=0,
            css_classes=["file"],
        )
        self.file.param.watch(self._file, "value")
        self.seen = html()
        self.take = line(
            button("Take these balls in", self._take, cls="main"), button("Leave them", self._leave)
        )
        show(self.take, False)
        return stack(
            html(p("One line a club, or a CSV from any launch monitor: columns and units are recognised.")),
            self.text,
            line(button("Show what is understood", self._read)),
            html(tag("b", "CSV file")),
            self.file,
            self.seen,
            self.take,
        )

    def _file(self, event: Any) -> None:
        if event.new:
            try:
                text = bytes(event.new).decode("utf-8-sig", errors="replace")
            except (TypeError, ValueError):
                text = ""
            self.text.value = text[:400_000]
            self._read()

    def _read(self) -> None:
        self.preview = understand(self.text.value or "", self.state.case, self.state.units)
        self._show_preview()

    def _show_preview(self) -> None:
        system = self.state.units
        groups: dict[str, list[Shot]] = {}
        for ball in self.preview.balls:
            groups.setdefault(ball.club, []).append(ball)
        names = {c.id: c.name for c in self.state.case.bag}
        rows = [
            [
                names.get(club, club),
                len(balls),
                ", ".join(amount(b.carry_m, "carry", system, bare=True) for b in balls[:30]),
            ]
            for club, balls in groups.items()
        ]
        parts: list[str] = []
        if rows:
            name = unit("carry", system).name
            parts.append(
                table(
                    ["Club", "Balls", f"Carries ({name})"],
                    rows,
                    caption="Understood so far, not yet taken in",
                    words=[2],
                )
            )
        parts.append(bullets(self.preview.notes[:20]))
        if self.preview.problems:
            parts.append(note(p("Not understood:"), bullets(self.preview.problems[:12]), warn=True))
        if not rows and not self.preview.problems:
            parts.append(p("There is nothing here to read yet."))
        put(self.seen, join(*[Safe(x) for x in parts]))
        show(self.take, bool(self.preview.balls))

    def _take(self) -> None:
        balls = self.preview.balls
        try:
            self.state.change(lambda case: edits.add_balls(case, balls), f"{len(balls)} balls taken in")
        except CaseError as error:
            put(self.seen, note(p(f"{error.field}: {error.problem}"), warn=True))
            return
        self.club_id = balls[-1].club
        self._leave()
        self.refresh()
        bridge.announce(f"{len(balls)} balls taken in")

    def _leave(self) -> None:
        self.preview = Preview()
        self.text.value = ""
        put(self.seen, "")
        show(self.take, False)

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
            Tick(
                "Range balls",
                lambda: self.state.case.conditions.range_ball,
                lambda v: self._condition("range_ball", v),
            ),
        ]
        return stack(
            html(
                p(
                    "Carries are brought to one reference air (20 \u00b0C, sea level, no wind) before "
                    "they are compared."
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
        groups = [g for g in result["shots"] if g["club"] == self.club.id]
        mine = [g for g in groups if abs(g["grip_down_m"] - self.grip) < 1e-3]
        others = [g for g in groups if g not in mine]
        if not groups:
            return join(
                h2(name), p("No balls yet. Type a carry and add it; five or six give a fair first idea.")
            )
        parts: list[Any] = [h2(name)]
        for group in mine + others:
            carry = group["carry_m"]
            held = (
                ""
                if group["grip_down_m"] < 1e-3
                else f" gripped down {amount(group['grip_down_m'], 'small', system)}"
            )
            if held or len(groups) > 1:
                parts.append(tag("h3", (held or "full grip").strip().capitalize()))
            parts.append(
                kpis(
                    [
                        ("balls", group["n"]),
                        ("mean carry", amount(carry["mean"], "carry", system)),
                        (
                            "mean within, 90 %",
                            between(carry["lo90"], carry["hi90"], "carry", system)
                            if carry["lo90"] is not None
                            else "needs two balls",
                        ),
                        (
                            "spread (sd)",
                            amount(carry["sd"], "carry", system)
                            if group["n"] - group["left_out"] > 1
                            else "\u2013",
                        ),
                    ]
                )
            )
            if group["left_out"]:
                plural = "ball looks" if group["left_out"] == 1 else "balls look"
                parts.append(
                    p(f"{group['left_out']} {plural} like a mishit and does not count; see the list.")
                )
            parts.append(p(balls_line(group, system)))
        clubs = {g["club"] for g in result["shots"]}
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
