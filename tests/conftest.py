"""One thread for linear algebra, as in the browser: our matrices are so small that threads only wait for one another; and
which tests go first where two workers share the suite; and the day on the device, for tests that set it."""

import os
from datetime import date

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when numpy is first imported, after this


FIRST = (
    "address",
    "engines",
    "failures",
    "faults",
    "image",
    "paste_box",
    "steps",
    "storage",
    "typing",
    "updates",
)
"""Tests in a browser some of which look at the clock: one worker has them, one after the other, from the start."""


def _turn(nodeid):
    """0 for tests in a browser that go first, 2 for those that go last and may have another browser beside them."""
    if not nodeid.startswith("tests/browser/"):
        return 1
    return 0 if nodeid.startswith(tuple(f"tests/browser/test_{name}.py" for name in FIRST)) else 2


def pytest_collection_modifyitems(items):
    items.sort(key=lambda item: _turn(item.nodeid))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    from xdist.scheduler import LoadFileScheduling

    class InTurn(LoadFileScheduling):
        def _split_scope(self, nodeid):
            return "browser" if _turn(nodeid) == 0 else super()._split_scope(nodeid)

    config.option.loadscopereorder = False
    return InTurn(config, log)


@pytest.fixture
def clock(monkeypatch):
    """Sets the day on the device."""

    def at(day):
        class Clock(date):
            @classmethod
            def today(cls):
                return cls.fromisoformat(day)

        monkeypatch.setattr("app.dates.date", Clock)

    at("2031-05-03")
    return at
