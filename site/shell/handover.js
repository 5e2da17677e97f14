// From the first screens to the dashboard, when it is there: all that was entered goes over first, and once nothing is on its
// way the dashboard takes the place of what looks like it, with the text that is being typed, the focus and the cursor.

import { deep } from "./page.js";
import { focused } from "./typed.js";

const visible = (item) => item.getClientRects().length > 0;

/** The dashboard's own counterpart of a field or a button of the first screens. */
function twin(item, early, app, entry) {
  if (item === early.field("carry")) return entry.field;
  const all = [...deep(app)].filter(visible);
  if (item.tagName === "INPUT") {
    const word = item.closest(".num").dataset.metric.split(" (")[0];
    const label = all.find(({ tagName, textContent }) => tagName === "LABEL" && textContent.startsWith(word));
    return label?.getRootNode().querySelector("input");
  }
  const words = item.getAttribute("aria-label") ?? item.textContent.trim();
  const said = (one) => one.getAttribute("aria-label") ?? one.textContent.trim();
  const buttons = all.filter(({ tagName }) => tagName === "BUTTON");
  return buttons.find((one) => said(one) === words) ?? buttons.find((one) => said(one).startsWith(`${words} `));
}

/** Put a text that is being typed into the dashboard's field; leaving it counts, as it would have where it was typed. */
function goOn(field, value, [start, end]) {
  field.value = value;
  field.dispatchEvent(new Event("input", { bubbles: true, composed: true }));
  field.setSelectionRange(start, end);
  let told = false;
  const tell = () => {
    if (!told && field.isConnected) field.dispatchEvent(new Event("change", { bubbles: true }));
    told = true;
  };
  field.addEventListener("change", () => (told = true), { once: true });
  field.addEventListener("blur", tell, { once: true });
  field.addEventListener("keydown", ({ key }) => key === "Enter" && setTimeout(tell));
}

/** `done()` is called when the dashboard has the page; `early` is null where there was nothing before it. */
export async function handOver({ early, journal, dashboard, entry, app, done }) {
  if (!early) return done();
  await early.claimed;
  const show = () => {
    const at = early.place.contains(document.activeElement) ? document.activeElement : null;
    const selection = at?.tagName === "INPUT" ? [at.selectionStart, at.selectionEnd] : null;
    const drafts = { ...early.log.drafts };
    const reads = early.step === "play" && (early.touched || scrollY > 0); // who does not, sees all of Play from its top
    const top = reads ? early.part.card.firstChild.getBoundingClientRect().top : null;
    const scrolled = early.part.clubs.firstChild.scrollLeft;
    early.over = true; // what leaves a field from here on has gone over
    delete document.documentElement.dataset.early;
    app.inert = false;
    const to = at && twin(at, early, app, entry);
    to?.focus({ preventScroll: true });
    for (const name of ["height", "wingspan", "carry"]) {
      const [from, draft] = [early.field(name), drafts[name]];
      const mine = from === at;
      const field = mine ? to : draft && twin(from, early, app, entry);
      if (!field) continue;
      if (name === "carry" && draft) entry.bring(draft, early.other);
      else if (draft !== undefined) goOn(field, draft, mine ? selection : [draft.length, draft.length]);
      if (mine) field.setSelectionRange(...selection);
    }
    const strip = [...deep(app)].find((item) => item.shadowRoot && item.classList.contains("strip"));
    if (strip) strip.shadowRoot.querySelector(".bk-btn-group").scrollLeft = scrolled;
    early.end();
    dashboard.settle = null;
    done();
    const card = top !== null && [...deep(app)].find((item) => item.shadowRoot && item.classList.contains("card"));
    if (card && visible(card)) scrollBy({ top: card.getBoundingClientRect().top - top, behavior: "instant" });
    if (to && focused() !== to) to.focus({ preventScroll: true });
  };
  const next = () => {
    if (early.held) return;
    early.commit({ but: document.activeElement });
    const messages = journal.take();
    if (messages.length) early.draw();
    for (const message of messages) dashboard.say("early", message);
    const { wanted } = early;
    if (wanted && wanted !== (dashboard.step || "measure")) {
      if (going !== wanted) dashboard.say("go", { step: wanted });
      going = wanted;
    }
    if (!messages.length && !dashboard.busy && !dashboard.waiting.length) show();
  };
  let going = "";
  early.free = dashboard.settle = next;
  next();
}
