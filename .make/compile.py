"""Runs in Pyodide: compiles every .py below /tree and /code, and the standard library in /core, to unchecked-hash .pyc.

What only somebody at a prompt reads is left out of the packages: docstrings, the help texts of properties and parameters,
and (by PYTHONNODEBUGRANGES) the columns in tracebacks. The official standard library comes as source; as .pyc it need not be
compiled again at every start.
"""

import ast
import importlib._bootstrap_external as external
import importlib.util
import io
import os
import zipfile

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


def compiled(source, shown):
    tree = Mute().visit(ast.parse(source, shown))
    code = compile(tree, shown, "exec", dont_inherit=True, optimize=2)
    return bytes(external._code_to_hash_pyc(code, importlib.util.source_hash(source), checked=False))


def folder(top):
    for home, _, names in os.walk(top):
        for name in sorted(names):
            if name.endswith(".py"):
                path = os.path.join(home, name)
                with open(path, "rb") as file:
                    source = file.read()
                with open(path + "c", "wb") as file:
                    file.write(compiled(source, path.split("/", 2)[2]))
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
folder("/code")
if os.path.exists("/core"):
    standard_library("/core/python_stdlib.zip")
