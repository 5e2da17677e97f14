"""The common length of a single-length set: what each length from 34 to 40 in would do, and which to take.

Every club is flown at a few lengths in one prediction, and carry and descent are interpolated between them draw by draw:
both are so smooth in length that three lengths give all others to a few centimetres
(`tests/engine/sets/test_common_length.py`). Each length has the head mass that keeps the anchor iron's swing weight and the
lie that goes with it by common practice. In a single-length set all clubs ask for one posture, so that its spread is nought
and only how natural it is tells lengths apart.

What a length does to the strike is not counted: no figure for irons is known to us, though longer clubs are said to be
harder to strike in the middle (common practice). Of lengths that come out level the one that most present heads can be
made to is taken, then the one nearest the player's natural length.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..body.posture import (
    ARM_FREEDOM_DEG,
    HINGE_FREEDOM_DEG,
    NATURAL_ARM_DEG,
    NATURAL_HINGE_DEG,
    SOLE_FREEDOM_DEG,
    Address,
    address,
)
from ..documents.case import Club, Layout, Player
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..statements import Statement, state
from ..statistics import Interval, chance, intervals
from ..swing.calibration import Posterior
from ..units import INCH
from ..workshop.balance import head_for_swing_weight, swing_weight_label, usual_parts, weigh
from ..workshop.buildable import count_buildable
from ..workshop.known import points_within
from .compare import Demand, even_demand, miss_of
from .plan import anchor_of, plan
from .predict import predict

Array = NDArray[np.float64]

SHORTEST_M, LONGEST_M, STEP_M = 34 * INCH, 40 * INCH, 0.25 * INCH
NODES = 3
LEAST_HEAD_KG = 0.15
LEVEL_M = 0.15  # lengths whose misses differ by less than this [m] come out level; ours, no source
NATURAL_ENOUGH = (
    1.0  # [-], departure from the natural posture that is still taken as natural; ours, no source
)
DEMAND_POINTS = 41


@dataclass(frozen=True, slots=True)
class LengthResult:
    """One common length [m]. Carries [m], angles [deg], masses [kg].

    top_m, bottom_m : carry of the straightest and the loftiest club; top_descent_deg : of the straightest
    gap_spread_m : standard deviation of the gaps, less is more even; mean_gap_m : their mean
    miss_m : mean distance from what is faced to the nearest club
    hip_hinge_deg, toe_up_deg, departure : posture it asks for, and how far [-] that is from the natural one in units of
        what gives way easily; ``None`` without a height
    head_kg : head mass that keeps the anchor's swing weight; lie_deg : lie that goes with the length
    buildable : how many of the present heads can be made so, of ``LengthSweep.clubs``
    """

    length_m: float
    top_m: Interval
    bottom_m: Interval
    top_descent_deg: Interval
    gap_spread_m: Interval
    mean_gap_m: Interval
    miss_m: Interval
    hip_hinge_deg: float | None
    toe_up_deg: float | None
    departure: float | None
    head_kg: float
    lie_deg: float
    buildable: int


@dataclass(frozen=True, slots=True)
class LengthSweep:
    """All lengths, and the one to take.

    clubs : how many irons and wedges there are; top, bottom : ids of the straightest and the loftiest
    natural_length_m : length at which a club of the anchor's lie asks for the most natural posture, ``None`` without a
        height
    swing_weight : of the anchor iron, kept at every length
    recommended_m : length to take; chance : share of draws in which it leaves no more than `LEVEL_M` above the least
        miss of the lengths that ask for a natural posture
    """

    lengths: tuple[LengthResult, ...]
    clubs: int
    top: str
    bottom: str
    anchor: str
    natural_length_m: float | None
    swing_weight: str
    recommended_m: float
    chance: float
    statements: tuple[Statement, ...]

    def at(self, length_m: float) -> LengthResult:
        """The result nearest a length [m]."""
        return min(self.lengths, key=lambda r: abs(r.length_m - length_m))


def sweep_lengths(
    posterior: Posterior,
    bag: Sequence[Club],
    air: Air,
    *,
    player: Player | None = None,
    lengths_m: Sequence[float] | None = None,
    demand: Demand | None = None,
    model: Aerodynamics | None = None,
) -> LengthSweep:
    """What every common length would do for a player's irons and wedges.

    Parameters
    ----------
    posterior : the player's swing
    bag : the present clubs; at least two irons or wedges
    player : for the posture; nothing is said of it without a height
    lengths_m : lengths to look at [m], ascending; ``None`` takes 34 to 40 in by quarters
    demand : distances faced; ``None`` takes even ones between the ends of the set at the anchor's own length

    Raises
    ------
    ValueError
        If there are fewer than two irons and wedges, or the lengths are not ascending.
    """
    full = [c for c in bag if c.family in ("iron", "wedge")]
    if len(full) < 2:
        raise ValueError(f"`bag` must have two or more irons and wedges, not {len(full)}")
    lengths = np.asarray(
        np.arange(SHORTEST_M, LONGEST_M + STEP_M / 2, STEP_M) if lengths_m is None else lengths_m, float
    )
    if lengths.ndim != 1 or not lengths.size or (np.diff(lengths) <= 0).any():
        raise ValueError("`lengths_m` must be one or more lengths, ascending")
    anchor = anchor_of([c for c in full if c.family == "iron"] or full)
    nodes = _nodes(min(lengths[0], anchor.length_m), max(lengths[-1], anchor.length_m))
    sets = [_set_at(x, full, anchor) for x in nodes]
    flown = predict(posterior, tuple(c for clubs in sets for c in clubs), air, model=model)
    shape = (-1, NODES, len(full))
    between = _between(nodes, lengths)
    carry = np.exp(between @ np.log(np.maximum(flown.carry.reshape(shape), 1e-3)))
    descent = between @ flown.descent.reshape(shape)
    if demand is None:
        usual = np.exp(
            _between(nodes, np.array([anchor.length_m]))
            @ np.log(np.maximum(flown.carry.reshape(shape), 1e-3))
        ).mean(axis=0)
        demand = even_demand(float(usual.min()), float(usual.max()), points=DEMAND_POINTS)
    gaps = carry[:, :, :-1] - carry[:, :, 1:]
    miss = _miss(carry, demand)
    made = [_set_at(x, full, anchor) for x in lengths]
    posture = _posture(player, lengths, np.array([clubs[0].lie_deg for clubs in made]))
    natural = _natural_length(player, anchor)
    top, bottom, steep = (intervals(x) for x in (carry[:, :, 0], carry[:, :, -1], descent[:, :, 0]))
    spread, gap, left = (intervals(x) for x in (gaps.std(axis=2), gaps.mean(axis=2), miss))
    results = tuple(
        LengthResult(
            float(length),
            top[k],
            bottom[k],
            steep[k],
            spread[k],
            gap[k],
            left[k],
            hip_hinge_deg=None if posture is None else float(posture.hip_hinge_deg[k]),
            toe_up_deg=None if posture is None else float(posture.toe_up_deg[k]),
            departure=None if posture is None else float(_departure(posture)[k]),
            head_kg=made[k][0].head_kg,
            lie_deg=made[k][0].lie_deg,
            buildable=count_buildable(full, made[k]),
        )
        for k, length in enumerate(lengths)
    )
    taken, sure = _recommend(results, miss, anchor.length_m if natural is None else natural)
    first, last = made[0][0], made[0][-1]
    return LengthSweep(
        results,
        len(full),
        first.id,
        last.id,
        anchor.id,
        natural,
        swing_weight_label(weigh(usual_parts(anchor)).moment_inoz, within=points_within(anchor)),
        results[taken].length_m,
        sure,
        _statements(results, taken, natural, len(full), anchor, first),
    )


def _set_at(length_m: float, full: Sequence[Club], anchor: Club) -> tuple[Club, ...]:
    """The single-length set at a length, with the head mass that keeps the anchor's swing weight."""
    wanted = weigh(usual_parts(anchor)).moment_inoz
    head = head_for_swing_weight(usual_parts(replace(anchor, length_m=length_m)), wanted)
    made = plan(Layout("sweep", "single", common_length_m=float(length_m)), full)
    return tuple(replace(c, head_kg=max(head, LEAST_HEAD_KG)) for c in made)


