// A newer version of the program: offered when it is ready, loaded when the person says yes.

import { dismiss, notice } from "./notices.js";

const PATIENCE = 8_000; // [ms] for the old version to let go; a browser may let it finish what it is at for minutes

/** Watches for a change of version; `offer` asks the person about one that waits, `settled` when it is in its place. */
export function updates({ beforeReload }) {
  let first = !navigator.serviceWorker.controller; // until the first version is in charge of this page
  let wanted = false; // the person waits for the new version
  let late = false; // and has been told to go on meanwhile
  let patience;
  const reload = () => beforeReload().then(() => location.reload());
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    clearTimeout(patience);
    if (wanted) return reload();
    if (first) return void (first = false);
    const how = late ? "can be loaded now" : "was started in another tab";
    notice("update", `A new version of Fettle ${how}. This tab keeps the old one until you reload it.`, {
      shut: "Later",
      actions: [["Reload now", reload]],
    });
  });
  const offer = (worker) =>
    notice("update", "A new version of Fettle is ready.", {
      shut: "Later",
      actions: [
        [
          "Use it now",
          () => {
            wanted = true;
            notice("update", "Switching to the new version.", { shut: "" });
            worker.postMessage("take-over");
            patience = setTimeout(() => {
              [wanted, late] = [false, true];
              notice("update", "The current version is still busy. Carry on; you will be told when the update can be loaded.");
            }, PATIENCE);
          },
        ],
      ],
    });
  return { offer, settled: () => wanted && dismiss("update") };
}
