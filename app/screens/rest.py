"""The rest of the bag: what the engine's sections say of driver, woods, the top of the irons, the make-up, ball, putter."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app import edits
from app.html import Safe, bullets, interval, join, p, stacked, table
from app.phrases import percent, phrase, phrases
from app.phrases.layouts import set_titles
from app.phrases.lines import lofts_line
from app.phrases.marks import Marks
from app.phrases.say import NOT_KNOWN, capital
from app.phrases.tally import launch_line
from app.plots.driver import DriverPlot, driver_line, driver_table
from app.plots.frame import Picture
from app.screens.tables import legend
from app.state import State
from app.units import amount, unit
from app.widgets import Fold, NumberField, html, line, put, show, stack
from engine.documents.case import BallSpin
from engine.documents.fields import BALL, WANTS
from engine.fitting.best_bag import CHANGE_WORTH_M
from engine.fitting.fitting import Fitting


class RestOfTheBag:
    """Folds, each made and filled when opened; numbers are those of the fitting."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.panes: dict[str, Any] = {}
        self.driver_plot: DriverPlot | None = None
        self.folds = {
            "driver": Fold("Driver", self._driver, refresh=lambda: self._fill("driver")),
            "irons_stop": self._plain("Where the irons stop", "irons_stop"),
            "woods": self._plain("Fairway woods and hybrids", "woods"),
            "make_up": Fold("Which clubs to carry", self._make_up, refresh=lambda: self._fill("make_up")),
            "ball": Fold("Another ball", self._ball, refresh=lambda: self._fill("ball")),
            "putter": self._plain("Putter", "putter"),
        }
        self.fields: dict[str, list[NumberField]] = {}
        self.which = html()
        self.view = stack(self.which, *[f.view for f in self.folds.values()], cls="sheet folds")

    def _plain(self, label: str, name: str) -> Fold:
        def build() -> Any:
            self.panes[name] = html()
            return self.panes[name]

        return Fold(label, build, refresh=lambda: self._fill(name))

    def _driver(self) -> Any:
        self.driver_plot = DriverPlot()
        self.driver_picture = Picture("driver", "Driver", self.driver_plot.view)
        self.panes["driver"] = html()
        return stack(self.driver_picture.view, self.panes["driver"])

    def _ball(self) -> Any:
        def field(label: str, name: str) -> NumberField:
            return NumberField(
                self.state,
                label,
                "percent",
                BALL[name],
                lambda case: getattr(case.wants.ball or BallSpin(), name),
                edits.ball(name),
                needed=True,
            )

        self.fields["ball"] = [
            field("Spin off the driver", "driver_spin"),
            field("Spin off the wedges", "wedge_spin"),
        ]
        self.panes["ball"] = html()
        return stack(
            html(
                p(
                    "How much another ball spins compared with yours, which is 100 %. Once spin has been measured, and both "
                    "are left at 100 %, your ball is compared with a typical one."
                )
            ),
            line(*[f.view for f in self.fields["ball"]], cls="fields"),
            self.panes["ball"],
        )

    def _make_up(self) -> Any:
        worth = NumberField(
            self.state,
            "A new club must bring at least",
            "gap",
            WANTS["change_worth_m"],
            lambda case: CHANGE_WORTH_M if case.wants.change_worth_m is None else case.wants.change_worth_m,
            edits.wants("change_worth_m"),
        )
        self.fields["make_up"] = [worth]
        self.panes["make_up"] = html()
        return stack(self.panes["make_up"], line(worth.view, cls="fields"))

    def _fill(self, name: str) -> None:
        if not self.folds[name].open or self.state.result is None:
            return
        found_in, said = PARTS[name]
        found = found_in(self.state.fitting)
        if found is None:
            put(self.panes[name], p("Not available: there is no such club in the bag."))
            return
        if name == "driver" and self.driver_plot is not None:
            known = self.state.fitting.driver_known and self.state.fitting.launch_known
            show(self.driver_picture.view, known)
            if known:
                self.driver_plot.update(found)
            self.driver_picture.say(
                p(driver_line(found, self.state.units)), driver_table(found, self.state.units)
            )
        for item in self.fields.get(name, ()):
            item.refresh()
        put(self.panes[name], said(self.state, found))

    def refresh(self) -> None:
        put(self.which, self._which())
        for name in self.folds:
            self._fill(name)

    def _which(self) -> Safe:
        """Whose clubs these folds speak of: those of the set to build, which need not be the one looked at above."""
        result, fitting, system = self.state.result, self.state.fitting, self.state.units
        if result is None:
            return Safe("")
        title = set_titles(fitting, system)[fitting.layout.id]
        bent = lofts_line(fitting.case, system, fitting.lofts)
        return p(f"All of this is for the set to build: {title}. {bent}", cls="small")


