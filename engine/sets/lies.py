"""The lies that suit a player: one line over the set, lie against length, from body, lie board and ball flight together.

The line has the shape that the trade gives it (`engine.body.start_sizes.usual_lie`), moved up or down as a whole and
tilted a little. The body tells of it loosely; a mark on a lie board tells how far its club stands off it; so do balls
with a side: a club too upright sends the ball left of a right-handed player's aim, the more, the more loft it has, while
aim and path send all clubs to one side alike. A club bent since tells as much as one that was not: the mark is of the lie
that it had. All of it is normal, so that the answer is a conditional mean (Gelman et al., Bayesian Data Analysis, 3rd ed.
2013, appendix A).

One club leaves the line only where its own reading stands plainly off what the others say. The body has its say only until a
board or balls have had theirs, and is drawn towards the lies as the clubs came, the more, the less of it was measured.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.start_sizes import BodyFit, usual_lie
from ..documents.case import Club, Shot
from ..physics.air import Air
from ..statements import Statement, state
from ..statistics import NINETY
from ..swing.calibration import Posterior
from ..swing.delivery import Clubs, carry, deliver
from ..units import INCH
from ..workshop.bending import bend_range, bent_so_far
from ..workshop.lie import lie_from_mark
from ..workshop.limits import SMALLEST_BEND_DEG
from ..workshop.made import as_far_as
from ..workshop.steps import ANGLE_STEP_DEG, angle_step, bend_in_steps

Array = NDArray[np.float64]

# Standard deviations [deg]; common practice where the trade says anything, else our choice.
PLAYER_SD = 1.5  # how far lies that suit differ from player to player of a build
TILT_SD = 0.1  # for each half inch of length, from player to player
CLUB_SD = 0.3  # of one club of a set off the line of the others
ODD_SD = 2.0  # of one that stands plainly off it
DYNAMIC_SD = 1.5  # how far the shaft droops and the hands rise before impact differ between players
MARK_SD = 0.6  # of a lie read off a board: the sole's camber, and where its middle is
AIM_SD = 1.5  # of aim and path against a line laid on the ground, all clubs alike
STRIKE_SD, STRIKE_BALLS = 3.5, 4.0  # of single shots to the side, worth so many balls
LEAST_SD = 0.3  # of a mean direction that more balls do not cut
LEAST_BALLS = 3  # a club with fewer balls that have a side says nothing
PLAINLY = 3.0  # standard deviations off what the others say
HALF_INCH = 0.5 * INCH
LENGTHS_APART_M = 0.01  # clubs so far apart in length are not to have one lie
BEND_COSTS = (
    0.15  # [deg2], beside the square of what a lie misses: half a degree is worth a bend, a third is not
)


@dataclass(frozen=True, slots=True)
class ClubLie:
    """One iron or wedge of a set. Angles [deg], more upright positive.

    change_deg : from its present lie to the one that suits at its length, and ``change_deg_90`` what is left open of it
    lie_deg : to build, in the steps of the bench; where the head bears nearly so much, or where only the body has told of
        it and this is a start, as far as the head bends
    body_change_deg : what the body alone asks for at this length; ``None`` where it says nothing or no longer counts
    known_by : any of ``"body"``, ``"board"``, ``"flight"``: what told of this club
    balls : with a side, of this club
    started : whether the head was bent before
    another_head : whether the present one does not bend so far
    statements : what else than the lie its sources may tell of
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
    another_head: bool = False
    statements: tuple[Statement, ...] = ()

    @property
    def bend_deg(self) -> float:
        """What the bench is asked for [deg]."""
        return self.lie_deg - self.present_deg

    @property
    def tested(self) -> bool:
        """Whether a board or the flight has told of this club, so that it is more than a start."""
        return "board" in self.known_by or "flight" in self.known_by


@dataclass(frozen=True, slots=True)
class _Reading:
    """What one source says of one head: ``slope (lie that suits + the club's own part)``, as the club stood then."""

    head: int
    source: str
    length_m: float
    slope: float
    value: float
    sd: float
    balls: int = 0


