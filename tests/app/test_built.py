"""After "It is built": the bag is what the sheet ordered, and the clubs as they were teach the swing and nothing else."""

from dataclasses import replace

import panel as pn
import pytest

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.phrases import phrases
from app.players import default_layouts
from app.screens.sheet import LayoutToBuild
from engine.documents.case import Shot
from engine.documents.reading import read_case, restore
from engine.fitting.fitting import Fitting
from engine.sets.plan import plan
from engine.solve import solve
from tests.app.driver import Person, all_hit, with_balls

KINDS = ("present", "stepped", "single", "single_wedges", "two_lengths", "own")


@pytest.fixture
def page():
    bridge.install(None)
    bridge.outbox.clear()
    page = Page({})
    page.state.add_player(demo_case())
    return page


def press(page, label):
    """Press the one button of the open screen with this label."""
    (found,) = [b for b in page.here.view.select(pn.widgets.Button) if b.label == label]
    found.clicks += 1


def build(page, layout_id):
    """Choose a layout on Build and say that it is built, whatever the sheet says of it."""
    page.go("build")
    page.here.which.take(layout_id)
    press(page, "It is built: make this the present bag")
    if page.here.asking:
        press(page, "They came out as planned: use this as the present bag")


def orders(case):
    """What the sheet orders: the clubs with work, and the minutes."""
    sheet = LayoutToBuild(Fitting(case)).sheet
    return [c.name for c in sheet.clubs if c.minutes or not c.feasible], sheet.minutes


def figures(club):
    return club.length_m, club.loft_deg, club.lie_deg, club.head_kg


@pytest.mark.parametrize("gap", [None, 11.0])
@pytest.mark.parametrize("layout_id", ["stepped", "single"])
def test_the_next_sheet_orders_nothing(page, layout_id, gap):
    page.state.change(edits.layout(layout_id, length_step_m=0.0127), "laid out")
    page.state.change(edits.as_measured(["7i"]), "measured")  # else no head is bent to its lie
    page.state.change(all_hit, "hit")  # else none is bent for a gap
    if gap:
        page.state.change(lambda case: edits.wants("gap_m")(case, gap), "gap")
    page.go("build")
    page.here.which.take(layout_id)
    ordered = page.state.fitting.clubs
    before = {c.id: c for c in page.state.case.bag}
    assert gap is None or any(abs(c.loft_deg - before[c.id].loft_deg) > 0.5 for c in ordered)
    build(page, layout_id)
    after = {c.id: c for c in page.state.case.bag}
    for club in ordered:
        for now, asked in zip(figures(after[club.id]), figures(club), strict=True):
            assert now == pytest.approx(
                asked, abs=0.5
            )  # in degrees, what a machine repeats; lengths, masses below
        assert after[club.id].length_m == pytest.approx(club.length_m, abs=0.0032)
        assert after[club.id].head_kg == pytest.approx(club.head_kg, abs=0.001)
    assert orders(page.state.case) == ([], 0)
    for kind in KINDS[1:3]:  # what is added later does not take its place on the sheet
        page.state.change(lambda case, kind=kind: edits.add_layout(case, kind), "added")
    assert page.state.fitting.layout.id == "built" and orders(page.state.case) == ([], 0)


def test_a_gap_asked_for_bends_the_bag_itself(page):
    page.state.change(lambda case: edits.wants("gap_m")(all_hit(case), 11.0), "gap")
    page.go("build")
    page.here.which.take("stepped")
    ordered = {c.id: c.loft_deg for c in page.state.fitting.clubs}
    bent = [i for i, loft in ordered.items() if abs(loft - page.state.case.club(i).loft_deg) > 0.5]
    build(page, "stepped")
    assert bent
    assert all(page.state.case.club(i).loft_deg == ordered[i] for i in bent)


def test_bounce_goes_with_the_bend():
    case = demo_case()
    wanted = tuple(
        replace(c, loft_deg=c.loft_deg + 2) if c.id == "sw" else c
        for c in plan(default_layouts(case.bag)[0], case.bag)
    )
    for bounce, after in ((10.0, 12.0), (None, None)):
        bag = tuple(replace(c, bounce_deg=bounce) if c.id == "sw" else c for c in case.bag)
        assert edits.built(replace(case, bag=bag), wanted).club("sw").bounce_deg == after


@pytest.mark.parametrize("off", [0.0002, -0.0005])
def test_rounding_makes_no_new_club_and_orphans_no_ball(page, off):
    """94.0 cm where the iron is 93.98: the sheet leaves it as it is, and so does the build."""
    seven = page.state.case.club("7i")
    page.state.change(edits.layout("single", common_length_m=seven.length_m + off), "94.0 cm")
    balls = sum(s.club == "7i" for s in page.state.case.shots)
    build(page, "single")
    assert page.state.case.club("7i") == seven
    assert sum(s.club == "7i" for s in page.state.case.shots) == balls
    assert page.state.case.club("5i").became is None and "5i-old" in {c.id for c in page.state.case.bag}


