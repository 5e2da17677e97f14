"""The build sheet as markup and as plain cells: present against wanted, the work, and the cautions beside it."""

from __future__ import annotations

from typing import Any

from app import edits
from app.dates import today
from app.html import Safe, bullets, h2, h3, join, kpis, note, p, table, tag
from app.phrases import phrase, phrases
from app.phrases.body import GRIP_SIZES
from app.phrases.layouts import set_titles
from app.phrases.lines import lofts_line
from app.phrases.notes import CAUTION_TITLES
from app.phrases.say import bench_time, capital, listed, many
from app.phrases.workshop import then
from app.screens.bench import left_words
from app.units import amount, bench_length, unit
from engine.body.grip import grip_for
from engine.documents.case import SWING_WEIGHT, Club, Measured
from engine.fitting.fitting import Fitting
from engine.sets.lofts import LoftPlan
from engine.sets.plan import BUILT, ORDERED, set_by_hand
from engine.statements import Statement
from engine.workshop.balance import swing_weight_label
from engine.workshop.bending import BENDABLE, bent_so_far, history, limit_of
from engine.workshop.build_sheet import ClubWork
from engine.workshop.cautions import CAUTIONS
from engine.workshop.limits import LENGTH_LEFT_M, MOST_ADDED_KG, MOST_REMOVED_KG
from engine.workshop.sleeve import face_of
from engine.workshop.steps import MASS_STEP_KG, angle_step, whole_eighths

# what is built of a club: its label, its name in the documents and its quantity
CLUB_KEYS = {
    "length": ("length_m", "club"),
    "loft": ("loft_deg", "set_angle"),
    "lie": ("lie_deg", "set_angle"),
    "head": ("head_kg", "mass"),
}


STAY_AT_HOME = ("bag.too_many", "bag.no_farther")


class LayoutToBuild:
    """The layout to build: present and wanted clubs by id, the engine's sheet, and what the rules say."""

    def __init__(self, fitting: Fitting) -> None:
        self.case, self.layout_id = fitting.case, fitting.layout.id
        self.present = {c.id: c for c in fitting.case.bag}
        self.wanted = fitting.clubs
        self.sheet = fitting.build
        self.rules = self.sheet.rules
        self.grip = _grip(fitting)
        hand = set_by_hand(fitting.layout, fitting.case.bag)
        self.by_hand = any(names & {"loft_deg", "lie_deg"} for names in hand.values())
        self.lofts = fitting.lofts
        self.to_hit = [c.name for s in _told(fitting.lofts, "loft.unhit") for c in s.clubs]
        self.short = fitting.overtaken if self.layout_id == ORDERED else _short(fitting.lofts)
        self.begun = fitting.lies_begun if self.layout_id == ORDERED else frozenset()
        self.left = self.layout_id != ORDERED and bool(fitting.left_to_do)
        todo = [a for c in self.sheet.clubs for a in c.actions]
        self.measure_first = any(a.kind in ("work.measure_first", "work.measure_other") for a in todo)
        bends = any(a.kind == "work.bend_lie" or "lie" in a.quantities for a in todo)
        self.of_lies = fitting.lie_line.statements if bends and fitting.lies_taken else ()
        self.length_step, self.least_bend = fitting.length_step, fitting.least_bend
        self.one_job = fitting.one_job(fitting.clubs)
        self.stay_at_home = _stay_at_home(fitting) if self._too_many else ()

    @property
    def of_all(self) -> tuple[Statement, ...]:
        """What is said of all clubs together."""
        return (*self.stay_at_home, *self.one_job, *self.of_lies, *_told(self.lofts, *MISSED))

    @property
    def _too_many(self) -> bool:
        return any(f.statement.kind == "rule.club_count" and not f.conforms for f in self.rules.findings)


def left_so(to_build: LayoutToBuild, work: ClubWork, system: str) -> list[str]:
    """What of a club that was built stays other than ordered, with why; and that its lie is only a start, where that was
    made.
    """
    club, built = to_build.present[work.id], (BUILT, ORDERED)
    layouts = [x for x in to_build.case.layouts if x.id == BUILT and to_build.layout_id in built]
    told = [left_words(one, club, system) for x in layouts for one in x.as_is if one.club == work.id]
    made = work.id in to_build.begun and work.wanted.lie_deg == club.lie_deg
    return [*filter(None, told), *[START_MADE] * made]


START_MADE = "its lie is only a start: check it on a lie board, hitting real shots, before any more is bent"


