"""The promise of site/storage.js: what was reported as saved is there again, whole, whatever was killed and when."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import subprocess
from pathlib import Path

import pytest
from chrome import Chrome
from conftest import SITE, Served
from playwright.sync_api import Error

HERE = Path(__file__).parent


@pytest.fixture
def harness(tmp_path):
    """A site of two files and the storage module."""
    site = tmp_path / "site"
    site.mkdir()
    for name in ("harness.html", "harness.js"):
        shutil.copy(HERE / name, site / name)
    for name in ("storage.js", "backup_copy.js", "database.js"):
        shutil.copy(SITE / name, site / name)
    served = Served(site)
    yield served
    served.stop()


class Trials:
    """Page after page that saves without end and is killed; each new one must find what the last reported."""

    def __init__(self, chrome: Chrome, address: str, seed: int) -> None:
        self.chrome, self.address, self.rng = chrome, address, random.Random(seed)
        self.saved = 0  # the last number reported as saved
        self.lost: list[str] = []
        self.corrupt: list[str] = []
        self.killed = 0
        self.last = "nothing"

    def _heard(self, message) -> None:
        words = message.text.split(" ")
        if words[0] == "SAVED":
            self.saved = max(self.saved, int(words[1]))
        elif words[0] == "READ":
            self.read = int(words[1])
            if self.read < self.saved:
                self.lost.append(
                    f"after kill {self.killed} of {self.last}: {self.saved} was reported as saved, {self.read} was found"
                )
            if words[2] != "true" or "recovered" in words[3]:
                self.corrupt.append(
                    f"after kill {self.killed} of {self.last}: number {self.read}, {words[3]}"
                )
            self.saved = max(self.saved, self.read)

    def open(self, fragment: str = "#save"):
        """The next page; the kill before may also have hit the process that it was about to begin in."""
        for _ in range(5):
            with contextlib.suppress(Error):
                return self._open(fragment)
        return self._open(fragment)

    def _open(self, fragment: str):
        self.read: int | None = None
        page = self.chrome.context.new_page()
        page.on("console", self._heard)
        page.goto(self.address + "harness.html" + fragment)
        for _ in range(3000):
            if self.read is not None:
                break
            page.wait_for_timeout(5)
        assert self.read is not None, "the storage did not answer within 15 s"
        return page

    def one(self, *, whole_browser: bool) -> None:
        page = self.open()
        with contextlib.suppress(Error):
            page.wait_for_timeout(self.rng.uniform(0, 120))
        self.last = "the browser" if whole_browser else "the page"
        if whole_browser:
            self.chrome.kill()
            self.chrome.start()
        else:
            self.chrome.kill_pages()
            with contextlib.suppress(Error):
                page.close()
        self.killed += 1


def kill_trials(playwright, tmp_path, harness, *, pages: int, browsers: int, seed: int) -> None:
    (tmp_path / "profile").mkdir()
    chrome = Chrome(playwright, tmp_path / "profile")
    try:
        trials = Trials(chrome, harness.address, seed)
        kinds = [False] * pages + [True] * browsers
        trials.rng.shuffle(kinds)
        for whole_browser in kinds:
            trials.one(whole_browser=whole_browser)
        trials.open("")
        assert trials.killed == pages + browsers
        assert trials.saved > trials.killed / 4, "too little was saved for this to show anything"
        assert trials.lost == []
        assert trials.corrupt == []
        print(f"{trials.killed} kills, {trials.saved} saves")
    finally:
        chrome.kill()


def test_killed_while_saving_nothing_is_lost(playwright, tmp_path, harness):
    kill_trials(playwright, tmp_path, harness, pages=6, browsers=2, seed=1)


@pytest.mark.soak
def test_a_thousand_kills_lose_nothing(playwright, tmp_path, harness):
    kill_trials(playwright, tmp_path, harness, pages=850, browsers=150, seed=2)


# ---- one by one


@pytest.fixture
def tab(chromium, harness):
    """Opens pages of the harness in one browser profile."""
    context = chromium.new_context()

    def open_tab(script: str = ""):
        page = context.new_page()
        if script:
            page.add_init_script(script)
        page.goto(harness.address + "harness.html")
        for _ in range(2000):
            if page.evaluate("!!globalThis.fettle"):
                return page
            page.wait_for_timeout(5)
        raise AssertionError("the storage did not answer")

    yield open_tab
    context.close()


def save(page, n: int) -> None:
    page.evaluate("n => fettle.storage.save(fettle.made(n))", n)


def said(page) -> list[str]:
    return page.evaluate("fettle.said")


def held(page) -> tuple[int, bool]:
    """Which save this page read at its start, and whether every character was there."""
    return page.evaluate("[fettle.n, fettle.n === 0 || fettle.storage.text === fettle.made(fettle.n)]")


def in_database(page, script: str):
    """Run ``script`` with the two object stores ``records`` and ``pointer`` at hand."""
    return page.evaluate(
        """async (body) => {
          const db = await new Promise((ok, no) => {
            const r = indexedDB.open("fettle", 1); r.onsuccess = () => ok(r.result); r.onerror = no; });
          const t = db.transaction(["records", "pointer"], "readwrite");
          const [records, pointer] = [t.objectStore("records"), t.objectStore("pointer")];
          const all = await new Promise((ok) => {
            const r = records.getAll(); r.onsuccess = () => ok(r.result); });
          const out = BODIES[body](records, pointer, all);
          await new Promise((ok) => (t.oncomplete = ok));
          db.close();
          return out;
        }""".replace("BODIES", "({" + f"go: (records, pointer, all) => {{ {script} }}" + "})"),
        "go",
    )


def test_only_the_last_five_versions_stay(tab):
    page = tab()
    for n in range(1, 12):
        save(page, n)
    assert in_database(page, "return all.length") == 5
    assert held(tab()) == [11, True]


@pytest.mark.parametrize(
    "damage",
    [
        "const r = all.at(-1); r.text = r.text.slice(0, -1) + '!'; records.put(r)",
        "const r = all.at(-1); r.text = r.text.slice(0, 40); records.put(r)",
        "const r = all.at(-1); delete r.text; records.put(r)",
        "records.delete(all.at(-1).id)",
    ],
    ids=["changed", "cut", "emptied", "gone"],
)
def test_a_damaged_version_is_found_and_the_one_before_it_opened(tab, damage):
    page = tab()
    for n in range(1, 6):
        save(page, n)
    in_database(page, damage)
    again = tab()
    assert held(again) == [4, True]
    assert "recovered" in said(again)


def test_a_save_cut_off_before_its_pointer_moved_is_still_the_newest(tab):
    page = tab()
    for n in range(1, 4):
        save(page, n)
    in_database(page, "pointer.put(all.at(-2).id, 'current')")
    again = tab()
    assert held(again) == [3, True] and "recovered" not in said(again)
    save(again, 4)
    assert "aside" not in said(again)
    assert held(tab()) == [4, True]


def test_two_tabs_notice_each_other_and_neither_is_lost(tab):
    one = tab()
    save(one, 1)
    two = tab()
    assert held(two) == [1, True]
    one.wait_for_timeout(100)
    assert "othertab" in said(one) and "othertab" in said(two)
    save(one, 2)  # two does not know of this
    save(two, 3)
    assert "aside" in said(two)
    for n in range(4, 20):
        save(two, n)  # far more than are kept
    three = tab()
    assert held(three) == [19, True] and "aside" in said(three)
    assert three.evaluate("fettle.storage.aside().then(t => t.map(x => x.text === fettle.made(2)))") == [True]
    three.evaluate("fettle.storage.aside().then(t => fettle.storage.settleAside(t.map(x => x.id)))")
    assert "aside" not in said(tab())


def test_looking_is_not_saving(tab):
    one, two = tab(), tab()
    save(one, 1)
    three = tab()
    save(one, 2)
    three.evaluate("fettle.storage.save(fettle.storage.text)")
    two.evaluate("fettle.storage.retry()")
    assert held(tab()) == [2, True]


def test_no_room_left_by_the_browser_is_said_and_made_good_when_there_is_room(tab):
    page = tab()
    save(page, 1)
    page.evaluate(
        """() => { const put = IDBObjectStore.prototype.add; globalThis.full = true;
        IDBObjectStore.prototype.add = function (...a) {
          if (full) throw new DOMException('no room', 'QuotaExceededError'); return put.apply(this, a) } }"""
    )
    save(page, 2)
    save(page, 3)
    assert said(page).count("full") == 1
    assert page.evaluate("fettle.storage.unsaved")
    assert held(tab()) == [1, True]
    page.evaluate("() => { full = false; return fettle.storage.retry() }")
    assert said(page)[-1] == "saved" and not page.evaluate("fettle.storage.unsaved")
    assert held(tab()) == [3, True]


NOISE = """(n) => { let s = n + ":"; while (s.length < 1e6) s += Math.random().toString(36);
  return fettle.storage.save(s) }"""


def test_a_disk_that_is_really_full(playwright, tmp_path, harness):
    """A browser whose profile lies on a small file system of its own, filled to the last byte."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=80m", "none", str(disk)]
    if os.geteuid() or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("a file system of its own can be mounted by root only")
    try:
        (disk / "profile").mkdir()
        chrome = Chrome(playwright, disk / "profile")
        try:
            page = chrome.context.new_page()
            page.goto(harness.address + "harness.html")
            page.wait_for_timeout(1000)
            save(page, 1)
            with contextlib.suppress(OSError), open(disk / "filling", "wb", buffering=0) as filling:
                while True:
                    filling.write(b"x" * 4096)
            page.evaluate(NOISE, 2)
            assert said(page)[-1] in ("full", "failed") and page.evaluate("fettle.storage.unsaved")
            again = chrome.context.new_page()
            again.goto(harness.address + "harness.html")
            again.wait_for_timeout(500)
            assert held(again) == [1, True]
            (disk / "filling").unlink()
            page.evaluate("fettle.storage.retry()")
            assert said(page)[-1] == "saved" and not page.evaluate("fettle.storage.unsaved")
        finally:
            chrome.kill()
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=False)


