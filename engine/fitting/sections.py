"""The sections of the result document beyond the carries, and the whole document."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ..bag.ball import BallAdvice, ball_advice, entered_ball, measured_ball
from ..bag.driver import DriverAdvice, driver_advice
from ..bag.driver_length import LengthAdvice, length_advice
from ..bag.putter import PutterAdvice, putter_advice
from ..bag.woods import WoodsAdvice
from ..body.start_sizes import BodyFit, body_fit
from ..course.retest import Retest, loft_slopes, measured_carries
from ..course.retest import retest as judge
from ..documents.case import Case
from ..physics.air import air_of, struck_in
from ..sets.common_length import LengthSweep, sweep_lengths
from ..sets.compare import stated_demand
from ..sets.lofts import LoftPlan
from ..sets.longest_iron import TopOfTheBag
from ..sets.plan import without_longer
from ..solve import DRAWS, prediction_of
from ..statements import Statement
from ..statistics import plain
from ..swing.parameters import INDEX
from ..units import FOOT
from ..workshop.build_sheet import BuildSheet, build_sheet
from .best_bag import best_bag
from .fitting import Fitting
from .open_choice import next_ball


def build(fitting: Fitting) -> BuildSheet:
    """Work that turns the present clubs into those to build, and the whole bag against the rules."""
    return build_sheet(
        fitting.present, fitting.clubs, also=fitting.putters, driver_speed_mps=fitting.driver_speed
    )


def driver(fitting: Fitting) -> DriverAdvice | None:
    """Carry over launch and spin, the player on it, what moves him, and the loft that suits."""
    club = fitting.driver
    return None if club is None else driver_advice(fitting.posterior, club, air_of(fitting.air))


def driver_length(fitting: Fitting) -> LengthAdvice | None:
    """What a shorter or longer driver gives and costs."""
    club = fitting.driver
    return (
        None
        if club is None
        else length_advice(fitting.posterior, club, air_of(fitting.air), spread=fitting.spread)
    )


def woods(fitting: Fitting) -> WoodsAdvice:
    """Fairway woods and hybrids there are and could be, with the shafts to begin with."""
    return fitting.woods


def ball(fitting: Fitting) -> BallAdvice:
    """Another ball over the whole bag: the one entered, else the usual ball against the one whose spin was measured."""
    entered = fitting.case.wants.ball
    other = (
        measured_ball(fitting.posterior)
        if entered is None
        else entered_ball(entered.driver_spin, entered.wedge_spin)
    )
    return ball_advice(fitting.posterior, fitting.clubs, air_of(fitting.air), other)


def putter(fitting: Fitting) -> PutterAdvice:
    """Length, lie and loft to begin with, and what a green of the stated speed does to a putt."""
    swing, speed = fitting.case.swing, fitting.case.wants.green_speed_m
    green: dict[str, Any] = {} if speed is None else {"green_speed_ft": speed / FOOT}
    return putter_advice(
        **fitting.body,
        putter=next(iter(fitting.putters), None),
        lean_deg=swing.putter_lean_deg or 0.0,
        attack_deg=swing.putter_attack_deg or 0.0,
        **green,
    )


def retest(fitting: Fitting) -> Retest:
    """Shots after the build against what was predicted, in the conditions of the case."""
    air = struck_in(fitting.case.conditions)
    clubs = fitting.clubs
    return judge(
        prediction_of(fitting.case, clubs, air, draws=fitting.draws),
        measured_carries(fitting.case.retest),
        loft_slope=loft_slopes(fitting.posterior, clubs, air_of(air)),
        log_ball=fitting.posterior.theta[:, INDEX["range_ball"]],
    )


def body(fitting: Fitting) -> BodyFit:
    """Length, lie and grip of the irons and wedges to begin with from the body."""
    return body_fit(fitting.planned, **fitting.body, hand_length_m=fitting.case.player.hand_length_m)


def irons_stop(fitting: Fitting) -> TopOfTheBag | None:
    """Where the irons of the layout to build should stop, and what to carry above them."""
    return fitting.irons_stop


def common_length(fitting: Fitting) -> LengthSweep | None:
    """What every common length from 34 to 40 in would do, and the one to take."""
    case = fitting.case
    clubs = tuple(without_longer(fitting.present, case.wants.longest_iron))
    if sum(c.family in ("iron", "wedge") for c in clubs) < 2:
        return None
    demand = stated_demand(case.wants.demand)
    return sweep_lengths(fitting.posterior, clubs, air_of(fitting.air), player=case.player, demand=demand)


def lofts(fitting: Fitting) -> LoftPlan | None:
    """Lofts of the layout to build for the carries or the gap asked for, for even gaps where neither is."""
    return fitting.lofts


SECTIONS: dict[str, Callable[[Fitting], Any]] = {
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


def document(
    case: Case, *, draws: int = DRAWS, words: Callable[[Statement], str] | None = None
) -> dict[str, Any]:
    """The whole result document of a case: all that `engine.solve.solve` says, and every section.

    words : puts a statement into a sentence, for ``what`` and ``why`` of the advice and for the warnings; they stay empty
    without it
    """
    fitting = Fitting(case, draws)
    doc = (fitting.result if words is None else fitting.result.in_words(words)).to_doc()
    doc["layout_to_build"] = fitting.layout.id
    for name, make in SECTIONS.items():
        doc[name] = plain(make(fitting))
    return doc
