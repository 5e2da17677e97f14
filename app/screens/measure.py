"""Step 1, Measure: body, what is known of the swing, and the present bag."""

from __future__ import annotations

from typing import Any

from app import bridge, demo, edits
from app.html import join, p
from app.phrases.lines import body_estimates
from app.players import is_blank, norm_bag
from app.plots.pictures import how_to_measure
from app.screens.bag import BagEditor
from app.screens.body_fit import body_table
from app.screens.lies import Lies
from app.widgets import (
    Choice,
    Fold,
    NumberField,
    Screen,
    TextField,
    button,
    html,
    line,
    put,
    show,
    stack,
)
from engine.documents.fields import PLAYER, SWING


class Measure(Screen):
    id, title = "measure", "Measure"
    head = (
        "Measure the player",
        "Height and wingspan, then a few balls with two clubs, are enough for a first answer.",
    )

    def build(self) -> list[Any]:
        state = self.state
        self.units = Choice(
            "Units",
            {"cm \u00b7 m": "metric", "in \u00b7 yd": "imperial"},
            lambda: state.units,
            state.set_units,
        )
        self.label = TextField("Name", lambda: state.case.player.label, self._named, most=120)
        self.height = self._player("Height", "body", "height_m")
        self.wingspan = self._player("Wingspan", "body", "wingspan_m")
        self.sex = Choice(
            "Typical sizes to start from",
            {"Not given": None, "Women\u2019s": "female", "Men\u2019s": "male"},
            lambda: state.case.player.sex,
            self._sex,
        )
        self.handed = Choice(
            "Plays",
            {"Right-handed": "right", "Left-handed": "left"},
            lambda: state.case.player.handed,
            lambda value: state.change(
                lambda case: edits.player("handed")(case, value), "left- or right-handed changed"
            ),
        )
        self.fields = [self.height, self.wingspan]
        self.norms_said = html()
        self.start = line(button("Look around with a made-up player", self._demo), cls="ends")
        self.estimates = html()
        self.more = Fold("More body measures", self._more)
        self.swing = Fold("What you know of the swing", self._swing)
        self.how = Fold("How to measure", lambda: html(how_to_measure()))
        self.fit_pane = html()
        self.fit = Fold(
            "Length, lie and grip from body measures", lambda: self.fit_pane, refresh=self._refresh_fit
        )
        self.lies = Lies(state)
        self.bag = BagEditor(state)
        return [
            self.start,
            stack(
                self.units.view,
                line(self.height.view, self.wingspan.view, cls="fields"),
                self.estimates,
                cls="sheet",
            ),
            stack(
                self.how.view,
                self.more.view,
                self.swing.view,
                self.fit.view,
                self.lies.fold.view,
                cls="sheet folds",
            ),
            stack(
                line(self.label.view, cls="wide-fields"),
                line(self.sex.view, self.handed.view),
                self.norms_said,
                cls="sheet",
            ),
            stack(self.bag.fold.view, cls="sheet folds"),
            line(button("Next: hit some balls", lambda: self.go("hit"), cls="main to-hit"), cls="ends"),
        ]

    def _player(self, label: str, quantity: str, name: str) -> NumberField:
        return NumberField(
            self.state,
            label,
            quantity,
            PLAYER[name],
            lambda case: getattr(case.player, name),
            edits.player(name),
        )

    def _more(self) -> Any:
        fields = [
            self._player("Wrist to floor", "body", "wrist_to_floor_m"),
            self._player("Hand length", "body", "hand_length_m"),
        ]
        self.fields += fields
        return stack(
            html(
                p(
                    "Leave these empty and they are estimated from height and wingspan; the uncertainty "
                    "of the estimate is allowed for."
                )
            ),
            line(*[f.view for f in fields], cls="fields"),
        )

    def _swing(self) -> Any:
        def field(label: str, quantity: str, name: str) -> NumberField:
            return NumberField(
                self.state,
                label,
                quantity,
                SWING[name],
                lambda case: getattr(case.swing, name),
                edits.swing(name),
            )

        fields = [
            field("Driver club speed", "speed", "driver_speed_mps"),
            field("7-iron club speed", "speed", "iron7_speed_mps"),
            field("Attack angle, driver (up is +)", "angle", "attack_deg"),
            field("Attack angle, 7-iron (up is +)", "angle", "iron7_attack_deg"),
        ]
        self.fields += fields
        return stack(
            html(p("All optional: your carries show most of it.")),
            line(*[f.view for f in fields], cls="fields"),
        )

    def _sex(self, value: str | None) -> None:
        self.state.change(lambda case: edits.sex(case, value), "typical sizes changed")
        stays = self.state.case.bag != norm_bag(value)
        said = (
            "You have changed the bag, so it stays as it is. To swap it, use \u201cPut the usual set back\u201d "
            "under The bag."
        )
        put(self.norms_said, p(said, cls="small") if stays else "")

    def _named(self, text: str) -> None:
        self.state.change(lambda case: edits.player("label")(case, text.strip()), "name changed")

    def _demo(self) -> None:
        self.state.add_player(demo.demo_case(), "made-up player opened")
        bridge.announce("A made-up player is open")
        self.go("layout")

    def refresh(self) -> None:
        show(self.start, is_blank(self.state.case))
        controls: list[Any] = [self.units, self.sex, self.handed, self.label, *self.fields]
        for control in controls:
            control.refresh()
        put(self.norms_said, "")
        put(self.estimates, self._estimates())
        self.bag.refresh()
        self._refresh_fit()
        self.lies.refresh()

    def early(self, what: str, text: str) -> None:
        """A text typed before the dashboard was there goes into its field, or to the units, as if typed now."""
        if what == "units" and text in self.units.widget.options.values():
            self.units.widget.value = text
        field = {"height": self.height, "wingspan": self.wingspan}.get(what)
        if field is not None:
            field.refresh()
            field.view.value = text[: field.view.max_length]

    def _refresh_fit(self) -> None:
        if self.fit.open:
            put(self.fit_pane, body_table(self.state))

    def _estimates(self) -> str:
        lines = body_estimates(self.state.case, self.state.units)
        if not lines:
            return ""
        return join(*[p(text, cls="small") for text in lines])
