"""What a survey of bodies says of a player's measures: estimates with their spread, and segment lengths.

Source of the regressions and means: the 2012 Anthropometric Survey of US Army Personnel, public file (4082
men, 1986 women; young, fit, barefoot), least squares computed from the file. Residual standard deviations
are those of the same fits. Body segments: Drillis and Contini 1966, as printed in Winter, Biomechanics and
Motor Control of Human Movement, fig. 4.1, from memory; the survey's own ratios agree within 1 %.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..statistics import NINETY

SHOE_M = 0.025  # [m] a shod heel stands higher; common practice, no source


@dataclass(frozen=True, slots=True)
class Estimate:
    """A measure not taken but estimated: mean and standard deviation [m], and where it comes from."""

    mean_m: float
    sd_m: float
    basis: str

    @property
    def lo90_m(self) -> float:
        return self.mean_m - NINETY * self.sd_m

    @property
    def hi90_m(self) -> float:
        return self.mean_m + NINETY * self.sd_m


@dataclass(frozen=True, slots=True)
class Fit:
    """y = b0 + b1 * stature (+ b2 * span), residual standard deviation; all in [mm]."""

    b0: float
    b1: float
    b2: float
    residual: float


FITS: dict[str, dict[str, Fit]] = {
    "wrist_by_stature": {
        "male": Fit(-66.37901, 0.52038, 0.0, 21.51288),
        "female": Fit(-33.51637, 0.50827, 0.0, 19.85622),
    },
    "wrist_by_stature_and_span": {
        "male": Fit(-59.78329, 0.74805, -0.22403, 18.6262),
        "female": Fit(-49.70171, 0.7777, -0.25452, 15.73358),
    },
    "span": {
        "male": Fit(29.44065, 1.01623, 0.0, 48.06482),
        "female": Fit(-63.59178, 1.05859, 0.0, 47.61179),
    },
    "hand": {
        "male": Fit(21.74298, 0.09767, 0.0, 7.35629),
        "female": Fit(16.23417, 0.10123, 0.0, 7.67637),
    },
}

MEANS_M: dict[str, dict[str, float]] = {
    "male": {"stature": 1.7562146, "wrist_height": 0.8475115, "span": 1.8141543, "hand": 0.1932778},
    "female": {"stature": 1.6284733, "wrist_height": 0.7941903, "span": 1.6602865, "hand": 0.1810831},
}
RATIOS: dict[str, dict[str, float]] = {
    "male": {"wrist_height": 0.4825, "wrist_height_sd": 0.0123, "span": 1.033, "biacromial": 0.2368},
    "female": {"wrist_height": 0.4877, "wrist_height_sd": 0.0122, "span": 1.0195, "biacromial": 0.2244},
}
"""Means of each person's measure over stature [-]."""

SEGMENTS: dict[str, float] = {
    "eye_height": 0.936,
    "chin_height": 0.870,
    "shoulder_height": 0.818,
    "elbow_height": 0.630,
    "hip_height": 0.530,
    "wrist_height": 0.485,
    "fingertip_height": 0.377,
    "knee_height": 0.285,
    "ankle_height": 0.039,
    "upper_arm": 0.186,
    "forearm": 0.146,
    "hand": 0.108,
    "thigh": 0.245,
    "shank": 0.246,
    "foot": 0.152,
}
"""Fractions of stature [-] (Drillis and Contini 1966 in Winter, fig. 4.1; from memory)."""


def wrist_to_floor(
    height_m: float, *, wingspan_m: float | None = None, sex: str | None = None, shoe_m: float = SHOE_M
) -> Estimate:
    """Height of the wrist crease above the floor, arms hanging, from stature and, better, the span of the
    arms.

    Parameters
    ----------
    height_m : stature, barefoot [m]
    wingspan_m : fingertip to fingertip [m], if measured
    sex : ``"female"``, ``"male"``; ``None`` takes the middle of both and a wider spread
    shoe_m : height of the heel [m] the measure is taken in; 0 for barefoot

    Returns
    -------
    Estimate
        In shoes of the stated heel. Stature alone leaves about 2 cm of standard deviation, which is why a
        tape measure is better.

    >>> alone, spanned = wrist_to_floor(1.78), wrist_to_floor(1.78, wingspan_m=1.84)
    >>> spanned.mean_m < alone.mean_m and spanned.sd_m < alone.sd_m
    True
    """
    name = "wrist_by_stature" if wingspan_m is None else "wrist_by_stature_and_span"
    guess = _predict(name, height_m, wingspan_m, sex)
    return Estimate(guess.mean_m + shoe_m, guess.sd_m, guess.basis)


def wingspan(height_m: float, *, sex: str | None = None) -> Estimate:
    """Span of the arms from stature, both [m]."""
    return _predict("span", height_m, None, sex)


def hand_length(height_m: float, *, sex: str | None = None) -> Estimate:
    """Length of the hand, wrist crease to tip of the middle finger, from stature, both [m]."""
    return _predict("hand", height_m, None, sex)


def mean_of(measure: str, sex: str | None = None) -> float:
    """Survey mean [m] of ``stature``, ``wrist_height``, ``span`` or ``hand``, barefoot."""
    return _by_sex({s: MEANS_M[s][measure] for s in MEANS_M}, sex)


def ratio_of(ratio: str, sex: str | None = None) -> float:
    """Survey mean of a ratio to stature of `RATIOS` [-]; middle of both if sex is not known."""
    return _by_sex({s: RATIOS[s][ratio] for s in RATIOS}, sex)


def segment(name: str, height_m: float = 1.0) -> float:
    """Height or length [m] of a segment of `SEGMENTS` for a stature [m]."""
    return SEGMENTS[name] * height_m


def _by_sex(values: dict[str, float], sex: str | None) -> float:
    if sex in values:
        return values[sex]
    return sum(values.values()) / len(values)


def _predict(name: str, height_m: float, span_m: float | None, sex: str | None) -> Estimate:
    fits = FITS[name]
    chosen = [fits[sex]] if sex in fits else list(fits.values())
    values = [(f.b0 + 1000 * (f.b1 * height_m + f.b2 * (span_m or 0.0))) / 1000 for f in chosen]
    mean = sum(values) / len(values)
    between = sum((v - mean) ** 2 for v in values) / len(values)
    within = sum((f.residual / 1000) ** 2 for f in chosen) / len(chosen)
    given = "stature and span" if span_m is not None else "stature"
    whom = f"{sex} survey" if sex in fits else "mixed survey"
    return Estimate(mean, math.sqrt(within + between), f"{given}, {whom}")
