"""How far off the numbers are, as the build measured it (``build.py figures``); read once, with the page's code."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

FIGURES: dict[str, Any] = json.loads(Path(__file__).with_name("validation.json").read_text(encoding="utf-8"))
