"""Starts and redraws in a real Chromium, as they are and with a processor four times slower.

`plain` and `image` are the site's two ways of starting; `stock` is Panel's own conversion of the same app, `bare`
Pyodide alone. All are asked in turn within a run, so that their ratios hold whatever else the machine does.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from functools import partial
from itertools import product
from pathlib import Path
from typing import Any

from browsers import browser
from console import step
from serve import server

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
UNITS = {"redraw": "ms", "tap": "ms", "wind": "ms", "peak": "mb", "linear": "mb"}  # else seconds
SHARE = 0.25  # of the time that a slowed process may run
PERIOD = 0.012  # [s]

MODULE_WORKER = """<!doctype html><meta charset="utf-8"><title>bench</title><script type="module">
window.answer = null;
const worker = new Worker("./{0}.mjs", {{ type: "module" }});
worker.onmessage = ({{ data }}) => {{ window.answer = data; performance.mark("fettle-ready"); }};
</script>
"""
BARE = """import { loadPyodide } from "./core/pyodide.mjs";
const python = await loadPyodide({ indexURL: new URL("./core/", self.location).href });
self.postMessage(python.runPython("1 + 1"));
"""
SOLVE = """import { loadPyodide } from "./site/runtime/pyodide.mjs";
import { Packed } from "./site/unpack.mjs";
const site = new URL("./site/", self.location).href;
const stdLibURL = new URL("./core/python_stdlib.zip", self.location).href;
const python = await loadPyodide({ indexURL: `${site}runtime/`, stdLibURL });
const decoder = await WebAssembly.compileStreaming(fetch(`${site}runtime/zstd.wasm`));
const places = { "runtime/libs.tar.zst": "/sp", "runtime/boot.tar.zst": "/sp", "app/app.tar.zst": "/fettle" };
for (const [path, where] of Object.entries(places)) {
  const packed = new Uint8Array(await (await fetch(site + path)).arrayBuffer());
  const tar = new Packed(decoder, [packed]).all().buffer;
  python.FS.mkdirTree(where);
  python.unpackArchive(tar, "tar", { extractDir: where });
}
python.runPython("import sys; sys.path[1:1] = ['/fettle', '/sp']");
python.runPython(await (await fetch("./solve.json")).json());
self.postMessage(python.globals.get("seconds"));
"""


def folder_of(home: Path, root: Path) -> None:
    """A folder to serve: the site, Pyodide's untouched core, and the pages that only a bench needs."""
    home.mkdir(parents=True, exist_ok=True)
    for name, target in {"site": root / "site", "core": root / ".cache" / "pyodide"}.items():
        link = home / name
        if not link.exists():
            link.symlink_to(target.resolve(), target_is_directory=True)
    for name, script in {"bare": BARE, "solve": SOLVE}.items():
        (home / f"{name}.html").write_text(MODULE_WORKER.format(name), encoding="utf-8")
        (home / f"{name}.mjs").write_text(script, encoding="utf-8")


@contextlib.contextmanager
def browsed(
    folder: Path, *, profile: Path | None = None, stop: list[Any] | None = None
) -> Iterator[tuple[Any, str]]:
    """A page of a new browser, and the address of a server for this folder; `stop` gets what kills the server."""
    from playwright.sync_api import sync_playwright

    host = server(folder, 0)
    threading.Thread(target=host.serve_forever, daemon=True).start()

    def end() -> None:
        host.shutdown()
        host.server_close()

    own = Path(tempfile.mkdtemp()) if profile is None else profile
    try:
        with sync_playwright() as playwright:
            context = playwright.chromium.launch_persistent_context(
                own,
                executable_path=browser() or None,
                args=FLAGS,
                viewport={"width": 390, "height": 844},
                has_touch=True,
            )
            if stop is not None:
                stop.append(end)
            yield context.new_page(), f"http://localhost:{host.server_address[1]}/"
            context.close()
    finally:
        end()
        if profile is None:
            shutil.rmtree(own, ignore_errors=True)


def renderers_of(profile: Path) -> list[int]:
    """The processes that draw pages, and run their workers, of the browser with this profile."""
    parents, lines = {}, {}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            with contextlib.suppress(OSError, IndexError):
                lines[int(entry.name)] = (entry / "cmdline").read_bytes().decode("utf-8", "replace")
                stat = (entry / "stat").read_text(encoding="utf-8", errors="replace")
                parents[int(entry.name)] = int(stat.rsplit(")", 1)[1].split()[1])
    found = []
    for process, line in lines.items():
        at, steps = process, 0
        while "--type=renderer" in line and at in lines and steps < 8:
            if str(profile) in lines[at]:
                found.append(process)
                break
            at, steps = parents.get(at, 0), steps + 1
    return found


