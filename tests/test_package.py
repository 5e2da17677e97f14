"""The engine as a library: its documented example, and an installation from a wheel under its own name."""

import doctest
import json
import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

import engine

ROOT = Path(__file__).parents[1]


def test_the_example_in_the_docstring_runs():
    names = {name: getattr(engine, name) for name in engine.__all__}
    found = doctest.testmod(engine, extraglobs=names)
    assert found.attempted >= 5
    assert found.failed == 0


def test_the_example_in_the_readme_runs(tmp_path, monkeypatch, capsys):
    (example,) = re.findall(
        r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL
    )
    case = {"format": "fettle-case", "version": 1, "player": {"height_m": 1.7}}
    (tmp_path / "CASE.json").write_text(json.dumps(case), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(sys.modules, "fettle", engine)
    found: dict = {}
    exec(example, found)
    assert found["doc"]["format"] == "fettle-result"
    assert "\n7i {'mean': " in capsys.readouterr().out


def test_every_public_name_is_there_and_documented():
    for name in engine.__all__:
        thing = getattr(engine, name)
        assert name == "__version__" or thing.__doc__, name
    with pytest.raises(AttributeError):
        engine.no_such_name  # noqa: B018


def test_the_package_is_the_whole_engine():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    folders = {"engine", *(str(p.parent.relative_to(ROOT)) for p in (ROOT / "engine").rglob("*.py"))}
    wanted = {folder.replace("engine", "fettle", 1).replace("/", ".") for folder in folders}
    assert set(project["tool"]["setuptools"]["packages"]) == wanted
    assert project["project"]["version"] == engine.__version__


def test_the_pins_are_within_what_the_library_asks_for():
    from packaging.requirements import Requirement

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = {r.name: r.specifier for r in map(Requirement, project["dependencies"])}
    pinned = [Requirement(text) for text in project["optional-dependencies"]["pinned"]]
    assert {r.name for r in pinned} == asked.keys()
    for requirement in pinned:
        (exact,) = requirement.specifier
        assert exact.operator == "=="
        assert exact.version in asked[requirement.name]


def test_everything_the_project_asks_for_is_pinned():
    """On a Python and a system of the lock, what `build.py` installs is within what `pyproject.toml` names."""
    from packaging.markers import Marker
    from packaging.requirements import Requirement

    asked = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    extras = asked["project"]["optional-dependencies"].values()
    wanted = [
        *asked["build-system"]["requires"],
        *asked["project"]["dependencies"],
        *(r for x in extras for r in x),
    ]
    pins = tomllib.loads((ROOT / "fettle.lock").read_text(encoding="utf-8"))["native"]
    pinned = {
        p["name"]: p["version"] for p in pins if Marker(p.get("marker", "python_version > '3'")).evaluate()
    }
    for requirement in map(Requirement, wanted):
        if requirement.marker is None or requirement.marker.evaluate():
            version = pinned.get(requirement.name)
            assert version is not None and version in requirement.specifier, str(requirement)


CASE = {"format": "fettle-case", "version": 1, "player": {"height_m": 1.81}}


def run(python, *arguments, **options):
    """What ``python -m fettle`` writes for a case, away from the repository."""
    return subprocess.run(
        [python, "-m", "fettle", *arguments],
        input=json.dumps(CASE),
        capture_output=True,
        text=True,
        check=False,
        **options,
    )


def test_the_files_of_the_package_run_under_its_own_name(tmp_path):
    """The folders and data that `pyproject.toml` names, laid out as an installation has them, and nothing else."""
    setuptools = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    for package in setuptools["packages"]:
        inside = ROOT / package.replace("fettle", setuptools["package-dir"]["fettle"], 1).replace(".", "/")
        target = tmp_path / package.replace(".", "/")
        target.mkdir()
        for pattern in ("*.py", *setuptools["package-data"].get(package, ())):
            for file in inside.glob(pattern):
                (target / file.name).write_bytes(file.read_bytes())
    alone = {"cwd": tmp_path, "env": {**os.environ, "PYTHONPATH": str(tmp_path)}}
    done = run(sys.executable, "-", **alone)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == json.loads(json.dumps(engine.document(engine.read_case(CASE))))
    assert (tmp_path / "fettle" / "py.typed").exists()
    schema = (
        "from importlib import resources as r; print(r.files('fettle.documents.schema') / 'case.schema.json')"
    )
    found = subprocess.run(
        [sys.executable, "-c", schema], capture_output=True, text=True, check=True, **alone
    )
    assert Path(found.stdout.strip()).is_relative_to(tmp_path) and Path(found.stdout.strip()).exists()
    worded = run(sys.executable, "-", "--words", "metric", **alone)
    assert worded.returncode == 2 and "run it in a copy of the project" in worded.stderr
    assert run(sys.executable, "--help", **alone).stdout.startswith("usage: python -m fettle ")


@pytest.mark.timeout(600)
def test_a_wheel_installs_and_runs_under_its_own_name(tmp_path):
    """Offline, with the pinned numpy and scipy of .venv: solved as the repository's own engine solves."""
    pytest.importorskip("setuptools", minversion="77")
    source = tmp_path / "source"
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard", "engine", "pyproject.toml", "LICENSE"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    for name in listed.stdout.splitlines():
        (source / name).parent.mkdir(parents=True, exist_ok=True)
        (source / name).write_bytes((ROOT / name).read_bytes())
    pip = ["-m", "pip", "--disable-pip-version-check", "-q"]
    subprocess.run(
        [
            sys.executable,
            *pip,
            "wheel",
            "--no-deps",
            "--no-index",
            "--no-build-isolation",
            "-w",
            tmp_path,
            source,
        ],
        check=True,
    )
    (wheel,) = tmp_path.glob("fettle-*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    assert "fettle/py.typed" in names
    assert "fettle/documents/schema/case.schema.json" in names
    assert {name.split("/")[0] for name in names if ".dist-info" not in name} == {"fettle"}
    fresh = tmp_path / "fresh"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", fresh], check=True)
    python = fresh / "bin" / "python"
    where = subprocess.run(
        [python, "-c", "import sysconfig; print(sysconfig.get_paths()['purelib'])"],
        capture_output=True,
        text=True,
        check=True,
    )
    home = Path(where.stdout.strip())
    subprocess.run(
        [sys.executable, *pip, "install", "--no-deps", "--no-index", "--target", home, wheel], check=True
    )
    import numpy
    import scipy

    for package in (numpy, scipy):
        inside = Path(package.__file__).parent
        (home / inside.name).symlink_to(inside)
        libraries = inside.with_name(f"{inside.name}.libs")
        if libraries.exists():
            (home / libraries.name).symlink_to(libraries)
    done = run(python, "-", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == json.loads(json.dumps(engine.document(engine.read_case(CASE))))
