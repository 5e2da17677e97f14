"""Verdict, key, and tables of carries and gaps, from the result."""

from __future__ import annotations

from typing import Any

from app import styles
from app.html import Safe, bullets, esc, interval, join, note, p, table, tag
from app.phrases import percent, phrase, phrases
from app.phrases.marks import Marks
from app.phrases.say import NOT_KNOWN, listed
from app.phrases.verdict import SIDES, by_side
from app.plots.gaps import full_gaps
from app.screens.part_swings import FEW
from app.units import ShownUnit, unit
from engine.documents.result import Advice, Result
from engine.fitting.fitting import Fitting
from engine.sets.compare import Gap
from engine.statistics import Interval

MARKS = {"circle": "\u25cf", "square": "\u25a0", "triangle": "\u25b2", "diamond": "\u25c6"}


EVEN = p(
    "To break even is to be as close to the distances you face with one set as with the other. Scatter is how far short "
    "or long of the middle shots land: about two in three stay within it.",
    cls="small",
)
MOST_TOLD = 2  # measures gained or given, so that the card is read at a glance; the rest is below it


def verdict_card(result: Result, system: str) -> Safe:
    """The verdict in a few lines: what the other set gains, what it gives, what is the same, and the break-even."""
    verdict = result.verdict
    if verdict is None:
        return p("There is nothing to compare: the bag needs at least two irons or wedges.")
    compared, *lines = verdict.lines
    told, even, first = by_side(lines, system, most_told=MOST_TOLD)
    rows = [
        p(
            tag("b", SIDES[side]),
            "; ".join(parts[:3] if side in ("same", "open") else parts),
            cls=f"told {side}",
        )
        for side, parts in told.items()
    ]
    rows.insert(0 if first else len(rows), p(even))
    return tag("div", p(phrase(compared, system), cls="lead"), *rows, cls="verdict")


def next_ball_note(fitting: Fitting, system: str) -> Safe | str:
    """The next balls to hit and why; after them the clubs without a number, in one order."""
    said = next_advice(fitting)
    clubs = [c.name or c.id for c in fitting.hit_order]
    first = [phrase(said.statement, system)] if said else []
    if clubs:
        those = (
            f"clubs whose carry is {NOT_KNOWN}, in this order:" if len(clubs) > 1 else "club whose carry is"
        )
        those = those if len(clubs) > 1 else f"{those} {NOT_KNOWN}:"
        then = "After that, hit the" if said and said.reasons else "Hit the"
        first.append(f"{then} {those} {listed(clubs)}.")
    if sizes := [part.size.name for part in fitting.part_swings if not part.summaries]:
        first.append(f"Part swings that nobody has hit yet: {listed(sizes)}. Note {FEW} balls of each.")
    if not first:
        return ""
    why = p(" ".join(phrases(said.reasons, system)), cls="small") if said else ""
    return note(p(tag("b", "Next ball: "), " ".join(first)), why)


def next_advice(fitting: Fitting) -> Advice | None:
    """The advice on what to hit next, for the sake of the verdict."""
    return next((a for a in fitting.result.advice if a.topic == "next"), None)


def range_test(result: Result, system: str) -> Safe:
    """The test at the range that would show what the length does, and what it can show."""
    verdict = result.verdict
    return p("There is nothing to test.") if verdict is None else bullets(phrases(verdict.plan, system))


def measures_list(result: Result, system: str) -> Safe:
    """What one layout has over another in every measure, with the chances of the verdict."""
    told = bullets(phrases(result.differences, system))
    if not told:
        return join(p("No difference is both large enough to notice and likely enough to report."), EVEN)
    return join(
        told,
        p(
            "Each chance is that of a difference you would notice, as in the verdict above. What is not listed is unclear "
            "or too small to notice.",
            cls="small",
        ),
        EVEN,
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


def carries_table(result: Result, names: dict[str, str], system: str, marks: Marks) -> Safe:
    """Every club and layout: mean and 90 % interval, none where a club has to be hit first."""
    order: dict[str, str] = {}
    for layout in result.layouts:
        for club in layout.clubs:
            order.setdefault(club.id, club.name or club.id)
    shown = unit("carry", system)
    by = {x.id: {c.id: c for c in x.clubs} for x in result.layouts}
    rows = []
    for club_id, name in order.items():
        cells: list[Any] = [name]
        for layout_id in names:
            at = by[layout_id].get(club_id)
            cells.append(
                "\u2013"
                if at is None
                else NOT_KNOWN
                if at.hit_first
                else _interval(at.carry_m, shown, mark=marks("", club_id))
            )
        rows.append(cells)
    return join(
        table(["Club", *names.values()], rows, caption=f"Carry in {shown.name}: average and 90 % range"),
        legend(marks),
    )


def legend(marks: Marks) -> Safe | str:
    """What the mark in a table means, below it."""
    words = marks.nobody or marks.legend
    return p(words, cls="small") if words else ""


def _interval(value: Interval, shown: ShownUnit, *under: str, mark: str = "") -> Safe:
    return interval(shown, value.mean, value.lo90, value.hi90, *under, mark=mark)


def gaps_table(result: Result, names: dict[str, str], system: str, marks: Marks) -> Safe:
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
        cells: list[Any] = [f"{marks(called[longer], longer)} to {marks(called[shorter], shorter)}"]
        for layout_id in names:
            if layout_id not in found:
                cells.append("\u2013")
                continue
            gap = found[layout_id]
            cells.append(_interval(gap.gap_m, shown, f"overlap {percent(gap.chance_overlap)}"))
        rows.append(cells)
    if not rows:
        return p("No neighbouring irons or wedges.")
    return join(
        table(
            ["Between", *names.values()],
            rows,
            caption=(
                f"Gap in {shown.name}: average, 90 % range, and the chance that one shot with the shorter club "
                f"flies farther"
            ),
        ),
        legend(marks),
    )