def _nodes(low: float, high: float) -> Array:
    """Chebyshev points between two lengths, so that a polynomial through them is near everywhere."""
    middle, half = (low + high) / 2, max((high - low) / 2, 1e-6)
    return middle - half * np.cos(np.pi * (np.arange(NODES) + 0.5) / NODES)


def _between(nodes: Array, at: Array) -> Array:
    """Lagrange weights (at, nodes) of the polynomial through values at the nodes."""
    out = np.ones((len(at), len(nodes)))
    for j, node in enumerate(nodes):
        for k, other in enumerate(nodes):
            if k != j:
                out[:, j] *= (at - other) / (node - other)
    return out


def _miss(carry: Array, demand: Demand) -> Array:
    """Weighted mean distance [m] (draws, lengths) from each distance faced to the nearest carry (draws, lengths, clubs).

    One length at a time keeps the arrays small.
    """
    return np.stack(
        [miss_of(carry[:, k], demand) for k in range(carry.shape[1])],
        axis=1,
    )


def _posture(player: Player | None, lengths: Array, lies: Array) -> Address | None:
    if player is None or player.height_m is None:
        return None
    return address(
        height_m=player.height_m,
        wingspan_m=player.wingspan_m,
        wrist_to_floor_m=player.wrist_to_floor_m,
        sex=player.sex,
        length_m=lengths,
        lie_deg=lies,
    )


