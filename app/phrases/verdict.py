"""The verdict and the test that would show it, in words. Phrases of measures are parts of a list."""

from __future__ import annotations

from collections.abc import Iterable

from app.phrases.layouts import named
from app.phrases.say import Phrase, Say, bench_time, capital, fixed, many
from app.units import amount
from engine.statements import Statement

# of a measure: what is told where there is more or less of it, both words alone, and what it is called
_MEASURES: dict[str, tuple[Phrase, Phrase, tuple[str, str], str]] = {
    "reach_m": (
        lambda say: f"longest iron {say.size('difference')} farther",
        lambda say: f"longest iron carries {say.size('difference')} less",
        ("more", "less"),
        "longest iron\u2019s carry",
    ),
    "top_descent_deg": (
        lambda say: f"it lands {say.size('difference')} steeper",
        lambda say: f"it lands {say.size('difference')} flatter",
        ("steeper", "flatter"),
        "landing angle",
    ),
    "irons_kept": (
        lambda say: f"{_irons(say)} more",
        lambda say: f"{_irons(say)} fewer",
        ("more", "fewer"),
        "useful irons",
    ),
    "narrowest_gap_m": (
        lambda say: f"narrowest gap {say.size('difference')} wider",
        lambda say: f"narrowest gap {say.size('difference')} narrower",
        ("wider", "narrower"),
        "narrowest gap",
    ),
    "widest_gap_m": (
        lambda say: f"widest gap {say.size('difference')} wider",
        lambda say: f"widest gap {say.size('difference')} narrower",
        ("wider", "narrower"),
        "widest gap",
    ),
    "length_range_m": (
        lambda say: f"more change of posture ({say.size('difference')})",
        lambda say: f"less change of posture ({say.size('difference')})",
        ("more", "less"),
        "change of posture",
    ),
}
SIDES = {
    "gain": "You gain: ",
    "give": "It costs: ",
    "same": "No noticeable difference: ",
    "open": "Unclear: ",
}


def by_side(
    lines: Iterable[Statement], system: str, *, most_told: int | None = None
) -> tuple[dict[str, list[str]], str, bool]:
    """The lines of a verdict in words under the keys of `SIDES`, and its break-even with whether that matters most.

    most_told : measures gained or given that are told; beyond it only that there are more
    """
    lines = list(lines)
    told: dict[str, list[str]] = {side: [] for side in SIDES}
    even, work = "", ""
    for line in lines:
        words = PHRASES[line.kind](Say(line, system))
        if line.kind == "verdict.break_even":
            even = words
        elif line.kind == "verdict.work":
            work = words
        else:
            told[str(line.terms["side"])].append(words)
    for side in ("gain", "give"):
        if most_told is not None and len(told[side]) > most_told:
            told[side][most_told:] = ["more below"]
    if work:
        told["give"].insert(0 if lines[0].kind == "verdict.work" else len(told["give"]), work)
    return {side: parts for side, parts in told.items() if parts}, even, lines[0].kind == "verdict.break_even"


LEANING = 0.6  # from this chance on an open measure is told with the way that it leans


def _irons(say: Say) -> str:
    count = max(round(abs(say.value("difference"))), 1)
    return "one useful iron" if count == 1 else f"{count} useful irons"


def _measure(name: str) -> Phrase:
    more, less, ways, what = _MEASURES[name]

    def told(say: Say) -> str:
        chance = say.statement.chance or 0.0
        way = ways[say.term("way") == "less"]
        if say.term("side") == "same":
            return what
        if say.term("side") == "open":
            return f"{what} ({say.chance} likely {way})" if chance >= LEANING else what
        said = (more if say.term("way") == "more" else less)(say)
        return said if chance > 0.999 else f"{said} ({say.chance} likely)"

    return told


def _compared(say: Say) -> str:
    return capital(f"{named(say, 0)} instead of {named(say, 1)}")


