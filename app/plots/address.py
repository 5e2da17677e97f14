"""The player at address as a linked figure: each layout's longest iron, middle iron and shortest wedge."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from app import look
from app.markup import Safe, join, p, table
from app.measures import unit
from app.plots.pictures import circle, line, svg, text
from engine.body.posture import address
from engine.case import Case

SCALE = 130.0  # drawing units a metre


def address_figures(case: Case, result: dict[str, Any], names: dict[str, str], system: str) -> Safe:
    """Drawings side by side, a line of words and a table; says what is missing if height is not known."""
    if case.player.height_m is None:
        return p("Type the player\u2019s height under Measure to see the posture each club asks for.")
    drawings: list[str] = []
    rows = []
    for layout, colour in zip(result["layouts"], look.SERIES, strict=False):
        clubs = _three([c for c in layout["clubs"] if c["family"] in ("iron", "wedge")])
        if not clubs:
            continue
        at = address(
            height_m=case.player.height_m,
            wingspan_m=case.player.wingspan_m,
            wrist_to_floor_m=case.player.wrist_to_floor_m,
            sex=case.player.sex,
            length_m=[c["length_m"] for c in clubs],
            lie_deg=[c["lie_deg"] for c in clubs],
        )
        drawings.append(_drawing(at, clubs, colour, names[layout["id"]], case))
        for i, club in enumerate(clubs):
            rows.append(
                [
                    f"{club['name'] or club['id']}, {names[layout['id']].lower()}",
                    f"{at.hip_hinge_deg[i]:.0f}\u00b0",
                    unit("body", system).text(float(at.hands_height_m[i])),
                    f"{at.toe_up_deg[i]:+.1f}\u00b0".replace("-", "\u2212"),
                ]
            )
    spread = [
        f"{names[x['id']]} {x['summary']['posture_spread_deg']['mean']:.0f}\u00b0"
        for x in result["layouts"]
        if isinstance(x["summary"].get("posture_spread_deg"), dict)
    ]
    words = "Longest iron, middle iron and shortest wedge at address, drawn over one another."
    if spread:
        words += " Hip hinge changes through the set by: " + ", ".join(spread) + "."
    return join(
        Safe(f'<div style="display:flex;flex-wrap:wrap;gap:.5rem">{"".join(drawings)}</div>'),
        p(words),
        table(
            ["Club", "hip hinge", f"hands ({unit('body', system).name})", "toe up"],
            rows,
            caption="Posture each club asks for",
        ),
        p("A drawing, not a scan; pain means stop, and ask a licensed professional.", cls="small"),
    )


def _three(clubs: list[dict[str, Any]]) -> list[dict[str, Any]]:
    if len(clubs) < 4:
        return clubs
    return [clubs[0], clubs[len(clubs) // 2], clubs[-1]]


def _drawing(at: Any, clubs: list[dict[str, Any]], colour: str, title: str, case: Case) -> str:
    flip = -1.0 if case.player.handed == "left" else 1.0

    def xy(name: str, i: int) -> tuple[float, float]:
        x, y = at.joints[name][:, i]
        return 150 + flip * (float(x) * SCALE - 45), 290 - float(y) * SCALE

    parts = [line(10, 290, 290, 290, colour="var(--edge)")]
    for i, club in enumerate(clubs):
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
        parts.append(
            text(8, 18 + 17 * i, f"{('solid', 'dashed', 'dotted')[i]}: {club['name'] or club['id']}", size=12)
        )
    hx, hy = xy("hip", 0)
    parts.append(circle(hx, hy, 6, colour=colour, width=2))
    hinge = ", ".join(
        f"{c['name'] or c['id']} {at.hip_hinge_deg[i]:.0f} degrees" for i, c in enumerate(clubs)
    )
    drawing = svg(300, 310, "".join(parts), f"{title}: figure at address; hip hinge {hinge}", most="20rem")
    return f'<div style="flex:1 1 15rem;max-width:20rem">{join(p(title))}{drawing}</div>'
