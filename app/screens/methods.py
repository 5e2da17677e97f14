"""Methods, sources, limits and cautions; and how the page looks."""

from __future__ import annotations

from typing import Any

import engine
from app.html import bullets, h2, h3, join, note, p, table
from app.phrases.glossary import GLOSSARY
from app.phrases.swing import PARAMETERS
from app.screens.how_far_off import how_far_off
from app.screens.sheet import all_cautions
from app.units import amount, unit
from app.widgets import Choice, Fold, Screen, html, put, stack
from engine.units import INCH


class Methods(Screen):
    id, title = "methods", "Methods and settings"
    head = ("Methods and settings", "")

    def build(self) -> list[Any]:
        state = self.state
        self.looks = [
            Choice(
                "Colours",
                {"Same as device": "auto", "Light": "light", "Dark": "dark"},
                lambda: state.store.theme,
                lambda v: state.set_look(theme=v),
            ),
            Choice(
                "Contrast",
                {"Normal": "normal", "High, for sunlight": "high"},
                lambda: state.store.contrast,
                lambda v: state.set_look(contrast=v),
            ),
            Choice(
                "Text size",
                {"Normal": "normal", "Larger": "large"},
                lambda: state.store.size,
                lambda v: state.set_look(size=v),
            ),
        ]
        self.learned, self.made = html(), html()
        self.started = html()
        self.words = Fold("Words of the trade", lambda: html(glossary()))
        self.fold = Fold(
            "What was learned about this swing", lambda: self.learned, refresh=self._refresh_learned
        )
        return [
            stack(html(h2("Appearance")), *[c.view for c in self.looks], cls="sheet"),
            stack(self.made, self.started, cls="sheet"),
            stack(self.words.view, self.fold.view, cls="sheet folds"),
        ]

    def _refresh_learned(self) -> None:
        result = self.state.result
        if not self.fold.open or result is None:
            return
        speed = unit("speed", self.state.units)
        rows = []
        for q in result.calibration.parameters:
            name, *values = q.plainly
            if name == "m/s":
                name, values = speed.name, [(speed.shown(mean), speed.shown(sd)) for mean, sd in values]
            rows.append([PARAMETERS.get(q.name, q.name), *map(_give_or_take, values), name])
        put(
            self.learned,
            join(
                p("Mean and standard deviation before and after your shots."),
                table(["Quantity", "before", "after", "unit"], rows, caption="Swing and ball", words=[0]),
            ),
        )

    def refresh(self) -> None:
        for choice in self.looks:
            choice.refresh()
        put(self.made, methods_page(self.state.units))
        put(self.started, p(self.state.started) if self.state.started else "")
        self._refresh_learned()


def _give_or_take(value: Any) -> str:
    """Mean and standard deviation, to what the second can bear."""
    mean, sd = (0.0 if abs(x) < 1e-4 else x for x in value)
    return f"{mean:.3g} \u00b1 {sd:.2g}".replace("-", "\u2212")


