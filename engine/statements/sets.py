"""Kinds of statements about a set: lofts, a common length, where irons stop, the verdict, and the re-test."""

from __future__ import annotations

from .spec import ANY, WAY, of
from .workshop import START

SIDE = ("gain", "give", "same", "open")
LANDS = (
    "steep",
    "flat",
)  # steeply enough to hold a green, or no flatter than all irons of somebody who runs the ball on

SETS = {
    # lofts for the carries wanted
    "loft.kept": of(),
    "loft.leave": of(),
    "loft.overtaken": of(loft="head_angle"),  # what a build left to do, and balls hit since no longer ask for
    "loft.too_far": of(wanted="carry", most="carry", loft="head_angle"),  # no loft carries what is wanted
    "loft.too_short": of(wanted="carry", least="carry", loft="head_angle"),  # every loft carries more
    "loft.build_new": of(loft="head_angle"),  # the head there is does not serve
    "loft.bend": of(change="head_angle", loft="head_angle", way=("weak", "strong"), start=START),
    "loft.head_stops": of(
        head="head_angle",
        limit="head_angle",
        bent="head_angle?",  # already, of that limit
        short="angle",
        wanted_loft="angle",
        carry="carry",
        off="gap",
        way=WAY,
    ),
    "loft.find_head": of(
        loft="head_angle", near=("", "nearer")
    ),  # that would serve better than the one there is
    # nobody has hit it: the carry wanted, how far that lies from a neighbour's, and the loft that is predicted to give it,
    # if one to set is
    "loft.hit_first": of(clubs=1, carry="carry", gap="gap", way=WAY, loft="head_angle?"),
    "loft.waits": of(
        clubs=ANY[1:], loft="head_angle"
    ),  # for clubs to be hit first; the loft predicted for it
    "loft.unhit": of(clubs=ANY[1:]),  # to hit before lofts are bent, the most needed first
    "loft.off": of(carry="carry", off="gap", way=WAY),
    "loft.for_parts": of(loft="head_angle"),  # as the gaps with part swings ask
    # what comes of the lofts to build: all gaps, each of them, and the clubs that miss what is asked of them
    "loft.gaps": of(narrowest="gap", widest="gap", wanted="gap?"),
    "loft.gap": of(clubs=2, gap="gap"),
    "loft.gap_not_met": of(  # most: what a gap departs by with the other one
        wanted="gap", other="gap?", most="gap?", result=("met", "nearer")
    ),
    "loft.missed": of(clubs=ANY, most="gap", asked=("carry", "gap", "even_gaps")),
    # a common length
    "common_length.take": of(
        clubs=1, length="club_length", carry="carry", gap="gap", spread="gap", miss="gap"
    ),
    "common_length.range": of(
        clubs=1,
        shortest="club_length",
        longest="club_length",
        top_shortest="carry",
        top_longest="carry",
        wedge_shortest="carry",
        wedge_longest="carry",
    ),
    "common_length.posture": of(
        clubs=1, natural="body_length", length="club_length", lie="angle", hinge="whole_angle"
    ),
    "common_length.no_height": of(),
    "common_length.heads": of(clubs=1, mass="mass", change="mass", buildable="count", count="count"),
    "common_length.strike_open": of(),
    # where the irons stop, and the clubs above
    "irons.none_useful": of(),
    "irons.stop": of(clubs=1, chance=True, lands=LANDS),
    "irons.stop_as_wished": of(
        clubs=1, chance=True, lands=LANDS
    ),  # chance that it adds carry and is steep enough
    "irons.not_worth": of(clubs=range(1, 3), adds="carry?", descent="whole_angle?", chance=True),
    "irons.above": of(
        clubs=2,
        loft="head_angle",
        length="club_length",
        carry="carry",
        gap="carry",
        descent="whole_angle",
        chance=True,
        bag=("in_bag", "to_add"),
    ),
    "irons.keep": of(clubs=1, descent="whole_angle", chance=True),
    "irons.carry": of(clubs=ANY),  # all that are carried, where others do the work of one that is of use
    "irons.spared": of(clubs=1),  # of use, and left out for others that do its work
    "irons.above_kept": of(clubs=ANY),
    # after the build
    "retest.none": of(),
    "retest.within": of(clubs=1),
    "retest.open": of(  # balls: to be hit yet for a mean known well enough
        clubs=1,
        by="gap",
        balls="count?",
        way=("long", "short"),
        also=("other_clubs", "another_day", "nothing"),
    ),
    "retest.off": of(
        clubs=1, by="carry", loft="angle?", way=WAY, cure=("bend", "none", "hit_again")
    ),  # loft: the change that would bring it back
    "retest.all_off": of(share="share"),
    "retest.all_as_predicted": of(),
    "retest.unsettled": of(clubs=ANY),
    "retest.none_off_so_far": of(),
    "retest.touch": of(clubs=ANY),
    "retest.day": of(share="share"),  # what clubs that were not changed say of the day
    "retest.no_weather": of(of=("before", "after", "both")),
    "retest.not_judged": of(clubs=1),
    **{
        # what the first has over the second, by the measures of `engine.sets.compare.CRITERIA`
        f"difference.{measure}": of(layouts=2, difference=what, chance=True)
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
    # the verdict: the other set, and the base it stands against
    "verdict.compared": of(layouts=2),
    **{
        # measures of `engine.sets.verdict.MEASURES`, the other's less the base's
        f"verdict.{measure}": of(difference=what, chance=True, side=SIDE, way=WAY)
        for measure, what in (
            ("reach_m", "carry"),
            ("top_descent_deg", "whole_angle"),
            ("irons_kept", "mean_count"),
            ("narrowest_gap_m", "gap"),
            ("widest_gap_m", "gap"),
            ("length_range_m", "length_change"),
        )
    },
    "verdict.work": of(  # beside the bends of lies that every set takes alike, where such are taken
        clubs_to_build="count",
        measure="count?",  # without any other work
        heads="count",
        likely="count?",
        shafts="count?",
        time="hours",
        lies=("", "apart"),
    ),
    # by how much the spread has to be tighter, in all and with one club; the chance that it has to be at all
    "verdict.break_even": of(
        clubs=1, tighter="share", by="gap", chance=True, way=("tighter", "wider", "alike")
    ),
    # the test that would show what a length does
    "length_test.none": of(),
    "length_test.hit": of(
        clubs=1,
        full="club_length",
        short="club_length",
        grip="grip_down",
        balls="count",
        block="count",
        time="minutes",
    ),
    "length_test.carry": of(  # expected of the length alone; of the sets the lofts may be bent to make up for it
        finds="gap", expected="gap", shows=("yes", "no"), lofts=("kept", "bent")
    ),
    "length_test.spread": of(
        finds="share", needed="share?", balls="count?", shows=("yes", "no", "not_needed")
    ),
    "length_test.strike": of(balls="count", mishits="share", finds="share?", known=("noted", "assumed")),
    "length_test.month": of(),
    "length_test.so_far": of(ratio="share", down="count", full="count"),
    "length_test.mishits_so_far": of(down="count", of_down="count", full="count", of_full="count"),
    "advice.irons_stop": of(layouts=1, clubs=1, chance=True),
    "advice.why_irons_stop": of(descent="whole_angle"),
    "advice.irons_stop_as_wished": of(layouts=1, clubs=1),
    "advice.why_as_wished": of(clubs=range(2)),  # where they would stop without the wish
    # now, after: chances of choosing the better of two sets
    "advice.next_ball": of(clubs=1, balls="count", grip="grip_down?", now="share", after="share"),
    "advice.nothing_to_hit": of(  # the set that is ahead
        layouts=1, balls="count", now="share", after="share", hit=("some", "none")
    ),
    # the wedge table; what is quoted are the player's own names of part swings, "" for a full one
    "wedges.carry": of(clubs=1, quoted=1, carry="carry", known=("hit", "predicted")),
    "wedges.hit_first": of(clubs=1, quoted=1, balls="count"),
    "wedges.share": of(quoted=1, share="share", learned=("balls", "prior")),  # of the full swing's head speed
    "wedges.gap": of(clubs=2, quoted=2, gap="gap", longer="carry", shorter="carry"),
    "wedges.bend": of(clubs=1, change="head_angle", loft="head_angle", way=("weak", "strong")),
    "wedges.lofts": of(
        wanted="gap", widest="gap", after="gap", result=("met", "nearer", "nothing_helps", "hit_first")
    ),
    # which clubs to carry
    "bag.leave": of(worth="gap"),
    "bag.swap": of(clubs=2, gain="gap", chance=True),
    "bag.add": of(clubs=1, gain="gap", chance=True),
    "bag.drop": of(clubs=1),
    "bag.too_many": of(clubs=ANY, over="count"),  # over: how many clubs more than may be carried
    "bag.no_farther": of(clubs=2, least="carry", chance=True),  # the first carries no farther than the second
    "bag.driver_no_farther": of(clubs=2, least="carry", chance=True),
    "bag.try": of(clubs=range(1, 3)),  # known too little to buy; in place of the second
    "bag.not_yet": of(clubs=range(1, 3), gain="gap?"),  # the next best change, which is not worth it
    "bag.hit_first": of(clubs=1),
    "bag.hit_order": of(clubs=ANY),  # of the clubs to hit first
    "bag.one_job": of(clubs=2, apart="gap", cure=("bend", "leave", "hit_again")),
    "bag.worth": of(worth="gap", hole="carry"),  # the hole that a club worth its price fills
    "bag.too_little_loft": of(clubs=1),
}
