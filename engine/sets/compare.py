"""Measures of a layout and paired comparison of two: the same draws, so that a difference is surer than either number."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Faced
from ..shots.summary import overlap_chance
from ..statistics import Interval, chance, interval, intervals
from .predict import Prediction

Array = NDArray[np.float64]

HOLD_DESCENT = 40.0  # [deg], steep enough that a ball stays on a green; common practice, no source
FLATTER = 6.0  # [deg] below one's own loftiest iron; ours, no source
LEAST_GAP = (
    4.0  # [m], less than this and a longer club adds nothing a player can use; common practice, no source
)
NEAR_LOFT_DEG = 2.0  # two clubs of a family closer than this do one job; common practice, no source


DEMAND_POINTS = 61


@dataclass(frozen=True, slots=True)
class Demand:
    """Distances faced [m] and their shares, which sum to 1; the same for every layout that is compared."""

    distance: Array
    weight: Array
    stated: bool = False


@dataclass(frozen=True, slots=True)
class Gap:
    """Carry between two neighbouring clubs [m], and the chance that one ball with the shorter flies further."""

    longer: str
    shorter: str
    gap_m: Interval
    chance_overlap: float


@dataclass(frozen=True, slots=True)
class Criterion:
    """A quantity that layouts are compared by; ``better`` is "less" or "more".

    least : a difference smaller than this a player does not notice; common practice, no source
    """

    name: str
    unit: str
    better: str
    least: float


CRITERIA = (
    Criterion("expected_miss_m", "m", "less", 0.15),
    Criterion("gap_spread_m", "m", "less", 0.5),
    Criterion("widest_gap_m", "m", "less", 1.0),
    Criterion("narrowest_gap_m", "m", "more", 1.0),
    Criterion("overlaps", "-", "less", 0.3),
    Criterion("reach_m", "m", "more", 2.0),
    Criterion("top_descent_deg", "deg", "more", 2.0),  # about 2 m of roll; ours, no source
    Criterion("posture_spread_deg", "deg", "less", 1.0),
    Criterion("buildable", "-", "more", 0.5),  # a whole club
)
DECIDES = "expected_miss_m"
LEAST = {c.name: c.least for c in CRITERIA}
WIDENED = 1.4
DOUBTS = {"reach_m": 1.2, "narrowest_gap_m": 1.7, "widest_gap_m": 0.6}
"""Draws of one model are surer of some differences between lengths, and less sure of others, than they should be: their
spread about the mean is so many times as wide, `WIDENED` where a measure is not named. Chosen so that chances hold, measure
by measure, on 960 invented players who share nothing with the engine, and checked on others
(``tests/engine/sets/test_verdict.py``)."""


def irons_and_wedges(prediction: Prediction) -> list[int]:
    """Columns of irons and wedges, straightest face first."""
    return [i for i, c in enumerate(prediction.clubs) if c.family in ("iron", "wedge")]


def gaps(prediction: Prediction, spread: float) -> tuple[Gap, ...]:
    """Gaps between neighbours by loft over the whole bag.

    ``spread`` is the shot-to-shot standard deviation of carry as a share of it. The chance of overlap of a draw is
    ``Phi(-gap / sqrt(s1^2 + s2^2))``, averaged over draws.
    """
    carry = prediction.carry
    if carry.shape[1] < 2:
        return ()
    between = carry[:, :-1] - carry[:, 1:]
    overlap = _overlap(carry, spread).mean(axis=0)
    return tuple(
        Gap(a.id, b.id, gap, float(p))
        for a, b, gap, p in zip(
            prediction.clubs[:-1], prediction.clubs[1:], intervals(between), overlap, strict=True
        )
    )


def criterion_draws(
    prediction: Prediction, *, spread: float, hinge_deg: Array, demand: Demand, buildable: int
) -> dict[str, Array]:
    """Draws (draws,) of each of `CRITERIA` that the layout has clubs for.

    hinge_deg : (clubs,), the hip hinge each club asks for [deg]
    demand : distances faced, from `demand_of`
    buildable : irons and wedges that can be built from the present heads, from `engine.workshop.buildable`
    """
    columns = irons_and_wedges(prediction)
    carry = prediction.carry[:, columns]
    draws = len(carry)
    out: dict[str, Array] = {}
    if carry.shape[1] >= 2:
        between = carry[:, :-1] - carry[:, 1:]
        out["expected_miss_m"] = expected_miss(prediction, demand)
        if between.shape[1] >= 2:
            out["gap_spread_m"] = between.std(axis=1)
        out["widest_gap_m"] = between.max(axis=1)
        out["narrowest_gap_m"] = between.min(axis=1)
        out["overlaps"] = _overlap(carry, spread).sum(axis=1)
    irons = [i for i in columns if prediction.clubs[i].family == "iron"]
    if irons:
        out["reach_m"] = prediction.carry[:, irons].max(axis=1)
        out["top_descent_deg"] = prediction.descent[:, irons[0]]
    known = hinge_deg[columns] if len(columns) else np.zeros(0)
    if known.size and np.isfinite(known).all():
        out["posture_spread_deg"] = np.full(draws, known.max() - known.min())
    if columns:
        out["buildable"] = np.full(draws, float(buildable))
    return out


def expected_miss(prediction: Prediction, demand: Demand) -> Array:
    """Weighted mean distance [m] (draws,) from each demanded distance to the nearest iron's or wedge's carry."""
    return miss_of(prediction.carry[:, irons_and_wedges(prediction)], demand)


def miss_of(carry: Array, demand: Demand) -> Array:
    """Weighted mean distance [m] (draws,) from each demanded distance to the nearest of the carries (draws, clubs)."""
    miss: Array = np.abs(carry[:, :, None] - demand.distance).min(axis=1) @ demand.weight
    return miss


def even_demand(low: float, high: float, *, points: int = DEMAND_POINTS) -> Demand:
    """Every distance from ``low`` to ``high`` [m] faced equally often."""
    return Demand(np.linspace(low, high, points), np.full(points, 1 / points))


def stated_demand(faced: tuple[Faced, ...]) -> Demand | None:
    """The player's own distances, ``None`` where none counts for anything."""
    weight = np.array([f.weight for f in faced])
    if weight.sum() <= 0:
        return None
    return Demand(np.array([f.distance_m for f in faced]), weight / weight.sum(), stated=True)