def _short(lofts: LoftPlan | None) -> dict[str, tuple[Statement, ...]]:
    """What the plan of lofts says of each club that misses the carry asked for although its head was bent, and of each that
    is not bent before it, or another one, was hit."""
    missed = {c.id for s in _told(lofts, "loft.missed") for c in s.clubs}
    return {
        c.club: tuple(s for s in c.statements if s.kind in SHORT_OF)
        for c in (lofts.clubs if lofts else ())
        if c.club in missed or c.waits
    }


def _told(lofts: LoftPlan | None, *kinds: str) -> list[Statement]:
    """What a plan of lofts states of these kinds."""
    return [s for s in lofts.statements if s.kind in kinds] if lofts else []


MISSED = ("loft.missed", "loft.gap_not_met", "loft.unhit")
SHORT_OF = ("loft.head_stops", "loft.find_head", "loft.off", "loft.hit_first", "loft.waits")


def _stay_at_home(fitting: Fitting) -> tuple[Statement, ...]:
    """Which clubs stay at home, where there are more than may be carried, as the plan for the bag has it."""
    plan = fitting.make_up
    return () if plan is None else tuple(s for s in plan.statements if s.kind in STAY_AT_HOME)


def sheet_rows(to_build: LayoutToBuild, system: str) -> tuple[list[str], list[list[str]]]:
    """The sheet as plain text cells: present, wanted and change of each figure of each club, and the work."""
    head = ["Club"]
    for label, (_, quantity) in CLUB_KEYS.items():
        name = unit(quantity, system).name.replace("\u00b0", "deg")
        head += [f"{label} now ({name})", f"{label} now is", f"{label} wanted ({name})", f"{label} wanted is"]
        head += [f"{label} change ({name})", f"{label} as built ({name})"]
    head += [
        "swing weight now",
        "swing weight now is",
        "swing weight now \u00b1 (points)",
        "swing weight wanted",
        "swing weight wanted \u00b1 (points)",
        "swing weight as built",
        "bounce after (deg)",
        *TOLD,
    ]
    head += ["minutes", "set for this club", "wanted, but no firm order", "against the rules", "parts"]
    weight, length = unit("mass", system), unit("length_change", system)
    head += [f"{what} ({of.name})" for what, of in (("shaft", weight), ("grip", weight), ("tip cut", length))]
    head += [f"butt cut ({length.name})", "flex", "head material", "player", "date"]
    head += ["of the whole set", "order of work"]
    whole = [_cell(texts) for texts in (phrases(to_build.of_all, system), _steps(to_build, system))]
    rows = []
    for work in to_build.sheet.clubs:
        now, wanted = to_build.present[work.id], work.wanted
        row = [now.name or now.id]
        bases = {x.name: x.basis for x in work.now}
        built = edits.measured_of(to_build.case, now.id)
        for key, quantity in CLUB_KEYS.values():
            shown = unit(quantity, system)
            was, will = getattr(now, key), getattr(wanted, key)
            row += [shown.text(was), NOW[bases[key]], shown.text(will), _ordered(work, key, was != will)]
            by = shown.si(shown.read(will) - shown.read(was))
            row += [shown.text(by, sign=True), _as_built(built, key, system)]
        bounce = (
            unit("set_angle", system).text(work.bounce_after_deg) if work.bounce_after_deg is not None else ""
        )
        offs = (work.swing_weight_within, work.swing_weight_wanted_within)
        now_off, wanted_off = ("" if x is None else f"{x:.0f}" for x in offs)
        weight_is = NOW | {"ordered": WORKED_OUT}
        row += [work.swing_weight_before or "", weight_is[bases[SWING_WEIGHT]], now_off]
        row += [work.swing_weight_wanted, wanted_off]
        row += [_as_built(built, SWING_WEIGHT, system), bounce]
        row += [_cell(texts) for texts in told_of(to_build, work, system).values()]
        row.append(str(work.minutes))
        row.append("yes" if edits.by_hand(to_build.case, to_build.layout_id, now.id) else "")
        row.append(", ".join(label for label, (key, _) in CLUB_KEYS.items() if key in work.tentative))
        parts = [s for s in to_build.sheet.parts if any(c.id == work.id for c in s.clubs)]
        row += [_cell(phrases(x, system)) for x in (work.against_rules, parts)]
        made = (
            (weight, now.shaft_kg),
            (weight, now.grip_kg),
            (length, now.tip_trim_m),
            (length, now.butt_trim_m),
        )
        row += ["" if value is None else of.text(value) for of, value in made]
        row += [now.shaft_flex or "", now.head_material or "", to_build.case.player.label, today(), *whole]
        rows.append(row)
    return head, rows


