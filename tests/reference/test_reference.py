"""Every row of every table in this folder: call the engine, compare with the published or worked value."""

import csv
import importlib
import json
import re
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

HERE = Path(__file__).parent
if str(HERE) not in sys.path:  # `adapters` lies beside the tables
    sys.path.insert(0, str(HERE))

COLUMNS = ["id", "topic", "call", "inputs", "expected", "tolerance", "unit", "digits", "standing", "source"]
STANDINGS = {"read", "memory", "derived", "common practice"}
STEP = re.compile(r"([^.\[\]]+)|\[(-?\d+|'[^']*')\]")


def rows():
    for path in sorted(HERE.glob("*.csv")):
        with path.open(newline="", encoding="utf-8") as file:
            reader = csv.DictReader(file)
            assert reader.fieldnames == COLUMNS, f"{path.name}: columns must be {COLUMNS}"
            yield from reader


ROWS = list(rows())


def resolve(dotted):
    """The object a dotted path names: the longest importable module, then attributes."""
    parts = dotted.split(".")
    for cut in range(len(parts) - 1, 0, -1):
        name = ".".join(parts[:cut])
        try:
            found = importlib.import_module(name)
        except ModuleNotFoundError as error:
            if error.name != name and not name.startswith(f"{error.name}."):
                raise
            continue
        for part in parts[cut:]:
            found = getattr(found, part)
        return found
    raise LookupError(dotted)


def value_of(row):
    """What the engine says for a row: ``module.function:attribute[index].attribute``."""
    path, _, inner = row["call"].partition(":")
    found = resolve(path)
    inputs = json.loads(row["inputs"] or "{}")
    if callable(found):
        found = found(**inputs)
    for name, index in STEP.findall(inner):
        found = (
            getattr(found, name) if name else found[index.strip("'") if index.startswith("'") else int(index)]
        )
    return float(np.asarray(found, float).reshape(-1)[0]) if np.size(found) == 1 else found


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_reference(row):
    got, expected, tolerance = value_of(row), float(row["expected"]), float(row["tolerance"])
    assert isinstance(got, float), f"{row['call']} gives {np.shape(got)}, name one value with [index]"
    # A hair of the value forgives the last binary digit where the tolerance is nought.
    near = abs(got - expected) <= tolerance + 1e-9 * abs(expected)
    assert near, f"{row['source']}: got {got}, not {expected}"


def test_rows_are_sound():
    twins = [name for name, count in Counter(row["id"] for row in ROWS).items() if count > 1]
    assert not twins
    for row in ROWS:
        assert row["standing"] in STANDINGS, row["id"]
        assert row["source"].strip(), row["id"]
        assert float(row["tolerance"]) >= 0, row["id"]


def test_a_wrong_value_is_caught():
    """The comparison itself can fail: each row moved past its tolerance no longer passes."""
    for row in (r for r in ROWS if r["topic"] in ("rules", "clubs")):
        moved = dict(row, expected=str(float(row["expected"]) + 2 * float(row["tolerance"]) + 1.0))
        with pytest.raises(AssertionError):
            test_reference(moved)
