"""``python -m engine CASE.json`` (or ``-``): read a case document, write the result document as JSON, or say it in words."""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from collections.abc import Sequence
from functools import partial
from typing import Any, TextIO

from .documents.case import CaseError
from .documents.reading import read_case
from .fitting.known_swing import DRAWS
from .fitting.sections import document

MOST_BYTES = 5_000_000
_ABOUT = "Read a case document, write the result document as JSON, or say it in words."


def main(argv: Sequence[str] | None = None, *, stdin: TextIO | None = None) -> int:
    """Run the command; 0 when a result was written, 2 with one line on standard error when the case is no good."""
    parser = argparse.ArgumentParser(prog=f"python -m {__package__}", description=_ABOUT)
    parser.add_argument("case", help="path of a case document, or - for standard input")
    parser.add_argument(
        "--draws", type=int, default=DRAWS, help="draws of the posterior (default %(default)s)"
    )
    parser.add_argument(
        "--words",
        choices=("metric", "imperial"),
        help="print what the result states as sentences, in these units, instead of JSON",
    )
    options = parser.parse_args(argv)
    try:
        text = _text(options.case, stdin or sys.stdin)
        case = read_case(_document(text))
        phrase = _from_phrases("app.phrases", "phrase")
        if options.words and phrase is None:
            raise ValueError("--words: the phrases are not installed; run it in a copy of the project")
        in_words = None if phrase is None else partial(phrase, system="metric")
        result = document(case, draws=options.draws, words=in_words)
    except (CaseError, ValueError) as error:
        print(" ".join(str(error).split()), file=sys.stderr)
        return 2
    if options.words:
        sys.stdout.write(_from_phrases("app.phrases.report", "report")(result, options.words))
        return 0
    json.dump(result, sys.stdout, indent=1, allow_nan=False)
    sys.stdout.write("\n")
    return 0


def _from_phrases(module: str, name: str) -> Any:
    """A function of the phrases; ``None`` where the engine is installed alone. Only this door needs them."""
    if __package__ != "engine":  # the name by which the phrases know it
        return None
    try:
        return getattr(importlib.import_module(module), name)
    except (ImportError, AttributeError):
        return None


def _text(path: str, stdin: TextIO) -> str:
    try:
        if path == "-":
            text = stdin.read(MOST_BYTES + 1)
        else:
            with open(path, encoding="utf-8") as file:
                text = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise CaseError("document", f"cannot be read ({error.strerror})") from None
    except UnicodeDecodeError:
        raise CaseError("document", "is not UTF-8 text") from None
    if len(text) > MOST_BYTES:
        raise CaseError("document", f"is larger than {MOST_BYTES // 1_000_000} MB")
    return text


def _document(text: str) -> object:
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        raise CaseError(
            "document", f"is not JSON (line {error.lineno}, column {error.colno}: {error.msg})"
        ) from None
    except (RecursionError, ValueError):
        raise CaseError("document", "is nested too deeply or holds too long a number") from None


if __name__ == "__main__":
    sys.exit(main())
