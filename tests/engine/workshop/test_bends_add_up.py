"""Bends add up for the life of a head: the limit counts from the head as it came (common practice, no source)."""

from dataclasses import replace

import pytest

from engine.documents.case import Case, Measured
from engine.documents.checking import checked
from engine.documents.reading import read_case
from engine.workshop.bench import as_built
from engine.workshop.bending import bend, history
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


SAND = replace(
    norm_club("sw"), head_material="cast", loft_deg=56.0, lie_deg=64.0, measured=("loft_deg", "lie_deg")
)


def test_a_head_bent_past_its_limit_is_not_bent_again_without_a_warning():
    """A cast head, bent 2.5 deg where 1.5 were ordered, was to be bent back, 'within the usual limits'."""
    over = built(SAND, Measured("sw", loft_deg=53.5), loft_deg=54.5)
    assert over.bent_loft_deg == -2.5 and history(over, "loft_deg") == (2.5, 2.5)
    for wanted in ({"loft_deg": 54.5}, {"lie_deg": 65.0}):  # one hosel bears both
        (work,) = build_sheet([over], [replace(over, **wanted)]).clubs
        (told,) = [s for s in work.notes if s.kind == "work.strained"]
        assert told.terms["figure"] == "loft" and told.quantities["most"].value == 2.5
    (first,) = build_sheet([SAND], [replace(SAND, loft_deg=54.5, lie_deg=65.5)]).clubs
    assert "work.strained" not in [s.kind for s in first.notes]  # loft and lie each within the limit
    (still,) = build_sheet([over], [over]).clubs
    assert "work.strained" not in [s.kind for s in still.notes]


def test_what_a_head_was_bent_is_kept_after_it_is_bent_back():
    over = built(SAND, Measured("sw", loft_deg=53.5), loft_deg=54.5)
    back = built(over, loft_deg=56.0)
    assert back.bent_loft_deg is None and history(back, "loft_deg") == (2.5, 5.0)
    assert history(back, "lie_deg") == (0.0, 0.0)
    (work,) = build_sheet([back], [replace(back, loft_deg=55.0)]).clubs
    assert "work.strained" in [s.kind for s in work.notes]
    case = Case(bag=(back,))
    assert read_case(case.to_doc()).club("sw") == back and checked(case).club("sw") == back
    assert "bent_lie_sum_deg" not in case.to_doc()["bag"][0]  # nothing that holds nothing
    (heavy,) = build_sheet([back], [replace(back, head_kg=back.head_kg + 0.1)]).clubs
    new = as_built(back, heavy.wanted)
    assert history(new, "loft_deg") == (0.0, 0.0)  # another head


def test_bends_to_and_fro_add_up_to_a_warning():
    once = built(SAND, loft_deg=54.5)
    (work,) = build_sheet([once], [replace(once, loft_deg=56.0)]).clubs
    (told,) = [s for s in work.notes if s.kind == "work.strained"]
    assert (told.quantities["most"].value, told.quantities["total"].value) == (1.5, 3.0)
    little = built(SAND, loft_deg=55.0)
    (work,) = build_sheet([little], [replace(little, loft_deg=56.0)]).clubs
    assert "work.strained" not in [s.kind for s in work.notes]
