"""Usual cautions for bench, range and body: shown beside the step they belong to and once on the sheet.

Usual workshop practice. Local codes, the maker's sheet of each product, and a qualified club builder come first.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..statements import Statement, state
from ..statements.workshop import CAUTION_IDS


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution by its id, which names the kind of work it goes with."""

    id: str
    statement: Statement


CAUTIONS: dict[str, Caution] = {id_: Caution(id_, state(f"caution.{id_}")) for id_ in CAUTION_IDS}


def cautions(*ids: str) -> tuple[Caution, ...]:
    """Cautions of these ids, each once, in the order of the table."""
    return tuple(c for c in CAUTIONS.values() if c.id in ids)
