"""``python -m engine CASE ...``: read case documents, write result documents as JSON or a table, or say one in words."""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from collections.abc import Sequence
from functools import partial
from typing import Any, TextIO

from .documents.case import CaseError, Club
from .documents.reading import read_case
from .fitting.known_swing import DRAWS
from .fitting.sections import document
from .several import Source, sources, write

_ABOUT = """Read case documents and write what the engine makes of them. One case gives its result document as JSON, or
sentences. Several cases, a folder of .json files or a file of all players give one line of JSON a case, or a table, in
the order given; a faulty case is named on standard error, and the others go on."""


def main(argv: Sequence[str] | None = None, *, stdin: TextIO | None = None) -> int:
    """Run the command; 0 when every case was written, 2 with a line on standard error for each that is no good."""
    parser = argparse.ArgumentParser(prog=f"python -m {__package__}", description=_ABOUT)
    parser.add_argument(
        "case",
        nargs="+",
        help="case documents, folders of them, files of all players, or - for standard input",
    )
    parser.add_argument(
        "--draws", type=int, default=DRAWS, help="draws of the posterior (default %(default)s)"
    )
    parser.add_argument(
        "--words",
        choices=("metric", "imperial"),
        help="print what one result states as sentences, in these units, instead of JSON; with --csv, the work of a club",
    )
    parser.add_argument("--csv", action="store_true", help="a flat table: a row for each club of each layout")
    parser.add_argument(
        "--jobs",
        type=_count,
        metavar="N",
        help="processes that work on several cases (default: one for each processor)",
    )
    options = parser.parse_args(argv)
    found = list(sources(options.case, stdin or sys.stdin))
    phrase = _from_phrases("app.phrases", "phrase")
    in_words = None if phrase is None else partial(phrase, system="metric")
    in_these = None if phrase is None or not options.words else partial(phrase, system=options.words)
    alone = [source.name for source in found] == options.case and len(found) == 1
    if options.words and phrase is None:
        return _refused("--words: the phrases are not installed; run it in a copy of the project")
    if options.words and not alone and not options.csv:
        return _refused("--words: takes a single case, or --csv beside it")
    if options.csv or not alone:
        faulty = write(
            found,
            sys.stdout.write,
            sys.stderr.write,
            draws=options.draws,
            table=options.csv,
            words=in_words if not options.csv else in_these,
            jobs=options.jobs,
        )
        return 2 if faulty else 0
    return _one(found[0], options, in_words)


def _one(source: Source, options: argparse.Namespace, in_words: Any) -> int:
    where = "" if source.name == "-" else f"{source.name}: "
    if source.fault is not None:
        return _refused(where + source.fault)
    try:
        case = read_case(source.doc)
        result = document(case, draws=options.draws, words=in_words)
    except (CaseError, ValueError) as error:
        return _refused(f"{where}{error}")
    if options.words:
        sys.stdout.write(
            _from_phrases("app.phrases.report", "report")(result, options.words, _names(case.bag))
        )
        return 0
    json.dump(result, sys.stdout, indent=1, allow_nan=False)
    sys.stdout.write("\n")
    return 0


def _names(bag: Sequence[Club]) -> dict[str, str]:
    """The names of clubs by id, of one that was made into another by what it is now."""
    names = {c.id: c.name or c.id for c in bag}
    return names | {
        c.id: f"{names.get(c.became, c.name)}, before the build" for c in bag if c.became is not None
    }


def _refused(why: str) -> int:
    print(" ".join(why.split()), file=sys.stderr)
    return 2


def _count(text: str) -> int:
    number = int(text)
    if number < 1:
        raise argparse.ArgumentTypeError("must be a whole number from 1")
    return number


def _from_phrases(module: str, name: str) -> Any:
    """A function of the phrases; ``None`` where the engine is installed alone. Only this door needs them."""
    if __package__ != "engine":  # the name by which the phrases know it
        return None
    try:
        return getattr(importlib.import_module(module), name)
    except (ImportError, AttributeError):
        return None


if __name__ == "__main__":
    sys.exit(main())
