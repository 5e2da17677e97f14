"""What the verdict says of invented players whose truth is known, for every measure that it tells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from truths import KINDS, Set, players

from engine.physics.air import REFERENCE, air_of
from engine.sets.predict import Prediction, predict
from engine.sets.verdict import MEASURES, measure_draws
from engine.swing.calibration import calibrate

AIR = air_of(REFERENCE)
SETS = (Set("as they come"), Set("own 1 %", own=0.01), Set("own 2 %", own=0.02), Set("two clubs", hit=2))
PHYSICS = ("top_descent_deg", "irons_kept")


def truth_measures(clubs, carry, descent):
    """The measures of a true set, by the engine's own definition of them: the numbers that go in are the truth's."""
    fall = np.full(len(clubs), np.nan) if descent is None else descent
    none = np.zeros((1, len(clubs)))
    prediction = Prediction(tuple(clubs), carry[None], none, none, fall[None], none, none, none, none)
    values = measure_draws(prediction)
    return {k: float(v[0]) for k, v in values.items() if descent is not None or k not in PHYSICS}


@dataclass
class Judged:
    """One measure of one player: draws of the difference of one length against the present set, and the true one."""

    measure: str
    kind: str
    draws: np.ndarray
    true: float


def players_of(count, *, seed, sorts=SETS, kinds=KINDS):
    """So many players shared out over kinds and sorts."""
    each = -(-count // (len(kinds) * len(sorts)))
    out = [p for kind in kinds for sort in sorts for p in players(kind, sort, each, seed=seed)]
    return out[:: max(len(out) // count, 1)][:count]


def judged(count, *, seed, **shared):
    """So many players and what is judged of each."""
    return [(player, judge(player)) for player in players_of(count, seed=seed, **shared)]


def judge(player, *, draws=256, case=None):
    posterior = calibrate(case or player.case, draws=draws)
    base = predict(posterior, player.clubs, AIR)
    other = predict(posterior, player.single, AIR)
    a, b = measure_draws(base), measure_draws(other)
    t_a = truth_measures(player.clubs, player.carry, player.descent)
    t_b = truth_measures(player.single, player.single_carry, player.single_descent)
    return [
        Judged(m.name, player.kind, b[m.name] - a[m.name], t_b[m.name] - t_a[m.name])
        for m in MEASURES
        if m.name in a and m.name in t_a
    ], (base, other, posterior)
