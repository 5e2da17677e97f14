"""Edits of a case: each takes a case and returns another. No widget, no unit, no formula."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Literal

from app import sessions
from app.dates import iso_today
from app.players import default_layouts, norm_bag
from engine.documents.case import (
    BENDS,
    FIGURES,
    SWING_WEIGHT,
    BallSpin,
    Case,
    CaseError,
    Club,
    Conditions,
    Job,
    JobClub,
    Layout,
    LayoutClub,
    Measured,
    Shot,
    SwingSize,
    WantedCarry,
)
from engine.documents.fields import FITTED, LOFTS, MOST, MOST_SIZES, size_too_many
from engine.fitting.former import hit_again
from engine.fitting.job_record import hit_since
from engine.sets.common_target import asked_of_each
from engine.sets.plan import (
    BUILT,
    ORDERED,
    is_own,
    laid_out_as,
    own_layout,
    planned,
    set_by_hand,
    stepped_lofts,
)
from engine.workshop.bench import as_built, left_as_is, left_to_do, made_other
from engine.workshop.known import basis
from engine.workshop.limits import SMALLEST_BEND_DEG
from engine.workshop.norms import NORMS

MOST_LAYOUTS = 4


class Refused(CaseError):
    """An edit that cannot be made, with a sentence or two for the person: why, and what to do."""

    def __init__(self, words: str) -> None:
        super().__init__("", words)


def player(name: str) -> Callable[[Case, Any], Case]:
    """An edit of one field of the player."""
    return lambda case, value: replace(case, player=replace(case.player, **{name: value}))


def swing(name: str) -> Callable[[Case, Any], Case]:
    return lambda case, value: replace(case, swing=replace(case.swing, **{name: value}))


def air(name: str) -> Callable[[Case, Any], Case]:
    """An edit of the air in which carries are predicted."""

    def edit(case: Case, value: Any) -> Case:
        now = case.wants.air or Conditions()
        return replace(case, wants=replace(case.wants, air=replace(now, **{name: value}), air_on=iso_today()))

    return edit


def of_the_day(name: str) -> Callable[[Case, Any], Case]:
    """An edit of what else is true of the day: a cold ball, wet faces."""

    def edit(case: Case, value: Any) -> Case:
        return replace(case, wants=replace(case.wants, air_on=iso_today(), **{name: value}))

    return edit


def standard_air(case: Case) -> Case:
    """Nothing of the day is remembered."""
    return replace(case, wants=replace(case.wants, air=None, air_on=None, cold_ball=False, wet_face=False))


def no_wind(case: Case, value: Any = None) -> Case:
    """The air of the day without the wind that older versions kept with it."""
    day = case.wants.air
    calm = None if day is None else replace(day, wind_mps=0.0, wind_from_deg=0.0)
    if calm == Conditions():
        return replace(case, wants=replace(case.wants, air=None, air_on=None))
    return replace(case, wants=replace(case.wants, air=calm))


def wants(name: str) -> Callable[[Case, Any], Case]:
    """An edit of what is asked for; no club was built to a gap that is asked for only now."""
    new: dict[str, Any] = NOT_BUILT if name == "gap_m" else {}
    return lambda case, value: replace(case, wants=replace(case.wants, **{name: value}, **new))


NOT_BUILT: dict[str, Any] = {"built_to": ()}


def lofts(case: Case, value: str) -> Case:
    """What the lofts of all sets are bent for; a gap or carries that were asked for are asked for no more."""
    asked = None if value == LOFTS[0] else value
    return replace(case, wants=replace(case.wants, lofts=asked, gap_m=None, carries=(), **NOT_BUILT))


def sex(case: Case, value: str | None) -> Case:
    """Sex decides the usual set; a bag that somebody has edited, or of which other clubs were hit, stays."""
    untouched = case.bag == norm_bag(case.player.sex)
    new = replace(case, player=replace(case.player, sex=value))
    if not untouched:
        return new
    bag = norm_bag(value)
    layouts = default_layouts(bag) if case.layouts == default_layouts(case.bag) else case.layouts
    if {s.club for s in (*case.shots, *case.retest)} - {c.id for c in bag}:
        return new
    return replace(new, bag=bag, layouts=layouts)


def ball(name: str) -> Callable[[Case, Any], Case]:
    """An edit of the other ball's spin; a ball like the one hit is none."""

    def edit(case: Case, value: Any) -> Case:
        new = replace(case.wants.ball or BallSpin(), **{name: value})
        return replace(case, wants=replace(case.wants, ball=None if new == BallSpin() else new))

    return edit


