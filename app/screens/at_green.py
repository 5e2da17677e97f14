"""Under Play: the fields of the shot at hand, and the green it goes to with what lies round it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from app.at_hand import DEEP_M, EDGES, RULES, AtHand
from app.html import Safe, join, p, tag
from app.phrases.green import LURK_NAMES, depth_line, green_lines, green_notes, green_table, nearer_line
from app.phrases.lines import called, hit_first_line
from app.phrases.marks import Marks
from app.phrases.say import NOT_KNOWN
from app.state import State
from app.units import Unreadable, as_typed, unit
from app.widgets import Choice, Fold, NumberField, Stepper, html, line, put, stack
from engine.course.club_for_distance import Option
from engine.course.green import Approach
from engine.documents.case import Case
from engine.documents.fields import Number
from engine.fitting.fitting import Fitting

STEPS = {"\u22125": -5.0, "\u22121": -1.0, "+1": 1.0, "+5": 5.0}
TURF_NAMES = {"Soft": "soft", "Usual": "usual", "Firm": "firm"}
SIDE_NAMES = {"short": "Short of it", "long": "Over it", "left": "Left of it", "right": "Right of it"}
THE_GREEN = "The green, and what lies round it"
NONE_KNOWN = "No club whose carry is known gets to the green"
MOST = 3  # clubs in the table


class ShotField(NumberField):
    """A field of the shot at hand, which shows all that was typed."""

    def _text(self) -> str:
        return as_typed(self.get(self.state.case), self.quantity, self.state.units, exact=True)


def at_hand_field(
    state: State,
    label: str,
    quantity: str,
    rule: Number,
    get: Callable[[AtHand], float | None],
    keep: Callable[[AtHand, float | None], AtHand],
) -> NumberField:
    """A field whose value the device keeps and not the case."""

    def edit(case: Case, value: float | None) -> Case:
        state.set_at_hand(keep(state.store.at_hand, value))
        return case

    return ShotField(
        state,
        label,
        quantity,
        rule,
        lambda case: get(state.store.at_hand),
        edit,
        change=lambda done, what: done(state.case),
        passing=True,
        whole=True,
    )


def plain_field(state: State, label: str, quantity: str, name: str) -> NumberField:
    """A field that holds one value of the shot at hand."""
    rule = RULES[name]
    assert isinstance(rule, Number)
    return at_hand_field(
        state,
        label,
        quantity,
        rule,
        lambda now: getattr(now, name),
        lambda now, value: now.having(**{name: value}),
    )


class Edge(ShotField):
    """The front or the back of the green by its distance from the player. It stays where it is from the flag, whatever the
    distance to that; a text that was refused is taken in as soon as the flag lies so that it can be.
    """

    def __init__(self, state: State, label: str, name: str, way: int) -> None:
        self.name_of, self.way = name, way
        super().__init__(
            state,
            label,
            "carry",
            EDGES,
            lambda case: self._place(),
            self._moved,
            change=lambda done, what: done(state.case),
            passing=True,
            whole=True,
        )

    @property
    def _now(self) -> AtHand:
        return self.state.store.at_hand

    def _place(self) -> float | None:
        """Where it lies [m]; nowhere without a flag, or where the player stands on the green."""
        now = self._now
        place = None if now.distance_m is None else now.distance_m + self.way * getattr(now, self.name_of)
        return None if place is None or place < 0 else place

    def _moved(self, case: Case, value: float | None) -> Case:
        now = self._now
        deep = DEEP_M if value is None else self.way * (value - (now.distance_m or 0.0))
        self.state.set_at_hand(now.having(**{self.name_of: EDGES.mend(deep)}))
        return case

    def _limits(self) -> None:
        flag = self._now.distance_m or 0.0
        near, far = (max(flag + self.way * deep, 0.0) for deep in (EDGES.low, EDGES.high))
        self.rule = Number(min(near, far), max(near, far))

    def _read(self, text: str) -> float | None:
        if self._now.distance_m is None:
            raise Unreadable("needs the distance to the flag first")
        self._limits()
        try:
            return super()._read(text)
        except Unreadable:
            low, high = (unit(self.quantity, self.state.units).text(x) for x in (EDGES.low, EDGES.high))
            where = "short of" if self.way < 0 else "beyond"
            name = unit(self.quantity, self.state.units).name
            raise Unreadable(f"must be {where} the flag, by {low} to {high} {name}") from None

    def refresh(self) -> None:
        self._limits()
        behind = self._now.distance_m is not None and self._place() is None
        self.stand_in("behind you" if behind else "")
        if self.faulty:
            try:
                value = self._read(str(self.view.value))
            except Unreadable:
                pass
            else:
                self._say("")
                self._moved(self.state.case, value)
        super().refresh()


class AtGreen:
    """Whether a green is gone for, its edges, and what lurks; ``refused`` is called when a field of it is put right or
    refused.
    """

    def __init__(self, state: State, refused: Callable[[], None]) -> None:
        self.state, self.refused = state, refused
        self.going = Choice(
            "Going for",
            {"A distance": False, "A green": True},
            lambda: state.store.at_hand.at_green,
            lambda v: self._keep(at_green=v),
        )
        self.fold = Fold(THE_GREEN, self._build, refresh=self.refresh)
        self.parts: list[Any] = []
        self.fields: list[NumberField] = []
        self.depth = html(cls="depth")

    def _keep(self, **values: Any) -> None:
        self.state.set_at_hand(self.state.store.at_hand.having(**values))

    def _build(self) -> Any:
        front = Edge(self.state, "Front of the green", "front_m", -1)
        back = Edge(self.state, "Back of the green", "back_m", 1)
        width = at_hand_field(
            self.state,
            "Width of the green",
            "carry",
            Number(6, 80),
            lambda now: 2 * now.half_width_m,
            lambda now, value: now.having(half_width_m=(value or 24.0) / 2),
        )
        lurks = [
            Choice(
                words,
                {name: lie for lie, name in LURK_NAMES.items()},
                lambda side=side: getattr(self.state.store.at_hand, side),  # type: ignore[misc]
                lambda v, side=side: self._keep(**{side: v}),  # type: ignore[misc]
                listed=True,
            )
            for side, words in SIDE_NAMES.items()
        ]
        turf = Choice(
            "Greens", TURF_NAMES, lambda: self.state.store.at_hand.turf, lambda v: self._keep(turf=v)
        )
        self.fields = [front, back, width]
        for field in self.fields:
            field.view.param.watch(lambda event: self._when_refused(), "value")
        self.parts = [*self.fields, *lurks, turf]
        return stack(
            *[Stepper(field, STEPS, lambda: 0.0).view for field in self.fields],
            self.depth,
            line(*[c.view for c in lurks], cls="fields"),
            turf.view,
        )

    def _when_refused(self) -> None:
        self._say_depth()
        self.refused()

    def _say_depth(self) -> None:
        now, wrong = self.state.store.at_hand, any(field.faulty for field in self.fields)
        words = "" if wrong else depth_line(now.front_m, now.back_m, self.state.units)
        put(self.depth, p(words, cls="small"))

    def refresh(self) -> None:
        self.going.refresh()
        for part in self.parts:
            part.refresh()
        self._say_depth()

    def said(
        self, layout_id: str, title: str, above: str, nearest: Option | None, marks: Marks
    ) -> tuple[Safe, Safe] | None:
        """The best club for the green and a table of chances; ``None`` where no club gets there. ``above`` stands
        on top; ``nearest`` is the club for the distance alone, of those whose carry is known.
        """
        now, system, fitting = self.state.store.at_hand, self.state.units, self.state.fitting
        assert now.distance_m is not None
        green = now.green
        found = fitting.approaches(
            layout_id,
            now.distance_m,
            green,
            height_m=now.height_m or 0.0,
            air=now.air(self.state.case),
            turf=now.turf,
        )
        there = [o for o in found if _counts(o)]
        if not there:
            return None
        first = [o for o in there if o.id in fitting.hit_first]
        best = tuple(o for o in there if o not in first)[:MOST]
        told, *more = green_lines(best, title, system, marks, green) if best else [f"{NONE_KNOWN}, {title}."]
        said = join(*headline(there[0], best, above, told, marks, fitting))
        why = nearer_line(best[0], nearest, marks) if best and nearest else ""
        below = join(
            *[p(words) for words in more],
            p(hit_first_line(first), cls="small") if first else "",
            p(why, cls="small") if why else "",
        )
        if not best:
            return said, below
        notes = green_notes(green, best, fitting.direction, system)
        return said, join(below, green_table(best, marks), *[p(words, cls="small") for words in notes])


def headline(
    likeliest: Option | Approach,
    best: Sequence[Option | Approach],
    above: str,
    told: str,
    marks: Marks,
    fitting: Fitting,
) -> list[Safe]:
    """The club to hit in large letters, what the shot plays like, and what is told of the ``best`` of those whose carry is
    known; where one that has to be hit first is the ``likeliest`` of all, it stands there as such, without a number.
    """
    big = called(best[0], marks) if best else ""
    if likeliest.id in fitting.hit_first:
        told = f"With the {big}: {told}" if big else told
        big = f"{called(likeliest)}: {NOT_KNOWN}"
    return [tag("div", big, cls="big"), *([p(tag("b", above))] if above else []), p(told)]


def _counts(option: Approach) -> bool:
    """Whether a club has more than a ghost of a chance at the green."""
    return option.on >= 0.01
