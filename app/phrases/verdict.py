"""The verdict and the test that would show it, in words. Phrases of measures are parts of a list."""

from __future__ import annotations

from collections.abc import Iterable

from app.phrases.layouts import LEANING, named
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
    "same": "Little difference: ",
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
    found = ", ".join(x for x in sought if x)
    if not clubs and "measure" in say:
        clubs = f"{many(round(say.value('measure')), 'club')} only to measure"
    elif clubs:
        clubs += " to work on now" if found else " to work on"
    time = f" ({bench_time(abs(say.value('time')) / 60)})" if say.value("time") else ""
    said = f"{clubs}{time}, for others: {found}" if clubs and found else found or clubs + time
    return f"{said}; fitting the lies comes on top for every set" if say.term("lies") else said


def _break_even(say: Say) -> str:
    if say.term("way") == "alike":
        return f"Breaks even with the {say.club} scatter you have."
    by, scatter = say.value("by"), say.value("by") / say.value("tighter")
    now, then = (amount(sd, "carry_fine", say.system) for sd in (scatter, scatter - by))
    if now == then:
        share = (
            f"up to {say.size('tighter')} more"
            if say.term("way") == "wider"
            else f"{say.size('tighter')} less"
        )
        return f"Breaks even with {share} {say.club} scatter."
    return f"Breaks even with {say.club} scatter under {then} (now {now})."


def _hit(say: Say) -> str:
    return (
        f"Hit your {say.club} at its full {say['full']} and gripped down {say['grip']}, to {say['short']}: {say['balls']} "
        f"shots each way, {say['block']} at a time: full, down, down, full, and so on. Allow {say['time']}, and mark the "
        "gripped-down shots."
    )


def _carry(say: Say) -> str:
    finds = f"Carry: four times in five, this shows a difference of {say['finds']}"
    only = "" if say.term("shows") == "yes" else "only "
    expected = f"expect {only}{say.size('expected')}"
    if say.term("lofts") == "bent":
        expected += " from the length alone, before lofts are bent"
    return f"{finds}; {expected}{', so one session may not show it' * bool(only)}."


MOST_SHOTS = 500  # each way, that anybody would hit over some days


def _spread(say: Say) -> str:
    finds = f"Scatter: four times in five, this shows it if your shots scatter {say['finds']} less"
    if say.term("shows") == "not_needed" or "needed" not in say or "balls" not in say:
        return f"{finds}; you break even without that."
    if say.term("shows") == "yes":
        return f"{finds}; to break even you need {say['needed']} less."
    needed = "less than 1\u00a0%" if say.value("needed") < 0.005 else f"only {say['needed']} less"
    told = f"{finds}. To break even you need {needed}, which no range session can show"
    balls = abs(say.value("balls"))
    return f"{told}." if balls > MOST_SHOTS else f"{told}: it would take {_rounded(balls)} shots each way."


def _strike(say: Say) -> str:
    usual = f"about {say['mishits']} of your shots"
    if say.term("known") == "assumed":
        usual = f"none noted so far, {say['mishits']} assumed"
    if "finds" not in say:
        return f"Mishits: {usual}; {say['balls']} shots each way are too few to show whether gripping down helps."
    return f"Mishits: {usual}; four times in five, this shows it if gripping down cuts them to {say['finds']} or fewer."


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
        "For a surer answer, play three clubs at one length for a month and note every strike."
    ),
    "length_test.so_far": lambda say: (
        f"So far, gripped-down shots scatter {say['ratio']} as much as full ones ({say.ends('ratio')}; from "
        f"{say['down']} and {say['full']} shots)."
    ),
}
