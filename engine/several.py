"""Several cases at once: found in files and folders, worked out in parallel processes, written in the order given."""

from __future__ import annotations

import json
import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, TextIO

from .documents.case import STORE_FORMAT, Case, CaseError
from .documents.csv_text import csv_row
from .documents.reading import read_case
from .fitting.fitting import Fitting
from .fitting.sections import document
from .statements import Statement
from .swing.sessions import sessions_hit

MOST_BYTES = 5_000_000
MOST_PLAYERS_BYTES = 50_000_000
COLUMNS = (
    "source",
    "player",
    "layout",
    "kind",
    "club",
    "name",
    "family",
    "carry_m",
    "carry_lo90_m",
    "carry_hi90_m",
    "hit_first",
    "length_m",
    "loft_deg",
    "lie_deg",
    "head_kg",
    "work",
    "sessions",
    "hit_on",
    "ordered_on",
    "measured_on",
    "built_on",
)
"""Columns of the table of clubs; a row is a club of a layout, ``work`` what turns the present club into it, ``sessions``
how many days the player's full swings are of; with ``hit_first`` its carry is known too little to be given. The last four
are the last days in the job record on which the club was hit, ordered, measured and built."""

Words = Callable[[Statement], str]


@dataclass(frozen=True, slots=True)
class Source:
    """A case document and where it stands; ``fault`` where there is none to be had."""

    name: str
    doc: object = None
    fault: str | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of one source: text to write, or the fault that kept it from being worked out."""

    name: str
    text: str = ""
    fault: str | None = None


def sources(paths: Sequence[str], stdin: TextIO) -> Iterator[Source]:
    """Every case of these files and folders, in the order given; ``-`` is standard input.

    A folder stands for the ``.json`` files directly in it, by name; a file of all players for each of its players, named
    ``FILE#1`` and so on.
    """
    for path in paths:
        try:
            files = _files_of(path) if os.path.isdir(path) else [path]
        except CaseError as error:
            yield Source(path, fault=str(error))
            continue
        for file in files:
            yield from _of_file(file, stdin)


def _files_of(folder: str) -> list[str]:
    try:
        files = sorted(str(p) for p in Path(folder).iterdir() if p.suffix.lower() == ".json")
    except OSError as error:
        raise CaseError("document", f"the folder cannot be read ({error.strerror})") from None
    if not files:
        raise CaseError("document", "the folder holds no .json file")
    return files


def _of_file(path: str, stdin: TextIO) -> Iterator[Source]:
    try:
        doc = _parsed(_text(path, stdin))
        players = players_of(doc)
        if players == []:
            raise CaseError("players", "the file holds no player")
    except CaseError as error:
        yield Source(path, fault=str(error))
        return
    if players is None:
        yield Source(path, doc)
        return
    for number, case in enumerate(players, 1):
        yield Source(f"{path}#{number}", case)


def players_of(doc: object) -> list[object] | None:
    """The case documents of a file of all players; ``None`` for any other document."""
    if not isinstance(doc, dict) or doc.get("format") != STORE_FORMAT:
        return None
    players = doc.get("players")
    return [p.get("case") if isinstance(p, dict) else p for p in players] if isinstance(players, list) else []


def _text(path: str, stdin: TextIO) -> str:
    try:
        if path == "-":
            return stdin.read(MOST_PLAYERS_BYTES + 1)
        with open(path, encoding="utf-8") as file:
            return file.read(MOST_PLAYERS_BYTES + 1)
    except OSError as error:
        raise CaseError("document", f"cannot be read ({error.strerror})") from None
    except UnicodeDecodeError:
        raise CaseError("document", "is not UTF-8 text") from None


def _parsed(text: str) -> object:
    if len(text) > MOST_PLAYERS_BYTES:
        raise CaseError("document", f"is larger than {MOST_PLAYERS_BYTES // 1_000_000} MB")
    try:
        doc: object = json.loads(text)
    except json.JSONDecodeError as error:
        raise CaseError(
            "document", f"is not JSON (line {error.lineno}, column {error.colno}: {error.msg})"
        ) from None
    except (RecursionError, ValueError):
        raise CaseError("document", "is nested too deeply or holds too long a number") from None
    if len(text) > MOST_BYTES and players_of(doc) is None:
        raise CaseError("document", f"is larger than {MOST_BYTES // 1_000_000} MB")
    return doc


def answers(
    found: Sequence[Source],
    *,
    draws: int,
    table: bool = False,
    words: Words | None = None,
    jobs: int | None = None,
) -> Iterator[Answer]:
    """An `Answer` to each source, in order, a faulty case's among them.

    Parameters
    ----------
    draws : of the posterior
    table : rows of `COLUMNS` instead of the result document as one line of JSON
    words : puts a statement into a sentence, as for `engine.fitting.sections.document`; must be picklable
    jobs : processes; as many as there are processors where not given
    """
    work = partial(answer, draws=draws, table=table, words=words)
    jobs = min(jobs or os.cpu_count() or 1, len(found))
    if jobs <= 1:
        yield from map(work, found)
        return
    # a fresh process each: the same on every system; our matrices are so small that threads would only wait for one another
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with ProcessPoolExecutor(jobs, mp_context=multiprocessing.get_context("spawn")) as pool:
        yield from pool.map(work, found)


def answer(source: Source, *, draws: int, table: bool = False, words: Words | None = None) -> Answer:
    """What comes of one source."""
    if source.fault is not None:
        return Answer(source.name, fault=source.fault)
    try:
        case = read_case(source.doc)
        if table:
            return Answer(source.name, "".join(map(csv_row, club_rows(source.name, case, draws, words))))
        doc = {"source": source.name, "player": case.player.label, **document(case, draws=draws, words=words)}
        return Answer(source.name, json.dumps(doc, allow_nan=False, separators=(",", ":")) + "\n")
    except (CaseError, ValueError, ArithmeticError) as error:
        return Answer(source.name, fault=" ".join(str(error).split()))


def club_rows(name: str, case: Case, draws: int, words: Words | None = None) -> Iterator[tuple[object, ...]]:
    """Rows of `COLUMNS`, layout by layout; carries to the centimetre, the rest as it is built.

    ``work`` is in words where they are asked for, else the kinds of the statements with their quantities [SI, degrees].
    """
    fitting = Fitting(case, draws)
    days = len(sessions_hit(fitting.case.full_shots))
    last = {
        (one.what.removesuffix("_again"), club.id): one.date
        for one in fitting.job_record
        for club in one.clubs
    }
    say: Words = words or _coded
    for layout in fitting.layouts:
        chosen = replace(fitting.case, wants=replace(fitting.case.wants, layout=layout.id))
        sheet = {club.id: club for club in fitting.after(chosen).build.clubs}
        for club in layout.clubs:
            todo = sheet.get(club.id)
            said = () if todo is None else (*todo.actions, *todo.problems, *todo.look_for)
            said = tuple(s for s in said if s.kind != "work.none") if len(said) > 1 else said
            ends = (club.carry_m.mean, club.carry_m.lo90, club.carry_m.hi90)
            carry: tuple[object, ...] = (
                ("", "", "", "yes") if club.hit_first else (*(round(x, 2) for x in ends), "")
            )
            built = (round(x, 5) for x in (club.length_m, club.loft_deg, club.lie_deg, club.head_kg))
            yield (
                name,
                case.player.label,
                layout.id,
                layout.kind,
                club.id,
                club.name,
                club.family,
                *carry,
                *built,
                "; ".join(say(s) for s in said),
                days,
                *(last.get((what, club.id)) or "" for what in ("hit", "ordered", "measured", "built")),
            )


def _coded(statement: Statement) -> str:
    """A statement as its kind and what it carries: ``work.bend_loft change=1 to=35.5 way=weak``."""
    parts = [statement.kind, *(f"{name}={q.value:.6g}" for name, q in statement.quantities.items())]
    for name, term in statement.terms.items():
        parts += [f"{name}={term if isinstance(term, str) else '+'.join(term)}"] if term else []
    return " ".join(parts)


def write(
    found: Sequence[Source],
    out: Callable[[str], Any],
    fault: Callable[[str], Any],
    *,
    draws: int,
    table: bool,
    words: Words | None,
    jobs: int | None,
) -> int:
    """Write every answer by ``out`` as soon as those before it are written, a line to ``fault`` for each faulty case; how
    many were faulty.
    """
    if table:
        out(csv_row(COLUMNS))
    faulty = 0
    for one in answers(found, draws=draws, table=table, words=words, jobs=jobs):
        if one.fault is None:
            out(one.text)
        else:
            faulty += 1
            fault(f"{one.name}: {one.fault}\n")
    return faulty
