"""Runs tests in forks of one warm process, which has imported all from outside but nothing of the project.

Asked by lines of JSON on standard input, answered by lines of JSON on the output. Started by `mutate` in a copy of the
tree; what stands in the copy's files when it asks is what the fork imports.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import signal
import sys
import threading
import time
import types
from pathlib import Path
from typing import Any

import pytest


class OutOfTime(BaseException):  # passes by every `except Exception`
    """A test went on for longer than it may."""


class Picked:
    """Runs the tests named, in the order named, each with a limit of its own; notes the first that fails.

    Limits are seconds of the processor, as recorded, so that a busy machine makes no fault look noticed.
    """

    def __init__(self, tests: dict[str, float]) -> None:
        self.tests = tests
        self.failed: list[str] = []

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, config: pytest.Config, items: list[pytest.Item]) -> None:
        there = {item.nodeid: item for item in items}
        config.hook.pytest_deselected(items=[i for i in items if i.nodeid not in self.tests])
        items[:] = [there[name] for name in self.tests if name in there]

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        signal.signal(signal.SIGPROF, _out_of_time)
        signal.setitimer(signal.ITIMER_PROF, self.tests[item.nodeid])
        yield
        signal.setitimer(signal.ITIMER_PROF, 0)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed.append(f"{report.nodeid} (import)")


def _out_of_time(number: int, frame: types.FrameType | None) -> None:
    raise OutOfTime("it ran on without end")


class Recorded:
    """Notes which lines of the named packages each test runs, its fixtures among them, and how long it takes."""

    def __init__(self, packages: list[str]) -> None:
        here = os.getcwd() + os.sep
        self.start, self.folders = len(here), tuple(here + package + os.sep for package in packages)
        self.seen: dict[types.CodeType, set[int]] = {}
        self.known: dict[int, tuple[types.CodeType, tuple[set[int], set[int], Any] | None]] = {}
        self.tests: dict[str, dict[str, Any]] = {}
        self.failed: list[str] = []

    def _call(self, frame: types.FrameType, event: str, arg: object) -> Any:
        code = frame.f_code
        known = self.known.get(id(code)) or self.known.setdefault(id(code), (code, self._meet(code)))
        if known[1] is None:
            return None
        seen, every, line = known[1]
        return None if seen >= every else line  # nothing new can come of it

    def _meet(self, code: types.CodeType) -> tuple[set[int], set[int], Any] | None:
        """Of a function of ours: the lines seen, all it has, and what notes a line; None of any other."""
        if not code.co_filename.startswith(self.folders):
            return None
        every = {line for _, _, line in code.co_lines() if line is not None}
        seen = self.seen[code] = set()
        note = seen.add

        def line(frame: types.FrameType, event: str, arg: object) -> Any:
            note(frame.f_lineno)
            return line

        return seen, every - {code.co_firstlineno} or every, line

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        for seen in self.seen.values():
            seen.clear()
        begun = time.process_time()  # of the processor: how busy the machine is does not change it
        threading.settrace(self._call)
        sys.settrace(self._call)
        yield
        sys.settrace(None)
        threading.settrace(None)
        masks: dict[str, int] = {}
        for code, lines in self.seen.items():
            name = code.co_filename[self.start :]
            for line in lines:
                masks[name] = masks.get(name, 0) | 1 << line
        self.tests[item.nodeid] = {
            "seconds": round(time.process_time() - begun, 3),
            "lines": {name: f"{mask:x}" for name, mask in sorted(masks.items())},
        }

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)


def child(asked: dict[str, Any], answer: Path) -> int:
    """One run of pytest; 0 when all passed."""
    plugin: Picked | Recorded
    options = ["-q", "-p", "no:cacheprovider", "-o", "timeout=0", *asked["files"]]
    if asked["what"] == "record":
        plugin = Recorded(asked["packages"])
    else:
        plugin = Picked(asked["tests"])
        options += ["-x"] if asked["what"] == "run" else []
    code = int(pytest.main(options, plugins=[plugin]))
    said: dict[str, Any] = {"code": code, "failed": plugin.failed}
    if isinstance(plugin, Recorded):
        said["tests"] = plugin.tests
    answer.write_text(json.dumps(said), encoding="utf-8")
    return code


def forked(asked: dict[str, Any]) -> dict[str, Any]:
    answer = Path(asked["answer"])
    answer.unlink(missing_ok=True)
    pid = os.fork()
    if pid == 0:
        code = 70
        try:
            os.setsid()
            quiet = os.open(os.devnull, os.O_RDONLY)
            log = os.open(answer.with_suffix(".log"), os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(quiet, 0)
            os.dup2(log, 1)
            os.dup2(log, 2)
            code = child(asked, answer)
        finally:
            os._exit(code)
    end = time.monotonic() + asked["limit"]
    while os.waitpid(pid, os.WNOHANG) == (0, 0):
        if time.monotonic() > end:
            os.killpg(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
            return {"code": -1, "failed": []}
        time.sleep(0.01)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(pid, signal.SIGKILL)  # what a test may have left running
    if not answer.exists():
        return {"code": -2, "failed": []}
    said: dict[str, Any] = json.loads(answer.read_text(encoding="utf-8"))
    return said


def main(modules: list[str]) -> None:
    for name in modules:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    if threading.active_count() > 1:
        raise SystemExit(f"threads run after the imports, a fork would lose them: {threading.enumerate()}")
    print(json.dumps({"ready": True}), flush=True)
    for line in sys.stdin:
        print(json.dumps(forked(json.loads(line))), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
