"""Imports run one way: each module from its own room and those below it, and never in a circle."""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[2]
ENGINE = ROOT / "engine"
# Lowest first. A name stands for a module or a room; the longest that fits a module is its place.
LAYERS = (
    "__init__",
    "units",
    "statistics",
    "documents",
    "statements",
    "physics",
    "course.scoring",
    "workshop",
    "body",
    "shots",
    "swing",
    "sets",
    "documents.result",
    "sets.advice",
    "bag",
    "course",
    "fitting",
    "solve",
    "documents.schema",
    "several",
    "__main__",
)
OPEN = "__init__"  # hands on what the rooms make, by name, when it is asked for


def modules() -> dict[str, Path]:
    found = {}
    for path in ENGINE.rglob("*.py"):
        name = ".".join(path.relative_to(ENGINE).with_suffix("").parts)
        found[name if name == OPEN else name.removesuffix(".__init__")] = path
    return found


def imports(name: str, path: Path, known: dict[str, Path]) -> set[str]:
    """Modules of the engine that a module imports, at its top or late; what is there for type checkers only is left out."""
    package = ("engine", *path.relative_to(ENGINE).parent.parts)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    checked = [n for n in ast.walk(tree) if isinstance(n, ast.If) and "TYPE_CHECKING" in ast.unparse(n.test)]
    skipped = {id(inner) for outer in checked for inner in ast.walk(outer)}
    out = set()
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Import):
            assert not [a.name for a in node.names if a.name.split(".")[0] in ("engine", "app")], (
                f"{name}: not relative"
            )
        if not isinstance(node, ast.ImportFrom):
            continue
        if not node.level:
            assert node.module.split(".")[0] not in ("engine", "app"), (
                f"{name}: {node.module} is not relative"
            )
            continue
        base = [*package[1 : len(package) - node.level + 1], *(node.module or "").split(".")]
        base = [part for part in base if part]
        for alias in node.names:
            whole = ".".join([*base, alias.name])
            out.add(whole if whole in known else ".".join(base) or OPEN)
    return out


def layer(name: str) -> int:
    fits = [entry for entry in LAYERS if name == entry or name.startswith(entry + ".")]
    assert fits, f"engine/{name.replace('.', '/')}.py has no layer; name it or its room in LAYERS"
    return LAYERS.index(max(fits, key=len))


def test_no_module_imports_from_a_layer_above():
    known = modules()
    assert all(layer(name) >= 0 for name in known)
    wrong = [
        f"{name} imports {other}"
        for name, path in sorted(known.items())
        for other in sorted(imports(name, path, known))
        if other != OPEN and layer(other) > layer(name)
    ]
    assert wrong == []


def test_no_imports_run_in_a_circle():
    known = modules()
    graphs = [{name: imports(name, path, known) - {OPEN} for name, path in known.items()}]
    graphs += [flat(folder) for folder in (ROOT / "app", ROOT / ".make")]
    for graph in graphs:
        left = {name: set(needs) & graph.keys() for name, needs in graph.items()}
        while free := [name for name, needs in left.items() if not needs]:
            for name in free:
                del left[name]
            for needs in left.values():
                needs.difference_update(free)
        while idle := left.keys() - {need for needs in left.values() for need in needs}:
            for name in idle:  # waits for a circle without being in one
                del left[name]
        assert left == {}, f"imports run in a circle: {left}"


def flat(folder: Path) -> dict[str, set[str]]:
    """Absolute imports at the top of each module among the modules of one folder; late ones too in the build's."""
    late = folder.name == ".make"
    names = {}
    for path in folder.rglob("*.py"):
        name = ".".join(path.relative_to(folder).with_suffix("").parts)
        names[name if late else f"{folder.name}.{name}"] = path
    graph: dict[str, set[str]] = {}
    for name, path in names.items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        nodes = ast.walk(tree) if late else tree.body
        graph[name] = set()
        for node in nodes:
            if isinstance(node, ast.Import):
                graph[name] |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                graph[name] |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return graph


def test_the_check_sees_an_import():
    """A case solved imports from the sets and its own package's version: seen, or the tests above look at nothing."""
    known = modules()
    seen = imports("fitting.solved", known["fitting.solved"], known)
    assert {"sets.predict", "documents.result", OPEN} <= seen
    assert (
        layer("solve")
        > layer("fitting.solved")
        > layer("sets.predict")
        > layer("physics.air")
        > layer("documents.case")
    )
