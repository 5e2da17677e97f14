// Fettle's service worker: keeps the whole site, in two groups named by what is in them, and serves it with no network.
const GROUPS = { runtime: __RUNTIME__, app: __APP__ };
const nameOf = (group) => `fettle-${group}-${GROUPS[group].id}`;
const MINE = Object.keys(GROUPS).map(nameOf);
const home = new URL("./", self.location).href;

async function sound(response, sha256) {
  if (!response || !response.ok) return false;
  const sum = await crypto.subtle.digest("SHA-256", await response.clone().arrayBuffer());
  return Array.from(new Uint8Array(sum), (b) => b.toString(16).padStart(2, "0")).join("") === sha256;
}

// Until every file of both groups is there and sound the worker is not installed, and the old one goes on.
async function gather(group) {
  const cache = await caches.open(nameOf(group));
  for (const [path, sha256] of Object.entries(GROUPS[group].files)) {
    const url = home + path;
    if (await sound(await cache.match(url), sha256)) continue;
    let response = await fetch(url, { cache: "force-cache" });
    if (!(await sound(response, sha256))) response = await fetch(url, { cache: "reload" });
    if (!(await sound(response, sha256))) throw new Error(`${path} is not the file of this version`);
    await cache.put(url, response);
  }
}

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    for (const group of Object.keys(GROUPS)) await gather(group);
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name.startsWith("fettle-") && !MINE.includes(name)) await caches.delete(name);
    await self.clients.claim();
    for (const client of await self.clients.matchAll()) client.postMessage({ type: "offline-ready" });
  })());
});

self.addEventListener("message", (event) => {
  if (event.data?.type === "take-over") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || !url.href.startsWith(home)) return;
  url.hash = url.search = "";
  const path = url.href === home ? "index.html" : url.href.slice(home.length);
  const group = Object.keys(GROUPS).find((g) => path in GROUPS[g].files);
  if (!group) return;
  event.respondWith((async () => {
    const cache = await caches.open(nameOf(group));
    return (await cache.match(home + path)) ?? fetch(event.request);
  })());
});
