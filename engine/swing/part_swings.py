"""Part swings of the player's own sizes: a share of full head speed and another launch, learned from their balls.

A part swing is the full swing with four things changed, the same for every club::

    log speed   = that of the full swing + log_share
    face loft   = that of the full swing + loft
    attack      = that of the full swing + attack
    log carry   = flight + departure of the full swing + (tilt - EVEN log_share) over loft + the club's own at this size
                  + error of the balls

The full swing is taken as known, draw by draw: balls of a part swing say nothing of it (the two are cut from one another,
Plummer 2015, Stat. Comput. 25:37, from memory). Each draw's part swing is the most probable one of a draw of the priors and
of the balls' errors, found on a straight line about the middle and moved by what the flown model misses of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Case, Club, SwingSize
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air, air_of, struck_in
from ..units import RPM
from .calibration import Posterior
from .conditioning import standard_normals
from .delivery import Clubs, Part, carry, deliver
from .observations import ClubShots, Observation, carry_spread, gather
from .parameters import CP, INDEX, Parameter

Array = NDArray[np.float64]

# A swing to about hip height carries some 40 to 60 % of a full one, one to shoulder height 70 to 90 %; carry of a wedge goes
# with head speed to the power of about 1.8. Nothing is taken from what a size is called.
SHARED = (
    Parameter("log_share", "log", float(np.log(0.74)), 0.14, CP),
    Parameter("loft", "deg", 0.0, 2.0, CP),
    Parameter("attack", "deg", 0.0, 1.5, CP),
    Parameter("tilt", "log carry/10 deg", 0.0, 0.025, CP),
)
EVEN = 0.055
"""[log carry per 10 deg, per log of 1 / share]: so much a part swing's share of the full carry falls with loft in the flight
model (.04 to .07, by share). It is taken back: the rule of thumb is one share with every wedge (common practice, no
source), and lift at a wedge's spin ratio is the least known of the flight.
"""
OWN_SD = 0.03
"""[log carry], of one club at one size beside the others at that size; common practice, no source."""
MIDDLE_LOFT = 52.0
"""[deg], where the tilt turns: a set's middle wedge; ours."""
WIDER = 1.3
"""Shot-to-shot spread of a part swing over that of a full one, as shares of carry, before its balls tell; common practice,
no source."""
BESIDE_CARRY = {"ball_speed": 0.02, "launch": 1.0, "spin": 0.12}
"""What the full swing's strike and spin may be off at a part swing, in the units of the observations; ours."""
ROUNDS = 4
STEP = 0.05  # [prior sd], for the derivatives


@dataclass(frozen=True, slots=True)
class PartSwing:
    """A part swing after its balls: draws (draws,) of what `SHARED` names and of each hit club's own log carry at this size.

    spread : shot-to-shot standard deviation of carry as a share of it; summaries : its balls by club and grip
    """

    size: SwingSize
    log_share: Array
    loft: Array
    attack: Array
    tilt: Array
    spread: float
    summaries: tuple[ClubShots, ...]
    own: dict[str, Array] = field(default_factory=dict)

    def balls(self, club_id: str) -> int:
        """Balls of a club that counted."""
        return sum(group.carry.counted for group in self.summaries if group.club.id == club_id)

    def departure(self, clubs: Sequence[Club]) -> Array:
        """Draws (draws, clubs) of log carry that the size adds beside speed and launch."""
        draws = len(self.tilt)
        own = [
            self.own[c.id]
            if c.id in self.own
            else OWN_SD * standard_normals(_own_key(self.size, c.id), draws)
            for c in clubs
        ]
        lofts = np.array([c.played_loft_deg for c in clubs])
        tilt = self.tilt - EVEN * self.log_share
        return tilt[:, None] * (lofts - MIDDLE_LOFT) / 10 + np.stack(own, axis=1)


def learn(
    case: Case,
    posterior: Posterior,
    size: SwingSize,
    *,
    full_spread: float,
    model: Aerodynamics | None = None,
) -> PartSwing:
    """A part swing of a case after its balls, beside the posterior of the full swing.

    full_spread : shot-to-shot standard deviation of full carries as a share of them [-]
    """
    spread = WIDER * full_spread
    observations, summaries = gather(case, swing_size=size.id, spread=spread)
    heads = {
        club.id: club.became or club.id for club in case.bag
    }  # a head that was bent keeps what is its own
    clubs = tuple(dict.fromkeys(heads[o.club.id] for o in observations))
    draws = len(posterior.theta)
    keys = [f"part {size.id} {p.name}" for p in SHARED] + [_own_key(size, c) for c in clubs]
    white = np.column_stack([standard_normals(key, draws) for key in keys])
    if observations:
        air = air_of(struck_in(case.conditions))
        white = _conditioned(_Seen(posterior, observations, clubs, heads, air, model), size, white)
    share, loft, attack, tilt = (p.mean + p.sd * white[:, i] for i, p in enumerate(SHARED))
    own = {club: OWN_SD * white[:, len(SHARED) + i] for i, club in enumerate(clubs)}
    return PartSwing(size, share, loft, attack, tilt, carry_spread(summaries, prior=spread), summaries, own)


