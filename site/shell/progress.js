// From nothing to ready: fetching -> starting -> ready, or failed, which is final until the page is loaded again.

const WORDS = {
  fetching: "Downloading",
  python: "Starting Python",
  unpacking: "Unpacking",
  numbers: "Preparing the calculations",
  screens: "Preparing the screens",
  drawing: "Drawing",
};
const ORDER = Object.keys(WORDS);
const QUIET = 600; // [ms] a start quicker than this is not worth a word
const SLOW = 30_000; // [ms] without any sign of life: say so
const DEAD = 120_000; // [ms] without any sign of life: it will never settle

export class Start {
  constructor({ onFailed, onDead = (cause) => this.fail(cause) }) {
    this.state = "fetching";
    this.onFailed = onFailed;
    this.onDead = onDead;
    this.cause = "";
    this.share = 0;
    this.box = document.getElementById("status");
    this.text = document.getElementById("status-text");
    this.bar = document.getElementById("status-bar");
    this.stage = "fetching";
    this.loaded = this.total = 0;
    setTimeout(() => this.state !== "ready" && this.state !== "failed" && (this.box.hidden = false, this._show()), QUIET);
    this._alive();
  }

  /** A sign of life from the worker: which stage, and while fetching how many bytes of how many. */
  progress(stage, loaded = 0, total = 0) {
    if (this.state === "ready" || this.state === "failed" || !(stage in WORDS)) return;
    this._alive();
    if (stage === "fetching") [this.loaded, this.total] = [loaded, total];
    if (ORDER.indexOf(stage) >= ORDER.indexOf(this.stage)) this.stage = stage;
    this.state = this.stage === "fetching" ? "fetching" : "starting";
    this._show();
  }

  ready() {
    if (this.state === "failed") return;
    this.state = "ready";
    this._quiet();
    document.documentElement.dataset.state = "ready";
    this.box.hidden = true;
  }

  /** Only the first cause counts: what follows is usually its consequence. */
  fail(cause) {
    if (this.state === "failed") return;
    const was = this.state;
    this.state = "failed";
    this.cause = String(cause || "unknown");
    this._quiet();
    document.documentElement.dataset.state = "failed";
    this.box.hidden = true;
    this.onFailed(this.cause, was);
  }

  _show() {
    document.documentElement.dataset.state = this.state;
    const fetched = this.total ? Math.min(this.loaded / this.total, 1) : 0;
    const done = Math.max(ORDER.indexOf(this.stage) - 1, 0) / (ORDER.length - 1);
    this.share = Math.max(this.share, 0.5 * fetched + 0.5 * done); // never backwards
    this.bar.value = this.share;
    const size = (bytes) => (bytes / 1e6).toFixed(1);
    const words = this.stage === "fetching" && this.total && fetched < 1
      ? `Loading: ${size(this.loaded)} of ${size(this.total)} MB` // spoken seldom, see below
      : `Loading: ${WORDS[this.stage].toLowerCase()}`;
    this.box.setAttribute("aria-live", this.stage === "fetching" && this.said ? "off" : "polite");
    this.said = true;
    if (this.text.textContent !== words) this.text.textContent = words;
  }

  _alive() {
    this._quiet();
    this.slow = setTimeout(() => {
      this.box.hidden = false;
      this.text.textContent = "Still loading. With a weak signal or a slow phone this can take a while; nothing is lost.";
    }, SLOW);
    this.dead = setTimeout(() => this.onDead(`no sign of life for ${DEAD / 1000} seconds while ${WORDS[this.stage].toLowerCase()}`), DEAD);
  }

  _quiet() {
    clearTimeout(this.slow);
    clearTimeout(this.dead);
  }
}
