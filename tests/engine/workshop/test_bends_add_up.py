"""Bends add up for the life of a head: the limit counts from the head as it came (common practice, no source)."""

from dataclasses import replace

import pytest

from engine.documents.case import Measured
from engine.workshop.bench import as_built
from engine.workshop.bending import bend
from engine.workshop.build_sheet import build_sheet
from engine.workshop.buildable import count_buildable
from engine.workshop.norms import norm_club

FIVE = replace(norm_club("5i"), head_material=None)  # 1 deg is allowed of a head of unknown material


def built(club, measured=None, **wanted):
    (work,) = build_sheet([club], [replace(club, **wanted)]).clubs
    return as_built(club, work.target, measured)


@pytest.mark.parametrize("name", ["loft_deg", "lie_deg"])
def test_a_head_bent_to_its_limit_bends_no_further_after_it_is_built(name):
    start = getattr(FIVE, name)
    once = built(FIVE, **{name: start - 1})
    assert getattr(once, name) == start - 1 and getattr(once, f"bent_{name}") == -1
    again = replace(once, **{name: start - 2})
    (work,) = build_sheet([once], [again]).clubs
    assert not work.feasible and count_buildable([once], [again]) == 0
    (problem,) = work.problems
    assert problem.quantities["bent"].value == 1
    back = built(once, **{name: start + 1})  # the other way it has all of its life before it
    assert getattr(back, name) == start + 1 and getattr(back, f"bent_{name}") == 1


def test_what_is_left_of_a_limit_is_offered():
    cast = built(replace(FIVE, head_material="cast"), loft_deg=FIVE.loft_deg - 1.5)
    done = bend(cast, loft_deg=cast.loft_deg - 1)
    assert done.nearest_loft_deg == cast.loft_deg - 0.5 and not done.feasible


def test_a_head_put_in_the_place_of_another_starts_anew():
    once = built(FIVE, loft_deg=FIVE.loft_deg - 1)
    (work,) = build_sheet([once], [replace(once, loft_deg=once.loft_deg - 4)]).clubs
    new = as_built(once, work.wanted)
    assert new.loft_deg == once.loft_deg - 4 and new.bent_loft_deg is None


def test_a_measured_loft_counts_as_the_bend_where_it_was_bent_and_as_the_head_where_not():
    bent = built(FIVE, Measured("5i", loft_deg=FIVE.loft_deg - 0.7), loft_deg=FIVE.loft_deg - 1)
    assert bent.bent_loft_deg == pytest.approx(-0.7)
    as_it_came = built(FIVE, Measured("5i", loft_deg=FIVE.loft_deg - 0.7), lie_deg=FIVE.lie_deg + 1)
    assert as_it_came.bent_loft_deg is None and as_it_came.bent_lie_deg == 1