def _interval(value: Any, quantity: str, system: str, mark: str = "") -> Safe:
    return interval(unit(quantity, system), value.mean, value.lo90, value.hi90, mark=mark)


def _signed(degrees: float) -> str:
    return unit("angle", "metric").text(degrees, unit=True, sign=True)


def _said(found: Any, system: str) -> Safe:
    return bullets(capital(text) for text in phrases(found.statements, system))


def _driver_said(state: State, found: Any) -> Safe:
    system = state.units
    if not state.fitting.driver_known:
        return _said(found, system)
    effects = [
        [
            phrase(x.what, system),
            _signed(x.launch_deg),
            unit("spin", system).text(round(x.spin_rpm, -1), sign=True),
            _interval(x.carry_m, "gap", system),
        ]
        for x in found.effects
    ]
    length = state.fitting.driver_length
    more = join(_said(length, system), p(phrase(length.note, system), cls="small")) if length else Safe("")
    club = state.fitting.driver_club
    measured = launch_line(state.fitting.case, club.id, system) if club else ""
    return join(
        p(measured) if measured else "",
        _said(found, system),
        table(
            ["Change", "launch", "spin (rpm)", f"carry ({unit('gap', system).name}), 90 % range"],
            effects,
            caption="The effect of each change on its own; away from the middle of the face you lose ball speed too",
            words=[0],
        )
        if state.fitting.launch_known
        else "",
        more,
    )


def _irons_said(state: State, found: Any) -> Safe:
    system = state.units
    names = {c.id: c.name or c.id for c in state.fitting.case.bag}
    marks = Marks(state.fitting)
    rows = [
        [
            names.get(x.club, x.club),
            _interval(x.carry_m, "carry", system, marks("", x.club)),
            "\u2013" if x.adds_m is None else unit("gap", system).text(x.adds_m.mean),
            percent(x.chance_holds),
            percent(x.chance_useful),
        ]
        for x in found.irons
    ]
    name = unit("carry", system).name
    return join(
        _said(found, system),
        table(
            ["Club", f"carry ({name})", f"extra carry ({name})", "stops on a green", "useful"],
            rows,
            caption=(
                "Each iron: carry beyond the next shorter one, and the chances that its ball stops on a green "
                "and that it is worth carrying"
            ),
        ),
        legend(marks),
    )


def _woods_said(state: State, found: Any) -> Safe:
    system = state.units
    name = unit("carry", system).name
    first, marks = state.fitting.hit_first, Marks(state.fitting)
    rows = [
        [
            x.club.name if x.in_bag else stacked(x.club.name or x.club.id, "not in the bag"),
            *(
                (NOT_KNOWN, "", "")
                if x.club.id in first
                else (
                    _interval(x.carry_m, "carry", system, marks("", x.club.id) if x.in_bag else ""),
                    f"{x.descent_deg:.0f}\u00b0",
                    percent(x.chance_holds),
                )
            ),
        ]
        for x in found.woods
    ]
    return join(
        _said(found, system),
        table(
            ["Club", f"carry ({name})", "descent", "stops on a green"],
            rows,
            caption="Woods and hybrids, with the chance that the ball comes down steeply enough to stop on a green",
            words=[0],
        ),
        legend(marks),
        p(phrase(found.note, system), cls="small") if told_of_shafts(found) else "",
    )


def told_of_shafts(found: Any) -> bool:
    """Whether the advice on woods says anything of shafts."""
    return any(s.kind == "woods.shaft" for s in found.statements)


