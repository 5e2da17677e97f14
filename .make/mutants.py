"""Small faults put into source text one at a time, such as a careless edit could leave: what a test should notice.

Text is read as a syntax tree, one place of it changed, and written out again, so that strings, comments and lines
broken in two need no care. Docstrings, annotations, imports, decorators and what only a type checker runs are left alone.
"""

from __future__ import annotations

import ast
import copy
import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.GtE, ast.LtE),
    ast.LtE: (ast.Gt, ast.Lt),
    ast.Gt: (ast.LtE, ast.GtE),
    ast.GtE: (ast.Lt, ast.Gt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
LONG, AROUND = 160, 50  # characters of a statement in the report; of a longer one so many round the fault
CONSTANTS = ("constant x 1.1", "off by one")
BODIES = ("body", "orelse", "finalbody", "handlers", "cases")
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
# Flags whose other value changes nothing but how soon a fault is seen.
SAME_EITHER_WAY = {"strict", "frozen", "slots", "kw_only"}


@dataclass(frozen=True)
class Site:
    """One place to change: `holder.name`, or one of its items, becomes `new`."""

    statement: ast.stmt
    scope: tuple[str, ...]  # names of the classes and functions around it
    at_import: bool  # run when the module is imported, not when a function is called
    line: int
    kind: str
    holder: ast.AST
    name: str
    index: int | None
    new: Any

    def put(self) -> Any:
        """Change the tree; returns what stood there."""
        if self.index is None:
            old = getattr(self.holder, self.name)
            setattr(self.holder, self.name, self.new)
            return old
        items = getattr(self.holder, self.name)
        old, items[self.index] = items[self.index], self.new
        return old

    def back(self, old: Any) -> None:
        if self.index is None:
            setattr(self.holder, self.name, old)
        else:
            getattr(self.holder, self.name)[self.index] = old


@dataclass(frozen=True)
class Mutant:
    """One fault in one file. `number` counts the sites of that file; `key` stays when a file is moved."""

    file: str
    number: int
    line: int
    first: int  # of the lines of its statement, or of the statement's head where it has a body
    last: int
    scope: tuple[str, ...]
    at_import: bool
    kind: str
    before: str
    after: str
    key: str = field(compare=False)


def mutants(file: str, text: str) -> list[Mutant]:
    """All faults this module can put into the text of one file."""
    found: list[Mutant] = []
    times: dict[str, int] = {}
    for number, site in enumerate(sites(ast.parse(text))):
        before = head(site.statement)
        old = site.put()
        after = "pass" if site.kind == "statement dropped" else head(site.statement)
        site.back(old)
        plain = "\n".join((*site.scope, before, after))
        times[plain] = times.get(plain, 0) + 1
        found.append(
            Mutant(
                file,
                number,
                line=site.line,
                first=site.statement.lineno,
                last=_last(site.statement),
                scope=site.scope,
                at_import=site.at_import,
                kind=site.kind,
                before=_shown(before, after),
                after=_shown(after, before),
                key=f"{plain}\n{times[plain]}",
            )
        )
    return found


def written(text: str, number: int | None = None) -> str:
    """The text with fault `number` in it, written out again from its tree; None for no fault."""
    tree = ast.parse(text)
    if number is not None:
        next(site for i, site in enumerate(sites(tree)) if i == number).put()
    return ast.unparse(tree) + "\n"


def sample(all_: Iterable[Mutant], size: int, seed: int) -> list[Mutant]:
    """At most `size` mutants, one a line, at most a third of them constants; in the order they were drawn.

    The draw goes by the code itself, not by where it stands: moving a file or editing another keeps the sample.
    """

    def draw(what: str, mutant: Mutant) -> str:
        return hashlib.sha256(f"{seed}\n{what}\n{mutant.key}".encode()).hexdigest()

    lines: dict[tuple[str, int], list[Mutant]] = {}
    for mutant in all_:
        lines.setdefault((mutant.file, mutant.line), []).append(mutant)
    # the first of a line draws for the line, so that a line with many sites is not likelier than one with few
    order = sorted(lines.values(), key=lambda those: draw("line", those[0]))
    chosen: list[Mutant] = []
    constants = 0
    for those in order:
        one = min(those, key=lambda m: draw("site", m))
        if len(chosen) == size:
            break
        if one.kind in CONSTANTS:
            if constants >= size // 3:
                continue
            constants += 1
        chosen.append(one)
    return chosen


def head(statement: ast.stmt) -> str:
    """A statement on one line; of one that has a body only what stands before it."""
    if not hasattr(statement, "body"):
        return " ".join(ast.unparse(statement).split("\n"))
    bare = copy.copy(statement)
    for name in (*BODIES, "decorator_list"):
        if hasattr(bare, name):
            setattr(bare, name, [])
    return ast.unparse(bare).split("\n")[0]


def _shown(text: str, other: str) -> str:
    """A statement, of a long one only the part where it differs from the other with a little round it."""
    if max(len(text), len(other)) <= LONG or text == "pass" or other == "pass":
        return text if len(text) <= LONG else f"{text[:LONG]}..."
    start = _alike(text, other)
    end = _alike(text[start:][::-1], other[start:][::-1])
    first, last = max(start - AROUND, 0), min(len(text) - end + AROUND, len(text))
    return f"{'...' if first else ''}{text[first:last]}{'...' if last < len(text) else ''}"


def _alike(one: str, other: str) -> int:
    """How many characters two texts have in common from their start."""
    return next(
        (n for n, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )


def _last(statement: ast.stmt) -> int:
    body = getattr(statement, "body", None)
    if not body:
        return statement.end_lineno or statement.lineno
    return max(statement.lineno, int(body[0].lineno) - 1)


def sites(tree: ast.Module) -> Iterator[Site]:
    yield from _block(tree, "body", (), True)


def _block(holder: ast.AST, name: str, scope: tuple[str, ...], at_import: bool) -> Iterator[Site]:
    for index, statement in enumerate(getattr(holder, name)):
        if isinstance(statement, (ast.ExceptHandler, ast.match_case)):
            yield from _block(statement, "body", scope, at_import)
            continue
        if _left_alone(statement):
            continue
        if _may_be_dropped(statement):
            yield Site(
                statement,
                scope,
                at_import,
                statement.lineno,
                "statement dropped",
                holder,
                name,
                index,
                ast.Pass(),
            )
        yield from _expressions(statement, statement, scope, at_import)
        inner = scope
        run_at_import = at_import
        if isinstance(statement, (*FUNCTIONS, ast.ClassDef)):
            inner = (*scope, statement.name)
            run_at_import = at_import and isinstance(statement, ast.ClassDef)
        for body in BODIES:
            if getattr(statement, body, None):
                yield from _block(statement, body, inner, run_at_import)


def _left_alone(statement: ast.stmt) -> bool:
    if isinstance(statement, (ast.Import, ast.ImportFrom, ast.Global, ast.Nonlocal, ast.Pass)):
        return True
    if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
        return True  # a docstring
    if type(statement).__name__ == "TypeAlias":
        return True
    if isinstance(statement, ast.If):
        asked = ast.unparse(statement.test)
        return asked.endswith("TYPE_CHECKING") or asked.startswith("__name__ ==")
    return False


def _may_be_dropped(statement: ast.stmt) -> bool:
    if isinstance(statement, ast.Assign):  # a plain name left out is only a NameError
        return all(isinstance(t, (ast.Attribute, ast.Subscript)) for t in statement.targets)
    return isinstance(
        statement, (ast.Expr, ast.AugAssign, ast.Delete, ast.Raise, ast.Continue, ast.Break)
    ) and not isinstance(getattr(statement, "value", None), (ast.Yield, ast.YieldFrom, ast.Await))


def _expressions(
    node: ast.AST, statement: ast.stmt, scope: tuple[str, ...], at_import: bool
) -> Iterator[Site]:
    """Sites in the expressions of one statement, but not in the statements of its body."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_params") or (
            node is statement and name in BODIES
        ):
            continue
        many = value if isinstance(value, list) else [value]
        for index, child in enumerate(many):
            if not isinstance(child, ast.AST):
                continue
            where = index if isinstance(value, list) else None
            line = getattr(child, "lineno", getattr(node, "lineno", statement.lineno))
            for kind, new in _changes(child, node, name):
                # inside an f-string older Pythons count lines from elsewhere
                inside = (
                    line if statement.lineno <= line <= (statement.end_lineno or line) else statement.lineno
                )
                yield Site(statement, scope, at_import, inside, kind, node, name, where, new)
            if isinstance(child, ast.keyword) and child.arg in SAME_EITHER_WAY:
                continue
            yield from _expressions(child, statement, scope, at_import)


def _changes(node: ast.AST, parent: ast.AST, name: str) -> Iterator[tuple[str, ast.AST]]:
    """What can stand in the place of one node."""
    if isinstance(node, ast.operator) and type(node) in ARITHMETIC and _of_numbers(parent):
        yield "arithmetic", ARITHMETIC[type(node)]()
    if isinstance(node, ast.cmpop):
        for other in COMPARISONS[type(node)]:
            yield "comparison", other()
    if isinstance(node, ast.boolop):
        yield "and, or", ast.Or() if isinstance(node, ast.And) else ast.And()
    if isinstance(node, ast.UnaryOp) and _is_not(node):
        yield "not dropped", node.operand
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield "arithmetic", node.operand
    asked = isinstance(parent, (ast.If, ast.IfExp)) and name == "test"
    asked = asked or (isinstance(parent, ast.comprehension) and name == "ifs")
    if asked and isinstance(node, ast.expr) and not _is_not(node):
        yield "if negated", ast.UnaryOp(ast.Not(), node)
    if isinstance(node, ast.Constant):
        yield from _constants(node.value)


def _is_not(node: ast.expr) -> bool:
    return isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not)


def _constants(value: object) -> Iterator[tuple[str, ast.AST]]:
    if isinstance(value, bool):
        yield "true, false", ast.Constant(not value)
    elif isinstance(value, int):
        if abs(value) < 10:
            yield "off by one", ast.Constant(value + 1)
        else:
            yield "constant x 1.1", ast.Constant(round(value * 1.1))
    elif isinstance(value, float) and value != 0.0 and value * 1.1 != value:
        yield "constant x 1.1", ast.Constant(value * 1.1)


def _of_numbers(parent: ast.AST) -> bool:
    """Whether an operator can be one of numbers: texts and lists put together would only raise."""
    sides = [getattr(parent, side, None) for side in ("left", "right", "value")]
    texts = (ast.JoinedStr, ast.List, ast.Tuple, ast.ListComp, ast.Dict, ast.Set)
    return not any(
        isinstance(side, texts) or (isinstance(side, ast.Constant) and isinstance(side.value, (str, bytes)))
        for side in sides
    )
