// The first screens as plain HTML, which take entries before the dashboard is there, and the carry card as last worked out.

import { keep, lastStep, newest, numbered, read, STEP, written } from "./device.js";
import { chipName, Journal, text, texts } from "./journal.js";

export const GLANCE = "fettle-glance";
const MOST = 8; // digits by the keys beside the field
const AFTER = 60; // [ms] from a finger that leaves the screen to its click, at most

const DAY = { day: "numeric", month: "short" };
const html = document.documentElement;
const SIZES = ["height", "wingspan"];
const STEPS = ["measure", "hit", "layout", "build", "play"];

/** A day, or a time, as the dashboard writes it. */
const dated = (time, parts) => new Date(time).toLocaleString("en-GB", parts).replace("Sept", "Sep");

class Early {
  constructor(place) {
    this.place = place;
    this.part = {};
    for (const item of place.querySelectorAll("[data-early]")) this.part[item.dataset.early] = item;
    this.log = journal.log;
    this.sizes = {}; // as typed: {text, units}
    this.other = false;
    this.over = false; // whether the dashboard has taken its place
    this.touched = false;
    this.beyond = ""; // the step that a page was at which died, where it is none of these
    this.pressed = new Set(); // pointers that are down
    this.held = false; // whether a tap or a composition is under way
    this.free = () => {}; // called when it is over
    this.fault = ""; // what is wrong with the carry in the field
    this.known = null; // whether `glance` is of what is stored now; null while the database has not been read
    this.limits = JSON.parse(this.part.carry.dataset.limits);
    const day = this.part.day.querySelector("button");
    day.textContent = day.textContent.replace("Today", `Today, ${dated(Date.now(), DAY).replace(" ", "\u00a0")}`);
    this._stand(read(GLANCE));
    this._listen();
    this.draw();
    html.dataset.early = "";
    this.claimed = this._claim().then(() => this.draw());
  }

  /** What is known of who was here before is shown; what was done here since stands. */
  _stand(glance) {
    this.glance = glance;
    if (glance) this._returning();
    this.part.card.classList.toggle("off", !glance?.card);
    if (glance?.card) this._card(glance.card);
    const clubs = this._clubs();
    const of = (id) => clubs.find((item) => item.dataset.value === id);
    const first = of(glance?.club) ?? clubs.find((item) => item.classList.contains("bk-active")) ?? clubs[0];
    if (!this.touched || !of(this.club)) this.club = first?.dataset.value;
    if (this.touched) return;
    const last = this._last();
    this.units = glance?.units === "imperial" ? "imperial" : "metric";
    this.step = STEPS.includes(last) ? last : "measure";
  }

  _last() {
    return this.glance ? lastStep() : null;
  }

  /** The step that the dashboard is to show: the one used last, unless something was done here. */
  get wanted() {
    return this.touched ? this.beyond || this.step : this._last();
  }

  /** Whether another club was chosen since the carry was typed; the next digit takes its place. */
  get other() {
    return this.field("carry").classList.contains("other");
  }

  set other(on) {
    this.field("carry").classList.toggle("other", on);
  }

  field(name) {
    return this.part[name].querySelector("input");
  }

  _clubs() {
    return [...this.part.clubs.querySelectorAll("button")];
  }

  /** Somebody who was here before sees own clubs and sizes. */
  _returning() {
    const { name, clubs, blank, parts } = this.glance;
    this.part.who.querySelector(".who").textContent = text(name);
    if (blank === false) this.part.start.remove();
    const [model] = this._clubs();
    const chips = (Array.isArray(clubs) ? clubs : []).map(texts).map(([label, value, named]) => {
      const chip = model.cloneNode();
      chip.textContent = label;
      Object.assign(chip.dataset, { value, name: named });
      return chip;
    });
    if (chips.length) model.parentNode.replaceChildren(...chips);
    if (parts === true && !this.swings) this.swings = this._swings(model);
  }

  /** The row of part swings with the one that carries typed here are of, so that nothing moves when the others come. */
  _swings(model) {
    const row = this.part.clubs.cloneNode();
    delete row.dataset.early;
    const full = Object.assign(model.cloneNode(), { textContent: "Full swing", className: "bk-btn bk-active", disabled: true });
    row.append(this.part.clubs.firstChild.cloneNode());
    row.firstChild.append(full);
    this.part.clubs.after(row);
    this.place.querySelector(".at-hit .heading").classList.add("short");
    return row;
  }