def _departure(posture: Address) -> Array:
    """Root of the sum of squares of departures from the natural posture, each over its own freedom [-]."""
    return np.sqrt(
        ((posture.hip_hinge_deg - NATURAL_HINGE_DEG) / HINGE_FREEDOM_DEG) ** 2
        + ((posture.arm_deg - NATURAL_ARM_DEG) / ARM_FREEDOM_DEG) ** 2
        + (posture.toe_up_deg / SOLE_FREEDOM_DEG) ** 2
    )


def _natural_length(player: Player | None, anchor: Club) -> float | None:
    """Length [m] at which a club of the anchor's own lie asks for the most natural posture, to an eighth of an inch.

    Where the lie is bent along with the length the hands stay nearly as high, and many lengths are as natural.
    """
    lengths = np.arange(30 * INCH, 44 * INCH, INCH / 8)
    posture = _posture(player, lengths, np.full(lengths.shape, anchor.lie_deg))
    return None if posture is None else float(lengths[np.argmin(_departure(posture))])


def _recommend(results: tuple[LengthResult, ...], miss: Array, near_m: float) -> tuple[int, float]:
    """Place of the length to take, and the share of draws in which it is level with the best that is natural.

    Of lengths with a natural posture, those level with the least mean miss; of these the one most present heads can be
    made to; of these the one nearest ``near_m``.
    """
    departure = np.array([0.0 if r.departure is None else r.departure for r in results])
    allowed = np.flatnonzero(departure <= max(NATURAL_ENOUGH, float(departure.min()) + 1e-9))
    mean = miss.mean(axis=0)
    level = [int(k) for k in allowed if mean[k] <= mean[allowed].min() + LEVEL_M]
    taken = max(level, key=lambda k: (results[k].buildable, -abs(results[k].length_m - near_m)))
    return taken, chance(miss[:, taken] <= miss[:, allowed].min(axis=1) + LEVEL_M)


def _statements(
    results: tuple[LengthResult, ...],
    taken: int,
    natural: float | None,
    clubs: int,
    anchor: Club,
    top: Club,
) -> tuple[Statement, ...]:
    best = results[taken]
    out = [
        state(
            "common_length.take",
            clubs=[top],
            length=best.length_m,
            carry=best.top_m,
            gap=best.mean_gap_m,
            spread=best.gap_spread_m,
            miss=best.miss_m,
        )
    ]
    short, long = results[0], results[-1]
    if len(results) > 1:
        out.append(
            state(
                "common_length.range",
                clubs=[top],
                shortest=short.length_m,
                longest=long.length_m,
                top_shortest=short.top_m,
                top_longest=long.top_m,
                wedge_shortest=short.bottom_m,
                wedge_longest=long.bottom_m,
            )
        )
    if natural is not None and best.hip_hinge_deg is not None:
        out.append(
            state(
                "common_length.posture",
                clubs=[anchor],
                natural=natural,
                length=best.length_m,
                lie=best.lie_deg,
                hinge=best.hip_hinge_deg,
            )
        )
    else:
        out.append(state("common_length.no_height"))
    out.append(
        state(
            "common_length.heads",
            clubs=[anchor],
            mass=best.head_kg,
            change=best.head_kg - anchor.head_kg,
            buildable=best.buildable,
            count=clubs,
        )
    )
    out.append(state("common_length.strike_open"))
    return tuple(out)
