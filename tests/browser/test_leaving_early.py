"""A first visit over a thin link that ends soon after the page is live: the next one needs no signal, and nothing twice."""

from __future__ import annotations

import random
import re
import time
from collections import Counter

import pytest
from archives import lists
from bench_link import linked
from conftest import PHONE, SITE, Person, Served
from releases import Weak, light_release, publish
from test_updates import offered, state, until, until_notice, use_it

LATER = {"/runtime/image.zst", "/app/image.zst", "/runtime/rest.tar.zst", "/runtime/stdlib-rest.zip.zst"}
THIN = {"rate": 0.5e6, "delay": 0.1}  # [bytes/s], [s]


@pytest.fixture
def context(chromium):
    made = chromium.new_context(**PHONE)
    yield made
    made.close()


def way(person):
    return person.page.evaluate("performance.getEntriesByName('fettle-ready')[0].detail.way")


def twice(seen):
    """What was asked for more than once, but for the small sheets that each part of a page links to by itself."""
    found = {path for path, count in Counter(seen).items() if count > 1}
    return {path for path in found if not re.match(r"/runtime/panel/.*\.css$", path)}


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
    assert twice(seen) - {"/sw.js"} - cut_off == set()
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
    assert twice(seen) == set()


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


# ---- a new release while not everything is stored


def with_later_parts(site, release):
    """A light release that has what is stored later too."""
    light_release(site, release)
    for path in LATER | {"/runtime/boot.tar.zst", "/app/app.tar.zst"}:
        (site / path[1:]).write_bytes(
            f"{release} ".encode() + random.Random(path + release).randbytes(3_000_000)
        )
    lists(site)
    return site


PART = """async (path) => {
  const files = await (await fetch("./files.json")).json();
  const answer = await fetch(path, { headers: { release: files.runtime.id } });
  return [answer.status, (await answer.text()).slice(0, 4).trim()];
}"""


def test_a_release_that_comes_before_all_is_stored_is_taken_whole_or_not_at_all(chromium, tmp_path):
    site = with_later_parts(tmp_path / "site", "one")
    host = Weak(site, pause=0.1)
    context = chromium.new_context()
    try:
        page = context.new_page()
        page.goto(host.address)
        until(page, state="ready")
        end = time.time() + 20
        while not page.evaluate("Boolean(navigator.serviceWorker.controller)"):
            assert time.time() < end
            page.wait_for_timeout(50)
        assert "offline" not in state(page)
        assert page.evaluate(PART, "./app/image.zst") == [204, ""]
        publish(with_later_parts(tmp_path / "new", "two"), site)
        assert page.evaluate(PART, "./runtime/rest.tar.zst") in ([409, "anot"], [200, "one"])
        assert page.evaluate(PART, "./app/image.zst")[1] != "two"
        offered(page, 60)
        page.reload()
        until(page, 60, state="ready", release="one", mixed="")
        until_notice(page, "update", 60)
        use_it(context, page)
        until(page, 60, state="ready", release="two", mixed="", stored="all")
        host.cut.set()
        page.reload()
        until(page, 60, state="ready", release="two", mixed="")
        assert page.evaluate(PART, "./app/image.zst") == [200, "two"]
    finally:
        context.close()
        host.cut.set()
        host.stop()


def test_the_worker_of_the_site_and_that_of_the_page_agree_which_files_belong_to_which_way():
    site, page = ((SITE / name).read_text(encoding="utf-8") for name in ("sw.template.js", "worker.mjs"))
    for name in ("image", "plain"):
        theirs = re.findall(r'"([^"]+)"', re.search(rf"const {name.upper()} = of\((.*)\)", site)[1])
        ours = re.findall(r'"([^"]+)"', re.search(rf"  {name}: \{{(.*)\}}", page)[1])
        assert set(theirs) == set(ours) and len(ours) > 1
    rest = re.findall(r'"([^"]+)"', re.search(r"const REST = of\((.*)\)", site)[1])
    assert set(rest) == set(re.findall(r'fetchChunks\("([^"]+)", init', page))
