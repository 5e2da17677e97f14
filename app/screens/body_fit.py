"""What the body says of length, lie and grip: where a fitting starts."""

from __future__ import annotations

from app.html import Safe, bullets, interval, join, p, stacked, table
from app.phrases import phrase, phrases
from app.phrases.body import begin_line
from app.phrases.layouts import set_titles
from app.screens.lies import lengths_left
from app.state import State
from app.units import unit

BY_LIES = (
    "body.lies",
    "body.lies_fit",
)  # said only where no lies follow from it: those to begin with, a board's or the flight's have words of their own


def body_table(state: State) -> Safe:
    """Words, each iron and wedge, and what to check."""
    if state.case.player.height_m is None:
        return p("Enter the height first.")
    system = state.units
    found = state.fitting.body
    lies = state.fitting.lies if state.result else ()
    by_body = {x for c in lies for x in c.known_by} == {"body"}
    told = [x for x in found.statements if x.kind not in BY_LIES or not any(c.known_by for c in lies)]
    made = set_titles(state.fitting, system)[state.fitting.layout.id] if state.result else "the present set"
    club, angle = unit("club", system), unit("angle", system)
    rows = [
        [
            c.name or c.id,
            stacked(club.text(c.length_m), f"from {club.text(c.present_length_m)}"),
            interval(
                angle, c.lie_deg, *c.lie_deg_90, f"from {unit('set_angle', system).text(c.present_lie_deg)}"
            ),
            f"{c.hip_hinge_deg:.0f}\u00b0",
        ]
        for c in found.clubs
    ]
    has_them = state.result and found.clubs and not lengths_left(state.fitting)
    lines = [
        *phrases(told, system),
        *(["This set has the lengths from the body already."] if has_them else []),
    ]
    return join(
        bullets([*lines, *([begin_line(lies, system)] if by_body else [])]),
        table(
            [
                "Club",
                f"Length ({club.name})",
                "Lie the stance asks for at that length (\u00b0), 90 % range",
                "hip hinge",
            ],
            rows,
            caption=(
                f"A starting point from body measures, beside the set you are building ({made}); ball flight "
                f"has the last word"
            ),
        ),
        p("Check:"),
        bullets(phrases(found.check, system)),
        p(phrase(found.note, system), cls="small"),
    )
