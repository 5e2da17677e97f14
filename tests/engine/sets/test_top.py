"""Where the irons stop and what follows: against common practice for slow, medium and fast players."""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.documents.case import Case, Player, Swing
from engine.physics.air import REFERENCE, air_of
from engine.sets.compare import longest_useful_iron, steep_enough
from engine.sets.longest_iron import top_of_the_bag
from engine.sets.predict import predict
from engine.sets.verdict import measure_draws
from engine.swing.calibration import calibrate
from engine.units import MPH
from engine.workshop.norms import norm_bag, norm_club, usual_woods

AIR = air_of(REFERENCE)
# common practice, no source: what holds a green, and the least that is worth a club
HOLD_DEG, LEAST_GAP_M = 40.0, 4.0
SET = tuple(norm_club(i) for i in ("3i", "4i", "5i", "6i", "7i", "8i", "9i", "pw", "gw", "sw"))


@cache
def flown(speed_mph, draws=128):
    case = Case(player=Player(height_m=1.75), swing=Swing(iron7_speed_mps=speed_mph * MPH), bag=norm_bag())
    posterior = calibrate(case, draws=draws)
    return posterior, predict(posterior, SET, AIR)


def top(speed_mph, **options):
    return top_of_the_bag(*flown(speed_mph), AIR, bag=norm_bag(), **options)


@pytest.mark.parametrize(
    ("speed_mph", "stops_at"),
    [
        (62, {"6i", "7i"}),  # about 76 mph with a driver
        (70, {"6i", "7i"}),
        (80, {"5i", "6i"}),
        (94, {"3i", "4i", "5i"}),
    ],
)
def test_stops_where_practice_says(speed_mph, stops_at):
    """Common practice, no source: slow players leave the 5-iron and longer out, fast ones keep the long irons."""
    assert top(speed_mph).longest in stops_at


def test_faster_players_keep_more_irons():
    longest = [int(top(s).longest[0]) for s in (48, 56, 62, 70, 80, 94, 105)]
    assert longest == sorted(longest, reverse=True)
    assert longest[0] - longest[-1] >= 3


@pytest.mark.parametrize("speed_mph", [56, 70, 80, 94])
def test_chances_are_shares_of_draws(speed_mph):
    """Written out a second time from the prediction."""
    _, prediction = flown(speed_mph)
    found = top(speed_mph)
    steep = np.minimum(HOLD_DEG, prediction.descent[:, 6] - 6.0)  # the 9-iron is the loftiest iron
    assert steep_enough(prediction) == pytest.approx(steep)
    for i, use in enumerate(found.irons):
        adds = prediction.carry[:, i] - prediction.carry[:, i + 1] >= LEAST_GAP_M
        down = prediction.descent[:, i] >= steep
        assert use.chance_useful == pytest.approx((np.sum(adds & down) + 0.5) / 129)
        assert use.chance_adds == pytest.approx((np.sum(adds) + 0.5) / 129)
        assert use.chance_steep == pytest.approx((np.sum(down) + 0.5) / 129)
        holds = prediction.descent[:, i] >= HOLD_DEG
        assert use.chance_holds == pytest.approx((np.sum(holds) + 0.5) / 129)
        assert use.chance_useful <= min(use.chance_adds, use.chance_steep)
        assert use.adds_m.mean == pytest.approx(np.mean(prediction.carry[:, i] - prediction.carry[:, i + 1]))
        assert use.carry_m.mean == pytest.approx(prediction.carry[:, i].mean())
        assert use.descent_deg.mean == pytest.approx(prediction.descent[:, i].mean())
    assert (found.longest, found.chance) == longest_useful_iron(prediction)


def test_the_irons_worth_carrying_are_counted_in_each_draw():
    """From the longest that adds its metres and comes down steeply to the last of the set; faster players have more."""
    means = []
    for speed_mph in (56, 70, 80, 94):
        _, prediction = flown(speed_mph)
        counts = []
        for carry, descent in zip(prediction.carry, prediction.descent, strict=True):
            steep = min(HOLD_DEG, descent[6] - 6.0)
            useful = [i for i in range(7) if carry[i] - carry[i + 1] >= LEAST_GAP_M and descent[i] >= steep]
            counts.append(7 - useful[0] if useful else 0)
        kept = measure_draws(prediction)["irons_kept"]
        assert kept.tolist() == counts
        means.append(kept.mean())
    assert means == sorted(means) and means[-1] - means[0] >= 2


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from((50, 56, 62, 70, 80, 94)), st.one_of(st.none(), st.floats(4.0, 20.0)), st.integers(0, 6)
)
def test_what_fills_the_gaps(speed_mph, gap_m, most):
    found = top(speed_mph, gap_m=gap_m, most=most)
    by_id = {c.club.id: c for c in found.candidates}
    assert len(found.fills) <= most
    carry = [by_id[f.club].carry_m.mean for f in found.fills]
    assert all(b - a >= LEAST_GAP_M for a, b in pairwise(carry))
    assert all(c < found.driver_m.mean for c in carry)
    assert sum(f.gap_m.mean for f in found.fills) <= found.to_driver_m
    for fill in found.fills:
        assert by_id[fill.club].chance_adds >= 0.5
        assert not set(fill.also) & {f.club for f in found.fills}
        # no loftier one of the family carries as far
        club = by_id[fill.club].club
        for other in found.candidates:
            if other.club.family == club.family and other.club.loft_deg > club.loft_deg:
                assert other.carry_m.mean < by_id[fill.club].carry_m.mean
    if most and gap_m is None:
        assert found.fills, "there is always room for one wood"


