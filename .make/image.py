"""The memory image: made under Node, cut into the part every release shares and the part of the project's own code."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
from pathlib import Path
from typing import Any

from console import BuildError, step
from image_patch import ASM, LOADER, patched
from node import node
from packing import Packer
from wasm import ground_of, memory_size

PAGE = 4096
HOME = "/sp/"
CORE = ("pyodide.asm.wasm", "python_stdlib.zip", "pyodide-lock.json")


def make_core(pyodide: Path, core: Path) -> None:
    """Pyodide's core with the changed scripts, in ``core``."""
    core.mkdir(parents=True, exist_ok=True)
    for name in (ASM, LOADER):
        (core / name).write_text(
            patched(name, (pyodide / name).read_text(encoding="utf-8")), encoding="utf-8"
        )
    for name in CORE:
        (core / name).write_bytes((pyodide / name).read_bytes())


def make_image(core: Path, tree: Path, code: Path, out: Path) -> None:
    """Start the dashboard under Node and write its memory and first screen to ``out``."""
    step("making the memory image")
    here = Path(__file__).parent
    mounts = [f"sp={tree}", f"fettle={code}", f"out={out}"]
    done = subprocess.run(
        [str(node()), "--no-warnings", str(here / "image_make.mjs"), str(core), str(out), *mounts],
        capture_output=True,
        text=True,
        env={"PATH": os.environ.get("PATH", ""), "HOME": "/home/pyodide", "LANG": "en_US.UTF-8", "TZ": "UTC"},
    )
    if done.returncode != 0:
        raise BuildError(f"the memory image could not be made:\n{(done.stderr or done.stdout)[-3000:]}")


def libraries(out: Path) -> list[str]:
    """The dynamic libraries that the image holds, which both boots share."""
    made = json.loads((out / "image.json").read_text(encoding="utf-8"))
    return [entry["name"].removeprefix(HOME) for entry in made["libraries"]]


def pack_image(tree: Path, out: Path, site: Path, packer: Packer, *, files: bytes) -> None:
    """Write runtime/image.zst and app/image.zst; ``files`` is a tar of what Python reads as files."""
    made = json.loads((out / "image.json").read_text(encoding="utf-8"))
    base, full = (out / "base.mem").read_bytes(), (out / "full.mem").read_bytes()
    placed = [_library(entry, tree) for entry in made["libraries"]]
    seen: dict[tuple[int, str], int] = {}
    for number, symbol, slot in made["slots"]:
        known = len(seen)
        first = seen.setdefault((number, symbol), slot)
        if not symbol or slot not in (first, ~first):
            raise BuildError(
                f"a function of {placed[number]['name']} cannot be found again by its name {symbol!r}"
            )
        if len(seen) > known:
            placed[number]["slots"].append([symbol, slot])
    core = (site / "runtime" / "pyodide.asm.wasm").read_bytes()
    inside = [((tree / e["name"].removeprefix(HOME)).read_bytes(), e["memory"]) for e in made["libraries"]]
    ground = ground_of([(core, 0), *inside[: made["inBase"]]], len(base))
    runs, pages, there = _cut(base, ground)
    header: dict[str, Any] = {
        "runs": runs,
        "there": there,
        "id": hashlib.sha256(base).hexdigest()[:16],
        "home": HOME,
        "libraries": placed[: made["inBase"]],
    }
    packer.pack(site / "runtime" / "image.zst", _raw(header, {"files": files}) + pages)
    changed = _differ(base, full)
    runs, pages, _ = _cut(changed)
    over = {
        "base": header["id"],
        "memory": made["memory"],
        "table": made["table"],
        "links": made["links"],
        "libraries": placed[made["inBase"] :],
        "check": (out / "check.txt").read_text(encoding="utf-8"),
        "runs": runs,
    }
    packer.pack(site / "app" / "image.zst", _raw(over, {"head": (out / "head.bin").read_bytes()}) + pages)


def _library(entry: dict[str, Any], tree: Path) -> dict[str, Any]:
    name = entry["name"].removeprefix(HOME)
    module = (tree / name).read_bytes()
    return entry | {"name": name, "bytes": len(module), "size": memory_size(module), "slots": []}


def _differ(base: bytes, full: bytes) -> bytes:
    """Byte by byte, ``full`` exclusive-or ``base``: what only a count of references changed is nearly all zero."""
    import numpy as np

    changed = np.frombuffer(full, np.uint8).copy()
    changed[: len(base)] ^= np.frombuffer(base, np.uint8)
    return changed.tobytes()


def _cut(memory: bytes, ground: bytes = b"") -> tuple[list[list[int]], bytes, list[list[int]]]:
    """Runs [first page, count] of pages that are neither zero nor as in ``ground``, their bytes, and runs of the latter
    with a checksum each, which the browser finds where they are: constants of core and libraries."""
    zero = bytes(PAGE)
    runs: list[list[int]] = []
    there: list[list[int]] = []
    kept = []
    for page in range(len(memory) // PAGE):
        data = memory[page * PAGE : (page + 1) * PAGE]
        if data == zero:
            continue
        same = data == ground[page * PAGE : (page + 1) * PAGE]
        into = there if same else runs
        if into and sum(into[-1]) == page:
            into[-1][1] += 1
        else:
            into.append([page, 1])
        if not same:
            kept.append(data)
    summed = [[page, count, _sum(memory[page * PAGE : (page + count) * PAGE])] for page, count in there]
    return runs, b"".join(kept), summed


def _sum(data: bytes) -> int:
    """Checksum of words: Adler's two sums, modulo 2^32 (as `summed` in site/image.mjs)."""
    import numpy as np

    words = np.frombuffer(data, "<u4").astype(np.uint64)
    once = int(words.sum()) & 0xFFFFFFFF
    twice = int((words * np.arange(len(words), 0, -1, dtype=np.uint64)).sum()) & 0xFFFFFFFF
    return once ^ (twice * 31 & 0xFFFFFFFF)


def _raw(header: dict[str, Any], blocks: dict[str, bytes]) -> bytes:
    """A header in JSON after its length, then the blocks, each beginning at a multiple of 8."""
    text = json.dumps(
        header | {"blocks": {k: len(v) for k, v in blocks.items()}}, separators=(",", ":")
    ).encode()
    parts = [len(text).to_bytes(4, "little") + text, *blocks.values()]
    return b"".join(part + bytes(-len(part) % 8) for part in parts)
