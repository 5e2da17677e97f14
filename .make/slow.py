"""A processor a few times slower, for the page and its workers alike: the browser's page processes are stopped and let go.

The browser's own throttling leaves workers alone, so it would flatter a page that computes in one. Linux only.
"""

from __future__ import annotations

import contextlib
import os
import signal
import threading
import time
from pathlib import Path

PERIOD = 0.02  # [s]


class Slowed:
    """Within this context the pages of the browser that uses the profile ``folder`` run 1 / ``times`` of the time."""

    def __init__(self, folder: str, times: float = 4.0) -> None:
        self.folder, self.share = folder, 1 / times
        self.over = threading.Event()
        self.thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Slowed:
        self.thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.over.set()
        self.thread.join()

    def _run(self) -> None:
        pages: list[int] = []
        looked = 0.0
        while not self.over.is_set():
            if time.monotonic() - looked > 0.2:
                pages, looked = page_processes(self.folder), time.monotonic()
            _tell(pages, signal.SIGSTOP)
            time.sleep(PERIOD * (1 - self.share))
            _tell(pages, signal.SIGCONT)
            time.sleep(PERIOD * self.share)
        _tell(page_processes(self.folder), signal.SIGCONT)


def _tell(processes: list[int], what: signal.Signals) -> None:
    for process in processes:
        with contextlib.suppress(ProcessLookupError):
            os.kill(process, what)


def page_processes(folder: str) -> list[int]:
    """Processes of pages below the browser that was started with this profile."""
    parents, lines = {}, {}
    for place in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError, IndexError):
            lines[int(place.name)] = (place / "cmdline").read_bytes().decode(errors="replace")
            parents[int(place.name)] = int((place / "stat").read_text().rsplit(")", 1)[1].split()[1])
    browsers = {p for p, line in lines.items() if folder in line}

    def below(process: int) -> bool:
        while process:
            if process in browsers:
                return True
            process = parents.get(process, 0)
        return False

    return [p for p, line in lines.items() if "--type=renderer" in line and below(p)]
