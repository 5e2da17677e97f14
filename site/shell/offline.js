// The service worker: registered once all runs, never swapped without a yes.
import { notice } from "./screen.js";

let agreed = false;

export async function goOffline() {
  if (!("serviceWorker" in navigator)) return;
  const home = navigator.serviceWorker;
  const first = !home.controller;
  home.addEventListener("controllerchange", () => { if (agreed) location.reload(); });
  home.addEventListener("message", (event) => {
    if (event.data?.type === "offline-ready") {
      document.documentElement.dataset.offline = "ready";
      if (first) notice("Ready to work offline: Fettle now starts with no signal.", undefined, 12);
    }
  });
  let registration;
  try {
    registration = await home.register("./sw.js", { scope: "./", updateViaCache: "none" });
  } catch {
    return; // a plain page is still a page
  }
  if (registration.active) document.documentElement.dataset.offline = "ready";
  if (registration.waiting && home.controller) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const coming = registration.installing;
    coming?.addEventListener("statechange", () => {
      if (coming.state === "installed" && home.controller) offer(coming);
    });
  });
}

function offer(worker) {
  notice("A new version of Fettle is here. Your players stay.", [
    ["Later", () => {}],
    ["Use it now", () => {
      agreed = true;
      document.dispatchEvent(new Event("fettle-flush"));
      setTimeout(() => worker.postMessage({ type: "take-over" }), 400);
    }],
  ]);
}

// Throw away everything fetched (never the saved players) and start from the network.
export async function repair() {
  for (const name of await caches.keys()) if (name.startsWith("fettle-")) await caches.delete(name);
  for (const one of (await navigator.serviceWorker?.getRegistrations?.()) ?? []) {
    if (one.scope === new URL("./", location.href).href) await one.unregister();
  }
  location.reload();
}
