"""Lies: a mark from a lie board, what flight and body say, and one button that takes them into every set."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app import bridge, edits
from app.html import Safe, interval, join, note, p, stacked, table
from app.phrases import phrases
from app.phrases.body import begin_line
from app.phrases.layouts import set_titles
from app.phrases.say import listed
from app.state import State
from app.units import amount, unit
from app.widgets import Choice, Fold, NumberField, button, html, line, put, show, stack
from engine.documents.case import Case, Club
from engine.documents.fields import CLUB
from engine.fitting.fitting import Fitting
from engine.sets.lies import ClubLie
from engine.sets.plan import ORDERED, planned
from engine.workshop.bending import limit_of
from engine.workshop.steps import ANGLE_STEP_DEG, angle_step, length_matters

SOURCES = {"board": "lie board", "flight": "ball flight", "body": "body"}


class Lies:
    """Beside what the body says: where the sole was marked, and the lies that follow."""

    def __init__(self, state: State) -> None:
        self.state, self.club_id = state, ""
        self.fold = Fold("Lies from a board, ball flight or the body", self._build, refresh=self.refresh)

    def _build(self) -> Any:
        self.pick = Choice(
            "Club on the lie board", self._clubs(), lambda: self.club_id, self._pick, listed=True
        )
        self.mark = NumberField(
            self.state,
            "Mark toward the heel",
            "length_change",
            CLUB["lie_mark_m"],
            lambda case: None if self._club is None else self._club.lie_mark_m,
            lambda case, value: edits.club(self.club_id, "lie_mark_m")(case, value),
        )
        self.said, self.done = html(), html()
        self.done_for: Case | None = None
        self.take = line(
            button("Take these lies into every set", self._lies, cls="main"),
            button("Take lies and lengths", self._both),
        )
        self.leave = line(button("Leave the lies as they are", self._leave, cls="quiet"))
        return stack(
            html(
                p(
                    "Hit off a lie board and enter how far its mark lies from the middle of the sole: toward the heel is "
                    "plus, toward the toe minus. Balls that came with a side count by themselves. What was read before a "
                    "club was bent still counts: the bend changed the club, not the player."
                )
            ),
            line(self.pick.view, self.mark.view, cls="fields"),
            self.said,
            self.take,
            self.leave,
            self.done,
        )

    @property
    def _club(self) -> Club | None:
        return next((c for c in self.state.case.bag if c.id == self.club_id), None)

    def _clubs(self) -> dict[str, str]:
        """The irons and wedges, and those as they were before a build that were marked then."""
        bag = [c for c in self.state.case.bag if c.became is None or c.lie_mark_m is not None]
        irons = [c for c in bag if c.family in ("iron", "wedge")]
        if self.club_id not in {c.id for c in irons}:
            self.club_id = next((c.id for c in irons if c.id == "7i"), irons[0].id if irons else "")
        out: dict[str, str] = {}
        for club in irons:
            name = club.name or club.id
            out[name if name not in out else f"{name} [{club.id}]"] = club.id
        return out or {"\u2013": ""}

    def _pick(self, club_id: str) -> None:
        self.club_id = club_id
        self.mark.forget()

    def _lies(self) -> None:
        if self.state.fitting.lie_line.told and self._change(
            lambda case: edits.lies(case, True), "lies taken"
        ):
            self._say("Every set takes these lies")

    def _both(self) -> None:
        if not self.state.fitting.lie_line.told:
            return
        lengths = lengths_left(self.state.fitting)
        was = self.state.fitting.layout.id
        if not self._change(
            lambda case: edits.fitted_lengths(edits.lies(case, True), lengths), "lies and lengths taken"
        ):
            return
        now = self.state.fitting.layout.id
        said = "the set to build has the lengths from the body"
        if now != was:
            name = set_titles(self.state.fitting, self.state.units)[now]
            said = f"a new set, \u201c{name}\u201d, has the lengths from the body and is now the set to build"
        elif not lengths:
            said += " already"
        self._say(f"Every set takes these lies; {said}")

    def _leave(self) -> None:
        if self._change(lambda case: edits.lies(case, False), "lies left as they are"):
            self._say("The lies stay as they are")

    def _change(self, edit: Callable[[Case], Case], what: str) -> bool:
        return self.state.change(edit, what) and self.state.result is not None

    def _say(self, said: str) -> None:
        self.done_for = self.state.case
        put(self.done, p(f"{said}. See the sheet under Build."))
        bridge.announce(said)

    def refresh(self) -> None:
        if not self.fold.open or self.state.result is None:
            return
        fitting = self.state.fitting
        if self.done_for != fitting.case:  # it was said of this player, and of nothing done since
            put(self.done, "")
        self.pick.refresh(self._clubs())
        self.mark.refresh()
        show(self.leave, fitting.case.wants.lies is not None)
        put(self.said, lies_table(fitting, self.state.units))


def lengths_left(fitting: Fitting) -> dict[str, float]:
    """Lengths from the body by club, of those for which the set to build is off by more than is left at the bench."""
    if not fitting.body_known:
        return {}
    return {c.id: c.length_m for c in fitting.body.clubs if length_matters(c.length_m - c.present_length_m)}


def _with_lengths(fitting: Fitting) -> dict[str, tuple[ClubLie, float]]:
    """Of each club the lie that goes with the lengths from the body, and that length; none where they change nothing."""
    left = lengths_left(fitting)
    try:
        case = edits.fitted_lengths(edits.lies(fitting.case, True), left)
    except edits.Refused:
        return {}
    layout = next((x for x in case.layouts if x.id == case.wants.layout), None)
    if not left or layout is None:
        return {}
    lengths = {c.id: c.length_m for c in planned(layout, case)}
    return {c.id: (c, lengths[c.id]) for c in fitting.lies_offered(layout)}


def lies_table(fitting: Fitting, system: str) -> Safe:
    """The lie of each iron and wedge of the set to build: now, what suits, and what is built, as the sheet orders it; where
    the body asks for other lengths, also what is built with those.
    """
    found = fitting.lies
    if not found:
        return p("There are no irons or wedges in the bag.")
    angle, whole = unit("angle", system), unit("set_angle", system)
    asked = fitting.lies_taken or fitting.layout.id == ORDERED
    sheet = {w.id: w.wanted.lie_deg for w in fitting.build.clubs} if asked else {}
    longer = _with_lengths(fitting) if fitting.lie_line.told else {}
    club = unit("club", system)
    verb = "begin" if fitting.lie_line.by_body else "bend"
    rows: list[list[Any]] = []
    for c in found:
        lie = sheet.get(c.id, c.lie_deg)
        ends = [c.present_deg + x for x in c.change_deg_90]
        suits = interval(angle, c.present_deg + c.change_deg, *ends) if fitting.lie_line.told else "\u2013"
        bend = "another head" if c.another_head else whole.text(lie - c.present_deg, sign=True)
        if "lie_deg" in dict(fitting.case.club(c.id).estimated):
            bend = "measure first"
        source = ", ".join(SOURCES[x] for x in c.known_by) or "the other clubs"
        row: list[Any] = [c.name, whole.text(c.present_deg), suits, whole.text(lie), bend]
        if longer:
            other, length = longer[c.id]
            row.append(stacked(whole.text(other.lie_deg), f"at {club.text(length, unit=True)}"))
        rows.append([*row, source])
    title = set_titles(fitting, system)[fitting.layout.id]
    return join(
        p(_lead(found, system)),
        *[note(p(text), warn=True) for text in phrases(fitting.lie_line.statements, system)],
        table(
            [
                "Club",
                "Lie now (\u00b0)",
                "best guess (\u00b0), 90 % range",
                f"{verb} {'at' if verb == 'begin' else 'to'} (\u00b0)",
                f"{verb} by (\u00b0)",
                *[f"with the lengths, {verb} {'at' if verb == 'begin' else 'to'} (\u00b0)"] * bool(longer),
                "from",
            ],
            rows,
            caption=f"Lies to build: {title}",
            cards=True,
        ),
        p(_steps(fitting, system), cls="small"),
        p(_lengths(fitting, bool(longer)), cls="small") if fitting.lie_line.told else Safe(""),
    )


def _steps(fitting: Fitting, system: str) -> str:
    """How a best guess becomes a bend: the step, the least and the most of it, and that the set stays even."""
    start = fitting.lie_line.by_body
    step, least = (
        amount(x, "set_angle", system)
        for x in (ANGLE_STEP_DEG if start else angle_step(fitting.least_bend), fitting.least_bend)
    )
    heads = [fitting.case.club(c.id) for c in fitting.lies]
    limits = sorted({limit_of(head) for head in heads})
    most = listed([amount(x, "set_angle", system) for x in limits], "or")
    material = ", by its material" if len(limits) > 1 else ""
    how = f"Each lie moves by steps of {step}" if start else f"Each lie goes to the nearest {step}"
    return (
        f"{how}, in bends of {least} or more, never past the best guess by more than half a "
        f"step. No head is bent further than {most} from how it came{material}. Clubs of one length get one lie, shorter "
        "ones no flatter a lie, as far as the heads allow."
    )


def _lengths(fitting: Fitting, differ: bool) -> str:
    """What the lengths from the body do to the set to build."""
    if not fitting.body_known:
        return "For lengths, enter the height or the wrist to floor."
    if differ:
        return "Lies go with lengths: \u201cTake lies and lengths\u201d bends to the column \u201cwith the lengths\u201d."
    return "This set has the lengths from the body already."


def _lead(found: tuple[ClubLie, ...], system: str) -> str:
    sources = {x for c in found for x in c.known_by}
    if not sources:
        return "Nothing says yet which lies suit: enter the height, a mark, or balls with a side."
    if sources != {"body"}:
        told = [SOURCES[x] for x in ("board", "flight") if x in sources]
        return (
            f"By {' and '.join(told)}; the body no longer counts. The lies follow one line over the set; a club leaves it "
            "only where its own reading is plainly off."
        )
    if any(c.started for c in found) and not any(c.bend_deg for c in found):
        return "These are still the lies to begin with: check them with a lie board or balls with a side."
    return begin_line(found, system)
