"""The browser's site-packages, unpacked and trimmed: what is never used in the page is left out.

Files go here; imports that only some functions need are put off in `lazy_imports`, and numpy and scipy are split by what a
start needs in `archives`.
"""

from __future__ import annotations

import importlib.metadata
import shutil
import zipfile
from pathlib import Path

from console import BuildError, step

# distribution: its top-level packages or modules; all pure Python, taken from the hash-checked .venv
PURE = {
    "bokeh": ["bokeh"],
    "panel": ["panel"],
    "param": ["param", "numbergen"],
    "pyviz-comms": ["pyviz_comms"],
    "jinja2": ["jinja2"],
    "markupsafe": ["markupsafe"],
    "pyyaml": ["yaml"],
    "packaging": ["packaging"],
    "typing-extensions": ["typing_extensions.py"],
    "pyodide-http": ["pyodide_http"],
    "segno": ["segno"],
}
# Never imported in the page (the browser tests run without them).
DROP = [
    "panel/dist",
    "panel/tests",
    "panel/node_modules",
    "panel/examples",
    "panel/command",
    "panel/compiler",
    "bokeh/server/static",
    "bokeh/sampledata",
    "bokeh/sphinxext",
    "bokeh/command",
    "bokeh/client",
    "bokeh/server/views",
    "pyviz_comms/labextension/static",
    "numpy/f2py",
    "numpy/tests",
    "numpy/testing/tests",
    "numpy/_core/include",
    "numpy/_core/lib",
    "numpy/distutils",
    "numpy/typing/tests",
    "scipy/stats",
    "scipy/signal",
    "scipy/ndimage",
    "scipy/io",
    "scipy/cluster",
    "scipy/datasets",
    "scipy/odr",
    "scipy/misc",
]
DROP_FILES = {"package-lock.json", "eslint.config.js"}
DROP_FOLDERS = {"tests", "__pycache__", "docs", "node_modules"}
DROP_ENDINGS = (
    ".pyi",
    ".pxd",
    ".ts",
    ".tsx",
    ".map",
    ".h",
    ".c",
    ".a",
    ".pyx",
    ".less",
    ".md",
    ".dylib",
    ".rst",
    ".bundle.js",
)
NATIVE = (".so", ".pyd", ".dylib")


def make_tree(root: Path, pyodide: Path, wheels: list[str]) -> Path:
    """Unpack and trim into .cache/tree; returns it."""
    tree = root / ".cache" / "tree"
    shutil.rmtree(tree, ignore_errors=True)
    tree.mkdir(parents=True)
    step("unpacking and trimming the browser's packages")
    for wheel in wheels:
        with zipfile.ZipFile(pyodide / wheel) as archive:
            archive.extractall(tree)
    for distribution, names in PURE.items():
        _copy(tree, distribution, names)
    for name in DROP:
        shutil.rmtree(tree / name, ignore_errors=True)
    for path in sorted(tree.rglob("*"), reverse=True):
        if path.is_dir() and path.name in DROP_FOLDERS:
            shutil.rmtree(path)
        elif path.is_file() and _unwanted(path, tree):
            path.unlink()
    for info in tree.glob("*.dist-info"):
        _bare_metadata(info)
    # scipy's array helpers walk dir(numpy), which names f2py.
    (tree / "numpy" / "f2py").mkdir()
    (tree / "numpy" / "f2py" / "__init__.py").write_text("")
    return tree


def _copy(tree: Path, distribution: str, names: list[str]) -> None:
    try:
        home = Path(str(importlib.metadata.distribution(distribution).locate_file("")))
    except importlib.metadata.PackageNotFoundError:
        raise BuildError(f"{distribution} is not in .venv; remove .venv and run this again") from None
    for name in names:
        source = home / name
        if source.is_file():
            shutil.copy(source, tree / name)
        elif source.is_dir():
            shutil.copytree(
                source, tree / name, ignore=shutil.ignore_patterns("__pycache__", "dist", "node_modules")
            )
    version = importlib.metadata.version(distribution)
    info = tree / f"{distribution.replace('-', '_')}-{version}.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {distribution}\nVersion: {version}\n")


def _unwanted(path: Path, tree: Path) -> bool:
    name = path.relative_to(tree).as_posix()
    if path.suffix in NATIVE and "wasm32" not in path.name and not name.startswith(("numpy", "scipy")):
        return True
    if name.startswith("panel/") and path.suffix == ".js" and path.stat().st_size > 50_000:
        return True
    if name.startswith("bokeh/_sri/"):
        return path.stem != importlib.metadata.version("bokeh")
    return path.name in DROP_FILES or name.endswith(DROP_ENDINGS)


def _bare_metadata(info: Path) -> None:
    for path in info.iterdir():
        if path.is_file() and path.name not in ("METADATA", "entry_points.txt"):
            path.unlink()
        elif path.is_dir():
            shutil.rmtree(path)
    metadata = info / "METADATA"
    head = metadata.read_text(encoding="utf-8").split("\n\n")[0].splitlines()
    kept = [line for line in head if line.split(":")[0] in ("Metadata-Version", "Name", "Version")]
    metadata.write_text("\n".join(kept) + "\n")
