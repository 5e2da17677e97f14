"""Memory of the page's process, in a Chromium that nobody looks into.

A debugger that is told of the page's network keeps a copy of every answer, as Base64, in the page's own process: some 60 MB
here, for as long as the page lives. Playwright asks for it always, so this bench speaks to the browser by itself, over a
pipe, and asks for nothing but the values of expressions.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import statistics
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bench_starts import FLAGS, peak, ready, wait
from browsers import browser
from console import step
from serve import server

SETTLED = 45  # [s] after which a browser has cleared up


class Page:
    """A page of a browser that is spoken to over two pipes; messages end with a zero byte."""

    def __init__(self, said: int, heard: int) -> None:
        self.said, self.heard, self.rest, self.number = said, heard, b"", 0
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session: str = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]

    def call(self, method: str, session: str | None = None, **params: Any) -> dict[str, Any]:
        self.number += 1
        message = {"id": self.number, "method": method, "params": params}
        os.write(
            self.said, json.dumps(message | ({"sessionId": session} if session else {})).encode() + b"\0"
        )
        while True:
            while b"\0" not in self.rest:
                self.rest += os.read(self.heard, 1 << 16) or b'{"id": 0}\0'
            one, _, self.rest = self.rest.partition(b"\0")
            answer = json.loads(one)
            if answer.get("id") == 0:
                raise ConnectionError("the browser has ended")
            if answer.get("id") == self.number:
                return dict(answer["result"])

    def goto(self, address: str) -> None:
        self.call("Page.navigate", self.session, url=address)

    def evaluate(self, expression: str) -> Any:
        found = self.call("Runtime.evaluate", self.session, expression=expression, returnByValue=True)
        return found["result"].get("value")

    def inner_text(self, selector: str) -> str:
        return str(self.evaluate(f"document.querySelector({json.dumps(selector)}).innerText"))


@contextlib.contextmanager
def alone(site: Path, profile: Path) -> Iterator[tuple[Page, str]]:
    """A page of a new browser with this profile, and the address of a server for the site."""
    host = server(site, 0)
    threading.Thread(target=host.serve_forever, daemon=True).start()
    theirs, said = os.pipe()
    heard, back = os.pipe()
    command = [browser() or "chromium", "--headless", *FLAGS, "--window-size=390,844"]
    command += ["--remote-debugging-pipe", f"--user-data-dir={profile}", "about:blank"]
    # a browser reads from file 3 and writes to 4
    moved = ["sh", "-c", f'exec "$@" 3<&{theirs} 4>&{back}', "sh", *command]
    process = subprocess.Popen(
        moved, pass_fds=(theirs, back), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    os.close(theirs)
    os.close(back)
    try:
        page = Page(said, heard)
        yield page, f"http://localhost:{host.server_address[1]}/"
        page.call("Browser.close")
        process.wait(10)
    finally:
        process.kill()
        process.wait()
        os.close(said)
        os.close(heard)
        host.shutdown()
        host.server_close()


def memory(root: Path, runs: int) -> dict[str, float]:
    """Medians of what the page's process has [MB]: when it is live, how much more while all is stored, when it has settled,
    at most in all that time; of a blank page beside it."""
    taken: dict[str, list[float]] = {}
    for n in range(runs):
        for way in ("image", "plain", "blank"):
            step(f"run {n + 1} of {runs}: memory, {way}")
            for name, value in one(root / "site", way).items():
                taken.setdefault(f"{way}_{name}_mb", []).append(value)
    return {name: statistics.median(values) for name, values in taken.items()}


def one(site: Path, way: str) -> dict[str, float]:
    profile = Path(tempfile.mkdtemp(prefix="fettle-bench-"))
    found = {}
    try:
        with alone(site, profile) as (page, address):
            if way != "blank":
                page.goto(f"{address}?start={way}")
                ready(page)
                found["live"] = peak(profile)
                wait(page, "document.documentElement.dataset.stored == 'all'")
                found["copying"] = peak(profile) - found["live"]
            time.sleep(SETTLED)
            found["settled"] = peak(profile, now=True)
            found["most"] = peak(profile)
    finally:
        shutil.rmtree(profile, ignore_errors=True)
    return found
