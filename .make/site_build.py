"""The build: everything site/ needs, from the pinned pieces and this repository; the same bytes every time."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

import fetch
import lock
from image import make_core, make_image
from node import run_pyodide
from pack import pack
from say import step
from tree import make_tree

INPUTS = ("app/**/*.py", "engine/**/*.py", "site/**/*", ".make/*", "fettle.lock")
MADE = ("runtime/", "app/", "index.html", "sw.js", "files.json", "images/")


def build(root: Path, *, pyodide: Path | None = None) -> None:
    """Make site/ complete; does nothing when neither inputs nor products changed since the last build."""
    mark = root / ".cache" / "built"
    before = _fingerprint(root)
    if mark.exists() and mark.read_text() == before and (root / "site" / "files.json").exists():
        step("site/ is up to date")
        return
    pins = lock.read(root)["web"]
    web = fetch.fetch(root, pins, pyodide)
    wheels = list(pins["wheels"])
    tree = make_tree(root, web, wheels)
    code, out = root / ".cache" / "code", root / ".cache" / "out"
    for folder in (code, out):
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
    for name in ("engine", "app"):
        shutil.copytree(root / name, code / name, ignore=shutil.ignore_patterns("__pycache__"))
    step("making scipy load its parts on first use")
    run_pyodide(web, "lazy.py", tree=tree)
    step("drawing the first screen and noting what a start imports")
    run_pyodide(web, "measure.py", tree=tree, code=code, out=out)
    step("compiling with the browser's own Python")
    core = root / ".cache" / "core"
    make_core(web, core)
    run_pyodide(web, "compile.py", tree=tree, code=code, core=core)
    make_image(core, tree, code, out)
    groups = pack(root, core, tree, code, out)
    for name, group in groups.items():
        size = sum(file["bytes"] for file in group["files"])
        step(f"site/ {name} {group['id']}: {len(group['files'])} files, {size / 1e6:.1f} MB")
    mark.write_text(_fingerprint(root))


def _fingerprint(root: Path) -> str:
    digest = hashlib.sha256()
    for pattern in INPUTS:
        for path in sorted(root.glob(pattern)):
            name = path.relative_to(root).as_posix()
            made = name.startswith("site/") and name.removeprefix("site/").startswith(MADE)
            if path.is_file() and not made and "__pycache__" not in name:
                digest.update(f"{name}\0".encode())
                digest.update(path.read_bytes())
    return digest.hexdigest()
