"""Driver, fairway woods and hybrids, another ball and the putter, in words."""

from __future__ import annotations

from app.phrases.say import FAMILIES, Phrase, Say, capital, fixed, listed


def _best(say: Say) -> str:
    return (
        f"At this ball speed, attacking up to {say['attack']} upward, a launch of about {say['launch']} with "
        f"{say.rounded('spin', 100)} carries farthest. The optimum is flat: {say.bare('flat_from')} to {say['flat_to']} is "
        "within 2\u00a0%."
    )


def _player(say: Say) -> str:
    return (
        f"Your launch is about {say['launch']} with {say.rounded('spin', 100)}. Launch and spin both follow from the loft; "
        "your attack angle decides how much of the map you can reach."
    )


def _try_loft(say: Say) -> str:
    beyond = {"exact": "", "or_more": " or more", "or_less": " or less"}[say.term("beyond")]
    return (
        f"Try {say['loft']}{beyond} instead of {say['present']}: about {say['gain']} more carry ({say.chance} chance that "
        "it is longer)."
    )


def _cost(say: Say) -> str:
    return (
        f"A driver {say['shorter']} shorter costs {say.within('speed')} of club speed and, with equally good contact, "
        f"{say.within('carry')} of carry."
    )


def _level(say: Say) -> str:
    return (
        "No other length is better by enough to matter: what better contact gains, lower speed loses "
        f"({say.chance} chance). Choose by feel and by where you strike the face."
    )


def _better(say: Say) -> str:
    return (
        f"A {say.term('way')} driver, {say['length']}, saves {say['strokes']} strokes a drive ({say.chance} "
        f"chance): {say['centred']} of strikes are centred instead of {say['centred_now']}, and carry changes by "
        f"{say.signed('carry')}."
    )


def _begin(say: Say) -> str:
    first, longer = say.clubs
    return (
        f"Start the {FAMILIES[say.term('family')]} at the {first}: the {longer} adds only {say['adds']} ({say.chance} "
        f"chance that it adds about {say['least']} or more)."
    )


def _shaft(say: Say) -> str:
    also = f" or {say.term('also')}" if "also" in say else ""
    how = ", estimated from your carries," if say.term("speed_from") else ","
    return (
        f"At {say['speed']} with the driver{how} start with flex {say.term('flex')}{also} and a fairway-wood shaft of "
        f"{say.bare('lightest')} to {say['heaviest']}; trim the tip {say['tip']} more for each shorter club."
    )


def _ball_change(say: Say) -> str:
    more = f"{say.size('spin')} {say.by_sign('spin', 'more', 'less')} spin"
    spins = more if abs(say.value("spin")) >= 0.005 else "same spin"
    run = f", run on the green {say.within('run', sign=True)}" if "run" in say else ""
    return f"{say.club}: {spins}, carry {say.within('carry', sign=True)}{run}."


_TEE = {"better": "longer off the tee", "worse": "shorter off the tee"}
_GREEN = {"better": "stops sooner on the green", "worse": "runs farther on the green"}


def _ball_trade(say: Say) -> str:
    tee, green = say.term("tee"), say.term("green")
    if tee == green == "alike":
        return "No noticeable difference at either end of the bag: choose by feel and price."
    if green == "alike":
        return f"{capital(_TEE[tee])}; no noticeable difference on the green."
    if tee == "alike":
        return f"{capital(_GREEN[green])}; no noticeable difference off the tee."
    if tee == green:
        return f"{capital(tee)} at both ends: {_TEE[tee]} and {_GREEN[green]}."
    good, bad = (_TEE[tee], _GREEN[green]) if tee == "better" else (_GREEN[green], _TEE[tee])
    return f"A trade-off: {good}, but {bad}."


def _putter_begin(say: Say) -> str:
    return (
        f"Start with {say.within('length')} and a lie of {say.within('lie')}, eyes over the ball or up to "
        f"{say['inside']} inside it."
    )


