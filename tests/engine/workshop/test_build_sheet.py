"""The build sheet row by row: balance before and after, what cannot be made and what to look for, rules, parts, time."""

from dataclasses import replace

import numpy as np
import pytest

from engine.documents.case import Layout
from engine.sets.plan import plan
from engine.statements import state
from engine.units import GRAM, INCH, MPH
from engine.workshop import balance
from engine.workshop.balance import (
    head_for_swing_weight,
    parts_of,
    swing_weight_after,
    swing_weight_label,
    swing_weight_of,
    swing_weight_points,
    usual_parts,
    weigh,
    with_length,
)
from engine.workshop.bending import limit_of
from engine.workshop.build_sheet import build_sheet
from engine.workshop.norms import norm_bag, norm_club
from engine.workshop.trim import change_length

SEVEN = replace(norm_club("7i"), head_material="forged", bounce_deg=5.0)
# common practice, no source: an inch of extension; 12 g in a head and 3 g off it
LONGEST_EXTENSION_M, MOST_ADDED_KG, MOST_REMOVED_KG = 0.0254, 0.012, 0.003


def only(have, want, **more):
    return build_sheet([have], [want], **more).clubs[0]


def test_a_cut_shaft_loses_its_butt(monkeypatch):
    """A uniform shaft cut by an inch is a uniform shaft an inch shorter: mass, centre, swing weight, inertia."""
    monkeypatch.setattr(balance, "BUTT_SHARE", 1.0)
    whole = parts_of(length_m=38 * INCH, head_kg=0.26, shaft_kg=0.11)
    part = 0.11 * (whole.shaft_length - INCH) / whole.shaft_length
    short = parts_of(length_m=37 * INCH, head_kg=0.26, shaft_kg=part)
    cut = with_length(whole, -INCH)
    assert cut.shaft == pytest.approx(short.shaft)
    assert cut.shaft_at == pytest.approx(short.shaft_at)
    a, b = weigh(cut), weigh(short)
    assert a.moment_inoz == pytest.approx(b.moment_inoz)
    assert a.inertia_kgm2 == pytest.approx(b.inertia_kgm2)


def test_an_extension_adds_its_own_mass_near_the_butt():
    base = usual_parts(SEVEN)
    longer = with_length(base, 0.5 * INCH)
    added = longer.shaft - base.shaft
    assert added == pytest.approx(4 * GRAM)  # common practice: some 8 g an inch
    points = (weigh(longer).moment_inoz - weigh(base).moment_inoz) / 1.75
    assert 2.2 < points < 3.3  # common practice: 1/2 in is 3 points, a heavy extension takes some back
    assert with_length(base, 0.0) == base


def test_row_carries_balance_before_and_after():
    want = replace(SEVEN, length_m=SEVEN.length_m - 0.5 * INCH, head_kg=SEVEN.head_kg + 5 * GRAM)
    row = only(SEVEN, want)
    before = weigh(usual_parts(SEVEN))
    assert row.total_before_kg == pytest.approx(before.total_kg)
    assert row.balance_before_m == pytest.approx(before.balance_m)
    assert row.inertia_before_kgm2 == pytest.approx(before.inertia_kgm2)
    assert row.swing_weight_before == swing_weight_label(before.moment_inoz, within=row.swing_weight_within)
    lost = row.shaft_before_kg - row.shaft_after_kg
    assert lost == pytest.approx(1.3 * GRAM, abs=0.2 * GRAM)  # half an inch of a 110 g shaft near its butt
    assert row.total_after_kg == pytest.approx(before.total_kg + 5 * GRAM - lost)
    assert row.stiffer_cpm == pytest.approx(4.0)  # common practice: 4 cycles/min for 1/2 in
    assert row.balance_after_m < row.balance_before_m


def test_balance_adds_up_from_its_pieces():
    """Total times balance point is the sum of each part's moment, the fulcrum taken off it: worked from the row itself."""
    row = only(SEVEN, replace(SEVEN, length_m=SEVEN.length_m + 0.75 * INCH))
    moment = row.total_after_kg * (row.balance_after_m - 14 * INCH) / (INCH * 0.028349523125)
    points = swing_weight_points(moment)
    letter, rest = divmod(round(points), 10)
    assert row.swing_weight_after == f"{'ABCDEFG'[int(letter)]}{rest:.0f}"  # nobody weighed its shaft


