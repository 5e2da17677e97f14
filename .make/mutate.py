"""Whether the tests notice: small faults put into engine and app one at a time, each against the tests that run its line.

All happens in copies of the tree. What a test runs is recorded once and kept under `.cache/mutate` by the content of
code and test, as is every answer: a run that was stopped goes on, and a second one asks only what has changed.
"""

from __future__ import annotations

import argparse
import ast
import functools
import hashlib
import itertools
import json
import os
import queue
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import tomllib
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import mutants as make
from console import BuildError, step
from mutants import Mutant

PACKAGES = ("engine", "app")
KEPT = ".make/mutants_kept.toml"
NOT_COPIED = (".git", ".venv", ".cache", ".hypothesis", ".*_cache", "__pycache__", "runtime", "*.br", "*.gz")
ALIVE, KILLED, NO_TEST = "survived", "killed", "run by no test"
# A test may take so many seconds of the processor: what it took when recorded times this, and no less than some.
SLOWER, AT_LEAST_S = 5.0, 10.0


@dataclass(frozen=True)
class Test:
    """One test as it ran without a fault; for each file the lines it ran, as the bits of a number."""

    id: str
    file: str
    seconds: float
    lines: dict[str, int]


@dataclass(frozen=True)
class Answer:
    mutant: Mutant
    state: str
    by: str  # the test that failed, or how else it showed
    seconds: float
    tests: int  # how many were to be asked
    left_out: int  # how many that run the line were not, for want of time
    reason: str = ""  # why a survivor is accepted


