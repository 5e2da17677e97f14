"""The documents speak of what is there: files, modules, commands and names in backticks."""

import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DOCS = (
    "README.md",
    "DEVELOPERS.md",
    ".make/README.md",
    "tests/README.md",
    "tests/reference/README.md",
    "app/phrases/TERMS.md",
)
ENDINGS = ("py", "js", "mjs", "md", "toml", "html", "css", "json", "csv", "lock")
MADE = (  # by the build, or by whoever runs a command
    ".cache", ".venv", "site/runtime", "runtime/", "site/app", "index.html", "files.json", "sw.js", "CASE.json",
    "../again", "pyodide.asm.mjs", "pyodide.mjs", "site/sbom.cdx.json", "image.zst", "*.png",
)  # fmt: skip


def quoted(doc):
    text = (ROOT / doc).read_text(encoding="utf-8")
    text = re.sub(r"```.*?```", "", text, flags=re.DOTALL).replace("``", "`")
    return [" ".join(q.split()) for q in re.findall(r"`([^`]+)`", text)]


def is_there(name, doc):
    """From the root, from the folder of the document, or from one of the parts; a module may stand without its ending."""
    places = [ROOT, (ROOT / doc).parent, *(ROOT / p for p in ("engine", "app", "site", ".make", "tests"))]
    places += [ROOT / "site" / "shell", ROOT / "tests" / "browser", ROOT / "app" / "phrases"]
    return any((place / name).exists() or (place / f"{name}.py").exists() for place in places)


def paths(doc):
    """What is quoted and reads like a path; of a command its words that do."""
    found = []
    for text in quoted(doc):
        for word in text.split():
            ending = word.rpartition(".")[2]
            if (
                re.fullmatch(r"[\w./-]*\w[\w./-]*", word)
                and not re.fullmatch(r"\.\w+|[\d./]+", word)
                and ("/" in word.strip("/") or word.endswith("/") or ending in ENDINGS)
            ):
                found.append(word.rstrip("/"))
    return [
        p for p in dict.fromkeys(found) if not p.startswith(MADE) and Path(p).suffix not in (".gz", ".zst")
    ]


@pytest.mark.parametrize("doc", DOCS)
def test_every_path_in_the_documents_is_there(doc):
    assert [p for p in paths(doc) if not is_there(p, doc)] == []


@pytest.mark.parametrize("doc", DOCS)
def test_every_test_named_by_the_documents_is_there(doc):
    text = (ROOT / doc).read_text(encoding="utf-8")
    files = {p.stem for p in (ROOT / "tests").rglob("*.py")}
    assert [n for n in re.findall(r"\btest_\w+", text) if n not in files] == []


def test_dotted_names_of_engine_and_app_can_be_imported():
    for doc in DOCS:
        for name in quoted(doc):
            if re.fullmatch(r"(engine|app)(\.\w+)+", name):
                module, _, last = name.rpartition(".")
                assert hasattr(importlib.import_module(module), last) or importlib.import_module(name), name


def test_names_of_classes_are_there():
    """``State._edited`` and the like: some class of that name has it, or makes it."""
    code = "\n".join(
        p.read_text(encoding="utf-8")
        for part in ("engine", "app", "tests")
        for p in (ROOT / part).rglob("*.py")
    )
    for doc in DOCS:
        for name in quoted(doc):
            if found := re.fullmatch(r"([A-Z]\w*[a-z]\w*)\.(\w+)(\(.*\))?", name):
                assert f"class {found[1]}" in code and re.search(rf"\b{found[2]}\b", code), name


def test_every_room_and_module_of_the_map_is_where_the_map_says():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    engine = text[text.index("Inside `engine/`") : text.index("Inside `app/`")]
    rooms = re.findall(r"^\| `(\w+)/` \|", engine, re.MULTILINE)
    assert set(rooms) == {p.parent.name for p in (ROOT / "engine").glob("*/__init__.py")}
    for part in ("app", "site"):
        (words,) = re.findall(rf"^Inside `{part}/`: (.*?)\n\n", text, re.DOTALL | re.MULTILINE)
        for name in re.findall(r"`([\w./]+)`", words):
            places = [ROOT / part, ROOT / part / "shell"]
            assert any((p / name).exists() or (p / f"{name}.py").exists() for p in places), f"{part}/{name}"
    top = {p.name for p in (ROOT / "app").glob("*.py")} - {"__init__.py"}
    (words,) = re.findall(r"^Inside `app/`: (.*?)\n\n", text, re.DOTALL | re.MULTILINE)
    assert {f"{name}.py" for name in re.findall(r"`(\w+)`", words)} == top, (
        "a module of the app is missing from the map"
    )


def test_every_command_is_in_the_table_and_no_other():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = set(re.findall(r"^\| `python3 build\.py (\w+)", text, re.MULTILINE))
    made = set(re.findall(r"\bcommand\(\"(\w+)\"", (ROOT / "build.py").read_text(encoding="utf-8")))
    assert told == made


def test_the_notes_for_developers_stay_short():
    assert len((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines()) < 250


def test_no_two_files_of_tests_have_one_name():
    """Pytest takes them for one module, and the whole suite stops at its collection."""
    names = [path.name for path in (ROOT / "tests").rglob("test_*.py")]
    assert sorted(n for n in set(names) if names.count(n) > 1) == []
