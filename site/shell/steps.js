// The steps: a press that leads to one shows it at once, and in the browser's history back and forward go from step to
// step, while the fragment stays that of the player.

import { keep, STEP } from "./device.js";

/** The fragment that belongs to what is open, whichever entry of the history is shown. */
let fragment = location.hash;
let visit = history.state?.visit ?? 0; // counts the fragments that somebody put into the address
let settling = false; // whether the address is about to get the present fragment back
let go = null; // what to do on back and forward, once the dashboard listens
let told = "measure"; // the step that it showed until then

const mark = (step) => history.replaceState({ step, visit }, "");

/** Call `turn(step)` for each press of a button that leads to a step, which carries a class such as `to-hit`. */
export function followPresses(turn) {
  const led = (item) => [...(item.classList ?? [])].find((name) => name.startsWith("to-"));
  addEventListener(
    "click",
    (event) => {
      const name = event.composedPath().map(led).find(Boolean);
      if (name) turn(name.slice(3));
    },
    true,
  );
}

/** A step is shown; `back` if the page asked for it, as after the browser's back. */
export function entered(step, back) {
  if (!go) {
    told = step;
    return;
  }
  if (!["players", "methods"].includes(step)) keep(STEP, { step });
  if (!back && history.state?.step !== step) history.pushState({ step, visit }, "");
}

/** The dashboard's own fragment goes into the address, with no new entry. */
export function own(hash) {
  fragment = hash;
  history.replaceState(history.state, "", hash || location.pathname + location.search);
}

/** Whether the address now holds a fragment that somebody put there, which is asked about once. */
export function foreign() {
  if (settling || !location.hash || location.hash === fragment) return false;
  fragment = location.hash;
  return true;
}

/** From now on `show(step)` is called when the person goes back or forward; and at once for `step`, if one is given. */
export function followHistory(show, step) {
  go = show;
  mark(step || told);
  if (step) show(step);
}

addEventListener("popstate", ({ state }) => {
  if (!state?.step) {
    visit++; // another fragment, or an entry from before there were steps
    return;
  }
  if (state.visit === visit) {
    // only the step is another: a fragment from before the last edit must not come back with it
    if (location.hash !== fragment) {
      settling = true;
      setTimeout(() => {
        settling = false; // within the event Chromium would lose the state of the entry
        history.replaceState(state, "", fragment || location.pathname + location.search);
      });
    }
  } else visit = state.visit; // what the address now holds is opened as any other
  go?.(state.step);
});
