"""First visits, updates and bad copies: the program is whole or it says so, and nobody is changed over unasked."""

from __future__ import annotations

import contextlib
import random
import shutil
import time

import pytest
from conftest import PHONE, SITE, Person
from playwright.sync_api import Error
from releases import Weak, light_release, publish


def state(page) -> dict:
    with contextlib.suppress(Error):
        return page.evaluate("({...document.documentElement.dataset})")
    return {}


def until(page, seconds: float = 30, **wanted) -> None:
    """Wait until the root element says all this."""
    end = time.time() + seconds
    while not wanted.items() <= (have := state(page)).items():
        assert time.time() < end, f"wanted {wanted}, have {have}"
        page.wait_for_timeout(20)


def notice(page, name: str) -> bool:
    return page.locator(f"[data-notice={name}]").count() > 0


def until_notice(page, name: str, seconds: float = 20) -> None:
    end = time.time() + seconds
    while not notice(page, name):
        assert time.time() < end, f"no notice {name}"
        page.wait_for_timeout(20)


def offered(page, seconds: float = 20) -> None:
    """Have the page look for a new version, and wait until it offers it."""
    page.evaluate("navigator.serviceWorker.getRegistration().then(r => r.update())")
    until_notice(page, "update", seconds)


def until_said(page, words: str) -> None:
    """Wait until the notice on new versions says so."""
    said = page.locator("[data-notice=update]")
    end = time.time() + 20
    while words not in said.inner_text():
        assert time.time() < end, said.inner_text()
        page.wait_for_timeout(50)


def use_it(context, page) -> None:
    """Say yes to the new version, without leaving the field that is being typed in.

    A browser ends a service worker that is idle, but not one that is watched, as these are; Chromium then holds the new
    one back for five minutes now and then, as though the old were at work. So the old one is ended here, if need be.
    """
    root = "document.documentElement.dataset"
    page.evaluate(
        f"{root}.old = '1', [...document.querySelectorAll('[data-notice=update] button')][0].click()"
    )
    end = time.time() + 4
    while time.time() < end:
        if state(page).get("old") is None:
            return
        page.wait_for_timeout(20)
    _stop_worker(context, page)


@pytest.fixture
def site(tmp_path):
    return light_release(tmp_path / "site", "one")


@pytest.fixture
def host(site):
    served = Weak(site)
    yield served
    served.cut.set()
    served.stop()


@pytest.fixture
def context(chromium):
    made = chromium.new_context()
    yield made
    made.close()


def visited(context, host):
    """A page that is ready for use without a signal."""
    page = context.new_page()
    page.goto(host.address)
    until(page, state="ready", offline="ready")
    return page


# ---- the first visit


def interrupted_first_visits(chromium, site, *, count: int, seed: int, longest: float, light: bool) -> None:
    """Cut the line, or close the page, at a random moment of a first visit; the next visit with a line must do."""
    rng = random.Random(seed)
    for number in range(count):
        host = Weak(site, pause=0.01 if light else 0.0)
        context = chromium.new_context()
        try:
            page = context.new_page()
            with contextlib.suppress(Error):
                page.goto(host.address, wait_until="commit")
                page.wait_for_timeout(rng.uniform(0, longest * 1000))
            host.cut.set()
            if rng.random() < 0.5:
                page.close()
            else:
                page.wait_for_timeout(200)
            host.cut.clear()
            page = context.new_page()
            page.goto(host.address)
            until(page, 120, state="ready", offline="ready")
            host.cut.set()
            host.stop()
            page.reload()
            until(page, 120, state="ready", offline="ready")
            page.close()
            page = context.new_page()
            page.goto(host.address)
            until(page, 120, state="ready")
            if light:
                assert page.evaluate("light.late()") == "one", f"seed {seed}, number {number}"
        finally:
            context.close()
            host.cut.set()
            host.stop()


def test_an_interrupted_first_visit_is_made_good_by_the_next(chromium, site):
    interrupted_first_visits(chromium, site, count=5, seed=1, longest=0.9, light=True)


@pytest.mark.soak
def test_a_hundred_interrupted_first_visits(chromium, site):
    interrupted_first_visits(chromium, site, count=100, seed=2, longest=0.9, light=True)


@pytest.mark.soak
def test_interrupted_first_visits_of_the_whole_site(chromium):
    interrupted_first_visits(chromium, SITE, count=10, seed=3, longest=12.0, light=False)


# ---- updates


def test_an_open_page_goes_on_and_changes_over_only_when_asked(context, host, site, tmp_path):
    page = visited(context, host)
    publish(light_release(tmp_path / "new", "two"), site)
    offered(page)
    assert page.evaluate("light.late()") == "one"
    page.reload()
    until(page, state="ready", release="one")
    until_notice(page, "update")
    use_it(context, page)
    until(page, state="ready", release="two", mixed="")
    assert page.evaluate("light.late()") == "two"
    host.cut.set()
    page.reload()
    until(page, state="ready", release="two", mixed="")