def test_storage_wiped_in_use_is_said_and_written_again(tab, harness):
    page = tab()
    save(page, 1)
    session = page.context.new_cdp_session(page)
    session.send(
        "Storage.clearDataForOrigin",
        {"origin": harness.address.rstrip("/"), "storageTypes": "indexeddb"},
    )
    save(page, 2)
    assert "wiped" in said(page)
    assert held(tab()) == [2, True]


def test_a_database_that_is_gone_at_the_start_comes_back_from_the_second_copy(tab, harness):
    page = tab()
    for n in (1, 2, 3):
        save(page, n)
    address = {"origin": harness.address.rstrip("/"), "storageTypes": "indexeddb"}
    page.context.new_cdp_session(page).send("Storage.clearDataForOrigin", address)
    page.close()
    page = tab()
    assert page.evaluate("fettle.storage.line.then(() => fettle.n)") == 3 and held(page) == [3, True]
    assert said(page)[0] == "returned" and "saved" in said(page)
    assert in_database(page, "return all.length") == 1
    # a copy that is not what was saved is not taken
    page.evaluate(
        """async () => { const cache = await caches.open("fettle-kept");
        await cache.put("./kept.json", new Response(JSON.stringify({sum: 1, text: "4:other"}))) }"""
    )
    page.context.new_cdp_session(page).send("Storage.clearDataForOrigin", address)
    page.close()
    assert held(tab()) == [0, True]


