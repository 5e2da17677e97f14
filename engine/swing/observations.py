"""What was measured, gathered per club and grip: robust centre and standard error of each quantity."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Case, Club, Shot
from ..shots.mishits import LEAST_SPREAD
from ..shots.summary import PRIOR_BALLS, SPREAD_PRIOR, Summary, drawn_in, pooled_share, shrunk_sd, summarise
from .parameters import STATED_ATTACK_SD, stated_driver
from .sessions import (
    Cell,
    Pooled,
    apart_sd,
    brought_home,
    group_of,
    hit_in,
    moved,
    pooled,
    sessions_hit,
)

Array = NDArray[np.float64]

CARRY_FLOOR = 0.004  # [log carry], standard error that more balls do not cut
# quantity of a shot: (name in the model, is its error a share of it, standard error that more balls do not cut)
MEASURED = {
    "carry_m": ("carry", True, CARRY_FLOOR),
    "club_speed_mps": ("club_speed", True, 0.012),
    "ball_speed_mps": ("ball_speed", True, 0.008),
    "launch_deg": ("launch", False, 0.7),
    "spin_rpm": ("spin", True, 0.05),
}
SPREAD = {"carry": SPREAD_PRIOR, "club_speed": 0.02, "ball_speed": 0.03, "launch": 2.0, "spin": 0.12}
"""Shot-to-shot standard deviation where too few balls tell: share of the value, launch in [deg]; common practice."""
PLAYER_BALLS = (
    20.0  # a player's carries scatter much alike from club to club, by share: worth so many balls; our choice
)


@dataclass(frozen=True, slots=True)
class Observation:
    """The centre of one quantity over the balls of one club at one grip.

    ``value`` and ``error`` are in logs for shares, in [deg] for launch and attack; ``error`` is one standard error;
    ``balls`` is 0 for what the player states. ``spread`` is the standard deviation from ball to ball.
    """

    club: Club
    grip_down: float
    quantity: str
    value: float
    error: float
    balls: int
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class ClubShots:
    """The carries of one club at one grip: indices into the case's shots, and their robust summary."""

    club: Club
    grip_down: float
    shots: tuple[int, ...]
    carry: Summary


@dataclass(frozen=True, slots=True)
class Seen:
    """What was measured: observations, and the carries of each club and grip summed up.

    covariance : of the observations (observations, observations), where days tie their errors together; days : what the
    sessions say of one another, ``None`` with a single one; cells and by_session : the same session by session, the latter
    for each observation of balls
    """

    observations: tuple[Observation, ...]
    summaries: tuple[ClubShots, ...]
    covariance: Array | None = None
    days: Pooled | None = None
    cells: tuple[Cell, ...] = ()
    by_session: tuple[dict[str | None, Summary], ...] = ()


def gather(
    case: Case, *, swing_size: str | None = None, spread: float = SPREAD_PRIOR
) -> tuple[tuple[Observation, ...], tuple[ClubShots, ...]]:
    """Observations and carry summaries of `see`."""
    seen = see(case, swing_size=swing_size, spread=spread)
    return seen.observations, seen.summaries


def see(
    case: Case, *, swing_size: str | None = None, spread: float = SPREAD_PRIOR, apart: bool = False
) -> Seen:
    """What was measured of a case's full swings; shots switched off (``use`` false) are left out.

    Balls of several sessions are brought to the conditions `engine.swing.sessions.hit_in`, and what the days did to them is
    told apart (`engine.swing.sessions.pooled`). A stated attack of the driver is one more observation.

    swing_size : id of a part swing, of which they are then; spread : shot-to-shot standard deviation of carry to begin
    from, as a share of it, and for part swings the least that the mishit rule takes it for: three balls must be enough;
    apart : keep sessions apart even if there is but one
    """
    groups: dict[tuple[str, float], list[int]] = {}
    for number, shot in enumerate(case.shots):
        if shot.use and shot.swing_size == swing_size:
            groups.setdefault((shot.club, round(shot.grip_down_m, 3)), []).append(number)
    found: list[tuple[Club, float, str, Summary, bool, float]] = []
    centres: list[dict[str | None, Summary]] = []
    summaries: list[ClubShots] = []
    bag = {club.id: club for club in case.bag if club.family != "putter"}
    swung = [shot for shot in case.shots if shot.swing_size == swing_size]
    hit = sessions_hit([s for s in case.shots if s.swing_size in (None, swing_size)])
    several = apart or len(hit) > 1
    offs = brought_home(case, swung, bag, hit_in(case)) if several else {}
    for (club_id, grip), numbers in sorted(groups.items()):
        if club_id not in bag:
            continue
        club = bag[club_id]
        shots = {n: moved(case.shots[n], offs) for n in numbers}
        for field, (name, share, floor) in MEASURED.items():
            told = {
                n: s
                for n, s in shots.items()
                if (v := getattr(s, field)) is not None and (v > 0 or not share)
            }
            if not told:
                continue
            prior = spread if name == "carry" else SPREAD[name]
            summary = _summary(
                [getattr(s, field) for s in told.values()],
                list(told.values()),
                name,
                prior if share else None,
                LEAST_SPREAD if swing_size is None else spread,
                apart=apart_sd(name, float(np.ptp([offs.get(group_of(s), 0.0) for s in told.values()]))),
            )
            if several:
                by_day = _by_session(told, summary, field, name, prior if share else None)
                summary = _within(summary, by_day, prior if share else None)
                centres.append(by_day)
            found.append((club, grip, name, summary, share, floor))
            if (
                name == "carry"
            ):  # first of the table: a ball that its carry sets aside says nothing else either
                summaries.append(ClubShots(club, grip, tuple(told), summary))
                mishits = {n for n, counts in zip(told, summary.used, strict=True) if not counts}
                shots = {n: s for n, s in shots.items() if n not in mishits}
    player = carry_spread(tuple(summaries), prior=spread)
    observations = [
        _observation(
            *one,
            towards=player if one[2] == "carry" else SPREAD[one[2]],
            weight=PLAYER_BALLS if one[2] == "carry" else PRIOR_BALLS,
        )
        for one in found
    ]
    covariance = days = None
    cells: list[Cell] = []
    if several and observations:
        cells = [
            Cell(
                row,
                name,
                session,
                float(np.log(one.mean)) if share else one.mean,
                observations[row].spread / float(np.sqrt(one.counted)),
                offs.get((club.id, grip, session), 0.0) if name == "carry" else 0.0,
            )
            for row, ((club, grip, name, _, share, _), by_day) in enumerate(zip(found, centres, strict=True))
            for session, one in by_day.items()
        ]
        days = pooled(case, cells, len(found))
        covariance = days.covariance + np.diag([floor**2 for *_, floor in found])
        observations = [
            replace(one, value=float(value), error=float(np.sqrt(square)))
            for one, value, square in zip(observations, days.value, np.diag(covariance), strict=True)
        ]
        known = {
            (o.club.id, o.grip_down): (o, days.covariance[i, i])
            for i, o in enumerate(observations)
            if o.quantity == "carry"
        }
        summaries = [
            replace(g, carry=_of_the_days(g.carry, *known[g.club.id, g.grip_down])) for g in summaries
        ]
    if swing_size is None and (stated := stated_driver(case)) is not None:
        observations.append(Observation(stated[0], 0.0, "attack", stated[1], STATED_ATTACK_SD, 0))
        if covariance is not None:
            covariance = np.pad(covariance, (0, 1))
            covariance[-1, -1] = STATED_ATTACK_SD**2
    return Seen(tuple(observations), tuple(summaries), covariance, days, tuple(cells), tuple(centres))