def peak(profile: Path, *, now: bool = False) -> float:
    """Most memory that any page of this browser has had so far, or has now, the browser's own code included. [MB]"""
    most = 0.0
    for process in renderers_of(profile):
        with contextlib.suppress(OSError, IndexError):
            status = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
            most = max(most, float(status.split("VmRSS:" if now else "VmHWM:")[1].split()[0]) / 1000)
    return most


class Slowed:
    """Lets the renderers of the browser with this profile run a quarter of the time; workers live in them too.

    Chromium's own throttle does not reach workers. Browser and network processes stay as fast as they are.
    """

    def __init__(self, profile: Path, slow: bool) -> None:
        self.profile, self.on = profile, slow
        self.thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Slowed:
        if self.on:
            self.thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self.on:
            self.on = False
            self.thread.join()

    def _run(self) -> None:
        renderers: list[int] = []
        looked = 0.0
        while self.on:
            if time.monotonic() - looked > 0.3:
                renderers, looked = renderers_of(self.profile), time.monotonic()
            self._send(renderers, signal.SIGSTOP)
            time.sleep(PERIOD * (1 - SHARE))
            self._send(renderers, signal.SIGCONT)
            time.sleep(PERIOD * SHARE)

    def _send(self, processes: list[int], what: int) -> None:
        for process in processes:
            with contextlib.suppress(OSError):
                os.kill(process, what)


def measure(root: Path, sites: list[str], runs: int, *, slow: bool) -> dict[str, float]:
    """Medians: cold and warm starts, and slider to redraw, of each site; and shares of the stock conversion's and of bare
    Pyodide's."""
    home = root / ".cache" / "bench"
    folder_of(home, root)
    if "stock" in sites:
        import bench_stock

        bench_stock.make(root, home / "stock")
    pages = {
        "plain": "site/?start=plain",
        "image": "site/?start=image",
        "stock": "stock/",
        "bare": "bare.html",
    }
    taken: dict[str, list[float]] = {}
    for n in range(runs):
        for site in sites:
            step(f"run {n + 1} of {runs}: {site}{', slowed' if slow else ''}")
            for name, value in one(
                home, pages[site], slow=slow, ours=site in ("plain", "image"), bare=site == "bare"
            ).items():
                taken.setdefault(f"{site}_{name}", []).append(value)
    tail = "_slow" if slow else ""
    middle = {name: statistics.median(values) for name, values in taken.items()}
    found = {
        f"{name}{tail}_{UNITS.get(name.rpartition('_')[2], 's')}": value for name, value in middle.items()
    }
    if {"image_redraw", "plain_redraw"} <= middle.keys():
        found[f"image_redraw_of_plain{tail}_share"] = middle["image_redraw"] / middle["plain_redraw"]
    for site, yardstick, what in product(("plain", "image"), ("stock", "bare"), ("cold", "warm")):
        if {f"{site}_{what}", f"{yardstick}_{what}"} <= middle.keys():
            share = middle[f"{site}_{what}"] / middle[f"{yardstick}_{what}"]
            found[f"{site}_{what}_of_{yardstick}{tail}_share"] = share
    return found


def one(home: Path, path: str, *, slow: bool, ours: bool, bare: bool) -> dict[str, float]:
    """One visit in a new profile, then a second one with the browser started anew; ours with the server gone."""
    profile = Path(tempfile.mkdtemp(prefix="fettle-bench-"))
    found = {}
    try:
        stop: list[Any] = []
        with browsed(home, profile=profile, stop=stop) as (page, address):
            with Slowed(profile, slow):
                page.goto(address + path)
                found["cold"] = ready(page)
                if ours:
                    found |= stages(page)
                if not bare:
                    found["redraw"] = redraw(page)
                if ours:
                    found |= taps(page)
            found["peak"] = peak(profile)
            if ours:
                wait(page, "document.documentElement.dataset.stored == 'all'")
                stop[0]()
            with Slowed(profile, slow):
                page.goto(address + path)
                found["warm"] = ready(page, "fettle-live" if ours else "fettle-ready")
                if ours:
                    found["back"] = ready(page)
    finally:
        shutil.rmtree(profile, ignore_errors=True)
    return found


