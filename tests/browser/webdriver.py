"""Firefox and WebKitGTK as WebDriver (W3C Recommendation) drives them, with the standard library alone.

WebKitGTK is reached through its driver over HTTP. Firefox is reached over Marionette, the socket behind Mozilla's own
driver, which takes the same commands under other names: so no driver of Mozilla's is needed beside the browser.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import shutil
import signal
import socket
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # key of an element reference: WebDriver, section 12.1
START = 60  # [s] for a browser to answer at all
ANSWER = 120  # [s] for one command; the longest is a page that loads


class DriverError(Exception):
    """What the browser refused, in its own words."""


class _Process:
    """A program in a process group of its own, ended with all that it started."""

    def __init__(
        self, command: list[str], home: Path, *, fds: tuple[int, ...] = (), **environment: str
    ) -> None:
        self.running = subprocess.Popen(
            command,
            pass_fds=fds,
            env=os.environ | {"HOME": str(home), "XDG_RUNTIME_DIR": str(home)} | environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )

    def end(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.running.pid, signal.SIGTERM)
        try:
            self.running.wait(10)
        except subprocess.TimeoutExpired:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.running.pid, signal.SIGKILL)
            self.running.wait()


class Firefox:
    """Firefox without a window."""

    name = "firefox"
    missing = "" if shutil.which("firefox-esr") or shutil.which("firefox") else "no firefox-esr here"

    COMMANDS = {  # noqa: RUF012 - a table
        "url": "WebDriver:Navigate",
        "refresh": "WebDriver:Refresh",
        "execute/sync": "WebDriver:ExecuteScript",
        "click": "WebDriver:ElementClick",
        "value": "WebDriver:ElementSendKeys",
        "window/rect": "WebDriver:SetWindowRect",
        "screenshot": "WebDriver:TakeScreenshot",
    }

    def __init__(self, home: Path, capabilities: dict[str, Any]) -> None:
        profile = home / "profile"
        profile.mkdir(parents=True)
        settings = {
            "marionette.port": 0,
            "app.update.disabledForTesting": True,
            "browser.shell.checkDefaultBrowser": False,
            "datareporting.policy.dataSubmissionEnabled": False,
            "network.captive-portal-service.enabled": False,
            "network.connectivity-service.enabled": False,
            "toolkit.telemetry.reportingpolicy.firstRun": False,
        }
        lines = [f"user_pref({json.dumps(k)}, {json.dumps(v)});\n" for k, v in settings.items()]
        (profile / "user.js").write_text("".join(lines), encoding="utf-8")
        program = shutil.which("firefox-esr") or shutil.which("firefox") or ""
        command = [
            program,
            "--headless",
            "--marionette",
            "--no-remote",
            "--profile",
            str(profile),
            "about:blank",
        ]
        self.process = _Process(command, home)
        self.link: socket.socket | None = None
        self.count, self.heard = 0, b""
        try:
            self.link = self._connect(profile / "MarionetteActivePort")
            self._read()  # who is there
            self.version = self._send("WebDriver:NewSession", capabilities)["capabilities"]["browserVersion"]
        except BaseException:
            self.end()
            raise

    def _connect(self, port: Path) -> socket.socket:
        end = time.time() + START
        while True:
            with contextlib.suppress(OSError, ValueError):
                return socket.create_connection(("127.0.0.1", int(port.read_text())), timeout=ANSWER)
            if time.time() > end or self.process.running.poll() is not None:
                raise DriverError("Firefox did not start")
            time.sleep(0.1)

    def _read(self) -> Any:
        """One packet: its length in figures, a colon, JSON."""
        assert self.link
        while True:
            figures, colon, rest = self.heard.partition(b":")
            if colon and len(rest) >= int(figures):
                self.heard = rest[int(figures) :]
                return json.loads(rest[: int(figures)])
            more = self.link.recv(1 << 16)
            if not more:
                raise DriverError("Firefox has gone")
            self.heard += more

    def _send(self, name: str, parameters: dict[str, Any]) -> Any:
        assert self.link
        self.count += 1
        packet = json.dumps([0, self.count, name, parameters]).encode()
        self.link.sendall(str(len(packet)).encode() + b":" + packet)
        while True:
            kind, number, error, result = self._read()
            if (kind, number) == (1, self.count):
                if error:
                    raise DriverError(f"{error['error']}: {error['message']}")
                return result

    def command(self, path: str, body: dict[str, Any] | None = None, *, element: str = "") -> Any:
        result = self._send(self.COMMANDS[path], (body or {}) | ({"id": element} if element else {}))
        return result.get("value") if isinstance(result, dict) else result

    def end(self) -> None:
        if self.link:
            self.link.close()
        self.process.end()


class WebKit:
    """WebKitGTK's own small browser, in a window on a display that nobody sees."""

    name = "webkit"
    BROWSERS = sorted(Path("/usr").glob("lib*/**/webkit2gtk-4*/MiniBrowser"))
    missing = (
        "no WebKitWebDriver here (Debian: webkit2gtk-driver)"
        if not shutil.which("WebKitWebDriver")
        else "WebKitGTK's MiniBrowser is not here"
        if not BROWSERS
        else "no Xvfb here, and WebKitGTK needs a display"
        if not shutil.which("Xvfb")
        else ""
    )

    def __init__(self, home: Path, capabilities: dict[str, Any]) -> None:
        home.mkdir(parents=True, exist_ok=True)
        self.session = ""
        self.parts: list[_Process] = []
        try:
            self._start(home, capabilities)
        except BaseException:
            self.end()
            raise

    def _start(self, home: Path, capabilities: dict[str, Any]) -> None:
        told, tell = os.pipe()
        screen = ["-screen", "0", "1024x1024x24", "-nolisten", "tcp"]
        self.parts.append(_Process(["Xvfb", "-displayfd", str(tell), *screen], home, fds=(tell,)))
        os.close(tell)
        with os.fdopen(told) as line:
            display = line.readline().strip()  # empty if it ended
        if not display:
            raise DriverError("Xvfb did not start")
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{port}/session"
        environment = {"DISPLAY": f":{display}", "GDK_BACKEND": "x11", "NO_AT_BRIDGE": "1"}
        environment |= {"LIBGL_ALWAYS_SOFTWARE": "1", "WEBKIT_DISABLE_DMABUF_RENDERER": "1"}
        self.parts.append(_Process(["WebKitWebDriver", f"--port={port}"], home, **environment))
        self._until(lambda: socket.create_connection(("127.0.0.1", port), 1).close() is None, "no driver")
        options = {"binary": str(self.BROWSERS[-1]), "args": ["--automation"]}
        always = capabilities | {"webkitgtk:browserOptions": options}
        made = self._send("POST", "", {"capabilities": {"alwaysMatch": always}})
        self.session, self.version = f"/{made['sessionId']}", made["capabilities"]["browserVersion"]

    def _until(self, there, otherwise: str) -> None:
        end = time.time() + START
        while True:
            with contextlib.suppress(OSError):
                if there():
                    return
            if time.time() > end or self.parts[-1].running.poll() is not None:
                raise DriverError(otherwise)
            time.sleep(0.05)

    def _send(self, method: str, path: str, body: dict[str, Any] | None = None) -> Any:
        data = None if method in ("GET", "DELETE") else json.dumps(body or {}).encode()
        request = urllib.request.Request(self.address + self.session + path, data=data, method=method)
        try:
            with urllib.request.urlopen(request, timeout=ANSWER) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            said = json.loads(error.read() or b"{}").get("value") or {}
            raise DriverError(f"{said.get('error', error)}: {said.get('message', '')}") from None

    def command(self, path: str, body: dict[str, Any] | None = None, *, element: str = "") -> Any:
        where = f"/element/{element}/{path}" if element else f"/{path}"
        return self._send("GET" if path == "screenshot" else "POST", where, body)

    def end(self) -> None:
        if self.session:
            with contextlib.suppress(DriverError, OSError):
                self._send("DELETE", "")
        for part in reversed(self.parts):
            part.end()