def _cell(texts: list[str]) -> str:
    return "; ".join(texts).replace("\u00a0", " ").replace("\u00b0", " deg")


TOLD = {
    "cannot be done": "cannot",
    "look for": "todo",
    "then": "todo",
    "work": "todo",
    "take care": "cannot",
    "notes": "idle",
}
"""What is said of a club, in this order: the columns of the file, and how each is marked on the screen and on paper."""


def told_of(to_build: LayoutToBuild, work: ClubWork, system: str) -> dict[str, list[str]]:
    """All that is said of one club: screen, paper and file are made of this, so that none can leave out a line."""
    said = (
        phrases(work.problems, system),
        phrases(work.look_for, system),
        then(work.then, system),
        phrases(work.actions if work.feasible else (), system),
        phrases([s for s in work.notes if s.kind == "work.strained"], system),
        [
            *left_so(to_build, work, system),
            *phrases(to_build.short.get(work.id, ()), system),
            *phrases([s for s in work.notes if s.kind != "work.strained"], system),
        ],
    )
    return dict(zip(TOLD, said, strict=True))


def _ordered(work: ClubWork, key: str, changed: bool) -> str:
    """What stands beside a wanted figure in the file, which has no brackets: whether it is ordered, or only wished for."""
    if key in work.tentative or (changed and not work.feasible):
        return "no firm order"
    return "ordered" if changed else ""


def sheet(state: Any, to_build: LayoutToBuild) -> Safe:
    """The sheet on the screen and on paper."""
    system = state.units
    name = set_titles(state.fitting, system)[to_build.layout_id]
    return join(
        h2(f"{name}: {state.store.entry.name}"),
        _head(to_build),
        _summary(to_build, system),
        _clubs(to_build, system),
        _legend(to_build, system),
        _cautions(to_build, system),
        _order(to_build, system),
        _parts(to_build, system),
        _rules(to_build, system),
        tag("div", _lofts(to_build, system), _assumed(), cls="screen"),
        _signed(to_build),
    )


def _head(to_build: LayoutToBuild) -> Safe:
    """Who it is for, when it was made, and the grip for that hand."""
    lines = [("Date", today()), ("Plays", f"{to_build.case.player.handed}-handed"), ("Grip", to_build.grip)]
    facts = [
        tag("span", tag("span", name), tag("b", value))
        if value
        else tag("span", tag("span", name), tag("i", ""), cls="paper")
        for name, value in lines
    ]
    return tag("p", *facts, cls="facts")


def _grip(fitting: Fitting) -> str:
    """Size of grip to begin with, where hand or height is known."""
    player = fitting.case.player
    if player.hand_length_m is None and player.height_m is None:
        return ""
    grip = grip_for(player.hand_length_m, height_m=player.height_m, sex=player.sex)
    sizes = [GRIP_SIZES[size] for size in (grip.size, grip.also) if size]
    return listed(sizes, "or") + (" (hand length estimated)" if grip.estimated else "")


def _legend(to_build: LayoutToBuild, system: str) -> Safe:
    """The steps of the bench, and what stands for a measurement, as far as this sheet has it."""
    clubs = to_build.sheet.clubs
    bases = {x.basis for c in clubs for x in c.now if x.name in _QUANTITY}
    said = [f"{MARKS.get(basis, '')} {words}".strip() for basis, words in LEGEND.items() if basis in bases]
    if any(c.swing_weight_within is not None for c in clubs):
        said.append(SWING_WEIGHTS)
    if any(c.tentative for c in clubs):
        said.append(TENTATIVE)
    bends = ("work.bend_lie", "work.begin_lie")
    kinds = [{a.kind for a in c.actions} for c in clubs]
    if any("work.bend_loft" in told and told.intersection(bends) for told in kinds):
        said.append(EACH_ANGLE)
    if not any(c.minutes for c in clubs):
        return p(" ".join(said), cls="small") if said else Safe("")
    length, left = (bench_length(x, system) for x in (to_build.length_step, LENGTH_LEFT_M))
    angle = amount(angle_step(to_build.least_bend), "set_angle", system)
    steps = f"{length}, {angle} and {amount(MASS_STEP_KG, 'mass', system)}"
    typed = ", a loft or lie set by hand as typed" if to_build.by_hand else ""
    said.append(f"Figures are ordered in steps of {steps}{typed}; the work is what is left to get there.")
    said.append(f"A length that is off by {left} or less is left as it is.")
    said += [HOW_LONG, SCALE]
    return p(" ".join(said), cls="small")


