"""Where the irons should stop, and what to carry between them and the driver.

An iron is worth carrying while it adds carry over the next one and comes down steeply enough for these hands
(`engine.sets.compare`). Above the last such iron the usual hybrids and fairway woods are flown by the player's own
swing with the family's offsets, and as many as there are gaps to fill are chosen, exactly, for the least distance left
over between the top iron and the driver. Among those that carry alike the one that comes down more steeply is taken.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..statements import Statement, state
from ..statistics import Interval, chance, interval, intervals
from ..swing.calibration import Posterior
from ..workshop.norms import norm_club, usual_woods
from .compare import HOLD_DESCENT, LEAST_GAP, irons_and_wedges, useful_irons
from .make_up import best_make_up
from .predict import Prediction, predict

Array = NDArray[np.float64]

AS_LIKELY_AS_NOT = 0.5
MOST_WOODS = 4  # hybrids and fairway woods between irons and driver; common practice, no source
ALIKE = 4.0  # [m], clubs whose carries lie nearer than this do one job; common practice, no source
HOLDS_WELL = 0.7  # chance of a steep enough descent beyond which more of it decides nothing
SMALLEST_SHARE = 0.6  # of the wanted gap; a club that adds less is not worth its place
USUAL_GAP = 10.0  # [m], where the irons say nothing of the gap; common practice, no source
DEMAND_STEP = 1.0  # [m]


@dataclass(frozen=True, slots=True)
class IronUse:
    """What one iron is worth. Carry [m], descent [deg].

    adds_m : carry over the next iron or wedge, ``None`` for the last club; chance_adds : that it is `LEAST_GAP` or more
    chance_steep : that it comes down steeply enough for these hands; chance_holds : at `HOLD_DESCENT` or more
    chance_useful : that it adds and is steep enough; instead : what to carry in its place if it is not useful
    """

    club: str
    carry_m: Interval
    descent_deg: Interval
    adds_m: Interval | None
    chance_adds: float
    chance_steep: float
    chance_holds: float
    chance_useful: float
    instead: str | None


@dataclass(frozen=True, slots=True)
class WoodAbove:
    """A hybrid or fairway wood for above the irons. Carries [m], descent [deg].

    club : with its length, loft and head mass; in_bag : whether the player has it
    over_top_m : carry beyond the top iron; chance_adds : that it is `LEAST_GAP` or more
    chance_holds : that it comes down at `HOLD_DESCENT` or more, steep enough to hold a green
    """

    club: Club
    in_bag: bool
    carry_m: Interval
    descent_deg: Interval
    over_top_m: Interval
    chance_adds: float
    chance_holds: float


@dataclass(frozen=True, slots=True)
class Fill:
    """One recommended club above the irons, with the gap [m] to the club below it and others that would do as well."""

    club: str
    gap_m: Interval
    also: tuple[str, ...]
    statement: Statement


@dataclass(frozen=True, slots=True)
class TopOfTheBag:
    """Where the irons stop and what follows.

    longest : the longest useful iron, ``None`` if none is more likely useful than not; chance : that it is
    wished : whether ``longest`` is the iron at which the player wants the irons to stop
    gap_m : the gap wanted above the irons; to_driver_m : from the top iron to the driver, what there is to fill
    fills : recommended clubs, shortest carry first; candidates : all that were looked at, straightest face first
    """

    irons: tuple[IronUse, ...]
    longest: str | None
    chance: float
    gap_m: float
    driver_m: Interval
    to_driver_m: float
    fills: tuple[Fill, ...]
    candidates: tuple[WoodAbove, ...]
    statements: tuple[Statement, ...]
    wished: bool = False


def top_of_the_bag(
    posterior: Posterior,
    prediction: Prediction,
    air: Air,
    *,
    bag: Sequence[Club],
    sex: str | None = None,
    gap_m: float | None = None,
    wished: str | None = None,
    most: int = MOST_WOODS,
    model: Aerodynamics | None = None,
) -> TopOfTheBag:
    """Where the irons of a layout stop and what to carry above them.

    Parameters
    ----------
    posterior : the player's swing
    prediction : of the layout's clubs by this posterior, in the same air
    bag : the player's clubs; usual hybrids, fairway woods and a driver stand in where it has none of that id
    sex : decides the usual lengths and lofts, as in `norm_club`
    gap_m : wanted between neighbours above the irons [m]; ``None`` takes the mean gap of the useful irons
    wished : iron at which the player wants the irons to stop; if the layout has it, they do
    most : hybrids and fairway woods that may be carried

    Raises
    ------
    ValueError
        If the layout has no iron or wedge, ``gap_m`` is not greater than 0 or ``most`` is negative.
    """
    columns = irons_and_wedges(prediction)
    if not columns:
        raise ValueError("`prediction` must have at least one iron or wedge")
    if gap_m is not None and not gap_m > 0:
        raise ValueError(f"`gap_m` must be greater than 0, not {gap_m}")
    if most < 0:
        raise ValueError(f"`most` must be 0 or more, not {most}")
    useful = useful_irons(prediction)
    sure = [chance(adds & steep) for _, adds, steep in useful]
    wish = next((k for k, (i, _, _) in enumerate(useful) if prediction.clubs[i].id == wished), None)
    first = wish
    if first is None:
        first = next((k for k, s in enumerate(sure) if s >= AS_LIKELY_AS_NOT), None)
    # Without any useful iron the woods begin above the longest wedge, or the last iron of a set without wedges.
    wedges = [i for i in columns if prediction.clubs[i].family == "wedge"]
    top = useful[first][0] if first is not None else (wedges or columns[-1:])[0]
    kept = columns[columns.index(top) :]
    wanted = _usual_gap(prediction, kept) if gap_m is None else gap_m

    woods = usual_woods(bag, sex=sex)
    driver = next((c for c in bag if c.family == "driver"), norm_club("dr", sex))
    flown = predict(posterior, (*woods, driver), air, model=model)
    reach = prediction.carry[:, top]
    ids = {c.id for c in bag}
    carries, descents, overs = (
        intervals(x) for x in (flown.carry, flown.descent, flown.carry - reach[:, None])
    )
    looked_at = tuple(
        WoodAbove(
            club,
            club.id in ids,
            carries[i],
            descents[i],
            overs[i],
            chance(flown.carry[:, i] - reach >= LEAST_GAP),
            chance(flown.descent[:, i] >= HOLD_DESCENT),
        )
        for i, club in enumerate(woods)
    )
    fills = _fill(prediction.clubs[top], reach, flown, looked_at, wanted, most)
    uses = []
    for k, (i, adds, steep) in enumerate(useful):
        place = columns.index(i)
        more = (
            None
            if place + 1 == len(columns)
            else prediction.carry[:, i] - prediction.carry[:, columns[place + 1]]
        )
        dropped = first is None or k < first
        uses.append(
            IronUse(
                prediction.clubs[i].id,
                interval(prediction.carry[:, i]),
                interval(prediction.descent[:, i]),
                None if more is None else interval(more),
                chance(adds),
                chance(steep),
                chance(prediction.descent[:, i] >= HOLD_DESCENT),
                sure[k],
                _instead(float(prediction.carry[:, i].mean()), looked_at) if dropped else None,
            )
        )
    longest = None if first is None else prediction.clubs[top].id
    clubs = {c.id: c for c in (*woods, *prediction.clubs)}
    return TopOfTheBag(
        tuple(uses),
        longest,
        0.0 if first is None else sure[first],
        wanted,
        carries[-1],
        carries[-1].mean - float(reach.mean()),
        fills,
        looked_at,
        _statements(uses, longest, fills, clubs, wished=wish is not None),
        wish is not None,
    )


def _usual_gap(prediction: Prediction, kept: list[int]) -> float:
    """Mean gap [m] of the irons and wedges that are kept, not below what a club must add."""
    if len(kept) < 2:
        return USUAL_GAP
    mean = prediction.carry[:, kept].mean(axis=0)
    return max(float(mean[0] - mean[-1]) / (len(kept) - 1), LEAST_GAP)


def _worth(woods: Sequence[WoodAbove]) -> list[int]:
    """Candidates that add over the top iron, and that no loftier one of the family outdoes."""
    out = []
    for i, wood in enumerate(woods):
        loftier = [
            w for w in woods if w.club.family == wood.club.family and w.club.loft_deg > wood.club.loft_deg
        ]
        outdone = any(w.carry_m.mean >= wood.carry_m.mean - 1.0 for w in loftier)
        if wood.chance_adds >= AS_LIKELY_AS_NOT and not outdone:
            out.append(i)
    return out


def _fill(
    top: Club, reach: Array, flown: Prediction, woods: tuple[WoodAbove, ...], gap_m: float, most: int
) -> tuple[Fill, ...]:
    """As many candidates as there are whole gaps between top iron and driver, for the least distance left over."""
    low, high = float(reach.mean()), float(flown.carry[:, -1].mean())
    count = min(most, int(np.floor((high - low) / gap_m - 0.5)))
    worth = [i for i in _worth(woods) if woods[i].carry_m.mean < high - LEAST_GAP / 2]
    if count < 1 or not worth:
        return ()
    carry = np.array([low, *(woods[i].carry_m.mean for i in worth), high])
    demand = np.arange(low, high, DEMAND_STEP)
    best = best_make_up(carry, demand_m=demand, count=count + 2, must_keep=(0, len(carry) - 1))
    picked = [worth[i - 1] for i in best.chosen if 0 < i < len(carry) - 1]
    chosen: list[int] = []
    for i in picked:
        alike = [
            j
            for j in worth
            if abs(woods[j].carry_m.mean - woods[i].carry_m.mean) <= ALIKE and j not in chosen
        ]
        # One that holds a green first, as far as that matters; then what is in the bag; then the one that fits best.
        i = max(
            alike,
            key=lambda j: (round(min(woods[j].chance_holds, HOLDS_WELL), 1), woods[j].in_bag, j == i),
        )
        below = woods[chosen[-1]].carry_m.mean if chosen else low
        if woods[i].carry_m.mean - below >= max(LEAST_GAP, SMALLEST_SHARE * gap_m):
            chosen.append(i)
    out = []
    under, below_it = reach, top
    for i in chosen:
        step = interval(flown.carry[:, i] - under)
        wood = woods[i]
        also = tuple(
            woods[j].club.id
            for j in worth
            if j not in chosen and abs(woods[j].carry_m.mean - wood.carry_m.mean) <= ALIKE
        )
        out.append(
            Fill(
                wood.club.id,
                step,
                also,
                state(
                    "irons.above",
                    clubs=[wood.club, below_it],
                    loft=wood.club.loft_deg,
                    length=wood.club.length_m,
                    carry=wood.carry_m,
                    gap=step,
                    descent=wood.descent_deg,
                    chance=wood.chance_holds,
                    bag="in_bag" if wood.in_bag else "to_add",
                ),
            )
        )
        under, below_it = flown.carry[:, i], wood.club
    return tuple(out)


def _instead(carry_m: float, woods: Sequence[WoodAbove]) -> str | None:
    """The candidate that comes down most steeply of those that carry about what an iron does, or the little more."""
    near = [w for w in woods if -ALIKE <= w.carry_m.mean - carry_m <= USUAL_GAP]
    if near:
        return max(near, key=lambda w: w.descent_deg.mean).club.id
    beyond = [w for w in woods if w.carry_m.mean > carry_m]
    return min(beyond, key=lambda w: w.carry_m.mean).club.id if beyond else None


def stops(kind: str, use: IronUse, club: Club) -> Statement:
    """That the irons stop at one, and whether it comes down to hold a green or as flat as all irons of this player."""
    flat = use.chance_holds < AS_LIKELY_AS_NOT <= use.chance_steep
    return state(kind, clubs=[club], chance=use.chance_useful, lands="flat" if flat else "steep")


def _statements(
    uses: list[IronUse],
    longest: str | None,
    fills: tuple[Fill, ...],
    clubs: Mapping[str, Club],
    *,
    wished: bool,
) -> tuple[Statement, ...]:
    if wished:
        use = next(use for use in uses if use.club == longest)
        stop = stops("irons.stop_as_wished", use, clubs[use.club])
        return stop, *(fill.statement for fill in fills)
    out = [state("irons.none_useful")] if longest is None and uses else []
    for use in uses:
        if use.club == longest:
            out.append(stops("irons.stop", use, clubs[use.club]))
            break
        little = use.chance_adds < AS_LIKELY_AS_NOT and use.adds_m is not None
        out.append(
            state(
                "irons.not_worth",
                clubs=[clubs[use.club], *([clubs[use.instead]] if use.instead else [])],
                adds=use.adds_m if little else None,
                descent=use.descent_deg if use.chance_steep < AS_LIKELY_AS_NOT else None,
                chance=use.chance_useful,
            )
        )
    return *out, *(fill.statement for fill in fills)
