"""The built site in a real Chromium on a phone-sized touch screen, first with its server and then without it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

sync_api = pytest.importorskip("playwright.sync_api")
SITE = Path(os.environ.get("FETTLE_SITE") or Path(__file__).parents[2] / "site")
CHROMIUM = shutil.which("chromium") or shutil.which("google-chrome")
PORT = 8793


def until(page, expression: str, seconds: float) -> None:
    """Ask from outside: the page's own policy forbids the eval that waiting inside it would need."""
    end = time.time() + seconds
    while not page.evaluate(expression):
        assert time.time() < end, f"not within {seconds} s: {expression}; {page.inner_text('body')[:300]}"
        time.sleep(0.1)


@pytest.mark.skipif(not CHROMIUM, reason="no Chromium here")
def test_starts_and_starts_again_without_server() -> None:
    assert (SITE / "index.html").exists(), "build the site first: python3 build.py build"
    server = subprocess.Popen(
        [sys.executable, "-m", "http.server", str(PORT), "-d", str(SITE)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    time.sleep(0.7)
    faults: list[str] = []
    outside: list[str] = []
    try:
        with sync_api.sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
            context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
            here = f"http://localhost:{PORT}/"
            context.on("request", lambda r: None if r.url.startswith((here, "blob:", "data:")) else outside.append(r.url))
            page = context.new_page()
            page.on("pageerror", lambda e: faults.append(str(e)))
            page.on("console", lambda m: faults.append(m.text) if m.type == "error" else None)
            page.goto(here)
            state = "document.documentElement.dataset.state == 'ready'"
            until(page, state, 60)
            until(page, "document.documentElement.dataset.offline == 'ready'", 60)
            server.kill()
            server.wait()
            page.reload()
            until(page, state, 60)
            page.get_by_text("Look around").tap()
            until(page, "location.hash.startsWith('#v1.')", 20)
            browser.close()
    finally:
        server.kill()
    assert faults == []
    assert outside == []
