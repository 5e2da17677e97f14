"""Work worth doing: the steps of the bench, nothing under what a machine repeats, and nothing for a bag that stays."""

import random
from dataclasses import replace

import pytest

from engine.documents.case import Case, Layout, LayoutClub, Measured, Shot
from engine.fitting.fitting import Fitting
from engine.sets.plan import plan
from engine.sets.verdict import same_set
from engine.units import GRAM, INCH
from engine.workshop.bench import as_built, left_to_do, off_target
from engine.workshop.bending import limit_of
from engine.workshop.build_sheet import build_sheet
from engine.workshop.norms import norm_bag, norm_club
from engine.workshop.steps import in_steps

SEVEN = replace(norm_club("7i"), head_material="forged")
FIGURES = ("length_m", "loft_deg", "lie_deg", "head_kg")
STEPS = (INCH / 8, 0.003)  # of length at a bench, in inches and in millimetres


def whole(value, step):
    return abs(value / step - round(value / step)) < 1e-6


def odd_bag(rng):
    """A bag as it is measured: nothing of it on a step."""
    return tuple(
        replace(
            c,
            length_m=c.length_m + rng.uniform(-0.01, 0.01),
            loft_deg=c.loft_deg + rng.uniform(-1, 1),
            lie_deg=c.lie_deg + rng.uniform(-1, 1),
            head_kg=c.head_kg + rng.uniform(-3, 3) * GRAM,
            head_material=rng.choice((None, "forged", "cast")),
        )
        for c in norm_bag()
    )


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("least", [0.25, 0.5, 1.0])
def test_targets_are_in_the_steps_of_the_trade(step, least):
    """Common practice: 1/8 in or 3 mm, half a degree, a gram; a finer machine is ordered in its own steps."""
    rng = random.Random(5)
    for _ in range(40):
        bag = odd_bag(rng)
        wanted = [
            replace(
                c,
                length_m=c.length_m + rng.uniform(-0.02, 0.02),
                loft_deg=c.loft_deg + rng.uniform(-2, 2),
                lie_deg=c.lie_deg + rng.uniform(-2, 2),
                head_kg=c.head_kg + rng.uniform(-2, 9) * GRAM,
            )
            for c in bag
        ]
        sheet = build_sheet(bag, wanted, least_bend_deg=least, length_step_m=step)
        for have, want, row in zip(bag, wanted, sheet.clubs, strict=True):
            sizes = dict(
                zip(
                    FIGURES,
                    ((step, step), (min(0.5, least), least), (min(0.5, least), least), (GRAM, 2 * GRAM)),
                    strict=True,
                )
            )
            for name, (size, least_change) in sizes.items():
                now, to, asked = (getattr(x, name) for x in (have, row.target, want))
                # a wish that lies less than the least bend beyond what the head can bend is met as far as it goes, and one
                # that no step comes near to by a bend of the least there is
                bends = (limit_of(have), least) if name.endswith("_deg") else ()
                whole_bend = any(abs(abs(to - now) - x) < 1e-9 for x in bends)
                stepped = whole(to, size) or whole_bend
                assert to == now or (stepped and abs(to - now) >= least_change - 1e-9), name
                if row.feasible:
                    assert abs(to - asked) <= least_change + size / 2 + least * whole_bend + 1e-9, name
            bends = [s.quantities["change"].value for s in row.actions if s.kind.startswith("work.bend")]
            assert all(x >= least - 1e-9 for x in bends)


def test_the_least_bend_is_set_by_the_case():
    bag = (SEVEN, replace(norm_club("9i"), head_material="forged"))
    layout = Layout("x", "own")
    case = Case(bag=bag, layouts=(layout,))

    def minutes(least, more):
        made = replace(layout, clubs=())
        case_ = replace(
            case,
            layouts=(
                replace(
                    made,
                    clubs=tuple(LayoutClub(c.id, loft_deg=c.loft_deg + more) for c in bag),
                ),
            ),
            wants=replace(case.wants, layout="x", least_bend_deg=least),
        )
        return Fitting(case_, 16).build.minutes

    assert minutes(None, 0.5) == 10 and minutes(None, 0.2) == 0
    assert minutes(1.0, 0.5) == 0 and minutes(1.0, 1.0) == 10
    assert minutes(0.25, 0.25) == 10


