// Python and the dashboard's twin, off the page's thread. Everything is fetched at once; the page is told how far it is.

import { restored } from "./image.mjs";
import { loadPyodide } from "./runtime/pyodide.mjs";
import { forgetDecoders, Packed, files } from "./unpack.mjs";

const HERE = new URL("./", self.location).href;
const RUNTIME = `${HERE}runtime/`;
const PACKAGES = "/sp";
const SOURCE = "/fettle";
const STDLIB_REST = "/lib/python314-rest.zip";
const WARM_AFTER = 200; // [ms] after ready
const REST_AFTER = 3000; // [ms] after that, when the person is likely to be reading

const began = performance.now();
const timing = {};
const mark = (name) => (timing[name] = Math.round(performance.now() - began));
const post = (message, transfer) => self.postMessage(message, transfer);

let stage = "fetching";
const now = (next) => post({ type: "progress", stage: (stage = next) });
let failed = false;
function fail(error) {
  if (failed) return;
  failed = true;
  post({ type: "failed", cause: `${stage}: ${lastLine(error)}`, lasting: !error?.passing });
}

/** The last line of a Python traceback, or the message of a JavaScript error: what a person can read. */
function lastLine(error) {
  const lines = String(error?.message || error).trim().split("\n");
  return lines.at(-1).slice(0, 300);
}

self.addEventListener("error", (event) => fail(event.error || event.message));
self.addEventListener("unhandledrejection", (event) => fail(event.reason));

// No part of this worker has business outside the site, whatever a library may try.
const fetchAny = self.fetch.bind(self);
const inHand = new Map(); // what is on its way before Pyodide asks for it
self.fetch = (input, init) => {
  const url = new URL(typeof input === "string" ? input : (input.url ?? String(input)), HERE);
  if (inHand.has(url.href)) return inHand.get(url.href);
  return url.origin === self.location.origin ? fetchAny(input, init) : Promise.reject(new TypeError("outside this site"));
};
for (const name of ["WebSocket", "EventSource", "WebTransport"])
  Object.defineProperty(self, name, { value: undefined, configurable: true });

// ---- fetching

const sizes = { loaded: 0, total: 0, last: 0 };
function counted(bytes) {
  sizes.loaded += bytes;
  const time = performance.now();
  if (stage === "fetching" && (time - sizes.last > 150 || sizes.loaded === sizes.total)) {
    sizes.last = time;
    post({ type: "progress", stage: "fetching", loaded: sizes.loaded, total: sizes.total });
  }
}

/** The network's fault, which says nothing about the file. */
const dropped = (path) => () => {
  throw Object.assign(new Error(`${path} could not be fetched`), { passing: true });
};

/** A file's bytes in the pieces in which they came. */
async function fetchChunks(path, init) {
  const response = await fetch(HERE + path, init).catch(dropped(path));
  if (response.status === 204) throw Object.assign(new Error(`${path} is not stored yet`), { passing: true });
  if (!response.ok) throw new Error(`${path} could not be fetched (${response.status})`);
  const reader = response.body.getReader();
  const chunks = [];
  for (;;) {
    const { done, value } = await reader.read().catch(dropped(path));
    if (done) return chunks;
    counted(value.byteLength);
    chunks.push(value);
  }
}

const DECODER = "runtime/zstd.wasm";
const decoder = fetchChunks(DECODER).then(async (chunks) => WebAssembly.compile(await new Blob(chunks).arrayBuffer()));
decoder.catch(() => {}); // heard where it is needed

/** What is packed in the chunks that are on their way. */
const opened = async (chunks) => new Packed(await decoder, await chunks);

// Of these the browser can keep the compiled form; they count when they have arrived.
const CORE = ["pyodide.asm.wasm", "pyodide.asm.mjs"];
inHand.set(`${RUNTIME}pyodide.asm.wasm`, fetchAny(`${RUNTIME}pyodide.asm.wasm`));
import("./runtime/pyodide.asm.mjs").catch(() => {}); // whoever needs it will hear of it
new PerformanceObserver((list) => {
  for (const entry of list.getEntries())
    if (CORE.some((name) => entry.name.endsWith(name))) counted(entry.decodedBodySize || entry.encodedBodySize);
}).observe({ type: "resource", buffered: true });

