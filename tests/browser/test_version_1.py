"""A whole release from before version 2 of the documents, in a browser: what a person sees who opens a newer link in it."""

from conftest import PHONE, Person, Served
from releases import earlier_site
from walk import until

from app import link
from engine.documents.case import Session
from tests.app.test_old_release import RELEASE, on_days

DAYS = Session("a", "2031-05-03"), Session("b", "2031-06-03")


def test_a_release_of_version_1_says_on_the_screen_that_a_link_is_newer_and_opens_those_it_can_read(chromium):
    served, context = Served(earlier_site(RELEASE)), chromium.new_context(**PHONE)
    try:
        newer, readable = (link.make(on_days(*days)).hash for days in (DAYS, DAYS[:1]))
        label = on_days(*DAYS).player.label
        person = Person(context, served.address)
        person.open(newer)
        until(lambda: "made by a newer version; reload to get the newest one" in person.text(), "the refusal")
        assert label not in person.text()
        person.shot("newer-link-in-version-1")
        person.page.evaluate("made => { location.hash = made }", readable)
        until(lambda: label in person.text(), "the player of the link")
        assert person.faults == [] and person.outside == []
    finally:
        context.close()
        served.stop()
