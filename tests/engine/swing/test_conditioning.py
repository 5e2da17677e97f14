"""Closed forms of `engine.swing.conditioning` against the normal distribution written out, by scipy and by hand."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from engine.swing import departures
from engine.swing.conditioning import Chances, Line, condition, foreseen
from engine.swing.departures import (
    BEND_SD,
    BEND_WEIGHT,
    OWN_SD,
    OWN_WEIGHT,
    SWAPPED_CHANCE,
    SWAPPED_SD,
    WRONG_CHANCE,
    WRONG_SD,
    weight_sd,
)

LOFTS = np.array([24.0, 31.0, 38.5, 47.0, 31.0])
FAMILIES = ("iron", "iron", "iron", "wedge", "iron")
CLUBS = ("4i", "6i", "8i", "pw")
OF = (0, 1, 2, 3, 1)  # the 6-iron was also hit gripped down


@pytest.fixture(scope="module")
def line():
    rng = np.random.default_rng(4)
    belongs = np.zeros((5, 4))
    belongs[np.arange(5), OF] = 1.0
    return Line(
        rest=np.array([0.02, -0.01, 0.09, 0.01, 0.0]),
        slope=0.05 * rng.standard_normal((5, 3)),
        basis=departures.basis(LOFTS, FAMILIES),
        belongs=belongs,
        error=np.array([0.015, 0.012, 0.013, 0.016, 0.02]),
        keys=tuple("abcde"),
        clubs=CLUBS,
        learned=np.array([True] * 4),
        next_to=np.array([[np.nan, -0.05], [0.05, -0.05], [0.05, -0.05], [0.05, np.nan]]),
        unknown=np.zeros(len(CLUBS)),
    )


def covariance(line, own, bend, wrong=None, sd=0.0):
    """Written out from the sum of parts."""
    smooth = line.basis * weight_sd(bend)
    out = line.slope @ line.slope.T + smooth @ smooth.T + np.diag(line.error**2)
    out = out + own**2 * line.belongs @ line.belongs.T
    if wrong is not None:
        on = line.belongs[:, wrong]
        out = out + sd**2 * np.outer(on, on)
    return out


def test_chances_are_evidence_times_prior(line):
    """Every case by the density of what was measured."""
    found = Chances.of(line, ())
    cases = [(None, 0.0, 0.0, 1.0)]
    for k in range(4):
        cases.append((k, 0.0, WRONG_SD, WRONG_CHANCE))
        cases += [(k, x, SWAPPED_SD, SWAPPED_CHANCE / 2) for x in line.next_to[k] if np.isfinite(x)]
    direct = np.array(
        [
            [
                [
                    chance
                    * w
                    * v
                    * multivariate_normal(
                        shift * line.belongs[:, k] if k is not None else np.zeros(5),
                        covariance(line, own, bend, k, sd),
                    ).pdf(line.rest)
                    for bend, v in zip(BEND_SD, BEND_WEIGHT, strict=True)
                ]
                for own, w in zip(OWN_SD, OWN_WEIGHT, strict=True)
            ]
            for k, shift, sd, chance in cases
        ]
    )
    assert found.wrong == tuple(None if c[0] is None else CLUBS[c[0]] for c in cases)
    assert found.weight == pytest.approx(direct / direct.sum(), rel=1e-6, abs=1e-12)
    assert found.of_clubs()["8i"] == max(found.of_clubs().values())


def test_draws_have_the_mean_and_spread_of_the_mixture(line):
    """Given that the line is straight: by the normal distribution of unknowns and measurements together."""
    found = Chances.of(line, ("8i",))
    drawn = condition(line, found, 40_000, bend=lambda white, _: np.zeros((len(white), 5)))
    none = found.weight[0] / found.weight.sum()
    assert none.sum() > 0.8
    mean = np.zeros(3)
    second = np.zeros((3, 3))
    for c, wrong in enumerate(found.wrong):
        sound = [CLUBS.index(w) for w in ("8i", wrong) if w is not None]
        for i, own in enumerate(OWN_SD):
            for b, bend in enumerate(BEND_SD):
                whole = covariance(line, own, bend)
                for k in sound:
                    on = line.belongs[:, k]
                    whole = whole + WRONG_SD**2 * np.outer(on, on)
                gain = line.slope.T @ np.linalg.inv(whole)
                m = gain @ line.rest
                weight = found.weight[c, i, b]
                mean += weight * m
                second += weight * (np.eye(3) - gain @ line.slope + np.outer(m, m))
    assert drawn.white.mean(axis=0) == pytest.approx(mean, abs=0.02)
    assert np.cov(drawn.white.T) == pytest.approx(second - np.outer(mean, mean), abs=0.03)


def test_a_club_foreseen_is_the_one_left_out(line):
    """The same as leaving its rows away and asking for it."""
    rows = [(np.array([k == j for k in OF]), OF.index(j)) for j in range(4)]
    for j, one in enumerate(foreseen(line, (), rows)):
        rest = np.array([k != j for k in OF])
        log, means, variances = [], [], []
        for own, w in zip(OWN_SD, OWN_WEIGHT, strict=True):
            for bend, v in zip(BEND_SD, BEND_WEIGHT, strict=True):
                whole = covariance(line, own, bend)
                i = OF.index(j)
                gain = whole[i, rest] @ np.linalg.inv(whole[np.ix_(rest, rest)])
                log.append(
                    np.log(w * v)
                    + multivariate_normal(np.zeros(rest.sum()), whole[np.ix_(rest, rest)]).logpdf(
                        line.rest[rest]
                    )
                )
                means.append(gain @ line.rest[rest])
                variances.append(whole[i, i] - line.error[i] ** 2 - gain @ whole[rest, i])
        weight = np.exp(np.array(log) - max(log))
        weight /= weight.sum()
        mean = weight @ means
        sd = np.sqrt(weight @ (variances + (np.array(means) - mean) ** 2))
        assert one.off + line.rest[OF.index(j)] == pytest.approx(mean, abs=1e-9)
        assert one.sd == pytest.approx(sd, rel=1e-6)
