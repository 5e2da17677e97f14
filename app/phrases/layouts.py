"""Layouts by their titles, the verdict between them and what decides it, in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from app.phrases.say import Phrase, Say, capital, percent
from app.units import unit
from engine.documents.result import LayoutResult
from engine.sets.plan import ORDERED
from engine.statements import LayoutName

if TYPE_CHECKING:
    from engine.fitting.fitting import Fitting

KINDS_OF_LAYOUT = {
    "present": "Present set",
    "stepped": "Stepped lengths",
    "single": "Single length",
    "single_wedges": "Single-length wedges",
    "two_lengths": "Two lengths",
    "own": "Own lengths",
}
LEANING = 0.6  # from this chance on it is told which way an open choice or measure leans
AS_ORDERED = "Left to do"  # what a build left to be done


def layout_title(name: LayoutName, system: str, *, length: bool = True) -> str:
    """``Single length, 94 cm``; ``length`` puts a common length to it."""
    title = AS_ORDERED if (name.id, name.kind) == (ORDERED, "own") else KINDS_OF_LAYOUT[name.kind]
    if name.bent:
        return f"{title}, lofts bent"
    if length and name.length_m is not None:
        return f"{title}, {unit('club', system).brief(name.length_m)}"
    return title


def titles(layouts: Iterable[LayoutResult], system: str, *, lengths: bool = True) -> dict[str, str]:
    """Titles of layouts by id, told apart where two have the same."""
    out: dict[str, str] = {}
    for layout in layouts:
        plain = layout_title(layout.called, system, length=lengths)
        title, number = plain, 2
        while title in out.values():
            title = f"{plain} ({number})"
            number += 1
        out[layout.id] = title
    return out


def set_titles(fitting: Fitting, system: str, *, played: bool = False) -> dict[str, str]:
    """Titles of all sets that can be chosen to build or to play: the layouts, and before them the present set, where it is
    none of them. ``played``: the present set as it is in the bag, for which nothing has been bent.
    """
    names, own = titles(fitting.layouts, system), fitting.own_layout
    if played or own.id not in names:
        now = {c.id: c for c in fitting.present}
        made = () if played else fitting.laid_out(own)
        bent, lies = (
            any(getattr(c, name) != getattr(now[c.id], name) for c in made)
            for name in ("loft_deg", "lie_deg")
        )
        title = layout_title(LayoutName(own.id, own.kind, bent=bent), system) + ", lies fitted" * lies
        names = {own.id: title, **names} if own.id not in names else {**names, own.id: title}
    return names


_IN_A_SENTENCE = {
    "present": ("your present set", "is"),
    "stepped": ("stepped lengths", "are"),
    "single": ("single length", "is"),
    "single_wedges": ("single-length wedges", "are"),
    "two_lengths": ("two lengths", "are"),
    "own": ("your own lengths", "are"),
}


def named(say: Say, place: int) -> str:
    """A layout within a sentence: ``single length at 94 cm``."""
    name = say.statement.layouts[place]
    length = f" at {unit('club', say.system).brief(name.length_m)}" if name.length_m is not None else ""
    number = f" ({name.number})" if name.number > 1 else ""
    if (name.id, name.kind) == (ORDERED, "own"):
        return "the set as ordered"
    bent = " with bent lofts" if name.bent else ""
    return _IN_A_SENTENCE[name.kind][0] + length + bent + number


def _buildable(say: Say) -> str:
    clubs = "club" if round(say.value("difference")) == 1 else "clubs"
    return f"{say['difference']} more {clubs} can be built from your present heads"


_DIFFERENCES: dict[str, Phrase] = {
    "expected_miss_m": lambda say: (
        f"you are {say['difference']} closer to the distances you face, on average,"
    ),
    "gap_spread_m": lambda say: f"the gaps are more even, varying by {say['difference']} less",
    "widest_gap_m": lambda say: f"the widest gap is {say['difference']} smaller",
    "narrowest_gap_m": lambda say: f"the narrowest gap is {say['difference']} wider",
    "overlaps": lambda say: f"on average, {say['difference']} fewer pairs of clubs overlap",
    "reach_m": lambda say: f"the longest iron carries {say['difference']} farther",
    "top_descent_deg": lambda say: f"the longest iron comes down {say['difference']} steeper",
    "posture_spread_deg": lambda say: f"posture changes {say['difference']} less through the irons",
    "buildable": _buildable,
}


def _difference(measure: str) -> Phrase:
    return lambda say: (
        f"{capital(named(say, 0))}: {_DIFFERENCES[measure](say)} than with {named(say, 1)} ({say.chance} chance)."
    )


def _next_ball(say: Say) -> str:
    held = f" gripped down {say['grip']}, and mark them as gripped down" if "grip" in say else ""
    return (
        f"Hit {say['balls']} shots with the {say.club}{held}: that should raise the chance of choosing the better set from "
        f"{percent(say.value('now'))} to {percent(say.value('after'))}."
    )


def _nothing_to_hit(say: Say) -> str:
    hit = say.term("hit") == "some"
    now, after = percent(say.value("now")), percent(say.value("after"))
    more = f"would raise that to {after} at most" if after != now else "would leave it there"
    shots = "more shots" if hit else "shots"
    ahead = f"likely {named(say, 0)}" if say.value("now") >= LEANING else "neither is clearly ahead"
    return (
        f"{capital(shots)} would hardly help to choose between these sets: the chance of choosing the better one is {now} "
        f"({ahead}), and {say['balls']} {shots} with any one club {more}."
    )


PHRASES: dict[str, Phrase] = {
    **{f"difference.{measure}": _difference(measure) for measure in _DIFFERENCES},
    "advice.irons_stop": lambda say: (
        f"With {named(say, 0)}, the {say.club} is the longest iron likely to hold a green."
    ),
    "advice.why_irons_stop": lambda say: (
        f"It is the longest that still adds carry and comes down steeply enough ({say['descent']}, or less if all your "
        "irons fly flat)."
    ),
    "advice.irons_stop_as_wished": lambda say: f"With {named(say, 0)}, the irons stop at the {say.club}.",
    "advice.why_as_wished": lambda say: (
        "You asked for that." + (f" Otherwise they would stop at the {say.club}." if say.clubs else "")
    ),
    "advice.next_ball": _next_ball,
    "advice.nothing_to_hit": _nothing_to_hit,
}
