// The database on this device: `records` holds the saves, `pointer` which of them counts and, beside it, small things by name.

const NAME = "fettle";

export const asked = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

export const done = (transaction) =>
  new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error || new DOMException("aborted", "AbortError"));
  });

/** The database, made where there is none; rejects if it does not answer. */
export function open(seconds = 5) {
  return new Promise((resolve, reject) => {
    if (!globalThis.indexedDB) return reject(new Error("no IndexedDB"));
    const request = indexedDB.open(NAME, 1);
    let gone = false;
    const late = setTimeout(() => ((gone = true), reject(new Error("storage did not answer"))), seconds * 1000);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("records", { keyPath: "id", autoIncrement: true });
      request.result.createObjectStore("pointer");
    };
    request.onsuccess = () => {
      clearTimeout(late);
      if (gone) request.result.close();
      else resolve(request.result);
    };
    request.onerror = () => (clearTimeout(late), reject(request.error));
  });
}
