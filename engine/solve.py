"""From a case to a result: gather shots, calibrate the swing, predict every layout, compare them, state what it means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from . import __version__
from .body.posture import address
from .documents.case import Case, Club, Conditions, Layout, Player, Shot, Swing
from .documents.result import (
    Calibration,
    ClubResult,
    LayoutResult,
    LeftOutCheck,
    ParameterResult,
    Result,
    ShotGroup,
)
from .physics.air import REFERENCE, air_of
from .sets.advice import advise, differences
from .sets.compare import (
    CRITERIA,
    compare,
    criterion_draws,
    demand_of,
    gaps,
    longest_useful_iron,
    stated_demand,
)
from .sets.length_test import carry_lost, club_to_test, plan_test, spread_by_length, spread_degrees
from .sets.lofts import lofts_for_even_gaps
from .sets.plan import planned
from .sets.predict import Flights, Prediction
from .sets.usual import complete
from .sets.verdict import Verdict, break_even_of, sets_to_compare, verdict_between
from .statements import LayoutName, Statement, state
from .statistics import Interval, interval, intervals
from .swing.calibration import Posterior, calibrate
from .swing.observations import ClubShots, carry_spread
from .swing.parameters import PARAMETERS
from .swing.plausibility import doubts
from .workshop.buildable import count_buildable

DRAWS = 256
BALLS_HALF_WIDTH = 2.0  # [m]


def solve(case: Case, *, draws: int = DRAWS) -> Result:
    """Work out a case.

    Parameters
    ----------
    case : a checked case; an empty bag stands for the usual set of `norm_bag`, no layouts for the usual ones, as in
        `engine.sets.usual`
    draws : of the posterior, 16 to 4096; all intervals and chances come from them

    Returns
    -------
    Result, the same for the same case and draws
    """
    if not 16 <= draws <= 4096:
        raise ValueError(f"`draws` must be from 16 to 4096, not {draws}")
    case = complete(case)
    posterior = posterior_of(case, draws=draws)
    spread = carry_spread(posterior.summaries)
    pair = sets_to_compare(case)
    extra = tuple(x for x in pair or () if all(x.id != y.id for y in case.layouts))
    everything = weigh_layouts(replace(case, layouts=(*case.layouts, *extra)), draws=draws) if extra else None
    weighed = weigh_layouts(case, draws=draws)
    per_layout = [one.values for one in weighed]
    layouts = [
        _layout_result(name, one.prediction, one.hinge_deg, spread, one.values)
        for name, one in zip(_names(case.layouts, weighed), weighed, strict=True)
    ]
    laid_out = (*case.layouts, *extra)
    known = dict(
        zip(
            (x.id for x in laid_out),
            zip(_names(laid_out, everything or weighed), everything or weighed, strict=True),
            strict=True,
        )
    )
    verdict = None if pair is None else _verdict(case, posterior, *(known[x.id] for x in pair))
    comparison = tuple(
        row
        for i in range(len(layouts))
        for j in range(i + 1, len(layouts))
        for row in compare(layouts[i].id, layouts[j].id, per_layout[i], per_layout[j])
    )
    return Result(
        engine=__version__,
        reference_air=REFERENCE,
        shots=tuple(_shot_group(group) for group in posterior.summaries),
        calibration=_calibration(posterior, spread),
        layouts=tuple(layouts),
        comparison=comparison,
        verdict=verdict,
        differences=differences(tuple(layouts), comparison),
        advice=advise(case, tuple(layouts), verdict),
        warning_statements=_warnings(case, posterior),
    )


def _verdict(
    case: Case, posterior: Posterior, base: tuple[LayoutName, Weighed], other: tuple[LayoutName, Weighed]
) -> Verdict:
    """The verdict between two layouts that were weighed, with the test of the length that sets them apart."""
    spread = carry_spread(posterior.summaries)
    degrees = spread_degrees(posterior.summaries)
    demand = stated_demand(case.wants.demand)
    of_base, of_other = base[1].prediction, other[1].prediction
    even = break_even_of(of_base, of_other, spread=spread, degrees=degrees, demand=demand)
    found = club_to_test(case.carried, of_other.clubs)
    test = None
    if found is not None:
        club, down = found
        air = air_of(case.wants.air or REFERENCE)
        full = prediction_of(case, (club,), case.wants.air or REFERENCE, draws=len(posterior.theta))
        test = plan_test(
            club,
            down,
            expected_m=interval(carry_lost(posterior, club, down, air)),
            carry_m=float(full.carry.mean()),
            spread=spread,
            needed_ratio=even.ratio.mean,
        )
    return verdict_between(
        base[0],
        other[0],
        of_base,
        of_other,
        bag=case.bag,
        spread=spread,
        degrees=degrees,
        matters=case.wants.matters,
        test=test,
        so_far=spread_by_length(case),
        even=even,
    )


def laid_out(case: Case, layout: Layout, *, draws: int = DRAWS) -> tuple[Club, ...]:
    """The clubs of a layout of a completed case as `engine.sets.plan.planned` has them, with the lofts asked for.

    Where ``wants.lofts`` is ``even_gaps`` irons and wedges are bent for even gaps as far as their heads allow; a loft that
    the layout states for a club stays.
    """
    clubs = planned(layout, case)
    bendable = [c for c in clubs if c.family in ("iron", "wedge")]
    if case.wants.lofts != "even_gaps" or len(bendable) < 3:
        return clubs
    air = air_of(case.wants.air or REFERENCE)
    found = lofts_for_even_gaps(posterior_of(case, draws=draws), bendable, air, heads=case.bag)
    stated = {c.id for c in layout.clubs if c.loft_deg is not None}
    lofts = {c.club: c.bounded_loft_deg for c in found.clubs if c.club not in stated}
    bent = [replace(c, loft_deg=lofts.get(c.id, c.loft_deg)) for c in clubs]
    return tuple(sorted(bent, key=lambda c: (c.loft_deg, -c.length_m)))


def posterior_of(case: Case, *, draws: int = DRAWS) -> Posterior:
    """Calibration of a completed case; the last few are kept, since sliders ask again and again."""
    return _posterior(case.player, case.swing, case.bag, case.shots, case.conditions, draws)


def prediction_of(case: Case, clubs: tuple[Club, ...], air: Conditions, *, draws: int = DRAWS) -> Prediction:
    """Prediction of any clubs by a completed case's swing."""
    return predictions_of(case, [clubs], air, draws=draws)[0]


