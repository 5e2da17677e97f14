"""A first visit over a thin link that ends soon after the page is live: the next one needs no signal, and nothing twice."""

from __future__ import annotations

from collections import Counter

import pytest
from bench_link import linked
from conftest import PHONE, SITE, Person, Served

LATER = {"/runtime/image.zst", "/app/image.zst", "/runtime/rest.tar.zst", "/runtime/stdlib-rest.zip.zst"}
THIN = {"rate": 0.5e6, "delay": 0.1}  # [bytes/s], [s]


@pytest.fixture
def context(chromium):
    made = chromium.new_context(**PHONE)
    yield made
    made.close()


def way(person):
    return person.page.evaluate("performance.getEntriesByName('fettle-ready')[0].detail.way")


def all_stored(person, seconds=120):
    person.until("document.documentElement.dataset.stored == 'all'", seconds)


@pytest.mark.parametrize("asked", ["", "?start=image"])
def test_five_seconds_after_live_the_next_visit_needs_no_signal(context, asked):
    with linked(SITE, **THIN) as address:
        person = Person(context, address)
        person.open(asked)
        first = way(person)
        assert first == ("image" if asked else "plain")
        person.page.wait_for_timeout(5000)
        assert person.page.evaluate("document.documentElement.dataset.stored ?? ''") == ""
        person.page.close()
    again = Person(context, address)
    again.open()
    assert way(again) == first
    assert again.outside == []


def test_no_file_is_fetched_twice_and_the_next_visit_goes_on_with_the_rest(context):
    seen: list[str] = []
    with linked(SITE, **THIN, asked=seen) as address:
        person = Person(context, address)
        person.open()
        person.page.wait_for_timeout(5000)
        person.page.close()
        before = set(seen)
        assert "/app/image.zst" not in before
        again = Person(context, address)
        again.open()
        assert way(again) == "plain"
        again.offline_ready()
        all_stored(again)
        again.page.goto(address)
        again.ready()
        assert way(again) == "image"
        assert again.faults == [] and again.outside == []
    cut_off = {"/runtime/image.zst"}  # on its way when the first visit ended
    twice = {path for path, count in Counter(seen).items() if count > 1} - {"/sw.js"} - cut_off
    assert twice == set()
    assert Counter(seen)["/runtime/image.zst"] <= 2


def test_a_whole_first_visit_fetches_each_file_once_and_says_so_before_the_image_is_there(context):
    seen: list[str] = []
    with linked(SITE, **THIN, asked=seen) as address:
        person = Person(context, address)
        person.open()
        person.page.get_by_text("Ready to work offline").first.wait_for(timeout=20_000)
        assert {"/runtime/rest.tar.zst", "/runtime/stdlib-rest.zip.zst"} <= set(seen)
        assert "/app/image.zst" not in seen
        person.offline_ready()
        all_stored(person)
        person.page.wait_for_timeout(3000)
        assert person.faults == [] and person.outside == []
    assert {path: count for path, count in Counter(seen).items() if count > 1} == {}


def test_while_half_of_the_image_is_stored_a_start_is_plain(context):
    served = Served()
    try:
        person = Person(context, served.address)
        person.open("?start=plain")
        all_stored(person)
        person.page.evaluate(
            """async () => { for (const name of await caches.keys())
              await (await caches.open(name)).delete(new URL("app/image.zst", location.href).href) }"""
        )
        served.stop()
        person.page.goto(served.address)
        person.ready()
        assert way(person) == "plain"
        assert person.page.evaluate("localStorage.getItem('fettle-start')") is None
    finally:
        served.stop()
