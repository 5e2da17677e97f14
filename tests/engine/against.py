"""Our error against a ruler: the engine and the hand methods of `ruler` on the invented players of `truths`.

Run as a program (``build.py compare``) it prints the table that stands in DEVELOPERS.md. Seeds of the program are
others than those of the tests.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

import numpy as np
from ideal import forecast
from ruler import BASELINES, by_hand
from tours import CLUBS, MEN, NEWER, WOMEN
from truths import KINDS, YARD, Set, Truth, players

from engine.documents.case import Case, Club, Player, Shot
from engine.physics.air import REFERENCE, air_of
from engine.sets.predict import predict
from engine.swing.calibration import calibrate
from engine.units import GRAM, INCH

ROOT = Path(__file__).resolve().parents[2]
AIR = air_of(REFERENCE)
SETS = (
    Set("as they come"),
    Set("own 1 %", own=0.01),
    Set("own 2 %", own=0.02),
    Set("own 4 %", own=0.04),
    Set("one club", hit=1),
    Set("two clubs", hit=2),
    Set("three clubs", hit=3),
    Set("six clubs", hit=6),
    Set("only wedges", hit="wedges"),
    Set("two neighbours", hit="neighbours"),
    Set("slow women", sex="female", speed=(48.0, 62.0)),
    Set("fast men", sex="male", speed=(88.0, 104.0)),
    Set("strong lofts", strong=True),
    Set("bent lofts", bent=2.5),
    Set("20 balls of 3 %", balls=20, spread=(0.03, 0.03)),
    Set("mislabelled", hit=5, spread=(0.04, 0.04), wrong=True),
)
FEW = ("one club", "two clubs", "two neighbours")
OWN = ("as they come", "own 1 %", "own 2 %", "own 4 %")
SIZES = (0.0, 0.01, 0.02, 0.04)  # of the same
KNOWN = [
    s.name for s in SETS if not s.bent and not s.wrong
]  # players with one bag between them, and no slip of the pen
USUAL_SPREAD = 0.055  # of `truths`, where it is not told


@dataclass
class Score:
    """Shares of the true carry by which predictions are off, and what the intervals hold; lists over players and clubs."""

    ours: list[float] = field(default_factory=list)
    hand: dict[str, list[float]] = field(default_factory=lambda: {b: [] for b in BASELINES})
    single: list[float] = field(default_factory=list)
    single_hand: dict[str, list[float]] = field(default_factory=lambda: {b: [] for b in BASELINES})
    held: list[bool] = field(default_factory=list)
    single_held: list[bool] = field(default_factory=list)
    half: list[float] = field(default_factory=list)
    inner: list[float] = field(default_factory=list)
    hit_held: list[bool] = field(default_factory=list)
    bend: list[float] = field(default_factory=list)
    true_bend: list[float] = field(default_factory=list)
    named: list[bool] = field(default_factory=list)
    accused: list[bool] = field(default_factory=list)

    def __add__(self, other: Score) -> Score:
        out = Score()
        for score in (self, other):
            for name in (
                "ours",
                "single",
                "held",
                "single_held",
                "half",
                "inner",
                "hit_held",
                "bend",
                "true_bend",
                "named",
                "accused",
            ):
                getattr(out, name).extend(getattr(score, name))
            for b in BASELINES:
                out.hand[b] += score.hand[b]
                out.single_hand[b] += score.single_hand[b]
        return out


def _never_hit(out: Score, truth: Truth, present: np.ndarray) -> np.ndarray:
    """Adds what draws (draws, clubs) of the present clubs' carries [m] say of those that were not hit; their means."""
    new = np.array([c.id not in truth.hit for c in truth.clubs])
    low, high = np.quantile(present, (0.05, 0.95), axis=0)
    mean = present.mean(axis=0)
    out.ours += list(np.abs(mean / truth.carry - 1)[new])
    out.held += list(((truth.carry >= low) & (truth.carry <= high))[new])
    out.half += list(((high - low) / 2 / mean)[new])
    at = np.flatnonzero(~new)
    inner = [i for i in range(at[0], at[-1]) if new[i]]
    out.inner += list(((high - low) / 2 / mean)[inner])
    return np.asarray(mean)


