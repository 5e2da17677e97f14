"""The build sheet in words: work on a club, what cannot be done, parts, and the rules. Phrases are parts of a list."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from app.phrases.say import Phrase, Say, capital, fixed, listed, percent
from app.units import amount, unit
from engine.statements import Statement
from engine.workshop.balance import GRIP_POINTS


def _limit_extension(say: Say) -> str:
    first = ": measure it first" if say.term("start") else ""
    return f"an extension ({say['most']} at most) reaches {say['reaches']} only{first}"


def how_far(say: Say) -> str:
    """How far a head bends, and that it was bent so far already, where it was."""
    if "bent" not in say:
        return f"bends only {say['limit']}"
    if say.value("bent") < say.value("limit") - 1e-9:
        return f"bends only {say['limit']}, and has been bent {say['bent']} of that already"
    beyond = "past" if say.value("bent") > say.value("limit") + 1e-9 else "which is all of"
    return f"has already been bent {say['bent']}, {beyond} its usual {say['limit']}: do not bend it further"


def _limit_bend(say: Say) -> str:
    sides = [f"{name} to {say[name]}, not {say[f'wanted_{name}']}" for name in ("loft", "lie") if name in say]
    material = f"{say.term('material')} " if say.term("material") else ""
    said = f"this {material}head {how_far(say)}"
    if "do not" in said:
        wanted = [f"a {name} of {say[f'wanted_{name}']}" for name in ("loft", "lie") if name in say]
        return f"{said} ({listed(wanted)} was wanted)" if wanted else said
    said = f"{said}: {', '.join(sides)}" if sides else said
    return f"{said}; measure it first" if say.term("start") else said


def _parts_club(say: Say) -> str:
    guessed = say.terms("guess")
    weight = "head weight (weigh first)" if "mass" in guessed else "{} of head weight"
    needs = [weight.format(say["mass"])] if "mass" in say else []
    needs += [_NEEDS[n] + " (measure first)" * (n == "extension" in guessed) for n in say.terms("needs")]
    return f"{say.club}: {', '.join(needs)}"


def _figures(say: Say) -> str:
    return capital(listed([_FIGURES[name] for name in say.terms("figures")]))


_FIGURES = {"length": "length", "loft": "loft", "lie": "lie", "head": "head mass"}
_NEEDS = {"ferrule": "ferrule", "grip": "grip", "extension": "butt extension"}


def _rule_length(say: Say) -> str:
    if "most" in say:
        return f"length {say['length']}; the rules allow {say.bare('least')} to {say['most']}"
    return f"length {say['length']}; the rules ask for at least {say['least']}"


def _work(name: str, change: Callable[[Say], str], bound: str) -> Phrase:
    """A change of a figure that is known, and what comes of it; else what to measure first, on which the work depends."""

    def said(say: Say) -> str:
        if "to" not in say:
            return change(say)
        if say.term("start") == "head":
            return f"({change(say)}, to {say['to']})"
        if say.term("start"):
            first = "weigh" if name == "head" else "measure"
            most = f"; {bound.format(say['most'])}" if "most" in say else ""
            return f"{name} to {say['to']} ({first} first{most})"
        return f"{change(say)}, to {say['to']}"

    return said


def once_weighed(say: Say) -> str:
    """What work waits for that hangs on the head's mass."""
    return " (if the head stays)" if say.term("start") == "head" else ""


def _measure_first(say: Say) -> str:
    """The same words for each figure, on the sheet and wherever lofts are asked for."""
    told = [measure_first(name, say[name]) for name in _FIGURES if name in say]
    return "; ".join(told) or "measure it first"


def measure_first(name: str, wanted: str) -> str:
    """``weigh the head first: 268 g is wanted``."""
    return f"{'weigh' if name == 'head' else 'measure'} the {name} first: {wanted} is wanted"


def _as_others(say: Say) -> str:
    return listed([_FIGURES[name] for name in say.terms("figures")])


