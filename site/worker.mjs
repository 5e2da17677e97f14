// Python and the dashboard's twin, off the page's thread. Everything is fetched at once; the page is told how far it is.

import { loadPyodide } from "./runtime/pyodide.mjs";

const HERE = new URL("./", self.location).href;
const RUNTIME = `${HERE}runtime/`;
const PACKAGES = "/sp";
const SOURCE = "/fettle";
const REST_AFTER = 3000; // [ms] after ready, when the person is likely to be reading

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
  post({ type: "failed", cause: `${stage}: ${lastLine(error)}` });
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
self.fetch = (input, init) => {
  const url = new URL(typeof input === "string" ? input : (input.url ?? String(input)), HERE);
  return url.origin === self.location.origin ? fetchAny(input, init) : Promise.reject(new TypeError("outside this site"));
};
for (const name of ["WebSocket", "EventSource", "WebTransport"])
  Object.defineProperty(self, name, { value: undefined, configurable: true });

// ---- fetching

const sizes = { loaded: 0, total: 0, last: 0 };
function counted(bytes) {
  sizes.loaded += bytes;
  const time = performance.now();
  if (stage === "fetching" && (time - sizes.last > 150 || sizes.loaded >= sizes.total)) {
    sizes.last = time;
    post({ type: "progress", stage: "fetching", loaded: sizes.loaded, total: sizes.total });
  }
}

async function fetchBytes(path) {
  const response = await fetch(HERE + path);
  if (!response.ok) throw new Error(`${path} could not be fetched (${response.status})`);
  const reader = response.body.getReader();
  const parts = [];
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    parts.push(value);
    counted(value.byteLength);
  }
  return new Blob(parts);
}

/** What a .tar.gz holds; a host that already undid the compression does no harm. */
async function fetchArchive(path) {
  const blob = await fetchBytes(path);
  const head = new Uint8Array(await blob.slice(0, 2).arrayBuffer());
  if (head[0] !== 0x1f || head[1] !== 0x8b) return blob.arrayBuffer();
  return new Response(blob.stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}

// The core fetches its own files, so that the browser can keep their compiled form; they count when they have arrived.
const CORE = ["pyodide.asm.wasm", "pyodide.asm.mjs", "python_stdlib.zip"];
new PerformanceObserver((list) => {
  for (const entry of list.getEntries())
    if (CORE.some((name) => entry.name.endsWith(name))) counted(entry.decodedBodySize || entry.encodedBodySize);
}).observe({ type: "resource", buffered: true });

const boot = fetchArchive("runtime/boot.tar.gz");
const app = fetchArchive("app/app.tar.gz");
let release = ""; // of the runtime
fetchAny(`${HERE}files.json`)
  .then((response) => response.json())
  .then((files) => {
    release = files.runtime.id ?? "";
    const named = new Set([...CORE, "boot.tar.gz", "app.tar.gz"].map((name) => name));
    for (const file of [...files.runtime.files, ...files.app.files])
      if (named.has(file.path.split("/").at(-1))) sizes.total += file.bytes;
  })
  .catch(() => {}); // without the list there is a bar without a scale
for (const promise of [boot, app]) promise.catch(() => {}); // awaited below, where the stage is known

const told = new Promise((resolve) => {
  self.onmessage = (event) => event.data.type === "start" && resolve(event.data);
});

// ---- starting

let python;

async function start() {
  const wait = loadPyodide({
    indexURL: RUNTIME,
    env: { HOME: "/home/pyodide", PANEL_CDN_ROOT: "./runtime/panel/", PYTHONOPTIMIZE: "2" },
    stdout: (line) => console.debug(line),
    stderr: (line) => console.debug(line),
  });
  const archive = await boot;
  mark("fetched");
  now("python");
  python = await wait;
  mark("python");

  now("unpacking");
  for (const [where, bytes] of [[PACKAGES, archive], [SOURCE, await app]]) {
    python.FS.mkdirTree(where);
    python.unpackArchive(bytes, "tar", { extractDir: where });
  }
  mark("unpacked");

  now("numbers");
  python.globals.set("_shell", shell);
  python.runPython(PREPARE);
  await python.runPythonAsync("import numpy, engine.solve");
  mark("numbers");

  now("screens");
  const { hash, saved } = await told;
  const made = python.runPython(MAKE);
  const [docs, items] = (await made(hash ?? "", saved ?? null)).toJs();
  mark("screens");

  now("drawing");
  self.onmessage = (event) => receive(event.data).catch(fail);
  post({ type: "document", docs: JSON.parse(docs), items: JSON.parse(items) });
}

const shell = {
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

const MAKE = `
import json, traceback
import pyodide.code
_run_js = pyodide.code.run_js
pyodide.code.run_js = lambda code: _shell.entries
from panel.io import pyodide as _panel
pyodide.code.run_js = _run_js
from panel.io.state import state
from app import bridge
from app.main import make_document

def _say(kind, payload):
    _shell.said(kind, json.dumps(payload))

async def _make(hash_, saved):
    bridge.install(_say)
    _panel.init_doc()
    for root in make_document({"hash": hash_, "saved": saved}):
        root.servable()
    docs, items, _ = await _panel.write_doc()
    return [docs, items]

_make
`;

const LINK = `
def _link():
    _panel._link_docs_worker(state.curdoc, lambda patch, buffers, _id: _shell.patch(patch, buffers), setter="js")
    state._loaded[state.curdoc] = state._connected[state.curdoc] = True

async def _apply(patch):
    """One patch from the page; says in a line what went wrong, or nothing."""
    try:
        state.curdoc.apply_json_patch(_panel._convert_json_patch(patch), setter="js")
    except Exception as error:
        traceback.print_exc()
        return f"{type(error).__name__}: {error}"
    return ""

def _receive(kind, payload):
    try:
        bridge.receive(kind, json.loads(payload))
    except Exception as error:
        traceback.print_exc()
        return f"{type(error).__name__}: {error}"
    return ""

_link()
`;

// ---- running

let apply, hear;

async function receive(message) {
  if (message.type === "rendered") {
    python.runPython(LINK);
    [apply, hear] = [python.globals.get("_apply"), python.globals.get("_receive")];
    mark("ready");
    post({ type: "ready", timing });
    setTimeout(rest, REST_AFTER);
  } else if (message.type === "patch") {
    // awaited before the answer: the page sends the next patch only then
    const fault = await apply(message.patch);
    if (fault) post({ type: "fault", fault });
    post({ type: "idle" });
  } else if (message.type === "said") {
    const fault = hear?.(message.kind, JSON.stringify(message.payload));
    if (fault) post({ type: "fault", fault });
    if (message.reply) post({ type: "heard", reply: message.reply });
  }
}

async function rest() {
  try {
    // named with its release, so that a page that outlives an update never gets the parts of another
    python.unpackArchive(await fetchArchive(`runtime/rest.tar.gz${release ? `?release=${release}` : ""}`), "tar", { extractDir: PACKAGES });
    python.runPython("import importlib; importlib.invalidate_caches()");
    post({ type: "complete" });
  } catch (error) {
    setTimeout(rest, 30_000); // a weak signal: try again later, most things work without
    console.info("rest:", lastLine(error));
  }
}

start().catch(fail);
