// Makes the site work without a network. Name and scope of this file are for ever.
//
// Two caches, each named by the hash of what it holds: the runtime (large, rarely new) and the app (small, often new). A file
// enters a cache only after its SHA-256 has been checked, and a new version takes over only when all its files are in;
// until the person says yes the old version goes on with its own caches.

const RUNTIME = "fettle-runtime-__RUNTIME_ID__";
const APP = "fettle-app-__APP_ID__";
const FILES = __FILES__; // {runtime: [{path, bytes, sha256}], app: [...]}
const SCOPE = new URL("./", self.location).href;
const AT_ONCE = 3;

const hex = (buffer) => Array.from(new Uint8Array(buffer), (b) => b.toString(16).padStart(2, "0")).join("");
const isWhole = async (response, file) =>
  hex(await crypto.subtle.digest("SHA-256", await response.clone().arrayBuffer())) === file.sha256;

async function fetchChecked(file) {
  const url = new URL(file.path, SCOPE).href;
  for (const cache of ["default", "reload"]) {
    // the second try goes past the browser's own cache, where an older or broken copy may sit
    const response = await fetch(url, { cache, credentials: "same-origin" });
    if (response.ok && !response.redirected && (await isWhole(response, file))) return response;
  }
  throw new Error(`${file.path} is not the published file`);
}

async function fill(name, files, { verify = false } = {}) {
  const cache = await caches.open(name);
  const queue = [...files];
  let mended = 0;
  const hand = async () => {
    for (let file = queue.shift(); file; file = queue.shift()) {
      const url = new URL(file.path, SCOPE).href;
      const kept = await cache.match(url);
      if (kept && (!verify || (await isWhole(kept, file)))) continue;
      if (kept) await cache.delete(url);
      await cache.put(url, await fetchChecked(file));
      mended++;
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, hand));
  return mended;
}

self.addEventListener("install", (event) => {
  event.waitUntil(Promise.all([fill(RUNTIME, FILES.runtime), fill(APP, FILES.app)]));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys())
        if (/^fettle-(runtime|app)-/.test(name) && name !== RUNTIME && name !== APP) await caches.delete(name);
      await self.clients.claim();
    })(),
  );
});

self.addEventListener("message", (event) => {
  const port = event.ports[0];
  if (event.data === "take-over") self.skipWaiting();
  if (event.data === "verify")
    event.waitUntil(
      Promise.all([fill(RUNTIME, FILES.runtime, { verify: true }), fill(APP, FILES.app, { verify: true })]).then(
        (counts) => port?.postMessage({ mended: counts[0] + counts[1] }),
        (error) => port?.postMessage({ mended: 0, problem: String(error?.message || error) }),
      ),
    );
});

async function answer(request) {
  const url = new URL(request.url);
  const page = request.mode === "navigate";
  const key = page ? new URL("index.html", SCOPE).href : url.origin + url.pathname;
  if (key === new URL("files.json", SCOPE).href)
    return new Response(JSON.stringify({ runtime: { files: FILES.runtime }, app: { files: FILES.app } }), {
      headers: { "Content-Type": "application/json" },
    });
  for (const name of [APP, RUNTIME]) {
    const found = await (await caches.open(name)).match(key);
    if (found) return found;
  }
  return fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(SCOPE)) return;
  event.respondWith(answer(request));
});
