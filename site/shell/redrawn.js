// Bokeh draws a field anew when its label changes, with the text that the dashboard knows. Whoever is typing in it keeps
// the focus, the cursor and what was typed since. A list of players drawn anew leaves the focus at the name that had it.

import { focused } from "./typed.js";

const isText = (item) => item?.matches?.("textarea, input:not([type]), input[type=text]");

const nameOf = (item) => item?.dataset?.player && `[data-player="${CSS.escape(item.dataset.player)}"]`;

// the field with the focus, or the name: {input, root, name, typed, text, start, end}; `typed` while the dashboard does not know its text
let at = null;
const watched = new WeakSet();

const look = new MutationObserver(() => {
  if (!at || at.input.isConnected) return;
  const { root, name, typed, text, start, end } = at;
  const input = root.querySelector(name ?? "input, textarea");
  at = null;
  if (!input || !(name || isText(input))) return;
  if (typed) input.value = text;
  input.focus({ preventScroll: true });
  if (typed) input.setSelectionRange(start, end);
  note(typed);
});

/** What the field with the focus holds, and where the cursor stands in it. */
function note(typed) {
  const input = focused();
  const name = nameOf(input);
  if (!name && !isText(input)) return (at = null);
  if (at?.input !== input) at = { input, name, root: input.getRootNode(), typed: false };
  Object.assign(at, { text: input.value, start: input.selectionStart, end: input.selectionEnd, typed: typed ?? at.typed });
  if (watched.has(at.root)) return;
  watched.add(at.root);
  look.observe(at.root, { childList: true, subtree: true });
  // a window does not hear of a focus that moves within one shadow tree; and not at once, for drawing anew takes it away too
  at.root.addEventListener("focusout", ({ target }) => setTimeout(() => at?.input === target && (at = null)));
}

/** Watch over the field that has the focus, wherever it is. */
export function keepTyping() {
  for (const type of ["keydown", "keyup", "click"]) addEventListener(type, () => note(), true);
  addEventListener("input", () => note(true), true);
  addEventListener("change", () => note(false), true);
}
