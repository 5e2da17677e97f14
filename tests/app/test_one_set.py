"""One chosen set on every screen: the present bag until another is chosen or built, and a card that says whose set it is."""

from dataclasses import replace

import pytest

from app import bridge, edits
from app.demo import demo_case
from app.main import Page
from app.screens.play import NOT_OWNED
from tests.app.driver import Person


@pytest.fixture
def page():
    bridge.install(None)
    bridge.outbox.clear()
    page = Page({})
    page.state.add_player(demo_case())
    return page


def test_play_and_build_open_on_the_present_set(page):
    assert all(x.kind != "present" for x in page.state.case.layouts)
    bag = {c.id for c in page.state.case.bag if c.family != "putter"}
    for step in ("play", "build"):
        page.go(step)
        assert page.here.which.widget.value == page.state.fitting.layout.id == "present"
        assert page.here.which.widget.options["Present set"] == "present"
    assert {c.id for c in page.here.planned} == bag
    assert "set in the bag now" in page.here.own.object
    page.go("play")
    assert NOT_OWNED not in page.here.card.object and "Present set" in page.here.card.object
    page.here.ask.view.value = "140"
    assert "Present set" in page.here.answer.object


def test_a_set_chosen_on_one_screen_is_that_of_the_other_and_says_so(page):
    page.go("play")
    page.here.which.widget.value = "single"
    assert page.state.case.wants.layout == "single" and NOT_OWNED in page.here.card.object
    page.go("build")
    assert page.here.which.widget.value == "single" and page.here.to_build.layout_id == "single"
    page.here.which.widget.value = "stepped"
    page.go("play")
    assert page.here.which.widget.value == "stepped" and "Stepped lengths" in page.here.card.object
    page.here.which.widget.value = "present"
    assert NOT_OWNED not in page.here.card.object


def test_the_set_that_was_built_is_the_players_own(page):
    page.state.change(lambda case: edits.wants("layout")(case, "single"), "chosen")
    person = Person.at(page).go("Build").press("It is built: make this the present bag")
    person.press("They came out as planned: use this as the present bag").go("Play")
    assert page.here.which.widget.value == page.state.case.layouts[0].id
    assert NOT_OWNED not in page.here.card.object


def test_a_chosen_layout_that_is_taken_away_is_chosen_no_more(page):
    page.state.change(lambda case: edits.wants("layout")(case, "single"), "chosen")
    page.state.change(lambda case: edits.drop_layout(case, "single"), "taken away")
    page.state.change(lambda case: edits.add_layout(case, "single"), "added")
    assert page.state.fitting.layout.kind == "present"


@pytest.mark.parametrize("layout", ["present", "single"])
@pytest.mark.parametrize("wants", [{"lofts": "even_gaps"}, {"gap_m": 13.0}, {}])
def test_the_card_has_the_carries_that_the_club_for_a_distance_goes_by(layout, wants):
    """In the lofts that the sheet has for a set to be built; what is in the bag is played as it is."""
    case = demo_case()
    person = Person(replace(case, wants=replace(case.wants, layout=layout, **wants))).go("Play")
    fitting = person.state.fitting
    carries = {o.name: f"{o.carry_m.mean:.0f}" for o in fitting.clubs_for(layout, 140.0)}
    told = {name: carry.rstrip("*") for name, carry, _ in person.rows("Carry card")[1:]}
    first = {c.name for c in fitting.to_play(layout) if c.id in fitting.hit_first}
    assert told == {n: "not known yet" if n in first else c for n, c in carries.items()}
    bag = {c.id: c.loft_deg for c in case.bag}
    sheet = {c.id: c.loft_deg for c in fitting.clubs}
    lofts = {c.id: c.loft_deg for c in fitting.to_play(layout)}
    assert lofts == (sheet if layout == "single" else {i: bag[i] for i in lofts})
    person.go("Hit").tap("7i")
    assert f"on the card {carries['7-iron']} m" in person.text()
