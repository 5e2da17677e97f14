// Brings the page to life: the saved case and the link go to the worker, the dashboard comes back.

import { first, launch, listen } from "./shell/launch.js";
import { forgetFailure, inWords, remember, rememberFailure, STARTING } from "./shell/start_mode.js";
import { doAsked, noteAsked } from "./shell/asked.js";
import { Dashboard, bokehReady } from "./shell/document.js";
import { lastStep, newest, STEP } from "./shell/device.js";
import { early, GLANCE, glanceOf, journal, keepGlance } from "./shell/early.js";
import { Entry } from "./shell/entry.js";
import { saveFile, showFailure } from "./shell/failure.js";
import { handOver } from "./shell/handover.js";
import { dismiss, notice } from "./shell/notices.js";
import { goOffline, repair, verifyStored } from "./shell/offline.js";
import { heed } from "./shell/page.js";
import { Lines } from "./shell/lines.js";
import { Locked } from "./shell/locked.js";
import { keepTyping } from "./shell/redrawn.js";
import { Start } from "./shell/progress.js";
import { followShot } from "./shell/shot.js";
import { entered, followHistory, followPresses, foreign } from "./shell/steps.js";
import { storageWords } from "./shell/storage_messages.js";
import { followTaps } from "./shell/taps.js";
import { leftBehind, Typed } from "./shell/typed.js";
import { Storage } from "./storage.js";

const STUCK = 20; // [s] for one answer, longer than the slowest sums on a slow phone
let { boot } = first;
let worker = first.worker ?? launch(boot.way);
const tell = (message) => worker.postMessage(message);
const dashboard = new Dashboard(tell);
const storageSaid = storageWords(() => storage, { take: (text) => take(text) });
let covered = 0; // the last typed text that the save under way holds
let glances = []; // [text, glance] of saves under way
const storage = new Storage((what, detail) => {
  if (what === "saved") {
    typed.drop(covered);
    glanced();
  }
  storageSaid(what, detail);
});
const kept = storage.read();
newest(STEP); // by the time that it is asked for
const typed = (dashboard.typed = new Typed());
const left = leftBehind(typed);
const entry = new Entry((kind, payload) => dashboard.say(kind, payload), journal);
const start = new Start({ onFailed, onDead: (cause) => failed(cause) });
dashboard.lines = new Lines((kind, payload) => dashboard.say(kind, payload));
dashboard.locked = new Locked(() => dashboard.busy);
keepTyping();
followShot((kind, payload) => dashboard.say(kind, payload));
followTaps();
noteAsked();
const app = document.getElementById("app");

/** What was saved is on the device: the next page may show it, and what of it was entered early need not be kept any more. */
function glanced() {
  const n = glances.findIndex(([text]) => text === storage.stored);
  if (n < 0) return;
  glances.splice(0, n);
  const [[, glance]] = glances;
  keepGlance(glance, storage.id);
  journal.saved(glance.early);
}

async function onFailed(cause, was) {
  worker.terminate();
  app.inert = true;
  if (was !== "ready" && !remember("fettle-mended")) {
    // a stored file that was not what it should be is replaced: nobody needs to be asked
    const found = await verifyStored();
    if (found === "mended" || (found === "beyond" && (await repair()))) {
      remember("fettle-mended", "1");
      location.reload();
      return;
    }
  }
  const unheard = early && !early.over ? early.left : journal.left;
  delete document.documentElement.dataset.early;
  showFailure(cause, storage.text, [...unheard, ...typed.left]);
}

// ---- what the worker says

const waiting = new Map();
let given = ""; // the fragment that the worker began with
let ours = false; // whether that is of a player who is stored here, or there is none
let live; // called when the dashboard takes messages
const ready = new Promise((go) => (live = go));

/** The step to be shown, by the dashboard in turn with all that was pressed and typed before. */
function show(step) {
  turn(step);
  dashboard.say("go", { step });
}

function turn(step) {
  typed.commit(); // before the field is out of sight
  dashboard.turn(step);
}

