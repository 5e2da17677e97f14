"""Runs in Pyodide: makes large packages load their parts on first use (PEP 562), by what each __init__ imports.

An ordinary ``import scipy.optimize`` links some seventy extension modules, ``import panel`` makes a thousand classes; the
page needs few of them. scipy.special's names are taken from where they are made, past the wrappers for other array
libraries: those import one another in a circle, and bring numpy's test tools along.
"""

import ast
import importlib
import re
import sys
from importlib.util import resolve_name

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
    "scipy.special",
    "numpy.random",
    "bokeh.models",
    "bokeh.models.annotations",
    "bokeh.models.renderers",
    "bokeh.models.ui",
    "bokeh.models.widgets",
    "panel",
    "panel.chat",
    "panel.layout",
    "panel.models",
    "panel.pane",
    "panel.theme",
    "panel.widgets",
]
# Objects that are called as the module they live in: importing that module would hide them, so they come at once
# (io first, because it and config import one another).
AT_ONCE = {"panel": "from . import io\nfrom .config import config\nfrom .depends import depends\n\n"}
# Names made elsewhere than the __init__ says, the wrappers being left out.
PAST = {"scipy.special._support_alternative_backends": "scipy.special._ufuncs"}
# Only their text is used, by people who ask for help in a terminal.
EMPTY = ("numpy/_core/_add_newdocs.py", "numpy/_core/_add_newdocs_scalars.py")

# Said again at the end of a module, in fewer words: half of importing bokeh.plotting is making docstrings and signatures
# of glyph methods, which nobody reads in a page.
INSTEAD = {
    "bokeh/plotting/_decorators.py": """

def glyph_method(glyphclass):
    def decorator(func):
        @wraps(func)
        def wrapped(self, *args, **kwargs):
            if len(args) > len(glyphclass._args):
                raise TypeError(f"{func.__name__} takes at most {len(glyphclass._args)} positional arguments")
            kwargs.update(zip(glyphclass._args, args))
            if self.coordinates is not None:
                kwargs.setdefault("coordinates", self.coordinates)
            return create_renderer(glyphclass, self.plot, **kwargs)

        return wrapped

    return decorator


def marker_method():
    return lambda func: func
""",
}

# What a module imports at its top and uses seldom or never here, so that it is not part of a start: (file, text, instead);
# each text stands in the file exactly once.
SELDOM = (
    # Bounds lives there; this way round, all of scipy's minimisers and six libraries come along
    (
        "scipy/optimize/_lsq/least_squares.py",
        "from scipy.optimize._minimize import",
        "from scipy.optimize._constraints import",
    ),
    # dense problems need no sparse arrays
    (
        "scipy/optimize/_numdiff.py",
        "from ..sparse import issparse, spmatrix, find, csc_array, csr_array, csr_matrix",
        "from scipy._lib._sparse import issparse\nfrom .. import sparse as _sparse",
    ),
    # a walk through all of numpy, masked arrays, polynomials and test tools included
    (
        "scipy/_external/array_api_compat/_internal.py",
        '    exec(f"from {mod.__name__} import *", objs)\n',
        "",
    ),
    (
        "scipy/_external/array_api_compat/_internal.py",
        'if not n.startswith("_") and hasattr(mod, n):',
        'if not n.startswith("_") and n not in _SELDOM and hasattr(mod, n):',
    ),
    (
        "scipy/_external/array_api_compat/_internal.py",
        "def clone_module(",
        '_SELDOM = {"ctypeslib", "f2py", "ma", "polynomial", "testing"}\n\n\ndef clone_module(',
    ),
    # masked arrays, which there are none of where their package has not been imported
    (
        "scipy/_lib/_util.py",
        "    if not mask_ok:\n        if np.ma.isMaskedArray(a):",
        '    if not mask_ok and "numpy.ma" in sys.modules:\n        if np.ma.isMaskedArray(a):',
    ),
    # docstrings, which compiling leaves out
    (
        "scipy/_lib/_docscrape.py",
        "import pydoc\n",
        'class pydoc:\n    @staticmethod\n    def getdoc(thing):\n        return ""\n\n',
    ),
    # stand-ins of a test tool, which a cache might be asked to keep
    ("panel/io/cache.py", "import unittest.mock\n", ""),
    ("panel/io/cache.py", "    unittest.mock.Mock : lambda obj: _int_to_bytes(id(obj)),\n", ""),
    # files of settings and themes, which a page has none of
    ("bokeh/settings.py", "import yaml\n", ""),
    (
        "bokeh/settings.py",
        "self._config_override = yaml.load(",
        "import yaml; self._config_override = yaml.load(",
    ),
    ("bokeh/settings.py", "return yaml.load(", "import yaml; return yaml.load("),
    ("bokeh/themes/theme.py", "import yaml\n", ""),
    ("bokeh/themes/theme.py", "json = yaml.safe_load(", "import yaml; json = yaml.safe_load("),
)
# Names that such a change leaves to be looked up where they are used.
LOOKED_UP = {
    "scipy/optimize/_numdiff.py": ("_sparse", ("spmatrix", "find", "csc_array", "csr_array", "csr_matrix")),
}

