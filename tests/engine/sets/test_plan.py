"""What each kind of layout makes of a bag: lengths, heads and lies, worked by hand; common practice, no source, for the
steps: half an inch from iron to iron, for each half inch 7 g of head and a degree of lie."""

from dataclasses import replace

import pytest

from engine.documents.case import Layout, LayoutClub
from engine.sets.plan import anchor_of, is_own, loft_step_of, own_layout, plan, stepped_lofts, without_longer
from engine.workshop.build_sheet import build_sheet
from engine.workshop.norms import norm_bag, norm_club

BAG = norm_bag("male")
BY = {c.id: c for c in BAG}
INCH, GRAM = 0.0254, 0.001


def made(kind, bag=BAG, **more):
    return {c.id: c for c in plan(Layout("x", kind, **more), bag)}


def inches(clubs, ids):
    return [round(clubs[i].length_m / INCH, 3) for i in ids]


def test_stepped_irons_are_half_an_inch_apart_about_the_7_iron_and_wedges_one_step_below():
    found = made("stepped")
    assert inches(found, ("5i", "6i", "7i", "8i", "9i")) == [38, 37.5, 37, 36.5, 36]
    assert inches(found, ("pw", "gw", "sw", "lw")) == [35.5, 35.5, 35.25, 35]  # as wedges are commonly made
    assert [found[i] for i in ("dr", "3w", "5w", "4h")] == [BY[i] for i in ("dr", "3w", "5w", "4h")]
    assert "pt" not in found
    # a sand wedge of 34.5 in becomes an inch longer, so 14 g lighter and two degrees flatter
    odd = tuple(replace(c, length_m=34.5 * INCH) if c.id == "sw" else c for c in BAG)
    found = made("stepped", odd)
    assert inches(found, ("gw", "sw", "lw")) == [35.5, 35.5, 35.5]
    assert found["sw"].head_kg == pytest.approx(BY["sw"].head_kg - 14 * GRAM)
    assert found["sw"].lie_deg == pytest.approx(BY["sw"].lie_deg - 2)
    assert [c.loft_deg for c in found.values()] == sorted(c.loft_deg for c in found.values())


@pytest.mark.parametrize("sex", ["male", "female"])
@pytest.mark.parametrize("step", [None, 0.003])
def test_the_usual_stepped_set_laid_out_stepped_is_no_work(sex, step):
    """Common practice, no source: wedges are of one length, or each up to a quarter of an inch shorter than the last. The
    sheet ordered a sand wedge to be extended by that and a lob wedge by half an inch."""
    bag = norm_bag(sex)
    for step_m in (None, 0.5 * INCH):
        wanted = plan(Layout("s", "stepped", length_step_m=step_m), bag)
        sheet = build_sheet(bag, wanted, length_step_m=step or INCH / 8)
        assert sheet.minutes == 0 and sheet.feasible
        assert wanted == plan(Layout("p", "present"), bag)


@pytest.mark.parametrize(
    ("wedges", "wanted"),
    [
        ((35.5, 35.25, 35, 34.75), (35.5, 35.25, 35, 34.75)),  # a quarter each
        ((35.75, 35.5, 35.5, 35.5), (35.75, 35.5, 35.5, 35.5)),  # one a quarter long
        (
            (35.25, 35.75, 35.25, 35.25),
            (35.25, 35.25, 35.25, 35.25),
        ),  # half an inch longer than the one before
        ((36, 35.5, 34.75, 34.75), (35.5, 35.5, 35.5, 35.5)),
        ((35.5, 35.25, 34.9, 34.5), (35.5, 35.25, 34.9, 35)),  # an eighth off a quarter is left, more is not
    ],
)
def test_a_wedge_is_made_only_where_it_is_more_than_a_quarter_inch_off(wedges, wanted):
    ids = ("pw", "gw", "sw", "lw")
    length = dict(zip(ids, wedges, strict=True))
    bag = tuple(replace(c, length_m=length[c.id] * INCH) if c.id in length else c for c in BAG)
    assert inches(made("stepped", bag), ids) == list(wanted)


def test_irons_within_an_eighth_of_one_line_stay_though_the_7_iron_is_off_it():
    """By hand: a 7-iron an eighth long and a 5-iron an eighth short are both that far off the line of the others."""
    off = {"7i": INCH / 8, "5i": -INCH / 8}
    bag = tuple(replace(c, length_m=c.length_m + off.get(c.id, 0)) for c in BAG)
    assert plan(Layout("s", "stepped"), bag) == plan(Layout("p", "present"), bag)
    far = tuple(replace(c, length_m=c.length_m - (c.id == "5i") * 0.5 * INCH) for c in BAG)
    assert inches(made("stepped", far), ("5i", "6i", "7i", "8i", "9i")) == [38, 37.5, 37, 36.5, 36]


@pytest.mark.parametrize(("step", "lengths"), [(0.0, [37] * 5), (0.25, [37.5, 37.25, 37, 36.75, 36.5])])
def test_a_step_of_its_own(step, lengths):
    found = made("stepped", length_step_m=step * INCH)
    assert inches(found, ("5i", "6i", "7i", "8i", "9i")) == lengths
    assert inches(found, ("pw",)) == [lengths[-1] - step]


