"""The yardstick: Panel's own conversion of the same app (`pyodide-worker`), made to run from one folder without a network.

What is changed, each time in the conversion's favour or because this Pyodide asks for it: a module worker, since there are
no classic ones any more; local files for those of content delivery networks; wheels named one by one and no resolver
asked; none of the packages that the app can do without, such as pandas; Panel without its bundles of scripts.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterable
from pathlib import Path

import lock
from archives import PANEL_STYLES
from console import BuildError, step
from site_packages import PURE

SCRIPT = """from app.main import make_document

for root in make_document({"hash": "", "saved": None}):
    root.servable()
"""
CONVERT = """import sys
from pathlib import Path
from panel.io.convert import script_to_html
page, worker = script_to_html(sys.argv[1], requirements=["numpy", "scipy"], runtime="pyodide-worker", prerender=False)
Path(sys.argv[2], "index.html").write_text(page, encoding="utf-8")
Path(sys.argv[2], "convert.js").write_text(worker, encoding="utf-8")
"""


def make(root: Path, home: Path) -> None:
    """Build it into `home`, unless it stands there already for this app and these pins."""
    digest = hashlib.sha256(Path(__file__).read_bytes() + (root / lock.NAME).read_bytes())
    own = sorted(p for name in ("app", "engine") for p in (root / name).rglob("*.py"))
    for path in own:
        digest.update(path.read_bytes())
    mark = home / "made"
    if mark.exists() and mark.read_text() == digest.hexdigest():
        return
    step("making the stock conversion")
    shutil.rmtree(home, ignore_errors=True)
    (home / "wheels").mkdir(parents=True)
    script = root / ".cache" / "stock.py"
    script.write_text(SCRIPT, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", CONVERT, str(script), str(home)],
        cwd=root,
        capture_output=True,
        text=True,
        env={"PYTHONPATH": str(root), "PATH": "", "HOME": str(home)},
    )
    if done.returncode != 0:
        raise BuildError(f"Panel's conversion failed:\n{done.stderr[-2000:]}")
    wheels = [_wheel(home / "wheels", "fettle", "0.1", root, own)]
    for distribution, names in PURE.items():
        site = Path(str(importlib.metadata.distribution(distribution).locate_file("")))
        files = [p for name in names for p in _files(site / name)]
        wheels.append(
            _wheel(
                home / "wheels",
                distribution.replace("-", "_"),
                importlib.metadata.version(distribution),
                site,
                files,
            )
        )
    for wheel in lock.read(root)["web"]["wheels"]:
        shutil.copy(root / ".cache" / "pyodide" / wheel, home / "wheels" / wheel)
        wheels.append(wheel)
    shutil.copytree(root / ".cache" / "pyodide", home / "pyodide", ignore=shutil.ignore_patterns("*.whl"))
    _scripts(home)
    _page(home)
    _worker(home, wheels)
    mark.write_text(digest.hexdigest())


def _files(place: Path) -> Iterable[Path]:
    if place.is_file():
        return [place]
    inside = (p for p in sorted(place.rglob("*")) if p.is_file())
    return [
        p for p in inside if not {"__pycache__", "dist", "node_modules"} & set(p.parts) and p.suffix != ".so"
    ]


def _wheel(folder: Path, name: str, version: str, home: Path, files: Iterable[Path]) -> str:
    wheel = f"{name}-{version}-py3-none-any.whl"
    info = f"{name}-{version}.dist-info"
    with zipfile.ZipFile(folder / wheel, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in files:
            archive.write(path, path.relative_to(home).as_posix())
        archive.writestr(f"{info}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n")
        archive.writestr(
            f"{info}/WHEEL",
            "Wheel-Version: 1.0\nGenerator: bench\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        )
        archive.writestr(f"{info}/RECORD", "")
    return wheel


def _scripts(home: Path) -> None:
    import bokeh
    import panel

    scripts = Path(bokeh.__file__).parent / "server" / "static" / "js"
    for name in ("bokeh", "bokeh-gl", "bokeh-widgets", "bokeh-tables"):
        (home / "bokeh").mkdir(exist_ok=True)
        shutil.copy(scripts / f"{name}.min.js", home / "bokeh" / f"{name}.min.js")
    dist = Path(panel.__file__).parent / "dist"
    for source in sorted(dist.rglob("*")):
        name = source.relative_to(dist).as_posix()
        if name == "panel.min.js" or PANEL_STYLES.search(name):
            target = home / "panel" / panel.__version__ / "dist" / name
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(source, target)


def _page(home: Path) -> None:
    page = (home / "index.html").read_text(encoding="utf-8")
    page = re.sub(r"<script[^>]*es-module-shims[^>]*></script>", "", page)
    page = re.sub(
        r"https://cdn\.bokeh\.org/bokeh/release/([a-z-]+)-[\d.]+\.min\.js", r"./bokeh/\1.min.js", page
    )
    page = page.replace("https://cdn.holoviz.org/panel/", "./panel/")
    page, workers = re.subn(r"new Worker\([^)]*\)", 'new Worker("./convert.mjs", { type: "module" })', page)
    rendered = "pyodideWorker.postMessage({'type': 'rendered'})"
    if workers != 1 or rendered not in page:
        raise BuildError("Panel's conversion does not look as it did; see .make/bench_stock.py")
    page = page.replace(rendered, f'{rendered}; performance.mark("fettle-ready")')
    (home / "index.html").write_text(page, encoding="utf-8")


def _worker(home: Path, wheels: list[str]) -> None:
    worker = (home / "convert.js").read_text(encoding="utf-8")
    here = "new URL('./', self.location).href"
    worker = re.sub(
        r"importScripts\([^)]*\);", 'import { loadPyodide } from "./pyodide/pyodide.mjs";', worker
    )
    worker = worker.replace(
        "await loadPyodide();",
        f"await loadPyodide({{ indexURL: {here} + 'pyodide/', "
        "env: { HOME: '/home/pyodide', PANEL_CDN_ROOT: './panel/' } });",
    )
    worker = worker.replace('await self.pyodide.loadPackage("micropip");', "")
    listed = ", ".join(f"{here} + 'wheels/{wheel}'" for wheel in wheels)
    worker, installs = re.subn(
        r"await self\.pyodide\.runPythonAsync\(`\s*import micropip.*?`\);",
        lambda _: f"await self.pyodide.loadPackage([{listed}]);",
        worker,
        flags=re.DOTALL,
    )
    if installs != 1:
        raise BuildError("Panel's conversion does not look as it did; see .make/bench_stock.py")
    (home / "convert.mjs").write_text(worker, encoding="utf-8")
