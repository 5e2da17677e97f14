"""A fitting: all that follows from one case, the sections of the result document among it.

Each part is made once, when it is first asked for. This is the only place where results are kept; from one case to the next
`Fitting.after` hands on what still holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any, Literal

import numpy as np

from ..bag.ball import BallAdvice, ball_advice, entered_ball, measured_ball
from ..bag.driver import DriverAdvice, driver_advice
from ..bag.driver_length import LengthAdvice, length_advice
from ..bag.putter import PutterAdvice, only_known, putter_advice
from ..bag.woods import WoodsAdvice
from ..body.start_sizes import BodyFit, body_fit
from ..course.club_for_distance import Option, clubs_for
from ..course.green import Approach, Green, approaches
from ..course.plays_like import PlaysLike, plays_like
from ..course.retest import Retest, loft_slopes, measured_carries, retest
from ..course.wedge_table import WedgeTable, wedge_table
from ..documents.case import Club, Conditions, Layout, SwingSize
from ..physics.air import REFERENCE, air_of, struck_in
from ..physics.ground import GREENS
from ..physics.impact import DRY_FRICTION, WET_FRICTION, cold_ball_factor
from ..sets.common_length import LengthSweep, sweep_lengths
from ..sets.compare import stated_demand
from ..sets.dispersion import Direction, direction_of
from ..sets.lies import ClubLie
from ..sets.longest_iron import TopOfTheBag
from ..sets.part_swings import predict_parts
from ..sets.plan import BUILT, ORDERED, set_by_hand, usual_lengths, without_longer
from ..sets.predict import Prediction, joined
from ..statements import Statement, state
from ..statistics import Interval
from ..swing.parameters import INDEX
from ..swing.part_swings import PartSwing
from ..swing.sessions import ball_of, brought_home, day_apart, hit_in, moved, sessions_hit
from ..swing.then_and_now import RETEST, ThenAndNow, then_and_now
from ..units import FOOT
from ..workshop.build_sheet import BuildSheet, build_sheet
from ..workshop.known import basis
from ..workshop.norms import usual_length
from .best_bag import BestBag, best_bag, one_job, top_by_plan, woods_by_plan
from .job_record import Noted, job_record
from .known_swing import MOST_AIRS
from .next_ball import NextBall, next_ball
from .solved import HIT_FIRST_M, Solved, carry_alike


def _hit_first(club: Club) -> tuple[Statement, ...]:
    return (state("bag.hit_first", clubs=[club]),)


def _sizes(parts: Sequence[PartSwing | None]) -> list[SwingSize | None]:
    return [None if part is None else part.size for part in parts]


class Fitting(Solved):
    """A case and all that follows from it.

    given : the case as read; draws : of the posterior, 16 to 4096

    >>> from engine.documents.case import Case, Layout
    >>> fitting = Fitting(Case(layouts=(Layout("now", "present"), Layout("one", "single"))), 64)
    >>> [layout.id for layout in fitting.result.layouts]
    ['now', 'one']
    >>> fitting.build.minutes, fitting.retest.clubs
    (0, ())
    """

    @cached_property
    def body(self) -> BodyFit:
        """Length, lie and grip of the irons and wedges to begin with from the body."""
        hand, sex = self.case.player.hand_length_m, self.case.player.sex
        usual = [
            replace(c, length_m=usual_length(c, sex)) if c.family in ("iron", "wedge") else c
            for c in self.case.carried
        ]
        # a set of one length or of steps of its own keeps those, and departs from them as a whole
        lengths = usual_lengths(
            self.layout,
            self.planned,
            usual,
            longer_m=body_fit((), **self.measures).length_offset_m,
            longest_iron=self.case.wants.longest_iron,
        )
        found = body_fit(self.planned, **self.measures, hand_length_m=hand, usual_m=lengths)
        return found if self.body_known else replace(found, statements=(state("body.unknown"),))

    @cached_property
    def lies(self) -> tuple[ClubLie, ...]:
        """How the lies of the irons and wedges are to be changed, at the lengths of the set to build."""
        return self.lies_offered(self.layout)

    def lies_offered(self, layout: Layout) -> tuple[ClubLie, ...]:
        """Lies of a layout as they are built once they are taken; those stay that it states or a bench was asked for."""
        found = self.lies_of(layout)
        if not (self.lies_taken or layout.id == ORDERED):
            return found
        made = {c.id: c.lie_deg for c in self._planned(layout)}
        return tuple(replace(c, lie_deg=made[c.id]) for c in found)

    @cached_property
    def common_length(self) -> LengthSweep | None:
        """What every common length from 34 to 40 in would do, and the one to take."""
        case = self.case
        clubs = tuple(without_longer(self.present, case.wants.longest_iron))
        if sum(c.family in ("iron", "wedge") for c in clubs) < 2:
            return None
        demand = stated_demand(case.wants.demand)
        return sweep_lengths(self.posterior, clubs, air_of(self.air), player=case.player, demand=demand)

    @cached_property
    def to_come(self) -> frozenset[str]:
        """Ids of the clubs that what is left of an order makes otherwise than they were hit: another head or shaft, or any
        figure that matters to carry.
        """
        if self.layout.id != ORDERED:
            return frozenset()
        bag = {c.id: c for c in self.case.bag}
        changed = {c.id for c in self.clubs if c.id in bag and not carry_alike(bag[c.id], c)}
        return frozenset(changed | {work.id for work in self.build.clubs if work.look_for})

    @cached_property
    def build(self) -> BuildSheet:
        """Work that turns the present clubs into those to build, and the whole bag against the rules."""
        return build_sheet(
            self.present,
            self.clubs,
            also=self.putters,
            driver_speed_mps=self.driver_speed if self.driver_known else None,
            least_bend_deg=self.least_bend,
            length_step_m=self.length_step,
            lies_deg=self._lies_aimed_at,
            begun=self.lies_begun,
            on_guess=self.on_guess(self.layout),
            by_hand=set_by_hand(self.layout, self.case.bag),
            left_handed=self.case.player.handed == "left",
            open_lofts={c.club for c in self.lofts.clubs if c.waits} if self.lofts else (),
        )

    @property
    def lies_begun(self) -> frozenset[str]:
        """Ids of the clubs to build whose lie is a start, which nothing but the body asks for."""
        if self.layout.id == ORDERED:
            return frozenset(self.starts_of(self.layout))
        return frozenset(self._lies_aimed_at if self.lie_line.by_body else ())

    @property
    def _lies_aimed_at(self) -> dict[str, float]:
        """Where lies that suit are taken into the set to build: those, before the bench's steps [deg]."""
        if not self.lies_taken or self.layout.id == ORDERED:
            return {}
        stated = {c.id for c in self.layout.clubs if c.lie_deg is not None}
        return {c.id: c.present_deg + c.change_deg for c in self.lies if c.id not in stated}

    @cached_property
    def aims(self) -> dict[str, dict[str, float]]:
        """By club the loft and lie [deg] that its order comes as near as steps and head allow."""
        out = {c.id: {"loft_deg": c.loft_deg, "lie_deg": c.lie_deg} for c in self.clubs}
        for club_id, lie in self._lies_aimed_at.items():
            out[club_id]["lie_deg"] = lie
        for club in self.lofts.clubs if self.lofts else ():
            out[club.club]["loft_deg"] = club.wanted_loft_deg
        return out

    @cached_property
    def promised(self) -> dict[str, float] | None:
        """Carry [m] in the reference air of each iron and wedge as the sheet has it, but for those that wait until they or
        others were hit; ``None`` where nothing is asked of lofts."""
        if not self.lofts_asked:
            return None
        asked = self.lofts.clubs if self.lofts else ()
        first = {c.club for c in asked if c.hit_first}
        if any(not first.issuperset(c.waits_for) for c in asked):
            return {}  # the clubs from which gaps are counted are still to be hit
        waits = {c.club for c in asked if c.waits}
        clubs = tuple(
            w.target if w.feasible else w.wanted
            for w in self.build.clubs
            if w.target.family in ("iron", "wedge") and w.id not in waits
        )
        carries = self.predict(clubs, REFERENCE).carry.mean(axis=0)
        return {c.id: round(float(x), 1) for c, x in zip(clubs, carries, strict=True)}

    @cached_property
    def make_up(self) -> BestBag | None:
        """The plan for the bag: which clubs to carry; ``None`` where nothing but a putter is there."""
        return best_bag(self)

    def one_job(self, clubs: Sequence[Club]) -> tuple[Statement, ...]:
        """Which of the clubs of a set do the same job, of those that were hit and that the plan does not leave out."""
        found = one_job(self, [c for c in clubs if c.id in self.clubs_hit])
        carried = {c.id for c in self.make_up.carried} if found and self.make_up else set()
        return tuple(s for s in found if {c.id for c in s.clubs} <= carried)

    @cached_property
    def irons_stop(self) -> TopOfTheBag | None:
        """Where the irons to build stop, as the plan has it; ``None`` where there is neither iron nor wedge."""
        top = self.top_facts
        return None if top is None else top_by_plan(top, self.make_up, self.owned)

    @cached_property
    def woods(self) -> WoodsAdvice:
        """Fairway woods and hybrids, as the plan has them."""
        driver = self.driver_club
        measured = self.case.swing.driver_speed_mps is not None or any(
            s.use and s.club_speed_mps is not None and driver is not None and s.club == driver.id
            for s in self.case.full_shots
        )
        return woods_by_plan(
            self.wood_facts, self.make_up, driver, speed_known=self.driver_known, speed_measured=measured
        )

    @cached_property
    def driver_known(self) -> bool:
        """Whether enough is known of the driver to advise on it: it was hit, or its speed was measured."""
        driver = self.driver_club
        return self.case.swing.driver_speed_mps is not None or (
            driver is not None and driver.id not in self.hit_first
        )

    @cached_property
    def driver(self) -> DriverAdvice | None:
        """Carry over launch and spin, the player on it, what moves him, and the loft that suits."""
        club = self.driver_club
        if club is None:
            return None
        advice = driver_advice(self.posterior, club, air_of(self.air))
        if not self.driver_known:
            return replace(advice, statements=_hit_first(club))
        if not self.launch_known:
            best = (s for s in advice.statements if s.kind == "driver.best")
            return replace(advice, statements=(*best, state("driver.not_measured", clubs=[club])))
        if basis(club, "loft_deg") != "usual":
            return advice
        usual = state("known.usual", clubs=[club], figures=("loft",))
        return replace(advice, statements=(*advice.statements, usual))

    @cached_property
    def launch_known(self) -> bool:
        """Whether anything was measured or entered that tells how the driver launches the ball."""
        driver = self.driver_club
        balls = (s for s in self.case.full_shots if s.use and driver is not None and s.club == driver.id)
        return self.case.swing.attack_deg is not None or any(
            s.launch_deg is not None or s.spin_rpm is not None for s in balls
        )

    @cached_property
    def driver_length(self) -> LengthAdvice | None:
        """What a shorter or longer driver gives and costs."""
        club = self.driver_club
        if club is None:
            return None
        advice = length_advice(self.posterior, club, air_of(self.air), spread=self.spread)
        return advice if self.driver_known else replace(advice, statements=_hit_first(club))

    @cached_property
    def ball(self) -> BallAdvice:
        """Another ball over the whole bag: the one entered, else the usual ball against the one whose spin was measured."""
        entered = self.case.wants.ball
        other = (
            measured_ball(self.posterior)
            if entered is None
            else entered_ball(entered.driver_spin, entered.wedge_spin)
        )
        if other.basis == "priors":  # nobody has said or measured anything of a ball
            return BallAdvice(
                Interval(1.0, 1.0, 1.0),
                Interval(1.0, 1.0, 1.0),
                (),
                (state("ball.nothing_yet"),),
                other.basis,
            )
        return ball_advice(self.posterior, self.clubs, air_of(self.air), other)

    @cached_property
    def putter(self) -> PutterAdvice:
        """Length, lie and loft to begin with, and what a green of the stated speed does to a putt."""
        swing, speed = self.case.swing, self.case.wants.green_speed_m
        green: dict[str, Any] = {} if speed is None else {"green_speed_ft": speed / FOOT}
        own = next(iter(self.putters), None)
        advice = putter_advice(
            **self.measures,
            putter=own,
            lean_deg=swing.putter_lean_deg or 0.0,
            attack_deg=swing.putter_attack_deg or 0.0,
            **green,
        )
        return only_known(advice, own=own, body=self.body_known, stroke=self.stroke_known)

    @cached_property
    def stroke_known(self) -> bool:
        """Whether lean and attack of the putter were entered."""
        swing = self.case.swing
        return swing.putter_lean_deg is not None and swing.putter_attack_deg is not None

    @cached_property
    def next_ball(self) -> NextBall:
        """What to hit next to settle the open choice, and what the balls hit last did to it."""
        return next_ball(self)

    @cached_property
    def then_and_now(self) -> ThenAndNow | None:
        """What each session showed, and what changed with a build or, without one, in the newest session; ``None`` without
        a carry.
        """
        return then_and_now(self.case)

    @cached_property
    def job_record(self) -> tuple[Noted, ...]:
        """What was hit, ordered, built and measured, by date."""
        return job_record(self.case)

    @cached_property
    def hit_again(self) -> tuple[Literal["shots", "retest"], tuple[int, ...]]:
        """The list of the case with the balls of the re-test, and their numbers there: those of the clubs in the bag while
        these are the set to build, else those of the set to build."""
        if self.layout.id == BUILT:
            shots = enumerate(self.case.shots)
            if counted := tuple(n for n, s in shots if s.layout is not None and s.swing_size is None):
                return "shots", counted
        here = (None, self.layout.id, self.case.wants.layout)
        return "retest", tuple(n for n, shot in enumerate(self.case.retest) if shot.layout in here)

    @cached_property
    def retest(self) -> Retest:
        """Balls of the re-test against what was predicted of their clubs without them, in the conditions in which they were
        hit, and without what their day is known to have done."""
        of, numbers = self.hit_again
        again = (getattr(self.case, of)[n] for n in numbers)
        shots = [replace(shot, session=shot.session or RETEST) for shot in again]
        clubs, swing, there = self.clubs, self.swing, self.hit_in
        if of == "shots":
            clubs, swing = self.present, self.swing.before_retest
            there = hit_in(swing.case)
        home = hit_in(self.case, shots)
        hit = sessions_hit(shots)
        before, days = swing.case.full_shots, swing.posterior.days
        apart = {one: day_apart(self.case, days, before, one) for one in hit}
        off = {
            key: by - apart[key[2]].by
            for key, by in brought_home(self.case, shots, {c.id: c for c in clubs}, home).items()
        }
        balls = np.zeros((len(clubs), len(hit)))
        for shot in shots:
            for row in (n for n, club in enumerate(clubs) if shot.use and club.id == shot.club):
                balls[row, hit.index(shot.session)] += shot.balls
        of_day = balls / np.maximum(balls.sum(axis=1, keepdims=True), 1.0) * [apart[one].sd for one in hit]
        beside = [one.by for one in apart.values() if one.beside]
        air = struck_in(home)
        return retest(
            swing.predict([clubs], air)[0],
            measured_carries([moved(s, off) for s in shots]),
            day=of_day @ of_day.T,
            day_off=float(np.expm1(np.mean(beside))) if beside else None,
            unknown=next((one.unknown for one in apart.values() if one.unknown), ""),
            loft_slope=loft_slopes(swing.posterior, clubs, air_of(air)),
            log_ball=ball_of(home, there, swing.posterior.theta[:, INDEX["range_ball"]]),
        )

    # on the course: the ball and the faces of the day, in its air or in that of a shot

    def played(
        self, clubs: tuple[Club, ...], air: Conditions | None = None, *, height_m: float = 0.0
    ) -> Prediction:
        """Draws of any clubs as they are played on the day: with a cold ball and wet faces where the case asks for them."""
        wants, air = self.case.wants, air or self.air
        (found,) = self.swing.predict([clubs], air, height=height_m, wet=wants.wet_face)
        return self._with_balls_of_the_day(found, air)

    def _with_balls_of_the_day(self, found: Prediction, air: Conditions) -> Prediction:
        factor = cold_ball_factor(air.temperature_c) if self.case.wants.cold_ball else 1.0
        return replace(found, carry=found.carry * factor, side=found.side * factor)

    def swung(self, layout_id: str) -> tuple[tuple[Club, PartSwing], ...]:
        """Each club of a layout as it is played with each of its part swings; `KeyError` if there is no such layout."""
        return tuple((club, part) for club in self.to_play(layout_id) for part in self.parts_of(club))

    def played_parts(
        self,
        swung: Sequence[tuple[Club, PartSwing]],
        air: Conditions | None = None,
        *,
        height_m: float = 0.0,
    ) -> Prediction:
        """Draws of clubs with a part swing each as they are played on the day, see `played`."""
        air = air or self.air
        friction = WET_FRICTION if self.case.wants.wet_face else DRY_FRICTION
        found = predict_parts(self.posterior, swung, air_of(air), height=height_m, friction=friction)
        return self._with_balls_of_the_day(found, air)

    @cached_property
    def _parts_flown(self) -> dict[tuple[str, Conditions, float], Prediction]:
        return {}

    def swung_flown(
        self, layout_id: str, air: Conditions | None = None, *, height_m: float = 0.0
    ) -> Prediction:
        """What `swung` does as it is played on the day; flown once in an air and to a height."""
        asked = layout_id, air or self.air, height_m
        if asked not in self._parts_flown:
            if len(self._parts_flown) >= MOST_AIRS:
                self._parts_flown.clear()
            self._parts_flown[asked] = self.played_parts(self.swung(layout_id), air, height_m=height_m)
        return self._parts_flown[asked]

    @cached_property
    def wedge_table(self) -> WedgeTable | None:
        """The wedge table of the set to build and to play; ``None`` where the player has named no part swing."""
        return self.wedge_table_of(self.layout.id)

    def wedge_table_of(self, layout_id: str) -> WedgeTable | None:
        """The wedge table of a layout as it is played.

        Raises
        ------
        KeyError
            If the case has no such layout.
        """
        if not self.case.swing_sizes:
            return None
        if layout_id not in self._wedge_tables:
            self._wedge_tables[layout_id] = self._wedge_table(layout_id)
        return self._wedge_tables[layout_id]

    @cached_property
    def _wedge_tables(self) -> dict[str, WedgeTable]:
        return {}

    def _wedge_table(self, layout_id: str) -> WedgeTable:
        parts, flown = self.swung(layout_id), self.swung_flown(layout_id)
        clubs = tuple(
            c for c in self.to_play(layout_id) if c.family == "wedge" or any(c is club for club, _ in parts)
        )
        every: list[tuple[Club, PartSwing | None]] = [*((c, None) for c in clubs), *parts]
        order = sorted(range(len(every)), key=lambda i: (clubs.index(every[i][0]), i))
        both = joined(self.played(clubs), flown)
        balls: dict[str, int] = {}
        for group in self.posterior.summaries:
            balls[group.club.id] = balls.get(group.club.id, 0) + group.carry.counted
        return wedge_table(
            [every[i] for i in order],
            both.columns(order),
            irons=self.played(tuple(c for c in self.to_play(layout_id) if c.family == "iron")),
            full_balls=balls,
            too_wide_m=HIT_FIRST_M,
            gap_m=self.case.wants.part_gap_m,
            lofts=self.wedge_lofts if layout_id == self.layout.id else None,
        )

    def clubs_for(
        self,
        layout_id: str,
        distance_m: float,
        *,
        height_m: float = 0.0,
        within_m: float = 5.0,
        air: Conditions | None = None,
    ) -> tuple[Option, ...]:
        """Every club of a layout, full and with each part swing that is known, for a target at a distance and a height above
        the ball [m], below it if negative; see `engine.course.club_for_distance.clubs_for`.

        Raises
        ------
        KeyError
            If the case has no such layout.
        """
        prediction, parts = self._every_swing(layout_id, air, height_m)
        return clubs_for(
            prediction,
            distance_m,
            spread=self._spreads(parts),
            within_m=within_m,
            sizes=_sizes(parts),
        )

    def _every_swing(
        self, layout_id: str, air: Conditions | None, height_m: float
    ) -> tuple[Prediction, list[PartSwing | None]]:
        """What every club of a layout does as it is played, full and then with each part swing that is known: that was hit,
        or whose range is no wider than `HIT_FIRST_M`. Each with its part swing, ``None`` for a full one.
        """
        full = self.played(self.to_play(layout_id), air, height_m=height_m)
        table = self.wedge_table_of(layout_id)
        if table is None:
            return full, [None] * len(full.clubs)
        known = {(c.club, c.swing_size) for c in table.carries if not c.hit_first}
        swung = self.swung(layout_id)
        those = [i for i, (club, part) in enumerate(swung) if (club.id, part.size.id) in known]
        flown = self.swung_flown(layout_id, air, height_m=height_m).columns(those)
        return joined(full, flown), [*[None] * len(full.clubs), *(swung[i][1] for i in those)]

    def _spreads(self, parts: Sequence[PartSwing | None]) -> list[float]:
        """Shot-to-shot standard deviation of carry as a share of it [-], swing by swing."""
        return [self.spread if part is None else part.spread for part in parts]

    def plays_like(
        self, layout_id: str, distance_m: float, *, height_m: float = 0.0, air: Conditions | None = None
    ) -> PlaysLike | None:
        """What a target amounts to on level ground in standard air, by the clubs of a layout; ``None`` with fewer than two
        that reach its height.

        Raises
        ------
        KeyError
            If the case has no such layout.
        """
        clubs, air = self.to_play(layout_id), air or self.air
        calm = replace(air, wind_mps=0.0)
        stages = ((calm, 0.0), (air, 0.0), (air, height_m))
        there = [self.played(clubs, air, height_m=height) for air, height in stages]
        return plays_like([self.predict(clubs, REFERENCE), *there], distance_m)

    def drift(
        self,
        club: Club,
        *,
        part: PartSwing | None = None,
        height_m: float = 0.0,
        air: Conditions | None = None,
    ) -> float:
        """How far the wind moves the mean ball of a club to the right [m], with a full or a part swing."""
        if part is None:
            return float(self.played((club,), air, height_m=height_m).side.mean())
        return float(self.played_parts([(club, part)], air, height_m=height_m).side.mean())

    def approaches(
        self,
        layout_id: str,
        distance_m: float,
        green: Green,
        *,
        height_m: float = 0.0,
        air: Conditions | None = None,
        turf: str = "usual",
    ) -> tuple[Approach, ...]:
        """The clubs of a layout at a green, full and with each part swing that is known, fewest strokes first; see
        `engine.course.green.approaches`.

        turf : of the green, one of `engine.physics.ground.GREENS`

        Raises
        ------
        KeyError
            If the case has no such layout, or there is no such turf.
        """
        air = air or self.air
        calm = replace(air, wind_mps=0.0)
        there, parts = self._every_swing(layout_id, air, height_m)
        still, _ = self._every_swing(layout_id, calm, height_m)
        return approaches(
            there,
            distance_m,
            green,
            spread=self._spreads(parts),
            sizes=_sizes(parts),
            direction_sd_deg=self.direction.sd_deg,
            calm=still,
            turf=GREENS[turf],
        )

    @cached_property
    def direction(self) -> Direction:
        """How far balls differ in direction, and how far that rests on the player's own."""
        return direction_of(self.counted_shots)