# balls


def add_retest(case: Case, balls: Sequence[Shot], days: Sequence[str] = (), **where: Any) -> Case:
    """Balls hit after the build, with the clubs of the set that is chosen now: among all other balls once that set is in the
    bag; ``where`` as for `app.sessions.add`."""
    to = "shots" if case.wants.layout == BUILT else "retest"
    return sessions.add(case, balls, days, layout=case.wants.layout, to=to, **where)


def compare_hit_since(case: Case) -> Case:
    """The balls hit with the clubs in the bag since they were built are those of the re-test."""
    again = set(hit_since(case))
    shots = (replace(s, layout=BUILT) if n in again else s for n, s in enumerate(case.shots))
    return replace(case, shots=tuple(shots))


def drop_retest(case: Case, numbers: Collection[int], *, of: Literal["shots", "retest"] = "retest") -> Case:
    """Without balls of the re-test, by their numbers in one list of the case."""
    return sessions.pruned(case, case.without_shots(set(numbers), of=of))


def drop_balls(case: Case, indices: Collection[int]) -> Case:
    return sessions.pruned(case, case.without_shots(set(indices)))


def use_balls(case: Case, indices: Collection[int], use: bool) -> Case:
    """Balls excluded, or included; one included by hand counts whatever the mishit rule says."""
    shots = [replace(s, use=use, keep=use) if n in indices else s for n, s in enumerate(case.shots)]
    return replace(case, shots=tuple(shots))


def right_ball(number: int, **right: Any) -> Callable[[Case], Case]:
    """An edit of what was noted of a ball."""

    def edit(case: Case) -> Case:
        shots = [replace(s, **right) if n == number else s for n, s in enumerate(case.shots)]
        return replace(case, shots=tuple(shots))

    return edit


def move_balls(case: Case, indices: Collection[int], club_id: str) -> Case:
    """Balls that were noted under the wrong club go to the right one, and keep their places and all that was measured."""
    to = case.club(club_id)
    if to.family == "putter" and any(case.shots[n].grip_down_m for n in indices):
        raise Refused("These balls were hit gripped down, so they cannot go to a putter.")
    shots = [replace(s, club=club_id) if n in indices else s for n, s in enumerate(case.shots)]
    return replace(case, shots=tuple(shots))


def side(number: int) -> Callable[[Case, Any], Case]:
    """An edit of how far to the right a ball came down."""

    def edit(case: Case, value: Any) -> Case:
        shots = [replace(s, side_m=value) if n == number else s for n, s in enumerate(case.shots)]
        return replace(case, shots=tuple(shots))

    return edit


# part swings


def sizes_of(case: Case, club: Club) -> tuple[SwingSize, ...]:
    """The part swings that are meant for a club."""
    return tuple(size for size in case.swing_sizes if size.meant_for(club))


def size_named(case: Case, club_id: str, name: str) -> SwingSize:
    """The part swing of this name that is meant for a club, else the first of this name."""
    alike = [size for size in case.swing_sizes if size.name == name]
    mine = [size for size in sizes_of(case, case.club(club_id)) if size in alike]
    return (mine or alike)[0]


