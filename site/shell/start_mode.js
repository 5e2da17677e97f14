// Which way to start: from the memory image or plainly, and what is remembered of it.
//
// The image is the first choice; where it once failed, this version starts plainly from then on. `?start=plain` and
// `?start=image` force one way, for support and tests. On a slow first visit the plain way has less to fetch: the browser's
// own hint says so, or the worker finds it out by the first that it fetches, which both ways need.

const KEY = "fettle-start";
const LITTLE = 1; // [GB] with less memory than this, plainly
const WORDS = {
  image: "from a memory image",
  plain: "the plain way",
  "asked for": "as the address asked for",
  failed: "the memory image did not work in this browser with this version",
  later: "the memory image was not to be had",
  slow: "first visit on a slow connection",
  memory: "little memory on this device",
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

export const STARTING = "fettle-starting"; // stands while a start is under way; found at the next start, the last one died

/** What this tab remembers under `key`; `value` takes its place, null forgets it. */
export function remember(key, value) {
  try {
    const was = sessionStorage.getItem(key);
    if (value === null) sessionStorage.removeItem(key);
    else if (value !== undefined) sessionStorage.setItem(key, value);
    return was;
  } catch {
    return null;
  }
}

const firstVisit = () => !navigator.serviceWorker?.controller;

/** {way: "image", "plain", or on a first visit "either", why} for this start. */
export function chooseWay() {
  const asked = new URL(location.href).searchParams.get("start");
  if (asked === "plain" || asked === "image") return { way: asked, why: "asked for" };
  if (kept().failed) return { way: "plain", why: "failed", cause: kept().failed };
  if (navigator.deviceMemory < LITTLE) return { way: "plain", why: "memory" };
  if (firstVisit() && /2g|3g/.test(navigator.connection?.effectiveType)) return { way: "plain", why: "slow" };
  return { way: firstVisit() ? "either" : "image", why: "" };
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
