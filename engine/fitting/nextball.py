"""What to hit next to settle the open choice between layouts, and what the balls hit last did to it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from engine.case import Case
from engine.fitting.work import Work
from engine.flight.air import air_of, struck_in
from engine.layouts.compare import DECIDES
from engine.next_ball import Decision, Learned, NextBalls, decision_between, learned, next_balls
from engine.solve import prediction_of, weigh_layouts


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


def next_ball(work: Work) -> NextBall:
    """The ranking for the open choice: the layout favoured against the one it runs closest with."""
    found = work.standing
    if found is None:
        return NextBall(None, None)
    pair = (found.rival, found.best)
    decision = _decision(work.case, pair, work.draws)
    air = struck_in(work.case.conditions)
    ranking = next_balls(
        work.posterior,
        decision,
        clubs=work.present,
        air=air_of(air),
        spread=work.spread,
        full_carry=prediction_of(work.case, work.present, air, draws=work.draws).carry,
    )
    return NextBall(ranking, _last(work, pair, decision))


def _decision(case: Case, pair: tuple[str, str], draws: int) -> Decision:
    """The choice between two layouts with the shots of this case. The other layouts bear on the distances faced."""
    weighed = weigh_layouts(case, draws=draws)
    values = {layout.id: one.values for layout, one in zip(case.layouts, weighed, strict=True)}
    return decision_between(*pair, values[pair[0]], values[pair[1]], measure=DECIDES)


def _last(work: Work, pair: tuple[str, str], now: Decision) -> LastBalls | None:
    """Balls at the end of the list that share club and grip, if others came before them."""
    shots = work.case.shots
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
    before = _decision(replace(work.case, shots=shots[:-count]), pair, work.draws)
    return LastBalls(club, grip, count, learned(before, now))
