// What was typed and is not on the device yet. It is written down at once (see device.js), so that a page that dies can say
// at its next start what may have been lost.

import { keep, newest } from "./device.js";

const KEY = "fettle-typed";
const MOST = 20; // fields
const QUIET = 3000; // [ms] after which what was taken in without a save had changed nothing

/** All elements of a tree with open shadow roots: the one that has the focus. */
export function focused(root = document) {
  const item = root.activeElement;
  return item?.shadowRoot ? focused(item.shadowRoot) : item;
}

/** Fields for text, but for those whose text is not kept anyway, such as a search. */
const isField = (item) =>
  (item?.tagName === "TEXTAREA" || (item?.tagName === "INPUT" && /^(text|number|search|tel|)$/.test(item.type))) &&
  !item.getRootNode().host?.classList.contains("passing") &&
  !item.closest("#early"); // see early.js

const labelOf = (field) =>
  (field.getAttribute("aria-label") || field.getRootNode().querySelector?.("label")?.textContent || "").trim().slice(0, 60);

export class Typed {
  constructor() {
    // label -> {label, value, number}; a number once it was handed to the dashboard
    this.fields = new Map();
    this.number = 0; // of the last text handed over
    this.taken = 0; // of the last text that the dashboard has dealt with
    addEventListener("input", (event) => this._input(event.composedPath()[0]), true);
    this.leaving = (event) => this._left(event.target);
  }

  _input(field) {
    if (!isField(field) || field.getRootNode().host?.classList.contains("entry")) return; // see journal.js
    const label = labelOf(field);
    if (!label) return;
    this._note(label, field.value, Infinity);
    // heard at the field alone: between two fields of one tree nothing of it comes up to the page
    field.addEventListener("blur", this.leaving, { once: true });
  }

  /** A field was left with the text that it had before it was typed in: no change to the browser, but typed all the same. */
  _left(field) {
    const label = labelOf(field);
    if (this.fields.get(label)?.number !== Infinity) return;
    this._note(label, field.value, ++this.number);
    field.dispatchEvent(new KeyboardEvent("keyup", { key: "Enter" }));
  }

  /** The dashboard is being told that `label` now holds `value`. */
  handed(label, value) {
    if (this.fields.has(label)) this._note(label, value, ++this.number);
  }

  _note(label, value, number) {
    this.fields.delete(label);
    this.fields.set(label, { label, value: String(value).slice(0, 400), number });
    if (this.fields.size > MOST) this.fields.delete(this.fields.keys().next().value);
    this._write();
  }

  /** The dashboard has dealt with all that it was handed. */
  settled() {
    const taken = (this.taken = this.number);
    clearTimeout(this.later);
    this.later = setTimeout(() => this.drop(taken), QUIET);
  }

  /** A save of what had been taken in is on its way; its number, for `drop`. */
  saving() {
    clearTimeout(this.later);
    return this.taken;
  }

  /** What was handed over up to this number is on the device, or changed nothing. */
  drop(number) {
    for (const [name, { number: n }] of this.fields) if (n <= number) this.fields.delete(name);
    this._write();
  }

  /** Have the field that is being typed in take its text now, as leaving it would. */
  commit() {
    const field = focused();
    if (isField(field) && this.fields.get(labelOf(field))?.number === Infinity)
      field.dispatchEvent(new Event("change", { bubbles: true }));
  }

  /** What is not stored yet, as `label: text`. */
  get left() {
    return [...this.fields.values()].filter(({ value }) => value).map(({ label, value }) => `${label}: ${value}`);
  }

  _write() {
    const { left } = this;
    if (left.length || this.wrote) keep(KEY, left.length ? { left } : null);
    this.wrote = left.length > 0;
  }
}

/** What the last page had not stored when it ended, as it was typed; asked once. */
export async function leftBehind(typed) {
  const found = await newest(KEY);
  if (!typed.left.length) keep(KEY, null);
  const left = found?.left ?? found; // earlier versions kept the list alone
  return Array.isArray(left) ? left.filter((t) => typeof t === "string").slice(0, MOST) : [];
}
