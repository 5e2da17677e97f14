"""The build sheet as markup and as plain cells: present against wanted, the work, and the cautions beside it."""

from __future__ import annotations

from typing import Any

from app import edits
from app.html import Safe, bullets, h2, h3, join, kpis, note, p, stacked, table, tag
from app.phrases import phrase, phrases
from app.phrases.layouts import set_titles
from app.phrases.notes import CAUTION_TITLES
from app.phrases.say import capital
from app.units import amount, unit
from engine.body.start_sizes import lie_statement
from engine.documents.case import Club
from engine.fitting.fitting import Fitting
from engine.workshop.cautions import CAUTIONS

# what is built of a club: its label, its name in the documents and its quantity
CLUB_KEYS = {
    "length": ("length_m", "club"),
    "loft": ("loft_deg", "set_angle"),
    "lie": ("lie_deg", "set_angle"),
    "head": ("head_kg", "mass"),
}


class LayoutToBuild:
    """The layout to build: present and wanted clubs by id, the engine's sheet, and what the rules say."""

    def __init__(self, fitting: Fitting) -> None:
        self.case, self.layout_id = fitting.case, fitting.layout.id
        self.present = {c.id: c for c in fitting.case.bag}
        self.wanted = fitting.clubs
        self.sheet = fitting.build
        self.rules = self.sheet.rules
        self.body = fitting.body if fitting.case.player.height_m else None
        self.lofts = fitting.lofts if fitting.case.wants.gap_m or fitting.case.wants.carries else None


def sheet_rows(to_build: LayoutToBuild, system: str) -> tuple[list[str], list[list[str]]]:
    """The sheet as plain text cells: present, wanted and change of each figure of each club, and the work."""
    head = ["Club"]
    for label, (_, quantity) in CLUB_KEYS.items():
        name = unit(quantity, system).name.replace("\u00b0", "deg")
        head += [f"{label} now ({name})", f"{label} wanted ({name})", f"{label} change ({name})"]
    head += ["swing weight now", "swing weight wanted", "bounce after (deg)", "work", "cannot be done"]
    head += ["minutes", "set by hand"]
    rows = []
    for wanted, work in zip(to_build.wanted, to_build.sheet.clubs, strict=True):
        now = to_build.present[wanted.id]
        row = [now.name or now.id]
        for key, quantity in CLUB_KEYS.values():
            shown = unit(quantity, system)
            was, will = getattr(now, key), getattr(wanted, key)
            row += [shown.text(was), shown.text(will), shown.text(will - was + shown.zero, sign=True)]
        bounce = (
            unit("set_angle", system).text(work.bounce_after_deg) if work.bounce_after_deg is not None else ""
        )
        row += [work.swing_weight_before or "", work.swing_weight_after, bounce]
        said = ("; ".join(phrases(told, system)) for told in (work.actions, work.problems))
        row += [*(text.replace("\u00a0", " ").replace("\u00b0", " deg") for text in said), str(work.minutes)]
        row.append("yes" if edits.by_hand(to_build.case, to_build.layout_id, now.id) else "")
        rows.append(row)
    return head, rows


def sheet(state: Any, to_build: LayoutToBuild) -> Safe:
    """The sheet on the screen and on paper."""
    system = state.units
    name = set_titles(state.fitting.own_layout, state.result, system)[to_build.layout_id]
    return join(
        h2(f"{name}: {state.store.entry.name}"),
        _summary(to_build),
        _clubs(to_build, system),
        _lofts(to_build, system),
        _lies(to_build, system),
        _cautions(to_build, system),
        _parts(to_build, system),
        _rules(to_build, system),
        p(
            "Swing weights take a shaft and grip of the usual mass for each kind of club; weigh your own. "
            "Minutes, bending limits and the 12 g and 3 g a head takes or gives are common practice, no source.",
            cls="small",
        ),
    )


