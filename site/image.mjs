// Lays the memory image in: the running Python with everything imported and the dashboard made, as the build left it.
//
// Three files: runtime/libs.tar.zst (dynamic libraries), runtime/image.zst (memory with the libraries imported) and
// app/image.zst (what the project's own code changed in it). Libraries are compiled while the core is; each goes back to its
// own place, then the memory is unpacked straight into the core's own, page by page. The hooks are called from the changed
// places of Pyodide's scripts, which .make/image_patch.py lists with their reasons.

import { Packed, files, letGo, tarred } from "./unpack.mjs";

const PAGE = 4096;
const PIECE = 16 * PAGE;

/** A part of the image: what its header in JSON says, the blocks after it, and in `pages` what is still packed. */
function opened(packed) {
  const length = new DataView(packed.bytes(4).buffer).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(packed.bytes(length)));
  packed.bytes(-(4 + length) & 7);
  for (const [name, size] of Object.entries(header.blocks)) {
    header[name] = packed.bytes(size);
    packed.bytes(-size & 7);
  }
  return { ...header, pages: packed };
}

export class MemoryImage {
  /** `archives`: promises of the `decoder` and of the chunks of {libs, base, over}. */
  constructor(archives, mark = () => {}) {
    this.mark = mark;
    this.current = null; // the library being put back
    const packed = async (name) => {
      const [decoder, chunks] = await Promise.all([archives.decoder, archives[name]]);
      return new Packed(decoder, chunks);
    };
    this.over = packed("over").then(opened);
    this.compiled = packed("libs").then(async (libs) => {
      mark("libs fetched");
      const modules = new Map();
      const compiling = [];
      for (const [name, bytes] of files(libs)) {
        const { length } = bytes;
        compiling.push(WebAssembly.compile(bytes).then((module) => modules.set(name, { module, length })));
        letGo(bytes); // the compiler has a copy of its own
      }
      await Promise.all(compiling);
      mark("libs compiled");
      return modules;
    });
    this.base = this.compiled.then(() => packed("base")); // by the same decoder as the libraries
    for (const promise of [this.base, this.over, this.compiled]) promise.catch(() => {}); // heard where awaited
  }

  // ---- called by Pyodide

  /** Between the core's start and the restore: wait for what has not arrived yet. */
  async arrived(inside) {
    this.mark("core");
    const [packed, over, compiled] = await Promise.all([this.base, this.over, this.compiled]);
    this.mark("fetched");
    this.used = inside.HEAPU8.length; // nothing above has been written yet
    grow(inside, over.memory);
    this.base = opened(packed);
    if (over.base !== this.base.id) throw new Error("the two parts of the memory image are of different builds");
    this.libraries = [...this.base.libraries, ...over.libraries];
    for (const { name, bytes } of this.libraries) {
      if (!compiled.has(name)) throw new Error("a library of the image is missing");
      if (compiled.get(name).length !== bytes) throw new Error(`${name} is not the library that the image was made with`);
    }
    [this.over, this.compiled] = [over, compiled];
  }

  placed() {
    return this.current;
  }

  slot(symbol) {
    if (!this.current) return undefined;
    const slot = this.current.slots.get(symbol);
    if (slot === undefined) throw new Error(`no place for ${symbol} of ${this.current.name}`);
    return slot;
  }

  needed(loaded, name) {
    const last = name.slice(name.lastIndexOf("/") + 1);
    const library = Object.values(loaded.loadedLibsByName).find((l) => l.name.slice(l.name.lastIndexOf("/") + 1) === last);
    if (!library) throw new Error(`${last} was needed before it was there`);
    return library.exports;
  }

