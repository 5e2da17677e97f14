"""Under Play: the fields of the shot at hand, and the green it goes to with what lies round it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.at_hand import RULES, AtHand
from app.html import Safe, join, p, tag
from app.phrases.green import LURK_NAMES, green_lines, green_notes, green_table, nearer_line
from app.phrases.lines import called
from app.state import State
from app.widgets import Choice, Fold, NumberField, Stepper, line, stack
from engine.course.club_for_distance import Option
from engine.course.green import Approach
from engine.documents.case import Case
from engine.documents.fields import Number

STEPS = {"\u22125": -5.0, "\u22121": -1.0, "+1": 1.0, "+5": 5.0}
TURF_NAMES = {"Soft": "soft", "Usual": "usual", "Firm": "firm"}
SIDE_NAMES = {"short": "Short of it", "long": "Over it", "left": "Left of it", "right": "Right of it"}
HIT_AT_THE_RANGE = "Hit it on the range first: nobody has, and what it carries is known only roughly."
MOST = 3  # clubs in the table


def at_hand_field(
    state: State,
    label: str,
    quantity: str,
    rule: Number,
    get: Callable[[AtHand], float | None],
    keep: Callable[[AtHand, float | None], AtHand],
) -> NumberField:
    """A field of the shot at hand, which the device keeps and not the case."""

    def edit(case: Case, value: float | None) -> Case:
        state.set_at_hand(keep(state.store.at_hand, value))
        return case

    return NumberField(
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


class AtGreen:
    """Whether a green is gone for, its edges, and what lurks."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.going = Choice(
            "Going for",
            {"A distance": False, "A green": True},
            lambda: state.store.at_hand.at_green,
            lambda v: self._keep(at_green=v),
        )
        self.fold = Fold("The green, and what lies round it", self._build, refresh=self.refresh)
        self.parts: list[Any] = []

    def _keep(self, **values: Any) -> None:
        self.state.set_at_hand(self.state.store.at_hand.having(**values))

    def _build(self) -> Any:
        front, back = (
            self._edge("Front of the green", "front_m", -1),
            self._edge("Back of the green", "back_m", 1),
        )
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
        self.parts = [front, back, width, *lurks, turf]
        return stack(
            *[Stepper(field, STEPS, lambda: 0.0).view for field in (front, back, width)],
            line(*[c.view for c in lurks], cls="fields"),
            turf.view,
        )

    def _edge(self, label: str, name: str, way: int) -> NumberField:
        """An edge of the green by its distance from the player; it moves with the flag."""

        def get(now: AtHand) -> float | None:
            return None if now.distance_m is None else max(now.distance_m + way * getattr(now, name), 1.0)

        def keep(now: AtHand, value: float | None) -> AtHand:
            if now.distance_m is None or value is None:
                return now
            return now.having(**{name: RULES[name].mend(way * (value - now.distance_m))})

        return at_hand_field(self.state, label, "carry", Number(1, 440), get, keep)

    def refresh(self) -> None:
        self.going.refresh()
        for part in self.parts:
            part.refresh()

    def said(self, layout_id: str, title: str, above: str, nearest: Option) -> tuple[Safe, Safe] | None:
        """The best club for the green and a table of chances; ``None`` where no club gets there. ``above`` stands
        on top; ``nearest`` is the club for the distance alone.
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
        )[:MOST]
        if not found or not any(_counts(o) for o in found):
            return None
        found = tuple(o for o in found if _counts(o))
        first, *more = green_lines(found, title, system)
        said = join(tag("div", called(found[0]), cls="big"), p(tag("b", above)) if above else "", p(first))
        below = join(
            *[p(words) for words in more],
            p(HIT_AT_THE_RANGE, cls="small") if found[0].id in fitting.hit_first else "",
            p(why, cls="small") if (why := nearer_line(found[0], nearest, system)) else "",
        )
        notes = green_notes(green, found, *fitting.direction_sd, system)
        return said, join(
            below, green_table(found, fitting.hit_first), *[p(words, cls="small") for words in notes]
        )


def _counts(option: Approach) -> bool:
    """Whether a club has more than a ghost of a chance at the green."""
    return option.on >= 0.01