def far(root: Path, runs: int) -> dict[str, float]:
    """Median of first visits over a mobile link with a slowed processor, the site choosing its way; and that way."""
    from bench_link import linked

    took = []
    for n in range(runs):
        step(f"run {n + 1} of {runs}: over a mobile link, slowed")
        profile = Path(tempfile.mkdtemp(prefix="fettle-bench-"))
        try:
            with linked(root / "site") as address, browsed(root / "site", profile=profile) as (page, _):
                with Slowed(profile, True):
                    page.goto(address, wait_until="commit")
                    took.append(ready(page))
                way = page.evaluate("performance.getEntriesByName('fettle-ready')[0].detail.way")
                print(f"{took[-1]:.1f} s, {way}")
        finally:
            shutil.rmtree(profile, ignore_errors=True)
    return {"link_cold_slow_s": statistics.median(took)}


def stages(page: Any) -> dict[str, float]:
    """When each stage of the worker's start was through, from the worker's own beginning [s], and Python's memory [MB]."""
    told = page.evaluate("performance.getEntriesByName('fettle-ready')[0].detail")
    found = {"linear": told.pop("memory")}
    return found | {
        f"at_{name.replace(' ', '_')}": value / 1000 for name, value in told.items() if name != "way"
    }


STORE = """async (text) => {
  const { Storage } = await import("./storage.js");
  const storage = new Storage();
  await storage.read();
  await storage.save(text);
  storage.channel.close();
}"""


def players(root: Path, runs: int, stored: str) -> dict[str, float]:
    """Medians on a phone's screen with 300 players ``stored``: from a press or a key until a frame shows the list, a list
    searched by two letters more, sorted, the player opened by the name, and all 300 rows. [ms]"""
    taken: dict[str, list[float]] = {}
    for n in range(runs):
        step(f"run {n + 1} of {runs}: 300 players")
        with browsed(root / "site") as (page, address):
            page.goto(f"{address}manifest.webmanifest")
            page.evaluate(STORE, stored)
            page.goto(address)
            ready(page)
            time.sleep(3)
            page.get_by_role("button", name="Menu").first.tap()
            name = page.get_by_role("button", name="Player 003 Winterbourne")
            search = page.get_by_label("Search names, tags and notes")
            for what, act in (
                ("list", page.get_by_role("button", name="Players, share, files").first.tap),
                ("named", name.tap),
                ("sorted", partial(page.get_by_label("Sort by").select_option, "Last session")),
                ("typed", partial(search.press, "2")),
                ("typed", partial(search.press, "9")),
                ("typed", partial(search.press, "Backspace")),
                ("typed", partial(search.press, "Backspace")),
                ("rows", page.get_by_role("button", name="Show all 300").first.tap),
            ):
                time.sleep(3)  # the player opened is stored meanwhile
                page.evaluate(NOTE_LIST)
                act()
                wait(page, "window.seen.to > 0")
                taken.setdefault(what, []).append(float(page.evaluate("window.seen.to - window.seen.from")))
    return {f"players_{what}_ms": statistics.median(values) for what, values in taken.items()}


NOTE_LIST = """() => {
  const find = (root) => { for (const item of root.querySelectorAll("*")) {
    if (item.tagName === "CAPTION" && item.textContent.startsWith("On this device")) return item.closest("table").outerHTML;
    const inside = item.shadowRoot && find(item.shadowRoot); if (inside) return inside } };
  const seen = window.seen = {}, was = find(document);
  for (const type of ["click", "input", "change"])
    addEventListener(type, () => seen.from ??= performance.now(), { capture: true, once: true });
  const look = () => {
    const now = seen.from && find(document);
    if (now && now !== was) requestAnimationFrame(() => setTimeout(() => seen.to = performance.now()));
    else setTimeout(look, 4) };
  look() }"""
NOTE_FIRST = "addEventListener('input', () => (window.first ??= performance.now()), true)"


