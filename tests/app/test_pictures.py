"""Pictures and folds: each opens for every bag, says what the engine's section says, and follows what is tried out."""

from dataclasses import replace

import pytest

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.phrases import phrase
from app.players import new_case
from app.units import unit
from app.widgets import Fold
from engine.fitting.fitting import Fitting
from tests.app.driver import Person, plain


@pytest.fixture(autouse=True)
def clean_bridge():
    bridge.install(None)
    bridge.outbox.clear()
    return


def open_all(screen):
    """Open every fold that hangs on a screen or on one of its parts."""
    seen = set()

    def walk(thing, depth=0):
        if id(thing) in seen or depth > 4:
            return
        seen.add(id(thing))
        if isinstance(thing, Fold) and not thing.open:
            thing.toggle()
        for value in list(vars(thing).values()) if hasattr(thing, "__dict__") else ():
            items = (
                value.values() if isinstance(value, dict) else value if isinstance(value, list) else [value]
            )
            for item in items:
                if type(item).__module__.startswith("app."):
                    walk(item, depth + 1)

    walk(screen)


def cases():
    blank = new_case()
    yield "blank", blank
    yield "demo", demo_case()
    yield "one club", replace(blank, bag=blank.bag[:1])
    yield "one iron", replace(blank, bag=tuple(c for c in blank.bag if c.id == "7i"))
    yield "putter only", replace(blank, bag=tuple(c for c in blank.bag if c.family == "putter"))
    yield "no irons", replace(blank, bag=tuple(c for c in blank.bag if c.family in ("driver", "fairway")))
    named = tuple(replace(c, name="iron") for c in blank.bag)
    yield "one name for all", replace(blank, bag=named)


@pytest.mark.parametrize(("name", "case"), list(cases()), ids=lambda x: x if isinstance(x, str) else "")
def test_every_fold_opens_for_every_bag(name, case):
    page = Page({})
    page.state.add_player(case)
    if name == "demo":
        page.state.set_units("imperial")
    for screen in page.screens:
        page.go(screen.id)
        open_all(screen)
    page.state.change(lambda c: edits.player("height_m")(c, 1.8), "height changed")
    for screen in page.screens:
        page.go(screen.id)
    assert page.state.problem == ""


def test_pictures_hold_the_sections():
    page = Page({})
    case = demo_case()  # with speed and attack, without which there is no launch to draw
    page.state.add_player(replace(case, swing=replace(case.swing, driver_speed_mps=42.0, attack_deg=1.0)))
    page.go("layout")
    screen = page.here
    open_all(screen)
    fitting = Fitting(page.state.case)
    swept = fitting.common_length
    drawn = screen.sweep_plot.source.data
    assert list(drawn["length"]) == pytest.approx(
        [unit("club", "metric").shown(x.length_m) for x in swept.lengths]
    )
    assert list(drawn["mean"]) == pytest.approx([x.miss_m.mean for x in swept.lengths])
    driver = fitting.driver
    plot = screen.rest.driver_plot
    assert plot.marks.data["x"] == [pytest.approx(driver.standing.launch_deg.mean)]
    assert plot.best.data["y"] == [pytest.approx(driver.map.best.spin_rpm)]
    told = fitting.next_ball.next
    assert max(screen.next_plot.source.data["share"]) == pytest.approx(100 * told.ranking[0].share_cut)
    view = screen.above_plot.sources[0].data
    first = page.state.result.layouts[0]
    irons = [c.carry_m.mean for c in first.clubs if c.family in ("iron", "wedge")]
    assert list(view["far"]) == pytest.approx(irons)
    for layout, source in zip(page.state.result.layouts, screen.gaps_plot.sources, strict=False):
        ids = {c.id for c in layout.clubs if c.family in ("iron", "wedge")}
        wanted = [g.gap_m.mean for g in layout.gaps if {g.longer, g.shorter} <= ids]
        assert list(source.data["gap"]) == pytest.approx(wanted)


def test_the_wanted_gap_is_a_band_and_a_trial():
    page = Page({})
    page.state.add_player(demo_case())
    page.go("layout")
    screen = page.here
    screen.controls.more.toggle()
    before = page.state.case
    assert not screen.gaps_plot.band.visible
    screen.controls.gap.take(11.0)
    band = screen.gaps_plot.band
    assert band.visible and band.left < 11 < band.right
    assert page.state.case is before and page.state.trying
    page.state.drop_trial()
    assert not screen.gaps_plot.band.visible


def test_balls_after_the_build_are_taken_in_and_judged():
    person = Person(demo_case()).go("Play").open("After the build: hit again and compare")
    person.type("Shots with the new clubs", "7i 139 141 138 140\n9i 118 121")
    person.press("Show how it is read").press("Add these balls")
    assert len(person.case.retest) == 6
    found = Fitting(person.case).retest
    for club in found.clubs:
        assert plain(phrase(club.statement, "metric")) in person.text()
    person.press("Delete the shots after the build").press("Yes, delete")
    assert person.case.retest == ()


def test_layout_to_build_is_the_engines_and_can_be_chosen():
    person = Person(demo_case()).go("Build")
    assert person.chosen("Set to build") == "Present set" and Fitting(person.case).layout.id == "present"
    person.choose("Set to build", "Stepped lengths")
    assert person.case.wants.layout == "stepped" == Fitting(person.case).layout.id
    assert person.chosen("Set to build") == "Stepped lengths"


def test_a_usual_club_can_be_added_in_its_place():
    person = Person().open("The bag: 14 clubs")
    before = [c.id for c in person.case.bag]
    person.open("One club at a time")
    assert not person.tapped("4-iron")
    person.tap("4-iron")
    after = [c.id for c in person.case.bag]
    assert set(after) - set(before) == {"4i"} and person.value("Club name") == "4-iron"
    assert person.chosen("Club to edit") == "4-iron" and person.tapped("4-iron")
    lofts = [c.loft_deg for c in person.case.bag if c.family == "iron"]
    assert lofts == sorted(lofts)
    person.press("Undo")
    assert [c.id for c in person.case.bag] == before
