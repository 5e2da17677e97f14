"""Links, files and pasted text as an attacker or a bad line would leave them: seeded, so that a number names a case."""

from __future__ import annotations

import base64
import copy
import json
import random
import zlib
from collections.abc import Iterator
from typing import Any

from app import link
from app.demo import demo_case
from app.players import new_case
from app.state import State

CANARY = "globalThis.canary=1"
MARKUP = (
    f"<img src=x onerror={CANARY}>",
    f"<svg/onload={CANARY}>",
    f'"><script>{CANARY}</script>',
    f"<iframe srcdoc='<script>parent.{CANARY}</script>'></iframe>",
    f"javascript:{CANARY}",
    f"</textarea></style></script><script>{CANARY}</script>",
    f"{{{{constructor.constructor('{CANARY}')()}}}}",
    f"<math><mi xlink:href=javascript:{CANARY}>x",
    f"<b id=canary style=position:fixed onmouseover={CANARY}>x</b>",
    "<base href=//example.org/>",
    "<link rel=stylesheet href=//example.org/x>",
    "<meta http-equiv=refresh content=0;url=//example.org>",
)
ODD: tuple[Any, ...] = (
    *MARKUP,
    None,
    True,
    False,
    0,
    -1,
    1e308,
    -1e308,
    1e-308,
    10**30,
    2**63,
    "",
    " ",
    "\x00",
    "\u202e\u2066x",
    "\ud800",
    "e\u0301" * 200,
    "9" * 400,
    "NaN",
    "-inf",
    "__proto__",
    "../../etc/passwd",
    "=1+1",
    [],
    {},
    [[[[[[]]]]]],
    json.loads("[" * 300 + "]" * 300),
    float("nan"),
    float("inf"),
    {"__proto__": {"x": 1}},
    {"__class__": "x"},
    ["x"] * 50,
)


def packed(text: str | bytes, version: str = "1") -> str:
    """A fragment that holds this text, well-formed outside whatever is inside."""
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15)
    raw = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    data = squeeze.compress(raw) + squeeze.flush()
    return f"#v{version}." + base64.urlsafe_b64encode(data).decode().rstrip("=")


def _bend(rng: random.Random, value: Any, depth: int = 0) -> Any:
    """A copy of a document in which one place is odd."""
    value = copy.copy(value)
    if depth > 6 or not isinstance(value, dict | list) or not value or rng.random() < 0.08:
        return rng.choice(ODD)
    if isinstance(value, dict):
        key = rng.choice(list(value))
        act = rng.random()
        if act < 0.08:
            del value[key]
        elif act < 0.16:
            value[rng.choice([*MARKUP, "__proto__", "constructor", "", "x" * 300])] = rng.choice(ODD)
        else:
            value[key] = _bend(rng, value[key], depth + 1)
        return value
    index = rng.randrange(len(value))
    act = rng.random()
    if act < 0.06:
        del value[index]
    elif act < 0.12:
        value.extend([value[index]] * rng.choice([1, 3, 400]))
    else:
        value[index] = _bend(rng, value[index], depth + 1)
    return value


def _scratch(rng: random.Random, text: str) -> str:
    """The text with characters lost, swapped, doubled or put in."""
    for _ in range(rng.choice([1, 1, 2, 5, 30])):
        at = rng.randrange(len(text) + 1)
        act = rng.randrange(5)
        if act == 0:
            text = text[:at] + text[at + rng.choice([1, 1, 4, 60]) :]
        elif act == 1:
            text = text[:at] + chr(rng.choice([*range(128), 0x2028, 0xFFFD, 0x1F600])) + text[at + 1 :]
        elif act == 2:
            text = text[:at] + text[at : at + 40] + text[at:]
        elif act == 3:
            text = text[:at] + rng.choice(MARKUP) + text[at:]
        else:
            text = text[:at]
    return text


def _docs() -> list[dict[str, Any]]:
    demo = demo_case()
    state = State()
    state.add_player(demo)
    return [demo.to_doc(), new_case().to_doc(), state.to_doc()]


def mutated(seed: int, count: int) -> Iterator[tuple[str, str]]:
    """``count`` pairs of a kind, ``link`` or ``file``, and the hostile text."""
    rng = random.Random(seed)
    docs = _docs()
    links = [link.make(demo_case()).hash, link.make(new_case()).hash]
    inner = [json.loads(_inflated(text)) for text in links]
    dump = json.dumps
    for _ in range(count):
        doc = rng.choice(docs)
        form = rng.randrange(7)
        if form == 0:
            yield "link", "#" + _scratch(rng, rng.choice(links)[1:])
        elif form in (1, 2):
            odd = rng.choice(inner)
            for _ in range(rng.choice([1, 1, 2, 8])):
                odd = _bend(rng, odd) if isinstance(odd, dict) else odd
            yield "link", packed(dump(odd, ensure_ascii=rng.random() < 0.5))
        elif form == 3:
            text = _scratch(rng, dump(rng.choice(inner)))
            yield "link", packed(text, rng.choice(["1", "1", "1", "0", "2", "99999"]))
        elif form == 4:
            yield "file", _scratch(rng, dump(doc))
        else:
            odd = doc
            for _ in range(rng.choice([1, 1, 2, 8])):
                odd = _bend(rng, odd) if isinstance(odd, dict) else odd
            yield "file", dump(odd, ensure_ascii=rng.random() < 0.5)


def _inflated(fragment: str) -> bytes:
    text = fragment.split(".", 1)[1]
    return zlib.decompress(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)), -15)