@pytest.mark.parametrize("times", [1, 3])
def test_a_connection_closed_in_the_middle_of_a_save_is_opened_again(tab, times):
    page = tab()
    save(page, 1)
    page.evaluate(
        """(times) => { const storage = fettle.storage, write = storage._write.bind(storage); let closed = 0;
          const open = IDBFactory.prototype.open;
          IDBFactory.prototype.open = function (...a) {
            if (closed === 2 && times > 2 && closed++) throw new DOMException("being deleted", "AbortError");
            return open.apply(this, a) };
          storage._write = async (text) => {
            if (closed >= times) return write(text);
            closed++;
            storage.db.onclose();
            throw new DOMException("closed", "AbortError");
          } }""",
        times,
    )
    save(page, 2)
    assert said(page) == ["saved", "saved"]
    assert held(tab()) == [2, True]


@pytest.mark.parametrize(
    "refusal",
    [
        "Object.defineProperty(globalThis, 'indexedDB', {value: undefined})",
        "IDBFactory.prototype.open = () => { throw new DOMException('no', 'SecurityError') }",
        """IDBFactory.prototype.open = () => { const r = new EventTarget(); r.error = new DOMException('no', 'UnknownError');
           setTimeout(() => r.onerror()); return r }""",
    ],
    ids=["absent", "forbidden", "failing"],
)
def test_where_storage_is_refused_work_goes_on_and_it_is_said_once(tab, refusal):
    page = tab(refusal)
    assert held(page) == [0, True]
    save(page, 1)
    save(page, 2)
    assert said(page) == ["memory"]
    assert page.evaluate("fettle.storage.text === fettle.made(2) && fettle.storage.unsaved")