@dataclass(frozen=True)
class LieLine:
    """The lies that suit a player, by length; `lie_line` makes it.

    heads : ids of the irons and wedges of the bag; odd : those that stand plainly off the line
    known_by, balls : by head, what told of it; empty where nothing tells of any
    mean, cov : of the line's height [deg] and tilt [deg/half inch], and of each head's own part [deg]
    body_off_deg : by head, how much more upright than usual at its length the body alone asks for
    """

    heads: tuple[str, ...]
    sex: str | None
    middle_m: float
    mean: Array
    cov: Array
    known_by: Mapping[str, tuple[str, ...]]
    balls: Mapping[str, int]
    body_off_deg: Mapping[str, float]
    odd: frozenset[str] = frozenset()

    @property
    def told(self) -> bool:
        """Whether anything tells of the lies at all."""
        return any(self.known_by.values())

    @property
    def by_body(self) -> bool:
        """Whether nothing but the body tells of them, so that they are a start to be checked."""
        return {x for told in self.known_by.values() for x in told} == {"body"}

    @property
    def statements(self) -> tuple[Statement, ...]:
        """What else turns a ball than its lie, where balls tell of the lies and no lie board does."""
        sources = {x for told in self.known_by.values() for x in told}
        return (state("lie.by_flight"),) if "flight" in sources and "board" not in sources else ()

    def suits(self, club: Club) -> tuple[float, float]:
        """Lie [deg] that suits at the length of a club of this set, and its standard deviation."""
        odd = club.id in self.odd
        row = _row(len(self.heads), self.heads.index(club.id) if odd else None, club.length_m, self.middle_m)
        lie = float(usual_lie(club.length_m, sex=self.sex)) + float(row @ self.mean)
        own = 0.0 if odd else CLUB_SD**2
        return lie, float(np.sqrt(max(float(row @ self.cov @ row), 0.0) + own))


def lie_line(
    bag: Sequence[Club],
    posterior: Posterior,
    air: Air,
    *,
    body: BodyFit | None = None,
    shots: Sequence[Shot] = (),
    sex: str | None = None,
    left_handed: bool = False,
) -> LieLine:
    """The lies that suit a player, from all that was read of the clubs of a bag, of those bent since as well.

    Parameters
    ----------
    bag : others than irons and wedges are left out; ``lie_mark_m`` is what a lie board showed of a club as it stands there
    posterior : of the swing, and ``air`` in which the balls flew: for what a degree of lie does to a ball's direction
    body : what the body says, `engine.body.start_sizes.body_fit` of these clubs; ``None`` where it is not known
    shots : of which those count that have a side and a carry, at full grip
    sex : whose usual lies the line follows
    left_handed : a left-handed player's ball goes to the other side
    """
    irons = [c for c in bag if c.family in ("iron", "wedge")]
    heads = tuple(dict.fromkeys(c.became or c.id for c in irons))
    place = {id_: n for n, id_ in enumerate(heads)}
    readings = _read(irons, place, posterior, air, shots, left_handed=left_handed)
    asked: dict[str, float] = {}
    common = AIM_SD
    if body is not None and not readings:
        fits = [c for c in body.clubs if c.id in place]
        spread = [np.ptp(c.lie_deg_90) / 2 / NINETY for c in fits]
        common = float(np.hypot(np.mean(spread), DYNAMIC_SD)) if fits else 0.0
        readings = [_Reading(place[c.id], "body", c.length_m, 1.0, c.lie_deg, CLUB_SD) for c in fits]
        asked = {c.id: c.lie_deg - float(usual_lie(c.length_m, sex=sex)) for c in fits}
    # a set is first thought to suit as it came, before anything was bent or cut
    came = [
        c.lie_deg - bent_so_far(c, "lie_deg") - usual_lie(c.length_m + (c.butt_trim_m or 0.0), sex=sex)
        for c in irons
        if c.became is None
    ]
    mean = np.zeros(2 + len(heads))
    mean[0] = float(np.mean(came)) if came else 0.0
    middle = float(np.mean([c.length_m for c in irons if c.became is None])) if came else 0.0
    model = _Model(heads, readings, mean, middle, common, sex)
    odd = model.plainly_off()
    line, cov = model.given(odd)
    by = {id_: [r for r in readings if r.head == n] for id_, n in place.items()}
    return LieLine(
        heads,
        sex,
        middle,
        line,
        cov,
        {id_: tuple(dict.fromkeys(r.source for r in told)) for id_, told in by.items()},
        {id_: sum(r.balls for r in told) for id_, told in by.items()},
        asked,
        frozenset(heads[n] for n in odd),
    )


