"""Writes down every sentence of the made-up cases in both systems of units: ``python -m tests.app.golden.make``."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from app.paste import understand
from app.phrases import layouts, lines, percent, phrases
from engine.documents.case import Case
from engine.documents.result import Result
from engine.fitting.sections import document
from engine.solve import solve
from engine.statements.kinds import KINDS
from tests.app.golden.cases import TEXTS, cases
from tests.app.golden.samples import samples

FILE = Path(__file__).with_name("sentences.json")
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


def said(part: Any, system: str) -> list[str]:
    """The sentences of a part of a document in the units shown, each once."""
    return list(dict.fromkeys(phrases(statements(part), system)))


def summed_up(case: Case, result: Result, system: str) -> dict[str, list[str]]:
    """What the screens say of the whole result."""
    verdict = layouts.verdict_of(result)
    return {
        "titles": list(layouts.titles(result, system).values()),
        "better": [f"{layouts.chance_words(verdict.statement, system)} ({percent(verdict.chance)})"]
        if verdict
        else [],
        "reasons": phrases(result.differences, system),
        "carries": [lines.carries_line(result, system)],
        "gaps": [lines.gaps_line(result, system, case.wants.gap_m)],
        "balls": [lines.balls_line(group, system) for group in result.shots],
        "body estimated": lines.body_estimates(case, system),
        "air": [lines.air_line(case, system)],
    }


def made() -> dict[str, Any]:
    """All sentences by case, system and section, and what pasted texts bring up."""
    out: dict[str, Any] = {}
    for name, case in cases().items():
        doc, result = document(case, draws=DRAWS), solve(case, draws=DRAWS)
        out[name] = {}
        for system in SYSTEMS:
            parts = {key: said(part, system) for key, part in doc.items()}
            out[name][system] = {
                key: told for key, told in (parts | summed_up(case, result, system)).items() if told
            }
    bag = cases()["all layouts"]
    for name, text in TEXTS.items():
        out[f"pasted: {name}"] = {}
        for system in SYSTEMS:
            seen = understand(text, bag, system)
            out[f"pasted: {name}"][system] = {"problems": list(seen.problems), "notes": list(seen.notes)}
    return out


def every_kind() -> dict[str, dict[str, list[str]]]:
    """What made-up statements of every kind are in words, which no sum has a part in."""
    return {
        kind: {system: list(dict.fromkeys(phrases(samples(kind), system))) for system in SYSTEMS}
        for kind in KINDS
    }


if __name__ == "__main__":
    KINDS_FILE.write_text(json.dumps(every_kind(), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    FILE.write_text(json.dumps(made(), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