def test_storage_that_fails_for_a_while_is_tried_again(tab):
    page = tab()
    save(page, 1)
    page.evaluate(
        """() => { const put = IDBObjectStore.prototype.add; let left = 2;
        IDBObjectStore.prototype.add = function (...a) {
          if (left-- > 0) throw new DOMException('disk', 'UnknownError'); return put.apply(this, a) } }"""
    )
    save(page, 2)
    assert said(page)[-1] == "failed"
    save(page, 3)
    assert said(page)[-1] == "saved"
    assert held(tab()) == [3, True]


def test_a_clock_that_jumps_back_does_not_bring_back_old_work(tab):
    page = tab()
    save(page, 1)
    page.evaluate("() => { const now = Date.now; Date.now = () => now() - 3.2e11 }")
    save(page, 2)
    page.evaluate("() => { const now = Date.now; Date.now = () => now() + 9.9e11 }")
    save(page, 3)
    page.evaluate("() => { const now = Date.now; Date.now = () => 0 }")
    save(page, 4)
    assert held(tab()) == [4, True]


def test_persistence_is_asked_for_once_there_is_something_to_lose(tab):
    script = """let n = 0; navigator.storage.persisted = async () => false;
    navigator.storage.persist = () => { globalThis.asks = ++n; return new Promise(() => {}) }"""
    page = tab(script)
    for n in (1, 2):
        save(page, n)
    assert page.evaluate("globalThis.asks ?? 0") == 0
    for n in (3, 4, 5):
        save(page, n)  # nothing waits for the answer, which some browsers ask a person for
    page.wait_for_timeout(50)
    assert page.evaluate("globalThis.asks") == 1
    assert held(tab()) == [5, True]


# ---- two tabs


AT_ONCE = """([n, at]) => { globalThis.going = (async () => {
  await new Promise((go) => setTimeout(go, at - Date.now() - 5));
  while (Date.now() < at);
  await fettle.storage.save(fettle.made(n));
  return fettle.storage.stored === fettle.made(n);
})() }"""
THERE = """async (numbers) => {
  await fettle.storage.read();
  const aside = await fettle.storage.aside();
  const texts = [fettle.storage.text, ...aside.map((item) => item.text)];
  const found = numbers.filter((n) => texts.includes(fettle.made(n)));
  await fettle.storage.settleAside(aside.map((item) => item.id));
  return found;
}"""


def saved_together(tab, trials: int) -> None:
    """Two tabs that know the same save and save in the same moment: what both were told is saved is there."""
    one, two, third = tab(), tab(), tab()
    told = 0
    lost = []
    for trial in range(trials):
        numbers = [2 * trial + 1, 2 * trial + 2]
        for page in (one, two):
            page.evaluate("fettle.storage.read().then(() => 0)")
        at = one.evaluate("Date.now() + 25")
        for page, number in zip((one, two), numbers, strict=True):
            page.evaluate(AT_ONCE, [number, at])
        saved = [n for n, page in zip(numbers, (one, two), strict=True) if page.evaluate("globalThis.going")]
        told += len(saved)
        there = third.evaluate(THERE, saved)
        lost += [n for n in saved if n not in there]
    assert told == 2 * trials, "not every save was made"
    assert lost == [], f"{len(lost)} of {told} saves are lost"


def test_two_tabs_that_save_in_the_same_moment_lose_nothing(tab):
    saved_together(tab, 40)


@pytest.mark.soak
def test_two_tabs_that_save_in_the_same_moment_five_hundred_times_lose_nothing(tab):
    saved_together(tab, 500)


def test_two_tabs_that_save_by_turns_keep_the_last_of_each(tab):
    one, two = tab(), tab()
    for n in range(1, 21):
        save(one, 2 * n)
        save(two, 2 * n + 1)
    assert held(tab()) == [41, True]
    aside = "fettle.storage.aside().then(all => all.map(x => x.text === fettle.made(40)))"
    assert tab().evaluate(aside) == [True]


