"""Takes a few functions with all they need out of a WebAssembly module, as a module of its own.

Pyodide's core holds a decoder of Zstandard, which the page needs before the core is compiled, and without leaving anything
in the core's memory. Instructions and their immediates are those of the WebAssembly core specification 2.0 (binary format,
5.4) and of the exception handling proposal.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from console import BuildError
from wasm import leb

TYPE, IMPORT, FUNCTION, MEMORY, GLOBAL, EXPORT, CODE, DATA = 1, 2, 3, 5, 6, 7, 10, 11
PAGE = 65536
TRAP = b"\x00\x00\x0b"  # no locals, unreachable, end
REACH = 1024  # [bytes] after a place in the data that a function names: more than any table of the decoder is long
STACK = 65536  # [bytes]


@dataclass
class Module:
    """The sections that matter here, in the order of their indices."""

    types: list[bytes] = field(default_factory=list)
    imported: list[int] = field(default_factory=list)  # types of the imported functions
    globals_before: int = 0  # how many globals are imported
    functions: list[int] = field(default_factory=list)  # types of the module's own
    globals: list[bytes] = field(default_factory=list)
    exports: dict[str, int] = field(default_factory=dict)  # functions by name
    global_exports: dict[str, int] = field(default_factory=dict)
    bodies: list[bytes] = field(default_factory=list)
    data: list[tuple[int, bytes]] = field(default_factory=list)  # place, bytes


def part_of(module: bytes, roots: Sequence[str], *, cut: Sequence[str]) -> bytes:
    """A module that exports ``roots`` and its ``memory``; the functions ``cut`` and imported ones trap when called."""
    whole = read(module)
    first = len(whole.imported)
    trap = {whole.exports[name] for name in cut if name in whole.exports}
    order: list[int] = []
    queue = [whole.exports[name] for name in roots]
    used: set[int] = set()
    places: set[int] = set()
    while queue:
        number = queue.pop()
        if number in order:
            continue
        order.append(number)
        if number < first or number in trap:
            continue
        for kind, value, *_ in instructions(whole.bodies[number - first]):
            if kind == "function":
                queue.append(value)
            elif kind == "global":
                used.add(value)
            elif kind == "number":
                places.add(value)
    order.sort()
    function = {old: new for new, old in enumerate(order)}
    kept = sorted(used)
    if any(number < whole.globals_before for number in kept):
        raise BuildError("the part needs a global from outside")
    globals_ = {old: new for new, old in enumerate(kept)}
    data = _near(whole.data, places)
    end = max((place + len(block) for place, block in data), default=0)
    stack = -(-(end + STACK) // 16) * 16
    pointer = whole.global_exports.get("__stack_pointer")
    bodies, types = [], []
    for number in order:
        traps = number < first or number in trap
        types.append(whole.imported[number] if number < first else whole.functions[number - first])
        bodies.append(TRAP if traps else _moved(whole.bodies[number - first], function, globals_))
    cells = [
        b"\x7f\x01\x41" + _sleb(stack) + b"\x0b"
        if number == pointer
        else whole.globals[number - whole.globals_before]
        for number in kept
    ]
    named = [_name(name) + b"\x00" + uleb(function[whole.exports[name]]) for name in roots]
    sections = [
        (TYPE, whole.types),
        (FUNCTION, [uleb(kind) for kind in types]),
        (4, [b"\x70\x00\x01"]),  # an empty table, for calls through pointers that are never made
        (MEMORY, [b"\x00" + uleb(-(-stack // PAGE))]),
        (GLOBAL, cells),
        (EXPORT, [*named, _name("memory") + b"\x02\x00"]),
        (CODE, [uleb(len(body)) + body for body in bodies]),
        (DATA, [b"\x00\x41" + _sleb(place) + b"\x0b" + uleb(len(block)) + block for place, block in data]),
    ]
    out = module[:8]
    for number, items in sections:
        content = uleb(len(items)) + b"".join(items)
        out += bytes([number]) + uleb(len(content)) + content
    return out


def read(module: bytes) -> Module:
    """The sections of a module."""
    found, at = Module(), 8
    while at < len(module):
        section = module[at]
        length, at = leb(module, at + 1)
        end = at + length
        if section in (TYPE, IMPORT, FUNCTION, GLOBAL, EXPORT, CODE, DATA):
            count, at = leb(module, at)
            for _ in range(count):
                at = _item(found, section, module, at)
        at = end
    return found


def _item(found: Module, section: int, module: bytes, at: int) -> int:
    """Read one item of a section; returns where the next one begins."""
    start = at
    if section == TYPE:
        at += 1
        for _ in range(2):
            count, at = leb(module, at)
            at += count
        found.types.append(module[start:at])
    elif section == IMPORT:
        for _ in range(2):
            size, at = leb(module, at)
            at += size
        kind, at = module[at], at + 1
        if kind == 0:
            value, at = leb(module, at)
            found.imported.append(value)
        elif kind == 3:
            found.globals_before += 1
            at += 2
        elif kind == 4:
            _, at = leb(module, at + 1)
        else:  # a table begins with the type of its items
            at += kind == 1
            flags, at = module[at], at + 1
            for _ in range(1 + (flags & 1)):
                _, at = leb(module, at)
    elif section == FUNCTION:
        value, at = leb(module, at)
        found.functions.append(value)
    elif section == GLOBAL:
        *_, (_, _, at) = _expression(module, at + 2)
        found.globals.append(module[start:at])
    elif section == EXPORT:
        size, at = leb(module, at)
        name, kind = module[at : at + size].decode(), module[at + size]
        value, at = leb(module, at + size + 1)
        if kind == 0:
            found.exports[name] = value
        elif kind == 3:
            found.global_exports[name] = value
    elif section == CODE:
        size, at = leb(module, at)
        found.bodies.append(module[at : at + size])
        at += size
    else:
        kind, at = leb(module, at)
        place = 0
        if kind == 0:
            for what, value, end in _expression(module, at):
                place, at = (value if what == "number" else place), end
        size, at = leb(module, at)
        found.data.append((place & 0xFFFFFFFF, module[at : at + size]))
        at += size
    return at


def _expression(module: bytes, at: int) -> Iterator[tuple[str, int, int]]:
    """Instructions up to the end that closes them."""
    depth = 1
    while depth:
        code = module[at]
        kind, value, _, at = _instruction(module, at)
        depth += (code in (0x02, 0x03, 0x04, 0x06, 0x1F)) - (code in (0x0B, 0x18))
        yield kind, value, at


def instructions(body: bytes) -> Iterator[tuple[str, int, int, int]]:
    """(kind, value, from, to) of what an instruction names: the bytes from ``from`` to ``to`` of the body say it."""
    at = start_of(body)
    while at < len(body):
        kind, value, begin, end = _instruction(body, at)
        yield kind, value, begin, end
        at = end


def start_of(body: bytes) -> int:
    """Where a function's instructions begin, after its locals."""
    count, at = leb(body, 0)
    for _ in range(count):
        _, at = leb(body, at)
        at += 1
    return at