MARKS = {"usual": "*", "ordered": "\u2020"}
"""What stands beside a figure that nobody has measured, on the screen and on paper."""
LEGEND = {
    "usual": "Usual: what such clubs usually have; nobody has measured it, so measure before you work.",
    "ordered": "As ordered: what the last sheet asked for; nobody has measured it since.",
    "estimated": "With \u00b1: an estimate, right to within that much nine times in ten.",
}
HOW_LONG = (
    "Length is measured along the back of the shaft, with the club soled at its lie: from the ground to the edge of the "
    "grip cap."
)
SCALE = "Swing weight is read on a balance whose fulcrum is 14 in from the butt."
TENTATIVE = "In brackets: wanted, but no firm order yet; the work on the club says what comes first."
EACH_ANGLE = "A head\u2019s bending limit holds for loft and for lie each, counted from how it came."
SWING_WEIGHTS = "Swing weights with \u00b1 (points) are calculated, since not every part was weighed."


def _assumed() -> Safe:
    most, least = (amount(mass, "mass", "metric") for mass in (MOST_ADDED_KG, MOST_REMOVED_KG))
    return p(
        "Swing weights are calculated unless one was read off a scale; where a shaft or grip has not been weighed, a "
        "typical mass is assumed. Minutes, bending limits and how much weight a head can take or lose "
        f"({most} and {least}) are common practice, without a published source.",
        cls="small",
    )


def _signed(to_build: LayoutToBuild) -> Safe:
    if all(c.feasible and not c.minutes for c in to_build.sheet.clubs):
        return Safe("")
    blanks = [join(tag("span", name), tag("i", "")) for name in ("Built by", "on", "Checked by", "on")]
    return tag("p", *blanks, cls="signed")


def _summary(to_build: LayoutToBuild, system: str) -> Safe:
    built = to_build.sheet
    busy = built.minutes > 0
    stuck = [c.name for c in built.clubs if not c.feasible]
    sought = any(c.look_for for c in built.clubs)
    now = "Clubs to work on now" if sought else "Clubs to work on"  # the others wait for their parts
    figures = [(now, str(built.worked_on))] if built.worked_on else []
    figures += [("Bench time", bench_time(built.minutes))] if busy else []
    wanting = (
        ("Only to measure", built.to_measure),
        ("New heads to find", built.to_find("head")),
        ("Likely new heads", built.to_find("head", likely=True)),
        ("New shafts to find", built.to_find("shaft")),
    )
    if built.cure_hours:
        figures.append(("Epoxy cures for", f"{built.cure_hours} h"))
    figures += [(words, str(count)) for words, count in wanting if count]
    missed = _told(to_build.lofts, *MISSED)
    strained = [c.name for c in built.clubs if any(s.kind == "work.strained" for s in c.notes)]
    said = []
    if strained:
        said.append(note(p(STRAINED_HEADS.format(listed(strained))), warn=True))
    if to_build.stay_at_home:
        said.append(note(p(" ".join(phrases(to_build.stay_at_home, system))), warn=True))
    if stuck:
        said.append(
            note(
                p(
                    tag("b", "No work is ordered for "),
                    listed(stuck),
                    ": the sheet says what each would need instead.",
                    " The bench time is without fitting new heads and shafts." if busy and sought else "",
                    tag(
                        "span",
                        " Once that is found and fitted, fill in its boxes \u201cas built\u201d.",
                        cls="paper",
                    ),
                ),
                warn=True,
            )
        )
    elif to_build.measure_first:
        words = "Some figures have to be measured first. Type them in, and a new sheet orders the work."
        said.append(p(words, cls="screen"))  # the order of work says so on paper
    elif (
        busy
        and not strained
        and not _head_stops(to_build.lofts)
        and all(s.kind != "loft.missed" for s in missed)
    ):
        said.append(p("All of this can be done with the present heads, within the usual limits."))
    said += [note(p(text)) for text in phrases(to_build.one_job, system)]
    said += [note(p(text), warn=True) for text in phrases(to_build.of_lies, system)]
    said += [p(text) for text in phrases(missed, system)]
    if not busy:
        return join(
            kpis(figures) if figures else "",
            p(
                LEFT
                if to_build.left
                else "There is nothing to do at the bench."
                if stuck or to_build.stay_at_home or to_build.one_job
                else "Nothing needs changing."
            ),
            *said,
        )
    return join(kpis(figures), *said)


