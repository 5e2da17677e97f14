"""Invented players' part swings, made without the engine: what each wedge truly carries at each of three sizes.

The players are those of `tests.engine.truths`. With physics a part swing is less head speed, hands that lead more or
less, a blow less down and a poorer strike, at a launch by rules of thumb, flown by the player's own coefficients; without
physics it is a share of the full carry that drifts with loft. What a size is worth is common practice, no source: a swing to
the hip carries 35 to 60 % of a full one, to the chest 50 to 75 %, to the shoulder 70 to 90 %. Every wedge has something of
its own beside that.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from engine.documents.case import Case, Shot, SwingSize
from tests.engine.truths import DEGREE, MPH, RPM, Set, closed_coefficients, flown, players, table_coefficients

SIZES = {
    "hip": ((0.55, 0.76), (0.35, 0.60)),
    "chest": ((0.66, 0.86), (0.50, 0.75)),
    "shoulder": ((0.78, 0.95), (0.70, 0.90)),
}
"""Share of head speed, and share of carry, between which a size lies."""
FULL = Set("part swings", hit=4, balls=10)
OWN = 0.03


@dataclass(frozen=True)
class Parts:
    """One player: the case with full swings only, and the true carries [m] of the wedges at each size, by (club, size).

    full : the true full carries; spread : shot-to-shot standard deviation of part swings as a share of carry
    """

    case: Case
    wedges: tuple
    carry: dict
    full: dict
    spread: float

    def hit(self, pairs, rng, *, balls):
        """The case with so many balls of each (club, size) noted."""
        shots = tuple(
            Shot(
                club, carry_m=float(max(self.carry[club, size] * (1 + self.spread * z), 2.0)), swing_size=size
            )
            for club, size in pairs
            for z in rng.standard_normal(balls)
        )
        return replace(self.case, shots=(*self.case.shots, *shots))


def part_players(kind, count, *, seed):
    """So many players of a kind of `tests.engine.truths.KINDS`, the same for the same seed."""
    rng = np.random.default_rng([seed, 77])
    out = []
    for truth in players(kind, FULL, count, seed=seed):
        wedges = tuple(c for c in truth.clubs if c.family == "wedge")
        lofts = np.array([c.loft_deg for c in wedges])
        full = dict(zip((c.id for c in truth.clubs), truth.carry, strict=True))
        carry = {}
        for size, (of_speed, of_carry) in SIZES.items():
            if kind == "straight":
                shares = rng.uniform(*of_carry) * (1 + rng.normal(0, 0.03) * (lofts - 52) / 10)
            else:
                shares = _by_flight(rng, kind, full["7i"], lofts, rng.uniform(*of_speed))
            shares = shares * np.exp(OWN * rng.standard_normal(len(wedges)))
            carry |= {(c.id, size): full[c.id] * x for c, x in zip(wedges, shares, strict=True)}
        sizes = tuple(SwingSize(size, f"to the {size}") for size in SIZES)
        spread = truth.spread * rng.uniform(1.0, 1.6)
        out.append(Parts(replace(truth.case, swing_sizes=sizes), wedges, carry, full, spread))
    return out


def _by_flight(rng, kind, seven_m, lofts, share):
    """Carries of a part swing over those of the full one, by rules of thumb at impact and the kind's own coefficients."""
    speed = (
        (38 + 0.36 * seven_m / 0.9144) * 0.93 * MPH
    )  # [m/s] head speed of a wedge for a 7-iron's carry in [yd]

    def flight(speed, lead, down, strike):
        dynamic = 0.78 * lofts + lead
        spin_loft = dynamic + down
        ball = speed * (1.42 - 0.0105 * (spin_loft - 14)) * strike
        launch = 0.74 * spin_loft - down
        spin = 150 * speed / MPH * np.sin(spin_loft * DEGREE) * RPM
        coefficients = {"table": table_coefficients, "closed": closed_coefficients}[kind]
        return flown(ball[None], launch[None] * DEGREE, spin[None], coefficients)[0][0]

    whole = flight(speed, 0.0, 4.5, 1.0)
    part = flight(
        speed * share, rng.normal(0, 2.5), 4.5 - rng.normal(0.7, 1.0), 1 - abs(rng.normal(0, 0.015))
    )
    return part / whole