const HEARD = {
  progress: ({ stage, loaded, total }) => start.progress(stage, loaded, total),
  way: ({ way }) => {
    boot = { way, why: way === "plain" ? "slow" : "" };
    remember(STARTING, way);
  },
  document: async ({ docs, items }, from) => {
    await drawn;
    if (docs) await dashboard.put(docs, items); // a memory image comes with the document that the page already shows
    from.postMessage({ type: "rendered" });
  },
  ready: ({ timing }, from) => {
    performance.mark("fettle-live", { detail: { ...timing, way: boot.way } });
    dashboard.idle();
    remember(STARTING, null);
    remember("fettle-mended", null);
    tell({ type: "said", kind: "started", payload: { how: inWords(boot) } });
    handOver({ early, journal, dashboard, entry, app, done: () => from === worker && begun(timing) });
  },
  patch: ({ patch, buffers }) => dashboard.apply(patch, buffers),
  idle: () => dashboard.idle(),
  fault: ({ fault }) => {
    console.info("fault:", fault);
    notice("fault", "Something went wrong, and a part of this page may not be up to date. What you entered is kept: reload the page, or undo the last step.");
  },
  said: ({ kind, payload }) => {
    if (kind === "save") {
      covered = typed.saving();
      glances.push([payload.text, payload.glance]);
      storage.save(payload.text, [GLANCE, glanceOf(payload.glance)]);
    } else if (kind === "glance") {
      if (storage.unsaved && glances.length) glances.at(-1)[1] = payload;
      else keepGlance(payload, storage.id);
    }
    else if (kind === "opened") journal.player = payload.id;
    else if (kind === "known") storage.know(payload.hash, payload.player);
    else if (kind === "taken") waiting.get(payload.reply)?.(payload.whole);
    else if (kind === "returned") entry.returned(payload);
    else if (kind === "step") {
      dashboard.came(payload.step);
      journal.log.step = payload.step;
      journal.write();
      entered(payload.step, payload.back);
    }
    else {
      heed(kind, payload, (answer, told) => dashboard.say(answer, told));
      if (kind === "link") glanced(); // with the address as it is now
    }
  },
  heard: ({ reply }) => waiting.get(reply)?.(),
};

/** The dashboard has the page. */
function begun(timing) {
  start.ready();
  app.inert = false;
  app.removeAttribute("aria-busy");
  performance.mark("fettle-ready", { detail: { ...timing, way: boot.way } });
  live();
  followPresses(turn);
  const shown = early?.glance || early?.touched; // the first screens have seen to the step
  followHistory(show, !shown && ours && location.hash === given ? lastStep() : null);
  if (early?.touched) entered(dashboard.step || "measure", true);
  if (location.hash !== given) openHash();
  doAsked(app);
  if (!early) takeUp();
  setTimeout(() => goOffline({ beforeReload: flush }), 300);
}

async function takeUp() {
  const glance = await newest(GLANCE);
  for (const message of await journal.takeUp(glance?.early)) dashboard.say("early", message);
}

let line = Promise.resolve();
function follow(made) {
  const broken = (cause, lasting) => made === worker && failed(cause, lasting);
  listen(made, {
    message({ data }) {
      if (data.type === "failed") return broken(data.cause, data.lasting);
      if (data.type === "progress" || data.type === "way") return made === worker && HEARD[data.type](data);
      // in order: a patch must not overtake the document it is for
      line = line
        .then(() => made === worker && HEARD[data.type]?.(data, made))
        .catch((error) => broken(`the page: ${error?.message || error}`));
    },
    error(event) {
      event.preventDefault();
      broken(event.message || "the worker could not be started (worker.mjs or runtime/pyodide.mjs is missing)");
    },
    messageerror: () => broken("a message from the worker could not be read"),
  });
}

