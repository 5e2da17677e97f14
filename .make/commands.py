"""What each subcommand does, in order; every step prints itself and raises BuildError when it cannot be done."""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
from pathlib import Path

from say import BuildError, step

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
# Programs of the other two engines and the packages of Debian that bring them; their tests skip where they are not.
ENGINES = {"firefox-esr": "firefox-esr", "WebKitWebDriver": "webkit2gtk-driver", "Xvfb": "xvfb"}
APT = ["-q", "-y", "-o", "Acquire::http::Timeout=30", "-o", "DPkg::Lock::Timeout=120"]
MAC_CHROME = "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"


def run(root: Path, args: argparse.Namespace) -> int:
    import site_build

    if args.command == "check":
        return check(root)
    if args.command == "compare":
        return compare(root, args.players, args.seed)
    if args.command == "sbom":
        import sbom

        sbom.write(root)
        return 0
    site_build.build(root, pyodide=args.pyodide)
    if args.command == "serve":
        import serve

        serve.serve(root / "site", args.port)
    elif args.command == "test":
        return tests(root, args.rest or ["-m", "not soak"])
    elif args.command == "soak":
        return tests(root, ["-m", "soak", "--timeout", "3000", *args.rest])
    elif args.command == "bench":
        import bench

        return bench.run(root, args)
    return 0


def compare(root: Path, players: int, seed: int) -> int:
    """Print the table "our error against a ruler"."""
    step(f"{3 * players} players a set, a few minutes")
    script = root / "tests" / "engine" / "against.py"
    environment = os.environ | {"PYTHONPATH": str(root), "OPENBLAS_NUM_THREADS": "1"}
    return subprocess.run(
        [sys.executable, str(script), str(players), str(seed)], cwd=root, env=environment
    ).returncode


def tests(root: Path, options: list[str]) -> int:
    """Run pytest over all tests, the browser's too."""
    step("running the tests")
    # with CI set, hypothesis takes the same examples every time and does not mind a busy machine
    environment = {"CI": "true"} | os.environ | {"FETTLE_CHROMIUM": browser(), "PYTHONPATH": str(root)}
    engines()
    return subprocess.run([sys.executable, "-m", "pytest", *options], cwd=root, env=environment).returncode


def browser() -> str:
    """An installed Chromium or Chrome; one is installed if there is none, empty if Playwright finds its own."""
    found = _installed()
    if found:
        return found
    if _may_install():
        step("installing Debian's chromium for the browser tests")
        _install(["chromium"])
        found = _installed()
        if not found:
            raise BuildError(
                "Debian's chromium could not be installed; the browser tests need a Chromium or Chrome"
            )
        return found
    step("fetching a Chromium for the browser tests")
    subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=False)
    return ""


def engines() -> None:
    """Firefox ESR and WebKitGTK where they can be had; without them the tests still run, and say what they leave out."""
    wanted = [package for program, package in ENGINES.items() if not shutil.which(program)]
    if wanted and _may_install():
        step(f"installing Debian's {', '.join(wanted)} for the browser tests")
        if not _install(["--no-install-recommends", *wanted]):
            step("not installed: the tests in other engines are left out")


def _may_install() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get") is not None


def _install(packages: list[str]) -> bool:
    environment = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update"], ["install", *packages]):
        done = subprocess.run(
            ["apt-get", *APT, *command], env=environment, check=False, stdout=subprocess.DEVNULL
        )
    return done.returncode == 0


def _installed() -> str:
    for name in BROWSERS:
        path = shutil.which(name)
        if path:
            return path
    return MAC_CHROME if Path(MAC_CHROME).exists() else ""


def check(root: Path) -> int:
    """Lint, format and types; all are run, the last failure is the answer."""
    worst = 0
    for title, command in {
        "lint": ["ruff", "check", "."],
        "format": ["ruff", "format", "--check", "."],
        "types": ["mypy"],
    }.items():
        step(title)
        worst = subprocess.run([sys.executable, "-m", *command], cwd=root).returncode or worst
    return worst
