"""What is to be said about a table beside its shots: lines left out, remarks, questions."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..statements import Statement


@dataclass(frozen=True, slots=True)
class LineLeftOut:
    """A line that gave no shot: its number from 1, its beginning, and why."""

    line: int
    text: str
    reason: Statement


@dataclass(frozen=True, slots=True)
class Question:
    """Something assumed: ``key`` is the argument of `read_table` that answers it."""

    key: str
    statement: Statement
    taken: str
    options: tuple[str, ...] = ()


@dataclass(slots=True)
class Remarks:
    """Gathers what is to be said while a text is read; ``unknown`` counts rows by club name."""

    left_out: list[LineLeftOut] = field(default_factory=list)
    warnings: list[Statement] = field(default_factory=list)
    needs: list[Question] = field(default_factory=list)
    unknown: dict[str, int] = field(default_factory=dict)

    def leave(self, line: int, text: str, reason: Statement) -> None:
        """Leave a line out, with its beginning and the reason."""
        self.left_out.append(LineLeftOut(line, " ".join(text[:400].split())[:80], reason))
