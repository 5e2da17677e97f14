"""A head that nobody weighed: weighed before any other work, replaced where it is too far off, and every reason is told."""

import math
import re
from dataclasses import replace

import pytest

from app.phrases import phrase, phrases
from app.phrases.workshop import then
from engine.sets.verdict import work_for
from engine.statements import state
from engine.units import GRAM, INCH
from engine.workshop.balance import swing_weight_after, swing_weight_label
from engine.workshop.bench import as_built
from engine.workshop.build_sheet import build_sheet
from engine.workshop.buildable import buildable, count_buildable
from engine.workshop.known import points_within
from engine.workshop.norms import norm_club

NAMES = ("length_m", "loft_deg", "lie_deg", "head_kg")
LENGTH = 36.5 * INCH


def club(id_, grams, *, within=3.0, **more):
    """A club that was measured but for its head, whose mass is an estimate to so many grams nine times in ten."""
    sd = within * GRAM / 1.645
    known = {"measured": NAMES[:3], "estimated": (("head_kg", sd),)} if within else {"measured": NAMES}
    return replace(
        norm_club(id_),
        head_kg=grams * GRAM,
        shaft_kg=0.1,
        grip_kg=0.05,
        head_material="forged",
        **known,
        **more,
    )


def made(have, grams, length_m=LENGTH):
    return replace(have, length_m=length_m, lie_deg=have.lie_deg + 1, head_kg=grams * GRAM, estimated=())


def row(have, want):
    return build_sheet([have], [want]).clubs[0]


def kinds(said):
    return [s.kind for s in said]


@pytest.mark.parametrize(
    ("id_", "grams", "wanted", "limit"), [("9i", 285, 272, "removed"), ("5i", 256, 271, "added")]
)
def test_an_estimated_head_that_is_likely_too_far_off_is_weighed_before_any_work(id_, grams, wanted, limit):
    """No cut, no bend: the next sheet would refuse the club. It counts as a head to find, in the sweep of lengths too."""
    have = club(id_, grams)
    want = made(have, wanted)
    found = row(have, want)
    assert (
        kinds(found.problems) == [f"limit.mass_{limit}"] and found.problems[0].terms["start"] == "estimated"
    )
    assert (
        kinds(found.look_for) == ["find.head"] and found.look_for[0].quantities["mass"].value == want.head_kg
    )
    assert kinds(found.actions) == ["work.none"] and found.target == have
    assert (work_for([have], [want]).heads, work_for([have], [want]).likely_heads) == (0, 1), (
        "what a set costs"
    )
    assert not buildable([have], [want]).count and not count_buildable([have], [want])
    weighed = row(club(id_, grams, within=0), want)
    assert kinds(weighed.problems) == kinds(found.problems)


@pytest.mark.parametrize("wanted", [258, 262, 270])
def test_no_club_is_cut_or_bent_before_its_head_was_weighed(wanted):
    """Whether the head stays hangs on the scale: of 260 g, give or take 9, each of these may be out of reach."""
    have = club("7i", 260, within=9)
    sheet = build_sheet([have], [made(have, wanted)])
    (found,) = sheet.clubs
    assert kinds(found.actions) == ["work.measure_first"] and found.target == have and found.minutes
    assert not {"order.length", "order.bend_lie", "order.grip"} & set(kinds(sheet.order))
    assert "parts.club" not in kinds(sheet.parts)
    assert found.tentative == ("length_m", "lie_deg", "head_kg"), "wanted, but no firm order"


@pytest.mark.parametrize("within", [3.0, 0.0])
def test_every_reason_is_told_whichever_comes_first(within):
    """A pitching wedge of 295 g for 269 g, 1 1/4 in longer, with a bend that its head does not bear."""
    have = club("pw", 295, within=within)
    want = replace(made(have, 269, have.length_m + 1.25 * INCH), lie_deg=have.lie_deg + 7)
    sheet = build_sheet([have], [want])
    (found,) = sheet.clubs
    assert kinds(found.problems) == ["limit.mass_removed", "limit.bend", "limit.extension"]
    assert kinds(found.look_for) == ["find.head", "find.shaft"]
    assert [k for k in kinds(sheet.parts) if k in ("parts.head", "parts.shaft")] == [
        "parts.head",
        "parts.shaft",
    ]