class Worker:
    """A copy of the tree and a warm process in it that runs tests when asked."""

    def __init__(self, root: Path, modules: list[str]) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="mutate-"))
        self.tree = self.folder / "tree"
        shutil.copytree(root, self.tree, ignore=shutil.ignore_patterns(*NOT_COPIED), symlinks=True)
        self.times = itertools.count(1_000_000_000)
        # with CI set, hypothesis takes the same examples every time
        environment = {
            key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "PYTEST"))
        } | {
            "CI": "true",
            "PYTHONPATH": str(self.tree),
            "PYTHONHASHSEED": "0",
            "OPENBLAS_NUM_THREADS": "1",
            "OMP_NUM_THREADS": "1",
        }
        self.process = subprocess.Popen(
            [sys.executable, str(Path(__file__).with_name("mutate_worker.py")), *modules],
            cwd=self.tree,
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        if not self._heard().get("ready"):
            raise BuildError("the process that runs the tests could not be started")

    def _heard(self) -> dict[str, Any]:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        said: dict[str, Any] = json.loads(line) if line else {}
        return said

    def ask(self, what: str, files: list[str], limit: float, **more: Any) -> dict[str, Any]:
        assert self.process.stdin is not None
        asked = {"what": what, "files": files, "limit": limit, "answer": str(self.folder / "answer.json")}
        self.process.stdin.write(json.dumps(asked | more) + "\n")
        self.process.stdin.flush()
        said = self._heard()
        if "code" not in said:
            raise BuildError("the process that runs the tests has ended")
        return said

    def log(self) -> str:
        return (self.folder / "answer.log").read_text(encoding="utf-8", errors="replace")

    def write(self, file: str, text: str) -> None:
        """Change a file of the copy. Each change has a time of its own, so that no older bytecode passes for it."""
        (self.tree / file).write_text(text, encoding="utf-8")
        now = next(self.times)
        os.utime(self.tree / file, (now, now))

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        shutil.rmtree(self.folder, ignore_errors=True)


@dataclass
class Tree:
    """The files a run is about, and the map from lines to tests."""

    root: Path
    packages: tuple[str, ...] = PACKAGES
    code: dict[str, str] = field(init=False)
    test_files: list[str] = field(init=False)
    tests: dict[str, Test] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.code = {
            path.relative_to(self.root).as_posix(): path.read_text(encoding="utf-8")
            for package in self.packages
            for path in sorted((self.root / package).rglob("*.py"))
        }
        tests = self.root / "tests"
        # those that stand in no folder test the built site, those in `browser` need a browser
        self.test_files = sorted(
            path.relative_to(self.root).as_posix()
            for path in tests.rglob("test_*.py")
            if path.parent != tests and "browser" not in path.relative_to(tests).parts
        )
        if not self.code or not self.test_files:
            raise BuildError(f"{self.root} has no code in {', '.join(self.packages)}, or no tests")
        beside = [
            path
            for path in sorted(tests.rglob("*"))
            if path.is_file()
            and "__pycache__" not in path.parts
            and not (path.name.startswith("test_") and path.suffix == ".py")
        ]
        beside += [path for name in ("pyproject.toml", "fettle.lock") if (path := self.root / name).exists()]
        whole = hashlib.sha256(sys.version.encode())
        for name, text in self.code.items():
            whole.update(f"{name}\n{text}\n".encode())
        for path in beside:
            whole.update(path.relative_to(self.root).as_posix().encode() + path.read_bytes())
        self.mark = whole.hexdigest()
        self.test_marks = {name: _hash((self.root / name).read_bytes()) for name in self.test_files}
        self._named = {name: _named(ast.parse(text)) for name, text in self.code.items()}

    def imports(self) -> list[str]:
        """Modules from outside that code or tests import; nothing that stands in the tree itself."""
        texts = [*self.code.values()]
        texts += [(self.root / name).read_text(encoding="utf-8") for name in self.test_files]
        found: set[str] = set()
        for text in texts:
            for node in ast.walk(ast.parse(text)):
                if isinstance(node, ast.Import):
                    found.update(alias.name for alias in node.names)
                elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                    found.add(node.module)
        own = {path.stem for path in self.root.iterdir()} | {Path(name).stem for name in self.test_files}
        return sorted(name for name in found if name.split(".")[0] not in own)

    def asked_of(self, mutant: Mutant) -> tuple[list[Test], int]:
        """The tests to ask, in order: those that run the line (and how many these are), then others that may see it.

        A line that runs at import is seen by the tests that run a line naming what it makes, and then by all that run
        any line of its module. Others of the same files come last: a cache or a shared fixture hides who ran a line.
        """
        wanted = {mutant.file: sum(1 << n for n in range(mutant.first, mutant.last + 1))}
        groups: list[dict[str, int]] = [wanted]
        if mutant.at_import:
            groups = [self._users(mutant, wanted), {mutant.file: self._named[mutant.file].inside}]
        stem = Path(mutant.file).stem
        asked: dict[str, Test] = {}
        for group in groups:
            self._add(asked, stem, functools.partial(_runs, lines=group))
        direct = len(asked)
        files = {test.file for test in asked.values()}
        self._add(asked, stem, lambda test: test.file in files)
        return list(asked.values()), direct

    def _add(self, asked: dict[str, Test], stem: str, which: Callable[[Test], bool]) -> None:
        by_file: dict[str, list[Test]] = {}
        for test in self.tests.values():
            if test.id not in asked and which(test):
                by_file.setdefault(test.file, []).append(test)

        def rank(name: str) -> tuple[bool, float, str]:
            words = Path(name).stem.split("_")[1:]
            return stem not in (*words, "_".join(words)), sum(t.seconds for t in by_file[name]), name

        for name in sorted(by_file, key=rank):
            asked.update({test.id: test for test in by_file[name]})

    def _users(self, mutant: Mutant, lines: dict[str, int]) -> dict[str, int]:
        """Lines inside functions that name what a statement run at import makes, or what is made of that in turn."""
        names = set(self._named[mutant.file].makes(mutant.line))
        while more := {
            made
            for one in self._named.values()
            for made_here, used in one.made
            if used & names
            for made in made_here - names
        }:
            names |= more
        found = dict(lines)
        for file, one in self._named.items():
            for name in names & one.uses.keys():
                found[file] = found.get(file, 0) | one.uses[name]
        return found


@dataclass(frozen=True)
class Named:
    """What the statements at the top of a module make and use, and where its functions name things."""

    statements: list[tuple[int, int, set[str]]]
    made: list[tuple[set[str], set[str]]]
    uses: dict[str, int]
    inside: int  # all lines inside functions

    def makes(self, line: int) -> set[str]:
        return next((names for first, last, names in self.statements if first <= line <= last), set())


def _named(tree: ast.Module) -> Named:
    statements, made = [], []
    for statement in tree.body:
        names = {getattr(statement, "name", "")} - {""}
        names |= {
            n.id for n in ast.walk(statement) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)
        }
        if isinstance(statement, (*make.FUNCTIONS, ast.ClassDef)):
            names = {statement.name}
        elif not isinstance(statement, (ast.Import, ast.ImportFrom)):
            made.append((names, _names_in(statement)))
        first = min([statement.lineno, *(d.lineno for d in getattr(statement, "decorator_list", []))])
        statements.append((first, statement.end_lineno or statement.lineno, names))
    uses: dict[str, int] = {}
    inside = 0
    for function in ast.walk(tree):
        if not isinstance(function, make.FUNCTIONS):
            continue
        for statement in function.body:
            inside |= sum(1 << n for n in range(statement.lineno, (statement.end_lineno or 0) + 1))
            for node in ast.walk(statement):
                if isinstance(node, ast.Name):
                    uses[node.id] = uses.get(node.id, 0) | 1 << node.lineno
                elif isinstance(node, ast.Attribute):
                    uses[node.attr] = uses.get(node.attr, 0) | 1 << node.lineno
        # who calls it, for a default in its head
        uses[function.name] = uses.get(function.name, 0) | 1 << function.body[0].lineno
    return Named(statements, made, uses, inside)