def add_size(case: Case, name: str, clubs: tuple[str, ...] = ()) -> Case:
    """One part swing more, for these clubs or for every wedge."""
    name = name.strip()
    if any(size.name.casefold() == name.casefold() and _share(size, clubs) for size in case.swing_sizes):
        raise Refused(f"There is a swing called \u201c{name}\u201d already.")
    new = SwingSize(_free_size_id(case), name, clubs)
    sizes = (*case.swing_sizes, new)
    if size_too_many(sizes, case.bag) is not None:
        raise Refused(f"A club can have {MOST_SIZES} part swings. Remove one first.")
    return replace(case, swing_sizes=sizes)


def _free_size_id(case: Case) -> str:
    taken = {size.id for size in case.swing_sizes}
    return next(f"size{n}" for n in range(1, len(taken) + 2) if f"size{n}" not in taken)


def _share(size: SwingSize, clubs: tuple[str, ...]) -> bool:
    """Whether a part swing and a new one may be meant for one club."""
    return not size.clubs or not clubs or bool(set(size.clubs) & set(clubs))


def size(size_id: str, **fields: Any) -> Callable[[Case], Case]:
    """An edit of a part swing: its name or its clubs."""

    def edit(case: Case) -> Case:
        sizes = tuple(replace(s, **fields) if s.id == size_id else s for s in case.swing_sizes)
        if size_too_many(sizes, case.bag) is not None:
            raise Refused(f"A club can have {MOST_SIZES} part swings. Remove one first.")
        return replace(case, swing_sizes=sizes)

    return edit


def drop_size(case: Case, size_id: str) -> Case:
    """A part swing goes, and its balls with it."""
    case = case.without_shots({n for n, s in enumerate(case.shots) if s.swing_size == size_id})
    return replace(case, swing_sizes=tuple(s for s in case.swing_sizes if s.id != size_id))


# the bag


def club(club_id: str, name: str) -> Callable[[Case, Any], Case]:
    def edit(case: Case, value: Any) -> Case:
        balls = (*case.shots, *case.retest)
        if (name, value) == ("family", "putter") and any(s.club == club_id and s.grip_down_m for s in balls):
            raise Refused(
                "Some shots with this club were gripped down, so it cannot be a putter. Delete those shots first."
            )
        bag = tuple(_with(c, name, value) if c.id == club_id else c for c in case.bag)
        return replace(case, bag=bag)

    return edit


def club_name(case: Case, club_id: str, text: str) -> Case:
    """The club called otherwise, by its usual name where nothing is typed; not as another club that is carried."""
    usual = NORMS[club_id].name if club_id in NORMS else club_id
    name, now = text.strip() or usual, case.club(club_id)
    for other in case.carried:
        called = other.name or other.id
        if other.id not in (club_id, now.became) and _plain(called) == _plain(name):
            raise Refused(
                f"The club of {other.loft_deg:g}\u00b0 loft is called \u201c{called}\u201d already. Give this one another "
                "name, or rename that one first."
            )
    return club(club_id, "name")(case, name)


def _plain(name: str) -> str:
    return "".join(name.split()).casefold()


def _with(club: Club, name: str, value: Any) -> Club:
    """The club with another value; a figure of which nothing is said is not known. What is typed was measured; a swing
    weight says more of a head than what heads usually weigh.
    """
    measured, ordered = (tuple(n for n in names if n != name) for names in (club.measured, club.ordered))
    club = replace(club, measured=measured, ordered=ordered)
    if name == SWING_WEIGHT and value is not None and basis(club, "head_kg") == "usual":
        club = club.unknown("head_kg")
    if name in ("bent_loft_deg", "bent_lie_deg") and not value:  # a head as it came
        none: dict[str, Any] = {n: None for n in BENDS if n.startswith(name.removesuffix("_deg"))}
        club = replace(club, **none)
    if name == SWING_WEIGHT and value is None:
        club = replace(club, wished_inoz=None)
    if name not in FIGURES:
        return replace(club, **{name: value})
    if value is None:
        return club.unknown(name)
    made = club.known(**{name: value})
    return replace(made, measured=(*measured, name)) if basis(made, name) == "usual" else made