def _summary(to_build: LayoutToBuild) -> Safe:
    clubs = to_build.sheet.clubs
    busy = [c for c in clubs if c.minutes]
    stuck = [c.name for c in clubs if not c.feasible]
    hours, minutes = divmod(to_build.sheet.minutes, 60)
    figures = [
        ("clubs to work on", f"{len(busy)} of {len(clubs)}"),
        ("at the bench", f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"),
    ]
    if to_build.sheet.cure_hours:
        figures.append(("then let it cure", f"{to_build.sheet.cure_hours} h"))
    if stuck:
        said = note(
            p(tag("b", "Not all of it can be done with these heads: "), ", ".join(stuck), "."), warn=True
        )
    else:
        said = p(
            "All of it can be done with the heads there are, within the usual limits."
            if busy
            else "Nothing has to be changed."
        )
    return join(kpis(figures), said)


def _clubs(to_build: LayoutToBuild, system: str) -> Safe:
    rows, same = [], []
    for wanted, work in zip(to_build.wanted, to_build.sheet.clubs, strict=True):
        now = to_build.present[wanted.id]
        if not work.minutes and work.feasible and same_figures(now, wanted, system):
            same.append(now.name or now.id)
            continue
        hand = edits.by_hand(to_build.case, to_build.layout_id, now.id)
        cells: list[Any] = [join(now.name or now.id, tag("span", "set by hand", cls="mark") if hand else "")]
        for key, quantity in CLUB_KEYS.values():
            shown = unit(quantity, system)
            was, will = getattr(now, key), getattr(wanted, key)
            if shown.text(was) == shown.text(will):
                cells.append(shown.text(will))
            else:
                change = shown.text(will - was + shown.zero, sign=True)
                cells.append(stacked(shown.text(will), f"{shown.text(was)}, {change}"))
        before, after = work.swing_weight_before, work.swing_weight_after
        cells.append(after if before in (None, after) else stacked(after, before))
        todo: list[Any] = [
            tag("span", capital(x) + ".", cls="cannot") for x in phrases(work.problems, system)
        ]
        if work.problems and work.minutes:
            todo.append(tag("span", "Else as far as these go:", cls="idle"))
        cls = "todo" if work.minutes else "idle"
        todo += [tag("span", x, cls=cls) for x in phrases(work.actions, system)]
        if (
            now.bounce_deg is not None
            and work.bounce_after_deg is not None
            and wanted.loft_deg != now.loft_deg
        ):
            todo.append(
                tag(
                    "span",
                    f"bounce becomes {unit('angle', system).text(work.bounce_after_deg)}\u00b0",
                    cls="idle",
                )
            )
        cells.append(join(*todo))
        rows.append(cells)
    heads = [
        f"{label.capitalize()} ({unit(quantity, system).name})" for label, (_, quantity) in CLUB_KEYS.items()
    ]
    stay = p(tag("b", "Stay as they are: "), ", ".join(same), ".") if same else ""
    if not rows:
        return join(stay)
    return join(
        table(
            ["Club", *heads, "Swing weight", "Work"],
            rows,
            caption="Wanted in bold; under it what the club has now, and the change",
            words=[6],
            cards=True,
        ),
        stay,
    )


def same_figures(now: Club, wanted: Club, system: str) -> bool:
    """Whether every figure reads the same, so that there is nothing to show."""
    return all(
        unit(quantity, system).text(getattr(now, key)) == unit(quantity, system).text(getattr(wanted, key))
        for key, quantity in CLUB_KEYS.values()
    )


def _cautions(to_build: LayoutToBuild, system: str) -> Safe:
    """Each caution with the clubs it is about; those for all work once, after them."""
    if not to_build.sheet.cautions:
        return Safe("")
    parts: list[Any] = [h3("Before you begin")]
    for caution in to_build.sheet.cautions:
        about = [c.name for c in to_build.sheet.clubs if caution.id in c.work]
        head = tag("b", CAUTION_TITLES[caution.id])
        parts.append(
            p(head, f" ({', '.join(about)})" if about else "", ": ", phrase(caution.statement, system))
        )
    parts.append(p(tag("b", "First swings: "), "outdoors, where a head that comes off can hit nobody."))
    return note(*parts, warn=True)


def _lofts(to_build: LayoutToBuild, system: str) -> Safe:
    """Why lofts were changed: the carries or the gap asked for, and how near the heads come."""
    if to_build.lofts is None:
        return Safe("")
    names = {c.id: c.name or c.id for c in to_build.case.bag}
    gap = to_build.case.wants.gap_m
    said = (
        f"a gap of {amount(gap, 'gap', system)}"
        if gap and not to_build.case.wants.carries
        else "the carries asked for"
    )
    lines = [f"{names[c.club]}: {'; '.join(phrases(c.statements, system))}." for c in to_build.lofts.clubs]
    return join(h3("Lofts"), p(f"Bent towards {said}, as far as the heads allow."), bullets(lines))


def _lies(to_build: LayoutToBuild, system: str) -> Safe:
    """What the body would begin with, where it is not what is to be built."""
    told = lie_statement(to_build.body, than="planned") if to_build.body else None
    return p("By the body: ", phrase(told, system), cls="small") if told else Safe("")


def _parts(to_build: LayoutToBuild, system: str) -> Safe:
    if not to_build.sheet.parts:
        return Safe("")
    return join(h3("To have at hand"), bullets(phrases(to_build.sheet.parts, system)))


def _rules(to_build: LayoutToBuild, system: str) -> Safe:
    names = {c.id: c.name or c.id for c in to_build.case.bag}
    against = [f for f in to_build.rules.findings if not f.conforms]
    if not against:
        said = p(
            "Number of clubs, lengths, shaft angles and putter loft are within the limits that were checked."
        )
    else:
        said = note(
            bullets(
                f"{names[f.club] if f.club else 'Bag'}: {phrase(f.statement, system)} ({f.source})"
                for f in against
            ),
            warn=True,
        )
    return join(h3("Rules"), said, p(phrase(to_build.rules.note, system), cls="small"))


def all_cautions() -> Safe:
    """Every caution, for the page of methods."""
    return bullets(
        join(tag("b", f"{CAUTION_TITLES[c.id]}: "), phrase(c.statement, "metric")) for c in CAUTIONS.values()
    )