def test_the_swing_weight_wanted_is_that_of_the_head_wanted():
    have = club("6i", 271, swing_weight_inoz=213.5)
    want = made(have, 278, have.length_m - 0.5 * INCH)
    found = row(have, want)
    assert found.wanted.head_kg == want.head_kg
    assert found.swing_weight_wanted == swing_weight_label(swing_weight_after(have, found.wanted))


def test_a_new_shaft_is_as_heavy_for_its_length_as_the_old_one():
    """269 g at 36 in on a shaft of 62 g and a grip of 42 g is about C3, as worked by hand, and not C7 as of 118 g."""
    have = replace(club("pw", 285, within=0), length_m=34.5 * INCH, shaft_kg=62 * GRAM, grip_kg=42 * GRAM)
    have = replace(have, shaft_flex="light", tip_trim_m=0.02)
    sheet = build_sheet([have], [made(have, 269, 36 * INCH)])
    (found,) = sheet.clubs
    shaft = 62 * GRAM * 34.75 / 33.25
    butt, fulcrum = 4 * INCH, 14 * INCH
    moment = (
        269 * GRAM * (36 * INCH - fulcrum)
        + shaft * (34.75 / 2 * INCH - fulcrum)
        + 42 * GRAM * (butt - fulcrum)
    )
    points = (moment / (INCH * 0.028349523125) - 161.0) / 1.75
    assert round(points) == 23 and found.swing_weight_wanted == "C3"
    sought = next(s for s in found.look_for if s.kind == "find.shaft")
    assert sought.quantities["mass"].value == pytest.approx(65 * GRAM) and not sought.terms["start"]
    part = next(s for s in sheet.parts if s.kind == "parts.shaft")
    assert part.quoted == ("light",) and part.quantities["tip"].value == 0.02
    (unknown,) = build_sheet([replace(have, shaft_kg=None)], [made(have, 269, 36 * INCH)]).clubs
    assert {s.kind: s.terms.get("start") for s in unknown.look_for}["find.shaft"] == "usual"


def longer_set(**shafts_g):
    """The sheet of clubs with these shafts [g] (``None`` not weighed), all put on one length past any extension."""
    have = [
        replace(club(i, 270, within=0), length_m=34.5 * INCH - n * 0.002, shaft_kg=g and g * GRAM)
        for n, (i, g) in enumerate(shafts_g.items())
    ]
    return build_sheet(have, [made(c, 270, 36 * INCH) for c in have])


def shafts_of(sheet):
    return [s for s in sheet.parts if s.kind == "parts.shaft"]


@pytest.mark.parametrize(
    ("shafts", "grams"),
    [
        ({"9i": 95, "pw": 95, "gw": 95}, 99),  # each as its own: 99, 100 and 100 g
        ({"9i": 90, "pw": 110, "gw": 128}, 115),  # the middle one, 110 g for its length
        ({"9i": None, "pw": 96, "gw": None}, 101),
        ({"9i": None, "pw": None, "gw": None}, 118),
    ],
)
def test_new_shafts_of_one_kind_for_one_length_are_of_one_mass(shafts, grams):
    sheet = longer_set(**shafts)
    found = shafts_of(sheet)
    assert len(found) == 3
    (mass,) = {s.quantities["mass"] for s in found}  # how far a usual one may be off as well
    assert mass.value == pytest.approx(grams * GRAM, abs=1.01 * GRAM)
    assert len({s.terms["guess"] for s in found}) == 1
    if grams == 118:  # as much as irons' shafts differ, which differ more than wedges'
        assert mass.high - mass.value == pytest.approx(1.645 * 15 * GRAM, rel=0.01)
    assert len({row.swing_weight_wanted for row in sheet.clubs}) == 1, "alike in all"
    assert {s.quantities["mass"] for row in sheet.clubs for s in row.look_for} == {mass}