@pytest.mark.parametrize("step", STEPS)
def test_a_bag_with_nothing_to_change_orders_no_work(step):
    rng = random.Random(17)
    for _ in range(60):
        bag = odd_bag(rng)
        sheet = build_sheet(bag, plan(Layout("p", "present"), bag), length_step_m=step)
        assert sheet.minutes == 0 and sheet.feasible
        assert not (sheet.parts or sheet.cautions or sheet.order or sheet.cure_hours)
        for row in sheet.clubs:
            assert [s.kind for s in row.actions] == ["work.none"]
            assert row.swing_weight_after == row.swing_weight_before and row.bounce_after_deg is None


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("kind", ["stepped", "single", "two_lengths", "single_wedges"])
def test_what_was_built_as_ordered_is_not_ordered_again(kind, step):
    """Also read in the other units: the figures of one bench are within a step of the other's."""
    rng = random.Random(23)
    for _ in range(20):
        bag = odd_bag(rng)
        wanted = plan(Layout("x", kind), bag)
        sheet = build_sheet(bag, wanted, length_step_m=step)
        built = [row.target for row in sheet.clubs]
        again = build_sheet(built, wanted, length_step_m=step)
        assert [row.target for row in again.clubs] == built and again.minutes == 0
        for other in STEPS:
            assert build_sheet(built, built, length_step_m=other).minutes == 0


@pytest.mark.parametrize("least", [0.25, 0.5, 1.0])
def test_a_bend_leaves_no_more_than_half_a_step(least):
    """A head of 62.4 deg that was to come to 61.76 was left there: 62.0 is too little a bend, and 61.5 was not nearest."""
    rng, half, bent = random.Random(7), min(0.5, least) / 2, 0
    for _ in range(300):
        have = replace(
            SEVEN,
            loft_deg=round(SEVEN.loft_deg + rng.uniform(-1, 1), 2),
            lie_deg=round(SEVEN.lie_deg + rng.uniform(-1, 1), 2),
            head_material=rng.choice(("forged", "cast")),
        )
        want = replace(have, **{n: getattr(have, n) + rng.uniform(-3, 3) for n in ("loft_deg", "lie_deg")})
        (row,) = build_sheet([have], [want], least_bend_deg=least).clubs
        if not row.feasible:
            continue
        told = {s.terms["figure"]: s for s in row.notes if s.kind == "work.rest"}
        for name, figure in (("loft_deg", "loft"), ("lie_deg", "lie")):
            now, to, asked = (getattr(x, name) for x in (have, row.target, want))
            rest, beyond = asked - to, abs(asked - now) - limit_of(have)
            if least <= abs(asked - now) and beyond <= 0:
                assert abs(rest) <= half + 1e-9
            bent += to != now
            assert (abs(rest) > half + 1e-9) == (figure in told)
            if figure in told:
                said = told[figure]
                assert said.quantities["off"].value == pytest.approx(abs(rest))
                assert said.quantities["wanted"].value == pytest.approx(asked)
                assert (said.terms["way"] in ("flat", "strong")) == (rest > 0)
                assert said.terms["why"] == ("limit" if beyond > 0 else "least")
    assert bent > 200


def test_a_wish_within_the_limits_is_ordered_within_them():
    """62.25 + 4 is 66.25: to the nearest half degree it would be 66.5, which the head does not bear."""
    row = build_sheet([SEVEN], [replace(SEVEN, lie_deg=SEVEN.lie_deg + limit_of(SEVEN))]).clubs[0]
    assert row.feasible and row.target.lie_deg == 66.0
    stiff = replace(SEVEN, bend_limit_deg=0.0)
    assert build_sheet([stiff], [stiff]).clubs[0].feasible
    assert in_steps(62.25, 62.25, step=0.5, least=0.25, low=0.0, high=0.0) == 62.25


def test_the_order_of_work_names_the_clubs_of_each_step():
    long = replace(norm_club("6i"), head_material="forged")
    cut = replace(long, length_m=long.length_m - 0.5 * INCH, head_kg=long.head_kg + 7 * GRAM)
    sheet = build_sheet([long, SEVEN], [cut, replace(SEVEN, lie_deg=63.5)])
    steps = {s.kind: [c.id for c in s.clubs] for s in sheet.order}
    assert list(steps) == [
        "order.measure",
        "order.pull",
        "order.mass",
        "order.length",
        "order.dry",
        "order.cure",
        "order.grip",
        "order.bend_lie",
        "order.check",
    ]
    assert steps["order.measure"] == ["6i", "7i"] and steps["order.bend_lie"] == ["7i"]
    assert steps["order.length"] == steps["order.mass"] == ["6i"]
    only_bent = build_sheet([SEVEN], [replace(SEVEN, lie_deg=63.5)])
    assert [s.kind for s in only_bent.order] == ["order.measure", "order.bend_lie", "order.check"]
    weak = replace(norm_club("8i"), head_material="forged")
    both = build_sheet(
        [SEVEN, weak], [replace(SEVEN, lie_deg=63.5), replace(weak, loft_deg=weak.loft_deg + 1)]
    )
    steps = {s.kind: [c.id for c in s.clubs] for s in both.order}
    assert (steps["order.bend_loft"], steps["order.bend_lie"]) == (["8i"], ["7i"])  # each where it is bent
    assert {c.id for c in only_bent.cautions} == {"bend", "builder", "rules"}


