"""Made-up statements of every kind: quantities of a usual size, each term in turn, and clubs with awkward names."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace

from app.phrases.layouts import KINDS_OF_LAYOUT
from engine.statements import LayoutName, Statement, state
from engine.statements.kinds import KINDS
from engine.statistics import Interval

# a usual size of each quantity [SI, deg, rpm]
SIZES = {
    "carry": 140.0,
    "gap": 9.4,
    "club_length": 0.94,
    "length_change": 0.0127,
    "grip_down": 0.0254,
    "body_length": 0.88,
    "club_speed": 42.0,
    "speed_change": 0.5,
    "ball_roll": 1.3,
    "putt": 10.0,
    "skid": 1.2,
    "hole": 0.086,
    "green_speed": 10.0,
    "angle": 1.4,
    "head_angle": 34.25,
    "whole_angle": 41.0,
    "mass": 0.012,
    "spin": 6400.0,
    "share": 0.12,
    "strokes": 0.07,
    "count": 4.0,
    "mean_count": 1.2,
    "deviations": 5.1,
    "minutes": 2400.0,
    "hours": 16200.0,
}
NAMES = ("7 in 1 iron", "4 m wedge", "<b>5 mph</b>", "Iron 100 yd")


def samples(kind: str) -> Iterator[Statement]:
    """Statements of a kind: each of its terms in turn, with and without what may be left out, of either sign."""
    spec = KINDS[kind]
    optional = [n for n, what in spec.quantities.items() if what.endswith("?")]
    optional += [n for n, options in spec.terms.items() if "" in options]
    longest = max((len(options) for options in spec.terms.values()), default=1)
    for clubs in sorted(set(list(spec.clubs)[:3])):
        for turn in range(longest):
            for left_out in (False, True):
                for sign in (1.0, -1.0):
                    values = {
                        name: Interval(*(sign * SIZES[what.rstrip("?")] * x for x in (1.0, 0.9, 1.1)))
                        for name, what in spec.quantities.items()
                    }
                    values |= {name: options[turn % len(options)] for name, options in spec.terms.items()}
                    if left_out:
                        values = {name: value for name, value in values.items() if name not in optional}
                    yield state(
                        kind,
                        chance=0.82 if spec.chance else None,
                        clubs=[SimpleNamespace(id=f"c{i}", name=NAMES[i]) for i in range(clubs)],
                        layouts=[
                            LayoutName(f"l{i}", kind, 0.9398 if kind == "single" else None, turn + 1)
                            for i, kind in enumerate(list(KINDS_OF_LAYOUT)[turn : turn + spec.layouts])
                        ],
                        quoted=["as typed"] * spec.quoted,
                        **{name: value or None for name, value in values.items()},
                    )
