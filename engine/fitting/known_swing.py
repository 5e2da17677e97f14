"""What is known of a swing after its shots, and the clubs flown with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from operator import attrgetter

from ..documents.case import Case, Club, Conditions, Session, Shot, Wants
from ..physics.air import air_of
from ..physics.impact import DRY_FRICTION, WET_FRICTION
from ..sets.predict import Flights, Prediction
from ..swing.calibration import Posterior, calibrate
from ..swing.part_swings import PartSwing, learn

DRAWS = 256
MOST_AIRS = 6  # and heights whose flights are kept, those asked for last


class KnownSwing:
    """The posterior of a completed case's swing, made when first asked for, and every club flown by it, air by air.

    It rests on player, stated swing, bag, shots, their sessions and conditions alone, so that cases alike in those share it.
    """

    def __init__(self, case: Case, draws: int = DRAWS) -> None:
        self.case, self.draws = _told(case), draws
        self._flights: dict[tuple[Conditions, float, bool], Flights] = {}
        self._parts: dict[tuple[object, ...], PartSwing] = {}

    def tells_of(self, case: Case) -> bool:
        """Whether a completed case has this very swing: player, stated swing, bag, shots, sessions and conditions."""
        return self.case == _told(case)

    @cached_property
    def posterior(self) -> Posterior:
        return calibrate(self.case, draws=self.draws)

    def part_swings(self, case: Case, *, spread: float) -> tuple[PartSwing, ...]:
        """The part swings of a case that has this swing; each is learned anew only where it or its balls are others."""
        known, self._parts = self._parts, {}
        for size in case.swing_sizes:
            balls = tuple((n, shot) for n, shot in enumerate(case.shots) if shot.swing_size == size.id)
            told = size, balls, spread, _days(case, case.shots), case.wants.half_life_days
            self._parts[told] = known.get(told) or learn(case, self.posterior, size, full_spread=spread)
        return tuple(self._parts.values())

    @cached_property
    def before_last(self) -> KnownSwing | None:
        """The swing as it was known before the balls at the end of the list that share club and grip; ``None`` where no
        others came before them.
        """
        shots = tuple(shot for shot in self.case.shots if shot != _blank(shot))
        stay = len(shots)
        alike = attrgetter("club", "grip_down_m", "session")
        while stay and alike(shots[stay - 1]) == alike(shots[-1]):
            stay -= 1
        return KnownSwing(replace(self.case, shots=shots[:stay]), self.draws) if stay else None

    @cached_property
    def before_retest(self) -> KnownSwing:
        """The swing as it was known before the balls of a re-test of clubs in the bag."""
        shots = tuple(shot for shot in self.case.shots if shot.layout is None)
        return KnownSwing(replace(self.case, shots=shots), self.draws)

    def predict(
        self,
        sets: Sequence[tuple[Club, ...]],
        air: Conditions,
        *,
        height: float = 0.0,
        wet: bool = False,
    ) -> tuple[Prediction, ...]:
        """A prediction of each set of clubs landing at a height [m], off a dry face or a wet one; only those not flown
        before in this way are flown, in one batch."""
        asked = air, height, wet
        flights = self._flights.pop(asked, None) or Flights(
            self.posterior, air_of(air), height=height, friction=WET_FRICTION if wet else DRY_FRICTION
        )
        self._flights[asked] = flights  # the last asked for stands last
        if len(self._flights) > MOST_AIRS:
            del self._flights[next(iter(self._flights))]
        return flights.of(*sets)


def _told(case: Case) -> Case:
    """What of a case the swing rests on; it is the same whatever the player is called, and whatever part swings were hit.

    A part swing's ball is a blank that keeps the place of the others.
    """
    player = replace(case.player, label="", id=None, note="", tags=())
    last = next((n for n in range(len(case.shots), 0, -1) if case.shots[n - 1].swing_size is None), 0)
    shots = tuple(_bare(s) if s.swing_size is None else _blank(s) for s in case.shots[:last])
    sessions = _days(case, shots)
    wants = Wants(half_life_days=case.wants.half_life_days if sessions else None)
    return Case(player, case.swing, case.bag, shots, case.conditions, wants=wants, sessions=sessions)


def _days(case: Case, shots: Sequence[Shot]) -> tuple[Session, ...]:
    """What of the sessions of balls the swing rests on."""
    hit = {shot.session for shot in shots}
    return tuple(
        Session(one.id, one.date, conditions=one.conditions) for one in case.sessions if one.id in hit
    )


def _bare(shot: Shot) -> Shot:
    return shot if shot.id is None and shot.by is None else replace(shot, id=None, by=None)


def _blank(shot: Shot) -> Shot:
    return Shot(shot.club, use=False)
