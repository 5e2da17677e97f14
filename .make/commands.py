"""What each subcommand does, in order; every step prints itself and raises BuildError when it cannot be done."""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

from say import BuildError, step


def run(root: Path, args: argparse.Namespace) -> int:
    doing = {"check": check, "test": test}.get(args.command)
    if doing is None:
        raise BuildError(f"{args.command}: the browser build is not finished; `test` and `check` work")
    return doing(root, args)


def check(root: Path, args: argparse.Namespace) -> int:
    for words, command in {"lint": ["ruff", "check"], "types": ["mypy"]}.items():
        step(words)
        if subprocess.run([sys.executable, "-m", *command], cwd=root).returncode != 0:
            raise BuildError(f"{words}: see above")
    return 0


def test(root: Path, args: argparse.Namespace) -> int:
    step("tests of the engine and the dashboard; there are none in a browser yet")
    return subprocess.run([sys.executable, "-m", "pytest", *args.rest], cwd=root).returncode
