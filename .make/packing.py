"""Packs the archives with Zstandard; the decoder that the page uses must undo each to what went in."""

from __future__ import annotations

import hashlib
import subprocess
from pathlib import Path

from console import BuildError
from node import node
from wasm_part import part_of

DECODER = "zstd.wasm"
ROOTS = (
    "ZSTD_estimateDStreamSize",
    "ZSTD_initStaticDStream",
    "ZSTD_getFrameContentSize",
    "ZSTD_decompressStream_simpleArgs",
)
MEMORY = ("malloc", "free", "calloc")  # a decoder that is given its memory needs none of these


class Packer:
    """Packs files; what has been packed once is kept in ``cache`` until it is not asked for any more."""

    def __init__(self, cache: Path, core: Path) -> None:
        cache.mkdir(parents=True, exist_ok=True)
        self.cache = cache
        self.decoder = part_of((core / "pyodide.asm.wasm").read_bytes(), ROOTS, cut=MEMORY)
        (cache / DECODER).write_bytes(self.decoder)
        self.how = hashlib.sha256(self.decoder + self._script().read_bytes()).hexdigest()[:8]
        self.asked = {DECODER}

    def pack(self, path: Path, raw: bytes) -> None:
        """Write ``raw`` to ``path``, packed."""
        kept = self.cache / f"{path.name}-{hashlib.sha256(raw).hexdigest()[:16]}-{self.how}"
        self.asked.add(kept.name)
        if not kept.exists():
            command = [
                str(node()),
                "--no-warnings",
                str(self._script()),
                str(self.cache / DECODER),
                str(kept),
            ]
            done = subprocess.run(command, input=raw, capture_output=True, check=False)
            if done.returncode != 0:
                raise BuildError(f"{path.name} could not be packed:\n{done.stderr.decode()[-2000:]}")
        path.write_bytes(kept.read_bytes())

    def tidy(self) -> None:
        """Drop what this build has not asked for."""
        for path in self.cache.iterdir():
            if path.name not in self.asked:
                path.unlink()

    @staticmethod
    def _script() -> Path:
        return Path(__file__).parent / "pack.mjs"
