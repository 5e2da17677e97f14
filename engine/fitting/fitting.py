"""A fitting: all that follows from one case, each part made once, when first asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from ..bag.woods import WoodsAdvice, woods_advice
from ..documents.case import Case, Club, Conditions, Layout
from ..documents.result import Result
from ..physics.air import REFERENCE, air_of
from ..sets.advice import Favourite, favourite
from ..sets.lofts import LoftPlan, lofts_for_carries, lofts_for_even_gaps, lofts_for_gap
from ..sets.longest_iron import TopOfTheBag, top_of_the_bag
from ..sets.plan import anchor_of, own_layout, plan, planned
from ..sets.predict import Prediction
from ..sets.usual import complete
from ..solve import DRAWS, posterior_of, prediction_of, solve
from ..swing.calibration import Posterior
from ..swing.observations import carry_spread
from ..workshop.norms import norm_club


@dataclass(frozen=True)
class Fitting:
    """A case and what follows from it. ``given`` is the case as read, ``draws`` those of the posterior."""

    given: Case
    draws: int = DRAWS

    @cached_property
    def case(self) -> Case:
        """The case with the usual bag and layouts where it names none."""
        return complete(self.given)

    @cached_property
    def result(self) -> Result:
        return solve(self.given, draws=self.draws)

    @cached_property
    def posterior(self) -> Posterior:
        return posterior_of(self.case, draws=self.draws)

    @cached_property
    def air(self) -> Conditions:
        return self.case.wants.air or REFERENCE

    @cached_property
    def spread(self) -> float:
        """Shot-to-shot standard deviation of carry as a share of it [-]."""
        return carry_spread(self.posterior.summaries)

    @cached_property
    def favourite(self) -> Favourite | None:
        """How the two sets of the verdict stand by what more balls can settle."""
        return favourite(self.result.comparison, self.result.verdict)

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
        return planned(self.layout, self.case)

    @cached_property
    def lofts(self) -> LoftPlan | None:
        """Lofts of the irons and wedges for the carries or the gap asked for, for even gaps where neither is.

        ``None`` where there are too few of them to space.
        """
        wants, air = self.case.wants, air_of(self.air)
        clubs = [c for c in self.planned if c.family in ("iron", "wedge")]
        ids = {c.id for c in clubs}
        carries = {w.id: w.carry_m for w in wants.carries if w.id in ids}
        heads = self.case.bag
        if carries:
            return lofts_for_carries(self.posterior, clubs, air, carries_m=carries, heads=heads)
        if wants.gap_m is not None and len(clubs) >= 2:
            anchor = anchor_of([c for c in clubs if c.family == "iron"] or clubs).id
            return lofts_for_gap(self.posterior, clubs, air, gap_m=wants.gap_m, anchor=anchor, heads=heads)
        if len(clubs) >= 3:
            return lofts_for_even_gaps(self.posterior, clubs, air, heads=heads)
        return None

    @cached_property
    def clubs(self) -> tuple[Club, ...]:
        """Full-shot clubs to build, straightest face first: as planned, with the lofts found where a carry, a gap or even
        gaps are asked for. A loft that the layout states for a club stays.
        """
        wants = self.case.wants
        asked = wants.gap_m is not None or wants.carries or wants.lofts == "even_gaps"
        if not asked or self.lofts is None:
            return self.planned
        stated = {c.id for c in self.layout.clubs if c.loft_deg is not None}
        found = {c.club: c.bounded_loft_deg for c in self.lofts.clubs if c.club not in stated}
        made = [replace(c, loft_deg=found.get(c.id, c.loft_deg)) for c in self.planned]
        return tuple(sorted(made, key=lambda c: (c.loft_deg, -c.length_m)))

    @cached_property
    def present(self) -> tuple[Club, ...]:
        """Full-shot clubs of the bag as it is, straightest face first."""
        return plan(Layout("present", "present"), self.case.bag)

    @cached_property
    def owned(self) -> tuple[Club, ...]:
        """The full-shot clubs to build, then those of the bag that the layout leaves out: one club, one set of figures."""
        built = {club.id for club in self.clubs}
        return (*self.clubs, *(club for club in self.present if club.id not in built))

    @cached_property
    def driver(self) -> Club | None:
        return next((club for club in self.clubs if club.family == "driver"), None)

    @cached_property
    def driver_speed(self) -> float:
        """Mean club speed [m/s] with the driver, the usual one where there is none."""
        club = self.driver or norm_club("dr", self.case.player.sex)
        return float(self.predict((club,)).club_speed.mean())

    @cached_property
    def putters(self) -> tuple[Club, ...]:
        return tuple(club for club in self.case.carried if club.family == "putter")

    @cached_property
    def body(self) -> dict[str, Any]:
        """The player's measures, as the body functions take them."""
        player = self.case.player
        return {
            "height_m": player.height_m,
            "wingspan_m": player.wingspan_m,
            "wrist_to_floor_m": player.wrist_to_floor_m,
            "sex": player.sex,
        }

    @cached_property
    def irons_stop(self) -> TopOfTheBag | None:
        """Where the irons to build should stop; ``None`` where there is neither iron nor wedge."""
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
    def woods(self) -> WoodsAdvice:
        """Fairway woods and hybrids there are and could be."""
        return woods_advice(self.posterior, self.owned, air_of(self.air), sex=self.case.player.sex)

    def predict(self, clubs: tuple[Club, ...]) -> Prediction:
        """Draws of any clubs in the air asked for."""
        return prediction_of(self.case, clubs, self.air, draws=self.draws)