def score(truths: Sequence[Truth]) -> Score:
    """The engine and the hand methods on these players."""
    out = Score()
    for truth in truths:
        posterior = calibrate(truth.case)
        both = predict(posterior, (*truth.clubs, *truth.single), AIR).carry
        present, single = both[:, : len(truth.clubs)], both[:, len(truth.clubs) :]
        mean = _never_hit(out, truth, present)
        out.bend.append(float(np.abs(np.diff(mean, 2)).mean()))
        out.true_bend.append(float(np.abs(np.diff(truth.carry, 2)).mean()))
        of_single = single.mean(axis=0)
        out.single += list(np.abs(of_single / truth.single_carry - 1))
        low, high = np.quantile(single, (0.05, 0.95), axis=0)
        out.single_held += list((truth.single_carry >= low) & (truth.single_carry <= high))
        for group in posterior.summaries:
            at = [c.id for c in truth.clubs].index(group.club.id)
            low_, high_ = group.carry.interval()
            if truth.mislabelled is None:
                out.hit_held.append(low_ <= mean[at] <= high_)
        new = [c.id not in truth.hit for c in truth.clubs]
        for b, (a, s) in by_hand(truth).items():
            out.hand[b] += list(np.abs(a / truth.carry - 1)[new])
            out.single_hand[b] += list(np.abs(s / truth.single_carry - 1))
        if truth.mislabelled is not None:
            out.named.append(truth.mislabelled in posterior.doubted)
        out.accused.append(any(c != truth.mislabelled for c in posterior.doubted))
    return out


def could_be(
    truths: Sequence[Truth],
    *,
    balls: float,
    sizes: Sequence[float],
    spread: float = USUAL_SPREAD,
    speeds: tuple[float, float] | None = None,
    kinds: Sequence[str] = KINDS,
    count: int = 6000,
) -> Score:
    """Of clubs never hit, the same of one who knows how the players are drawn (`ideal`).

    sizes : of their clubs' departures, each as likely; spread : of the balls, where the truth does not say
    """
    out, rng = Score(), np.random.default_rng(5)
    for truth in truths:
        error = (truth.spread or spread) / balls**0.5
        log = forecast(truth, sizes, error, rng, speeds=speeds, kinds=kinds, count=count)[0]
        _never_hit(out, truth, np.exp(log[:, : len(truth.clubs)]))
    return out


def pair(errors: Sequence[float]) -> tuple[float, float]:
    """Median and 90th percentile in per cent."""
    return float(100 * np.median(errors)), float(100 * np.quantile(errors, 0.9))


def best(hand: dict[str, list[float]]) -> tuple[float, float]:
    """Lowest median and lowest 90th percentile over the hand methods, each by itself."""
    pairs = [pair(errors) for errors in hand.values()]
    return min(p[0] for p in pairs), min(p[1] for p in pairs)


def scores(
    sets: Sequence[Set], count: int, seed: int, kinds: Sequence[str] = KINDS
) -> dict[tuple[str, str], Score]:
    """Score of each set and kind, ``count`` players each."""
    return {(s.name, k): score(players(k, s, count, seed=seed)) for s in sets for k in kinds}


def pooled(found: dict[tuple[str, str], Score], names: Sequence[str]) -> Score:
    """All players of the named sets, of every kind."""
    return sum((v for (name, _), v in found.items() if name in names), Score())


def circulated(group: str, *, balls: float = 20.0, spread: float | None = 0.03) -> list[Truth]:
    """Every choice of three irons of a group of circulated averages, each given as the mean of so many balls.

    ``spread`` is their standard deviation as a share of carry, 3 % on tour (common practice, no source); not told if None.
    """
    with (ROOT / "tests/reference/data/launch_typical.csv").open() as file:
        rows = [r for r in csv.DictReader(file) if r["group"] == group and r["club"] in CLUBS]
    women = group == WOMEN
    spec = {r["club"]: CLUBS[r["club"]] for r in rows}
    names = [n for n in spec if spec[n][0] in ("iron", "wedge")]
    clubs = tuple(
        Club(
            id="pw" if n == "pitching wedge" else n[0] + "i",
            name=n,
            family=spec[n][0],
            length_m=(spec[n][1] - women) * INCH,
            loft_deg=spec[n][2] + women,
            lie_deg=61.0,
            head_kg=spec[n][3] * GRAM,
        )
        for n in names
    )
    carry = np.array([float(next(r for r in rows if r["club"] == n)["carry_yd"]) * YARD for n in names])
    player = Player(sex="female" if women else "male")
    out = []
    for three in combinations(range(len(clubs)), 3):
        shots = tuple(
            Shot(
                clubs[i].id,
                carry_m=float(carry[i]),
                balls=balls,
                carry_sd_m=None if spread is None else spread * float(carry[i]),
            )
            for i in three
        )
        case = Case(player=player, bag=clubs, shots=shots)
        out.append(Truth(group, case, tuple(clubs[i].id for i in three), clubs, carry, clubs, carry))
    return out


TOURS = {"men, older": MEN, "men, newer": NEWER, "women": WOMEN}


