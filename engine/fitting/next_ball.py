"""What to hit next to settle the open choice between layouts, and what the balls hit last did to it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..sets.next_ball import Learned, NextBalls, learned
from .solved import Solved


@dataclass(frozen=True, slots=True)
class LastBalls:
    """The balls hit last, one club at one grip [m], and what they did to the choice that is open now."""

    club: str
    grip_down_m: float
    balls: int
    learned: Learned


@dataclass(frozen=True, slots=True)
class NextBall:
    """``next`` is ``None`` where there is no choice between sets, ``last`` where no balls are there to speak of."""

    next: NextBalls | None
    last: LastBalls | None


def next_ball(solved: Solved) -> NextBall:
    """The ranking for the open choice: the layout favoured against the one it runs closest with."""
    found = solved.open_choice
    if found is None:
        return NextBall(None, None)
    return NextBall(solved.balls_to_hit, _last(solved, (found.behind, found.ahead)))


def _last(solved: Solved, pair: tuple[str, str]) -> LastBalls | None:
    """Balls at the end of the list that share club and grip, if others came before them."""
    shots, earlier = solved.case.full_shots, solved.swing.before_last
    if earlier is None:
        return None
    if (earlier.posterior.days is None) is not (solved.posterior.days is None):
        return None  # with a second day everything is known anew, and less surely
    stay = earlier.case.shots
    before = Solved(replace(solved.case, shots=stay), solved.draws, earlier).decision(*pair)
    return LastBalls(
        shots[-1].club,
        shots[-1].grip_down_m,
        len(shots) - len(stay),
        learned(before, solved.decision(*pair)),
    )
