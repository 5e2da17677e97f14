"""The player at address as a linked figure: each layout's longest iron, middle iron and shortest wedge."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from app import styles
from app.html import Safe, join, p, stacked, table
from app.plots.pictures import circle, line, svg, text
from app.units import unit
from engine.body.posture import address
from engine.documents.case import Case
from engine.documents.result import ClubResult, Result
from engine.statistics import Interval

SCALE = 130.0  # drawing units a metre
WIDTH, HEIGHT = 190.0, 318.0


def address_pictures(
    case: Case, result: Result, names: dict[str, str], system: str
) -> tuple[Safe, Safe, Safe]:
    """The drawing, its line of words and its table; says what is missing if height is not known."""
    if case.player.height_m is None:
        missing = p("Type the player\u2019s height under Measure to see the posture each club asks for.")
        return missing, Safe(""), Safe("")
    drawings: list[str] = []
    by: dict[str, dict[str, Safe]] = {}
    called: dict[str, str] = {}
    for number, (layout, colour) in enumerate(zip(result.layouts, styles.SERIES, strict=False)):
        clubs = _three([c for c in layout.clubs if c.family in ("iron", "wedge")])
        if not clubs:
            continue
        at = address(
            height_m=case.player.height_m,
            wingspan_m=case.player.wingspan_m,
            wrist_to_floor_m=case.player.wrist_to_floor_m,
            sex=case.player.sex,
            length_m=[c.length_m for c in clubs],
            lie_deg=[c.lie_deg for c in clubs],
        )
        drawings.append(
            f'<g transform="translate({number % 2 * WIDTH} {number // 2 * HEIGHT})">'
            f"{_drawing(at, clubs, colour, names[layout.id], case)}</g>"
        )
        for i, club in enumerate(clubs):
            called[club.id] = club.name or club.id
            hands = unit("body", system).text(float(at.hands_height_m[i]))
            toe = unit("angle", system).text(float(at.toe_up_deg[i]), unit=True, sign=True)
            by.setdefault(club.id, {})[layout.id] = stacked(
                f"{at.hip_hinge_deg[i]:.0f}\u00b0", f"hands {hands}", f"toe {toe}"
            )
    spread = [
        f"{names[x.id]} {changes.mean:.0f}\u00b0"
        for x in result.layouts
        if isinstance(changes := x.summary.get("posture_spread_deg"), Interval)
    ]
    words = (
        "Longest iron (solid), middle iron (dashed) and shortest wedge (dotted) at address; the ring is the hip, "
        "the cross-line the height of the hands."
    )
    if spread:
        words += " Hip hinge changes through the set by: " + ", ".join(spread) + "."
    across, down = min(len(drawings), 2), (len(drawings) + 1) // 2
    title = f"Figures at address. {words}"
    body = "".join(drawings)
    drawing = svg(
        WIDTH * max(across, 1), HEIGHT * max(down, 1), body, title, most=f"{19 * max(across, 1)}rem"
    )
    rows = [[called[i], *[cells.get(x, "\u2013") for x in names]] for i, cells in by.items()]
    return (
        drawing,
        join(
            p(words),
            p("A drawing, not a scan; pain means stop, and ask a licensed professional.", cls="small"),
        ),
        table(
            ["Club", *names.values()],
            rows,
            caption=f"Hip hinge, height of hands ({unit('body', system).name}) and toe up, as each club asks for",
        ),
    )


def _three(clubs: list[ClubResult]) -> list[ClubResult]:
    if len(clubs) < 4:
        return clubs
    return [clubs[0], clubs[len(clubs) // 2], clubs[-1]]


def _drawing(at: Any, clubs: list[ClubResult], colour: str, title: str, case: Case) -> str:
    flip = -1.0 if case.player.handed == "left" else 1.0

    def xy(name: str, i: int) -> tuple[float, float]:
        x, y = at.joints[name][:, i]
        return WIDTH / 2 + flip * (float(x) * SCALE - 45), 290 - float(y) * SCALE

    parts = [line(6, 290, WIDTH - 6, 290, colour="var(--edge)")]
    for i in range(len(clubs)):
        faint = "var(--ink)" if i == 0 else "var(--faint)"
        dash = ("", "7 4", "2 4")[i]
        chain = ["toe", "heel", "ankle", "knee", "hip", "shoulder", "hands"]
        for a, b in pairwise(chain):
            parts.append(line(*xy(a, i), *xy(b, i), colour=faint, width=3 if i == 0 else 1.6, dash=dash))
        parts.append(line(*xy("shoulder", i), *xy("head", i), colour=faint, width=1.6, dash=dash))
        parts.append(
            circle(*xy("head", i), 13, fill="var(--sheet)", colour=faint, width=3 if i == 0 else 1.6)
        )
        parts.append(line(*xy("butt", i), *xy("ball", i), colour=colour, width=3 if i == 0 else 2, dash=dash))
        x, y = xy("hands", i)
        parts.append(circle(x, y, 4, colour=colour, fill=colour))
        bx, _ = xy("ball", i)
        parts.append(circle(bx, 286, 4, colour=colour, fill="var(--sheet)"))
        if i != 1:
            parts.append(line(x - 14, y, x + 14, y, colour=colour, width=1))
    hx, hy = xy("hip", 0)
    parts.append(circle(hx, hy, 6, colour=colour, width=2))
    parts.append(text(WIDTH / 2, 311, title, size=13, anchor="middle"))
    return "".join(parts)