def predictions_of(
    case: Case, sets: Sequence[tuple[Club, ...]], air: Conditions, *, draws: int = DRAWS
) -> list[Prediction]:
    """Predictions of several sets of clubs at once; clubs already flown for this swing and air are kept."""
    flights = _flights(case.player, case.swing, case.bag, case.shots, case.conditions, draws, air)
    return list(flights.of(*sets))


@lru_cache(maxsize=4)
def _posterior(
    player: Player,
    swing: Swing,
    bag: tuple[Club, ...],
    shots: tuple[Shot, ...],
    conditions: Conditions,
    draws: int,
) -> Posterior:
    return calibrate(Case(player, swing, bag, shots, conditions), draws=draws)


@lru_cache(maxsize=4)
def _flights(
    player: Player,
    swing: Swing,
    bag: tuple[Club, ...],
    shots: tuple[Shot, ...],
    conditions: Conditions,
    draws: int,
    air: Conditions,
) -> Flights:
    return Flights(_posterior(player, swing, bag, shots, conditions, draws), air_of(air))


@dataclass(frozen=True, slots=True)
class Weighed:
    """A layout's prediction, the hip hinge [deg] (clubs,) each club asks for, and draws (draws,) of every measure."""

    prediction: Prediction
    hinge_deg: np.ndarray
    values: dict[str, np.ndarray]


