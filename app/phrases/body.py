"""What the body says of length, lie and grip, in words."""

from __future__ import annotations

from app.phrases.say import Phrase, Say, fixed, listed


def _start(say: Say) -> str:
    if say.value("offset"):
        start = (
            f"start with irons {say.size('offset')} {say.by_sign('offset', 'longer', 'shorter')} than usual"
        )
    else:
        start = "start with irons of the usual length"
    measure = "; measure wrist to floor to be sure" if say.term("known") == "estimated" else ""
    low, high = say.ends("offset", sign=True).split(" to ")
    span = f" ({low} to {high}{measure})" if say.term("open") == "yes" and low != high else ""
    return f"Wrist to floor, in shoes: {say['wrist']} ({say.term('known')}). From this, {start}{span}."


def _lies(say: Say) -> str:
    way = say.by_sign("change", "more upright", "flatter")
    than = "your present ones" if say.term("than") == "present" else "those planned here"
    return f"Start with lies about {say.size('change')} {way} than {than} ({say.ends('change', sign=True)})."


def _longer(say: Say) -> str:
    return (
        f"Making the {say.club} {say['longer']} longer calls for {say['lie']} less lie with the hands at the same height "
        f"(the trade\u2019s rule is {say['usual']}); at the same lie you would stand {say['hinge']} more upright at the "
        "hips."
    )


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
    "body.lies_fit": fixed("Start with the lies you have."),
    "body.longer": _longer,
    "body.grip": _grip,
}
