"""Where to begin with the length, lie and grip of irons and wedges for a body; ball flight ends what this begins.

Length starts from the height of the wrists above the floor, as static charts do: common practice, no source, and no
peer-reviewed study that validates such a chart is known to us. One text that was read warns that static measures come out
too short and too flat, since shafts bow and hands rise before impact. Lie is therefore not taken from the sole at address
alone: it is the usual lie of a club of that length, changed by how much more or less the toe sits up under this player
than under the survey's average one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..documents.case import FIGURES, Club
from ..statements import Statement, state
from ..statistics import NINETY
from ..units import INCH
from ..workshop.lie import LIE_PER_HALF_INCH_DEG, MARK_PER_DEGREE_M, lie_after_length
from ..workshop.norms import NORMS, norm_club, usual_length
from . import survey
from .grip import Grip, grip_for
from .posture import Address, address

Array = NDArray[np.float64]

USUAL_WRIST_M = (34 * INCH, 36 * INCH)  # [m] in shoes: usual length
WOMEN_LOWER_M = 2 * INCH
"""Women's usual clubs go with wrists so much lower, as the survey's average woman's are: ours."""
TAPE_SD_M = 0.01  # [m], of one wrist measured twice by two people with a tape; common practice, no source
LENGTH_PER_WRIST = 0.25  # [-] a quarter inch of length for an inch of wrist height outside that
MOST_OFFSET_M = 1.5 * INCH
OFFSET_STEP_M = 0.25 * INCH
HALF_INCH = 0.5 * INCH
LIE_STEP_DEG = 0.5
DYNAMIC_DEG = (1.0, 4.0)
"""How much more upright the shaft comes to the ball than it stood at address; common practice, no source."""

START_NOTE = state("note.body")
CHECK = (
    state("check.dynamic_lie", least=DYNAMIC_DEG[0], most=DYNAMIC_DEG[1]),
    state("check.lie_board", mark=MARK_PER_DEGREE_M, angle=1.0),
    state("check.line_on_ball"),
    state("check.start_direction"),
)


@dataclass(frozen=True, slots=True)
class ClubFit:
    """One iron or wedge. Lengths [m], angles [deg].

    static_lie_deg : lie that lays the sole flat as the player stands to a usual club of the length advised
    lie_deg, lie_deg_90 : lie to begin with, and what the survey's residual leaves open
    lie_change_deg : from the present lie, more upright positive
    per_half_inch_lie_deg : change of that lie for 1/2 in more length with the hands where they are (geometry); the trade
        says -1
    per_half_inch_hinge_deg : change of the hip hinge for 1/2 in more at the same lie
    """

    id: str
    name: str
    present_length_m: float
    present_lie_deg: float
    length_m: float
    static_lie_deg: float
    lie_deg: float
    lie_deg_90: tuple[float, float]
    lie_change_deg: float
    hip_hinge_deg: float
    toe_up_deg: float
    per_half_inch_lie_deg: float
    per_half_inch_hinge_deg: float


@dataclass(frozen=True, slots=True)
class BodyFit:
    """Length offset against usual clubs [m] with its interval, each club, the grip, and what to check.

    wrist_m, wrist_sd_m : height of the wrists above the floor, in shoes [m]; sd of the tape where it was measured
    """

    wrist_m: float
    wrist_sd_m: float
    measured: bool
    length_offset_m: float
    length_offset_m_90: tuple[float, float]
    clubs: tuple[ClubFit, ...]
    grip: Grip
    statements: tuple[Statement, ...]
    check: tuple[Statement, ...] = CHECK
    note: Statement = START_NOTE


def length_offset(wrist_to_floor_m: ArrayLike, *, sex: str | None = None) -> Array:
    """Length [m] to begin with over the usual, for the height of the wrists above the floor in shoes [m].

    Nothing from 34 to 36 in, outside that a quarter inch for each inch, 1 1/2 in at most (common practice, no source); for
    women against women's usual clubs, from 32 to 34 in.
    """
    wrist = np.asarray(wrist_to_floor_m, float) + (WOMEN_LOWER_M if sex == "female" else 0.0)
    low, high = USUAL_WRIST_M
    outside = np.minimum(wrist - low, 0.0) + np.maximum(wrist - high, 0.0)
    return np.clip(LENGTH_PER_WRIST * outside, -MOST_OFFSET_M, MOST_OFFSET_M)


def usual_lie(length_m: ArrayLike, *, sex: str | None = None) -> Array:
    """Lie [deg] usual for an iron or wedge of a length [m]: the table of norms, on a straight line between its clubs."""
    irons = [norm_club(n.id, sex) for n in NORMS.values() if n.family in ("iron", "wedge") and n.id != "gw"]
    irons.sort(key=lambda c: c.length_m)
    lengths, lies = np.array([c.length_m for c in irons]), np.array([c.lie_deg for c in irons])
    length = np.asarray(length_m, float)
    beyond = np.minimum(length - lengths[0], 0.0) + np.maximum(length - lengths[-1], 0.0)
    lie: Array = np.interp(length, lengths, lies) - LIE_PER_HALF_INCH_DEG * beyond / HALF_INCH
    return lie