# What a person sees and can press, through Bokeh's shadow roots. A control goes by its own words or its label's.
FIND = """
const [kind, name] = arguments;
const seen = (e) => e.getClientRects().length && getComputedStyle(e).visibility === 'visible';
const plain = (text) => (text ?? '').replace(/\\s+/g, ' ').trim();
const named = (e) => plain(e.getAttribute('aria-label')) || (kind === 'button' ? plain(e.textContent)
  : plain(e.labels?.[0]?.textContent));
const all = [];
(function walk(root) {
  for (const e of root.querySelectorAll('*')) {
    if (e.matches(kind === 'button' ? 'button, [role=button]' : 'input, textarea, select') && seen(e)) all.push(e);
    if (e.shadowRoot) walk(e.shadowRoot);
  }
})(document);
return all.find((e) => named(e) === name) ?? all.find((e) => named(e).startsWith(name)) ?? null;
"""

TEXT = """
const out = [];
(function walk(n) {
  if (n.nodeType === 3) { out.push(n.textContent); return }
  if (n.nodeType === 1 && (/^(STYLE|SCRIPT)$/.test(n.tagName) || getComputedStyle(n).display === 'none')) return;
  for (const c of n.shadowRoot ? n.shadowRoot.childNodes : []) walk(c);
  for (const c of n.childNodes) walk(c);
})(document.body);
return out.join(' ');
"""

