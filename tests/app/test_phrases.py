"""Every statement has words in both systems of units; names go in as they were written; nothing is said in other units."""

import re
from types import SimpleNamespace

import pytest

from app.measures import SYSTEMS, unit
from app.phrases import PHRASES, phrase
from app.phrases.layouts import KINDS_OF_LAYOUT
from engine.statements import WHATS, LayoutName, state, statement_of
from engine.statements.kinds import KINDS
from engine.statistics import Interval, plain
from engine.units import YARD

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
}
NAMES = ("7 in 1 iron", "4 m wedge", "<b>5 mph</b>", "Iron 100 yd")
FOREIGN = {"metric": r"in|yd|mph|ft/s", "imperial": r"m|cm|mm|km/h|m/s"}


def samples(kind):
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


def without_names(text):
    for name in NAMES:
        text = text.replace(name, "")
    return text


def test_every_kind_has_words_and_every_quantity_a_unit():
    assert PHRASES.keys() == KINDS.keys()
    assert SIZES.keys() == set(WHATS)
    for spec in KINDS.values():
        assert {what.rstrip("?") for what in spec.quantities.values()} <= set(WHATS)
    for what in WHATS:
        for system in SYSTEMS:
            assert unit(what, system).text(SIZES[what], unit=True)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_in_words(kind, system):
    for statement in samples(kind):
        told = phrase(statement, system)
        assert (
            told == told.strip()
            and len(told) > 3
            and "  " not in told
            and not re.search(r"\bNone\b(?! of)", told)
        )
        assert all(club.name in told for club in statement.clubs), told
        bare = without_names(told).replace("\u00a0", " ")
        assert not re.search(rf"\d (?:{FOREIGN[system]})\b(?!/)", bare), told
        assert not re.search(r"\d deg\b|(?<![\w.])-\d|[{}\[\]]", bare), told
        assert phrase(plain(statement), system) == told
        assert statement_of(plain(statement)) == statement


def test_both_systems_differ_where_a_length_or_a_speed_is_said():
    same = {"green_speed", "angle", "head_angle", "whole_angle", "mass", "spin", "share", "strokes"}
    same |= {"count", "mean_count", "deviations"}
    for kind, spec in KINDS.items():
        if not kind.startswith("verdict.") and any(
            not what.endswith("?") and what not in same for what in spec.quantities.values()
        ):
            statement = next(samples(kind))
            assert phrase(statement, "metric") != phrase(statement, "imperial"), kind


def test_a_threshold_is_about_the_same_in_yards():
    """4 m is 4.37 yd (1 yd = 0.9144 m, International Yard and Pound, 1959)."""
    clubs = [SimpleNamespace(id="5w", name="5 wood"), SimpleNamespace(id="3w", name="7 in 1 wood")]
    told = state("woods.begin", clubs=clubs, adds=2.0, least=4.0, chance=0.3, family="fairway")
    assert "7 in 1 wood adds only 2\u00a0m" in phrase(told, "metric")
    assert "about 4\u00a0m or more" in phrase(told, "metric")
    assert "about 4\u00a0yd or more" in phrase(told, "imperial") and round(4.0 / YARD) == 4


@pytest.mark.parametrize(
    ("inches", "told"),
    [(0.5, "1/2"), (1.375, "1 3/8"), (2, "2"), (0.25, "1/4"), (-0.125, "\u22121/8"), (0.01, "0")],
)
def test_lengths_at_the_bench_are_in_eighths_of_an_inch(inches, told):
    """1 in = 25.4 mm exactly (International Yard and Pound, 1959)."""
    assert unit("length_change", "imperial").text(inches * 0.0254, unit=True) == f"{told}\u00a0in"


def test_what_a_kind_does_not_carry_is_refused():
    club = SimpleNamespace(id="7i", name="7-iron")
    for wrong in (
        lambda: state("no.such_kind"),
        lambda: state("work.cut"),
        lambda: state("work.cut", length=0.01, width=0.01),
        lambda: state("work.bend_loft", change=1.0, way="sideways"),
        lambda: state("irons.stop", clubs=[club]),
        lambda: state("irons.stop", chance=0.5),
        lambda: state("work.none", chance=0.5),
    ):
        with pytest.raises(ValueError):
            wrong()