  /** The carry card, as text, and as of when. */
  _card({ set, air, unit, rows, notes, at }) {
    const item = (tag, words, cls = "") => Object.assign(document.createElement(tag), { textContent: String(words ?? ""), className: cls });
    const row = (...cells) => {
      const line = document.createElement("tr");
      line.append(...cells);
      return line;
    };
    const clubRow = ([club, carry, range]) => {
      const name = Object.assign(item("th", club, String(club).includes(" ") ? "" : "whole"), { scope: "row" });
      const figure = item("td", range ? "" : carry);
      if (range) figure.append(item("b", carry));
      return row(name, figure, item("td", range));
    };
    const when = dated(at, { ...DAY, year: "numeric", hour: "2-digit", minute: "2-digit" });
    const small = (all) => (Array.isArray(all) ? all : []).map((words) => item("p", words, "small"));
    const head = item("h3", "");
    head.append(item("span", text(this.glance.name)), item("span", `as of ${when}`, "when"));
    const table = document.createElement("table");
    const [top, body] = [document.createElement("thead"), document.createElement("tbody")];
    top.append(row(...["Club", `carry (${unit})`, "90\u00a0%"].map((words) => item("th", words))));
    body.append(...(Array.isArray(rows) ? rows : []).map(clubRow));
    table.append(item("caption", "Carry card, as last worked out"), top, body);
    const room = item("div", "", "scroll");
    room.append(table);
    this.part.card.firstChild.firstChild.replaceChildren(head, ...small([set, air]), room, ...small(notes));
  }

  /** What pages left that are gone is taken up, but for what the dashboard has saved of it. */
  async _claim() {
    const [last, device, glance] = [this._last(), await written, await newest(GLANCE)];
    await newest(STEP);
    if (glance && (glance.n !== this.glance?.n || this._last() !== last)) {
      this._stand(glance);
      if (!this.log.entries.length) journal.player = this.log.player = text(glance.player);
    }
    this.known = device !== null && glance?.record === device.current;
    const found = await journal.claim(this.glance?.early);
    const left = found.at(-1);
    if (!left || this.touched) return;
    this.touched = true;
    if (left.player === this.log.player) this.log.after = left.id;
    for (const { entries } of found)
      for (const [kind, value, units] of entries) {
        if (kind === "units") this.units = value;
        else if (SIZES.includes(kind)) this.sizes[kind] = { text: value, units };
      }
    if (STEPS.includes(left.step)) this.step = left.step;
    else this.beyond = text(left.step);
    const chip = this._clubs().find((item) => left.club && [item.dataset.value, chipName(item)].includes(left.club));
    if (chip) this._add("club", (this.club = chip.dataset.value), this.units);
    this.draw();
    for (const name of [...SIZES, "carry"]) {
      const draft = text(left.drafts?.[name]);
      if (draft && !this.log.drafts[name]) this.field(name).value = this.log.drafts[name] = draft;
    }
    this._write();
    for (const log of found) journal.write(Object.assign(log, { drafts: {} }));
  }

  _write() {
    Object.assign(this.log, { step: this.step, club: this.club });
    journal.write();
  }

  _add(...entry) {
    journal.add(...entry);
    this.touched = true;
    this._write();
  }

  // ---- what the person does

  _listen() {
    const on = (type, act) => this.place.addEventListener(type, act);
    on("input", ({ target }) => this._typing(target));
    on("change", ({ target }) => this._commit(target));
    on("keydown", (event) => event.key === "Enter" && !event.isComposing && !event.repeat && this._enter(event));
    on("beforeinput", (event) => event.inputType === "insertLineBreak" && this._enter(event));
    on("click", ({ target }) => target.closest?.("button") && this._press(target.closest("button")));
    on("compositionstart", () => this._hold("composition", true));
    on("compositionend", () => this._hold("composition", false));
    addEventListener("pointerdown", this.down = ({ pointerId }) => this._hold(pointerId, true), true);
    this.up = ({ pointerId }) => this._hold(pointerId, false);
    for (const type of ["pointerup", "pointercancel"]) addEventListener(type, this.up, true);
    for (const name of [...SIZES, "carry"]) if (this.field(name).value) this._typing(this.field(name)); // typed before this ran
  }

  _hold(what, on) {
    if (on) this.pressed.add(what);
    else this.pressed.delete(what);
    clearTimeout(this.later);
    if (on) this.held = true;
    else if (!this.pressed.size) this.later = setTimeout(() => ((this.held = false), this.free()), AFTER);
  }

  _nameOf(field) {
    return [...SIZES, "carry"].find((name) => this.field(name) === field);
  }

  _typing(field) {
    const name = this._nameOf(field);
    if (!name) return;
    if (name === "carry") this.other = false;
    this.touched = true;
    this.log.drafts[name] = text(field.value);
    this._write();
    if (name === "carry") this._say("");
  }

