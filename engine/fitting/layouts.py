"""The layouts of a case: what each would do by every measure, and how it stands in the result."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.posture import address
from ..documents.case import Case, Club, Layout, Player
from ..documents.result import ClubResult, LayoutResult
from ..sets.compare import (
    CRITERIA,
    Comparison,
    compare,
    criterion_draws,
    demand_of,
    gaps,
    longest_useful_iron,
)
from ..sets.plan import plan
from ..sets.predict import Prediction
from ..statements import LayoutName
from ..statistics import interval, intervals
from ..workshop.buildable import count_buildable

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Weighed:
    """A layout's prediction, the hip hinge [deg] (clubs,) each club asks for, and draws (draws,) of every measure."""

    prediction: Prediction
    hinge_deg: Array
    values: dict[str, Array]


def weigh_layouts(
    case: Case,
    sets: Sequence[tuple[Club, ...]],
    predict: Callable[[Sequence[tuple[Club, ...]]], Sequence[Prediction]],
    *,
    spread: float,
) -> tuple[Weighed, ...]:
    """Every layout of a completed case by every measure, over the same draws and distances faced.

    sets : the clubs of each layout; predict : a prediction of each of several sets of clubs
    spread : shot-to-shot standard deviation of carry [-]
    """
    predictions = list(predict(sets))
    demand = demand_of(predictions, case.wants.demand)
    out = []
    for prediction in predictions:
        hinge = hinges(case.player, prediction.clubs)
        fit = count_buildable(case.bag, prediction.clubs)
        values = criterion_draws(prediction, spread=spread, hinge_deg=hinge, demand=demand, buildable=fit)
        out.append(Weighed(prediction, hinge, values))
    return tuple(out)


def layout_results(
    case: Case, weighed: Sequence[Weighed], *, spread: float, hit_first: Collection[str]
) -> tuple[LayoutResult, ...]:
    """The layouts of a completed case as the result holds them; ``hit_first`` are ids of clubs to hit first."""
    return tuple(
        _layout_result(name, one.prediction, one.hinge_deg, spread, one.values, hit_first)
        for name, one in zip(names(case.layouts, weighed, case.bag), weighed, strict=True)
    )


def compared(case: Case, weighed: Sequence[Weighed]) -> tuple[Comparison, ...]:
    """Every pair of the layouts by every measure both have."""
    ids, values = [layout.id for layout in case.layouts], [one.values for one in weighed]
    return tuple(
        row
        for i in range(len(ids))
        for j in range(i + 1, len(ids))
        for row in compare(ids[i], ids[j], values[i], values[j])
    )


def hinges(player: Player, clubs: tuple[Club, ...]) -> Array:
    """Hip hinge [deg] (clubs,) each club asks of this player; NaN where height is not known."""
    if player.height_m is None or not clubs:
        return np.full(len(clubs), np.nan)
    posture = address(
        height_m=player.height_m,
        wingspan_m=player.wingspan_m,
        wrist_to_floor_m=player.wrist_to_floor_m,
        sex=player.sex,
        length_m=np.array([c.length_m for c in clubs]),
        lie_deg=np.array([c.lie_deg for c in clubs]),
    )
    return np.asarray(posture.hip_hinge_deg, float)


def names(layouts: Sequence[Layout], weighed: Sequence[Weighed], bag: Sequence[Club]) -> list[LayoutName]:
    """What the layouts are called: those alike within half a millimetre are numbered, a present set that is bent says so."""
    out: list[LayoutName] = []
    for layout, one in zip(layouts, weighed, strict=True):
        lengths = {round(c.length_m, 4) for c in one.prediction.clubs if c.family in ("iron", "wedge")}
        length = lengths.pop() if layout.kind == "single" and len(lengths) == 1 else None
        alike = [x for x in out if x.kind == layout.kind and abs((x.length_m or 0) - (length or 0)) < 5e-4]
        lofts = {c.id: c.loft_deg for c in one.prediction.clubs}
        bent = layout.kind == "present" and any(c.loft_deg != lofts.get(c.id) for c in plan(layout, bag))
        out.append(LayoutName(layout.id, layout.kind, length, len(alike) + 1, bent))
    return out


def _layout_result(
    name: LayoutName,
    prediction: Prediction,
    hinge: Array,
    spread: float,
    values: dict[str, Array],
    hit_first: Collection[str],
) -> LayoutResult:
    carries = intervals(prediction.carry) if prediction.clubs else ()
    middle = {
        name: np.median(getattr(prediction, name), axis=0)
        for name in ("club_speed", "ball_speed", "launch", "spin", "apex", "descent")
    }
    clubs = tuple(
        ClubResult(
            id=c.id,
            name=c.name,
            family=c.family,
            length_m=c.length_m,
            loft_deg=c.loft_deg,
            lie_deg=c.lie_deg,
            head_kg=c.head_kg,
            club_speed_mps=float(middle["club_speed"][i]),
            ball_speed_mps=float(middle["ball_speed"][i]),
            launch_deg=float(middle["launch"][i]),
            spin_rpm=float(middle["spin"][i]),
            carry_m=carries[i],
            apex_m=float(middle["apex"][i]),
            descent_deg=float(middle["descent"][i]),
            hip_hinge_deg=float(hinge[i]) if np.isfinite(hinge[i]) else None,
            estimated=tuple(name for name, _ in c.estimated),
            hit_first=c.id in hit_first,
        )
        for i, c in enumerate(prediction.clubs)
    )
    top, sure = longest_useful_iron(prediction)
    summary: dict[str, object] = {m.name: interval(values[m.name]) for m in CRITERIA if m.name in values}
    summary |= {"top_iron": top, "top_iron_chance": sure}
    return LayoutResult(name.id, name.kind, name, clubs, gaps(prediction, spread), summary)
