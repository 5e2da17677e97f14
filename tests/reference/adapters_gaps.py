"""Thin calls for rows on lofts, common length and the top of the irons: players of stated 7-iron speed, usual clubs."""

from dataclasses import replace
from functools import cache

import numpy as np

from engine.documents.case import Case, Layout, Player, Swing
from engine.physics.air import REFERENCE, air_of
from engine.sets.common_length import sweep_lengths
from engine.sets.loft_curve import FINE, loft_curve
from engine.sets.lofts import lofts_for_carries, lofts_for_even_gaps
from engine.sets.longest_iron import top_of_the_bag
from engine.sets.plan import plan
from engine.sets.predict import predict
from engine.swing.calibration import calibrate
from engine.units import GRAM, INCH, MPH, YARD
from engine.workshop.buildable import count_buildable
from engine.workshop.norms import norm_bag, norm_club

AIR = air_of(REFERENCE)
IRONS = tuple(norm_club(i) for i in ("3i", "4i", "5i", "6i", "7i", "8i", "9i", "pw", "gw", "sw"))


@cache
def _player(speed_mph):
    case = Case(player=Player(height_m=1.75), swing=Swing(iron7_speed_mps=speed_mph * MPH), bag=norm_bag())
    return calibrate(case, draws=64)


@cache
def _top(speed_mph):
    posterior = _player(speed_mph)
    return top_of_the_bag(posterior, predict(posterior, IRONS, AIR), AIR, bag=norm_bag())


def _set(kind, ids):
    return [c for c in plan(Layout("x", kind), norm_bag()) if c.id in ids]


def loft_step(*, speed_mph, gap_yd, kind, first, last):
    """Mean step of loft [deg] between two clubs that carries a gap apart ask for, counted from the 7-iron."""
    clubs = _set(kind, ("5i", "6i", "7i", "8i", "9i"))
    seven = float(predict(_player(speed_mph), clubs[2:3], AIR).carry.mean())
    carries = {c.id: seven + (7 - int(c.id[0])) * gap_yd * YARD for c in clubs if c.id != "7i"}
    found = lofts_for_carries(_player(speed_mph), clubs, AIR, carries_m=carries)
    lofts = {c.club: c.wanted_loft_deg for c in found.clubs} | {"7i": clubs[2].loft_deg}
    return (lofts[last] - lofts[first]) / (int(last[0]) - int(first[0]))


def yards_per_degree(*, speed_mph):
    seven = norm_club("7i")
    pair = tuple(replace(seven, loft_deg=seven.loft_deg + x) for x in (-1.0, 1.0))
    strong, weak = predict(_player(speed_mph), pair, AIR).carry.mean(axis=0)
    return (strong - weak) / 2 / YARD


def farthest_loft(*, speed_mph):
    curve = loft_curve(_player(speed_mph), (norm_club("5i"),), AIR)
    return FINE[curve.top[0]]


def farther_loft_of_the_slower(*, slow_mph, fast_mph):
    return float(farthest_loft(speed_mph=slow_mph) > farthest_loft(speed_mph=fast_mph))


def even_gap_error(*, speed_mph):
    """Largest departure [m] of solved gaps from (first carry - last carry) / (clubs - 1)."""
    clubs = _set("present", ("6i", "7i", "8i", "9i", "pw", "gw", "sw"))
    found = lofts_for_even_gaps(_player(speed_mph), clubs, AIR)
    made = tuple(replace(c, loft_deg=f.wanted_loft_deg) for c, f in zip(clubs, found.clubs, strict=True))
    carry = predict(_player(speed_mph), made, AIR).carry.mean(axis=0)
    return np.abs(-np.diff(carry) - (carry[0] - carry[-1]) / (len(carry) - 1)).max()


def bounce_after_strong(*, deg):
    """Bounce [deg] of an 8 deg bounce forged gap wedge whose wanted carry asks for a loft so much stronger."""
    wedge = replace(norm_club("gw"), head_material="forged", bounce_deg=8.0)
    strong = replace(wedge, loft_deg=wedge.loft_deg - deg)
    wanted = predict(_player(80), (strong,), AIR).carry.mean()
    found = lofts_for_carries(_player(80), [wedge], AIR, carries_m={"gw": float(wanted)}, heads=[wedge])
    return found.clubs[0].bounce_deg


def longest_iron(*, speed_mph):
    return float(_top(speed_mph).longest[0])


def carries(*, speed_mph, club):
    return float(club in {f.club for f in _top(speed_mph).fills})


def lofted_woods(*, speed_mph):
    """How many of the clubs above the irons are 7- or 9-woods or 5- or 6-hybrids."""
    return float(sum(f.club in ("7w", "9w", "5h", "6h") for f in _top(speed_mph).fills))


def head_step_g():
    """Head mass [g] taken off for the half inch from 37 to 37.5 in so that the swing weight stays."""
    found = sweep_lengths(_player(78), norm_bag(), AIR, lengths_m=[37 * INCH, 37.5 * INCH])
    return (found.lengths[0].head_kg - found.lengths[1].head_kg) / GRAM


def natural_length_in(*, height_m, sex):
    found = sweep_lengths(
        _player(78), norm_bag(), AIR, player=Player(height_m=height_m, sex=sex), lengths_m=[0.93, 0.94]
    )
    return found.natural_length_m / INCH


def heads_for_single_length():
    bag = [replace(c, head_material="forged") for c in norm_bag()]
    return count_buildable(bag, plan(Layout("x", "single"), bag))
