// Launches the worker. Where all files are on the device this is done before anything else of the page, since then it takes
// nothing from the first screens; what the worker says until somebody listens is held.

import { chooseWay, remember, rememberFailure, STARTING } from "./start_mode.js";

/** A worker that starts `way`; `heard` are the events that came before `listen`. */
export function launch(way) {
  const worker = new Worker("./worker.mjs", { type: "module", name: way });
  worker.heard = [];
  for (const kind of ["message", "error", "messageerror"]) worker[`on${kind}`] = (event) => worker.heard.push(event);
  return worker;
}

/** Hear `worker` by `on`, {message, error, messageerror}, from its beginning. */
export function listen(worker, on) {
  for (const kind in on) worker[`on${kind}`] = on[kind];
  for (const event of worker.heard.splice(0)) on[event.type](event);
}

const died = remember(STARTING);
if (died === "image") rememberFailure("Fettle did not finish loading last time");
const boot = chooseWay();
remember(STARTING, boot.way);

/** The way of this start, the way in which the last one in this tab died, and the worker if it was launched at once. */
export const first = { boot, died, worker: navigator.serviceWorker?.controller ? launch(boot.way) : null };
