"""What each kind of layout makes of the bag: lengths, head masses and lies of its irons and wedges.

Woods, hybrids and the putter stay as they are in the bag. Lofts stay unless the layout names others. Where a length
changes, the head and the lie follow common practice: 7 g lighter and 1 deg flatter for each half inch longer; the head of a
club whose swing weight a scale showed follows the set's swing weight instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from ..documents.case import BUILT as BUILT
from ..documents.case import FIGURES, Case, Club, Layout
from ..units import GRAM, INCH
from ..workshop.balance import at_length, grams_per_point, swing_weight_after, swing_weight_points, wished_of
from ..workshop.steps import READ_M, length_matters

HALF_INCH = 0.5 * INCH
LENGTH_STEP = HALF_INCH  # [m] between neighbouring irons; common practice
HEAD_STEP = 7 * GRAM  # [kg] lighter for each half inch longer; common practice
LIE_STEP = 1.0  # [deg] flatter for each half inch longer; common practice
WEDGE_STEP = (
    0.25 * INCH
)  # a wedge is commonly as long as the one before, or up to this [m] shorter; common practice
ONE_LENGTH_M = 0.006  # irons that are mostly this near to their middle length are of one length
AS_BAG = ("present", "own")  # kinds that give no lengths of their own


ORDERED = "ordered"
"""The id of the layout that a build leaves where the set came out other than ordered, beside `BUILT`: as it was ordered."""


def is_own(layout: Layout, bag: Sequence[Club]) -> bool:
    """Whether a layout is the bag as it is: no club of it has to be built."""
    return all(club in bag for club in plan(layout, bag))


def own_layout(layouts: Sequence[Layout], bag: Sequence[Club]) -> Layout:
    """The present set: the first of the layouts that says so and is the bag as it is, else one with the id ``present``."""
    mine = (x for x in layouts if x.kind == "present" and is_own(x, bag))
    return next(mine, Layout("present", "present"))


def plan(layout: Layout, bag: Sequence[Club], *, longest_iron: str | None = None) -> tuple[Club, ...]:
    """The clubs of a layout, longest-hitting loft first.

    Of irons and wedges only those the layout names, if it names any clubs; of any other family likewise, if it names
    any of that family. Putters are left out: a layout is about full shots; so is what was made into another club.
    With ``longest_iron``, the id of an iron of the bag, a layout that names no clubs has no iron of less loft than that
    one; the present set stays as it is.
    """
    full = sorted(
        (c for c in bag if c.family != "putter" and c.became is None), key=lambda c: (c.loft_deg, -c.length_m)
    )
    if layout.kind != "present" and not layout.clubs:
        full = without_longer(full, longest_iron)
    irons = [c for c in full if c.family == "iron"]
    wedges = [c for c in full if c.family == "wedge"]
    lengths = _lengths(layout, irons, wedges)
    named = {c.id: c for c in layout.clubs}
    anchor = anchor_of(irons or wedges) if irons or wedges else None
    chosen = {c.family for c in full if c.id in named} | ({"iron", "wedge"} if named else set())
    out = []
    for club in full:
        own = named.get(club.id)
        if own is None and club.family in chosen:
            continue
        made = club
        if club.id in lengths and anchor is not None:
            common = layout.kind == "single"
            made = _made_to(club, lengths[club.id], anchor, common=common)
            weight = _swing_weight_of_set(club, irons, anchor if common else None)
            if weight is not None:
                made = replace(made, head_kg=_head_for(club, made.length_m, weight))
        if own is not None:
            given = {
                k: v
                for k in ("length_m", "loft_deg", "lie_deg", "head_kg")
                if (v := getattr(own, k)) is not None
            }
            made = made.known(**given)
        if (made.length_m, made.head_kg) != (club.length_m, club.head_kg):
            made = replace(made, swing_weight_inoz=None)  # the scale showed that of the club as it is
        out.append(made)
    return tuple(sorted(out, key=lambda c: (c.loft_deg, -c.length_m)))


def planned(layout: Layout, case: Case) -> tuple[Club, ...]:
    """The clubs of a layout of this case: of its bag, and down from the longest iron that is asked for."""
    return plan(layout, case.bag, longest_iron=case.wants.longest_iron)


def without_longer(clubs: Sequence[Club], longest_iron: str | None) -> list[Club]:
    """The clubs without irons of less loft than the one with this id; all of them where it is no iron among them."""
    top = next((c.loft_deg for c in clubs if c.id == longest_iron and c.family == "iron"), None)
    return [c for c in clubs if top is None or c.family != "iron" or c.loft_deg >= top]


def anchor_of(irons: Sequence[Club]) -> Club:
    """The iron the others are set out from: the 7-iron if there is one, else the middle one by loft."""
    for club in irons:
        if club.id == "7i":
            return club
    return sorted(irons, key=lambda c: c.loft_deg)[len(irons) // 2]


def stepped_lofts(bag: Sequence[Club], step_deg: float) -> dict[str, float | None]:
    """Loft [deg] of each iron by id, ``step_deg`` apart about `anchor_of`, whose own loft stays (``None``)."""
    irons = sorted((c for c in bag if c.family == "iron" and c.became is None), key=lambda c: c.loft_deg)
    if not irons:
        return {}
    anchor = anchor_of(irons)
    place = irons.index(anchor)
    return {
        c.id: None if c is anchor else round(anchor.loft_deg + step_deg * (i - place), 2)
        for i, c in enumerate(irons)
    }


def set_by_hand(layout: Layout, bag: Sequence[Club]) -> dict[str, frozenset[str]]:
    """Names of the figures that a layout states of each club itself, but for lofts that follow one step from iron to iron
    (`stepped_lofts`); what a build left to be done was set by nobody.
    """
    if layout.id == ORDERED:
        return {}
    irons = sorted((c for c in bag if c.family == "iron" and c.became is None), key=lambda c: c.loft_deg)
    place = {c.id: i for i, c in enumerate(irons)}
    lofts = {c.id: c.loft_deg for c in layout.clubs if c.id in place and c.loft_deg is not None}
    stepped: set[str] = set()
    if len(lofts) >= FEWEST_STEPPED:
        order = sorted(lofts, key=place.__getitem__)
        step = np.median([(lofts[b] - lofts[a]) / (place[b] - place[a]) for a, b in pairwise(order)])
        above = {i: lofts[i] - step * place[i] for i in order}
        middle = np.median(list(above.values()))
        stepped = {i for i in order if abs(above[i] - middle) <= STEPPED_DEG}
    return {
        c.id: frozenset(
            n for n in FIGURES if getattr(c, n) is not None and (n != "loft_deg" or c.id not in stepped)
        )
        for c in layout.clubs
    }


FEWEST_STEPPED = 3
"""Fewer irons tell of no step."""
STEPPED_DEG = 0.05  # stepped lofts are stated to a hundredth


def loft_step_of(clubs: Sequence[Club]) -> float | None:
    """Mean step of loft [deg] from iron to iron, ``None`` with fewer than two."""
    lofts = [c.loft_deg for c in clubs if c.family == "iron"]
    return (max(lofts) - min(lofts)) / (len(lofts) - 1) if len(lofts) > 1 else None


def is_one_length(clubs: Sequence[Club]) -> bool:
    """Whether most irons (with fewer than three, most irons and wedges) are of one length: one odd club decides nothing."""
    lengths = _deciding(clubs)
    return len(lengths) > 1 and _mostly_alike(lengths)


def laid_out_as(layout: Layout) -> dict[str, Any]:
    """What a layout's lengths follow, to go along into the set that is built of it."""
    kind = layout.built_as if layout.kind in AS_BAG else layout.kind
    if kind is None:
        return {}
    names = ("common_length_m", "second_length_m", "length_step_m")
    return {"built_as": kind, **{name: getattr(layout, name) for name in names}}