def test_a_second_tab_outlives_the_update_with_its_own_files(context, host, site, tmp_path):
    one, two = visited(context, host), visited(context, host)
    publish(light_release(tmp_path / "new", "two"), site)
    offered(one)
    use_it(context, one)
    until(one, state="ready", release="two", mixed="")
    until_notice(two, "update")
    assert "another tab" in two.locator("[data-notice=update]").inner_text()
    assert two.evaluate("light.late()") == "one"
    assert state(two)["release"] == "one"
    two.get_by_role("button", name="Reload now").click()
    until(two, state="ready", release="two", mixed="")
    two.close()
    one.evaluate("navigator.serviceWorker.controller.postMessage('tidy')")
    end = time.time() + 10
    while (left := one.evaluate("caches.keys().then(k => k.length)")) != 2:
        assert time.time() < end, left
        one.wait_for_timeout(50)


def test_a_release_that_is_only_half_there_is_not_taken(context, host, site, tmp_path):
    page = visited(context, host)
    new = light_release(tmp_path / "new", "two")
    shutil.copy(new / "sw.js", site / "sw.js")  # the worker before its files
    page.evaluate("navigator.serviceWorker.getRegistration().then(r => r.update()).catch(() => {})")
    page.wait_for_timeout(700)
    assert not notice(page, "update")
    page.reload()
    until(page, state="ready", release="one", mixed="")
    publish(new, site)
    offered(page)
    use_it(context, page)
    until(page, state="ready", release="two", mixed="")


def test_a_version_that_is_held_up_keeps_nobody_waiting(context, host, site, tmp_path):
    page = visited(context, host)
    publish(light_release(tmp_path / "new", "two"), site)
    offered(page)
    assert page.evaluate("light.late()") == "one"
    assert page.evaluate(SPOIL, ["runtime/large.bin", "missing"])
    _forget(context, page)
    host.stalled.set()
    page.evaluate(
        "navigator.serviceWorker.controller.postMessage('verify')"
    )  # waits for the host, and is waited for
    page.get_by_role("button", name="Use it now").click()
    assert "Switching" in page.locator("[data-notice=update]").inner_text()
    until_said(page, "still busy")
    assert page.evaluate("light.late()") == "one"  # and the page works on
    host.stalled.clear()
    _stop_worker(context, page)
    until_said(page, "can be loaded now")
    assert state(page)["release"] == "one"  # nobody is changed over late and unasked
    page.get_by_role("button", name="Reload now").click()
    until(page, state="ready", release="two", mixed="")


def test_a_bad_release_is_taken_back_by_publishing_the_one_before(context, host, site, tmp_path):
    page = visited(context, host)
    old = tmp_path / "old"
    shutil.copytree(site, old)
    for release, folder in (("two", light_release(tmp_path / "new", "two")), ("one", old)):
        publish(folder, site)
        offered(page)
        use_it(context, page)
        until(page, state="ready", release=release, mixed="")
    host.cut.set()
    page.reload()
    until(page, state="ready", release="one", mixed="")


# ---- bad copies

SPOIL = """async ([path, how]) => {
  const url = new URL(path, location.href).href;
  for (const name of await caches.keys()) {
    const cache = await caches.open(name), found = await cache.match(url);
    if (!found) continue;
    if (how === "missing") await cache.delete(url);
    else {
      const bytes = new Uint8Array(await found.arrayBuffer());
      if (how === "changed") bytes[bytes.length >> 1] ^= 1;
      const body = how === "cut" ? bytes.slice(0, bytes.length >> 1) : how === "empty" ? "" : bytes;
      await cache.put(url, new Response(body, {headers: found.headers}));
    }
    return true;
  }
  return false;
}"""

SOUND = """async () => {
  const files = await (await fetch("./files.json")).json();
  const bad = [];
  for (const file of [...files.runtime.files, ...files.app.files]) {
    let found;
    for (const name of await caches.keys())
      found ??= await (await caches.open(name)).match(new URL(file.path, location.href).href);
    const sum = found && new Uint8Array(await crypto.subtle.digest("SHA-256", await found.arrayBuffer()));
    if (!sum || [...sum].map((b) => b.toString(16).padStart(2, "0")).join("") !== file.sha256) bad.push(file.path);
  }
  return bad;
}"""