  /** A size that was typed counts when its field is left. */
  _commit(field) {
    const name = this._nameOf(field);
    if (this.over || !SIZES.includes(name) || !(name in this.log.drafts)) return;
    delete this.log.drafts[name];
    if (field.value === this._stood(name)) return this._write();
    this.sizes[name] = { text: field.value, units: this.units };
    this._add(name, field.value, this.units);
    this.draw();
  }

  /** Every size counts that is not being typed just now. */
  commit({ but = null } = {}) {
    for (const name of SIZES) if (this.field(name) !== but) this._commit(this.field(name));
  }

  _enter(event) {
    const name = this._nameOf(event.target);
    if (!name) return;
    event.preventDefault();
    if (name === "carry") this._take();
    else this._commit(event.target);
  }

  _press(button) {
    const host = button.closest(".w");
    const is = (name) => host.classList.contains(name);
    const { value } = button.dataset;
    if (is("digit")) return this._key(is("back") ? null : button.textContent);
    if (is("enter")) return this._take();
    if (host === this.part.again) return this._takeBack();
    this.commit();
    this.touched = true;
    this.fault = "";
    if (host === this.part.units && value !== this.units) this._add("units", (this.units = value));
    else if (host === this.part.clubs) {
      this.other = value !== this.club && this.field("carry").value !== "";
      this._add("club", (this.club = value), this.units);
    }
    else if (STEPS.some((step) => is(`to-${step}`))) {
      this.step = STEPS.find((step) => is(`to-${step}`));
      this.beyond = "";
      scrollTo({ top: 0 });
    }
    this._write();
    this.draw();
  }

  _key(key) {
    const field = this.field("carry");
    const value = this.other && key !== "." ? "" : field.value; // typed for another club: the next digit takes its place
    field.value = key === null ? field.value.slice(0, -1) : (value + key).slice(0, MOST);
    this._typing(field);
  }

  _take() {
    const field = this.field("carry");
    if (!field.value.trim()) return;
    const wrong = this._wrong(field.value);
    this._say(wrong && `Carry \u201c${field.value}\u201d ${wrong}`);
    if (wrong) {
      if (document.activeElement === field) field.select();
      this.other = true;
      return;
    }
    delete this.log.drafts.carry;
    this._add("carry", field.value, this.units, this.club);
    field.value = "";
    this.other = false;
    this.draw();
  }

  /** What is wrong with a carry, in the dashboard's words; nothing if it is for the dashboard to say. */
  _wrong(value) {
    const [low, high, notOne, thousands, beyond] = this.limits[this.units];
    const bare = value.trim().replace(/\s*[a-z]+$/i, (unit) => (unit.trim().toLowerCase() === this._unit(this.units) ? "" : unit));
    if (!/^[+\-\u2212]?(\d+([.,]\d*)?|[.,]\d+)$/.test(bare)) return notOne;
    if (/^[1-9]\d{0,2}[.,]\d{3}$/.test(bare)) return thousands;
    const number = Number(bare.replace(",", ".").replace("\u2212", "-"));
    return number < low || number > high ? beyond : "";
  }

  /** What was wrong stands where the carry's name does, until something else is typed. */
  _say(fault) {
    if (fault === this.fault) return;
    this.fault = document.getElementById("announce").textContent = fault;
    this.draw();
  }

  /** The unit of carries. */
  _unit(units) {
    return /\((.*)\)/.exec(this.part.carry.dataset[units] ?? "")?.[1] ?? "";
  }

  /** The last carry of the club that has not been handed over. */
  _takeBack() {
    const last = this._lastBall();
    if (!last) return;
    last.log.entries.splice(last.place, 1);
    journal.write(last.log);
    this.draw();
  }

  /** Whether an entry is a ball of the chosen club: by its id, or by what stands on its button. */
  _isBall([kind, , , club]) {
    return (kind === "carry" && club === this.club) || (kind === "ball" && this.chip && club === chipName(this.chip));
  }

  get chip() {
    return this._clubs().find((item) => item.dataset.value === this.club);
  }

  _lastBall() {
    return journal.last((entry) => this._isBall(entry));
  }

  // ---- what is shown

  /** What stands in the field of a size while nobody types: what was typed in these units, else what is stored. */
  _stood(name) {
    const typed = this.sizes[name];
    if (typed) return typed.units === this.units ? typed.text : "";
    return text(this.glance?.body?.[this.units]?.[SIZES.indexOf(name)]);
  }

