"""The engine holds facts: no module of it holds sentences for people, other than errors and sources."""

import ast
import dataclasses
import importlib
import re
from pathlib import Path

import pytest

import engine

ROOT = Path(engine.__file__).parent
MODULES = sorted(path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.py"))

# where texts of several words are neither errors that are raised nor sources, and what they are
NOT_PROSE = {
    "documents/fields.py": "errors of the document, which the lenient reader gathers",
    "documents/reading.py": "the same",
    "__main__.py": "help of the command line",
}
SOURCES = {"source", "edition", "EDITION", "CP"}
SPELLINGS = {"_UNITS"}


def prose(text):
    """Whether a text holds four words in a row; patterns do not count."""
    return "\\" not in text and bool(re.search(r"(?:\b[A-Za-z][a-z'\u2019]+[ ,;:]+){3}[A-Za-z]", text))


def texts(code, known):
    """Line and text of every string of a module that is no docstring, no error and no source.

    known : what the names of the module stand for
    """
    tree = ast.parse(code)
    skipped = []
    errors, assigned = set(), {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            skipped.append(node)
        elif isinstance(node, ast.Raise):
            skipped.append(node)
            errors |= {part.id for part in ast.walk(node) if isinstance(part, ast.Name)}
        elif isinstance(node, ast.Assign):
            names = {target.id for target in node.targets if isinstance(target, ast.Name)}
            assigned |= dict.fromkeys(names, node)
            if names & (SOURCES | SPELLINGS):
                skipped.append(node)
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") == "word_set":
            skipped.append(node)  # words that tables and notes use
        elif isinstance(node, ast.Call):
            made = known.get(getattr(node.func, "id", ""))
            skipped += [k.value for k in node.keywords if k.arg in SOURCES]
            if dataclasses.is_dataclass(made):
                fields = [f.name for f in dataclasses.fields(made)]
                skipped += [a for a, name in zip(node.args, fields, strict=False) if name in SOURCES]
    skipped += [node for name, node in assigned.items() if name in errors]
    passed = {id(part) for top in skipped for part in ast.walk(top)}
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.JoinedStr):
            passed |= {id(part) for part in node.values}
            yield node.lineno, "".join(p.value if isinstance(p, ast.Constant) else "so" for p in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value


@pytest.mark.parametrize("path", [path for path in MODULES if path not in NOT_PROSE])
def test_a_module_holds_no_prose(path):
    name = ".".join((engine.__name__, *Path(path).with_suffix("").parts))
    known = vars(importlib.import_module(name.removesuffix(".__init__")))
    code = (ROOT / path).read_text(encoding="utf-8")
    assert [f"{line}: {text}" for line, text in texts(code, known) if prose(text)] == []


def test_prose_is_seen():
    @dataclasses.dataclass
    class Limit:
        item: str
        source: str

    code = '''
"""A docstring of several words."""
WHY = "not a text that people read"
HOW = f"cut {1} from the butt of it"
EDITION = "a book of several words"
def f(club):
    """Another docstring of several words."""
    if club:
        raise ValueError(f"that is no club: {WHY}")
    return Limit("how long it may be", "a book of several words"), "leave it as it is"
'''
    assert {t for _, t in texts(code, {"Limit": Limit}) if prose(t)} == {
        "cut so from the butt of it",
        "how long it may be",
        "leave it as it is",
    }
