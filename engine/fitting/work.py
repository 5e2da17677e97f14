"""A case in work: its solved parts, each made once when first asked for, for the sections of the result document."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from engine.case import Case, Club, Conditions, Layout
from engine.flight.air import REFERENCE
from engine.layouts.kinds import plan
from engine.layouts.predict import Prediction
from engine.layouts.verdict import standing
from engine.result import Result
from engine.solve import DRAWS, complete, posterior_of, prediction_of, solve
from engine.swing.calibration import Posterior
from engine.swing.observations import carry_spread


@dataclass(frozen=True)
class Work:
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
    def layout(self) -> Layout:
        """The layout to build: the one asked for, else the one the verdict favours, else the first."""
        by_id = {layout.id: layout for layout in self.case.layouts}
        if self.case.wants.layout in by_id:
            return by_id[self.case.wants.layout]
        found = standing(self.result.layouts, self.result.comparison)
        return by_id[found.best] if found else self.case.layouts[0]

    @cached_property
    def clubs(self) -> tuple[Club, ...]:
        """Full-shot clubs of the layout to build, straightest face first."""
        return plan(self.layout, self.case.bag)

    @cached_property
    def present(self) -> tuple[Club, ...]:
        """Full-shot clubs of the bag as it is, straightest face first."""
        return plan(Layout("present", "present"), self.case.bag)

    @cached_property
    def driver(self) -> Club | None:
        return next((club for club in self.clubs if club.family == "driver"), None)

    @cached_property
    def putters(self) -> tuple[Club, ...]:
        return tuple(club for club in self.case.bag if club.family == "putter")

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

    def predict(self, clubs: tuple[Club, ...]) -> Prediction:
        """Draws of any clubs in the air asked for."""
        return prediction_of(self.case, clubs, self.air, draws=self.draws)
