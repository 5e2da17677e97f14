"""The sections of the result document beyond the carries, and the whole document."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from engine.ball import BallAdvice, ball_advice, entered_ball, measured_ball
from engine.body.fit import BodyFit, body_fit
from engine.case import Case
from engine.clubs.sheet import BuildSheet, build_sheet
from engine.fitting.makeup import best_bag
from engine.fitting.nextball import next_ball
from engine.fitting.work import Work
from engine.flight.air import air_of, struck_in
from engine.layouts.compare import stated_demand
from engine.layouts.kinds import without_longer
from engine.layouts.lofts import LoftPlan
from engine.layouts.sweep import LengthSweep, sweep_lengths
from engine.layouts.top import TopOfTheBag
from engine.longgame.driver import DriverAdvice, driver_advice
from engine.longgame.driver_length import LengthAdvice, length_advice
from engine.longgame.woods import WoodsAdvice
from engine.putter import PutterAdvice, putter_advice
from engine.retest import Retest, loft_slopes, measured_carries
from engine.retest import retest as judge
from engine.solve import DRAWS, prediction_of
from engine.statistics import plain
from engine.swing.parameters import INDEX
from engine.units import FOOT


def build(work: Work) -> BuildSheet:
    """Work that turns the present clubs into those to build, and the whole bag against the rules."""
    return build_sheet(work.present, work.clubs, also=work.putters, driver_speed_mps=work.driver_speed)


def driver(work: Work) -> DriverAdvice | None:
    """Carry over launch and spin, the player on it, what moves him, and the loft that suits."""
    club = work.driver
    return None if club is None else driver_advice(work.posterior, club, air_of(work.air))


def driver_length(work: Work) -> LengthAdvice | None:
    """What a shorter or longer driver gives and costs."""
    club = work.driver
    return None if club is None else length_advice(work.posterior, club, air_of(work.air), spread=work.spread)


def woods(work: Work) -> WoodsAdvice:
    """Fairway woods and hybrids there are and could be, with the shafts to begin with."""
    return work.woods


def ball(work: Work) -> BallAdvice:
    """Another ball over the whole bag: the one entered, else the usual ball against the one whose spin was measured."""
    entered = work.case.wants.ball
    other = (
        measured_ball(work.posterior)
        if entered is None
        else entered_ball(entered.driver_spin, entered.wedge_spin)
    )
    return ball_advice(work.posterior, work.clubs, air_of(work.air), other)


def putter(work: Work) -> PutterAdvice:
    """Length, lie and loft to begin with, and what a green of the stated speed does to a putt."""
    swing, speed = work.case.swing, work.case.wants.green_speed_m
    green: dict[str, Any] = {} if speed is None else {"green_speed_ft": speed / FOOT}
    return putter_advice(
        **work.body,
        putter=next(iter(work.putters), None),
        lean_deg=swing.putter_lean_deg or 0.0,
        attack_deg=swing.putter_attack_deg or 0.0,
        **green,
    )


def retest(work: Work) -> Retest:
    """Shots after the build against what was predicted, in the conditions of the case."""
    air = struck_in(work.case.conditions)
    clubs = work.clubs
    return judge(
        prediction_of(work.case, clubs, air, draws=work.draws),
        measured_carries(work.case.retest),
        loft_slope=loft_slopes(work.posterior, clubs, air_of(air)),
        log_ball=work.posterior.theta[:, INDEX["range_ball"]],
    )


def body(work: Work) -> BodyFit:
    """Length, lie and grip of the irons and wedges to begin with from the body."""
    return body_fit(work.planned, **work.body, hand_length_m=work.case.player.hand_length_m)


def irons_stop(work: Work) -> TopOfTheBag | None:
    """Where the irons of the layout to build should stop, and what to carry above them."""
    return work.irons_stop


def common_length(work: Work) -> LengthSweep | None:
    """What every common length from 34 to 40 in would do, and the one to take."""
    case = work.case
    clubs = tuple(without_longer(work.present, case.wants.longest_iron))
    if sum(c.family in ("iron", "wedge") for c in clubs) < 2:
        return None
    demand = stated_demand(case.wants.demand)
    return sweep_lengths(work.posterior, clubs, air_of(work.air), player=case.player, demand=demand)


def lofts(work: Work) -> LoftPlan | None:
    """Lofts of the layout to build for the carries or the gap asked for, for even gaps where neither is."""
    return work.lofts


SECTIONS: dict[str, Callable[[Work], Any]] = {
    "body": body,
    "lofts": lofts,
    "irons_stop": irons_stop,
    "common_length": common_length,
    "build": build,
    "make_up": best_bag,
    "driver": driver,
    "driver_length": driver_length,
    "woods": woods,
    "ball": ball,
    "putter": putter,
    "next_ball": next_ball,
    "retest": retest,
}
"""Key in the result document, and what makes it; ``None`` where the case holds nothing to make it from."""


def document(case: Case, *, draws: int = DRAWS) -> dict[str, Any]:
    """The whole result document of a case: all that `engine.solve.solve` says, and every section."""
    work = Work(case, draws)
    doc = work.result.to_doc()
    doc["layout_to_build"] = work.layout.id
    for name, make in SECTIONS.items():
        doc[name] = plain(make(work))
    return doc
