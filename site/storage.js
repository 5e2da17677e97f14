// Keeps the person's work on this device. The promise: a version that was reported as saved is never lost.
//
// A save first adds a new record, and only when that has been committed moves the pointer to it; the version before
// stays. A record carries its length and CRC-32 and is checked when read; a bad one falls back to the newest good one.
// Where the browser refuses storage (private windows, full disk), work is held in memory and `mode` says so.

const NAME = "fettle";
const KEPT = 5;

const TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** CRC-32 as in ISO 3309 and PNG, of the UTF-8 bytes of `text`. */
export function crc32(text) {
  let c = 0xffffffff;
  for (const byte of new TextEncoder().encode(text)) c = TABLE[(c ^ byte) & 0xff] ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

const asked = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

const done = (transaction) =>
  new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error || new DOMException("aborted", "AbortError"));
  });

const good = (record) =>
  record && typeof record.text === "string" && record.length === record.text.length && record.crc === crc32(record.text);

function open(seconds = 5) {
  return new Promise((resolve, reject) => {
    if (!globalThis.indexedDB) return reject(new Error("no IndexedDB"));
    const request = indexedDB.open(NAME, 1);
    const late = setTimeout(() => reject(new Error("storage did not answer")), seconds * 1000);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("records", { keyPath: "id", autoIncrement: true });
      request.result.createObjectStore("pointer");
    };
    request.onsuccess = () => (clearTimeout(late), resolve(request.result));
    request.onerror = () => (clearTimeout(late), reject(request.error));
  });
}

export class Storage {
  /** `tell(what, detail)` hears: memory, full, recovered, saved, othertab. */
  constructor(tell = () => {}) {
    this.tell = tell;
    this.mode = "device";
    this.text = null;
    this.id = 0; // the record this tab last read or wrote
    this.db = null;
    this.line = Promise.resolve();
    this.persisted = null;
    this.tab = Math.random().toString(36).slice(2);
    this.channel = "BroadcastChannel" in globalThis ? new BroadcastChannel("fettle-tabs") : null;
    if (this.channel) this.channel.onmessage = (event) => this._heard(event.data);
  }

  /** The text last saved here, or null. Never throws. */
  async read() {
    try {
      this.db = await open();
      this._watch();
      const transaction = this.db.transaction(["records", "pointer"]);
      const [records, id] = await Promise.all([
        asked(transaction.objectStore("records").getAll()),
        asked(transaction.objectStore("pointer").get("current")),
      ]);
      const current = records.find((r) => r.id === id);
      const found = good(current) ? current : records.filter((r) => r.id <= (id ?? Infinity) && good(r)).at(-1);
      this.id = id ?? 0;
      this.text = found ? found.text : null;
      if (id != null && found !== current) this.tell("recovered", found ? found.at : null);
    } catch (error) {
      this._memory(error);
    }
    this._say({ kind: "hello" });
    return this.text;
  }

  /** Save `text`; saves follow one another in the order given, and those overtaken by a newer one are skipped. */
  save(text) {
    this.text = text;
    this.line = this.line.then(() => (this.text === text ? this._save(text) : undefined));
    return this.line;
  }

  async _save(text) {
    if (!this.db) return;
    try {
      await this._write(text);
      this.tell("saved", this.id);
      this._say({ kind: "saved", id: this.id });
      await this._ask();
    } catch (error) {
      if (this.mode === "device" && error?.name === "InvalidStateError") {
        // the connection was closed under us (storage cleared, frozen page): open it again, once
        try {
          this.db = await open();
          this._watch();
          await this._write(text);
          return;
        } catch (again) {
          error = again;
        }
      }
      this.tell(error?.name === "QuotaExceededError" ? "full" : "memory", String(error?.message || error));
    }
  }

  async _write(text) {
    const record = { text, length: text.length, crc: crc32(text), at: Date.now() };
    let transaction = this.db.transaction("records", "readwrite", { durability: "strict" });
    const adding = asked(transaction.objectStore("records").add(record));
    await done(transaction);
    const id = await adding;

    transaction = this.db.transaction(["records", "pointer"], "readwrite", { durability: "strict" });
    const pointer = transaction.objectStore("pointer");
    const records = transaction.objectStore("records");
    const before = await asked(pointer.get("current"));
    pointer.put(id, "current");
    const keys = await asked(records.getAllKeys());
    for (const key of keys.slice(0, -KEPT)) if (key !== before && key !== id) records.delete(key);
    await done(transaction);
    if (before != null && this.id !== before) this.tell("othertab", "overwrote");
    this.id = id;
  }

  /** Ask the browser, once and after the first save, not to throw the data away by itself. */
  async _ask() {
    if (this.persisted !== null || !navigator.storage?.persist) return;
    this.persisted = false;
    try {
      this.persisted = (await navigator.storage.persisted()) || (await navigator.storage.persist());
    } catch {
      // not granted: the saved file remains the safe copy
    }
  }

  _watch() {
    this.db.onversionchange = () => this.db.close();
  }

  _memory(error) {
    this.mode = "memory";
    this.db = null;
    this.tell("memory", String(error?.message || error));
  }

  _say(message) {
    try {
      this.channel?.postMessage({ ...message, tab: this.tab });
    } catch {
      // a closed channel only means that nobody is told
    }
  }

  _heard(message) {
    if (!message || message.tab === this.tab) return;
    if (message.kind === "hello") this._say({ kind: "here" });
    if (message.kind === "here" || message.kind === "hello") this.tell("othertab", "open");
    if (message.kind === "saved") this.tell("othertab", "saved");
  }
}
