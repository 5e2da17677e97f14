// Python's own thread: fetches, starts and feeds the dashboard. Talks to boot.js in messages {type, ...}.
import { loadPyodide } from "./runtime/pyodide.mjs";

const base = new URL("./", self.location).href;
const say = (type, more = {}) => self.postMessage({ type, ...more });
let python, glue;
let bytes = 0;

async function archive(name) {
  const response = await fetch(base + name);
  if (!response.ok) throw new Error(`${name} could not be fetched (${response.status})`);
  const counter = new TransformStream({
    transform(chunk, controller) {
      bytes += chunk.byteLength;
      say("bytes", { bytes });
      controller.enqueue(chunk);
    },
  });
  const plain = response.body.pipeThrough(counter).pipeThrough(new DecompressionStream("gzip"));
  return new Response(plain).arrayBuffer();
}

async function start(boot) {
  const archives = [archive("runtime/boot.tar.gz"), archive("app/app.tar.gz")];
  archives.forEach((a) => a.catch(() => {}));
  say("stage", { stage: "fetching" });
  python = await loadPyodide({
    indexURL: base + "runtime/",
    env: {
      HOME: "/home/pyodide",
      PANEL_CDN_ROOT: "./runtime/panel/",
      PYTHONOPTIMIZE: "1",
      PYTHONDONTWRITEBYTECODE: "1",
    },
  });
  say("stage", { stage: "unpacking" });
  python.FS.mkdirTree("/lib/fettle");
  for (const part of archives) python.unpackArchive(await part, "tar", { extractDir: "/lib/fettle" });
  say("stage", { stage: "starting" });
  glue = python.runPython(`
import sys
sys.path.insert(1, "/lib/fettle")
from app import worker
worker
`);
  const settings = python.toPy(boot);
  const made = await glue.start(settings, (type, text) => say(type, { text }));
  settings.destroy();
  say("document", { text: made });
}

const inbox = [];
let working = false;
async function work() {
  if (working) return;
  working = true;
  while (inbox.length) {
    const message = inbox.shift();
    try {
      if (message.type === "start") await start(message.boot);
      else if (message.type === "drawn") {
        glue.link();
        say("ready");
        setTimeout(() => later().catch(() => {}), 2500);
      } else if (message.type === "patch") await glue.apply(message.text);
      else if (message.type === "page") await glue.receive(message.kind, JSON.stringify(message.payload ?? {}));
    } catch (error) {
      const text = String(error?.message ?? error);
      say(message.type === "start" || message.type === "drawn" ? "failed" : "error", { text });
    }
    // Only now may the page send its next change.
    if (message.type === "patch") say("idle");
  }
  working = false;
}

async function later() {
  const rest = await archive("runtime/rest.tar.gz");
  python.unpackArchive(rest, "tar", { extractDir: "/lib/fettle" });
  python.runPython("import importlib; importlib.invalidate_caches()");
  say("complete");
}

self.onmessage = (event) => {
  inbox.push(event.data);
  work();
};