  lay(inside) {
    const { base, over, libraries } = this;
    const { newDSO, mergeLibSymbols, loadWebAssemblyModule, getFunctionAddress } = inside.imageParts;
    getFunctionAddress(() => 0); // note the functions of the core before the table grows
    inside.wasmTable.grow(over.table - inside.wasmTable.length);
    const scopes = [];
    for (const library of libraries) {
      const full = base.home + library.name;
      const object = newDSO(full, library.handle || undefined, "loading");
      object.refcount = library.nodelete ? Infinity : 1;
      object.global = library.global;
      const scope = library.scope === null ? null : (scopes[library.scope] ??= {});
      this.current = { ...library, slots: new Map(library.slots) };
      const { global, nodelete } = library;
      const exports = loadWebAssemblyModule(this.compiled.get(library.name).module, { global, nodelete, loadAsync: false }, full, scope, 0);
      this.current = null;
      if (global) mergeLibSymbols(exports, full);
      else if (scope) Object.assign(scope, exports);
      object.exports = exports;
    }
    this.mark("libs placed");
    const memory = inside.HEAPU8;
    for (const [page, count, sum] of base.there)
      if (summed(memory, page, count) !== sum) throw new Error("the constants of the core are not those of the build");
    const ours = [...base.runs, ...base.there].sort((a, b) => a[0] - b[0]);
    wipe(memory, ours, [[0, this.used], ...libraries.map((l) => [l.memory, l.memory + l.size])]);
    for (const [page, count] of base.runs) base.pages.take(memory.subarray(page * PAGE, (page + count) * PAGE));
    base.pages.finish();
    const piece = new Uint8Array(PIECE);
    for (const [page, count] of over.runs)
      for (let at = page * PAGE, end = (page + count) * PAGE; at < end; at += PIECE) {
        const size = Math.min(PIECE, end - at);
        over.pages.take(piece.subarray(0, size));
        differ(new Uint32Array(memory.buffer, at, size / 4), new Uint32Array(piece.buffer));
      }
    over.pages.finish();
    linked(new Uint32Array(memory.buffer), over.links);
    inside.imageTrampoline();
    this.base = this.over = this.compiled = null;
    this.left = { files: base.files, home: base.home, libraries: libraries.map((l) => l.name) };
    this.libraries = null;
    this.mark("laid in");
  }
}

/** Let the memory be at least `size` bytes. */
function grow(inside, size) {
  if (inside.HEAPU8.length >= size) return;
  inside.memory.grow(Math.ceil((size - inside.HEAPU8.length) / 65536));
  inside.imageParts.updateMemoryViews();
}

/** Exclusive-or. */
function differ(words, changes) {
  for (let at = 0; at < words.length; at++) words[at] ^= changes[at];
}

/** Join the ring of objects that the garbage collector leaves alone, whose links are distances: see .make/image_make.mjs. */
function linked(words, first) {
  let at = first;
  do {
    const next = (at + (words[at / 4] & ~3)) >>> 0;
    words[at / 4] = next | (words[at / 4] & 3);
    words[next / 4 + 1] |= at;
    at = next;
  } while (at !== first);
}

/** Zero what lies in the `spans` [from, to) that core and libraries have written to, and is in none of the runs of pages. */
export function wipe(memory, runs, spans) {
  for (const [from, to] of spans) {
    let at = from;
    for (const [page, count] of runs) {
      if ((page + count) * PAGE <= at) continue;
      if (page * PAGE >= to) break;
      zero(memory, at, page * PAGE);
      at = (page + count) * PAGE;
    }
    zero(memory, at, to);
  }
}

/** Zero [from, to), page by page, writing only where something stands: a page that was never written takes no memory. */
function zero(memory, from, to) {
  const words = new Uint32Array(memory.buffer);
  for (let at = from, end; at < to; at = end) {
    end = Math.min(to, at - (at % PAGE) + PAGE);
    let word = at >> 2;
    while (word < end / 4 && !words[word]) word++;
    if (word < end / 4) memory.fill(0, at, end);
  }
}

/** Checksum of a run of pages, as `_sum` in .make/image.py. */
function summed(memory, page, count) {
  const words = new Uint32Array(memory.buffer, page * PAGE, (count * PAGE) / 4);
  let once = 0;
  let twice = 0;
  for (let n = 0; n < words.length; n++) {
    once = (once + words[n]) | 0;
    twice = (twice + once) | 0;
  }
  return (once ^ Math.imul(twice, 31)) >>> 0;
}

const EMPTY_ZIP = new Uint8Array([80, 75, 5, 6, ...new Array(18).fill(0)]); // the standard library's place, filled later

/** Python as the build left it, checked, and with this browser's chance and language in it. */
export async function restored({ loadPyodide, archives, options, mark, now }) {
  const image = new MemoryImage(archives, mark);
  const over = await image.over;
  now("python");
  const python = await loadPyodide({ ...options, _loadSnapshot: over.head, _image: image, stdLibURL: EMPTY_ZIP });
  const { files: laid, home, libraries } = image.left;
  image.left = null;
  mark("python");
  for (const name of libraries) put(python.FS, home + name, new Uint8Array(0)); // a later library may ask whether it is there
  let at = 0;
  for (const [name, bytes] of tarred((count) => laid.subarray(at, (at += count)))) put(python.FS, home + name, bytes.slice());
  const check = python.runPython(FRESHEN);
  const found = check((navigator.languages?.[0] ?? navigator.language ?? "C").replace("-", "_"));
  if (found !== over.check) throw new Error("the restored numbers are not those of the build");
  mark("checked");
  return python;
}

function put(files, path, bytes) {
  files.mkdirTree(path.slice(0, path.lastIndexOf("/")));
  files.writeFile(path, bytes, { canOwn: true });
}

const FRESHEN = `
from app.live import freshen
freshen
`;
