"""The browsers that the tests and the bench drive: found on this machine, or installed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from console import BuildError, step

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
# Programs of the other two engines and the packages of Debian that bring them; their tests skip where they are not.
ENGINES = {"firefox-esr": "firefox-esr", "WebKitWebDriver": "webkit2gtk-driver", "Xvfb": "xvfb"}
APT = ["-q", "-y", "-o", "Acquire::http::Timeout=30", "-o", "DPkg::Lock::Timeout=120"]
MAC_CHROME = "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"


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
