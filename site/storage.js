// Keeps the person's work on this device. The promise: a version that was reported as saved is never lost.
//
// A save is one transaction: it adds a record, reads it back and moves the pointer to it; the versions before stay. A
// record carries its length, CRC-32 and (where the browser has it) SHA-256, and is checked when read; a bad one falls back
// to the newest good one. In the same transaction the newest record is looked at: if it is not what this tab knows, another
// tab saved it in between, and it is set aside until the person has dealt with it, never written over.
// A second copy of the newest save lies outside the database (backup_copy.js), for the day the database is gone as a whole.
// Where the browser refuses storage (private windows, full disk), work is held in memory, `tell` says so, and each
// later save tries again.

import { keepCopy, lastCopy } from "./backup_copy.js";
import { asked, done, open } from "./database.js";

const KEPT = 5;
const NOTES = 4000; // fragments whose player is noted: those of about as many edits, a few hundred kB
const ASK_AFTER = 3; // saves: now there is something to lose
const AGAIN = 10_000; // [ms] between two tries to open what would not open
const PAUSES = [0, 50, 250, 1000]; // [ms] before a save is written again

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

/** SHA-256 in hex, or null on a page that is not a secure context and therefore has none. */
async function sha256(text) {
  if (!globalThis.crypto?.subtle) return null;
  const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text)));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

const whole = (record) =>
  typeof record?.text === "string" && record.length === record.text.length && record.crc === crc32(record.text);

async function good(record) {
  if (!whole(record)) return false;
  const hash = record.sha256 ? await sha256(record.text) : null;
  return !hash || hash === record.sha256;
}

const FRAGMENT = "fragment ";

/** Under which name the pointer store keeps whose a fragment of the address is. */
const fragmentKey = (fragment) => `${FRAGMENT}${fragment.length} ${crc32(fragment).toString(36)}`;

export class Storage {
  /** `tell(what, detail)` hears: memory, full, failed, wiped, recovered, returned, saved, aside, othertab. */
  constructor(tell = () => {}) {
    this.tell = tell;
    this.text = null; // what is to be kept
    this.stored = null; // what is known to be kept
    this.id = 0; // the record this tab last read or wrote
    this.pointed = false; // whether there has been a pointer
    this.troubled = ""; // what has been told since the last good save
    this.db = null;
    this.tried = -Infinity;
    this.saves = 0;
    this.line = Promise.resolve();
    this.persisted = null;
    this.fragments = []; // [fragment, player] not noted down yet
    this.notes = NOTES;
    this.mended = false; // whether an older version had to be opened
    this.tab = Math.random().toString(36).slice(2);
    this.channel = "BroadcastChannel" in globalThis ? new BroadcastChannel("fettle-tabs") : null;
    if (this.channel) this.channel.onmessage = (event) => this._heard(event.data);
  }

  /** The text last saved here, or null. Never throws. */
  async read() {
    try {
      await this._open();
      const transaction = this.db.transaction(["records", "pointer"]);
      const [records, id, aside] = await Promise.all([
        asked(transaction.objectStore("records").getAll()),
        asked(transaction.objectStore("pointer").get("current")),
        asked(transaction.objectStore("pointer").get("aside")),
      ]);
      // a whole record beyond the pointer is a save that was cut off after the work was in: it is the newest
      const mine = records.filter((r) => !aside?.includes(r.id)).reverse();
      let found = null;
      for (const record of mine) if (!found && (await good(record))) found = record;
      this.id = Math.max(id ?? 0, found?.id ?? 0);
      this.pointed = id != null;
      this.text = this.stored = found ? found.text : null;
      if (!found && id == null && (this.text = await lastCopy(crc32)) !== null) {
        this.tell("returned");
        this.save(this.text);
      }
      this.mended = id != null && (found?.id ?? 0) < id;
      if (this.mended) this.tell("recovered", found ? found.at : null);
      if (aside?.length) this.tell("aside", aside.length);
    } catch (error) {
      this._trouble(error);
    }
    this._say({ kind: "hello" });
    return this.text;
  }

  /**
   * Save `text`; saves follow one another in the order given, and those overtaken by a newer one are skipped. What goes
   * `along`, as [key, object], is on the device if and only if it is; it is told the record that it goes with.
   */
  save(text, along = null) {
    this.text = text;
    this.line = this.line.then(() => (this.text === text && this.stored !== text ? this._save(text, along) : undefined));
    return this.line;
  }

  /** Whether the newest text is not on the device (yet). */
  get unsaved() {
    return this.text !== null && this.text !== this.stored;
  }

  /** Try again what could not be saved. */
  retry() {
    return this.unsaved ? this.save(this.text) : this.line;
  }

  /** What other tabs saved and this one wrote past: `{id, text}`, newest first; `text` is null where it is damaged. */
  async aside() {
    try {
      await this._open();
      const transaction = this.db.transaction(["records", "pointer"]);
      const [records, ids] = await Promise.all([
        asked(transaction.objectStore("records").getAll()),
        asked(transaction.objectStore("pointer").get("aside")),
      ]);
      const found = new Map(records.map((record) => [record.id, record]));
      const all = [];
      for (const id of (ids ?? []).sort((a, b) => b - a))
        all.push({ id, text: (await good(found.get(id))) ? found.get(id).text : null });
      return all;
    } catch {
      return [];
    }
  }

  /** The person has taken care of these; what has come aside since stays. */
  async settleAside(ids) {
    try {
      await this._open();
      const transaction = this.db.transaction("pointer", "readwrite");
      const pointer = transaction.objectStore("pointer");
      const left = ((await asked(pointer.get("aside"))) ?? []).filter((id) => !ids.includes(id));
      if (left.length) pointer.put(left, "aside");
      else pointer.delete("aside");
      await done(transaction);
    } catch {
      // it is offered again at the next start
    }
  }

