"""The wedge table, the gaps from the shortest iron down, and part swings among the clubs for a distance."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from engine.documents.case import Case, Layout, LayoutClub, Shot, SwingSize, Wants
from engine.fitting.fitting import Fitting
from engine.fitting.solved import HIT_FIRST_M
from engine.sets.compare import NEAR_LOFT_DEG
from engine.workshop.bending import limit_of
from engine.workshop.norms import norm_bag

BAG = norm_bag()
FULL = tuple(
    Shot(c, m + x)
    for c, m in (("7i", 140.0), ("9i", 118.0), ("pw", 108.0), ("sw", 88.0))
    for x in (-2.0, 0.0, 2.0)
)
HIP, CHEST = SwingSize("hip", "to the hip"), SwingSize("chest", "to the chest")
CASE = Case(bag=BAG, shots=FULL, layouts=(Layout("now", "present"),), swing_sizes=(HIP, CHEST))


def noted(*balls, case=CASE):
    """The case with balls of part swings: (club, size, carry)."""
    return replace(case, shots=(*case.shots, *(Shot(c, m, swing_size=size) for c, size, m in balls)))


HIT = noted(*(("sw", "hip", m) for m in (39.0, 40.0, 41.0)))


def cell(table, club, size):
    return next(c for c in table.carries if (c.club, c.swing_size) == (club, size))


def test_hit_as_hit_unhit_as_predicted_and_hit_it_first_where_too_wide():
    table = Fitting(HIT).wedge_table
    wedges = [c.id for c in Fitting(HIT).present if c.family == "wedge"]
    assert [(c.club, c.swing_size) for c in table.carries] == [
        (club, size) for club in wedges for size in (None, "hip", "chest")
    ]
    own = cell(table, "sw", "hip")
    assert own.balls == 3 and own.statement.terms["known"] == "hit"
    assert own.carry_m.mean == pytest.approx(40.0, abs=1.0)
    other = cell(table, "pw", "hip")
    assert not other.balls and not other.hit_first and other.statement.terms["known"] == "predicted"
    assert other.carry_m.hi90 - other.carry_m.lo90 <= HIT_FIRST_M
    unhit = cell(table, "pw", "chest")
    assert unhit.hit_first and unhit.statement.kind == "wedges.hit_first"
    assert unhit.carry_m.hi90 - unhit.carry_m.lo90 > HIT_FIRST_M
    full = Fitting(HIT).predict(tuple(c for c in Fitting(HIT).present if c.id == "sw")).carry.mean()
    assert cell(table, "sw", None).carry_m.mean == pytest.approx(full)
    assert cell(table, "sw", None).balls == 3


def test_no_part_swing_named_no_table():
    assert Fitting(replace(CASE, swing_sizes=())).wedge_table is None


def test_a_size_is_for_every_wedge_or_for_the_clubs_it_names():
    low = SwingSize("low", "low one", ("9i",))
    case = noted(("lw", "low", 30.0), case=replace(CASE, swing_sizes=(HIP, low)))
    table = Fitting(case).wedge_table
    assert {c.club for c in table.carries if c.swing_size == "low"} == {"9i", "lw"}  # lw: it was hit so
    assert {c.club for c in table.carries if c.swing_size == "hip"} == {"pw", "gw", "sw", "lw"}
    assert [c.club for c in table.carries if c.swing_size is None] == ["9i", "pw", "gw", "sw", "lw"]


def test_gaps_run_from_the_longest_full_wedge_down_the_known_carries():
    table = Fitting(HIT).wedge_table
    ladder = [table.gaps[0].longer, *(g.shorter for g in table.gaps)]
    assert [table.carries[i].swing_size for i in ladder] == [None] * 4 + ["hip"] * 4
    assert [table.carries[i].club for i in ladder[:4]] == ["pw", "gw", "sw", "lw"]
    means = [table.carries[i].carry_m.mean for i in ladder]
    for gap, (longer, shorter) in zip(table.gaps, pairwise(means), strict=True):
        assert gap.gap_m.mean == pytest.approx(longer - shorter)
        assert (gap.statement is not None) == (gap.gap_m.mean > table.wanted_gap_m)
    last_full = table.gaps[3].statement
    assert last_full.quoted == ("", "to the hip") and last_full.clubs[0].id == "lw"


def test_the_gap_above_the_longest_wedge_is_to_the_shortest_iron_that_carries_farther():
    fitting = Fitting(HIT)
    table = fitting.wedge_table
    irons = tuple(c for c in fitting.present if c.family == "iron")
    carry = dict(zip((c.id for c in irons), fitting.predict(irons).carry.mean(axis=0), strict=True))
    longest = max(c.carry_m.mean for c in table.carries if c.swing_size is None)
    assert table.top.club == min((i for i in carry if carry[i] > longest), key=carry.get) == "9i"
    assert table.carries[table.top.wedge].carry_m.mean == longest
    assert table.top.gap_m.mean == pytest.approx(carry["9i"] - longest)
    assert (table.top.statement is not None) == (table.top.gap_m.mean > table.wanted_gap_m)
    wide = Fitting(replace(HIT, bag=tuple(c for c in BAG if c.id not in ("8i", "9i"))))
    shots = tuple(s for s in HIT.shots if s.club != "9i")
    wide = Fitting(replace(wide.given, shots=shots)).wedge_table.top
    assert wide.club == "7i" and [c.id for c in wide.statement.clubs] == ["7i", "pw"]
    bare = tuple(c for c in BAG if c.family != "iron")
    shots = tuple(s for s in HIT.shots if s.club in ("pw", "sw"))
    assert Fitting(replace(HIT, bag=bare, shots=shots)).wedge_table.top is None


def test_lofts_close_the_gaps_where_asked_and_go_into_the_set_to_build():
    gap = max(g.gap_m.mean for g in Fitting(HIT).wedge_table.gaps[4:])
    assert Fitting(HIT).wedge_lofts is None
    case = replace(HIT, wants=Wants(part_gap_m=10.0), layouts=(Layout("new", "present"),))
    unhit = Fitting(case).wedge_lofts  # nobody hit the others: they stay as they are until then
    hit = {shot.club for shot in HIT.shots}
    assert unhit.hit_first and all(c.wanted_loft_deg == c.loft_deg for c in unhit.clubs if c.club not in hit)
    wedges = tuple(c for c in Fitting(case).present if c.family == "wedge")
    carries = Fitting(case).predict(wedges).carry.mean(axis=0)
    balls = tuple(Shot(c.id, float(x)) for c, x in zip(wedges, carries, strict=True) for _ in range(2))
    case = replace(case, shots=(*case.shots, *balls))
    fitting = Fitting(case)
    lofts = fitting.wedge_lofts
    assert lofts.widest_after_m < lofts.widest_m and gap < 10.0
    heads = {c.id: c for c in BAG}
    for club in lofts.clubs:
        off = abs(club.wanted_loft_deg - heads[club.club].loft_deg)
        assert off <= limit_of(heads[club.club]) + 1e-9
    assert lofts.clubs[0].wanted_loft_deg == lofts.clubs[0].loft_deg
    new = [c.wanted_loft_deg for c in lofts.clubs]
    assert np.diff(new).min() >= NEAR_LOFT_DEG
    assert [c.loft_deg for c in fitting.clubs if c.family == "wedge"] == new
    assert {b.id for b in fitting.build.clubs if [s.kind for s in b.actions] != ["work.none"]} >= {
        c.club for c in lofts.clubs if c.wanted_loft_deg != c.loft_deg
    }
    # what was promised comes out with the lofts built
    built = tuple(
        replace(c, loft_deg={x.club: x.wanted_loft_deg for x in lofts.clubs}.get(c.id, c.loft_deg))
        for c in BAG
    )
    after = Fitting(replace(case, bag=built, shots=HIT.shots, wants=Wants()))  # the others are as foretold
    carries = sorted((c.carry_m.mean for c in after.wedge_table.carries if not c.hit_first), reverse=True)
    assert max(a - b for a, b in pairwise(carries)) == pytest.approx(lofts.widest_after_m, abs=0.6)


def test_no_two_wedges_are_bent_into_one():
    """Two wedges, the shorter bent strong for the least of gaps: it stops short of the longer one's loft."""
    bag = tuple(replace(c, loft_deg=50.0) if c.id == "gw" else c for c in BAG if c.id not in ("sw", "lw"))
    shots = tuple(s for s in FULL if s.club != "sw")
    case = noted(*(("gw", "hip", m) for m in (93.0, 94.0, 95.0)), case=replace(CASE, bag=bag, shots=shots))
    lofts = Fitting(replace(case, wants=Wants(part_gap_m=2.0))).wedge_lofts
    assert [c.wanted_loft_deg for c in lofts.clubs] == [47.0, 47.0 + NEAR_LOFT_DEG]
    assert not lofts.met


