"""Runs in Pyodide: makes scipy's packages load their parts on first use (PEP 562), by what each __init__ imports.

Compiling and linking extension modules is most of a start; an ordinary ``import scipy.optimize`` links some seventy.
scipy.special stays as it is: its parts import one another in a circle.
"""

import ast
import importlib
import sys

PACKAGES = [
    "scipy.optimize",
    "scipy.linalg",
    "scipy.sparse",
    "scipy.sparse.linalg",
    "scipy.spatial",
    "scipy.fft",
    "scipy.integrate",
    "scipy.interpolate",
    "scipy.sparse.linalg._eigen",
    "scipy.sparse.linalg._dsolve",
    "scipy.sparse.linalg._isolve",
    "scipy.optimize._lsq",
    "scipy.integrate._ivp",
    "scipy.spatial.transform",
    "scipy.sparse.csgraph",
]

TEMPLATE = """import importlib as _importlib

__all__ = {names}
_WHERE = {where}


def __getattr__(name):
    found = _WHERE.get(name)
    if found is None:
        raise AttributeError(f"module {{__name__!r}} has no attribute {{name!r}}")
    module, attribute = found
    value = _importlib.import_module(module, __name__)
    if attribute is not None:
        value = getattr(value, attribute)
    globals()[name] = value
    return value


def __dir__():
    return sorted(set(globals()) | set(_WHERE))
"""


def where_names_live(package):
    """name: (module, attribute or None) for all that a package's __init__ brings in."""
    module = importlib.import_module(package)
    with open(module.__file__, encoding="utf-8") as file:
        tree = ast.parse(file.read())
    where = {}
    for node in tree.body:
        if not isinstance(node, ast.ImportFrom):
            continue
        if node.level == 1:
            for alias in node.names:
                if alias.name == "*":
                    part = importlib.import_module("." + node.module, package)
                    public = getattr(part, "__all__", None) or [
                        n for n in vars(part) if not n.startswith("_")
                    ]
                    where.update({n: ("." + node.module, n) for n in public})
                elif node.module is None:
                    where[alias.asname or alias.name] = ("." + alias.name, None)
                else:
                    where[alias.asname or alias.name] = ("." + node.module, alias.name)
        elif (
            node.level == 0
            and (node.module or "").startswith("scipy")
            and node.names[0].name != "PytestTester"
        ):
            where.update({a.asname or a.name: (node.module, a.name) for a in node.names})
    return {k: v for k, v in where.items() if v[0] != "._testutils"}


def main():
    written = {}
    for package in PACKAGES:
        module = importlib.import_module(package)
        names = sorted(getattr(module, "__all__", []))
        where = dict(sorted(where_names_live(package).items()))
        lines = ",\n    ".join(f"{k!r}: {v!r}" for k, v in where.items())
        written[module.__file__] = TEMPLATE.format(names=names, where="{\n    " + lines + ",\n}")
    for path, text in written.items():
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)


sys.dont_write_bytecode = True
sys.path.insert(1, "/tree")
main()
