// Which way to start: from the memory image or plainly, and what is remembered of it.
//
// The image is the first choice; where it once failed, this version starts plainly from then on. `?start=plain` and
// `?start=image` force one way, for support and tests. On a slow first visit the plain way has less to fetch: the browser's
// own hint says so, or the first seconds of fetching.

const KEY = "fettle-start";
const SLOW = 6; // [Mbit/s] below this a first visit starts plainly: 8 MB less to fetch outweigh 10 s of work on a slow phone
const LOOK = 2; // [s] after the first bytes, when the speed is looked at, once
const LITTLE = 1; // [GB] with less memory than this, plainly
const WORDS = {
  image: "from a memory image",
  plain: "plainly",
  "asked for": "asked for in the address",
  failed: "the memory image did not work in this browser with this version",
  slow: "the first visit on a slow connection",
  memory: "this device has little memory",
};

const version = () => document.documentElement.dataset.image;

function kept() {
  try {
    const found = JSON.parse(localStorage.getItem(KEY) || "{}");
    return found?.version === version() ? found : {};
  } catch {
    return {};
  }
}

const firstVisit = () => !navigator.serviceWorker?.controller;

/** {way: "image" or "plain", why} for this start. */
export function chooseWay() {
  const asked = new URL(location.href).searchParams.get("start");
  if (asked === "plain" || asked === "image") return { way: asked, why: "asked for" };
  if (kept().failed) return { way: "plain", why: "failed", cause: kept().failed };
  if (navigator.deviceMemory < LITTLE) return { way: "plain", why: "memory" };
  if (firstVisit() && /2g|3g/.test(navigator.connection?.effectiveType)) return { way: "plain", why: "slow" };
  return { way: "image", why: "" };
}

let first = null; // [ms, bytes] of the first sign of life
let looked = false;
/** Asked with each sign of life while bytes come in, of which there are `loaded` now: whether the plain way would be quicker. */
export function isTooSlow({ way, why }, loaded) {
  first ??= [performance.now(), loaded];
  const seconds = (performance.now() - first[0]) / 1000;
  if (looked || way !== "image" || why || !firstVisit() || seconds < LOOK) return false;
  looked = true;
  return ((loaded - first[1]) * 8e-6) / seconds < SLOW;
}

/** This version starts plainly from now on. */
export function rememberFailure(cause) {
  try {
    localStorage.setItem(KEY, JSON.stringify({ version: version(), failed: String(cause).slice(0, 300) }));
  } catch {
    // no storage: it will be tried again next time
  }
}

/** The cause is mended: the image may be tried again. */
export function forgetFailure() {
  try {
    localStorage.removeItem(KEY);
  } catch {
    // nothing was kept either
  }
}

/** How this start was made, for the page on methods. */
export function inWords({ way, why, cause }) {
  const reason = WORDS[why] ? ` (${WORDS[why]}${cause ? `: ${cause}` : ""})` : "";
  return `Started ${WORDS[way]}${reason}.`;
}
