"""One thread for linear algebra, as in the browser: our matrices are so small that threads only wait for one another."""

import os

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when numpy is first imported, after this


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Where two workers share the suite, one has the browsers one after the other, since some of their tests look at the
    clock, and the other the files of the rest."""
    from xdist.scheduler import LoadFileScheduling

    class BrowsersTogether(LoadFileScheduling):
        def _split_scope(self, nodeid):
            return "browser" if nodeid.startswith("tests/browser/") else super()._split_scope(nodeid)

    return BrowsersTogether(config, log)
