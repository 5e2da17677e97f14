"""What the workshop is handed agrees with itself: one loft, one lie, one cost and one start for each club at every door."""

import re
from dataclasses import replace

import pytest

from app import edits
from app.demo import demo_case
from app.phrases import phrase, phrases
from app.phrases.say import bench_time
from engine.documents.case import Case, Layout, LayoutClub, Player, Shot, WantedCarry, Wants
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.sets.plan import ORDERED
from engine.workshop.balance import usual_parts, weigh
from engine.workshop.build_sheet import build_sheet
from engine.workshop.norms import norm_bag, norm_club
from tests.app.driver import Person, all_hit, plain, with_balls

CARRIES = {"7i": (150, 152, 149, 151), "5i": (170, 172, 168), "9i": (128, 130, 127), "pw": (116, 118, 114)}

# twelve metres apart down from the 7-iron
SPACED = tuple(
    WantedCarry(club, 149.7 - 12.0 * n) for n, club in enumerate(("8i", "9i", "pw", "gw", "sw", "lw"), 1)
)


def player(layout="single", **wants):
    """A man who hit four of his usual clubs, of which nothing was measured."""
    return Case(
        player=Player(sex="male", height_m=1.83, label="Tilda Brandt"),
        bag=norm_bag("male"),
        shots=tuple(Shot(club, carry_m=carry) for club, carries in CARRIES.items() for carry in carries),
        layouts=(
            Layout("now", "present"),
            Layout("stepped", "stepped"),
            Layout("single", "single", common_length_m=0.9398),
        ),
        wants=Wants(layout=layout, **wants),
    )


def sheet_of(case):
    return {work.id: work for work in Fitting(case, 64).build.clubs}


@pytest.mark.parametrize("layout", ["single", "stepped", "now"])
def test_one_head_is_looked_for_whoever_is_asked(layout):
    """The sheet, the fold of lofts and what is predicted speak of one loft for each club."""
    fitting = Fitting(player(layout, gap_m=12.0), 64)
    carried = {c.id: c.loft_deg for c in fitting.clubs}
    sought = 0
    for club in fitting.lofts.clubs:
        work = next(w for w in fitting.build.clubs if w.id == club.club)
        assert work.wanted.loft_deg == club.bounded_loft_deg == carried[club.club]
        heads = [s.quantities["loft"].value for s in work.look_for if s.kind == "find.head"]
        told = [s.quantities["loft"].value for s in club.statements if s.kind == "loft.build_new"]
        assert heads in (told, [work.wanted.loft_deg])
        sought += len(heads)
        bent = [s.kind for s in club.statements if s.kind in ("loft.bend", "loft.head_stops")]
        assert not (heads and bent), club.club
    assert sought >= {"single": 7, "stepped": 0, "now": 0}[layout]


def test_a_sheet_that_the_heads_allow_says_what_still_misses():
    """'All can be done' is not said over clubs that then carry other than asked, and each says so in its work."""
    case = all_hit(player("now", gap_m=14.0))
    bag = tuple(replace(c, measured=("length_m", "loft_deg", "lie_deg", "head_kg")) for c in case.bag)
    person = Person(replace(case, bag=bag)).go("Build")
    told = person.text()
    head = told[: told.index("Clubs to change")]
    assert "All of this can be done with the present heads" not in head
    missed = re.search(r"the gap you asked for is missed by 1.0 m or more: ([^.]+)\.", head)[1]
    assert any(w.minutes and w.name in missed for w in person.state.fitting.build.clubs)
    for work in person.state.fitting.build.clubs:
        if work.minutes and work.name in missed:
            row = next(r for r in person.rows("Clubs to change") if r[0].startswith(work.name))
            assert re.search(r"carries \d+ m, [\d.]+ m (more|less) than wanted", row[-1]), row


TOLD_OF_CARRIES = {"loft.off", "loft.head_stops", "loft.find_head"}