def part_shots(case: Case, size_id: str) -> tuple[ClubShots, ...]:
    """The carries of a part swing by club and grip, from the case alone."""
    return gather(case, swing_size=size_id, spread=WIDER * carry_spread(gather(case)[1]))[1]


def part_of(swings: Sequence[PartSwing]) -> Part:
    """What part swings (columns) change of the full swing's delivery."""
    log_share, loft, attack = (
        np.stack([getattr(s, name) for s in swings], axis=1) for name in ("log_share", "loft", "attack")
    )
    return Part(log_share, loft, attack)


def _own_key(size: SwingSize, club_id: str) -> str:
    return f"part {size.id} {club_id}"


class _Seen:
    """What was measured of a part swing, and what the model makes of it for whitened unknowns: `SHARED`, then clubs' own."""

    def __init__(
        self,
        posterior: Posterior,
        observations: tuple[Observation, ...],
        clubs: tuple[str, ...],
        heads: Mapping[str, str],
        air: Air,
        model: Aerodynamics | None,
    ):
        self.observations, self.air, self.model = observations, air, model
        pairs = list(dict.fromkeys((o.club.id, o.grip_down) for o in observations))
        by_id = {o.club.id: o.club for o in observations}
        self.clubs = tuple(by_id[i] for i, _ in pairs)
        self.targets = Clubs.of(self.clubs, grip_down=[g for _, g in pairs])
        self.column = [pairs.index((o.club.id, o.grip_down)) for o in observations]
        self.theta, self.full = posterior.theta, posterior.departure(self.clubs)
        self.value = np.array([o.value for o in observations])
        self.error = np.array([np.hypot(o.error, BESIDE_CARRY.get(o.quantity, 0.0)) for o in observations])
        carried = np.array([o.quantity == "carry" for o in observations])
        lofts = np.array([o.club.played_loft_deg for o in observations])
        self.over_loft = (lofts - MIDDLE_LOFT) / 10 * carried
        tilt = SHARED[3].sd * (lofts - MIDDLE_LOFT) / 10
        of_club = [[OWN_SD * (heads[o.club.id] == c) for c in clubs] for o in observations]
        self.beside = (
            np.column_stack([tilt, of_club]) * carried[:, None]
        )  # slopes of all but speed and launch

    def flown(self, white: Array, theta: Array, full: Array) -> Array:
        """Values (rows, observations) for whitened unknowns (rows, unknowns)."""
        share, loft, attack = (p.mean + p.sd * white[:, [i]] for i, p in enumerate(SHARED[:3]))
        delivery = deliver(theta, self.targets, part=Part(share, loft, attack))
        flight = carry(theta, delivery, self.air, model=self.model).carry
        values = {
            "club_speed": np.log(delivery.club_speed),
            "ball_speed": np.log(delivery.ball_speed),
            "launch": delivery.launch,
            "spin": np.log(np.maximum(delivery.spin, 1e-3) / RPM),
            "carry": np.log(np.maximum(flight, 0.1)) + full + theta[:, INDEX["range_ball"], None],
        }
        told = [values[o.quantity][:, c] for o, c in zip(self.observations, self.column, strict=True)]
        return np.asarray(
            np.stack(told, axis=1) - EVEN * share * self.over_loft + white[:, 3:] @ self.beside.T
        )

    def slopes(self, at: Array) -> tuple[Array, Array]:
        """Values (observations,) and their slopes (observations, unknowns) at one point for the middle of the full swing."""
        rows = np.tile(at, (4, 1))
        rows[[1, 2, 3], [0, 1, 2]] += STEP
        theta, full = (np.tile(x.mean(axis=0), (4, 1)) for x in (self.theta, self.full))
        values = self.flown(rows, theta, full)
        return values[0], np.column_stack([((values[1:] - values[0]) / STEP).T, self.beside])


def _conditioned(seen: _Seen, size: SwingSize, white: Array) -> Array:
    """Draws of the whitened unknowns (draws, unknowns) moved from the prior to what was measured."""
    top = np.zeros(white.shape[1])
    for _ in range(ROUNDS):
        value, slope = seen.slopes(top)
        gain = np.linalg.solve(slope @ slope.T + np.diag(seen.error**2), slope)
        top = (seen.value - value + slope @ top) @ gain
    keys = [
        " ".join(("part", size.id, o.club.id, f"{o.grip_down:.3f}", o.quantity)) for o in seen.observations
    ]
    noise = np.column_stack([standard_normals(key, len(white)) for key in keys]) * seen.error
    found = white
    for _ in range(ROUNDS):
        off = seen.value + noise - seen.flown(found, seen.theta, seen.full) + (found - white) @ slope.T
        found = white + off @ gain
    return found