  draw() {
    const choose = (name, chosen) => {
      for (const item of this.part[name].querySelectorAll("button")) {
        const on = item.dataset.value === chosen;
        item.classList.toggle("bk-active", on);
        item.setAttribute("aria-pressed", on);
        if (on && name === "clubs") item.parentNode.scrollLeft = item.offsetLeft - (item.parentNode.clientWidth - item.offsetWidth) / 2;
      }
    };
    for (const step of STEPS) {
      const here = step === this.step;
      this.place.querySelector(`.at-${step}`).classList.toggle("off", !here);
      const button = this.place.querySelector(`.step.to-${step}`);
      button.classList.toggle("here", here);
      button.querySelector("button").setAttribute("aria-current", here ? "step" : "false");
    }
    html.dataset.step = this.step;
    choose("units", this.units);
    choose("clubs", this.club);
    const label = (name, of = "") => {
      const words = this.part[name].dataset[this.units].replace("{}", of);
      this.part[name].querySelector("label").textContent = words;
      return words;
    };
    for (const item of this.place.querySelectorAll("button[data-imperial]")) item.textContent = item.dataset[this.units];
    for (const name of SIZES) {
      label(name);
      if (name in this.log.drafts) continue;
      const [field, typed] = [this.field(name), this.sizes[name]];
      if (field.value !== this._stood(name)) field.value = this._stood(name);
      const other = typed && typed.units !== this.units && this.part[name].dataset[typed.units];
      field.placeholder = other ? `${typed.text} ${/\((.*)\)/.exec(other)[1]}` : "";
    }
    const club = this.chip;
    this.part.carry.classList.toggle("brief", label("carry", club?.dataset.name ?? "").length <= 24 && !this.fault);
    this.part.carry.classList.toggle("bad", Boolean(this.fault));
    if (this.fault) this.part.carry.querySelector("label").textContent = this.fault;
    const balls = journal.entries.filter((entry) => this._isBall(entry));
    const line = document.createElement("p");
    line.textContent = balls.length
      ? `Entered: ${balls.map(([, carry, units]) => `${carry} ${this._unit(units)}`).join(", ")}. Kept here, and counted once Fettle has loaded.`
      : this._tally(club);
    this.part.tally.firstChild.replaceChildren(line);
    this.part.tally.scrollTop = this.part.tally.scrollHeight;
    this.part.again.querySelector("button").disabled = !this._lastBall();
    const { style } = this.part.stats.firstChild; // which says that there is nothing yet
    style.display = this.glance || this.known === false || club?.dataset.value !== "7i" ? "none" : "";
    style.visibility = this.known ? "" : "hidden";
    const count = this.known ? `: ${/ \u00b7 (\d+)$/.exec(club?.textContent)?.[1] ?? 0}` : "";
    this.part.list.querySelector("button").textContent = `Balls of the ${club?.dataset.name}${count}`;
  }

  /** What is stored of a club's balls, as far as it is known. */
  _tally(club) {
    const { glance } = this;
    if (this.known !== false && glance?.tally && glance.club === this.club && glance.units === this.units) return glance.tally;
    return this.known && !club?.textContent.includes("\u00b7") ? "No balls yet" : "Reading your balls\u2026";
  }

  // ---- handing over

  /** What is not in the dashboard's hands yet, as `label: text`. */
  get left() {
    const label = (kind) => this.part[kind === "ball" ? "carry" : kind].dataset[this.units].split(/ \(|, /)[0];
    const entries = journal.entries.filter(([kind]) => !["units", "club"].includes(kind));
    const drafts = Object.entries(this.log.drafts).filter(([, value]) => value);
    return [...entries, ...drafts].map(([kind, value, , club]) => `${label(kind)}: ${value}${club ? ` (${club})` : ""}`);
  }

  /** The dashboard is in its place; what it has not taken over as text is kept by it from now on. */
  end() {
    removeEventListener("pointerdown", this.down, true);
    for (const type of ["pointerup", "pointercancel"]) removeEventListener(type, this.up, true);
    this.free = () => {};
    for (const name of SIZES) delete this.log.drafts[name];
    journal.write();
    this.place.remove();
  }
}

function withCard(glance) {
  const was = read(GLANCE);
  const card = glance.card ? { ...glance.card, at: Date.now() } : was?.player === glance.player ? was.card : null;
  return { ...glance, card, hash: location.hash };
}

/** What the next page shows before its dashboard is there, to be stored with what it is of. */
export const glanceOf = (glance) => numbered(GLANCE, withCard(glance));

/** Note what the next page shows before its dashboard is there; it is of the save with number `record`, or of none. */
export function keepGlance(glance, record) {
  keep(GLANCE, { ...withCard(glance), record: record || undefined });
}

const place = document.getElementById("early");
export const journal = new Journal(read(GLANCE)?.player);
export const early = "early" in html.dataset ? new Early(place) : null;
if (!early) place.remove();