def demand_of(
    predictions: list[Prediction], faced: tuple[Faced, ...] = (), *, points: int = DEMAND_POINTS
) -> Demand:
    """Distances faced: those stated, else even ones from the shortest wedge to the longest iron of any layout."""
    stated = stated_demand(faced)
    if stated is not None:
        return stated
    ends = []
    for prediction in predictions:
        columns = irons_and_wedges(prediction)
        if columns:
            mean = prediction.carry[:, columns].mean(axis=0)
            ends.append((mean.min(), mean.max()))
    if not ends:
        return Demand(np.zeros(0), np.zeros(0))
    return even_demand(min(e[0] for e in ends), max(e[1] for e in ends), points=points)


@dataclass(frozen=True, slots=True)
class Comparison:
    """One measure of two layouts, b less a, with the chance that b is the better.

    chance_gain, chance_give : that b is better or worse by more than a player notices, see `noticed`
    """

    a: str
    b: str
    measure: str
    difference: Interval
    chance_b_better: float
    chance_gain: float
    chance_give: float


def doubted(apart: Array, measure: str) -> Array:
    """Draws of a difference in this measure, as far apart as `DOUBTS` has it."""
    middle = apart.mean()
    return np.asarray(middle + DOUBTS.get(measure, WIDENED) * (apart - middle))


def noticed(turned: Array, least: float) -> tuple[float, float]:
    """Chances of a gain and of a loss of more than ``least`` in a difference of which more is better."""
    more, less = turned > least, turned < -least
    if np.ptp(turned) < 1e-12:  # as of lengths, which are known: no draws in them
        return float(more[0]), float(less[0])
    return chance(more), chance(less)


def compare(a: str, b: str, of_a: dict[str, Array], of_b: dict[str, Array]) -> tuple[Comparison, ...]:
    """Compare two layouts by every measure both have, draw by draw."""
    out = []
    for measure in CRITERIA:
        if measure.name not in of_a or measure.name not in of_b:
            continue
        difference = of_b[measure.name] - of_a[measure.name]
        if np.ptp(difference) < 1e-12:
            value = float(difference[0])
            better = 0.5 if abs(value) < 1e-9 else float((value < 0) == (measure.better == "less"))
        else:
            better = chance(difference < 0 if measure.better == "less" else difference > 0)
        turned = doubted(difference, measure.name) * (1 if measure.better == "more" else -1)
        gain, give = noticed(turned, measure.least)
        out.append(Comparison(a, b, measure.name, interval(difference), better, gain, give))
    return tuple(out)


def steep_enough(prediction: Prediction) -> Array:
    """Descent [deg] (draws,) from which on an iron comes down steeply enough to be worth carrying.

    `HOLD_DESCENT`, or for one whose irons all fly flatter within `FLATTER` of his own loftiest iron: he runs the ball
    on with every iron, and no iron would be left by the fixed angle.
    """
    irons = [i for i in irons_and_wedges(prediction) if prediction.clubs[i].family == "iron"]
    if not irons:
        return np.full(len(prediction.carry), HOLD_DESCENT)
    return np.minimum(HOLD_DESCENT, prediction.descent[:, irons[-1]] - FLATTER)


def useful_irons(prediction: Prediction) -> list[tuple[int, NDArray[np.bool_], NDArray[np.bool_]]]:
    """For each iron, straightest face first: its column, and by draw (draws,) whether it adds and whether it is steep.

    It adds where it carries at least `LEAST_GAP` beyond the next iron or wedge; the last of a set always does.
    """
    columns = irons_and_wedges(prediction)
    steep = steep_enough(prediction)
    out = []
    for place, i in enumerate(columns):
        if prediction.clubs[i].family != "iron":
            continue
        adds = np.ones(len(prediction.carry), bool)
        if place + 1 < len(columns):
            adds = prediction.carry[:, i] - prediction.carry[:, columns[place + 1]] >= LEAST_GAP
        out.append((i, adds, prediction.descent[:, i] >= steep))
    return out


def longest_useful_iron(prediction: Prediction) -> tuple[str | None, float]:
    """The straightest-faced iron that adds carry over the next and comes down steeply enough, and its chance.

    The answer is the longest iron that is both (`useful_irons`) in at least half of the draws.
    """
    for i, adds, steep in useful_irons(prediction):
        sure = chance(adds & steep)
        if sure >= 0.5:
            return prediction.clubs[i].id, sure
    return None, 0.0


def _overlap(carry: Array, spread: float) -> Array:
    between = carry[:, :-1] - carry[:, 1:]
    return np.asarray(
        overlap_chance(between, sd_longer=spread * carry[:, :-1], sd_shorter=spread * carry[:, 1:])
    )