@pytest.mark.parametrize(
    ("wants", "bent"),
    [
        ({"gap_m": 14.0}, 0.0),
        ({"gap_m": 14.0, "least_bend_deg": 2.0}, 0.0),
        ({"gap_m": 12.0}, 2.0),
        ({"gap_m": 14.0}, 2.0),
        ({"carries": SPACED}, 0.0),
        ({"carries": SPACED}, 2.0),
    ],
)
def test_of_a_club_that_nobody_hit_no_carry_is_told_and_no_head_sought(wants, bent):
    """ "Carries 105 m, 2.3 m more than wanted" was said of a wedge known to ten metres; a head spent or a coarse machine
    makes no difference."""
    case = player("now", **wants)
    names = ("length_m", "loft_deg", "lie_deg", "head_kg")
    case = replace(case, bag=tuple(replace(c, measured=names, bent_loft_deg=bent or None) for c in case.bag))
    fitting = Fitting(case, 64)
    unhit = [c for c in fitting.lofts.clubs if c.club not in fitting.clubs_hit]
    assert not [c.club for c in unhit if TOLD_OF_CARRIES & {s.kind for s in c.statements}]
    first = {c.club for c in unhit if c.hit_first}
    assert "sw" in first and all(c.statements[0].kind == "loft.hit_first" for c in unhit if c.hit_first)
    assert not [c.club for c in unhit if abs(c.off_m) > 1.0 and c.reachable and not c.waits]
    if bent and "carries" in wants:  # the heads go no farther: no loft is predicted to do it
        assert not [c.club for c in unhit if c.hit_first and "loft" in c.statements[0].quantities]
    made = {c.id: c.loft_deg for c in fitting.clubs}
    assert all(made[i] == case.club(i).loft_deg for i in first), "not bent before"
    missed = {c.id for s in fitting.lofts.statements if s.kind == "loft.missed" for c in s.clubs}
    to_hit = {c.id for s in fitting.lofts.statements if s.kind == "loft.unhit" for c in s.clubs}
    assert not missed & first and first <= to_hit
    text = Person(case).go("Build").text()
    assert "Sand wedge: hit it first: it should carry" in text
    known = Fitting(all_hit(case), 64).lofts
    assert any(TOLD_OF_CARRIES & {s.kind for s in c.statements} for c in known.clubs if c.club in first)


def test_a_loft_set_by_hand_is_not_bent_by_the_plan_of_lofts():
    case = player("stepped", gap_m=12.0)
    mine = replace(
        case.layouts[1],
        clubs=tuple(
            LayoutClub(c.id, loft_deg=39.0 if c.id == "8i" else None)
            for c in case.bag
            if c.family in ("iron", "wedge")
        ),
    )
    fitting = Fitting(replace(case, layouts=(case.layouts[0], mine)), 64)
    plan = next(c for c in fitting.lofts.clubs if c.club == "8i")
    assert plan.bounded_loft_deg == 39.0
    assert [s.kind for s in plan.statements] == ["loft.kept"]
    missed = [c.id for s in fitting.lofts.statements if s.kind == "loft.missed" for c in s.clubs]
    assert "8i" not in missed


def test_what_was_ordered_once_is_not_bent_for_a_gap_asked_for_later():
    case = player("single")
    irons = [c for c in case.bag if c.family in ("iron", "wedge")]
    left = Layout(
        ORDERED, "own", clubs=tuple(LayoutClub(c.id, loft_deg=38.0 if c.id == "8i" else None) for c in irons)
    )
    case = replace(case, layouts=(case.layouts[0], left), wants=Wants(layout=ORDERED, gap_m=12.0))
    person = Person(case).go("Build")
    busy = [w for w in person.state.fitting.build.clubs if w.minutes]
    assert [(w.id, w.wanted.loft_deg) for w in busy] == [("8i", 38.0)]
    assert "bent towards" not in person.text()


