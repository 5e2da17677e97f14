"""A club as it came off the bench: as ordered, or as it was measured when it was done, and what of it is off."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..documents.case import SWING_WEIGHT, Club, LeftAsIs, Measured
from .balance import grams_per_point, swing_weight_after, swing_weight_points
from .bending import NOT_BENT, bent_so_far, bent_to, bounce_after, history
from .estimates import head_by_swing_weight
from .known import basis, known, points_within, start_of
from .limits import LENGTH_LEFT_M, SMALLEST_BEND_DEG, SMALLEST_MASS_KG
from .made import ANGLES, ordered_from
from .steps import length_matters

TOLERANCE = {
    "length_m": LENGTH_LEFT_M,
    "loft_deg": 0.25,
    "lie_deg": 0.25,
    "head_kg": SMALLEST_MASS_KG,
}
"""A figure this far from what was ordered is off, a length farther than this; nearer, it came out as asked. Angles are read
to half of the step in which they are set, so that one may be off by less than is worth another bend. Common practice, no
source."""

SWING_WEIGHT_POINTS = 1.0
"""A swing weight this far from what was ordered is off [points]; common practice, no source."""

OF_SHAFT = ("shaft_kg", "shaft_flex", "tip_trim_m", "butt_trim_m")
"""What goes with a cut."""

NEAR = 0.98  # of a tolerance: what is typed has been rounded


@dataclass(frozen=True, slots=True)
class Off:
    """A figure that came out other than ordered: its name, what was ordered and what was measured, in its own unit, how far
    a swing weight that is only calculated may be off [points], and whether a change was ordered at all: else ``ordered``
    is what it was taken to be. ``weighed`` where it is a swing weight that a weighed head does not account for.
    """

    name: str
    ordered: float
    measured: float
    within: float | None = None
    asked: bool = True
    weighed: bool = False

    @property
    def by(self) -> float:
        return self.measured - self.ordered


def as_built(present: Club, ordered: Club, measured: Measured | None = None) -> Club:
    """The club as the bench left it: as ordered, and where it was measured, as measured.

    A head whose own mass was not taken is estimated from the swing weight that was measured, with the length, shaft and grip
    that go with it, and as uncertain as those; one that was weighed before and is to stay as it is keeps its mass.
    """
    measured = measured or Measured(present.id)
    typed = {name: value for name in TOLERANCE if (value := getattr(measured, name)) is not None}
    made = {name: getattr(ordered, name) for name in TOLERANCE} | typed
    changed = {name: value for name, value in made.items() if value != getattr(present, name)}
    club = ordered_from(present, _made(present, changed).known(**typed), typed=typed)
    untouched = ordered == present  # whatever was measured of it is what it was all along
    if untouched:
        club = replace(club, lie_mark_m=present.lie_mark_m)
    if ordered.loft_deg == present.loft_deg:  # no bend turned the sole
        club = replace(club, bounce_deg=present.bounce_deg)
    another = any(history(present, n)[1] for n in ANGLES) and not any(history(ordered, n)[1] for n in ANGLES)
    angles = {name: _bent(name, present, ordered, club) for name in ANGLES}
    bent: dict[str, Any] = NOT_BENT if another else bent_to(present, angles)
    club = replace(club, **bent)
    longer = club.length_m - present.length_m
    cut_unasked = not untouched and not start_of(present, "length_m") and length_matters(longer)
    if ordered.length_m == present.length_m and not cut_unasked:
        shaft = {name: getattr(present, name) for name in OF_SHAFT}
        club = replace(club, **shaft)
        if ordered.head_kg == present.head_kg:
            scaled = [n for n in (*club.ordered, SWING_WEIGHT) if n != SWING_WEIGHT or n in present.ordered]
            names = tuple(dict.fromkeys(scaled))
            club = replace(club, swing_weight_inoz=present.swing_weight_inoz, ordered=names)
    if start_of(present, "length_m"):  # nobody knows how much was cut
        club = replace(club, butt_trim_m=present.butt_trim_m)
    weight = measured.swing_weight_inoz
    if weight is not None:
        names = tuple(n for n in club.ordered if n != SWING_WEIGHT)
        club = replace(club, swing_weight_inoz=weight, ordered=names)
    wished = ordered.wished_inoz
    if wished is None and weight is not None and present.swing_weight_inoz is not None and not untouched:
        wished = swing_weight_after(present, ordered)
    now = club.swing_weight_inoz
    near = wished is None or now is None or not _points_off(now, wished, None)
    club = replace(club, wished_inoz=None if near else wished)
    by_scale = weight is not None or "head_kg" in dict(present.estimated)
    if _head_weighed(present, ordered, measured) or club.swing_weight_inoz is None or not by_scale:
        return club
    sure, asked = (tuple(n for n in names if n != "head_kg") for names in (club.measured, club.ordered))
    return head_by_swing_weight(replace(club, measured=sure, ordered=asked))


def made_other(
    present: Club,
    measured: Measured | None,
    wanted: Club | None,
    *,
    least_bend_deg: float = SMALLEST_BEND_DEG,
) -> dict[str, Any]:
    """Figures measured at the bench that make another club of one on which no work was ordered, but that is ``wanted``
    otherwise, as one that was to be measured first: off what was known of it (an angle by as much as is worth a bend), or
    farther than the 90 % interval of what was not, or as they are wanted. Nothing, unless what is wanted was changed.
    """
    if measured is None or wanted is None:
        return {}
    least = TOLERANCE | dict.fromkeys(ANGLES, least_bend_deg)
    within = {one.name: one.within if start_of(present, one.name) else 0.0 for one in known(present)[:-1]}

    def sought(name: str) -> bool:
        return _is_off(name, getattr(wanted, name) - getattr(present, name), least[name])

    def other(name: str, value: float) -> bool:
        by = value - getattr(present, name)
        if not _is_off(name, by, least[name]):
            return False
        found = sought(name) and not _is_off(name, getattr(wanted, name) - value, least[name])
        return found or abs(by) > within[name]

    typed = {name: getattr(measured, name) for name in TOLERANCE}
    out = {name: value for name, value in typed.items() if value is not None and other(name, value)}
    return out if any(map(sought, out)) else {}


def swing_weight_asked(present: Club, ordered: Club) -> float | None:
    """Static moment [in oz] that a club is to have after the work; ``None`` where no weight is added or taken off and none
    was shown by a scale before, so that what is calculated of it is no order.
    """
    if present.swing_weight_inoz is None and ordered.head_kg == present.head_kg:
        return None
    return swing_weight_after(present, ordered)


def off_target(
    present: Club, ordered: Club, measured: Measured | None, *, asked: Collection[str] = ()
) -> tuple[Off, ...]:
    """What of a club was measured so far from what was ordered that it matters. A swing weight that is only calculated,
    whether it is ordered or just comes of the club, is missed where it comes out beyond what it may be off.

    asked : names of figures that the set asks for even where nothing of them was to be changed
    """
    if measured is None:
        return ()
    out = []
    for name, least in TOLERANCE.items():
        value, order = getattr(measured, name), getattr(ordered, name)
        if value is None or name in dict(ordered.estimated):
            continue
        if _is_off(name, value - order, least):
            changed = order != getattr(present, name)
            out.append(Off(name, order, value, asked=changed or name in asked))
    weight = measured.swing_weight_inoz
    if weight is not None:
        order, within = swing_weight_after(present, ordered), points_within(ordered)
        if _points_off(weight, order, within):
            found = {n: x for n in ("length_m", "head_kg") if (x := getattr(measured, n)) is not None}
            by_head = swing_weight_after(present, replace(ordered, **found))
            weighed = _head_weighed(present, ordered, measured) and _points_off(weight, by_head, within)
            changed = _heft_asked(present, ordered)
            out.append(Off(SWING_WEIGHT, order, weight, within, asked=changed, weighed=weighed))
    return tuple(out)


def _points_off(weight: float, order: float, within: float | None) -> bool:
    points = swing_weight_points(weight) - swing_weight_points(order)
    return abs(points) >= NEAR * max(SWING_WEIGHT_POINTS, within or 0.0)


def _head_weighed(present: Club, ordered: Club, measured: Measured) -> bool:
    """Whether a head was weighed, now or before, with nothing added or ground off since."""
    if measured.head_kg is not None:
        return True
    return ordered.head_kg == present.head_kg and basis(present, "head_kg") == "measured"


def _is_off(name: str, by: float, least: float) -> bool:
    return length_matters(by) if name == "length_m" else abs(by) >= NEAR * least


def _heft_asked(present: Club, ordered: Club) -> bool:
    return (present.length_m, present.head_kg) != (ordered.length_m, ordered.head_kg)


def _asked_of(present: Club, ordered: Club, name: str) -> bool:
    """Whether a figure was to be changed, or was known and is moved by what was: a bend of loft or lie moves the other, and
    a swing weight that a scale showed goes with the length. Nothing is asked of a figure that was only guessed.
    """
    if getattr(present, name) != getattr(ordered, name):
        return True
    if name in ANGLES:
        return not start_of(present, name) and any(getattr(present, n) != getattr(ordered, n) for n in ANGLES)
    by_scale = present.swing_weight_inoz is not None
    return name == "head_kg" and by_scale and present.length_m != ordered.length_m


def left_to_do(
    present: Club,
    ordered: Club,
    built: Club,
    *,
    least_bend_deg: float = SMALLEST_BEND_DEG,
    asked: Collection[str] = (),
    aims: Mapping[str, float] | None = None,
) -> dict[str, float]:
    """Figures of a built club that the next sheet has to order again, as they were ordered: an angle where it is off by as
    much as is worth a bend [deg]; so are those ``asked`` by the set, once somebody has measured them, though nothing of
    them was to be changed. An angle that came out nearer to its aim than the order is, as where a head goes no
    farther, is not left.

    aims : by figure what the order comes near [deg] (`engine.fitting.fitting.Fitting.aims`)
    """
    least = TOLERANCE | dict.fromkeys(ANGLES, least_bend_deg)
    if "head_kg" in dict(built.estimated):  # known by the swing weight only
        points = max(SWING_WEIGHT_POINTS, points_within(ordered) or 0.0)
        least["head_kg"] = points * grams_per_point(built.length_m)
        if swing_weight_asked(present, ordered) is None:
            del least["head_kg"]
    return {
        name: getattr(ordered, name)
        for name, enough in least.items()
        if name not in dict(ordered.estimated)
        and (_asked_of(present, ordered, name) or (name in asked and name in built.measured))
        and _is_off(name, getattr(ordered, name) - getattr(built, name), enough)
        and not _nearer(aims or {}, name, getattr(ordered, name), getattr(built, name))
    }


def _nearer(aims: Mapping[str, float], name: str, ordered: float, built: float) -> bool:
    """Whether a figure came out no farther off its aim than the order is."""
    aim = aims.get(name, ordered)
    return abs(built - aim) <= abs(ordered - aim) + 1e-9


def left_as_is(
    present: Club,
    ordered: Club,
    measured: Measured | None,
    left: Collection[str],
    *,
    asked: Collection[str] = (),
    aims: Mapping[str, float] | None = None,
) -> tuple[LeftAsIs, ...]:
    """What of a club came out other than ordered and is no work of the next sheet, with why; a swing weight only where
    neither length nor head is, since it goes with them.

    left : names of the figures that are, see `left_to_do`; asked, aims : as there
    """
    out = []
    for off in off_target(present, ordered, measured, asked=asked):
        swing = off.name == SWING_WEIGHT
        if not off.asked or off.name in left or (swing and {"length_m", "head_kg"} & set(left)):
            continue
        nearer = off.name in ANGLES and _nearer(aims or {}, off.name, off.ordered, off.measured)
        why = "nearer" if nearer else "weighed" if off.weighed else "calculated" if swing else "least"
        out.append(LeftAsIs(present.id, off.name, off.ordered, why))
    return tuple(out)


def still_so(one: LeftAsIs, club: Club) -> float | None:
    """What a club has of a figure that was left other than ordered [unit of the figure], as long as it is still off."""
    value: float | None = getattr(club, one.figure)
    if value is None or one.figure in (*dict(club.estimated), *club.ordered):
        return None
    if one.figure == SWING_WEIGHT:
        return value if _points_off(value, one.ordered, None) else None
    return value if _is_off(one.figure, value - one.ordered, TOLERANCE[one.figure]) else None


def _bent(name: str, present: Club, ordered: Club, built: Club) -> float:
    """How far the head is bent by now [deg]: what was measured of it counts where the bench bent it, but from an angle that
    nobody had measured no farther than was ordered. A head that was put in its place came as it is.
    """
    before, after = bent_so_far(present, name), bent_so_far(ordered, name)
    work: float = getattr(ordered, name) - getattr(present, name)
    if not work or abs(after - before - work) > 1e-6:
        return after
    by: float = getattr(built, name) - getattr(present, name)
    if start_of(present, name):
        by = min(max(by, min(work, 0.0)), max(work, 0.0))
    return round(before + by, 6)


def _made(present: Club, figures: dict[str, Any]) -> Club:
    """The club with figures that the bench changed, and with what goes with them."""
    made = dict(figures)
    if "loft_deg" in made and present.bounce_deg is not None:
        change = made["loft_deg"] - present.loft_deg
        made["bounce_deg"] = float(bounce_after(bounce_deg=present.bounce_deg, loft_change_deg=change))
    if made.keys() & {"lie_deg", "length_m"}:
        made["lie_mark_m"] = None  # the board marks it elsewhere now
    return present.known(**made)
