"""What the clubs of a layout would do: deliveries and flights of every club for every draw of the posterior."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..physics.impact import DRY_FRICTION
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, carry, deliver
from ..swing.part_swings import PartSwing, part_of
from ..units import DEGREE, RPM

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Prediction:
    """Draws of a set of clubs: every array (draws, clubs). [m], [m/s], [deg], [rpm].

    landing_speed, landing_spin : of the ball as it comes down
    """

    clubs: tuple[Club, ...]
    carry: Array
    side: Array
    apex: Array
    descent: Array
    club_speed: Array
    ball_speed: Array
    launch: Array
    spin: Array
    landing_speed: Array = field(default_factory=lambda: np.zeros(0))
    landing_spin: Array = field(default_factory=lambda: np.zeros(0))

    def columns(self, numbers: Sequence[int]) -> Prediction:
        """The same of some of the columns, in this order."""
        places = list(numbers)
        return Prediction(
            tuple(self.clubs[i] for i in places), *(getattr(self, name)[:, places] for name in FLOWN)
        )


FLOWN = tuple(f.name for f in fields(Prediction) if f.name != "clubs")


def joined(*predictions: Prediction) -> Prediction:
    """Predictions of one swing side by side."""
    arrays = [np.concatenate([getattr(p, name) for p in predictions], axis=1) for name in FLOWN]
    return Prediction(tuple(club for p in predictions for club in p.clubs), *arrays)


MOST_KEPT = 256  # clubs remembered by `Flights`, 20 kB each at 256 draws


def predict(
    posterior: Posterior,
    clubs: tuple[Club, ...],
    air: Air,
    *,
    model: Aerodynamics | None = None,
    height: float = 0.0,
    friction: float = DRY_FRICTION,
    parts: Sequence[PartSwing] = (),
) -> Prediction:
    """Predict clubs (no putters) in an air. The same draws serve every call, so that layouts pair draw by draw.

    ``height`` is that of the landing above the ball [m]; a ball that never gets so high ends at its top, descent 0.
    ``friction`` is that of face and ball, less where the face is wet. ``parts`` are the part swings that the clubs are hit
    with, one each; full swings where there are none.
    """
    arrays = Clubs.of(clubs)
    delivery = deliver(posterior.theta, arrays, friction=friction, part=part_of(parts) if parts else None)
    flight = carry(posterior.theta, delivery, air, model=model, height=height)
    departure = posterior.departure(clubs)
    if parts:
        beside = [part.departure([club]) for club, part in zip(clubs, parts, strict=True)]
        departure = departure + np.concatenate(beside, axis=1)
    own = np.exp(departure)
    return Prediction(
        clubs,
        flight.carry * own,
        flight.side * own,
        flight.apex,
        flight.descent / DEGREE,
        delivery.club_speed,
        delivery.ball_speed,
        delivery.launch,
        delivery.spin / RPM,
        flight.speed,
        flight.spin / RPM,
    )


class Flights:
    """Predictions by one posterior in one air that remember every club flown.

    Layouts share most of their clubs, and a slider moves a few of them: only what has not been flown is, all of it in
    one batch. The draws of a club do not depend on the clubs it is asked for with.
    """

    def __init__(
        self,
        posterior: Posterior,
        air: Air,
        *,
        model: Aerodynamics | None = None,
        height: float = 0.0,
        friction: float = DRY_FRICTION,
        most: int = MOST_KEPT,
    ):
        self.posterior, self.air, self.most = posterior, air, most
        self.how: dict[str, Any] = {"model": model, "height": height, "friction": friction}
        self._known: dict[tuple[object, ...], Array] = {}

    def of(self, *sets: tuple[Club, ...]) -> tuple[Prediction, ...]:
        """A prediction of each set of clubs, as `predict` gives it."""
        missing = {_flown_as(c): c for clubs in sets for c in clubs if _flown_as(c) not in self._known}
        if len(self._known) + len(missing) > self.most:
            self._known.clear()
            missing = {_flown_as(c): c for clubs in sets for c in clubs}
        if missing:
            new = predict(self.posterior, tuple(missing.values()), self.air, **self.how)
            # (clubs, quantities, draws), so that each club's draws lie together
            table = np.stack([getattr(new, name) for name in FLOWN]).transpose(2, 0, 1).copy()
            self._known.update(zip(missing, table, strict=True))
        return tuple(self._gather(clubs) for clubs in sets)

    def _gather(self, clubs: tuple[Club, ...]) -> Prediction:
        if not clubs:
            return predict(self.posterior, (), self.air, **self.how)
        drawn = np.stack([self._known[_flown_as(c)] for c in clubs], axis=2)
        return Prediction(clubs, *drawn)


def _flown_as(club: Club) -> tuple[object, ...]:
    """What of a club its flight depends on; its id for the discrepancy that goes with it."""
    return club.id, club.family, club.length_m, club.loft_deg, club.lie_deg, club.head_kg, club.sleeve_deg
