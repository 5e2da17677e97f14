"""The player's own names of part swings, as they stand in lines and cells."""

from __future__ import annotations

import re
from collections.abc import Iterable

LETTERS = 3  # in a row, so that a name is not a club's letter or a number


class Sizes:
    """Names of part swings, found whatever their case and whatever stands between their words."""

    def __init__(self, names: Iterable[str] = ()) -> None:
        self._names = {_key(name): name for name in names if re.search(rf"[^\W\d_]{{{LETTERS}}}", name)}
        longest = sorted(self._names, key=len, reverse=True)
        found = "|".join(r"\W+".join(map(re.escape, key.split())) for key in longest) or r"(?!)"
        self._pattern = re.compile(rf"(?<!\w)(?:{found})(?!\w)", re.IGNORECASE)

    def __bool__(self) -> bool:
        return bool(self._names)

    def whole(self, cell: str) -> str:
        """The size that a cell names and nothing else; empty where it does not."""
        return self._names.get(_key(cell), "")

    def within(self, text: str) -> tuple[tuple[str, ...], str]:
        """The sizes that a text names, each once, and the text without them."""
        found = dict.fromkeys(self._names[_key(match)] for match in self._pattern.findall(text))
        return tuple(found), self._pattern.sub(" ", text) if found else text


def _key(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))
