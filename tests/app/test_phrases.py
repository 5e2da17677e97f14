"""Every statement has words in both systems of units; names go in as they were written; nothing is said in other units."""

import re
from types import SimpleNamespace

import pytest

from app.phrases import PHRASES, phrase
from app.units import SYSTEMS, unit
from engine.statements import WHATS, state, statement_of
from engine.statements.kinds import KINDS
from engine.statistics import plain
from engine.units import YARD
from tests.app.golden.samples import NAMES, SIZES, samples

FOREIGN = {"metric": r"in|yd|mph|ft/s", "imperial": r"m|cm|mm|km/h|m/s"}


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
        with pytest.raises(ValueError, match=r"no statement|carried|cannot be|do not fit|is needed"):
            wrong()