def test_new_shafts_of_another_kind_or_length_have_a_mass_of_their_own():
    have = [
        replace(club(i, 270, within=0), length_m=m * INCH, shaft_kg=g * GRAM)
        for i, m, g in (("9i", 34.5, 95), ("pw", 34.5, 110), ("gw", 34.0, 110), ("4h", 34.5, 70))
    ]
    want = [made(c, 270, n * INCH) for c, n in zip(have, (36, 36, 35.5, 36), strict=True)]
    nine, wedge, gap, hybrid = (s.quantities["mass"].value for s in shafts_of(build_sheet(have, want)))
    assert nine == wedge != gap and hybrid < 0.08


@pytest.mark.parametrize(
    ("within", "wish", "said"),
    [
        (0, 270, "for its own head of 270 g, grip"),
        (0, 272, "for its own head of 270 g (272 g is wanted), grip"),
        (3.0, 270, "for its own head (weigh it; 270 g is wanted), grip"),
    ],
)
def test_a_club_that_only_needs_a_shaft_names_its_head(within, wish, said):
    have = replace(club("pw", 270, within=within), length_m=34.5 * INCH)
    (part,) = shafts_of(build_sheet([have], [replace(have, length_m=36 * INCH, head_kg=wish * GRAM)]))
    assert said in phrase(part, "metric").replace("\u00a0", " ")
    other = build_sheet([have], [made(have, 290, 36 * INCH)])
    assert "own head" not in phrase(shafts_of(other)[0], "metric"), "another head is found, and named there"


def test_a_scale_reading_goes_over_to_a_new_shaft_of_the_same_kind():
    have = replace(club("pw", 269, within=0), shaft_kg=62 * GRAM, grip_kg=42 * GRAM, swing_weight_inoz=200.0)
    longer = replace(have, length_m=have.length_m + 1.5 * INCH)
    grams = 62 * GRAM / (have.length_m - 1.25 * INCH) * 1.5 * INCH
    more = 269 * GRAM * 1.5 * INCH + (62 * GRAM + grams) * 0.75 * INCH
    more += grams * ((have.length_m - 1.25 * INCH) / 2 - 14 * INCH)
    assert swing_weight_after(have, longer) == pytest.approx(200.0 + more / (INCH * 0.028349523125), abs=0.1)


def test_heads_of_one_length_are_bought_as_one_mass():
    have = [club(i, 290, within=0) for i in ("8i", "9i", "pw", "gw")]
    want = [made(c, g) for c, g in zip(have, (269, 270, 271, 272), strict=True)]
    sheet = build_sheet(have, want)
    heads = [s.quantities for s in sheet.parts if s.kind == "parts.head"]
    assert len(heads) == 4 and len({h["mass"].value for h in heads}) == 1
    assert {round(h["within"].value / GRAM, 6) for h in heads} == {2.0}
    assert {c.wanted.head_kg for c in sheet.clubs} == {heads[0]["mass"].value}


def test_a_glued_head_is_weighed_on_the_club_before_a_new_sheet():
    have = [club("7i", 268), club("9i", 285)]
    sheet = build_sheet(have, [made(have[0], 272), made(have[1], 272)])
    assert kinds(sheet.order)[:2] == ["order.measure", "order.weigh"] and "order.again" in kinds(sheet.order)


# what hangs on a figure that waits


def usual_head(**more):
    """A 7-iron of which all but the head was measured: that has the mass such heads usually have."""
    return replace(
        norm_club("7i"), measured=NAMES[:3], head_material="forged", shaft_kg=0.1, grip_kg=0.05, **more
    )


