"""Where the player wants the irons to stop, they stop: in every layout that is made up, and said to be the player's wish."""

from dataclasses import replace

import pytest

from engine.documents.case import Case, Layout, LayoutClub, Player, Swing, Wants
from engine.fitting.fitting import Fitting
from engine.fitting.sections import document
from engine.sets.plan import planned
from engine.solve import solve
from engine.units import MPH
from engine.workshop.norms import norm_bag, norm_club

BAG = (*(c for c in norm_bag("male") if c.family != "iron"), *(norm_club(f"{n}i") for n in range(3, 10)))
KINDS = ("stepped", "single", "single_wedges", "two_lengths", "own")


def case(longest=None, mph=80, **options):
    layouts = tuple(Layout(kind, kind) for kind in ("present", *KINDS))
    return Case(
        player=Player(sex="male", height_m=1.8),
        swing=Swing(iron7_speed_mps=mph * MPH),
        bag=BAG,
        wants=Wants(longest_iron=longest, layout="stepped"),
        **{"layouts": layouts} | options,
    )


def irons(clubs):
    return [c.id for c in clubs if c.family == "iron"]


@pytest.mark.parametrize("longest", ["3i", "5i", "7i"])
def test_longer_irons_are_in_no_layout_that_is_made_up(longest):
    wished = case(longest)
    expected = [f"{n}i" for n in range(int(longest[0]), 10)]
    for layout in wished.layouts[1:]:
        assert irons(planned(layout, wished)) == expected
        asked = Fitting(wished, 16).clubs_for(layout.id, 150.0)
        assert sorted(c.id for c in asked if c.id in {f"{n}i" for n in range(1, 10)}) == expected
    assert irons(planned(wished.layouts[0], wished)) == irons(sorted(BAG, key=lambda c: c.loft_deg))
    results = solve(wished, draws=32).layouts
    assert [irons(r.clubs) for r in results[1:]] == [expected] * len(KINDS)
    assert all(c.family != "iron" or c.id in expected for c in Fitting(wished, 32).clubs)
    swept = Fitting(wished, 32)
    assert document(wished, draws=32)["common_length"]["clubs"] == len(expected) + sum(
        c.family == "wedge" for c in swept.present
    )


def test_a_layout_that_names_its_clubs_has_them():
    own = case("6i", layouts=(Layout("own", "own", clubs=(LayoutClub("4i"), LayoutClub("7i"))),))
    assert irons(planned(own.layouts[0], own)) == ["4i", "7i"]


def test_without_the_wish_nothing_is_left_out():
    assert irons(planned(case().layouts[1], case())) == [f"{n}i" for n in range(3, 10)]


@pytest.mark.parametrize("longest", ["9x", "dr", "pw"])
def test_a_wish_that_is_no_iron_of_the_bag_is_said_and_leaves_nothing_out(longest):
    odd = case(longest)
    assert irons(planned(odd.layouts[1], odd)) == [f"{n}i" for n in range(3, 10)]
    missing = "warning.longest_iron_missing"
    assert [s.quoted for s in solve(odd, draws=16).warning_statements if s.kind == missing] == [(longest,)]
    assert missing not in [s.kind for s in solve(case("5i"), draws=16).warning_statements]


@pytest.mark.parametrize("mph", [60, 100])
@pytest.mark.parametrize("longest", ["4i", "7i"])
def test_where_the_irons_stop_is_said_to_be_the_player_s_wish(longest, mph):
    """Also where a slow player asks for an iron too long, or a fast one for fewer than could be used."""
    found = Fitting(case(longest, mph), 64).irons_stop
    name = next(c.name for c in BAG if c.id == longest)
    assert found.wished and found.longest == longest
    first = found.statements[0]
    assert first.kind == "irons.stop_as_wished" and first.clubs[0].name == name
    assert "irons.stop" not in [s.kind for s in found.statements]
    use = next(u for u in found.irons if u.club == longest)
    assert found.chance == use.chance_useful and use.instead is None
    free = Fitting(case(None, mph), 64).irons_stop
    assert not free.wished and "irons.stop_as_wished" not in [s.kind for s in free.statements]


def test_advice_on_each_layout_says_so_too():
    said = {a.topic: a for a in solve(case("7i", 100), draws=64).advice}
    stepped = said["top:stepped"]
    assert stepped.statement.kind == "advice.irons_stop_as_wished" and stepped.statement.clubs[0].id == "7i"
    assert stepped.reasons[0].kind == "advice.why_as_wished" and stepped.chance is None
    assert said["top:present"].statement.kind == "advice.irons_stop"  # the present set has longer ones
    slow = {a.topic: a for a in solve(case("4i", 60), draws=64).advice}
    assert slow["top:stepped"].reasons[0].clubs  # where they would stop without the wish


def test_the_best_bag_keeps_to_it():

    bag = Fitting(case("6i", 95), 64).make_up
    assert not {"3i", "4i", "5i"} & {c.id for c in bag.carried}


def test_built_clubs_that_are_gone_are_no_wish():
    gone = replace(case("5i"), bag=tuple(replace(c, became="x") if c.id == "5i" else c for c in BAG))
    assert irons(planned(gone.layouts[1], gone)) == ["3i", "4i", "6i", "7i", "8i", "9i"]
