"""What each subcommand does, in order; every step prints itself and raises BuildError when it cannot be done."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path

from browsers import browser, engines
from console import step

# by two workers, of which one has the browsers, see tests/conftest.py
WHOLE = ["-m", "not soak", "-n", "2", "--dist", "loadfile"]


def run(root: Path, args: argparse.Namespace) -> int:
    import site_build

    if args.command == "check":
        return check(root)
    if args.command == "mutate":
        import mutate

        return mutate.run(root, args)
    if args.command == "compare":
        return measured(root, "against.py", args.players, args.seed)
    if args.command == "figures":
        return measured(root, "figures.py", args.players, args.seed)
    if args.command == "sbom":
        import sbom

        sbom.write(root)
        return 0
    site_build.build(root, pyodide=args.pyodide)
    if args.command == "serve":
        import serve

        serve.serve(root / "site", args.port)
    elif args.command == "pictures":
        return pictures(root)
    elif args.command == "test":
        return tests(root, args.rest or WHOLE)
    elif args.command == "soak":
        return tests(root, ["-m", "soak", "--timeout", "3000", *args.rest])
    elif args.command == "bench":
        import bench

        return bench.run(root, args)
    return 0


def measured(root: Path, name: str, players: int, seed: int) -> int:
    """Run ``against.py``, which prints our error against a ruler, or ``figures.py``, which writes the page's figures."""
    step(f"{3 * players} players a set, a few minutes")
    script = root / "tests" / "engine" / name
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


def pictures(root: Path) -> int:
    """Make the README's pictures, and print where the sheet is that shows them beside each other."""
    step("making the pictures")
    environment = os.environ | {"FETTLE_CHROMIUM": browser(), "PYTHONPATH": str(root)}
    script = root / "tests" / "browser" / "pictures.py"
    return subprocess.run([sys.executable, str(script)], cwd=root, env=environment).returncode


def check(root: Path) -> int:
    """Lint, format, types, the direction of imports and the examples in docstrings; all are run, the last failure is the
    answer.
    """
    worst = 0
    for title, command in {
        "lint": ["ruff", "check", "."],
        "format": ["ruff", "format", "--check", "."],
        "types": ["mypy"],
        "direction of imports": ["pytest", "-q", "tests/engine/test_layers.py"],
        "examples": ["pytest", "-q", "--doctest-modules", "engine"],
    }.items():
        step(title)
        worst = subprocess.run([sys.executable, "-m", *command], cwd=root).returncode or worst
    return worst