def body_fit(
    clubs: Sequence[Club],
    *,
    height_m: float | None = None,
    wingspan_m: float | None = None,
    wrist_to_floor_m: float | None = None,
    hand_length_m: float | None = None,
    sex: str | None = None,
    usual_m: Mapping[str, float] | None = None,
) -> BodyFit:
    """Starting length, lie and grip for the irons and wedges among ``clubs``.

    Parameters
    ----------
    height_m, wingspan_m : barefoot stature and span of the arms [m]; ``None`` takes the survey's mean
    wrist_to_floor_m : in shoes [m]; estimated from the others, with its residual, if not measured
    hand_length_m : wrist crease to tip of the middle finger [m], for the grip
    sex : ``"female"``, ``"male"`` or ``None``
    usual_m : by id, the lengths [m] that the body's departs from; those of `engine.workshop.norms.usual_length` for others,
        whatever length a club has now
    """
    height = survey.mean_of("stature", sex) if height_m is None else height_m
    measured = wrist_to_floor_m is not None
    guess = survey.wrist_to_floor(height, wingspan_m=wingspan_m, sex=sex)
    wrist = guess.mean_m if wrist_to_floor_m is None else wrist_to_floor_m
    sd = TAPE_SD_M if measured else guess.sd_m
    ends = [wrist - NINETY * sd, wrist + NINETY * sd]
    offset = round(float(length_offset(wrist, sex=sex)) / OFFSET_STEP_M) * OFFSET_STEP_M
    low, high = (float(length_offset(w, sex=sex)) for w in ends)
    irons = [c for c in clubs if c.family in ("iron", "wedge")]
    fits = _clubs(irons, offset, (wrist, *ends), height, sex, usual_m or {}) if irons else ()
    grip = grip_for(hand_length_m, height_m=height, sex=sex)
    fit = BodyFit(wrist, sd, measured, offset, (low, high), fits, grip, ())
    return BodyFit(wrist, sd, measured, offset, (low, high), fits, grip, _statements(fit))


def _clubs(
    irons: Sequence[Club],
    offset: float,
    wrists: tuple[float, ...],
    height: float,
    sex: str | None,
    usual_m: Mapping[str, float],
) -> tuple[ClubFit, ...]:
    length = np.array([usual_m.get(c.id, usual_length(c, sex)) for c in irons]) + offset
    lie = np.clip(
        usual_lie(length, sex=sex), *FIGURES["lie_deg"]
    )  # of a club far shorter than any that is swung

    def stand(wrist: float | None, longer: float = 0.0) -> Address:
        return address(
            height_m=None if wrist is None else height,
            wrist_to_floor_m=wrist,
            sex=sex,
            length_m=length + longer,
            lie_deg=lie,
        )

    average = stand(None)
    here, *others = (stand(w) for w in wrists)
    start, low, high = (lie - (p.toe_up_deg - average.toe_up_deg) for p in (here, *others))
    longer = stand(wrists[0], HALF_INCH)
    geometry = lie_after_length(length_m=length, lie_deg=start, longer_m=HALF_INCH) - start
    return tuple(
        ClubFit(
            id=c.id,
            name=c.name or c.id,
            present_length_m=c.length_m,
            present_lie_deg=c.lie_deg,
            length_m=float(length[i]),
            static_lie_deg=float(here.shaft_deg[i]),
            lie_deg=float(start[i]),
            lie_deg_90=(float(min(low[i], high[i])), float(max(low[i], high[i]))),
            lie_change_deg=float(start[i] - c.lie_deg),
            hip_hinge_deg=float(here.hip_hinge_deg[i]),
            toe_up_deg=float(here.toe_up_deg[i]),
            per_half_inch_lie_deg=float(geometry[i]),
            per_half_inch_hinge_deg=float(longer.hip_hinge_deg[i] - here.hip_hinge_deg[i]),
        )
        for i, c in enumerate(irons)
    )


def lie_statement(fit: BodyFit, *, than: str = "present") -> Statement | None:
    """Which lies to begin with, against those that are ``present`` or ``planned``.

    ``None`` where they are near enough or there are no clubs.
    """
    change = float(np.mean([c.lie_change_deg for c in fit.clubs])) if fit.clubs else 0.0
    if abs(change) < LIE_STEP_DEG:
        return None
    low, high = (float(np.mean([c.lie_deg_90[i] - c.present_lie_deg for c in fit.clubs])) for i in (0, 1))
    return state("body.lies", change=(change, low, high), than=than)


def _statements(fit: BodyFit) -> tuple[Statement, ...]:
    low, high = fit.length_offset_m_90
    out = [
        state(
            "body.start",
            wrist=fit.wrist_m,
            offset=(fit.length_offset_m, low, high),
            known="measured" if fit.measured else "estimated",
            open="yes" if high - low > 1e-4 * INCH else "no",
        )
    ]
    if fit.clubs:
        out.append(lie_statement(fit) or state("body.lies_fit"))
        middle = fit.clubs[len(fit.clubs) // 2]
        out.append(
            state(
                "body.longer",
                clubs=[middle],
                longer=HALF_INCH,
                lie=abs(middle.per_half_inch_lie_deg),
                usual=LIE_PER_HALF_INCH_DEG,
                hinge=abs(middle.per_half_inch_hinge_deg),
            )
        )
    sizes = [s for s in (fit.grip.size, fit.grip.also) if s]
    sizes = [name for s in sizes for name in (("womens", "undersize") if s == "womens" else (s,))]
    known = "estimated" if fit.grip.estimated else "measured"
    out.append(state("body.grip", sizes=tuple(dict.fromkeys(sizes)), known=known))
    return tuple(out)