def _read(
    irons: Sequence[Club],
    place: Mapping[str, int],
    posterior: Posterior,
    air: Air,
    shots: Sequence[Shot],
    *,
    left_handed: bool,
) -> list[_Reading]:
    """What the board and the flight say, club by club as each stood then."""
    out = [
        _Reading(
            place[c.became or c.id],
            "board",
            c.length_m,
            1.0,
            c.lie_deg - lie_from_mark(c.lie_mark_m),
            MARK_SD,
        )
        for c in irons
        if c.lie_mark_m is not None
    ]
    angles = {c.id: _directions(shots, c.id) for c in irons}
    flown = [c for c in irons if len(angles[c.id]) >= LEAST_BALLS]
    slopes = direction_per_degree(flown, posterior, air, left_handed=left_handed) if flown else ()
    for club, slope in zip(flown, slopes, strict=True):
        to_side, turn = angles[club.id], float(slope)
        value = turn * club.lie_deg - float(np.mean(to_side))
        head = place[club.became or club.id]
        out.append(_Reading(head, "flight", club.length_m, turn, value, _error(to_side), balls=len(to_side)))
    return out


class _Model:
    """The normal model of height, tilt and own parts, and what readings make of it."""

    def __init__(
        self,
        heads: Sequence[str],
        readings: Sequence[_Reading],
        mean: Array,
        middle_m: float,
        common_sd: float,
        sex: str | None,
    ) -> None:
        n = len(heads)
        self.mean, self.heads_of = mean, np.array([r.head for r in readings], int)
        self.slope = np.array([r.slope for r in readings])
        rows = [r.slope * _row(n, r.head, r.length_m, middle_m) for r in readings]
        self.rows = np.array(rows).reshape(len(rows), 2 + n)
        usual = np.array([r.slope * float(usual_lie(r.length_m, sex=sex)) for r in readings])
        self.off = np.array([r.value for r in readings]) - usual - self.rows @ mean
        # aim sends all balls to one side alike; what the body says is out by one amount for all clubs
        together = np.array([r.source != "board" for r in readings], float)
        sds = np.array([r.sd for r in readings])
        self.noise = common_sd**2 * np.outer(together, together) + np.diag(sds**2)

    def _prior(self, odd: set[int]) -> Array:
        own = np.full(len(self.mean) - 2, CLUB_SD**2)
        own[list(odd)] = ODD_SD**2
        return np.diag([PLAYER_SD**2, TILT_SD**2, *own])

    def given(self, odd: set[int]) -> tuple[Array, Array]:
        """Mean and covariance of everything after all readings."""
        prior = self._prior(odd)
        if not len(self.off):
            return self.mean, prior
        gain = np.linalg.solve(self.rows @ prior @ self.rows.T + self.noise, self.rows @ prior).T
        return self.mean + gain @ self.off, prior - gain @ self.rows @ prior

    def plainly_off(self) -> set[int]:
        """Heads whose own readings stand plainly off what two others or more say, worst first."""
        odd: set[int] = set()
        while True:
            cov = self.rows @ self._prior(odd) @ self.rows.T + self.noise
            found = {
                head: self._apart(head, cov)
                for head in set(self.heads_of.tolist()) - odd
                if len(set(self.heads_of.tolist()) - odd - {head}) >= 2
            }
            worst = max(found, key=lambda head: found[head], default=None)
            if worst is None or found[worst] < PLAINLY:
                return odd
            odd.add(worst)

    def _apart(self, head: int, cov: Array) -> float:
        """How far a head's readings stand off what the others say [standard deviations]."""
        mine = self.heads_of == head
        across = cov[np.ix_(mine, ~mine)]
        gain = np.linalg.solve(cov[np.ix_(~mine, ~mine)], across.T).T
        left = self.off[mine] - gain @ self.off[~mine]
        weight = np.linalg.solve(cov[np.ix_(mine, mine)] - gain @ across.T, self.slope[mine])
        return float(abs(weight @ left) / np.sqrt(weight @ self.slope[mine]))


