"""Three kinds of invented player that share nothing with the engine, and what each of their clubs truly carries.

``table``     nearly rigid bodies at impact, drag and lift by a table of measured coefficients (Bearman & Harvey 1976)
``closed``    rules of thumb at impact, drag and lift by the closed form of Smits & Smith 1994
``straight``  no physics: carry falls straight with loft, and an inch of length is worth so many per cent

What players differ in is taken from circulated launch figures of tour and amateur players (common practice, no source);
none of it is the engine's own prior or code. At 90 and 76 mph all three give about the ball speeds, launches and carries
that circulate for such players. Every kind is asked for carries of whole sets at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from engine.documents.case import Case, Club, Player, Shot
from engine.sets.plan import plan
from engine.sets.usual import DEFAULT_LAYOUTS
from engine.workshop.norms import norm_bag, norm_club

MPH, YARD, INCH, DEGREE, RPM = 0.44704, 0.9144, 0.0254, np.pi / 180, np.pi / 30
BALL, RADIUS, DENSITY, VISCOSITY, GRAVITY = 0.04593, 0.021335, 1.2, 1.51e-5, 9.81
KINDS = ("table", "closed", "straight")

# Bearman & Harvey 1976, Aeronautical Quarterly 27:112-122, figures 7 and 8 as digitised by a university course (read):
# speed [m/s]: (spin ratio, drag, lift) at 2000, 3000, 4400 and 6000 rpm.
COEFFICIENTS = {
    29.9: ((0.144, 0.215, 0.316, 0.431), (0.277, 0.317, 0.360, 0.388), (0.246, 0.305, 0.341, 0.372)),
    46.9: ((0.092, 0.137, 0.201, 0.275), (0.247, 0.266, 0.293, 0.329), (0.176, 0.207, 0.251, 0.301)),
    63.1: ((0.068, 0.102, 0.150, 0.204), (0.247, 0.256, 0.270, 0.288), (0.142, 0.170, 0.209, 0.251)),
    80.2: ((0.054, 0.080, 0.118, 0.161), (0.247, 0.254, 0.263, 0.274), (0.128, 0.149, 0.177, 0.210)),
}


def table_coefficients(speed, ratio):
    """Drag and lift, straight between the table's points and held at its ends."""
    speeds = list(COEFFICIENTS)
    drag, lift = (
        np.stack([np.interp(ratio, COEFFICIENTS[v][0], COEFFICIENTS[v][part]) for v in speeds])
        for part in (1, 2)
    )
    place = np.interp(speed, speeds, np.arange(len(speeds)))
    low = np.minimum(place.astype(int), len(speeds) - 2)
    share = place - low

    def pick(values):
        below, above = (np.take_along_axis(values, low[None] + k, 0)[0] for k in (0, 1))
        return below * (1 - share) + above * share

    return pick(drag), pick(lift)


def closed_coefficients(speed, ratio):
    """Smits & Smith 1994 (from memory), the Reynolds number held to their range, lift held where they stop."""
    re = np.clip(speed * 2 * RADIUS / VISCOSITY, 7e4, 2.1e5)
    drag = 0.24 + 0.18 * ratio + 0.06 * np.sin(np.pi * (re - 9e4) / 2e5)
    return drag, np.minimum(0.54 * ratio**0.4, 0.36)


def flown(speed, launch, spin, coefficients, *, step=0.02):
    """Carry [m] and angle of descent [deg] of launches (any shape; m/s, rad, rad/s) by Runge-Kutta steps, spin falling
    4 % a second."""
    area = DENSITY * np.pi * RADIUS**2 / (2 * BALL)

    def rate(state, w):
        v = np.hypot(state[2], state[3]) + 1e-9
        drag, lift = coefficients(v, RADIUS * w / v)
        ax = -area * v * (drag * state[2] + lift * state[3])
        ay = area * v * (lift * state[2] - drag * state[3]) - GRAVITY
        return np.stack([state[2], state[3], ax, ay])

    state = np.stack(
        [np.zeros_like(speed), np.zeros_like(speed), speed * np.cos(launch), speed * np.sin(launch)]
    )
    carry, up, time = np.zeros_like(speed), np.ones(speed.shape, bool), 0.0
    descent = np.zeros_like(speed)
    while up.any() and time < 15:
        w = spin * 0.96 ** (time + step / 2)
        a = rate(state, w)
        b = rate(state + step / 2 * a, w)
        c = rate(state + step / 2 * b, w)
        new = state + step / 6 * (a + 2 * b + 2 * c + rate(state + step * c, w))
        down = up & (new[1] <= 0)
        share = state[1] / np.maximum(state[1] - new[1], 1e-12)
        carry = np.where(down, state[0] + share * (new[0] - state[0]), carry)
        descent = np.where(down, np.arctan2(-new[3], new[2]) / DEGREE, descent)
        up &= ~down
        state, time = new, time + step
    return carry, descent


