"""Another ball: paired flights, factors over loft, and factors from measured spin."""

import numpy as np
import pytest

from engine.bag.ball import Ball, ball_advice, entered_ball, measured_ball
from engine.documents.case import Case, Player, Shot, Swing
from engine.physics.air import REFERENCE, air_of
from engine.physics.trajectory import Launch, fly
from engine.sets.predict import predict
from engine.swing.calibration import calibrate
from engine.swing.delivery import Clubs, deliver
from engine.swing.parameters import INDEX
from engine.units import DEGREE, MPH, RPM
from engine.workshop.norms import norm_bag

AIR = air_of(REFERENCE)
BAG = norm_bag("male")


def swing_of(shots=(), mph=100):
    case = Case(
        player=Player(sex="male"), swing=Swing(driver_speed_mps=mph * MPH), bag=BAG, shots=tuple(shots)
    )
    return calibrate(case, draws=128)


@pytest.fixture(scope="module")
def posterior():
    return swing_of()


def test_the_same_ball_changes_nothing(posterior):
    advice = ball_advice(posterior, BAG, AIR, entered_ball(1.0, 1.0))
    assert len(advice.clubs) == len(BAG) - 1  # all but the putter
    for change in advice.clubs:
        assert change.factor == 1.0
        assert change.carry_change_m.mean == change.descent_change_deg.hi90 == 0.0
    assert advice.statements[-1].terms == {"tee": "alike", "green": "alike"}


def test_carry_with_either_ball_is_a_flight_of_its_own(posterior):
    """Present carries are those of `predict`; the change is that of flights made here with the spin multiplied."""
    advice = ball_advice(posterior, BAG, AIR, entered_ball(0.8, 1.2))
    full = tuple(c for c in BAG if c.family != "putter")
    now = predict(posterior, full, AIR).carry.mean(axis=0)
    for change, carry in zip(advice.clubs, now, strict=True):
        assert change.carry_m.mean == pytest.approx(carry, rel=1e-9)
    driver = deliver(posterior.theta, Clubs.of(full[:1]))
    drag, lift = (np.exp(posterior.theta[:, INDEX[n], None]) for n in ("ball_drag", "ball_lift"))
    flown = [
        fly(
            Launch(driver.ball_speed, driver.launch * DEGREE, driver.spin * f),
            AIR,
            drag_factor=drag,
            lift_factor=lift,
        ).carry[:, 0]
        for f in (1.0, 0.8)
    ]
    own = np.exp(posterior.discrepancy("dr"))
    assert advice.clubs[0].carry_change_m.mean == pytest.approx(
        float(((flown[1] - flown[0]) * own).mean()), rel=1e-6
    )


def test_factors_go_evenly_between_driver_and_wedge():
    ball = entered_ball(0.8, 1.25)
    lofts = np.array([5.0, 10.5, 33.25, 56.0, 60.0])
    factor = ball.factor(lofts, driver_loft_deg=10.5, wedge_loft_deg=56.0)[0]
    assert factor == pytest.approx([0.8, 0.8, 1.0, 1.25, 1.25])


def test_more_spin_holds_better(posterior):
    advice = ball_advice(posterior, BAG, AIR, entered_ball(1.15, 1.15))
    for change in advice.clubs:
        assert change.descent_change_deg.mean > 0 or change.club.loft_deg > 45
        assert change.chance_holds_other >= change.chance_holds
        if change.run_change_m is not None:
            assert change.run_change_m.mean < 0
    assert advice.clubs[0].run_change_m is None
    assert advice.clubs[-1].run_change_m is not None


def test_change_is_surer_than_carry(posterior):
    advice = ball_advice(posterior, BAG, AIR, entered_ball(0.9, 1.1))
    for c in advice.clubs:
        wide, narrow = (x.hi90 - x.lo90 for x in (c.carry_m, c.carry_change_m))
        assert narrow < 0.5 * wide


def test_entered_factors_are_bounded():
    for bad in (0.4, 2.1, float("nan")):
        with pytest.raises(ValueError, match="driver"):
            entered_ball(bad, 1.0)


def launch_shots(spin_by, balls=8):
    """Shots with speed, launch and spin of the prior player, the spin multiplied: [rpm]."""
    rng = np.random.default_rng(7)
    clubs = [c for c in BAG if c.id in ("dr", "7i", "sw")]
    truth = deliver(swing_of().theta.mean(axis=0)[None], Clubs.of(clubs))
    return [
        Shot(
            club.id,
            ball_speed_mps=float(truth.ball_speed[0, i]),
            launch_deg=float(np.clip(truth.launch[0, i] + rng.normal(0, 0.3), 1, 60)),
            spin_rpm=float(truth.spin[0, i] / RPM * spin_by[club.id] * np.exp(rng.normal(0, 0.02))),
        )
        for i, club in enumerate(clubs)
        for _ in range(balls)
    ]


def test_factors_come_out_of_measured_spin():
    """Two balls, one spinning 15 % less off the driver and 10 % more off the wedge, are told apart from their shots."""
    one = swing_of(launch_shots({"dr": 1.0, "7i": 1.0, "sw": 1.0}))
    other = swing_of(launch_shots({"dr": 0.85, "7i": 1.0, "sw": 1.10}))
    ball = measured_ball(one, other)
    assert ball.basis == "measured"
    assert np.mean(ball.driver) == pytest.approx(0.85, abs=0.05)
    assert np.mean(ball.wedge) == pytest.approx(1.10, abs=0.05)
    advice = ball_advice(one, BAG, AIR, ball)
    assert advice.ball_driver.lo90 < 0.85 < advice.ball_driver.hi90


def test_without_measured_spin_the_factors_say_so(posterior):
    ball = measured_ball(posterior)
    assert ball.basis == "priors"
    assert np.std(ball.driver) > 0.1


def test_an_empty_bag_is_no_fault(posterior):
    assert ball_advice(posterior, (), AIR, Ball(1.0, 1.0, "entered")).clubs == ()
