"""The air of the day under Play: a cold ball, wet faces, and weather that was set on another day."""

import re
from dataclasses import replace
from datetime import date

import pytest

from app import bridge
from app.dates import today
from app.demo import demo_case
from engine.documents.case import CaseError, Wants
from engine.documents.reading import read_case, restore
from tests.app.driver import Person, plain
from tests.app.test_build_play import card


@pytest.fixture
def demo():
    return Person(demo_case()).go("Play").open("Today\u2019s weather")


def test_a_cold_ball_is_on_the_card_and_in_what_a_target_plays_like(demo):
    """A ball at 40 F is 3 to 5 yd short of one at 80 F off a driver, some 1.5 %; common practice, no source."""
    demo.type("Temperature", "4").type("Distance to carry", "150")
    warm = card(demo)
    demo.choose("Ball as cold as the air", "Yes")
    cold = card(demo)
    assert 1 <= warm["5-iron"] - cold["5-iron"] <= 3 and demo.case.wants.cold_ball
    assert "With a cold ball." in demo.text() and "temperature and the cold ball add" in demo.text()
    demo.press("Undo")
    assert card(demo) == warm


def test_wet_faces_are_on_the_card_and_leave_the_comparison_of_sets_alone(demo):
    before = demo.state.fitting.result.layouts
    demo.choose("Wet faces", "Yes")
    assert "With wet faces." in demo.text() and demo.case.wants.wet_face
    assert demo.state.fitting.result.layouts == before
    clubs = demo.state.fitting.to_play(demo.state.fitting.layout.id)
    dry, wet = demo.state.fitting.predict(clubs), demo.state.fitting.played(clubs)
    lofted = [i for i, c in enumerate(clubs) if c.loft_deg >= 52]
    assert lofted and (wet.spin[:, lofted].mean(0) < 0.95 * dry.spin[:, lofted].mean(0)).all()
    assert (wet.launch[:, lofted].mean(0) > dry.launch[:, lofted].mean(0)).all()
    assert (wet.spin[:, 0] == dry.spin[:, 0]).all(), "a driver hardly slips"


def test_leaving_the_weather_out_forgets_the_day(demo):
    still = card(demo)
    demo.type("Temperature", "4").choose("Wet faces", "Yes").choose("Ball as cold as the air", "Yes")
    assert demo.case.wants.air_on == date.today().isoformat() and card(demo) != still
    demo.press("Leave today\u2019s weather out")
    assert demo.case.wants == replace(demo.case.wants, air=None, air_on=None, cold_ball=False, wet_face=False)
    assert card(demo) == still


def test_weather_of_another_day_says_which(demo):
    demo.type("Temperature", "11")
    assert "In today\u2019s air: 11" in demo.text() and "It was set on" not in demo.text()
    demo.state.change(lambda c: replace(c, wants=replace(c.wants, air_on="2024-02-29")), "earlier")
    assert "In the air of 29 Feb 2024: 11" in demo.text() and "It was set on 29 Feb 2024" in demo.text()
    assert "today\u2019s air" not in demo.text()
    demo.type("Temperature", "12")
    assert "In today\u2019s air: 12" in demo.text() and "It was set on" not in demo.text()


@pytest.mark.parametrize("day", ["yesterday", "", "2024-02-31", None])
def test_a_day_that_is_none_is_not_told(demo, day):
    demo.state.change(lambda c: replace(c, wants=replace(c.wants, air_on=day)), "odd")
    assert "It was set on" not in demo.text()