def _begin_lie(say: Say) -> str:
    """A lie that only the body asks for."""
    if say.term("start") not in ("", "head"):
        most = f"; at most {say['most']}" if "most" in say else ""
        begin = f"begin with a lie of {say['to']} (measure first{most})"
    else:
        begin = f"begin {_by(say, 'change', say.term('way') == 'upright')} {say.term('way')}, at {say['to']}"
    return f"{begin}, then check on a lie board{once_weighed(say)}"


def _to_find(say: Say) -> str:
    return " (measure first)" if say.term("start") or say.term("need") else ""


def _mass(say: Say) -> str:
    """A head's mass, with what it may be off where heads of one mass are sought."""
    return f"{say['mass']} \u00b1 {say['within']}" if "within" in say else say["mass"]


def _head(say: Say) -> str:
    """The head to find; one whose loft may still change is not bought yet."""
    may_change = " (may change: hit first, then buy)" if say.term("loft_is") else ""
    return f"{_handed(say)}head of {_mass(say)}, loft {say['loft']}{may_change}, lie {say['lie']}"


def _find_head(say: Say) -> str:
    sought = _head(say)
    likely = (
        f"likely ({percent(say.value('risk'))}): "
        if "risk" in say
        else "likely: "
        if say.term("start")
        else ""
    )
    return f"{likely}look for a {sought}"


def _parts_head(say: Say) -> str:
    head = _head(say)
    then = [_NEEDS[name] for name in say.terms("then")]
    return f"{say.club}: {head}{_to_find(say)}, ferrule{', then ' * bool(then)}{', '.join(then)}"


def then(actions: Iterable[Statement], system: str) -> list[str]:
    """What is done to a club once its head is found."""
    return [f"then {PHRASES[s.kind](Say(s, system))}, with a new grip" for s in actions]


def _shaft_mass(say: Say, usual: str) -> str:
    """A shaft's mass: that of the old one for its length, or the usual one with how far such shafts lie from it."""
    mass = say.statement.quantities["mass"]
    if mass.high is None:
        return f"about {say['mass']}{' (assumed)' * bool(say.term(usual))}"
    return f"usually {say['mass']} \u00b1 {amount(mass.high - mass.value, 'mass', say.system)}"


def _find_shaft(say: Say) -> str:
    """The shaft to find; its mass where one is wanted: the usual one stands in the list of parts."""
    usual = say.statement.quantities["mass"].high is not None
    return f"look for a shaft for {say['length']}" + ("" if usual else f", {_shaft_mass(say, 'start')}")


def _parts_shaft(say: Say) -> str:
    (named,) = say.statement.quoted
    flex = [f"{'usually ' * bool(say.term('flex'))}flex {named}"] if named else []
    tip = [f"tip cut {say['tip']}"] if "tip" in say else []
    told = [f"{_shaft_mass(say, 'guess')} (weigh it)", *flex, *tip, *_own_head(say), "grip", "ferrule"]
    return f"{say.club}: shaft for {say['length']}{_to_find(say)}, {', '.join(told)}"


def _own_head(say: Say) -> list[str]:
    """The club's own head, by which the swing weight is checked, where it goes onto the shaft."""
    aim = f"{say['aim']} is wanted" if "aim" in say else ""
    if "head" in say:
        return [f"for its own head of {say['head']}" + f" ({aim})" * bool(aim)]
    return [f"for its own head (weigh it{aim and '; '}{aim})"] if say.term("weigh") else []


def _handed(say: Say) -> str:
    return "left-handed " if say.term("hand") else ""


def _weigh_it(say: Say) -> str:
    return ": weigh it first" if say.term("start") else ""


def _bend(say: Say) -> str:
    return f"bend {_by(say, 'change', say.term('way') in ('weak', 'upright'))} {say.term('way')}"


def _by(say: Say, name: str, more: bool) -> str:
    """A change as it lies between the figures that are shown before and after it."""
    if "to" not in say:
        return say[name]
    to, change = say.value("to"), say.value(name)
    what, shown_as = (say.statement.quantities[n].what for n in (name, "to"))
    shown = unit(shown_as, say.system)
    before = shown.read(to - change if more else to + change)
    by = (shown.read(to) - before) * (1 if more else -1)
    if (
        what == "length_change" and say.system == "imperial"
    ):  # an eighth is shown in full, and no other length
        return f"{by:.3f}".rstrip("0").rstrip(".").replace("-", "\u2212") + "\u00a0in"
    return amount(by * shown.size, what, say.system)


