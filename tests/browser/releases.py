"""Small sites around the real service worker: releases that can be told apart, and a host that can be cut off; and an
earlier release of the whole site."""

from __future__ import annotations

import io
import itertools
import os
import random
import shutil
import subprocess
import sys
import tarfile
import tempfile
import threading
import time
import tomllib
from pathlib import Path

import pytest
from archives import lists
from conftest import ROOT, SITE, Served
from serve import Handler

PAGE = """<!doctype html>
<html lang="en" data-release="{release}">
<meta charset="utf-8"><title>light</title><link rel="icon" href="data:,">
<body><div id="notices"></div><script type="module" src="./main.js"></script></body></html>
"""
MAIN = """import {{ goOffline, repair, verifyStored }} from "./shell/offline.js";
const root = document.documentElement;
const text = async (path) => (await (await fetch(path)).text()).slice(0, 20).split(" ")[0];
const files = await (await fetch("./files.json")).json();
const parts = ["{release}", root.dataset.release, await text("./runtime/large.bin"), await text("./runtime/small.bin")];
root.dataset.mixed = new Set(parts).size > 1 ? parts.join() : "";
globalThis.light = {{ repair, verifyStored, text, late: () => text(`./runtime/late.bin?release=${{files.runtime.id}}`) }};
root.dataset.state = root.dataset.mixed ? "failed" : "ready";
goOffline();
"""


def light_release(site: Path, release: str, *, kilobytes: int = 2500) -> Path:
    """A site of a few files that all say which release they are of; ``large.bin`` is too large to be checked at once."""
    shutil.rmtree(site, ignore_errors=True)
    for folder in ("runtime", "app", "shell"):
        (site / folder).mkdir(parents=True)
    for name in ("sw.template.js", "shell/offline.js", "shell/notices.js", "shell/update.js"):
        shutil.copy(SITE / name, site / name)
    noise = random.Random(release)
    for name, size in (("small", 20), ("large", kilobytes), ("late", 300)):
        data = f"{release} ".encode() + noise.randbytes(size * 1000)
        (site / "runtime" / f"{name}.bin").write_bytes(data)
    for number in range(12):
        (site / "app" / f"part{number}.js").write_text(f"// {release} {number}\n")
    (site / "main.js").write_text(MAIN.format(release=release))
    (site / "index.html").write_text(PAGE.format(release=release))
    lists(site)
    return site


BUILD = """import sys
sys.path.insert(0, ".make")
import site_build
from pathlib import Path
site_build.build(Path.cwd())"""


def earlier_site(release: str) -> Path:
    """The site of an earlier release, made from the history by that release's own build, which takes half a minute, and
    kept. It needs no piece that the site of today does not need; the test is skipped where that is so no longer.
    """
    kept = ROOT / ".cache" / f"site-{release}"
    if kept.exists():
        return kept
    made = subprocess.run(["git", "archive", release], cwd=ROOT, capture_output=True, check=False)
    if made.returncode:
        pytest.skip("there is no history here")
    with tempfile.TemporaryDirectory(dir=kept.parent) as folder:
        with tarfile.open(fileobj=io.BytesIO(made.stdout)) as files:
            files.extractall(folder, filter="data")
        there = Path(folder)
        then, now = (
            tomllib.loads((x / "fettle.lock").read_text(encoding="utf-8"))["web"] for x in (there, ROOT)
        )
        if any(then[part] != now[part] for part in ("core", "wheels")):
            pytest.skip("that release needs pieces which are no longer at hand")
        (there / ".cache").mkdir()
        shutil.copytree(kept.parent / "pyodide", there / ".cache" / "pyodide", copy_function=os.link)
        apart = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
        subprocess.run([sys.executable, "-B", "-c", BUILD], cwd=there, env=apart, check=True)
        (there / "site").rename(kept)
    return kept


_TURNS = itertools.count(1)


def publish(new: Path, site: Path) -> None:
    """Put a release where the host serves it, file by file, the service worker last."""
    when = time.time() + 2 * next(_TURNS)  # a host tells versions apart by the second of their date
    for path in sorted(new.rglob("*"), key=lambda p: p.name == "sw.js"):
        if path.is_file():
            target = site / path.relative_to(new)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(path, target)
            os.utime(target, times=(when, when))


class Weak(Served):
    """A host whose signal can go at any moment, in the middle of a file too."""

    def __init__(self, site: Path, *, chunk: int = 65536, pause: float = 0.0) -> None:
        super().__init__(site)
        weak = self
        self.cut = threading.Event()
        self.stalled = threading.Event()  # asked, and no answer comes

        class CutHandler(Handler):
            def __init__(self, *args) -> None:
                super().__init__(*args, directory=str(site))

            def do_GET(self) -> None:  # noqa: N802, the name is http.server's
                while weak.stalled.is_set() and not weak.cut.is_set():
                    time.sleep(0.02)
                if weak.cut.is_set():
                    self.close_connection = True
                    return
                super().do_GET()

            def copyfile(self, source, outputfile) -> None:
                while data := source.read(chunk):
                    if weak.cut.is_set():
                        self.close_connection = True
                        return
                    outputfile.write(data)
                    if pause:
                        time.sleep(pause)

        self.running.RequestHandlerClass = CutHandler
