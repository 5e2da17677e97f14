"""Fairway woods and hybrids: what each usual loft and length carries in these hands, and the shaft it begins with.

Carries come from the player's own swing with its intervals. Shaft mass, flex and tip trim are bands of the trade: common
practice, no source. A longer wood is worth carrying only where it still adds carry over the next one; for slower players
the straightest faces often do not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..documents.case import Club
from ..physics.aerodynamics import Aerodynamics
from ..physics.air import Air
from ..sets.compare import HOLD_DESCENT, LEAST_GAP
from ..sets.predict import predict
from ..statements import Statement, state
from ..statistics import Interval, chance, interval, intervals
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, deliver
from ..workshop.flex import Flex, flex_for, shaft_mass_for
from ..workshop.norms import WOOD_FAMILIES, norm_club, usual_woods
from ..workshop.trim import WOOD_TIP_STEP_M, tip_trim_flexes, wood_tip_trim

AS_LIKELY_AS_NOT = 0.5
SHAFT_NOTE = state("note.shafts")


@dataclass(frozen=True, slots=True)
class Wood:
    """One fairway wood or hybrid. Speeds [m/s], angles [deg], spin [rpm], shaft from and to [kg], tip trim [m].

    adds_m : carry over the next loftier of its family, with the chance that it is at least 4 m; ``None`` for the last
    chance_holds : that it comes down at 40 deg or more, steep enough to stay on a green
    tip_trim_flexes : how many flexes stiffer the trim makes it play, which makes up for the heavier head
    """

    club: Club
    in_bag: bool
    carry_m: Interval
    club_speed_mps: float
    launch_deg: float
    spin_rpm: float
    descent_deg: float
    chance_holds: float
    adds_m: Interval | None
    chance_adds: float | None
    flex: Flex
    shaft_kg: tuple[float, float]
    tip_trim_m: float
    tip_trim_flexes: float


@dataclass(frozen=True, slots=True)
class WoodsAdvice:
    """All woods and hybrids, longest first in each family; the longest of each worth carrying."""

    woods: tuple[Wood, ...]
    driver_speed_mps: float
    longest_fairway: str | None
    longest_hybrid: str | None
    statements: tuple[Statement, ...]
    note: Statement = SHAFT_NOTE


def woods_advice(
    posterior: Posterior,
    bag: Sequence[Club],
    air: Air,
    *,
    sex: str | None = None,
    model: Aerodynamics | None = None,
) -> WoodsAdvice:
    """Carries and shafts of the fairway woods and hybrids a player has or could have.

    Parameters
    ----------
    posterior : the player's swing
    bag : his clubs; usual woods and hybrids are added where it has none of that id
    sex : decides the usual lengths and lofts, as in `norm_club`
    """
    clubs = usual_woods(bag, sex=sex)
    driver = next((c for c in bag if c.family == "driver"), norm_club("dr", sex))
    speed = float(deliver(posterior.theta, Clubs.of([driver])).club_speed.mean())
    flex = flex_for(speed)
    flown = predict(posterior, clubs, air, model=model)
    carries = intervals(flown.carry)
    ids = {c.id for c in bag}
    woods = []
    for i, club in enumerate(clubs):
        follows = i + 1 < len(clubs) and clubs[i + 1].family == club.family
        more = flown.carry[:, i] - flown.carry[:, i + 1] if follows else None
        trim = wood_tip_trim(clubs_shorter=_place(club, clubs))
        woods.append(
            Wood(
                club,
                club.id in ids,
                carries[i],
                float(flown.club_speed[:, i].mean()),
                float(flown.launch[:, i].mean()),
                float(flown.spin[:, i].mean()),
                float(np.median(flown.descent[:, i])),
                chance(flown.descent[:, i] >= HOLD_DESCENT),
                None if more is None else interval(more),
                None if more is None else chance(more >= LEAST_GAP),
                flex,
                shaft_mass_for(speed, family=club.family),
                trim,
                tip_trim_flexes(trim),
            )
        )
    longest = {family: _longest([w for w in woods if w.club.family == family]) for family in WOOD_FAMILIES}
    return WoodsAdvice(
        tuple(woods),
        speed,
        longest["fairway"],
        longest["hybrid"],
        _statements(woods, longest, flex, speed),
    )


def _place(club: Club, clubs: Sequence[Club]) -> int:
    """How many places a club stands below the one left untrimmed: the driver for fairway woods, the first hybrid."""
    line = [c for c in clubs if c.family == club.family]
    return line.index(club) + (1 if club.family == "fairway" else 0)


def _longest(woods: list[Wood]) -> str | None:
    """The straightest face more likely than not to add a useful gap over the next; the last one if none does."""
    for wood in woods:
        if wood.chance_adds is None or wood.chance_adds >= AS_LIKELY_AS_NOT:
            return wood.club.id
    return None


def _statements(
    woods: list[Wood], longest: dict[str, str | None], flex: Flex, speed: float
) -> tuple[Statement, ...]:
    by_id = {w.club.id: w for w in woods}
    out = []
    for family, club_id in longest.items():
        if club_id is None:
            continue
        wood = by_id[club_id]
        line = [w for w in woods if w.club.family == family]
        above = line[: line.index(wood)]
        if above:
            longer = above[-1]
            out.append(
                state(
                    "woods.begin",
                    clubs=[wood.club, longer.club],
                    adds=longer.adds_m.mean if longer.adds_m else 0.0,
                    least=LEAST_GAP,
                    chance=longer.chance_adds or 0.0,
                    family=family,
                )
            )
        else:
            out.append(state("woods.longest_adds", clubs=[wood.club], family=family))
    low, high = woods[0].shaft_kg
    out.append(
        state(
            "woods.shaft",
            speed=speed,
            lightest=low,
            heaviest=high,
            tip=WOOD_TIP_STEP_M,
            flex=flex.likely,
            also=flex.also,
        )
    )
    return tuple(out)
