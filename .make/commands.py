"""What each subcommand does, in order; every step prints itself and raises BuildError when it cannot be done."""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

from say import BuildError, step


def run(root: Path, args: argparse.Namespace) -> int:
    raise BuildError(f"{args.command}: not there yet")