def as_measured(club_ids: Collection[str]) -> Callable[[Case], Case]:
    """What stands of these clubs was measured, but for what is estimated."""

    def edit(case: Case) -> Case:
        bag = tuple(
            replace(c, measured=tuple(n for n in FIGURES if n not in dict(c.estimated)), ordered=())
            if c.id in club_ids
            else c
            for c in case.bag
        )
        return replace(case, bag=bag)

    return edit


def add_club(case: Case, new: Club) -> Case:
    """The bag with one club more, before the first of more loft."""
    made = replace(new, id=free_club_id(case.bag, new.id))
    place = next((i for i, c in enumerate(case.bag) if c.loft_deg > made.loft_deg), len(case.bag))
    place = len(case.bag) if made.family == "putter" else place
    return replace(case, bag=(*case.bag[:place], made, *case.bag[place:]))


def copy_club(case: Case, club_id: str) -> Case:
    index = _index(case, club_id)
    old = case.bag[index]
    twin = replace(old, id=free_club_id(case.bag, old.id), name=f"{old.name} (copy)"[:60], became=None)
    return replace(case, bag=(*case.bag[: index + 1], twin, *case.bag[index + 1 :]))


def drop_club(case: Case, club_id: str) -> Case:
    """Take a club out of the bag with its balls, those after the build too, and its place in the layouts."""
    layouts = tuple(replace(x, clubs=tuple(c for c in x.clubs if c.id != club_id)) for x in case.layouts)
    for one in case.swing_sizes:
        if one.clubs == (club_id,):
            case = drop_size(case, one.id)
    sizes = tuple(replace(s, clubs=tuple(c for c in s.clubs if c != club_id)) for s in case.swing_sizes)
    case = replace(case, swing_sizes=sizes)
    for of in ("shots", "retest"):
        case = case.without_shots({n for n, s in enumerate(getattr(case, of)) if s.club == club_id}, of=of)
    return replace(
        case,
        bag=tuple(c for c in case.bag if c.id != club_id),
        layouts=layouts,
        bench=tuple(m for m in case.bench if m.club != club_id),
    )


def usual_bag(case: Case) -> Case:
    """The usual set again, with those other clubs that balls were hit with."""
    return use_bag(norm_bag(case.player.sex))(case)


def use_bag(clubs: Sequence[Club]) -> Callable[[Case], Case]:
    """Another bag in place of this one; of this one stay those other clubs that balls were hit with."""

    def edit(case: Case) -> Case:
        ids, hit = {c.id for c in clubs}, {s.club for s in (*case.shots, *case.retest)}
        bag = (*clubs, *(c for c in case.bag if c.id not in ids and c.id in hit))
        ids = {c.id for c in bag}
        layouts = default_layouts(bag)
        if case.layouts != default_layouts(case.bag):
            layouts = tuple(replace(x, clubs=tuple(c for c in x.clubs if c.id in ids)) for x in case.layouts)
        bench = tuple(m for m in case.bench if m.club in ids)
        asked = replace(case.wants, **NOT_BUILT)
        return replace(case, bag=bag, layouts=layouts, bench=bench, wants=asked)

    return edit


def row(club_ids: Sequence[str], name: str, values: Sequence[float]) -> Callable[[Case], Case]:
    """One figure of several clubs at once."""
    wanted: dict[str, Any] = dict(zip(club_ids, values, strict=True))

    def edit(case: Case) -> Case:
        bag = tuple(_with(c, name, wanted[c.id]) if c.id in wanted else c for c in case.bag)
        return replace(case, bag=bag)

    return edit


def move_club(case: Case, club_id: str, by: int) -> Case:
    index = _index(case, club_id)
    bag = list(case.bag)
    bag.insert(min(max(index + by, 0), len(bag) - 1), bag.pop(index))
    return replace(case, bag=tuple(bag))


def free_club_id(clubs: Iterable[Club], wanted: str) -> str:
    taken = {c.id for c in clubs}
    number, new = 2, wanted
    while new in taken:
        new = f"{wanted[:20]}-{number}"
        number += 1
    return new