STRAINED_HEADS = (
    "Bent past their usual limit before, or to and fro: {}. Bends add up in a head, there and back: look for cracks in the "
    "hosel before and after each bend, and find another head if there is any doubt."
)
LEFT = "This set is in the bag as it came out; what is left of the order stands under \u201cLeft to do\u201d."


def _head_stops(lofts: LoftPlan | None) -> bool:
    """Whether a head does not bend as far as the lofts that are asked for need it."""
    told = (s for c in lofts.clubs for s in c.statements) if lofts else ()
    return any(s.kind == "loft.head_stops" for s in told)


NOW = {"measured": "measured", "usual": "usual", "estimated": "estimated", "ordered": "as ordered"}
WORKED_OUT = "worked out"
MIXED = "now"
"""What a club's figures are called where they rest on different things."""
STRAINED = {"bend", "epoxy"}
"""Work that strains a hosel or makes a joint anew."""


def _clubs(to_build: LayoutToBuild, system: str) -> Safe:
    """Each club to work on with what was measured over what is wanted over a box for what comes of it; then those that stay
    as they are, and at last those for which something has to be found first.
    """
    rows: list[list[Any]] = []
    wait: list[list[Any]] = []
    same: list[list[Any]] = []
    for work in to_build.sheet.clubs:
        now = to_build.present[work.id]
        if not work.minutes and work.feasible:
            same.append(_as_it_is(now, work, system))
            continue
        hand = edits.by_hand(to_build.case, to_build.layout_id, now.id)
        name = join(now.name or now.id, tag("span", "set for this club", cls="mark") if hand else "")
        built = edits.measured_of(to_build.case, now.id)
        rests = _now(work)
        mixed = rests == MIXED
        measured = [] if rests == NOW["measured"] else [tag("span", "as measured", cls="box")]
        cells: list[Any] = [
            name,
            _lines(
                rests,
                "wanted",
                "as built",
                "\u00a0" * mixed,
                measured=measured,
                cls="lines" + " mixed" * mixed,
            ),
        ]
        for key, _ in CLUB_KEYS.values():
            was, will = getattr(now, key), getattr(work.wanted, key)
            found = _as_built(built, key, system)
            to = unit(_QUANTITY[key], system).text(will) if was == will else _wanted(key, will, system)
            figure = _figure(work, key, system)
            cells.append(
                _lines(
                    *_parted(mixed, *figure, to, found),
                    measured=_measured(figure, measured),
                    firm=key not in work.tentative,
                )
            )
        weighed = _as_built(built, SWING_WEIGHT, system)
        to = _about(work.swing_weight_wanted, work.swing_weight_wanted_within)
        figure = _swing_weight(work)
        cells.append(_lines(*_parted(mixed, *figure, to, weighed), measured=_measured(figure, measured)))
        cells.append(_made_of(now, system))
        told = told_of(to_build, work, system)
        told["cannot be done"] = [capital(x) + "." for x in told["cannot be done"]]
        todo = [tag("span", x, cls=TOLD[kind]) for kind, texts in told.items() for x in texts]
        cells.append(join(*todo))
        (rows if work.minutes else wait).append(cells)
    heads = [
        f"{label.capitalize()} ({unit(quantity, system).name})" for label, (_, quantity) in CLUB_KEYS.items()
    ]
    out: list[Any] = []
    busy = [w for w in to_build.sheet.clubs if w.minutes or not w.feasible]
    boxes = ONE_BOX if all(_now(w) == NOW["measured"] for w in busy) else IN_BOXES
    bases = {x.basis for w in busy for x in w.now}
    boxes += "".join(
        f" {mark} {NOW[basis]}, not measured." for basis, mark in MARKS.items() if basis in bases
    )
    columns = ["Club", "", *heads, "Swing weight", "Shaft, grip, head"]
    if rows:
        work_on = table(
            [*columns, "Work"], rows, caption=TO_CHANGE, words=[7, 8], cards=True, under=_column(rows, 7)
        )
        out += [p(f"{TO_CHANGE}: {boxes}", cls="paper"), tag("div", work_on, cls="change")]
    if same:
        stay = table(columns, same, caption="Leave these as they are", words=[7], cards=True)
        names = listed([str(cells[0]) for cells in same])
        out.append(tag("p", tag("b", "Leave these as they are: "), names, ".", cls="screen"))
        out.append(tag("div", stay, cls="paper"))
        notes = [
            f"{work.name}: {'; '.join(about)}"
            for work in to_build.sheet.clubs
            if work.feasible and not work.minutes and (about := told_of(to_build, work, system)["notes"])
        ]
        out += [p(f"{'. '.join(notes)}.", cls="small")] if notes else []
    if wait:
        out += [] if rows else [p(capital(boxes), cls="paper")]
        missing = [*columns, "What is missing"]
        waits = table(missing, wait, caption=TO_WAIT, words=[7, 8], cards=True, under=_column(wait, 7))
        out.append(tag("div", waits, cls="wait"))
    return tag("div", *out, cls="bench")


