"""What practice says of a set as a whole: how carries of the usual clubs hang together, whoever swings them.

Each tie is a sum of log carries of usual clubs, observed with a stated error: balls outweigh it, but parameters that no
ball tells apart cannot make a set that nobody has. Levels are circulated averages (common practice, no source): a driver
carries 1.60 times the 7-iron at 90 and 92 mph of head speed with the 7-iron, 1.55 and 1.49 at 76 and 78 mph, 1.43 at 62 mph;
a 3-wood 1.41 times at 90 and 92 mph and 1.38 at 76 mph.
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
TIED = ("driver", "fairway")


@dataclass(frozen=True, slots=True)
class Tied:
    """Whitened parameters (parameters,) from independent standard normals, so that ties hold and move the woods alone.

    What practice says of woods beside irons must say nothing of irons: given all that irons share with them, only the woods'
    own parameters are conditioned on the ties (a cut; Plummer 2015, Stat. Comput. 25:37, from memory).

    at : (parameters,); of_free : (parameters, parameters); of_loft : (parameters, smooth weights), since the irons'
    departure over loft is in the ties; of_off : (parameters, ties), what a tie that is off by so much [log carry] moves
    """

    at: Array
    of_free: Array
    of_loft: Array
    of_off: Array

    @classmethod
    def of(cls, slope: Array, of_loft: Array, rest: Array, error: Array, woods: NDArray[np.bool_]) -> Tied:
        """From the ties as straight lines: slopes by whitened parameters and by weights of the smooth part, what is left of
        their levels at the prior's middle, standard errors, and which parameters are the woods' own."""
        own = slope * woods
        gain = np.asarray(np.linalg.solve(own @ own.T + np.diag(error**2), own).T, float)
        left = (np.eye(len(woods)) - gain @ own)[np.ix_(woods, woods)]
        of_free = np.eye(len(woods)) - gain @ (slope * ~woods)
        of_free[np.ix_(woods, woods)] = np.linalg.cholesky((left + left.T) / 2)
        return cls(gain @ rest, of_free, -gain @ of_loft, gain)

    def white(self, free: Array, smooth: Array) -> Array:
        """Whitened parameters (draws, parameters) of standard normals and weights of the smooth part (draws, weights)."""
        return np.asarray(self.at + free @ self.of_free.T + smooth @ self.of_loft.T)

    def precision(self, free: Array, smooth_sd: Array) -> Array:
        """Precision of whitened unknowns (parameters, smooth, clubs) from that of the normals in the parameters' place."""
        count = len(self.at)
        back = np.eye(len(free))
        back[:count, :count] = np.linalg.inv(self.of_free)
        back[:count, count : count + len(smooth_sd)] = -back[:count, :count] @ (self.of_loft * smooth_sd)
        return np.asarray(back.T @ free @ back)


def usual_clubs(sex: str | None) -> tuple[Club, ...]:
    """The usual clubs that the ties speak of, in the order of the columns of `weights`."""
    return tuple(norm_club(i, sex) for i in IDS)


def weights() -> Array:
    """(ties, clubs): how much of each usual club's log carry is in each tie."""
    return np.array([[tie.of.get(i, 0.0) for i in IDS] for tie in TIES])