def test_what_tabs_that_were_closed_had_saved_is_all_kept(tab):
    first = tab()
    save(first, 1)
    tabs = [tab() for _ in range(8)]
    for n, page in enumerate(tabs, 2):
        save(page, n)
    texts = "fettle.storage.aside().then(all => all.map(x => Number(x.text.split(':')[0])))"
    last = tab()
    assert held(last) == [9, True]
    assert sorted(last.evaluate(texts)) == [2, 3, 4, 5, 6, 7, 8]


def test_what_comes_aside_meanwhile_is_not_settled_with_the_rest(tab):
    one, two, three = tab(), tab(), tab()
    save(one, 1)
    save(two, 2)
    seen = three.evaluate("fettle.storage.aside().then(all => all.map(x => x.id))")
    save(one, 3)
    three.evaluate("ids => fettle.storage.settleAside(ids)", seen)
    texts = "fettle.storage.aside().then(all => all.map(x => x.text === fettle.made(2)))"
    assert tab().evaluate(texts) == [True]


def test_what_another_tab_saved_after_everything_was_wiped_is_kept(tab, harness):
    one, two = tab(), tab()
    save(one, 1)
    session = one.context.new_cdp_session(one)
    session.send(
        "Storage.clearDataForOrigin",
        {"origin": harness.address.rstrip("/"), "storageTypes": "indexeddb"},
    )
    save(two, 2)  # under the number that the first tab's save had
    save(one, 3)
    texts = "fettle.storage.aside().then(all => all.map(x => x.text === fettle.made(2)))"
    again = tab()
    assert held(again) == [3, True]
    assert again.evaluate(texts) == [True]


def test_a_fragment_is_known_once_what_it_holds_is_stored(tab):
    page = tab()
    save(page, 1)
    whose = "f => fettle.storage.whose(f)"
    assert page.evaluate(whose, "#v1.one") == ""
    page.evaluate("fettle.storage.know('#v1.one', 'p1')")
    assert page.evaluate(whose, "#v1.one") == "p1"
    page.evaluate(
        """() => { const put = IDBObjectStore.prototype.add; globalThis.full = true;
        IDBObjectStore.prototype.add = function (...a) {
          if (full) throw new DOMException('no room', 'QuotaExceededError'); return put.apply(this, a) } }"""
    )
    save(page, 2)
    page.evaluate("fettle.storage.know('#v1.two', 'p1')")
    assert page.evaluate(whose, "#v1.two") == "", "it holds what is not stored"
    page.evaluate("() => { full = false; return fettle.storage.retry() }")
    page.evaluate("fettle.storage.know('#v1.three', 'p2')")
    for fragment, player in (("#v1.one", "p1"), ("#v1.two", "p1"), ("#v1.three", "p2"), ("#v1.four", "")):
        assert tab().evaluate(whose, fragment) == player
    in_database(page, "const r = all.at(-1); r.text = 'spoilt'; records.put(r)")
    assert tab().evaluate(whose, "#v1.three") == "", "an older version was opened: the address may hold more"


def test_the_oldest_notes_of_fragments_make_room(tab):
    page = tab()
    save(page, 1)
    in_database(page, "pointer.put('p0', 'fragment 7 x')")  # as earlier versions wrote them, without a time
    page.evaluate("fettle.storage.notes = 20")
    for n in range(25):
        page.evaluate("n => fettle.storage.know(`#v1.${n}`, `p${n}`)", n)
    kept = "async () => Promise.all([...Array(25).keys()].map((n) => fettle.storage.whose(`#v1.${n}`)))"
    found = tab().evaluate(kept)
    assert found[-15:] == [f"p{n}" for n in range(10, 25)] and found[0] == ""
    keys = "const r = pointer.getAllKeys(); return new Promise((ok) => (r.onsuccess = () => ok(r.result)))"
    names = in_database(page, keys)
    assert "fragment 7 x" not in names and len([k for k in names if k.startswith("fragment ")]) <= 20
    assert "current" in names, "only notes are let go"
    assert held(tab()) == [1, True]


def test_a_note_of_an_earlier_version_is_read(tab):
    page = tab()
    save(page, 1)
    page.evaluate("fettle.storage.know('#v1.one', 'p1')")
    plain = "const r = pointer.getAllKeys(); r.onsuccess = () => pointer.put('p9', r.result.find((k) => k[0] === 'f'))"
    in_database(page, plain)
    assert tab().evaluate("fettle.storage.whose('#v1.one')") == "p9"