def usual_lengths(
    layout: Layout,
    clubs: Sequence[Club],
    usual: Sequence[Club],
    *,
    longer_m: float = 0.0,
    longest_iron: str | None = None,
) -> dict[str, float]:
    """Length [m] by club that is usual for a set of this kind, from which a player's departs as a whole.

    A present or own set is of the kind it was built as, as long as its lengths say so. Where that is not known, a set of
    one length has that length, less what the player wants clubs longer, if it lies between an 8-iron's and a 7-iron's;
    else the nearer of these (common practice, no source).

    Parameters
    ----------
    clubs : of the layout as planned; usual : the bag with each club at the length usual for it
    longer_m : how much longer than usual the player wants clubs
    longest_iron : as in `plan`
    """
    by_itself = replace(layout, clubs=tuple(replace(c, length_m=None) for c in layout.clubs))
    own = {c.id: c.length_m for c in plan(by_itself, usual, longest_iron=longest_iron)}
    if layout.kind not in AS_BAG:
        return own
    irons = [c for c in clubs if c.family in ("iron", "wedge")]
    if layout.built_as is not None:
        built = {c.id: c.length_m for c in plan(replace(by_itself, kind=layout.built_as), usual)}
        if irons and _mostly_alike([c.length_m - built[c.id] for c in irons]):
            return built
    if is_one_length(irons):
        middle = float(np.median(_deciding(irons)))
        anchor = anchor_of([c for c in usual if c.id in {i.id for i in irons}]).length_m
        common = min(max(middle - longer_m, anchor - HALF_INCH), anchor)
        own |= {c.id: common for c in irons if abs(c.length_m - middle) < ONE_LENGTH_M}
    return own