def _names_in(statement: ast.stmt) -> set[str]:
    names = {n.id for n in ast.walk(statement) if isinstance(n, ast.Name)}
    return names | {n.attr for n in ast.walk(statement) if isinstance(n, ast.Attribute)}


def _runs(test: Test, lines: dict[str, int]) -> bool:
    return any(test.lines.get(file, 0) & mask for file, mask in lines.items())


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def record(tree: Tree, workers: queue.Queue[Worker], jobs: int, cache: Path) -> list[str]:
    """Fill in the map from lines to tests; returns the tests that fail without any fault, which are left out."""
    cache.mkdir(parents=True, exist_ok=True)
    failing: list[str] = []
    marks = {name: _hash(f"{tree.mark} {name} {tree.test_marks[name]}".encode()) for name in tree.test_files}

    def one(file: str) -> None:
        kept = cache / f"{marks[file]}.json"
        if not kept.exists():
            worker = workers.get()
            try:
                said = worker.ask("record", [file], 3600, packages=list(tree.packages))
                if said["code"] not in (0, 1, 5):
                    raise BuildError(f"{file} cannot be run without any fault:\n{worker.log()[-3000:]}")
            finally:
                workers.put(worker)
            part = kept.with_suffix(".part")
            part.write_text(json.dumps(said), encoding="utf-8")
            part.replace(kept)

    new = [name for name, mark in marks.items() if not (cache / f"{mark}.json").exists()]
    if new:
        step(f"recording which lines the tests run ({len(new)} of {len(marks)} files)")
    with ThreadPoolExecutor(jobs) as pool:
        list(pool.map(one, marks))
    for name, mark in marks.items():
        said = json.loads((cache / f"{mark}.json").read_text(encoding="utf-8"))
        failing += said["failed"]
        for id_, test in said["tests"].items():
            if id_ not in said["failed"]:
                lines = {file: int(mask, 16) for file, mask in test["lines"].items()}
                tree.tests[id_] = Test(id_, name, test["seconds"], lines)
    for old in cache.glob("*.json"):
        if old.stem not in marks.values():
            old.unlink()
    return failing


def within(tests: Iterable[Test], budget: float) -> list[Test]:
    """The first of them that together take no longer than the budget [s]; always at least one."""
    chosen: list[Test] = []
    spent = 0.0
    for test in tests:
        if chosen and spent + test.seconds > budget:
            continue
        chosen.append(test)
        spent += test.seconds
    return chosen


def limits(tests: Iterable[Test]) -> dict[str, float]:
    return {test.id: round(AT_LEAST_S + SLOWER * test.seconds, 1) for test in tests}


def batches(tests: list[Test]) -> list[list[Test]]:
    """The tests in their order, those of the first file alone, then of more files each time: a fault is mostly noticed
    in the first, and the others need not even be imported."""
    files = list(dict.fromkeys(test.file for test in tests))
    found, size = [], 1
    while files:
        some, files = set(files[:size]), files[size:]
        found.append([test for test in tests if test.file in some])
        size *= 4
    return found