def sizes(statements):
    """Kinds with the values of their quantities."""
    return [(s.kind, {name: q.value for name, q in s.quantities.items()}) for s in statements]


def test_a_head_made_for_a_swing_weight_comes_to_it_on_the_sheet():
    length = SEVEN.length_m - 0.5 * INCH
    cut = with_length(usual_parts(SEVEN), -0.5 * INCH)
    wanted = weigh(usual_parts(SEVEN))
    head = head_for_swing_weight(cut, wanted.moment_inoz)
    row = only(SEVEN, replace(SEVEN, length_m=length, head_kg=head))
    points = [
        swing_weight_points(swing_weight_of(x)) for x in (row.swing_weight_after, row.swing_weight_before)
    ]
    assert points[0] == pytest.approx(points[1], abs=1.0)  # told in whole points, since nothing was weighed
    assert row.inertia_after_kgm2 < row.inertia_before_kgm2  # which mass nearer to the hands does not keep


def test_too_long_an_extension_is_not_feasible_and_asks_for_a_shaft():
    want = replace(SEVEN, length_m=SEVEN.length_m + 2 * INCH)
    row = only(SEVEN, want)
    assert not row.feasible and row.target == SEVEN and row.minutes == 0
    assert [s.kind for s in row.actions] == ["work.none"]
    (problem,) = row.problems
    assert problem.kind == "limit.extension"
    assert problem.quantities["longer"].value == pytest.approx(2 * INCH)
    assert problem.quantities["reaches"].value == pytest.approx(38 * INCH)
    assert sizes(row.look_for) == [
        ("find.shaft", {"length": pytest.approx(39 * INCH), "mass": pytest.approx(118 * GRAM)})
    ]
    assert only(SEVEN, replace(want, length_m=SEVEN.length_m + INCH)).feasible
    assert not build_sheet([SEVEN], [want]).feasible


def test_what_is_ordered_stays_within_every_bound_and_is_all_or_nothing():
    rng = np.random.default_rng(11)
    for _ in range(300):
        want = replace(
            SEVEN,
            length_m=SEVEN.length_m + rng.uniform(-3, 3) * INCH,
            loft_deg=SEVEN.loft_deg + rng.uniform(-7, 7),
            lie_deg=SEVEN.lie_deg + rng.uniform(-7, 7),
            head_kg=SEVEN.head_kg + rng.uniform(-8, 25) * GRAM,
        )
        row = only(SEVEN, want)
        made = row.target
        assert made.length_m <= SEVEN.length_m + LONGEST_EXTENSION_M + 1e-9
        assert -MOST_REMOVED_KG - 1e-9 <= made.head_kg - SEVEN.head_kg <= MOST_ADDED_KG + 1e-9
        for angle in ("loft_deg", "lie_deg"):
            assert abs(getattr(made, angle) - getattr(SEVEN, angle)) <= limit_of(SEVEN) + 1e-9
        assert row.feasible == (made == row.wanted) == (not row.problems) == (not row.look_for)
        assert row.feasible or (made == SEVEN and row.minutes == 0 and not row.work)
        assert only(SEVEN, made).feasible


def test_a_head_that_does_not_do_is_looked_for_and_nothing_is_ordered():
    heavy = only(SEVEN, replace(SEVEN, head_kg=SEVEN.head_kg + 20 * GRAM, loft_deg=SEVEN.loft_deg + 1))
    most = {"mass": pytest.approx(20 * GRAM), "most": pytest.approx(12 * GRAM)}
    assert sizes(heavy.problems) == [("limit.mass_added", most)]
    light = only(SEVEN, replace(SEVEN, head_kg=SEVEN.head_kg - 10 * GRAM))
    most = {"mass": pytest.approx(10 * GRAM), "most": pytest.approx(3 * GRAM)}
    assert sizes(light.problems) == [("limit.mass_removed", most)]
    head = {"loft": 35.5, "lie": 62.5, "mass": pytest.approx(288 * GRAM)}  # heads are marked in half degrees
    head["risk"] = pytest.approx(0.82, abs=0.01)  # 6 g over what it bears, of a usual mass known to 6.7 g
    assert sizes(heavy.look_for) == [("find.head", head)]
    for row in (heavy, light):
        assert [s.kind for s in row.actions] == ["work.none"] and row.minutes == 0 and row.work == ()
    sheet = build_sheet([SEVEN], [replace(SEVEN, head_kg=SEVEN.head_kg + 20 * GRAM)])
    assert (sheet.minutes, sheet.order, sheet.cure_hours) == (0, (), 0)
    assert [s.kind for s in sheet.parts] == ["parts.head", "parts.epoxy"]
    assert [c.id for c in sheet.cautions] == ["epoxy", "heat", "builder", "rules"]  # once the head is there


