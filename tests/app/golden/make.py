"""Writes down what is said, in both systems of units: ``python -m tests.app.golden.make``.

`sentences.json` holds statements that made-up players brought up, each beside its words, and what pasted texts bring up;
`kinds.json` the words of made-up statements of every kind. Words are made anew from the statements that are kept, so that
only a change of words changes a file; ``--again`` asks the engine for the statements anew.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from app.paste import understand
from app.phrases import phrase, phrases
from engine.fitting.sections import document
from engine.statements.kinds import KINDS
from tests.app.golden.cases import TEXTS, cases
from tests.app.golden.samples import samples

SENTENCES = Path(__file__).with_name("sentences.json")
KINDS_FILE = Path(__file__).with_name("kinds.json")
DRAWS = 64
SYSTEMS = ("metric", "imperial")


def statements(part: Any) -> Iterator[dict[str, Any]]:
    """Every statement that a document holds."""
    if isinstance(part, dict) and "quantities" in part:
        yield part
    elif isinstance(part, dict):
        for value in part.values():
            yield from statements(value)
    elif isinstance(part, list):
        for value in part:
            yield from statements(value)


def brought_up() -> dict[str, list[dict[str, Any]]]:
    """Statements of the made-up players, by player; of each kind with the same terms the first of a player."""
    out: dict[str, list[dict[str, Any]]] = {}
    said: set[str] = set()
    for name, case in cases().items():
        firsts: dict[str, dict[str, Any]] = {}
        for statement in statements(document(case, draws=DRAWS)):
            firsts.setdefault(json.dumps([statement["kind"], statement["terms"]]), statement)
        new = {alike: s for alike, s in firsts.items() if alike not in said or s["quantities"] or s["clubs"]}
        said |= set(new)
        out[name] = list(new.values())
    return out


def in_words(found: dict[str, list[dict[str, Any]]]) -> dict[str, list[dict[str, Any]]]:
    """Each statement beside its words in both systems."""
    return {
        name: [{system: phrase(s, system) for system in SYSTEMS} | {"statement": s} for s in listed]
        for name, listed in found.items()
    }


def pasted() -> dict[str, dict[str, list[str]]]:
    """What pasted texts bring up, in both systems."""
    bag = cases()["all layouts"]
    out: dict[str, dict[str, list[str]]] = {}
    for name, text in TEXTS.items():
        seen = {system: understand(text, bag, system) for system in SYSTEMS}
        out[name] = {system: [*s.problems, *s.notes] for system, s in seen.items()}
    return out


def every_kind() -> dict[str, dict[str, list[str]]]:
    """What made-up statements of every kind are in words, which no sum has a part in."""
    return {
        kind: {system: list(dict.fromkeys(phrases(samples(kind), system))) for system in SYSTEMS}
        for kind in KINDS
    }


def kept() -> dict[str, Any]:
    """What is written down in `sentences.json`."""
    read: dict[str, Any] = json.loads(SENTENCES.read_text(encoding="utf-8"))
    return read


def main(again: bool) -> None:
    """Write both files."""
    found = (
        brought_up()
        if again
        else {name: [entry["statement"] for entry in listed] for name, listed in kept()["players"].items()}
    )
    players = [
        f'  "{name}": [\n'
        + ",\n".join(f"   {json.dumps(entry, ensure_ascii=False)}" for entry in listed)
        + "\n  ]"
        for name, listed in in_words(found).items()
    ]
    texts = json.dumps(pasted(), indent=1, ensure_ascii=False)
    joined = ",\n".join(players)
    SENTENCES.write_text(f'{{\n "players": {{\n{joined}\n }},\n "pasted": {texts}\n}}\n', encoding="utf-8")
    KINDS_FILE.write_text(json.dumps(every_kind(), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main("--again" in sys.argv[1:])
