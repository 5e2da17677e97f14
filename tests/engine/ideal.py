"""What could be told of the players of `truths` by one who knows how they are drawn: the bound for the verdict.

Players of every kind are drawn in their thousands and weighed by how well they agree with the balls that one player hit;
what their sets differ by is what anybody could know of his. The kind of a player is not known, its share is.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from truths import KINDS, Set, _closed, _person, _straight, _table, irons_of

from engine.sets.plan import plan
from engine.sets.predict import Prediction
from engine.sets.usual import DEFAULT_LAYOUTS
from engine.sets.verdict import measure_draws

DRAWS = 400
SPEEDS = {"male": (64.0, 96.0), "female": (52.0, 80.0)}  # [mph], of `truths`


@cache
def population(kind, sex, count, seed):
    """Log carries and descents [deg] (players, clubs) of present clubs and one length, no club departing by itself."""
    rng = np.random.default_rng([seed, KINDS.index(kind), sex == "male"])
    _, bag, _ = _person(rng, Set("any", sex=sex))
    clubs = [*irons_of(bag), *irons_of(plan(DEFAULT_LAYOUTS[2], bag))]
    way = {"table": _table, "closed": _closed, "straight": _straight}[kind]
    carries, falls = [], []
    for _ in range(-(-count // 1500)):
        carry, fall = way(rng, [clubs] * 1500, rng.uniform(*SPEEDS[sex], 1500))
        carries.append(carry)
        falls.append(np.full(carry.shape, np.nan) if fall is None else fall)
    return np.log(np.maximum(np.concatenate(carries), 1.0)), np.concatenate(falls)


def measured(clubs, carry, fall):
    none = np.zeros_like(carry)
    return measure_draws(Prediction(tuple(clubs), carry, none, none, fall, none, none, none, none))


def could_be_told(player, sort, rng, *, count=6000, seed=99):
    """Draws of every measure's difference, one length less the present set, by name."""
    ids = [c.id for c in player.clubs]
    hit = list(dict.fromkeys(player.hit))
    at = [ids.index(i) for i in hit]
    mean = np.log([np.mean([s.carry_m for s in player.case.shots if s.club == i]) for i in hit])
    error, own = player.spread**2 / sort.balls, sort.own**2
    people = [population(k, player.case.player.sex, count, seed) for k in KINDS]
    log, fall = (np.concatenate([p[part] for p in people]) for part in (0, 1))
    fit = -0.5 * ((mean - log[:, at]) ** 2).sum(axis=1) / (error + own)
    rising = np.cumsum(np.exp(fit - fit.max()))
    picked = np.searchsorted(rising / rising[-1], (np.arange(DRAWS) + rng.random()) / DRAWS)
    log, fall = log[picked], fall[picked]
    departs = np.sqrt(own) * rng.standard_normal((DRAWS, len(ids)))
    share = own / (own + error)
    departs[:, at] = share * (mean - log[:, at]) + np.sqrt(own * (1 - share)) * rng.standard_normal(
        (DRAWS, len(at))
    )
    carry = np.exp(log + departs[:, [*range(len(ids)), *(ids.index(c.id) for c in player.single)]])
    a = measured(player.clubs, carry[:, : len(ids)], fall[:, : len(ids)])
    b = measured(player.single, carry[:, len(ids) :], fall[:, len(ids) :])
    return {name: b[name] - a[name] for name in a}
