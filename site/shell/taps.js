// The buttons for less and more beside a number or a slider: the page changes the number at once, and the dashboard hears of
// the new one as if it had been typed or slid. Where there is no number to change yet, the press goes to the dashboard.

const LIMITS = /^from(-?\d+)to(-?\d+)$/;

const minus = (text) => Number(text.trim().replace("\u2212", "-").replace(",", ".") || NaN);

/** The number in a field, changed by what the button says; whether it could be. */
function count(steps, by) {
  const host = [...steps.shadowRoot.children].find(({ classList }) => classList.contains("num"));
  const field = host?.shadowRoot.querySelector("input");
  const limits = [...(host?.classList ?? [])].map((name) => LIMITS.exec(name)).find(Boolean);
  const now = minus(field?.value ?? "");
  if (!limits || !Number.isFinite(now + by)) return false;
  field.value = Math.min(Math.max(Math.round((now + by) * 1e3) / 1e3, limits[1]), limits[2]);
  for (const type of ["input", "change"]) field.dispatchEvent(new Event(type, { bubbles: true, composed: true }));
  return true;
}

/** A slider moved by a step, as its own keys move it; whether it could be. */
function slide(pair, more) {
  const handles = [...pair.shadowRoot.children].map((item) => item.shadowRoot?.querySelector(".noUi-handle"));
  const handle = !pair.classList.contains("unset") && handles.find(Boolean);
  return Boolean(handle && !handle.dispatchEvent(new KeyboardEvent("keydown", { key: more ? "ArrowRight" : "ArrowLeft", cancelable: true })));
}

export function followTaps() {
  addEventListener(
    "click",
    (event) => {
      const path = event.composedPath();
      const host = (name) => path.find((item) => item.classList?.contains(name));
      const [steps, pair] = host("tap") ? [host("steps")] : [null, host("square") && host("pair")];
      if (steps?.shadowRoot ? count(steps, minus(path[0].textContent)) : pair?.shadowRoot && slide(pair, host("more"))) event.stopPropagation();
    },
    true,
  );
}
