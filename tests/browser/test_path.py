"""The main path in a real Chromium, phone-sized, with touch: from nothing to compared sets, offline, and by link."""

import json

import pytest
from conftest import PHONE, Person, command_line

from app import link
from app.demo import demo_case
from engine.documents.reading import restore


def fill(person, label, text):
    field = person.page.get_by_label(label).first
    field.fill(text)
    field.press("Enter")


def hit(person, club, carries):
    person.page.get_by_role("button", name=club, exact=True).first.tap()
    for carry in carries:
        for key in str(carry):
            person.page.get_by_role("button", name=key, exact=True).first.tap()
        person.tap("Add ball")


def test_first_visit_enter_a_case_and_go_on_without_the_network(person, served):
    person.open()
    fill(person, "Height", "178")
    fill(person, "Wingspan", "181")
    person.until("location.hash.startsWith('#v1.')", 20)
    person.shot("measure-phone")
    person.tap("2 Hit")
    for club, carries in (("7i", (138, 141, 136)), ("9i", (117, 115))):
        hit(person, club, carries)
    person.shot("hit-phone")
    person.tap("3 Lay out")
    person.until("[...Bokeh.documents].length > 0", 10)
    before = person.drawn()
    person.shot("layout-phone")
    assert len(before) >= 2
    text = person.text().lower()
    assert "stepped" in text and "single" in text
    person.offline_ready()
    person.page.wait_for_timeout(500)
    served.stop()
    person.page.reload()
    person.ready()
    person.tap("3 Lay out")
    again = person.drawn()
    assert _same(again, before)
    _slide(person)
    person.page.wait_for_timeout(2500)
    assert not _same(person.sources(), again)


def _same(one, other):
    return json.dumps(one) == json.dumps(other)


def _slide(person):
    """Move the common length as Bokeh's own slider does when it is dragged."""
    moved = person.page.evaluate(
        """() => { const m = [...[...Bokeh.documents].at(-1)._all_models.values()]
        .find(m => /Slider$/.test(m.type) && /length/i.test(m.title ?? '')) ;
        if (!m) return false; m.value = Math.min(m.end, m.value + 4 * m.step); m.value_throttled = m.value; return true }"""
    )
    assert moved


def test_a_link_opened_cold_shows_the_numbers_of_the_command_line(chromium, served):
    made = link.make(demo_case())
    case = link.read(made.hash).case
    result = command_line(case)
    context = chromium.new_context(**PHONE)
    person = Person(context, served.address)
    person.open(made.hash)
    person.page.wait_for_timeout(2500)
    person.tap("3 Lay out")
    drawn = person.drawn()
    wanted = [{c["id"]: c["carry_m"]["mean"] for c in layout["clubs"]} for layout in result["layouts"]]
    assert len(drawn) >= len(wanted)
    for columns, carries in zip(drawn, wanted, strict=False):
        for club, mean in zip(columns["club"], columns["mean"], strict=True):
            assert mean == pytest.approx(carries[club], abs=0.1)
    person.shot("layout-demo-phone")
    assert person.faults == [] and person.outside == []
    context.close()


@pytest.mark.parametrize("text", ["", "tall", "0", "-3", "1e9"])
def test_bad_heights_are_told_by_the_field_and_lose_nothing(person, text):
    person.open()
    fill(person, "Wingspan", "181")
    fill(person, "Height", text)
    person.page.wait_for_timeout(800)
    body = person.text()
    assert "Traceback" not in body
    assert person.page.get_by_label("Height").first.input_value() == text
    assert person.page.get_by_label("Wingspan").first.input_value() == "181"
    if text:
        assert "from" in body.lower() or "number" in body.lower()


def test_one_club_only_and_no_shots_still_answer(person):
    person.open()
    fill(person, "Height", "170")
    person.tap("3 Lay out")
    assert person.drawn()
    person.tap("2 Hit")
    hit(person, "7i", (120,))
    person.tap("3 Lay out")
    person.page.wait_for_timeout(2500)
    assert "Traceback" not in person.text()
    assert person.sources()


def test_hostile_name_is_text(person):
    case = demo_case().to_doc()
    case["player"]["label"] = "<img src=x onerror=\"document.title='owned'\">"
    made = link.make(restore(case).case)
    person.open(made.hash)
    person.page.wait_for_timeout(2000)
    assert person.page.title() != "owned"
    assert "<img" in person.text()
