// What the page says around the dashboard: state of the start, notices, and the failure screen. Only textContent is set.

const at = (id) => document.getElementById(id);
const STAGES = {
  fetching: ["Fetching the app …", 5],
  unpacking: ["Unpacking …", 60],
  starting: ["Starting …", 75],
  drawing: ["Drawing …", 95],
};
const EXPECTED_BYTES = 9e6; // of the two archives; only for the bar

let failed = false;

export function stage(name) {
  if (failed) return;
  const [text, share] = STAGES[name];
  at("status-text").textContent = text;
  at("progress").value = share;
}

export function bytes(count) {
  if (!failed) at("progress").value = 5 + 55 * Math.min(1, count / EXPECTED_BYTES);
}

export function ready() {
  at("status").hidden = true;
  at("page").inert = false;
  document.documentElement.dataset.state = "ready";
}

// The end of the road: the first cause stays, whatever follows.
export function fail(cause, { retry, repair, saved }) {
  if (failed) return;
  failed = true;
  document.documentElement.dataset.state = "failed";
  at("status").hidden = true;
  at("page").hidden = true;
  at("failure").hidden = false;
  at("failure-cause").textContent = cause;
  at("saved-text").value = saved ?? "";
  at("retry").onclick = retry;
  at("repair").onclick = repair;
}

export function say(text) {
  at("said").textContent = "";
  requestAnimationFrame(() => { at("said").textContent = text; });
}

// A notice with buttons, [label, action] each; it goes when one is pressed, or by itself after `seconds`.
export function notice(text, buttons = [["Good", () => {}]], seconds = 0) {
  const box = document.createElement("div");
  box.setAttribute("role", "status");
  const words = document.createElement("span");
  words.textContent = text;
  box.append(words);
  for (const [label, action] of buttons) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = label;
    button.onclick = () => {
      box.remove();
      action();
    };
    box.append(button);
  }
  at("notices").append(box);
  if (seconds) setTimeout(() => box.remove(), seconds * 1000);
}
