"""What the body says of length, lie and grip: where a fitting starts."""

from __future__ import annotations

from app.html import Safe, bullets, interval, join, p, stacked, table
from app.phrases import phrase, phrases
from app.phrases.layouts import set_titles
from app.state import State
from app.units import unit


def body_table(state: State) -> Safe:
    """Words, each iron and wedge, and what to check."""
    if state.case.player.height_m is None:
        return p("Type the height first.")
    system = state.units
    found = state.fitting.body
    made = (
        set_titles(state.fitting.own_layout, state.result, system)[state.fitting.layout.id]
        if state.result
        else "the bag"
    )
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
    return join(
        bullets(phrases(found.statements, system)),
        table(
            ["Club", f"Length ({club.name})", "Lie (\u00b0), 90 %", "hip hinge"],
            rows,
            caption=f"To begin with by the body, from what is to be built: {made}; ball flight ends a fitting",
        ),
        p("Check:"),
        bullets(phrases(found.check, system)),
        p(phrase(found.note, system), cls="small"),
    )
