"""The dashboard inside the page's worker: made there or taken up from a memory image, then tied to its twin in the page.

``shell`` is the worker's side: an object with ``patch(patch, buffers)``, ``said(kind, payload)``,
``entries``, and ``address``, that of the page without a fragment.
"""

from __future__ import annotations

import json
import traceback
from typing import Any

from app import bridge
from app.main import make_document

_panel: Any = None


def library(shell: Any) -> Any:
    """Panel's module for Pyodide, which makes a helper by eval on import; a strict policy forbids that, so it gets ours."""
    global _panel
    import pyodide.code

    run_js = pyodide.code.run_js
    pyodide.code.run_js = lambda code: getattr(shell, "entries", None)
    try:
        from panel.io import pyodide as panel_in_worker
    finally:
        pyodide.code.run_js = run_js
    _panel = panel_in_worker
    _panel._dict_converter = getattr(shell, "entries", None)
    bridge.address = str(getattr(shell, "address", ""))
    return _panel


async def make(shell: Any, hash_: str, saved: str | None, owner: str = "") -> list[str]:
    """Make the document; returns it and its render items as JSON. At build time ``shell`` is ``None``."""
    library(shell)
    bridge.install(None if shell is None else lambda kind, payload: shell.said(kind, json.dumps(payload)))
    _panel.init_doc()
    for root in make_document({"hash": hash_, "owner": owner, "saved": saved}):
        root.servable()
    docs, items, _ = await _panel.write_doc()
    return [docs, items]


def check() -> str:
    """A few sums through numpy's and scipy's compiled parts, to the last bit: the same wherever the memory is sound."""
    import numpy as np
    from scipy.optimize import least_squares

    from engine.physics.air import Air
    from engine.physics.trajectory import Launch, fly

    launch = Launch(np.array([45.0, 60.0]), np.array([0.3, 0.2]), np.array([600.0, 300.0]))
    carry = fly(launch, Air(1.2, 1.81e-5)).carry
    solved = np.linalg.solve(np.array([[2.0, 1.0], [1.0, 3.0]]), carry)
    fitted = least_squares(lambda x: np.sin(x) - solved / 300.0, np.zeros(2)).x
    return " ".join(float(x).hex() for x in (*carry, *solved, *fitted))


def freshen(language: str) -> str:
    """After a restore: chance, language and time zone of this browser instead of the build's; returns `check`.

    The hash seed stays that of the build: everything already hashed depends on it, and only the person's own text comes in.
    """
    import os
    import random
    import sys
    import time

    os.environ.pop("PYTHONHASHSEED", None)
    os.environ["LANG"] = f"{language}.UTF-8"
    if hasattr(time, "tzset"):
        time.tzset()
    random.seed()
    if "numpy.random.mtrand" in sys.modules:
        sys.modules["numpy.random"].seed()
    return check()


def link(shell: Any) -> None:
    """From now on changes go to the page."""
    from panel.io.state import state

    document: Any = state.curdoc
    _panel._link_docs_worker(document, lambda patch, buffers, _id: shell.patch(patch, buffers), setter="js")
    state._loaded[document] = state._connected[document] = True


def take_up(shell: Any, hash_: str, saved: str | None, owner: str = "") -> None:
    """After a restore: the document was made blank at build time; link it and open what this person has."""
    library(shell)
    bridge.install(lambda kind, payload: shell.said(kind, json.dumps(payload)))
    link(shell)
    if hash_ or saved:
        bridge.receive("begin", {"hash": hash_, "owner": owner, "saved": saved})


async def apply(patch: Any) -> str:
    """One patch from the page; says in a line what went wrong, or nothing."""
    from panel.io.state import state

    document: Any = state.curdoc
    try:
        document.apply_json_patch(_panel._convert_json_patch(patch), setter="js")
    except Exception as error:
        traceback.print_exc()
        return f"{type(error).__name__}: {error}"
    return ""


def receive(kind: str, payload: str) -> str:
    """One message from the page; says in a line what went wrong, or nothing."""
    try:
        bridge.receive(kind, json.loads(payload))
    except Exception as error:
        traceback.print_exc()
        return f"{type(error).__name__}: {error}"
    return ""
