"""The usual clubs: steps from one to the next that the trade keeps; common practice, no source, where none is named."""

from itertools import pairwise

import pytest

from engine.units import INCH
from engine.workshop.balance import swing_weight_points, usual_parts, weigh
from engine.workshop.norms import NORMS, WEAKER_LOFTS, norm_club

WOODS = ("3w", "5w", "7w", "9w")
HYBRIDS = ("2h", "3h", "4h", "5h", "6h")
IRONS = ("3i", "4i", "5i", "6i", "7i", "8i", "9i")
LOFTED = ("9i", "pw", "gw", "sw", "lw")
LADDERS = (WOODS, HYBRIDS, IRONS, LOFTED)


def steps(measure, ladder):
    return [getattr(NORMS[b], measure) - getattr(NORMS[a], measure) for a, b in pairwise(ladder)]


@pytest.mark.parametrize("ladder", LADDERS, ids=lambda x: x[0])
def test_clubs_get_shorter_heavier_more_upright_and_more_lofted(ladder):
    for measure in ("men_in", "women_in"):
        assert all(-1.0 <= step <= 0.0 for step in steps(measure, ladder)), measure
    most = {WOODS: 3.5, HYBRIDS: 3.5, IRONS: 5.0, LOFTED: 7.0}[ladder]
    for measure in ("loft_low", "loft_high"):
        assert all(1.0 <= step <= most for step in steps(measure, ladder)), measure
    assert all(0.0 <= step <= 1.0 for step in steps("lie", ladder))
    assert all(3.0 <= step <= 8.0 for step in steps("head_g", ladder))


@pytest.mark.parametrize("ladder", [WOODS, HYBRIDS, IRONS], ids=lambda x: x[0])
def test_woods_hybrids_and_irons_step_by_half_an_inch(ladder):
    for measure in ("men_in", "women_in"):
        assert steps(measure, ladder) == [-0.5] * (len(ladder) - 1), measure


@pytest.mark.parametrize("ladder", [WOODS, HYBRIDS, IRONS], ids=lambda x: x[0])
def test_half_an_inch_is_met_by_the_head_so_that_swing_weight_stays(ladder):
    """About the point 14 in below the butt, where swing weight is taken, a head's pull stays within a twentieth."""
    pull = [NORMS[club].head_g * (NORMS[club].men_in - 14) for club in ladder]
    assert max(pull) / min(pull) < 1.05


@pytest.mark.parametrize("club", [x for x in NORMS if x != "pt"])
def test_women_get_an_inch_less_lighter_heads_and_flatter_irons(club):
    """Heads 3 to 8 g lighter, irons up to a degree flatter, C0 to C6 (common practice, from memory)."""
    men, women = norm_club(club, "male"), norm_club(club, "female")
    assert men.length_m - women.length_m == pytest.approx(INCH)
    assert 0.003 <= men.head_kg - women.head_kg <= 0.008
    flatter = men.lie_deg - women.lie_deg
    assert 0.25 <= flatter <= 1.0 if men.family in ("iron", "wedge") else flatter == 0.0


def test_women_s_irons_come_to_the_swing_weight_they_are_sold_with():
    """C0 to C6, on a light shaft and grip (60 g and 40 g; common practice, from memory)."""
    for club in ("5i", "7i", "9i"):
        woman = norm_club(club, "female")
        moment = weigh(usual_parts(woman, shaft_kg=0.060, grip_kg=0.040)).moment_inoz
        assert 20 <= swing_weight_points(moment) <= 26, club


def test_hybrids_stand_between_woods_and_irons_of_their_number():
    for number in (3, 5):
        wood, hybrid, iron = (NORMS[f"{number}{kind}"] for kind in "whi")
        assert wood.men_in > hybrid.men_in > iron.men_in
        assert wood.head_g < hybrid.head_g < iron.head_g
        assert wood.lie < hybrid.lie <= iron.lie


def test_bounce_is_least_of_long_irons_and_most_of_the_sand_wedge():
    irons = [NORMS[club].bounce for club in IRONS]
    assert irons == sorted(irons) and irons[0] >= 1 and irons[-1] <= 6
    assert 10 <= NORMS["sw"].bounce <= 14
    assert all(NORMS[club].bounce < 10 for club in ("pw", "gw", "lw"))
    assert all(NORMS[club].bounce is None for club in ("dr", *WOODS, *HYBRIDS, "pt"))


def test_the_driver_is_the_longest_the_lightest_and_the_least_lofted():
    driver, others = NORMS["dr"], [norm for norm in NORMS.values() if norm.id != "dr"]
    assert all(driver.men_in > o.men_in and driver.head_g < o.head_g for o in others)
    assert driver.head_g == pytest.approx(200, abs=5)
    assert (driver.loft_low, driver.loft_high) == (9, 12)
    assert driver.lie == pytest.approx(58, abs=1)
    assert norm_club("dr").loft_deg == pytest.approx(10.5)


@pytest.mark.parametrize("ladder", [IRONS, LOFTED], ids=lambda x: x[0])
def test_weaker_lofts_rise_evenly_and_are_the_weakest(ladder):
    lofts = [WEAKER_LOFTS[i] for i in ladder if i in WEAKER_LOFTS]
    assert all(2.0 <= b - a <= 7.0 for a, b in pairwise(lofts)) and len(lofts) >= 2
    steps_ = [b - a for a, b in pairwise(lofts)]
    assert all(abs(b - a) <= 2.0 for a, b in pairwise(steps_)), "a step is about as large as the next"
    assert all(WEAKER_LOFTS[i] >= NORMS[i].loft_low for i in ladder if i in WEAKER_LOFTS)
