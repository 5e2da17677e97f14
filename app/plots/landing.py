"""Where the balls of one club came down, seen from above, as a small picture that takes a tap."""

from __future__ import annotations

import math
from collections.abc import Sequence

from app.html import Safe
from app.plots.pictures import circle, line, svg, text
from app.units import amount, unit
from engine.documents.case import Shot
from engine.sets.dispersion import ENOUGH, Pattern

WIDE, HIGH, FOOT = 300.0, 190.0, 24.0


def half_width(shots: Sequence[Shot], system: str) -> float:
    """What the picture shows to either side [m]: 20 m or yd, more where balls went further."""
    shown = unit("carry", system)
    most = max((abs(s.side_m) for s in shots if s.side_m is not None), default=0.0)
    return shown.si(10 * max(2, math.ceil(1.15 * shown.shown(most) / 10)))


def landing_picture(shots: Sequence[Shot], found: Pattern | None, ringed: Shot | None, system: str) -> Safe:
    """Balls with a side as dots, one ringed, the ellipse of nine in ten and, once it is known, what that may be at most."""
    half = half_width(shots, system)
    scale = WIDE / 2 / half
    known = [s for s in shots if s.use and s.side_m is not None and s.carry_m is not None]
    middle = found.carry_m if found else ringed.carry_m if ringed and ringed.carry_m else 0.0

    def at(carry: float, side: float) -> tuple[float, float]:
        return WIDE / 2 + side * scale, HIGH / 2 - (carry - middle) * scale

    body = f'<clipPath id="ground"><rect width="{WIDE:g}" height="{HIGH:g}"/></clipPath><g clip-path="url(#ground)">'
    body += line(WIDE / 2, 4, WIDE / 2, HIGH - 4, colour="var(--edge)", dash="5 5")
    if found and found.half_axes_m:
        x, y = at(found.carry_m, found.side_m.mean)
        turn = math.degrees(found.turn_rad)
        largest = [(found.spread[1], "4 4")] * (found.balls >= ENOUGH)
        for factor, dash in [(1.0, ""), *largest]:
            long, short = (max(factor * h * scale, 1.0) for h in found.half_axes_m)
            body += (
                f'<ellipse cx="{x:.1f}" cy="{y:.1f}" rx="{short:.1f}" ry="{long:.1f}" fill="none" '
                f'stroke="var(--accent)" stroke-width="2" stroke-dasharray="{dash}" '
                f'transform="rotate({turn:.1f} {x:.1f} {y:.1f})"/>'
            )
    for shot in known:
        body += circle(*at(shot.carry_m or 0.0, shot.side_m or 0.0), 3.5, fill="var(--ink)", width=0)
    if ringed is not None and ringed in known:
        body += circle(*at(ringed.carry_m or 0.0, ringed.side_m or 0.0), 8)
    body += "</g>"
    edge = amount(half, "carry", system)
    body += text(2, HIGH + 16, f"{edge} left", colour="var(--faint)")
    body += text(WIDE / 2, HIGH + 16, "line", anchor="middle", colour="var(--faint)")
    body += text(WIDE - 2, HIGH + 16, f"{edge} right", anchor="end", colour="var(--faint)")
    words = f"{len(known)} balls of this club from above"
    return svg(WIDE, HIGH + FOOT, body, words, most="26rem")
