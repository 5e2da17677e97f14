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

/** Free memory holds remains of what was; take all of it, zero it, give it back. */
function zeroFree() {
  recorder.full = true;
  const taken = [];
  for (let size = 1 << 26; size >= 16; size >>= 1)
    for (let at = inside._malloc(size); at; at = inside._malloc(size)) {
      inside.HEAPU8.fill(0, at, at + size);
      taken.push(at);
    }
  for (const at of taken) inside._free(at);
  recorder.full = false;
}

const run = async (script) => {
  await python.runPythonAsync(fs.readFileSync(new URL(script, import.meta.url), "utf8"));
  zeroFree();
};
try {
  await run("./image_base.py");
  fs.writeFileSync(path.join(out, "base.mem"), inside.HEAPU8);
  const libraries = recorder.libraries.length;
  await run("./image_app.py");
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
  fs.writeFileSync(path.join(out, "full.mem"), shot.subarray(head));
  fs.writeFileSync(
    path.join(out, "image.json"),
    JSON.stringify({
      libraries: recorder.libraries,
      inBase: libraries,
      slots: recorder.slots,
      table: inside.wasmTable.length,
      memory: inside.HEAPU8.length,
    }),
  );
} catch (error) {
  console.error(String(error));
  process.exit(1);
}
process.exit(0);
