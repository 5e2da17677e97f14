"""Carries typed or pasted without headings: "7i 143", "143 145 151", a club above its carries."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from ..statements import Statement, state
from .cells import UNITS, Unit
from .club_names import leading_club, part_swing, plain
from .labels import SUMMARY_WORDS

MOST_LINE = 2_000  # characters
WIDEST = 2.5  # ratio of the largest to the smallest carry that one line may hold
_TOKEN = re.compile(r"\d+(?:[.,]\d+)*|[^\W\d_]+(?:/[^\W\d_]+)?|\S")
_IGNORED = {
    "and",
    "then",
    "carry",
    "carries",
    "carried",
    "to",
    "x",
    "the",
    "with",
    "hit",
    "shot",
    "shots",
    "ball",
    "balls",
}
_MAY_BE_CLUB = re.compile(r"(?<![\w.])(?=[^\W\d_]|\d{1,2}(?:\.\d)? ?(?:[^\W\d_]|[\u00b0\u00ba]))")
_AMBIGUOUS = {"gap", "approach", "attack", "sand", "pitching", "lob", "putt", "iron", "wood", "hybrid"}


Own = Sequence[tuple[str, str]]
"""The caller's own names of clubs, plain, the longest first, with their ids."""


@dataclass(slots=True)
class Loose:
    """What lines without headings hold: carries as (line, club or "", number, unit), and the rest."""

    carries: list[tuple[int, str, float, Unit | None]] = field(default_factory=list)
    left_out: list[tuple[int, str, Statement]] = field(default_factory=list)
    warnings: list[Statement] = field(default_factory=list)
    unit: Unit | None = None


def read_loose(lines: list[tuple[int, str]], *, clubs: Mapping[str, str], club: str) -> Loose:
    """Read lines of an optional club and carries; a line without a club belongs to the club above it."""
    out = Loose()
    texts = [(number, line, plain(line, MOST_LINE)) for number, line in lines]
    own = sorted(((plain(n), c) for n, c in clubs.items() if plain(n)), key=lambda x: len(x[0]), reverse=True)
    decimal_comma = _commas_are_decimal([text for _, _, text in texts])
    bare_irons = 0
    current = club
    for number, line, text in _one_club_each(texts, own):
        if len(line) > MOST_LINE:
            out.left_out.append((number, line, state("line.too_long", most=MOST_LINE)))
            continue
        if part_swing(line):
            out.left_out.append((number, line, state("line.part_swing")))
            continue
        named, rest = _named(text, own) or _leading(text), text
        if named and (not named[1] or re.match(r"[+-]?\d", named[1]) or len(text) - len(named[1]) > 2):
            current, rest = named
        numbers, words = _tokens(rest, decimal_comma=decimal_comma)
        if words & SUMMARY_WORDS:
            out.left_out.append((number, line, state("line.summary")))
            continue
        if not numbers:
            _note_heading(out, number, line, words, named=rest != text)
            continue
        here = current
        if rest == text and len(numbers) > 1 and numbers[0][0] in range(1, 10) and numbers[1][0] >= 20:
            here = current = f"{numbers.pop(0)[0]:.0f}i"
            bare_irons += 1
        unknown = words - _IGNORED
        values = [value for value, _ in numbers]
        if rest == text and unknown and (first := text.split()[0]) in unknown:
            out.left_out.append((number, line, state("line.not_a_club", quoted=[first[:20]])))
        elif _clubs_in(rest, own):
            out.left_out.append((number, line, state("line.several_clubs")))
        elif len(unknown) > 3:
            out.left_out.append((number, line, state("line.not_understood")))
        elif min(values) <= 0 or max(values) / min(values) > WIDEST:
            out.left_out.append((number, line, state("line.carries_too_different")))
        else:
            if unknown:
                words_said = " ".join(sorted(unknown))[:40]
                out.warnings.append(state("table.words_ignored", line=number, quoted=[words_said]))
            out.carries += [(number, here, value, unit) for value, unit in numbers]
    if bare_irons:
        out.warnings.append(state("table.lone_numbers_are_irons"))
    if decimal_comma:
        out.warnings.append(state("table.decimal_commas"))
    return out


