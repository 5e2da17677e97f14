"""Lines under pictures and beside fields, from the case and its result."""

from __future__ import annotations

import math
from collections.abc import Sequence

from app.phrases.layouts import set_titles, titles
from app.phrases.marks import Marks
from app.phrases.say import MOST_BALLS, listed
from app.units import amount, unit
from engine.course.club_for_distance import Option
from engine.course.green import Approach
from engine.course.plays_like import PlaysLike
from engine.documents.case import Case, Conditions, SwingSize, Wants
from engine.documents.result import Result, ShotGroup
from engine.fitting.fitting import Fitting
from engine.physics.air import REFERENCE
from engine.physics.impact import WARM_BALL_C
from engine.sets.lofts import LoftPlan
from engine.sets.verdict import same_set
from engine.shots.summary import PRIOR_BALLS, Summary
from engine.statistics import Interval, intervals
from engine.swing.sessions import in_air_of_day


def carries_line(result: Result, system: str, marks: Marks) -> str:
    """One line that says what the plot of carries shows."""
    parts = []
    names = titles(result.layouts, system)
    for layout in result.layouts:
        clubs = [c for c in layout.clubs if c.family in ("iron", "wedge")]
        clubs = clubs or [c for c in layout.clubs if not c.hit_first]
        if clubs:
            longest, shortest = clubs[0], clubs[-1]
            parts.append(
                f"{names[layout.id]}: {longest.name} "
                f"{marks(amount(longest.carry_m.mean, 'carry', system), longest.id)}, "
                f"{shortest.name} {marks(amount(shortest.carry_m.mean, 'carry', system), shortest.id)}"
            )
    if not parts:
        return "No clubs to show."
    first = dict.fromkeys(c.name or c.id for x in result.layouts for c in x.clubs if c.hit_first)
    whose = "their" if len(first) > 1 else "its"
    missing = f" Not drawn, since {whose} carry is not known yet: {listed(list(first))}." if first else ""
    return (
        "Expected carry of each club; nine times in ten it lies within the bar. "
        + "; ".join(parts)
        + f".{missing} {marks.nobody or marks.legend}".rstrip()
    )


def present_line(fitting: Fitting, system: str, marks: Marks) -> str:
    """The present set, where none of those laid out is called so: which of them it is, or its longest and shortest club."""
    names = set_titles(fitting, system)
    title = names.get(fitting.own_layout.id, "")
    if any(layout.id == fitting.own_layout.id for layout in fitting.case.layouts):
        return ""
    alike = [x.id for x in fitting.case.layouts if same_set(fitting.laid_out(x), fitting.present)]
    if alike:
        return f" {title}: the same as {names[alike[0]]}."
    clubs = [c for c in fitting.present if c.family in ("iron", "wedge")]
    if not clubs:
        return ""
    carry = intervals(fitting.predict(tuple(clubs)).carry)
    ends = [
        f"{clubs[n].name or clubs[n].id} {marks(amount(carry[n].mean, 'carry', system), clubs[n].id)}"
        for n in (0, -1)
    ]
    return f" {title}, not drawn: {', '.join(ends)}."


def gaps_line(result: Result, system: str, wanted_m: float | None = None) -> str:
    """One line on the widest and narrowest gap of each layout, and on the band of the wanted gap [m]."""
    parts = []
    names = titles(result.layouts, system)
    for layout in result.layouts:
        ids = {c.id for c in layout.clubs if c.family in ("iron", "wedge")}
        gaps = [g for g in layout.gaps if g.longer in ids and g.shorter in ids]
        if gaps:
            means = [g.gap_m.mean for g in gaps]
            parts.append(
                f"{names[layout.id]}: {amount(min(means), 'gap', system, bare=True)} to "
                f"{amount(max(means), 'gap', system)}"
            )
    if not parts:
        return "No gaps to show."
    band = (
        f" The band is the wanted {amount(wanted_m, 'gap', system)}, give or take a quarter."
        if wanted_m
        else ""
    )
    return "Gaps from one iron or wedge to the next. " + "; ".join(parts) + "." + band


MOST_BRIEF = 14  # characters of a row's name beside a picture on a phone


def brief(club_id: str, name: str) -> str:
    """A club's name short enough for a button: the id where it is short, else the name."""
    if len(club_id) == 2 and club_id.isalpha() and club_id.endswith("w"):
        return club_id.upper()
    return club_id if len(club_id) <= 4 and any(ch.isdigit() for ch in club_id) else (name or club_id)


