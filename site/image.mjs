// Lays the memory image in: the running Python with everything imported and the dashboard made, as the build left it.
//
// Three files: runtime/libs.tar.gz (dynamic libraries), runtime/image.zst (memory with the libraries imported) and
// app/image.gz (what the project's own code changed in it). Memory is unpacked by the core's own Zstandard. Libraries are
// compiled while the core is; each goes back to its own place, then the memory is written over. The hooks are called from the changed places of Pyodide's scripts,
// which .make/image_patch.py lists with their reasons.

const PAGE = 4096;

/** Sections of an image file: a header in JSON, then one block of bytes each. */
export function sections(buffer, from = 0, length = buffer.byteLength) {
  const size = new DataView(buffer, from).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, from + 4, size)));
  let at = Math.ceil((4 + size) / 8) * 8;
  for (const [name, block] of Object.entries(header.blocks)) {
    header[name] = new Uint8Array(buffer, from + at, block);
    at = Math.ceil((at + block) / 8) * 8;
  }
  if (at !== length) throw new Error("the memory image is not as long as it says");
  return header;
}

/** [name, bytes] of each file in a tar archive, without copying. */
export function* tarred(buffer) {
  const text = (at, length) => new TextDecoder().decode(new Uint8Array(buffer, at, length)).replace(/\0.*/s, "");
  for (let at = 0; at + 512 <= buffer.byteLength; ) {
    const name = text(at, 100);
    if (!name) return;
    const size = parseInt(text(at + 124, 12), 8);
    const prefix = text(at + 345, 155);
    yield [prefix ? `${prefix}/${name}` : name, new Uint8Array(buffer, at + 512, size)];
    at += 512 + Math.ceil(size / 512) * 512;
  }
}

export class MemoryImage {
  /** `archives`: promises of {libs, base, over}, each an ArrayBuffer; `base` is still packed. */
  constructor(archives, mark = () => {}) {
    this.mark = mark;
    this.current = null; // the library being put back
    this.base = archives.base;
    this.over = archives.over.then(sections);
    this.compiled = Promise.all([this.over, archives.libs]).then(async ([over, libs]) => {
      mark("libs fetched");
      const files = new Map(tarred(libs));
      const modules = new Map();
      await Promise.all(
        over.libraries.map(async ({ name, bytes: length }) => {
          const bytes = files.get(name);
          if (bytes?.length !== length) throw new Error(`${name} is not the library that the image was made with`);
          modules.set(name, await WebAssembly.compile(bytes));
        }),
      );
      mark("libs compiled");
      return modules;
    });
    for (const promise of [this.base, this.over, this.compiled]) promise.catch(() => {}); // heard where awaited
  }

  // ---- called by Pyodide

  /** Between the core's start and the restore: wait for what has not arrived yet. */
  async arrived(inside) {
    this.mark("core");
    const [packed, over, compiled] = await Promise.all([this.base, this.over, this.compiled]);
    this.mark("fetched");
    this.used = inside.HEAPU8.length; // nothing above has been written yet
    const room = Math.max(over.top, this.used); // above all that core, libraries and image use
    const after = Math.ceil((room + over.unpacked) / 8) * 8;
    grow(inside, Math.max(over.memory, after + over.changed + Math.max(packed.byteLength, over.pages.length)));
    unpack(inside, new Uint8Array(packed), room, over.unpacked);
    unpack(inside, over.pages, after, over.changed);
    this.room = room;
    this.base = sections(inside.HEAPU8.buffer, room, over.unpacked);
    over.pages = new Uint8Array(inside.HEAPU8.buffer, after, over.changed);
    if (over.base !== this.base.id) throw new Error("the two parts of the memory image are of different builds");
    [this.over, this.compiled] = [over, compiled];
    this.files = this.base.files.slice().buffer;
    this.mark("image");
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
    const { base, over } = this;
    const { newDSO, mergeLibSymbols, loadWebAssemblyModule, getFunctionAddress } = inside.imageParts;
    getFunctionAddress(() => 0); // note the functions of the core before the table grows
    inside.wasmTable.grow(over.table - inside.wasmTable.length);
    const scopes = [];
    for (const library of over.libraries) {
      const full = over.home + library.name;
      const object = newDSO(full, library.handle || undefined, "loading");
      object.refcount = library.nodelete ? Infinity : 1;
      object.global = library.global;
      const scope = library.scope === null ? null : (scopes[library.scope] ??= {});
      this.current = { ...library, slots: new Map(library.slots) };
      const { global, nodelete } = library;
      const exports = loadWebAssemblyModule(this.compiled.get(library.name), { global, nodelete, loadAsync: false }, full, scope, 0);
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
    wipe(memory, ours, [[0, this.used], ...over.libraries.map((l) => [l.memory, l.memory + l.size])]);
    let from = 0;
    for (const [page, count] of base.runs) {
      memory.set(base.pages.subarray(from, from + count * PAGE), page * PAGE);
      from += count * PAGE;
    }
    const words = new Uint32Array(memory.buffer);
    const changes = new Uint32Array(over.pages.buffer, over.pages.byteOffset, over.pages.length / 4);
    from = 0;
    for (const [page, count] of over.runs) {
      const start = page * (PAGE / 4);
      const end = start + count * (PAGE / 4);
      for (let at = start; at < end; at++) words[at] ^= changes[from++];
    }
    memory.fill(0, this.room); // where it was unpacked
    inside.imageTrampoline();
    this.base = this.compiled = null;
    over.pages = null;
    this.mark("laid in");
  }
}

/** Let the memory be at least `size` bytes. */
function grow(inside, size) {
  if (inside.HEAPU8.length >= size) return;
  inside.memory.grow(Math.ceil((size - inside.HEAPU8.length) / 65536));
  inside.imageParts.updateMemoryViews();
}

/** Unpack `packed` by the core into its memory at `to`, where `size` bytes and as many as are packed must be free. */
function unpack(inside, packed, to, size) {
  inside.HEAPU8.set(packed, to + size);
  if (inside._ZSTD_decompress(to, size, to + size, packed.length) !== size) throw new Error("the memory image is damaged");
}

/** Zero what lies in the `spans` [from, to) that core and libraries have written to, and is in none of the runs of pages. */
function wipe(memory, runs, spans) {
  for (const [from, to] of spans) {
    let at = from;
    for (const [page, count] of runs) {
      if ((page + count) * PAGE <= at) continue;
      if (page * PAGE >= to) break;
      memory.fill(0, at, Math.max(at, page * PAGE));
      at = (page + count) * PAGE;
    }
    memory.fill(0, at, Math.max(at, to));
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
  const head = over.head.slice(); // Pyodide reads it as words, which must be aligned
  now("python");
  const python = await loadPyodide({ ...options, _loadSnapshot: head, _image: image, stdLibURL: EMPTY_ZIP });
  mark("python");
  for (const { name } of over.libraries) put(python.FS, over.home + name, new Uint8Array(0)); // a later library may ask whether it is there
  for (const [name, bytes] of tarred(image.files)) put(python.FS, over.home + name, bytes);
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
