"""Balls by session: brought to one air, and with what a day does to all of them told apart from the swing.

Each club's quantity at one session, in logs (launch in [deg]), is::

    measured = the player's own + loading of the quantity x the day's effects + error of the balls

The day's effects are normal about 0 (`DAY`), their common scale one of `SCALE`, weighted by how far the sessions lie
apart. The player's own values and their covariance then follow by generalised least squares with the day's effects
integrated out (Henderson 1975, Biometrics 31:423, from memory), and are all that the fit needs of the balls: nothing is
lost by taking them in place of the sessions. With one session alone its day cannot be told from the player, and there
is no such effect: what is known is then known of that day, and of its air where no weather was noted (`in_air_of_day`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from ..documents.case import Case, Club, Conditions, Shot
from ..physics.air import REFERENCE, air_of, struck_in
from ..physics.trajectory import Launch, fly
from ..units import DEGREE
from .delivery import Clubs, deliver
from .departures import expected
from .parameters import INDEX, prior, range_ball_factor

Array = NDArray[np.float64]

# One day's effects on all clubs alike, standard deviations: head speed, how well the ball is met, what else carries feel
# (air and ball not as told), launch [deg], spin. Together 2.6 % of carry. Common practice, no source.
DAY = {"speed": 0.012, "strike": 0.010, "flight": 0.014, "launch": 0.5, "spin": 0.03}
CARRY_BY_SPEED = (
    1.4  # log carry per log of ball speed, launch and spin following; the flight model's, about a 7-iron
)
LOADING = {
    "club_speed": {"speed": 1.0},
    "ball_speed": {"speed": 1.0, "strike": 1.0},
    "carry": {"speed": CARRY_BY_SPEED, "strike": CARRY_BY_SPEED, "flight": 1.0},
    "launch": {"launch": 1.0},
    "spin": {"spin": 1.0},
}
SCALE = np.array([0.4, 1.0, 1.8])  # of all of `DAY`, tried in turn: some players are steadier than others
SCALE_WEIGHT = np.array([0.25, 0.5, 0.25])
# [log carry], what weather that nobody noted may have done. A light breeze (Beaufort 2, 1.6 to 3.3 m/s, WMO No. 306) from
# anywhere is some 1.7 m/s along the shot, at about 1.7 % of carry each by published effects of 10 mph; 8 deg of
# temperature, at 0.8 % each 5.6 deg, is another 1.1 %.
UNKNOWN_AIR_SD = 0.03
CLUB_DAY_SD = 0.008  # [log carry], of one club on one day beside the others; common practice, no source
AIR_SHARE = (
    0.15  # of what an air does to carry, how far it may be off: winds are guessed; common practice, no source
)
LEAST_WEIGHT = 0.01  # of a session that has faded
SPEEDS = np.linspace(-1.0, 0.4, 15)  # [log], about the usual, for carries in two airs
CLUB_SD = 0.05  # [log carry], how well one club tells that speed; beyond that it weighs less; our choice


Group = tuple[str, float, str | None]


def group_of(shot: Shot) -> Group:
    """Club, grip to the millimetre and session of a ball."""
    return shot.club, round(shot.grip_down_m, 3), shot.session


def moved(shot: Shot, off: Mapping[Group, float]) -> Shot:
    """A ball with its carry as it would have been elsewhere, by what `brought_home` adds in logs."""
    by = off.get(group_of(shot), 0.0)
    if not by or shot.carry_m is None:
        return shot
    sd = shot.carry_sd_m
    factor = float(np.exp(by))
    return replace(shot, carry_m=shot.carry_m * factor, carry_sd_m=None if sd is None else sd * factor)


@dataclass(frozen=True, slots=True)
class Cell:
    """A quantity of one club over the balls of one session: its centre, brought to the common air, and its standard error.

    row : which of the player's own values it tells of; session : its id, ``None`` for balls without one; off : what the air
    made of it [log]
    """

    row: int
    quantity: str
    session: str | None
    value: float
    error: float
    off: float = 0.0


@dataclass(frozen=True, slots=True)
class Pooled:
    """The player's own values (rows,), their covariance, and what the days made of carry.

    day : effect on log carry by session; day_sd : their standard deviations; spread_sd : that of one day from another;
    with_value : covariance of the effects with the values (sessions, rows)
    """

    value: Array
    covariance: Array
    day: Mapping[str | None, float]
    day_sd: Mapping[str | None, float]
    spread_sd: float
    with_value: Array

    def given(self, value: Array, covariance: Array) -> dict[str | None, float]:
        """Effects on log carry by session, once the player's own values are known better.

        value : those (rows,); covariance : of the errors of `Pooled.value` (rows, rows)
        """
        off = self.with_value @ np.linalg.solve(covariance, value - self.value)
        return dict(zip(self.day, (np.array(list(self.day.values())) + off).tolist(), strict=True))


def sessions_hit(shots: Sequence[Shot]) -> tuple[str | None, ...]:
    """Ids of the sessions that balls in use belong to, in the order hit; ``None`` for balls without a session."""
    return tuple(dict.fromkeys(shot.session for shot in shots if shot.use))


def conditions_of(case: Case, session: str | None) -> Conditions:
    """The conditions of a session: the case's where it states none, or where balls have no session."""
    found = next((one.conditions for one in case.sessions if one.id == session), None)
    return case.conditions if found is None else found


