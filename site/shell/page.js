// What the dashboard asks of the page around it (the kinds are listed in app/bridge.py).

import { notice } from "./notices.js";
import { saveFile } from "./failure.js";

const root = document.documentElement;

function look({ theme, contrast, size }) {
  const allowed = { theme: ["light", "dark"], contrast: ["high"], size: ["large"] };
  for (const [key, value] of Object.entries({ theme, contrast, size })) {
    if (allowed[key].includes(value)) root.dataset[key] = value;
    else delete root.dataset[key];
  }
  try {
    localStorage.setItem("fettle-look", JSON.stringify({ theme, contrast, size }));
  } catch {
    // no storage: the look holds for this visit
  }
}

let last = "";
/** The fragment that the dashboard itself put into the address last. */
export const ownHash = () => last;

function link({ hash }) {
  if (!/^#v\d+\.[\w-]+$/.test(hash)) return;
  last = hash;
  history.replaceState(history.state, "", hash);
}

function announce({ text }) {
  const place = document.getElementById("announce");
  place.textContent = "";
  setTimeout(() => (place.textContent = String(text)), 50); // the same words twice are to be spoken twice
}

async function share({ title, hash }) {
  const url = new URL(hash, location.href).href;
  try {
    if (navigator.share) return await navigator.share({ title: String(title), url });
  } catch (error) {
    if (error?.name === "AbortError") return;
  }
  try {
    await navigator.clipboard.writeText(url);
    notice("share", "The link is on the clipboard.", { seconds: 6 });
  } catch {
    link({ hash });
    notice("share", "The link is in the address bar: copy it from there.", { seconds: 12 });
  }
}

function print({ page }) {
  if (["sheet", "card", "pocket"].includes(page)) root.dataset.print = page;
  const tidy = () => delete root.dataset.print;
  addEventListener("afterprint", tidy, { once: true });
  requestAnimationFrame(() => globalThis.print());
}

function* deep(place) {
  for (const item of place.querySelectorAll("*")) {
    yield item;
    if (item.shadowRoot) yield* deep(item.shadowRoot);
  }
}

function picture({ name, title }) {
  const host = [...deep(document)].find((item) => item.classList.contains(name));
  const canvas = host && [...(host.shadowRoot ? deep(host.shadowRoot) : deep(host))].find((i) => i.tagName === "CANVAS");
  if (!canvas) return notice("picture", "There is no drawing to save yet.", { seconds: 6 });
  const link = document.createElement("a");
  link.download = `${String(title).replace(/[^\p{L}\p{N} ._-]+/gu, "-").slice(0, 60) || "picture"}.png`;
  canvas.toBlob((blob) => {
    const url = URL.createObjectURL(blob);
    link.href = url;
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 30_000);
  });
}

const KINDS = {
  look,
  link,
  announce,
  share,
  print,
  picture,
  download: ({ name, mime, text }) => saveFile(name, mime, text),
  step: () => scrollTo({ top: 0 }),
};

/** Do what the dashboard asked; what is not known is left alone. */
export function heed(kind, payload) {
  KINDS[kind]?.(payload);
}