def bend_only():
    """A wedge with half a degree of loft to make, nothing weighed: its swing weight is calculated, and nobody ordered it."""
    case = player("now")
    mine = Layout(
        "mine",
        "own",
        clubs=tuple(
            LayoutClub(c.id, loft_deg=48.0 if c.id == "pw" else None)
            for c in case.bag
            if c.family in ("iron", "wedge")
        ),
    )
    return replace(case, layouts=(mine,), wants=Wants(layout="mine"))


def test_a_swing_weight_that_was_only_estimated_is_never_off_the_order():
    person = Person(bend_only()).go("Build").choose("Club on the bench", "Pitching wedge")
    assert person.find("Measured swing weight").placeholder == ""
    assert not re.search(r"Ordered: [^W]*[A-G]\d", person.text())
    person.type("Measured swing weight", "D6")
    assert person.case.bench[0].swing_weight_inoz == 213.5 + 6 * 1.75
    assert "Not as ordered" not in person.text()
    person.press("It is built: make this the present bag")
    assert "Not as ordered" not in person.text()
    assert not any(x.id == ORDERED for x in person.case.layouts)  # and no head weight is ordered next
    assert person.case.club("pw").swing_weight_inoz == 213.5 + 6 * 1.75


def test_a_calculated_swing_weight_is_off_only_beyond_what_it_may_be_off():
    """Weight was ordered, so the scale is held against the sheet, as far as the sheet itself knows."""
    case = player("single")
    six = sheet_of(case)["6i"]
    about = 30 + float(six.swing_weight_wanted[1:])
    asked = six.swing_weight_wanted_within
    assert six.swing_weight_wanted[0] == "D" and 1.5 < asked < 4
    person = Person(case).go("Build").choose("Club on the bench", "6-iron")
    assert person.find("Measured swing weight").placeholder == f"{six.swing_weight_wanted} ordered"
    person.type("Measured swing weight", f"D{about - 30 + asked - 1:.1f}")
    assert "Not as ordered" not in person.text()
    person.type("Measured swing weight", f"D{about - 30 + asked + 1:.1f}")
    assert re.search(r"swing weight D[\d.]+, ordered D\d ± \d", person.text())


@pytest.mark.parametrize("layout", ["single", "now"])
def test_no_tenths_stand_beside_a_swing_weight_that_may_be_points_off(layout):
    for work in sheet_of(player(layout)).values():
        assert re.fullmatch(r"[A-G]\d", work.swing_weight_before), work.name
        assert re.fullmatch(r"[A-G]\d", work.swing_weight_wanted), work.name
    told = plain(Person(player(layout)).go("Build").markup())
    assert not re.search(r"[A-G]\d\.\d ± \d", told)


def test_a_swing_weight_off_a_scale_keeps_its_tenth():
    case = player("now")
    bag = tuple(replace(c, swing_weight_inoz=213.5 + 2.5 * 1.75) if c.id == "pw" else c for c in case.bag)
    assert sheet_of(replace(case, bag=bag))["pw"].swing_weight_before == "D2.5"


def test_equal_heads_on_equal_lengths_come_to_one_swing_weight():
    """But for an extension. By hand: 4 g of it at the butt, 14 in above the fulcrum, take 1.1 points; the shaft of 118 g, as
    heavy as a longer one, lies a quarter of an inch farther down and gives 0.6 back."""
    single = [w for w in sheet_of(player("single")).values() if w.wanted.length_m == 0.9398]
    assert len(single) == 9 and len({w.wanted.head_kg for w in single}) == 1
    points = {w.id: weigh(usual_parts(w.wanted)).moment_inoz / 1.75 for w in single}
    plugged = [w.id for w in single if 0 < w.wanted.length_m - w.now[0].value < 0.0255]
    rest = [v for i, v in points.items() if i not in plugged]
    assert max(rest) - min(rest) < 0.5
    assert plugged == ["8i", "9i"]
    assert points["7i"] - points["8i"] == pytest.approx(0.53, abs=0.1)


