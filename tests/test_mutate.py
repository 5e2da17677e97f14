"""The tool that puts small faults into the code: what it changes, what it leaves alone, and that it counts rightly."""

import argparse
import ast
import sys
import textwrap
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / ".make"))
import mutants  # noqa: E402
import mutate  # noqa: E402
from console import BuildError  # noqa: E402

TOY = '''
"""A package of one module. Its 3 words."""
from __future__ import annotations
from typing import TYPE_CHECKING
if TYPE_CHECKING:
    SOME = 5
RATE = 2.5
UNSEEN = 4.0

def price(hours: float, *, least: float = 10.0) -> float:
    """What 1 job costs."""
    total = RATE * hours
    if total < least:
        total = least
    return total

def loose(value):
    doubled = value * 2
    return UNSEEN if doubled > 100 else None

def never(value):
    return value + 1

def endless(n):
    while n > 0:
        n -= 1
    return n
'''
TESTS = """
from engine.toy import endless, loose, price

def test_price():
    assert price(8) == 20
    assert price(4) == 10
    assert price(2) == 10

def test_loose():
    loose(3)

def test_endless():
    assert endless(3) == 0
"""


@pytest.fixture
def toy(tmp_path, monkeypatch):
    monkeypatch.setattr(mutate, "AT_LEAST_S", 2.0)
    for name, text in {
        "engine/__init__.py": "",
        "engine/toy.py": TOY,
        "tests/engine/test_toy.py": TESTS,
        "tests/test_site.py": "raise RuntimeError('needs a built site')",
        "tests/browser/test_page.py": "raise RuntimeError('needs a browser')",
        "pyproject.toml": '[tool.pytest.ini_options]\npythonpath = ["."]\n',
    }.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


def run(root, capsys, **other):
    options = {"sample": 1000, "seed": 1, "only": None, "at": None, "jobs": 1, "budget": 60.0}
    assert mutate.run(root, argparse.Namespace(**(options | other))) == 0
    return capsys.readouterr().out


def faults(source):
    return [(m.kind, m.before, m.after) for m in mutants.mutants("a.py", textwrap.dedent(source))]


@pytest.mark.parametrize(
    ("source", "kind", "after"),
    [
        ("def f(a, b): return a * b", "arithmetic", "return a / b"),
        ("def f(a, b): return a - b", "arithmetic", "return a + b"),
        ("def f(a): return -a", "arithmetic", "return a"),
        ("def f(a, b): return a < b", "comparison", "return a <= b"),
        ("def f(a, b): return a < b", "comparison", "return a >= b"),
        ("def f(a, b): return a in b", "comparison", "return a not in b"),
        ("def f(a, b): return a and b", "and, or", "return a or b"),
        ("def f(a): return not a", "not dropped", "return a"),
        ("def f(a):\n  if a: return 'x'", "if negated", "if not a:"),
        ("def f(a): return [x for x in a if x]", "if negated", "return [x for x in a if not x]"),
        ("def f(a): return 'y' if a else 'n'", "if negated", "return 'y' if not a else 'n'"),
        ("A = 0.5", "constant x 1.1", "A = 0.55"),
        ("A = 400", "constant x 1.1", "A = 440"),
        ("A = 2", "off by one", "A = 3"),
        ("A = True", "true, false", "A = False"),
        ("def f(a): a.sort()", "statement dropped", "pass"),
        ("def f(a): a.b = a", "statement dropped", "pass"),
        ("def f(p): return f'chance {100 * p:.0f} %'", "arithmetic", "return f'chance {100 / p:.0f} %'"),
    ],
)
def test_each_kind_of_fault(source, kind, after):
    found = [(k, " ".join(a.replace("0.55000000000000004", "0.55").split())) for k, _, a in faults(source)]
    assert (kind, after) in found


@pytest.mark.parametrize(
    "source",
    [
        '"""Takes 3 of 4."""',
        "def f(a: Literal[3]) -> Annotated[int, 4]:\n  'Of 2.'\n  b: Annotated[int, 7] = a\n  return b",
        "from .a import b",
        "if TYPE_CHECKING:\n  A = 3",
        "if __name__ == '__main__':\n  f(3)",
        "@cache(maxsize=4)\ndef f(a): return a",
        "def f(a): return g(*a, strict=True)",
        "def f(a): return 'x' + a",
    ],
)
def test_what_is_left_alone(source):
    assert faults(source) == []


def test_every_fault_can_be_written_and_is_the_one_described():
    for m in mutants.mutants("toy.py", TOY):
        changed = mutants.written(TOY, m.number)
        assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(TOY))
        assert m.after in changed and m.before not in changed.split(m.after)
    assert ast.dump(ast.parse(mutants.written(TOY))) == ast.dump(ast.parse(TOY))