def _work(say: Say) -> str:
    counts = {
        "clubs_to_build": "club",
        "heads": "new head",
        "likely": "likely new head",
        "shafts": "shaft",
    }
    clubs, *sought = (
        many(abs(round(say.value(name))), what) if name in say and say.value(name) else ""
        for name, what in counts.items()
    )
    time = f" ({bench_time(abs(say.value('time')) / 60)})" if say.value("time") else ""
    work = [f"{clubs} to work on{time}"] if clubs else []
    said = ", ".join([*work, *filter(None, sought)])
    return f"{said}; fitting the lies comes on top for every set" if say.term("lies") else said


def _break_even(say: Say) -> str:
    if say.term("way") == "alike":
        return f"Breaks even with the same scatter (checked on the {say.club})."
    less = "more" if say.term("way") == "wider" else "less"
    by, share = say.value("by"), say.value("tighter")
    now, then = (amount(sd, "carry_fine", say.system) for sd in (by / share, by / share - by))
    if now == then:
        return f"Breaks even with {say.size('tighter')} {less} scatter ({say.club})."
    return f"Breaks even with {then} scatter, now {now} ({say.club})."


def _hit(say: Say) -> str:
    return (
        f"Hit your {say.club} at its full {say['full']} and gripped down {say['grip']}, to {say['short']}: {say['balls']} "
        f"shots each way, in turns of {say['block']}: full, down, down, full, and again. Allow {say['time']}, and mark the "
        "gripped-down shots."
    )


def _carry(say: Say) -> str:
    expected = f"{say.size('expected')} is expected"
    if say.term("lofts") == "bent":
        expected += " of the length alone, before lofts are bent to make up for it"
    finds = f"Carry: four times in five, this shows a difference of {say['finds']}"
    if say.term("shows") == "yes":
        return f"{finds}; {expected}."
    return f"{finds}; only {expected}, so one session may not show it."


MOST_SHOTS = 500  # each way, that anybody would hit over some days


def _spread(say: Say) -> str:
    finds = f"Scatter: four times in five, this shows it if your shots scatter {say['finds']} less"
    if say.term("shows") == "not_needed" or "needed" not in say or "balls" not in say:
        return f"{finds}; to break even they need not."
    if say.term("shows") == "yes":
        return f"{finds}; breaking even takes {say['needed']} less."
    needed = "less than 1\u00a0%" if say.value("needed") < 0.005 else f"only {say['needed']}"
    show = f"{finds}. Breaking even takes {needed} less, and"
    balls = abs(say.value("balls"))
    if balls > MOST_SHOTS:
        return f"{show} no range session can show that."
    return f"{show} to show that would take {_rounded(balls)} shots each way: no range session can."


def _strike(say: Say) -> str:
    usual = f"about {say['mishits']} of your shots are mishits"
    if say.term("known") == "assumed":
        usual = f"no mishit of yours is noted, so about {say['mishits']} are assumed"
    if "finds" not in say:
        return f"Strike: {usual}; {say['balls']} each way are too few to show that gripping down makes them fewer."
    return f"Strike: {usual}; four times in five, this shows it if gripping down cuts them to {say['finds']} or fewer."


def _mishits_so_far(say: Say) -> str:
    return (
        f"So far, {say['down']} of {say['of_down']} gripped-down shots were mishits, and {say['full']} of {say['of_full']} "
        "full ones."
    )


def _rounded(count: float) -> str:
    """A count no finer than a player needs it."""
    size = 10 ** max(len(str(round(count))) - 2, 0)
    return f"about {round(count / size) * size:,}"


PHRASES: dict[str, Phrase] = {
    "verdict.compared": _compared,
    **{f"verdict.{name}": _measure(name) for name in _MEASURES},
    "verdict.work": _work,
    "verdict.break_even": _break_even,
    "length_test.none": fixed(
        "No club gets so much shorter that gripping down could show it: there is no quick test."
    ),
    "length_test.hit": _hit,
    "length_test.carry": _carry,
    "length_test.spread": _spread,
    "length_test.strike": _strike,
    "length_test.mishits_so_far": _mishits_so_far,
    "length_test.month": fixed(
        "To learn more, play three clubs at one length for a month and note every strike. That is advice, not a promise."
    ),
    "length_test.so_far": lambda say: (
        f"So far, gripped-down shots scatter {say['ratio']} as much as full ones ({say.ends('ratio')}; from "
        f"{say['down']} and {say['full']} shots)."
    ),
}
