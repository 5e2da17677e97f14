"""Summaries of draws, against the normal distribution."""

import numpy as np
import pytest
from scipy.stats import norm

from engine.statistics import NINETY, interval


def test_ninety_per_cent_of_a_normal_distribution_lies_within():
    assert norm.cdf(NINETY) - norm.cdf(-NINETY) == pytest.approx(0.9, abs=1e-12)
    draws = norm.ppf((np.arange(20000) + 0.5) / 20000)
    found = interval(3.0 + 2.0 * draws)
    assert (found.mean, found.lo90, found.hi90) == pytest.approx(
        (3.0, 3.0 - 2.0 * NINETY, 3.0 + 2.0 * NINETY), abs=1e-3
    )
