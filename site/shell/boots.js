// Which way to start: from the memory image or plainly, and what is remembered of it.
//
// The image is the first choice; where it once failed, this version starts plainly from then on. `?start=plain` and
// `?start=image` force one way, for support and tests. On a slow first visit the plain way has less to fetch.

const KEY = "fettle-start";
const SLOW = 6; // [Mbit/s] below this a first visit starts plainly
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

/** [Mbit/s], by the browser's own hint or else by how fast this page itself came; not known for a page from a cache. */
function speed() {
  const hint = navigator.connection?.downlink;
  if (hint > 0) return hint;
  const page = performance.getEntriesByType("navigation")[0];
  const took = page ? page.responseEnd - page.responseStart : 0;
  return page?.encodedBodySize > 10_000 && took > 20 ? (page.encodedBodySize * 8e-3) / took : Infinity;
}

/** {way: "image" or "plain", why} for this start. */
export function chooseWay({ first = "image" } = {}) {
  const asked = new URL(location.href).searchParams.get("start");
  if (asked === "plain" || asked === "image") return { way: asked, why: "asked for" };
  if (first === "plain") return { way: "plain", why: "" };
  if (kept().failed) return { way: "plain", why: "failed", cause: kept().failed };
  if (navigator.deviceMemory < LITTLE) return { way: "plain", why: "memory" };
  if (!navigator.serviceWorker?.controller && speed() < SLOW) return { way: "plain", why: "slow" };
  return { way: "image", why: "" };
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
