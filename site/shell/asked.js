// What is pressed before the dashboard is there and only it can do: shown as pressed, and done when the dashboard has the page.

import { dismiss, notice } from "./notices.js";
import { deep } from "./page.js";

const LATER = ".menu, [data-early=start]";
const NOW = ".step"; // another wish
let asked = null; // the button

const words = (button) => button.textContent.trim();

function ask(button) {
  asked?.classList.remove("asked");
  asked?.removeAttribute("aria-pressed");
  asked = button;
  dismiss("asked");
  if (!button) return;
  button.classList.add("asked");
  button.setAttribute("aria-pressed", "true");
  notice("asked", `${words(button).replace(/^\d\s+/, "")}: opens as soon as Fettle has loaded.`, { shut: "" });
}

/** Note what is asked for in the first screens; what was asked for last counts, and the same again takes it back. */
export function noteAsked() {
  addEventListener(
    "click",
    (event) => {
      const button = event.target.closest?.("#early button");
      if (!button) return;
      if (button.closest(LATER)) {
        event.stopPropagation();
        ask(button === asked ? null : button);
      } else if (button.closest(NOW)) ask(null);
    },
    true,
  );
}

/** Press the same in the dashboard. */
export function doAsked(app) {
  const button = asked;
  ask(null);
  if (!button) return;
  const same = (item) => item.tagName === "BUTTON" && words(item) === words(button) && item.getClientRects().length;
  [...deep(app)].find(same)?.click();
}
