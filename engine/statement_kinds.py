"""Every kind of statement, with what it carries. A quantity with a question mark may be left out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Spec:
    """What a kind carries: quantities by name, terms with the words to choose from, and how many clubs and the like.

    A term that may be left out has an empty word among its options.
    """

    quantities: Mapping[str, str] = field(default_factory=dict)
    terms: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    clubs: Collection[int] = (0,)
    layouts: int = 0
    quoted: int = 0
    chance: bool = False


ANY = range(10_000)
WAY = ("more", "less")


def _of(
    *, clubs: int | range = 0, layouts: int = 0, quoted: int = 0, chance: bool = False, **carried: Any
) -> Spec:
    return Spec(
        {name: what for name, what in carried.items() if isinstance(what, str)},
        {name: options for name, options in carried.items() if isinstance(options, tuple)},
        (clubs,) if isinstance(clubs, int) else clubs,
        layouts,
        quoted,
        chance,
    )


_WORKSHOP = {
    # work on a club
    "work.none": _of(),
    "work.build_new": _of(),
    "work.add_mass": _of(mass="mass"),
    "work.remove_mass": _of(mass="mass"),
    "work.cut": _of(length="length_change"),  # at the butt
    "work.extend": _of(length="length_change"),
    "work.new_shaft": _of(length="length_change"),  # longer by more than an extension bears
    "work.bend_loft": _of(change="head_angle", way=("weak", "strong")),
    "work.bend_lie": _of(change="head_angle", way=("upright", "flat")),
    # what a head or shaft does not bear
    "limit.no_head": _of(),
    "limit.mass_added": _of(mass="mass", most="mass"),
    "limit.mass_removed": _of(mass="mass", most="mass"),
    "limit.extension": _of(longer="length_change", most="length_change", reaches="club_length"),
    "limit.no_bend": _of(loft="head_angle", lie="head_angle"),  # of the head to look for
    "limit.bend": _of(  # loft and lie that the head comes to, and those wanted, where they differ
        limit="head_angle",
        loft="head_angle?",
        wanted_loft="head_angle?",
        lie="head_angle?",
        wanted_lie="head_angle?",
        material=("", "forged", "cast"),
    ),
    # parts to have ready
    "parts.new_club": _of(clubs=1, loft="head_angle", mass="mass"),
    "parts.club": _of(
        clubs=1,
        mass="mass?",  # of head weight
        other_loft="head_angle?",  # of another head, where this one does not do
        other_lie="head_angle?",
        other_mass="mass?",
        needs=("grip", "extension", "shaft"),
    ),
    "parts.epoxy": _of(),
    # rules: what was found, beside the limits
    "rule.club_count": _of(count="count", most="count"),
    "rule.length": _of(length="club_length", least="club_length", most="club_length?"),
    "rule.shaft_angle": _of(angle="angle", least="whole_angle"),
    "rule.putter_loft": _of(loft="angle", least="whole_angle", most="whole_angle"),
}

_NOTES = {
    f"caution.{name}": _of()
    for name in (
        "bend",
        "cut",
        "grind",
        "epoxy",
        "heat",
        "extend",
        "weight",
        "builder",
        "body",
        "range",
        "lightning",
        "rules",
    )
} | {
    "note.flex": _of(),
    "note.grip": _of(mass="mass"),
    "note.lie_after_bend": _of(),
    "note.posture": _of(),
    "note.body": _of(),
    "note.putter": _of(),
    "note.rules": _of(),
    "note.shafts": _of(),
    "note.strike_scatter": _of(),
    "check.dynamic_lie": _of(least="whole_angle", most="whole_angle"),
    "check.lie_board": _of(mark="length_change", angle="whole_angle"),
    "check.line_on_ball": _of(),
    "check.start_direction": _of(),
}

_BAG = {
    # driver: what one change does
    "effect.loft": _of(change="whole_angle"),
    "effect.attack": _of(change="whole_angle"),
    "effect.length": _of(change="length_change"),
    "effect.head": _of(change="mass"),
    "effect.high": _of(change="length_change"),
    "effect.toe": _of(change="length_change"),
    # driver: launch, spin and loft
    "driver.best": _of(
        attack="whole_angle",
        launch="whole_angle",
        spin="spin",
        flat_from="whole_angle",
        flat_to="whole_angle",
    ),
    "driver.player": _of(launch="angle", spin="spin"),
    "driver.leave_loft": _of(loft="head_angle", gain="carry"),  # no other gains this much
    "driver.try_loft": _of(
        loft="head_angle",
        present="head_angle",
        gain="carry",
        chance=True,
        beyond=("exact", "or_more", "or_less"),
    ),
    "driver.flat": _of(lowest="head_angle", highest="head_angle"),
    "driver_length.cost": _of(shorter="length_change", speed="speed_change", carry="gap"),
    "driver_length.level": _of(chance=True),
    "driver_length.better": _of(
        length="club_length",
        strokes="strokes",  # saved on a drive
        centred="share",
        centred_now="share",
        carry="gap",
        chance=True,
        way=("shorter", "longer"),
        size=("worth_having", "slight"),
    ),
    # woods: the first worth carrying, before the one that is not
    "woods.begin": _of(clubs=2, adds="carry", least="carry", chance=True, family=("fairway", "hybrid")),
    "woods.longest_adds": _of(clubs=1, family=("fairway", "hybrid")),
    "woods.shaft": _of(
        speed="club_speed",
        lightest="mass",
        heaviest="mass",
        tip="length_change",
        flex=("L", "A", "R", "S", "X"),
        also=("", "L", "A", "R", "S", "X"),
    ),
    # another ball
    "ball.change": _of(clubs=1, spin="share", carry="gap", run="gap?"),
    "ball.trade": _of(tee=("better", "alike", "worse"), green=("better", "alike", "worse")),
    # putter
    "putter.begin": _of(length="body_length", lie="whole_angle", inside="length_change"),
    "putter.eyes": _of(distance="length_change", side=("inside", "outside")),
    "putter.out_of_reach": _of(),
    "putter.launch": _of(loft="angle", launch="angle", least="whole_angle", most="whole_angle"),
    "putter.leave_loft": _of(),
    "putter.no_loft": _of(),
    "putter.change_loft": _of(change="angle", loft="angle", way=WAY),
    "putter.skid": _of(green="green_speed", distance="putt", skid="skid", share="share"),
    "putter.runs_away": _of(),
    "putter.capture": _of(past="putt", width="hole", speed="ball_roll"),
}

_BODY = {
    "body.start": _of(
        wrist="body_length", offset="length_change", known=("measured", "estimated"), open=("yes", "no")
    ),
    "body.lies": _of(change="angle", than=("present", "planned")),
    "body.lies_fit": _of(),
    "body.longer": _of(clubs=1, longer="length_change", lie="angle", usual="angle", hinge="angle"),
    "body.grip": _of(
        sizes=("undersize", "womens", "standard", "midsize", "jumbo"), known=("measured", "estimated")
    ),
}

_SETS = {
    # lofts for the carries wanted
    "loft.kept": _of(),
    "loft.leave": _of(),
    "loft.too_far": _of(wanted="carry", most="carry", loft="whole_angle"),  # no loft carries what is wanted
    "loft.too_short": _of(wanted="carry", least="carry", loft="whole_angle"),  # every loft carries more
    "loft.build_new": _of(loft="head_angle"),
    "loft.bend": _of(change="angle", loft="angle", way=("weak", "strong")),
    "loft.head_stops": _of(
        head="head_angle",
        limit="head_angle",
        short="angle",
        wanted_loft="angle",
        carry="carry",
        off="gap",
        way=WAY,
    ),
    "loft.find_head": _of(loft="head_angle"),
    # a common length
    "common_length.take": _of(
        clubs=1, length="club_length", carry="carry", gap="gap", spread="gap", miss="gap"
    ),
    "common_length.range": _of(
        clubs=1,
        shortest="club_length",
        longest="club_length",
        top_shortest="carry",
        top_longest="carry",
        wedge_shortest="carry",
        wedge_longest="carry",
    ),
    "common_length.posture": _of(
        clubs=1, natural="body_length", length="club_length", lie="angle", hinge="whole_angle"
    ),
    "common_length.no_height": _of(),
    "common_length.heads": _of(clubs=1, mass="mass", change="mass", buildable="count", count="count"),
    "common_length.strike_open": _of(),
    # where the irons stop, and the clubs above
    "irons.none_useful": _of(),
    "irons.stop": _of(clubs=1, chance=True),
    "irons.not_worth": _of(clubs=range(1, 3), adds="carry?", descent="whole_angle?", chance=True),
    "irons.above": _of(
        clubs=2,
        loft="head_angle",
        length="club_length",
        carry="carry",
        gap="carry",
        descent="whole_angle",
        chance=True,
        bag=("in_bag", "to_add"),
    ),
    # after the build
    "retest.none": _of(),
    "retest.within": _of(clubs=1),
    "retest.off": _of(
        clubs=1, by="carry", loft="angle?", way=WAY
    ),  # loft: the change that would bring it back
    "retest.all_off": _of(share="share"),
    "retest.all_as_predicted": _of(),
    "retest.touch": _of(clubs=ANY),
    # the verdict between layouts, the better first
    "verdict.level": _of(layouts=2, difference="gap", chance=True),
    "verdict.better": _of(layouts=2, difference="gap", chance=True, sure=("almost_certain", "probable")),
    **{
        # what the first has over the second, by the measures of `engine.layouts.compare.MEASURES`
        f"difference.{measure}": _of(layouts=2, difference=what, chance=True)
        for measure, what in (
            ("expected_miss_m", "gap"),
            ("gap_spread_m", "gap"),
            ("widest_gap_m", "gap"),
            ("narrowest_gap_m", "gap"),
            ("overlaps", "mean_count"),
            ("reach_m", "carry"),
            ("top_descent_deg", "angle"),
            ("posture_spread_deg", "angle"),
            ("buildable", "count"),
        )
    },
    "advice.irons_stop": _of(layouts=1, clubs=1, chance=True),
    "advice.why_irons_stop": _of(descent="whole_angle"),
    "advice.hit_gripped_down": _of(balls="count", grip="grip_down"),
    "advice.why_gripped_down": _of(),
    # which clubs to carry
    "bag.too_little_loft": _of(clubs=1, family=("iron", "fairway", "hybrid")),  # before the one to begin at
}

_SWING = {
    # shots set aside
    "mishit": _of(off="share?", times="deviations", limit="deviations", way=("short", "long")),
    # what stands on little, or can hardly be so
    "warning.no_carries": _of(),
    "warning.one_club": _of(),
    "warning.not_settled": _of(),
    "doubt.scattered": _of(clubs=1, least="carry", most="carry"),
    "doubt.club_off": _of(clubs=1, off="share", way=WAY),
    "doubt.two_apart": _of(clubs=2, predicted="carry", measured="carry"),  # of the second, by the first
    "doubt.speed_entered": _of(carries="club_speed", entered="club_speed"),
    "doubt.speed_unusual": _of(carries="club_speed", usual="club_speed"),
    # what to hit next
    "next_ball.tells": _of(
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
            "own",  # how far this very club departs from the others
            "many",  # a little of many things
        ),
    ),
    "next_ball.learned": _of(  # share of the variance that went; chances of choosing right
        share="share", before="share", after="share", doubt=("less", "same", "more")
    ),
}

KINDS: Mapping[str, Spec] = _SWING | _WORKSHOP | _NOTES | _BAG | _BODY | _SETS