def _by_session(
    told: Mapping[int, Shot], summary: Summary, field: str, name: str, prior: float | None
) -> dict[str | None, Summary]:
    """The balls that count, summed up session by session."""
    balls: dict[str | None, list[Shot]] = {}
    for shot, counts in zip(told.values(), summary.used, strict=True):
        if counts:
            balls.setdefault(shot.session, []).append(replace(shot, keep=True))
    return {
        session: _summary([getattr(s, field) for s in shots], shots, name, prior, LEAST_SPREAD)
        for session, shots in balls.items()
    }


def _within(summary: Summary, by_session: Mapping[str | None, Summary], prior: float | None) -> Summary:
    """The summary with the spread about the middle of each session, which days do not widen."""
    if len(by_session) == 1:
        return summary
    taken = PRIOR_BALLS if prior is not None else 0
    free = [one.degrees - taken for one in by_session.values()]
    told = [(f, one.sd) for f, one in zip(free, by_session.values(), strict=True) if f > 0]
    total = math.fsum(free)
    sd = math.sqrt(math.fsum(f * s**2 for f, s in told) / total) if told else math.nan
    spread, degrees = drawn_in(sd, total, summary.mean, prior, PRIOR_BALLS)
    return replace(summary, sd=sd, spread=spread, degrees=degrees)


def _of_the_days(summary: Summary, told: Observation, square: float) -> Summary:
    """The summary with the mean over days, and what days leave open of it."""
    mean = math.exp(told.value)
    between = max(square - told.spread**2 / summary.counted, 0.0)
    return replace(summary, mean=mean, between=mean * math.sqrt(between), alone=summary)


def _summary(
    values: list[float],
    shots: list[Shot],
    name: str,
    spread: float | None,
    least_spread: float,
    *,
    apart: float = 0.0,
) -> Summary:
    """The one summary of a quantity over the balls of a club: what the card shows is what the fit takes.

    apart : by how much the balls of one day may differ from those of another, a share or in [deg]
    """
    return summarise(
        values,
        spread_prior=spread,
        keep=[s.keep for s in shots],
        balls=[s.balls for s in shots],
        sds=[s.carry_sd_m for s in shots] if name == "carry" else None,
        least_spread=least_spread,
        days=[s.session for s in shots],
        apart=apart if name == "launch" else apart * float(np.median(values)),
    )


def _observation(
    club: Club,
    grip: float,
    name: str,
    summary: Summary,
    share: bool,
    floor: float,
    *,
    towards: float,
    weight: float,
) -> Observation:
    """The centre of a quantity; its spread is drawn ``towards`` the player's own or the usual one by so many balls."""
    centre = summary.mean
    own = summary.sd / centre if share else summary.sd
    free = summary.degrees - (PRIOR_BALLS if share else 0)
    sd = shrunk_sd(own, n=free + 1, towards=towards, prior_balls=weight)
    error = float(np.hypot(sd / np.sqrt(summary.counted), floor))
    return Observation(
        club, grip, name, float(np.log(centre)) if share else float(centre), error, summary.counted, float(sd)
    )


def carry_spread(summaries: tuple[ClubShots, ...], *, prior: float = SPREAD_PRIOR) -> float:
    """Shot-to-shot standard deviation of carry as a share of it, pooled over clubs with the prior's as so many balls."""
    several = [g.carry for g in summaries if g.carry.degrees > PRIOR_BALLS]
    counts = [c.degrees - PRIOR_BALLS + 1 for c in several]
    return float(pooled_share([c.sd / c.mean for c in several], counts=counts, prior=prior))
