// What the next page is to have at once lies in two places: in localStorage, which is read before the first frame but which
// some browsers write to disk seconds late, and in the database, where it lasts at once and which is read a moment later.
// Each value carries a number, `n`; of what the two places have under a key, the newer counts.

import { asked, open } from "../database.js";

const OURS = "fettle-";
export const STEP = "fettle-step"; // the one used last
const DAY = 86_400_000; // [ms] after which localStorage has surely lost what is gone
const latest = new Map(); // by key: what this page kept or found last

let connection = null;
function pointer(...how) {
  connection ??= open().then((db) => {
    db.onclose = db.onversionchange = () => {
      db.close();
      connection = null;
    };
    return db;
  });
  return connection.then((db) => db.transaction("pointer", ...how).objectStore("pointer"));
}

function write(act) {
  const acted = pointer("readwrite", { durability: "strict" }).then((store) => {
    act(store);
    store.transaction.commit?.();
  });
  acted.catch(() => {}); // no database: the other place has it
}

export function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

function atHand(key, value) {
  try {
    if (value.gone) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // no storage: it lasts as long as the page
  }
}

/** The step to begin with: that of this entry of the history, else the one used last on this device, else null. */
export function lastStep() {
  try {
    return history.state?.step ?? read(STEP)?.step ?? localStorage.getItem(STEP); // once it was the bare name
  } catch {
    return null;
  }
}

/** `value` with a number that makes it newer than all before it under `key`; null: there is nothing any more. */
export function numbered(key, value) {
  const n = 1 + Math.max(latest.get(key)?.n ?? 0, read(key)?.n ?? 0);
  latest.set(key, { ...(value ?? { gone: Date.now() }), n });
  return latest.get(key);
}

export function keep(key, value) {
  const was = latest.get(key) ?? read(key);
  if (!value && (!was || was.gone)) return;
  const made = numbered(key, value);
  atHand(key, made);
  write((store) => store.put(made, key));
}

/** What the database had when this page began: `found` by key, and the number of the `current` save; null if it cannot be read. */
export const written = (async () => {
  try {
    const store = await pointer("readonly");
    const range = IDBKeyRange.bound(OURS, `${OURS}\uffff`);
    const [keys, values, current] = await Promise.all([store.getAllKeys(range), store.getAll(range), store.get("current")].map(asked));
    const old = keys.filter((_, n) => values[n].gone < Date.now() - DAY);
    if (old.length) write((all) => old.forEach((key) => all.delete(key)));
    return { found: new Map(keys.map((key, n) => [key, values[n]])), current };
  } catch {
    return null;
  }
})();

/** The newer of what the two places have under a key, which both have from now on, or null. */
export async function newest(key) {
  const quick = latest.get(key) ?? read(key);
  const found = (await written)?.found.get(key);
  if (!found || (quick?.n ?? 0) >= found.n) return quick?.gone ? null : quick;
  latest.set(key, found);
  atHand(key, found);
  return found.gone ? null : found;
}
