"""What practice says of woods from irons: how much further a driver and a 3-wood carry than a 7-iron.

Circulated averages (common practice, no source): a driver carries 1.60 times the 7-iron's carry at 90 and 92 mph of head
speed with the 7-iron, 1.55 and 1.49 at 76 and 78 mph, 1.43 at 62 mph; a 3-wood 1.41 times at 90 and 92 mph and 1.38 at
76 mph. A tie is an observation of the usual clubs with a stated error: balls hit with a wood outweigh it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.clubs.norms import norm_club
from engine.units import MPH

TIE_SPEED = float(np.log(90 * MPH))


@dataclass(frozen=True, slots=True)
class Tie:
    """Log of a wood's carry over that of the 7-iron: ``level`` at 90 mph, ``by_speed`` per log of 7-iron speed."""

    club: str
    level: float
    by_speed: float
    sd: float


IRON = "7i"
TIES = (Tie("dr", 0.467, 0.29, 0.05), Tie("3w", 0.345, 0.13, 0.05))


def tied_clubs(sex: str | None) -> tuple[object, ...]:
    """The usual 7-iron and the usual woods of `TIES`."""
    return tuple(norm_club(i, sex) for i in (IRON, *(t.club for t in TIES)))
