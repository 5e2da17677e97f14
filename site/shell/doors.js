// What the dashboard asks of the page: save, link, files, print, share, looks. See app/bridge.py for the list.
import { notice, say } from "./screen.js";
import * as storage from "../storage.js";

let lastTrouble = "";
let kept = false;
let writing = Promise.resolve();

const root = document.documentElement;

export const doors = {
  save({ text }) {
    // One write after the other, so that an older save never ends after a newer one.
    writing = writing.then(async () => {
      const trouble = await storage.write(text);
      root.dataset.saved = String(Number(root.dataset.saved ?? 0) + 1);
      if (trouble && trouble !== lastTrouble) notice(trouble);
      lastTrouble = trouble;
      if (!trouble && !kept) {
        kept = true;
        storage.keepForLong();
      }
    });
  },
  link({ hash }) {
    history.replaceState(null, "", hash || location.pathname + location.search);
  },
  download({ name, mime, text }) {
    const url = URL.createObjectURL(new Blob([text], { type: mime }));
    const link = document.createElement("a");
    link.href = url;
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 10_000);
  },
  print({ page }) {
    root.dataset.print = page;
    requestAnimationFrame(() => requestAnimationFrame(() => {
      print();
      delete root.dataset.print;
    }));
  },
  async share({ title, hash }) {
    const url = new URL(hash, location.href.split("#")[0]).href;
    try {
      if (navigator.share) await navigator.share({ title, url });
      else {
        await navigator.clipboard.writeText(url);
        notice("The link is on the clipboard.", undefined, 6);
      }
    } catch (error) {
      if (error?.name !== "AbortError") notice("The link could not be shared; copy it from the address bar.");
    }
  },
  announce({ text }) {
    say(text);
  },
  look({ theme, contrast, size }) {
    for (const [name, value] of Object.entries({ theme, contrast, size })) {
      if (!value || value === "auto" || value === "normal") delete root.dataset[name];
      else root.dataset[name] = value;
    }
    try {
      localStorage.setItem("fettle-look", JSON.stringify({ theme, contrast, size }));
    } catch {
      // looks are kept with the players as well
    }
  },
  step({ step }) {
    root.dataset.step = step;
    scrollTo(0, 0);
  },
  picture({ name, title }) {
    savePicture(name, title);
  },
};

// The drawing with this CSS class, through any shadow roots, as a PNG file (canvas) or an SVG file.
function savePicture(name, title) {
  const box = find(document.body, (e) => e.classList?.contains(name));
  const canvas = box && find(box, (e) => e.tagName === "CANVAS" && e.width > 50);
  const drawing = box && find(box, (e) => e.tagName?.toLowerCase() === "svg");
  const file = (blob, ending) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = `${(title || name).replace(/[^\w -]+/g, "").trim() || "picture"}.${ending}`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  };
  if (canvas) canvas.toBlob((blob) => blob && file(blob, "png"));
  else if (drawing) file(new Blob([new XMLSerializer().serializeToString(drawing)], { type: "image/svg+xml" }), "svg");
  else notice("There is no drawing to save here yet.", undefined, 6);
}

function find(node, wanted) {
  if (wanted(node)) return node;
  for (const child of [...(node.shadowRoot?.children ?? []), ...(node.children ?? [])]) {
    const found = find(child, wanted);
    if (found) return found;
  }
  return null;
}