/** The end of a start, unless it was from the memory image: then the plain way is taken, and kept to if the cause will last. */
function failed(cause, lasting = true) {
  if (boot.way === "image" && lasting) rememberFailure(cause);
  if (boot.way === "plain" || start.state === "ready" || start.state === "failed") return start.fail(cause);
  console.info("memory image:", cause);
  // if only the stored copy was bad, it is mended, and the image gets another chance at the next start
  if (lasting) verifyStored().then((found) => found === "mended" && forgetFailure());
  plainly(lasting ? { why: "failed", cause } : { why: "later" });
}

/** Leave the memory image and start plainly. */
function plainly(reason) {
  worker.terminate();
  dashboard.lost();
  journal.again();
  boot = { way: "plain", ...reason };
  remember(STARTING, boot.way);
  worker = launch(boot.way);
  follow(worker);
  begin();
}

/** The worker is told what this person has. */
async function begin() {
  await kept;
  const saved = storage.text; // a start that failed late may have saved
  const hash = (given = location.hash);
  const owner = await storage.whose(hash);
  ours = Boolean(saved) && (!hash || Boolean(owner) || hash.startsWith("#player-"));
  tell({ type: "start", hash, owner, saved });
}

// ---- to the worker

/** Add the players of a saved text to those shown; whether all of them are here and stored. */
async function take(text) {
  await ready;
  const reply = Math.random();
  const answer = new Promise((resolve) => {
    waiting.set(reply, resolve);
    setTimeout(resolve, STUCK * 1000, false);
  });
  tell({ type: "said", kind: "take", payload: { text, reply } });
  const whole = await answer;
  waiting.delete(reply);
  return whole && (await flush(STUCK)) && !storage.unsaved;
}

/** Somebody put another fragment into the address of this page. */
async function openHash() {
  if (start.state !== "ready" || !foreign()) return;
  const { hash } = location;
  tell({ type: "said", kind: "hash", payload: { hash, owner: await storage.whose(hash) } });
}

/** Let the dashboard save what is pending, and wait until that is stored; whether it answered in time. */
async function flush(seconds = 2) {
  typed.commit();
  await dashboard.settled(seconds);
  const reply = Math.random();
  const heard = new Promise((resolve) => {
    waiting.set(reply, () => resolve(true));
    setTimeout(resolve, seconds * 1000, false);
  });
  tell({ type: "said", kind: "flush", payload: {}, reply });
  const answered = await heard;
  waiting.delete(reply);
  await storage.retry();
  return answered;
}

document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && start.state === "ready" && flush());
addEventListener("pagehide", () => {
  remember(STARTING, null); // left on purpose
  if (start.state === "ready") flush();
});
addEventListener("hashchange", openHash);
addEventListener("click", (event) => {
  const { player } = event.composedPath()[0]?.dataset ?? {}; // a name in the list of players opens its player
  if (!player || start.state !== "ready") return;
  typed.commit();
  dashboard.say("player", { player });
});

setInterval(() => {
  // a worker that the system has ended says nothing any more
  if (start.state === "ready" && dashboard.stuck > STUCK)
    notice("stuck", "Fettle has stopped responding. What was saved is safe; restarting takes a few seconds.", {
      actions: [["Start again", () => location.reload()]],
    });
  else dismiss("stuck");
}, 2000);

// ---- begin

follow(worker);

const drawn = (async () => {
  await bokehReady();
  Bokeh.set_log_level("error");
  const read = (id) => JSON.parse(document.getElementById(id).textContent);
  try {
    await dashboard.put(read("document-json"), read("render-items"));
  } catch (error) {
    console.info("first screen:", String(error?.message || error)); // the worker brings a whole one
  }
  import("./app/page.js").then((names) => names.install(document), () => {});
})();
drawn.catch((error) => start.fail(error?.message || error));

if (first.died)
  notice("died", "Fettle did not finish loading last time. If it fails again, close other tabs and try once more.", { seconds: 15 });

left.then((all) => {
  if (all.length)
    notice("typed", `Fettle was closed before this could be saved, so please check that it is there: ${all.join("; ")}`);
});

begin();