def tall(**wants):
    case = player("now", **wants)
    return replace(case, player=replace(case.player, height_m=1.93))


def test_the_lies_offered_are_the_lies_ordered():
    """What the fold says is to be built is what the sheet has, to the same half degree, and is worth a bend."""
    person = Person(tall()).go("Measure").open("Lies from a board, ball flight or the body")
    offered = {c.id: c for c in person.state.fitting.lies}
    person.press("Take these lies into every set").go("Build")
    work = {w.id: w for w in person.state.fitting.build.clubs}
    bent = 0
    for id_, lie in offered.items():
        assert work[id_].feasible and work[id_].wanted.lie_deg == lie.lie_deg == work[id_].target.lie_deg
        bent += lie.lie_deg != lie.present_deg
        assert (2 * (lie.lie_deg - lie.present_deg)) % 1 == 0  # in half degrees from what the head has
    assert bent >= 7


def test_both_folds_of_the_body_say_one_number_and_how_it_follows():
    person = Person(tall()).go("Measure").open("Lies from a board, ball flight or the body")
    person.open("Length, lie and grip from body measures")
    told = person.text()
    begun = re.findall(r"begin (?:up to |([\d.]+)° to )?([\d.]+)° (upright|flat)", told)
    assert len(begun) == 2 and len(set(begun)) == 1
    bends = {float(row[4]) for row in person.rows("Lies to build")[1:]}
    assert (min(bends), max(bends)) == (float(begun[0][0] or min(bends)), float(begun[0][1]))
    asked = {
        float(x)
        for x in re.findall(r"At address (?:it asks for|the body asks for lies about) ([\d.]+)°", told)
    }
    assert len(asked) == 1 and asked.pop() > float(begun[0][1])
    assert not re.search(r"[Ss]tart with lies", told)


def test_a_start_that_nobody_measured_is_measured_first_and_given_a_target():
    """Of a usual club a figure to come to; of one that was measured the change, and the same figure."""
    case = edits.as_measured(["7i"])(player("single"))  # else the others wait for it
    usual = sheet_of(case)["6i"]
    measured = ("length_m", "loft_deg", "lie_deg", "head_kg")
    bag = tuple(replace(c, measured=measured) if c.id == "6i" else c for c in case.bag)
    known = sheet_of(replace(case, bag=bag))["6i"]
    assert len(usual.actions) == len(known.actions) == 3
    for system in ("metric", "imperial"):
        for text in phrases(usual.actions, system):
            assert re.match(r"\w+ to \d.* \((weigh|measure) first(; at most \d.*)?\)$", text), text
        for text in phrases(known.actions, system):
            assert re.match(r"(add|cut|bend) \d.*, to \d", text), text
    person = Person(case).go("Build")
    assert "lie to 62.5° (measure first; at most 1°)" in person.text()


@pytest.mark.parametrize("wants", [{}, {"gap_m": 12.0}, {"gap_m": 12.0, "least_bend_deg": 1.5}])
def test_the_cost_of_a_set_is_what_its_sheet_lists(wants):
    """Clubs, heads, shafts and minutes of the verdict's line, of the sheet's headline and of its rows."""
    person = Person(player("single", **wants)).go("Lay out")
    fitting = person.state.fitting
    cost = re.search(
        r"(\d+) clubs? to work on now \((.*?)\), for others: (\d+) likely new heads?, (\d+) shafts?",
        person.text(),
    )
    rows = fitting.build.clubs
    sought = [s.kind for w in rows for s in w.look_for]
    assert not any(w.look_for for w in rows if w.minutes), "the parts are for other clubs"
    assert int(cost[1]) == sum(w.minutes > 5 for w in rows), "a club that is only measured takes 5 min"
    assert cost[2] == bench_time(fitting.build.minutes) == bench_time(sum(w.minutes for w in rows))
    assert (int(cost[3]), int(cost[4])) == (sought.count("find.head"), sought.count("find.shaft"))
    told = person.go("Build").text()
    assert f"Clubs to work on now {cost[1]} Bench time {cost[2]}" in told
    measured = sum(w.minutes == 5 for w in rows)
    assert measured and re.search(rf"Only to measure {measured}\b", told)
    assert "The bench time is without fitting new heads and shafts." in told
    assert f"Likely new heads {cost[3]}" in told and f"New shafts to find {cost[4]}" in told


