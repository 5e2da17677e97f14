// Starts the page: draws the first screen, wakes Python behind it, then lets the two talk.
import { DocumentBridge } from "./shell/bridge.js";
import { doors } from "./shell/doors.js";
import { goOffline, repair } from "./shell/offline.js";
import * as screen from "./shell/screen.js";
import * as storage from "./storage.js";

const PATIENCE = 120_000; // [ms] without any sign of life before the start is called failed

try {
  doors.look(JSON.parse(localStorage.getItem("fettle-look") ?? "{}"));
} catch {
  // no storage, or not ours
}

const worker = new Worker("./worker.mjs", { type: "module" });
const bridge = new DocumentBridge(worker);
let saved = null;
let sign = Date.now();
let started = false;

function fail(cause) {
  if (started) return;
  worker.terminate();
  screen.fail(cause, { retry: () => location.reload(), repair, saved });
}

const watch = setInterval(() => {
  if (!started && Date.now() - sign > PATIENCE) fail("The start took too long. Is the connection very slow?");
}, 1000);

const takes = {
  stage: ({ stage }) => screen.stage(stage),
  bytes: ({ bytes }) => screen.bytes(bytes),
  async document({ text }) {
    screen.stage("drawing");
    const made = JSON.parse(text);
    await bokeh;
    const focused = document.activeElement;
    await bridge.draw(made.document, Object.fromEntries(made.roots.map((id) => [id, `root-${id}`])));
    focused?.focus?.();
    worker.postMessage({ type: "drawn" });
  },
  ready() {
    started = true;
    clearInterval(watch);
    bridge.open = true;
    screen.ready();
    performance.mark("fettle-ready");
    setTimeout(goOffline, 300);
  },
  patch: ({ text }) => bridge.take(text),
  idle: () => bridge.idle(),
  page({ text }) {
    const { kind, payload } = JSON.parse(text);
    doors[kind]?.(payload);
  },
  complete: () => { document.documentElement.dataset.complete = "yes"; },
  failed: ({ text }) => fail(text),
  error({ text }) {
    console.error(text);
    screen.notice("Something went wrong in that step; what you typed is kept. If it stays wrong, reload the page.", undefined, 15);
  },
};
worker.onmessage = ({ data }) => {
  sign = Date.now();
  // Messages are dealt with in their order, also where one has to wait.
  order = order.then(() => takes[data.type]?.(data)).catch((error) => fail(String(error?.message ?? error)));
};
worker.onerror = (event) => fail(event.message || "Python's part of the app could not be loaded.");
worker.onmessageerror = () => fail("A message from Python could not be read.");
let order = Promise.resolve();

const toPython = (kind, payload = {}) => { if (started) worker.postMessage({ type: "page", kind, payload }); };
addEventListener("hashchange", () => toPython("hash", { hash: location.hash }));
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") toPython("flush"); });
addEventListener("pagehide", () => toPython("flush"));
document.addEventListener("fettle-flush", () => toPython("flush"));

const scripts = [...document.querySelectorAll("script[defer]")];
const bokeh = new Promise((done, failed) => {
  const look = () => globalThis.Bokeh?.Panel ?? globalThis.Bokeh?.Models;
  if (document.readyState === "complete" && look()) return done();
  scripts.forEach((s) => s.addEventListener("error", () => failed(new Error("A script of the page could not be fetched."))));
  addEventListener("DOMContentLoaded", () => done());
  addEventListener("load", () => done());
});
bokeh.catch((error) => fail(error.message));

storage.read().then((text) => {
  saved = text;
  worker.postMessage({
    type: "start",
    boot: { hash: location.hash, saved, online: navigator.onLine, address: location.href.split("#")[0] },
  });
});

bokeh.then(async () => {
  globalThis.Bokeh.set_log_level("error");
  if (bridge.document) return;
  const first = JSON.parse(document.getElementById("first-screen").textContent);
  order = order.then(() => bridge.document ?? bridge.draw(first.document, first.roots));
});
