"""Lofts, a common length, and where the irons stop, in words. Phrases on lofts are parts of a list."""

from __future__ import annotations

from collections.abc import Sequence

from app.phrases.say import (
    MOST_BALLS,
    NOT_KNOWN,
    ONLY_A_START,
    Phrase,
    Say,
    a,
    capital,
    fixed,
    listed,
    percent,
)
from app.phrases.workshop import how_far
from app.units import amount, unit


def _head_stops(say: Say) -> str:
    bends = how_far(say) if say.value("limit") else "cannot be bent"
    stays = "; it stays " if "do not" in bends else ", "
    return (
        f"this {say['head']} head {bends}{stays}{say['short']} short of {say['wanted_loft']}: it carries {say['carry']}, "
        f"{say['off']} {say.term('way')} than wanted"
    )


def _loft_bend(say: Say) -> str:
    if say.term("start"):
        return f"make the loft {say['loft']}"
    return f"bend {say['change']} {say.term('way')}, to {say['loft']}"


def _too_far(say: Say) -> str:
    if say["most"] == say["wanted"]:
        return f"no loft quite carries {say['wanted']} at this length: about {say['loft']} comes nearest"
    return (
        f"no loft carries {say['wanted']} at this length: {say['most']}, at about {say['loft']}, is the most"
    )


def _too_short(say: Say) -> str:
    if say["least"] == say["wanted"]:
        return f"even {say['loft']} carries a little more than the {say['wanted']} wanted"
    return f"even {say['loft']} carries {say['least']}, more than the {say['wanted']} wanted"


def _missed(say: Say) -> str:
    asked = (
        "carry that even gaps need"
        if say.term("asked") == "even_gaps"
        else f"{say.term('asked')} you asked for"
    )
    return f"Even with these lofts, the {asked} is missed by {say['most']} or more: {listed(say.clubs)}."


def _gaps(say: Say) -> str:
    wanted = f", where {say['wanted']} is wanted" if "wanted" in say else ""
    return f"The lofts to build give gaps of {say.bare('narrowest')} to {say['widest']}{wanted}."


def _gap_not_met(say: Say) -> str:
    cannot = f"These heads cannot give gaps of {say['wanted']}"
    if "other" not in say or "most" not in say:
        return f"{cannot}, and no other even gap comes nearer."
    how = "they can" if say.term("result") == "met" else "come nearest"
    return f"{cannot}; gaps of {say['other']} {how}, to within {say['most']}."


def _take(say: Say) -> str:
    return (
        f"If every iron and wedge were of one length, {say['length']} would suit the distances best: the {say.club} carries "
        f"{say['carry']}, the gaps average {say['gap']} and vary by {say['spread']}, and on average you are {say['miss']} "
        "from the nearest club."
    )


def _range(say: Say) -> str:
    return (
        f"Going from {say['shortest']} to {say['longest']}, the {say.club} goes from {say.bare('top_shortest')} to "
        f"{say['top_longest']} and the loftiest wedge from {say.bare('wedge_shortest')} to {say['wedge_longest']}."
    )


def _posture(say: Say) -> str:
    return (
        f"By posture alone, a club with the lie of the {say.club} would suit you at about {say['natural']}; the lengths to "
        f"start from under Measure go by wrist to floor instead. At {say['length']} with a lie of {say['lie']} you bend "
        f"{say['hinge']} at the hips. {ONLY_A_START}"
    )


def _heads(say: Say) -> str:
    return (
        f"Each head then weighs {say['mass']} ({say.signed('change')} against the {say.club}), which keeps the swing "
        f"weight; {say['buildable']} of your {say['count']} heads can be made to do this."
    )


def _not_worth(say: Say) -> str:
    why = [f"it adds only {say['adds']}"] if "adds" in say else []
    why += [f"it comes down at {say['descent']}"] if "descent" in say else []
    cause = f": {listed(why)}" if why else ""
    club, *instead = say.clubs
    does = f"; {a(instead[0])} does the job" if instead else ""
    return f"The {club} is probably not worth carrying ({say.chance} chance that it is useful){cause}{does}."


def _above(say: Say) -> str:
    wood, below = say.clubs
    act = f"keep your {wood}" if say.term("bag") == "in_bag" else f"add a {wood}"
    return (
        f"Above the irons, {act} (loft {say['loft']}, {say['length']}): it carries {say['carry']}, {say['gap']} more than "
        f"the {below}, and comes down at {say['descent']} ({say.chance} chance that this is steep enough to hold a green)."
    )


