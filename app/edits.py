"""Edits of a case: each takes a case and returns another. No widget, no unit, no formula."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from app.state import default_layouts, norm_bag
from engine.case import Case, Club, Conditions, Layout, Shot

MOST_LAYOUTS = 4


def player(name: str) -> Callable[[Case, Any], Case]:
    """An edit of one field of the player."""
    return lambda case, value: replace(case, player=replace(case.player, **{name: value}))


def swing(name: str) -> Callable[[Case, Any], Case]:
    return lambda case, value: replace(case, swing=replace(case.swing, **{name: value}))


def conditions(name: str) -> Callable[[Case, Any], Case]:
    return lambda case, value: replace(case, conditions=replace(case.conditions, **{name: value}))


def air(name: str) -> Callable[[Case, Any], Case]:
    """An edit of the air in which carries are predicted."""

    def edit(case: Case, value: Any) -> Case:
        now = case.wants.air or Conditions()
        return replace(case, wants=replace(case.wants, air=replace(now, **{name: value})))

    return edit


def wants(name: str) -> Callable[[Case, Any], Case]:
    return lambda case, value: replace(case, wants=replace(case.wants, **{name: value}))


def sex(case: Case, value: str | None) -> Case:
    """Sex decides the usual set; a bag that somebody has edited stays."""
    untouched = case.bag == norm_bag(case.player.sex)
    new = replace(case, player=replace(case.player, sex=value))
    if not untouched:
        return new
    bag = norm_bag(value)
    layouts = default_layouts(bag) if case.layouts == default_layouts(case.bag) else case.layouts
    if {s.club for s in case.shots} - {c.id for c in bag}:
        return new
    return replace(new, bag=bag, layouts=layouts)


# balls


def add_balls(case: Case, balls: tuple[Shot, ...]) -> Case:
    return replace(case, shots=(*case.shots, *balls))


def drop_ball(case: Case, index: int) -> Case:
    return replace(case, shots=case.shots[:index] + case.shots[index + 1 :])


def use_ball(case: Case, index: int, use: bool) -> Case:
    shots = list(case.shots)
    shots[index] = replace(shots[index], use=use)
    return replace(case, shots=tuple(shots))


def last_ball(case: Case, club: str) -> int | None:
    """The index of the newest ball of a club."""
    return next((i for i in reversed(range(len(case.shots))) if case.shots[i].club == club), None)


# the bag


def club(club_id: str, name: str) -> Callable[[Case, Any], Case]:
    def edit(case: Case, value: Any) -> Case:
        bag = tuple(replace(c, **{name: value}) if c.id == club_id else c for c in case.bag)
        return replace(case, bag=bag)

    return edit


def add_club(case: Case, new: Club) -> Case:
    return replace(case, bag=(*case.bag, replace(new, id=free_id(case, new.id))))


def copy_club(case: Case, club_id: str) -> Case:
    index = _index(case, club_id)
    old = case.bag[index]
    twin = replace(old, id=free_id(case, old.id), name=f"{old.name} (copy)"[:60])
    return replace(case, bag=(*case.bag[: index + 1], twin, *case.bag[index + 1 :]))


def drop_club(case: Case, club_id: str) -> Case:
    """Take a club out of the bag with its balls and its place in the layouts."""
    layouts = tuple(replace(x, clubs=tuple(c for c in x.clubs if c.id != club_id)) for x in case.layouts)
    return replace(
        case,
        bag=tuple(c for c in case.bag if c.id != club_id),
        shots=tuple(s for s in case.shots if s.club != club_id),
        layouts=layouts,
    )


def move_club(case: Case, club_id: str, by: int) -> Case:
    index = _index(case, club_id)
    bag = list(case.bag)
    bag.insert(min(max(index + by, 0), len(bag) - 1), bag.pop(index))
    return replace(case, bag=tuple(bag))


def free_id(case: Case, wanted: str) -> str:
    taken = {c.id for c in case.bag}
    number, new = 2, wanted
    while new in taken:
        new = f"{wanted[:20]}-{number}"
        number += 1
    return new


def _index(case: Case, club_id: str) -> int:
    return [c.id for c in case.bag].index(club_id)


# layouts


def layout(layout_id: str, **fields: Any) -> Callable[[Case], Case]:
    def edit(case: Case) -> Case:
        return replace(
            case, layouts=tuple(replace(x, **fields) if x.id == layout_id else x for x in case.layouts)
        )

    return edit


def add_layout(case: Case, kind: str) -> Case:
    taken = {x.id for x in case.layouts}
    number, new = 2, kind
    while new in taken:
        new, number = f"{kind}-{number}", number + 1
    return replace(case, layouts=(*case.layouts, Layout(new, kind)))


def drop_layout(case: Case, layout_id: str) -> Case:
    return replace(case, layouts=tuple(x for x in case.layouts if x.id != layout_id))
