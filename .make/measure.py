"""Runs in Pyodide: starts the dashboard and uses it once, then writes what the page needs.

/out/start.json : files of /tree that were imported at the start and by the first answer (they go into the boot archive)
/out/document.json : the prerendered first screen, the document of a blank start
"""

import json
import sys

sys.dont_write_bytecode = True
sys.path[1:1] = ["/tree", "/code"]

from app import worker  # noqa: E402

document = await worker.start({"hash": "", "saved": None}, lambda kind, payload: None)  # noqa: F704, PLE1142
worker.link()

from app.demo import demo_case  # noqa: E402
from engine.solve import solve  # noqa: E402

solve(demo_case())

files = sorted({getattr(m, "__file__", None) or "" for m in list(sys.modules.values())})
with open("/out/start.json", "w") as out:
    json.dump([f[len("/tree/") :] for f in files if f.startswith("/tree/")], out, indent=0)

with open("/out/document.json", "w") as out:
    out.write(document)