def weather_noted(conditions: Conditions) -> bool:
    """Whether the air of balls is known: it is told to be other than standard air, which a case begins with, or said to have
    been that, or the device states carries for it."""
    return conditions.noted or conditions.indoors or air_of(conditions) != air_of(REFERENCE)


def in_air_of_day(case: Case) -> bool:
    """Whether all carries are of one session whose weather nobody noted: they then hold in its air, whatever that was."""
    hit = sessions_hit([shot for shot in case.full_shots if shot.carry_m is not None])
    return len(hit) == 1 and not weather_noted(conditions_of(case, hit[0]))


def hit_in(case: Case, shots: Sequence[Shot] | None = None) -> Conditions:
    """The conditions in which carries are summed up: those of all these balls, else the reference air and a good ball.

    shots : the case's full swings if not given
    """
    shots = case.full_shots if shots is None else shots
    hit = [conditions_of(case, one) for one in sessions_hit(shots)] or [case.conditions]
    return replace(hit[0], noted=False) if len({_felt(one) for one in hit}) == 1 else REFERENCE


def _felt(conditions: Conditions) -> Conditions:
    """What of the conditions a carry feels."""
    if conditions.indoors:
        return REFERENCE
    if conditions.range_ball:
        return replace(conditions, noted=False)
    return replace(conditions, noted=False, range_ball_factor=None, range_ball_sd=None)


def weights(case: Case, hit: Sequence[str | None]) -> dict[str | None, float]:
    """How much each session counts, 1 for the newest: less the older it is where the case asks for that.

    Sessions without a date count in full.
    """
    days = {one.id: date.fromisoformat(one.date) for one in case.sessions if one.date and one.id in hit}
    half_life = case.wants.half_life_days
    if half_life is None or not days:
        return dict.fromkeys(hit, 1.0)
    newest = max(days.values())
    old = {one: (newest - days.get(one or "", newest)).days for one in hit}
    return {one: max(0.5 ** (age / half_life), LEAST_WEIGHT) for one, age in old.items()}


