"""The memory image: made under Node, cut into the part every release shares and the part of the project's own code."""

from __future__ import annotations

import gzip
import hashlib
import json
import os
import subprocess
from pathlib import Path
from typing import Any

from image_patch import ASM, LOADER, patched
from node import node
from say import BuildError, step

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


def pack_image(tree: Path, out: Path, site: Path, *, files: bytes) -> None:
    """Write runtime/image.zst and app/image.gz; ``files`` is a tar of what Python reads as files."""
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
    runs, pages = _cut(base)
    ground = {"runs": runs, "id": hashlib.sha256(base).hexdigest()[:16]}
    raw = _raw(ground, {"files": files, "pages": pages})
    _zstandard(site / "runtime" / "image.zst", raw)
    changed = _differ(base, full)
    runs, pages = _cut(changed)
    over = {
        "base": ground["id"],
        "unpacked": len(raw),
        "home": HOME,
        "memory": made["memory"],
        "table": made["table"],
        "libraries": placed,
        "check": (out / "check.txt").read_text(encoding="utf-8"),
        "runs": runs,
    }
    over_raw = _raw(over, {"head": (out / "head.bin").read_bytes(), "pages": pages})
    (site / "app" / "image.gz").write_bytes(gzip.compress(over_raw, 9, mtime=0))


def _library(entry: dict[str, Any], tree: Path) -> dict[str, Any]:
    name = entry["name"].removeprefix(HOME)
    module = (tree / name).read_bytes()
    return entry | {"name": name, "bytes": len(module), "size": _memory_size(module), "slots": []}


def _memory_size(module: bytes) -> int:
    """Bytes of memory that a dynamic library asks for (its dylink.0 section, WebAssembly tool conventions)."""
    at = 8
    if module[at] != 0:
        raise BuildError("a dynamic library begins with something else than its dylink section")
    _, at = _leb(module, at + 1)
    length, at = _leb(module, at)
    at += length
    if module[at] != 1:
        raise BuildError("a dynamic library's dylink section begins with something else than its sizes")
    _, at = _leb(module, at + 1)
    return _leb(module, at)[0]


def _leb(data: bytes, at: int) -> tuple[int, int]:
    value = shift = 0
    while True:
        byte = data[at]
        at += 1
        value |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            return value, at


def _differ(base: bytes, full: bytes) -> bytes:
    """Byte by byte, ``full`` exclusive-or ``base``: what only a count of references changed is nearly all zero."""
    import numpy as np

    changed = np.frombuffer(full, np.uint8).copy()
    changed[: len(base)] ^= np.frombuffer(base, np.uint8)
    return changed.tobytes()


def _cut(memory: bytes) -> tuple[list[list[int]], bytes]:
    """Runs [first page, count] of pages that are not all zero, and their bytes."""
    zero = bytes(PAGE)
    runs: list[list[int]] = []
    kept = []
    for page in range(len(memory) // PAGE):
        data = memory[page * PAGE : (page + 1) * PAGE]
        if data == zero:
            continue
        if runs and sum(runs[-1]) == page:
            runs[-1][1] += 1
        else:
            runs.append([page, 1])
        kept.append(data)
    return runs, b"".join(kept)


def _raw(header: dict[str, Any], blocks: dict[str, bytes]) -> bytes:
    """A header in JSON after its length, then the blocks, each beginning at a multiple of 8."""
    text = json.dumps(
        header | {"blocks": {k: len(v) for k, v in blocks.items()}}, separators=(",", ":")
    ).encode()
    parts = [len(text).to_bytes(4, "little") + text, *blocks.values()]
    return b"".join(part + bytes(-len(part) % 8) for part in parts)


def _zstandard(path: Path, raw: bytes) -> None:
    """Pack with Node's Zstandard: a fifth smaller than gzip; the same memory is packed once only."""
    kept = Path(path.parents[2] / ".cache" / f"image-{hashlib.sha256(raw).hexdigest()[:16]}.zst")
    if not kept.exists():
        for old in kept.parent.glob("image-*.zst"):
            old.unlink()
        pack = Path(__file__).parent / "image_pack.mjs"
        done = subprocess.run(
            [str(node()), "--no-warnings", str(pack), str(kept)], input=raw, capture_output=True
        )
        if done.returncode != 0:
            kept.unlink(missing_ok=True)
            raise BuildError(f"the memory image could not be packed:\n{done.stderr.decode()[-2000:]}")
    path.write_bytes(kept.read_bytes())
