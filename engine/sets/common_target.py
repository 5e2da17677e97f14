"""What a layout asks of its clubs by itself, and what of that it takes from a club that nobody has measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ..documents.case import SWING_WEIGHT, Case, Club, Layout
from ..workshop.known import basis, start_of
from ..workshop.steps import ANGLE_STEP_DEG, EIGHTH_M, MASS_STEP_KG
from .plan import AS_BAG, ORDERED, anchor_of, without_longer

IRONS = ("iron", "wedge")
LIKE_ONE = ("length_m", "head_kg", "lie_deg")
"""What all irons and wedges of a single-length set have in common."""


def asked_of(layout: Layout, club: Club) -> set[str]:
    """Names of the figures that a layout asks of a club, whatever the club has: by its kind, and what is stated for it."""
    stated = next((c for c in layout.clubs if c.id == club.id), None)
    names = {n for n in (*LIKE_ONE, "loft_deg") if stated is not None and getattr(stated, n) is not None}
    return names | _asked_by_kind(layout, club)


def _asked_by_kind(layout: Layout, club: Club) -> set[str]:
    kind = layout.built_as if layout.kind in AS_BAG else layout.kind
    if club.family not in IRONS or kind is None or kind in AS_BAG:
        return set()
    return set(LIKE_ONE if kind == "single" else LIKE_ONE[:1])


def asked_of_each(case: Case, layout: Layout, made: Mapping[str, Club]) -> dict[str, set[str]]:
    """By club in use, what a layout asks of it. A figure stated for one club alone, and left as it was, is no order. What
    clubs have in common, taken of an unmeasured one, counts only once others were made to it; a lie of that kind never does,
    since none is bent to it, nor the lengths of a stepped set, whose wedges are asked no length unless it is stated: one
    near the steps stays as it is (`engine.sets.plan.plan`).

    made : clubs by id as the bench was to make them
    """
    asked = {club.id: asked_of(layout, club) for club in case.carried}
    stated = {c.id for c in layout.clubs if c.length_m is not None}
    for club in case.carried:
        names = asked[club.id] - _asked_by_kind(layout, club)
        asked[club.id] -= {
            n for n in names if club.id in made and getattr(made[club.id], n) == getattr(club, n)
        }
        if club.family == "wedge" and club.id not in stated and "stepped" in (layout.kind, layout.built_as):
            asked[club.id].discard("length_m")
    by_kind = _by_kind(layout)
    guessed = {} if by_kind is layout else on_guess(by_kind, case.bag, longest_iron=case.wants.longest_iron)
    for id_, figures in guessed.items():  # what a layout states of a set built before was ordered
        own = next((c for c in layout.clubs if c.id == id_), None)
        guessed[id_] = {n: of for n, of in figures.items() if own is None or getattr(own, n) is None}
    for found in (on_guess(layout, case.bag, longest_iron=case.wants.longest_iron), guessed):
        for name in LIKE_ONE:
            takers: dict[str, set[str]] = {}
            for id_, figures in found.items():
                if name in figures:
                    source = figures[name].id
                    takers.setdefault(source, {source}).add(id_)
            for source, group in takers.items():
                common = name != "lie_deg" and not _in_steps(by_kind, case.club(source))
                known = any(i in made and basis(made[i], name) in ("measured", "ordered") for i in group)
                for id_ in () if common and known else group:
                    asked[id_].discard(name)
    return asked


def _by_kind(layout: Layout) -> Layout:
    """A layout of the clubs as they are by what they were built as: what that asks of them, stated figures apart."""
    if layout.kind not in AS_BAG or layout.built_as is None:
        return layout
    return replace(layout, id="", kind=layout.built_as, clubs=())


def on_guess(
    layout: Layout, bag: Sequence[Club], *, longest_iron: str | None = None, lies: bool = True
) -> dict[str, dict[str, Club]]:
    """By club and figure, the other club of the bag whose own figure a layout takes for it though nobody has measured that.

    Parameters
    ----------
    longest_iron : as in `engine.sets.plan.plan`
    lies : whether lies come of the layout, rather than of what suits the player
    """
    if layout.id == ORDERED and layout.built_as is not None:
        return _still_on_guess(layout, bag, lies=lies)
    irons = [c for c in bag if c.family in IRONS and c.became is None]
    irons = irons if layout.clubs else without_longer(irons, longest_iron)
    if layout.kind in AS_BAG or not irons:
        return {}
    of = anchor_of([c for c in irons if c.family == "iron"] or irons)
    out: dict[str, dict[str, Club]] = {}
    for club in irons:
        source = of
        if layout.kind == "single_wedges" and club.family == "wedge":
            source = min((c for c in irons if c.family == "wedge"), key=lambda c: (c.loft_deg, -c.length_m))
        if club.id == source.id:
            continue
        names = [n for n in LIKE_ONE if n in asked_of(layout, club) and (lies or n != "lie_deg")]
        own = next((c for c in layout.clubs if c.id == club.id), None)
        out[club.id] = {
            n: source
            for n in names
            if (own is None or getattr(own, n) is None) and _guessed(n, layout, club, source)
        }
    return {i: figures for i, figures in out.items() if figures}


def _still_on_guess(layout: Layout, bag: Sequence[Club], *, lies: bool) -> dict[str, dict[str, Club]]:
    """What is left of an order that was taken of a club which nobody has measured since: such figures are stated by now."""
    found = on_guess(_by_kind(layout), bag, lies=lies)
    stated = {c.id: c for c in layout.clubs}
    out = {
        i: {
            n: of
            for n, of in figures.items()
            if i in stated
            and (value := getattr(stated[i], n)) is not None
            and abs(value - getattr(of, n)) <= TAKEN[n]
        }
        for i, figures in found.items()
    }
    return {i: figures for i, figures in out.items() if figures}


TAKEN = {"length_m": 0.5 * EIGHTH_M, "head_kg": 0.5 * MASS_STEP_KG, "lie_deg": 0.5 * ANGLE_STEP_DEG}
"""So far a figure of one length may be from the one it was taken of: half a step of the bench."""


def _in_steps(layout: Layout, club: Club) -> bool:
    """Whether the lengths of a layout go in steps from a club of this kind."""
    return layout.kind == "stepped" or (layout.kind == "single_wedges" and club.family == "iron")


def _guessed(name: str, layout: Layout, club: Club, source: Club) -> bool:
    if name == "length_m":
        stated = layout.common_length_m
        if layout.kind == "two_lengths" and club.loft_deg >= source.loft_deg:
            stated = layout.second_length_m
        return (_in_steps(layout, club) or stated is None) and bool(start_of(source, name))
    by_scale = None not in (getattr(club, SWING_WEIGHT), getattr(source, SWING_WEIGHT))
    return not (name == "head_kg" and by_scale) and bool(start_of(source, name))