def _off(say: Say) -> str:
    if "loft" in say:
        change = f"{say.size('loft')} {say.by_sign('loft', 'more', 'less')} loft"
        cure = (
            f"About {change} would bring it back. First measure its loft and length, and check that "
            "the right club was noted; a qualified club builder decides what the head can take."
        )
    elif "hit_again" in say.terms("cure"):
        cure = (
            "That is more than any bend would mend: check that the right club was noted and how it was struck, and hit "
            "it again."
        )
    else:
        cure = "Loft would hardly change that at this speed: check its length, its head and the strike."
    return f"The {say.club} carries {say['by']} {say.term('way')} than the other clubs suggest. {cure}"


def _open(say: Say) -> str:
    few = "balls" in say and say.value("balls") <= MOST_BALLS  # beyond that nobody hits them in a session
    if say.term("also") == "nothing":
        more = f"hit {_more(say)} to see whether that holds" if few else "hit it again on another day"
        return f"The {say.club} is {say['by']} {say.term('way')} so far: {more}."
    other = "hit other clubs too" if say.term("also") == "other_clubs" else "hit it again on another day"
    balls = f"hit {_more(say)} to see whether that holds, and {other}" if few else other
    return f"The {say.club} is {say['by']} {say.term('way')} so far: {balls}. All your clubs may be {say.term('way')} today."


def _more(say: Say) -> str:
    return f"{say['balls']} more {'ball' if round(say.value('balls')) == 1 else 'balls'} with it"


def _all_off(say: Say) -> str:
    return (
        f"All clubs together carry {say.size('share')} {say.by_sign('share', 'more', 'less')} than predicted: put that down "
        "to the day, the ball or your speed, not to one club."
    )


_NO_WEATHER = {
    "before": "the balls before the build",
    "after": "these shots",
    "both": "these shots or for the balls before",
}


def _no_weather(say: Say) -> str:
    return (
        f"No verdict: no weather was noted for {_NO_WEATHER[say.term('of')]}, and weather alone can change carry by more "
        "than a bend does. Note it under Hit, or hit these clubs again beside one that was not changed."
    )


def _swung(say: Say, number: int) -> str:
    """A club and its swing, as in ``sand wedge, to the hip``."""
    size = say.statement.quoted[number]
    return swung(say.clubs[number], size)


def swung(club: str, size: str) -> str:
    """A club and the swing it is hit with, the full one by its name too."""
    return f"{club}, {size or 'full swing'}"


def apart(longer_m: float, shorter_m: float, system: str) -> int:
    """How far two carries lie apart as they are shown, so that nobody who takes one from the other finds another gap."""
    shown = unit("carry", system)
    far, near = (float(shown.text(metres).replace("\u2212", "-")) for metres in (longer_m, shorter_m))
    return round(far - near)


def between_carries(longer: tuple[str, float], shorter: tuple[str, float], system: str) -> str:
    """The gap between two swings, each with its carry [m]."""
    gap = f"{apart(longer[1], shorter[1], system)}\u00a0{unit('carry', system).name}"
    ends = [f"{amount(metres, 'carry', system)} ({name})" for name, metres in (longer, shorter)]
    return f"A gap of {gap}: nothing between {ends[0]} and {ends[1]}."


def _wedge_carry(say: Say) -> str:
    known = "" if say.term("known") == "hit" else ", predicted from other balls"
    return f"{_swung(say, 0)}: {say.within('carry')}{known}"


def _share(say: Say) -> str:
    if say.term("learned") == "balls":
        return f"{say.statement.quoted[0]}: {say['share']} of full head speed ({say.ends('share')})"
    tenths = percent(round(say.value("share"), 1))  # no finer than anybody can tell
    return f"{say.statement.quoted[0]}: usually about {tenths} of full head speed; balls of it will tell"


def _wedge_lofts(say: Say) -> str:
    result = say.term("result")
    widest, after = (amount(say.value(name), "carry", say.system) for name in ("widest", "after"))
    if result == "nothing_helps":
        return (
            f"Leave the wedges as they are: bending cannot bring the widest gap noticeably below {widest}. The build is not "
            "changed by this."
        )
    if result == "hit_first":
        return f"Hit each wedge before any is bent: their widest gap is {widest}. The build is not changed by this."
    if say["after"] == say["widest"]:
        return (
            f"Leave the wedges as they are: their widest gap is {widest}. The build is not changed by this."
        )
    if after == widest:  # a change too small for whole numbers
        widest, after = say["widest"], say["after"]
    told = f"The widest gap between wedge carries goes from {widest} to {after}"
    wanted = unit("gap", say.system).brief(say.value("wanted"))
    return f"{told}." if result == "met" else f"{told}; {wanted} is out of reach of these heads."