def test_rules_are_looked_at_in_the_sheet():
    long = replace(norm_club("dr"), length_m=47 * INCH)
    assert only(norm_club("dr"), long, local_length_rule=True).against_rules
    assert only(norm_club("dr"), long).against_rules == ()
    sheet = build_sheet((), [replace(norm_club("dr"), length_m=49 * INCH)])
    assert not sheet.rules.conforms and sheet.clubs[0].against_rules[0].kind == "rule.length"
    wedges = [replace(norm_club("gw"), id=f"w{i}") for i in range(14)]
    crowded = build_sheet((), wedges, also=[norm_club("pt")])
    assert [f.statement.kind for f in crowded.rules.faults] == ["rule.club_count"]
    assert crowded.rules.edition


def test_flex_by_speed_on_every_row_but_the_putter():
    bag = norm_bag()
    sheet = build_sheet(bag, bag, driver_speed_mps=85 * MPH)
    assert {c.flex.likely for c in sheet.clubs if c.id != "pt"} == {"R"}
    assert next(c for c in sheet.clubs if c.id == "pt").flex is None
    assert all(c.flex is None for c in build_sheet(bag, bag).clubs)


def test_the_sum_is_that_of_the_rows():
    bag = tuple(replace(c, head_material="forged") for c in norm_bag())
    wanted = plan(Layout("single", "single"), bag)
    sheet = build_sheet(bag, wanted)
    assert sheet.minutes == sum(c.minutes for c in sheet.clubs) > 0
    assert sheet.feasible == all(c.feasible for c in sheet.clubs)
    worked = [c for c in sheet.clubs if c.minutes]
    assert {c.id for c in worked} == {
        "6i"
    }  # the others need heads that are heavier or lighter than theirs can be made
    for row in worked:
        assert row.work and set(row.work) <= {c.id for c in sheet.cautions}
        if "extend" in row.work or "weight" in row.work:
            assert any(club.id == row.id for part in sheet.parts for club in part.clubs)
    assert sheet.cure_hours == 24
    assert [s.kind for s in sheet.parts[-2:]] == ["parts.epoxy", "parts.tape"]


def test_a_new_club_has_no_before():
    row = build_sheet((), [SEVEN]).clubs[0]
    assert not row.present and row.feasible and row.actions == (state("work.build_new"),)
    assert {"cut", "epoxy", "grip"} <= set(row.work) and "heat" not in row.work  # nothing is taken apart
    assert row.swing_weight_before is row.total_before_kg is row.shaft_before_kg is None
    assert row.target == row.wanted == SEVEN


def test_change_of_length_says_what_the_shaft_loses():
    cut = change_length(from_m=0.94, to_m=0.94 - INCH)
    assert cut.shaft_kg == pytest.approx(-2.5 * GRAM) and cut.nearest_m == pytest.approx(0.94 - INCH)
    with pytest.raises(ValueError, match="twice"):
        build_sheet((), [SEVEN, SEVEN])


CAUTIONED = {
    "bend": {"work.bend_loft", "work.bend_lie"},
    "cut": {"work.cut"},
    "grind": {"work.remove_mass"},
    "extend": {"work.extend"},
    "weight": {"work.add_mass"},
    "heat": {"work.add_mass", "work.remove_mass"},
    "epoxy": {"work.add_mass", "work.remove_mass", "work.extend"},
    "grip": {"work.cut", "work.extend"},
}
STEP = {
    "heat": "order.pull",
    "epoxy": "order.cure",
    "grip": "order.grip",
    "bend": "order.bend",
}  # how the step's kind begins


