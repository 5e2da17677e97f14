"""Words for what the engine states: one phrase for each kind, in the units shown; the names of clubs go in untouched.

Nothing here computes, and nothing here needs the dashboard: the command line says its results by the same phrases.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from app.phrases import bag, body, layouts, notes, sets, swing, verdict, workshop
from app.phrases.say import Phrase, Say, percent
from engine.statements import Statement, statement_of

__all__ = ["PHRASES", "percent", "phrase", "phrases"]

PHRASES: dict[str, Phrase] = (
    swing.PHRASES
    | layouts.PHRASES
    | verdict.PHRASES
    | sets.PHRASES
    | workshop.PHRASES
    | bag.PHRASES
    | body.PHRASES
    | notes.PHRASES
)


def phrase(statement: Statement | Mapping[str, Any], system: str) -> str:
    """A statement, or its document, in words; ``system`` is ``metric`` or ``imperial``."""
    said = statement if isinstance(statement, Statement) else statement_of(statement)
    return PHRASES[said.kind](Say(said, system))


def phrases(statements: Iterable[Statement | Mapping[str, Any]], system: str) -> list[str]:
    """Each of several statements in words."""
    return [phrase(statement, system) for statement in statements]
