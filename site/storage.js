// Keeps the players on this device: IndexedDB, each save a new record first and the pointer after it, checked on reading.

const NAME = "fettle";
const KEPT = 3; // newest records kept, the last good one among them

let database = null;
let memory = null; // where there is no storage (private windows), the text lives here until the page closes
let number = 0;

function ask(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

async function open() {
  if (database) return database;
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore("saves");
    request.result.createObjectStore("pointer");
  };
  database = await ask(request);
  database.onversionchange = () => database.close();
  database.onclose = () => { database = null; };
  return database;
}

async function checksum(text) {
  const data = new TextEncoder().encode(text);
  if (!globalThis.crypto?.subtle) return `length:${data.length}`;
  const sum = await crypto.subtle.digest("SHA-256", data);
  return Array.from(new Uint8Array(sum), (b) => b.toString(16).padStart(2, "0")).join("");
}

function settled(transaction) {
  return new Promise((done, failed) => {
    transaction.oncomplete = () => done();
    transaction.onabort = transaction.onerror = () => failed(transaction.error ?? new Error("storage gave up"));
  });
}

// The newest sound record, or null. Damaged records are passed over.
export async function read() {
  try {
    const store = (await open()).transaction(["saves", "pointer"]);
    const pointed = await ask(store.objectStore("pointer").get("current"));
    const keys = await ask(store.objectStore("saves").getAllKeys());
    number = Math.max(0, ...keys);
    const order = [pointed, ...keys.sort((a, b) => b - a)].filter((k) => k !== undefined);
    for (const key of order) {
      const record = await ask((await open()).transaction("saves").objectStore("saves").get(key));
      if (record && typeof record.text === "string" && record.sum === (await checksum(record.text))) return record.text;
    }
    return null;
  } catch {
    return memory;
  }
}

// Writes a record, then moves the pointer; returns "" or why it could not be kept.
export async function write(text) {
  memory = text;
  try {
    const record = { text, sum: await checksum(text), at: Date.now() };
    const key = ++number;
    const first = (await open()).transaction("saves", "readwrite");
    first.objectStore("saves").put(record, key);
    await settled(first);
    const second = (await open()).transaction(["saves", "pointer"], "readwrite");
    second.objectStore("pointer").put(key, "current");
    second.objectStore("saves").delete(IDBKeyRange.upperBound(key - KEPT));
    await settled(second);
    return "";
  } catch (error) {
    database = null;
    const full = error?.name === "QuotaExceededError";
    return full
      ? "This device has no room left to save. Free some room, and export the players to a file now."
      : "This browser does not let Fettle save (a private window?). Export the players to a file before you leave.";
  }
}

// Ask the browser, once there is something worth it, not to clear it away by itself.
export async function keepForLong() {
  try {
    if (navigator.storage?.persist && !(await navigator.storage.persisted())) await navigator.storage.persist();
  } catch {
    // it is only a wish
  }
}
