"""``python -m engine.documents.schema``: write the schemas beside this file."""

import json
from pathlib import Path

from .make import case_schema, result_schema

for name, schema in (("case", case_schema()), ("result", result_schema())):
    path = Path(__file__).with_name(f"{name}.schema.json")
    path.write_text(json.dumps(schema, indent=1) + "\n", encoding="utf-8")
    print(path.name)