def brief_names(case: Case) -> dict[str, str]:
    """Every club's name short enough for a row of a picture, all different: one before some work as "7i before"."""
    now, out = {c.id: c.name or c.id for c in case.bag}, dict[str, str]()
    for club in case.bag:
        of, was = club.became or club.id, " before" if club.became else ""
        whole = now.get(of, club.name) + was
        name = whole if len(whole) <= MOST_BRIEF else f"{brief(of, now.get(of, club.name))}{was}"
        name = name if len(name) <= MOST_BRIEF else f"{name[: MOST_BRIEF - 1].rstrip()}\u2026"
        number, free = 2, name
        while free in out.values():
            free, number = f"{name} {number}", number + 1
        out[club.id] = free
    return out


def swing_of(size: SwingSize | None) -> str:
    """The part swing as it follows a club's name; nothing for a full one."""
    return "" if size is None else f", {size.name}"


def called(option: Option | Approach, marks: Marks | None = None) -> str:
    """A club for a shot, with the part swing it is hit with, marked where nobody has hit that."""
    size = option.swing_size
    name = (option.name or option.id) + swing_of(size)
    return marks(name, option.id, size.id if size else None) if marks else name


MOST_FIRST = 2  # clubs named that are to be hit first, the likeliest


def hit_first_line(clubs: Sequence[Option | Approach]) -> str:
    """Clubs that could do for a shot, of which too little is known to give a chance."""
    names = [called(club) for club in clubs[:MOST_FIRST]]
    they = "they carry" if names[1:] else "it carries"
    return f"Hit the {listed(names)} on the range first: nobody has, and what {they} is known only roughly."


def balls_line(group: ShotGroup, system: str, card: Interval | None = None) -> str:
    """How sure a club's carry is and what it takes to be surer; ``card`` is what the card has of it, all clubs told."""
    if group.carry_m.counted < 2 or not math.isfinite(group.carry_m.interval()[0]):
        return "One shot so far: a second one begins to show the spread."
    carry, shown = group.carry_m, unit("carry", system)
    half = shown.si(2)
    limit = f"\u00b1{amount(half, 'carry', system)}"
    more = carry.balls_for(half)
    if more == 0:
        return f"The mean is known to {limit} or better."
    if card is not None and max(card.hi90 - card.mean, card.mean - card.lo90) <= half:
        return f"With what the other clubs tell, the card is sure to {limit} or better."
    if more is None:
        told = (
            f"By these balls alone the mean will not be known to {limit}, however many you hit today, because carries "
            "change from day to day: hit it again on another day."
        )
    elif more > MOST_BALLS:
        told = f"By these balls alone it would take more than {MOST_BALLS} more to know the mean to {limit}."
    else:
        told = f"By these balls alone it takes {more} more to know the mean to {limit}."
    return f"{told} {_spread_line(carry, system)}".strip()


def _spread_line(carry: Summary, system: str) -> str:
    """The spread that ranges and counts go by, where it is another one than that of the balls as shown, and what is assumed
    makes a third of it or more."""
    used, seen = (amount(sd, "carry", system) for sd in (carry.spread, carry.sd))
    if used == seen or not math.isfinite(carry.sd) or carry.degrees > 3 * PRIOR_BALLS:
        return ""
    return f"With so few balls we assume a typical spread of {used}; your {seen} may be luck."


def body_estimates(case: Case, system: str) -> list[str]:
    """What is estimated of the body, shown as an estimate with its spread."""
    player = case.player
    if player.height_m is None or player.wrist_to_floor_m is not None:
        return []
    from engine.body.survey import wrist_to_floor

    guess = wrist_to_floor(player.height_m, wingspan_m=player.wingspan_m, sex=player.sex)
    shown = unit("body", system)
    half = shown.text(guess.hi90_m - guess.mean_m)
    return [
        f"Estimated wrist to floor: {shown.text(guess.mean_m)} \u00b1 {half} {shown.name} (90 %), from a "
        "public survey of body measurements."
    ]


_FROM = {
    0.0: "a headwind of {}",
    45.0: "a headwind of {} from the right",
    90.0: "a wind of {} from the right",
    135.0: "a tailwind of {} from the right",
    180.0: "a tailwind of {}",
    225.0: "a tailwind of {} from the left",
    270.0: "a wind of {} from the left",
    315.0: "a headwind of {} from the left",
}


def nearest_wind(air: Conditions) -> float:
    """The eighth of a turn [deg] nearest to where the wind comes from."""
    return min(_FROM, key=lambda a: abs((air.wind_from_deg - a + 180) % 360 - 180))