def test_a_slow_player_gets_lofted_woods():
    """Common practice, no source: at slow speeds 7- and 9-woods and lofted hybrids, no 3-wood, no 2- or 3-hybrid."""
    clubs = {f.club for f in top(60).fills}
    assert clubs & {"5h", "6h"} and clubs & {"7w", "9w"}
    assert not clubs & {"3w", "2h", "3h"}


def test_a_dropped_iron_has_something_in_its_place():
    found = top(80)
    stop = [u.club for u in found.irons].index(found.longest)
    by_id = {c.club.id: c for c in found.candidates}
    for use in found.irons[:stop]:
        put = by_id[use.instead]
        assert put.carry_m.mean >= use.carry_m.mean - 4.0
        assert put.descent_deg.mean > use.descent_deg.mean
    assert all(u.instead is None for u in found.irons[stop:])


@pytest.mark.parametrize("speed_mph", [62, 80])
def test_each_iron_longer_than_the_last_useful_one_is_told_of_with_what_it_lacks(speed_mph):
    found = top(speed_mph)
    stop = [u.club for u in found.irons].index(found.longest)
    told = [s for s in found.statements if s.kind == "irons.not_worth"]
    assert stop >= 1 and len(told) == stop
    for use, said in zip(found.irons[:stop], told, strict=True):
        assert [c.id for c in said.clubs] == [use.club, use.instead]
        assert said.chance == use.chance_useful < 0.5
        assert ("adds" in said.quantities) == (use.chance_adds < 0.5)
        assert ("descent" in said.quantities) == (use.chance_steep < 0.5)
    assert [c.id for s in found.statements if s.kind == "irons.stop" for c in s.clubs] == [found.longest]
    assert found.to_driver_m == pytest.approx(found.driver_m.mean - found.irons[stop].carry_m.mean)


def test_in_the_bag_is_known():
    bag = norm_bag()
    found = top(80)
    assert [c.club.id for c in found.candidates] == [c.id for c in usual_woods(bag)]
    assert {c.club.id for c in found.candidates if c.in_bag} == {"3w", "5w", "4h"}


def test_a_set_without_irons_and_one_without_use():
    posterior, _ = flown(50)
    wedges = predict(posterior, tuple(norm_club(i) for i in ("pw", "sw")), AIR)
    found = top_of_the_bag(posterior, wedges, AIR, bag=norm_bag())
    assert found.longest is None and found.irons == () and found.fills
    long = predict(posterior, tuple(norm_club(i) for i in ("3i", "4i", "7i")), AIR)
    found = top_of_the_bag(posterior, long, AIR, bag=norm_bag())
    assert found.longest in (None, "7i")
    with pytest.raises(ValueError, match="iron or wedge"):
        top_of_the_bag(posterior, predict(posterior, (norm_club("dr"),), AIR), AIR, bag=norm_bag())
    with pytest.raises(ValueError, match="gap_m"):
        top(80, gap_m=0.0)


@pytest.mark.parametrize("speed_mph", [50, 56, 62, 70, 80, 94])
def test_clubs_that_would_do_as_well_carry_within_four_metres_and_less_than_the_driver(speed_mph):
    """Common practice, no source: nearer than 4 m two clubs do one job."""
    found = top(speed_mph)
    by_id = {c.club.id: c for c in found.candidates}
    for fill in found.fills:
        at = by_id[fill.club].carry_m.mean
        assert at < found.driver_m.mean - 2
        for other in fill.also:
            assert other not in {f.club for f in found.fills}
            assert (
                abs(by_id[other].carry_m.mean - at) <= 4
                and by_id[other].carry_m.mean < found.driver_m.mean - 2
            )


def test_there_are_clubs_that_would_do_as_well():
    also = {(speed, fill.club): fill.also for speed in (56, 62, 70, 80, 94) for fill in top(speed).fills}
    assert sum(map(len, also.values())) >= 3
    assert any({club[-1], other[-1]} == {"h", "w"} for (_, club), others in also.items() for other in others)


@pytest.mark.parametrize("speed_mph", [60, 80, 94])
def test_what_is_said_of_a_club_above_the_irons_is_what_was_worked_out(speed_mph):
    found = top(speed_mph)
    by_id = {c.club.id: c for c in found.candidates}
    bag = {c.id for c in norm_bag()}
    below = [found.longest or "pw", *(f.club for f in found.fills)]
    for fill, under in zip(found.fills, below, strict=False):
        wood, said = by_id[fill.club], fill.statement
        assert said.kind == "irons.above" and said.chance == wood.chance_holds
        assert [c.id for c in said.clubs] == [fill.club, under]
        assert said.terms["bag"] == ("in_bag" if fill.club in bag else "to_add")
        told = {name: q.value for name, q in said.quantities.items()}
        assert told["carry"] == wood.carry_m.mean and told["gap"] == fill.gap_m.mean
        assert told["descent"] == wood.descent_deg.mean
        assert (told["loft"], told["length"]) == (wood.club.loft_deg, wood.club.length_m)
    assert any(f.statement.terms["bag"] == "to_add" for s in (60, 80, 94) for f in top(s).fills)
