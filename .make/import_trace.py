"""Runs in Pyodide: starts the dashboard, goes through its steps once, then writes what the page needs.

/out/document.json : the prerendered first screen, the document of a blank start
/out/start.json : files of /tree that the start, the first answer and each step import (they go into the boot archive)
/out/later.json : ``stdlib``, the same for the standard library, and what any of our own modules imports of it; ``warm``,
    modules that answer and steps add to those of the start, in an order in which each brings few others along
"""

import ast
import json
import os
import sys

sys.dont_write_bytecode = True
sys.path[1:1] = ["/tree", "/code"]
ZIP = next(p for p in sys.path if p.endswith(".zip"))

from panel.io.pyodide import init_doc, write_doc  # noqa: E402

from app.main import make_document  # noqa: E402

init_doc()
for root in make_document({"hash": "", "saved": None}):
    root.servable()
document, items, _ = await write_doc()  # noqa: F704
with open("/out/document.json", "w") as out:
    json.dump({"documents": json.loads(document), "items": json.loads(items)}, out)
started = set(sys.modules)

from app.demo import demo_case  # noqa: E402
from engine.solve import solve  # noqa: E402

solve(demo_case())

from app import link  # noqa: E402
from app.main import Page  # noqa: E402

page = Page({"hash": link.make(demo_case()).hash, "saved": None})
for screen in page.screens:
    page.go(screen.id)
page.view.get_root()  # brings in the models that Panel looks for only when it draws


def files(top):
    found = {getattr(module, "__file__", None) or "" for module in list(sys.modules.values())}
    return sorted(file[len(top) + 1 :].replace(".pyc", ".py") for file in found if file.startswith(top + "/"))


tree = files("/tree")
LIBRARIES = ("numpy", "scipy", "bokeh", "panel")
warm = [name for name in sys.modules if name not in started and name.split(".")[0] in LIBRARIES]

for folder, _, names in os.walk("/code"):
    for name in sorted(names):
        if not name.endswith(".py"):
            continue
        with open(os.path.join(folder, name), encoding="utf-8") as file:
            nodes = list(ast.walk(ast.parse(file.read())))
        wanted = {a.name for n in nodes if isinstance(n, ast.Import) for a in n.names}
        wanted |= {n.module for n in nodes if isinstance(n, ast.ImportFrom) and not n.level}
        for module in sorted(wanted):
            if module.split(".")[0] in sys.stdlib_module_names:
                __import__(module)
import encodings.ascii  # noqa: E402
import encodings.cp437  # noqa: E402
import encodings.cp932  # noqa: E402
import encodings.cp1252  # noqa: E402
import encodings.idna  # noqa: E402
import encodings.latin_1  # noqa: E402
import encodings.utf_8_sig  # noqa: E402
import encodings.utf_16  # noqa: E402
import encodings.utf_16_be  # noqa: E402
import encodings.utf_16_le  # noqa: E402, F401
import traceback  # noqa: E402, F401

with open("/out/start.json", "w") as out:
    json.dump(tree, out, indent=0)
with open("/out/later.json", "w") as out:
    json.dump({"stdlib": files(ZIP), "warm": warm[::-1]}, out, indent=0)
