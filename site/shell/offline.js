// The service worker as the page sees it: registered when the page is live, updated only when the person says yes.

import { notice } from "./notices.js";
import { updates } from "./update.js";

const DAY = 86_400_000; // [ms]
const LATER = 20_000; // [ms] after the start: time for what nobody waits for
const AGAIN = 60_000; // [ms] after which what could not be stored is tried again
const root = document.documentElement;

const supported = () => "serviceWorker" in navigator && globalThis.isSecureContext;

/** Register, say when the site is ready to work offline, and offer a new version when there is one. */
export async function goOffline({ beforeReload = async () => {} } = {}) {
  if (!supported()) {
    notice("offline", "This browser cannot store Fettle for use without a signal.", { seconds: 12 });
    return;
  }
  const update = updates({ beforeReload });
  const follow = (worker) =>
    worker?.addEventListener("statechange", () => {
      if (worker.state === "installed" && navigator.serviceWorker.controller) update.offer(worker);
      if (worker.state === "activated") {
        update.settled();
        complete(worker, true);
      }
      if (worker.state === "redundant" && !navigator.serviceWorker.controller)
        root.dataset.offline = "failed";
    });
  try {
    const registration = await navigator.serviceWorker.register("./sw.js", { scope: "./", updateViaCache: "none" });
    if (registration.active) complete(registration.active);
    if (registration.waiting && navigator.serviceWorker.controller) update.offer(registration.waiting);
    follow(registration.installing);
    registration.addEventListener("updatefound", () => follow(registration.installing));
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") registration.update().catch(() => {});
    });
    const fresh = !registration.active; // each file is checked on its way in
    setTimeout(() => lookAfter(registration, fresh), LATER);
  } catch (error) {
    root.dataset.offline = "failed";
    if (navigator.onLine !== false)
      notice("offline", "Fettle could not be stored for use without a signal; it will try again next time.", { seconds: 12 });
    console.info("service worker:", String(error?.message || error));
  }
}

let trying; // while not everything is stored

/** Have the worker store what is still to come, now and until it is there; say when every step works without a signal. */
function complete(worker, fresh = false) {
  clearInterval(trying);
  const ask = () => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => {
      if (data.ready && root.dataset.offline !== "ready") {
        if (fresh || data.brought) notice("offline", "Ready to work offline.", { seconds: 8 });
        root.dataset.offline = "ready";
      }
      if (!data.all) return;
      root.dataset.stored = "all";
      clearInterval(trying);
    };
    worker.postMessage("complete", [port2]);
  };
  trying = setInterval(ask, AGAIN);
  ask();
}

/** Drop what older versions left, and once a day have every stored file checked, so that none is found bad in the field. */
function lookAfter(registration, fresh) {
  registration.active?.postMessage("tidy");
  try {
    const since = Date.now() - Number(localStorage.getItem("fettle-checked"));
    if (since >= 0 && since < DAY) return; // a clock that was put back counts as a new day
    localStorage.setItem("fettle-checked", String(Date.now()));
    if (fresh) return;
  } catch {
    return;
  }
  registration.active?.postMessage("verify");
}

/**
 * Have the stored copy checked file by file: "mended" if something was bad and is not any more, "beyond" if it is bad and
 * the host has another version by now, "whole" otherwise.
 */
export async function verifyStored(seconds = 60) {
  const worker = supported() && navigator.serviceWorker.controller;
  if (!worker) return "whole";
  const { port1, port2 } = new MessageChannel();
  const answer = new Promise((resolve) => {
    port1.onmessage = ({ data }) => resolve(data.beyond ? "beyond" : data.mended > 0 ? "mended" : "whole");
    setTimeout(() => resolve("whole"), seconds * 1000);
  });
  worker.postMessage("verify", [port2]);
  return answer;
}

/**
 * Throw away the stored program (never the data), so that the next load fetches everything anew; false, and nothing
 * thrown away, where the host cannot be reached.
 */
export async function repair() {
  try {
    const answer = await fetch("./sw.js", { cache: "no-store" });
    if (!answer.ok) return false;
    for (const registration of (await navigator.serviceWorker?.getRegistrations()) ?? [])
      if (registration.scope === new URL("./", location.href.split("#")[0]).href) await registration.unregister();
    for (const name of (await globalThis.caches?.keys()) ?? [])
      if (/^fettle-(runtime|app)-/.test(name)) await caches.delete(name);
    return true;
  } catch (error) {
    console.info("repair:", String(error?.message || error));
    return false;
  }
}
