"""Methods, sources, limits and cautions; and how the page looks."""

from __future__ import annotations

from typing import Any

import engine
from app.html import bullets, h2, h3, join, note, p, table
from app.phrases.swing import PARAMETERS
from app.screens.sheet import all_cautions
from app.widgets import Choice, Fold, Screen, heading, html, put, stack


class Methods(Screen):
    id, title = "methods", "Methods and looks"

    def build(self) -> list[Any]:
        state = self.state
        self.looks = [
            Choice(
                "Colours",
                {"As the device": "auto", "Light": "light", "Dark": "dark"},
                lambda: state.store.theme,
                lambda v: state.set_look(theme=v),
            ),
            Choice(
                "Contrast",
                {"Usual": "normal", "High, for sunlight": "high"},
                lambda: state.store.contrast,
                lambda v: state.set_look(contrast=v),
            ),
            Choice(
                "Type",
                {"Usual": "normal", "Larger": "large"},
                lambda: state.store.size,
                lambda v: state.set_look(size=v),
            ),
        ]
        self.learned = html()
        self.started = html()
        self.fold = Fold(
            "What was learned of this swing", lambda: self.learned, refresh=self._refresh_learned
        )
        return [
            heading("Methods and looks"),
            stack(html(h2("How it looks")), *[c.view for c in self.looks], cls="sheet"),
            stack(html(methods_page()), self.started, cls="sheet"),
            stack(self.fold.view, cls="sheet folds"),
        ]

    def _refresh_learned(self) -> None:
        result = self.state.result
        if not self.fold.open or result is None:
            return
        rows = [
            [
                PARAMETERS.get(q.name, q.name),
                _give_or_take(q.prior),
                _give_or_take(q.posterior),
                q.unit,
            ]
            for q in result.calibration.parameters
        ]
        put(
            self.learned,
            join(
                p("Before any ball, and after yours: mean and standard deviation."),
                table(["What", "before", "after", "unit"], rows, caption="Swing and ball", words=[0]),
            ),
        )

    def refresh(self) -> None:
        for choice in self.looks:
            choice.refresh()
        put(self.started, p(self.state.started) if self.state.started else "")
        self._refresh_learned()


def _give_or_take(value: Any) -> str:
    """Mean and standard deviation, to what the second can bear."""
    mean, sd = (0.0 if abs(x) < 1e-4 else x for x in value)
    return f"{mean:.3g} \u00b1 {sd:.2g}".replace("-", "\u2212")


def methods_page() -> Any:
    """The whole reckoning in words."""
    return join(
        h2("How the numbers are made"),
        p(
            "From body and balls to a set, in one line: the balls say how you deliver a club; the "
            "physics says what another "
            "club would do in the same hands; the differences are surer than the numbers themselves."
        ),
        h3("Your balls"),
        p(
            "Each club\u2019s carries are summed up robustly (Huber, 1964): a ball far short of or "
            "beyond the others is set aside, "
            "shown, and can be taken in again. The interval is Student\u2019s t at 90 %, with the usual spread of such "
            "balls mixed in as if six of them had shown it: so two balls that happen to agree do not look surer than "
            "they are. Carries are not converted: each is modelled in the air it was hit in, one hit indoors in "
            "reference air. Predictions are for the air chosen under Play, or else for reference air: "
            "20 \u00b0C or 68 \u00b0F, sea level, half humidity, no wind."
        ),
        h3("Flight"),
        p(
            "A ball is a point with drag, lift and decaying spin, stepped by Runge and Kutta\u2019s "
            "method in three dimensions, with "
            "wind that grows with height. Published sets of coefficients (Bearman and Harvey, 1976; "
            "Smits and Smith, 1994) differ "
            "by up to a tenth in carry: so your own carries are the anchor, and the model is trusted for "
            "differences."
        ),
        h3("Strike"),
        p(
            "Club and ball meet as rigid bodies (Daish, 1972): the ball leaves between the path and the "
            "face, faster the more "
            "squarely, with spin from rolling or slipping on the face, times a factor for the kind of club."
        ),
        h3("Swing"),
        p(
            "Head speed follows length, head mass and intent separately. Along an ordinary set all three "
            "change together, so "
            "balls hit with it cannot tell them apart: what a change of length does stays honestly wide "
            "until balls are hit "
            "gripped down or with re-lengthened clubs."
        ),
        h3("From club to club"),
        p(
            "Carries lie on a smooth line over loft, and each club may stand a little off it. How far "
            "yours do is learned from "
            "your balls: clubs that agree draw the bars together, clubs that contradict one another push "
            "them apart. A club whose "
            "balls fit its neighbour better is pointed out. The line goes with the loft into every other "
            "set, so that sets differ by length and head mass alone."
        ),
        p(
            "Held against a ruler: on 1,632 invented players whose flights do not come from this program, "
            "clubs never hit were 1.4 % off in the median and less than 4.9 % off nine times in ten; a "
            "straight line through the same balls, 1.6 and 7.2 %. With one or two clubs hit it was 2.0 "
            "against 3.4 %, and for a single-length set 1.4 against 2.4 %. With four clubs hit or more of "
            "an even set, a ruler on the page does about as well. The bars, meant for nine in ten, held 96 %; "
            "83 % where every club stood some 4 % off the line."
        ),
        h3("How sure"),
        p(
            "All unknowns are fitted together with what is known beforehand, and a few hundred draws of "
            "what is left open go "
            "through everything. Bars and brackets hold nine draws in ten; a chance is the share of "
            "draws. Layouts are compared "
            "draw by draw. Each club is also left out and predicted from the others, on the Play step, "
            "for all to see."
        ),
        h3("Body"),
        p(
            "What is not measured is estimated by regression on the public survey of United States Army "
            "personnel (ANSUR II, 2012) "
            "and segment shares after Drillis and Contini (1966). Soldiers are younger and fitter than "
            "most: measure where you can. "
            "The figure at address is a linked drawing, not a scan."
        ),
        h3("Common practice, no source"),
        bullets(
            [
                "Usual lengths, lofts, lies and head masses of a set; 7 g and 1\u00b0 of lie for each "
                "half inch of length.",
                "How far heads can be bent; 40\u00b0 of descent to hold a green; 4 m as the least gap "
                "worth a club.",
            ]
        ),
        h3("Limits"),
        bullets(
            [
                "No peer-reviewed study that compares single-length with stepped sets is known to us; "
                "the comparison here is "
                "physics and your own balls.",
                "Measures of a standing body start a fitting; ball flight ends it. Only irons, wedges "
                "and full swings are compared.",
                "Misses to the side are not part of the chances on the Play step.",
            ]
        ),
        h3("Cautions"),
        note(all_cautions(), warn=True),
        h3("Where your data are"),
        p(
            "On this device only. Nothing is sent anywhere; the link and the file carry a case when you "
            "send them. The browser may "
            "delete what is kept if you do not open the page for a while: keep a file."
        ),
        p(f"Version {engine.__version__}.", cls="small"),
    )
