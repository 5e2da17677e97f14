// The last screen: what went wrong first, what can be done, and the person's own data to take away.

import { button } from "./notices.js";
import { repair } from "./offline.js";

const line = (tag, text, cls = "") => {
  const item = document.createElement(tag);
  item.textContent = text;
  if (cls) item.className = cls;
  return item;
};

export function showFailure(cause, saved, typed = []) {
  const place = document.getElementById("failure");
  const app = document.getElementById("app");
  app.hidden = true;
  const row = line("div", "", "row");
  row.append(
    button("Try again", () => location.reload(), { main: true }),
    button("Repair and try again", async (event) => {
      event.target.disabled = true;
      event.target.textContent = "Repairing\u2026";
      if (await repair()) return location.reload();
      event.target.textContent = "No signal: try again later";
      event.target.disabled = false;
    }),
  );
  place.replaceChildren(
    line("h1", "Fettle had to stop"),
    line("p", "What went wrong:"),
    line("p", cause, "cause"),
    row,
    line("p", "Repairing deletes the stored copy of the program, never your data, and downloads it again: it needs a signal."),
  );
  if (typed.length) {
    place.append(line("p", "Typed last, and perhaps not saved yet:"));
    for (const text of typed) place.append(line("p", text, "cause"));
  }
  if (saved) {
    const text = line("textarea", "");
    text.readOnly = true;
    text.value = saved;
    text.setAttribute("aria-label", "Your saved data");
    place.append(
      line("p", "Your data are still on this device. To be safe, copy them from here or save them as a file, which can be opened again later."),
      text,
      (() => {
        const last = line("div", "", "row");
        last.append(button("Save as a file", () => saveFile("fettle-saved.json", "application/json", saved)));
        return last;
      })(),
    );
  } else place.append(line("p", "Nothing has been saved on this device yet."));
  place.hidden = false;
  place.focus();
}

export function saveFile(name, mime, text) {
  const url = URL.createObjectURL(new Blob([text], { type: mime }));
  const link = document.createElement("a");
  link.href = url;
  link.download = String(name).replace(/[^\p{L}\p{N} ._-]+/gu, "-").slice(0, 80) || "fettle.txt";
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 30_000);
}
