// What only the page can do with a shot: an arrow for the wind that a thumb turns, the height of a target by the phone's own
// tilt, asked for by a tap, and a tap on the picture of where balls came down. All are handed to the dashboard as messages.

const STEP = 15; // [deg] to which the arrow snaps
const STEADY = 1500; // [ms] for which the phone is held along the line

const within = (event, name) => event.composedPath().find((item) => item.classList?.contains(name));

function followArrow(say) {
  let held = null; // the arrow may be drawn anew while it is held
  const drawn = (host) => host?.shadowRoot?.querySelector("svg g");
  const angle = (event) => {
    const box = drawn(held.host).ownerSVGElement.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left - box.width / 2, event.clientY - box.top - box.height / 2];
    return (Math.atan2(x, -y) * 180) / Math.PI;
  };
  const turn = (degrees) => drawn(held.host).setAttribute("transform", `rotate(${degrees} 24 24)`);
  addEventListener("pointerdown", (event) => {
    const host = within(event, "arrow");
    if (!drawn(host)) return;
    held = { host, was: Number(/-?[\d.]+/.exec(drawn(host).getAttribute("transform"))?.[0] ?? 0) };
    held.began = angle(event);
    held.now = held.was;
  });
  addEventListener("pointermove", (event) => {
    if (!held) return;
    const degrees = Math.round((held.was + angle(event) - held.began) / STEP) * STEP;
    turn((held.now = ((degrees % 360) + 360) % 360));
  });
  addEventListener("pointerup", () => {
    if (held && held.now !== held.was) say("turned", { degrees: held.now });
    held = null;
  });
  addEventListener("pointercancel", () => {
    if (held) turn(held.was);
    held = null;
  });
}

function followTilt(say) {
  addEventListener("click", async (event) => {
    if (!within(event, "tilt")) return;
    const seen = [];
    const note = ({ beta }) => beta !== null && seen.push(beta);
    try {
      await globalThis.DeviceOrientationEvent?.requestPermission?.();
    } catch {
      // refused: nothing is seen below
    }
    addEventListener("deviceorientation", note);
    await new Promise((after) => setTimeout(after, STEADY));
    removeEventListener("deviceorientation", note);
    seen.sort((a, b) => a - b);
    say("tilted", { degrees: seen[seen.length >> 1] ?? null });
  });
}

/** A tap on the picture of the landing says how far across it was, from -1 at its left edge to 1 at its right. */
function followLanding(say) {
  addEventListener("click", (event) => {
    const drawn = within(event, "landing")?.shadowRoot.querySelector("svg");
    if (!drawn || !event.composedPath().includes(drawn)) return;
    const box = drawn.getBoundingClientRect();
    say("landed", { across: (2 * (event.clientX - box.left)) / box.width - 1 });
  });
}

export function followShot(say) {
  followArrow(say);
  followLanding(say);
  followTilt(say);
}