TEMPLATE = """import importlib as _importlib

{at_once}__all__ = {names}
_WHERE = {where}


def __getattr__(name):
    found = _WHERE.get(name)
    if found is None:
        raise AttributeError(f"module {{__name__!r}} has no attribute {{name!r}}")
    module, attribute = found
    value = _importlib.import_module(module)
    if attribute is not None:
        value = getattr(value, attribute)
    globals()[name] = value
    return value


def __dir__():
    return sorted(set(globals()) | set(_WHERE))
"""


def where_names_live(package):
    """name: (module, attribute or None) for all that a package's __init__ brings in from its own library."""
    module = importlib.import_module(package)
    library = package.split(".")[0]
    with open(module.__file__, encoding="utf-8") as file:
        tree = ast.parse(file.read())
    where = {}
    for node in tree.body:
        if not isinstance(node, ast.ImportFrom):
            continue
        home = resolve_name("." * node.level + (node.module or ""), package) if node.level else node.module
        if home.split(".")[0] != library and home != "param":
            continue
        for alias in node.names:
            if alias.name == "*":
                part = importlib.import_module(home)
                public = getattr(part, "__all__", None) or [n for n in vars(part) if not n.startswith("_")]
                where.update({n: made_in(PAST.get(home, home), n) for n in public})
            elif node.module is None:
                where[alias.asname or alias.name] = (f"{home}.{alias.name}", None)
            else:
                where[alias.asname or alias.name] = (home, alias.name)
    return {k: v for k, v in where.items() if not v[0].endswith("._testutils")}


def made_in(home, name):
    """Where a star import's name is made: one package may pass on what another one brings in."""
    if home == "scipy.special._ufuncs" and not hasattr(importlib.import_module(home), name):
        home = "scipy.special._basic"
    if home == "scipy.special._ufuncs" and name == "digamma":
        return (home, "psi")
    return (home, name)


def rewrite(path, edit):
    """Put what `edit` makes of a file of the tree in its place."""
    with open(f"/tree/{path}", encoding="utf-8") as file:
        given = file.read()
    with open(f"/tree/{path}", "w", encoding="utf-8") as file:
        file.write(edit(given))


def say_seldom():
    for path, text, instead in SELDOM:

        def edit(given, path=path, text=text, instead=instead):
            if given.count(text) != 1:
                raise SystemExit(
                    f"{path} holds {text!r} {given.count(text)} times, not once; see SELDOM in .make/lazy_imports.py"
                )
            return given.replace(text, instead)

        rewrite(path, edit)
    for path, (module, names) in LOOKED_UP.items():
        pattern = rf"(?<![\w.])({'|'.join(names)})(?=[(),:])"
        rewrite(path, lambda given, p=pattern, m=module: re.sub(p, rf"{m}.\1", given))


def main():
    written = {}
    for package in PACKAGES:
        module = importlib.import_module(package)
        names = sorted(getattr(module, "__all__", []))
        where = dict(sorted(where_names_live(package).items()))
        lines = ",\n    ".join(f"{k!r}: {v!r}" for k, v in where.items())
        written[module.__file__] = TEMPLATE.format(
            names=names, where="{\n    " + lines + ",\n}", at_once=AT_ONCE.get(package, "")
        )
    for path, text in written.items():
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
    say_seldom()
    for path in EMPTY:
        with open(f"/tree/{path}", "w", encoding="utf-8") as file:
            file.write("")
    for path, text in INSTEAD.items():
        with open(f"/tree/{path}", "a", encoding="utf-8") as file:
            file.write(text)


sys.dont_write_bytecode = True
sys.path.insert(1, "/tree")
main()