@pytest.mark.parametrize("length", [None, 36.5])
def test_one_length_has_one_head_and_one_lie(length):
    found = made("single", common_length_m=None if length is None else length * INCH)
    ids = [c.id for c in BAG if c.family in ("iron", "wedge")]
    assert inches(found, ids) == [length or 37] * 9
    steps = 0 if length is None else -1  # half inches longer than the 7-iron
    for i in ids:
        assert found[i].head_kg == pytest.approx(BY["7i"].head_kg - 7 * GRAM * steps)
        assert found[i].lie_deg == pytest.approx(BY["7i"].lie_deg - steps)
        assert found[i].loft_deg == BY[i].loft_deg


def test_two_lengths_part_at_the_7_iron():
    found = made("two_lengths")
    assert inches(found, ("5i", "6i")) == [37.5] * 2 and inches(found, ("7i", "9i", "pw", "lw")) == [36.5] * 4
    found = made("two_lengths", common_length_m=38 * INCH, second_length_m=36 * INCH)
    assert inches(found, ("5i", "7i")) == [38, 36]
    # each keeps to its own line: the 5-iron was 38 in, the 9-iron 36
    assert (found["5i"].head_kg, found["5i"].lie_deg) == pytest.approx((BY["5i"].head_kg, BY["5i"].lie_deg))
    assert found["9i"].head_kg == pytest.approx(BY["9i"].head_kg)


def test_wedges_of_one_length_below_stepped_irons():
    found = made("single_wedges")
    assert inches(found, ("5i", "9i")) == [38, 36] and inches(found, ("pw", "gw", "sw", "lw")) == [35.5] * 4
    found = made("single_wedges", common_length_m=35 * INCH)
    assert inches(found, ("9i", "pw", "lw")) == [36, 35, 35]
    irons_only = tuple(c for c in BAG if c.family == "iron")
    assert inches(made("single_wedges", irons_only), ("5i", "9i")) == [38, 36]


@pytest.mark.parametrize("kind", ["present", "own"])
def test_the_present_and_an_own_set_are_the_bag(kind):
    assert set(made(kind).values()) == {c for c in BAG if c.family != "putter"}
    bent = made(kind, clubs=(LayoutClub("7i", loft_deg=33.0, lie_deg=62.0, length_m=0.93, head_kg=0.27),))
    assert bent["7i"] == replace(BY["7i"], loft_deg=33.0, lie_deg=62.0, length_m=0.93, head_kg=0.27)
    assert {i for i in bent if BY[i].family in ("iron", "wedge")} == {"7i"} and {"dr", "3w", "4h"} <= set(
        bent
    )


def test_a_family_is_named_whole_or_not_at_all():
    found = made("stepped", clubs=(LayoutClub("7i"), LayoutClub("3w")))
    assert "5w" not in found and "dr" in found and "9i" not in found and "pw" not in found


def test_what_was_made_into_another_club_is_in_no_layout():
    former = replace(BY["8i"], id="8i-old", became="8i")
    assert "8i-old" not in made("stepped", (*BAG, former))
    assert stepped_lofts((*BAG, former), 4.0).keys() == {"5i", "6i", "7i", "8i", "9i"}


def test_lengths_far_off_stay_clubs_that_can_be():
    long, short = made("single", common_length_m=60 * INCH), made("single", common_length_m=15 * INCH)
    assert long["7i"].head_kg == 0.15 and long["7i"].lie_deg == 45 and short["7i"].lie_deg == 80


def test_the_longest_iron_asked_for_holds_where_no_clubs_are_named_and_not_in_the_present_set():
    for kind, ids in (("stepped", ["6i", "7i", "8i", "9i"]), ("present", ["5i", "6i", "7i", "8i", "9i"])):
        found = plan(Layout("x", kind), BAG, longest_iron="6i")
        assert [c.id for c in found if c.family == "iron"] == ids
    named = plan(Layout("x", "stepped", clubs=(LayoutClub("5i"),)), BAG, longest_iron="6i")
    assert [c.id for c in named if c.family == "iron"] == ["5i"]
    assert without_longer(BAG, "3w") == list(BAG) == without_longer(BAG, None)
    assert {c.id for c in without_longer(BAG, "6i")} == set(BY) - {"5i"}


def test_irons_are_set_out_from_the_7_iron_or_the_middle_one():
    irons = [c for c in BAG if c.family == "iron"]
    assert anchor_of(irons).id == "7i" and anchor_of(irons[::-1]).id == "7i"
    assert anchor_of([c for c in irons if c.id != "7i"]).id == "8i"
    assert anchor_of([norm_club(i) for i in ("9i", "5i", "6i")]).id == "6i"


def test_lofts_step_about_the_7_iron():
    assert stepped_lofts(BAG, 4.0) == {"5i": 26.5, "6i": 30.5, "7i": None, "8i": 38.5, "9i": 42.5}
    assert stepped_lofts([BY["dr"]], 4.0) == {}
    assert loft_step_of(BAG) == pytest.approx((42.5 - 27) / 4)
    assert loft_step_of([BY["7i"], BY["pw"]]) is None and loft_step_of([BY["9i"], BY["7i"]]) == 8


def test_the_own_set_is_the_first_that_is_the_bag_as_it_is():
    changed = Layout("a", "present", clubs=(LayoutClub("7i", loft_deg=33.0),))
    whole = Layout("b", "present")
    assert not is_own(changed, BAG) and is_own(whole, BAG) and not is_own(Layout("c", "single"), BAG)
    assert own_layout((changed, Layout("c", "own"), whole), BAG) == whole
    assert own_layout((changed,), BAG) == Layout("present", "present")
