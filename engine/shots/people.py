"""Whose balls a text holds: two people's are not put into one."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from .cells import TableError, missing
from .labels import is_person

ONE = "keep the rows of one of them and take in each person's balls under their own player"


@dataclass(slots=True)
class People:
    """People that the columns and the lines above the headings name: where first, and as written."""

    columns: dict[str, dict[str, tuple[int, str]]] = field(default_factory=dict)
    labels: dict[str, tuple[int, str]] = field(default_factory=dict)

    def note(self, line: int, heading: str, cell: str) -> None:
        """A person in a column."""
        self.columns.setdefault(heading, {}).setdefault(_plain(cell), (line, cell.strip()))

    def label(self, line: int, cells: list[str]) -> None:
        """A line such as "Player, Anna" or "Player: Anna"; other lines say nothing."""
        filled = [cell for cell in cells if not missing(cell)]
        parts = filled[0].split(":", 1) if len(filled) == 1 else filled
        if len(parts) == 2 and is_person(parts[0]) and parts[1].strip() and not re.search(r"\d", parts[1]):
            self.labels.setdefault(_plain(parts[1]), (line, parts[1].strip()))

    def check(self) -> None:
        """Raise `TableError` where balls are of more than one person."""
        for heading, found in self.columns.items():
            self._refuse(found, f"column \u201c{heading[:40]}\u201d, ")
        self._refuse(self.labels, "")

    def _refuse(self, found: dict[str, tuple[int, str]], where: str) -> None:
        if len(found) > 1:
            names = [name[:30] for _, name in found.values()]
            line = sorted(line for line, _ in found.values())[1]
            more = f" and {len(names) - 3} more" if len(names) > 3 else ""
            raise TableError(
                f"the balls are of several people ({', '.join(names[:3])}{more})", f"{where}line {line}", ONE
            )


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
