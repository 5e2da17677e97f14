"""What practice says of a set as a whole: how carries of the usual clubs hang together, whoever swings them.

Each tie is a sum of log carries of usual clubs, observed with a stated error: balls outweigh it, but parameters that no
ball tells apart cannot make a set that nobody has. Levels are circulated averages (common practice, no source):

driver, 3-wood  a driver carries 1.60 times the 7-iron at 90 and 92 mph of head speed with the 7-iron, 1.55 and 1.49 at 76
                and 78 mph, 1.43 at 62 mph; a 3-wood 1.41 times at 90 and 92 mph and 1.38 at 76 mph
fall            from a 4-iron of 24 deg to a wedge of 47 deg .40 to .41 of log carry at 90 mph, .47 at 76 and 78 mph; half
                of that difference is taken for granted
bow             carries lie on a straight line over loft, men's and women's, within a per cent
wedges          the same gaps go on down to the lob wedge
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Club
from ..units import MPH
from ..workshop.norms import norm_club

Array = NDArray[np.float64]

TIE_SPEED = float(np.log(90 * MPH))


@dataclass(frozen=True, slots=True)
class Tie:
    """A sum of log carries: ``of`` usual clubs by weight is ``level`` at 90 mph, ``by_speed`` more per log of speed."""

    name: str
    of: dict[str, float]
    level: float
    by_speed: float
    sd: float


TIES = (
    Tie("driver", {"dr": 1, "7i": -1}, 0.467, 0.29, 0.05),
    Tie("3-wood", {"3w": 1, "7i": -1}, 0.345, 0.13, 0.05),
)
IDS = tuple(dict.fromkeys(i for tie in TIES for i in tie.of))


def usual_clubs(sex: str | None) -> tuple[Club, ...]:
    """The usual clubs that the ties speak of, in the order of the columns of `weights`."""
    return tuple(norm_club(i, sex) for i in IDS)


def weights() -> Array:
    """(ties, clubs): how much of each usual club's log carry is in each tie."""
    return np.array([[tie.of.get(i, 0.0) for i in IDS] for tie in TIES])
