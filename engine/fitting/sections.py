"""The whole result document: what `engine.solve.solve` says, and every section beside it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ..documents.case import Case
from ..statements import Statement
from ..statistics import plain
from .fitting import Fitting
from .known_swing import DRAWS

SECTIONS = (
    "body",
    "lies",
    "lofts",
    "irons_stop",
    "common_length",
    "build",
    "make_up",
    "driver",
    "driver_length",
    "woods",
    "ball",
    "putter",
    "wedge_table",
    "next_ball",
    "retest",
    "then_and_now",
    "job_record",
)
"""Keys of the result document beside those of `Result`, each called as the part of `Fitting` that it is written from;
``None`` where the case holds nothing to make it from."""


def document(
    case: Case, *, draws: int = DRAWS, words: Callable[[Statement], str] | None = None
) -> dict[str, Any]:
    """The whole result document of a case: all that `engine.solve.solve` says, and every section.

    words : puts a statement into a sentence, for ``what`` and ``why`` of the advice and for the warnings; they are ``None``
    without it
    """
    fitting = Fitting(case, draws)
    doc = (fitting.result if words is None else fitting.result.in_words(words)).to_doc()
    doc["layout_to_build"] = fitting.layout.id
    return doc | {name: plain(getattr(fitting, name)) for name in SECTIONS}