def run_some(worker: Worker, what: str, tests: list[Test]) -> dict[str, Any]:
    """The seconds each may take are of the processor; all together may also wait for it."""
    allowed = limits(tests)
    return worker.ask(what, sorted({t.file for t in tests}), 300 + 4 * sum(allowed.values()), tests=allowed)


def try_out(tree: Tree, mutant: Mutant, tests: list[Test], worker: Worker) -> tuple[str, str]:
    """Put one fault into the worker's copy, run the tests, take it out again."""
    original = tree.code[mutant.file]
    worker.write(mutant.file, make.written(original, mutant.number))
    try:
        for some in batches(tests):
            said = run_some(worker, "run", some)
            if said["code"] != 0:
                break
    finally:
        worker.write(mutant.file, original)
    if said["code"] == 0:
        return ALIVE, ""
    how = {-1: "ran on without end", -2: "the process died"}.get(
        said["code"], "did not get as far as the tests"
    )
    return KILLED, said["failed"][0] if said["failed"] else how


class Answers:
    """What earlier runs found, one line each, under all that the answer depends on."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.known: dict[str, dict[str, Any]] = {}
        self.lock = threading.Lock()
        if path.exists():
            for line in path.read_text(encoding="utf-8").splitlines():
                try:
                    one = json.loads(line)
                except json.JSONDecodeError:  # the run was stopped while writing it
                    continue
                self.known[one["key"]] = one

    @staticmethod
    def key(tree: Tree, mutant: Mutant, tests: list[Test]) -> str:
        marks = [f"{t.id} {tree.test_marks[t.file]}" for t in tests]
        return _hash("\n".join([tree.mark, mutant.file, str(mutant.number), *marks]).encode())

    def add(self, key: str, state: str, by: str, seconds: float) -> None:
        with self.lock:
            self.known[key] = {"key": key, "state": state, "by": by, "seconds": seconds}
            with self.path.open("a", encoding="utf-8") as file:
                file.write(json.dumps(self.known[key]) + "\n")


def measure(
    tree: Tree, chosen: list[Mutant], workers: queue.Queue[Worker], jobs: int, budget: float, answers: Answers
) -> list[Answer]:
    done = itertools.count(1)

    def one(mutant: Mutant) -> Answer:
        every, direct = tree.asked_of(mutant)
        tests = within(every, budget)
        if not tests:
            return Answer(mutant, NO_TEST, "", 0.0, 0, 0)
        key = answers.key(tree, mutant, tests)
        if key not in answers.known:
            worker = workers.get()
            begun = time.monotonic()
            try:
                state, by = try_out(tree, mutant, tests, worker)
            finally:
                workers.put(worker)
            answers.add(key, state, by, round(time.monotonic() - begun, 2))
            step(f"{next(done)}: {state} {mutant.file}:{mutant.line} {mutant.kind}")
        known = answers.known[key]
        missed = sum(test not in tests for test in every[:direct])
        return Answer(mutant, known["state"], known["by"], known["seconds"], len(tests), missed)

    with ThreadPoolExecutor(jobs) as pool:
        return list(pool.map(one, chosen))


def kept(path: Path) -> list[dict[str, str]]:
    """Survivors that are accepted: file name, statement before and after, and why a test would show nothing."""
    if not path.exists():
        return []
    found = tomllib.loads(path.read_text(encoding="utf-8")).get("kept", [])
    for one in found:
        lacks = {"file", "before", "after", "reason"} - one.keys()
        if lacks or not str(one["reason"]).strip():
            raise BuildError(f"{path.name}: an entry lacks {', '.join(sorted(lacks)) or 'a reason'}: {one}")
    return list(found)


def _accepts(entry: dict[str, str], mutant: Mutant) -> bool:
    same = Path(entry["file"]).name == Path(mutant.file).name  # folders may change
    return same and (entry["before"], entry["after"]) == (mutant.before, mutant.after)


def _reason(accepted: list[dict[str, str]], mutant: Mutant) -> str:
    return next((entry["reason"] for entry in accepted if _accepts(entry, mutant)), "")


def table(title: str, rows: dict[str, list[Answer]]) -> list[str]:
    lines = [
        f"| {title} | mutants | killed | share | without the accepted |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name, those in rows.items():
        killed = sum(a.state == KILLED for a in those)
        real = [a for a in those if not a.reason]
        share = f"{100 * killed / len(real):.0f} %" if real else "-"
        lines.append(f"| {name} | {len(those)} | {killed} | {100 * killed / len(those):.0f} % | {share} |")
    return lines


def report(answers: list[Answer]) -> str:
    """Tables by package and kind, and each survivor with its place, what stood there and what stands there now."""
    groups: dict[str, list[Answer]] = {"all": answers}
    kinds: dict[str, list[Answer]] = {}
    for answer in sorted(answers, key=lambda a: (a.mutant.file, a.mutant.line)):
        parts = Path(answer.mutant.file).parts
        groups.setdefault(f"all of {parts[0]}", []).append(answer)
    for answer in sorted(answers, key=lambda a: (Path(a.mutant.file).parent.as_posix(), a.mutant.kind)):
        groups.setdefault(Path(answer.mutant.file).parent.as_posix() + "/", []).append(answer)
    for answer in sorted(answers, key=lambda a: a.mutant.kind):
        kinds.setdefault(answer.mutant.kind, []).append(answer)
    lines = [*table("where", groups), "", *table("kind", kinds), ""]
    alive = [a for a in answers if a.state != KILLED]
    lines.append(f"{len(alive)} survived:" if alive else "none survived")
    for a in sorted(alive, key=lambda a: (bool(a.reason), a.mutant.file, a.mutant.line)):
        m = a.mutant
        asked = f"{a.tests} tests" + (
            f", {a.left_out} more that run it left out for want of time" if a.left_out else ""
        )
        note = f"accepted: {a.reason}" if a.reason else (a.state if a.state == NO_TEST else asked)
        lines += ["", f"{m.file}:{m.line}  {m.kind}  ({note})", f"  - {m.before}", f"  + {m.after}"]
    return "\n".join(lines)


def run(root: Path, args: argparse.Namespace) -> int:
    tree = Tree(root)
    cache = root / ".cache" / "mutate"
    every = [
        mutant
        for file, text in tree.code.items()
        if args.only in (None, file.split("/")[0])
        for mutant in make.mutants(file, text)
    ]
    chosen = make.sample(every, args.sample, args.seed)
    if args.at:
        chosen = [m for m in every if f"{m.file}:{m.line}".endswith(tuple(args.at))]
    step(f"{len(chosen)} of {len(every)} faults in {len(tree.code)} files, seed {args.seed}")
    accepted = kept(root / KEPT)
    for entry in accepted:
        if not any(_accepts(entry, m) for m in every) and args.only is None:
            step(f"{KEPT}: nothing reads like this any more: {entry['file']}: {entry['before']}")
    workers: queue.Queue[Worker] = queue.Queue()
    started: list[Worker] = []
    try:
        for _ in range(args.jobs):
            started.append(Worker(root, tree.imports()))
            workers.put(started[-1])
        failing = record(tree, workers, args.jobs, cache / "lines")
        for name in failing:
            step(f"fails without any fault and is left out: {name}")
        answers = Answers(cache / "answers.jsonl")
        found = measure(tree, chosen, workers, args.jobs, args.budget, answers)
        found = [a if a.state == KILLED else replace(a, reason=_reason(accepted, a.mutant)) for a in found]
        doubtful = without_fault(tree, found, started[0])
    finally:
        for worker in started:
            worker.close()
    text = report(found)
    (cache / "report.md").write_text(text + "\n", encoding="utf-8")
    print(text)
    for name in doubtful:
        step(
            f"fails without a fault too when others are left out, so that what it killed does not count: {name}"
        )
    spent = sum(a.seconds for a in found)
    step(f"{spent:.0f} s of tests, {spent / max(len(found), 1):.1f} s a fault; .cache/mutate/report.md")
    return 1 if doubtful else 0


def without_fault(tree: Tree, found: list[Answer], worker: Worker) -> list[str]:
    """Tests that killed, run once more on the faultless tree, written out as the faulty files are; those that fail."""
    names = {a.by for a in found if a.state == KILLED} & tree.tests.keys()
    tests = [test for name, test in tree.tests.items() if name in names]
    if not tests:
        return []
    step(f"running the {len(tests)} tests that killed without a fault")
    for file, text in tree.code.items():
        worker.write(file, make.written(text))
    said = run_some(worker, "all", tests)
    for file, text in tree.code.items():
        worker.write(file, text)
    failed: list[str] = said["failed"]
    return failed
