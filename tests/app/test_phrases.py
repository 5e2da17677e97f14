"""Every statement has words in both systems of units; names go in as they were written; nothing is said in other units."""

import re
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import pytest

from app.phrases import PHRASES, phrase
from app.phrases.lines import air_line, balls_line, carries_line, gaps_line
from app.phrases.marks import Marks
from app.units import SYSTEMS, unit
from engine.documents.case import Case, Conditions, Wants
from engine.documents.result import ShotGroup
from engine.sets.compare import Gap
from engine.shots.summary import summarise
from engine.statements import WHATS, LayoutName, state, statement_of
from engine.statements.kinds import KINDS
from engine.statistics import Interval, plain
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
    same |= {"count", "mean_count", "deviations", "minutes", "hours"}
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
    [(0.5, "0.5"), (1.375, "1.375"), (2, "2"), (0.25, "0.25"), (-0.125, "\u22120.125"), (0.01, "0")],
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


def shown(**carries):
    """A result with one layout of clubs (family, mean carry [m]), as far as the lines look at it."""
    clubs = [
        SimpleNamespace(
            id=i, name=i.upper(), family=family, carry_m=Interval(carry, carry, carry), hit_first=False
        )
        for i, (family, carry) in carries.items()
    ]
    between = [(a, b, a.carry_m.mean - b.carry_m.mean) for a, b in pairwise(clubs)]
    gaps = [Gap(a.id, b.id, Interval(gap, gap, gap), 0.1) for a, b, gap in between]
    called = LayoutName("a", "single", 0.9144)
    return SimpleNamespace(layouts=[SimpleNamespace(id="a", called=called, clubs=clubs, gaps=gaps)])


def test_lines_under_pictures_are_of_irons_and_wedges():
    """Worked by hand: 10 m is 10.9 yd, 140 m 153 yd, 110 m 120 yd (1 yd = 0.9144 m)."""
    result = shown(dr=("driver", 200.0), i5=("iron", 140.0), i7=("iron", 130.0), pw=("wedge", 110.0))
    hit = Marks(SimpleNamespace(clubs_hit={"dr", "i5", "pw"}, was_hit=lambda club, size: club != "i7"))
    metric, imperial = (carries_line(result, s, hit).replace("\u00a0", " ") for s in SYSTEMS)
    assert metric.endswith("Single length, 91.4 cm: I5 140 m, PW 110 m.")
    assert imperial.endswith("Single length, 36 in: I5 153 yd, PW 120 yd.")
    metric, imperial = (gaps_line(result, s, 12.0).replace("\u00a0", " ") for s in SYSTEMS)
    assert "Single length, 91.4 cm: 10.0 to 20.0 m." in metric and "the wanted 12.0 m" in metric
    assert "36 in: 10.9 to 21.9 yd." in imperial and "the wanted 13.1 yd" in imperial
    assert carries_line(shown(dr=("driver", 200.0)), "metric", hit).endswith("DR 200\u00a0m.")
    assert carries_line(shown(), "metric", hit) == "No clubs to show."
    assert gaps_line(shown(i5=("iron", 140.0)), "metric") == "No gaps to show."


@pytest.mark.parametrize(
    ("balls", "prior", "told"),
    [
        ([130.0], None, "One shot so far"),
        (
            [110.0, 150.0, 130.0],
            None,
            "By these balls alone it would take more than 40 more to know the mean to \u00b12 m",
        ),
        ([128.0, 130.0, 132.0], None, "By these balls alone it takes 2 more to know the mean to \u00b12 m."),
        ([128.0, 130.0, 128.0, 132.0, 132.0], None, "The mean is known to \u00b12 m or better."),
    ],
)
def test_how_many_more_shots(balls, prior, told):
    """Student's t from a printed table: n 5, sd 2: 2.132 * 2 / 5**0.5 = 1.91 m; n 4: 2.353 * 2 / 2 = 2.35 m."""
    group = ShotGroup("7i", 0.0, len(balls), 0, summarise(balls, spread_prior=prior), 99, ())
    assert balls_line(group, "metric").replace("\u00a0", " ").startswith(told)


