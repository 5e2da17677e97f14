"""A case solved: its swing, its layouts compared, and the clubs to build, each part made once, when first asked for."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import groupby, pairwise
from typing import Any, Self

from .. import __version__
from ..bag.woods import WoodsAdvice, woods_advice
from ..body.start_sizes import body_fit
from ..documents.case import FIGURES, Case, Club, Conditions, Layout, LayoutClub, Shot
from ..documents.fields import FITTED
from ..documents.result import Advice, Calibration, LayoutResult, Result, ShotGroup
from ..physics.air import REFERENCE, air_of, struck_in
from ..sets.advice import OpenChoice, advise, differences, open_choice
from ..sets.common_target import on_guess
from ..sets.compare import DECIDES, Comparison, stated_demand
from ..sets.length_test import (
    LengthTest,
    carry_lost,
    club_to_test,
    mishits_share,
    plan_test,
    spread_by_length,
    spread_degrees,
)
from ..sets.lies import ClubLie, LieLine, lie_line, lies_to_build
from ..sets.lofts import (
    NEAR_ENOUGH_M,
    LoftPlan,
    carry_between,
    loft_known,
    lofts_for_carries,
    lofts_for_even_gaps,
    lofts_for_gap,
    off_the_promise,
)
from ..sets.longest_iron import TopOfTheBag, top_of_the_bag
from ..sets.next_ball import Decision, NextBalls, decision_between, next_balls
from ..sets.part_swings import WedgeLofts, lofts_for_part_gaps
from ..sets.plan import ORDERED, anchor_of, own_layout, plan, planned
from ..sets.predict import Prediction
from ..sets.usual import complete
from ..sets.verdict import Verdict, break_even_of, sets_to_compare, verdict_between
from ..statements import Statement, state
from ..statistics import Interval, interval, intervals
from ..swing.calibration import Posterior
from ..swing.observations import carry_spread
from ..swing.part_swings import PartSwing
from ..swing.sessions import brought_home, hit_in, moved
from ..units import INCH
from ..workshop.bench import TOLERANCE
from ..workshop.buildable import head_stays
from ..workshop.limits import SMALLEST_BEND_DEG
from ..workshop.norms import norm_club, usual_woods
from ..workshop.steps import EIGHTH_M
from .known_swing import DRAWS, KnownSwing
from .layouts import Weighed, compared, layout_results, names, weigh_layouts
from .shots_section import calibration, shot_group, warnings

LONG_FAMILIES = ("driver", "fairway", "hybrid")
HIT_FIRST_M = 20.0
"""A 90 % range of carry [m] wider than this spans the clubs on either side: two gaps of 10 m; ours, no source."""


@dataclass(frozen=True)
class Solved:
    """A case and what follows from it. ``given`` is the case as read, ``draws`` those of the posterior, 16 to 4096.

    known : what is known of the swing already, from a case that has the same one (`after`)
    """

    given: Case
    draws: int = DRAWS
    known: KnownSwing | None = field(default=None, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not 16 <= self.draws <= 4096:
            raise ValueError(f"`draws` must be from 16 to 4096, not {self.draws}")

    def after(self, case: Case) -> Self:
        """The same for another case, as after an edit; what is known of the swing is handed on where it still holds."""
        known = self.swing if self.swing.tells_of(complete(case)) else None
        return type(self)(case, self.draws, known)

    @cached_property
    def case(self) -> Case:
        """The case with the usual bag and layouts where it names none."""
        return complete(self.given)

    @cached_property
    def swing(self) -> KnownSwing:
        """What is known of the swing, and the clubs flown with it."""
        return self.known or KnownSwing(self.case, self.draws)

    @cached_property
    def posterior(self) -> Posterior:
        return self.swing.posterior

    @cached_property
    def air(self) -> Conditions:
        """The air in which carries are predicted."""
        return self.case.wants.air or REFERENCE

    @cached_property
    def hit_in(self) -> Conditions:
        """The conditions of the carries as they are summed up: those of all balls, else the reference air."""
        return hit_in(self.case)

    @cached_property
    def spread(self) -> float:
        """Shot-to-shot standard deviation of carry as a share of it [-]."""
        return carry_spread(self.posterior.summaries)

    @cached_property
    def part_swings(self) -> tuple[PartSwing, ...]:
        """The player's part swings after their balls."""
        return self.swing.part_swings(self.case, spread=self.spread)

    @cached_property
    def part_shots(self) -> dict[str, tuple[ShotGroup, ...]]:
        """The balls of each part swing, by its id, summed up by club and grip."""
        return {part.size.id: tuple(map(shot_group, part.summaries)) for part in self.part_swings}

    def parts_of(self, club: Club) -> tuple[PartSwing, ...]:
        """The part swings of a club: those meant for it, those for every wedge if it is one, those it was hit with."""
        return tuple(part for part in self.part_swings if part.size.meant_for(club) or part.balls(club.id))

    # the layouts, and what the result says of them

    @cached_property
    def weighed(self) -> tuple[Weighed, ...]:
        """Every layout by every measure, draw by draw."""
        return weigh_layouts(
            self.case, [self.laid_out(x) for x in self.case.layouts], self.predict_sets, spread=self.spread
        )

    @cached_property
    def layouts(self) -> tuple[LayoutResult, ...]:
        return layout_results(self.case, self.weighed, spread=self.spread, hit_first=self.hit_first)

    @cached_property
    def comparison(self) -> tuple[Comparison, ...]:
        """Every pair of layouts by every measure both have."""
        return compared(self.case.layouts, self.weighed)

    @cached_property
    def differences(self) -> tuple[Statement, ...]:
        """What one layout has over another, surest first."""
        return differences(self.layouts, self.comparison)

    @cached_property
    def met(self) -> tuple[tuple[Layout, ...], tuple[Weighed, ...]]:
        """The layouts, and behind them what the verdict compares them with though it is not laid out, all weighed."""
        layouts, pair = self.case.layouts, sets_to_compare(self.case) or ()
        extra = tuple(x for x in pair if all(x.id != y.id for y in layouts))
        if not extra:
            return layouts, self.weighed
        sets = [self.laid_out(x) for x in (*layouts, *extra)]
        return (*layouts, *extra), weigh_layouts(self.case, sets, self.predict_sets, spread=self.spread)

    @cached_property
    def verdict(self) -> Verdict | None:
        """What one set gains and gives against another; ``None`` with fewer than two irons and wedges."""
        pair = sets_to_compare(self.case)
        if pair is None:
            return None
        layouts, weighed = self.met
        called = {x.id: x for x in names(layouts, weighed, self.case.bag)}
        flown = {x.id: one.prediction for x, one in zip(layouts, weighed, strict=True)}
        base, other = (x.id for x in pair)
        summaries = self.posterior.summaries
        degrees = spread_degrees(summaries)
        even = break_even_of(
            flown[base],
            flown[other],
            spread=self.spread,
            degrees=degrees,
            demand=stated_demand(self.case.wants.demand),
        )
        return verdict_between(
            called[base],
            called[other],
            flown[base],
            flown[other],
            bag=self.case.bag,
            lies_apart=self.lies_taken,
            matters=self.case.wants.matters,
            test=self._length_test(flown[other].clubs, even.ratio.mean),
            so_far=spread_by_length(self.case, summaries),
            even=even,
            lofts_bent=self.lofts_asked,
            spread=self.spread,
            degrees=degrees,
            least_bend_deg=self.least_bend,
            length_step_m=self.length_step,
            on_guess=self.on_guess(next(x for x in layouts if x.id == other)),
        )

    def _length_test(self, other: Sequence[Club], needed_ratio: float) -> LengthTest | None:
        """The test of the club that a set shortens most."""
        found = club_to_test(self.case.carried, other)
        if found is None:
            return None
        club, down = found
        return plan_test(
            club,
            down,
            expected_m=interval(carry_lost(self.posterior, club, down, air_of(self.air))),
            carry_m=float(self.predict((club,)).carry.mean()),
            spread=self.spread,
            needed_ratio=needed_ratio,
            mishits=mishits_share(self.posterior.summaries),
            mishits_noted=any(g.carry.left_out for g in self.posterior.summaries),
        )

    @cached_property
    def advice(self) -> tuple[Advice, ...]:
        """The verdict between the layouts first, then the rest."""
        return advise(self.case, self.layouts, self.verdict, self.balls_to_hit)

    @cached_property
    def open_choice(self) -> OpenChoice | None:
        """How the two sets of the verdict stand by what more balls can settle."""
        return open_choice(compared(*self.met), self.verdict)

    def decision(self, a: str, b: str) -> Decision:
        """The choice between two sets of the verdict. The other layouts bear on the distances faced."""
        values = {layout.id: one.values for layout, one in zip(*self.met, strict=True)}
        return decision_between(a, b, values[a], values[b], measure=DECIDES)

    @cached_property
    def balls_to_hit(self) -> NextBalls | None:
        """The ranking for the open choice, the set behind against the one ahead; ``None`` where there is no choice.

        One length down the grip, that of the range test where there is one.
        """
        found, verdict = self.open_choice, self.verdict
        if found is None or verdict is None:
            return None
        air = struck_in(self.hit_in)
        return next_balls(
            self.posterior,
            self.decision(found.behind, found.ahead),
            clubs=self.present,
            air=air_of(air),
            spread=self.spread,
            grips=(0.0, verdict.test.grip_down_m if verdict.test else INCH),
            full_carry=self.predict(self.present, air).carry,
        )

    @cached_property
    def shots(self) -> tuple[ShotGroup, ...]:
        """The balls of each club at each grip, summed up."""
        groups = self.posterior.summaries
        means = [Shot(g.club.id, carry_m=g.carry.mean, grip_down_m=g.grip_down) for g in groups]
        there = replace(self.case, sessions=(), conditions=self.hit_in)
        off = brought_home(there, means, {c.id: c for c in self.case.bag}, self.air)
        return tuple(
            shot_group(group, mean_in_air_m=moved(mean, off).carry_m)
            for group, mean in zip(groups, means, strict=True)
        )

    @cached_property
    def counted_shots(self) -> tuple[Shot, ...]:
        """The full swings that count: neither left out by hand nor set aside as mishits."""
        groups = self.posterior.summaries
        aside = {i for g in groups for i, used in zip(g.shots, g.carry.used, strict=True) if not used}
        shots = enumerate(self.case.shots)
        return tuple(s for i, s in shots if s.use and s.swing_size is None and i not in aside)

    @cached_property
    def calibration(self) -> Calibration:
        return calibration(self.posterior, self.spread)

    @cached_property
    def warnings(self) -> tuple[Statement, ...]:
        return warnings(self.case, self.posterior)

    @cached_property
    def result(self) -> Result:
        """All of this as one frozen result, of which the result document is written."""
        return Result(
            engine=__version__,
            reference_air=REFERENCE,
            shots=self.shots,
            calibration=self.calibration,
            layouts=self.layouts,
            comparison=self.comparison,
            verdict=self.verdict,
            differences=self.differences,
            advice=self.advice,
            warning_statements=self.warnings,
        )

    # the clubs to build, and the others

    @cached_property
    def least_bend(self) -> float:
        """Least bend [deg] that is worth ordering."""
        return self.case.wants.least_bend_deg or SMALLEST_BEND_DEG

    @cached_property
    def length_step(self) -> float:
        """Step [m] in which the bench cuts lengths."""
        return self.case.wants.length_step_m or EIGHTH_M

    @cached_property
    def layout(self) -> Layout:
        """The layout to build: the one asked for, else the present set."""
        asked = (x for x in self.case.layouts if x.id == self.case.wants.layout)
        return next(asked, self.own_layout)

    @cached_property
    def own_layout(self) -> Layout:
        """The present set, which need not be among the layouts that are compared."""
        return own_layout(self.case.layouts, self.case.bag)

    @cached_property
    def planned(self) -> tuple[Club, ...]:
        """Full-shot clubs of the layout to build with the lofts it states, straightest face first."""
        return self._planned(self.layout)

    def _planned(self, layout: Layout) -> tuple[Club, ...]:
        """The clubs of a layout as `engine.sets.plan.planned` has them, with the lies that suit the player if those were
        taken. A lie that the layout states for a club stays, and so do all of one that a bench was already asked for, but
        for starts that a board or balls have overtaken; so do its lofts, but for those `overtaken`.
        """
        if layout.id == ORDERED:
            starts = self.starts_of(layout)
            named = (
                replace(c, lie_deg=None) if c.begin_lie and c.id not in starts else c for c in layout.clubs
            )
            left = (replace(c, loft_deg=None) if c.id in self.overtaken else c for c in named)
            return planned(replace(layout, clubs=tuple(left)), self.case)
        clubs = planned(layout, self.case)
        if not self.lies_taken:
            return clubs
        stated = {c.id for c in layout.clubs if c.lie_deg is not None}
        lies = {c.id: c.lie_deg for c in self.lies_of(layout) if c.id not in stated}
        return tuple(c.known(lie_deg=lies[c.id]) if c.id in lies else c for c in clubs)

    def starts_of(self, layout: Layout) -> set[str]:
        """Ids of the clubs whose stated lie is a start, as long as neither a lie board nor balls tell of any."""
        overtaken = self.lie_line.told and not self.lie_line.by_body
        return set() if overtaken else {c.id for c in layout.clubs if c.begin_lie}

    @cached_property
    def left_to_do(self) -> tuple[LayoutClub, ...]:
        """The clubs of which something is left of an order, but for a loft that is `overtaken`."""
        left = (c for x in self.case.layouts if x.id == ORDERED for c in x.clubs)
        open_ = (replace(c, loft_deg=None) if c.id in self.overtaken else c for c in left)
        return tuple(c for c in open_ if _states(c))

    @cached_property
    def overtaken(self) -> dict[str, tuple[Statement, ...]]:
        """What to say of each club whose loft a build left to be bent, though the balls hit with it since no longer ask for
        that: as it is, it comes nearer to what was promised of it than it would bent. Where gaps are asked for, its place
        between its neighbours counts.
        """
        layout = next((x for x in self.case.layouts if x.id == ORDERED), Layout(ORDERED, "own"))
        hit = {s.club for s in self.case.full_shots if s.use and s.carry_m is not None}
        left = {
            c.id: c.loft_deg
            for c in layout.clubs
            if c.loft_deg is not None and c.length_m is None and c.head_kg is None
        }
        wants, promised = self.case.wants, {w.id: w.carry_m for w in self.case.wants.built_to}
        clubs = tuple(c for c in self.present if c.id in promised)
        told = [i for i, c in enumerate(clubs) if c.id in left and c.id in hit]
        if not told:
            return {}
        bent = tuple(replace(c, loft_deg=left.get(c.id, c.loft_deg)) for c in clubs)
        now, then = (x.carry.mean(axis=0) for x in self.predict_sets([clubs, bent], REFERENCE))
        out: dict[str, tuple[Statement, ...]] = {}
        for i in told:
            aim = promised[clubs[i].id]
            beside = [j for j in (i - 1, i + 1) if 0 <= j < len(clubs)]
            if beside and not wants.carries:
                on = [(now[j], promised[clubs[j].id]) for j in beside]
                aims = [aim * m / p if wants.gap_m is None else aim + m - p for m, p in on]
                aim = sum(aims) / len(aims)
            if abs(now[i] - aim) <= abs(then[i] - aim):
                out[clubs[i].id] = (state("loft.overtaken", loft=left[clubs[i].id]),)
        return out

    @cached_property
    def lies_taken(self) -> bool:
        """Whether every set takes the lies that suit the player, as far as anything tells of them."""
        return self.case.wants.lies == FITTED and self.lie_line.told

    def on_guess(self, layout: Layout) -> dict[str, dict[str, Club]]:
        """By club and figure, the unmeasured club of which a layout takes it (`engine.sets.common_target.on_guess`)."""
        lies = not self.lies_taken
        return on_guess(layout, self.case.bag, longest_iron=self.case.wants.longest_iron, lies=lies)

    @cached_property
    def body_known(self) -> bool:
        """Whether anything is known of how tall the player stands."""
        return self.case.player.height_m is not None or self.case.player.wrist_to_floor_m is not None

    @cached_property
    def lie_line(self) -> LieLine:
        """The lies that suit the player, by length: by board and flight, until then by the body."""
        player = self.case.player
        return lie_line(
            self.case.bag,
            self.posterior,
            air_of(struck_in(self.hit_in)),
            body=body_fit(self.present, **self.measures) if self.body_known else None,
            shots=self.case.full_shots,
            sex=player.sex,
            left_handed=player.handed == "left",
        )

    def lies_of(self, layout: Layout) -> tuple[ClubLie, ...]:
        """The lies that suit at the lengths of a layout's irons and wedges, as the bench can set them."""
        if layout not in self._lies:
            clubs, heads = planned(layout, self.case), {c.id: c for c in self.case.carried}
            # by its mass: whatever its lie, such a head goes
            gone = {
                c.id for c in clubs if not head_stays(heads[c.id], replace(c, lie_deg=heads[c.id].lie_deg))
            }
            self._lies[layout] = lies_to_build(
                self.lie_line, self.case.carried, clubs, find=gone, least_bend_deg=self.least_bend
            )
        return self._lies[layout]

    @cached_property
    def _lies(self) -> dict[Layout, tuple[ClubLie, ...]]:
        return {}

    @cached_property
    def lofts_asked(self) -> bool:
        """Whether lofts are to be bent, for carries, a gap or even gaps, rather than to stay as they stand."""
        wants = self.case.wants
        return bool(wants.carries) or wants.gap_m is not None or wants.lofts == "even_gaps"

    @cached_property
    def lofts(self) -> LoftPlan | None:
        """Lofts of the irons and wedges to build for the carries, the gap or the even gaps asked for.

        ``None`` where no lofts are asked for, there are too few clubs to space, or the layout is what a bench was already
        asked for.
        """
        found = self._loft_plan(self.layout)
        return self._came_of(found) if found else None

    def gap_of(self, layout: Layout) -> tuple[Statement, ...]:
        """What there is to say of the wanted gap in a layout: that it cannot be met, and which even gap could."""
        found = self._loft_plan(layout)
        return found.statements if found else ()

    @cached_property
    def _loft_plans(self) -> dict[Layout, LoftPlan | None]:
        return {}

    def _loft_plan(self, layout: Layout) -> LoftPlan | None:
        """The lofts of a layout's irons and wedges for what is asked of them, searched once."""
        if not self.lofts_asked or layout.id == ORDERED:
            return None
        if layout not in self._loft_plans:
            self._loft_plans[layout] = self._search_lofts(layout)
        return self._loft_plans[layout]

    def _search_lofts(self, layout: Layout) -> LoftPlan | None:
        wants, air = self.case.wants, air_of(self.air)
        clubs = [c for c in self._planned(layout) if c.family in ("iron", "wedge")]
        ids = {c.id for c in clubs}
        carries = {w.id: w.carry_m for w in wants.carries if w.id in ids}
        how: dict[str, Any] = {
            "heads": self._heads_kept(layout, clubs),
            "kept": _stated_lofts(layout),
            "least_bend_deg": self.least_bend,
            "hit": self.clubs_hit,
        }
        if (again := self._built_again(layout, clubs)) is not None:
            how["kept"] = {c.id for c in clubs} - again.keys()
            return lofts_for_carries(self.posterior, clubs, air, carries_m=again, **how)
        if carries:
            return lofts_for_carries(self.posterior, clubs, air, carries_m=carries, **how)
        if wants.gap_m is not None and len(clubs) >= 2:
            anchor = anchor_of([c for c in clubs if c.family == "iron"] or clubs).id
            return lofts_for_gap(self.posterior, clubs, air, gap_m=wants.gap_m, anchor=anchor, **how)
        if len(clubs) >= 3:
            return lofts_for_even_gaps(self.posterior, clubs, air, **how)
        return None

    def _built_again(self, layout: Layout, clubs: Sequence[Club]) -> dict[str, float] | None:
        """Carries [m] by id of the clubs to bend, of a set that was built to what is asked: those that miss what was
        promised by more than their balls leave open, and those hit only since; ``None`` where it is another set.
        """
        wants, bag, stated = self.case.wants, {c.id: c for c in self.case.carried}, _stated_lofts(layout)
        others = (c for c in clubs if c.id not in stated)
        if not wants.built_to or not all(c.id in bag and carry_alike(bag[c.id], c) for c in others):
            return None
        promised = {w.id: w.carry_m for w in wants.built_to}
        waits = {c.id for c in self.left_to_do} | stated
        places = [i for i, c in enumerate(clubs) if c.id in promised and c.id not in waits]
        if not places:
            return {}
        now = self.predict(tuple(clubs)).carry.mean(axis=0)
        level = "as_stated" if wants.carries else "even_gaps" if wants.gap_m is None else "gaps"
        carry = self.predict(tuple(clubs[i] for i in places), REFERENCE).carry
        off = off_the_promise(carry, [promised[clubs[i].id] for i in places], level=level)
        out = {clubs[i].id: float(now[i] - by) for i, by in zip(places, off, strict=True) if by}
        asked = {c.id: c.carry_m for c in wants.carries}
        for i, club in enumerate(clubs):
            if club.id in promised or club.id in waits:
                continue
            if any(c.id not in self.clubs_hit for c in _not_promised_beside(i, clubs, promised)):
                continue
            if not wants.carries:
                out[club.id] = carry_between(i, places, now[places] - off, gap_m=wants.gap_m)
            elif club.id in asked:
                out[club.id] = asked[club.id]
        return out

    def _heads_kept(self, layout: Layout, clubs: Sequence[Club]) -> list[Club]:
        """The heads of the bag that serve these clubs by mass and lie, and so are bent rather than replaced; by their mass
        alone where the lie is taken of a club that nobody has measured."""
        guessed = {i for i, figures in self.on_guess(layout).items() if "lie_deg" in figures}
        made = {
            c.id: replace(c, lie_deg=self.case.club(c.id).lie_deg) if c.id in guessed else c for c in clubs
        }
        return [
            head
            for head in self.case.bag
            if head.id in made and head_stays(head, made[head.id], least_bend_deg=self.least_bend)
        ]

    def _came_of(self, found: LoftPlan) -> LoftPlan:
        """The plan with the gaps that come of the lofts to build, and which clubs miss what is asked of them."""
        made = tuple(c for c in self.clubs if c.family in ("iron", "wedge"))
        lofts = {c.id: c.loft_deg for c in made}
        clubs = tuple(
            c
            if lofts[c.club] == c.bounded_loft_deg
            else replace(c, statements=(state("loft.for_parts", loft=lofts[c.club]),))
            for c in found.clubs
        )
        return replace(found, clubs=clubs, statements=(*self._gaps_of(found, made), *found.statements))

    def _gaps_of(self, found: LoftPlan, made: tuple[Club, ...]) -> tuple[Statement, ...]:
        if len(made) < 2:
            return ()
        wanted = {c.club: c.wanted_m.mean for c in found.clubs}
        carry = dict(zip((c.id for c in made), self.predict(made).carry.mean(axis=0), strict=True))
        waits = {c.club: c.waits_for or (c.club,) for c in found.clubs if c.waits}
        needed = [i for ids in waits.values() for i in ids]
        missed = [c for c in made if abs(carry[c.id] - wanted[c.id]) > NEAR_ENOUGH_M and c.id not in waits]
        between = [(a, b, float(carry[a.id] - carry[b.id])) for a, b in pairwise(made)]
        gaps = [gap for _, _, gap in between]
        wants = self.case.wants
        asked = None if wants.carries else wants.gap_m
        out = [state("loft.gaps", narrowest=min(gaps), widest=max(gaps), wanted=asked)]
        out += [state("loft.gap", clubs=[a, b], gap=gap) for a, b, gap in between]
        if missed:
            kind = "carry" if wants.carries else "gap" if asked else "even_gaps"
            out.append(state("loft.missed", clubs=missed, most=NEAR_ENOUGH_M, asked=kind))
        if needed:
            to_hit = sorted((c for c in made if c.id in needed), key=lambda c: -needed.count(c.id))
            out.append(state("loft.unhit", clubs=to_hit))
        return tuple(out)

    @cached_property
    def clubs(self) -> tuple[Club, ...]:
        """Full-shot clubs to build, straightest face first, with the lofts asked for."""
        return self.laid_out(self.layout)

    @cached_property
    def wedge_lofts(self) -> WedgeLofts | None:
        """Lofts of the wedges to build that close the gaps between their carries, full and part; ``None`` where no such gap
        is asked for, or no part swing has balls.
        """
        return self._wedge_lofts(self.layout)

    def _wedge_lofts(self, layout: Layout) -> WedgeLofts | None:
        """The same of a layout, from the lofts that full swings ask for; a loft that the layout states stays."""
        gap = self.case.wants.part_gap_m
        if gap is None or layout.id == ORDERED:
            return None
        if layout not in self._lofts_of_wedges:
            self._lofts_of_wedges[layout] = self._search_wedge_lofts(layout, gap)
        return self._lofts_of_wedges[layout]

    @cached_property
    def _lofts_of_wedges(self) -> dict[Layout, WedgeLofts | None]:
        return {}

    def _search_wedge_lofts(self, layout: Layout, gap: float) -> WedgeLofts | None:
        stated = _stated_lofts(layout)
        wedges = [c for c in self._lofted(layout) if c.family == "wedge"]
        hit = {c.id for c in wedges if c.id in self.clubs_hit or any(p.balls(c.id) for p in self.part_swings)}
        found = lofts_for_part_gaps(
            self.posterior,
            wedges,
            [[part for part in self.parts_of(c) if part.summaries] for c in wedges],
            air_of(self.air),
            gap_m=gap,
            heads=[
                c
                for c in self._heads_kept(layout, wedges)
                if c.id not in stated and loft_known(c) and c.id in hit
            ],
            least_bend_deg=self.least_bend,
        )
        return replace(found, hit_first=len(hit) < len(wedges)) if found else None

    @cached_property
    def present(self) -> tuple[Club, ...]:
        """Full-shot clubs of the bag as it is, straightest face first."""
        return plan(Layout("present", "present"), self.case.bag)

    @cached_property
    def mean_gap(self) -> float | None:
        """Mean gap [m] between neighbouring irons and wedges of the bag as it is; ``None`` with fewer than two."""
        clubs = tuple(c for c in self.present if c.family in ("iron", "wedge"))
        if len(clubs) < 2:
            return None
        carry = self.predict(clubs).carry.mean(axis=0)
        return float(carry[0] - carry[-1]) / (len(clubs) - 1)

    @cached_property
    def owned(self) -> tuple[Club, ...]:
        """The full-shot clubs to build, then those of the bag that the layout leaves out: one club, one set of figures."""
        built = {club.id for club in self.clubs}
        return (*self.clubs, *(club for club in self.present if club.id not in built))

    @cached_property
    def driver_club(self) -> Club | None:
        """The driver among the clubs to build."""
        return next((club for club in self.clubs if club.family == "driver"), None)

    @cached_property
    def driver_speed(self) -> float:
        """Mean club speed [m/s] with the driver, the usual one where there is none."""
        club = self.driver_club or norm_club("dr", self.case.player.sex)
        return float(self.predict((club,)).club_speed.mean())

    @cached_property
    def clubs_hit(self) -> frozenset[str]:
        """Ids of the clubs that full swings were hit with, and of what the bench has made of them since."""
        hit = {shot.club for shot in self.case.full_shots if shot.use}
        return frozenset(hit | {c.became for c in self.case.bag if c.became is not None and c.id in hit})

    @cached_property
    def changed_since(self) -> frozenset[str]:
        """Ids of the clubs that the bench changed so that they carry otherwise, and that nobody has hit since."""
        hit, bag = {shot.club for shot in self.case.full_shots if shot.use}, {c.id: c for c in self.case.bag}
        alike: dict[str, bool] = {}
        for old in self.case.bag:
            if old.became in bag and old.id in hit:
                alike[old.became] = alike.get(old.became, False) or carry_alike(old, bag[old.became])
        return frozenset(i for i, same in alike.items() if not same and i not in hit)

    def was_hit(self, club_id: str, size_id: str | None = None) -> bool:
        """Whether its carry rests on full swings that were hit with a club as it is, or on balls of the part swing of that
        id."""
        if size_id is None:
            return club_id in self.clubs_hit - self.changed_since
        return any(part.size.id == size_id and part.balls(club_id) > 0 for part in self.part_swings)

    @cached_property
    def hit_first(self) -> frozenset[str]:
        """Ids of the long clubs to hit before anything is said of them, see `to_hit_first`."""
        known = (*self.owned, *usual_woods(self.owned, sex=self.case.player.sex))
        clubs = tuple(dict.fromkeys(c for c in known if c.family in LONG_FAMILIES))
        carries = zip(clubs, intervals(self.predict(clubs).carry), strict=True)
        return frozenset(club.id for club, carry in carries if self.to_hit_first(club, carry))

    @cached_property
    def hit_order(self) -> tuple[Club, ...]:
        """The clubs to build, and those they leave in the bag, that have to be hit first, in the order in which to hit them:
        the driver, then as lofts go."""
        first = (club for club in self.owned if club.id in self.hit_first)
        return tuple(sorted(first, key=lambda club: club.loft_deg))

    def to_hit_first(self, club: Club, carry: Interval) -> bool:
        """Whether a club has to be hit before anything is said of it: a long one with which no ball was hit, and whose
        carry is known to no better than `HIT_FIRST_M`.
        """
        wide = carry.hi90 - carry.lo90 > HIT_FIRST_M
        return club.family in LONG_FAMILIES and club.id not in self.clubs_hit and wide

    @cached_property
    def putters(self) -> tuple[Club, ...]:
        return tuple(club for club in self.case.carried if club.family == "putter")

    @cached_property
    def measures(self) -> dict[str, Any]:
        """The player's measures, as the body functions take them."""
        player = self.case.player
        return {
            "height_m": player.height_m,
            "wingspan_m": player.wingspan_m,
            "wrist_to_floor_m": player.wrist_to_floor_m,
            "sex": player.sex,
        }

    @cached_property
    def top_facts(self) -> TopOfTheBag | None:
        """What each iron to build is worth and what could stand above them; ``None`` without irons and wedges."""
        if not any(c.family in ("iron", "wedge") for c in self.clubs):
            return None
        return top_of_the_bag(
            self.posterior,
            self.predict(self.clubs),
            air_of(self.air),
            bag=self.owned,
            sex=self.case.player.sex,
            gap_m=self.case.wants.gap_m,
            wished=self.case.wants.longest_iron,
        )

    @cached_property
    def wood_facts(self) -> WoodsAdvice:
        """Fairway woods and hybrids there are and could be, each by itself."""
        return woods_advice(self.posterior, self.owned, air_of(self.air), sex=self.case.player.sex)

    def predict(self, clubs: tuple[Club, ...], air: Conditions | None = None) -> Prediction:
        """Draws of any clubs in an air, that asked for unless another is named."""
        return self.predict_sets([clubs], air)[0]

    def predict_sets(
        self, sets: Sequence[tuple[Club, ...]], air: Conditions | None = None
    ) -> tuple[Prediction, ...]:
        """Draws of several sets of clubs, flown in one batch."""
        return self.swing.predict(sets, air or self.air)

    def laid_out(self, layout: Layout) -> tuple[Club, ...]:
        """The clubs of a layout as `engine.sets.plan.planned` has them, with the lies taken and the lofts asked for.

        Where carries, a gap or even gaps are asked for, irons and wedges are bent towards them as far as their heads
        allow, in every layout alike, and then wedges towards the gap that is asked for with part swings; a club whose head
        has to be replaced for its mass or lie gets one of the loft wanted. A loft that the layout states for a club stays,
        and so do all of a layout that a bench was already asked for.
        """
        found = self._wedge_lofts(layout)
        lofts = {} if found is None else {c.club: c.wanted_loft_deg for c in found.clubs}
        return _with_lofts(layout, self._lofted(layout), lofts)

    def _lofted(self, layout: Layout) -> tuple[Club, ...]:
        clubs = self._planned(layout)
        found = self._loft_plan(layout)
        return (
            clubs
            if found is None
            else _with_lofts(layout, clubs, {c.club: c.bounded_loft_deg for c in found.clubs})
        )

    def clubs_of(self, layout_id: str) -> tuple[Club, ...]:
        """Full-shot clubs of a layout of the case, or of the present set; `KeyError` if there is no such layout."""
        for layout in (*self.case.layouts, self.own_layout):
            if layout.id == layout_id:
                return self.laid_out(layout)
        raise KeyError(layout_id)

    def to_play(self, layout_id: str) -> tuple[Club, ...]:
        """Full-shot clubs of a layout as they are played: what is in the bag as it is, another set as it is to be built,
        or as it is laid out if it is not the one to build; `KeyError` if there is no such layout.
        """
        if layout_id == self.own_layout.id:
            return self.present
        return self.clubs if layout_id == self.layout.id else self.clubs_of(layout_id)


