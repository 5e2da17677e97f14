// The Bokeh document in the page and its twin in the worker: patches go both ways, one at a time from here.

import { deep } from "./page.js";

const SIGN_AFTER = 80; // [ms] of work after which the page says that it is at it

/** Puts a document into the page and keeps both sides alike. */
export class Dashboard {
  /** `send(message)` hands one patch, or one message of the page, to the worker, which answers with `idle` when it has dealt with it. */
  constructor(send) {
    this.send = send;
    this.document = null;
    this.live = false; // whether the worker listens yet
    this.busy = false; // whether it is still at the last patch
    this.waiting = []; // changes of the document, and messages, in their order
    this.applying = 0;
    this.since = 0; // when what the worker is at was sent
    this.typed = null; // hears what texts are handed over
    this.lines = null; // keeps a line that is being typed
    this.locked = null; // fields that are about to change
    this.settle = null; // called when all has been dealt with, for the time of a start
    this.step = ""; // the one that the dashboard shows
    this.ahead = ""; // the one that the page shows before the dashboard has got there
  }

  /** Render `docs` (as Bokeh serialises documents) into the root elements of the page, replacing what was there. */
  async put(docs, items) {
    const old = this.document;
    const places = [...document.querySelectorAll("#app [data-root-id]")];
    const ids = items[0].root_ids ?? Object.keys(items[0].roots);
    ids.forEach((id, n) => {
      places[n] ??= document.getElementById("app").appendChild(document.createElement("div"));
      places[n].dataset.rootId = id;
      places[n].id = `root-${id}`;
    });
    items[0].root_ids = ids;
    items[0].roots = Object.fromEntries(ids.map((id) => [id, `root-${id}`]));
    if (old) old.clear();
    for (const place of places) place.replaceChildren();
    this.waiting = [];
    const [views] = await Bokeh.embed.embed_items(docs, items);
    this.document = [...views.roots.values()][0].model.document;
    this.document.on_change((event) => this._changed(event), false);
  }

  _changed(event) {
    if (this.applying > 0) return;
    if (event.attr === "value" && typeof event.model?.value === "string")
      this.typed?.handed(String(event.model.title || event.model.name || ""), event.model.value);
    if (this.live && !this.busy) return this._send([event]);
    // Only the newest value of a slider that moves on while the worker computes is worth sending. Whatever was changed,
    // pressed or said in between was meant for the value of then: a figure for the club that was chosen before it was typed.
    const since = 1 + this.waiting.findLastIndex((w) => !(w.attr && w.model === event.model));
    if (event.model && event.attr) this.waiting = this.waiting.filter((w, n) => n < since || w.attr !== event.attr);
    this.waiting.push(event);
  }

  /** A message to the dashboard, in turn with what was changed and pressed; numbers that wait go together. */
  say(kind, payload) {
    const last = this.waiting.at(-1);
    if (last?.said === kind && payload.numbers) last.payload.numbers.push(...payload.numbers);
    else this.waiting.push({ said: kind, payload });
    if (this.live && !this.busy) this._next();
  }

  _next() {
    if (this.waiting[0].said) {
      const { said, payload } = this.waiting.shift();
      return this._hand({ type: "said", kind: said, payload, turn: true });
    }
    const end = this.waiting.findIndex((w) => w.said);
    this._send(this.waiting.splice(0, end < 0 ? Infinity : end));
  }

  _send(events) {
    this._hand({ type: "patch", patch: this.document.create_json_patch(events) });
  }

  _hand(message) {
    if (!this.busy) this.sign = setTimeout(() => (document.documentElement.dataset.busy = ""), SIGN_AFTER);
    this.busy = true;
    this.since = performance.now();
    this.send(message);
  }