def methods_page(system: str = "metric") -> Any:
    """How everything is worked out, in words and in these units."""
    return join(
        h2("How the numbers are made"),
        p(
            "In short: your shots show how you deliver a club, physics predicts what another club would do with the same "
            "swing, and the differences between clubs are more certain than any single figure."
        ),
        h3("Your shots"),
        p(
            "The carries of each club are averaged robustly (Huber, 1964): a shot far from the others is set aside, "
            "shown, and "
            "can be included again. The 90 % range uses Student\u2019s t, with the usual spread of such shots counted as if "
            "six of them had shown it, so two shots that happen to agree do not look more certain than they are. "
            "Carries are "
            "not converted: each is modelled in the air it was hit in, and indoor shots in standard air. Only where "
            "sessions differ in their conditions are their carries first brought to standard air. Where there are several "
            "sessions, what a day does to all clubs alike is estimated beside the player\u2019s own carries (about 2.6 % of "
            "carry from day to day to begin with; common practice, no source). A session without noted weather may be "
            "another 3 % off: what published effects make of a light breeze and a few degrees. With a single "
            "session day and player cannot be told apart: its carries are those of that day, and of its air where no "
            "weather was noted. "
            "Predictions are for "
            "the weather chosen under Play, otherwise for standard air: 20 \u00b0C or 68 \u00b0F, sea level, half humidity, "
            "no wind."
        ),
        h3("Flight"),
        p(
            "The ball is a point with drag, lift and spin that decays, followed through the air in small steps (Runge and "
            "Kutta) in three dimensions. The wind is that of a weather report, alike all along the flight: trees and rough "
            "ground take off low down what it gains with height. Published coefficients (Bearman and "
            "Harvey, 1976; "
            "Smits and Smith, 1994) differ by up to a tenth in carry, so your own carries set the level and the model is "
            "trusted for the differences."
        ),
        h3("Impact"),
        p(
            "Club and ball meet as rigid bodies (Daish, 1972). The ball leaves between the direction of the swing and the "
            "direction of the face, faster the more squarely it is hit. Its spin comes from rolling or slipping on "
            "the face, "
            "times a factor for the kind of club."
        ),
        h3("Swing"),
        p(
            "Club speed depends on length, head weight and effort separately. In an ordinary set all three change "
            "together, so "
            "shots with it cannot tell them apart: the effect of length stays uncertain until you hit shots gripped down or "
            "with clubs of another length."
        ),
        h3("From club to club"),
        p(
            "Carry changes smoothly with loft, and each club may be a little off that line. How far yours are is "
            "learned from "
            "your shots: clubs that agree narrow the ranges, clubs that contradict each other widen them. A club "
            "whose shots "
            "suit its neighbour better is pointed out. The line goes with the loft into every other set, so sets "
            "differ only "
            "by length and head weight."
        ),
        h3("How certain"),
        p(
            "All unknowns are fitted together with what is known beforehand, and a few hundred possible versions of "
            "your swing "
            "are carried through everything. Bars and brackets show the 90 % range; a chance is the share of those "
            "versions. "
            "Layouts are compared version by version. Under Play, each club is also left out in turn and predicted from the "
            "others."
        ),
        how_far_off(),
        h3("Body"),
        p(
            "Measures you leave out are estimated by regression from the public survey of United States Army personnel "
            "(ANSUR II, 2012), with segment lengths after Drillis and Contini (1966). Soldiers are younger and fitter than "
            "most people, so measure where you can. The figure at address is a jointed drawing, not a scan."
        ),
        h3("Common practice, without a published source"),
        bullets(
            [
                "Usual lengths, lofts, lies and head weights of a set; 7 g and 1\u00b0 of lie for each "
                f"{amount(0.5 * INCH, 'grip', system)} of length.",
                "How far heads can be bent; 40\u00b0 of descent for a ball to stop on a green; "
                f"{amount(4.0, 'carry', system)} as the smallest "
                "gap worth "
                "a club.",
            ]
        ),
        h3("Limits"),
        bullets(
            [
                "We know of no peer-reviewed study that compares single-length with stepped sets; the comparison "
                "here rests on "
                "physics and your own shots.",
                "Body measures are where a fitting starts; ball flight has the last word. Only full swings with irons and "
                "wedges are compared.",
                "Under Play the chances for a distance are about distance only; those for a green count balls that miss it "
                "left or right too.",
            ]
        ),
        h3("Cautions"),
        note(all_cautions(), warn=True),
        h3("Where your data are"),
        p(
            "On this device only. Nothing is sent anywhere; a link or a file holds a player only when you send it. The "
            "browser may delete what is stored if you do not open the page for a while, so keep a file."
        ),
        p(f"Version {engine.__version__}.", cls="small"),
    )


def glossary() -> Any:
    """Words of the trade, each with a plain sentence."""
    return table(
        ["Word", "What it means"],
        [list(pair) for pair in GLOSSARY.items()],
        caption=("Words of the trade"),
        words=[0, 1],
    )