@dataclass(frozen=True)
class Set:
    """Players of one sort: how many clubs they hit and how, and how far their clubs depart from the smooth truth.

    own : standard deviation of each club's departure, a share of carry; hit : clubs hit, a number or "wedges" or
    "neighbours"; speed : range of 7-iron head speed [mph]; sex : ``None`` for either; bent : lofts off the usual by up to
    so many degrees (known to the coach); wrong : one hit club's balls were noted under its neighbour's name
    """

    name: str
    own: float = 0.0
    hit: object = 4
    balls: int = 10
    spread: tuple[float, float] = (0.04, 0.07)
    sex: str | None = None
    speed: tuple[float, float] | None = None
    bent: float = 0.0
    strong: bool = False
    wrong: bool = False


@dataclass(frozen=True)
class Truth:
    """One player: what goes into the engine, and the true carries [m] of irons and wedges as they are and at one length.

    descent, single_descent : their true angles of descent [deg], ``None`` of players without physics
    spread : true shot-to-shot standard deviation of carry as a share of it
    """

    kind: str
    case: Case
    hit: tuple[str, ...]
    clubs: tuple[Club, ...]
    carry: np.ndarray
    single: tuple[Club, ...]
    single_carry: np.ndarray
    mislabelled: str | None = None
    descent: np.ndarray | None = None
    single_descent: np.ndarray | None = None
    spread: float = 0.0


def irons_of(bag):
    return tuple(c for c in bag if c.family in ("iron", "wedge"))


def players(kind, sort, count, *, seed):
    """So many players of a kind and sort: `Truth` each, the same for the same seed."""
    rng = np.random.default_rng([seed, KINDS.index(kind), sum(map(ord, sort.name))])
    people = [_person(rng, sort) for _ in range(count)]
    sets = [(irons_of(bag), irons_of(plan(DEFAULT_LAYOUTS[2], bag))) for _, bag, _ in people]
    both = [[*a, *b] for a, b in sets]
    speeds = np.array([speed for _, _, speed in people])
    carries, descents = {"table": _table, "closed": _closed, "straight": _straight}[kind](rng, both, speeds)
    falls = [None] * count if descents is None else descents
    own = np.exp(sort.own * rng.standard_normal((count, len(sets[0][0]))))
    out = []
    for (player, bag, _), (clubs, single), row, fall, mine in zip(
        people, sets, carries, falls, own, strict=True
    ):
        ids = [c.id for c in clubs]
        present, other = row[: len(ids)] * mine, row[len(ids) :] * mine[[ids.index(c.id) for c in single]]
        hit = _hit(rng, sort, ids)
        spread = rng.uniform(*sort.spread)
        noted, wrong = list(hit), None
        if sort.wrong:
            place = int(rng.integers(len(ids) - 1))
            free = [(i, j) for i in range(len(ids)) for j in (i - 1, i + 1) if 0 <= j < len(ids)]
            free = [(i, j) for i, j in free if ids[i] in hit and ids[j] not in hit]
            if free:
                i, j = free[place % len(free)]
                noted[hit.index(ids[i])], wrong = ids[j], ids[j]
        shots = tuple(
            Shot(name, carry_m=float(max(present[ids.index(club)] * (1 + spread * z), 2.0)))
            for club, name in zip(hit, noted, strict=True)
            for z in rng.standard_normal(sort.balls)
        )
        case = Case(player=player, bag=bag, shots=shots)
        steep = (None, None) if fall is None else (fall[: len(ids)], fall[len(ids) :])
        out.append(Truth(kind, case, tuple(noted), clubs, present, single, other, wrong, *steep, spread))
    return out


def _person(rng, sort):
    sex = sort.sex or ("male" if rng.random() < 0.6 else "female")
    height = float(np.clip(rng.normal(1.756 if sex == "male" else 1.628, 0.067), 1.45, 2.0))
    low, high = sort.speed or ((64.0, 96.0) if sex == "male" else (52.0, 80.0))
    bag = [c for c in norm_bag(sex) if c.id != "4h"]
    bag.insert(3, norm_club("4i", sex))
    if sort.strong or sort.bent:
        strong = {"4i": -4, "5i": -4.5, "6i": -5, "7i": -5.5, "8i": -5, "9i": -4.5, "pw": -4, "gw": -3}
        bag = [
            replace(
                c,
                loft_deg=c.loft_deg
                + (strong.get(c.id, 0) if sort.strong else 0)
                + (round(rng.uniform(-sort.bent, sort.bent) * 2) / 2 if sort.bent else 0),
            )
            if c.family in ("iron", "wedge")
            else c
            for c in bag
        ]
    return Player(sex=sex, height_m=height), tuple(bag), rng.uniform(low, high)


