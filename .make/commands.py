"""What each subcommand does, in order; every step prints itself and raises BuildError when it cannot be done."""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

from say import BuildError, step


def run(root: Path, args: argparse.Namespace) -> int:
    doing = {"build": build, "serve": serve, "test": test, "check": check}.get(args.command)
    if doing is None:
        raise BuildError(f"{args.command}: not written yet; build, serve, test and check are")
    return doing(root, args)


def build(root: Path, args: argparse.Namespace) -> int:
    import site_build

    site_build.build(root, pyodide=args.pyodide)
    return 0


def serve(root: Path, args: argparse.Namespace) -> int:
    import serve as server

    build(root, args)
    server.serve(root / "site", args.port)
    return 0


def check(root: Path, args: argparse.Namespace) -> int:
    for words, command in {"lint": ["ruff", "check"], "types": ["mypy"]}.items():
        step(words)
        if subprocess.run([sys.executable, "-m", *command], cwd=root).returncode != 0:
            raise BuildError(f"{words}: see above")
    return 0


def test(root: Path, args: argparse.Namespace) -> int:
    build(root, args)
    step("tests")
    return subprocess.run([sys.executable, "-m", "pytest", *args.rest], cwd=root).returncode
