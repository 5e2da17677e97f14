// Makes the site work without a network. Name and scope of this file are for ever.
//
// Two caches, each named by the hash of what it holds: the runtime (large, rarely new) and the app (small, often new). A file
// enters a cache only after its SHA-256 has been checked, and a new version takes over only when all its files are in;
// until the person says yes the old version goes on with its own caches, which stay for as long as a page may need them.
// What is handed out is checked again: a file that has gone bad or missing is fetched anew, and nobody need be asked.

const RUNTIME_ID = "__RUNTIME_ID__";
const RUNTIME = `fettle-runtime-${RUNTIME_ID}`;
const APP = "fettle-app-__APP_ID__";
const FILES = __FILES__; // {runtime: [{path, bytes, sha256}], app: [...]}
const SCOPE = new URL("./", self.location).href;
const LARGE = 1_000_000; // [bytes] too slow to check before each answer; `verify` checks these too

const urlOf = (file) => new URL(file.path, SCOPE).href;
const PLACE = new Map(); // address -> [cache, file]
for (const file of FILES.runtime) PLACE.set(urlOf(file), [RUNTIME, file]);
for (const file of FILES.app) PLACE.set(urlOf(file), [APP, file]);

class OtherVersion extends Error {}

const hex = (buffer) => Array.from(new Uint8Array(buffer), (b) => b.toString(16).padStart(2, "0")).join("");
/** Whether a body (an answer, read up by this, or a blob) is the published file. */
const isWhole = async (body, file) => {
  try {
    const bytes = await body.arrayBuffer();
    const sum = hex(await crypto.subtle.digest("SHA-256", bytes));
    bytes.transfer?.(0); // give the memory back now
    return sum === file.sha256;
  } catch {
    return false; // what cannot even be read
  }
};

/** An answer's body, which the browser holds outside of this process; empty where it cannot be read. */
const held = (response) => response.blob().catch(() => new Blob());

async function fetchChecked(file) {
  for (const cache of ["default", "reload"]) {
    // the second try goes past the browser's own cache, where an older or broken copy may sit
    const response = await fetch(urlOf(file), { cache, credentials: "same-origin" });
    if (!response.ok || response.redirected) continue;
    if (/js$/.test(file.path)) {
      // as it came: the browser keeps the compiled form only of a script whose address it knows
      if (await isWhole(response.clone(), file)) return response;
    } else {
      const body = await held(response);
      if (await isWhole(body, file)) return new Response(body, { headers: response.headers });
    }
  }
  throw new OtherVersion(`${file.path} is not the published file`);
}

/** Bring into the caches what is not there, or with `verify` not whole; how many files that were. */
async function fill({ verify = false } = {}) {
  let mended = 0;
  const hand = async (queue) => {
    for (let next = queue.shift(); next; next = queue.shift()) {
      const [url, [name, file]] = next;
      const cache = await caches.open(name);
      const kept = await cache.match(url);
      if (kept && (!verify || (await isWhole(await held(kept), file)))) continue;
      await cache.put(url, await fetchChecked(file));
      mended++;
    }
  };
  const large = [...PLACE].filter(([, [, file]]) => file.bytes > LARGE); // one at a time, for the memory they take
  const small = [...PLACE].filter(([, [, file]]) => file.bytes <= LARGE);
  await Promise.all([hand(large), hand(small), hand(small)]);
  return mended;
}

// ---- life

self.addEventListener("install", (event) => event.waitUntil(fill()));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

/** Drop the caches of other versions, unless another page is open that may still be running one. */
async function tidy() {
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  if (pages.length > 1 || self.registration.waiting || self.registration.installing) return;
  for (const name of await caches.keys())
    if (/^fettle-(runtime|app)-/.test(name) && name !== RUNTIME && name !== APP) await caches.delete(name);
}

self.addEventListener("message", (event) => {
  const port = event.ports[0];
  if (event.data === "take-over") self.skipWaiting();
  if (event.data === "tidy") event.waitUntil(tidy());
  if (event.data === "verify")
    event.waitUntil(
      fill({ verify: true }).then(
        (mended) => port?.postMessage({ mended }),
        (error) => port?.postMessage({ mended: 0, problem: String(error?.message || error), beyond: error instanceof OtherVersion }),
      ),
    );
});

// ---- answers

let whole; // a promise: whether this version can be served; asked once in this worker's life

/** All files are there, or were fetched again, or there is no network to do better; false: the host has another version. */
async function canServe() {
  const there = new Set();
  for (const name of [RUNTIME, APP]) for (const request of await (await caches.open(name)).keys()) there.add(request.url);
  if ([...PLACE.keys()].every((url) => there.has(url))) return true;
  try {
    await fill();
    return true;
  } catch (error) {
    if (!(error instanceof OtherVersion)) return true;
    self.registration.update().catch(() => {});
    return false;
  }
}

const checked = new Set();

async function kept(url) {
  const [name, file] = PLACE.get(url);
  const cache = await caches.open(name);
  const found = await cache.match(url);
  if (found && (checked.has(url) || file.bytes > LARGE || (await isWhole(found.clone(), file)))) {
    checked.add(url);
    return found;
  }
  try {
    const fresh = await fetchChecked(file);
    await cache.put(url, fresh.clone());
    checked.add(url);
    return fresh;
  } catch {
    return found; // no network: better this than nothing
  }
}

async function answer(request) {
  const asked = new URL(request.url);
  const page = request.mode === "navigate";
  const url = page ? new URL("index.html", SCOPE).href : asked.origin + asked.pathname;
  const release = asked.searchParams.get("release");
  if (release && release !== RUNTIME_ID) {
    // a page of another version, still open: it must get its own files or none
    const old = (await caches.has(`fettle-runtime-${release}`)) && (await (await caches.open(`fettle-runtime-${release}`)).match(url));
    return old || new Response("another version has taken over", { status: 409 });
  }
  if (page) whole = canServe();
  if (await (whole ??= canServe())) {
    if (url === new URL("files.json", SCOPE).href)
      return new Response(JSON.stringify({ runtime: { id: RUNTIME_ID, files: FILES.runtime }, app: { files: FILES.app } }), {
        headers: { "Content-Type": "application/json" },
      });
    const found = PLACE.has(url) && (await kept(url));
    if (found) return found;
  }
  return fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(SCOPE)) return;
  event.respondWith(answer(request));
});