def test_firm_work_waits_for_a_head_that_is_weighed_first():
    """It was cut and bent whatever the scale would say of the head."""
    have = usual_head()
    want = replace(have, length_m=LENGTH, lie_deg=have.lie_deg + 1, head_kg=have.head_kg + 6 * GRAM)
    found = row(have, want)
    assert kinds(found.actions) == ["work.add_mass", "work.cut", "work.bend_lie"]
    assert [a.terms["start"] for a in found.actions] == ["usual", "head", "head"]
    assert found.tentative == ("length_m", "lie_deg", "head_kg")
    said = phrases(found.actions, "metric")
    assert all(text[0] == "(" and text[-1] == ")" for text in said[1:])
    known = row(replace(have, measured=NAMES), want)
    assert not known.tentative and {a.terms["start"] for a in known.actions} == {""}


def test_a_loft_that_is_known_is_bent_and_a_lie_waits_for_a_loft_that_is_not():
    """A bend of the loft moves the lie, so the lie comes last."""
    seven = replace(norm_club("7i"), measured=NAMES, head_material="forged")
    both = {"loft_deg": seven.loft_deg - 1.5, "lie_deg": seven.lie_deg + 1.25}
    want = replace(seven, **both)
    no_loft = replace(seven, measured=("length_m", "lie_deg", "head_kg"), estimated=(("loft_deg", 1.0),))
    found = row(no_loft, want)
    assert kinds(found.actions) == ["work.measure_first"] and found.target == no_loft
    assert found.wanted.lie_deg == want.lie_deg and found.tentative == ("loft_deg", "lie_deg")
    no_lie = replace(seven, measured=("length_m", "loft_deg", "head_kg"), estimated=(("lie_deg", 1.0),))
    found = row(no_lie, want)
    assert kinds(found.actions) == ["work.measure_first", "work.bend_loft"]
    assert found.target.loft_deg == want.loft_deg and found.target.lie_deg == seven.lie_deg


def test_a_head_of_known_swing_weight_waits_for_a_length_that_nobody_measured():
    have = replace(club("7i", 262, within=0), swing_weight_inoz=215.0, measured=NAMES[1:])
    have = replace(have, estimated=(("length_m", 0.004),))
    found = row(have, replace(have, head_kg=272 * GRAM, length_m=LENGTH, estimated=()))
    assert kinds(found.actions) == ["work.measure_first"] and found.target == have
    assert found.wanted.head_kg == 272 * GRAM and found.tentative == ("length_m", "head_kg")
    sure = replace(have, estimated=(), measured=NAMES)
    assert "work.add_mass" in kinds(row(sure, replace(sure, head_kg=272 * GRAM, length_m=LENGTH)).actions)


# how likely it is that a head cannot be made to fit


@pytest.mark.parametrize(
    ("within", "over", "likely"),
    [(1.0, 3.0, True), (10.0, 3.0, True), (10.0, 1.0, False), (1.0, 1.0, False), (11.0, -4.0, False)],
)
def test_a_head_is_likely_replaced_by_the_chance_and_not_by_the_middle_of_an_estimate(within, over, likely):
    """12 g can be added, and short of 2 g is near enough: so much over it, of a head known to so many grams."""
    have = club("6i", 262, within=within)
    sd = within / 1.645
    chance = sum(0.5 * (1 + math.erf(x / (sd * math.sqrt(2)))) for x in (over - 2, -over - 17))
    assert (chance > 0.5) is likely
    found = row(have, made(have, 262 + 12 + over))
    assert bool(found.look_for) is likely
    if not likely:
        assert kinds(found.actions) == ["work.measure_first"] and found.target == have
    else:
        assert found.look_for[0].terms["start"] == "estimated"
        assert found.look_for[0].quantities["risk"].value == pytest.approx(chance, abs=1e-6)
        assert re.match(r"likely \(\d+\s%\): look for a head", phrase(found.look_for[0], "metric"))


def test_a_bend_that_only_a_usual_angle_forbids_is_no_sure_new_head():
    seven = replace(norm_club("7i"), measured=("length_m", "head_kg"), head_material="cast")
    much = row(seven, replace(seven, lie_deg=seven.lie_deg + 5))
    assert much.look_for[0].terms["start"] == "usual"
    assert phrases(much.problems, "metric")[0].endswith("; measure it first")
    sure = row(replace(seven, measured=NAMES), replace(seven, lie_deg=seven.lie_deg + 5))
    assert sure.look_for[0].terms["start"] == "" and not sure.problems[0].terms["start"]


