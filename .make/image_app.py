"""Runs in Pyodide, second part of a memory image: the project's code, the blank document, and one whole solve."""

import dataclasses
import gc
import importlib
import json
import linecache
import os
import sys
import types
import zipimport


def refuse_to_set(self, name, value):
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def refuse_to_delete(self, name):
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def shown(self):
    told = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self) if f.repr)
    return f"{type(self).__qualname__}({told})"


def share(cls, fields, builder):
    cls.__setattr__, cls.__delattr__ = refuse_to_set, refuse_to_delete
    if "__repr__" not in vars(cls):
        cls.__repr__ = shown


def add_but_repr(self, name, *rest, **more):
    if name != "__repr__":
        add(self, name, *rest, **more)


add = dataclasses._FuncBuilder.add_fn
dataclasses._FuncBuilder.add_fn = add_but_repr


# Hundreds of frozen dataclasses share what is alike, and none tells its signature to people who read it in a shell.
dataclasses._frozen_get_del_attr = share
dataclasses._make_annotate_function = lambda *_: None
dataclasses.inspect = types.SimpleNamespace(**vars(dataclasses.inspect) | {"signature": lambda *_, **__: ""})

from app import bridge, live  # noqa: E402

docs, items = await live.make(None, "", None)  # noqa: F704
bridge.outbox.clear()
with open("/out/document.json", "w") as file:
    json.dump({"documents": json.loads(docs), "items": json.loads(items)}, file)
del docs, items, file
gc.collect()  # for room: memory only ever grows

# All of our own code: nothing of it can be imported later, since its files stay behind.
for folder, folders, names in os.walk("/fettle"):
    folders.sort()
    for name in sorted(names):
        if name.endswith(".pyc"):
            path = os.path.relpath(os.path.join(folder, name), "/fettle").removesuffix(".pyc")
            importlib.import_module(path.removesuffix("/__init__").replace("/", "."))

from app.demo import demo_case  # noqa: E402
from engine.solve import solve  # noqa: E402

solve(demo_case())
with open("/out/check.txt", "w") as file:
    file.write(live.check())
del file, demo_case, solve, folder, folders, names, name, path
zipimport._zip_directory_cache.clear()
importlib.invalidate_caches()
sys.path_importer_cache.clear()
linecache.clearcache()
tidy()  # noqa: F821  (of image_base.py)
