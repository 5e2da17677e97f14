"""Words for what the engine states: one phrase for each kind, in the units shown; the names of clubs go in untouched.

Nothing here computes, and nothing here needs the dashboard: the command line says its results by the same phrases.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from app.phrases import bag, body, notes, sets, workshop
from app.phrases.say import KINDS_OF_LAYOUT, Phrase, Say, percent
from engine.statements import Statement, statement_of

__all__ = ["KINDS_OF_LAYOUT", "PHRASES", "percent", "phrase", "phrases"]

PHRASES: dict[str, Phrase] = workshop.PHRASES | notes.PHRASES | bag.PHRASES | body.PHRASES | sets.PHRASES


def phrase(
    statement: Statement | Mapping[str, Any], system: str, *, titles: Mapping[str, str] | None = None
) -> str:
    """A statement, or its document, in words.

    Parameters
    ----------
    system : ``metric`` or ``imperial``
    titles : of the layouts by id; their kind where not given
    """
    said = statement if isinstance(statement, Statement) else statement_of(statement)
    return PHRASES[said.kind](Say(said, system, titles or {}))


def phrases(
    statements: Iterable[Statement | Mapping[str, Any]],
    system: str,
    *,
    titles: Mapping[str, str] | None = None,
) -> list[str]:
    """Each of several statements in words."""
    return [phrase(statement, system, titles=titles) for statement in statements]
