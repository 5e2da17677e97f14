"""One thread for linear algebra, as in the browser: our matrices are so small that threads only wait for one another."""

import os

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when numpy is first imported, after this


def pytest_collection_modifyitems(items):
    """Where two workers share the suite, one has the browsers one after the other, since some of their tests look at the
    clock, and the other the files of the rest."""
    for item in items:
        folder = "browser" if item.path.parent.name == "browser" else str(item.path)
        item.add_marker(pytest.mark.xdist_group(folder))