def lines_of(person, name):
    """The lines of a club's cells on the printed sheet, column by column."""
    table = next(
        t for t in re.findall(r"<table.*?</table>", person.markup(), re.DOTALL) if "Clubs to change" in t
    )
    row = next(r for r in re.findall(r"<tr.*?</tr>", table, re.DOTALL) if name in r)
    cells = re.findall(r"<td.*?</td>", row, re.DOTALL)
    return [
        [plain(x) for x in re.findall(r"<(?:span|b)(?: class=\"box\")?>([^<]*)</(?:span|b)>", c)]
        for c in cells
    ]


def test_the_printed_sheet_has_a_box_for_what_is_measured_before_the_work():
    case = all_hit(player("now", carries=SPACED))
    bag = tuple(
        replace(c, measured=("length_m", "loft_deg", "lie_deg", "head_kg"))
        if c.id == "pw"
        else replace(c, measured=("loft_deg",))
        if c.id == "9i"
        else c
        for c in case.bag
    )
    person = Person(replace(case, bag=bag)).go("Build")
    labels, length, loft = lines_of(person, "8-iron")[:3]
    assert labels == ["usual", "as measured", "wanted", "as built"]
    assert length == ["92.7*", "", "92.7", ""] and loft == ["38.5*", "", "39", ""]
    labels, length, loft = lines_of(person, "9-iron")[:3]
    assert [x for x in labels if x] == ["now", "as measured", "wanted", "as built"]
    assert length[1] == "" and loft == ["42.5", "43.5", ""]  # told once, and no box to measure it again
    labels, length, loft = lines_of(person, "Pitching wedge")[:3]
    assert labels == ["measured", "wanted", "as built"] and loft == ["47", "48", ""]


def test_a_wedge_whose_loft_is_bent_has_its_bounce_looked_at():
    """Only where bounce was entered is a figure told of it; it goes with the loft, degree for degree (rigid rotation)."""
    case = all_hit(player("now", carries=SPACED))
    bag = tuple(replace(c, bounce_deg=10.0) if c.id == "gw" else c for c in case.bag)
    work = sheet_of(replace(case, bag=bag))
    bent = {i: w.target.loft_deg - case.club(i).loft_deg for i, w in work.items()}
    assert bent["gw"] == bent["sw"] == 1.0 and bent["8i"] == 0.5
    assert phrases(work["gw"].notes, "metric") == ["bounce becomes 11°"]
    said, then = phrases(work["sw"].actions, "metric")  # what comes first stands first
    assert said.startswith("look at the sole first: more bounce") and then.startswith("loft to 57\u00b0 (")
    assert work["sw"].notes == work["8i"].notes == ()
    told = Person(replace(case, bag=bag)).go("Build").text()
    assert said in told and "bounce becomes 11°" in told


@pytest.mark.parametrize(
    ("flex", "said"), [(None, "usually flex stiff?, "), ("own", "(weigh it), flex own, ")]
)
def test_a_flex_that_nobody_gave_is_no_firm_figure_of_the_shaft_to_find(flex, said):
    """ "flex S" stood among the parts of a player of whose shafts nobody had said anything."""
    have = replace(norm_club("9i"), shaft_flex=flex)
    made = build_sheet([have], [replace(have, length_m=have.length_m + 0.05)], driver_speed_mps=45.0)
    told = next(x for x in phrases(made.parts, "metric") if "shaft for" in x)
    named = made.clubs[0].flex.likely
    assert said.replace("stiff?", named) in told


