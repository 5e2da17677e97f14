"""The built site on a server that can be killed, and pages that fail on any error or request outside the site."""

from __future__ import annotations

import functools
import json
import os
import shutil
import socketserver
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[2]
SITE = ROOT / "site"
SHOTS = ROOT / ".cache" / "screenshots"
sys.path.insert(0, str(ROOT / ".make"))
from serve import server  # noqa: E402

PHONE = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-features=AutofillServerCommunication,NetworkTimeServiceQuerying,PreconnectToSearch",
]


# A violation of the page's policy is also printed as an error, but not by every browser and not in every mode.
WATCH = """addEventListener("securitypolicyviolation", (event) =>
  console.error(`policy: ${event.violatedDirective} refused ${event.blockedURI} (${event.sourceFile})`))"""


def command_line(case) -> dict:
    """The result document that ``python -m engine`` writes for a case."""
    done = subprocess.run(
        [sys.executable, "-m", "engine", "-"],
        input=json.dumps(case.to_doc()),
        capture_output=True,
        text=True,
        cwd=ROOT,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


class Served:
    """A site on this machine; `stop` is what the loss of the network looks like."""

    def __init__(self, site: Path = SITE) -> None:
        assert (SITE / "index.html").exists(), "build the site first: python3 build.py build"
        self.running = server(site, 0)
        self.address = f"http://localhost:{self.running.server_address[1]}/"
        threading.Thread(target=self.running.serve_forever, daemon=True).start()
        self.up = True

    def stop(self) -> None:
        if self.up:
            self.running.shutdown()
            self.running.server_close()
            self.up = False


class Person:
    """One page as a person uses it, and what went wrong on it."""

    def __init__(self, context, address: str) -> None:
        self.page = context.new_page()
        self.address = address
        self.faults: list[str] = []
        self.outside: list[str] = []
        self.page.add_init_script(WATCH)
        self.page.on("pageerror", lambda error: self.faults.append(str(error)[:400]))
        self.page.on("console", self._said)
        context.on("request", lambda r: None if self._ours(r.url) else self.outside.append(r.url))

    def _said(self, message) -> None:
        if message.type == "error":
            self.faults.append(f"{message.text[:400]} ({message.location.get('url', '')[:200]})")

    def _ours(self, url: str) -> bool:
        return url.startswith((self.address, "blob:", "data:"))

    def until(self, expression: str, seconds: float = 60) -> None:
        """Ask again and again from outside: the page's policy forbids the eval that waiting inside it needs."""
        end = time.time() + seconds
        while not self.page.evaluate(expression):
            assert time.time() < end, (
                f"not within {seconds} s: {expression}: {self.page.inner_text('body')[:400]}"
            )
            time.sleep(0.05)

    def open(self, fragment: str = "") -> None:
        self.page.goto(self.address + fragment)
        self.ready()

    def ready(self) -> None:
        self.until("document.documentElement.dataset.state == 'ready'", 90)

    def offline_ready(self) -> None:
        self.until("document.documentElement.dataset.offline == 'ready'", 90)

    def tap(self, name: str, *, exact: bool = False) -> None:
        self.page.get_by_role("button", name=name, exact=exact).first.tap()

    def sources(self) -> list[dict]:
        """Carries as drawn: the data of every source that has means, in the order of the plot."""
        return self.page.evaluate(
            """() => [...Bokeh.documents].at(-1) && [...[...Bokeh.documents].at(-1)._all_models.values()]
            .filter(m => m.type === 'ColumnDataSource' && 'mean' in m.data && 'lo' in m.data)
            .map(m => ({club: [...m.data.club], mean: [...m.data.mean]})).filter(d => d.mean.length)"""
        )

    def drawn(self, seconds: float = 60) -> list[dict]:
        """`sources`, once there are some and they stand still."""
        end, last = time.time() + seconds, None
        while time.time() < end:
            self.page.wait_for_timeout(500)
            now = self.sources()
            if now and now == last:
                return now
            last = now
        raise AssertionError(f"no carries drawn within {seconds} s: {self.page.inner_text('body')[:400]}")

    def text(self) -> str:
        """All text on the page that is shown, through shadow roots."""
        return self.page.evaluate(
            """() => { const out = []; const walk = n => {
              if (n.nodeType === 3) { out.push(n.textContent); return }
              if (n.nodeType === 1 && (n.tagName === 'STYLE' || n.tagName === 'SCRIPT' ||
                  getComputedStyle(n).display === 'none')) return;
              for (const c of n.shadowRoot ? n.shadowRoot.childNodes : []) walk(c);
              for (const c of n.childNodes) walk(c) };
              walk(document.body); return out.join(' ') }"""
        )

    def shot(self, name: str) -> None:
        SHOTS.mkdir(parents=True, exist_ok=True)
        self.page.screenshot(path=SHOTS / f"{name}.png")


class Recorder:
    """A proxy that lets nothing through and notes what any page, worker or service worker wanted outside."""

    def __init__(self) -> None:
        self.seen: list[str] = []
        self.own: list[str] = []  # what this browser asks for by itself, with an empty page
        recorder = self

        class Note(socketserver.StreamRequestHandler):
            def handle(self) -> None:
                recorder.seen.append(self.rfile.readline(2000).decode("latin-1").strip())
                self.wfile.write(b"HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")

        self.running = socketserver.ThreadingTCPServer(("127.0.0.1", 0), Note)
        self.running.daemon_threads = True
        self.address = f"http://127.0.0.1:{self.running.server_address[1]}"
        threading.Thread(target=self.running.serve_forever, daemon=True).start()

    def stop(self) -> None:
        self.running.shutdown()
        self.running.server_close()


@pytest.fixture(scope="package")
def recorder():
    proxy = Recorder()
    yield proxy
    proxy.stop()
    ours = [line for line in proxy.seen if line not in proxy.own]
    assert ours == [], "something was asked for outside the site"


@pytest.fixture(scope="package")
def playwright():
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="package")
def chromium(playwright, recorder):
    path = os.environ.get("FETTLE_CHROMIUM") or shutil.which("chromium")
    browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
    # by context, not for the whole browser, whose own look-ups are none of ours; some makes have such by context too
    own = Recorder()
    empty = browser.new_context(proxy={"server": own.address, "bypass": "localhost"})
    page = empty.new_page()
    page.goto("data:text/html,<title>empty</title>")
    page.wait_for_timeout(3000)
    recorder.own = own.seen
    proxy = {"server": recorder.address, "bypass": "localhost"}
    browser.new_context = functools.partial(browser.new_context, proxy=proxy)
    yield browser
    browser.close()
    own.stop()


@pytest.fixture(scope="module")
def slow(playwright, tmp_path_factory):
    """A browser whose pages and workers run a quarter of the time once they are there."""
    from chrome import Chrome  # which needs this module

    profile = tmp_path_factory.mktemp("slow")
    browser = Chrome(playwright, profile)
    yield browser
    browser.browser.close()
    browser.kill()


def lent(site):
    yield site
    site.stop()


@pytest.fixture
def served():
    yield from lent(Served())


@pytest.fixture
def person(chromium, served):
    """A new person on a phone; the test fails if the page erred or asked for anything outside the site."""
    context = chromium.new_context(**PHONE)
    someone = Person(context, served.address)
    yield someone
    context.close()
    assert someone.faults == []
    assert someone.outside == []


@pytest.fixture
def host():
    from host import Host  # which needs this module

    yield from lent(Host())


@pytest.fixture
def context(chromium):
    """A phone whose pages all come from the host."""
    made = chromium.new_context(**PHONE, service_workers="block")
    yield made
    made.close()
