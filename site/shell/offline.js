// The service worker as the page sees it: registered when all is ready, updated only when the person says yes.

import { dismiss, notice } from "./notices.js";

const supported = () => "serviceWorker" in navigator && globalThis.isSecureContext;

/** Register, say when the site is ready to work offline, and offer a new version when there is one. */
export async function goOffline({ beforeReload = async () => {} } = {}) {
  if (!supported()) {
    notice("offline", "This browser cannot keep Fettle for use without a signal.", { seconds: 12 });
    return;
  }
  const first = !navigator.serviceWorker.controller;
  let wanted = false;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (wanted) location.reload();
  });
  const offer = (worker) =>
    notice("update", "A new version of Fettle is ready.", {
      shut: "Later",
      actions: [
        [
          "Use it now",
          async () => {
            wanted = true;
            await beforeReload();
            worker.postMessage("take-over");
          },
        ],
      ],
    });
  const follow = (worker) =>
    worker?.addEventListener("statechange", () => {
      if (worker.state === "installed" && navigator.serviceWorker.controller && !first) offer(worker);
      if (worker.state === "activated") {
        dismiss("update");
        document.documentElement.dataset.offline = "ready";
        if (first) notice("offline", "Ready to work offline.", { seconds: 8 });
      }
      if (worker.state === "redundant" && !navigator.serviceWorker.controller)
        document.documentElement.dataset.offline = "failed";
    });
  try {
    const registration = await navigator.serviceWorker.register("./sw.js", { scope: "./", updateViaCache: "none" });
    if (registration.active) document.documentElement.dataset.offline = "ready";
    if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
    follow(registration.installing);
    registration.addEventListener("updatefound", () => follow(registration.installing));
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") registration.update().catch(() => {});
    });
  } catch (error) {
    document.documentElement.dataset.offline = "failed";
    if (navigator.onLine !== false)
      notice("offline", "Fettle could not be stored for use without a signal; it will try again next time.", { seconds: 12 });
    console.info("service worker:", String(error?.message || error));
  }
}

/** Have the stored copy checked file by file; true if something was mended. */
export async function verifyStored(seconds = 60) {
  const worker = supported() && navigator.serviceWorker.controller;
  if (!worker) return false;
  const { port1, port2 } = new MessageChannel();
  const answer = new Promise((resolve) => {
    port1.onmessage = (event) => resolve(event.data.mended > 0);
    setTimeout(() => resolve(false), seconds * 1000);
  });
  worker.postMessage("verify", [port2]);
  return answer;
}

/** Throw away the stored program (never the data), so that the next load fetches everything anew. */
export async function repair() {
  try {
    for (const registration of (await navigator.serviceWorker?.getRegistrations()) ?? [])
      if (registration.scope === new URL("./", location.href.split("#")[0]).href) await registration.unregister();
    for (const name of (await globalThis.caches?.keys()) ?? [])
      if (/^fettle-(runtime|app)-/.test(name)) await caches.delete(name);
  } catch (error) {
    console.info("repair:", String(error?.message || error));
  }
}