def _try(say: Say) -> str:
    club, *gone = say.clubs
    place = f" in place of the {gone[0]}" if gone else ""
    return f"{capital(a(club))} may be worth carrying{place}: try one and hit it before you buy."


def _not_yet(say: Say) -> str:
    club, *gone = say.clubs
    change = f"swapping the {gone[0]} for {a(club)}" if gone else f"adding {a(club)}"
    brings = f" ({say['gain']} closer, on average)" if "gain" in say else ""
    return f"Next best, but not worth buying yet: {change}{brings}."


def _too_many(say: Say) -> str:
    over = abs(round(say.value("over")))
    many = "one club" if over == 1 else f"{over} clubs"
    least = "this is the one" if len(say.clubs) == 1 else "these are those"
    return f"Leave at home: {listed(say.clubs)}. The bag has {many} too many, and {least} you miss least."


_ONE_JOB = {
    "bend": "Bend them apart, or leave one out.",
    "leave": "Leave one of them out.",
    "hit_again": "Your shots cannot tell yet whether one is longer: hit both again before you change anything.",
}


def _one_job(say: Say) -> str:
    do = "seem to do" if say.term("cure") == "hit_again" else "do"
    return (
        f"The {say.clubs[0]} and the {say.clubs[1]} {do} the same job: they carry within {say['apart']} of each other. "
        f"{_ONE_JOB[str(say.term('cure'))]}"
    )


def _steeply(say: Say) -> str:
    return (
        "steeply enough"
        if say.term("lands") == "steep"
        else "not much flatter than your shorter irons, which all run"
    )


def _driver_no_farther(say: Say) -> str:
    driver, wood = say.clubs
    return (
        f"The {wood} carries as far as the {driver} ({say.chance} chance that the {driver} adds less than about "
        f"{say['least']}): try a driver with more loft."
    )


def _hit_first(clubs: Sequence[str]) -> str:
    first, *more = clubs
    return f"Hit the {first} first" + (f", then the {listed(more)}" if more else "")


