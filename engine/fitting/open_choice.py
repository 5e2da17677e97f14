"""What to hit next to settle the open choice between layouts, and what the balls hit last did to it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..documents.case import Case
from ..physics.air import air_of, struck_in
from ..sets.compare import DECIDES
from ..sets.next_ball import Decision, Learned, NextBalls, decision_between, learned, next_balls
from ..solve import prediction_of, weigh_layouts
from .fitting import Fitting


@dataclass(frozen=True, slots=True)
class LastBalls:
    """The balls hit last, one club at one grip [m], and what they did to the choice that is open now."""

    club: str
    grip_down_m: float
    balls: int
    learned: Learned


@dataclass(frozen=True, slots=True)
class NextBall:
    """``next`` is ``None`` where there is no choice between layouts, ``last`` where no balls are there to speak of."""

    next: NextBalls | None
    last: LastBalls | None


def next_ball(fitting: Fitting) -> NextBall:
    """The ranking for the open choice: the layout favoured against the one it runs closest with."""
    found = fitting.favourite
    if found is None:
        return NextBall(None, None)
    pair = (found.rival, found.best)
    decision = _decision(fitting.case, pair, fitting.draws)
    air = struck_in(fitting.case.conditions)
    ranking = next_balls(
        fitting.posterior,
        decision,
        clubs=fitting.present,
        air=air_of(air),
        spread=fitting.spread,
        full_carry=prediction_of(fitting.case, fitting.present, air, draws=fitting.draws).carry,
    )
    return NextBall(ranking, _last(fitting, pair, decision))


def _decision(case: Case, pair: tuple[str, str], draws: int) -> Decision:
    """The choice between two layouts with the shots of this case. The other layouts bear on the distances faced."""
    weighed = weigh_layouts(case, draws=draws)
    values = {layout.id: one.values for layout, one in zip(case.layouts, weighed, strict=True)}
    return decision_between(*pair, values[pair[0]], values[pair[1]], measure=DECIDES)


def _last(fitting: Fitting, pair: tuple[str, str], now: Decision) -> LastBalls | None:
    """Balls at the end of the list that share club and grip, if others came before them."""
    shots = fitting.case.shots
    if not shots:
        return None
    club, grip = shots[-1].club, shots[-1].grip_down_m
    count = 0
    for shot in reversed(shots):
        if (shot.club, shot.grip_down_m) != (club, grip):
            break
        count += 1
    if count == len(shots):
        return None
    before = _decision(replace(fitting.case, shots=shots[:-count]), pair, fitting.draws)
    return LastBalls(club, grip, count, learned(before, now))
