"""Fairway woods and hybrids, and their shafts."""

from itertools import pairwise

import pytest

from engine.bag.woods import woods_advice
from engine.documents.case import Case, Player, Swing
from engine.physics.air import REFERENCE, air_of
from engine.sets.predict import predict
from engine.swing.calibration import calibrate
from engine.units import INCH, MPH
from engine.workshop.flex import SHAFT_G, shaft_mass_for
from engine.workshop.norms import WOOD_FAMILIES, norm_bag, usual_woods
from engine.workshop.trim import tip_trim_flexes, wood_tip_trim

AIR = air_of(REFERENCE)


def advise(mph, sex):
    bag = norm_bag(sex)
    swing = Swing(driver_speed_mps=mph * MPH)
    posterior = calibrate(Case(player=Player(sex=sex), swing=swing, bag=bag), draws=128)
    return posterior, bag, woods_advice(posterior, bag, AIR, sex=sex)


def test_carries_are_those_of_the_set():
    """The same draws as everywhere: a wood's carry is what `predict` says of it alone."""
    posterior, bag, advice = advise(95, "male")
    for wood in advice.woods:
        alone = predict(posterior, (wood.club,), AIR).carry[:, 0]
        assert wood.carry_m.mean == pytest.approx(alone.mean(), rel=1e-6)
        assert wood.in_bag == (wood.club in bag)
    assert {w.club.id for w in advice.woods if w.in_bag} == {c.id for c in bag if c.family in WOOD_FAMILIES}


def test_faster_players_start_longer():
    loft = {}
    for mph, sex in ((115, "male"), (72, "female")):
        _, _, advice = advise(mph, sex)
        by_id = {w.club.id: w for w in advice.woods}
        loft[mph] = by_id[advice.longest_fairway].club.loft_deg
        longest = by_id[advice.longest_fairway]
        assert longest.chance_adds is None or longest.chance_adds >= 0.5
        for wood in advice.woods:
            if wood.club.family == "fairway" and wood.club.loft_deg < longest.club.loft_deg:
                assert wood.chance_adds < 0.5
    assert loft[115] < 17 < loft[72]


def test_why_the_woods_begin_where_they_do_is_told_with_what_the_longer_one_adds():
    _, _, advice = advise(72, "female")
    by_id = {w.club.id: w for w in advice.woods}
    told = [s for s in advice.statements if s.kind == "woods.begin"]
    assert told
    for said in told:
        first, longer = (by_id[c.id] for c in said.clubs)
        assert longer.club.loft_deg < first.club.loft_deg
        # common practice, no source: under four metres two clubs do one job
        assert said.quantities["least"].value == 4.0
        assert said.quantities["adds"].value == longer.adds_m.mean
        assert said.chance == longer.chance_adds < 0.5


def test_more_loft_comes_down_steeper():
    _, _, advice = advise(95, "male")
    for family in WOOD_FAMILIES:
        descents = [w.descent_deg for w in advice.woods if w.club.family == family]
        assert descents == sorted(descents)


def test_shafts_get_heavier_and_stiffer_down_the_line():
    _, _, advice = advise(95, "male")
    fairway, hybrid = ([w for w in advice.woods if w.club.family == f] for f in WOOD_FAMILIES)
    # common practice, no source: a 3-wood half an inch, and half an inch more for each shorter one
    assert [w.tip_trim_m for w in fairway] == pytest.approx([0.0127, 0.0254, 0.0381, 0.0508])
    assert hybrid[0].tip_trim_m == 0
    assert hybrid[0].shaft_kg[0] > fairway[0].shaft_kg[0] > shaft_mass_for(95 * MPH, family="driver")[0]
    assert fairway[1].tip_trim_flexes == tip_trim_flexes(fairway[1].tip_trim_m) == 0.5
    assert wood_tip_trim(clubs_shorter=1, half_flexes_stiffer=1) == pytest.approx(1.5 * INCH)


def test_shaft_bands_meet_and_rise():
    assert all(a[1] == b[0] and a[2] < b[2] for a, b in pairwise(SHAFT_G))
    assert shaft_mass_for(95 * MPH, family="wedge") == shaft_mass_for(95 * MPH, family="iron")
    with pytest.raises(ValueError, match="family"):
        shaft_mass_for(40.0, family="putter")
    with pytest.raises(ValueError, match="driver_speed_mps"):
        shaft_mass_for(0.0, family="driver")


def test_a_wood_of_the_players_own_takes_the_place_of_the_usual_one():
    own = next(c for c in norm_bag() if c.id == "5w")
    clubs = usual_woods([own])
    assert [c for c in clubs if c.id == "5w"] == [own]
    assert len({c.id for c in clubs}) == len(clubs) == 9