def _column(rows: list[list[Any]], place: int) -> list[Any]:
    return [row[place] for row in rows]


TO_CHANGE = "Clubs to change"
TO_WAIT = "No work is ordered for these yet"
IN_BOXES = "bold figures are wanted; fill in the boxes: as measured before the work and, below, as built."
ONE_BOX = "bold figures are wanted; fill in the boxes with what was built."


def _lines(
    now: str,
    wanted: str,
    built: str,
    said: str = "",
    *,
    measured: list[Safe],
    cls: str = "three",
    firm: bool = True,
) -> Safe:
    """The lines of a cell: what is, what that rests on where it is said, what is wanted, and boxes to fill in on paper: one
    for what is measured before the work, where not all of the club was measured, and one for what comes of it. A figure
    that was measured has no box of the first kind, but its room. What is wanted but no firm order stands in brackets.
    """
    rests = tag("span", said, cls="screen") if said else ""  # paper has a box for it instead
    spread = tag("span", f" {said}", cls="paper") if said.startswith("\u00b1") else ""
    aim = tag("b", wanted) if firm else tag("em", f"({wanted})")
    lines = (tag("span", now, spread), rests, *measured, aim, tag("span", built, cls="box"))
    return tag("span", *lines, cls=cls)


def _measured(figure: tuple[str, str, str], boxes: list[Safe]) -> list[Safe]:
    """A figure's box for what is measured before the work, where the club has such boxes: empty, or not needed."""
    return [tag("span", "", cls="box known" if figure[1] == "measured" else "box") for _ in boxes]


def _parted(mixed: bool, now: str, said: str, spread: str, wanted: str, built: str) -> tuple[str, ...]:
    """What goes into the lines of a cell: how far it may be off beside the figure, or below it in words where figures of a
    club rest on different things.
    """
    if mixed:
        return now, wanted, built, spread or said
    return f"{now} {spread}".strip(), wanted, built


def _wanted(key: str, value: float, system: str) -> str:
    """A target as the bench sets it: lengths in inches by the eighth, where they are cut so."""
    if key == "length_m" and system == "imperial" and whole_eighths(value):
        return unit("length_change", system).text(value)
    return unit(_QUANTITY[key], system).text(value)


_QUANTITY = dict(CLUB_KEYS.values())
_SPREAD = _QUANTITY | {"length_m": "body", "loft_deg": "angle", "lie_deg": "angle"}


def _as_built(built: Measured | None, key: str, system: str) -> str:
    """What was typed of a club at the bench, for its box; empty to be filled in by hand."""
    value = None if built is None else getattr(built, key)
    if value is None:
        return ""
    return (
        swing_weight_label(value) if key == "swing_weight_inoz" else unit(_QUANTITY[key], system).text(value)
    )


def _now(work: ClubWork) -> str:
    """What a club's figures rest on, where all rest on the same; each says it for itself where they do not."""
    bases = {x.basis for x in work.now if x.name in _QUANTITY}
    return NOW[bases.pop()] if len(bases) == 1 else MIXED


def _figure(work: ClubWork, key: str, system: str) -> tuple[str, str, str]:
    """A figure of a club as it is, marked where nobody measured it, what it rests on, and how far an estimate may be off."""
    found = next(x for x in work.now if x.name == key)
    text = unit(_QUANTITY[key], system).text(found.value) + MARKS.get(found.basis, "")
    off = f"\u00b1 {unit(_SPREAD[key], system).text(found.within)}" if found.basis == "estimated" else ""
    return text, found.basis, off


