"""What was measured, gathered per club and grip: robust centre and standard error of each quantity."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.case import Case, Club, Shot
from engine.shots.robust import Summary, pooled_share, shrunk_sd, summarise

CARRY_FLOOR = 0.004  # [log carry], standard error that more balls do not cut
# quantity of a shot: (name in the model, is its error a share of it, standard error that more balls do not cut)
QUANTITIES = {
    "carry_m": ("carry", True, CARRY_FLOOR),
    "club_speed_mps": ("club_speed", True, 0.012),
    "ball_speed_mps": ("ball_speed", True, 0.008),
    "launch_deg": ("launch", False, 0.7),
    "spin_rpm": ("spin", True, 0.05),
}
SPREAD = {"carry": 0.065, "club_speed": 0.02, "ball_speed": 0.03, "launch": 2.0, "spin": 0.12}
"""Shot-to-shot standard deviation where too few balls tell: share of the value, launch in [deg]; common practice."""


@dataclass(frozen=True, slots=True)
class Observation:
    """The centre of one quantity over the balls of one club at one grip.

    ``value`` and ``error`` are in logs for shares, in [deg] for launch; ``error`` is one standard error.
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


def gather(case: Case) -> tuple[tuple[Observation, ...], tuple[ClubShots, ...]]:
    """Observations and carry summaries of a case; shots switched off (``use`` false) are left out of both."""
    groups: dict[tuple[str, float], list[int]] = {}
    for number, shot in enumerate(case.shots):
        if shot.use:
            groups.setdefault((shot.club, round(shot.grip_down_m, 3)), []).append(number)
    observations: list[Observation] = []
    summaries: list[ClubShots] = []
    bag = {club.id: club for club in case.bag if club.family != "putter"}
    for (club_id, grip), numbers in sorted(groups.items()):
        if club_id not in bag:
            continue
        club = bag[club_id]
        good = numbers
        carried = [n for n in numbers if case.shots[n].carry_m is not None]
        if carried:
            summary = summarise(
                [carry for n in carried if (carry := case.shots[n].carry_m) is not None],
                spread_prior=SPREAD["carry"],
                keep=[case.shots[n].keep for n in carried],
                balls=[case.shots[n].balls for n in carried],
            )
            summaries.append(ClubShots(club, grip, tuple(carried), summary))
            mishits = {n for n, kept in zip(carried, summary.used, strict=True) if not kept}
            good = [n for n in numbers if n not in mishits]
        for field, (name, share, floor) in QUANTITIES.items():
            observation = _observation(club, grip, name, [case.shots[n] for n in good], field, share, floor)
            if observation:
                observations.append(observation)
    return tuple(observations), tuple(summaries)


def _observation(
    club: Club, grip: float, name: str, shots: list[Shot], field: str, share: bool, floor: float
) -> Observation | None:
    told = sorted(
        (float(v), s.balls) for s in shots if (v := getattr(s, field)) is not None
    )  # any order, one sum
    if share:
        told = [(v, w) for v, w in told if v > 0]
    if not told:
        return None
    values, balls = (np.array(x) for x in zip(*told, strict=True))
    centre = summarise(values, balls=balls.tolist()).mean
    n, count = values.size, float(balls.sum())
    middle = float(balls @ values) / count
    own = (
        float(np.sqrt(balls @ (values - middle) ** 2 / (n - 1))) / (centre if share else 1.0)
        if n > 1
        else 0.0
    )
    sd = shrunk_sd(own, n=n, towards=SPREAD[name])
    error = float(np.hypot(sd / np.sqrt(count), floor))
    return Observation(
        club, grip, name, float(np.log(centre)) if share else float(centre), error, round(count)
    )


def carry_spread(summaries: tuple[ClubShots, ...]) -> float:
    """Shot-to-shot standard deviation of carry as a share of it, pooled over clubs with the prior's as so many balls."""
    several = [g.carry for g in summaries if sum(g.carry.used) > 1]
    return float(pooled_share([c.sd / c.mean for c in several], counts=[sum(c.used) for c in several]))
