"""What was measured, gathered per club and grip: robust centre and standard error of each quantity."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..documents.case import Case, Club, Shot
from ..shots.mishits import LEAST_SPREAD
from ..shots.summary import PRIOR_BALLS, SPREAD_PRIOR, Summary, pooled_share, shrunk_sd, summarise
from .parameters import STATED_ATTACK_SD, stated_driver

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
    ``balls`` is 0 for what the player states.
    """

    club: Club
    grip_down: float
    quantity: str
    value: float
    error: float
    balls: int


@dataclass(frozen=True, slots=True)
class ClubShots:
    """The carries of one club at one grip: indices into the case's shots, and their robust summary."""

    club: Club
    grip_down: float
    shots: tuple[int, ...]
    carry: Summary


def gather(
    case: Case, *, swing_size: str | None = None, spread: float = SPREAD_PRIOR
) -> tuple[tuple[Observation, ...], tuple[ClubShots, ...]]:
    """Observations and carry summaries of a case's full swings; shots switched off (``use`` false) are left out of both.

    A stated attack of the driver is one more observation.

    swing_size : id of a part swing, of which they are then; spread : shot-to-shot standard deviation of carry to begin
    from, as a share of it, and for part swings the least that the mishit rule takes it for: three balls must be enough
    """
    groups: dict[tuple[str, float], list[int]] = {}
    for number, shot in enumerate(case.shots):
        if shot.use and shot.swing_size == swing_size:
            groups.setdefault((shot.club, round(shot.grip_down_m, 3)), []).append(number)
    found: list[tuple[Club, float, str, Summary, bool, float]] = []
    summaries: list[ClubShots] = []
    bag = {club.id: club for club in case.bag if club.family != "putter"}
    for (club_id, grip), numbers in sorted(groups.items()):
        if club_id not in bag:
            continue
        club = bag[club_id]
        shots = {n: case.shots[n] for n in numbers}
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
            )
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
    if swing_size is None and (stated := stated_driver(case)) is not None:
        observations.append(Observation(stated[0], 0.0, "attack", stated[1], STATED_ATTACK_SD, 0))
    return tuple(observations), tuple(summaries)


def _summary(
    values: list[float], shots: list[Shot], name: str, spread: float | None, least_spread: float
) -> Summary:
    """The one summary of a quantity over the balls of a club: what the card shows is what the fit takes."""
    return summarise(
        values,
        spread_prior=spread,
        keep=[s.keep for s in shots],
        balls=[s.balls for s in shots],
        sds=[s.carry_sd_m for s in shots] if name == "carry" else None,
        least_spread=least_spread,
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
        club, grip, name, float(np.log(centre)) if share else float(centre), error, summary.counted
    )


def carry_spread(summaries: tuple[ClubShots, ...], *, prior: float = SPREAD_PRIOR) -> float:
    """Shot-to-shot standard deviation of carry as a share of it, pooled over clubs with the prior's as so many balls."""
    several = [g.carry for g in summaries if g.carry.degrees > PRIOR_BALLS]
    counts = [c.degrees - PRIOR_BALLS + 1 for c in several]
    return float(pooled_share([c.sd / c.mean for c in several], counts=counts, prior=prior))
