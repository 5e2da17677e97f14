"""Runs in Pyodide: compiles every .py below /tree and /code, and the standard library in /core, to unchecked-hash .pyc.

What only somebody at a prompt or a type checker reads is left out: docstrings, the help texts of properties and parameters,
annotations of functions and of modules' names, overloads, and (by PYTHONNODEBUGRANGES) the columns in tracebacks. Each
instruction has the line at which its function begins: whole tables of lines would be a thirtieth of all that is fetched, and
more of our own code. The official standard library comes as source; as .pyc it need not be compiled again at every start.
"""

import ast
import functools
import importlib._bootstrap_external as external
import importlib.util
import io
import os
import zipfile
from types import CodeType

HELP = ("doc", "help")


class Mute(ast.NodeTransformer):
    """Empties the texts of ``doc=`` and ``help=``, which only make documentation, and takes types out where nothing asks
    for them: classes keep theirs, which dataclasses and the like are made from, and so do functions that are registered
    by them."""

    def visit_Call(self, node):
        self.generic_visit(node)
        for keyword in node.keywords:
            text = keyword.value
            if keyword.arg in HELP and isinstance(text, ast.Constant) and isinstance(text.value, str):
                text.value = ""
        return node

    def visit_FunctionDef(self, node):
        marks = {getattr(mark, "attr", getattr(mark, "id", "")) for mark in node.decorator_list}
        if "overload" in marks:
            return ast.copy_location(ast.Pass(), node)
        if "register" not in marks:
            node.returns = None
            given = node.args
            for one in [*given.posonlyargs, *given.args, *given.kwonlyargs, given.vararg, given.kwarg]:
                if one is not None:
                    one.annotation = None
        return self.generic_visit(node)

    visit_AsyncFunctionDef = visit_FunctionDef  # noqa: N815

    def visit_If(self, node):
        self.generic_visit(node)
        if getattr(node.test, "attr", getattr(node.test, "id", "")) == "TYPE_CHECKING":
            return node.orelse or ast.copy_location(ast.Pass(), node)
        return node

    def visit_Module(self, node):
        self.generic_visit(node)
        node.body = [self.plain(one) for one in node.body]
        return node

    @staticmethod
    def plain(node):
        """A module's ``name: type = value`` without the type."""
        if not isinstance(node, ast.AnnAssign):
            return node
        made = ast.Pass() if node.value is None else ast.Assign([node.target], node.value)
        return ast.copy_location(made, node)


class Ours(Mute):
    """For our own code: no dataclass asks for the types of its fields, and one with a text of its own makes none from them,
    which takes longer than all else about it."""

    def visit_ClassDef(self, node):
        self.generic_visit(node)
        for field in node.body:
            if isinstance(field, ast.AnnAssign) and not any(word in ast.unparse(field) for word in MEANT):
                field.annotation = ast.copy_location(ast.Constant(None), field.annotation)
        if any("dataclass" in ast.unparse(mark) for mark in node.decorator_list):
            doc = ast.Assign([ast.Name("__doc__", ast.Store())], ast.Constant(node.name))
            node.body.insert(0, ast.fix_missing_locations(ast.copy_location(doc, node)))
        return node


MEANT = ("ClassVar", "InitVar", "KW_ONLY")  # what dataclasses heed
UNITS = 8  # instructions that one entry of a table of lines can stand for
SAME_LINE = (
    0x80 | 13 << 3
)  # an entry's first byte, without columns; a second of 0 says that the line stays the same


@functools.cache
def on_one_line(count):
    """A table that puts so many instructions on the line where their function begins (Objects/locations.md of CPython)."""
    steps = (min(UNITS, count - first) - 1 for first in range(0, count, UNITS))
    return b"".join(bytes([SAME_LINE | step, 0]) for step in steps)


def begun(code, *, ours):
    """The code with one line for each function; in our own, nothing asks for the place of a function in its class."""
    inside = tuple(begun(c, ours=ours) if isinstance(c, CodeType) else c for c in code.co_consts)
    named = {"co_qualname": code.co_name} if ours else {}
    return code.replace(co_linetable=on_one_line(len(code.co_code) // 2), co_consts=inside, **named)


def compiled(source, shown, *, ours=False):
    tree = (Ours if ours else Mute)().visit(ast.parse(source, shown))
    code = begun(compile(tree, shown, "exec", dont_inherit=True, optimize=2), ours=ours)
    return bytes(external._code_to_hash_pyc(code, importlib.util.source_hash(source), checked=False))


def folder(top, *, ours=False):
    for home, _, names in os.walk(top):
        for name in sorted(names):
            if name.endswith(".py"):
                path = os.path.join(home, name)
                with open(path, "rb") as file:
                    source = file.read()
                with open(path + "c", "wb") as file:
                    file.write(compiled(source, path.split("/", 2)[2], ours=ours))
                os.remove(path)


def standard_library(path):
    with open(path, "rb") as file:
        given = zipfile.ZipFile(io.BytesIO(file.read()))
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for item in given.infolist():
            name, data = item.filename, given.read(item)
            if name.endswith(".py"):
                name, data = name + "c", compiled(data, f"/lib/python314.zip/{name}")
            archive.writestr(zipfile.ZipInfo(name, (2020, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED, 9)
    with open(path, "wb") as file:
        file.write(made.getvalue())


folder("/tree")
folder("/code", ours=True)
if os.path.exists("/core"):
    standard_library("/core/python_stdlib.zip")
