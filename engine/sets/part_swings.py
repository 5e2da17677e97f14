"""Clubs flown with part swings, and wedge lofts that close the gaps between their carries."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..swing.calibration import Posterior
from ..swing.part_swings import PartSwing
from ..workshop.bending import bend_range
from ..workshop.limits import SMALLEST_BEND_DEG
from ..workshop.steps import angle_step, in_steps
from .compare import NEAR_LOFT_DEG
from .predict import Prediction, predict

Array = NDArray[np.float64]

MOST_BENT = 4  # wedges, the loftiest: every step of every one of them is tried with every other's
ALIKE = 0.05  # [m]
LEAST_GAIN_M = 0.5  # of the widest gap; less is not worth a bend; ours


def predict_parts(
    posterior: Posterior, swung: Sequence[tuple[Club, PartSwing]], air: Air, **how: Any
) -> Prediction:
    """Predict clubs with a part swing each in an air, a column for each pair; ``how`` as `engine.sets.predict.predict` has
    it.
    """
    return predict(posterior, tuple(c for c, _ in swung), air, parts=[part for _, part in swung], **how)


@dataclass(frozen=True, slots=True)
class WedgeLoft:
    """The loft of a wedge [deg] as it is and as the gaps ask for."""

    club: str
    name: str
    loft_deg: float
    wanted_loft_deg: float


@dataclass(frozen=True, slots=True)
class WedgeLofts:
    """Lofts of the wedges for the gaps between their carries, full and with part swings.

    widest_m, widest_after_m : the widest of these gaps [m] with the lofts as they are and as wanted; met : whether every
    gap is then as wanted; hit_first : whether wedges stay as they are that nobody has hit yet
    """

    clubs: tuple[WedgeLoft, ...]
    widest_m: float
    widest_after_m: float
    met: bool
    hit_first: bool = False


def lofts_for_part_gaps(
    posterior: Posterior,
    wedges: Sequence[Club],
    swings: Sequence[Sequence[PartSwing]],
    air: Air,
    *,
    gap_m: float,
    heads: Sequence[Club] = (),
    least_bend_deg: float = SMALLEST_BEND_DEG,
    model: Aerodynamics | None = None,
) -> WedgeLofts | None:
    """The lofts with which the widest gap between neighbouring carries of the wedges exceeds a wanted one the least, by the
    least bending; as they are if it would not get smaller by `LEAST_GAIN_M`; ``None`` with fewer than two wedges or no part
    swing.

    Parameters
    ----------
    wedges : as built; the one of least loft keeps its loft
    swings : for each of them the part swings that count, besides the full one
    gap_m : widest gap wanted [m], from the full swing of the strongest wedge to the shortest carry
    heads : the clubs whose heads are bent, by id; a wedge without one is taken as it is
    least_bend_deg : least bend [deg] worth ordering
    """
    if len(wedges) < 2 or not any(swings):
        return None
    order = sorted(range(len(wedges)), key=lambda i: wedges[i].loft_deg)
    made = [wedges[i] for i in order]
    have = {club.id: club for club in heads}
    fixed = len(made) - min(len(made) - 1, MOST_BENT)
    tries = [
        [club] if i < fixed else _tries(club, have.get(club.id), least_bend_deg)
        for i, club in enumerate(made)
    ]
    means = [_means(posterior, tries[k], swings[i], air, model) for k, i in enumerate(order)]
    present = np.array([club.loft_deg for club in made])
    now = tuple([c.loft_deg for c in clubs].index(loft) for clubs, loft in zip(tries, present, strict=True))
    chosen, best = now, (math.inf, math.inf, math.inf)
    before = float(_gaps(means, now).max())
    for picked in itertools.product(*(range(len(clubs)) for clubs in tries)):
        lofts = np.array([clubs[k].loft_deg for clubs, k in zip(tries, picked, strict=True)])
        if picked != now and np.diff(lofts).min() < NEAR_LOFT_DEG:
            continue
        gaps = _gaps(means, picked)
        if picked != now and gaps.max() > before - LEAST_GAIN_M:
            continue
        over = np.maximum(gaps - gap_m, 0)
        bent = float(np.abs(lofts - present).sum())
        score = (round(float(over.max()) / ALIKE), round(float(over.sum()) / ALIKE), bent)
        if score < best:
            chosen, best = picked, score
    after = float(_gaps(means, chosen).max())
    return WedgeLofts(
        tuple(
            WedgeLoft(club.id, club.name or club.id, club.loft_deg, clubs[k].loft_deg)
            for club, clubs, k in zip(made, tries, chosen, strict=True)
        ),
        before,
        after,
        after <= gap_m + ALIKE,
    )


def _tries(club: Club, head: Club | None, least: float) -> list[Club]:
    """The club at every loft its head can be set to, in the steps of the bench, the loft it has among them."""
    if head is None:
        return [club]
    step, (low, high) = angle_step(least), bend_range(head, "loft_deg")
    found = {club.loft_deg}
    for number in range(-int(-low / step), int(high / step) + 1):
        wanted = head.loft_deg + number * step
        found.add(in_steps(head.loft_deg, wanted, step=step, least=least, low=low, high=high))
    return [replace(club, loft_deg=loft) for loft in sorted(found)]


def _means(
    posterior: Posterior,
    clubs: Sequence[Club],
    swings: Sequence[PartSwing],
    air: Air,
    model: Aerodynamics | None,
) -> Array:
    """Mean carries [m] (clubs, full and part swings)."""
    full = predict(posterior, tuple(clubs), air, model=model).carry.mean(axis=0)[:, None]
    parts = predict_parts(posterior, [(c, s) for c in clubs for s in swings], air, model=model)
    return np.concatenate([full, parts.carry.mean(axis=0).reshape(len(clubs), len(swings))], axis=1)


def _gaps(means: Sequence[Array], picked: Sequence[int]) -> Array:
    """Gaps [m] between neighbouring carries from the first wedge's full swing down."""
    carries = np.concatenate([m[k] for m, k in zip(means, picked, strict=True)])
    down = np.sort(carries[carries <= means[0][picked[0]][0]])[::-1]
    return -np.diff(down)
