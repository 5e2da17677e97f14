"""Kinds of statements about the work on clubs, the rules, cautions and notes."""

from __future__ import annotations

from .spec import ANY, WAY, of

START = ("", "usual", "estimated")
"""What the figure as it is now rests on where nobody measured it, so that it has to be measured first."""
LOFT_IS = ("", "open")
"""Whether the loft of a head to find is settled, or the club, or another one, is hit first."""
WAITS = (*START, "head")
"""The same; or the work waits for the scale, since the head may have to be replaced."""

HAND = ("", "left")
"""Which hand a head is for, where it is not the right."""

WHICH = ("", "all")
"""Whether a step is done to every club that is worked on."""

WORKSHOP = {
    # work on a club: the change, what comes of it, and the most it bears where nobody measured what it starts from
    "work.none": of(),
    "work.build_new": of(),
    # what is wanted of a figure that nobody knows
    "work.measure_first": of(length="club_length?", loft="head_angle?", lie="head_angle?", head="mass?"),
    # figures taken of another club that nobody has measured, and that club's own line
    "work.measure_other": of(clubs=1, figures=("length", "lie", "head")),
    "work.measure_for": of(figures=("length", "lie", "head")),
    "work.add_mass": of(mass="mass", to="mass?", most="mass?", start=START),
    "work.remove_mass": of(mass="mass", to="mass?", most="mass?", start=START),
    "work.cut": of(length="length_change", to="club_length?", start=WAITS),  # at the butt
    "work.extend": of(length="length_change", to="club_length?", most="length_change?", start=WAITS),
    "work.bend_loft": of(
        change="head_angle", way=("weak", "strong"), to="head_angle?", most="head_angle?", start=WAITS
    ),
    "work.bend_lie": of(
        change="head_angle", way=("upright", "flat"), to="head_angle?", most="head_angle?", start=WAITS
    ),
    "work.begin_lie": of(  # by the body alone
        change="head_angle", way=("upright", "flat"), to="head_angle", most="head_angle?", start=WAITS
    ),
    # what the bend of a loft does to the bounce
    "work.bounce": of(to="head_angle"),
    "work.check_bounce": of(way=WAY),  # where nobody entered it
    # bends of a head that went past its limit once, or add up to more, with those of this sheet
    "work.strained": of(figure=("loft", "lie"), limit="head_angle", most="head_angle", total="head_angle"),
    # points that the swing weight moves, head mass that would restore it, and the most where that is beyond it
    "work.swing_weight": of(  # before: from what was wanted before the last build
        points="count", way=WAY, wish=("", "before"), mass="mass", most="mass?"
    ),
    # an angle that is left off what is wanted: too little to bend, as far as the head goes, in line with the other clubs
    "work.rest": of(
        figure=("loft", "lie"),
        off="head_angle",
        way=("weak", "strong", "upright", "flat"),
        wanted="head_angle",
        why=("least", "limit", "others"),
    ),
    "work.short": of(off="length_change"),  # too little to extend
    # what a head or shaft does not bear
    "limit.no_head": of(),
    "limit.mass_added": of(mass="mass", most="mass", start=START),
    "limit.mass_removed": of(mass="mass", most="mass", start=START),
    "limit.extension": of(longer="length_change", most="length_change", reaches="club_length", start=START),
    "limit.no_bend": of(),
    "limit.bend": of(  # loft and lie that the head comes to, and those wanted, where they differ
        limit="head_angle",
        bent="head_angle?",  # already, of that limit
        loft="head_angle?",
        wanted_loft="head_angle?",
        lie="head_angle?",
        wanted_lie="head_angle?",
        material=("", "forged", "cast"),
        start=START,
    ),
    # what to look for instead, where nothing is ordered
    "find.head": of(  # risk: the chance that the present one cannot be made to fit, where that is not known yet
        loft="head_angle",
        lie="head_angle",
        mass="mass",
        within="mass?",
        risk="share?",
        hand=HAND,
        start=START,
        loft_is=LOFT_IS,
    ),
    "find.shaft": of(
        length="club_length", mass="mass", start=("", "usual")
    ),  # usual: nobody weighed the old one
    # what of clubs nobody has measured
    "known.usual": of(clubs=ANY, figures=("length", "loft", "lie", "head")),
    "known.estimated": of(clubs=ANY, figures=("length", "loft", "lie", "head")),
    "known.ordered": of(clubs=ANY, figures=("length", "loft", "lie", "head")),
    # parts to have ready
    "parts.new_club": of(clubs=1, loft="head_angle", mass="mass"),
    "parts.club": of(  # mass of head weight, and what hangs on a measurement to come
        clubs=1, mass="mass?", needs=("ferrule", "grip", "extension"), guess=("", "mass", "extension")
    ),
    "parts.head": of(  # to be found, or only likely to have to be
        clubs=1,
        loft="head_angle",
        lie="head_angle",
        mass="mass",
        within="mass?",
        hand=HAND,
        start=START,
        loft_is=LOFT_IS,
        need=("", "likely"),
        then=("", "grip", "extension"),  # for the shaft, which is cut or extended
    ),
    "parts.shaft": of(  # with its flex, as the old one or for the speed, if any of both is known
        clubs=1,
        length="club_length",
        mass="mass",
        tip="length_change?",
        guess=("", "usual"),
        flex=("", "usual"),  # for the speed, where nobody gave one
        head="mass?",  # of the club's own head, where it stays; to be weighed where nobody did; what is wanted, if else
        weigh=("", "head"),
        aim="mass?",
        start=START,
        quoted=1,
    ),
    "parts.epoxy": of(),
    "parts.tape": of(),
    # the order of the work, each step with the clubs it is about
    "order.find": of(
        clubs=ANY, after=("", "measured", "again")
    ),  # once it was measured whether they are needed
    "order.measure": of(clubs=ANY),
    "order.weigh": of(),  # heads that are glued on
    "order.pull": of(clubs=ANY, which=WHICH),
    "order.mass": of(clubs=ANY, which=WHICH),
    "order.length": of(clubs=ANY, which=WHICH),
    "order.new": of(clubs=ANY, which=WHICH),
    "order.dry": of(clubs=ANY, which=WHICH),
    "order.cure": of(clubs=ANY, which=WHICH, time="hours"),
    "order.grip": of(clubs=ANY, which=WHICH),
    "order.material": of(clubs=ANY),  # heads to be bent of which nobody knows what they are made of
    "order.bend_loft": of(clubs=ANY, which=WHICH),
    "order.bend_lie": of(clubs=ANY, which=WHICH),
    "order.check": of(),
    "order.lie_board": of(clubs=ANY, which=WHICH),  # whose lies are only a start
    "order.again": of(clubs=ANY, which=WHICH),  # whose work hangs on what was measured
    # rules: what was found, beside the limits
    "rule.club_count": of(count="count", most="count"),
    "rule.length": of(length="club_length", least="club_length", most="club_length?"),
    "rule.shaft_angle": of(angle="angle", least="whole_angle"),
    "rule.putter_loft": of(loft="angle", least="whole_angle", most="whole_angle"),
}

CAUTION_IDS = (
    "bend",
    "cut",
    "grind",
    "epoxy",
    "heat",
    "grip",
    "extend",
    "weight",
    "builder",
    "body",
    "range",
    "lightning",
    "rules",
)

NOTES = {f"caution.{name}": of() for name in CAUTION_IDS} | {
    "note.flex": of(),
    "note.grip": of(mass="mass"),
    "note.lie_after_bend": of(),
    "note.posture": of(),
    "note.body": of(),
    "note.putter": of(),
    "note.rules": of(),
    "note.shafts": of(),
    "note.strike_scatter": of(),
    "check.dynamic_lie": of(least="whole_angle", most="whole_angle"),
    "check.lie_board": of(mark="length_change", angle="whole_angle"),
    "check.line_on_ball": of(),
    "check.start_direction": of(),
}
