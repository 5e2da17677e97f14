"""A club measured for the first time at the bench: what its figures turn out to be is no work that was done on it."""

from dataclasses import replace

import pytest

from app import edits
from app.phrases.record import figures
from engine.documents.case import Case, Layout, LayoutClub, Measured, Player, Wants
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.sets.common_target import asked_of_each
from engine.units import INCH
from engine.workshop.balance import swing_weight_of
from engine.workshop.bench import as_built
from engine.workshop.bending import bend_range
from engine.workshop.build_sheet import build_sheet
from engine.workshop.estimates import head_by_swing_weight
from engine.workshop.known import known
from engine.workshop.norms import norm_bag, norm_club
from tests.app.driver import Person

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


def stepped():
    """A usual bag in half-inch steps, but for a 5-iron that measures half an inch more."""
    bag = tuple(replace(c, measured=("length_m",)) if c.id in ("5i", "7i") else c for c in norm_bag("male"))
    bag = tuple(replace(c, length_m=c.length_m + 0.5 * INCH) if c.id == "5i" else c for c in bag)
    layout = Layout("steps", "stepped", length_step_m=0.5 * INCH)
    return Case(Player(sex="male"), bag=bag, layouts=(layout,), wants=Wants(layout="steps"))


def test_a_wedge_that_the_steps_leave_alone_is_told_and_not_cut():
    """'Sand wedge: length 34.75 in, ordered 34.25 in' was said of a length that was nothing but the usual one."""
    person = Person(stepped()).go("Build").choose("Club on the bench", "Sand wedge (no work)")
    person.type("Measured length", f"{100 * (norm_club('sw').length_m + 0.5 * INCH):.1f}")
    said = person.text().replace("\u00a0", " ")
    assert "no change was ordered: Sand wedge: length 90.8 cm, not the usual 89.5 cm" in said
    person.press("It is built: make this the present bag")
    person.press("They came out as planned: use this as the present bag")  # the 5-iron's head was not weighed
    assert "Left to do" not in person.options("Set to build")
    assert person.case.club("sw").length_m == pytest.approx(0.908)


def test_what_waits_for_one_figure_states_no_other():
    """A loft to be measured first was left to do together with a length that nobody had ordered."""
    bag = tuple(replace(c, loft_deg=None) if c.id == "sw" else c for c in norm_bag("male"))
    layout = Layout(
        "mine", "own", clubs=tuple(LayoutClub(c.id, loft_deg=54.0 if c.id == "sw" else None) for c in bag)
    )
    case = Case(Player(sex="male"), bag=bag, layouts=(layout,), wants=Wants(layout="mine"))
    person = Person(read_case(case.to_doc())).go("Build").press("It is built: make this the present bag")
    left = next(x for x in person.case.layouts if x.id == "ordered")
    assert next(c for c in left.clubs if c.id == "sw") == LayoutClub("sw", loft_deg=54.0)


@pytest.mark.parametrize("kind", ["single", "single_wedges", "two_lengths"])
def test_a_common_length_is_asked_of_a_wedge_too(kind):
    bag = tuple(replace(c, measured=("length_m", "head_kg")) for c in norm_bag("male"))
    case = Case(bag=bag, layouts=(Layout("one", kind),))
    assert "length_m" in asked_of_each(case, case.layouts[0], {})["sw"]


def taken_in(case):
    """A set as its sheet orders it, taken in on Build with what was measured of it."""
    return Person(case).go("Build").press("It is built: make this the present bag")


def left_of(case):
    """What is left to do, by club and figure."""
    (left,) = [x for x in case.layouts if x.id == "ordered"] or [Layout("ordered", "own")]
    values = {
        c.id: {n: getattr(c, n) for n in ("length_m", "loft_deg", "lie_deg", "head_kg")} for c in left.clubs
    }
    stated = {i: {n: v for n, v in of.items() if v is not None} for i, of in values.items()}
    return {i: of for i, of in stated.items() if of}


def lies(*, mark=None):
    """A tall man with clubs that were measured, of cast heads; by ``mark`` a lie board read three of them."""
    bag = tuple(replace(c, measured=("lie_deg",), head_material="cast") for c in norm_bag("male"))
    bag = tuple(replace(c, lie_mark_m=mark) if c.id in ("5i", "7i", "9i") else c for c in bag)
    return Case(
        Player(sex="male", height_m=1.96),
        bag=bag,
        layouts=(Layout("now", "present"),),
        wants=Wants(layout="now", lies="fitted"),
    )


def test_a_lie_short_of_what_suits_asks_nothing_once_it_is_nearer():
    """'Bend 0.5° flat, to 63.5' was left of a 6-iron of 64 that 63.9 would suit: 63.5 was as far as its head goes."""
    case = lies(mark=-0.016)
    fitting = Fitting(case, 16)
    six = next(w for w in fitting.build.clubs if w.id == "6i")
    order, aim = six.target.lie_deg, fitting.aims["6i"]["lie_deg"]
    assert order != case.club("6i").lie_deg and aim > order
    for out, left in ((order + 0.5, {}), (order - 0.5, {"6i": {"lie_deg": order}})):
        assert left_of(taken_in(edits.measured("6i", "lie_deg")(case, out)).case) == left


