// What the dashboard asks of the page around it (the kinds are listed in app/bridge.py).

import { dismiss, notice } from "./notices.js";
import { saveFile } from "./failure.js";
import { own } from "./steps.js";

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

function link({ hash }) {
  if (/^(#v\d+\.[\w-]+|#player-[\w-]+|)$/.test(hash)) own(hash);
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
    notice("share", "The link has been copied.", { seconds: 6 });
  } catch {
    // not into the address: a link may hold less than what is stored
    notice("share", "Copy this link:", { copy: url });
  }
}

const PAPER = { build: "sheet", play: "pocket" }; // what the browser's own print takes of a step

addEventListener("beforeprint", () => {
  root.dataset.print ??= PAPER[history.state?.step] ?? "";
  const sheet = [...deep(document)].find((item) => item.classList.contains("printed"))?.shadowRoot;
  const head = ["h2", ".facts b"].map((part) => sheet?.querySelector(part)?.textContent ?? "");
  root.style.setProperty("--running", JSON.stringify(head.join(" · "))); // at the foot of each page of the sheet
});
addEventListener("afterprint", () => delete root.dataset.print);

function print({ page }) {
  if (["sheet", "card", "pocket"].includes(page)) root.dataset.print = page;
  requestAnimationFrame(() => globalThis.print());
}

/** All elements of a tree with open shadow roots. */
export function* deep(place) {
  for (const item of place.querySelectorAll("*")) {
    yield item;
    if (item.shadowRoot) yield* deep(item.shadowRoot);
  }
}

/** Save the drawing whose host carries the class `name`: a canvas as PNG, line work as SVG; nothing is asked of a server. */
async function picture({ name, title, png }) {
  const host = [...deep(document)].find((item) => item.classList.contains(name));
  const inside = host ? [host, ...deep(host.shadowRoot ?? host)] : [];
  const canvases = inside.filter((item) => item.tagName === "CANVAS" && item.width > 0);
  const drawing = inside.find((item) => item.tagName.toLowerCase() === "svg");
  const paper = getComputedStyle(root).getPropertyValue("--sheet").trim() || "#fff";
  const blob = canvases.length ? await flatten(canvases, paper) : drawing ? await lineWork(drawing, paper, png) : null;
  if (!blob) return notice("picture", "There is no picture to save yet.", { seconds: 6 });
  const link = document.createElement("a");
  const kind = blob.type === "image/png" ? "png" : "svg";
  link.download = `${String(title).replace(/[^\p{L}\p{N} ._-]+/gu, "-").slice(0, 60) || "picture"}.${kind}`;
  link.href = URL.createObjectURL(blob);
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 30_000);
}

function flatten(canvases, paper) {
  const sheet = document.createElement("canvas");
  [sheet.width, sheet.height] = [canvases[0].width, canvases[0].height];
  const pen = sheet.getContext("2d");
  pen.fillStyle = paper;
  pen.fillRect(0, 0, sheet.width, sheet.height);
  for (const canvas of canvases) pen.drawImage(canvas, 0, 0);
  return new Promise((resolve) => sheet.toBlob(resolve, "image/png"));
}

/** Line work as it is, or as pixels, which a phone keeps among its photographs. */
async function lineWork(drawing, paper, png) {
  const vector = standalone(drawing, paper);
  if (!png) return vector;
  const image = new Image();
  image.src = URL.createObjectURL(vector);
  try {
    await image.decode();
    const sheet = document.createElement("canvas");
    [sheet.width, sheet.height] = [3 * image.naturalWidth, 3 * image.naturalHeight];
    sheet.getContext("2d").drawImage(image, 0, 0, sheet.width, sheet.height);
    return (await new Promise((resolve) => sheet.toBlob(resolve, "image/png"))) ?? vector;
  } catch {
    return vector;
  } finally {
    URL.revokeObjectURL(image.src);
  }
}

function standalone(drawing, paper) {
  const copy = drawing.cloneNode(true);
  const [x, y, width, height] = drawing.getAttribute("viewBox").split(/\s+/);
  for (const [key, value] of Object.entries({ xmlns: "http://www.w3.org/2000/svg", width, height })) copy.setAttribute(key, value);
  const ground = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  for (const [key, value] of Object.entries({ x, y, width, height, fill: paper })) ground.setAttribute(key, value);
  copy.prepend(ground);
  const looks = getComputedStyle(root); // a file of its own has none of the page's variables
  const text = new XMLSerializer().serializeToString(copy);
  const plain = text.replace(/var\((--[\w-]+)\)/g, (all, variable) => looks.getPropertyValue(variable).trim() || "#000");
  return new Blob([plain], { type: "image/svg+xml" });
}

const KINDS = {
  look,
  link,
  announce,
  share,
  print,
  picture,
  download: ({ name, mime, text }) => saveFile(name, mime, text),
  refusal: ({ text }) => (text ? notice("refusal", text, { seconds: 15 }) : dismiss("refusal")),
  done: ({ text, undo }, say) => {
    const back = undo ? [["Undo", () => (dismiss("done"), say("undo", {}))]] : [];
    if (text) notice("done", text, { seconds: 30, actions: back });
    else dismiss("done");
  },
};

/** Do what the dashboard asked; what is not known is left alone. `say(kind, payload)` answers it. */
export function heed(kind, payload, say) {
  KINDS[kind]?.(payload, say);
}