def _row(n: int, head: int | None, length_m: float, middle_m: float) -> Array:
    row = np.zeros(2 + n)
    row[:2] = 1.0, (length_m - middle_m) / HALF_INCH
    if head is not None:
        row[2 + head] = 1.0
    return row


def lies_to_build(
    line: LieLine,
    bag: Sequence[Club],
    wanted: Sequence[Club],
    *,
    find: Collection[str] = (),
    least_bend_deg: float = SMALLEST_BEND_DEG,
) -> tuple[ClubLie, ...]:
    """The lies of a set's irons and wedges on a player's line, in the steps of the bench.

    The steps are taken together: a shorter club comes out more upright than a longer one, as far as its head allows.

    Parameters
    ----------
    bag : the heads there are; wanted : the clubs of the set at their lengths, of these heads
    find : ids of those for which another head has to be found, which then comes with the lie that suits
    least_bend_deg : least bend [deg] that the bench is asked for

    Returns
    -------
    in the order of ``wanted``; as they are where nothing tells of any lie
    """
    heads = {c.id: c for c in bag if c.id in line.heads}
    clubs = [c for c in wanted if c.id in heads]
    suits = {c.id: line.suits(c) for c in clubs}
    lies = {c.id: heads[c.id].lie_deg for c in clubs}
    if line.told:
        choices = {
            c.id: [_marked(suits[c.id][0])]
            if c.id in find
            else _choices(line, heads[c.id], suits[c.id][0], least_bend_deg)
            for c in clubs
        }
        lies |= _in_order(line, heads, clubs, {i: lie for i, (lie, _) in suits.items()}, choices)
    out = []
    for club in clubs:
        head, (lie, sd) = heads[club.id], suits[club.id]
        change = lie - head.lie_deg if line.told else 0.0
        low, high = _range(head)
        off = line.body_off_deg.get(club.id)
        asked = None if off is None else float(usual_lie(club.length_m, sex=line.sex)) + off - head.lie_deg
        out.append(
            ClubLie(
                id=club.id,
                name=club.name or club.id,
                present_deg=head.lie_deg,
                change_deg=change,
                change_deg_90=(change - NINETY * sd, change + NINETY * sd),
                lie_deg=lies[club.id],
                known_by=line.known_by[club.id],
                balls=line.balls[club.id],
                started=abs(bent_so_far(head, "lie_deg")) >= ANGLE_STEP_DEG / 2,
                body_change_deg=asked,
                another_head=club.id in find or not low - 1e-9 <= lies[club.id] - head.lie_deg <= high + 1e-9,
                statements=line.statements,
            )
        )
    return tuple(out)


def _in_order(
    line: LieLine,
    heads: Mapping[str, Club],
    clubs: Sequence[Club],
    suits: Mapping[str, float],
    choices: Mapping[str, Sequence[float]],
) -> dict[str, float]:
    """Lies nearest to those that suit, of those the bench can set, that rise from the longest club to the shortest."""
    row = sorted((c for c in clubs if c.id not in line.odd), key=lambda c: (-c.length_m, c.loft_deg))
    out = {c.id: choices[c.id][0] for c in clubs}
    best: dict[
        float, tuple[float, tuple[float, ...]]
    ] = {}  # by the last club's lie: what it costs, and all lies so far
    for n, club in enumerate(row):
        after: dict[float, tuple[float, tuple[float, ...]]] = {}
        for lie in choices[club.id]:
            miss = _miss(lie, suits[club.id], heads[club.id])
            ways = [
                (cost + miss + _disorder(row[n - 1], club, lie - last), (*lies, lie))
                for last, (cost, lies) in best.items()
            ]
            after[lie] = min(ways, default=(miss, (lie,)))
        best = after
    if best:
        out |= dict(zip((c.id for c in row), min(best.values())[1], strict=True))
    return out