def test_no_more_shots_are_asked_for_a_card_that_is_sure_by_the_other_clubs():
    group = ShotGroup("7i", 0.0, 3, 0, summarise([128.0, 130.0, 132.0]), 99, ())
    sure, unsure = Interval(130.0, 128.1, 131.9), Interval(130.0, 127.9, 131.9)
    assert (
        balls_line(group, "metric", sure)
        .replace("\u00a0", " ")
        .endswith("the card is sure to \u00b12 m or better.")
    )
    assert balls_line(group, "metric", unsure) == balls_line(group, "metric")


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_count_of_shots_says_what_spread_it_goes_by(system):
    """Even balls at first: by their own sd the mean would be known, and the count went by the prior without a word."""
    balls = [128.0, 130.0, 128.0, 132.0, 132.0, 130.0]
    name, to = {"metric": ("m", 1.0), "imperial": ("yd", 0.9144)}[system]
    carry = summarise(balls, spread_prior=0.065)
    group = ShotGroup("7i", 0.0, 6, 0, carry, 99, ())
    told = balls_line(group, system).replace("\u00a0", " ")
    sd = (sum((x - 130.0) ** 2 for x in balls) / 5) ** 0.5
    used = ((6 * (0.065 * 130.0) ** 2 + 5 * sd**2) / 11) ** 0.5  # a prior that counts for six balls
    assert (
        f"the mean to \u00b12 {name}. With so few balls we assume a typical spread of {used / to:.0f} {name}; "
        f"your {sd / to:.0f} {name} may be luck." in told
    )
    more = int(told.split("it takes ")[1].split()[0])
    half = [ndtri_t(5 + 6 + n) * used / (6 + n) ** 0.5 / to for n in (more - 1, more)]
    assert half[0] > 2 >= half[1]
    alone = balls_line(ShotGroup("7i", 0.0, 6, 0, summarise(balls), 99, ()), system)
    assert "assume" not in alone


def test_an_assumed_spread_is_told_only_where_it_weighs():
    """It counts for six balls: beside 21 degrees of freedom of one's own, those are not few."""
    balls = [125.0, 135.0] * 11
    carry = summarise(balls, spread_prior=0.1)
    assert round(carry.sd) == 5 and round(carry.spread) == 8
    days = replace(carry, degrees=carry.degrees - 3)  # the same over four days
    for many in (carry, days):
        told = balls_line(ShotGroup("7i", 0.0, 22, 0, many, 99, ()), "metric")
        assert "By these balls alone it takes" in told and "assume" not in told
    few = summarise(balls[:8], spread_prior=0.1)
    assert "With so few balls" in balls_line(ShotGroup("7i", 0.0, 8, 0, few, 99, ()), "metric")


def ndtri_t(degrees):
    from scipy.stats import t

    return t.ppf(0.95, degrees)


def test_the_air_of_the_predictions():
    assert air_line(Case(), "metric").endswith("20\u00a0\u00b0C, sea level, no wind.")
    air = Conditions(temperature_c=8.0, altitude_m=300.0, wind_mps=4.0, wind_from_deg=100.0)
    told = air_line(Case(wants=Wants(air=air)), "imperial").replace("\u00a0", " ")
    assert told.endswith("46 \u00b0F, 984 ft above sea level, a wind of 9 mph from the right.")


@pytest.mark.parametrize(
    ("time", "told"),
    [
        (0.0, "7 clubs to work on now, for others: 1 new head, 2 shafts"),
        (1500.0, "7 clubs to work on now (25 min), for others: 1 new head, 2 shafts"),
        (7500.0, "7 clubs to work on now (2 h 05 min), for others: 1 new head, 2 shafts"),
    ],
)
def test_no_time_is_told_where_nothing_is_done_at_the_bench(time, told):
    assert phrase(state("verdict.work", clubs_to_build=7, heads=1, shafts=2, time=time), "metric") == told


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ({"clubs_to_build": 2, "heads": 0}, "2 clubs to work on (25 min)"),
        ({"clubs_to_build": 0, "heads": 0, "measure": 2}, "2 clubs only to measure (25 min)"),
        (
            {"clubs_to_build": 0, "heads": 2, "measure": 1},
            "1 club only to measure (25 min), for others: 2 new heads",
        ),
        ({"clubs_to_build": 0, "heads": 2, "likely": 1, "time": 0.0}, "2 new heads, 1 likely new head"),
    ],
)
def test_what_a_set_costs_reads_as_work_and_as_parts_of_other_clubs(parts, told):
    assert phrase(state("verdict.work", **{"shafts": 0, "time": 1500.0, **parts}), "metric") == told


@pytest.mark.parametrize(
    ("now", "told"),
    [
        (0.87, "the better one is 87\u00a0% (likely single length at 94\u00a0cm), and"),
        (0.59, "the better one is 59\u00a0% (neither is clearly ahead), and"),
    ],
)
def test_the_set_that_is_likely_the_better_one_is_named(now, told):
    ahead = LayoutName("one", "single", 0.94)
    said = state("advice.nothing_to_hit", layouts=[ahead], balls=10, now=now, after=0.9, hit="none")
    assert told in phrase(said, "metric")
