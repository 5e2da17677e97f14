"""Measured after the build against predicted: a planted fault is found, a slow day is no fault of a club."""

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from simulate import SCATTER, SimulatedPlayer

from engine.course.retest import loft_slopes, measured_carries, retest
from engine.documents.case import Conditions, Session, Shot, Wants
from engine.fitting.fitting import Fitting
from engine.physics.air import REFERENCE, air_of
from engine.sets.predict import predict
from engine.swing.calibration import calibrate
from engine.swing.delivery import Clubs, carry, deliver

AIR = air_of(REFERENCE)


def after_the_build(seed, *, wrong=None, degrees=0.0, day=1.0, balls=12):
    """A simulated player, calibrated on the bag, then hitting single-length irons and wedges as built: the re-test.

    ``wrong`` came out with ``degrees`` more loft than wanted; ``day`` multiplies every carry.
    """
    player = SimulatedPlayer(seed)
    posterior = calibrate(player.case(player.shots(("5i", "6i", "7i", "8i", "9i", "pw", "gw"), 12)))
    wanted = tuple(c for c in player.single() if c.family in ("iron", "wedge"))
    built = tuple(replace(c, loft_deg=c.loft_deg + degrees) if c.id == wrong else c for c in wanted)
    shots = tuple(
        Shot(club.id, carry_m=float(true * day * (1 + SCATTER * scatter)))
        for club, true in zip(built, player.carries(built), strict=True)
        for scatter in player.rng.standard_normal(balls)
    )
    return retest(
        predict(posterior, wanted, AIR),
        measured_carries(shots),
        loft_slope=loft_slopes(posterior, wanted, AIR),
    )


@pytest.mark.parametrize("degrees", [-6.0, 6.0])
def test_a_club_built_with_the_wrong_loft_is_named_and_turned_the_right_way(degrees):
    found, changes = [], []
    for seed in range(8):
        result = after_the_build(seed, wrong="8i", degrees=degrees, balls=20)
        club = next(c for c in result.clubs if c.club == "8i")
        assert {c.id for c in result.statements[-1].clubs} == set(result.touch)
        if "8i" in result.touch:
            found.append(seed)
            changes.append(club.loft_change.mean)
            assert club.verdict == ("short" if degrees > 0 else "long")
            assert np.sign(club.loft_change.mean) == -np.sign(degrees)
            assert club.statement.kind == "retest.off" and "loft" in club.statement.quantities
    assert len(found) >= 5
    # a club that was named tends to have had luck on the same side, hence the room
    assert np.mean(changes) == pytest.approx(-degrees, abs=2.5)


def test_sound_sets_seldom_raise_an_alarm():
    alarms = [bool(after_the_build(seed).touch) for seed in range(12)]
    # one in twenty is meant; 5 of 12 has a chance below 1 in 1,000 then
    assert sum(alarms) < 5


def test_a_slow_day_is_the_bias_of_all_and_no_fault_of_a_club():
    usual, slow = after_the_build(2), after_the_build(2, day=0.88)
    assert slow.touch == usual.touch == ()
    assert (1 + slow.bias.mean) / (1 + usual.bias.mean) == pytest.approx(0.88, abs=0.01)
    assert slow.bias.hi90 < 0 and slow.statements[0].kind == "retest.all_off"
    for club in slow.clubs:
        assert club.difference.mean < 0 < club.difference.hi90 - club.difference.lo90
        assert club.predicted.mean > club.measured.mean


def test_range_balls_are_no_bias_where_they_are_said():
    player = SimulatedPlayer(2)
    case = player.case(player.shots(("5i", "6i", "7i", "8i", "9i", "pw", "gw"), 12))
    posterior = calibrate(case)
    clubs = tuple(c for c in player.bag if c.family == "iron")
    shots = tuple(
        Shot(c.id, carry_m=float(0.93 * m)) for c, m in zip(clubs, player.carries(clubs), strict=True)
    )
    prediction, slope = predict(posterior, clubs, AIR), loft_slopes(posterior, clubs, AIR)
    plain = retest(prediction, measured_carries(shots), loft_slope=slope)
    said = retest(
        prediction,
        measured_carries(shots),
        loft_slope=slope,
        log_ball=np.full(len(posterior.theta), np.log(0.93)),
    )
    assert (1 + said.bias.mean) / (1 + plain.bias.mean) == pytest.approx(1 / 0.93, rel=0.01)
    for a, b in zip(plain.clubs, said.clubs, strict=True):
        assert b.predicted.mean == pytest.approx(0.93 * a.predicted.mean)


