"""How the tool talks: one line a step, one line for what went wrong."""

from __future__ import annotations

import sys
import time


class BuildError(Exception):
    """A step that could not be done; the text says what, where and what to do."""


_start = time.monotonic()


def step(text: str) -> None:
    print(f"[{time.monotonic() - _start:6.1f} s] {text}", flush=True)


def fail(text: str) -> int:
    print(f"build.py: {text}", file=sys.stderr, flush=True)
    return 1