# Carries as drawn: the data of every source that has means, in the order of the plot.
SOURCES = """
const last = [...Bokeh.documents].at(-1);
return last ? [...last._all_models.values()]
  .filter((m) => m.type === 'ColumnDataSource' && 'mean' in m.data && 'lo' in m.data)
  .map((m) => ({club: [...m.data.club], mean: [...m.data.mean]})).filter((d) => d.mean.length) : [];
"""

# Violations of the policy since it was first asked for; what was asked for outside.
WATCH = """
globalThis.seenFaults ??= (() => {
  const faults = [];
  addEventListener('securitypolicyviolation', (e) => faults.push(`policy: ${e.violatedDirective} ${e.blockedURI}`));
  addEventListener('error', (e) => faults.push(String(e.message)));
  addEventListener('unhandledrejection', (e) => faults.push(String(e.reason)));
  return faults;
})();
const ours = (url) => url.startsWith(location.origin + '/') || /^(blob|data):/.test(url);
return [...globalThis.seenFaults, ...performance.getEntriesByType('resource').map((e) => e.name).filter((u) => !ours(u))];
"""


class Visitor:
    """One person at one browser."""

    def __init__(self, kind: type[Firefox] | type[WebKit], home: Path, address: str) -> None:
        self.address = address
        self.driver = kind(home, {"pageLoadStrategy": "none", "timeouts": {"script": 60_000}})
        self.faults: list[str] = []
        self.driver.command("window/rect", {"width": 500, "height": 900})

    def run(self, script: str, *arguments: Any) -> Any:
        return self.driver.command("execute/sync", {"script": script, "args": list(arguments)})

    def until(self, expression: str, seconds: float = 60) -> None:
        end = time.time() + seconds
        while not self.run(f"return Boolean({expression})"):
            assert time.time() < end, f"not within {seconds} s: {expression}: {self.text()[:600]}"
            time.sleep(0.1)

    def open(self, fragment: str = "") -> None:
        self.driver.command("url", {"url": self.address + fragment})
        self.ready()

    def reload(self) -> None:
        self.watch()
        self.run("document.documentElement.dataset.state = 'before'")
        self.run("location.reload()")  # what drivers call a refresh may go past the service worker
        self.until("document.documentElement.dataset.state !== 'before'")
        self.ready()

    def ready(self) -> None:
        self.until(f"location.href.startsWith({json.dumps(self.address)}) && document.body")
        self.watch()
        self.until("document.documentElement.dataset.state === 'ready'", 120)

    def watch(self) -> None:
        """Note what went wrong up to here."""
        self.faults += self.run(WATCH)

    def _element(self, kind: str, name: str, seconds: float = 20) -> str:
        end = time.time() + seconds
        while not (found := self.run(FIND, kind, name)):
            assert time.time() < end, f"no {kind} {name!r}: {self.text()[:600]}"
            time.sleep(0.1)
        return found[ELEMENT]

    def tap(self, name: str) -> None:
        def act():
            element = self._element("button", name)
            # in the middle of the screen, where neither the step bar nor a notice covers it
            self.run("arguments[0].scrollIntoView({block: 'center'})", {ELEMENT: element})
            self.driver.command("click", element=element)

        self._press(act)

    def fill(self, label: str, text: str) -> None:
        keys = text + "\ue007"  # Enter
        self._press(
            lambda: self.driver.command("value", {"text": keys}, element=self._element("field", label))
        )

    def value(self, label: str) -> str:
        """What stands in a field."""
        return self.run("return arguments[0].value", {ELEMENT: self._element("field", label)})

    def _press(self, act, seconds: float = 20) -> None:
        """Again while the screen is being drawn anew or something passes over it."""
        end = time.time() + seconds
        while True:
            try:
                return act()
            except DriverError as error:
                passing = "stale element", "element click intercepted", "element not interactable"
                if time.time() > end or not str(error).startswith(passing):
                    raise
                time.sleep(0.2)

    def text(self) -> str:
        return self.run(TEXT)

    def sources(self) -> list[dict[str, list]]:
        return self.run(SOURCES)

    def settled(self, seconds: float = 30) -> list[dict[str, list]]:
        """Carries as drawn once they have not changed for two seconds."""
        end, last, since = time.time() + seconds, None, time.time()
        while True:
            now = self.sources()
            if now != last:
                last, since = now, time.time()
            elif now and time.time() - since > 2:
                return now
            assert time.time() < end, f"carries not drawn within {seconds} s: {self.text()[:600]}"
            time.sleep(0.2)

    def shot(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(base64.b64decode(self.driver.command("screenshot")))