def brought_home(
    case: Case,
    shots: Sequence[Shot],
    bag: Mapping[str, Club],
    home: Conditions,
) -> dict[Group, float]:
    """What to add to log carries of each club, grip and session for them to be those in the conditions ``home``.

    What an air does to a club is told of the usual swing at one speed, that which suits all of these carries in their airs
    best, so that no fit is needed. A club's own departure from it is a share of carry in any air, as in every carry that is
    foreseen: so a carry foreseen in the air of a session is the one that was hit there.
    """
    told: dict[Group, list[float]] = {}
    for shot in shots:
        if shot.use and shot.carry_m is not None and shot.club in bag:
            told.setdefault(group_of(shot), []).append(shot.carry_m)
    groups = {key: float(np.median(carries)) for key, carries in told.items()}
    hit = {one: conditions_of(case, one) for one in dict.fromkeys(session for _, _, session in groups)}
    out = {key: _ball(home) - _ball(hit[key[2]]) for key in groups}
    airs = {one: struck_in(_felt(told)) for one, told in hit.items()}
    here = struck_in(_felt(home))
    away = [key for key in groups if air_of(airs[key[2]]) != air_of(here)]
    if not away:
        return out
    pairs = list(dict.fromkeys((club, grip) for club, grip, _ in groups))
    clubs = Clubs.of([bag[club] for club, _ in pairs], grip_down=[grip for _, grip in pairs])
    mean, sd = prior(case)
    theta = np.repeat(mean[None], len(SPEEDS), axis=0)
    theta[:, INDEX["log_speed"]] += SPEEDS
    delivery = deliver(theta, clubs)
    felt = list(dict.fromkeys((here, *airs.values())))
    speed, launch, spin = (
        np.broadcast_to(x, (len(felt), *x.shape))
        for x in (delivery.ball_speed, delivery.launch * DEGREE, delivery.spin)
    )
    factors = [np.exp(theta[:, INDEX[name], None]) for name in ("ball_drag", "ball_lift")]
    flight = fly(
        Launch(speed, launch, spin),
        [air_of(air) for air in felt],
        drag_factor=factors[0],
        lift_factor=factors[1],
    )
    usual = expected(theta, clubs.loft, clubs.family)
    flown = dict(zip(felt, np.log(np.maximum(flight.carry, 0.1)) + usual, strict=True))
    fine = np.linspace(SPEEDS[0], SPEEDS[-1], 561)
    misfit = 0.5 * (fine / sd[INDEX["log_speed"]]) ** 2
    for key, carry in groups.items():
        foreseen = np.interp(fine, SPEEDS, flown[airs[key[2]]][:, pairs.index(key[:2])])
        misfit += np.hypot(1.0, (np.log(carry) - _ball(hit[key[2]]) - foreseen) / CLUB_SD)
    swung = fine[np.argmin(misfit)]
    for key in away:
        column = pairs.index(key[:2])
        out[key] += float(np.interp(swung, SPEEDS, (flown[here] - flown[airs[key[2]]])[:, column]))
    return out


def _ball(conditions: Conditions) -> float:
    """Log factor on carry of the balls that were hit."""
    felt = _felt(conditions)
    return float(np.log(range_ball_factor(felt)[0])) if felt.range_ball else 0.0


def ball_of(hit: Conditions, known: Conditions, log_ball: Array) -> Array:
    """Draws of the log factor on carry of the balls hit in some conditions, from those of the balls that are known."""
    if _felt(known).range_ball and not _felt(hit).range_ball:
        return np.zeros_like(log_ball)
    return log_ball + (_ball(hit) - _ball(known))


def _ball_sd(conditions: Conditions) -> float:
    """How far that factor may be off [log]."""
    factor, sd = range_ball_factor(conditions)
    return sd / factor if _felt(conditions).range_ball else 0.0


def pooled(case: Case, cells: Sequence[Cell], rows: int) -> Pooled:
    """The player's own values of so many rows from their cells, session by session."""
    hit = list(dict.fromkeys(cell.session for cell in cells))
    weight = weights(case, hit)
    solved = _solved(case, cells, rows, hit, fade=np.array([weight[cell.session] for cell in cells]))
    value = solved.mean(solved.values)
    size = solved.of_carry.shape[0]
    effects = [effect[:size] @ solved.of_carry for effect in solved.effects]
    left = [
        np.einsum("ij,ik,kj->j", solved.of_carry, cover[:size, :size], solved.of_carry)
        for cover in solved.effect_covers
    ]
    day = solved.mean(effects)
    day_var = solved.mean([(e - day) ** 2 + v for e, v in zip(effects, left, strict=True)])
    return Pooled(
        value,
        solved.mean(
            [c + np.outer(v - value, v - value) for v, c in zip(solved.values, solved.covers, strict=True)]
        ),
        dict(zip(hit, day.tolist(), strict=True)),
        dict(zip(hit, np.sqrt(day_var).tolist(), strict=True)),
        float(np.sqrt(solved.chances @ SCALE**2)) * day_sd("carry"),
        solved.mean(
            [
                solved.of_carry.T @ cross[:size] + np.outer(e - day, v - value)
                for cross, e, v in zip(solved.crosses, effects, solved.values, strict=True)
            ]
        ),
    )


