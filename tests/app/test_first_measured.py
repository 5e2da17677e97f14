"""A club measured for the first time at the bench: what its figures turn out to be is no work that was done on it."""

from dataclasses import replace

import pytest

from engine.documents.case import Measured
from engine.workshop.bench import as_built
from engine.workshop.bending import bend_range
from engine.workshop.norms import norm_club

SAND = replace(norm_club("sw"), head_material=None)  # 1 deg is allowed of a head of unknown material


def bent_upright(by):
    return replace(SAND, lie_deg=SAND.lie_deg + by, bent_lie_deg=by)


@pytest.mark.parametrize(("came_out", "bent"), [(-1.5, None), (0.25, 0.25), (0.5, 0.5), (2.5, 0.5)])
def test_a_first_measurement_is_no_bend_but_what_was_ordered_may_be(came_out, bent):
    """Half a degree upright was ordered of a usual lie: the other way, or farther, is where the head was all along."""
    told = Measured("sw", lie_deg=SAND.lie_deg + came_out)
    built = as_built(SAND, bent_upright(0.5), told)
    assert built.lie_deg == SAND.lie_deg + came_out and built.bent_lie_deg == bent
    assert bend_range(built, "lie_deg") == pytest.approx((-1 - (bent or 0), 1 - (bent or 0)))
    known = replace(SAND, measured=("lie_deg",))
    counted = as_built(known, replace(bent_upright(0.5), measured=("lie_deg",)), told)
    assert counted.bent_lie_deg == came_out  # from a lie that was measured, all of it is a bend


def test_bounce_is_no_other_because_the_loft_was_measured():
    wedge = replace(SAND, bounce_deg=10.0)
    told = Measured("sw", loft_deg=SAND.loft_deg - 3)
    assert as_built(wedge, replace(wedge, lie_deg=64.0, bent_lie_deg=0.5), told).bounce_deg == 10.0