def test_of_a_long_statement_the_part_with_the_fault_is_shown():
    source = (
        "A = ["
        + ", ".join(f"'{n:04}'" for n in range(60))
        + ", 7, "
        + ", ".join("'x'" for _ in range(60))
        + "]"
    )
    ((_, before, after),) = faults(source)
    assert before.startswith("...") and before.endswith("...") and len(before) < 160
    assert before.replace(" 7, ", " 8, ") == after


def test_a_sample_takes_one_a_line_and_holds_constants_to_a_third():
    source = "".join(f"A{n} = [{n}, {n + 1}]\n" for n in range(200))
    source += "".join(f"def f{n}(a): return a < {n}\n" for n in range(200))
    every = mutants.mutants("a.py", source)
    chosen = mutants.sample(every, 60, 1)
    assert len(chosen) == 60
    assert len({m.line for m in chosen}) == 60
    assert sum(m.kind in ("constant x 1.1", "off by one") for m in chosen) == 20
    assert mutants.sample(every, 60, 1) == chosen
    assert mutants.sample(every, 60, 2) != chosen
    assert mutants.sample(every, 30, 1)[:10] == chosen[:10]


def test_moving_a_file_keeps_the_sample():
    before = mutants.sample(mutants.mutants("engine/toy.py", TOY), 8, 3)
    after = mutants.sample(mutants.mutants("engine/rooms/first.py", "# moved\n\n" + TOY), 8, 3)
    assert [(m.before, m.after, m.line + 2) for m in before] == [(m.before, m.after, m.line) for m in after]


def test_faults_that_tests_notice_are_told_from_those_they_do_not(toy, capsys):
    said = run(toy, capsys)
    alive = [part.split("\n")[1:3] for part in said.split("\n\n") if part.startswith("engine/toy.py:")]
    assert sorted(before for before, _ in alive) == [
        "  - UNSEEN = 4.0",
        "  - doubled = value * 2",
        "  - if total < least:",
        "  - return UNSEEN if doubled > 100 else None",
        "  - return value + 1",
    ]
    assert ["  - if total < least:", "  + if total <= least:"] in alive  # cannot be told apart
    assert "| all | 10 | 5 | 50 % | 50 % |" in said
    assert "run by no test" in said
    assert (toy / "engine/toy.py").read_text() == TOY


def test_a_second_run_asks_nothing_again_and_says_the_same(toy, capsys):
    first = run(toy, capsys, at=["toy.py:12"])
    answers = (toy / ".cache/mutate/answers.jsonl").read_text()
    assert len(answers.splitlines()) == 1
    second = run(toy, capsys, at=["toy.py:12"])
    assert (toy / ".cache/mutate/answers.jsonl").read_text() == answers
    assert [line for line in first.splitlines() if line.startswith("|")] == [
        line for line in second.splitlines() if line.startswith("|")
    ]
    # what was stopped while writing is asked again
    (toy / ".cache/mutate/answers.jsonl").write_text(answers[: len(answers) // 2])
    run(toy, capsys, at=["toy.py:12"])
    assert answers.split('"seconds"')[0] in (toy / ".cache/mutate/answers.jsonl").read_text()


def test_a_new_test_is_asked(toy, capsys):
    assert "1 survived" in run(toy, capsys, at=["toy.py:8"])
    with (toy / "tests/engine/test_toy.py").open("a") as file:
        file.write("\ndef test_unseen():\n    assert loose(60) == 4\n")
    assert "none survived" in run(toy, capsys, at=["toy.py:8"])


def test_a_survivor_can_be_accepted_with_a_reason(toy, capsys):
    (toy / ".make").mkdir()
    entry = '[[kept]]\nfile = "engine/elsewhere/toy.py"\nbefore = "UNSEEN = 4.0"\nafter = "UNSEEN = 4.4"\n'
    (toy / mutate.KEPT).write_text(entry + 'reason = "nobody looks"\n')
    said = run(toy, capsys, at=["toy.py:8"])
    assert "accepted: nobody looks" in said
    (toy / mutate.KEPT).write_text(entry + 'reason = " "\n')
    with pytest.raises(BuildError, match="lacks a reason"):
        run(toy, capsys)
    (toy / mutate.KEPT).write_text(entry.replace("4.0", "5.0") + 'reason = "gone"\n')
    assert "nothing reads like this any more" in run(toy, capsys, at=["toy.py:8"])


def test_a_test_that_fails_by_itself_kills_nothing(toy, capsys):
    with (toy / "tests/engine/test_toy.py").open("a") as file:
        file.write("\ndef test_broken():\n    assert loose(60) == 5\n")
    said = run(toy, capsys, at=["toy.py:8"])
    assert "fails without any fault and is left out: tests/engine/test_toy.py::test_broken" in said
    assert "1 survived" in said


def test_a_fault_without_end_is_noticed(toy, capsys):
    assert "none survived" in run(toy, capsys, at=["toy.py:26"])


def test_the_list_of_accepted_survivors_is_well_formed():
    for entry in mutate.kept(ROOT / mutate.KEPT):
        assert not Path(entry["file"]).is_absolute()
        assert entry["before"] != entry["after"]
