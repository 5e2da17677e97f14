"""A Chromium of our own with a profile that stays, whose pages or whole process can be killed at any moment."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import time
from pathlib import Path

from conftest import FLAGS


def executable() -> str:
    return (
        os.environ.get("FETTLE_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome") or ""
    )


def alive(group: int) -> bool:
    """Whether any process of the group has yet to end."""
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError, IndexError):
            state, _, its_group = stat.read_text().rpartition(")")[2].split()[:3]
            if int(its_group) == group and state not in "ZX":
                return True
    return False


class Chrome:
    """Started with a debugging port, joined by Playwright; `kill` is what a dead battery looks like."""

    def __init__(self, playwright, profile: Path) -> None:
        self.playwright, self.profile = playwright, profile
        self.start()

    def start(self) -> None:
        port = self.profile / "DevToolsActivePort"
        port.unlink(missing_ok=True)
        self.process = subprocess.Popen(
            [
                executable(),
                "--headless",
                *FLAGS,
                "--remote-debugging-port=0",
                f"--user-data-dir={self.profile}",
                "about:blank",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        end = time.time() + 60
        while not (port.exists() and port.read_text().count("\n")):
            assert time.time() < end and self.process.poll() is None, "Chromium did not start"
            time.sleep(0.02)
        number = port.read_text().split("\n")[0]
        self.browser = self.playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{number}")
        self.context = self.browser.contexts[0]
        self.session = self.browser.new_browser_cdp_session()

    def kill(self) -> None:
        """End the browser and all its processes at once, with nothing flushed."""
        group = self.process.pid
        os.killpg(group, signal.SIGKILL)
        self.process.wait()
        # one that is still on its way out holds the database's lock, which a dead battery does not leave behind
        end = time.time() + 20
        while alive(group):
            assert time.time() < end, "a process of the browser does not end"
            time.sleep(0.01)

    def kill_pages(self) -> None:
        """End only the processes of pages, as the system does when memory is short."""
        for info in self.session.send("SystemInfo.getProcessInfo")["processInfo"]:
            if info["type"] == "renderer":
                with contextlib.suppress(ProcessLookupError):
                    os.kill(info["id"], signal.SIGKILL)
