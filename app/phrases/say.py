"""A statement as the phrases see it: its quantities in the units shown, its chance, its clubs by name."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from app.units import unit
from engine.statements import Statement

Phrase = Callable[["Say"], str]

FAMILIES = {"iron": "irons", "fairway": "fairway woods", "hybrid": "hybrids"}
MOST_BALLS = 40  # that anybody would hit with one club for its mean
NOT_KNOWN = "not known yet"  # in place of a number, where balls have to tell it first
ONLY_A_START = "Static measurements are only a start; ball flight has the last word."


def percent(chance: float) -> str:
    """A chance in whole per cent, never claiming certainty from a few hundred draws."""
    return _in_words(round(100 * chance))


def percents(chances: Sequence[float], *, bare: bool = False) -> list[str]:
    """Chances that add up to one in whole per cent that add up to 100: of what rounding down leaves over, those get one
    that lost most. ``bare``: signs in place of words, for narrow columns.
    """
    exact = [100 * chance / sum(chances) for chance in chances]
    whole = [math.floor(x + 1e-9) for x in exact]
    lost = sorted(range(len(exact)), key=lambda n: whole[n] - exact[n])
    for n in lost[: 100 - sum(whole)]:
        whole[n] += 1
    return [_in_signs(n) if bare else _in_words(n) for n in whole]


def _in_words(whole: int) -> str:
    return "over 99\u00a0%" if whole >= 100 else "under 1\u00a0%" if whole <= 0 else f"{whole}\u00a0%"


def _in_signs(whole: int) -> str:
    return ">99" if whole >= 100 else "<1" if whole <= 0 else str(whole)


class Say:
    """One statement in one system of units."""

    def __init__(self, statement: Statement, system: str) -> None:
        self.statement, self.system = statement, system

    def __getitem__(self, name: str) -> str:
        """A quantity with its unit."""
        return self._text(name, self.value(name), unit=True)

    def __contains__(self, name: str) -> bool:
        """Whether a quantity or a term is there."""
        return name in self.statement.quantities or name in self.statement.terms

    def value(self, name: str) -> float:
        """A quantity in SI, for its sign and for singular and plural."""
        return self.statement.quantities[name].value

    def by_sign(self, name: str, more: str, less: str) -> str:
        """The word for a quantity above nought, or that for any other."""
        return more if self.value(name) > 0 else less

    def bare(self, name: str) -> str:
        """A quantity without its unit."""
        return self._text(name, self.value(name))

    def rounded(self, name: str, step: float) -> str:
        """A quantity with its unit, to the nearest ``step`` [SI]."""
        return self._text(name, round(self.value(name) / step) * step, unit=True)

    def size(self, name: str) -> str:
        """A quantity with its unit and without its sign."""
        return self._text(name, abs(self.value(name)), unit=True)

    def signed(self, name: str) -> str:
        """A change with its sign and its unit."""
        return self._text(name, self.value(name), unit=True, sign=True)

    def within(self, name: str, *, sign: bool = False) -> str:
        """``87.4 cm (85.1 to 89.9)``: a quantity with the ends of its interval."""
        said, ends = self._text(name, self.value(name), unit=True, sign=sign), self.ends(name, sign=sign)
        low, high = ends.split(" to ")
        return said if low == high else f"{said} ({ends})"

    def ends(self, name: str, *, sign: bool = False, unit: bool = False) -> str:
        """The ends of a quantity's interval; ``unit`` puts its unit after them."""
        quantity = self.statement.quantities[name]
        high = self._text(name, quantity.high, sign=sign, unit=unit)
        return f"{self._text(name, quantity.low, sign=sign)} to {high}"

    def term(self, name: str) -> str:
        """The word a term takes; empty where it is left out."""
        said = self.statement.terms.get(name, "")
        return said if isinstance(said, str) else said[0]

    def terms(self, name: str) -> tuple[str, ...]:
        """The words a list of terms takes."""
        said = self.statement.terms.get(name, ())
        return (said,) if isinstance(said, str) else said

    @property
    def chance(self) -> str:
        """The chance in per cent."""
        return percent(self.statement.chance or 0.0)

    @property
    def club(self) -> str:
        """The first club, by the name that the person gave it."""
        return self.statement.clubs[0].name

    @property
    def clubs(self) -> tuple[str, ...]:
        return tuple(club.name for club in self.statement.clubs)

    def _text(self, name: str, value: float | None, *, unit: bool = False, sign: bool = False) -> str:
        shown = _unit(self.statement.quantities[name].what, self.system)
        return shown.text(value, unit=unit and bool(shown.name), sign=sign)


_unit = unit


def many(count: int, what: str) -> str:
    """``1 club``, ``13 clubs``."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def bench_time(minutes: float) -> str:
    """``55 min``, ``1 h``, ``1 h 05 min``."""
    hours, left = divmod(round(minutes), 60)
    if not hours:
        return f"{left} min"
    return f"{hours} h {left:02d} min" if left else f"{hours} h"


def capital(text: str) -> str:
    """The text with its first letter in upper case."""
    return text[:1].upper() + text[1:]


def a(name: str) -> str:
    """The name of a club with its article: ``an 8-iron``."""
    return f"{'an' if name[:1].lower() in '8aeiou' or name[:2] in ('11', '18') else 'a'} {name}"


def listed(items: tuple[str, ...] | list[str], last: str = "and") -> str:
    """``a, b and c``."""
    return ", ".join(items[:-1]) + (f" {last} " if items[1:] else "") + items[-1] if items else ""


def fixed(text: str) -> Phrase:
    """The phrase of a kind that carries nothing."""
    return lambda say: text