def test_warnings_come_before_the_work_and_a_head_of_unknown_material_is_found_out_first():
    case = player("now", carries=SPACED)
    forged = tuple(replace(c, head_material="forged") for c in case.bag)
    for bag, unknown in ((case.bag, 1), (forged, 0)):
        text = Person(replace(case, bag=bag)).go("Build").text()
        assert text.index("Before you begin") < text.index("Order of work")
        assert text.count("find it out first: cast heads bend little") == unknown
        order = text[text.index("Order of work") :]
        assert order.count("Find out what these heads are made of: ") == unknown
        assert text.count("Length is measured along the back of the shaft") == 1


def test_clubs_without_work_stand_below_those_left_as_they_are():
    person = Person(player("single")).go("Build")
    text = person.text()
    works = person.state.fitting.build.clubs
    change, wait = (
        {r[0] for r in person.rows(caption)[1:]}
        for caption in ("Clubs to change", "No work is ordered for these yet")
    )
    assert change == {w.name for w in works if w.minutes} and wait == {
        w.name for w in works if not w.feasible
    }
    assert change and wait
    order = [
        text.index(x)
        for x in ("Clubs to change", "Leave these as they are: ", "No work is ordered for these")
    ]
    assert order == sorted(order)


def test_the_swing_weight_is_checked_dry_before_anything_is_glued():
    sheet = Fitting(player("single"), 64).build
    order = [s.kind for s in sheet.order]
    assert order.index("order.length") < order.index("order.dry") < order.index("order.cure")
    dry = next(s for s in sheet.order if s.kind == "order.dry")
    assert "With the grip on, or laid along the butt" in phrase(
        dry, "metric"
    )  # a swing weight is that of a whole club
    assert [c.id for c in dry.clubs] == [w.id for w in sheet.clubs if "epoxy" in w.work]
    assert "order.dry" not in [
        s.kind for s in Fitting(player("now", gap_m=12.0), 64).build.order
    ]  # nothing is glued


def test_a_sheet_of_lies_that_nobody_knows_asks_for_a_new_one_and_promises_nothing():
    """It said that all of this could be done, ordered no step after the first measuring, and was silent on face and path."""
    case = demo_case()
    bag = tuple(replace(c, lie_deg=None) if c.family in ("iron", "wedge") else c for c in case.bag)
    case = read_case(replace(case, bag=bag).to_doc())
    flown = with_balls(case, [Shot("7i", carry_m=130.0, side_m=x) for x in (6.0, 7.0, 8.0, 9.0)])
    person = Person(edits.lies(flown, True)).go("Build")
    text = person.text()
    assert "measure the lie first" in text and "All of this can be done" not in text
    assert "Face and path send a ball to one side too" in text
    kinds = [s.kind for s in person.state.fitting.build.order]
    assert kinds == ["order.measure", "order.again"] and "print a new sheet" in text


def test_a_sheet_speaks_of_no_box_and_no_step_that_it_does_not_have():
    """Of clubs that were all measured it asked to fill in boxes that it had not; with nothing to do it told the steps."""
    bag = tuple(
        replace(c, measured=("length_m", "loft_deg", "lie_deg", "head_kg"), head_material="forged")
        for c in demo_case().bag
    )
    idle = Person(replace(demo_case(), bag=bag)).go("Build")
    assert "Nothing needs changing" in idle.text() and "ordered in steps" not in idle.text()
    bent = Person(edits.wants("gap_m")(all_hit(replace(demo_case(), bag=bag)), 11.0)).go("Build").text()
    assert (
        "ordered in steps" in bent
        and "as measured before" not in bent
        and "fill in the boxes with what was built" in bent
    )
    usual = Person(edits.wants("gap_m")(all_hit(demo_case()), 11.0)).go("Build").text()
    assert "as measured before the work" in usual


