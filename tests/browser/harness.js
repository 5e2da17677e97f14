// The storage module alone, on a page light enough to be killed a thousand times.
import { Storage } from "./storage.js";

/** The text of save number n: its length and every character follow from n. */
function made(n) {
  let seed = (n * 2654435761) >>> 0;
  const next = () => (seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0);
  const length = 200 + (next() % (n % 17 === 0 ? 400000 : 20000));
  const parts = [`${n}:`];
  for (let size = 0; size < length; size += 8) parts.push(next().toString(16).padStart(8, "0"));
  return parts.join("");
}

const said = [];
const storage = new Storage((what, detail) => {
  said.push(what);
  if (what === "saved") console.log(`SAVED ${storage.stored.split(":")[0]}`);
});
const text = await storage.read();
const n = text === null ? 0 : Number(text.split(":")[0]);
console.log(`READ ${n} ${n === 0 || text === made(n)} ${said.join(",")}`);
globalThis.fettle = { storage, said, made, n };

if (location.hash === "#save")
  for (let k = n + 1; ; k++) {
    storage.save(made(k));
    // sometimes wait for it, sometimes let the next one overtake
    if (k % 3) await storage.line;
    await new Promise((go) => setTimeout(go, (k * 7) % 5));
  }
