"""The build: everything site/ needs, from the pinned pieces and this repository; the same bytes every time."""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import shutil
from collections.abc import Iterator
from pathlib import Path

import fetch
import lock
from archives import pack
from console import step
from image import make_core, make_image
from node import run_pyodide
from site_packages import make_tree

INPUTS = ("app/**/*", "engine/**/*.py", "site/**/*", ".make/*", "fettle.lock")
# what the page never asks for: the command line, the schemas of the documents, notes
AT_A_DESK = ("*.md", "__main__.py", "several.py", "schema")
MADE = ("runtime/", "app/", "index.html", "sw.js", "files.json", "sbom.cdx.json", "images/")


def build(root: Path, *, pyodide: Path | None = None) -> None:
    """Make site/ complete; does nothing when neither inputs nor products changed since the last build."""
    with only_one(root / ".cache" / "build.lock"):
        _build(root, pyodide)


def _build(root: Path, pyodide: Path | None) -> None:
    mark = root / ".cache" / "built"
    before = _fingerprint(root)
    if mark.exists() and mark.read_text() == before and (root / "site" / "files.json").exists():
        step("site/ is up to date")
        return
    mark.unlink(missing_ok=True)
    pins = lock.read(root)["web"]
    web = fetch.fetch(root, pins, pyodide)
    core, tree = libraries(root, web, list(pins["wheels"]))
    code, out = root / ".cache" / "code", root / ".cache" / "out"
    for folder in (code, out):
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
    for name in ("engine", "app"):
        shutil.copytree(root / name, code / name, ignore=shutil.ignore_patterns("__pycache__", *AT_A_DESK))
    step("drawing the first screen and noting what a start imports")
    run_pyodide(core, "import_trace.py", tree=tree, code=code, out=out)
    step("compiling with the browser's own Python")
    run_pyodide(core, "compile.py", code=code)
    make_image(core, tree, code, out)
    groups = pack(root, core, tree, code, out)
    for name, group in groups.items():
        size = sum(file["bytes"] for file in group["files"])
        step(f"site/ {name} {group['id']}: {len(group['files'])} files, {size / 1e6:.1f} MB")
    mark.write_text(before)


def libraries(root: Path, web: Path, wheels: list[str]) -> tuple[Path, Path]:
    """The core and other people's packages, trimmed and compiled; kept until what makes them changes."""
    core, tree, mark = (root / ".cache" / name for name in ("core", "tree", "libraries"))
    digest = hashlib.sha256((root / lock.NAME).read_bytes())
    for name in (
        "compile.py",
        "image.py",
        "image_patch.py",
        "lazy_imports.py",
        "pyodide.mjs",
        "site_packages.py",
    ):
        digest.update((Path(__file__).parent / name).read_bytes())
    wanted = digest.hexdigest()
    if mark.exists() and mark.read_text() == wanted and core.exists() and tree.exists():
        return core, tree
    mark.unlink(missing_ok=True)
    make_tree(root, web, wheels)
    make_core(web, core)
    step("making large packages load their parts on first use")
    run_pyodide(web, "lazy_imports.py", tree=tree)
    step("compiling the packages and the standard library with the browser's own Python")
    run_pyodide(web, "compile.py", tree=tree, core=core)
    mark.write_text(wanted)
    return core, tree


@contextlib.contextmanager
def only_one(path: Path) -> Iterator[None]:
    """Hold a lock on this file; a second build in the same folder waits here until the first is through."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(path, "w", encoding="utf-8") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            step("waiting for another build in this folder")
            fcntl.flock(file, fcntl.LOCK_EX)
        yield


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