def test_a_lie_by_the_body_alone_is_left_as_a_start():
    """Lies a degree off the start were 'not as ordered', stood under 'Leave these as they are', and Measure began anew."""
    case = lies()
    fitting = Fitting(case, 16)
    assert fitting.lie_line.by_body
    begun = {w.id: w.target.lie_deg for w in fitting.build.clubs if "lie_deg" in w.tentative}
    assert begun
    for id_, lie in begun.items():
        case = edits.measured(id_, "lie_deg")(case, lie - 1)
    person = taken_in(case)
    assert left_of(person.case) == {i: {"lie_deg": lie} for i, lie in begun.items()}
    (left,) = [x for x in person.case.layouts if x.id == "ordered"]
    assert {c.id for c in left.clubs if c.begin_lie} >= set(begun)
    told = person.choose("Set to build", "Left to do").go("Build").text()
    assert (
        "begin 1\u00b0 upright, at" in told
        and "These lies are only a start. Check them on a lie board" in told
    )


def test_a_start_that_was_made_is_still_one():
    case, missed = lies(), "7i"
    fitting = Fitting(case, 16)
    lie = {w.id: w.target.lie_deg for w in fitting.build.clubs if "lie_deg" in w.tentative}
    for id_, ordered in lie.items():
        case = edits.measured(id_, "lie_deg")(case, ordered - (1 if id_ == missed else 0))
    person = taken_in(case)
    assert left_of(person.case) == {missed: {"lie_deg": lie[missed]}}
    told = person.choose("Set to build", "Left to do").go("Build").text()
    assert "8-iron: its lie is only a start: check it on a lie board" in told
    board = replace(
        person.case,
        bag=tuple(replace(c, lie_mark_m=-0.01) if c.id in ("5i", "9i") else c for c in person.case.bag),
    )
    assert "its lie is only a start" not in Person(board).go("Build").text()


def test_what_came_out_off_and_is_not_done_again_says_why():
    """A swing weight 'not as ordered' vanished from the sheet of what is left."""
    seven, nine = (
        replace(
            norm_club(i),
            head_material="forged",
            measured=("length_m", "loft_deg", "lie_deg", "head_kg"),
            swing_weight_inoz=swing_weight_of("D2"),
        )
        for i in ("7i", "9i")
    )
    layout = Layout(
        "x",
        "own",
        clubs=(
            LayoutClub("7i", loft_deg=seven.loft_deg + 1),
            LayoutClub("9i", length_m=nine.length_m - 0.00635, loft_deg=nine.loft_deg + 1),
        ),
    )
    case = Case(bag=(seven, nine), layouts=(layout,), wants=Wants(layout="x"))
    out = (
        ("7i", "loft_deg", seven.loft_deg),
        ("9i", "loft_deg", nine.loft_deg + 0.7),
        ("9i", "swing_weight_inoz", swing_weight_of("D2")),
    )
    for id_, name, value in out:
        case = edits.measured(id_, name)(case, value)
    person = taken_in(case)
    assert left_of(person.case) == {"7i": {"loft_deg": seven.loft_deg + 1}}
    for told in (person.text(), person.choose("Set to build", "Left to do").go("Build").text()):
        assert "loft 43.2\u00b0, ordered 43.5\u00b0: left so, too little to bend again" in told
        assert "ordered D0.2: left so, the weighed head does not account for it" in told
    assert read_case(person.case.to_doc()).layouts == person.case.layouts
    person = Person(edits.club("9i", "loft_deg")(person.case, nine.loft_deg + 1)).go("Build")
    assert "too little to bend again" not in person.text()


def by_scale(off_kg):
    """An 8-iron whose head is known by its swing weight only, and is that much heavier than wanted."""
    club = replace(norm_club("8i"), swing_weight_inoz=swing_weight_of("D2"), head_material="forged")
    have = head_by_swing_weight(club)
    (work,) = build_sheet([have], [have.known(head_kg=have.head_kg - off_kg)]).clubs
    return have, work


def test_no_head_is_weighed_for_less_than_the_scale_can_tell():
    """'Weigh the head first: 285 g is wanted' was said of 287 ± 2 g that had just come out as ordered."""
    have, work = by_scale(0.002)
    within = next(x.within for x in known(have) if x.name == "head_kg")
    assert within > 0.001
    assert [a.kind for a in work.actions] == ["work.none"] and work.minutes == 0
    assert [a.kind for a in by_scale(-within - 0.003)[1].actions] == ["work.measure_first"]


def test_only_clubs_with_a_figure_missing_that_work_waits_for_are_measured_first():
    """Step 1 named clubs that had just been measured."""
    angles = ("loft_deg", "lie_deg")
    six, seven, eight = (
        replace(norm_club(i), head_material="forged", measured=m)
        for i, m in (("6i", angles), ("7i", ()), ("8i", ()))
    )

    def first(*wanted):
        order = build_sheet([six, seven, eight], wanted).order
        return [c.id for s in order if s.kind == "order.measure" for c in s.clubs], [s.kind for s in order]

    bent = [c.known(lie_deg=c.lie_deg + 1) for c in (six, seven)]
    assert first(*bent, eight)[0] == [
        "7i",
        "8i",
    ]  # of the 6-iron the angles are known, and nothing else is changed
    ids, steps = first(bent[0])
    assert ids == [] and steps == ["order.bend_lie", "order.check"]


def test_an_order_of_a_lie_to_begin_with_is_noted_as_one():
    """The record said 'Ordered: lie 62' of a lie in brackets."""
    person = Person(lies()).go("Build").press("Note as ordered today")
    (job,) = person.case.jobs
    begun = [c for c in job.clubs if c.begin_lie]
    assert begun and all(c.lie_deg is not None for c in begun)
    assert "\u00b0 to begin with" in figures(begun[0], "metric")
    assert read_case(person.case.to_doc()).jobs == person.case.jobs
    plain = replace(begun[0], begin_lie=False)
    assert "to begin with" not in figures(plain, "metric")
