"""The part of the methods page that shows measured figures: our error beside a ruler's, the ranges, and the checks."""

from __future__ import annotations

from typing import Any

from app.html import Safe, h3, join, p, table
from app.validation import FIGURES

ROWS = {
    "all": "All players: clubs never hit",
    "few": "Only one or two clubs hit",
    "even": "Four or six clubs hit, lofts evenly apart",
    "uneven": "Each club some 4 % off the line of the others",
    "single": "All players: a single-length set nobody has hit",
    "averages": "Circulated averages of tour players, three irons given",
}
TOPICS = {
    "aerodynamics": "Drag and lift",
    "air": "Air",
    "ball": "Another ball",
    "body": "Body measures and posture",
    "balance": "Swing weight, mass and lie of twelve clubs",
    "bounce": "Bounce",
    "clubs": "Usual clubs and head weights",
    "driver": "Driver",
    "fit": "Starting lengths and grips",
    "flight": "Ball flight",
    "gaps": "Gaps and lofts",
    "impact": "Impact",
    "inertia": "Moment of inertia",
    "lie": "Lie",
    "putter": "Putter",
    "putting": "Putting",
    "rules": "Rules of golf",
    "shaft": "Shaft flex and trimming",
    "statistics": "Statistics",
    "strike": "Off-centre strikes",
    "strokes": "Shots to hole out",
    "swing weight": "Swing weight",
    "woods": "Fairway woods and hybrids",
}
STANDINGS = {
    "read": "source read",
    "memory": "from memory",
    "derived": "worked out",
    "common practice": "common practice",
}


def how_far_off(figures: dict[str, Any] = FIGURES) -> Safe:
    """Both tables and how they were made."""
    return join(
        h3("How far off is it?"),
        p(
            f"Tested on {figures['players']:,} invented players whose ball flights do not come from this program, and on "
            "circulated averages of tour players. A few carries are given and the rest have to be found. The ruler is what "
            "you could do by hand: a straight line through the carries over loft."
        ),
        table(
            ["Players", "clubs", "Fettle: half, 9 in 10", "ruler: half, 9 in 10", "inside the 90 % range"],
            [_row(title, figures["ruler"][key]) for key, title in ROWS.items()],
            caption="Half the clubs, and nine in ten, are off by no more than this, in per cent of carry",
            words=[0],
            cards=True,
        ),
        p(
            "The formulas are checked against values from outside. A source was read, or recalled from memory; the "
            "value was "
            "worked out from a closed form or by another method; or it is common practice in the trade with no source."
        ),
        table(
            ["Topic", *STANDINGS.values()],
            [
                [TOPICS.get(topic, topic), *(str(counts.get(key, "\u2013")) for key in STANDINGS)]
                for topic, counts in figures["checks"].items()
            ]
            + [["All", *(str(sum(c.get(key, 0) for c in figures["checks"].values())) for key in STANDINGS)]],
            caption="Checks against outside values, by where the value comes from",
            words=[0],
            cards=True,
        ),
        p(
            "Players and balls were drawn by chance, the same ones each time, so that anyone can make these figures again.",
            cls="small",
        ),
    )


def _row(title: str, found: dict[str, Any]) -> list[str]:
    def errors(name: str) -> str:
        half, most = found[name]
        return f"{half:.1f}, {most:.1f}"

    return [title, f"{found['clubs']:,}", errors("ours"), errors("ruler"), f"{found['held']} %"]