def _deciding(clubs: Sequence[Club]) -> list[float]:
    irons = [c.length_m for c in clubs if c.family == "iron"]
    return irons if len(irons) > 2 else [c.length_m for c in clubs if c.family in ("iron", "wedge")]


def _mostly_alike(lengths: Sequence[float]) -> bool:
    return bool(np.mean(np.abs(np.array(lengths) - np.median(lengths)) < ONE_LENGTH_M) > 0.5)


def _made_to(club: Club, length_m: float, anchor: Club, *, common: bool) -> Club:
    """A club at another length; in a single-length set head and lie are those of the one length, else its own line."""
    line = anchor if common else club
    longer = (length_m - line.length_m) / HALF_INCH
    return replace(
        club.known(length_m=length_m),
        head_kg=max(line.head_kg - HEAD_STEP * longer, 0.15),
        lie_deg=min(max(line.lie_deg - LIE_STEP * longer, 45.0), 80.0),
    )


def _swing_weight_of_set(club: Club, irons: Sequence[Club], one_length: Club | None) -> float | None:
    """Swing weight [in oz] to which a head goes whose club a scale showed: that of the club of the one length, or of the
    irons together; a wedge keeps its own. What was wanted counts, whatever a bench made of it. ``None`` where no scale says.
    """
    if club.swing_weight_inoz is None:
        return None
    if one_length is not None:
        return wished_of(one_length)
    if club.family == "wedge":
        return wished_of(club)
    return float(
        np.median([w for c in irons if c.swing_weight_inoz is not None and (w := wished_of(c)) is not None])
    )


def _head_for(club: Club, length_m: float, swing_weight_inoz: float) -> float:
    """Head mass [kg] that brings a club to a swing weight [in oz] at another length, from what a scale showed of it; where
    it is so little short or long that it stays so, at that length.
    """
    at = at_length(club, length_m) if length_matters(length_m - club.length_m) else club
    off = swing_weight_points(swing_weight_inoz) - swing_weight_points(swing_weight_after(club, at))
    return max(club.head_kg + off * grams_per_point(at.length_m), 0.15)


def _lengths(layout: Layout, irons: list[Club], wedges: list[Club]) -> dict[str, float]:
    """Length [m] that the layout's kind gives each iron and wedge; empty where it gives none."""
    if layout.kind in ("present", "own") or not (irons or wedges):
        return {}
    anchor = anchor_of(irons or wedges)
    step = LENGTH_STEP if layout.length_step_m is None else layout.length_step_m
    if layout.kind == "single":
        common = anchor.length_m if layout.common_length_m is None else layout.common_length_m
        return {c.id: common for c in irons + wedges}
    if layout.kind == "two_lengths":
        long = layout.common_length_m or anchor.length_m + HALF_INCH
        short = layout.second_length_m or anchor.length_m - HALF_INCH
        return {c.id: long if c.loft_deg < anchor.loft_deg else short for c in irons + wedges}
    stepped = _stepped(irons, wedges, step, anchor)
    if layout.kind == "single_wedges":
        common = layout.common_length_m or (wedges[0].length_m if wedges else anchor.length_m)
        stepped.update({c.id: common for c in wedges})
    return stepped


def _stepped(irons: list[Club], wedges: list[Club], step: float, anchor: Club) -> dict[str, float]:
    """Irons one step apart about the anchor; wedges all one step below the shortest iron (common practice: 35.5 in).

    Irons that are all within what is left of some line of that step stay as they are. So does a wedge that is no more than
    `WEDGE_STEP` longer than its step or the wedge before it, or no more than that, and what is left at the bench, shorter.
    """
    line = irons or wedges
    middle = line.index(anchor)
    out = {c.id: anchor.length_m + step * (middle - i) for i, c in enumerate(line)}
    off = [c.length_m - out[c.id] for c in line]
    if not length_matters((max(off) - min(off)) / 2):
        out = {c.id: c.length_m for c in line}
    if irons:
        last = (min(out.values()) if step >= 0 else out[irons[-1].id]) - step
        for club in wedges:
            short = last - club.length_m
            near = short >= -WEDGE_STEP - READ_M and not length_matters(max(short - WEDGE_STEP, 0.0))
            out[club.id] = club.length_m if near else last
            last = min(last, max(out[club.id], last - WEDGE_STEP))
    return out
