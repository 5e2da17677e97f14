"""Small pieces of HTML in which every text is escaped; the only place where user text meets markup."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

from app.units import ShownUnit


class Safe(str):
    """Markup that we wrote ourselves; anything else is escaped."""

    __slots__ = ()


def esc(value: object) -> str:
    """The value as text of a page, a figure and its per cent sign on one line."""
    if isinstance(value, Safe):
        return value
    return escape(re.sub(r"(?<=\d) %", "\u00a0%", str(value)), quote=True)


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


def stacked(figure: object, *under: object) -> Safe:
    """A figure of a table with what belongs to it in small type beneath."""
    return join(tag("b", figure), *[tag("span", text, cls="small under") for text in under])


def interval(shown: ShownUnit, mean: float, low: float, high: float, *under: object, mark: str = "") -> Safe:
    """A mean with what it lies between beneath, both in the unit ``shown``; ``mark`` follows the mean."""
    ends = shown.text(low), shown.text(high)
    return stacked(shown.text(mean) + mark, *[" to ".join(ends)] * (ends[0] != ends[1]), *under)


def table(
    head: Sequence[object],
    rows: Iterable[Sequence[object]],
    *,
    caption: str = "",
    words: Iterable[int] = (),
    cards: bool = False,
    above: bool = False,
    under: Sequence[object] = (),
) -> Safe:
    """A table whose first column heads its rows.

    words : columns that hold running text; cards : on a narrow screen each row becomes a block of named figures;
    above : on one too narrow for the columns the head of each row stands above its figures; under : for each row, what
    stands on paper below all its columns but the last, with which the row grows
    """
    words = set(words)

    # Roles are said outright: a sheet that lays the cells out as blocks would else take them away.
    def role(name: str) -> str:
        return f' role="{name}"' if cards or above else ""

    heads = [_cell("th", h, i in words, f' scope="col"{role("columnheader")}') for i, h in enumerate(head)]
    body = []
    for n, row in enumerate(rows):
        whole = "" if 0 in words or " " in str(row[0]) else ' class="whole"'
        cells = [_cell("th", row[0], 0 in words, f' scope="row"{role("rowheader")}{whole}')]
        for i, content in enumerate(row[1:], 1):
            label = f' data-label="{escape(str(head[i]), quote=True)}"' if cards else ""
            label += ' rowspan="2"' if under and i == len(row) - 1 else ""
            cells.append(_cell("td", content, i in words, f"{role('cell')}{label}"))
        body.append(f"<tr{role('row')}>{''.join(cells)}</tr>")
        if under:
            body[-1] += f'<tr class="paper"><td colspan="{len(row) - 1}">{esc(under[n])}</td></tr>'
    title = f"<caption>{esc(caption)}</caption>" if caption else ""
    group = role("rowgroup")
    return Safe(
        f'<div class="scroll" tabindex="0" role="group" aria-label="{esc(caption or "table")}">'
        f"<table{role('table')}{' class=cards' if cards else ' class=above' if above else ''}>{title}"
        f"<thead{group}><tr{role('row')}>{''.join(heads)}</tr></thead>"
        f"{''.join(f'<tbody{group}>{part}</tbody>' for part in (body if under else [''.join(body)]))}</table></div>"
    )


def _cell(name: str, content: object, words: bool, attributes: str) -> str:
    return f"<{name}{attributes}{' class=words' if words else ''}>{esc(content)}</{name}>"