def test_numbers_of_a_club_hang_together():
    result = after_the_build(4, wrong="pw", degrees=5.0)
    for club in result.clubs:
        # two independent doubts add as squares
        parts = [(x.hi90 - x.lo90) / 2 for x in (club.measured, club.predicted)]
        assert (club.difference.hi90 - club.difference.lo90) / 2 == pytest.approx(np.hypot(*parts), rel=0.1)
        assert club.difference.lo90 < club.measured.mean - club.predicted.mean < club.difference.hi90
        assert club.balls >= 10
        assert (club.loft_change is not None) == (club.club in result.touch)
        assert club.measured.lo90 < club.measured.mean < club.measured.hi90
    assert list(result.touch) == sorted(
        result.touch, key=lambda i: -abs(next(c.z_others for c in result.clubs if c.club == i))
    )


def test_more_balls_narrow_the_difference():
    few, many = (after_the_build(6, balls=n).clubs[0].difference for n in (3, 60))
    assert many.hi90 - many.lo90 < few.hi90 - few.lo90


def test_loft_slope_is_that_of_the_forward_model():
    player = SimulatedPlayer(1)
    posterior = calibrate(player.case(player.shots(("7i", "9i"), 10)))
    clubs = tuple(c for c in player.bag if c.family in ("iron", "wedge"))
    slope = loft_slopes(posterior, clubs, AIR)
    theta = posterior.mean[None]
    flat, weak = (
        carry(
            theta, deliver(theta, Clubs.of([replace(c, loft_deg=c.loft_deg + d) for c in clubs])), AIR
        ).carry[0]
        for d in (0.0, 0.5)
    )
    assert slope == pytest.approx(np.log(weak / flat) / 0.5, abs=0.002)
    assert (slope[3:] < 0).all()


def test_shots_switched_off_gripped_down_or_unknown_do_not_count():
    shots = (
        Shot("7i", carry_m=140.0),
        Shot("7i", carry_m=150.0, use=False),
        Shot("7i", carry_m=120.0, grip_down_m=0.05),
        Shot("7i", launch_deg=18.0),
        Shot("xx", carry_m=100.0),
    )
    measured = measured_carries(shots)
    assert measured["7i"].n == 1 and measured["7i"].mean == 140.0
    player = SimulatedPlayer(1)
    posterior = calibrate(player.case(player.shots(("7i", "9i"), 10)))
    clubs = tuple(c for c in player.bag if c.id == "7i")
    prediction = predict(posterior, clubs, AIR)
    slope = loft_slopes(posterior, clubs, AIR)
    assert [c.club for c in retest(prediction, measured, loft_slope=slope).clubs] == ["7i"]
    nothing = retest(prediction, {}, loft_slope=slope)
    assert nothing.clubs == () and nothing.bias is None
    with pytest.raises(ValueError, match="loft_slope"):
        retest(prediction, measured, loft_slope=np.zeros(3))


@pytest.fixture(scope="module")
def as_predicted():
    """A prediction of irons, its slopes, and balls that fall just where it says, in any number and by any share."""
    player = SimulatedPlayer(3)
    posterior = calibrate(player.case(player.shots(("5i", "7i", "9i", "pw"), 12)))
    clubs = tuple(c for c in player.bag if c.family == "iron")
    prediction, slope = predict(posterior, clubs, AIR), loft_slopes(posterior, clubs, AIR)

    def judged(balls, **shares):
        shots = tuple(
            Shot(c.id, carry_m=float(prediction.carry[:, i].mean() * shares[c.id] * (1 + step)))
            for i, c in enumerate(clubs)
            if c.id in shares
            for step in np.linspace(-0.02, 0.02, balls)
        )
        return retest(prediction, measured_carries(shots), loft_slope=slope), prediction

    return judged


