// What the storage says, in words, and what can be done about it.

import { saveFile } from "./failure.js";
import { dismiss, notice } from "./notices.js";

const WORDS = {
  memory:
    "This browser does not let Fettle store anything (perhaps this is a private window). Your work lasts until you close this page; save it as a file to keep it.",
  full: "This device's storage is full: your last change is not saved. Save it as a file, free some space, and make a change to try again.",
  failed: "Your last change could not be saved on this device, which may be full. Fettle tries again at the next change; save it as a file to be safe.",
  wiped: "Fettle's saved data were cleared while this page was open. What you see here was still in memory and has been saved again.",
  recovered: "The latest save was damaged; the one before it was opened.",
  returned: "This browser lost Fettle's saved data. The backup copy has been restored.",
  aside: "Another tab saved changes that this tab did not have. Both versions are kept.",
  adding: "Adding the players from that tab. Their copy stays until they are saved with the others.",
  notAdded: "Not everything could be added or saved, so the copy is kept.",
  asFile: "Check that the file is there; then the copy on this device can be deleted.",
  othertab: "Fettle was also changed in another tab. Changes you make here are kept separately and overwrite nothing.",
};

const file = (text) => saveFile("fettle.json", "application/json", text);

/**
 * What to do when the storage says something; `take(text)` adds the players of a text to those shown and tells whether all
 * of them are there and stored.
 */
export function storageWords(storage, { take }) {
  // what was set aside is cleared only when it is safe elsewhere
  const clear = async (items) => {
    dismiss("aside");
    await storage().settleAside(items.map((item) => item.id));
  };
  const add = async () => {
    notice("aside", WORDS.adding, { shut: "" });
    const items = await storage().aside();
    const safe = [];
    for (const item of items) if (item.text === null || (await take(item.text))) safe.push(item);
    await storage().settleAside(safe.map((item) => item.id));
    if (safe.length < items.length) notice("aside", WORDS.notAdded, { actions: actions.aside() });
    else dismiss("aside");
  };
  const save = async () => {
    const items = await storage().aside();
    for (const { text } of items) if (text !== null) file(text);
    notice("aside", WORDS.asFile, { actions: [["Delete the copy", () => clear(items)]], shut: "Keep the copy" });
  };
  const actions = {
    wiped: () => [],
    recovered: () => [],
    returned: () => [],
    aside: () => [
      ["Add its players here", add],
      ["Save it as a file", save],
    ],
    othertab: () => [["Load what is saved", () => location.reload()]],
  };
  const own = () => (storage().text ? [["Save as a file", () => file(storage().text)]] : []);
  return (what, detail) => {
    if (what === "saved") {
      document.documentElement.dataset.saved = detail;
      for (const name of ["memory", "full", "failed"]) dismiss(name);
    } else if (what in WORDS && !(what === "othertab" && detail === "open"))
      notice(what, WORDS[what], { actions: (actions[what] ?? own)() });
  };
}