PHRASES: dict[str, Phrase] = {
    "wedges.carry": _wedge_carry,
    "wedges.hit_first": lambda say: f"{_swung(say, 0)}: {NOT_KNOWN}, {say['balls']} balls will do",
    "wedges.share": _share,
    "wedges.gap": lambda say: between_carries(
        (_swung(say, 0), say.value("longer")), (_swung(say, 1), say.value("shorter")), say.system
    ),
    "wedges.bend": lambda say: f"Bend the {say.club} {say['change']} {say.term('way')}, to {say['loft']}.",
    "wedges.lofts": _wedge_lofts,
    "loft.kept": fixed("leave the loft as it is"),
    "loft.leave": fixed("leave the loft as it is"),
    "loft.overtaken": lambda say: (
        f"its shots no longer ask for the loft of {say['loft']} that was left to do"
    ),
    "loft.too_far": _too_far,
    "loft.too_short": _too_short,
    "loft.build_new": lambda say: f"find another head, with {say['loft']} of loft",
    "loft.bend": _loft_bend,
    "loft.head_stops": _head_stops,
    "loft.gaps": _gaps,
    "loft.gap": lambda say: f"{say.clubs[0]} to {say.clubs[1]}: {say['gap']}",
    "loft.gap_not_met": _gap_not_met,
    "loft.missed": _missed,
    "loft.find_head": lambda say: (
        f"a head with {say['loft']} of loft would {'come nearer' if say.term('near') else 'carry it'}"
    ),
    "loft.hit_first": lambda say: (
        f"hit it first: it should carry {say['carry']}, {say['gap']} {say.term('way')} than the {say.club}"
        + (f" (loft predicted for that: {say['loft']})" if "loft" in say else "")
    ),
    "loft.waits": lambda say: (
        f"loft waits: hit the {listed(say.clubs)} first (loft predicted: {say['loft']})"
    ),
    "loft.unhit": lambda say: (
        f"{_hit_first(say.clubs)}: no loft is bent for a carry that is only predicted. To bend one all the same, set its "
        "loft by hand."
    ),
    "loft.off": lambda say: f"carries {say['carry']}, {say['off']} {say.term('way')} than wanted",
    "loft.for_parts": lambda say: f"{say['loft']}, for the gaps between part swings",
    "common_length.take": _take,
    "common_length.range": _range,
    "common_length.posture": _posture,
    "common_length.no_height": fixed("Enter a height to see what a length does to posture."),
    "common_length.heads": _heads,
    "common_length.strike_open": fixed(
        "How well you strike a club of this length is not included: hit some shots with one before building a set."
    ),
    "irons.none_useful": fixed(
        "None of these irons is likely both to add carry and to come down steeply enough."
    ),
    "irons.stop": lambda say: (
        f"Let the irons stop at the {say.club}: the longest that still adds carry and comes down {_steeply(say)} "
        f"({say.chance} chance)."
    ),
    "irons.stop_as_wished": lambda say: (
        f"The irons stop at the {say.club}, as you asked ({say.chance} chance that it adds carry and comes down "
        f"{_steeply(say)})."
    ),
    "irons.not_worth": _not_worth,
    "irons.above": _above,
    "retest.none": fixed("No shot has been hit with the new clubs yet."),
    "retest.within": lambda say: f"The {say.club} carries as predicted, as far as these shots can tell.",
    "retest.open": _open,
    "retest.off": _off,
    "retest.all_off": _all_off,
    "retest.all_as_predicted": fixed(
        "All clubs together carry as predicted, as far as these shots can tell."
    ),
    "retest.unsettled": lambda say: f"Not settled yet: {listed(say.clubs)}.",
    "retest.none_off_so_far": fixed("No club is off so far, but it takes more shots to be sure."),
    "retest.touch": lambda say: (
        f"Clubs to adjust again: {listed(say.clubs)}." if say.clubs else "No club needs adjusting again."
    ),
    "retest.day": lambda say: (
        f"Clubs that were not changed carried {say.size('share')} {say.by_sign('share', 'more', 'less')} than usual that "
        "day. The carries below allow for that."
    ),
    "retest.no_weather": _no_weather,
    "retest.not_judged": lambda say: f"No verdict on the {say.club} without the weather.",
    "bag.leave": lambda say: (
        f"Keep the clubs you have: nothing you could buy would bring you {say['worth']} closer, on average, to the "
        "distances you face."
    ),
    "bag.swap": lambda say: (
        f"Swap the {say.clubs[0]} for {a(say.clubs[1])}: on average {say['gain']} closer ({say.chance} chance that it is "
        "closer at all)."
    ),
    "bag.add": lambda say: (
        f"Add {a(say.club)}: on average {say['gain']} closer ({say.chance} chance that it is closer at all)."
    ),
    "bag.drop": lambda say: f"Leave out the {say.club}: the others do its work.",
    "bag.too_many": _too_many,
    "bag.no_farther": lambda say: (
        f"The {say.clubs[0]} is probably not worth carrying: the {say.clubs[1]} carries as far ({say.chance} chance that "
        f"the {say.clubs[0]} adds less than about {say['least']})."
    ),
    "bag.driver_no_farther": _driver_no_farther,
    "bag.try": _try,
    "bag.not_yet": _not_yet,
    "bag.too_little_loft": lambda say: f"The {say.club} has too little loft to be of use to you.",
    "bag.hit_first": lambda say: (
        f"Hit the {say.club} first: what it carries in your hands is not known well enough to go by."
    ),
    "bag.hit_order": lambda say: f"Not known yet, so hit these first, in this order: {listed(say.clubs)}.",
    "bag.one_job": _one_job,
    "bag.worth": lambda say: (
        f"We count a club as worth buying if it brings you at least {say['worth']} closer on average, about what filling a "
        f"gap of {say['hole']} does."
    ),
    "irons.keep": lambda say: (
        f"The {say.club} has only a {say.chance} chance that it both adds carry and comes down steeply enough (it comes "
        f"down at {say['descent']}). Keep it for now: no other club is enough of an improvement to "
        "buy."
    ),
    "irons.carry": lambda say: f"Irons to carry: {listed(say.clubs)}.",
    "irons.spared": lambda say: f"The {say.club} can stay at home: other clubs do its work.",
    "irons.above_kept": lambda say: f"Above the irons, keep the {listed(say.clubs)}.",
}
