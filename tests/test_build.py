"""What the build promises: bytes within the budget, nothing from elsewhere, every file as listed."""

import hashlib
import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
SITE = ROOT / "site"
BUDGETS = tomllib.loads((ROOT / ".make" / "budgets.toml").read_text(encoding="utf-8"))


def test_first_visit_is_within_its_budget():
    sys.path.insert(0, str(ROOT / ".make"))
    from bench import sizes

    assert sizes(SITE)["first_visit_mb"] <= BUDGETS["first_visit_mb"]


def test_every_file_is_the_one_the_worker_will_check():
    groups = json.loads((SITE / "files.json").read_text(encoding="utf-8"))
    worker = (SITE / "sw.js").read_text(encoding="utf-8")
    for group in groups.values():
        assert group["id"] in worker
        for file in group["files"]:
            data = (SITE / file["path"]).read_bytes()
            assert len(data) == file["bytes"]
            assert hashlib.sha256(data).hexdigest() == file["sha256"]


def test_the_page_names_nothing_outside_its_folder():
    page = (SITE / "index.html").read_text(encoding="utf-8")
    outside = [u for u in re.findall(r"https?://[^\"'\s)<]+", page) if "w3.org" not in u]
    assert outside == []


def test_the_engine_stands_alone():
    code = (
        "import sys, engine.solve, engine.__main__, engine.shots.table, engine.clubs.sheet, engine.layouts.makeup\n"
        "bad = {'panel', 'bokeh', 'js', 'pyodide', 'app'} & set(sys.modules)\n"
        "assert not bad, bad\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
