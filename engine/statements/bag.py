"""Kinds of statements about driver, woods, ball, putter, and what the body says of clubs."""

from __future__ import annotations

from .spec import ANY, WAY, of

BAG = {
    # driver: what one change does
    "effect.loft": of(change="whole_angle"),
    "effect.attack": of(change="whole_angle"),
    "effect.length": of(change="length_change"),
    "effect.head": of(change="mass"),
    "effect.high": of(change="length_change"),
    "effect.toe": of(change="length_change"),
    # driver: launch, spin and loft
    "driver.best": of(
        attack="whole_angle",
        launch="whole_angle",
        spin="spin",
        flat_from="whole_angle",
        flat_to="whole_angle",
    ),
    "driver.player": of(launch="angle", spin="spin"),
    "driver.leave_loft": of(loft="head_angle", gain="carry"),  # no other gains this much
    "driver.try_loft": of(
        loft="head_angle",
        present="head_angle",
        gain="carry",
        chance=True,
        beyond=("exact", "or_more", "or_less"),
    ),
    "driver.not_measured": of(clubs=1),  # launch and spin, nor is its attack known
    "driver.flat": of(lowest="head_angle", highest="head_angle"),
    "driver_length.cost": of(shorter="length_change", speed="speed_change", carry="gap"),
    "driver_length.level": of(chance=True),
    "driver_length.better": of(
        length="club_length",
        strokes="strokes",  # saved on a drive
        centred="share",
        centred_now="share",
        carry="gap",
        chance=True,
        way=("shorter", "longer"),
    ),
    # woods: the first worth carrying, before the one that is not
    "woods.begin": of(clubs=2, adds="carry", least="carry", chance=True, family=("fairway", "hybrid")),
    "woods.longest_adds": of(clubs=1, family=("fairway", "hybrid")),
    "woods.keep": of(clubs=ANY, family=("fairway", "hybrid")),
    "woods.shaft_open": of(clubs=range(2)),  # the driver to hit, where there is one
    "woods.shaft": of(  # speed_from: whether it was measured or follows from carries
        speed="club_speed",
        lightest="mass",
        heaviest="mass",
        tip="length_change",
        flex=("L", "A", "R", "S", "X"),
        also=("", "L", "A", "R", "S", "X"),
        speed_from=("", "carries"),
    ),
    # another ball
    "ball.nothing_yet": of(),
    "ball.change": of(clubs=1, spin="share", carry="gap", run="gap?"),
    "ball.trade": of(tee=("better", "alike", "worse"), green=("better", "alike", "worse")),
    # putter
    "putter.begin": of(length="body_length", lie="whole_angle", inside="length_change"),
    "putter.not_measured": of(needs=("loft", "stroke", "size")),
    "putter.eyes": of(distance="length_change", side=("inside", "outside")),
    "putter.out_of_reach": of(),
    "putter.launch": of(loft="angle", launch="angle", least="whole_angle", most="whole_angle"),
    "putter.leave_loft": of(),
    "putter.no_loft": of(),
    "putter.change_loft": of(change="angle", loft="angle", way=WAY),
    "putter.skid": of(green="green_speed", distance="putt", skid="skid", share="share"),
    "putter.runs_away": of(),
    "putter.capture": of(past="putt", width="hole", speed="ball_roll"),
}

BODY = {
    "body.start": of(
        wrist="body_length", offset="length_change", known=("measured", "estimated"), open=("yes", "no")
    ),
    "body.unknown": of(),
    "body.lies": of(change="angle", than=("present", "planned")),
    "body.lies_fit": of(),
    "lie.by_flight": of(),  # and by no lie board
    "body.longer": of(clubs=1, longer="length_change", lie="angle", usual="angle", hinge="angle"),
    "body.grip": of(
        sizes=("undersize", "womens", "standard", "midsize", "jumbo"), known=("measured", "estimated")
    ),
}
