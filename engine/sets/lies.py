"""Lies from what the body, a lie board and the ball say together: how much too upright each iron and wedge stands.

A club's error of lie is a common one of the player and a little of its own. The body tells of the common one, loosely; a
mark on a lie board tells of its own club; balls with a side tell of theirs: a club too upright sends the ball left of a
right-handed player's aim, the more, the more loft it has, while aim and path send all clubs to one side alike. All of it
is normal, so that the answer is a conditional mean (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, appendix A). The
body has its say only until a board or balls have had theirs or a head was bent, and is drawn towards the lies there are, the
more, the less of it was measured.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.start_sizes import BodyFit
from ..documents.case import Club, Shot
from ..physics.air import Air
from ..statistics import NINETY
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, carry, deliver
from ..workshop.bending import bent_so_far
from ..workshop.lie import lie_from_mark
from ..workshop.limits import SMALLEST_BEND_DEG
from ..workshop.made import as_far_as
from ..workshop.steps import ANGLE_STEP_DEG, angle_step, in_steps

Array = NDArray[np.float64]

# Standard deviations [deg]; common practice where the trade says anything, else our choice.
PLAYER_SD = 1.5  # how far lies that suit differ from player to player of a build
CLUB_SD = 0.5  # of one club of a set beside its others
DYNAMIC_SD = 1.5  # how far the shaft droops and the hands rise before impact differ between players
MARK_SD = 0.6  # of a lie read off a board: the sole's camber, and where its middle is
AIM_SD = 1.5  # of aim and path against a line laid on the ground, all clubs alike
STRIKE_SD, STRIKE_BALLS = 3.5, 4.0  # of single shots to the side, worth so many balls
LEAST_SD = 0.3  # of a mean direction that more balls do not cut
LEAST_BALLS = 3  # a club with fewer balls that have a side says nothing


@dataclass(frozen=True, slots=True)
class ClubLie:
    """One iron or wedge. Angles [deg], more upright positive.

    change_deg : from its present lie, to be made, and ``change_deg_90`` what is left open of it
    lie_deg : to build, in the steps of the bench; where the head bears nearly so much, or where only the body has told of
        it and this is a start, as far as the head bends
    body_change_deg : what the body alone asks for; ``None`` where it says nothing or no longer counts
    known_by : any of ``"body"``, ``"board"``, ``"flight"``: what told of this club
    balls : with a side, of this club
    started : whether the head was bent before, so that the body says nothing new of it
    """

    id: str
    name: str
    present_deg: float
    change_deg: float
    change_deg_90: tuple[float, float]
    lie_deg: float
    known_by: tuple[str, ...]
    balls: int
    started: bool = False
    body_change_deg: float | None = None

    @property
    def tested(self) -> bool:
        """Whether a board or the flight has told of this club, so that it is more than a start."""
        return "board" in self.known_by or "flight" in self.known_by


def lies(
    clubs: Sequence[Club],
    posterior: Posterior,
    air: Air,
    *,
    body: BodyFit | None = None,
    shots: Sequence[Shot] = (),
    marks_m: Mapping[str, float] | None = None,
    left_handed: bool = False,
    least_bend_deg: float = SMALLEST_BEND_DEG,
) -> tuple[ClubLie, ...]:
    """How far the lie of each iron and wedge is to be changed.

    Parameters
    ----------
    clubs : of the present set; others than irons and wedges are left out
    posterior : of the swing, and ``air`` in which the balls flew: for what a degree of lie does to a ball's direction
    body : what the body says, `engine.body.start_sizes.body_fit` of these clubs; ``None`` where it is not known
    shots : of which those count that have a side and a carry, at full grip
    marks_m : by club, how far from the sole's middle the board's mark lies, toward the heel positive [m]
    left_handed : a left-handed player's ball goes to the other side
    least_bend_deg : least bend [deg] that the bench is asked for

    Returns
    -------
    in the order of ``clubs``; empty without irons and wedges
    """
    irons = [c for c in clubs if c.family in ("iron", "wedge")]
    if not irons:
        return ()
    n = len(irons)
    rows: list[Array] = []
    said: list[float] = []
    errors: list[Array] = []  # of each kind of source, its own covariance
    known: list[list[str]] = [[] for _ in irons]
    balls = [0] * n

    def add(places: Sequence[int], slopes: Sequence[float], values: Sequence[float], error: Array) -> None:
        for place, slope in zip(places, slopes, strict=True):
            row = np.zeros(n)
            row[place] = slope
            rows.append(row)
        said.extend(values)
        errors.append(error)

    marks = marks_m or {}
    marked = [i for i, c in enumerate(irons) if c.id in marks]
    angles = {c.id: _directions(shots, c.id) for c in irons}
    flown = [i for i, c in enumerate(irons) if len(angles[c.id]) >= LEAST_BALLS]
    started = {} if body is None else {c.id: c for c in body.clubs}
    if body is not None and not marked and not flown:
        # a head that was bent by the body's word once has had its start: that word says nothing new of it
        told = [i for i, c in enumerate(irons) if c.id in started and not _started(c)]
        spread = [np.ptp(started[irons[i].id].lie_deg_90) / 2 / NINETY for i in told]
        common = float(np.hypot(np.mean(spread), DYNAMIC_SD)) if told else 0.0
        # an error of lie is the change that would mend it, the other way
        add(
            told,
            [1.0] * len(told),
            [-started[irons[i].id].lie_change_deg for i in told],
            common**2 + CLUB_SD**2 * np.eye(len(told)),
        )
        for i in told:
            known[i].append("body")
    add(
        marked,
        [1.0] * len(marked),
        [lie_from_mark(marks[irons[i].id]) for i in marked],
        MARK_SD**2 * np.eye(len(marked)),
    )
    for i in marked:
        known[i].append("board")
    if flown:
        slope = direction_per_degree([irons[i] for i in flown], posterior, air, left_handed=left_handed)
        error = [_error(angles[irons[i].id]) ** 2 for i in flown]
        add(
            flown,
            slope.tolist(),
            [float(np.mean(angles[irons[i].id])) for i in flown],
            AIM_SD**2 + np.diag(error),
        )
        for i in flown:
            known[i].append("flight")
            balls[i] = len(angles[irons[i].id])
    middle, sd = _conditioned(n, rows, said, errors)
    return tuple(
        ClubLie(
            id=club.id,
            name=club.name or club.id,
            present_deg=club.lie_deg,
            change_deg=float(0.0 - middle[i]),
            change_deg_90=(float(-middle[i] - NINETY * sd[i]), float(-middle[i] + NINETY * sd[i])),
            lie_deg=_to_build(club, float(-middle[i]), known[i], least_bend_deg),
            known_by=tuple(known[i]),
            balls=balls[i],
            started=_started(club),
            body_change_deg=started[club.id].lie_change_deg if "body" in known[i] else None,
        )
        for i, club in enumerate(irons)
    )


def _to_build(club: Club, change: float, known: Sequence[str], least: float) -> float:
    wanted = club.lie_deg + change
    near = as_far_as(club, "lie_deg", wanted, least_deg=least)
    step = angle_step(least)
    asked = in_steps(club.lie_deg, wanted, step=step, least=least)
    return near if known == ["body"] or abs(near - asked) <= step + 1e-9 else asked


def _started(club: Club) -> bool:
    return abs(bent_so_far(club, "lie_deg")) >= ANGLE_STEP_DEG / 2


def direction_per_degree(
    clubs: Sequence[Club], posterior: Posterior, air: Air, *, left_handed: bool = False
) -> Array:
    """How far to the right [deg] of where it was aimed a ball comes down for a degree too upright (clubs,)."""
    theta, made = posterior.mean[None], Clubs.of(clubs)
    ends = []
    for error in (-1.0, 1.0):
        flight = carry(theta, deliver(theta, made, lie_error_deg=np.full(len(clubs), error)), air)
        ends.append(np.rad2deg(np.arctan2(flight.side, flight.carry))[0])
    slope: Array = (ends[1] - ends[0]) / 2
    return -slope if left_handed else slope


def _directions(shots: Sequence[Shot], club_id: str) -> Array:
    """Where the balls of a club came down, right of the target positive [deg]; those far off the others left out."""
    found = np.array(
        [
            np.rad2deg(np.arctan2(s.side_m, s.carry_m))
            for s in shots
            if s.club == club_id and s.use and s.side_m is not None and s.carry_m and s.grip_down_m < 5e-4
        ]
    )
    if len(found) < LEAST_BALLS:
        return found
    off = np.abs(found - np.median(found))
    return np.asarray(found[off <= 3 * max(float(np.median(off)) * 1.4826, STRIKE_SD / 2)])


def _error(angles: Array) -> float:
    """Standard error of a mean direction: the balls' own spread, drawn towards what is usual."""
    n = len(angles)
    spread = (STRIKE_BALLS * STRIKE_SD**2 + ((angles - angles.mean()) ** 2).sum()) / (STRIKE_BALLS + n - 1)
    return float(np.hypot(np.sqrt(spread / n), LEAST_SD))


def _conditioned(
    n: int, rows: Sequence[Array], said: Sequence[float], errors: Sequence[Array]
) -> tuple[Array, Array]:
    """Mean and standard deviation of each club's error of lie, given what was said of it."""
    prior = np.full((n, n), PLAYER_SD**2) + CLUB_SD**2 * np.eye(n)
    if not rows:
        return np.zeros(n), np.sqrt(np.diag(prior))
    of = np.stack(rows)
    noise = np.zeros((len(rows), len(rows)))
    at = 0
    for block in errors:
        noise[at : at + len(block), at : at + len(block)] = block
        at += len(block)
    gain = np.linalg.solve(of @ prior @ of.T + noise, of @ prior).T
    left = prior - gain @ of @ prior
    return gain @ np.asarray(said), np.sqrt(np.maximum(np.diag(left), 0.0))
