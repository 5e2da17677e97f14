"""Runs in Pyodide: starts the dashboard and uses it once, then writes what the page needs.

/out/start.json : files of /tree that were imported at the start and by the first answer (they go into the boot archive)
/out/document.json : the prerendered first screen, the document of a blank start
"""

import json
import sys

sys.dont_write_bytecode = True
sys.path[1:1] = ["/tree", "/code"]

from panel.io.pyodide import init_doc, write_doc  # noqa: E402

from app.main import make_document  # noqa: E402

init_doc()
for root in make_document({"hash": "", "saved": None}):
    root.servable()
document, items, _ = await write_doc()  # noqa: F704
with open("/out/document.json", "w") as out:
    json.dump({"documents": json.loads(document), "items": json.loads(items)}, out)

from app.demo import demo_case  # noqa: E402
from engine.solve import solve  # noqa: E402

solve(demo_case())
files = sorted({getattr(m, "__file__", None) or "" for m in list(sys.modules.values())})
with open("/out/start.json", "w") as out:
    json.dump([f[len("/tree/") :] for f in files if f.startswith("/tree/")], out, indent=0)