def _swing_weight(work: ClubWork) -> tuple[str, str, str]:
    """The swing weight in the same way."""
    basis = next(x.basis for x in work.now if x.name == SWING_WEIGHT)
    basis = WORKED_OUT if basis == "ordered" else basis  # from a reading of the club before it was changed
    within = work.swing_weight_within
    return work.swing_weight_before or "", basis, "" if within is None else f"\u00b1 {within:.0f}"


def _about(swing_weight: str, within: float | None) -> str:
    """A swing weight, with how far it may be off [points] where no scale showed it."""
    return swing_weight if within is None or not swing_weight else f"{swing_weight} \u00b1 {within:.0f}"


def _as_it_is(club: Club, work: ClubWork, system: str) -> list[Any]:
    told = [_figure(work, key, system) for key, _ in CLUB_KEYS.values()]
    figures = [f"{now} {off}".strip() for now, _, off in told]
    weight = _about(work.swing_weight_after, work.swing_weight_within)
    return [club.name or club.id, _now(work), *figures, weight, _made_of(club, system, cls="made row")]


def _made_of(club: Club, system: str, *, cls: str = "made") -> Safe:
    """Shaft, grip and head as far as they are known, with blanks to fill in by hand for what is not, and how far the head
    bends from how it came."""
    blank = tag("i", "")
    mass, length = unit("mass", system), unit("length_change", system)
    flex, shaft, tip, grip = club.shaft_flex, club.shaft_kg, club.tip_trim_m, club.grip_kg
    parts: list[Any] = [
        join("flex ", flex or blank),
        join("shaft ", mass.text(shaft, unit=True) if shaft is not None else blank),
        join("tip ", length.text(tip, unit=True) if tip is not None else blank),
        join("grip ", mass.text(grip, unit=True) if grip is not None else blank),
    ]
    if club.sleeve_deg is not None:
        parts.append(f"sleeve {unit('set_angle', system).text(club.sleeve_deg, unit=True, sign=True)}")
    if club.sleeve_deg:
        angle, closed = unit("angle", system), face_of(club)
        parts.append(f"plays {angle.text(club.played_loft_deg, unit=True)}")
        parts.append(f"face {angle.text(abs(closed), unit=True)} {'closed' if closed > 0 else 'open'}")
    if club.family in BENDABLE:
        parts.append(join("head ", club.head_material or blank, f", {bends(club, system)}"))
    if club.butt_trim_m:
        way = "butt cut" if club.butt_trim_m > 0 else "butt extended"
        parts.append(f"{way} {length.text(abs(club.butt_trim_m), unit=True)}")
    known = any(x is not None for x in (flex, shaft, tip, grip, club.sleeve_deg, club.head_material))
    return tag("span", *[tag("span", part) for part in parts], cls=cls if known else f"{cls} blank")


def bends(club: Club, system: str) -> str:
    """How far a head bends from how it came, and how much of that is used: bends add up."""
    limit, shown = limit_of(club), unit("set_angle", system)
    used = []
    for name, what in (("loft_deg", "loft"), ("lie_deg", "lie")):
        bent = abs(bent_so_far(club, name))
        if bent > limit + 1e-9:
            used.append(f"already bent {shown.text(bent, unit=True)} in {what}")
        elif bent:
            share = "all" if bent > limit - 1e-9 else shown.text(bent, unit=True)
            used.append(f"{share} of it used in {what}")
        most, total = history(club, name)
        if total > bent + 1e-6:  # there and back
            used.append(
                f"bends in {what} of {shown.text(total, unit=True)} in all, {shown.text(most, unit=True)} at most"
            )
    return ", ".join([f"bends {shown.text(limit, unit=True)}", *used])


def _order(to_build: LayoutToBuild, system: str) -> Safe:
    steps = [tag("li", text) for text in _steps(to_build, system)]
    return join(h3("Order of work"), tag("ol", *steps)) if steps else Safe("")


def _steps(to_build: LayoutToBuild, system: str) -> list[str]:
    """The work in the order of the bench; before it, which clubs are to be hit."""
    unhit = f"the lofts that hang on them are not bent yet: {listed(to_build.to_hit)}."
    first = [f"Hit these, the most needed first; {unhit}"] if to_build.to_hit else []
    return [*first, *phrases(to_build.sheet.order, system)]