def row(name: str, s: Score) -> str:
    cells = []
    for ours, hand, held in ((s.ours, s.hand, s.held), (s.single, s.single_hand, s.single_held)):
        a, line, b = pair(ours), pair(hand["line"]), best(hand)
        cells += [
            f"{a[0]:.2f}/{a[1]:.2f}",
            f"{line[0]:.2f}/{line[1]:.2f}",
            f"{b[0]:.2f}/{b[1]:.2f}",
            f"{100 * np.mean(held):.0f}",
        ]
    hit = f"{100 * np.mean(s.hit_held):.1f}" if s.hit_held else "-"
    return f"| {name} | {len(s.ours)} | " + " | ".join(cells) + f" | {hit} |"


HEAD = (
    "| players | clubs | ours | line | best hand | inside | one length: ours | line | best hand | inside | hit inside |\n"
    "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |"
)


def print_what_could_be(sets: Sequence[Set], ours: Score, count: int, seed: int) -> None:
    """Our errors of clubs never hit over the line's, beside those of one who knows how players are drawn."""

    def drawn(s: Set, sizes: Sequence[float]) -> Score:
        truths = [t for k in KINDS for t in players(k, s, count, seed=seed)]
        return could_be(truths, balls=s.balls, sizes=sizes, speeds=s.speed)

    line = pair(ours.hand["line"])

    def over(one: Score) -> str:
        return "/".join(f"{a / b:.2f}" for a, b in zip(pair(one.ours), line, strict=True))

    each = {s.name: drawn(s, (s.own,)) for s in sets}
    blind = {s.name: drawn(s, SIZES) for s in sets}
    print(f"over the line's, all sets of one bag and without a slip: ours {over(ours)}")
    print(f"could be, sizes of departures known: {over(sum(each.values(), Score()))}")
    print(f"could be, any of {SIZES} as likely: {over(sum(blind.values(), Score()))}; held, by size:")
    print({name: f"{100 * np.mean(blind[name].held):.0f} %" for name in OWN if name in blind})


def main(count: int = 40, seed: int = 4711, sets: Sequence[str] = (), kinds: bool = False) -> None:
    chosen = [s for s in SETS if not sets or s.name in sets]
    print(HEAD)
    found: dict[tuple[str, str], Score] = {}
    for s in chosen:
        found |= scores([s], count, seed)
        whole = pooled(found, [s.name])
        print(row(s.name, whole), flush=True)
        if kinds:
            for k in KINDS:
                print(row("&nbsp;" + k, found[s.name, k]), flush=True)
    names = [s.name for s in chosen]
    everyone = pooled(found, names)
    print(row("**all pooled**", everyone))
    for k in KINDS:
        print(row(f"all, {k}", sum((v for (_, kk), v in found.items() if kk == k), Score())))
    print(row("one or two clubs", pooled(found, FEW)))
    told = {
        f"{name}, {what}": score(circulated(group, spread=spread))
        for what, spread in (("3 % told", 0.03), ("spread not told", None))
        for name, group in TOURS.items()
    }
    for name, one in told.items():
        print(row(name, one))
    print()
    smooth = pooled(found, [n for n in names if n in ("as they come", "three clubs", "six clubs")])
    if smooth.bend:
        print(f"second difference, ours over true: {np.mean(smooth.bend) / np.mean(smooth.true_bend):.2f}")
    if everyone.named:
        print(f"mislabelled club named: {sum(everyone.named)} of {len(everyone.named)}")
    print(f"sound club accused: {sum(everyone.accused)} of {len(everyone.accused)} players")
    for name, one in told.items():
        exact = circulated(TOURS[name.rpartition(", ")[0]])
        spread = 0.03 if name.endswith("3 % told") else USUAL_SPREAD
        best_of = could_be(exact, balls=20, sizes=SIZES, spread=spread)
        halves = [(100 * np.median(x.inner), 100 * np.max(x.inner)) for x in (one, best_of)]
        print(
            f"half width of a club between two hit ones, {name}: median and largest",
            " %, could be ".join(f"{middle:.1f}, {most:.1f}" for middle, most in halves) + " %",
        )
    held = [np.mean(pooled(found, [n]).held) for n in names if n in OWN]
    if held:
        print(f"held, mean over own 0 to 4 %: {100 * np.mean(held):.1f}")
    known = [s for s in chosen if s.name in KNOWN]
    if known:
        print_what_could_be(known, pooled(found, [s.name for s in known]), count, seed)


if __name__ == "__main__":
    main(
        *(int(x) for x in sys.argv[1:3]), sets=[x for x in sys.argv[3:] if x != "-k"], kinds="-k" in sys.argv
    )
