"""The project's own interpreter: .venv, filled from fettle.lock with every hash checked."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import sysconfig
from pathlib import Path

import lock
from console import BuildError, step

OLDEST, NEWEST = (3, 11), (3, 14)


def python_in(venv: Path) -> Path:
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def ensure(root: Path, argv: list[str]) -> None:
    """Make .venv if it is missing or out of date, then go on inside it."""
    version = sys.version_info[:2]
    if not OLDEST <= version <= NEWEST:
        raise BuildError(
            f"Python 3.11 to 3.14 is needed, this is {version[0]}.{version[1]}: {sys.executable}"
        )
    venv = root / ".venv"
    inside = Path(sys.prefix).resolve() == venv.resolve()
    wanted = stamp(root)
    mark = venv / "fettle.stamp"
    have = mark.read_text(encoding="utf-8") if mark.exists() else ""
    if have != wanted:
        if inside:
            base = Path(getattr(sys, "_base_executable", sys.executable))
            os.execv(base, [str(base), str(root / "build.py"), *argv])
        create(root, venv)
        mark.write_text(wanted, encoding="utf-8")
    if not inside:
        python = str(python_in(venv))
        clean = {key: value for key, value in os.environ.items() if key not in ("PYTHONHOME", "PYTHONPATH")}
        os.execve(python, [python, str(root / "build.py"), *argv], clean)


def stamp(root: Path) -> str:
    native = lock.requirements(lock.read(root)["native"])
    here = f"{sys.version_info[0]}.{sys.version_info[1]} {sysconfig.get_platform()}\n"
    return hashlib.sha256((here + native).encode()).hexdigest()


def create(root: Path, venv: Path) -> None:
    cache = root / ".cache"
    wheels = cache / "wheels"
    wheels.mkdir(parents=True, exist_ok=True)
    wanted = cache / "native.txt"
    wanted.write_text(lock.requirements(lock.read(root)["native"]), encoding="utf-8")
    step(f"making .venv with Python {sys.version.split()[0]}")
    make_venv(venv)
    pip = [str(python_in(venv)), "-m", "pip", "--disable-pip-version-check", "-q"]
    offline = ["--require-hashes", "--no-index", "--find-links", str(wheels), "--only-binary", ":all:"]
    install = [*pip, "install", *offline, "-r", str(wanted)]
    # Each pinned file is kept in .cache/wheels, so that a later .venv needs no network.
    if subprocess.run([*install, "--dry-run"], capture_output=True).returncode != 0:
        step("fetching the pinned packages")
        fetch = [
            *pip,
            "download",
            "--require-hashes",
            "--only-binary",
            ":all:",
            "--no-deps",
            "-d",
            str(wheels),
        ]
        call([*fetch, "-r", str(wanted)], "a pinned package could not be fetched; is there a network?")
    step("installing the pinned packages, hashes checked")
    call(install, "a pinned package could not be installed; remove .cache/wheels and try again")


def make_venv(venv: Path) -> None:
    command = [sys.executable, "-m", "venv", "--clear", str(venv)]
    if subprocess.run(command, capture_output=True).returncode == 0:
        return
    # Debian ships python3 without the module that puts pip into a new environment.
    if hasattr(os, "geteuid") and os.geteuid() == 0 and Path("/usr/bin/apt-get").exists():
        step("installing Debian's python3-venv, which this Python lacks")
        subprocess.run(["apt-get", "install", "-y", "-q", "python3-venv"], check=False)
    call(command, "python3 -m venv failed; on Debian or Ubuntu: apt install python3-venv")


def call(command: list[str], otherwise: str) -> None:
    if subprocess.run(command).returncode != 0:
        raise BuildError(otherwise)