def _putter_loft(say: Say) -> str:
    way = say.term("way")
    other = {"more": "less", "less": "more"}[way]
    return (
        f"{say['change']} {way} loft ({say['loft']}) would suit this stroke, or {say['change']} {other} forward lean of "
        "the shaft."
    )


def _skid(say: Say) -> str:
    return (
        f"On a green rated {say['green']}, a putt of {say['distance']} skids for {say['skid']} ({say['share']} of the "
        "way), then rolls."
    )


def _capture(say: Say) -> str:
    return (
        f"For a putt that would run {say['past']} past, the hole plays {say['width']} wide; above {say['speed']} only "
        "the rim can stop the ball."
    )


_TO_MEASURE = {"loft": ["loft"], "size": ["length", "lie"]}


def _putter_not_measured(say: Say) -> str:
    figures = [name for need in say.terms("needs") for name in _TO_MEASURE.get(need, [])]
    needs = [f"measure the putter\u2019s {listed(figures)}"] if figures else []
    needs += ["enter shaft lean and attack angle at impact"] if "stroke" in say.terms("needs") else []
    return f"Not measured yet: to learn what your putter does in your hands, {listed(needs)}."


def _shaft_open(say: Say) -> str:
    if say.clubs:
        return f"No advice on shafts yet: hit the {say.club} first, or enter your speed with it."
    return "No advice on shafts yet: enter your speed with a driver."


PHRASES: dict[str, Phrase] = {
    "effect.loft": lambda say: f"{say['change']} more loft",
    "effect.attack": lambda say: f"{say['change']} more upward attack, same dynamic loft",
    "effect.length": lambda say: f"{say['change']} shorter",
    "effect.head": lambda say: f"{say['change']} more head weight",
    "effect.high": lambda say: f"struck {say['change']} higher",
    "effect.toe": lambda say: f"struck {say['change']} nearer the toe",
    "driver.best": _best,
    "driver.player": _player,
    "driver.leave_loft": lambda say: (
        f"Leave the loft at {say['loft']}: no other would gain you more than about {say['gain']}."
    ),
    "driver.try_loft": _try_loft,
    "driver.not_measured": lambda say: (
        f"How the {say.club} launches the ball in your hands was not measured: hit it with launch measured, or enter your "
        "attack angle with it, before you choose a loft."
    ),
    "driver.flat": lambda say: (
        f"Lofts from {say['lowest']} to {say['highest']} carry within 2\u00a0% of each other: choose by ball flight."
    ),
    "driver_length.cost": _cost,
    "driver_length.level": _level,
    "driver_length.better": _better,
    "woods.begin": _begin,
    "woods.longest_adds": lambda say: (
        f"The {FAMILIES[say.term('family')]} can start at the {say.club}: it still adds carry."
    ),
    "woods.keep": lambda say: f"{capital(FAMILIES[say.term('family')])} to keep: {listed(say.clubs)}.",
    "woods.shaft_open": _shaft_open,
    "woods.shaft": _shaft,
    "ball.nothing_yet": fixed(
        "Nothing to compare yet: enter how another ball spins, or hit some shots with spin measured."
    ),
    "ball.change": _ball_change,
    "ball.trade": _ball_trade,
    "putter.begin": _putter_begin,
    "putter.not_measured": _putter_not_measured,
    "putter.eyes": lambda say: (
        f"With your putter soled flat, your eyes are {say['distance']} {say.term('side')} the ball."
    ),
    "putter.out_of_reach": fixed(
        "In this posture your hands do not reach the grip of your putter: try another length."
    ),
    "putter.launch": lambda say: (
        f"It has {say['loft']} of loft at impact and launches the ball at {say['launch']}; {say.bare('least')} to "
        f"{say['most']} is what you want."
    ),
    "putter.leave_loft": fixed("Leave its loft as it is."),
    "putter.no_loft": fixed(
        "No loft within the rules makes up for this lean and attack angle: change the stroke first."
    ),
    "putter.change_loft": _putter_loft,
    "putter.skid": _skid,
    "putter.runs_away": fixed("Down this slope the ball does not stop: only a putt that drops is safe."),
    "putter.capture": _capture,
}