@pytest.mark.parametrize("ids", [("7i",), ("5i", "6i", "7i", "8i", "9i")])
def test_three_sound_sets_in_a_hundred_are_called_off_whatever_their_size(as_predicted, ids):
    result, _ = as_predicted(5, **dict.fromkeys(ids, 1.0))
    inside = 2 * NormalDist().cdf(result.limit) - 1  # chance that one club is within the limit
    assert inside ** len(ids) == pytest.approx(0.97, abs=1e-3)


def test_two_days_differ_by_what_the_sessions_allow_a_day_beyond_what_the_draws_say(as_predicted):
    """A day by 2.6 % of carry (common practice, no source), and so two of them by 3.7 %."""
    result, prediction = as_predicted(5, **{"7i": 1.0})
    at = [c.id for c in prediction.clubs].index("7i")
    (club,) = result.clubs
    sd = np.log(club.expected.hi90 / club.expected.lo90) / (2 * NormalDist().inv_cdf(0.95))
    assert np.sqrt(sd**2 - np.log(prediction.carry[:, at]).var()) == pytest.approx(
        0.026 * np.sqrt(2), rel=0.03
    )


def test_the_club_that_is_farthest_off_comes_first(as_predicted):
    shares = dict.fromkeys(("5i", "6i", "7i", "8i", "9i"), 1.0)
    for worse, other in (("6i", "8i"), ("8i", "6i")):
        result, _ = as_predicted(20, **shares | {worse: 0.6, other: 1.3})
        assert result.touch == (worse, other)


@pytest.mark.parametrize("share", [0.952, 1.05])
def test_a_club_noticeably_off_is_open_and_not_passed(as_predicted, share):
    """Five balls some 6 m from a prediction of 126 m: what a player notices, and not yet more than chance allows."""
    result, prediction = as_predicted(5, **{"9i": share})
    (club,) = result.clubs
    at = [c.id for c in prediction.clubs].index("9i")
    assert club.verdict == "open" and not club.sure and result.touch == ()
    said = club.statement
    assert said.kind == "retest.open" and said.terms["way"] == ("short" if share < 1 else "long")
    assert said.quantities["by"].value == pytest.approx(
        abs(1 - share) * prediction.carry[:, at].mean(), abs=0.6
    )
    assert said.quantities["balls"].value > 5 and said.terms["also"] == "other_clubs"
    assert [(s.kind, [c.id for c in s.clubs]) for s in result.statements] == [("retest.unsettled", ["9i"])]


def test_no_club_needs_adjusting_only_once_each_is_known_as_well_as_a_player_notices(as_predicted):
    ids = ("7i", "8i", "9i")
    few, many = (as_predicted(balls, **dict.fromkeys(ids, 1.0))[0] for balls in (5, 80))
    assert [s.kind for s in few.statements] == ["retest.all_as_predicted", "retest.none_off_so_far"]
    assert not any(c.sure for c in few.clubs)
    assert [s.kind for s in many.statements] == ["retest.all_as_predicted", "retest.touch"]
    assert all(c.sure and c.verdict == "within" for c in many.clubs) and many.statements[-1].clubs == ()


NOTED = Conditions(temperature_c=21.0)


def built_and_hit_again(
    seed, *, ids=(), wrong=None, degrees=0.0, balls=12, days=1, factor=None, air=NOTED, beside=()
):
    """The re-test of a simulated player whose days differ by 3 %: ``days`` sessions with the bag as it was, then the set of
    one length with its irons and wedges, or those of ``ids``, in a session of its own, and clubs of the bag ``beside``."""
    player = SimulatedPlayer([19, seed])
    shots, made = [], []
    for day in range(days):
        today = np.exp(player.rng.normal(0, 0.03))
        hit = player.shots(("dr", "5i", "6i", "7i", "8i", "9i", "pw", "gw"), balls)
        shots += [replace(s, carry_m=s.carry_m * today, session=f"a{day}") for s in hit]
        made.append(Session(f"a{day}", conditions=NOTED))
    today = np.exp(player.rng.normal(0, 0.03)) if factor is None else factor
    hit = player.shots(beside, balls)
    shots += [replace(s, carry_m=s.carry_m * today, session="b") for s in hit]
    made.append(Session("b", conditions=air))
    case = replace(player.case(tuple(shots)), sessions=tuple(made), wants=Wants(layout="single"))
    fitting = Fitting(case, 64)
    clubs = [c for c in fitting.clubs if (c.id in ids if ids else c.family in ("iron", "wedge"))]
    built = [replace(c, loft_deg=c.loft_deg + degrees) if c.id == wrong else c for c in clubs]
    again = tuple(
        Shot(club.id, carry_m=float(true * today * (1 + SCATTER * scatter)), session="b")
        for club, true in zip(built, player.carries(built), strict=True)
        for scatter in player.rng.standard_normal(balls)
    )
    return fitting.after(replace(fitting.case, retest=again)).retest


