// node image_make.mjs CORE OUT name=folder ...: run Python up to a ready dashboard and write its memory.
//
// OUT/base.mem: memory with the libraries imported; OUT/full.mem: with the dashboard made; OUT/image.json: where the
// dynamic libraries lie; OUT/head.bin: what Pyodide needs to find its JavaScript references again.
import nodeCrypto from "node:crypto";
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [, , core, out, ...mounts] = process.argv;

// The same memory every time: no clock, no chance. The page sets both right after a restore.
let ticks = 0;
const tick = () => ++ticks * 1e-3; // [ms]
Date.now = () => 1577836800000 + Math.floor(tick());
performance.now = tick;
let state = 1;
const word = () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0);
Math.random = () => word() / 2 ** 32;
const fill = (view) => {
  const bytes = new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
  for (let n = 0; n < bytes.length; n++) bytes[n] = word() >>> 24;
  return view;
};
Object.defineProperty(globalThis, "crypto", { value: { getRandomValues: fill, subtle: globalThis.crypto.subtle } });
nodeCrypto.randomFillSync = fill; // what Pyodide asks under Node
globalThis.XMLHttpRequest ??= class {}; // panel.io.pyodide looks for it

// Folders in the same order, files of the same age, whatever the file system: Python keeps both in mind.
const list = fs.readdirSync;
fs.readdirSync = (...all) => list(...all).sort();
const numbers = new Map(); // path -> what stands for its inode
for (const name of ["statSync", "lstatSync", "fstatSync"]) {
  const real = fs[name];
  fs[name] = (file, ...all) => {
    const found = real(file, ...all);
    const when = new Date(1577836800000);
    for (const time of ["atime", "mtime", "ctime", "birthtime"])
      Object.defineProperties(found, { [time]: { value: when }, [`${time}Ms`]: { value: +when } });
    if (!numbers.has(file)) numbers.set(file, numbers.size + 1);
    const mode = (found.mode & ~0o777) | (found.isDirectory() ? 0o755 : 0o644);
    return Object.defineProperties(found, { ino: { value: numbers.get(file) }, dev: { value: 1 }, mode: { value: mode } });
  };
}

/** Notes where each library is put and which table slot each of its symbols gets. */
const recorder = {
  full: false, // while true the heap must not grow
  libraries: [],
  slots: [],
  scopes: new Map(),
  loading(name, flags, scope, handle, memory, table) {
    if (scope && !this.scopes.has(scope)) this.scopes.set(scope, this.scopes.size);
    const place = scope ? this.scopes.get(scope) : null;
    this.libraries.push({ name, memory, table, handle, scope: place, global: !!flags.global, nodelete: !!flags.nodelete });
  },
  slotted(slot, symbol) {
    if (this.libraries.length && (symbol || slot >= 0)) this.slots.push([this.libraries.length - 1, symbol ?? "", slot]);
  },
};

const { loadPyodide } = await import(pathToFileURL(path.join(path.resolve(core), "pyodide.mjs")).href);
const python = await loadPyodide({
  indexURL: path.resolve(core) + path.sep,
  env: {
    HOME: "/home/pyodide",
    LANG: "en_US.UTF-8",
    PANEL_CDN_ROOT: "./runtime/panel/",
    PYTHONOPTIMIZE: "2",
    PYTHONHASHSEED: "0",
    PYTHONNODEBUGRANGES: "1",
  },
  _sysExecutable: "/fettle/python",
  _makeSnapshot: true,
  _image: recorder,
});
const inside = python._module;
for (const mount of mounts) {
  const [name, folder] = mount.split("=");
  python.FS.mkdirTree("/" + name);
  python.FS.mount(python.FS.filesystems.NODEFS, { root: path.resolve(folder) }, "/" + name);
}

/** All that `take(size)` gives for these sizes, zeroed. */
function taken(take, sizes) {
  const blocks = [];
  for (const size of sizes)
    for (let at = take(size); at; at = take(size)) {
      inside.HEAPU8.fill(0, at, at + size);
      blocks.push(at);
    }
  return blocks;
}
const POWERS = Array.from({ length: 23 }, (_, n) => 1 << (26 - n)); // down to 16 bytes
const SMALL = Array.from({ length: 64 }, (_, n) => 512 - 8 * n); // what Python's own allocator gives out

/** Free memory and the unused stack hold remains of what was; take all of it, zero it, give it back. */
function zeroFree() {
  recorder.full = true;
  const large = taken(inside._malloc, POWERS);
  for (const at of taken(inside._PyObject_Malloc, SMALL).sort((a, b) => b - a)) inside._PyObject_Free(at);
  const after = taken(inside._malloc, POWERS); // what Python's allocator gave back
  for (const at of [...large, ...after]) inside._free(at);
  recorder.full = false;
  inside.HEAPU8.fill(0, inside._emscripten_stack_get_end(), inside.stackSave());
}

/**
 * Write the links of the objects that the garbage collector has been told to leave alone (a ring through all of them) as
 * distances, the ring running through memory in order: absolute links, in the order in which the objects were made, are a
 * tenth of what is packed. `linked` in site/image.mjs undoes it. Returns where the ring begins.
 */
function unlink(memory, member) {
  const words = new Uint32Array(memory.buffer, memory.byteOffset, memory.length / 4);
  const ring = [];
  for (let at = member; ring[0] !== at; at = words[at / 4] & ~3) ring.push(at);
  ring.sort((a, b) => a - b);
  ring.forEach((at, n) => {
    words[at / 4] = ((ring[(n + 1) % ring.length] - at) & ~3) | (words[at / 4] & 3);
    words[at / 4 + 1] &= 3; // the way back follows from the way forth
  });
  return ring[0];
}

const run = async (script) => {
  await python.runPythonAsync(fs.readFileSync(new URL(script, import.meta.url), "utf8"));
  const member = python.runPython("import sys; id(sys.modules)") - 8; // in front of each object stand its links
  inside._PyType_ClearCache(); // what was looked up lately
  zeroFree();
  return member;
};
try {
  let member = await run("./image_base.py");
  const base = inside.HEAPU8.slice();
  unlink(base, member);
  fs.writeFileSync(path.join(out, "base.mem"), base);
  const libraries = recorder.libraries.length;
  member = await run("./image_app.py");
  const refused = [];
  const shot = python.makeMemorySnapshot({
    serializer: (thing) => {
      refused.push(typeof thing === "function" ? thing.toString().slice(0, 200) : Object.prototype.toString.call(thing));
      return null;
    },
  });
  if (refused.length) throw new Error(`Python holds JavaScript objects that an image cannot: ${refused.join(" | ")}`);
  const head = new Uint32Array(shot.buffer, 0, 2)[1];
  fs.writeFileSync(path.join(out, "head.bin"), shot.subarray(0, head));
  const full = shot.slice(head);
  const links = unlink(full, member);
  fs.writeFileSync(path.join(out, "full.mem"), full);
  fs.writeFileSync(
    path.join(out, "image.json"),
    JSON.stringify({
      libraries: recorder.libraries,
      inBase: libraries,
      slots: recorder.slots,
      table: inside.wasmTable.length,
      memory: inside.HEAPU8.length,
      links,
    }),
  );
} catch (error) {
  console.error(String(error));
  process.exit(1);
}
process.exit(0);
