"""Another ball: what one that spins more or less off driver and wedge does to the whole bag.

Two factors on spin, one off the driver and one off the wedge, stand for the ball; between their lofts the factor goes
evenly in its logarithm (our choice). Launch and ball speed are left as they are, drag and lift are the player's own.
The same draws fly both balls, so that the change is surer than either carry.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..documents.case import Club
from ..documents.fields import BALL
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..physics.ground import GREEN, Turf, run_out
from ..physics.trajectory import Launch, fly
from ..sets.compare import HOLD_DESCENT
from ..statements import Statement, state
from ..statistics import Interval, chance, interval
from ..swing.calibration import SEED, Posterior
from ..swing.delivery import Clubs, deliver
from ..swing.parameters import INDEX, PARAMETERS
from ..units import DEGREE, RPM
from ..workshop.norms import norm_club

Array = NDArray[np.float64]

MEASURED_RANGE = (0.5, 2.0)  # of a factor from two measured spins; beyond it one of them is wrong
LEARNED = 0.8
"""Spin counts as measured where what is known of it is narrower than this share of what was known before."""
TO_GREENS = ("hybrid", "iron", "wedge")
NOTICED_M = 2.0  # [m], smaller changes a player does not notice; common practice, no source


@dataclass(frozen=True, slots=True)
class Ball:
    """A ball beside the one that was hit: spin over that one's, off driver and wedge [-], draws (draws,) or numbers.

    basis : "entered", "measured", or "priors" where too little spin was measured to tell
    """

    driver: ArrayLike
    wedge: ArrayLike
    basis: str

    def factor(self, loft_deg: ArrayLike, *, driver_loft_deg: float, wedge_loft_deg: float) -> Array:
        """Spin factor for each loft [deg], even in its logarithm between the two lofts: (draws or 1, lofts)."""
        low, high = np.broadcast_arrays(
            np.atleast_1d(np.asarray(self.driver, float)), np.atleast_1d(np.asarray(self.wedge, float))
        )
        part = np.clip(
            (np.asarray(loft_deg, float) - driver_loft_deg) / (wedge_loft_deg - driver_loft_deg), 0.0, 1.0
        )
        factor: Array = np.exp(np.log(low)[:, None] * (1 - part) + np.log(high)[:, None] * part)
        return factor


@dataclass(frozen=True, slots=True)
class BallChange:
    """What the other ball does with one club; changes are other less present.

    run_change_m : bounce and roll on a green of rating 10, less is a ball that holds better; ``None`` for driver and
        fairway woods, and for a club that mostly comes down too shallow to hold a green at all
    chance_holds, chance_holds_other : that it comes down at 40 deg or more with either
    """

    club: Club
    factor: float
    spin_rpm: float
    carry_m: Interval
    carry_change_m: Interval
    apex_change_m: Interval
    descent_change_deg: Interval
    run_change_m: Interval | None
    chance_holds: float
    chance_holds_other: float


@dataclass(frozen=True, slots=True)
class BallAdvice:
    """The whole bag, longest hitting first, and the trade-off."""

    ball_driver: Interval
    ball_wedge: Interval
    clubs: tuple[BallChange, ...]
    statements: tuple[Statement, ...]
    basis: str


def entered_ball(driver: float, wedge: float) -> Ball:
    """A ball from two entered factors: 1.1 spins a tenth more than the ball that was hit.

    Raises
    ------
    ValueError
        If a factor is outside the limits of the case document.
    """
    for name, value in (("driver", driver), ("wedge", wedge)):
        try:
            BALL[f"{name}_spin"].check(value)
        except ValueError:
            raise ValueError(f"`{name}` {BALL[f'{name}_spin'].problem()}") from None
    return Ball(driver, wedge, "entered")


def measured_ball(
    present: Posterior,
    other: Posterior | None = None,
    *,
    driver: Club | None = None,
    wedge: Club | None = None,
) -> Ball:
    """A ball from measured spin.

    Parameters
    ----------
    present : the swing with the ball that was hit
    other : the same player's swing from shots with the other ball; ``None`` compares with the usual ball, whose spin is
        that of the priors' means
    driver, wedge : the clubs at which spins are compared; usual ones if not given

    Compared is spin over ball speed, both as each ball's own shots predict them, so that a session swung harder does not
    look like a ball that spins more. The errors of both are taken as independent, which is on the wide side where one
    instrument measured both. Against the usual ball only the spin parameters are exchanged.
    """
    clubs = Clubs.of([driver or norm_club("dr"), wedge or norm_club("sw")])
    theta = present.theta.copy()
    if other is None:
        for i in _spin_parameters():
            theta[:, i] = PARAMETERS[i].mean
    else:
        # Both posteriors come from the same random numbers; shuffled, their errors do not cancel.
        shuffle = np.random.default_rng([SEED, 2]).permutation(len(theta))
        theta = np.resize(other.theta, theta.shape)[shuffle]
    mine, its = deliver(present.theta, clubs), deliver(theta, clubs)
    ratio = np.clip((its.spin / its.ball_speed) / (mine.spin / mine.ball_speed), *MEASURED_RANGE)
    known = [_learned(p) for p in ((present,) if other is None else (present, other))]
    basis = "measured" if all(known) else "priors"
    return Ball(ratio[:, 0], ratio[:, 1], basis)


def _spin_parameters() -> list[int]:
    return [i for name, i in INDEX.items() if name in ("spin_factor", "spin_slope") or name.endswith("_spin")]


def _learned(posterior: Posterior) -> bool:
    i = INDEX["spin_factor"]
    return bool(posterior.sd[i] < LEARNED * posterior.prior_sd[i])


def ball_advice(
    posterior: Posterior,
    bag: Sequence[Club],
    air: Air,
    ball: Ball,
    *,
    turf: Turf = GREEN,
    model: Aerodynamics | None = None,
) -> BallAdvice:
    """The bag with another ball, both flown in one batch with the same draws.

    Parameters
    ----------
    posterior : the player's swing with the ball that was hit
    bag : clubs; putters are left out
    ball : from `entered_ball` or `measured_ball`
    """
    clubs = sorted((c for c in bag if c.family != "putter"), key=lambda c: (c.loft_deg, -c.length_m))
    if not clubs:
        return BallAdvice(_spread(ball.driver), _spread(ball.wedge), (), (), ball.basis)
    theta = posterior.theta
    delivery = deliver(theta, Clubs.of(clubs))
    factor = np.broadcast_to(
        ball.factor(
            [c.loft_deg for c in clubs],
            driver_loft_deg=min([c.loft_deg for c in clubs if c.family == "driver"], default=10.5),
            wedge_loft_deg=max(56.0, *(c.loft_deg for c in clubs)),
        ),
        delivery.spin.shape,
    )
    flight = fly(
        Launch(
            np.stack([delivery.ball_speed] * 2),
            np.stack([delivery.launch] * 2) * DEGREE,
            np.stack([delivery.spin, delivery.spin * factor]),
        ),
        air,
        model=model,
        drag_factor=np.exp(theta[:, INDEX["ball_drag"], None]),
        lift_factor=np.exp(theta[:, INDEX["ball_lift"], None]),
    )
    own = np.exp(posterior.departure(clubs))
    far, descent = flight.carry * own, flight.descent / DEGREE
    run = run_out(flight.speed, flight.descent, flight.spin, turf=turf).total
    changes = tuple(
        BallChange(
            club=club,
            factor=float(factor[:, i].mean()),
            spin_rpm=float(delivery.spin[:, i].mean() / RPM),
            carry_m=interval(far[0, :, i]),
            carry_change_m=interval(far[1, :, i] - far[0, :, i]),
            apex_change_m=interval(flight.apex[1, :, i] - flight.apex[0, :, i]),
            descent_change_deg=interval(descent[1, :, i] - descent[0, :, i]),
            run_change_m=interval(run[1, :, i] - run[0, :, i])
            if club.family in TO_GREENS and np.median(descent[0, :, i]) >= HOLD_DESCENT
            else None,
            chance_holds=chance(descent[0, :, i] >= HOLD_DESCENT),
            chance_holds_other=chance(descent[1, :, i] >= HOLD_DESCENT),
        )
        for i, club in enumerate(clubs)
    )
    return BallAdvice(_spread(ball.driver), _spread(ball.wedge), changes, _statements(changes), ball.basis)


def _spread(value: ArrayLike) -> Interval:
    return interval(np.atleast_1d(np.asarray(value, float)))


def _statements(changes: tuple[BallChange, ...]) -> tuple[Statement, ...]:
    """What the longest and the shortest club gain and lose, how sure that is, and the trade-off between them."""
    long, short = changes[0], changes[-1]
    out = [
        state(
            "ball.change",
            clubs=[change.club],
            spin=change.factor - 1,
            carry=change.carry_change_m,
            run=change.run_change_m,
        )
        for change in dict.fromkeys((long, short))
    ]
    length = _way(long.carry_change_m.mean)
    hold = -_way(short.run_change_m.mean) if short.run_change_m else 0
    out.append(state("ball.trade", tee=_VERDICT[length], green=_VERDICT[hold]))
    return tuple(out)


def _way(change_m: float) -> int:
    """1 for more, -1 for less, 0 where a player would not notice."""
    return 0 if abs(change_m) < NOTICED_M else 1 if change_m > 0 else -1


_VERDICT = {1: "better", 0: "alike", -1: "worse"}