@pytest.mark.parametrize(
    ("ids", "beside", "days"),
    [((), (), 1), (("9i",), (), 1), (("8i", "9i"), (), 2), (("9i",), ("dr", "5i"), 2)],
    ids=["set", "one", "two", "beside"],
)
@pytest.mark.parametrize("players", [8, pytest.param(200, marks=pytest.mark.soak)])
def test_days_that_differ_by_three_per_cent_order_no_bend(ids, beside, days, players):
    """At most one false order in twenty; of 8 players three or more have a chance below 1 in 100 then."""
    orders = [
        bool(built_and_hit_again(seed, ids=ids, beside=beside, days=days).touch) for seed in range(players)
    ]
    print(f"{players} players, {len(ids) or 'all'} clubs, {days} days: {np.mean(orders):.3f} false orders")
    assert sum(orders) <= (0.05 * players if players >= 200 else 2)


def test_a_club_two_degrees_off_is_named_in_most_re_tests_with_balls_enough():
    """Most are ordered to be bent, or told to be noticeably off so far."""
    told = []
    for seed in range(8):
        sign = (-1) ** seed
        found = built_and_hit_again(seed, wrong="8i", degrees=sign * 2.0, balls=120, days=2)
        (club,) = (c for c in found.clubs if c.club == "8i")
        told.append(club.verdict)
        if club.loft_change is not None:
            assert club.loft_change.mean * sign < 0
    print(f"2 deg off: {told}")
    assert sum(one != "within" for one in told) >= 6 and sum(one in ("long", "short") for one in told) >= 2


def test_a_long_day_is_told_by_the_clubs_that_were_not_changed_and_orders_no_bend():
    """Driver, 5- and 7-iron of the bag fly 15 % farther that day too."""
    for seed in range(4):
        found = built_and_hit_again(seed, ids=("9i",), beside=("dr", "5i", "7i"), factor=1.15, days=2)
        (club,) = found.clubs
        assert club.verdict in ("within", "open") and club.loft_change is None and found.touch == ()
        assert found.statements[0].kind == "retest.day"
        assert 0.03 < found.statements[0].quantities["share"].value < 0.2


def test_without_weather_there_is_no_verdict_but_beside_a_club_that_was_not_changed():
    for factor in (1.0, 1.15):
        found = built_and_hit_again(1, ids=("8i", "9i"), air=REFERENCE, factor=factor)
        assert [s.kind for s in found.statements] == ["retest.no_weather"] and found.touch == ()
        assert found.statements[0].terms["of"] == "after"
        for club in found.clubs:
            assert (club.verdict, club.sure, club.loft_change) == ("none", False, None)
            assert club.statement.kind == "retest.not_judged" and club.measured.mean > 0
    told = built_and_hit_again(1, ids=("8i", "9i"), air=REFERENCE, factor=1.15, beside=("7i", "5i"))
    assert {c.verdict for c in told.clubs} <= {"within", "open"} and told.statements[0].kind == "retest.day"


def test_one_session_for_both_needs_no_weather():
    """Hit, bent and hit again on one day: whatever the weather was, it was that of both."""
    player = SimulatedPlayer([19, 3])
    shots = tuple(replace(s, session="a") for s in player.shots(("5i", "7i", "9i"), 12))
    again = tuple(replace(s, session="a") for s in player.shots(("9i",), 12))
    case = replace(player.case(shots), sessions=(Session("a"),), retest=again, wants=Wants(layout="single"))
    assert [c.verdict for c in Fitting(case, 64).retest.clubs] != ["none"]
    other = replace(case, retest=tuple(replace(s, session=None) for s in again))
    assert [c.verdict for c in Fitting(other, 64).retest.clubs] == ["none"]
