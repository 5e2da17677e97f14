"""Runs in Pyodide, first part of a memory image: all that a start imports except the project's own code."""

import contextlib
import gc
import importlib
import json
import sys
import types

sys.dont_write_bytecode = True
sys.path[1:1] = ["/fettle", "/sp"]


def module(file):
    name = file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    return name.split(".cpython-")[0] if name.endswith(".so") else name


with open("/out/start.json") as file:
    started = [module(name) for name in json.load(file)]
# What our own code may ask the standard library for before the whole of it has come: codecs, above all.
with open("/out/later.json") as file:
    started += [module(name) for name in json.load(file)["stdlib"]]
for name in ["numpy", "panel", *started]:  # panel first: parts of it cannot be imported one by one
    if name not in sys.modules:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
# Importing scipy.optimize._lsq.least_squares by name hides the function behind the module of that name (see
# lazy_imports.py).
for package in list(sys.modules.values()):
    for name, (_, attribute) in getattr(package, "_WHERE", {}).items():
        if attribute is not None and isinstance(vars(package).get(name), types.ModuleType):
            del vars(package)[name]
            getattr(package, name)


def tidy():
    """Let go of what is held without need: rings of garbage, and the small blocks, full of old numbers, that numpy keeps for
    the next array; it does not keep those that have grown."""
    import numpy as np

    for size in range(1, 1024):
        blocks = [np.empty(size, np.uint8) for _ in range(8)]  # it keeps seven of a size at most
        for block in blocks:
            block.resize(2048, refcheck=False)
    del block, blocks
    for _ in range(3):
        gc.collect()
    gc.freeze()


tidy()