def test_the_cost_tells_sure_new_heads_from_likely_ones():
    have = [club("5i", 250, within=0), club("6i", 250, within=3), club("8i", 276)]
    want = [made(c, 275) for c in have]
    work = work_for(have, want)
    assert (work.heads, work.likely_heads) == (1, 1)
    said = state("verdict.work", clubs_to_build=1, heads=1, likely=1, time=300.0)
    assert (
        phrase(said, "metric") == "1 club to work on now (5 min), for others: 1 new head, 1 likely new head"
    )
    parts = [(s.kind, s.terms["need"]) for s in build_sheet(have, want).parts if s.kind == "parts.head"]
    assert parts == [("parts.head", ""), ("parts.head", "likely")]


# a shaft that has yet to be found


def test_a_shaft_that_is_found_has_no_swing_weight_before_a_scale_shows_it():
    """The old shaft's swing weight went over to the new one as if a scale had shown it."""
    have = replace(club("pw", 284, within=0), shaft_kg=62 * GRAM, grip_kg=42 * GRAM, swing_weight_inoz=205.0)
    found = row(have, made(have, 284, have.length_m + 1.5 * INCH))
    assert found.swing_weight_wanted_within > 2 and "." not in found.swing_weight_wanted
    built = as_built(have, found.wanted)
    assert built.shaft_kg is built.swing_weight_inoz is None and points_within(built) > 2
    longer = as_built(have, row(have, made(have, 284, have.length_m + 0.5 * INCH)).target)
    assert longer.swing_weight_inoz is not None and points_within(longer) is None


def test_a_usual_shaft_is_told_with_its_spread_and_in_the_parts_only():
    have = replace(club("pw", 284, within=0), shaft_kg=None)
    found = row(have, made(have, 284, have.length_m + 1.5 * INCH))
    said = phrases(found.look_for, "metric")[-1].replace("\u00a0", " ")
    assert said == "look for a shaft for 94 cm"
    mass = found.look_for[-1].quantities["mass"]
    assert mass.high - mass.value == pytest.approx(0.020, abs=5e-4)


@pytest.mark.parametrize(
    ("inches", "said", "needs"),
    [
        (36.0, "then extend 13 mm at the butt, to 92.7 cm, with a new grip", "grip, butt extension"),
        (37.0, "then cut 13 mm off the butt, to 92.7 cm, with a new grip", "grip"),
    ],
)
def test_a_club_that_needs_another_head_names_what_its_shaft_needs_then(inches, said, needs):
    """The length is known and is not right: neither list told of the cut or the extension, nor of the grip."""
    have = replace(club("8i", 290, within=0), length_m=inches * INCH)
    sheet = build_sheet([have], [made(have, 269)])
    (found,) = sheet.clubs
    assert [x.replace("\u00a0", " ") for x in then(found.then, "metric")] == [said]
    assert found.target == have and not found.minutes, "nothing is ordered yet"
    (part,) = [phrase(s, "metric") for s in sheet.parts if s.kind == "parts.head"]
    assert part.endswith(f", loft 38.5\u00b0, lie {found.wanted.lie_deg:g}\u00b0, ferrule, then {needs}")
    assert {"parts.epoxy", "parts.tape"} <= set(kinds(sheet.parts)) and not sheet.cure_hours
    assert {"grip", "cut" if inches > 36.5 else "extend"} <= {c.id for c in sheet.cautions}
    guessed = replace(have, measured=("loft_deg", "lie_deg", "head_kg"), estimated=(("length_m", 0.01),))
    (waits,) = build_sheet([guessed], [replace(guessed, head_kg=269 * GRAM, length_m=LENGTH)]).clubs
    assert (
        then(waits.then, "metric")[0]
        .replace("\u00a0", " ")
        .startswith("then length to 92.7 cm (measure first")
    )
