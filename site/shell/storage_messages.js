// What the storage says, in words, and what can be done about it.

import { saveFile } from "./failure.js";
import { dismiss, notice } from "./notices.js";

const WORDS = {
  memory:
    "This browser does not let Fettle store anything (a private window, perhaps). Your work lasts until you close this page; save it as a file to keep it.",
  full: "This device's storage is full: your last change is not stored. Save it as a file, make room, and change something to store it again.",
  failed: "Your last change could not be stored on this device, which may be full. It will be tried again with the next one; save it as a file to be on the safe side.",
  wiped: "What Fettle had stored was cleared while this page was open. What you see here was still in memory and has been stored again.",
  recovered: "The newest stored version was damaged; the one before it was opened.",
  returned: "This browser had lost its store of Fettle's data; the last copy beside it was opened and is stored again.",
  aside: "Another tab had stored something that this tab did not know of. Both are kept.",
  adding: "Adding its players. They stay where they are until they have been stored with the others.",
  notAdded: "Not all of it could be added or stored, so it stays where it is.",
  asFile: "Look whether the file is there; then the copy on this device can be cleared.",
  othertab: "Fettle was also changed in another tab. What you change here is kept beside it, not over it.",
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
    notice("aside", WORDS.asFile, { actions: [["Clear it here", () => clear(items)]], shut: "Keep it here too" });
  };
  const actions = {
    wiped: () => [],
    recovered: () => [],
    returned: () => [],
    aside: () => [
      ["Add its players here", add],
      ["Save it as a file", save],
    ],
    othertab: () => [["Load what is stored", () => location.reload()]],
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