  /**
   * Show a step at once; the dashboard, to which the same press goes, follows and fills it when it is free. Only the classes
   * on the page change: through Bokeh's models that would first lay everything out anew, which takes as long as some sums.
   */
  turn(step) {
    const screen = this._places().find((item) => item.classList.contains(`at-${step}`));
    if (!screen) return;
    this.ahead = step;
    this._show(step);
    scrollTo({ top: 0 });
    const parts = [...screen.shadowRoot.children].filter((item) => item.shadowRoot);
    if (parts.length < 2) document.documentElement.dataset.busy = ""; // nothing but its heading yet
  }

  /** The dashboard has come to a step. */
  came(step) {
    const { dataset } = document.documentElement;
    this.step = dataset.step = step;
    if (!this.ahead && !("early" in dataset)) scrollTo({ top: 0 });
  }

  /** What stands on the page for the steps, and their buttons in the bar. */
  _places() {
    const isPlace = ({ classList }) => classList.contains("step") || [...classList].some((name) => name.startsWith("at-"));
    if (!this.places?.[0]?.isConnected) this.places = [...deep(document.getElementById("app"))].filter(isPlace);
    return this.places;
  }

  /** Show one step and hide the others. */
  _show(step) {
    document.documentElement.dataset.step = step;
    for (const { classList } of this._places())
      if (classList.contains("step")) classList.toggle("here", classList.contains(`to-${step}`));
      else classList.toggle("off", !classList.contains(`at-${step}`));
  }

  /** The worker is free: send what has gathered. */
  idle() {
    this.live = true;
    if (this.waiting.length) return this._next();
    if (this.ahead && this.step) this._show(this.step); // in case it went elsewhere
    this.ahead = "";
    this.busy = false;
    clearTimeout(this.sign);
    delete document.documentElement.dataset.busy;
    this.locked?.free();
    this.typed?.settled();
    this.settle?.();
  }

  /** Its twin in the worker is gone, and another will come. */
  lost() {
    this.live = this.busy = false;
    this.settle = null;
    this.locked?.free();
    clearTimeout(this.sign);
    delete document.documentElement.dataset.busy;
  }

  /** How long the worker has been at one patch. [s] */
  get stuck() {
    return this.busy && this.live ? (performance.now() - this.since) / 1000 : 0;
  }

  /** Wait until the worker has dealt with everything, at most so many seconds. */
  async settled(seconds = 2) {
    const end = performance.now() + seconds * 1000;
    while ((this.busy || this.waiting.length) && performance.now() < end) await new Promise((go) => setTimeout(go, 20));
  }

  /** Apply a patch from the worker; a figure that it is still to hear of stands. */
  apply(patch, buffers) {
    this.applying++;
    try {
      this.document.apply_json_patch(patch, buffers);
      this._follow(patch.events);
      for (const { model, attr, value } of this.waiting) if (model && attr === "value") model.setv({ value });
      this.lines?.keep();
      if (this.ahead) this._show(this.ahead); // that was of a step that the person has left since
    } finally {
      this.applying--;
    }
  }

  /** What Enter hands over is `value_input`, which Bokeh leaves as it was when a field is given a new value. */
  _follow(events) {
    for (const { kind, model, attr } of events) {
      const field = kind === "ModelChanged" && attr === "value" && this.document.get_model_by_id(model.id);
      if (typeof field?.value_input === "string") field.setv({ value_input: field.value }, { silent: true });
    }
  }
}

/** Fetch and run the drawing library's scripts, in their order; only now, so that nothing of the first screens waits for them. */
export async function bokehReady() {
  const broken = () => new Error("the drawing library did not arrive (runtime/bokeh)");
  const names = document.documentElement.dataset.scripts.split(" ");
  await Promise.all(
    names.map(
      (src) =>
        new Promise((resolve, reject) => {
          const script = Object.assign(document.createElement("script"), { src, async: false });
          script.onload = resolve;
          script.onerror = () => reject(broken());
          document.head.append(script);
        }),
    ),
  );
  if (!globalThis.Bokeh?.embed || globalThis.Bokeh.Panel === null) throw broken();
}
