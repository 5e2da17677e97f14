// Makes the site work without a network. Name and scope of this file are for ever.
//
// Two caches, each named by the hash of what it holds: the runtime (large, rarely new) and the app (small, often new). A file
// enters a cache only after its SHA-256 has been checked. The first version takes over when what the page was started from is
// in, and brings the rest when the page asks; a new version takes over only when all its files are in, and until the person
// says yes the old version goes on with its own caches, which stay for as long as a page may need them.
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

const of = (...paths) => paths.map((path) => new URL(path, SCOPE).href).filter((url) => PLACE.has(url));
const REST = of("runtime/stdlib-rest.zip.zst", "runtime/rest.tar.zst"); // what only a later step needs
const IMAGE = of("runtime/image.zst", "app/image.zst"); // what only one way of starting needs
const PLAIN = of("runtime/stdlib.zip.zst", "runtime/boot.tar.zst", "app/app.tar.zst");
const ALL = [...PLACE.keys()];
const BOTH = ALL.filter((url) => ![...REST, ...IMAGE, ...PLAIN].includes(url));

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
  // what the browser's own cache has, by its sum, is not asked for again; the last try goes past it, where an older copy may sit
  const tries = [[urlOf(file), "force-cache"], [urlOf(file), "reload"]];
  if (file.path === "index.html") tries.unshift([SCOPE, "only-if-cached"]); // as the page was opened
  for (const [url, cache] of tries) {
    const response = await fetch(url, { cache, mode: "same-origin", credentials: "same-origin" }).catch((error) => {
      if (cache !== "only-if-cached") throw error;
    });
    if (!response?.ok || response.redirected) continue;
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

const coming = new Map(); // address -> promise of a file that is on its way into its cache

function bring(url) {
  const fetched = async () => {
    const [name, file] = PLACE.get(url);
    const response = await fetchChecked(file);
    await (await caches.open(name)).put(url, response);
  };
  if (!coming.has(url)) coming.set(url, fetched().finally(() => coming.delete(url)));
  return coming.get(url);
}

/** Addresses of what is stored. */
async function stored() {
  const there = new Set();
  for (const name of [RUNTIME, APP]) for (const { url } of await (await caches.open(name)).keys()) there.add(url);
  return there;
}

/** Whether all of `urls` are stored. */
const have = async (urls) => !(await Promise.all(urls.map((url) => caches.match(url, { cacheName: PLACE.get(url)[0] })))).includes(undefined);

const within = (there, urls) => urls.every((url) => there.has(url));

/** What a start needs, one way or the other: as it is stored (`there`), or as the page beside this was started, else plainly. */
async function start(there) {
  const atHand = (url) => fetch(url, { cache: "only-if-cached", mode: "same-origin" }).then((found) => (found.body?.cancel(), found.ok), () => false);
  const image = !within(there, PLAIN) && (within(there, IMAGE) || !(await Promise.all(IMAGE.map(atHand))).includes(false));
  return [...BOTH, ...(image ? IMAGE : PLAIN)];
}

/** Bring into the caches what of `urls` is not `there`, or with `verify` not whole; how many files that were. */
async function fill(urls, there, { verify = false } = {}) {
  let mended = 0;
  const hand = async (queue) => {
    for (let url = queue.shift(); url; url = queue.shift()) {
      if (there.has(url)) {
        if (!verify) continue;
        const [name, file] = PLACE.get(url);
        const kept = await (await caches.open(name)).match(url);
        if (kept && (await isWhole(await held(kept), file))) continue;
      }
      await bring(url);
      mended++;
    }
  };
  const large = urls.filter((url) => PLACE.get(url)[1].bytes > LARGE); // one at a time, for the memory they take
  const small = urls.filter((url) => !large.includes(url));
  await Promise.all([hand(large), hand(small), hand(small)]);
  return mended;
}

/** Bring what of a start is missing, and what it needs `besides`; how many files that were. */
async function fillStart(besides = []) {
  const there = await stored();
  return fill([...(await start(there)), ...besides], there);
}

/** Bring what is still to come: first what makes every step work without a network, then the other way of starting. */
async function complete(say) {
  say({ ready: true, brought: await fillStart(REST) });
  const there = await stored();
  for (const url of ALL) {
    if (self.registration.installing || self.registration.waiting) return; // a new version, which brings its own
    if (!there.has(url)) await bring(url);
  }
  say({ all: true });
}

async function verified() {
  const there = await stored();
  const needed = new Set([...(await start(there)), ...there]);
  return fill([...needed].filter((url) => PLACE.has(url)), there, { verify: true });
}

// ---- life

self.addEventListener("install", (event) => event.waitUntil(self.registration.active ? stored().then((there) => fill(ALL, there)) : fillStart()));
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
  if (event.data === "complete") event.waitUntil(complete((said) => port.postMessage(said)).catch(superseded));
  if (event.data === "verify")
    event.waitUntil(
      verified().then(
        (mended) => port?.postMessage({ mended }),
        (error) => port?.postMessage({ mended: 0, problem: String(error?.message || error), beyond: error instanceof OtherVersion }),
      ),
    );
});

// ---- answers

let whole; // a promise: whether this version can be served; asked once in this worker's life

/** Whether an error says that the host has another version, which is then looked for. */
function superseded(error) {
  const other = error instanceof OtherVersion;
  if (other) self.registration.update().catch(() => {});
  return other;
}

/** What a start needs is there, or was fetched again, or there is no network to do better; false: the host has another version. */
const canServe = () => fillStart().then(() => true, (error) => !superseded(error));

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
    await bring(url);
    checked.add(url);
    return await cache.match(url);
  } catch (error) {
    return found ?? (superseded(error) ? gone() : Response.error()); // no network: better a bad one than nothing
  }
}

const gone = () => new Response("another version has taken over", { status: 409 });

async function answer(request) {
  const asked = new URL(request.url);
  const page = request.mode === "navigate";
  const url = page ? new URL("index.html", SCOPE).href : asked.origin + asked.pathname;
  const release = request.headers.get("release") ?? asked.searchParams.get("release");
  if (release && release !== RUNTIME_ID) {
    // a page of another version, still open: it must get its own files or none
    const old = (await caches.has(`fettle-runtime-${release}`)) && (await (await caches.open(`fettle-runtime-${release}`)).match(url));
    return old || gone();
  }
  if (page) whole = canServe();
  if (await (whole ??= canServe())) {
    if (url === new URL("files.json", SCOPE).href)
      return new Response(JSON.stringify({ runtime: { id: RUNTIME_ID, files: FILES.runtime }, app: { files: FILES.app } }), {
        headers: { "Content-Type": "application/json" },
      });
    if (IMAGE.includes(url) && !(await have(IMAGE))) return new Response(null, { status: 204 }); // half of it is none
    if (PLACE.has(url)) return kept(url);
  }
  return fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(SCOPE)) return;
  event.respondWith(answer(request));
});
