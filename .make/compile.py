"""Runs in Pyodide: compiles every .py below /tree and /code, and the standard library in /core, to unchecked-hash .pyc.

What only somebody at a prompt reads is left out of the packages: docstrings, the help texts of properties and parameters,
and (by PYTHONNODEBUGRANGES) the columns in tracebacks. What is not ours has the line at which its function begins there:
whole tables of lines would be a thirtieth of all that is fetched. The official standard library comes as source; as .pyc it
need not be compiled again at every start.
"""

import ast
import importlib._bootstrap_external as external
import importlib.util
import io
import os
import zipfile
from types import CodeType

HELP = ("doc", "help")


class Mute(ast.NodeTransformer):
    """Empties the texts of ``doc=`` and ``help=``, which only make documentation."""

    def visit_Call(self, node):
        self.generic_visit(node)
        for keyword in node.keywords:
            text = keyword.value
            if keyword.arg in HELP and isinstance(text, ast.Constant) and isinstance(text.value, str):
                text.value = ""
        return node


UNITS = 8  # instructions that one entry of a table of lines can stand for
SAME_LINE = (
    0x80 | 13 << 3
)  # an entry's first byte, without columns; a second of 0 says that the line stays the same


def begun(code):
    """The code with each instruction on the line where its function begins (Objects/locations.md of CPython)."""
    count = len(code.co_code) // 2
    table = b"".join(
        bytes([SAME_LINE | min(UNITS, count - first) - 1, 0]) for first in range(0, count, UNITS)
    )
    inside = tuple(begun(c) if isinstance(c, CodeType) else c for c in code.co_consts)
    return code.replace(co_linetable=table, co_consts=inside)


def compiled(source, shown, *, lines=True):
    tree = Mute().visit(ast.parse(source, shown))
    code = compile(tree, shown, "exec", dont_inherit=True, optimize=2)
    code = code if lines else begun(code)
    return bytes(external._code_to_hash_pyc(code, importlib.util.source_hash(source), checked=False))


def folder(top, *, lines=True):
    for home, _, names in os.walk(top):
        for name in sorted(names):
            if name.endswith(".py"):
                path = os.path.join(home, name)
                with open(path, "rb") as file:
                    source = file.read()
                with open(path + "c", "wb") as file:
                    file.write(compiled(source, path.split("/", 2)[2], lines=lines))
                os.remove(path)


def standard_library(path):
    with open(path, "rb") as file:
        given = zipfile.ZipFile(io.BytesIO(file.read()))
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for item in given.infolist():
            name, data = item.filename, given.read(item)
            if name.endswith(".py"):
                name, data = name + "c", compiled(data, f"/lib/python314.zip/{name}", lines=False)
            archive.writestr(zipfile.ZipInfo(name, (2020, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED, 9)
    with open(path, "wb") as file:
        file.write(made.getvalue())


folder("/tree", lines=False)
folder("/code")
if os.path.exists("/core"):
    standard_library("/core/python_stdlib.zip")
