"""Small pieces of HTML in which every text is escaped; the only place where user text meets markup."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


class Safe(str):
    """Markup that we wrote ourselves; anything else is escaped."""

    __slots__ = ()


def esc(value: object) -> str:
    return value if isinstance(value, Safe) else escape(str(value), quote=True)


def tag(name: str, *content: object, cls: str = "") -> Safe:
    attribute = f' class="{escape(cls, quote=True)}"' if cls else ""
    return Safe(f"<{name}{attribute}>{''.join(esc(c) for c in content)}</{name}>")


def p(*content: object, cls: str = "") -> Safe:
    return tag("p", *content, cls=cls)


def h2(*content: object) -> Safe:
    return tag("h2", *content)


def h3(*content: object) -> Safe:
    return tag("h3", *content)


def join(*parts: object) -> Safe:
    return Safe("".join(esc(part) for part in parts))


def bullets(items: Iterable[object]) -> Safe:
    items = list(items)
    return tag("ul", *[tag("li", item) for item in items]) if items else Safe("")


def note(*content: object, warn: bool = False) -> Safe:
    return tag("div", *content, cls="note warn" if warn else "note")


def kpis(pairs: Iterable[tuple[object, object]]) -> Safe:
    """Figures in a row: ``(name, value)``."""
    return tag("div", *[tag("div", tag("span", name), tag("b", value)) for name, value in pairs], cls="kpis")


def table(
    head: Sequence[object], rows: Iterable[Sequence[object]], *, caption: str = "", words: Iterable[int] = ()
) -> Safe:
    """A table whose first column heads its rows; ``words`` are the columns that hold running text."""
    words = set(words)
    heads = [_cell("th", h, i in words, ' scope="col"') for i, h in enumerate(head)]
    body = []
    for row in rows:
        cells = [
            _cell("th" if i == 0 else "td", c, i in words, ' scope="row"' if i == 0 else "")
            for i, c in enumerate(row)
        ]
        body.append(f"<tr>{''.join(cells)}</tr>")
    title = f"<caption>{esc(caption)}</caption>" if caption else ""
    return Safe(
        f'<div class="scroll" tabindex="0" role="group" aria-label="{esc(caption or "table")}">'
        f"<table>{title}"
        f"<thead><tr>{''.join(heads)}</tr></thead><tbody>{''.join(body)}</tbody></table></div>"
    )


def _cell(name: str, content: object, words: bool, attributes: str) -> str:
    return f"<{name}{attributes}{' class=words' if words else ''}>{esc(content)}</{name}>"