def _hit(rng, sort, ids):
    if sort.hit == "wedges":
        return [i for i in ids if i in ("pw", "gw", "sw")]
    if sort.hit == "neighbours":
        first = int(rng.integers(len(ids) - 2))
        return ids[first : first + 2]
    return [ids[i] for i in sorted(rng.choice(len(ids), sort.hit, replace=False))]


def _arrays(sets):
    pick = lambda name: np.array([[getattr(c, name) for c in row] for row in sets])  # noqa: E731
    return pick("length_m") / INCH, pick("loft_deg"), pick("head_kg")


def _speed(rng, speeds, length, loft, head):
    """Head speed [m/s]: an inch is worth 0.7 to 1.4 mph at 90 (Kenny, Wallace & Otto 2008; constant angular velocity), 26 g
    of head 2 to 3 % (MacKenzie, Ryan & Rice 2015), straighter faces swung harder so that a 4-iron is 6 to 7 % faster than
    a 7-iron in the hands of a tour player (circulated figures)."""
    n = (len(speeds), 1)
    inch, mass, intent = rng.uniform(0.008, 0.0155, n), rng.uniform(0.1, 0.25, n), rng.normal(0.003, 0.001, n)
    return (
        speeds[:, None]
        * MPH
        * np.exp(inch * (length - 37) - mass * np.log(head / 0.268) - intent * (loft - 34.5))
    )


def _table(rng, sets, speeds):
    n = (len(speeds), 1)
    length, loft, head = _arrays(sets)
    v = _speed(rng, speeds, length, loft, head)
    attack = rng.normal(-3, 1.3, n) + rng.uniform(-0.1, 0.4, n) * (length - 37)
    # hands lead by some 12 deg at 90 mph and 8 at 62 (launch and attack of circulated 7-irons), more on lofted clubs
    lean = (
        12
        + 11 * np.log(speeds[:, None] / 90)
        + rng.normal(0, 1.8, n)
        + rng.normal(0.18, 0.04, n) * (loft - 34.5)
    )
    lean = lean - 0.010 * np.minimum(loft - 34.5, 0) ** 2
    spin_loft = np.maximum(loft - lean - attack, 4) * DEGREE
    share = BALL / head
    e = 0.86 - 0.0029 * v * np.cos(spin_loft)  # Penner 2001, from memory
    along = v * np.cos(spin_loft) * (1 + e) / (1 + share)
    across = v * np.sin(spin_loft) / (3.5 + share)
    over = rng.normal(1.3, 0.1, n) + rng.normal(0.006, 0.002, n) * (
        loft - 34.5
    )  # circulated spin over rolling
    spin = 2.5 * across / RADIUS * over
    launch = spin_loft - np.arctan2(across, along) + attack * DEGREE
    # ball speed of circulated averages falls faster with loft than that of rigid bodies
    loss = rng.normal(-0.02, 0.02, n) - rng.normal(0.0024, 0.0006, n) * (loft - 34.5)
    ball = np.hypot(along, across) * np.exp(loss)
    return flown(ball, launch, spin, table_coefficients)


def _closed(rng, sets, speeds):
    n = (len(speeds), 1)
    length, loft, head = _arrays(sets)
    v = _speed(rng, speeds, length, loft, head)
    attack = rng.normal(-3, 1.3, n)
    slower = 11 * np.log(90 / speeds[:, None])  # deg that the hands lead less, as for the others
    dynamic = loft * (0.5 + 0.0045 * loft) * rng.normal(1, 0.05, n) + slower
    spin_loft = np.maximum(dynamic - attack, 4)
    smash = (1.44 - 0.0118 * (dynamic - 14.4)) * (1 + 0.1 * (head / 0.268 - 1)) * rng.normal(0.98, 0.02, n)
    launch = rng.normal(0.8, 0.015, n) * spin_loft + attack  # 75 to 85 % rule
    spin = (
        160 * v / MPH * np.sin(spin_loft * DEGREE) * rng.normal(1.08, 0.08, n) * RPM
    )  # rule of thumb (read)
    return flown(v * smash, launch * DEGREE, spin, closed_coefficients)


def _straight(rng, sets, speeds):
    n = (len(speeds), 1)
    length, loft, _ = _arrays(sets)
    slow = np.log(90 / speeds[:, None])
    seven = (1.9 - 0.8 * slow) * speeds[:, None] * YARD * rng.normal(1, 0.05, n)
    # 1.7 to 1.9 % of the 7-iron a degree on tour, more for slower players (circulated figures)
    fall = 0.0175 + 0.008 * slow + rng.normal(0, 0.0012, n)
    inch = rng.uniform(0.006, 0.018, n)  # net of head mass: 2 to 4 yd in an inch and a half
    usual = length[:, : length.shape[1] // 2]
    longer = np.concatenate([np.zeros_like(usual), length[:, usual.shape[1] :] - usual], axis=1)
    return seven * (1 - fall * (loft - 34.5)) * (1 + inch * longer), None
