// What is pressed before the dashboard is there and only it can do: shown as pressed, and done when the dashboard has the page.

import { dismiss, notice } from "./notices.js";
import { deep } from "./page.js";

const LATER = ".menu, .to-layout, .to-build, .to-play, [data-early=start]";
const NOW = ".to-measure, .to-hit"; // another wish
const place = document.getElementById("early");
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
      const here = button.closest(".to-play") && place.querySelector(".card table"); // the card stands in the first screens
      if (button.closest(LATER) && !here) {
        event.stopPropagation();
        ask(button === asked ? null : button);
      } else if (here || button.closest(NOW)) ask(null);
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
