"""What the body says of length, lie and grip: where a fitting starts."""

from __future__ import annotations

from app.markup import Safe, bullets, join, p, table
from app.measures import unit
from app.state import State
from app.words import engine_words
from engine.fitting.sections import body


def body_table(state: State) -> Safe:
    """Words, each iron and wedge, and what to check."""
    if state.case.player.height_m is None:
        return p("Type the height first.")
    system = state.units
    found = body(state.work)
    club = unit("club", system)
    rows = [
        [
            c.name or c.id,
            f"{club.text(c.present_length_m)}, {club.text(c.length_m)}",
            f"{c.present_lie_deg:.1f}, {c.lie_deg:.1f}",
            f"{c.lie_deg_90[0]:.1f} to {c.lie_deg_90[1]:.1f}",
            f"{c.hip_hinge_deg:.0f}\u00b0",
        ]
        for c in found.clubs
    ]
    return join(
        bullets(engine_words(text, system) for text in found.words),
        table(
            [
                "Club",
                f"Length now, begin with ({club.name})",
                "Lie now, begin with (\u00b0)",
                "lie, 90 % (\u00b0)",
                "hip hinge",
            ],
            rows,
            caption="To begin with, from the body; ball flight ends a fitting",
            cards=True,
        ),
        p("Check:"),
        bullets(engine_words(text, system) for text in found.check),
        p(engine_words(found.note, system), cls="small"),
    )
