"""What the build promises: bytes within the budget, nothing from elsewhere, every file as listed."""

import hashlib
import io
import json
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SITE = ROOT / "site"
sys.path.insert(0, str(ROOT / ".make"))
BUDGETS = tomllib.loads((ROOT / ".make" / "budgets.toml").read_text(encoding="utf-8"))


def test_bytes_are_within_their_budgets():
    from bench import sizes

    found = sizes(SITE)
    assert {name: size for name, size in found.items() if size > BUDGETS[name]} == {}


def test_pythons_memory_is_within_its_budget():
    from node import node

    unpack = "process.stdout.write(require('zlib').zstdDecompressSync(require('fs').readFileSync(0)))"
    packed = (SITE / "app" / "image.zst").read_bytes()
    image = subprocess.run([str(node()), "-e", unpack], input=packed, capture_output=True, check=True).stdout
    header = json.loads(image[4 : 4 + int.from_bytes(image[:4], "little")])
    assert 50 < header["memory"] / 1e6 <= BUDGETS["image_linear_mb"]


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
        "import sys, engine.solve, engine.__main__, engine.shots.table, engine.workshop.build_sheet, engine.sets.make_up\n"
        "bad = {'panel', 'bokeh', 'js', 'pyodide', 'app'} & set(sys.modules)\n"
        "assert not bad, bad\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_archives_carry_nothing_of_the_moment_they_were_made():
    from node import node

    unpack = "process.stdout.write(require('zlib').zstdDecompressSync(require('fs').readFileSync(0)))"
    found = sorted(SITE.glob("*/*.tar.zst"))
    assert len(found) == 4
    for path in found:
        raw = subprocess.run(
            [str(node()), "-e", unpack], input=path.read_bytes(), capture_output=True, check=True
        ).stdout
        with tarfile.open(fileobj=io.BytesIO(raw)) as archive:
            members = archive.getmembers()
        assert {(m.mtime, m.uid, m.gid, m.uname) for m in members} == {(0, 0, 0, "")}
        named = [m.name for m in members]
        assert len(set(named)) == len(named)
    image = (SITE / "index.html").read_text(encoding="utf-8")
    assert str(ROOT) not in image


def test_what_is_made_in_site_does_not_ask_for_a_new_build():
    sys.path.insert(0, str(ROOT / ".make"))
    from site_build import MADE

    ignored = (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    made = [line.removeprefix("/site/") for line in ignored if line.startswith("/site/") and "*" not in line]
    assert len(made) >= 6
    assert [name for name in made if not name.startswith(MADE)] == []


@pytest.mark.soak
@pytest.mark.timeout(1200)
def test_a_build_elsewhere_from_the_same_tree_gives_the_same_bytes(tmp_path):
    """The normal run checks the archives alone; a whole second build takes minutes."""
    other = tmp_path / "other"
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True)
    for name in filter(None, listed.stdout.split("\0")):
        if (ROOT / name).is_file():
            (other / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, other / name)
    (other / ".venv").symlink_to((ROOT / ".venv").resolve(), target_is_directory=True)
    shutil.copytree(ROOT / ".cache" / "pyodide", other / ".cache" / "pyodide")
    subprocess.run([sys.executable, "build.py", "build"], cwd=other, check=True)
    assert json.loads((other / "site/files.json").read_text()) == json.loads(
        (SITE / "files.json").read_text()
    )


def test_pins_resolved_again_take_the_place_of_the_old_ones_only(tmp_path, monkeypatch):
    sys.path.insert(0, str(ROOT / ".make"))
    import lock

    uv = tmp_path / "bin" / "uv"
    uv.parent.mkdir()
    uv.write_text("#!/bin/sh\nprintf 'made-up==1.0 \\\\\\n    --hash=sha256:ab12\\n'\n", encoding="utf-8")
    uv.chmod(0o755)
    monkeypatch.setenv("PATH", str(uv.parent))
    shutil.copy(ROOT / lock.NAME, tmp_path)
    wanted = lock.read(ROOT) | {"native": [{"name": "made-up", "version": "1.0", "sha256": ["ab12"]}]}
    for _ in range(2):
        lock.write(tmp_path)
        assert lock.read(tmp_path) == wanted


def test_a_second_build_in_the_same_folder_waits(tmp_path):
    sys.path.insert(0, str(ROOT / ".make"))
    from site_build import only_one

    lock = tmp_path / "build.lock"
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT / '.make')!r})\n"
        "from pathlib import Path\nfrom site_build import only_one\n"
        f"with only_one(Path({str(lock)!r})): print('in')\n"
    )
    with only_one(lock):
        second = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
        assert "waiting" in second.stdout.readline()
        assert second.poll() is None
    assert second.communicate(timeout=60)[0].strip() == "in"
    assert second.returncode == 0
