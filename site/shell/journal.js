// What is entered, until the dashboard has said that it is stored. It is kept on the device at once and handed over in its
// order and once: each page numbers its entries, and what the dashboard saves says up to which number it holds them, so that
// a page that dies at any moment leaves exactly what is still to be handed over.

import { keep, newest, written } from "./device.js";

const KEPT = "fettle-early "; // with the page's id: what was entered there
const LONG = 60; // characters of one text of an entry
const PLAYER = 6; // place of the player's id after the kind of a ball

export const text = (value) => (typeof value === "string" ? value.slice(0, LONG) : "");
export const texts = (values) => (Array.isArray(values) ? values.map(text) : []);

/** A club's name as it stands on its button, without how many balls it has. */
export const chipName = (item) => item.textContent.replace(/ \u00b7 \d+$/, "").trim();

/** Hold a name for as long as this page lives; false if another page holds it. `free` is called with what lets it go. */
function hold(name, free = () => {}) {
  if (!navigator.locks) return Promise.resolve(true);
  return new Promise((answer) => {
    const held = (lock) => {
      answer(Boolean(lock));
      return lock && new Promise((letGo) => free(letGo));
    };
    navigator.locks.request(name, { ifAvailable: true }, held).catch(() => answer(true));
  });
}

export class Journal {
  constructor(player) {
    this.log = {
      id: Array.from(crypto.getRandomValues(new Uint8Array(8)), (n) => n.toString(36)).join(""),
      at: Date.now(),
      player: text(player),
      first: 0, // the number of the first entry, those before it are stored
      entries: [],
      drafts: {},
    };
    this.logs = [this.log]; // and before it those of pages that died
    this.sent = new Map(); // by id: up to which number
    this.player = this.log.player; // who is open
    this.letGo = null; // of what tells other pages that this one lives, while it keeps anything
  }

  /** What pages left that are gone, but for what is stored by `counts` of each. */
  async claim(counts) {
    const keys = new Set((await written)?.found.keys());
    try {
      for (const key of Object.keys(localStorage)) keys.add(key);
    } catch {
      // no storage
    }
    const found = [];
    for (const key of keys) {
      if (!key.startsWith(KEPT) || key === KEPT + this.log.id || !(await hold(key))) continue;
      const left = await newest(key);
      const entries = (Array.isArray(left?.entries) ? left.entries : []).map(texts).filter((entry) => entry[0]);
      const log = { ...left, id: text(left?.id), player: text(left?.player), after: text(left?.after), entries, first: Number(left?.first) || 0 };
      forget(log, counts?.[log.id]);
      if (log.entries.length || Object.values(log.drafts ?? {}).some(Boolean)) found.push(log);
      else keep(key, null);
    }
    found.sort((a, b) => a.at - b.at);
    this.logs.unshift(...found);
    return found;
  }

  write(log = this.log) {
    const any = log.entries.length > 0 || Object.values(log.drafts ?? {}).some(Boolean);
    keep(KEPT + log.id, any ? log : null);
    if (log !== this.log || any === Boolean(this.letGo)) return;
    this.letGo?.();
    this.letGo = any ? () => {} : null;
    if (any) hold(KEPT + log.id, (letGo) => (this.letGo = letGo));
  }

  /** One entry more, its kind first; its number. */
  add(...entry) {
    const number = this.log.first + this.log.entries.push(entry.map(text)) - 1;
    this.write();
    return number;
  }

  /** What stands in a field and is being typed still. */
  draft(name, value) {
    if (value === undefined) delete this.log.drafts[name];
    else this.log.drafts[name] = text(value);
    this.write();
  }

  /** The log that holds the last entry which `is` one and is not handed over yet, and its place there. */
  last(is) {
    for (const log of [...this.logs].reverse()) {
      const place = log.entries.findLastIndex(is);
      if (place >= this._sent(log)) return { log, place };
    }
    return null;
  }

  /** How many of a log's entries have been handed over. */
  _sent(log) {
    return Math.max((this.sent.get(log.id) ?? 0) - log.first, 0);
  }

  /** What has not been handed over yet, as messages to the dashboard; from now on it counts as handed over. */
  take(logs = this.logs) {
    const messages = [];
    for (const log of logs) {
      const { id, player, after, first, entries } = log;
      const from = this._sent(log);
      if (entries.length > from) messages.push({ id, player, after, first: first + from, entries: entries.slice(from) });
      this.sent.set(id, first + entries.length);
    }
    return messages;
  }

  /** A number typed for the clubs, swings and so on that are `chosen`; its own number, under which it goes to the dashboard. */
  ball(value, units, chosen, measured) {
    delete this.log.drafts.carry;
    const number = this.add("ball", value, units, ...chosen, this.player, ...measured);
    this.sent.set(this.log.id, number + 1);
    return number;
  }

  /** The dashboard that was handed them is gone; what it saved, it has said. */
  again() {
    this.sent.clear();
  }

  /** The dashboard holds so many entries of each page on the device. */
  saved(counts) {
    for (const log of this.logs) {
      const had = log.entries.length;
      forget(log, counts?.[log.id]);
      if (log.entries.length < had) this.write(log);
    }
    this.logs = this.logs.filter((log) => log === this.log || log.entries.length);
  }

  /** Of pages that died, what is of the player who is open, where no first screens took it up. */
  async takeUp(counts) {
    const owner = (log, [kind, ...rest]) => (kind === "ball" ? rest[PLAYER] : log.player);
    const found = await this.claim(counts);
    return this.take(found.filter((log) => log.entries.every((entry) => owner(log, entry) === this.player)));
  }

  /** The balls that are not stored yet, as `label: text`. */
  get left() {
    const balls = this.entries.filter(([kind]) => kind === "ball").map(([, value, , club]) => `Carry: ${value} (${club})`);
    return this.log.drafts.carry ? [...balls, `Carry: ${this.log.drafts.carry}`] : balls;
  }

  /** Every entry that is not stored yet. */
  get entries() {
    return this.logs.flatMap((log) => log.entries);
  }
}

/** What is stored of a log, `count` entries of its page, need not be kept any more, nor what was typed before the last of them. */
function forget(log, count = 0) {
  if (count > log.first + log.entries.length) log.drafts = {};
  log.entries.splice(0, Math.max(count - log.first, 0));
  log.first = Math.max(log.first, count);
}
