"""Verdict, key, and tables of carries and gaps, from the result."""

from __future__ import annotations

from typing import Any

from app import styles
from app.html import Safe, bullets, esc, interval, join, note, p, table, tag
from app.phrases import percent, phrase, phrases
from app.phrases.layouts import chance_words, verdict_of
from app.plots.gaps import full_gaps
from app.units import ShownUnit, unit
from engine.documents.result import Result
from engine.sets.compare import Gap
from engine.statistics import Interval

MARKS = {"circle": "\u25cf", "square": "\u25a0", "triangle": "\u25b2", "diamond": "\u25c6"}


def verdict_card(result: Result, system: str) -> Safe:
    """The verdict, its chance, and what speaks for and against."""
    said = verdict_of(result)
    if said is None or said.chance is None:
        return p("There is nothing to compare: you need at least two layouts.")
    verdict = said.statement
    parts: list[Any] = [
        p(phrase(verdict, system), cls="lead"),
        chance_bar(chance_words(verdict, system), said.chance),
    ]
    why = phrases(result.differences, system)
    if why:
        parts.append(bullets(why[:5]))
    else:
        parts.append(p("Nothing so far sets them clearly apart."))
    parts += [
        note(
            p(tag("b", "Next ball: "), phrase(a.statement, system)),
            p(" ".join(phrases(a.reasons, system)), cls="small"),
        )
        for a in result.advice
        if a.topic == "next"
    ][:1]
    return join(*parts)


def chance_bar(words: str, chance: float) -> Safe:
    """A chance as a bar, with its words above and its figure beside."""
    part = f"{100 * min(max(chance, 0.0), 1.0):.0f}%"
    return Safe(
        f'<div class="chance"><span>{esc(words)}</span><i style="--part:{part}" aria-hidden="true"></i>'
        f"<b>{esc(percent(chance))}</b></div>"
    )


def series_key(names: dict[str, str], *, measured: bool = True) -> Safe:
    """Colour and mark of each layout, in words."""
    items = [
        Safe(f'<span><b style="color:{colour}" aria-hidden="true">{MARKS[mark]}</b>\u00a0{esc(name)}</span>')
        for name, colour, mark in zip(names.values(), styles.SERIES, styles.MARKERS, strict=False)
    ]
    if measured:
        items.append(Safe('<span><b aria-hidden="true">\u2715</b>\u00a0measured</span>'))
    return tag("div", *items, cls="key")


def carries_table(result: Result, names: dict[str, str], system: str) -> Safe:
    """Every club and layout: mean and 90 % interval."""
    order: dict[str, str] = {}
    for layout in result.layouts:
        for club in layout.clubs:
            order.setdefault(club.id, club.name or club.id)
    shown = unit("carry", system)
    by = {x.id: {c.id: c.carry_m for c in x.clubs} for x in result.layouts}
    rows = []
    for club_id, name in order.items():
        cells: list[Any] = [name]
        for layout_id in names:
            carry = by[layout_id].get(club_id)
            cells.append("\u2013" if carry is None else _interval(carry, shown))
        rows.append(cells)
    return table(["Club", *names.values()], rows, caption=f"Carry in {shown.name}: average and 90 % range")


def _interval(value: Interval, shown: ShownUnit, *under: str) -> Safe:
    return interval(shown, value.mean, value.lo90, value.hi90, *under)


def gaps_table(result: Result, names: dict[str, str], system: str) -> Safe:
    """Gaps between neighbouring irons and wedges of each layout, with the chance of overlap."""
    pairs: dict[tuple[str, str], dict[str, Gap]] = {}
    called: dict[str, str] = {}
    for layout in result.layouts:
        called.update({c.id: c.name or c.id for c in layout.clubs})
        for gap in full_gaps(layout):
            pairs.setdefault((gap.longer, gap.shorter), {})[layout.id] = gap
    shown = unit("gap", system)
    rows = []
    for (longer, shorter), found in pairs.items():
        cells: list[Any] = [f"{called[longer]} to {called[shorter]}"]
        for layout_id in names:
            if layout_id not in found:
                cells.append("\u2013")
                continue
            gap = found[layout_id]
            cells.append(_interval(gap.gap_m, shown, f"overlap {percent(gap.chance_overlap)}"))
        rows.append(cells)
    if not rows:
        return p("No neighbouring irons or wedges.")
    return table(
        ["Between", *names.values()],
        rows,
        caption=(
            f"Gap in {shown.name}: average, 90 % range, and the chance that one shot with the shorter club "
            f"flies farther"
        ),
    )
