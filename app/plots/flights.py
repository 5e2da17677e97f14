"""Side view of the flights of irons and wedges, one drawing for all layouts, from the middle of what is
believed."""

from __future__ import annotations

from typing import Any

import numpy as np

from app import look
from app.markup import Safe, join, p, table
from app.measures import unit
from app.plots.pictures import line, svg, text
from engine.case import Case
from engine.flight.air import REFERENCE, air_of
from engine.layouts.kinds import plan
from engine.solve import complete, posterior_of
from engine.swing.delivery import Clubs, carry, deliver

WIDTH, HEIGHT, LEFT, FOOT = 640.0, 250.0, 34.0, 222.0


def flight_paths(case: Case, layout_id: str, *, points: int = 32) -> tuple[list[str], Any]:
    """Ids of a layout's irons and wedges and their paths (2, points, clubs): forward and up [m]."""
    case = complete(case)
    layout = next(x for x in case.layouts if x.id == layout_id)
    clubs = tuple(c for c in plan(layout, case.bag) if c.family in ("iron", "wedge"))
    if not clubs:
        return [], np.zeros((2, points, 0))
    theta = posterior_of(case).mean[None, :]
    flight = carry(
        theta, deliver(theta, Clubs.of(clubs)), air_of(case.wants.air or REFERENCE), path_points=points
    )
    assert flight.path is not None
    return [c.id for c in clubs], flight.path[[0, 2], :, 0, :]


def flights(case: Case, result: dict[str, Any], names: dict[str, str], system: str) -> Safe:
    """The drawing with a line of words and a table of apex and descent."""
    paths = [(x, *flight_paths(case, x["id"])) for x in result["layouts"]]
    far = max((float(path[0].max()) for _, ids, path in paths if ids), default=0.0)
    high = max((float(path[1].max()) for _, ids, path in paths if ids), default=0.0)
    if far <= 0:
        return p("No irons or wedges to show.")
    sx, sy = (WIDTH - LEFT - 20) / far, min((FOOT - 24) / high, 3 * (WIDTH - LEFT - 20) / far)
    shown = unit("carry", system)
    parts = [line(LEFT, FOOT, WIDTH - 8, FOOT, colour="var(--edge)")]
    step = 25 if far * 1 / shown.size < 150 else 50
    for mark in range(0, int(shown.shown(far)) + 1, step):
        x = LEFT + shown.si(mark) * sx
        parts.append(line(x, FOOT, x, FOOT + 5, colour="var(--edge)", width=1))
        parts.append(text(x, FOOT + 20, f"{mark}", anchor="middle"))
    parts.append(text(WIDTH - 8, FOOT - 6, shown.name, anchor="end", colour="var(--faint)"))
    dashes = ("", "8 5", "2 4", "10 4 2 4")
    for (_, ids, path), colour, dash in zip(paths, look.SERIES, dashes, strict=False):
        for i in range(len(ids)):
            d = " ".join(f"{LEFT + x * sx:.1f},{FOOT - y * sy:.1f}" for x, y in path[:, :, i].T)
            stroke = f' stroke-dasharray="{dash}"' if dash else ""
            parts.append(f'<polyline points="{d}" fill="none" stroke="{colour}" stroke-width="2"{stroke}/>')
    rows = []
    for layout in result["layouts"]:
        for club in layout["clubs"]:
            if club["family"] in ("iron", "wedge"):
                rows.append(
                    [
                        f"{club['name'] or club['id']}, {names[layout['id']].lower()}",
                        shown.text(club["carry_m"]["mean"]),
                        shown.text(club["apex_m"]),
                        f"{club['descent_deg']:.0f}\u00b0",
                    ]
                )
    kinds = ", ".join(
        f"{n}: {w}" for n, w in zip(names.values(), ("solid", "dashed", "dotted", "dash-dot"), strict=False)
    )
    return join(
        svg(WIDTH, HEIGHT, "".join(parts), "Side view of the flights of irons and wedges", most="48rem"),
        p(f"Irons and wedges from the side, height drawn {sy / sx:.1f} times the distance scale. {kinds}."),
        table(
            ["Club", f"carry ({shown.name})", f"apex ({shown.name})", "descent"],
            rows,
            caption="Carry, apex and descent",
        ),
    )
