"""The carry card as a picture, for a phone without a printer."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from app.html import Safe
from app.plots.pictures import line, svg, text

WIDE, STEP = 360.0, 30.0
RANGE = "90 %: where the mean carry lies; single balls scatter more."


@dataclass(frozen=True, slots=True)
class Card:
    """What stands on a carry card, in words; ``rows`` are club, carry and its 90 % range, empty where the club is to be hit
    first, and ``parts`` the same of part swings; ``unhit`` and ``parts_unhit`` say which of these nobody has hit,
    ``one_job`` which clubs carry alike.
    """

    player: str
    day: str
    set_: str
    air: str
    unit: str
    rows: tuple[tuple[str, str, str], ...]
    doubt: str = ""
    unhit: str = ""
    one_job: str = ""
    parts: tuple[tuple[str, str, str], ...] = ()
    parts_unhit: str = ""


def card_picture(card: Card) -> Safe:
    """Player, day, set and air above club and carry, one below the other."""
    small = [
        w
        for words in (
            card.day,
            card.set_,
            card.air,
            RANGE,
            card.doubt,
            card.one_job,
            card.unhit or card.parts_unhit,
        )
        for w in textwrap.wrap(words, 52)
    ]
    body = text(16, 32, textwrap.shorten(card.player, 34, placeholder="\u2026"), size=20)
    y = 34.0
    for words in small:
        y += 18
        body += text(16, y, words, colour="var(--faint)")
    y += 30
    body += text(16, y, "Club", colour="var(--faint)") + text(
        250, y, f"carry ({card.unit})", anchor="end", colour="var(--faint)"
    )
    body += text(WIDE - 16, y, "90 %", anchor="end", colour="var(--faint)")
    for name, carry, ends in (*card.rows, *card.parts):
        body += line(16, y + 9, WIDE - 16, y + 9, colour="var(--edge)", width=1)
        y += STEP
        body += text(16, y, textwrap.shorten(name, 24, placeholder="\u2026"), size=17)
        body += text(250, y, carry, size=22 if ends else 15, anchor="end")
        body += text(WIDE - 16, y, ends, size=15, anchor="end", colour="var(--faint)")
    words = f"Carry card of {card.player}: " + ", ".join(
        f"{name} {carry}" for name, carry, _ in (*card.rows, *card.parts)
    )
    return svg(WIDE, y + 20, body, words, most="26rem")