def test_no_club_is_touched_before_the_heads_to_find_are_in_hand():
    """It pulled and cut one iron of a set for which seven heads had yet to be found, of either hand."""
    case = player("single")
    fitting = Fitting(replace(case, player=replace(case.player, handed="left")), 64)
    sought = [w for w in fitting.build.clubs if any(s.kind == "find.head" for s in w.look_for)]
    measure, scale, again, first = fitting.build.order[:4]
    assert measure.kind == "order.measure", "what is to be found rests on it"
    assert scale.kind == "order.weigh"
    assert again.kind == "order.again"  # what is taken of the 7-iron, too
    assert first.kind == "order.find" and {w.id for w in sought} == {c.id for c in first.clubs}
    text = Person(fitting.case).go("Build").text()
    assert f"{len(sought)} likely heads to find: 5-iron: left-handed head of 268 g, loft 27°, " in text
    assert re.search(r"loft 27°, lie 62(\.5)?° \(measure first\), ferrule, then grip;", text)
    assert text.count("look for a left-handed head") == len(sought) == 7
    assert text.count("then length to 94") == sum(bool(w.then) for w in sought) == 3
    assert "left-handed head" not in Person(case).go("Build").text()
    assert "order.find" not in [s.kind for s in Fitting(player("now", gap_m=12.0), 64).build.order]


def test_a_set_that_is_worked_on_is_measured_as_a_whole():
    """Clubs of a kind, and no wood for the sake of an iron."""
    sheet = Fitting(all_hit(player("now", gap_m=12.0)), 64).build
    asked = [c.id for c in sheet.order[0].clubs]
    assert asked == [c.id for c in sheet.clubs for c in [c.target] if c.family in ("iron", "wedge")]
    assert len(asked) > sum(c.minutes > 0 for c in sheet.clubs)


def test_heads_that_are_likely_to_be_replaced_are_counted_and_get_no_work():
    """All but two heads was measured: the 6-iron may take the weight it lacks, the 9-iron is far too heavy."""
    case = player("single")
    names = ("length_m", "loft_deg", "lie_deg", "head_kg")
    bag = [replace(c, measured=names) for c in case.bag if c.id in ("6i", "7i", "9i")]
    bag = tuple(c if c.id == "7i" else c.unknown("head_kg") for c in bag)
    person = Person(replace(case, bag=bag, shots=())).go("Build")
    rows = {w.id: w for w in person.state.fitting.build.clubs}
    assert [a.kind for a in rows["6i"].actions] == ["work.measure_first"]
    assert [s.kind for s in rows["9i"].look_for] == ["find.head"] and not rows["9i"].minutes
    text = person.text()
    assert "New heads to find" not in text and "Likely new heads 1" in text
    assert "%): look for a" in text and "Weigh a glued head on the club" in text


def test_what_waits_for_the_scale_is_left_to_do_once_the_rest_was_built():
    """A club whose head is weighed first was neither cut nor bent: its length, lie and head stay in the order."""
    case = player("single")
    names = ("length_m", "loft_deg", "lie_deg", "head_kg")
    bag = [replace(c, measured=names, head_material="forged") for c in case.bag if c.id in ("6i", "7i")]
    bag = tuple(c if c.id == "7i" else c.unknown("head_kg") for c in bag)
    layout = Layout("single", "single", common_length_m=0.9398)
    case = replace(case, bag=bag, shots=(), layouts=(layout,), wants=Wants(layout="single"))
    person = Person(case).go("Build")
    (six,) = [w for w in person.state.fitting.build.clubs if w.id == "6i"]
    assert six.target.length_m == bag[0].length_m and six.wanted.lie_deg != six.target.lie_deg
    person.press("It is built: make this the present bag")
    if person.sees("They came out as planned: use this as the present bag"):
        person.press("They came out as planned: use this as the present bag")
    ordered = next(x for x in person.state.case.layouts if x.id == ORDERED)
    left = next(c for c in ordered.clubs if c.id == "6i")
    assert (left.length_m, left.lie_deg, left.head_kg) == (
        six.wanted.length_m,
        six.wanted.lie_deg,
        six.wanted.head_kg,
    )