def _worked_on(say: Say) -> str:
    """The clubs a step is done to: by name, unless they are all that the first step has named."""
    every = say.term("which") == "all" and len(say.clubs) > FEW
    return "all of these clubs" if every else listed(say.clubs)


def _bend_step(say: Say, name: str) -> str:
    return f"Bend the {name}, then measure loft and lie: {_worked_on(say)}."


def _rest(say: Say) -> str:
    way = {"weak": "weaker", "strong": "stronger", "upright": "more upright", "flat": "flatter"}[
        say.term("way")
    ]
    why = {
        "least": "too little to bend",
        "limit": "the head bends no farther",
        "others": "to stay in line with the others",
    }
    wanted, more = say.value("wanted"), say.term("way") in ("weak", "upright")
    left = wanted + (say.value("off") if more else -say.value("off"))
    asked = wanted if abs(wanted - round(wanted, 2)) < 1e-6 else round(wanted, 1)  # as typed, or worked out
    off, to = (amount(x, "set_angle", say.system) for x in (abs(left - asked), asked))
    return f"{say.term('figure')} left {off} {way} than the {to} wanted: {why[say.term('why')]}"


def _strained(say: Say) -> str:
    past = say.value("most") > say.value("limit") + 1e-6
    said = (
        f"was bent {say['most']} in {say.term('figure')} before, past"
        if past
        else "has been bent to and fro, past"
    )
    return (
        f"this head {said} its usual {say['limit']} ({say['total']} in all with this work): look for cracks in the hosel "
        "before and after each bend, and find another head if there is any doubt"
    )


def _swing_weight(say: Say) -> str:
    falls = say.term("way") == "less"
    points = "point" if round(say.value("points")) == 1 else "points"
    most = f" ({say['most']} is the most)" if "most" in say else ""
    moves = f"{'down' if falls else 'up'} {say['points']} {points}"
    if say.term("wish"):
        moves = f"{say['points']} {points} {'below' if falls else 'above'} what was wanted before the build"
    return (
        f"swing weight {moves}: {say['mass']} {'more' if falls else 'less'} head mass would restore it{most}"
    )


_FIND_AFTER = {
    "": "Find",
    "measured": "Type in what you measured and print the sheet again. Then find",
    "again": "Then find",
}
FEW = 3
"""Clubs that are named one by one however often they come."""