def test_a_caution_stands_with_the_work_it_is_about_and_with_no_other():
    """Each of the eight, in every mixture of work; whoever is told to mind the heat is told to pull a head."""
    seen = set()
    for n in range(27 * 9):
        inches, grams, loft, lie = (n % 3 - 1) * 0.5, (n // 3 % 3 - 1) * 3, n // 9 % 3 - 1, n // 27 % 3 - 1
        want = replace(
            SEVEN,
            length_m=SEVEN.length_m + inches * INCH,
            head_kg=SEVEN.head_kg + grams * GRAM,
            loft_deg=SEVEN.loft_deg + loft,
            lie_deg=SEVEN.lie_deg + lie,
        )
        sheet = build_sheet([SEVEN], [want])
        (row,) = sheet.clubs
        done = {a.kind for a in row.actions}
        asked = {name for name, kinds in CAUTIONED.items() if kinds & done}
        assert set(row.work) == asked
        assert {c.id for c in sheet.cautions} == (asked | {"builder", "rules"} if asked else set())
        steps = {s.kind.removesuffix("_loft").removesuffix("_lie") for s in sheet.order}
        assert {name for name, step in STEP.items() if step in steps} == asked & set(STEP)
        seen |= asked
    assert seen == set(CAUTIONED)


def unknown(name, value, sd):
    """A 7-iron of which one figure is only estimated, the others measured."""
    measured = tuple(n for n in ("length_m", "loft_deg", "lie_deg", "head_kg") if n != name)
    return replace(SEVEN, **{name: value}, estimated=((name, sd),), measured=measured)


@pytest.mark.parametrize(
    ("name", "shown", "value", "sd", "by"),
    [
        ("head_kg", "head", 0.268, 0.006, -0.004),
        ("head_kg", "head", 0.268, 0.006, 0.002),
        ("loft_deg", "loft", 25.5, 0.8, 8.0),
        ("lie_deg", "lie", 62.0, 0.7, -1.0),
        ("length_m", "length", 37 * INCH, 0.006, -0.5 * INCH),
    ],
)
def test_nothing_is_ordered_against_an_estimate(name, shown, value, sd, by):
    """No work, nor a limit counted from an angle or a length: measure first, and here is what is wanted."""
    have = unknown(name, value, sd)
    want = replace(have, **{name: value + by}, estimated=())
    row = only(have, want)
    assert row.feasible and not row.problems and not row.look_for
    (first,) = row.actions
    assert first.kind == "work.measure_first" and list(first.quantities) == [shown]
    assert first.quantities[shown].value == getattr(row.wanted, name) == pytest.approx(value + by, abs=0.003)
    assert row.target == have and row.minutes > 0
    assert row.work == (
        ("heat",) if name == "head_kg" else ()
    )  # a glued head may have to come off for the scale
    other = only(have, replace(want, loft_deg=want.loft_deg + 1) if name != "loft_deg" else have)
    last = {"loft_deg": "work.none", "head_kg": "work.measure_first"}.get(name, "work.bend_loft")
    assert [a.kind for a in other.actions][-1] == last
    known = only(replace(have, estimated=(), measured=("head_kg",)), want)
    assert known.problems or known.actions[0].kind != "work.measure_first"


def test_a_head_made_lighter_or_heavier_is_not_told_to_be_restored():
    """Weight is added for the swing weight that is wanted: beside it no other is offered."""
    seven = replace(norm_club("7i"), head_material="forged", measured=("length_m", "head_kg"))
    for grams in (6, 9):
        (work,) = build_sheet([seven], [replace(seven, head_kg=seven.head_kg + grams * GRAM)]).clubs
        assert [a.kind for a in work.actions] == [
            "work.add_mass"
        ] and work.swing_weight_before != work.swing_weight_after
        assert "work.swing_weight" not in [s.kind for s in work.notes]


def test_heads_of_unknown_material_are_named_once_before_the_first_bend():
    clubs = [replace(norm_club(i), head_material=m) for i, m in (("6i", None), ("7i", "cast"), ("8i", None))]
    six, seven, eight = clubs
    wanted = [
        replace(six, loft_deg=six.loft_deg + 1),
        replace(seven, loft_deg=seven.loft_deg + 1, lie_deg=seven.lie_deg + 1),
        replace(eight, lie_deg=eight.lie_deg + 1),
    ]
    order = build_sheet(clubs, wanted).order
    bends = [
        (s.kind, [c.id for c in s.clubs]) for s in order if s.kind in ("order.material", "order.bend_loft")
    ]
    assert bends == [("order.material", ["6i", "8i"]), ("order.bend_loft", ["6i", "7i"])]
    assert [s.kind for s in order].count("order.material") == 1
    assert "order.material" not in [s.kind for s in build_sheet(clubs[1:2], wanted[1:2]).order]


def test_no_head_is_bought_whose_loft_is_not_settled():
    want = replace(SEVEN, head_kg=SEVEN.head_kg + 30 * GRAM)
    for open_lofts, is_open in (((), ""), (("7i",), "open"), (("8i",), "")):
        sheet = build_sheet([SEVEN], [want], open_lofts=open_lofts)
        said = [s for s in (*sheet.clubs[0].look_for, *sheet.parts) if s.kind in ("find.head", "parts.head")]
        assert [s.terms["loft_is"] for s in said] == [is_open] * 2


@pytest.mark.parametrize(("halves", "points"), [(-1, -3), (-2, -6), (1, 3)])
def test_a_swing_weight_that_moves_much_is_told_with_what_would_restore_it(halves, points):
    """Half an inch is about 3 points, and 7 g on a head (common practice, no source)."""
    seven = replace(norm_club("7i"), head_material="forged")
    want = replace(seven, length_m=seven.length_m + halves * 0.5 * INCH)
    (work,) = build_sheet([seven], [want]).clubs
    (said,) = (s for s in work.notes if s.kind == "work.swing_weight")
    assert said.terms["way"] == ("more" if points > 0 else "less")
    assert said.quantities["points"].value == pytest.approx(abs(points), abs=0.5 * abs(halves))
    mass = said.quantities["mass"].value
    assert mass == pytest.approx(abs(halves) * 7 * GRAM, abs=1.2 * GRAM * abs(halves))
    assert ("most" in said.quantities) == (mass > (12 if halves < 0 else 3) * GRAM)
    assert not any("mass" in a.kind for a in work.actions)  # nothing of it is ordered
    restored = replace(want, head_kg=want.head_kg - np.sign(points) * mass)
    off = swing_weight_after(seven, restored) - weigh(usual_parts(seven)).moment_inoz
    assert abs(off) < 0.5 * 1.75  # in oz, half a point


def test_a_swing_weight_that_hardly_moves_is_not_told():
    """Bends leave it, and 7 g go with half an inch."""
    seven = replace(norm_club("7i"), head_material="forged")
    cut = replace(seven, length_m=seven.length_m - 0.5 * INCH, head_kg=seven.head_kg + 7 * GRAM)
    for want in (
        replace(seven, lie_deg=seven.lie_deg + 2),
        cut,
        replace(seven, head_kg=seven.head_kg + 3 * GRAM),
    ):
        (work,) = build_sheet([seven], [want]).clubs
        assert work.minutes and "work.swing_weight" not in [s.kind for s in work.notes]


STEPS_OF = {
    "work.add_mass": ["pull", "mass", "dry", "cure"],
    "work.remove_mass": ["pull", "mass", "dry", "cure"],
    "work.extend": ["length", "cure", "grip"],
    "work.cut": ["length", "grip"],
    "work.bend_loft": ["bend_loft"],
    "work.bend_lie": ["bend_lie"],
}


@pytest.mark.parametrize(
    ("kind", "made"),
    [
        ("work.add_mass", {"head_kg": SEVEN.head_kg + 4 * GRAM}),
        ("work.remove_mass", {"head_kg": SEVEN.head_kg - 3 * GRAM}),
        ("work.extend", {"length_m": SEVEN.length_m + 0.5 * INCH}),
        ("work.cut", {"length_m": SEVEN.length_m - 0.5 * INCH}),
        ("work.bend_loft", {"loft_deg": SEVEN.loft_deg + 1}),
        ("work.bend_lie", {"lie_deg": SEVEN.lie_deg + 1}),
    ],
)
def test_the_steps_are_those_that_each_work_needs(kind, made):
    """Common practice, no source: a head comes off to be weighed, so it is glued on again; a butt is extended with it on."""
    sheet = build_sheet([SEVEN], [replace(SEVEN, **made)])
    assert [a.kind for a in sheet.clubs[0].actions] == [kind]
    steps = ["measure", *STEPS_OF[kind], "check"]
    assert [s.kind.removeprefix("order.") for s in sheet.order] == steps
    assert (sheet.cure_hours > 0) == ("cure" in steps)
    needs = [n for s in sheet.parts if s.kind == "parts.club" for n in s.terms["needs"]]
    assert ("ferrule" in needs) == ("pull" in steps)
    assert any(s.kind == "parts.tape" for s in sheet.parts) == ("grip" in steps)
