"""The player's own names of part swings, as they stand in lines and cells, and words that may be such a name."""

from __future__ import annotations

import re
from collections.abc import Iterable

from .cells import bare

_REACH = re.compile(
    r"\b(?:knees?|thighs?|hips?|waist|belt|chest|ribs?|elbows?|shoulders?"
    r"|knie\w*|huft\w*|gurtel\w*|bauch\w*|brust\w*|schulter\w*"
    r"|genoux?|hanches?|ceinture|poitrine|epaules?|rodillas?|caderas?|cintura|pecho|hombros?"
    r"|kna(?:t|hojd)?|hoft\w*|midj\w*|brost\w*|axelhojd|till axel\w*)\b|\u819d|\u3072\u3056|\u8170|\u80f8|\u80a9"
)
_REACH_SAID = re.compile(
    rf"(?:\b(?:(?:up )?to|from|at|bis(?: zu[rm]?)?|an|till|fran|jusqu[ea]u?x?|a|au|aux|hasta) )?"
    rf"(?:\b(?:the|my|die|der|das|den|la|le|les|el) )?(?:{_REACH.pattern})(?: (?:high|swing|height|to))?"
)
MOST_WORDS = 5  # of a cell that names a swing; longer ones are remarks
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


def reach(text: str) -> str:
    """The part of the body that a text names, as people say how far a swing goes; empty where it names none."""
    found = _REACH.search(bare(text, 400).replace("-", " "))
    return found[0] if found else ""


def without_reach(text: str) -> str:
    """A text without the words that say how far a swing goes."""
    return _REACH_SAID.sub(" ", bare(text, 2_000))


def reach_alone(cell: str) -> bool:
    """Whether a cell says in a few words how far a swing goes."""
    return bool(reach(cell)) and len(cell.split()) <= MOST_WORDS


def _key(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))
