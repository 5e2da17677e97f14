// Unpacks what the build packed with Zstandard, piece by piece and without a copy of the whole.
//
// The decoder is the one in Pyodide's core, which the build takes out of it (.make/wasm_part.py): it is there before the core
// is, works in a memory of its own, and all of that is gone when a file has been unpacked.

const WINDOW = 1 << 23; // as .make/pack.mjs packs
const INWARD = 1 << 16;
const OUTWARD = 1 << 17;
const MAGIC = [0x28, 0xb5, 0x2f, 0xfd];
const HEAD = 18; // [bytes] a frame's header is at most so long

const idle = []; // decoders whose file has been unpacked

/** Nothing is to be unpacked for some time: forget the decoders, whose window alone takes 8 MB each. */
export const forgetDecoders = () => idle.splice(0);

/** Give memory back now, where the browser can; without this a start holds as much again until garbage is collected. */
export function letGo({ buffer, byteLength }) {
  if (buffer.byteLength === byteLength) buffer.transfer?.(0);
}

/** A decoder, and in its memory the places of what it is told, what goes in, what comes out and what it works with. */
class Machine {
  constructor(decoder) {
    this.does = new WebAssembly.Instance(decoder).exports;
    this.room = this.does.ZSTD_estimateDStreamSize(WINDOW);
    const start = this.does.memory.buffer.byteLength;
    this.does.memory.grow(Math.ceil((8 + INWARD + OUTWARD + this.room) / 65536));
    const { buffer } = this.does.memory;
    this.told = new Uint32Array(buffer, start, 2); // how much was written, and read
    this.inward = new Uint8Array(buffer, start + 8, INWARD);
    this.outward = new Uint8Array(buffer, start + 8 + INWARD, OUTWARD);
  }

  /** Ready for the file that begins with these bytes; its length when it is unpacked. */
  begin(head) {
    this.inward.set(head);
    this.stream = this.does.ZSTD_initStaticDStream(this.outward.byteOffset + OUTWARD, this.room);
    return Number(this.does.ZSTD_getFrameContentSize(this.inward.byteOffset, head.length));
  }

  /** Go on with these bytes: [written, read, whether the file has ended]. */
  step(given) {
    const { inward, outward, told } = this;
    inward.set(given);
    told.fill(0);
    const left = this.does.ZSTD_decompressStream_simpleArgs(
      this.stream, outward.byteOffset, OUTWARD, told.byteOffset, inward.byteOffset, given.length, told.byteOffset + 4,
    );
    if (left >>> 0 > 0xffffff00) throw damaged();
    return [...told, left === 0];
  }
}

export class Packed {
  /**
   * `decoder`: the compiled module; `chunks`: the file's bytes as they came, each let go of when it has been unpacked. A host
   * that already undid the packing does no harm.
   */
  constructor(decoder, chunks) {
    this.chunks = chunks;
    while (chunks.length > 1 && chunks[0].length < HEAD) chunks.splice(0, 2, joined(chunks[0], chunks[1]));
    this.machine = null; // none is needed
    this.from = this.to = 0; // what of `out` has not been taken yet
    this.size = chunks.reduce((sum, chunk) => sum + chunk.length, 0); // unpacked
    this.ended = !chunks.length;
    if (MAGIC.some((byte, n) => chunks[0]?.[n] !== byte)) return;
    this.machine = idle.pop() ?? new Machine(decoder);
    this.out = this.machine.outward;
    this.size = this.machine.begin(chunks[0].subarray(0, HEAD));
    this.read = 0; // of the first chunk
  }

  /** Fill `into` with what comes next; returns it. */
  take(into) {
    for (let done = 0; done < into.length; ) {
      while (this.from === this.to) this._more();
      const count = Math.min(into.length - done, this.to - this.from);
      into.set(this.out.subarray(this.from, this.from + count), done);
      this.from += count;
      done += count;
    }
    return into;
  }

  bytes(count) {
    if (count > this.size) throw damaged();
    return this.take(new Uint8Array(count));
  }

  all() {
    const found = this.bytes(this.size);
    this.finish();
    return found;
  }

  /** Go to the end, where the checksum of the whole stands. */
  finish() {
    while (!this.ended) this._more();
    if (this.chunks.length) throw damaged();
    if (this.machine) idle.push(this.machine);
    this.out = this.machine = null;
  }

  _more() {
    const [chunk] = this.chunks;
    if (!chunk || this.ended) throw damaged();
    if (!this.machine) {
      [this.out, this.from, this.to] = [chunk, 0, chunk.length];
      this.chunks.shift();
      this.ended = !this.chunks.length;
      return;
    }
    const [written, read, ended] = this.machine.step(chunk.subarray(this.read, this.read + INWARD));
    [this.from, this.to] = [0, written];
    this.read += read;
    this.ended = ended;
    if (this.read < chunk.length) return;
    this.read = 0;
    letGo(this.chunks.shift());
  }
}

const damaged = () => new Error("a packed file is damaged or cut short");

function joined(one, other) {
  const both = new Uint8Array(one.length + other.length);
  both.set(one);
  both.set(other, one.length);
  return both;
}

/** [name, bytes] of each file in a tar archive; `next(count)` gives its next bytes. */
export function* tarred(next) {
  for (;;) {
    const head = next(512);
    const text = (at, length) => new TextDecoder().decode(head.subarray(at, at + length)).replace(/\0.*/s, "");
    const name = text(0, 100);
    if (!name) return;
    const size = parseInt(text(124, 12), 8);
    const prefix = text(345, 155);
    const bytes = next(size);
    next(-size & 511);
    yield [prefix ? `${prefix}/${name}` : name, bytes];
  }
}

/** The same of a packed archive, to its end. */
export function* files(packed) {
  yield* tarred((count) => packed.bytes(count));
  packed.finish();
}