def _index(case: Case, club_id: str) -> int:
    return [c.id for c in case.bag].index(club_id)


def _layout(case: Case, layout_id: str) -> Layout:
    for found in case.layouts:
        if found.id == layout_id:
            return found
    raise Refused("This layout is only a preview. Keep it first, under Lay out, then change it here.")


# layouts


def _to_build(case: Case) -> Layout:
    chosen = (x for x in case.layouts if x.id == case.wants.layout)
    return next(chosen, own_layout(case.layouts, case.bag))


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


def lies(case: Case, taken: bool) -> Case:
    """Whether every set takes the lies that suit the player; lies that sets were given club by club give way to them."""
    layouts = case.layouts
    if taken:
        layouts = tuple(
            x if x.id == ORDERED else replace(x, clubs=tuple(replace(c, lie_deg=None) for c in x.clubs))
            for x in layouts
        )
    return replace(case, layouts=layouts, wants=replace(case.wants, lies=FITTED if taken else None))


def fitted_lengths(case: Case, lengths: Mapping[str, float]) -> Case:
    """Lengths by club put into the set to build; into a new one beside the present set, if that is what is chosen."""
    chosen = _to_build(case)
    if not lengths:
        return case
    if is_own(chosen, case.bag):
        if len(case.layouts) >= MOST_LAYOUTS:
            raise Refused(
                "There is no room for a set with these lengths. Remove a layout under Lay out first."
            )
        case = add_layout(case, "own")
        case = layout(case.layouts[-1].id, **laid_out_as(chosen))(case)
        case = replace(case, wants=replace(case.wants, layout=case.layouts[-1].id))
    for club_id, length in lengths.items():
        case = layout_club(str(case.wants.layout), club_id, "length_m")(case, length)
    return case


def drop_layout(case: Case, layout_id: str) -> Case:
    chosen = None if case.wants.layout == layout_id else case.wants.layout
    return replace(
        case,
        layouts=tuple(x for x in case.layouts if x.id != layout_id),
        wants=replace(case.wants, layout=chosen),
    )


def layout_club(layout_id: str, club_id: str, name: str) -> Callable[[Case, Any], Case]:
    """An edit by hand of one club of a layout, which then names all clubs it had of that family, irons and wedges too."""

    def edit(case: Case, value: Any) -> Case:
        old = _layout(case, layout_id)
        named = old.clubs or tuple(
            LayoutClub(c.id) for c in planned(old, case) if c.family in ("iron", "wedge")
        )
        if all(c.id != club_id for c in named):
            family = next(c.family for c in case.bag if c.id == club_id)
            there = {c.id for c in named}
            named += tuple(LayoutClub(c.id) for c in case.carried if c.family == family and c.id not in there)
        told = {name: value} | ({"begin_lie": False} if name == "lie_deg" else {})
        clubs = tuple(replace(c, **told) if c.id == club_id else c for c in named)
        return layout(layout_id, clubs=clubs)(case)

    return edit


def by_hand(case: Case, layout_id: str, club_id: str) -> bool:
    """Whether somebody set a figure of a club of a layout to another than the layout has by itself; what a build left to be
    done, and lofts by one step from iron to iron, were set for no club. Where that is so of most of its clubs, of none: a
    mark on every line tells nothing.
    """
    layout = next((x for x in case.layouts if x.id == layout_id), None)
    hand = set_by_hand(layout, case.bag) if layout is not None else {}
    if layout is None or not hand:
        return False
    by_itself = replace(layout, clubs=tuple(LayoutClub(c.id) for c in layout.clubs))
    plain = {c.id: c for c in planned(by_itself, case)}
    clubs = planned(layout, case)
    own = {
        c.id
        for c in clubs
        if any(abs(getattr(c, n) - getattr(plain[c.id], n)) > 1e-6 for n in hand.get(c.id, ()))
    }
    return club_id in own and 2 * len(own) <= len(clubs)