  /** Note, once everything given to `save` so far is stored, that `fragment` tells no more of `player` than is stored. */
  know(fragment, player) {
    this.fragments.push([fragment, player]);
    this.line = this.line.then(() => (this.unsaved ? undefined : this._note()));
    return this.line;
  }

  /** The player of whom all that `fragment` holds is or was stored here, or "": then it may hold something new. */
  async whose(fragment) {
    if (!fragment || this.mended) return "";
    try {
      await this._open();
      const found = await asked(this.db.transaction("pointer").objectStore("pointer").get(fragmentKey(fragment)));
      return (typeof found === "string" ? found : found?.player) ?? "";
    } catch {
      return "";
    }
  }

  async _note() {
    try {
      await this._open();
      const transaction = this.db.transaction("pointer", "readwrite");
      const pointer = transaction.objectStore("pointer");
      const finished = done(transaction);
      finished.catch(() => {});
      for (const [fragment, player] of this.fragments) pointer.put({ player, at: Date.now() }, fragmentKey(fragment));
      await this._prune(pointer);
      await finished;
      this.fragments = [];
    } catch {
      // a fragment that is not known is asked about
    }
  }

  /** Let the oldest notes of fragments go, a tenth at a time; those of earlier versions, which bear no time, go first. */
  async _prune(pointer) {
    const all = IDBKeyRange.bound(FRAGMENT, `${FRAGMENT}\uffff`);
    if ((await asked(pointer.count(all))) <= this.notes) return;
    const [keys, notes] = await Promise.all([asked(pointer.getAllKeys(all)), asked(pointer.getAll(all))]);
    const old = keys.map((key, n) => [typeof notes[n] === "string" ? 0 : notes[n].at, key]).sort((a, b) => a[0] - b[0]);
    for (const [, key] of old.slice(0, keys.length - Math.floor(0.9 * this.notes))) pointer.delete(key);
  }

  async _save(text, along) {
    try {
      await this._writeAgain(text, along);
      await keepCopy(text, crc32(text));
      this.saves++;
      this.troubled = "";
      this.tell("saved", this.id);
      this._say({ kind: "saved", id: this.id });
      this._ask();
    } catch (error) {
      this._trouble(error);
    }
  }

  // The connection may be closed under us (data cleared, frozen page), before or while we write: then it is opened again,
  // and while data are being cleared the new one may be closed as well. On a full disk opening it often would do harm.
  async _writeAgain(text, along) {
    for (let tries = 0; ; tries++)
      try {
        await this._open();
        return await this._write(text, along);
      } catch (error) {
        const closed = error?.name === "AbortError" || (this.tried === -Infinity && !tries);
        if (!closed || error.name === "QuotaExceededError" || tries === PAUSES.length) throw error;
        this.db?.close();
        this.db = null;
        this.tried = -Infinity;
        await new Promise((go) => setTimeout(go, PAUSES[tries]));
      }
  }

  async _open() {
    if (this.db) return;
    const now = performance.now();
    if (now - this.tried < AGAIN) throw new Error("storage did not open");
    this.tried = now;
    const db = await open();
    this.tried = -Infinity;
    const forget = () => {
      db.close();
      if (this.db === db) this.db = null;
    };
    db.onversionchange = forget;
    db.onclose = forget;
    this.db = db;
  }

  async _write(text, along) {
    const record = { text, length: text.length, crc: crc32(text), sha256: await sha256(text), at: Date.now() };
    const transaction = this.db.transaction(["records", "pointer"], "readwrite", { durability: "strict" });
    const [records, pointer] = [transaction.objectStore("records"), transaction.objectStore("pointer")];
    const finished = done(transaction);
    finished.catch(() => {}); // also heard below; a request that fails first must not leave this one unheard
    const keys = await asked(records.getAllKeys());
    const before = await asked(pointer.get("current"));
    let aside = (await asked(pointer.get("aside"))) ?? [];
    const wiped = before == null && this.pointed;
    const newest = keys.length ? await asked(records.get(keys.at(-1))) : null;
    const other = whole(newest) && newest.text !== this.stored && newest.text !== text;
    // what this tab saved last lives on in what it saves now
    if (aside.includes(this.id) && (await asked(records.get(this.id)))?.text === this.stored)
      aside = aside.filter((id) => id !== this.id);
    if (other && !aside.includes(newest.id)) aside = [...aside, newest.id];
    const id = await asked(records.add(record));
    const back = await asked(records.get(id));
    if (back?.text !== text) {
      transaction.abort();
      throw new Error("what was written did not read back");
    }
    pointer.put(id, "current");
    if (along) pointer.put({ ...along[1], record: id }, along[0]);
    if (aside.length) pointer.put(aside, "aside");
    else pointer.delete("aside");
    for (const key of [...keys, id].slice(0, -KEPT)) if (!aside.includes(key)) records.delete(key);
    await finished;
    if (other) this.tell("aside", aside.length);
    this.id = id;
    this.stored = text;
    this.pointed = true;
    if (wiped) this.tell("wiped");
  }

  /** Ask the browser, once, not to throw the data away by itself. Some ask the person: nothing waits for the answer. */
  async _ask() {
    if (this.persisted !== null || this.saves < ASK_AFTER || !navigator.storage?.persist) return;
    this.persisted = false;
    try {
      this.persisted = (await navigator.storage.persisted()) || (await navigator.storage.persist());
    } catch {
      // not granted: the saved file remains the safe copy
    }
  }

  _trouble(error) {
    const what = error?.name === "QuotaExceededError" ? "full" : this.saves || this.stored !== null ? "failed" : "memory";
    if (what !== this.troubled) this.tell(what, String(error?.message || error));
    this.troubled = what;
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