def first(root: Path, runs: int) -> dict[str, float]:
    """Medians over thin lines of first visits: until something is painted, and until the first key is in its field. [s]"""
    from bench_link import linked

    found = {}
    for rate in (200, 1000):  # [kB/s]
        took: list[tuple[float, float]] = []
        for n in range(runs):
            step(f"run {n + 1} of {runs}: first key at {rate} kB/s")
            with (
                linked(root / "site", rate=rate * 1e3, delay=0.15) as address,
                browsed(root / "site") as (page, _),
            ):
                page.add_init_script(NOTE_FIRST)
                page.goto(address, wait_until="commit")
                while not page.evaluate("window.first"):
                    page.evaluate("document.getElementById('early-height')?.focus()")
                    page.keyboard.press("1")
                painted = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
                wait(page, painted)
                took.append((page.evaluate(painted) / 1000, page.evaluate("window.first") / 1000))
        for name, values in zip(("paint", "key"), zip(*took, strict=True), strict=True):
            found[f"first_{name}_{rate}_s"] = statistics.median(values)
    return found


def ready(page: Any, mark: str = "fettle-ready") -> float:
    """Seconds from navigation until the dashboard takes input; until ``fettle-live``, it takes messages, and only its step
    that was used last is still being drawn."""
    wait(page, f"performance.getEntriesByName('{mark}').length > 0")
    return float(page.evaluate(f"performance.getEntriesByName('{mark}')[0].startTime")) / 1000


MEANS = """[...[...Bokeh.documents].at(-1)._all_models.values()]
    .filter(m => m.type === 'ColumnDataSource' && 'mean' in m.data && 'lo' in m.data && m.data.mean.length)"""

ANSWER = """(function find(root) { for (const item of root.querySelectorAll('*')) {
    if (item.classList.contains('answer')) return item.shadowRoot;
    const inside = item.shadowRoot && find(item.shadowRoot); if (inside) return inside } })(document)"""


def redraw(page: Any) -> float:
    """Milliseconds from a key on the slider of the common length until the plot's data changed and a frame is drawn."""
    field = page.get_by_label("Height").first
    field.fill("178")
    field.press("Enter")
    page.get_by_role("button", name="3 Lay out").first.tap()
    wait(page, f"{MEANS}.length > 0")
    handle = page.locator(".noUi-handle:visible").first
    handle.scroll_into_view_if_needed()
    handle.focus()
    took = []
    for key in ("ArrowRight", "ArrowRight", "ArrowLeft", "ArrowLeft", "ArrowRight"):
        time.sleep(0.4)
        page.evaluate(
            f"""() => {{ const seen = window.seen = {{}};
            addEventListener('keydown', () => seen.from = performance.now(), {{capture: true, once: true}});
            for (const source of {MEANS}) source.properties.data.change.connect(() => {{
              if (seen.asked) return;
              seen.asked = requestAnimationFrame(() => setTimeout(() => seen.to = performance.now())); }}) }}"""
        )
        handle.press(key)
        wait(page, "window.seen.to > 0")
        took.append(float(page.evaluate("window.seen.to - window.seen.from")))
    return statistics.median(took)


def taps(page: Any) -> dict[str, float]:
    """Milliseconds from a tap on a step of Play until the answer at a green stands: a further distance, another wind."""

    def press(name: str) -> None:
        page.get_by_role("button", name=name).first.tap()

    press("5 Play")
    wait(page, f"{ANSWER} !== undefined")
    for name in ("Distance plus 10", "Wind plus 5", "A green"):
        press(name)
    wait(page, f"{ANSWER}?.textContent.includes('to hole out')")
    found = {}
    for what, name in (("tap", "Distance plus 1 "), ("wind", "Wind plus 1 ")):
        took = []
        for _ in range(5):
            time.sleep(0.4)
            page.evaluate(
                f"""() => {{ const seen = window.seen = {{}};
                addEventListener('click', () => seen.from = performance.now(), {{capture: true, once: true}});
                const watch = new MutationObserver(() => {{ watch.disconnect();
                  requestAnimationFrame(() => setTimeout(() => seen.to = performance.now())); }});
                watch.observe({ANSWER}, {{childList: true, subtree: true, characterData: true}}) }}"""
            )
            press(name)
            wait(page, "window.seen.to > 0")
            took.append(float(page.evaluate("window.seen.to - window.seen.from")))
        found[what] = statistics.median(took)
    return found


def wait(page: Any, expression: str, seconds: float = 240) -> None:
    """Ask from outside: the page's policy forbids the eval that waiting inside it needs."""
    end = time.time() + seconds
    while not page.evaluate(expression):
        if time.time() > end:
            raise TimeoutError(f"{expression}: {page.inner_text('body')[:300]}")
        time.sleep(0.02)