def loft_steps(layout_id: str, step_deg: float) -> Callable[[Case], Case]:
    """Irons of a layout ``step_deg`` apart about the middle one, whose loft stays."""

    def edit(case: Case) -> Case:
        for club_id, loft in stepped_lofts(case.bag, step_deg).items():
            case = layout_club(layout_id, club_id, "loft_deg")(case, loft)
        return case

    return edit


def without_irons_above(layout_id: str, top: str | None) -> Callable[[Case], Case]:
    """A layout whose irons begin at ``top``; ``None`` takes all irons of the bag."""

    def edit(case: Case) -> Case:
        old = _layout(case, layout_id)
        had = {c.id: c for c in old.clubs}
        irons = sorted((c for c in case.carried if c.family == "iron"), key=lambda c: c.loft_deg)
        ids = [c.id for c in irons]
        keep = ids[ids.index(top) :] if top in ids else ids
        wedges = [c.id for c in case.carried if c.family == "wedge"]
        others = [c for c in old.clubs if c.id not in ids and c.id not in wedges]
        clubs = tuple(had.get(i, LayoutClub(i)) for i in keep + wedges) + tuple(others)
        return layout(layout_id, clubs=clubs)(case)

    return edit


def measured(club_id: str, name: str) -> Callable[[Case, Any], Case]:
    """An edit of one figure of a club as it was measured at the bench, for the layout to build; ``None``: not measured."""

    def edit(case: Case, value: Any) -> Case:
        here = case.wants.layout
        old = next((m for m in case.bench if (m.club, m.layout) == (club_id, here)), Measured(club_id, here))
        new = replace(old, **{name: value})
        others = tuple(m for m in case.bench if m is not old)
        return replace(case, bench=others if new == Measured(club_id, here) else (*others, new))

    return edit


def measured_of(case: Case, club_id: str) -> Measured | None:
    """What was measured of a club of the layout to build."""
    return next((m for m in case.bench if (m.club, m.layout) == (club_id, case.wants.layout)), None)