def contrasts(case: Case, cells: Sequence[Cell], rows: int, asked: Array) -> tuple[Array, Array]:
    """Free effects on the cells beside those of the days: their means (effects,) and covariance.

    asked : (cells, effects), loadings [log]
    """
    hit = list(dict.fromkeys(cell.session for cell in cells))
    solved = _solved(case, cells, rows, hit, fade=np.ones(len(cells)), asked=asked)
    count = asked.shape[1]
    effects = [effect[len(effect) - count :] for effect in solved.effects]
    mean = solved.mean(effects)
    covers = [
        cover[-count:, -count:] + np.outer(e - mean, e - mean)
        for e, cover in zip(effects, solved.effect_covers, strict=True)
    ]
    return mean, solved.mean(covers)


@dataclass(frozen=True, slots=True)
class DayApart:
    """How far the carries of one session lie from what other balls foretell, for the session's sake [log carry].

    by, sd : mean and standard deviation; beside : whether a club that tells of it was hit in that session and foretells too;
    unknown : "before" or "after" where without one the weather of those balls or of the session was not noted, "both" where
    neither was, else ""
    """

    by: float
    sd: float
    beside: bool
    unknown: str


def day_apart(case: Case, days: Pooled | None, shots: Sequence[Shot], session: str | None) -> DayApart:
    """How far a session of a case lies from what some shots foretell, and ``days`` of them: `pooled`, if of several."""
    hit = sessions_hit(shots)
    if hit == (session,):
        return DayApart(0.0, 0.0, True, "")
    noted = {one: weather_noted(conditions_of(case, one)) for one in (session, *hit)}
    before, after = bool(hit) and not any(noted[one] for one in hit), not noted[session]
    unknown = "both" if before and after else "before" if before else "after" if after else ""
    if days is not None and session in days.day:
        clubs = [
            {s.club for s in shots if s.use and s.carry_m is not None and (s.session == session) is here}
            for here in (True, False)
        ]
        beside = bool(clubs[0] & clubs[1])
        return DayApart(days.day[session], days.day_sd[session], beside, "" if beside else unknown)
    scale = float(np.sqrt(SCALE_WEIGHT @ SCALE**2)) if days is None else days.spread_sd / day_sd("carry")
    alone = hit if days is None else ()  # whose day is in what they foretell
    sds = [
        np.hypot(scale * day_sd("carry"), 0.0 if noted[one] else UNKNOWN_AIR_SD) for one in (session, *alone)
    ]
    return DayApart(0.0, float(np.hypot.reduce(sds)), False, unknown)


@dataclass(frozen=True, slots=True)
class _Solved:
    """For each scale of the days its chance, the rows' values and covariance, the effects' (days, conditions, asked), and
    ``crosses``, the covariance of effects and values.

    of_carry : (effects of days, sessions), what they make of log carry
    """

    chances: Array
    values: list[Array]
    covers: list[Array]
    effects: list[Array]
    effect_covers: list[Array]
    crosses: list[Array]
    of_carry: Array

    def mean(self, of: list[Array]) -> Array:
        return np.asarray(np.tensordot(self.chances, np.array(of), 1))