def lofts_line(case: Case, system: str, plan: LoftPlan | None) -> str:
    """What lofts are bent for, in every set alike, and that none is bent yet where all that the ``plan`` may bend wait;
    nothing where they stay as they stand."""
    wants = case.wants
    if wants.carries:
        towards = "the carries you asked for"
    elif wants.gap_m is not None:
        towards = f"a gap of {amount(wants.gap_m, 'gap', system)}"
    elif wants.lofts == "even_gaps":
        towards = "even gaps"
    else:
        return ""
    again = f" {BENT_AGAIN}" if wants.built_to else ""
    if plan is not None and plan.all_wait:
        return f"Lofts are to be bent towards {towards}. None is bent yet: clubs have to be hit first.{again}"
    return f"Lofts bent towards {towards}, as far as the heads allow.{again}"


BENT_AGAIN = (
    "Your bag was built to this: a club in it is bent again only where its shots show that it is off."
)


def wind_words(air: Conditions, system: str) -> str:
    """``a headwind of 3 m/s from the right``."""
    return _FROM[nearest_wind(air)].format(amount(air.wind_mps, "wind", system))


def wind_line(air: Conditions, system: str) -> str:
    """The wind of a shot, in a sentence."""
    if not air.wind_mps > 0:
        return "No wind."
    words = wind_words(air, system)
    return words[0].upper() + words[1:] + "."


def air_line(case: Case, system: str) -> str:
    """The air that carries are predicted for."""
    air, of_day = case.wants.air, in_air_of_day(case)
    if air is None or air == Conditions():
        if of_day:
            return "In the air of the day you hit: no weather was noted."
        return f"In standard air: {amount(20.0, 'temperature', system)}, sea level, no wind."
    parts = [
        amount(air.temperature_c, "temperature", system),
        f"{amount(air.altitude_m, 'height', system)} above sea level" if air.altitude_m else "sea level",
    ]
    if air.wind_mps > 0:
        parts.append(_FROM[nearest_wind(air)].format(amount(air.wind_mps, "wind", system)))
    else:
        parts.append("no wind")
    said = f"In today\u2019s air: {', '.join(parts)}."
    return (
        f"{said} No weather was noted for your shots: they are taken as hit in standard air."
        if of_day
        else said
    )


def day_line(case: Case, system: str, of_day: str = "") -> str:
    """The air of the card and what else is true of the day; ``of_day``: the day it was set on, if that is another."""
    wants = case.wants
    words = air_line(case, system)
    if of_day:
        words = words.replace("today\u2019s air", f"the air of {of_day}")
    cold = cold_ball(wants, wants.air or REFERENCE)
    also = [w for w, true in (("a cold ball", cold), ("wet faces", wants.wet_face)) if true]
    return f"{words} With {' and '.join(also)}." if also else words


def cold_ball(wants: Wants, air: Conditions) -> bool:
    """Whether the ball is as cold as an air that makes it shorter."""
    return wants.cold_ball and air.temperature_c < WARM_BALL_C


def warm_ball_line(wants: Wants, system: str) -> str:
    """That a ball as cold as this air is none the worse for it; nothing where it is, or is not asked about."""
    if not wants.cold_ball or cold_ball(wants, wants.air or REFERENCE):
        return ""
    return f"A ball as cold as the air loses nothing from {amount(WARM_BALL_C, 'temperature', system)} up."


def _of_the_day(wants: Wants, air: Conditions) -> list[str]:
    """What of the day differs from a warm ball in standard air, wind aside."""
    differs = {
        "temperature": air.temperature_c != REFERENCE.temperature_c,
        "altitude": air.altitude_m != REFERENCE.altitude_m,
        "humidity": air.humidity != REFERENCE.humidity,
        "the cold ball": cold_ball(wants, air),
        "wet faces": wants.wet_face,
    }
    return [name for name, so in differs.items() if so]


def plays_line(plays: PlaysLike, wants: Wants, air: Conditions, system: str) -> str:
    """What a target plays like in an air, and what of it wind, height and all that the day has of its own make."""
    shown = unit("carry", system)
    day = _of_the_day(wants, air)
    many = len(day) > 1 or day == ["wet faces"]
    parts = []
    for metres, what, more, less in (
        (plays.wind_m, "the wind", "adds", "takes off"),
        (plays.height_m, "the climb" if plays.height_m > 0 else "the drop", "adds", "takes off"),
        (plays.air_m, listed(day), "add" if many else "adds", "take off" if many else "takes off"),
    ):
        size = round(abs(shown.shown(metres)))
        if size:
            parts.append(f"{what} {more if metres > 0 else less} {size}")
    if not parts:
        return ""
    return f"Plays like {amount(plays.plays_m, 'carry', system)}: {', '.join(parts)}."
