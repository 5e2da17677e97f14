"""The sweep over common lengths: against whole predictions, swing weights and postures worked out one at a time."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from engine.body.posture import address
from engine.documents.case import Case, Layout, Player, Swing
from engine.physics.air import REFERENCE, air_of
from engine.sets.common_length import sweep_lengths
from engine.sets.compare import Demand
from engine.sets.plan import plan
from engine.sets.predict import predict
from engine.swing.calibration import calibrate
from engine.units import GRAM, INCH, MPH
from engine.workshop.balance import usual_parts, weigh
from engine.workshop.buildable import buildable
from engine.workshop.norms import norm_bag, norm_club

AIR = air_of(REFERENCE)
MAN = Player(sex="male", height_m=1.756)


@cache
def posterior(speed_mph=78, draws=64):
    case = Case(player=MAN, swing=Swing(iron7_speed_mps=speed_mph * MPH), bag=norm_bag())
    return calibrate(case, draws=draws)


@cache
def swept(speed_mph=78):
    return sweep_lengths(posterior(speed_mph), norm_bag(), AIR, player=MAN)


@pytest.mark.parametrize("speed_mph", [50, 78, 95])
@pytest.mark.parametrize("inch", [34.0, 35.75, 37.0, 38.25, 40.0])
def test_interpolated_lengths_are_those_of_a_whole_prediction(speed_mph, inch):
    found = swept(speed_mph).at(inch * INCH)
    assert found.length_m == pytest.approx(inch * INCH)
    clubs = [
        replace(c, head_kg=found.head_kg)
        for c in plan(Layout("x", "single", common_length_m=inch * INCH), norm_bag())
        if c.family in ("iron", "wedge")
    ]
    flown = predict(posterior(speed_mph), tuple(clubs), AIR)
    gaps = flown.carry[:, :-1] - flown.carry[:, 1:]
    low, high = np.quantile(flown.carry[:, 0], (0.05, 0.95))
    assert (found.top_m.mean, found.top_m.lo90, found.top_m.hi90) == pytest.approx(
        (flown.carry[:, 0].mean(), low, high), abs=0.06
    )
    assert found.bottom_m.mean == pytest.approx(flown.carry[:, -1].mean(), abs=0.05)
    assert found.gap_spread_m.mean == pytest.approx(gaps.std(axis=1).mean(), abs=0.05)
    assert found.mean_gap_m.mean == pytest.approx(gaps.mean(), abs=0.02)
    assert found.top_descent_deg.mean == pytest.approx(flown.descent[:, 0].mean(), abs=0.05)


def test_every_head_keeps_the_anchors_swing_weight():
    seven = norm_club("7i")
    wanted = weigh(usual_parts(seven)).moment_inoz
    for row in swept().lengths:
        made = replace(seven, length_m=row.length_m, head_kg=row.head_kg)
        assert weigh(usual_parts(made)).moment_inoz == pytest.approx(wanted, abs=1e-6)
    assert swept().at(37 * INCH).head_kg == pytest.approx(seven.head_kg)


def test_posture_is_that_of_the_club_as_built():
    row = swept().at(38 * INCH)
    alone = address(height_m=1.756, sex="male", length_m=row.length_m, lie_deg=row.lie_deg)
    assert row.hip_hinge_deg == pytest.approx(float(alone.hip_hinge_deg[0]))
    assert row.lie_deg == pytest.approx(62.25 - 2)  # two half inches longer, 1 deg flatter each


def test_buildable_heads_are_counted():
    bag = tuple(replace(c, head_material="forged") for c in norm_bag())
    found = sweep_lengths(posterior(), bag, AIR, lengths_m=[36.5 * INCH, 37 * INCH, 37.5 * INCH])
    for row in found.lengths:
        clubs = [
            replace(c, head_kg=row.head_kg)
            for c in plan(Layout("x", "single", common_length_m=row.length_m), bag)
        ]
        assert row.buildable == buildable(bag, clubs).count
    assert found.at(37 * INCH).buildable >= 1


def test_a_longer_length_carries_further_and_asks_for_a_lighter_head():
    rows = swept().lengths
    assert len(rows) == 25
    assert np.all(np.diff([r.top_m.mean for r in rows]) > 0)
    assert np.all(np.diff([r.bottom_m.mean for r in rows]) > 0)
    assert np.all(np.diff([r.head_kg for r in rows]) < 0)


def test_taller_players_are_naturally_longer():
    lengths = [
        sweep_lengths(
            posterior(), norm_bag(), AIR, player=Player(sex="male", height_m=h), lengths_m=[0.9, 0.94]
        ).natural_length_m
        for h in (1.60, 1.70, 1.80, 1.90)
    ]
    assert np.all(np.diff(lengths) > 0)
    # Common practice: the usual 7-iron is made for about the average man.
    assert swept().natural_length_m == pytest.approx(37 * INCH, abs=1.5 * INCH)


def test_the_recommended_length_is_level_with_the_least_miss():
    found = swept()
    natural = [r for r in found.lengths if r.departure <= max(1.0, min(x.departure for x in found.lengths))]
    best = found.at(found.recommended_m)
    assert best in natural
    assert best.miss_m.mean <= min(r.miss_m.mean for r in natural) + 0.15 + 1e-9
    assert 0 < found.chance < 1
    assert found.statements[0].quantities["length"].value == found.recommended_m


def test_what_the_range_of_lengths_means_is_told_at_both_ends():
    found = swept()
    (told,) = [s for s in found.statements if s.kind == "common_length.range"]
    short, long = min(found.lengths, key=lambda r: r.length_m), max(found.lengths, key=lambda r: r.length_m)
    values = {name: q.value for name, q in told.quantities.items()}
    assert (values["shortest"], values["longest"]) == (short.length_m, long.length_m)
    assert (values["top_shortest"], values["top_longest"]) == (short.top_m.mean, long.top_m.mean)
    assert (values["wedge_shortest"], values["wedge_longest"]) == (short.bottom_m.mean, long.bottom_m.mean)
    assert [c.id for c in told.clubs] == [min(irons(), key=lambda c: c.loft_deg).id]


def irons():
    return [c for c in norm_bag() if c.family == "iron"]


def test_stated_distances_decide():
    """One who faces only long shots is sent to a longer club than one who faces only short ones."""
    far = Demand(np.array([200.0]), np.ones(1), stated=True)
    near = Demand(np.array([50.0]), np.ones(1), stated=True)
    anyone = {"lengths_m": np.arange(35, 39.1, 0.5) * INCH}
    long = sweep_lengths(posterior(), norm_bag(), AIR, demand=far, **anyone)
    short = sweep_lengths(posterior(), norm_bag(), AIR, demand=near, **anyone)
    assert long.recommended_m == pytest.approx(39 * INCH)
    assert short.recommended_m == pytest.approx(35 * INCH)


def test_without_a_height_nothing_is_said_of_posture():
    found = sweep_lengths(posterior(), norm_bag(), AIR)
    assert found.natural_length_m is None
    assert found.lengths[0].hip_hinge_deg is None and found.lengths[0].departure is None
    assert "common_length.no_height" in [s.kind for s in found.statements]


def test_one_length_and_what_is_wrong():
    one = sweep_lengths(posterior(), norm_bag(), AIR, lengths_m=[37 * INCH])
    assert one.recommended_m == pytest.approx(37 * INCH)
    assert one.lengths[0].head_kg == pytest.approx(268 * GRAM)
    assert "common_length.range" not in [s.kind for s in one.statements], "one length has no two ends"
    with pytest.raises(ValueError, match="two or more"):
        sweep_lengths(posterior(), [norm_club("7i"), norm_club("dr")], AIR)
    with pytest.raises(ValueError, match="ascending"):
        sweep_lengths(posterior(), norm_bag(), AIR, lengths_m=[1.0, 0.9])
