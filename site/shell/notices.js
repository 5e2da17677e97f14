// Short messages over the page, each at most once, with buttons; text only, never markup.

const place = () => document.getElementById("notices");
const shown = new Map();

export function button(label, action, { main = false } = {}) {
  const item = document.createElement("button");
  item.type = "button";
  item.className = main ? "shell-button main" : "shell-button";
  item.textContent = label;
  item.addEventListener("click", action);
  return item;
}

function field(label, value) {
  const item = document.createElement("input");
  item.readOnly = true;
  item.value = value;
  item.setAttribute("aria-label", label);
  item.addEventListener("focus", () => item.select());
  return item;
}

/**
 * Show `text` under the name `id`, replacing what that name showed before; `seconds` 0 keeps it until it is shut, `copy` is
 * a text to be copied by hand.
 */
export function notice(id, text, { actions = [], seconds = 0, shut = "Close", copy = "" } = {}) {
  dismiss(id);
  const box = document.createElement("div");
  box.className = "shell-note";
  box.dataset.notice = id;
  const words = document.createElement("span");
  words.setAttribute("role", "status");
  box.append(words);
  if (copy) box.append(field(text, copy));
  for (const [label, action] of actions) box.append(button(label, action, { main: true }));
  if (shut) box.append(button(shut, () => dismiss(id)));
  place().append(box);
  words.textContent = text; // after the region is in the page, so that it is spoken
  shown.set(id, box);
  if (seconds > 0) setTimeout(() => shown.get(id) === box && dismiss(id), seconds * 1000);
}

export function dismiss(id) {
  shown.get(id)?.remove();
  shown.delete(id);
}