def test_strict_and_lenient_reading_of_the_day():
    doc = demo_case().to_doc()
    doc["wants"] |= {"air_on": "2031-05-03", "cold_ball": True, "wet_face": True}
    for case in (read_case(doc), restore(doc).case):
        assert (case.wants.air_on, case.wants.cold_ball, case.wants.wet_face) == ("2031-05-03", True, True)
    doc["wants"] |= {"air_on": 5, "cold_ball": "yes", "wet_face": None}
    with pytest.raises(CaseError, match=r"wants\.(air_on|cold_ball)"):
        read_case(doc)
    assert replace(restore(doc).case.wants, lofts=None) == replace(demo_case().wants, lofts=None)
    for name in ("air_on", "cold_ball", "wet_face"):
        doc["wants"].pop(name)
    assert read_case(doc).wants.cold_ball is Wants().cold_ball is False


def test_the_card_as_a_picture_has_what_the_card_has_with_air_and_date(demo):
    demo.type("Temperature", "9").choose("Wet faces", "Yes")
    rows = demo.rows("Carry card")[1:]
    demo.open("Card as a picture")
    drawn = demo.markup().partition('aria-label="Carry card of')[2]
    told = [plain(x) for x in re.findall(r"<text.*?</text>", drawn)]
    for row in rows:
        at = told.index(row[0])
        assert told[at : at + 3] == row
    head = " ".join(told[: told.index("Club")])
    assert today() in head and "In today\u2019s air: 9" in head and "With wet faces." in head
    demo.press("Save as a picture")
    assert bridge.outbox[-1] == ("picture", {"name": "pic-card", "title": "Carry card", "png": True})
    demo.type("Temperature", "30")
    assert "In today\u2019s air: 30" in plain(demo.markup().partition('aria-label="Carry card of')[2])


def test_a_name_of_the_player_is_no_markup_in_the_picture(demo):
    demo.state.change(lambda c: replace(c, player=replace(c.player, label="<b>Ida</b>")), "name")
    demo.open("Card as a picture")
    assert "<b>Ida" not in demo.markup() and "&lt;b&gt;Ida" in demo.markup()


def causes(person):
    """What besides wind and height a target plays like for, and the verb that goes with it."""
    return re.search(r"Plays like \d+ m: ([^.]*)\.", person.text())[1]


def test_only_what_differs_from_standard_air_is_named(demo):
    demo.type("Distance to carry", "150").type("Altitude", "1500")
    assert re.fullmatch(r"altitude takes off \d+", causes(demo))
    demo.type("Temperature", "5")
    assert re.fullmatch(r"temperature and altitude take off \d+", causes(demo))
    demo.type("Altitude", "0")
    assert re.fullmatch(r"temperature adds \d+", causes(demo))
    demo.choose("Ball as cold as the air", "Yes")
    assert re.fullmatch(r"temperature and the cold ball add \d+", causes(demo))
    demo.type("Altitude", "1500")
    assert re.fullmatch(r"temperature, altitude and the cold ball take off \d+", causes(demo))
    assert "5 \u00b0C, 1500 m above sea level, no wind" in demo.text().replace("\u00a0", " ")
    demo.press("Leave today\u2019s weather out").choose("Wet faces", "Yes").type("Distance to carry", "75")
    assert re.fullmatch(r"wet faces (add|take off) \d+", causes(demo))


def test_altitude_in_feet_is_not_named_where_it_is_nought(demo):
    demo.type("Temperature", "9")
    assert "In today\u2019s air: 9 \u00b0C, sea level, no wind." in demo.text().replace("\u00a0", " ")


@pytest.mark.parametrize("warm", ["20", "31"])
def test_a_ball_as_cold_as_warm_air_is_not_called_cold(demo, warm):
    demo.type("Temperature", warm).type("Altitude", "1500").type("Distance to carry", "150")
    before = card(demo)
    demo.choose("Ball as cold as the air", "Yes")
    assert "cold ball" not in demo.text() and "ball" not in causes(demo) and card(demo) == before
    assert "loses nothing from 20\u00a0\u00b0C up." in demo.text().replace(
        "20 \u00b0C up", "20\u00a0\u00b0C up"
    )
    demo.type("Temperature", "19")
    assert "With a cold ball." in demo.text() and "loses nothing" not in demo.text()
