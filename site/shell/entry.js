// The field where one number after the other is typed. It belongs to the page: Enter, "Add" and the keys beside it act
// here at once, and each number goes to the dashboard as a message, so that no answer of Python, however late, finds
// digits of the next number in the field. The journal keeps it, with all that was chosen for it, until it is stored.

import { chipName } from "./journal.js";
import { deep } from "./page.js";
import { focused } from "./typed.js";

const MOST = 8; // digits by the keys beside the field
const SEEN = 700; // [ms] for which a number that came back must stand in the field to have been seen by whoever types over it

/** The host of the widget in which an event happened, if it carries the class `name`. */
const within = (event, name) => event.composedPath().find((item) => item.classList?.contains(name));

/** A field whose whole content is chosen when it is entered, so that what is typed takes its place. */
function chooseWhole() {
  let entered = null; // the field that this tap enters
  addEventListener("pointerdown", (event) => {
    const [item] = event.composedPath();
    entered = within(event, "whole") && item !== focused() ? item : null;
  });
  addEventListener("click", (event) => {
    if (event.composedPath()[0] === entered) entered.select?.(); // after the tap has put the cursor somewhere
    entered = null;
  });
}

export class Entry {
  /** `say(kind, payload)` hands a message to the dashboard in turn with all else; `journal` keeps what is not stored yet. */
  constructor(say, journal) {
    this.say = say;
    this.journal = journal;
    this.back = false; // whether what stands in the field has come back, untouched; the next digit takes its place
    this.since = 0; // when it came back
    this.mends = false; // whether what stands in the field was made from what had come back, or takes its place knowingly
    const on = (type, act) => addEventListener(type, (event) => act(event), true);
    on("input", (event) => this._mine(event) && this._changed(event.data?.length > 0 && this.field.value === event.data));
    on("change", (event) => this._mine(event)); // Python never holds what stands in the field
    on("keydown", (event) => this._enter(event, event.key === "Enter" && !event.isComposing && !event.repeat));
    on("keyup", (event) => this._enter(event, false));
    on("beforeinput", (event) => this._enter(event, event.inputType === "insertLineBreak" && this.field?.value));
    on("click", (event) => this._pressed(event));
    on("focusin", (event) => this.other && event.composedPath()[0] === this.field && this.field.select());
    chooseWhole();
    this.text = ""; // what stands in the field, however often it is drawn anew
    this._other = false;
    this.redrawn = new MutationObserver(() => this.field && ((this.field.value = this.text), (this.other = this._other)));
  }

  /** Whether another club was chosen since it was typed; the next digit takes its place, Add still takes it. */
  get other() {
    return this._other;
  }

  set other(on) {
    this._other = on;
    this.field?.classList.toggle("other", on);
  }

  get field() {
    const was = this.known;
    if (!was?.isConnected) {
      const root = (this.host ??= [...deep(document.getElementById("app"))].find((item) => item.classList.contains("entry")))?.shadowRoot;
      this.known = root?.querySelector("input") ?? null;
      if (root && !was) this.redrawn.observe(root, { childList: true, subtree: true });
    }
    return this.known;
  }

  /** The name of the field with its unit; while an error stands there, as it was before. */
  get label() {
    const text = (this.field.getRootNode().querySelector("label")?.textContent || "").trim();
    if (text.endsWith(")") || !this.named) this.named = text;
    return this.named;
  }

  /** Whether an event is of the field; if so it goes no further. */
  _mine(event) {
    const mine = within(event, "entry") && event.composedPath()[0] === this.field;
    if (mine) event.stopPropagation();
    return mine;
  }

  _enter(event, take) {
    const line = event.key === "Enter" || event.inputType === "insertLineBreak";
    if (!line || !this._mine(event)) return;
    event.preventDefault();
    if (take) this.take();
  }

  /** The field holds another text now; `over`: something new, typed over what stood there. */
  _changed(over) {
    if (this.back && over && performance.now() - this.since < SEEN) this.mends = false;
    this.back = this.other = false;
    this.text = this.field.value;
    this._draft();
  }

  _pressed(event) {
    const add = within(event, "enter");
    const key = within(event, "digit");
    const chip = within(event, "strip") && event.composedPath().find((item) => item.tagName === "BUTTON");
    if (chip && this.field && !chip.classList.contains("bk-active")) this.other = this.field.value !== "";
    if (!(add || key) || !this.field || within(event, "at-hit")?.closest("#early")) return;
    event.stopPropagation();
    if (add) return this.take();
    const { value } = this.field;
    const last = key.classList.contains("back");
    const typed = key.shadowRoot.querySelector("button").textContent.trim();
    if (last) this._put(value.slice(0, -1));
    else this._put(((this.back || (this.other && typed !== ".") ? "" : value) + typed).slice(0, MOST));
    this._changed(!last);
  }

  _put(text) {
    this.text = this.field.value = text;
  }

  /** What was being typed before this field was there. */
  bring(text, other) {
    this._put(text);
    this.mends = false;
    this._changed(false);
    this.other = other;
  }

  /** What stands in the field is a number: it goes to the dashboard, and the field is free. */
  take() {
    const text = this.field.value;
    const { mends } = this;
    this._put("");
    this.back = this.mends = this.other = false;
    const units = /\(yd\)$/.test(this.label) ? "imperial" : "metric";
    const number = this.journal.ball(text, units, this._chosen(), this._measured());
    this.say("entered", { id: this.journal.log.id, numbers: [{ number, text, mends }] });
  }

  /** The half-typed number is kept too. */
  _draft() {
    const [club] = this._chosen();
    Object.assign(this.journal.log, { step: "hit", club });
    this.journal.draft("carry", this.field.value);
  }

  /** What stands on the chosen buttons for club, swing and grip, and for how many balls a number is. */
  _chosen() {
    const at = (name) => this._host(name)?.shadowRoot;
    const on = (name) => at(name)?.querySelector(".bk-active");
    const many = at("means")?.querySelector("select");
    const club = on("clubs");
    return [club ? chipName(club) : "", on("swings")?.textContent.trim() ?? "", on("grips")?.textContent.trim() ?? "", many?.selectedOptions[0]?.textContent ?? ""];
  }

  /** What was measured of the ball besides, as `label=text`. */
  _measured() {
    const host = this._host("measured");
    const fields = host?.shadowRoot ? [...deep(host.shadowRoot)].filter((item) => item.tagName === "INPUT" && item.value) : [];
    return fields.map((item) => `${item.getRootNode().querySelector("label").textContent.trim()}=${item.value}`);
  }

  /** The part of the dashboard of this name beside the field. */
  _host(name) {
    this.hosts ??= {};
    if (!this.hosts[name]?.isConnected) {
      const screen = [...deep(document.getElementById("app"))].find((item) => item.classList.contains("at-hit"));
      this.hosts[name] = screen && [...deep(screen.shadowRoot)].find((item) => item.classList.contains(name));
    }
    return this.hosts[name];
  }

  /** The dashboard did not take `text`. It comes back, unless the next number is being typed; the label names it in any case. */
  returned({ text }) {
    if (!this.field || (this.journal.log.drafts.carry && !this.back)) return; // which the first screens may have still
    this._put(String(text));
    this.back = this.mends = true;
    this.since = performance.now();
    this._draft();
    if (this.field.getRootNode().activeElement === this.field) this.field.select();
  }
}