const ARCHIVES = {
  image: { base: "runtime/image.zst", over: "app/image.zst" },
  plain: { stdlib: "runtime/stdlib.zip.zst", boot: "runtime/boot.tar.zst", app: "app/app.tar.zst" },
};
const LIBRARIES = "runtime/libs.tar.zst";
const archives = { libs: fetchChunks(LIBRARIES) }; // promises of what is on its way; none is kept when all is up
archives.libs.catch(() => {}); // awaited below, where the stage is known, as are the others
for (const promise of inHand.values()) promise.catch(() => {});
let release = ""; // of the runtime
const listed = fetchAny(`${HERE}files.json`).then((response) => response.json());

/** Fetch what only this way needs. */
function take(way) {
  for (const [name, path] of Object.entries(ARCHIVES[way])) {
    archives[name] = fetchChunks(path);
    archives[name].catch(() => {});
  }
  if (archives.stdlib) {
    const library = opened(archives.stdlib).then((packed) => new Response(packed.all()));
    library.catch(() => {});
    inHand.set(`${RUNTIME}stdlib.zip`, library);
  }
  listed
    .then((files) => {
      release = files.runtime.id ?? "";
      const named = new Set([...CORE.map((name) => `runtime/${name}`), DECODER, LIBRARIES, ...Object.values(ARCHIVES[way])]);
      for (const file of [...files.runtime.files, ...files.app.files]) if (named.has(file.path)) sizes.total += file.bytes;
    })
    .catch(() => {}); // without the list there is a bar without a scale
}

const SLOW = 10; // [Mbit/s] below this, 6 MB less to fetch outweigh the longer start of the plain way, on a slow phone too
const LOOK = 1500; // [ms] after the first bytes, when the line's speed is looked at

/** On a first visit: which way is quicker here, by how fast core and libraries come, which both ways need. */
async function quicker() {
  const before = { cache: "only-if-cached", mode: "same-origin" }; // a first visit that was left early
  for (const way of ["image", "plain"]) {
    const found = Object.values(ARCHIVES[way]).map((path) => fetchAny(HERE + path, before).then((answer) => answer.ok, () => false));
    if (!(await Promise.all(found)).includes(false)) return way;
  }
  while (!sizes.loaded) await Promise.race([archives.libs, pause(20)]);
  const done = await Promise.race([archives.libs.then(() => true), pause(LOOK)]);
  const rate = (sizes.loaded * 8e-3) / (performance.now() - began); // at least: what comes beside is not counted yet
  return done || rate > SLOW ? "image" : "plain";
}
const pause = (ms) => new Promise((go) => setTimeout(go, ms));

const told = new Promise((resolve) => {
  self.onmessage = (event) => event.data.type === "start" && resolve(event.data);
});

// ---- starting

let python;

async function start() {
  await archives.stdlib; // Pyodide would go on without it, and fail with a riddle
  const wait = loadPyodide({ ...options(), stdLibURL: `${RUNTIME}stdlib.zip` });
  await Promise.all([archives.libs, archives.boot]);
  mark("fetched");
  now("python");
  python = await wait;
  mark("python");

  now("unpacking");
  for (const [name, where] of [["libs", PACKAGES], ["boot", PACKAGES], ["app", SOURCE]]) unpack(await opened(archives[name]), where);
  mark("unpacked");

  now("numbers");
  python.runPython(PREPARE);
  await python.runPythonAsync("import numpy, engine.solve");
  mark("numbers");

  now("screens");
  const { hash, owner, saved } = await told;
  live = python.pyimport("app.live");
  const [docs, items] = (await live.make(shell, hash ?? "", saved ?? null, owner ?? "")).toJs();
  mark("screens");

  now("drawing");
  tie = () => live.link(shell);
  self.onmessage = (event) => receive(event.data).catch(fail);
  post({ type: "document", docs: JSON.parse(docs), items: JSON.parse(items) });
}

/** Put a packed tar's files into Python's file system. */
function unpack(packed, where) {
  const made = new Set();
  for (const [name, bytes] of files(packed)) {
    const path = `${where}/${name}`;
    const folder = path.slice(0, path.lastIndexOf("/"));
    if (!made.has(folder)) python.FS.mkdirTree(folder);
    made.add(folder);
    python.FS.writeFile(path, bytes, { canOwn: true });
  }
}

