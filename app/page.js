// What a page must do for the dashboard beyond carrying it: names, roles and phone keyboards that the widget library
// leaves out. Widgets live in shadow roots, so everything here walks through them. No network, no state.
//
// The page calls install(document) once, after the dashboard has been put in.

export function* deep(root) {
  const seen = root.querySelectorAll ? root.querySelectorAll("*") : [];
  for (const el of seen) {
    yield el;
    if (el.shadowRoot) yield* deep(el.shadowRoot);
  }
}

function set(el, name, value) {
  if (value == null) {
    if (el.hasAttribute(name)) el.removeAttribute(name);
  } else if (el.getAttribute(name) !== value) el.setAttribute(name, value);
}

const shown = new WeakMap(); // strips of chips: the chosen one that was brought into view
const away = new WeakSet(); // parts that come into view when they are shown, and are not

function mend(host) {
  const root = host.shadowRoot;
  if (!root) return;
  const is = (name) => host.classList.contains(name);
  if (is("num")) {
    const input = root.querySelector("input");
    if (input) {
      set(input, "inputmode", is("free") ? "text" : "decimal");
      set(input, "autocomplete", "off");
      set(input, "enterkeyhint", "done");
      set(input, "aria-invalid", is("bad") ? "true" : null);
    }
  }
  const button = root.querySelector("button.bk-btn");
  if (button && (is("fold") || is("menu"))) set(button, "aria-expanded", is("open") ? "true" : "false");
  if (is("menu")) set(host.ownerDocument.documentElement, "data-menu", is("open") ? "" : null);
  if (button && is("step")) set(button, "aria-current", is("here") ? "step" : null);
  if (button && is("back")) set(button, "aria-label", "delete last digit");
  if (button && is("less")) set(button, "aria-label", "one step less");
  if (button && is("more")) set(button, "aria-label", "one step more");
  if (button && is("tap")) {
    const title = host.parentNode?.querySelector(".num")?.shadowRoot?.querySelector("label")?.textContent ?? "";
    const [, what, unit] = /^\s*(\S*).*?(?:\(([^()]*)\))?\s*$/.exec(title);
    const by = button.textContent.trim();
    if (what) set(button, "aria-label", `${what} ${by[0] === "+" ? "plus" : "minus"} ${by.slice(1)} ${unit ?? ""}`.trim());
  }
  if (is("group")) {
    const group = root.querySelector(".bk-btn-group");
    if (group) set(group, "role", "group");
    for (const item of root.querySelectorAll("button.bk-btn"))
      set(item, "aria-pressed", item.classList.contains("bk-active") ? "true" : "false");
  }
  if (is("strip")) {
    const strip = root.querySelector(".bk-btn-group");
    const chosen = root.querySelector(".bk-active");
    const was = shown.get(host);
    if (!strip?.clientWidth) shown.delete(host); // out of sight it loses its place
    else if (chosen && (was?.chosen !== chosen || was.text !== chosen.textContent)) {
      shown.set(host, { chosen, text: chosen.textContent });
      strip.scrollLeft = chosen.offsetLeft - (strip.clientWidth - chosen.offsetWidth) / 2;
    }
  }
  if (is("comes")) {
    if (away.has(host) && !is("off")) host.scrollIntoView({ block: "nearest" });
    if (is("off")) away.add(host);
    else away.delete(host);
  }
  const handle = root.querySelector(".noUi-handle");
  if (handle) {
    const title = root.querySelector(".bk-slider-title");
    set(handle, "aria-label", title ? title.textContent.replace(/:?\s*[\d.,\u2212-]+\s*$/, "") : "value");
    if (title) set(handle, "aria-valuetext", title.textContent);
  }
  const file = root.querySelector("input[type=file]");
  if (file) set(file, "aria-label", is("import") ? "Case file" : "CSV file");
  if (is("content")) {
    const main = host.ownerDocument.querySelector("main,[role=main]");
    if (!main) set(host, "role", "main");
  }
  if (is("steps")) {
    set(host, "role", "navigation");
    set(host, "aria-label", "Steps");
  }
  if (is("figure")) {
    const canvas = host;
    set(canvas, "role", "img");
    const said = host.getAttribute("data-said") || "Plot; the text and the table beside it say the same";
    set(canvas, "aria-label", said);
  }
}

export function install(doc) {
  let waiting = false;
  const watched = new WeakSet();
  const pass = () => {
    waiting = false;
    for (const el of deep(doc)) {
      if (!el.shadowRoot) continue;
      if (!watched.has(el.shadowRoot)) {
        watched.add(el.shadowRoot);
        watcher.observe(el.shadowRoot, options);
      }
      mend(el);
    }
  };
  const soon = () => {
    if (!waiting) {
      waiting = true;
      requestAnimationFrame(pass);
    }
  };
  const options = { childList: true, subtree: true, attributes: true, attributeFilter: ["class"] };
  const watcher = new MutationObserver(soon);
  watcher.observe(doc.documentElement, options);
  soon();
  return () => watcher.disconnect();
}