def former(case):
    return {c.id for c in case.bag if c.became}


def test_clubs_as_they_were_are_in_no_layout_verdict_or_sweep(page):
    build(page, "single")
    gone = former(page.state.case)
    assert gone == {"5i-old", "9i-old"}
    for kind in KINDS:
        page.state.change(
            lambda case, kind=kind: replace(
                case, layouts=(*case.layouts[:1], *edits.add_layout(case, kind).layouts[-1:])
            ),
            kind,
        )
        clubs = {c.id for x in page.state.result.layouts for c in x.clubs}
        assert not clubs & gone
    page.state.change(
        lambda case: replace(case, layouts=(*case.layouts[:1], *default_layouts(case.bag))), "more"
    )
    fitting = page.state.fitting
    assert not {c.id for c in fitting.present} & gone
    assert fitting.common_length.clubs == sum(c.family in ("iron", "wedge") for c in fitting.present)
    assert not {c.club for c in fitting.build.rules.findings} & gone
    assert not {c.id for c in fitting.make_up.carried} & gone
    assert not {o.club for o in fitting.next_ball.next.ranking} & gone


def test_edits_by_hand_and_lofts_from_iron_to_iron_leave_them_out(page):
    build(page, "single")
    page.state.change(lambda case: edits.add_layout(case, "stepped"), "added")
    gone = former(page.state.case)
    for edit in (
        lambda case: edits.layout_club("stepped", "7i", "loft_deg")(case, 33.0),
        edits.loft_steps("stepped", 4.0),
        edits.without_irons_above("stepped", "6i"),
        edits.without_irons_above("stepped", None),
    ):
        named = {c.id for x in edit(page.state.case).layouts if x.id == "stepped" for c in x.clubs}
        assert named and not named & gone
    person = Person.at(page).go("Lay out").open("Also adjust: lofts, longest iron, gap")
    assert not {page.state.case.club(i).name for i in gone} & set(person.options("Longest iron"))


def test_their_balls_are_all_there_and_still_teach_the_swing(page):
    page.state.change(lambda case: with_balls(case, (Shot("5i", carry_m=146.0),)), "hit last")
    before = page.state.case
    build(page, "single")
    after = page.state.case
    assert after.shots[-1].club == "5i-old"
    assert [s.carry_m for s in after.shots] == [s.carry_m for s in before.shots]
    assert solve(after).calibration.parameters == solve(before).calibration.parameters
    page.go("hit")
    assert page.here.club.became is None  # the next balls are not written down under a club that is gone


def test_a_head_keeps_what_its_balls_said_of_it_when_it_is_bent():
    """A 7-iron that carries more than the others say, bent stronger, carries more still, not less."""
    case = demo_case()
    case = replace(
        case, shots=tuple(replace(s, carry_m=s.carry_m * 1.05) if s.club == "7i" else s for s in case.shots)
    )
    bag = plan(default_layouts(case.bag)[0], case.bag)
    wanted = tuple(replace(c, loft_deg=c.loft_deg - 1) if c.id == "7i" else c for c in bag)

    def carry(case):
        layouts = solve(replace(case, layouts=edits.built(case, ()).layouts)).layouts
        return next(c.carry_m.mean for c in layouts[0].clubs if c.id == "7i")

    before, after = carry(case), carry(edits.built(case, wanted))
    assert before + 0.5 < after < before + 4


def test_irons_that_were_left_out_of_the_set_stay_out_of_it(page):
    page.state.change(edits.without_irons_above("single", "6i"), "irons from the 6-iron")
    build(page, "single")
    ids = [c.id for c in page.state.result.layouts[0].clubs]
    assert "6i" in ids and "5i" not in ids and "dr" in ids


def test_undo_brings_the_old_bag_back(page):
    before = page.state.case
    build(page, "single")
    assert page.state.case.bag != before.bag
    page.state.undo()
    assert page.state.case.bag == before.bag and page.state.case.shots == before.shots
    assert page.state.case.layouts == before.layouts


def test_balls_after_the_build_are_judged_against_the_clubs_as_built(page):
    page.state.change(lambda case: edits.wants("gap_m")(case, 11.0), "gap")
    page.state.change(lambda case: edits.wants("layout")(case, "single"), "which")
    promised = {c.id: c for c in page.state.fitting.clubs}
    build(page, "single")
    flown = page.state.fitting.predict((promised["9i"],)).carry.mean()
    page.state.change(
        lambda case: edits.add_retest(case, tuple(Shot("9i", carry_m=110.0 + d) for d in (-2, 0, 2))), "hit"
    )
    (found,) = page.state.fitting.retest.clubs
    assert found.club == "9i" and found.predicted.mean == pytest.approx(float(flown), abs=0.5)


