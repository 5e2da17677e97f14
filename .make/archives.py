"""Lays what the build made into site/: archives, the browser's Python, Bokeh's and Panel's scripts, page and worker."""

from __future__ import annotations

import hashlib
import io
import json
import re
import shutil
import sys
import tarfile
import zipfile
from pathlib import Path
from typing import Any

from console import BuildError, step
from first_screens import first_screens
from image import libraries, pack_image
from packing import DECODER, Packer

CORE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")
SCRIPTS = ("bokeh.min.js", "bokeh-widgets.min.js", "bokeh-tables.min.js")
# Bokeh draws half a pixel to the right and down, and clears there: what once stood on the first row and column stayed.
UNCLEARED = (
    "this.clear(),t}clear(){const{x:t,y:e,width:i,height:s}=this.bbox;this.ctx.clearRect(t,e,i,s)}",
    "this.clear(),t}clear(){const{x:t,y:e,width:i,height:s}=this.bbox;this.ctx.clearRect(t-1,e-1,i+1,s+1)}",
)
# Packages of which only what `import_trace.py` saw is published: their parts bring libraries of megabytes along, and our own
# code, all of which it goes through, names the few it needs.
AS_SEEN = (
    "scipy/",
    "packaging/",
    "numpy/testing/",
    "jinja2/ext",
    "jinja2/sandbox",
    "bokeh/command/",
    "bokeh/server/tornado",
    *(f"panel/{part}" for part in ["auth", "chat/", "command/", "compiler", "pipeline", "template/"]),
    *(
        f"panel/io/{part}"
        for part in ["admin", "compile", "convert", "django", "fastapi", "handlers", "jupyter"]
    ),
    *(
        f"panel/pane/{part}"
        for part in ["deckgl", "echarts", "holoviews", "perspective", "plotly", "vega", "vtk/"]
    ),
)
# Of the standard library, what nothing in a page has a use for, unless it was seen: servers, mail, test tools, terminals.
UNUSED_STDLIB = re.compile(
    r"(_pyio|_pyrepl|bdb|cmd|code|compileall|concurrent/interpreters|cProfile|doctest|filecmp|fileinput|ftplib|imaplib|mailbox|"
    r"mailcap|modulefinder|multiprocessing|nntplib|optparse|pdb|pickletools|plistlib|poplib|profile|profiling|pstats|pyclbr|"
    r"pydoc|sched|smtplib|socketserver|sqlite3|symtable|tabnanny|this|timeit|trace|tracemalloc|turtle|unittest|wave|wsgiref|"
    r"xmlrpc|zipapp|asyncio/proactor_events|asyncio/windows_\w+|concurrent/futures/process|http/cookiejar|http/server|"
    r"logging/config|logging/handlers)(/|\.)"
)
PANEL_STYLES = re.compile(
    r"css/(loading|listpanel|markdown|button|card|alert|select|widgetbox)\.css$|bundled/theme/(default|native|dark)\.css$"
)


def pack(root: Path, core: Path, tree: Path, code: Path, out: Path) -> dict[str, Any]:
    """Write site/; returns the manifest of its files in two groups, ``runtime`` and ``app``."""
    site = root / "site"
    for name in ("runtime", "app"):
        shutil.rmtree(site / name, ignore_errors=True)
    step("packing the archives")
    started = json.loads((out / "start.json").read_text(encoding="utf-8"))
    libs = libraries(out)
    boot, rest = ([name for name in names if name not in libs] for names in _split(tree, set(started)))
    runtime = site / "runtime"
    runtime.mkdir(parents=True)
    packer = Packer(root / ".cache" / "packed", core)
    (runtime / DECODER).write_bytes(packer.decoder)
    packer.pack(runtime / "libs.tar.zst", _tar(tree, libs))
    packer.pack(runtime / "boot.tar.zst", _tar(tree, boot))
    packer.pack(runtime / "rest.tar.zst", _tar(tree, rest))
    later = json.loads((out / "later.json").read_text(encoding="utf-8"))
    for name, first in {"stdlib": True, "stdlib-rest": False}.items():
        part = _stdlib(core / "python_stdlib.zip", set(later["stdlib"]), first=first)
        packer.pack(runtime / f"{name}.zip.zst", part)
    for name in CORE:
        shutil.copy(core / name, runtime / name)
    official = json.loads((core / "pyodide-lock.json").read_text(encoding="utf-8"))
    official["packages"] = {}
    (runtime / "pyodide-lock.json").write_text(json.dumps(official, sort_keys=True), encoding="utf-8")
    _scripts(runtime)
    (site / "app").mkdir()
    for script in sorted((root / "app").glob("*.js")):
        shutil.copy(script, site / "app" / script.name)
    (code / "warm.json").write_text(json.dumps(later["warm"]), encoding="utf-8")
    modules = sorted(p.relative_to(code).as_posix() for p in code.rglob("*") if p.is_file())
    packer.pack(site / "app" / "app.tar.zst", _tar(code, modules))
    files = [name for name in boot if not name.endswith((".pyc", ".so"))]
    pack_image(tree, out, site, packer, files=_tar(tree, files))
    packer.tidy()
    _page(root, site, out)
    return lists(site)