def _one_club_each(texts: list[tuple[int, str, str]], own: Own) -> list[tuple[int, str, str]]:
    """The lines, those of several clubs with their carries cut in front of each club: "PW 140, GW 128" is two."""
    out = []
    for number, line, text in texts:
        first = _named(text, own) or _leading(text)
        if first is None or not re.match(r"\d", first[1]) or len(line) > MOST_LINE:
            out.append((number, line, text))
            continue
        starts = [
            at
            for at, name, rest in _clubs_in(first[1], own)
            if at and re.match(r"\d", rest) and name not in _AMBIGUOUS
        ]
        begin = len(text) - len(first[1])
        cuts = [0, *(begin + at for at in starts), len(text)]
        out += [(number, line, text[a:b].strip(" ,;|/:")) for a, b in pairwise(cuts)]
    return out


def _clubs_in(text: str, own: Own) -> list[tuple[int, str, str]]:
    """Clubs that a text names behind its beginning: where, the name, and what follows. One letter alone is none."""
    out = []
    end = 0
    for word in _MAY_BE_CLUB.finditer(text):
        at = word.start()
        if at < end:
            continue
        found = _named(text[at:], own) or leading_club(text[at:])
        name = text[at : len(text) - len(found[1])].strip(" :,;=|/") if found else ""
        if found and len(name) > 1 and re.search(r"[^\W\d_]|\u00b0|\u00ba", name):
            out.append((at, name, found[1]))
            end = at + len(name)
    return out


def _note_heading(out: Loose, number: int, line: str, words: set[str], *, named: bool) -> None:
    """A line without numbers: a club above its carries, a heading, or something else."""
    units = [UNITS[w] for w in words if w in UNITS and UNITS[w].kind == "length"]
    if words & {"carry", "carries", "distance"} and len(words) <= 6:
        out.unit = out.unit or (units[0] if units else None)
    elif words or not named:
        out.left_out.append((number, line, state("line.no_carry")))


def _leading(text: str) -> tuple[str, str] | None:
    """A club at the beginning, or after up to three words without digits, as in "my old 7 iron 143"."""
    for _ in range(4):
        found = leading_club(text)
        if found:
            return found
        word, _, text = text.partition(" ")
        if re.search(r"\d", word):
            return None
    return None


def _named(text: str, own: Own) -> tuple[str, str] | None:
    """A club by the caller's own names, the longest that fits."""
    for name, club in own:
        if text.startswith(name) and not re.match(r"\w", text[len(name) :]):
            return club, text[len(name) :].lstrip(" :,;=|/")
    return None


def _tokens(text: str, *, decimal_comma: bool) -> tuple[list[tuple[float, Unit | None]], set[str]]:
    """Numbers of a text with the units that follow them, and its other words."""
    numbers: list[tuple[float, Unit | None]] = []
    words: set[str] = set()
    after_number = False
    for token in _TOKEN.findall(text):
        if token[0].isascii() and token[0].isdigit():
            pieces = (
                [token.replace(",", ".")] if decimal_comma and token.count(",") == 1 else token.split(",")
            )
            for piece in pieces:
                if piece.count(".") <= 1 and piece.isascii():
                    numbers.append((min(float(piece), 1e12), None))
                    after_number = True
            continue
        if token[0].isalpha():
            unit = UNITS.get(token)
            if after_number and unit and unit.kind == "length" and numbers:
                numbers[-1] = (numbers[-1][0], unit)
            else:
                words.add(token)
        after_number = after_number and not token[0].isalpha() and token not in ",;|"
    return numbers, words


def _commas_are_decimal(texts: list[str]) -> bool:
    """Whether every comma between digits has a single digit after it, as in "143,5"."""
    tokens = [t for text in texts for t in _TOKEN.findall(text) if t[0].isdigit() and "," in t]
    return bool(tokens) and all(re.fullmatch(r"\d{2,3},\d", t) for t in tokens)
