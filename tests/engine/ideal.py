"""What could be told of the players of `truths` by one who knows how they are drawn: the bound for carries and verdict.

Players of every kind are drawn in their thousands and weighed by how well they agree with the balls that one player hit;
what is left of them is what anybody could know of his carries. The kind of a player is not known, its share is.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from truths import KINDS, _closed, _straight, _table

from engine.sets.predict import Prediction
from engine.sets.verdict import measure_draws

DRAWS = 400
SPEEDS = {"male": (64.0, 96.0), "female": (52.0, 80.0)}  # [mph], of `truths`


@cache
def population(kind, clubs, speeds, count, seed):
    """Log carries and descents [deg] (players, clubs) of present clubs and one length, no club departing by itself."""
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    way = {"table": _table, "closed": _closed, "straight": _straight}[kind]
    carries, falls = [], []
    for _ in range(-(-count // 1500)):
        carry, fall = way(rng, [clubs] * 1500, rng.uniform(*speeds, 1500))
        carries.append(carry)
        falls.append(np.full(carry.shape, np.nan) if fall is None else fall)
    return np.log(np.maximum(np.concatenate(carries), 1.0)), np.concatenate(falls)


def forecast(player, sizes, error, rng, *, speeds=None, kinds=KINDS, count=6000, seed=99):
    """Draws of log carries and descents [deg] (draws, clubs) of present clubs and one length.

    sizes : of the clubs' own departures, each as likely; error : standard error of a mean, as a share; speeds : [mph]
    """
    speeds = speeds or SPEEDS[player.case.player.sex]
    people = [population(k, (*player.clubs, *player.single), speeds, count, seed) for k in kinds]
    log, fall = (np.concatenate([p[part] for p in people]) for part in (0, 1))
    ids = [c.id for c in player.clubs]
    hit = list(dict.fromkeys(player.hit))
    at = [ids.index(i) for i in hit]
    mean = np.log([np.mean([s.carry_m for s in player.case.shots if s.club == i]) for i in hit])
    wide = np.square(sizes)[:, None] + error**2
    fit = -0.5 * (((mean - log[:, at]) ** 2).sum(axis=1) / wide + len(at) * np.log(wide))
    rising = np.cumsum(np.exp(fit - fit.max()))
    picked = np.searchsorted(rising / rising[-1], (np.arange(DRAWS) + rng.random()) / DRAWS)
    size, person = np.divmod(picked, len(log))
    log, fall, own = log[person], fall[person], np.square(sizes)[size, None]
    departs = np.sqrt(own) * rng.standard_normal((DRAWS, len(ids)))
    share = own / (own + error**2)
    departs[:, at] = share * (mean - log[:, at]) + np.sqrt(own * (1 - share)) * rng.standard_normal(
        (DRAWS, len(at))
    )
    return log + departs[:, [*range(len(ids)), *(ids.index(c.id) for c in player.single)]], fall


def measured(clubs, carry, fall):
    none = np.zeros_like(carry)
    return measure_draws(Prediction(tuple(clubs), carry, none, none, fall, none, none, none, none))


def could_be_told(player, sort, rng):
    """Draws of every measure's difference, one length less the present set, by name."""
    log, fall = forecast(player, (sort.own,), player.spread / sort.balls**0.5, rng)
    carry, n = np.exp(log), len(player.clubs)
    a = measured(player.clubs, carry[:, :n], fall[:, :n])
    b = measured(player.single, carry[:, n:], fall[:, n:])
    return {name: b[name] - a[name] for name in a}
