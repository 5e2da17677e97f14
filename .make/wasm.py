"""What the build reads from WebAssembly modules: how much memory a dynamic library asks for, and where its constants go.

Sections and their numbers are those of the WebAssembly core specification 1.0 (binary format, 5.5); ``dylink.0`` is that of
the WebAssembly tool conventions (dynamic linking).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from console import BuildError

DATA = 11
I32_CONST, GLOBAL_GET, I32_ADD, END = 0x41, 0x23, 0x6A, 0x0B


def memory_size(module: bytes) -> int:
    """Bytes of memory that a dynamic library asks for."""
    at = 8
    if module[at] != 0:
        raise BuildError("a dynamic library begins with something else than its dylink section")
    _, at = leb(module, at + 1)
    length, at = leb(module, at)
    at += length
    if module[at] != 1:
        raise BuildError("a dynamic library's dylink section begins with something else than its sizes")
    _, at = leb(module, at + 1)
    return leb(module, at)[0]


def ground_of(modules: Iterable[tuple[bytes, int]], size: int) -> bytes:
    """Memory of ``size`` bytes as instantiating these modules at their places leaves it, nothing having run."""
    memory = bytearray(size)
    for module, place in modules:
        for offset, data in _active(module, place):
            if offset + len(data) <= size:
                memory[offset : offset + len(data)] = data
    return bytes(memory)


def _active(module: bytes, place: int) -> Iterator[tuple[int, bytes]]:
    """Offset and bytes of each active data segment."""
    at = 8
    while at < len(module):
        section = module[at]
        length, at = leb(module, at + 1)
        if section == DATA:
            count, here = leb(module, at)
            for _ in range(count):
                kind, here = leb(module, here)
                if kind == 2:
                    _, here = leb(module, here)
                offset, here = (0, here) if kind == 1 else _offset(module, here, place)
                size, here = leb(module, here)
                if kind != 1:
                    yield offset, module[here : here + size]
                here += size
        at += length


def _offset(module: bytes, at: int, place: int) -> tuple[int, int]:
    """Value of a constant expression of additions; the only global that libraries ask for here is their own place."""
    value = 0
    while module[at] != END:
        code, at = module[at], at + 1
        if code == I32_CONST:
            more, at = leb(module, at, signed=True)
            value += more
        elif code == GLOBAL_GET:
            _, at = leb(module, at)
            value += place
        elif code != I32_ADD:
            raise BuildError(f"a data segment's place is reckoned in a way not known here ({code:#x})")
    return value & 0xFFFFFFFF, at + 1


def leb(data: bytes, at: int, *, signed: bool = False) -> tuple[int, int]:
    value = shift = 0
    while True:
        byte = data[at]
        at += 1
        value |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            return (value - (1 << shift) if signed and byte & 64 else value), at
