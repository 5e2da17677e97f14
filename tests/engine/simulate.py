"""Invented players with swings drawn from the priors, and their simulated shots: the yardstick for intervals.

How their carries depart from the flight model is drawn here by other forms than the engine's; players who share nothing
with the engine are in `truths`.
"""

from __future__ import annotations

import numpy as np

from engine.documents.case import Case, Player, Shot
from engine.physics.air import REFERENCE, air_of
from engine.sets.plan import plan
from engine.sets.usual import DEFAULT_LAYOUTS
from engine.swing.delivery import Clubs, carry, deliver
from engine.swing.departures import expected
from engine.swing.parameters import prior
from engine.workshop.norms import norm_bag

SCATTER = 0.06  # shot-to-shot share of carry
OWN = (0.005, 0.01, 0.02, 0.03)  # of carry, how far a player's clubs depart one by one; players differ in it
TILT, WAVE = 0.015, 0.01  # of carry: a tilt every 10 deg of loft, and the height of a slow wave over it


class SimulatedPlayer:
    """A truth: swing parameters from the prior, a tilt and a wave over loft, and a departure for each club."""

    def __init__(self, seed, *, model=None, discrepancy=None):
        self.rng = np.random.default_rng(seed)
        sex = "male" if self.rng.random() < 0.6 else "female"
        self.player = Player(
            sex=sex,
            height_m=float(np.clip(self.rng.normal(1.75 if sex == "male" else 1.63, 0.06), 1.45, 2.0)),
        )
        self.bag = norm_bag(sex)
        mean, sd = prior(Case(player=self.player))
        self.theta = (mean + sd * self.rng.standard_normal(len(mean)))[None]
        size = float(self.rng.choice(OWN)) if discrepancy is None else discrepancy
        self.own = {c.id: float(np.exp(self.rng.normal(0, size))) for c in self.bag}
        self.tilt, self.wave = TILT * self.rng.standard_normal(), WAVE * self.rng.standard_normal()
        self.phase = self.rng.uniform(0, 2 * np.pi)
        self.model = model

    def carries(self, clubs, *, grip_down=0.0):
        """True mean carries [m] of clubs."""
        arrays = Clubs.of(clubs, grip_down=grip_down)
        flight = carry(self.theta, deliver(self.theta, arrays), air_of(REFERENCE), model=self.model)
        at = (arrays.loft - 36) / 10
        smooth = self.tilt * at + self.wave * np.sin(2 * np.pi * at / 5 + self.phase)
        smooth = np.where([f in ("driver", "fairway") for f in arrays.family], 0.0, smooth)
        smooth = smooth + expected(self.theta, arrays.loft, arrays.family)[0]
        return flight.carry[0] * np.exp(smooth) * np.array([self.own[c.id] for c in clubs])

    def shots(self, club_ids, balls, *, grip_down=0.0):
        """Simulated shots: carries scattered about the truth."""
        clubs = [next(c for c in self.bag if c.id == i) for i in club_ids]
        out = []
        for club, true in zip(clubs, self.carries(clubs, grip_down=grip_down), strict=True):
            out += [
                Shot(club.id, carry_m=float(np.clip(value, 2, 390)), grip_down_m=grip_down)
                for value in true * (1 + SCATTER * self.rng.standard_normal(balls))
            ]
        return tuple(out)

    def case(self, shots):
        return Case(player=self.player, bag=self.bag, shots=shots)

    def single(self):
        """The clubs of the default single-length set."""
        return plan(DEFAULT_LAYOUTS[2], self.bag)
