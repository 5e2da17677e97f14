"""What a kind of statement carries, and how the lists of kinds say it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Spec:
    """What a kind carries: quantities by name, terms with the words to choose from, and how many clubs and the like.

    A term that may be left out has an empty word among its options.
    """

    quantities: Mapping[str, str] = field(default_factory=dict)
    terms: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    clubs: Collection[int] = (0,)
    layouts: int = 0
    quoted: int = 0
    chance: bool = False


ANY = range(10_000)  # clubs, as many as there are
WAY = ("more", "less")


def of(
    *, clubs: int | range = 0, layouts: int = 0, quoted: int = 0, chance: bool = False, **carried: Any
) -> Spec:
    """A kind by its quantities (name and what it is, with a question mark where it may be left out) and its terms."""
    return Spec(
        {name: what for name, what in carried.items() if isinstance(what, str)},
        {name: options for name, options in carried.items() if isinstance(options, tuple)},
        (clubs,) if isinstance(clubs, int) else clubs,
        layouts,
        quoted,
        chance,
    )
