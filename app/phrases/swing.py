"""What the balls say of the swing, what stands on little, and what to hit next, in words."""

from __future__ import annotations

from app.phrases.say import Phrase, Say, fixed, listed, many, percent
from app.units import carry_as_typed

PARAMETERS = {
    "log_speed": "club speed with the 7-iron",
    "length_effect": "club speed gained with a longer club",
    "head_mass_effect": "club speed lost with a heavier head",
    "loft_intent": "how much harder clubs with less loft are swung",
    "attack": "angle of attack with the 7-iron",
    "attack_slope": "change of attack with length",
    "loft_offset": "loft at impact less loft as built, 7-iron",
    "loft_slope": "how that changes with loft",
    "strike": "quality of strike",
    "spin_factor": "spin against rolling contact",
    "spin_slope": "how that changes with loft",
    "ball_drag": "drag of the ball against the model",
    "ball_lift": "lift of the ball against the model",
    "range_ball": "carry of a range ball against a good one",
    **{
        f"{family}_{name}": f"{words}, {clubs} against the irons"
        for family, clubs in (
            ("driver", "driver"),
            ("fairway", "fairway woods"),
            ("hybrid", "hybrids"),
            ("wedge", "wedges"),
        )
        for name, words in (
            ("speed", "club speed"),
            ("attack", "angle of attack"),
            ("loft", "loft at impact"),
            ("strike", "quality of strike"),
            ("spin", "spin"),
        )
    },
}
"""Parameters of the swing, as a table names them."""

_ABOUT = {
    "log_speed": "how fast you swing",
    "length_effect": "what length alone does to your speed",
    "head_mass_effect": "what a heavier head does to your speed",
    "loft_intent": "how much harder you swing a club with less loft",
    "attack": "how steeply you come down",
    "attack_slope": "how your attack changes with length",
    "loft_offset": "how far your hands lead at impact",
    "loft_slope": "how your hands\u2019 lead changes with loft",
    "strike": "how well you strike the centre",
    "spin_factor": "how much your irons spin",
    "spin_slope": "how your spin grows with loft",
    "ball_drag": "your ball\u2019s drag",
    "ball_lift": "your ball\u2019s lift",
    "range_ball": "what range balls cost you",
    "family": "how clubs of this kind differ from your irons",
    "loft_shape": "how your carries change with loft",
    "own": "whether this club fits in with the others",
    "many": "a little about many things",
}


def _mishit(say: Say) -> str:
    where = "short of" if say.term("way") == "short" else "beyond"
    off = f"{say['off']} " if "off" in say else ""
    return f"{off}{where} the median shot, {say['times']} times the usual spread; the limit is {say['limit']}"


def _club_off(say: Say) -> str:
    return (
        f"{say.club}: carries {say['off']} {say.term('way')} than the other clubs suggest. Please check its loft, its "
        "length and whether the right club was noted; until then it counts for less."
    )


def _two_apart(say: Say) -> str:
    one, other = say.clubs
    return (
        f"The {one} and {other} carries cannot come from the same swing: judging by the {one}, the {other} would carry "
        f"{say['predicted']}, not {say['measured']}. Please check both numbers and the clubs they were noted under."
    )


def _slip(say: Say) -> str:
    (swing,) = say.statement.quoted
    near = {
        "same": f"The others are near {say['near']}.",
        "others": f"Your other clubs point to about {say['near']}.",
        "usual": f"About {say['near']} would be usual.",
        "full": f"A full swing carries about {say['near']}.",
    }[say.term("by")]
    typed = carry_as_typed(say.value("carry"), say.system)
    return f"{typed} with the {say.club}{swing and f', {swing}'}? {near}"


def _tells(say: Say) -> str:
    held = f", gripped down {say['grip']}," if "grip" in say else ""
    return f"Shots with the {say.club}{held} would show {listed([_ABOUT[a] for a in say.terms('about')])}."