def built(
    case: Case,
    ordered: Sequence[Club],
    *,
    sought: Sequence[Club] = (),
    aims: Mapping[str, Mapping[str, float]] | None = None,
    starts: Collection[str] = (),
    promised: Mapping[str, float] | None = None,
) -> Case:
    """The case after a set was built as ordered, or as it was measured at the bench where somebody measured it.

    What was worked on, as ordered or, where it was to be measured first or a head was looked for, as its measured figures
    tell, goes on under its id with what the bench made of it;
    what it was before is kept for the balls that were hit with it and for what a lie board read off it, and is carried
    no more. What was left alone stays the same club with its balls. Balls of an earlier build's re-test were hit with
    the clubs as they were, and stay with those. The lies that were asked for are met and asked for no more; so are the gap
    and the carries unless it is known what was ``promised`` by club (`engine.fitting.fitting.Fitting.promised`): with that
    they go along with the bag. What came out too far from the order stays ordered, in a layout of its own, and so do the
    clubs ``sought``, for which a head or a shaft has yet to be found; what stays other than ordered is noted in the layout
    `BUILT` with why. Other layouts stay as they were laid out. Of ``aims`` by club, see
    `engine.workshop.bench.left_to_do`; ``starts`` are the ids of clubs whose lie is only a start.
    """
    orders = {c.id: c for c in ordered}
    still_wanted = {c.id: c for c in sought}
    case = _earlier_retest_to_shots(case)
    hit = {s.club for s in case.shots}
    worked: list[JobClub] = []
    bag: list[Club] = []
    before: list[Club] = []
    moved: dict[str, str] = {}
    left: dict[str, dict[str, float]] = {}
    there, now = {c.id for c in case.bag}, (x for x in case.layouts if x.id == BUILT)
    as_is = [one for layout in now for one in layout.as_is if one.club in there]
    asked = asked_of_each(case, _to_build(case), orders)
    for old in case.bag:
        told = measured_of(case, old.id)
        if old.became is not None or (old.id not in orders and told is None):
            bag.append(old)
            continue
        order = orders.get(old.id, old)
        least_bend = case.wants.least_bend_deg or SMALLEST_BEND_DEG
        work = order
        if order == old:
            wanted = still_wanted.get(old.id)
            work = replace(old, **made_other(old, told, wanted, least_bend_deg=least_bend))
        new = as_built(old, work, told)
        bag.append(new)
        if work != old:
            typed = {n for n in (*FIGURES, SWING_WEIGHT) if told and getattr(told, n) is not None}
            worked.append(job_club(new, names=typed | ordered_figures(old, work)))
        aim = (aims or {}).get(old.id, {})
        by_set = asked[old.id] - ({"lie_deg"} if old.id in starts else set())
        if old.id in still_wanted:
            want = {name: getattr(still_wanted[old.id], name) for name in FIGURES}
            open_ = {n: v for n, v in want.items() if v != getattr(old, n) or n in by_set}
        else:
            open_ = left_to_do(old, order, new, least_bend_deg=least_bend, asked=by_set, aims=aim)
            as_is = [x for x in as_is if told is None or x.club != old.id]
            as_is += left_as_is(old, order, told, open_, asked=by_set, aims=aim)
        if open_:
            left[old.id] = open_
        if work != old and (old.id in hit or old.lie_mark_m != new.lie_mark_m):
            told_now = new.lie_mark_m is not None
            moved[old.id] = _kept_as(replace(old, lie_mark_m=None) if told_now else old, case.bag, before)
    shots = tuple(replace(s, club=moved.get(s.club, s.club)) for s in case.shots)
    in_use = [c for c in case.carried if c.family != "putter"]
    named = () if {c.id for c in in_use} <= set(orders) else tuple(c.id for c in in_use if c.id in orders)
    of_kind = laid_out_as(_to_build(case))
    built_now = Layout(BUILT, "present", clubs=tuple(LayoutClub(i) for i in named), **of_kind)
    layouts = [replace(built_now, as_is=tuple(as_is))]
    if left:
        families = {"iron", "wedge", *(c.family for c in in_use if c.id in left)}
        still = [c.id for c in in_use if c.family in families and (not named or c.id in named)]
        still_to_do = tuple(LayoutClub(i, **left.get(i, {}), begin_lie=i in starts) for i in still)
        layouts.append(Layout(ORDERED, "own", clubs=still_to_do, **of_kind))
    done = (case.wants.layout, BUILT, ORDERED)
    others = [x for x in case.layouts if x.id not in done and x.kind != "present"]
    layouts += others[: MOST["layouts"] - len(layouts)]
    told_of = [one for one in case.bench if one.layout == case.wants.layout]
    case = noted(case, "measured", [job_club(one, case.club(one.club)) for one in told_of])
    case = noted(case, "built", worked)
    wants = replace(case.wants, layout=BUILT, lies=None)
    if promised is None:
        wants = replace(wants, gap_m=None, carries=(), lofts=None, built_to=())
    elif case.wants.layout != ORDERED:  # what is left of an order is built to what was promised then
        wants = replace(wants, built_to=tuple(WantedCarry(i, carry) for i, carry in promised.items()))
    case = replace(
        case,
        bag=(*bag, *before),
        shots=shots,
        retest=tuple(replace(s, layout=BUILT) for s in case.retest),
        bench=(),
        layouts=tuple(layouts),
        wants=wants,
    )
    return case.hit_as_built()


# the job record


def job_club(
    club: Club | Measured,
    named: Club | None = None,
    *,
    names: Collection[str] | None = None,
    begin: bool = False,
) -> JobClub:
    """A club as the job record has it: what is known of its figures, of these ``names`` where not of all; ``begin`` where
    its lie is only a start.
    """
    named = named or (club if isinstance(club, Club) else None)
    assert named is not None
    guessed = dict(club.estimated) if isinstance(club, Club) else {}
    figures = {
        name: _to_tenths(name, getattr(club, name))
        for name in (*FIGURES, SWING_WEIGHT)
        if name not in guessed and (names is None or name in names)
    }
    return JobClub(named.id, named.name, **figures, begin_lie=begin and "lie_deg" in figures)


