"""Runs in Pyodide: compiles every .py below /tree and /code to unchecked-hash .pyc beside it and removes the source."""

import os
import py_compile

for top in ("/tree", "/code"):
    for folder, _, names in os.walk(top):
        for name in sorted(names):
            if name.endswith(".py"):
                path = os.path.join(folder, name)
                shown = path.split("/", 2)[2]
                py_compile.compile(
                    path,
                    path + "c",
                    dfile=shown,
                    doraise=True,
                    optimize=2 if top == "/tree" else 1,
                    invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH,
                )
                os.remove(path)