def _cautions(to_build: LayoutToBuild, system: str) -> Safe:
    """Each caution with the clubs it is about; those for all work once, after them."""
    if not to_build.sheet.cautions:
        return Safe("")
    parts: list[Any] = [h3("Before you begin")]
    now = [c for c in to_build.sheet.clubs if c.worked_on]
    ever = [c for c in to_build.sheet.clubs if c.worked_on or c.work_then]
    for caution in to_build.sheet.cautions:
        concerned = [c for c in to_build.sheet.clubs if caution.id in (*c.work, *c.work_then)]
        about = [c.name for c in concerned]
        if concerned == ever and len(ever) > MANY:
            about = ["all clubs to work on" + ", now or once the parts are there" * (ever != now)]
        head = tag("b", CAUTION_TITLES[caution.id])
        said = phrase(caution.statement, system)
        bent = [c for c in to_build.sheet.clubs if caution.id == "bend" and "bend" in c.work]
        if any(to_build.present[c.id].head_material is None for c in bent if c.id in to_build.present):
            said += UNKNOWN_HEAD
        parts.append(p(head, f" ({', '.join(about)})" if about else "", ": ", said))
    if any(STRAINED & {*c.work, *c.work_then} for c in to_build.sheet.clubs):
        parts.append(p(tag("b", "First swings: "), "outdoors, where nobody can be hit if a head comes off."))
    return note(*parts, warn=True)


UNKNOWN_HEAD = " Where the head\u2019s material is not known, find it out first: cast heads bend little."
MANY = 3  # clubs; more are named one by one only where others are not meant


def _lofts(to_build: LayoutToBuild, system: str) -> Safe:
    """Why lofts were changed, how near the heads come, and the gaps that come of it."""
    if to_build.lofts is None:
        return Safe("")
    names = {c.id: c.name or c.id for c in to_build.case.bag}
    lines = [f"{names[c.club]}: {'; '.join(phrases(c.statements, system))}." for c in to_build.lofts.clubs]
    return join(
        h3("Lofts"),
        p(lofts_line(to_build.case, system, to_build.lofts)),
        bullets(lines),
        lofts_give(to_build.lofts, system),
    )


def lofts_give(found: LoftPlan, system: str) -> Safe:
    """The gaps that the lofts to build give, and the clubs that miss what is asked of them."""
    each = "; ".join(phrase(s, system) for s in found.statements if s.kind == "loft.gap")
    parts = [phrase(s, system) for s in found.statements if s.kind != "loft.gap"]
    return p(" ".join([*parts[:1], f"{each}.", *parts[1:]])) if parts else Safe("")


def _parts(to_build: LayoutToBuild, system: str) -> Safe:
    if not to_build.sheet.parts:
        return Safe("")
    wanted = to_build.sheet.parts
    lines = []
    for (kind, need), what in TO_FIND.items():
        found = phrases([s for s in wanted if s.kind == kind and s.terms.get("need", "") == need], system)
        if found:  # on one line, for paper
            lines.append(f"{many(len(found), what)} to find: {'; '.join(found)}")
    rest = phrases([s for s in wanted if s.kind not in ("parts.head", "parts.shaft")], system)
    on_screen = tag("div", bullets([*lines, *rest]), cls="screen")
    on_paper = tag("div", p("; ".join([*lines, *rest]), "."), cls="paper")
    return tag("div", h3("Parts you will need"), on_screen, on_paper, cls="parts")


TO_FIND = {
    ("parts.head", ""): "head",
    ("parts.head", "likely"): "likely head",
    ("parts.shaft", ""): "shaft",
}


def _rules(to_build: LayoutToBuild, system: str) -> Safe:
    names = {c.id: c.name or c.id for c in to_build.case.bag}
    against = [f for f in to_build.rules.findings if not f.conforms]
    if not against:
        said = p("Number of clubs, lengths, shaft angles and putter loft are within the limits checked here.")
    else:
        said = note(
            bullets(
                f"{names[f.club] if f.club else 'Bag'}: {phrase(f.statement, system)} ({f.source})"
                for f in against
            ),
            warn=True,
        )
    # on paper the cautions say so
    return join(h3("Rules"), said, p(phrase(to_build.rules.note, system), cls="small screen"))


def all_cautions() -> Safe:
    """Every caution, for the page of methods."""
    return bullets(
        join(tag("b", f"{CAUTION_TITLES[c.id]}: "), phrase(c.statement, "metric")) for c in CAUTIONS.values()
    )