def _solved(
    case: Case,
    cells: Sequence[Cell],
    rows: int,
    hit: Sequence[str | None],
    *,
    fade: Array,
    asked: Array | None = None,
) -> _Solved:
    y = np.array([cell.value for cell in cells])
    own = np.array([CLUB_DAY_SD if cell.quantity == "carry" else 0.0 for cell in cells])
    trust = fade / (np.array([cell.error for cell in cells]) ** 2 + own**2)
    of_row = np.zeros((len(cells), rows))
    of_row[np.arange(len(cells)), [cell.row for cell in cells]] = 1.0
    days, of_carry = _of_days(cells, hit)
    weather, of_weather = _of_weather(case, cells, hit)
    columns = np.concatenate([days, weather, _of_conditions(case, cells, hit)], axis=1)
    columns, of_carry = columns / np.sqrt(fade)[:, None], np.concatenate([of_carry, of_weather])
    if asked is not None:
        columns = np.concatenate([columns, asked], axis=1)
    total = of_row.T @ trust
    middle = (of_row.T @ (trust * y)) / total
    taken = (of_row.T @ (trust[:, None] * columns)) / total[:, None]
    rest, apart = y - of_row @ middle, columns - of_row @ taken
    known = apart.T @ (trust[:, None] * apart)
    pull = apart.T @ (trust * rest)
    logs, values, covers, effects, effect_covers, crosses = [], [], [], [], [], []
    for scale, chance in zip(SCALE, SCALE_WEIGHT, strict=True):
        size = np.where(np.arange(columns.shape[1]) < days.shape[1], scale, 1.0)
        precision = np.eye(len(size)) + size[:, None] * known * size
        cover = size[:, None] * np.linalg.inv(precision) * size
        effect = cover @ pull
        logs.append(np.log(chance) - 0.5 * (np.linalg.slogdet(precision)[1] - pull @ effect))
        values.append(middle - taken @ effect)
        covers.append(np.diag(1 / total) + taken @ cover @ taken.T)
        effects.append(effect)
        effect_covers.append(cover)
        crosses.append(-cover @ taken.T)
    chances = np.exp(np.array(logs) - max(logs))
    return _Solved(chances / chances.sum(), values, covers, effects, effect_covers, crosses, of_carry)


def day_sd(quantity: str) -> float:
    """Standard deviation of a quantity from day to day, before the sessions tell."""
    return float(np.sqrt(sum((by * DAY[name]) ** 2 for name, by in LOADING[quantity].items())))


def apart_sd(quantity: str, off: float) -> float:
    """Standard deviation by which the values of two days may lie apart, a share or in [deg].

    off : how far apart what their airs made of carry is [log]; half of it is left open, since an air told wrongly is no
        fault of the ball
    """
    return float(np.hypot(np.sqrt(2) * day_sd(quantity), 0.5 * off))


def _of_days(cells: Sequence[Cell], hit: Sequence[str | None]) -> tuple[Array, Array]:
    """Loadings (cells, effects) of whitened effects of each session, as few as the quantities need; and what they make of
    log carry, (effects, sessions)."""
    told = [q for q in LOADING if any(cell.quantity == q for cell in cells)]
    loading = np.array([[LOADING[q].get(name, 0.0) * sd for name, sd in DAY.items()] for q in told])
    root = np.linalg.cholesky(loading @ loading.T + 1e-12 * np.eye(len(told)))
    count = len(told)
    days = np.zeros((len(cells), count * len(hit)))
    for number, cell in enumerate(cells):
        at = hit.index(cell.session) * count
        days[number, at : at + count] = root[told.index(cell.quantity)]
    if "carry" in told:
        by = root[told.index("carry")]
    else:  # what the other quantities say of carry
        whole = np.array([LOADING["carry"].get(name, 0.0) * sd for name, sd in DAY.items()])
        by = np.linalg.solve(root, loading @ whole)
    return days, np.kron(np.eye(len(hit)), by[:, None])


def _of_weather(case: Case, cells: Sequence[Cell], hit: Sequence[str | None]) -> tuple[Array, Array]:
    """The same of the weather of each session where it was not noted, which is as wide however steady the player is."""
    unknown = [at for at, one in enumerate(hit) if not weather_noted(conditions_of(case, one))]
    of_carry = UNKNOWN_AIR_SD * np.eye(len(hit))[unknown]
    at = [hit.index(cell.session) for cell in cells]
    carries = np.array([cell.quantity == "carry" for cell in cells])
    return np.where(carries[:, None], of_carry.T[at], 0.0), of_carry


def _of_conditions(case: Case, cells: Sequence[Cell], hit: Sequence[str | None]) -> Array:
    """Loadings (cells, effects) of how far each session's air, and the range balls of all, may be off."""
    columns = []
    for session in hit:
        off = [cell.off * AIR_SHARE if cell.session == session else 0.0 for cell in cells]
        if any(off):
            columns.append(off)
    unsure = _ball_sd(hit_in(case))
    balls = {one: _ball_sd(conditions_of(case, one)) - unsure for one in hit}
    if any(balls.values()):
        columns.append([balls[cell.session] if cell.quantity == "carry" else 0.0 for cell in cells])
    return np.array(columns).T.reshape(len(cells), len(columns))