def lists(site: Path) -> dict[str, Any]:
    """Write files.json and the service worker for what lies in site/ now; returns the manifest."""
    shell = [p for p in _shell(site) if p != "sw.js"]
    groups = {
        "runtime": _group(
            site, sorted(p.relative_to(site).as_posix() for p in (site / "runtime").rglob("*") if p.is_file())
        ),
        "app": _group(site, [*sorted(f"app/{p.name}" for p in (site / "app").iterdir()), *shell]),
    }
    (site / "files.json").write_text(json.dumps(groups, sort_keys=True), encoding="utf-8")
    worker = (site / "sw.template.js").read_text(encoding="utf-8")
    for name, value in {
        "__RUNTIME_ID__": groups["runtime"]["id"],
        "__APP_ID__": groups["app"]["id"],
        "__FILES__": json.dumps(
            {name: group["files"] for name, group in groups.items()}, separators=(",", ":")
        ),
    }.items():
        worker = worker.replace(name, value)
    (site / "sw.js").write_text(worker, encoding="utf-8")
    return groups


def _shell(site: Path) -> list[str]:
    """The hand-written files of the page, and the page itself; templates are for the build only."""
    names = (p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file())
    mine = (n for n in names if not n.startswith(("runtime/", "app/", "images/")) and ".template." not in n)
    return sorted(
        n for n in mine if n.endswith((".html", ".css", ".js", ".mjs", ".webmanifest", ".svg", ".png"))
    )


def _split(tree: Path, started: set[str]) -> tuple[list[str], list[str]]:
    """Files for the start, and files that may be needed later; all else than code and libraries goes to the start."""
    boot: list[str] = []
    rest: list[str] = []
    for path in sorted(tree.rglob("*")):
        if not path.is_file():
            continue
        name = path.relative_to(tree).as_posix()
        source = name.removesuffix("c") if name.endswith(".pyc") else name
        code = name.endswith((".pyc", ".so"))
        if code and name.startswith(AS_SEEN) and source not in started and "openblas" not in name:
            continue
        wanted = (
            source in started or "openblas" in name
            if code
            else not name.startswith(("numpy/", "scipy/", "panel/template/"))
        )
        (boot if wanted and path.stat().st_size < 30_000_000 else rest).append(name)
    return boot, rest


def _stdlib(whole: Path, started: set[str], *, first: bool) -> bytes:
    """The part of the standard library that a start needs, or the rest: not compressed within but as a whole, and better."""
    raw = io.BytesIO()
    with zipfile.ZipFile(whole) as given, zipfile.ZipFile(raw, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(given.namelist()):
            seen = name.endswith(".pyc") and name.removesuffix("c") in started
            if not name.endswith("/") and (seen if first else not seen and not UNUSED_STDLIB.match(name)):
                archive.writestr(zipfile.ZipInfo(name), given.read(name))
    return raw.getvalue()


def _tar(home: Path, names: list[str]) -> bytes:
    raw = io.BytesIO()
    with tarfile.open(fileobj=raw, mode="w", format=tarfile.USTAR_FORMAT) as tar:
        for name in names:
            info = tarfile.TarInfo(name)
            data = (home / name).read_bytes()
            info.size = len(data)
            tar.addfile(info, io.BytesIO(data))
    return raw.getvalue()


def _scripts(runtime: Path) -> None:
    """Bokeh's and Panel's own scripts and style sheets, from .venv, where Panel will look for them."""
    import bokeh
    import panel

    scripts = Path(bokeh.__file__).parent / "server" / "static" / "js"
    (runtime / "bokeh").mkdir()
    for name in SCRIPTS:
        shutil.copy(scripts / name, runtime / "bokeh" / name)
    drawing = runtime / "bokeh" / SCRIPTS[0]
    text = drawing.read_text(encoding="utf-8")
    if text.count(UNCLEARED[0]) != 1:
        raise BuildError(f"{drawing.name} holds {UNCLEARED[0]!r} {text.count(UNCLEARED[0])} times, not once")
    drawing.write_text(text.replace(*UNCLEARED), encoding="utf-8")
    dist = Path(panel.__file__).parent / "dist"
    home = runtime / "panel" / panel.__version__ / "dist"
    for source in sorted(dist.rglob("*")):
        name = source.relative_to(dist).as_posix()
        if name == "panel.min.js" or PANEL_STYLES.search(name):
            target = home / name
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(source, target)


def _page(root: Path, site: Path, out: Path) -> None:
    """The page from its template, with the first screen in it."""
    sys.path.insert(0, str(root))
    import engine
    from app.styles import ROOT_CSS

    screens, sheet = first_screens()
    made = json.loads((out / "document.json").read_text(encoding="utf-8"))
    roots = made["items"][0]["roots"]
    page = (site / "index.template.html").read_text(encoding="utf-8")
    for name, value in {
        "__ROOT_CSS__": ROOT_CSS,
        "__EARLY_CSS__": sheet,
        "__EARLY__": screens,
        "__ROOTS__": "".join(
            f'<div id="{element}" data-root-id="{root}"></div>' for root, element in roots.items()
        ),
        "__VERSION__": engine.__version__,
        "__IMAGE_ID__": hashlib.sha256((site / "app" / "image.zst").read_bytes()).hexdigest()[:12],
        "__DOCUMENT_JSON__": json.dumps(made["documents"], separators=(",", ":")).replace("</", "<\\/"),
        "__RENDER_ITEMS__": json.dumps(made["items"]).replace("</", "<\\/"),
    }.items():
        page = page.replace(name, value)
    (site / "index.html").write_text(page, encoding="utf-8")


def _group(site: Path, names: list[str]) -> dict[str, Any]:
    files = []
    for name in names:
        data = (site / name).read_bytes()
        files.append({"path": name, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()})
    whole = hashlib.sha256(json.dumps(files, sort_keys=True).encode()).hexdigest()
    return {"id": whole[:12], "files": files}