/** The other way: everything as the build left it; the page already shows the document that belongs to it. */
async function restore() {
  python = await restored({ loadPyodide, archives: { ...archives, decoder }, options: options(), mark, now });
  live = python.pyimport("app.live");
  const { hash, owner, saved } = await told;
  now("drawing");
  tie = () => live.take_up(shell, hash ?? "", saved ?? null, owner ?? "");
  self.onmessage = (event) => receive(event.data).catch(fail);
  post({ type: "document" });
}

const options = () => ({
  indexURL: RUNTIME,
  env: { HOME: "/home/pyodide", PANEL_CDN_ROOT: "./runtime/panel/", PYTHONOPTIMIZE: "2" },
  stdout: (line) => console.debug(line),
  stderr: (line) => console.debug(line),
});

const shell = {
  address: HERE, // for links and QR codes
  patch: (patch, buffers) => post({ type: "patch", patch, buffers }),
  said: (kind, payload) => post({ type: "said", kind, payload: JSON.parse(payload) }),
  // what panel.io.pyodide would otherwise make by eval, which a strict policy forbids
  entries: (entries) => Object.fromEntries([...entries].map(([key, value]) => [key, value === undefined ? null : value])),
};

const PREPARE = `
import sys
sys.dont_write_bytecode = True
sys.path[1:1] = ["${SOURCE}", "${PACKAGES}"]
`;

// ---- running

let live, tie;

async function receive(message) {
  if (message.type === "rendered") {
    tie();
    mark("ready");
    timing.memory = python._module.HEAPU8.length / 1e6; // [MB]
    post({ type: "ready", timing });
    for (const name of Object.keys(archives)) delete archives[name];
    inHand.clear();
    setTimeout(later, WARM_AFTER);
  } else if (message.type === "patch") {
    // awaited before the answer: the page sends the next patch only then
    const fault = await live.apply(message.patch);
    if (fault) post({ type: "fault", fault });
    post({ type: "idle" });
  } else if (message.type === "said") {
    const fault = live?.receive(message.kind, JSON.stringify(message.payload));
    if (fault) post({ type: "fault", fault });
    if (message.turn) post({ type: "idle" });
    if (message.reply) post({ type: "heard", reply: message.reply });
  }
}

const WARM = `
import asyncio, importlib, json

async def _warm():
    """Bring in what the first answer needs, piece by piece, so that a tap in between need not wait."""
    with open("${SOURCE}/warm.json") as file:
        names = json.load(file)
    for name in names:
        try:
            importlib.import_module(name)
        except ImportError:
            continue  # the one who needs it will hear of it
        package, _, last = name.rpartition(".")
        where = getattr(sys.modules.get(package), "_WHERE", {})
        if where.get(last, ("", None))[1] is not None:  # a function of the same name, now hidden by its module (see lazy.py)
            delattr(sys.modules[package], last)
        await asyncio.sleep(0)

await _warm()
`;

/** What the first answer needs, then what only some answers need. */
async function later() {
  try {
    if (way === "plain") await python.runPythonAsync(WARM);
  } catch (error) {
    console.info("later:", lastLine(error));
  }
  setTimeout(rest, REST_AFTER);
}

async function rest() {
  try {
    // asked for with the release, so that a page that outlives an update never gets the parts of another
    const init = release ? { headers: { release } } : {};
    python.FS.writeFile(STDLIB_REST, (await opened(fetchChunks("runtime/stdlib-rest.zip.zst", init))).all(), { canOwn: true });
    unpack(await opened(fetchChunks("runtime/rest.tar.zst", init)), PACKAGES);
    python.runPython(`import importlib, sys; sys.path.append("${STDLIB_REST}"); importlib.invalidate_caches()`);
    post({ type: "complete" });
  } catch (error) {
    setTimeout(rest, 30_000); // a weak signal: try again later, most things work without
    console.info("rest:", lastLine(error));
  } finally {
    forgetDecoders();
  }
}

let way = self.name; // the page decides, see shell/start_mode.js, or leaves it to the line

async function begin() {
  if (way === "either") post({ type: "way", way: (way = await quicker()) });
  take(way);
  await (way === "image" ? restore() : start());
}
begin().catch(fail);
