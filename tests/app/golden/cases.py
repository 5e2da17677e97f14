"""Made-up players whose sets bring out nearly every sentence, and texts to paste."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from app.demo import demo_case
from engine.documents.case import (
    BallSpin,
    Case,
    Conditions,
    Layout,
    LayoutClub,
    Player,
    Session,
    Shot,
    Swing,
    SwingSize,
    WantedCarry,
    Wants,
)
from engine.workshop.norms import norm_bag


def hit(club: str, *carries: float, grip: float = 0.0, **more: Any) -> tuple[Shot, ...]:
    return tuple(Shot(club, carry_m=carry, grip_down_m=grip, **more) for carry in carries)


def named(bag, **names):
    return tuple(replace(c, name=names[f"c{c.id}"]) if f"c{c.id}" in names else c for c in bag)


def cases() -> dict[str, Case]:
    """The cases by name."""
    men = norm_bag("male")
    heads = {"5i": ("cast", 2.0), "6i": ("cast", None), "7i": ("forged", None), "9i": ("forged", 0.0)}
    marked = tuple(
        replace(c, head_material=heads[c.id][0], bend_limit_deg=heads[c.id][1], bounce_deg=6.0)
        if c.id in heads
        else c
        for c in men
    )
    own = Layout(
        "mine",
        "own",
        clubs=(
            LayoutClub("5i", length_m=1.03, head_kg=0.235),
            LayoutClub("7i", loft_deg=29.0, lie_deg=66.0),
            LayoutClub("9i", loft_deg=40.0, head_kg=0.300),
            LayoutClub("pw"),
        ),
    )
    sets = (
        Layout("single", "single", common_length_m=0.9398),
        Layout("single b", "single", common_length_m=0.9271),
        Layout("two", "two_lengths"),
        Layout("wedges", "single_wedges"),
        own,
    )
    return {
        "demo": demo_case(),
        "nothing known": Case(),
        "all layouts": Case(
            player=Player(label="Ivo Tannenbrook", sex="male", height_m=1.70, hand_length_m=0.178),
            bag=named(marked, c7i="7 in 1 iron", cpw="4 m wedge"),
            shots=hit("7i", 150, 152, 149, 153, 151) + hit("pw", 118, 120, 119),
            layouts=(Layout("now", "present"), *sets),
            wants=Wants(layout="mine", ball=BallSpin(1.15, 0.9), green_speed_m=3.0),
            conditions=Conditions(noted=True),
            retest=hit("7i", 168, 170, 169, 171, 168)
            + hit("9i", 128, 130, 129, 128)
            + hit("5i", 168, 170, 167),
        ),
        "slow, carries asked for": Case(
            player=Player(sex="female", height_m=1.58, wrist_to_floor_m=0.76),
            swing=Swing(driver_speed_mps=30.0, putter_lean_deg=3.0, putter_attack_deg=-2.0),
            bag=norm_bag("female"),
            shots=hit("7i", 82, 80, 84, 60, 81) + hit("9i", 66, 68, 64),
            layouts=(Layout("now", "present"), Layout("single", "single", common_length_m=0.90)),
            wants=Wants(carries=(WantedCarry("7i", 95.0), WantedCarry("pw", 40.0), WantedCarry("8i", 75.0))),
            conditions=Conditions(noted=True),
            retest=hit("7i", 82, 80, 84, 81),
        ),
        "fast, a gap asked for": Case(
            player=Player(sex="male", height_m=1.95, wingspan_m=2.05),
            swing=Swing(driver_speed_mps=54.0, putter_lean_deg=-14.0),
            bag=marked,
            shots=hit("7i", 170, 172, 168) + hit("8i", 160, 158) + hit("5i", 195, 197) + hit("dr", 270, 265),
            layouts=(Layout("now", "present"), Layout("stepped", "stepped", length_step_m=0.02)),
            wants=Wants(
                gap_m=14.0,
                layout="stepped",
                clubs_most=12,
                ball=BallSpin(0.8, 0.7),
                air=Conditions(temperature_c=8.0, altitude_m=300.0, wind_mps=4.0, wind_from_deg=90.0),
            ),
            retest=hit("7i", 150, 152, 151) + hit("8i", 140, 141),
        ),
        "part swings": Case(
            player=Player(sex="male", height_m=1.80),
            bag=men,
            shots=hit("7i", 150, 151, 149)
            + hit("pw", 114, 116)
            + hit("sw", 44, 46, 45, swing_size="hip")
            + hit("gw", 80, 78, swing_size="rib"),
            swing_sizes=(
                SwingSize("hip", "to the hip"),
                SwingSize("rib", "<b>to the ribs</b>"),
                SwingSize("low", "low", ("9i",)),
            ),
            wants=Wants(part_gap_m=6.0),
        ),
        "several days": Case(
            player=Player(sex="male", height_m=1.80),
            bag=men,
            shots=hit("7i", 150, 151, 149, 150, 148, session="may", club_speed_mps=39.0)
            + hit("9i", 124, 122, 126, 125, 123, session="may", ball_speed_mps=47.0)
            + hit("7i", 141, 140, 143, 142, 139, session="cold", club_speed_mps=38.0)
            + hit("9i", 110, 112, 111, 113, 112, session="cold", ball_speed_mps=45.0),
            sessions=(
                Session("may", "2031-05-03"),
                Session("cold", "2031-12-03", conditions=Conditions(temperature_c=2.0)),
            ),
            wants=Wants(half_life_days=365.0),
        ),
        "contradicted": Case(
            player=Player(sex="male", height_m=1.80),
            swing=Swing(iron7_speed_mps=42.0),
            bag=men,
            shots=hit("7i", 110, 140, 14, 60, 100, 170) + hit("9i", 100, 101, 99, 100),
        ),
        "two clubs apart": Case(
            player=Player(sex="male", height_m=1.80),
            bag=men,
            shots=hit("7i", 150, 151, 149, 150) + hit("9i", 40),
        ),
        "one of three wrong": Case(
            player=Player(sex="male", height_m=1.80),
            bag=men,
            shots=hit("7i", *[240.0] * 4) + hit("8i", *[228.0] * 4) + hit("9i", *[130.0] * 4),
        ),
    }


TEXTS = {
    "lines": "7i 139 141 138\nsome words\nzz 140\n9i 118,5 121,5\nhalf 7i 90\n\naverage 140",
    "headings": "Club,Carry,Ball Speed,Side,Grip down\n7i,140,50,3,1\nqq,139,50,2,0\n7i,139,900,-3,0\n7i,9000,50,1,0\n"
    "Average,140,50,2,0\nClub,Carry,Ball Speed,Side,Grip down\n9i,,,,\n7i 3/4,100,40,1,0\n8i",
    "units": "Club\tCarry (yds)\tClub Speed (mph)\tSmash\n7 iron\t155\t85\t1.3\nSW 54\t90\t75\t1.2\nW58\t80\t75\t1.2\n",
    "turned": "Club,7i,7i,9i\nCarry,140,141,120\nSpin,6000,6100,8000\n",
    "above": "Session of a Sunday\nClub: 7 iron\nCarry;Ball speed\n139,5;48,2\n141,0;49,0\n",
    "bare": "7 140 142\n8 130 128 ignored\n",
    "nothing": "there is nothing to see",
    "far": "7i 9 900\n",
}
