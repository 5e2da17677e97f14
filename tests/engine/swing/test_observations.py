"""What calibration takes from the balls: the same centre and the same balls as the card's summary."""

from dataclasses import replace

import numpy as np
import pytest

from engine.documents.case import Case, Shot
from engine.swing.observations import gather
from engine.workshop.norms import norm_bag

BAG = norm_bag("male")


def card_and_fit(shots):
    """The one group's summary and the observation of its carry."""
    observations, (group,) = gather(Case(bag=BAG, shots=tuple(shots)))
    (fit,) = [o for o in observations if o.quantity == "carry"]
    return group.carry, fit


def random_group(rng):
    """Balls of one 7-iron with mishits; some kept by hand, some switched off, now and then a mean of several balls."""
    size = int(rng.integers(1, 15))
    carries = 140 * np.exp(rng.normal(0, rng.choice([0.02, 0.06]), size))
    carries[rng.random(size) < 0.2] *= rng.uniform(0.3, 0.9)
    means = rng.random() < 0.2
    return [
        Shot(
            "7i",
            carry_m=round(float(carry), 1),
            keep=bool(rng.random() < 0.2),
            use=bool(rng.random() < 0.95) or number == 0,
            balls=float(rng.integers(1, 12)) if means else 1.0,
        )
        for number, carry in enumerate(carries)
    ]


def test_the_fit_takes_the_centre_and_the_balls_of_the_card():
    rng = np.random.default_rng(7)
    kept = left = 0
    for _ in range(4000):
        shots = random_group(rng)
        card, fit = card_and_fit(shots)
        assert np.exp(fit.value) == pytest.approx(card.mean, rel=1e-12)
        assert fit.balls == card.counted
        kept += any(s.keep for s in shots)
        left += card.left_out > 0
    assert min(kept, left) > 500  # both were tried


def test_a_mishit_taken_in_by_hand_counts_in_the_fit():
    carries = (144, 142, 141, 143, 142, 100)
    shots = [Shot("7i", carry_m=float(c)) for c in carries]
    aside, fit = card_and_fit(shots)
    assert aside.left_out == 1 and fit.balls == 5
    card, counted = card_and_fit([*shots[:-1], replace(shots[-1], keep=True)])
    assert card.left_out == 0 and counted.balls == 6
    assert counted.value < fit.value - 0.001
    assert counted.error > fit.error  # one ball more, but a far wider spread


def test_an_odd_spin_of_a_ball_taken_in_by_hand_counts_too():
    spins = (6500, 6400, 6600, 6550, 6450, 3000)

    def spin(keep):
        shots = tuple(Shot("7i", spin_rpm=float(s), keep=keep and s == 3000) for s in spins)
        (found,) = gather(Case(bag=BAG, shots=shots))[0]
        return found

    assert spin(keep=False).balls == 5
    assert spin(keep=True).balls == 6 and spin(keep=True).value < spin(keep=False).value


def test_the_spread_of_the_fit_is_that_of_the_balls_that_count():
    """A misread spin that is set aside does not widen the error of those that stay."""
    sound = tuple(Shot("7i", spin_rpm=float(s)) for s in (6500, 6400, 6600, 6550, 6450))
    (alone,), (beside,) = (
        gather(Case(bag=BAG, shots=s))[0] for s in (sound, (*sound, Shot("7i", spin_rpm=650.0)))
    )
    assert beside.value == alone.value and beside.error == pytest.approx(alone.error, rel=1e-9)


def test_a_ball_that_its_carry_sets_aside_says_nothing_of_launch_either():
    sound = tuple(Shot("7i", carry_m=140.0 + d, launch_deg=18.0 + d / 4) for d in (-2, -1, 0, 1, 2))
    topped = Shot("7i", carry_m=60.0, launch_deg=17.0)

    def launch(shots):
        return next(o for o in gather(Case(bag=BAG, shots=shots))[0] if o.quantity == "launch")

    assert launch((*sound, topped)) == launch(sound)
    assert launch((*sound, replace(topped, keep=True))).balls == 6
