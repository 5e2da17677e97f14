// A second copy of the newest save, in the browser's other store: some browsers, killed at the wrong moment, throw a whole
// database away at their next start.

const NAME = "fettle-kept";
const KEY = "./kept.json"; // never fetched; the store wants addresses

/** Keep `text` with its `sum`; a store that refuses is no reason for a save to fail. */
export async function keepCopy(text, sum) {
  try {
    const cache = await globalThis.caches.open(NAME);
    await cache.put(KEY, new Response(JSON.stringify({ sum, text })));
  } catch {
    // the database has it
  }
}

/** The text of the copy, if there is one whose sum by `sumOf` is right, or null. */
export async function lastCopy(sumOf) {
  try {
    const found = await (await globalThis.caches.match(KEY, { cacheName: NAME }))?.json();
    return typeof found?.text === "string" && sumOf(found.text) === found.sum ? found.text : null;
  } catch {
    return null;
  }
}