def test_bounce_is_known_only_where_it_was_entered():
    assert all(c.bounce_deg is None for c in norm_bag())
    bent = replace(SEVEN, loft_deg=33.5)
    assert build_sheet([SEVEN], [bent]).clubs[0].bounce_after_deg is None
    entered = replace(SEVEN, bounce_deg=5.0)
    assert build_sheet([entered], [replace(entered, loft_deg=33.5)]).clubs[0].bounce_after_deg == 4.0


def test_lofts_for_a_gap_are_those_the_sheet_orders():
    """What is shown when sets are laid out, what the sheet orders, and so what is built, is one loft."""
    shots = tuple(
        Shot(i, carry_m=c)
        for i, c in (("5i", 150.0), ("6i", 143.0), ("7i", 132.0), ("8i", 122.0), ("9i", 112.0), ("gw", 93.0))
        for _ in range(3)
    )
    bag = tuple(replace(c, head_material="forged") for c in norm_bag())
    case = Case(bag=bag, shots=shots, layouts=(Layout("now", "stepped"),))
    case = replace(case, wants=replace(case.wants, gap_m=11.0, layout="now"))
    fitting = Fitting(case, 32)
    for club, row in zip(fitting.clubs, fitting.build.clubs, strict=True):
        assert row.id == club.id and row.wanted.loft_deg == club.loft_deg
    assert any(row.target.loft_deg != case.club(row.id).loft_deg for row in fitting.build.clubs)


@pytest.mark.parametrize("step", STEPS)
def test_no_extension_of_an_eighth_and_no_gram_of_head_is_ordered(step):
    """Common practice, no source: an eighth of an inch short is left, or a thicker butt cap makes it; no head is pulled for
    less than about a point."""
    for short, left in ((INCH / 8, True), (0.003, True), (INCH / 4, False), (INCH / 2, False)):
        want = replace(SEVEN, length_m=SEVEN.length_m + short)
        (row,) = build_sheet([SEVEN], [want], length_step_m=step).clubs
        assert (row.target.length_m == SEVEN.length_m) == left == (row.minutes == 0)
        told = [s.quantities["off"].value for s in row.notes if s.kind == "work.short"]
        assert told == ([pytest.approx(short)] if left else [])
    (cut,) = build_sheet(
        [SEVEN], [replace(SEVEN, length_m=SEVEN.length_m - INCH / 4)], length_step_m=step
    ).clubs
    assert [a.kind for a in cut.actions] == ["work.cut"]
    for grams in (-2, -1, 1, 2):
        (row,) = build_sheet([SEVEN], [replace(SEVEN, head_kg=SEVEN.head_kg + grams * GRAM)]).clubs
        assert (row.minutes > 0) == (abs(grams) == 2)


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("way", [-1, 1])
@pytest.mark.parametrize("by", [0.0015, 0.003, INCH / 8, 0.0032, 0.0034, 0.004, 0.0048, 0.006])
def test_one_bound_says_everywhere_which_length_is_left(by, way, step):
    """An eighth of an inch, as a rule laid along a club tells it (common practice, no source): on the sheet, beside "as
    built", of what is left to do, and of two sets being the same. There were three bounds, and shorter was not longer."""
    club = replace(SEVEN, measured=("length_m",))
    off = replace(club, length_m=club.length_m + way * by)
    left = by < 0.0033
    (row,) = build_sheet([off], [club], length_step_m=step).clubs
    assert (row.minutes == 0) == left and (row.target.length_m == off.length_m) == left
    if not left:  # what is ordered is worth the work itself, and comes as near as a step
        assert abs(row.target.length_m - off.length_m) > INCH / 8
        assert abs(row.target.length_m - club.length_m) <= step + 1e-9
    told = Measured("7i", length_m=off.length_m)
    assert (off_target(off, club, told) == ()) == left
    longer = replace(club, length_m=club.length_m + 0.02)
    assert ("length_m" not in left_to_do(longer, club, as_built(longer, club, told))) == left
    assert same_set([off], [club]) == left


@pytest.mark.parametrize(("grams", "made"), [(-3.4, -3), (-4.9, -3), (-5.1, None), (12.6, 12), (14.2, None)])
def test_a_head_is_not_replaced_for_less_than_it_would_be_pulled_for(grams, made):
    """'3 g is more than can be ground off (about 3 g)' sent for a new head; a gram is half a point of swing weight."""
    have = replace(SEVEN, measured=FIGURES)
    (row,) = build_sheet([have], [replace(have, head_kg=have.head_kg + grams * GRAM)]).clubs
    assert row.feasible == (made is not None)
    if made is not None:
        assert row.target.head_kg - have.head_kg == pytest.approx(made * GRAM)
