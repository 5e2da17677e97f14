// node pyodide.mjs PYODIDE_DIR SCRIPT.py name=folder ...: run a Python script in Pyodide with folders mounted as /name.
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

globalThis.XMLHttpRequest ??= class {}; // panel.io.pyodide looks for it
const [, , home, script, ...mounts] = process.argv;
const { loadPyodide } = await import(pathToFileURL(path.join(path.resolve(home), "pyodide.mjs")).href);
const python = await loadPyodide({
  indexURL: path.resolve(home) + path.sep,
  env: {
    HOME: "/home/pyodide",
    PANEL_CDN_ROOT: "./runtime/panel/",
    PYTHONHASHSEED: "0",
    PYTHONNODEBUGRANGES: "1",
    BOKEH_SIMPLE_IDS: "yes",
  },
});
for (const mount of mounts) {
  const [name, folder] = mount.split("=");
  python.FS.mkdirTree("/" + name);
  python.FS.mount(python.FS.filesystems.NODEFS, { root: path.resolve(folder) }, "/" + name);
}
try {
  await python.runPythonAsync(fs.readFileSync(script, "utf8"));
} catch (error) {
  console.error(String(error));
  process.exit(1);
}
process.exit(0);
