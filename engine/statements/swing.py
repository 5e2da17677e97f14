"""Kinds of statements about shots and the swing."""

from __future__ import annotations

from .spec import ANY, WAY, of

BEYOND = ("yes", "no")  # whether a change is more than days and balls give

SWING = {
    # shots set aside
    "mishit": of(off="share?", times="deviations", limit="deviations", way=("short", "long")),
    # what rests on little, or is implausible
    "warning.no_carries": of(),
    "warning.one_club": of(),
    "warning.longest_iron_missing": of(quoted=1),  # the id that was asked for
    "warning.not_settled": of(),
    "doubt.scattered": of(clubs=1, least="carry", most="carry"),
    "doubt.club_off": of(clubs=1, off="share", way=WAY),
    "doubt.two_apart": of(clubs=2, predicted="carry", measured="carry"),  # of the second, by the first
    "doubt.speed_entered": of(carries="club_speed", entered="club_speed"),
    "doubt.speed_unusual": of(carries="club_speed", usual="club_speed"),
    # sessions, and what changed from some to others
    "sessions.one_day": of(weather=("noted", "unknown")),
    "sessions.days": of(days="count", differ="share"),
    "sessions.one_air": of(),
    "sessions.no_weather": of(days="count", differ="share"),
    "sessions.worked_on": of(clubs=ANY),  # between sessions, hit before and since
    "sessions.alike": of(),
    "sessions.fade": of(days="count"),
    "change.pace": of(by="share", of=("all", "unchanged"), way=WAY, beyond=BEYOND),
    "change.speed": of(by="speed_change", of=("club_speed", "ball_speed"), way=WAY, beyond=BEYOND),
    "change.spread": of(before="share", after="share", way=WAY, beyond=BEYOND),
    "change.carry": of(clubs=1, before="carry", after="carry", by="gap", way=WAY, beyond=BEYOND),
    "change.gap": of(clubs=2, before="gap", after="gap", by="gap", way=WAY, beyond=BEYOND),
    # a ball to ask about; quoted is the part swing's name, "" for a full one; near is what it should carry, by what
    "slip": of(clubs=1, quoted=1, carry="carry", near="carry", by=("same", "others", "usual", "full")),
    # what to hit next
    "next_ball.tells": of(
        clubs=1,
        grip="grip_down?",
        about=(
            "log_speed",
            "length_effect",
            "head_mass_effect",
            "loft_intent",
            "attack",
            "attack_slope",
            "loft_offset",
            "loft_slope",
            "strike",
            "spin_factor",
            "spin_slope",
            "ball_drag",
            "ball_lift",
            "range_ball",
            "family",  # how it differs from the irons
            "loft_shape",  # how carries go with loft
            "own",  # how far this very club departs from the others
            "many",  # a little of many things
        ),
    ),
    "next_ball.learned": of(  # share of the variance that went; chances of choosing right
        share="share", before="share", after="share", doubt=("less", "same", "more")
    ),
}