def _learned(say: Say) -> str:
    did = {
        "less": f"took away {say['share']} of the doubt",
        "same": "left the doubt as it was",
        "more": f"added {say['share']} to the doubt",
    }[say.term("doubt")]
    before, after = (percent(say.value(name)) for name in ("before", "after"))
    went = f"went from {before} to" if before != after else "is still"
    return f"The last shots {did}; the chance of choosing right {went} {after}."


def _pace(say: Say) -> str:
    clubs = "All clubs together" if say.term("of") == "all" else "The clubs that were not changed"
    return _judged(say, f"{clubs} carry {say.size('by')} {say.term('way')} than before")


def _speed(say: Say) -> str:
    what = "Club speed" if say.term("of") == "club_speed" else "Ball speed"
    higher = "higher" if say.term("way") == "more" else "lower"
    return _judged(say, f"{what} is {say.size('by')} {higher} than before")


CLEAR = ": a clear change."


def _judged(say: Say, told: str) -> str:
    return f"{told}{CLEAR}" if say.term("beyond") == "yes" else f"{told}: no clear change."


PHRASES: dict[str, Phrase] = {
    "sessions.one_day": lambda say: (
        "All shots count as one day\u2019s"
        + ", and no weather was noted" * (say.term("weather") == "unknown")
        + ": carries and ranges are those of that day."
    ),
    "sessions.days": lambda say: (
        f"From one day to another carries differ by about {say['differ']}; predictions and changes allow for that."
    ),
    "sessions.one_air": fixed(
        "Weather or balls differed between the sessions, so carries are shown as in standard air with a good ball."
    ),
    "sessions.no_weather": lambda say: (
        f"No weather was noted for {many(abs(round(say.value('days'))), 'session')}. It may have changed carry by about "
        f"{say['differ']}, so those balls count for less and the ranges are wider."
    ),
    "sessions.worked_on": lambda say: (
        f"In between, work was done on the {listed(say.clubs)}: there a change of carry may come from the club or from the "
        "player."
    ),
    "sessions.alike": fixed("Old sessions count as much as new ones."),
    "sessions.fade": lambda say: (
        f"Older sessions count less: one {say['days']} days before the newest counts half."
    ),
    "change.pace": _pace,
    "change.speed": _speed,
    "change.spread": lambda say: _judged(
        say, f"Carries vary by {say.size('after')} from shot to shot, {say.size('before')} before"
    ),
    "change.carry": lambda say: _judged(
        say, f"The {say.club} carries {say.size('after')}, {say.size('before')} before"
    ),
    "change.gap": lambda say: _judged(
        say,
        f"The gap from the {say.clubs[0]} to the {say.clubs[1]} is {say.size('after')}, {say.size('before')} before",
    ),
    "mishit": _mishit,
    "warning.no_carries": fixed(
        "No carries yet: everything here comes from your body and stated speed, so the ranges are wide."
    ),
    "warning.one_club": fixed(
        "Carries from one club only: until you hit a second club, the gaps are those of common practice."
    ),
    "warning.longest_iron_missing": lambda say: (
        f"The longest iron asked for ({say.statement.quoted[0]}) is not an iron in the bag, so no iron was left out for it."
    ),
    "warning.not_settled": fixed("The fit did not settle: treat its numbers with care and check the shots."),
    "doubt.scattered": lambda say: (
        f"{say.club}: carries range from {say['least']} to {say['most']}; please check each one."
    ),
    "doubt.club_off": _club_off,
    "doubt.two_apart": _two_apart,
    "doubt.speed_entered": lambda say: (
        f"Your carries imply about {say['carries']} with the 7-iron; the speed you entered implies {say['entered']}. The "
        "result is a compromise: please check both."
    ),
    "doubt.speed_unusual": lambda say: (
        f"Your carries imply about {say['carries']} with the 7-iron, where {say['usual']} would be usual. Please check the "
        "numbers and their unit."
    ),
    "slip": _slip,
    "next_ball.tells": _tells,
    "next_ball.learned": _learned,
}
