"""Invented players drawn from the priors, and their simulated shots: the yardstick for intervals."""

from __future__ import annotations

import numpy as np

from engine.documents.case import Case, Player, Shot
from engine.physics.air import REFERENCE, air_of
from engine.sets.plan import plan
from engine.sets.usual import DEFAULT_LAYOUTS
from engine.swing.delivery import Clubs, carry, deliver
from engine.swing.parameters import DISCREPANCY_SD, prior
from engine.workshop.norms import norm_bag

SCATTER = 0.06  # shot-to-shot share of carry


class SimulatedPlayer:
    """A truth: swing parameters from the prior and a discrepancy for each club, and what each club truly carries."""

    def __init__(self, seed, *, model=None, discrepancy=DISCREPANCY_SD):
        self.rng = np.random.default_rng(seed)
        sex = "male" if self.rng.random() < 0.6 else "female"
        self.player = Player(
            sex=sex,
            height_m=float(np.clip(self.rng.normal(1.75 if sex == "male" else 1.63, 0.06), 1.45, 2.0)),
        )
        self.bag = norm_bag(sex)
        mean, sd = prior(Case(player=self.player))
        self.theta = (mean + sd * self.rng.standard_normal(len(mean)))[None]
        self.own = {c.id: float(np.exp(self.rng.normal(0, discrepancy))) for c in self.bag}
        self.model = model

    def carries(self, clubs, *, grip_down=0.0):
        """True mean carries [m] of clubs."""
        arrays = Clubs.of(clubs, grip_down=grip_down)
        flight = carry(self.theta, deliver(self.theta, arrays), air_of(REFERENCE), model=self.model)
        return flight.carry[0] * np.array([self.own[c.id] for c in clubs])

    def shots(self, club_ids, balls, *, grip_down=0.0):
        """Simulated shots: carries scattered about the truth."""
        clubs = [next(c for c in self.bag if c.id == i) for i in club_ids]
        out = []
        for club, true in zip(clubs, self.carries(clubs, grip_down=grip_down), strict=True):
            for value in true * (1 + SCATTER * self.rng.standard_normal(balls)):
                out.append(Shot(club.id, carry_m=float(np.clip(value, 2, 390)), grip_down_m=grip_down))
        return tuple(out)

    def case(self, shots):
        return Case(player=self.player, bag=self.bag, shots=shots)

    def single(self):
        """The clubs of the default single-length set."""
        return plan(DEFAULT_LAYOUTS[2], self.bag)