def test_a_stated_loft_stays_and_an_easy_wish_bends_nothing():
    lofts = {"pw": None, "gw": None, "sw": 58.0, "lw": None}
    stated = Layout("own", "own", clubs=tuple(LayoutClub(c, loft_deg=x) for c, x in lofts.items()))
    case = replace(HIT, layouts=(stated,), wants=Wants(part_gap_m=8.0, layout="own"))
    assert next(c.loft_deg for c in Fitting(case).clubs if c.id == "sw") == 58.0
    easy = Fitting(replace(HIT, wants=Wants(part_gap_m=40.0))).wedge_lofts
    assert easy.met and all(c.wanted_loft_deg == c.loft_deg for c in easy.clubs)


def test_a_part_swing_answers_where_no_full_one_does():
    fitting = Fitting(HIT)
    best = fitting.clubs_for("now", 40.0)[0]
    assert (best.id, best.swing_size) == ("sw", HIP) and best.chance_near > 0.6
    assert best.chance_near + best.chance_short + best.chance_long == pytest.approx(1.0)
    assert all(o.swing_size != CHEST for o in fitting.clubs_for("now", 60.0))  # known too roughly
    none = Fitting(replace(CASE, swing_sizes=())).clubs_for("now", 40.0)
    assert all(o.swing_size is None for o in none) and none[0].chance_near < 0.01