def weigh_layouts(case: Case, *, draws: int = DRAWS) -> list[Weighed]:
    """Every layout of a completed case by every measure, over the same draws and distances faced."""
    air = case.wants.air or REFERENCE
    spread = carry_spread(posterior_of(case, draws=draws).summaries)
    predictions = predictions_of(
        case, [laid_out(case, layout, draws=draws) for layout in case.layouts], air, draws=draws
    )
    demand = demand_of(predictions, case.wants.demand)
    out = []
    for prediction in predictions:
        hinge = hinges(case.player, prediction.clubs)
        fit = count_buildable(case.bag, prediction.clubs)
        values = criterion_draws(prediction, spread=spread, hinge_deg=hinge, demand=demand, buildable=fit)
        out.append(Weighed(prediction, hinge, values))
    return out


def hinges(player: Player, clubs: tuple[Club, ...]) -> np.ndarray:
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


def _names(layouts: Sequence[Layout], weighed: Sequence[Weighed]) -> list[LayoutName]:
    """What the layouts are called: those alike within half a millimetre are numbered."""
    out: list[LayoutName] = []
    for layout, one in zip(layouts, weighed, strict=True):
        lengths = {round(c.length_m, 4) for c in one.prediction.clubs if c.family in ("iron", "wedge")}
        length = lengths.pop() if layout.kind == "single" and len(lengths) == 1 else None
        alike = [x for x in out if x.kind == layout.kind and abs((x.length_m or 0) - (length or 0)) < 5e-4]
        out.append(LayoutName(layout.id, layout.kind, length, len(alike) + 1))
    return out


def _layout_result(
    name: LayoutName, prediction: Prediction, hinge: np.ndarray, spread: float, values: dict[str, np.ndarray]
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
        )
        for i, c in enumerate(prediction.clubs)
    )
    top, sure = longest_useful_iron(prediction)
    summary: dict[str, object] = {m.name: interval(values[m.name]) for m in CRITERIA if m.name in values}
    summary |= {"top_iron": top, "top_iron_chance": sure}
    return LayoutResult(name.id, name.kind, name, clubs, gaps(prediction, spread), summary)


def _shot_group(group: ClubShots) -> ShotGroup:
    carry = group.carry
    reasons = zip(group.shots, carry.reasons, strict=True)
    return ShotGroup(
        club=group.club.id,
        grip_down_m=group.grip_down,
        n=carry.n,
        left_out=carry.left_out,
        carry_m=carry,
        balls_for_2m=carry.balls_for(BALLS_HALF_WIDTH) or 0,
        mishits=tuple((number, reason) for number, reason in reasons if reason is not None),
    )


def _calibration(posterior: Posterior, spread: float) -> Calibration:
    return Calibration(
        converged=posterior.converged,
        status=posterior.status,
        parameters=tuple(
            ParameterResult(
                p.name,
                p.unit,
                (float(posterior.prior_mean[i]), float(posterior.prior_sd[i])),
                (float(posterior.mean[i]), float(posterior.sd[i])),
            )
            for i, p in enumerate(PARAMETERS)
        ),
        left_out_check=tuple(
            LeftOutCheck(c.club, c.measured, Interval(c.predicted, c.low, c.high)) for c in posterior.left_out
        ),
        doubted=posterior.doubted,
        carry_spread=spread,
    )


def _warnings(case: Case, posterior: Posterior) -> tuple[Statement, ...]:
    out = list(doubts(case, posterior))
    longest = case.wants.longest_iron
    if longest is not None and all(c.id != longest or c.family != "iron" for c in case.carried):
        out.append(state("warning.longest_iron_missing", quoted=[longest]))
    if not posterior.summaries:
        out.append(state("warning.no_carries"))
    elif len({g.club.id for g in posterior.summaries}) == 1:
        out.append(state("warning.one_club"))
    if not posterior.converged:
        out.append(state("warning.not_settled"))
    return tuple(out)