def _states(club: LayoutClub) -> bool:
    """Whether a layout states any figure of a club."""
    return any(getattr(club, name) is not None for name in FIGURES)


def _not_promised_beside(i: int, clubs: Sequence[Club], promised: Collection[str]) -> list[Club]:
    """The row of irons and wedges without a promise that club `i` stands in: they waited for one another."""
    irons = [c for c in clubs if c.family in ("iron", "wedge")]
    rows = [list(row) for _, row in groupby(irons, key=lambda c: c.id in promised)]
    return next(row for row in rows if clubs[i] in row)


def carry_alike(one: Club, other: Club) -> bool:
    """Whether two states of a club differ in nothing that matters to its carry."""
    names = (n for n in TOLERANCE if n != "lie_deg")
    return all(abs(getattr(one, n) - getattr(other, n)) < TOLERANCE[n] for n in names)


def _stated_lofts(layout: Layout) -> set[str]:
    """Ids of the clubs whose loft the layout states."""
    return {c.id for c in layout.clubs if c.loft_deg is not None}


def _with_lofts(layout: Layout, clubs: tuple[Club, ...], lofts: Mapping[str, float]) -> tuple[Club, ...]:
    """The clubs with other lofts by id, but for those whose loft the layout states; straightest face first."""
    stated = _stated_lofts(layout)
    bent = [c if c.id in stated else replace(c, loft_deg=lofts.get(c.id, c.loft_deg)) for c in clubs]
    return tuple(sorted(bent, key=lambda c: (c.loft_deg, -c.length_m))) if lofts else clubs