def test_full_options_are_the_same_beside_part_swings():
    full = Fitting(replace(CASE, swing_sizes=())).clubs_for("now", 95.0)
    both = [o for o in Fitting(HIT).clubs_for("now", 95.0) if o.swing_size is None]
    assert both == list(full)


def test_the_chances_of_a_part_swing_are_those_of_simulated_balls():
    fitting = Fitting(HIT)
    swung = fitting.swung("now")
    drawn = fitting.swung_flown("now").carry
    rng = np.random.default_rng(4)
    for option in fitting.clubs_for("now", 42.0, within_m=4.0):
        if option.swing_size is None:
            continue
        column = next(i for i, (c, p) in enumerate(swung) if (c.id, p.size) == (option.id, option.swing_size))
        spread = swung[column][1].spread
        balls = drawn[:, column] * (1 + spread * rng.standard_normal((400, len(drawn))))
        assert option.chance_near == pytest.approx(np.mean(np.abs(balls - 42.0) <= 4.0), abs=0.012)


def test_a_raised_target_takes_more_swing():
    fitting = Fitting(HIT)
    level, raised = (
        next(o for o in fitting.clubs_for("now", 40.0, height_m=h) if (o.id, o.swing_size) == ("sw", HIP))
        for h in (0.0, 8.0)
    )
    assert raised.carry_m.mean < level.carry_m.mean - 2.0


@pytest.mark.parametrize("wanted", [2.0, 4.0, 6.0, 8.0, 10.0, 14.0])
def test_no_wedge_is_bent_unless_the_widest_gap_gets_smaller(wanted):
    lofts = Fitting(replace(HIT, wants=Wants(part_gap_m=wanted))).wedge_lofts
    bent = [c for c in lofts.clubs if c.wanted_loft_deg != c.loft_deg]
    assert lofts.widest_after_m <= lofts.widest_m - 0.5 if bent else lofts.widest_after_m == lofts.widest_m
