"""What the body says of length, lie and grip, in words."""

from __future__ import annotations

from collections.abc import Sequence

from app.phrases.say import Phrase, Say, fixed, listed
from app.units import amount
from engine.sets.lies import ClubLie


def _start(say: Say) -> str:
    if say.value("offset"):
        start = (
            f"start with irons {say.size('offset')} {say.by_sign('offset', 'longer', 'shorter')} than usual"
        )
    else:
        start = "start with irons of the usual length"
    measure = "; measure wrist to floor to be sure" if say.term("known") == "estimated" else ""
    low, high = say.ends("offset", sign=True).split(" to ")
    span = (
        f" ({say.ends('offset', sign=True, unit=True)}{measure})"
        if say.term("open") == "yes" and low != high
        else ""
    )
    return f"Wrist to floor, in shoes: {say['wrist']} ({say.term('known')}). From this, {start}{span}."


def _lies(say: Say) -> str:
    way = say.by_sign("change", "more upright", "flatter")
    than = "your present ones" if say.term("than") == "present" else "those planned here"
    change = f"{say.size('change')} {way} than {than} ({say.ends('change', sign=True)})"
    return f"Your measurements suggest lies about {change} at address."


def _longer(say: Say) -> str:
    return (
        f"Making the {say.club} {say['longer']} longer needs a lie {say['lie']} flatter if the hands stay at the same "
        f"height (the trade\u2019s rule is {say['usual']}, and the lies offered to build follow it); at the same lie "
        f"you would stand {say['hinge']} more upright at the hips."
    )


def begin_line(found: Sequence[ClubLie], system: str) -> str:
    """The lies to begin with where only the body has told of them, as the table has them, and how they follow from what it
    asks for."""
    bends = [c.bend_deg for c in found]
    low, high = sorted((min(bends), max(bends)), key=abs)
    if high == 0:
        begin = "begin with the lies there are, then check them"
    elif low * high < 0:
        begin = "begin with the lies in the table, then check: it is a start, not a fitting"
    else:
        by = amount(abs(high), "set_angle", system)
        if low == 0:
            by = f"up to {by}"
        elif low != high:
            by = f"{amount(abs(low), 'set_angle', system)} to {by}"
        way = "upright" if high > 0 else "flat"
        begin = f"begin {by} {way}, then check: it is a start, not a fitting"
    said = f"Going by the body alone, {begin}."
    asked = [c.body_change_deg for c in found if c.body_change_deg is not None]
    if not asked:
        return said
    whole = sum(asked) / len(asked)
    way = "upright" if whole > 0 else "flat"
    address = f"At address it asks for {amount(abs(whole), 'angle', system)} {way} on average"
    if abs(whole) < HARDLY_DEG:
        even = ": the bends only make the set even" if any(bends) else ""
        return f"{said} {address}, which is hardly anything{even}."
    return (
        f"{said} {address}. By impact the hands rise and the shaft bows, more with some players than with others, so only "
        "part of it is built, in half degrees and as far as the heads bend."
    )


HARDLY_DEG = 0.5


GRIP_SIZES = {
    "undersize": "undersize",
    "womens": "women\u2019s",
    "standard": "standard",
    "midsize": "midsize",
    "jumbo": "jumbo",
}


def _grip(say: Say) -> str:
    hand = " (hand length estimated)" if say.term("known") == "estimated" else ""
    return f"Grip: {listed([GRIP_SIZES[size] for size in say.terms('sizes')], 'or')}{hand}."


PHRASES: dict[str, Phrase] = {
    "body.start": _start,
    "body.lies": _lies,
    "body.unknown": fixed(
        "Enter a height or the wrist to floor: without either there is no length or lie to start with."
    ),
    "body.lies_fit": fixed("At address the lies you have suit the body."),
    "lie.by_flight": fixed(
        "Face and path send a ball to one side too, not only the lie: before you bend, let a lie board or an ink mark on "
        "the ball decide."
    ),
    "body.longer": _longer,
    "body.grip": _grip,
}