@pytest.mark.parametrize("how", ["changed", "cut", "empty", "missing"])
@pytest.mark.parametrize("path", ["index.html", "main.js", "shell/offline.js", "runtime/small.bin"])
def test_a_bad_copy_of_a_small_file_is_never_handed_out(context, host, path, how):
    page = visited(context, host)
    assert page.evaluate(SPOIL, [path, how])
    page.close()
    page = context.new_page()
    _stop_worker(context, page)
    page.goto(host.address)
    until(page, state="ready", release="one", mixed="")
    assert page.evaluate(SOUND) == []


def _stop_worker(context, page) -> None:
    """End the service worker as a browser does after some idle seconds: what it held in memory is gone."""
    session = context.new_cdp_session(page)
    session.send("ServiceWorker.enable")
    session.send("ServiceWorker.stopAllWorkers")
    session.detach()


def _forget(context, page) -> None:
    """Empty the browser's own cache, from which a missing copy would be made good."""
    session = context.new_cdp_session(page)
    session.send("Network.clearBrowserCache")
    session.detach()


def test_a_bad_copy_of_a_large_file_is_found_and_replaced(context, host):
    page = visited(context, host)
    assert page.evaluate(SPOIL, ["runtime/large.bin", "changed"])
    assert page.evaluate(SOUND) == ["runtime/large.bin"]
    assert page.evaluate("light.verifyStored()") == "mended"
    assert page.evaluate(SOUND) == []
    assert page.evaluate("light.verifyStored()") == "whole"


def test_a_missing_copy_of_an_old_release_leads_to_the_new_one(context, host, site, tmp_path):
    page = visited(context, host)
    assert page.evaluate(SPOIL, ["main.js", "missing"])
    _forget(context, page)
    publish(light_release(tmp_path / "new", "two"), site)
    page.close()
    page = context.new_page()
    _stop_worker(context, page)
    page.goto(host.address)
    until(page, state="ready", release="two", mixed="")


def test_repairing_without_a_signal_throws_nothing_away(context, host):
    page = visited(context, host)
    host.cut.set()
    assert page.evaluate("light.repair()") is False
    page.reload()
    until(page, state="ready", release="one")
    host.cut.clear()
    assert page.evaluate("light.repair()") is True
    assert page.evaluate("caches.keys()") == []


# ---- the whole site


@pytest.fixture
def whole_site(tmp_path):
    """A copy of the built site that can be changed."""
    copy = tmp_path / "whole"
    shutil.copytree(SITE, copy)
    return copy


def second_release(site, tmp_path):
    """The same program under another release number."""
    from archives import lists

    new = tmp_path / "second"
    shutil.copytree(site, new)
    page = new / "index.html"
    text = page.read_text(encoding="utf-8")
    page.write_text(text.replace("<html ", '<html data-second="yes" ', 1), encoding="utf-8")
    lists(new)
    return new


def test_what_is_being_typed_is_kept_from_the_old_version_to_the_new(chromium, whole_site, tmp_path):
    host = Weak(whole_site)
    context = chromium.new_context(**PHONE)
    try:
        person = Person(context, host.address)
        person.open()
        person.offline_ready()
        page = person.page
        page.get_by_label("Height").first.fill("178")
        page.get_by_label("Height").first.press("Enter")
        page.get_by_label("Wingspan").first.press_sequentially("183")  # and never leaves the field
        publish(second_release(whole_site, tmp_path), whole_site)
        offered(page, 60)
        assert not state(page).get("second")
        use_it(context, page)
        until(page, 90, second="yes", state="ready")
        assert page.get_by_label("Height").first.input_value() == "178"
        assert page.get_by_label("Wingspan").first.input_value() == "183"
        assert person.faults == [] and person.outside == []
    finally:
        context.close()
        host.cut.set()
        host.stop()


@pytest.mark.parametrize(
    ("way", "paths"),
    [
        ("plain", ("runtime/boot.tar.zst", "app/app.tar.zst")),
        ("image", ("runtime/image.zst", "app/image.zst")),
    ],
)
def test_a_bad_copy_of_the_program_is_repaired_without_anybodys_help(chromium, whole_site, way, paths):
    host = Weak(whole_site)
    context = chromium.new_context(**PHONE)
    try:
        person = Person(context, host.address)
        person.open(f"?start={way}")
        person.offline_ready()
        page = person.page
        for path in paths:
            assert page.evaluate(SPOIL, [path, "changed"])
        _stop_worker(context, page)
        page.reload()
        until(page, 120, state="ready")
        end = time.time() + 60
        while page.evaluate(SOUND) and time.time() < end:
            page.wait_for_timeout(200)
        assert page.evaluate(SOUND) == []
        forgotten = "localStorage.getItem('fettle-start') === null"  # the image was not to blame
        while not page.evaluate(forgotten) and time.time() < end:
            page.wait_for_timeout(200)
        assert page.evaluate(forgotten)
    finally:
        context.close()
        host.cut.set()
        host.stop()