def _make_up_said(state: State, found: Any) -> Safe:
    system = state.units
    name = unit("gap", system).name
    marks = Marks(state.fitting)
    tee = {c.id for c in state.fitting.case.bag if c.family == "driver"}
    rows = [
        [
            x.name if x.in_bag else stacked(x.name, "to be added"),
            NOT_KNOWN
            if x.hit_first
            else _interval(x.carry_m, "carry", system, marks("", x.id) if x.in_bag else ""),
            "" if x.hit_first or x.id in tee else unit("gap", system).text(x.dropping_m),
        ]
        for x in found.carried
    ]
    count = len(found.carried) + found.putters
    room = "" if count >= found.clubs_most else f" ({found.clubs_most} may be carried)"
    said = f"With {count} clubs, {found.putters} of them a putter{room}, you are on average "
    said += f"{amount(found.miss_m.mean, 'gap', system)} from the nearest club"
    if (found.changes or found.drops) and found.present_miss_m is not None:
        said += f"; with the present bag {amount(found.present_miss_m.mean, 'gap', system)}"
    return join(
        _said(found, system),
        p(said + "."),
        table(
            ["Club", f"carry ({unit('carry', system).name})", f"farther off without it ({name})"],
            rows,
            caption=(
                "The bag to carry, longest first, and how much farther you would be from the nearest club, on "
                "average, without each one"
            ),
            words=[0],
        ),
        legend(marks),
        p(
            "The driver is for the tee, not for a distance from the fairway, so it has no figure here.",
            cls="small",
        )
        if tee & {x.id for x in found.carried}
        else "",
        _next_best(state, found),
    )


def _next_best(state: State, found: Any) -> Safe:
    """The changes that come nearest to being worth it."""
    if not found.next_best:
        return Safe("")
    system = state.units
    names = {c.id: c.name for c in (*found.carried, *found.left_out)}

    def figures(x: Any) -> tuple[str, str]:
        return unit("gap", system).text(x.gain_m.mean, sign=True), percent(x.chance_better)

    rows = [
        [
            f"{names[x.buy]} for the {names[x.instead_of]}" if x.instead_of else names[x.buy],
            *((NOT_KNOWN, "") if x.hit_first else figures(x)),
        ]
        for x in found.next_best
    ]
    return table(
        ["Change", f"closer by ({unit('gap', system).name})", "chance that it is closer"],
        rows,
        caption="Next best: what one more change would bring. None of these is worth it yet",
        words=[0],
    )


def _ball_said(state: State, found: Any) -> Safe:
    system = state.units
    if not found.clubs:
        return _said(found, system)
    name = unit("gap", system).name
    rows = [
        [
            x.club.name or x.club.id,
            _interval(x.carry_change_m, "gap", system),
            _signed(x.descent_change_deg.mean),
            "\u2013" if x.run_change_m is None else unit("gap", system).text(x.run_change_m.mean, sign=True),
        ]
        for x in found.clubs
    ]
    return join(
        _said(found, system),
        table(
            ["Club", f"carry ({name})", "descent", f"run ({name})"],
            rows,
            caption="Change with the other ball",
        ),
    )


def _putter_said(state: State, found: Any) -> Safe:
    system = state.units
    club, fit = unit("club", system), found.fit
    rows: list[list[Any]] = []
    if state.fitting.body_known:
        ends = [club.text(x) for x in fit.length_m_90]
        rows.append(["Length", club.text(fit.length_m, unit=True), " to ".join(dict.fromkeys(ends))])
        rows.append(["Lie", f"{fit.lie_deg:.1f}\u00b0", " to ".join(f"{x:.1f}" for x in fit.lie_deg_range)])
    if state.fitting.stroke_known:
        lofts = " to ".join(f"{x:.1f}" for x in fit.loft_deg)
        rows.append(["Loft", f"{found.recommended_loft_deg:.1f}\u00b0", lofts])
    return join(
        _said(found, system),
        table(["Putter", "start with", "range"], rows, caption="A putter to start with") if rows else "",
        p(phrase(found.note, system), cls="small"),
    )


PARTS: dict[str, tuple[Callable[[Fitting], Any], Callable[[State, Any], Safe]]] = {
    "driver": (lambda fitting: fitting.driver, _driver_said),
    "irons_stop": (lambda fitting: fitting.irons_stop, _irons_said),
    "woods": (lambda fitting: fitting.woods, _woods_said),
    "make_up": (lambda fitting: fitting.make_up, _make_up_said),
    "ball": (lambda fitting: fitting.ball, _ball_said),
    "putter": (lambda fitting: fitting.putter, _putter_said),
}
"""Each fold: the part of the fitting it shows, and what it says of it."""
