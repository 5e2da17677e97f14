"""The dashboard inside the browser's worker: makes the document, takes the page's changes, sends its own in one piece.

Only the worker imports this; it needs Pyodide's ``js`` module.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from typing import Any

from app import bridge

_waiting: list[Any] = []
_document: Any = None
_post: Callable[..., None] | None = None
_planned = False


async def start(boot: dict[str, Any], post: Callable[..., None]) -> str:
    """Make the document of ``boot``; returns ``{"document", "roots"}`` as JSON. ``post(kind, payload)`` reaches the page."""
    global _document, _post
    from bokeh.settings import settings
    from panel.io.pyodide import init_doc, write_doc
    from panel.io.state import state

    from app.main import make_document

    init_doc()
    settings.simple_ids.set_value(True)
    _post = post
    bridge.install(lambda kind, payload: post("page", json.dumps({"kind": kind, "payload": payload})))
    for root in make_document(boot):
        root.servable()
    documents, _, roots = await write_doc()
    _document = state.curdoc
    ((_, document),) = json.loads(documents).items()
    return json.dumps({"document": document, "roots": json.loads(roots)}, sort_keys=True)


def link() -> None:
    """From now on the document's changes go to the page: call once the page has drawn it."""
    from bokeh.document.events import DocumentReady

    _document.on_change(_collect)
    _document.unhold()
    _document.callbacks.trigger_event(DocumentReady())


def apply(patch: str) -> None:
    """Take a change of the page (a Bokeh patch as JSON) and send back all that it brought about as one change."""
    try:
        _document.apply_json_patch(json.loads(patch), setter="js")
    finally:
        _flush()


def receive(kind: str, payload: str) -> None:
    """A message of the page that is no change of the document; ``payload`` is JSON."""
    bridge.receive(kind, json.loads(payload))
    _flush()


def _collect(event: Any) -> None:
    global _planned
    if getattr(event, "setter", None) == "js":
        return
    _waiting.append(event)
    if not _planned:
        _planned = True
        asyncio.get_event_loop().call_soon(_flush)


def _flush() -> None:
    global _planned
    _planned = False
    if not _waiting or _post is None:
        return
    from bokeh.core.json_encoder import serialize_json
    from bokeh.core.serialization import Serializer

    events = _waiting.copy()
    _waiting.clear()
    serializer = Serializer(references=_document.models.synced_references, deferred=False)
    patch = {"events": serializer.encode(events)}
    _document.models.flush_synced(lambda model: not serializer.has_ref(model))
    _post("patch", serialize_json(patch))