PHRASES: dict[str, Phrase] = {
    "work.none": fixed("leave as it is"),
    "work.build_new": fixed("build new"),
    "work.measure_first": _measure_first,
    "work.measure_other": lambda say: f"measure the {say.club} first",
    "work.measure_for": lambda say: f"measure this club first: others take its {_as_others(say)}",
    "work.add_mass": _work("head", lambda say: f"add {_by(say, 'mass', True)} to the head", "at most {}"),
    "work.remove_mass": _work("head", lambda say: f"grind {_by(say, 'mass', False)} off", "at most {}"),
    "work.cut": _work("length", lambda say: f"cut {_by(say, 'length', False)} off the butt", ""),
    "work.extend": _work(
        "length", lambda say: f"extend {_by(say, 'length', True)} at the butt", "at most {}"
    ),
    "work.bend_loft": _work("loft", _bend, "at most {}"),
    "work.bend_lie": _work("lie", _bend, "at most {}"),
    "work.begin_lie": _begin_lie,
    "work.bounce": lambda say: f"bounce becomes {say['to']}",
    "work.rest": _rest,
    "work.short": lambda say: f"{say['off']} short: leave it so, or fit a thicker butt cap",
    "work.strained": _strained,
    "work.swing_weight": _swing_weight,
    "work.check_bounce": lambda say: f"look at the sole first: {say.term('way')} bounce",  # one line on paper
    "limit.no_head": fixed("there is no head for this club; find one"),
    "limit.mass_added": lambda say: (
        f"{say['mass']} is more than a head takes (about {say['most']}){_weigh_it(say)}"
    ),
    "limit.mass_removed": lambda say: (
        f"{say['mass']} is more than can be ground off (about {say['most']}){_weigh_it(say)}"
    ),
    "limit.extension": _limit_extension,
    "limit.no_bend": fixed("this head cannot be bent"),
    "limit.bend": _limit_bend,
    "find.head": _find_head,
    "find.shaft": _find_shaft,
    "known.usual": lambda say: f"{_figures(say)} of {listed(say.clubs)}: the usual figures, not measured.",
    "known.estimated": lambda say: f"{_figures(say)} of {listed(say.clubs)}: estimated, not measured.",
    "known.ordered": lambda say: (
        f"{_figures(say)} of {listed(say.clubs)}: as the last sheet ordered, not measured since."
    ),
    "order.find": lambda say: (
        f"{_FIND_AFTER[say.term('after')]} the parts for these, and start no club until you have them all, or the set "
        f"cannot be finished: {listed(say.clubs)}."
    ),
    "order.measure": lambda say: (
        f"Measure these clubs first and note what differs; change nothing that was not measured: {listed(say.clubs)}."
    ),
    "order.weigh": fixed(
        "Weigh a glued head on the club: the whole club less shaft, grip and ferrule. Only where these are not known, warm "
        "the hosel and pull it (heat ruins carbon fibre), then fit a new ferrule and let the epoxy cure before any swing."
    ),
    "order.pull": lambda say: (
        "First find out whether the shaft is carbon fibre, which heat ruins. Warm the hosel and pull the head off: "
        f"{_worked_on(say)}."
    ),
    "order.mass": lambda say: f"Weigh the head, then add or grind off weight: {_worked_on(say)}.",
    "order.length": lambda say: f"Take the grip off, then cut or extend: {_worked_on(say)}.",
    "order.new": lambda say: f"Assemble: {_worked_on(say)}.",
    "order.dry": lambda say: (
        "Before any glue, put head, ferrule and shaft together dry. With the grip on, or laid along the butt where it will "
        f"sit, check the swing weight; without a grip it reads about {GRIP_POINTS} points too heavy: {_worked_on(say)}."
    ),
    "order.cure": lambda say: (
        f"Glue every joint, and let the epoxy cure for {say['time']}: {_worked_on(say)}."
    ),
    "order.grip": lambda say: f"Fit the grip: {_worked_on(say)}.",
    "order.material": lambda say: f"Find out what these heads are made of: {listed(say.clubs)}.",
    "order.bend_loft": lambda say: _bend_step(say, "loft"),
    "order.bend_lie": lambda say: _bend_step(say, "lie"),
    "order.check": fixed(
        "Measure every club you worked on again, write it under \u201cas built\u201d, and have it checked."
    ),
    "order.lie_board": lambda say: (
        "These lies are only a start. Check them on a lie board, hitting real shots, before any more is bent: "
        f"{_worked_on(say)}."
    ),
    "order.again": lambda say: (
        f"Type in what you measured and print a new sheet before you go on: {_worked_on(say)}."
    ),
    "parts.new_club": lambda say: f"{say.club}: head ({say['loft']}, {say['mass']}), shaft, grip",
    "parts.club": _parts_club,
    "parts.head": _parts_head,
    "parts.shaft": _parts_shaft,
    "parts.epoxy": fixed("epoxy for the joints, with its safety sheet"),
    "parts.tape": fixed("grip tape and grip solvent"),
    "rule.club_count": lambda say: f"{say['count']} clubs; the rules allow {say['most']}",
    "rule.length": _rule_length,
    "rule.shaft_angle": lambda say: (
        f"shaft {say['angle']} off upright; the rules ask for at least {say['least']}"
    ),
    "rule.putter_loft": lambda say: (
        f"loft {say['loft']}; the rules allow {say.bare('least')} to {say['most']}"
    ),
}
