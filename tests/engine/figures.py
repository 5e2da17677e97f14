"""The figures on the page of methods, measured: error beside a ruler's, what the ranges hold, checks by their source.

Run as a program (``build.py figures``) it writes ``app/validation.json``. Beside the whole count stands the same of a small
sample, which the tests measure again, so that figures of another engine are noticed.
"""

from __future__ import annotations

import csv
import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
from against import FEW, SETS, TOURS, Score, circulated, pair, pooled, score, scores
from truths import KINDS

ROOT = Path(__file__).resolve().parents[2]
PATH = ROOT / "app" / "validation.json"
TABLES = ROOT / "tests" / "reference"
SEED = 778
PLAYERS = 34  # of each kind in each set
EVEN = ("as they come", "six clubs")  # four and six clubs hit, lofts evenly apart


def row(errors: list[float], line: list[float], held: list[bool]) -> dict[str, Any]:
    """Clubs; median and 90th percentile of the errors of engine and ruler; share the 90 % ranges held, all in per cent."""
    return {
        "clubs": len(errors),
        "ours": [round(x, 1) for x in pair(errors)],
        "ruler": [round(x, 1) for x in pair(line)],
        "held": round(100 * float(np.mean(held))),
    }


def beside_a_ruler(players: int, seed: int) -> dict[str, dict[str, Any]]:
    """So many players of each kind in every set; the ruler is a straight line through the mean carries over loft."""
    found = scores(SETS, players, seed)

    def present(s: Score) -> dict[str, Any]:
        return row(s.ours, s.hand["line"], s.held)

    everyone = pooled(found, [s.name for s in SETS])
    return {
        "all": present(everyone),
        "few": present(pooled(found, FEW)),
        "even": present(pooled(found, EVEN)),
        "uneven": present(pooled(found, ["own 4 %"])),
        "single": row(everyone.single, everyone.single_hand["line"], everyone.single_held),
    }


def averages() -> dict[str, Any]:
    """The same for circulated averages of tour players, every three irons given."""
    whole = sum((score(circulated(group)) for group in TOURS.values()), Score())
    return row(whole.ours, whole.hand["line"], whole.held)


def checks() -> dict[str, dict[str, int]]:
    """Rows of the reference tables by topic and by the standing of their source."""
    out: dict[str, Counter[str]] = {}
    for path in sorted(TABLES.glob("*.csv")):
        with path.open(newline="", encoding="utf-8") as file:
            for line in csv.DictReader(file):
                out.setdefault(line["topic"], Counter())[line["standing"]] += 1
    return {topic: dict(sorted(counts.items())) for topic, counts in sorted(out.items())}


def figures(players: int, seed: int) -> dict[str, Any]:
    return {
        "made_by": "python3 build.py figures",
        "seed": seed,
        "players": players * len(KINDS) * len(SETS),
        "ruler": beside_a_ruler(players, seed) | {"averages": averages()},
        "sample": beside_a_ruler(1, seed),
        "checks": checks(),
    }


def main(players: int = PLAYERS, seed: int = SEED) -> None:
    text = json.dumps(figures(players, seed), indent=1)
    PATH.write_text(text + "\n", encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(*(int(x) for x in sys.argv[1:3]))