def _marked(lie: float) -> float:
    """A lie as heads are marked, in half degrees."""
    return ANGLE_STEP_DEG * math.floor(lie / ANGLE_STEP_DEG + 0.5)


def _disorder(longer: Club, club: Club, more_upright: float) -> float:
    """What it costs that a club is no more upright than the one before it [deg2]."""
    shorter = longer.length_m - club.length_m
    if shorter < 0.5e-3:  # one lie suits them, to the quarter degree that heads of one mark differ by
        return 0.0 if -1e-9 < more_upright < ANGLE_STEP_DEG / 2 + 1e-9 else 1.0
    if more_upright < -1e-9:
        return 4.0
    return 1.0 if shorter > LENGTHS_APART_M and more_upright < 1e-9 else 0.0


def _miss(lie: float, suits: float, head: Club) -> float:
    """What a lie costs beside one that suits [deg2]."""
    return (lie - suits) ** 2 + BEND_COSTS * (lie != head.lie_deg)


def _range(head: Club) -> tuple[float, float]:
    """How far [deg] a head bends flat and upright; no limit is counted from a lie that nobody knows."""
    known = "lie_deg" not in dict(head.estimated)
    return bend_range(head, "lie_deg") if known else (-math.inf, math.inf)


def _choices(line: LieLine, head: Club, suits: float, least: float) -> list[float]:
    """The lies that the bench may set a head to for one that suits, the best first."""
    now, step = head.lie_deg, angle_step(least)
    if abs(suits - now) < least - 1e-9 and bent_so_far(head, "lie_deg"):
        return [now]  # it was set once, among the others
    low, high = _range(head)
    if line.by_body and not math.isinf(low):
        return _starts(head, suits, least)
    if low - 1e-9 <= suits - now <= high + 1e-9:
        beside = (round(step * at(suits / step), 9) for at in (math.floor, math.ceil))
        far = 0.0 if math.isinf(low) else least
        out = {
            v
            for v in beside
            if abs(v - now) > far - 1e-9
            and low - 1e-9 <= v - now <= high + 1e-9
            and _past(now, v, suits) <= step / 2 + 1e-9
        }
        if far:
            out |= {bend_in_steps(now, suits, least=least, low=low, high=high)}
    else:
        near = as_far_as(head, "lie_deg", suits, least_deg=least)
        asked = bend_in_steps(now, suits, least=least)
        end = now + (low if suits < now else high)
        start = line.known_by[head.id] == ("body",)
        # as the sheet has it: short of the least bend, as far as the head goes is near enough
        enough = abs(near - asked) <= step + 1e-9 or abs(asked - end) < least - 1e-9
        out = {near if start or enough else asked}
    if not out or (abs(suits - now) < 2 * least and not math.isinf(low)):
        out.add(now)
    return sorted(out, key=lambda lie: _miss(lie, suits, head))


def _starts(head: Club, suits: float, least: float) -> list[float]:
    """The lies to begin with for one that the body asks for: so many half degrees from what the head has."""
    now, (low, high) = head.lie_deg, _range(head)
    step = max(ANGLE_STEP_DEG, ANGLE_STEP_DEG * math.ceil(least / ANGLE_STEP_DEG - 1e-9))
    near = min(max(suits - now, low), high) / step
    bends = {step * at for at in (math.trunc(near), math.floor(near + 0.5), 0)}
    within = [now + x for x in bends if low - 1e-9 <= x <= high + 1e-9]
    return sorted(within, key=lambda lie: _miss(lie, suits, head))


def _past(now: float, lie: float, suits: float) -> float:
    """How far [deg] a bend goes past what suits."""
    return (lie - suits) * math.copysign(1.0, lie - now)


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