def test_a_second_build_keeps_every_ball_with_the_club_that_hit_it(page):
    build(page, "single")
    page.state.change(
        lambda case: with_balls(case, (Shot("5i", carry_m=140.0), Shot("5i", carry_m=142.0))), "hit"
    )
    new = page.state.case.club("5i")
    page.state.change(lambda case: edits.add_layout(case, "stepped"), "added")
    build(page, "stepped")
    case = page.state.case
    assert former(case) >= {"5i-old", "5i-old-2"} and case.club("5i-old-2").length_m == new.length_m
    assert [s.carry_m for s in case.shots if s.club == "5i-old-2"] == [140.0, 142.0]
    assert not any(c.became for c in plan(case.layouts[0], case.bag))


def test_a_club_can_be_carried_again(page):
    build(page, "single")
    person = Person.at(page).go("Measure").open("The bag: 14 clubs").open("One club at a time")
    told = "the club as it was before the build"
    assert not person.sees("Carry it again") and told not in person.text()
    person.choose("Club to edit", "5-iron (before)")
    assert person.case.club("5i-old").became == "5i" and told in person.text()
    person.press("Carry it again")
    assert not person.sees("Carry it again") and told not in person.text()
    assert person.case.club("5i-old").became is None and person.sees("The bag: 15 clubs")
    assert person.tapped("5-iron (before)")
    assert person.case.club("5i-old") in person.state.fitting.present


def test_sets_built_by_older_versions_open_with_their_former_clubs_told_apart():
    """They were told by id and name alone, and came back in every layout that was added."""
    case = demo_case()
    five = case.club("5i")
    doc = replace(
        case,
        bag=(
            *case.bag,
            replace(five, id="5i-old", name="5-iron (before)"),
            replace(five, id="5i-2", name="Another"),
        ),
    ).to_doc()
    for club in doc["bag"]:
        del club["became"]
    opened = restore(doc)
    assert opened.case.club("5i-old").became == "5i" and not opened.notes
    assert opened.case.club("5i").became is None and opened.case.club("5i-2").became is None
    assert read_case(doc).club("5i-old").became is None  # a script gets what it wrote


def test_a_former_club_of_a_long_id_is_told_too():
    """Older versions cut the id to 18 characters before they put ``-old`` to it."""
    case = demo_case()
    long = replace(case.club("5i"), id="a-five-iron-of-23-chars")
    bag = (long, replace(long, id="a-five-iron-of-23--old", name="5-iron (before)"))
    doc = replace(case, bag=bag, shots=()).to_doc()
    for club in doc["bag"]:
        del club["became"]
    assert restore(doc).case.club("a-five-iron-of-23--old").became == long.id


def test_a_case_of_nothing_but_former_clubs_harms_nothing():
    case = replace(demo_case(), bag=tuple(replace(c, became=c.id) for c in demo_case().bag))
    assert solve(case).layouts[0].clubs == ()
    Page({}).state.add_player(case)


@pytest.mark.parametrize(
    "answer",
    ["Leave those clubs as they are", "They came out as planned: use this as the present bag"],
)
def test_what_was_laid_out_and_the_heads_to_find_stay_after_a_build(answer):
    case = demo_case()
    case = edits.add_layout(edits.add_layout(case, "two_lengths"), "single_wedges")
    person = Person(replace(case, wants=replace(case.wants, layout="single"))).go("Build")
    sought = {w.name: w for w in person.page.here.to_build.sheet.clubs if not w.feasible}
    assert sought and "look for a head" in person.text()
    person.press("It is built: make this the present bag").press(answer)
    kept = [x for x in case.layouts if x.id != "single"]
    now = person.case.layouts
    assert [x for x in now if x.id not in ("built", "ordered")] == kept
    if answer.startswith("Leave"):
        person.choose("Set to build", "Left to do")
        again = {w.name: w for w in person.page.here.to_build.sheet.clubs if not w.feasible}
        assert again.keys() == sought.keys() and "look for a head" in person.text()
        for name, work in sought.items():
            assert phrases(again[name].look_for, "metric") == phrases(work.look_for, "metric")
            assert again[name].target == case.club(again[name].id)  # left as it was
        rows = person.go("Play").rows("Carry card")[1:]
        marked = {name for name, carry, *_ in rows if carry.endswith("*")}
        hit = {case.club(shot.club).name for shot in case.full_shots if shot.use}
        assert hit & sought.keys() and hit & sought.keys() <= marked
        assert "* Not hit yet as it is in this set: predicted from other balls." in person.text()
        person.go("Build").press("Undo")
    else:
        assert [x.id for x in now] == ["built", *(x.id for x in kept)]
    person.press("Undo")
    assert person.case.layouts == case.layouts and person.case.bag == case.bag