def ordered_figures(present: Club, order: Club) -> set[str]:
    """The figures that the bench is asked to change; the others stay as they are."""
    return {n for n in (*FIGURES, SWING_WEIGHT) if getattr(order, n) != getattr(present, n)}


def _to_tenths(name: str, value: float | None) -> float | None:
    """No finer than a bench measures, [0.1 mm], [0.01 deg] or [0.1 g]: noise would only lengthen a link."""
    if value is None or name == SWING_WEIGHT:
        return value
    return round(value, 2 if name.endswith("_deg") else 4)


def noted(
    case: Case, what: str, clubs: Iterable[JobClub] = (), *, note: str = "", date: str | None = None
) -> Case:
    """The case with one more line in its job record, of today if of no other day; the same where there is nothing to note,
    or it stands there already. The id follows from what is noted, so that two copies of a player note one thing once.
    """
    clubs, day = tuple(clubs), date or iso_today()
    if not clubs and not note:
        return case
    id_ = hashlib.blake2s(repr((what, day, clubs, note)).encode(), digest_size=5).hexdigest()
    if any(one.id == id_ for one in case.jobs):
        return case
    return replace(case, jobs=(*case.jobs, Job(id_, what, day, clubs, note)))


def job(job_id: str, **fields: Any) -> Callable[[Case], Case]:
    """Another date or note of a line of the job record; with the date of a build, balls go to the clubs as they then were on
    their days."""

    def edit(case: Case) -> Case:
        jobs = tuple(replace(one, **fields) if one.id == job_id else one for one in case.jobs)
        done = {c.id for one in jobs if one.id == job_id and one.what == "built" for c in one.clubs}
        heads = {c.id: c.became or c.id for c in case.bag}
        case = replace(case, jobs=jobs)
        if "date" not in fields or not done:
            return case
        return hit_again(case, {("shots", n) for n, s in enumerate(case.shots) if heads[s.club] in done})

    return edit


def drop_job(job_id: str) -> Callable[[Case], Case]:
    return lambda case: replace(case, jobs=tuple(one for one in case.jobs if one.id != job_id))


def _kept_as(old: Club, bag: Sequence[Club], before: list[Club]) -> str:
    """The id under which a club is kept as it was before the work, for its balls: once, however often it is built."""
    kept = replace(old, became=old.id)
    bare = replace(kept, measured=(), ordered=())  # what its figures rest on makes no other club of it
    for club in (*bag, *before):
        if club.became == old.id and replace(club, id=old.id, name=old.name, measured=(), ordered=()) == bare:
            return club.id
    new = free_club_id((*bag, *before), f"{old.id[:18]}-old")
    before.append(replace(kept, id=new, name=f"{old.name} (before)"[:60]))
    return new


def _earlier_retest_to_shots(case: Case) -> Case:
    """Balls hit after an earlier build go to the others: what is built next was not in anybody's hands yet."""
    here = case.wants.layout
    again = any(x.id == BUILT for x in case.layouts)
    if again:  # the set that is built next will have this id
        days = (replace(one, layout=None) if one.layout == BUILT else one for one in case.sessions)
        case = replace(case, sessions=tuple(days))

    def stays(shot: Shot) -> bool:
        return not again if shot.layout is None else shot.layout == here != BUILT

    case = replace(case, shots=tuple(replace(s, layout=None) for s in case.shots))
    gone = [n for n, s in enumerate(case.retest) if not stays(s)]
    return case.among_shots(gone, layout=None)


def carry_again(case: Case, club_id: str) -> Case:
    """A club that was made into another goes back into the bag as it was."""
    return club(club_id, "became")(case, None)