def _instruction(body: bytes, at: int) -> tuple[str, int, int, int]:
    """(kind, value, from, to): ``to`` is where the next instruction begins, ``from`` where the value stands."""
    code, at = body[at], at + 1
    if code in (0x10, 0x12, 0xD2):
        value, end = leb(body, at)
        return "function", value, at, end
    if code in (0x23, 0x24):
        value, end = leb(body, at)
        return "global", value, at, end
    if code == 0x41:
        value, end = leb(body, at, signed=True)
        return "number", value & 0xFFFFFFFF, at, end
    if 0x28 <= code <= 0x3E:
        return _memory(body, at)
    if code in (0x02, 0x03, 0x04, 0x06, 0x42):  # a block's type is a signed number too
        return "", 0, at, leb(body, at, signed=True)[1]
    if code in (0x07, 0x08, 0x09, 0x0C, 0x0D, 0x18, 0x20, 0x21, 0x22, 0x25, 0x26, 0x3F, 0x40):
        return "", 0, at, leb(body, at)[1]
    if code in (0x11, 0x13):
        return "", 0, at, leb(body, leb(body, at)[1])[1]
    if code in (0x43, 0x44):
        return "", 0, at, at + (4 if code == 0x43 else 8)
    if code in (0x0E, 0x1C):
        count, at = leb(body, at)
        for _ in range(count + (code == 0x0E)):
            _, at = leb(body, at)
        return "", 0, at, at
    if code == 0xD0:
        return "", 0, at, at + 1
    if code == 0xFC:
        more, at = leb(body, at)
        for _ in range(0 if more < 8 else 2 if more in (8, 10, 12, 14) else 1):
            _, at = leb(body, at)
        return "", 0, at, at
    if code == 0xFD:
        more, at = leb(body, at)
        if more < 12 or 84 <= more <= 93:
            _, _, _, at = _memory(body, at)
        at += 16 if more in (12, 13) else 1 if 21 <= more <= 34 or 84 <= more <= 91 else 0
        return "", 0, at, at
    if code == 0x1F:
        raise BuildError("an instruction that is not known here")
    return "", 0, at, at


def _memory(body: bytes, at: int) -> tuple[str, int, int, int]:
    _, at = leb(body, at)
    value, end = leb(body, at)
    return "number", value, at, end


def _moved(body: bytes, function: dict[int, int], globals_: dict[int, int]) -> bytes:
    """The body with the numbers that functions and globals have in the part."""
    parts, done = [], 0
    for kind, value, begin, end in instructions(body):
        if kind in ("function", "global"):
            parts += [body[done:begin], uleb((function if kind == "function" else globals_)[value])]
            done = end
    return b"".join([*parts, body[done:]])


def _near(data: list[tuple[int, bytes]], places: set[int]) -> list[tuple[int, bytes]]:
    """What of the data lies shortly after one of the places."""
    spans: list[list[int]] = []
    for place in sorted(places):
        if spans and place <= spans[-1][1]:
            spans[-1][1] = place + REACH
        else:
            spans.append([place, place + REACH])
    found = []
    for start, block in data:
        for low, high in spans:
            a, b = max(low, start), min(high, start + len(block))
            if a < b and any(block[a - start : b - start]):
                found.append((a, block[a - start : b - start]))
    return found


def uleb(value: int) -> bytes:
    out = b""
    while value > 127:
        out += bytes([value & 127 | 128])
        value >>= 7
    return out + bytes([value])


def _sleb(value: int) -> bytes:
    out = b""
    while not -64 <= value < 64:
        out += bytes([value & 127 | 128])
        value >>= 7
    return out + bytes([value & 127])


def _name(text: str) -> bytes:
    return uleb(len(text.encode())) + text.encode()
